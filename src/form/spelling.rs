//! Which of the known words a misspelt one was meant to be. The only door to `strsim`.

/// The known word nearest to `typed`, if one is near enough to be worth suggesting: at most one slip in three letters,
/// two neighbouring letters exchanged being one slip. Of equals the first known one.
pub(crate) fn nearest<'k>(typed: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    let typed = typed.to_lowercase().replace(['_', ' '], "-");
    let length = typed.chars().count();
    // Nothing that a hand types is this long, and the time to compare grows with the square.
    if length > 64 {
        return None;
    }
    let mut best: Option<(usize, &str)> = None;
    for word in known {
        let slips = strsim::osa_distance(&typed, word);
        let most = (length.max(word.chars().count()) / 3).max(1);
        if slips <= most && best.is_none_or(|(least, _)| slips < least) {
            best = Some((slips, word));
        }
    }
    best.map(|(_, word)| word)
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
