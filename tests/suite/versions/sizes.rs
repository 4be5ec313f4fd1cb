//! One design in several sizes.

use super::{panel, words};
use crate::shop::pattern::{QUICK, Shelf};
use crate::support::Room;
use serde_json::Value;

const LARGE: &str =
    "NNNNNNNNNNNN\nNNNNCCCNNNNN\nNNNNCCCCNNNN\nNNNNCCCCCNNN\nNCCCCCCCCCCN\nCCCCCCCCCCCC\nCCCCCCCCCCCC\n";
const TWO: &str = "[[size]]\nname = \"Small\"\n[[size]]\nname = \"Extra Large\"\nchart = \"large.txt\"\n\
    hanging = { length = \"350 mm\" }\n";

/// The tiny boat in two sizes.
fn boat(more: &str) -> Room {
    let room = panel(&format!("[hanging]\ndiameter = \"15 mm\"\n{TWO}{more}"));
    room.write("boat/large.txt", LARGE);
    room
}

#[test]
fn each_size_has_a_booklet_with_its_own_chart_and_measures() {
    let room = boat("");
    for (typed, file, rows, there) in [
        (&["compose", "boat"][..], "tiny-boat-small-booklet-a4.pdf", 4, "Finished panel: Small, "),
        (
            &["compose", "boat", "--size", "extra-large"],
            "tiny-boat-extra-large-booklet-a4.pdf",
            7,
            "Finished panel: Extra Large, ",
        ),
    ] {
        let ran = room.run(typed);
        assert_eq!(ran.code, 0, "{typed:?}: {}", ran.err);
        let path = room.path().join("boat").join(file);
        let said = words(&path);
        assert!(said.contains(there), "{there}: {said}");
        assert!(said.contains("35 cm (13¾ in)") == (rows == 7), "{said}");
        let ran = room.run(&["proof", "boat", &path.to_string_lossy()]);
        assert_eq!(ran.code, 0, "{typed:?}: {}", ran.err);
        assert!(ran.err.contains("the same, byte for byte"), "{}", ran.err);
    }
    let amounts = |typed: &[&str]| -> Value {
        let ran = room.run(&[&["amounts", "boat", "--format", "json"], typed].concat());
        serde_json::from_str(&ran.out).expect("JSON")
    };
    let (small, large) = (amounts(&[]), amounts(&["--size", "Extra Large"]));
    assert_eq!((&small["size"], &small["panel"]["rows"]), (&Value::from("Small"), &Value::from(4)));
    assert_eq!((&large["size"], &large["panel"]["rows"]), (&Value::from("Extra Large"), &Value::from(7)));
    let ran = room.run(&["compose", "boat", "--size", "Extra Lage"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("unknown-size") && ran.err.contains("did you mean `Extra Large`?"), "{}", ran.err);
}

#[test]
fn check_looks_at_every_size_and_holds_them_against_each_other() {
    let room = boat("[[size]]\nname = \"Same\"\nchart = \"chart.txt\"\nhanging = { length = \"60 mm\" }\n");
    let ran = room.run(&["check", "boat"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("the sizes `Small` and `Same` have the same chart"), "{}", ran.err);
    // A wood of 60 mm is shorter than any panel of eight columns.
    assert!(ran.err.contains("in the size `Same`") && ran.err.contains("short-wood"), "{}", ran.err);
    // What is wrong with a chart of another size stops all, and what all have in common is told once.
    room.write("boat/large.txt", "NNNN\nNXN\n");
    let ran = room.run(&["check", "boat"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("large.txt"), "{}", ran.err);
    let project = std::fs::read_to_string(room.path().join("boat/project.toml")).expect("the project");
    room.write("boat/project.toml", project.replace("#233a5c", "#233a5"));
    let ran = room.run(&["check", "boat"]);
    assert_eq!(ran.err.matches("#233a5").count(), 2, "the message and the line it shows: {}", ran.err);
}

#[test]
fn slips_in_sizes_are_named() {
    let more = "[[size]]\nname = \"One\"\nchart = \"chart.txt\"\n[[size]]\nname = \"one\"\n\
        hanging = { lenght = \"3 cm\" }\n[[size]]\nchart = \"none.txt\"\n";
    let ran = panel(more).run(&["check", "boat"]);
    assert_eq!(ran.code, 1);
    for told in [
        "the first size is the project as it stands above",
        "two sizes have the name `one`",
        "`chart` is missing in [[size]]",
        "`name` is missing in [[size]]",
        "there is no key `lenght`",
    ] {
        assert!(ran.err.contains(told), "{told}\n{}", ran.err);
    }
}

#[test]
fn a_shop_folder_has_every_size_and_the_note_tells_the_changes_of_each() {
    let room = boat("");
    let ran = room.run(&[&["shop", "boat"], &QUICK[..]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let folder = room.path().join("boat/tiny-boat-shop");
    let shelf = Shelf::whole(&folder);
    let pdfs: Vec<&str> = shelf.names().filter(|name| name.ends_with(".pdf")).collect();
    assert_eq!(pdfs, ["upload/tiny-boat-small-chart-a4.pdf", "upload/tiny-boat-extra-large-chart-a4.pdf"]);
    let large: Value = serde_json::from_str(&shelf.text("keep/amounts-extra-large.json")).expect("JSON");
    assert_eq!(large["panel"]["rows"], 7);
    room.write("boat/large.txt", LARGE.replacen("NNNNCCCNNNNN", "NNNNNCCNNNNN", 1));
    let ran = room.run(&[&["shop", "boat"], &QUICK[..]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let note = Shelf::whole(&folder).text("keep/CHANGES.txt");
    assert!(note.contains("Extra Large: Row 2, right to left"), "{note}");
}

#[test]
fn the_listing_tells_every_size_and_where_the_yarns_of_a_colourway_are_sold() {
    let room = super::lantern();
    let file = room.path().join("lantern/project.toml");
    let text = std::fs::read_to_string(&file).expect("the project");
    let linked = text.replace("shade = \"44\" }", "shade = \"44\", link = \"https://example.org/deep-green\" }");
    assert_ne!(text, linked);
    std::fs::write(&file, linked).expect("written");
    let ran = room.run(&["listing", "lantern", "--part", "description"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    for said in [
        "- Finished panel: Small, ",
        "- Finished panel: Large, ",
        "\nWhat you need: Small\n",
        "\nWhat you need: Large\n",
    ] {
        assert!(ran.out.contains(said), "{said}: {}", ran.out);
    }
    // What each size needs is its own: the figures of the larger one are those of its own listing.
    let large = room.run(&["listing", "lantern", "--size", "Large", "--part", "description"]);
    let need =
        |of: &str| of.split("What you need: Large\n").nth(1).map(|rest| rest.split("Using").next().map(str::to_owned));
    assert_eq!(need(&ran.out), need(&large.out));
    assert!(!large.out.contains("Small"), "{}", large.out);
    let german = room.run(&["listing", "lantern", "--part", "description", "--language", "de-DE"]);
    assert!(
        german.out.contains("Das brauchen Sie: Klein\n") && german.out.contains("Das brauchen Sie: Groß\n"),
        "{}",
        german.out
    );
    let materials = room.run(&["listing", "lantern", "--part", "materials", "--format", "markdown"]);
    let sold = "(deep green: [example.org/deep-green](<https://example.org/deep-green>))";
    assert!(materials.out.contains(sold), "{}", materials.out);
}
