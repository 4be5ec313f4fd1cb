//! `hitchpress listing` and `amounts` for people, as they are typed.

use crate::shop::pattern::tiny;
use crate::support::Room;

#[test]
fn a_listing_says_the_pages_that_the_files_have_and_each_part_can_be_had_alone() {
    let room = Room::new();
    let project = tiny(&room, "tiny", "Tiny Boat");
    let text = std::fs::read_to_string(&project).expect("the project");
    let shop = "[shop]\neditions = [\"booklet\", \"chart\"]\npapers = [\"a5\", \"a4\"]\n";
    std::fs::write(&project, format!("{text}{shop}")).expect("written");
    let ran = room.run(&["listing", "tiny"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.err);
    for (edition, words) in [("booklet", "every technique in figures"), ("chart", "The chart alone")] {
        let made = room.run(&["compose", "tiny", "--edition", edition, "--paper", "a5", "-o", "one.pdf"]);
        assert_eq!(made.code, 0, "{}", made.err);
        let bytes = std::fs::read(room.path().join("one.pdf")).expect("a file");
        let pages = lopdf::Document::load_mem(&bytes).expect("a PDF").get_pages().len();
        let counted = if pages == 1 { "1 page".to_owned() } else { format!("{pages} pages") };
        let line = format!("{words}: {counted}, on A5 and A4\n");
        assert!(ran.out.contains(&line), "{line}{}", ran.out);
    }
    let mut parts = String::new();
    for part in ["titles", "tags", "description", "materials"] {
        let alone = room.run(&["listing", "tiny", "--part", part]);
        assert!(alone.code == 0 && ran.out.contains(&alone.out) && !alone.out.is_empty(), "{part}: {}", alone.out);
        parts.push_str(&alone.out);
    }
    assert!(parts.contains("You may sell the panels you make from it."));
    let short = room.run(&["listing", "tiny", "--part", "titles", "--longest-title", "12"]);
    assert_eq!(short.out, "Tiny Boat\n");
    let german = room.run(&["listing", "tiny", "--language", "de-DE", "--part", "materials", "--students", "4"]);
    assert!(german.out.contains("in jedem Beutel"), "{}", german.out);
    let ran = room.run(&["amounts", "tiny", "--format", "markdown"]);
    assert!(ran.code == 0 && ran.out.starts_with("# ") && ran.out.contains("\n| "), "{}", ran.out);
    assert!(!ran.out.contains("buy_m") && !ran.out.contains("folded-cord"), "{}", ran.out);
}
