//! `hitchpress shop`: what a folder holds, what changed since the last one, and that nothing is lost on the way.

mod killed;
pub mod pattern;

use crate::support::{Room, repository};
use pattern::{QUICK, Shelf, tiny};
use std::path::Path;

#[test]
fn a_folder_holds_what_was_asked_for_and_its_manifest_names_every_file() {
    let room = Room::new();
    tiny(&room, "tiny", "Tiny Boat");
    room.write("press.icc", crate::print_shop::press::profile());
    let typed = ["shop", "tiny", "--ink", "saving,full", "--paper", "letter,a4", "--edition", "booklet,chart"];
    let more = ["--width", "200", "--sheets", "a4", "--print-shop", "a5", "--profile", "press.icc"];
    let ran = room.run(&[&typed[..], &more[..]].concat());
    assert_eq!((ran.code, ran.out.as_str()), (0, ""), "{}", ran.err);
    assert!(ran.err.contains("the first folder of this pattern"), "{}", ran.err);
    let shelf = Shelf::whole(&room.path().join("tiny/tiny-boat-shop"));
    let pdfs: Vec<&str> = shelf.names().filter(|name| name.ends_with(".pdf")).collect();
    let wanted = [
        "upload/tiny-boat-booklet-letter.pdf",
        "upload/tiny-boat-booklet-letter-full.pdf",
        "upload/tiny-boat-booklet-a4.pdf",
        "upload/tiny-boat-booklet-a4-full.pdf",
        "upload/tiny-boat-chart-letter.pdf",
        "upload/tiny-boat-chart-letter-full.pdf",
        "upload/tiny-boat-chart-a4.pdf",
        "upload/tiny-boat-chart-a4-full.pdf",
        "upload/tiny-boat-booklet-a4-sheets.pdf",
        "keep/tiny-boat-booklet-a5-print-shop.pdf",
    ];
    assert_eq!(pdfs, wanted);
    for name in [
        "keep/amounts.csv",
        "keep/amounts.json",
        "upload/licence.txt",
        "keep/CHANGES.txt",
        "show/panel.png",
        "show/titles-and-tags.txt",
        "show/description.txt",
        "show/materials.txt",
        "show/materials.md",
    ] {
        assert!(shelf.names().any(|there| there == name), "{name}");
    }
    for name in wanted {
        let pages = lopdf::Document::load_mem(&shelf.read(name)).expect("a PDF").get_pages().len();
        assert_eq!(shelf.says(name, "pages"), Some(pages.to_string()), "{name}");
    }
    assert_eq!(shelf.says("upload/tiny-boat-chart-letter-full.pdf", "ink").as_deref(), Some("full"));
    assert_eq!(shelf.says("upload/tiny-boat-chart-letter-full.pdf", "edition").as_deref(), Some("chart"));
    assert_eq!(shelf.says("upload/tiny-boat-chart-letter-full.pdf", "paper").as_deref(), Some("letter"));
    assert_eq!(shelf.says("upload/tiny-boat-booklet-a4-sheets.pdf", "sheet").as_deref(), Some("a4"));
    assert_eq!(shelf.says("keep/tiny-boat-booklet-a5-print-shop.pdf", "for").as_deref(), Some("print-shop"));
    // The same files that the other commands make.
    let one =
        room.run(&["compose", "tiny", "--edition", "chart", "--paper", "letter", "--ink", "full", "-o", "one.pdf"]);
    assert_eq!(one.code, 0, "{}", one.err);
    assert!(
        shelf.read("upload/tiny-boat-chart-letter-full.pdf")
            == std::fs::read(room.path().join("one.pdf")).expect("a PDF")
    );
    for (format, name) in [("csv", "keep/amounts.csv"), ("json", "keep/amounts.json")] {
        assert_eq!(shelf.text(name), room.run(&["amounts", "tiny", "--format", format]).out, "{name}");
    }
    assert!(shelf.text("upload/licence.txt").contains("You may sell the panels you make from it."));
}

#[test]
fn without_a_word_every_edition_is_made_on_both_papers_and_the_section_shop_says_otherwise() {
    let room = Room::new();
    let project = tiny(&room, "tiny", "Tiny Boat");
    let ran = room.run(&["shop", "tiny", "--width", "200"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let shelf = Shelf::whole(&room.path().join("tiny/tiny-boat-shop"));
    let mut wanted = Vec::new();
    for edition in ["booklet", "chart", "large-print", "materials"] {
        wanted.extend(["a4", "letter"].map(|paper| format!("upload/tiny-boat-{edition}-{paper}.pdf")));
    }
    assert_eq!(shelf.names().filter(|name| name.ends_with(".pdf")).collect::<Vec<_>>(), wanted);
    let text = std::fs::read_to_string(&project).expect("the project");
    let section = "[shop]\neditions = [\"chart\"]\npapers = \"a5\"\ninks = [\"full\", \"full\"]\npicture-width = 240\n";
    std::fs::write(&project, format!("{text}{section}")).expect("written");
    let ran = room.run(&["shop", "tiny"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let shelf = Shelf::whole(&room.path().join("tiny/tiny-boat-shop"));
    let pdfs: Vec<&str> = shelf.names().filter(|name| name.ends_with(".pdf")).collect();
    assert_eq!(pdfs, ["upload/tiny-boat-chart-a5-full.pdf"]);
    let panel = hitchpress::picture::seen(&shelf.read("show/panel.png")).expect("a PNG");
    assert_eq!(panel.width, 240);
    // Chart and amounts are the same; files are not.
    let changes = shelf.text("keep/CHANGES.txt");
    assert!(changes.contains("- Chart, yarns and amounts are as they were.\n"), "{changes}");
    assert!(changes.contains("- Files with other contents: pictures.\n"), "{changes}");
    assert!(changes.contains("- New files: tiny-boat-chart-a5-full.pdf.\n"), "{changes}");
    assert!(changes.contains("- Files that are no longer made: tiny-boat-booklet-a4.pdf, "), "{changes}");
}

#[test]
fn the_same_project_gives_the_same_folder_and_a_changed_one_says_what_changed() {
    let room = Room::new();
    let project = tiny(&room, "tiny", "Tiny Boat");
    let typed = [&["shop", "tiny"][..], &QUICK].concat();
    assert_eq!(room.run(&typed).code, 0);
    let before = room.files();
    let again = room.run(&typed);
    assert!(again.code == 0 && again.err.contains("nothing changed since the last folder"), "{}", again.err);
    assert!(room.files() == before, "the same project gave another folder");
    // Elsewhere, with no folder before it, too.
    assert_eq!(room.run(&[&typed[..], &["-o", "elsewhere"]].concat()).code, 0);
    let folder = room.path().join("tiny/tiny-boat-shop");
    assert_eq!(Shelf::whole(&folder).all(), Shelf::whole(&room.path().join("elsewhere/tiny-boat-shop")).all());

    let chart = pattern::CHART.replacen("NNCCCNNN", "NNCCNNNN", 1);
    room.write("tiny/chart.txt", chart);
    let text = std::fs::read_to_string(&project).expect("the project");
    std::fs::write(&project, text.replace("\"3 mm\"", "\"4 mm\"")).expect("written");
    let ran = room.run(&typed);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("the version is still 1.0: raise it"), "{}", ran.err);
    let note = Shelf::whole(&folder).text("keep/CHANGES.txt");
    for line in [
        // Worked from the right, row 2 now begins with four of navy.
        "- Row 2, right to left, from column 8: 4 navy, 2 cream; was 3 navy, 3 cream.\n",
        "- Cord: 4 cords, 4 mm (0.16 in) thick, folded in half; was 4 cords, 3 mm (0.12 in) thick, folded in half\n",
        "- Files with other contents: amounts.csv, amounts.json, pictures and tiny-boat-chart-a4.pdf.\n",
        "\nVersion 1.0, 1 March 2026\n- The first edition: there is nothing to compare it with.\n",
    ] {
        assert!(note.contains(line), "{line}\n{note}");
    }
    // What was said once is not lost when the next run finds nothing.
    assert_eq!(room.run(&typed).code, 0);
    assert_eq!(Shelf::whole(&folder).text("keep/CHANGES.txt"), note);
}

#[test]
fn somebodys_work_in_the_folder_is_never_replaced() {
    let room = Room::new();
    tiny(&room, "tiny", "Tiny Boat");
    let typed = [&["shop", "tiny"][..], &QUICK].concat();
    assert_eq!(room.run(&typed).code, 0);
    let folder = room.path().join("tiny/tiny-boat-shop");
    let refused = |named: &str| {
        let before = room.files();
        let ran = room.run(&typed);
        assert_eq!(ran.code, 2, "{}", ran.err);
        assert!(ran.err.contains(named) && ran.err.contains("nothing of yours is replaced"), "{}", ran.err);
        assert!(room.files() == before, "{named}");
    };
    std::fs::write(folder.join("prices.txt"), "mine").expect("a file");
    refused("prices.txt");
    std::fs::remove_file(folder.join("prices.txt")).expect("removed");
    // A file of ours that somebody wrote into: a booklet with its boxes ticked, the note put in better words.
    let note = std::fs::read_to_string(folder.join("keep/CHANGES.txt")).expect("the note");
    std::fs::write(folder.join("keep/CHANGES.txt"), format!("{note}mine\n")).expect("written");
    refused("CHANGES.txt");
    std::fs::write(folder.join("keep/CHANGES.txt"), note).expect("written");
    assert_eq!(room.run(&typed).code, 0);
    #[cfg(unix)]
    {
        let elsewhere = room.path().join("elsewhere");
        std::fs::rename(&folder, &elsewhere).expect("moved");
        std::os::unix::fs::symlink(&elsewhere, &folder).expect("a link");
        refused("tiny-boat-shop");
    }
}

#[test]
fn many_projects_are_made_in_one_run_and_one_that_fails_stops_no_other() {
    let room = Room::new();
    for (name, title) in [("one", "First"), ("two", "Second"), ("three", "Third"), ("four", "First")] {
        tiny(&room, name, title);
    }
    let typed = [&["shop", "one", "two", "three", "none", "four", "-o", "shelf"][..], &QUICK].concat();
    room.write("two/chart.txt", "NNX\nNN\n");
    let ran = room.run(&typed);
    assert_eq!(ran.code, 1, "{}", ran.err);
    for words in ["unknown-letter", "ragged-row", "no-such-file", "same-folder", "5 shop folders, 3 of them not made"] {
        assert!(ran.err.contains(words), "{words}: {}", ran.err);
    }
    let told = ran.err.lines().filter_map(|line| line.strip_prefix("not made: ")).skip(3);
    assert_eq!(told.collect::<Vec<_>>(), ["two", "none", "four"]);
    let names = |folder: &Path| {
        let mut names: Vec<_> = std::fs::read_dir(folder).expect("a folder").flatten().map(|e| e.file_name()).collect();
        names.sort();
        names
    };
    assert_eq!(names(&room.path().join("shelf")), ["first-shop", "third-shop"]);
    for name in ["first-shop", "third-shop"] {
        Shelf::whole(&room.path().join("shelf").join(name));
    }
    // One that was there before a fault came in stays.
    room.write("three/chart.txt", "X\n");
    let before = Shelf::whole(&room.path().join("shelf/third-shop")).all();
    let ran = room.run(&[&["shop", "three", "one", "-o", "shelf"][..], &QUICK].concat());
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert_eq!(Shelf::whole(&room.path().join("shelf/third-shop")).all(), before);
}

#[test]
fn what_was_typed_wrong_is_said_before_anything_is_made() {
    let room = Room::new();
    tiny(&room, "tiny", "Tiny Boat");
    room.write("press.icc", crate::print_shop::press::profile());
    let before = room.files();
    for (typed, words, code) in [
        (&["--edition", "booklet,chrat"][..], "a similar value exists: 'chart'", 2),
        (&["--sheets", "a5"], "invalid value 'a5' for '--sheets", 2),
        (&["--print-shop", "a5"], "ask the print shop for the ICC profile", 2),
        (&["--most-ink", "280"], "`--most-ink` says nothing without a paper for the print shop", 2),
        (&["--print-shop", "a5", "--profile", "none.icc"], "no-such-file", 2),
        (&["--language", "xx"], "there are no words in the language `xx`", 2),
        (&["--look", "grand"], "invalid value 'grand' for '--look", 2),
        // Found by every edition, told once.
        (&["--print-shop", "small-screen", "--profile", "press.icc"], "margins-too-narrow", 1),
    ] {
        let ran = room.run(&[&["shop", "tiny"], typed].concat());
        assert_eq!(ran.code, code, "{typed:?}: {}", ran.err);
        assert_eq!(ran.err.matches(words).count(), 1, "{typed:?}: {}", ran.err);
        assert!(room.files() == before, "{typed:?}");
    }
}

#[test]
fn the_licence_is_told_in_every_language() {
    let room = Room::new();
    tiny(&room, "tiny", "Tiny Boat");
    let mut texts = Vec::new();
    for language in hitchpress::words::Words::languages() {
        let typed = [&["shop", "tiny", "--language", language][..], &QUICK].concat();
        let ran = room.run(&typed);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let shelf = Shelf::whole(&room.path().join("tiny/tiny-boat-shop"));
        let licence = shelf.text("upload/licence.txt");
        let words = hitchpress::words::Words::shipped(language).expect("shipped");
        // Files of plain text have plain spaces.
        let say = |key: &str| words.say(key, &[]).replace(['\u{a0}', '\u{202f}'], " ");
        for key in ["using.title", "using.print-own", "using.sell-yes"] {
            assert!(licence.contains(&say(key)), "{language}: {key}\n{licence}");
        }
        let other = if language == "en-GB" { String::new() } else { format!("-{language}") };
        assert_eq!(shelf.says(&format!("upload/tiny-boat{other}-chart-a4.pdf"), "language").as_deref(), Some(language));
        if !texts.is_empty() {
            let note = shelf.text("keep/CHANGES.txt");
            assert!(note.contains(&say("changes.speech")), "{note}");
        }
        texts.push(licence);
    }
    texts.dedup();
    assert_eq!(texts.len(), 5);
}

#[test]
fn samples_make_whole_folders() {
    let room = Room::new();
    let sample = repository("samples/two-pears").display().to_string();
    let ran = room.run(&["shop", &sample, "-o", "out", "--edition", "chart,materials", "--width", "200"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("pieces of advice: `hitchpress check"), "{}", ran.err);
    let shelf = Shelf::whole(&room.path().join("out/two-pears-shop"));
    assert_eq!(shelf.names().filter(|name| name.ends_with(".pdf")).count(), 4);
}

#[test]
fn a_changed_title_takes_the_old_folder_along_with_its_record() {
    let room = Room::new();
    let project = tiny(&room, "tiny", "Tiny Boat");
    tiny(&room, "other", "Other Boat");
    let text = std::fs::read_to_string(&project).expect("the project");
    for output in [&[][..], &["-o", "shelf"]] {
        std::fs::write(&project, &text).expect("written");
        let typed = [&["shop", "tiny"][..], &QUICK, output].concat();
        let others = [&["shop", "other"][..], &QUICK, output].concat();
        assert_eq!((room.run(&typed).code, room.run(&others).code), (0, 0));
        std::fs::write(&project, text.replace("Tiny Boat", "Small Ship").replace("\"3 mm\"", "\"4 mm\""))
            .expect("written");
        let ran = room.run(&typed);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let parent = if output.is_empty() { room.path().join("tiny") } else { room.path().join("shelf") };
        let mut names: Vec<String> = std::fs::read_dir(&parent)
            .expect("a folder")
            .flatten()
            .map(|entry| entry.file_name().to_string_lossy().into_owned())
            .filter(|name| name.ends_with("-shop"))
            .collect();
        names.sort();
        let wanted: &[&str] =
            if output.is_empty() { &["small-ship-shop"] } else { &["other-boat-shop", "small-ship-shop"] };
        assert_eq!(names, wanted);
        let shelf = Shelf::whole(&parent.join("small-ship-shop"));
        let note = shelf.text("keep/CHANGES.txt");
        assert!(note.contains("4 mm (0.16 in) thick, folded in half; was 4 cords, 3 mm"), "{note}");
        assert!(shelf.names().all(|name| !name.contains("tiny-boat")));
    }
    // Somebody's work in the old folder stops it.
    let folder = room.path().join("tiny/small-ship-shop");
    std::fs::write(folder.join("prices.txt"), "mine").expect("a file");
    std::fs::write(&project, text.replace("Tiny Boat", "Third Name")).expect("written");
    let before = room.files();
    let ran = room.run(&[&["shop", "tiny"][..], &QUICK].concat());
    assert!(ran.code == 2 && ran.err.contains("prices.txt"), "{}", ran.err);
    assert!(room.files() == before);
}
