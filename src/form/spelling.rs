//! Which of the known words a misspelt one was meant to be.

/// The known word nearest to `typed`, if one is near enough to be worth suggesting: at most one slip in three letters,
/// two neighbouring letters exchanged being one slip. Of equals the first known one.
pub fn nearest<'k>(typed: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    let typed: Vec<char> = typed.to_lowercase().replace(['_', ' '], "-").chars().collect();
    // Nothing that a hand types is this long, and the table below grows with the square.
    if typed.len() > 64 {
        return None;
    }
    let mut best: Option<(usize, &str)> = None;
    for word in known {
        let letters: Vec<char> = word.chars().collect();
        let slips = slips(&typed, &letters);
        let most = (typed.len().max(letters.len()) / 3).max(1);
        if slips <= most && best.is_none_or(|(least, _)| slips < least) {
            best = Some((slips, word));
        }
    }
    best.map(|(_, word)| word)
}

/// How many letters must be put in, left out, replaced or exchanged with their neighbour.
fn slips(a: &[char], b: &[char]) -> usize {
    let width = b.len() + 1;
    let mut table = vec![0usize; (a.len() + 1) * width];
    for (j, cell) in table.iter_mut().take(width).enumerate() {
        *cell = j;
    }
    for i in 1..=a.len() {
        table[i * width] = i;
        for j in 1..=b.len() {
            let replaced = table[(i - 1) * width + j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut least = replaced.min(table[(i - 1) * width + j] + 1).min(table[i * width + j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(table[(i - 2) * width + j - 2] + 1);
            }
            table[i * width + j] = least;
        }
    }
    table[a.len() * width + b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    const KEYS: [&str; 5] = ["diameter", "construction", "colour", "colour-name", "length"];

    #[test]
    fn a_slip_of_the_hand_finds_the_word_meant() {
        for (typed, meant) in [
            ("diametre", "diameter"),
            ("daimeter", "diameter"),
            ("color", "colour"),
            ("colour_name", "colour-name"),
            ("Length", "length"),
            ("constuction", "construction"),
        ] {
            assert_eq!(nearest(typed, KEYS), Some(meant), "{typed}");
        }
    }

    #[test]
    fn a_word_of_another_kind_gets_no_suggestion() {
        assert_eq!(nearest("temperature", KEYS), None);
        assert_eq!(nearest("", KEYS), None);
        assert_eq!(nearest(&"x".repeat(100_000), KEYS), None);
    }
}
