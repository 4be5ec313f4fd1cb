//! What is said where something is wrong, told from outside: one fault for one slip, with its place and its remedy, and the
//! exit code that belongs to it.

use crate::support::{Ran, Room};

fn boat() -> Room {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat"]).code, 0);
    room
}

/// `check` on the starter with one change.
fn checked(from: &str, to: &str) -> Ran {
    let room = boat();
    let project = std::fs::read_to_string(room.path().join("boat/project.toml")).expect("a project");
    assert!(project.contains(from), "the starter says `{from}`");
    room.write("boat/project.toml", project.replace(from, to));
    room.run(&["check", "boat"])
}

fn faults(ran: &Ran) -> usize {
    ran.err.matches("fault[").count()
}

#[test]
fn a_section_that_is_there_several_times_is_one_fault_with_the_way_to_write_a_list() {
    let ran = checked("[[yarn]]", "[yarn]");
    assert_eq!((ran.code, faults(&ran)), (1, 1), "{}", ran.err);
    assert!(ran.err.contains("write `[[yarn]]` above each"), "{}", ran.err);
}

#[test]
fn two_equals_signs_are_one_fault_at_their_place() {
    let ran = checked("\ntitle = ", "\ntitle == ");
    assert_eq!((ran.code, faults(&ran)), (1, 1), "{}", ran.err);
    assert!(ran.err.contains("two equals signs") && ran.err.contains("project.toml:"), "{}", ran.err);
}

#[test]
fn a_letter_that_no_face_has_is_told_once_with_its_line() {
    let ran = checked("\ntitle = \"", "\n# \u{4f60}\ntitle = \"\u{4f60}\u{4f60} ");
    assert_eq!((ran.code, faults(&ran)), (1, 1), "{}", ran.err);
    assert!(ran.err.contains("no-such-glyph") && ran.err.contains("title = "), "{}", ran.err);
}

#[test]
fn signs_that_steer_a_terminal_or_a_line_never_reach_either() {
    for sign in ["\u{1b}[31m", "\u{9b}", "\u{202e}", "\u{2066}"] {
        let ran = checked("\ntitle = \"", &format!("\ntitle = \"{sign}"));
        assert_eq!(ran.code, 1, "{sign:?}: {}", ran.err);
        assert!(!ran.err.contains(sign), "{sign:?} came through: {:?}", ran.err);
        assert!(ran.err.chars().all(|c| c == '\n' || !c.is_control()), "{sign:?}: {:?}", ran.err);
    }
}

#[test]
fn a_file_that_cannot_be_read_is_told_with_its_name_and_a_remedy() {
    let room = boat();
    let made = room.run(&["compose", "boat", "--edition", "materials", "-o", "whole.pdf"]);
    assert_eq!(made.code, 0, "{}", made.err);
    let whole = std::fs::read(room.path().join("whole.pdf")).expect("a file");
    room.write("cut.pdf", &whole[..whole.len() / 2]);
    room.write("text.pdf", "a letter to a friend");
    for (file, what, remedy) in [("cut.pdf", "cut off", "copy it again"), ("text.pdf", "no PDF", "compose` wrote")] {
        for typed in [&["proof", "boat", file][..], &["impose", file], &["copies", file, "--buyers", "list.csv"]] {
            room.write("list.csv", "name,order\nAda,1\n");
            let ran = room.run(typed);
            assert_eq!(ran.code, 1, "{typed:?}: {}", ran.err);
            let said = format!("{}{}", ran.out, ran.err);
            assert!(said.contains(file) && said.contains(what) && said.contains(remedy), "{typed:?}: {said}");
            assert!(!said.contains("cross reference") && !said.contains("parse"), "{typed:?}: {said}");
        }
    }
}

#[test]
fn what_was_typed_wrongly_ends_with_the_code_for_it_everywhere() {
    let room = boat();
    for typed in [
        &["frobnicate"][..],
        &["compose", "boat", "--paper", "a9"],
        &["compose", "boat", "--language", "xx"],
        &["compose", "boat", "--papr", "a4"],
        &["chart-from", "boat/chart.txt", "--crop", "-10,0,5,5"],
        &["chart-from", "boat/chart.txt", "--yarns", "1000"],
        &["chart-from", "boat/chart.txt", "--width", "wide"],
        &["amounts", "boat", "--students", "0"],
        &["impose", "boat/chart.txt", "--sheet", "a99"],
        &["check", "boat/chart.txt"],
        &["check", "boat", "--size", "huge"],
        &["compose", "boat", "--colourway", "none"],
        &["listing", "boat", "--size", "huge"],
        &["shop", "boat", "--language", "xx", "-o", "shop"],
        &["copies", "boat/chart.txt", "--name", "\u{202e}"],
        &["pictures", "boat", "--watermark", "\u{9b}", "-o", "drawn"],
    ] {
        let ran = room.run(typed);
        assert_eq!(ran.code, 2, "{typed:?}: {}", ran.err);
        assert!(!ran.err.is_empty(), "{typed:?}");
    }
    // Nothing where something is needed, too much, an option that there is not, and one without its value.
    for command in ["new", "proof", "impose", "copies", "shop", "chart-from", "completions", "manual"] {
        assert_eq!(room.run(&[command]).code, 2, "{command}");
    }
    for command in [
        "board",
        "new",
        "check",
        "compose",
        "proof",
        "amounts",
        "impose",
        "copies",
        "listing",
        "pictures",
        "chart-from",
        "completions",
        "manual",
    ] {
        assert_eq!(room.run(&[command, "a", "b", "c"]).code, 2, "{command}");
    }
    for command in
        ["board", "new", "check", "compose", "proof", "amounts", "impose", "copies", "shop", "listing", "pictures"]
    {
        assert_eq!(room.run(&[command, "boat", "--frobnicate"]).code, 2, "{command}");
        assert_eq!(room.run(&[command, ""]).code, 2, "{command}");
    }
    for typed in [["compose", "boat", "--paper"], ["shop", "boat", "--language"], ["copies", "boat.pdf", "--buyers"]] {
        assert_eq!(room.run(&typed).code, 2, "{typed:?}");
    }
}

#[test]
fn a_buyers_name_with_odd_signs_is_one_fault_that_says_which() {
    let room = boat();
    assert_eq!(room.run(&["compose", "boat", "--edition", "materials", "--paper", "a5", "-o", "boat.pdf"]).code, 0);
    let of = |name: &str| room.run(&["copies", "boat.pdf", "--name", name, "-o", "copies"]);
    // Steers a terminal, turns a line, is seen by nobody.
    for sign in ["\u{1b}[31m", "\u{9b}", "\u{202e}", "\u{2066}", "\u{200b}", "\u{ad}", "\u{e0041}"] {
        let ran = of(&format!("A{sign}da"));
        let code = format!("U+{:04X}", u32::from(sign.chars().next().expect("one")));
        assert_eq!((ran.code, faults(&ran)), (2, 1), "{sign:?}: {}", ran.err);
        assert!(ran.err.contains(&code) && ran.err.contains("take it out"), "{sign:?}: {}", ran.err);
        assert!(!ran.err.contains(sign), "{sign:?} came through: {:?}", ran.err);
    }
    for (name, id, hint) in [
        ("\u{674e}\u{5c0f}\u{9f8d}", "no-such-glyph", "Latin, Greek or Cyrillic"),
        ("\u{5e2}\u{5d3}\u{5d4}", "right-to-left-text", "Latin, Greek or Cyrillic"),
    ] {
        let ran = of(name);
        assert_eq!((ran.code, faults(&ran)), (1, 1), "{name}: {}", ran.err);
        assert!(name.chars().all(|c| ran.err.contains(&format!("U+{:04X}", u32::from(c)))), "{name}: {}", ran.err);
        assert!(ran.err.contains(id) && ran.err.contains(hint) && !ran.err.contains("layout"), "{name}: {}", ran.err);
    }
    // Names that are told apart by letters alone that no file system takes have files of their own.
    room.write("list.csv", "name\n...\n\u{2014}\nAda\nada\n\u{c1}da\n../..\n");
    let ran = room.run(&["copies", "boat.pdf", "--buyers", "list.csv", "-o", "copies"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let pdfs = room.files().into_iter().filter(|(path, _)| path.to_string_lossy().contains("copies/boat")).count();
    assert_eq!(pdfs, 6, "{}", ran.err);
    room.write("list.csv", "name,order\n");
    let ran = room.run(&["copies", "boat.pdf", "--buyers", "list.csv"]);
    assert!(ran.code == 1 && ran.err.contains("empty-list") && ran.err.contains("list.csv"), "{}", ran.err);
}

#[test]
fn the_notation_is_told_in_whole_words_of_the_makers() {
    let ran = checked("\ntitle = ", "\n# \u{1b}[31m\ntitle = ");
    assert_eq!((ran.code, faults(&ran)), (1, 1), "{}", ran.err);
    assert!(ran.err.contains("U+001B") && !ran.err.contains("heading characters"), "{}", ran.err);
}

#[test]
fn a_file_that_is_no_pdf_is_told_once_and_nothing_is_said_of_comparing() {
    let room = boat();
    room.write("text.pdf", "a letter to a friend");
    let ran = room.run(&["proof", "boat", "text.pdf"]);
    assert_eq!((ran.code, faults(&ran)), (1, 1), "{}", ran.err);
    assert!(!ran.err.contains("compared") && !ran.err.contains("--edition"), "{}", ran.err);
}

#[test]
fn one_of_a_kind_is_said_as_one() {
    let room = boat();
    let project = std::fs::read_to_string(room.path().join("boat/project.toml")).expect("a project");
    room.write("boat/chart.txt", "N\nC\nN\nR\n");
    let ran = room.run(&["check", "boat"]);
    let said = format!("{}{}", ran.out, ran.err);
    assert!(said.contains("1 column, 4 rows, 4 knots"), "{project}\n{said}");
    room.write("boat/chart.txt", "NN\nC\nRR\nNN\n");
    let ran = room.run(&["check", "boat"]);
    assert!(ran.err.contains("row 2 has 1 cell, most rows have 2"), "{}", ran.err);
    let ran = room.run(&["amounts", "boat"]);
    assert!(!ran.out.contains("1 columns") && !ran.err.contains("1 columns"), "{}{}", ran.out, ran.err);
}

#[test]
fn the_one_fault_stands_before_all_advice() {
    let ran = checked("\ntitle = ", "\ntitel = ");
    let places: Vec<usize> = ["fault[", "advice["].iter().filter_map(|word| ran.err.find(word)).collect();
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(places.is_sorted() && ran.err.starts_with("fault["), "{}", ran.err);
    // A look that cannot be read, in a project that is advised of much.
    let ran = checked("\n[[yarn]]", "\n[print]\nlayout = \"none.toml\"\n\n[[yarn]]");
    let (fault, advice) = (ran.err.rfind("fault["), ran.err.find("advice["));
    assert!(fault.is_some() && advice.is_none_or(|advice| fault < Some(advice)), "{}", ran.err);
}

#[test]
fn a_word_within_another_is_no_misspelling_of_it() {
    // Two letters of three are another word, and so is what only lies within a known one.
    for (key, never) in
        [("cord-kind-of-mine", "cord"), ("titles-of-my-own", "title"), ("a", "date"), ("maker-of-things", "maker")]
    {
        let ran = checked("\ntitle = ", &format!("\n{key} = \"x\"\ntitle = "));
        assert_eq!((ran.code, faults(&ran)), (1, 1), "{key}: {}", ran.err);
        assert!(!ran.err.contains(&format!("did you mean `{never}`")), "{key}: {}", ran.err);
    }
    let ran = checked("\ntitle = ", "\ntitel = ");
    assert!(ran.err.contains("did you mean `title`"), "{}", ran.err);
}

#[cfg(unix)]
#[test]
fn names_of_files_never_steer_a_terminal() {
    let room = boat();
    for sign in ["\u{1b}[31m", "\u{9b}31m", "\u{202e}"] {
        let name = format!("boat{sign}x");
        std::fs::rename(room.path().join("boat"), room.path().join(&name)).expect("another name");
        for typed in [
            &["check", &name][..],
            &["compose", &name, "-o", &format!("{name}.pdf")],
            &["proof", &name, &format!("{name}.pdf")],
            &["proof", &name, &format!("{name}-none.pdf")],
            &["impose", &format!("{name}-none.pdf")],
            &["copies", &format!("{name}-none.pdf"), "--buyers", &format!("{name}.csv")],
            &["amounts", &format!("{name}-none")],
            &["chart-from", &format!("{name}.png"), "-o", "new"],
            &["new", &name],
            &["compose", "--frob", &name],
        ] {
            let ran = room.run(typed);
            let said = format!("{}{}", ran.out, ran.err);
            let is_plain = |c: char| c == '\n' || c == '\t' || !(c.is_control() || c == '\u{202e}');
            assert!(said.chars().all(is_plain), "{typed:?}: {said:?}");
        }
        std::fs::rename(room.path().join(&name), room.path().join("boat")).expect("its name");
    }
}

/// A file with a password: the entries of ISO 32000-1, 7.6.3.2, with strings of no meaning.
fn locked() -> Vec<u8> {
    let strange = "7b".repeat(32);
    let objects = [
        "<</Type/Catalog/Pages 2 0 R>>".to_owned(),
        "<</Type/Pages/Kids[]/Count 0>>".to_owned(),
        format!("<</Filter/Standard/V 1/R 2/O<{strange}>/U<{strange}>/P -44>>"),
    ];
    let mut file = "%PDF-1.4\n".to_owned();
    let mut table = "xref\n0 4\n0000000000 65535 f \n".to_owned();
    for (at, object) in objects.iter().enumerate() {
        table.push_str(&format!("{:010} 00000 n \n", file.len()));
        file.push_str(&format!("{} 0 obj\n{object}\nendobj\n", at + 1));
    }
    let start = file.len();
    let trailer = "trailer\n<</Size 4/Root 1 0 R/Encrypt 3 0 R/ID[<0123456789abcdef><0123456789abcdef>]>>";
    format!("{file}{table}{trailer}\nstartxref\n{start}\n%%EOF\n").into_bytes()
}

#[test]
fn a_file_with_a_password_is_told_with_its_name_and_a_remedy() {
    let room = boat();
    room.write("locked.pdf", locked());
    room.write("list.csv", "name,order\nAda,1\n");
    for typed in [
        &["proof", "boat", "locked.pdf"][..],
        &["impose", "locked.pdf"],
        &["copies", "locked.pdf", "--buyers", "list.csv"],
    ] {
        let ran = room.run(typed);
        let said = format!("{}{}", ran.out, ran.err);
        assert_eq!(ran.code, 1, "{typed:?}: {said}");
        assert!(said.contains("locked.pdf") && said.contains("password"), "{typed:?}: {said}");
    }
}
