use super::*;
use std::collections::{BTreeMap, BTreeSet};

fn text(asset: &Asset) -> &'static str {
    std::str::from_utf8(asset.bytes).expect(asset.path)
}

fn scripts() -> String {
    ALL.iter().filter(|asset| asset.kind == SCRIPT).map(text).collect()
}

fn languages() -> Vec<(&'static str, BTreeMap<String, String>)> {
    let words = ALL.iter().filter(|asset| asset.kind == WORDS);
    words.map(|asset| (asset.path, serde_json::from_str(text(asset)).expect(asset.path))).collect()
}

#[test]
fn all_of_them_are_small_and_none_names_a_stranger() {
    let total: usize = ALL.iter().map(|asset| asset.bytes.len()).sum();
    // A page loads the words of one language.
    let bytes = |kind: &str| ALL.iter().filter(|a| a.kind == kind).map(|a| a.bytes.len()).sum::<usize>();
    let other = bytes(WORDS) * 4 / 5 + bytes(FORM) * 2 / 3;
    assert!(total - other < 200_000, "{} bytes", total - other);
    for asset in ALL {
        let text = text(asset);
        for (at, _) in text.match_indices("http") {
            let own = text[at..].starts_with("http://www.w3.org/2000/svg");
            assert!(own, "{}: {}", asset.path, &text[at..text.ceil_char_boundary((at + 60).min(text.len()))]);
        }
    }
}

#[test]
fn every_language_says_the_same_things_with_the_same_names() {
    let names = |phrase: &str| -> BTreeSet<String> {
        let after = phrase.split('{').skip(1);
        after.filter_map(|rest| Some(rest.split_once('}')?.0.to_owned())).collect()
    };
    let all = languages();
    let (_, first) = &all[0];
    assert!(first.len() > 80);
    for (path, words) in &all {
        assert_eq!(words.keys().collect::<Vec<_>>(), first.keys().collect::<Vec<_>>(), "{path}");
        for (key, phrase) in words {
            assert!(!phrase.trim().is_empty(), "{path}: {key}");
            assert_eq!(names(phrase), names(&first[key]), "{path}: {key}");
        }
    }
    let plain = |path: &str| all.iter().find(|(known, _)| known.contains(path)).map(|(_, words)| words.clone());
    for other in ["de-DE", "fr-FR", "es-ES"] {
        let (english, other) = (plain("en-GB").expect("words"), plain(other).expect("words"));
        let same = english.iter().filter(|(key, phrase)| other.get(*key) == Some(*phrase)).count();
        // A few words are the same in two languages; more are not translated.
        assert!(same * 12 < english.len(), "{same} of {} are English", english.len());
    }
}

/// Keys of the schema, and paths of those that are explained.
fn fields(schema: &serde_json::Value, path: &str, keys: &mut BTreeSet<String>, about: &mut BTreeSet<String>) {
    for (key, field) in schema["properties"].as_object().into_iter().flatten() {
        keys.insert(key.clone());
        let path = format!("{path}{key}");
        if field["description"].is_string() {
            about.insert(path.clone());
        }
        fields(field, &format!("{path}/"), keys, about);
        fields(&field["items"], &format!("{path}/"), keys, about);
    }
}

#[test]
fn every_field_of_the_form_has_its_words_in_every_language() {
    let schema = serde_json::from_str(&crate::project::schema::schema()).expect("the schema");
    let (mut keys, mut about) = (BTreeSet::new(), BTreeSet::new());
    fields(&schema, "", &mut keys, &mut about);
    assert!(keys.len() > 100 && about.len() > 40);
    let forms: Vec<&Asset> = ALL.iter().filter(|asset| asset.kind == FORM).collect();
    assert_eq!(forms.len(), languages().len() - 2);
    for form in forms {
        let words: BTreeMap<String, BTreeMap<String, String>> = serde_json::from_str(text(form)).expect(form.path);
        let said = |part: &str| words[part].keys().cloned().collect::<BTreeSet<_>>();
        assert_eq!(said("keys"), keys, "{}", form.path);
        assert_eq!(said("about"), about, "{}", form.path);
        assert!(words.values().flat_map(BTreeMap::values).all(|phrase| !phrase.trim().is_empty()));
    }
}

/// What stands between quotation marks after `say(` or `count(`, and the beginnings of keys that are put together.
fn asked() -> (BTreeSet<String>, BTreeSet<String>) {
    let scripts = scripts();
    let (mut keys, mut beginnings) = (BTreeSet::new(), BTreeSet::new());
    for call in ["say(", "count("] {
        for (at, _) in scripts.match_indices(call) {
            let rest = &scripts[at + call.len()..];
            if let Some(key) = rest.strip_prefix('"').and_then(|rest| Some(rest.split_once('"')?.0)) {
                keys.insert(key.to_owned());
            } else if let Some(start) = rest.strip_prefix('`').and_then(|rest| Some(rest.split_once("${")?.0)) {
                beginnings.insert(start.to_owned());
            }
        }
    }
    (keys, beginnings)
}

#[test]
fn every_phrase_is_used_and_every_phrase_that_is_asked_for_is_there() {
    let (keys, beginnings) = asked();
    let (_, words) = &languages()[0];
    let counted =
        |key: &str| [format!("{key}-one"), format!("{key}-other")].iter().all(|form| words.contains_key(form));
    let unknown: Vec<&String> = keys.iter().filter(|key| !words.contains_key(*key) && !counted(key)).collect();
    assert!(unknown.is_empty(), "not in the words: {unknown:?}");
    let scripts = scripts();
    let used = |key: &str| {
        let plain = key.trim_end_matches("-one").trim_end_matches("-other");
        let put_together = beginnings.iter().any(|start| !start.is_empty() && key.starts_with(start.as_str()));
        keys.contains(key) || keys.contains(plain) || put_together || scripts.contains(&format!("\"{key}\""))
    };
    let idle: Vec<&String> = words.keys().filter(|key| !used(key)).collect();
    assert!(idle.is_empty(), "never said: {idle:?}");
}

#[test]
fn every_file_of_the_page_is_served() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/board/assets");
    for entry in std::fs::read_dir(folder).expect("the assets") {
        let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
        let served = ALL.iter().any(|asset| asset.path == format!("/{name}"));
        assert!(served || ["index.html", "closed.html", "shared.d.ts", "tests.rs"].contains(&name.as_str()), "{name}");
    }
    for script in ALL.iter().filter(|asset| asset.kind == SCRIPT) {
        for (_, rest) in text(script).match_indices(" from \"./").map(|(at, m)| (at, &text(script)[at + m.len()..])) {
            let name = rest.split('"').next().unwrap_or_default();
            assert!(ALL.iter().any(|asset| asset.path == format!("/{name}")), "{} asks for {name}", script.path);
        }
    }
}
