//! Words in letters that every system takes in the name of a file. The only door to `deunicode`.

/// Every system takes names this long, with a number and an ending.
const MAX_NAME_LENGTH: usize = 120;

/// Small letters, digits and single hyphens for `words`: other letters become the Latin ones that are nearest to them.
/// At most 120 long. `None` where nothing is left, or one of the names that Windows keeps for devices
/// ("Naming Files, Paths, and Namespaces", Microsoft Learn; from memory).
pub(crate) fn slugify(words: &str) -> Option<String> {
    let mut name = String::new();
    for c in deunicode::deunicode_with_tofu(words, "-").chars() {
        if c.is_ascii_alphanumeric() {
            name.push(c.to_ascii_lowercase());
        } else if !name.is_empty() && !name.ends_with('-') {
            name.push('-');
        }
    }
    name.truncate(MAX_NAME_LENGTH);
    name.truncate(name.trim_end_matches('-').len());
    let numbered = |device: &str| {
        name.strip_prefix(device).is_some_and(|rest| rest.len() == 1 && rest.bytes().all(|b| b.is_ascii_digit()))
    };
    let kept = ["con", "prn", "aux", "nul"].contains(&name.as_str()) || numbered("com") || numbered("lpt");
    (!name.is_empty() && !kept).then_some(name)
}

#[cfg(test)]
mod tests {
    use super::slugify;

    #[test]
    fn letters_of_other_alphabets_become_latin_ones() {
        for (words, name) in [
            ("Little Boat", "little-boat"),
            ("Größe & Maß", "grosse-mass"),
            ("Œuvre d’été", "oeuvre-d-ete"),
            ("Łódź", "lodz"),
            ("Чайка", "chaika"),
            ("Γλάρος", "glaros"),
            ("  --- 7 -- ", "7"),
            ("../..\\etc:passwd", "etc-passwd"),
        ] {
            assert_eq!(slugify(words).as_deref(), Some(name), "{words}");
        }
    }

    #[test]
    fn names_of_nothing_and_of_devices_are_none() {
        for words in ["", " … ", "\u{e000}", "CON", "aux.", "Com1", "lpt9"] {
            assert_eq!(slugify(words), None, "{words}");
        }
        assert_eq!(slugify("com").as_deref(), Some("com"));
        assert_eq!(slugify(&"é ".repeat(500)).map(|name| name.len()), Some(119));
    }
}
