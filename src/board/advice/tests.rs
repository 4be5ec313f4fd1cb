use super::*;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Reads a string of Rust source: its value, and what follows it. A backslash at the end of a line takes the next line's
/// beginning away.
fn literal(source: &str) -> Option<(String, &str)> {
    let mut rest = source.trim_start().strip_prefix('"')?.chars();
    let mut value = String::new();
    loop {
        match rest.next()? {
            '"' => return Some((value, rest.as_str())),
            '\\' => match rest.next()? {
                '\n' => rest = rest.as_str().trim_start().chars(),
                other => value.push(other),
            },
            other => value.push(other),
        }
    }
}

/// Every phrase of the program by its key: its English.
fn phrases() -> BTreeMap<String, String> {
    fn walk(folder: &Path, then: &mut impl FnMut(&str)) {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                walk(&path, then);
            } else if path.extension().is_some_and(|ending| ending == "rs") && !path.ends_with("tests.rs") {
                then(&std::fs::read_to_string(&path).expect("a source file"));
            }
        }
    }
    let mut found = BTreeMap::new();
    walk(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut |source| {
        let source = source.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
        for (at, call) in source.match_indices("Phrase::new(") {
            let (key, rest) = literal(&source[at + call.len()..]).expect("a key that is written out");
            let rest = rest.trim_start().strip_prefix(',').expect("a comma");
            let (english, _) = literal(rest).expect("English that is written out");
            let before = found.insert(key.clone(), english.clone());
            assert!(before.is_none_or(|before| before == english), "`{key}` says two things");
        }
    });
    found
}

fn names(phrase: &str) -> BTreeSet<&str> {
    phrase.split('{').skip(1).filter_map(|rest| Some(rest.split_once('}')?.0)).collect()
}

fn translated() -> impl Iterator<Item = &'static Words> {
    FILES.iter().filter(|(tag, _)| !tag.starts_with("en")).map(|(tag, _)| words(tag).expect(tag))
}

/// The keys of advice that a language has words for.
fn keys(words: &Words) -> BTreeSet<String> {
    words.keys().filter_map(|key| key.strip_prefix("advice.")).map(str::to_owned).collect()
}

#[test]
fn every_phrase_of_advice_has_its_words_in_every_language() {
    let english = phrases();
    assert!(english.len() > 100);
    let known: BTreeSet<String> = english.keys().cloned().collect();
    assert!(FILES.iter().map(|(tag, _)| *tag).eq(Words::languages()));
    for words in translated() {
        let own = keys(words);
        let language = words.language();
        assert_eq!(known.difference(&own).collect::<Vec<_>>(), Vec::<&String>::new(), "missing in {language}");
        assert_eq!(own.difference(&known).collect::<Vec<_>>(), Vec::<&String>::new(), "idle in {language}");
        for (key, template) in &english {
            let full = format!("{HEADING}.{key}");
            assert_eq!(words.is_counted(&full), names(template).contains("n"), "{key} of {language}");
            for form in words.forms(&full) {
                assert_eq!(names(form), names(template), "{key} of {language}");
                assert!(form != template || key == "difference", "{key} of {language} is English");
                assert!(form.trim() == form && !form.is_empty() && !form.contains('`'), "{key} of {language}");
            }
        }
    }
}

#[test]
fn every_piece_of_advice_has_a_phrase() {
    let english = phrases();
    let ids = crate::advice::IDS.into_iter().chain(crate::project::ADVICE);
    for id in ids.chain(["old-encoding", "more", "unknown-advice"]) {
        assert!(english.contains_key(id), "{id}");
    }
}

#[test]
fn american_advice_is_spelled_the_american_way() {
    // Common practice.
    const BRITISH: [&str; 6] = ["colour", "grey", "neighbour", "metre", "fibre", "centre"];
    let words = words("en-US").expect("words");
    let english = phrases();
    // What stands between back-ticks is a key of the project file.
    let is_british = |phrase: &str| {
        let said: String = phrase.split('`').step_by(2).collect();
        BRITISH.iter().any(|word| said.contains(word))
    };
    let wanted: BTreeSet<String> =
        english.iter().filter(|(_, phrase)| is_british(phrase)).map(|(key, _)| key.clone()).collect();
    assert_eq!(keys(words), wanted);
    for key in &wanted {
        let form = words.forms(&format!("{HEADING}.{key}"))[0].to_owned();
        assert!(!is_british(&form), "{form}");
        assert_eq!(names(&form), names(&english[key]), "{key}");
    }
}

#[test]
fn signs_stand_off_as_each_language_has_it() {
    for words in translated() {
        let french = words.language() == "fr-FR";
        for key in keys(words) {
            for form in words.forms(&format!("{HEADING}.{key}")) {
                let form = form.replace("://", "").replace("![", "");
                let mut before = ' ';
                for sign in form.chars() {
                    // Imprimerie nationale and Ortografía, from memory.
                    match sign {
                        ';' | ':' | '?' => assert_eq!(before == '\u{202f}', french, "{key}: {form}"),
                        '%' => assert_eq!(before, '\u{202f}', "{key}: {form}"),
                        '"' | '\'' => panic!("{key}: {form}"),
                        _ => {}
                    }
                    before = sign;
                }
            }
        }
    }
}

#[test]
fn advice_is_said_with_its_numbers_and_names() {
    let place = || Phrase::new("place", "").with("row", Phrase::new("row", "").with("number", 3)).with("column", 14);
    let advice = Diagnostic::advice(
        Phrase::new("carry-near-limit", "")
            .counted(1, "carry is", "carries are")
            .with("limit", 60.0)
            .with("bare", Value::decimals(58.25, 1))
            .with("place", place()),
    )
    .advise(Phrase::new("carry-near-limit-hint", ""));
    let german = words("de").expect("words");
    let (message, hints) = said(german, &advice).expect("words");
    assert!(message.starts_with("1-mal") && message.contains("60 mm"), "{message}");
    assert!(message.contains("58,2 mm") || message.contains("58,3 mm"), "{message}");
    assert!(message.ends_with("Reihe 3, Spalte 14"), "{message}");
    assert_eq!(hints.len(), 1);
    // A name is no mark-up, and a sentence may stand in another.
    let yarns = || Phrase::new("pair", "`{one}` and `{two}`").with("one", "a*b*").with("two", "{n}");
    let near = Diagnostic::advice(Phrase::new("yarns-near", "").with("pairs", vec![yarns().into()])).put_into(|what| {
        Phrase::new("in-size", "in the size `{name}` {what}").with("name", "klein").with("what", what)
    });
    let (message, _) = said(words("es-ES").expect("words"), &near).expect("words");
    assert_eq!(message, "en el tamaño klein: algunos hilos piden atención para distinguirlos: a*b* y {n}");
    // A fault has no phrases, and says so; British English is the program's own.
    assert_eq!(said(german, &Diagnostic::fault("ragged-row", "x")), None);
    let plain = Diagnostic::advice(Phrase::new("more", "{more} more are not shown").with("more", 4));
    assert_eq!(said(words("en-GB").expect("words"), &plain), Some(("4 more are not shown".to_owned(), Vec::new())));
}
