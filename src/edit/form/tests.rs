use super::*;
use serde_json::json;

const SHORT: &str = "# Mine.\nformat = 1 # leave\ntitle = \"Two\"\ndate = 2026-09-14\n\n# ---- Yarns ----\n\n# the pale one\n\
    [[yarn]]\nkey = \"A\"   # a\nname = \"sand\"\ncolour = \"#d8b26e\"\n\n[[yarn]]\nkey = \"B\"\nname = \"sea\"\ncolour = \"#336699\"\n\n\
    # ---- Cord ----\n[cord]\ndiameter = \"3 mm\"   # measured\n# price = 1\n\n[swatch]\ntwenty-knots = { start = \"1 m\", tail = \"7 cm\" }\n# end\n";

fn set(section: &str, item: Option<usize>, key: &str, from: Json, to: Json) -> Change {
    Change::Set { place: Place { section: section.into(), item, key: key.into() }, from, to }
}

fn done(change: &Change) -> String {
    apply(SHORT, change).expect("changed")
}

/// The one line that differs, before and after.
fn differing(before: &str, after: &str) -> Vec<(String, String)> {
    assert_eq!(before.lines().count(), after.lines().count(), "{after}");
    let lines = before.lines().zip(after.lines());
    lines.filter(|(a, b)| a != b).map(|(a, b)| (a.to_owned(), b.to_owned())).collect()
}

#[test]
fn one_value_changes_and_its_comment_stays() {
    let after = done(&set("cord", None, "diameter", json!("3 mm"), json!("4 mm")));
    let line = |text: &str| format!("diameter = \"{text}\"   # measured");
    assert_eq!(differing(SHORT, &after), [(line("3 mm"), line("4 mm"))]);
    let after = done(&set("", None, "format", json!(1), json!(2)));
    assert_eq!(differing(SHORT, &after), [("format = 1 # leave".into(), "format = 2 # leave".into())]);
    let after = done(&set("yarn", Some(1), "name", json!("sea"), json!("deep \"sea\"")));
    assert_eq!(differing(SHORT, &after), [("name = \"sea\"".into(), "name = 'deep \"sea\"'".into())]);
    let after = done(&set("swatch.twenty-knots", None, "tail", json!("7 cm"), json!("8 cm")));
    assert!(after.contains("{ start = \"1 m\", tail = \"8 cm\" }"), "{after}");
    let after = done(&set("", None, "date", json!({"day": "2026-09-14"}), json!({"day": "2026-10-01"})));
    assert_eq!(differing(SHORT, &after), [("date = 2026-09-14".into(), "date = 2026-10-01".into())]);
}

#[test]
fn a_key_or_section_that_is_not_there_yet_is_written_where_it_belongs() {
    let after = done(&set("cord", None, "fibre", json!(null), json!("cotton")));
    assert!(after.contains("# measured\nfibre = \"cotton\"\n# price = 1\n"), "{after}");
    let after = done(&set("working", None, "length", json!(null), json!("60 in")));
    assert!(after.contains("\n[working]\nlength = \"60 in\"\n"), "{after}");
    assert_eq!(values(&after).expect("TOML")["working"]["length"], "60 in");
    let after = done(&set("yarn.swatch.twenty-knots", Some(0), "start", json!(null), json!("1 m")));
    assert_eq!(values(&after).expect("TOML")["yarn"][0]["swatch"]["twenty-knots"]["start"], "1 m");
    assert_eq!(done(&set("working", None, "length", json!("x"), json!(null))), SHORT);
}

#[test]
fn what_was_changed_elsewhere_is_not_written_over() {
    let told = |change: &Change| apply(SHORT, change).map_err(|d| d.id);
    assert_eq!(told(&set("cord", None, "diameter", json!("2 mm"), json!("4 mm"))), Err("changed-elsewhere"));
    // Wanted by both, or handed over twice.
    assert_eq!(told(&set("cord", None, "diameter", json!("2 mm"), json!("3 mm"))), Ok(SHORT.to_owned()));
    assert_eq!(told(&set("yarn", Some(2), "name", json!("x"), json!("y"))), Err("no-such-place"));
    assert_eq!(
        apply("title = ", &set("", None, "title", json!(null), json!("x"))).map_err(|d| d.id),
        Err("broken-notation")
    );
}

#[test]
fn yarns_come_go_and_change_their_places_with_their_own_comments() {
    let after = done(&Change::Order { section: "yarn".into(), order: vec![1, 0] });
    assert!(after.contains("# ---- Yarns ----\n\n[[yarn]]\nkey = \"B\""), "{after}");
    assert!(after.contains("\n# the pale one\n[[yarn]]\nkey = \"A\"   # a"), "{after}");
    assert_eq!(apply(&after, &Change::Order { section: "yarn".into(), order: vec![1, 0] }).expect("back"), SHORT);
    let after = done(&Change::Remove { section: "yarn".into(), item: 0 });
    assert!(after.contains("# ---- Yarns ----\n\n[[yarn]]\nkey = \"B\"") && !after.contains("the pale one"), "{after}");
    let values = vec![("key".to_owned(), json!("C")), ("name".to_owned(), json!("clay"))];
    let after = done(&Change::Add { section: "yarn".into(), values });
    assert!(
        after.contains("\"#336699\"\n\n[[yarn]]\nkey = \"C\"\nname = \"clay\"\n\n# ---- Cord ----\n[cord]"),
        "{after}"
    );
    for order in [vec![0], vec![0, 0], vec![0, 1, 2], vec![1, 2]] {
        assert!(apply(SHORT, &Change::Order { section: "yarn".into(), order }).is_err());
    }
}

#[test]
fn yarns_in_one_line_are_changed_in_that_line() {
    let text = "yarn = [{ key = \"A\", name = \"a\" }, { key = \"B\" }]\n";
    let after = apply(text, &set("yarn", Some(0), "name", json!("a"), json!("b"))).expect("changed");
    assert_eq!(after, "yarn = [{ key = \"A\", name = \"b\" }, { key = \"B\" }]\n");
    let after = apply(text, &Change::Order { section: "yarn".into(), order: vec![1, 0] }).expect("changed");
    assert_eq!(values(&after).expect("TOML")["yarn"][0]["key"], "B");
    let after = apply(text, &Change::Remove { section: "yarn".into(), item: 1 }).expect("changed");
    assert_eq!(values(&after).expect("TOML")["yarn"].as_array().map(Vec::len), Some(1));
}

#[test]
fn line_endings_and_a_mark_are_kept_and_nothing_else_changes() {
    let starter = crate::project::schema::STARTER.replace("{date}", "2026-01-01");
    for text in [starter.clone(), starter.replace('\n', "\r\n"), format!("\u{feff}{starter}")] {
        let same = set("cord", None, "diameter", json!("3 mm"), json!("3 mm"));
        assert_eq!(apply(&text, &same).expect("read"), text);
        let other = set("cord", None, "diameter", json!("3 mm"), json!("4 mm"));
        let after = apply(&text, &other).expect("changed");
        assert_eq!(differing(&text, &after).len(), 1);
        let back = set("cord", None, "diameter", json!("4 mm"), json!("3 mm"));
        assert_eq!(apply(&after, &back).expect("back"), text);
    }
}

/// Own random forms: any change of any key leaves every other value as it was.
#[test]
fn every_other_value_stays_whatever_is_changed() {
    let starter = crate::project::schema::STARTER.replace("{date}", "2026-01-01");
    let before = values(&starter).expect("TOML");
    let mut random = fastrand::Rng::with_seed(3);
    let texts = ["x", "", "a\nb", "ü # no comment", "'\"\\", "[x]", "\u{1f9f6}"];
    for _ in 0..200 {
        let (section, item) =
            [("", None), ("cord", None), ("yarn", Some(1)), ("pace", None), ("shop", None)][random.usize(0..5)];
        let key = ["brand", "colour", "length", "words"][random.usize(0..4)];
        let now = match item {
            Some(item) => before[section][item][key].clone(),
            None if section.is_empty() => before[key].clone(),
            None => before[section][key].clone(),
        };
        let to = [json!(texts[random.usize(0..texts.len())]), json!(random.i64(-9..9)), json!([1, 2])]
            [random.usize(0..3)]
        .clone();
        let after = apply(&starter, &set(section, item, key, now.clone(), to.clone())).expect("changed");
        let mut wanted = before.clone();
        match item {
            Some(item) => wanted[section][item][key] = to,
            None if section.is_empty() => wanted[key] = to,
            None => {
                if wanted[section].is_null() {
                    wanted[section] = json!({});
                }
                wanted[section][key] = to;
            }
        }
        assert_eq!(values(&after).expect("TOML"), wanted);
        // Every comment is still there.
        let comments = |text: &str| text.lines().filter(|line| line.starts_with('#')).count();
        assert_eq!(comments(&after), comments(&starter));
    }
}

#[test]
fn yarns_are_read_in_order() {
    let yarns = yarns(SHORT).expect("yarns");
    let read: Vec<(char, &str, String)> =
        yarns.iter().map(|y| (y.letter, y.name.as_str(), y.colour.to_hex())).collect();
    assert_eq!(read, [('A', "sand", "#d8b26e".to_owned()), ('B', "sea", "#336699".to_owned())]);
    assert_eq!(super::yarns("[[yarn]]\nkey = \"AB\"\n"), None);
}

#[test]
fn a_line_is_about_the_field_it_stands_in() {
    let at = |line| field_at(SHORT, line).map(|p| (p.section, p.item, p.key));
    let place = |section: &str, item, key: &str| Some((section.to_owned(), item, key.to_owned()));
    assert_eq!(at(1), None);
    assert_eq!(at(3), place("", None, "title"));
    assert_eq!(at(11), place("yarn", Some(0), "name"));
    assert_eq!(at(16), place("yarn", Some(1), "name"));
    assert_eq!(at(20), place("cord", None, ""));
    assert_eq!(at(21), place("cord", None, "diameter"));
}

#[test]
fn a_key_is_letters_figures_strokes_and_nothing_else() {
    let key = |line: &str| field_at(line, 1).map(|place| place.key);
    for known in ["a_b", "twenty-knots", "k2"] {
        assert_eq!(key(&format!("{known} = 1")).as_deref(), Some(known));
    }
    for other in ["a b = 1", "\"a\" = 1", "= 1", "a.b = 1"] {
        assert_eq!(key(other), None, "{other}");
    }
}
