//! Licensed copies: each whole, each with its own line and no other's, and nothing else of the booklet changed.

use crate::support::Room;
use hitchpress::compose::licence_line;
use hitchpress::font::FontBook;
use hitchpress::pdf::copies::{Master, file_name};
use std::collections::BTreeMap;

fn boat() -> (Room, String) {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    let ran = room.run(&["compose", "boat", "-o", "boat.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let booklet = room.path().join("boat.pdf").display().to_string();
    (room, booklet)
}

#[test]
fn every_buyer_gets_a_copy_that_proves_and_a_broken_line_stops_no_other() {
    let (room, booklet) = boat();
    room.write("list.csv", "name,order\nÄnne Öhlers,1041\n,1042\nПётр Иванов,1043\n東京,1044\nÄnne Öhlers,1041\n");
    let ran = room.run(&["copies", &booklet, "--buyers", "list.csv", "-o", "out"]);
    // A line without a name and a name in a script that no shipped face has.
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("list.csv:3") && ran.err.contains("list.csv:5"), "{}", ran.err);
    assert!(ran.err.contains("written: 3 of 4 copies"), "{}", ran.err);
    let mut names: Vec<String> = std::fs::read_dir(room.path().join("out"))
        .expect("a folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    let expected =
        ["MANIFEST.toml", "boat-anne-ohlers-1041-2.pdf", "boat-anne-ohlers-1041.pdf", "boat-piotr-ivanov-1043.pdf"];
    assert_eq!(names, expected);
    let manifest: toml::Value = std::fs::read_to_string(room.path().join("out/MANIFEST.toml"))
        .expect("a manifest")
        .parse::<toml::Table>()
        .expect("TOML")
        .into();
    assert_eq!(manifest["copy"].as_array().map(Vec::len), Some(3));
    for name in names.iter().filter(|name| name.ends_with(".pdf")) {
        let ran = room.run(&["proof", "boat", &format!("out/{name}")]);
        assert_eq!(ran.code, 0, "{name}: {}", ran.err);
        let bytes = std::fs::read(room.path().join("out").join(name)).expect("a copy");
        let text = String::from_utf8_lossy(&bytes);
        let own = if name.contains("anne") {
            "Licensed to Änne Öhlers, order 1041."
        } else {
            "Licensed to Пётр Иванов, order 1043."
        };
        assert_eq!(text.matches("Licensed to").count(), 1, "{name}");
        assert!(text.contains(own), "{name}");
    }
}

#[test]
fn a_copy_is_the_booklet_with_one_line_more() {
    let (_room, booklet) = boat();
    let before = std::fs::read(&booklet).expect("a booklet");
    let master = Master::open(&before).expect("a booklet of ours");
    let book = FontBook::shipped();
    let set = licence_line::set("Licensed to Ada Fernley.", master.room(), &book, "en-GB").expect("it has room");
    let copy = master.copy(&set, &book, "Licensed to Ada Fernley.").expect("a copy");
    // The same copy twice has the same bytes.
    assert!(copy == master.copy(&set, &book, "Licensed to Ada Fernley.").expect("a copy"));
    let (before, after) =
        (lopdf::Document::load_mem(&before).expect("a file"), lopdf::Document::load_mem(&copy).expect("a file"));
    assert_eq!(before.get_pages().len(), after.get_pages().len());
    for (number, page) in before.get_pages() {
        let content = |document: &lopdf::Document, page| document.get_page_content(page);
        assert!(content(&before, page) == content(&after, after.get_pages()[&number]), "page {number}");
    }
    // Once in the file, however many pages show it.
    assert!(!copy.windows(5).any(|w| w == b"/Prev"), "appended to");
    assert!(copy.len() < std::fs::metadata(&booklet).expect("a file").len() as usize + 20_000);
}

#[test]
fn a_name_that_is_too_wide_is_told_and_no_copy_made() {
    let (room, booklet) = boat();
    room.write("list.csv", format!("name\n{}\nAda\n", "Wilhelmina ".repeat(25)));
    let ran = room.run(&["copies", &booklet, "--buyers", "list.csv"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("line-too-long") && ran.err.contains("list.csv:2"), "{}", ran.err);
    assert!(room.path().join("boat-copies/boat-ada.pdf").is_file());
    assert_eq!(std::fs::read_dir(room.path().join("boat-copies")).expect("a folder").count(), 2);
}

#[test]
fn other_files_are_refused_and_nothing_is_written() {
    let (room, booklet) = boat();
    room.write("list.csv", "name\nAda\n");
    room.write("note.pdf", "a shopping list");
    // Sheets are no booklet any more.
    assert_eq!(room.run(&["impose", &booklet, "--lay", "pages", "-o", "sheets.pdf"]).code, 0);
    for (file, id) in [("note.pdf", "unreadable-pdf"), ("sheets.pdf", "no-licence-line")] {
        let before = room.files().len();
        let ran = room.run(&["copies", file, "--buyers", "list.csv"]);
        assert_eq!(ran.code, 1);
        assert!(ran.err.contains(id), "{}", ran.err);
        assert_eq!(room.files().len(), before);
    }
    let ran = room.run(&["copies", &booklet, "--buyers", "nobody.csv"]);
    assert_ne!(ran.code, 0);
}

#[test]
fn one_copy_goes_to_standard_output_and_nothing_is_kept() {
    let (room, booklet) = boat();
    let copy = |name: &str, order: &str| {
        std::process::Command::new(env!("CARGO_BIN_EXE_hitchpress"))
            .args(["copies", &booklet, "--name", name, "--order", order, "-o", "-"])
            .current_dir(room.path())
            .output()
            .expect("the program starts")
    };
    let before = room.files();
    let (one, again) = (copy("Änne Öhlers", "1041"), copy("Änne Öhlers", "1041"));
    assert!(one.status.success() && one.stderr.is_empty(), "{}", String::from_utf8_lossy(&one.stderr));
    assert!(one.stdout.starts_with(b"%PDF-1.7") && one.stdout == again.stdout);
    assert!(room.files() == before, "something was written");
    // The same copy as out of a list.
    room.write("list.csv", "name,order\nÄnne Öhlers,1041\n");
    assert_eq!(room.run(&["copies", &booklet, "--buyers", "list.csv", "-o", "out"]).code, 0);
    let listed = std::fs::read(room.path().join("out/boat-anne-ohlers-1041.pdf")).expect("a copy");
    assert!(listed == one.stdout);
    room.write("copy.pdf", &one.stdout);
    let ran = room.run(&["proof", "boat", "copy.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    // Many at the same time are each their own.
    let names: Vec<String> = (0..8).map(|at| format!("Buyer {at}")).collect();
    let copies: Vec<Vec<u8>> = std::thread::scope(|scope| {
        let runs: Vec<_> = names.iter().map(|name| scope.spawn(|| copy(name, "1").stdout)).collect();
        runs.into_iter().map(|run| run.join().expect("a run")).collect()
    });
    for (name, bytes) in names.iter().zip(&copies) {
        assert!(String::from_utf8_lossy(bytes).contains(&format!("Licensed to {name}, order 1.")), "{name}");
    }
    for (name, code, id) in [("", 2, "broken-line"), ("a\u{202e}b", 2, "broken-line"), ("東京", 1, "no-such-glyph")] {
        let ran = copy(name, "1");
        let said = String::from_utf8_lossy(&ran.stderr).into_owned();
        assert!(ran.status.code() == Some(code) && said.contains(id) && ran.stdout.is_empty(), "{said}");
    }
    let ran = room.run(&["copies", &booklet, "--buyers", "list.csv", "-o", "-"]);
    assert!(ran.code == 2 && ran.err.contains("many-copies"), "{}", ran.err);
    // Without "-" the one buyer's copy lies in a folder, as those of a list do.
    assert_eq!(room.run(&["copies", &booklet, "--name", "Ada", "-o", "out"]).code, 0);
    assert!(room.path().join("out/boat-ada.pdf").is_file());
}

#[test]
fn names_of_files_are_good_on_every_system() {
    let mut taken = BTreeMap::new();
    let mut name = |stem: &str, parts: &[&str]| file_name(stem, parts, &mut taken);
    assert_eq!(name("boat", &["Jo/../..\\ \"Hitch\": Marrow?", "#7"]), "boat-jo-hitch-marrow-7.pdf");
    assert_eq!(name("boat", &["JO HITCH MARROW", "7"]), "boat-jo-hitch-marrow-7-2.pdf");
    assert_eq!(name("CON", &[""]), "copy.pdf");
    assert_eq!(name("\u{e000}", &["…", ""]), "copy-2.pdf");
    assert_eq!(name("boat", &["Łucja Ó Murchú", ""]), "boat-lucja-o-murchu.pdf");
    // A number that tells two buyers of one name apart may be another buyer's own.
    let three = [name("boat", &["Jo", ""]), name("boat", &["Jo", "2"]), name("boat", &["Jo", ""])];
    assert_eq!(three, ["boat-jo.pdf", "boat-jo-2.pdf", "boat-jo-3.pdf"]);
    let three = [name("boat", &["Al", ""]), name("boat", &["Al", ""]), name("boat", &["Al", "2"])];
    assert_eq!(three, ["boat-al.pdf", "boat-al-2.pdf", "boat-al-2-2.pdf"]);
    assert!(name("boat", &[&"long ".repeat(200), ""]).len() < 140);
}

#[test]
fn copies_of_a_booklet_in_a_folder_for_a_shop_stand_beside_that_folder() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    room.finish("boat");
    // Pictures are not what this is about.
    let shop = ["shop", "boat", "--edition", "booklet", "--paper", "a5", "--width", "200", "-o", "shelf"];
    assert_eq!(room.run(&shop).code, 0);
    let folders = std::fs::read_dir(room.path().join("shelf")).expect("a folder");
    let folder = folders.map(|e| e.expect("an entry").path()).find(|path| path.is_dir()).expect("a shop folder");
    let files = std::fs::read_dir(folder.join("upload")).expect("a folder").map(|e| e.expect("an entry").path());
    let booklet = files.into_iter().find(|path| path.extension().is_some_and(|e| e == "pdf")).expect("a booklet");
    room.write("list.csv", "name,order\nJo,1\n");
    let ran = room.run(&["copies", &booklet.display().to_string(), "--buyers", "list.csv"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let stem = booklet.file_stem().expect("a name").to_string_lossy().into_owned();
    assert!(room.path().join("shelf").join(format!("{stem}-copies")).is_dir(), "{}", ran.err);
    room.finish("boat");
    assert_eq!(room.run(&shop).code, 0);
}
