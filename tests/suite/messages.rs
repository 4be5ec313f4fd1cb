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
    ] {
        let ran = room.run(typed);
        assert_eq!(ran.code, 2, "{typed:?}: {}", ran.err);
        assert!(!ran.err.is_empty(), "{typed:?}");
    }
}
