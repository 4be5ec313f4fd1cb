//! The whole of a file is compared with the one that the project makes: whatever one thing is changed in it, on pages or
//! behind them, is found; and a file that another program has saved again, or a licensed copy, is no false alarm.

mod corruptions;

use crate::support::{Ran, Room};
use corruptions::ALL;
use hitchpress::proof::compare;
use lopdf::Document;

/// Corruptions of each edition, unless `HITCHPRESS_CORRUPTIONS` says otherwise.
const EACH: usize = 56;
const EDITIONS: [&str; 4] = ["booklet", "chart", "large-print", "materials"];

fn saved(document: &mut Document) -> Vec<u8> {
    let mut bytes = Vec::new();
    document.save_to(&mut bytes).expect("the file is written");
    bytes
}

fn boat(edition: &str) -> (Room, Vec<u8>) {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    let ran = room.run(&["compose", "boat", "--edition", edition, "-o", "boat.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let bytes = std::fs::read(room.path().join("boat.pdf")).expect("the file");
    (room, bytes)
}

#[test]
#[ignore = "dear: .ci/run runs it with --ignored"]
fn whatever_one_thing_is_changed_in_a_file_is_found() {
    let each = std::env::var("HITCHPRESS_CORRUPTIONS").ok().map(|n| n.parse().expect("a number")).unwrap_or(EACH);
    let mut random = fastrand::Rng::with_seed(20_261_128);
    let (mut done, mut kinds) = (0, std::collections::BTreeSet::new());
    let mut let_by = Vec::new();
    for edition in EDITIONS {
        let (_room, bytes) = boat(edition);
        let opened = Document::load_mem(&bytes).expect("a PDF");
        // Written by another writer and otherwise the same.
        let comparison = compare(&saved(&mut opened.clone()), &bytes);
        assert!(comparison.holds() && comparison.objects > 0, "{edition}: {:#?}", comparison.findings);
        let mut here = 0;
        for (name, corrupt) in ALL.iter().cycle().take(20 * each) {
            if here == each {
                break;
            }
            let mut document = opened.clone();
            // Not every edition has everything.
            if !corrupt(&mut document, &mut random) {
                continue;
            }
            here += 1;
            kinds.insert(*name);
            let comparison = compare(&saved(&mut document), &bytes);
            if comparison.holds() {
                let_by.push(format!("{edition}: {name}"));
            }
        }
        done += here;
    }
    eprintln!("{done} corruptions of {} kinds, {} let by", kinds.len(), let_by.len());
    assert_eq!(kinds.len(), ALL.len(), "kinds that no edition has: {kinds:?}");
    assert!(let_by.is_empty(), "{let_by:#?}");
}

#[test]
fn a_difference_is_told_with_its_page_and_in_plain_words() {
    let (room, bytes) = boat("booklet");
    let opened = Document::load_mem(&bytes).expect("a PDF");
    let pages = opened.get_pages().len();
    let proof = |corrupt: &str, wanted: &[&str]| {
        let mut document = opened.clone();
        let mut random = fastrand::Rng::with_seed(1);
        let (_, change) = ALL.iter().find(|(name, _)| *name == corrupt).expect("a kind");
        assert!(change(&mut document, &mut random), "{corrupt}");
        room.write("bad.pdf", saved(&mut document));
        let ran = room.run(&["proof", "boat", "bad.pdf"]);
        assert_eq!(ran.code, 1, "{corrupt}: {}", ran.err);
        wanted.iter().for_each(|words| assert!(ran.err.contains(words), "{corrupt}: no `{words}` in {}", ran.err));
    };
    proof("a page deleted", &["page-missing", "what should be page", "`bad.pdf`"]);
    proof("pages reversed", &["page-moved", "stands here"]);
    proof("a stamp laid over", &["page ", "a stamp at", "should not be there"]);
    proof("a box ticked", &["the state, ticked or not"]);
    proof("a script on opening", &["something happens by itself"]);
    proof("a page turned", &["size, cut or turn of the page"]);
    proof("another language", &["the language of the file is another: `Lang` is"]);
    assert!(pages > 3);
}

fn holds(ran: &Ran, words: &str) {
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains(words), "{}", ran.err);
}

#[test]
fn a_file_says_how_it_was_made_and_is_proofed_without_options() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    let same = "the same, byte for byte";
    for options in [
        &["--edition", "chart", "--paper", "a5", "--ink", "full"][..],
        &["--edition", "materials", "--language", "de-DE", "--units", "imperial", "--students", "7"],
        &["--pages", "facing", "--first-row-from", "right", "--look", "workshop", "--paper", "letter"],
    ] {
        assert_eq!(room.run(&[&["compose", "boat", "-o", "boat.pdf"], options].concat()).code, 0);
        holds(&room.run(&["proof", "boat", "boat.pdf"]), same);
    }
    // What is typed goes first.
    assert_eq!(room.run(&["proof", "boat", "boat.pdf", "--paper", "a4"]).code, 1);
    // Of another version nothing is said but what the pages say.
    let bytes = std::fs::read(room.path().join("boat.pdf")).expect("the file");
    let mut document = Document::load_mem(&bytes).expect("a PDF");
    assert!(corruptions::another_version(&mut document));
    room.write("old.pdf", saved(&mut document));
    let ran = room.run(&["proof", "boat", "old.pdf"]);
    holds(&ran, "not compared with the file that the project makes: the file was made by version 0.0.1");
    assert!(ran.err.contains("read page by page"), "{}", ran.err);
}

#[test]
fn licensed_copies_and_sheets_are_proofed_as_what_they_are() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    assert_eq!(room.run(&["compose", "boat", "--paper", "a5", "-o", "boat.pdf"]).code, 0);
    room.write("list.csv", "name,order\nAda Fernley & Söhne,17\n");
    assert_eq!(room.run(&["copies", "boat.pdf", "--buyers", "list.csv", "-o", "out"]).code, 0);
    let copy = "out/boat-ada-fernley-sohne-17.pdf";
    let ran = room.run(&["proof", "boat", copy]);
    holds(&ran, "a licensed copy, `Licensed to Ada Fernley & Söhne, order 17.");
    holds(&ran, "the same, byte for byte");
    for (file, options) in [
        ("boat.pdf", &["--lay", "fold", "--paper-thickness", "0.1 mm"][..]),
        ("boat.pdf", &["--lay", "flat", "--sheet", "a3"]),
        (copy, &["--lay", "fold", "--sides", "backs"]),
    ] {
        let ran = room.run(&[&["impose", file, "-o", "sheets.pdf"], options].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        let ran = room.run(&["proof", "boat", "sheets.pdf"]);
        if options.contains(&"backs") {
            assert!(ran.err.contains("the same, byte for byte"), "{}", ran.err);
        } else {
            holds(&ran, "the same, byte for byte");
        }
    }
    // A copy whose line says something else is none.
    let bytes = std::fs::read(room.path().join(copy)).expect("the copy");
    let mut document = Document::load_mem(&bytes).expect("a PDF");
    assert!(corruptions::another_line(&mut document));
    room.write("forged.pdf", saved(&mut document));
    assert_eq!(room.run(&["proof", "boat", "forged.pdf"]).code, 1);
}
