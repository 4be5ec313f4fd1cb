//! One design in several colours.

use super::{lantern, panel, words};
use crate::shop::pattern::{QUICK, Shelf};
use crate::walk::walk;
use serde_json::Value;

/// Two colourways of the tiny boat; in the second one light and dark change places.
const TWO: &str = "[[colourway]]\nname = \"Harbour\"\n[[colourway]]\nname = \"Moon Sea\"\nyarn = [\
    { key = \"N\", name = \"moonlight\", colour = \"#f2f0e4\", brand = \"Low Moor Wool\", shade = \"12\" },\
    { key = \"C\", name = \"coal\", colour = \"#2b2b2e\" }]\n";

#[test]
fn a_brand_in_another_language_is_said_in_it_with_its_shade() {
    let own = TWO.replace("shade = \"12\"", "brand-language = \"gd\", shade = \"Gealach 12\"");
    let room = panel(&own);
    let file = room.path().join("boat/project.toml");
    let text = std::fs::read_to_string(&file).expect("the project");
    // The cord is of the booklet's own language, which needs no word.
    let text = text.replacen("3 mm\"", "3 mm\", brand = \"Plain Cord\", brand-language = \"en\"", 1).replacen(
        "name = \"navy\"\n",
        "name = \"navy\"\nbrand = \"Laine du Port\"\nbrand-language = \"fr\"\nshade = \"4\"\n",
        1,
    );
    std::fs::write(&file, text).expect("written");
    let foreign = |options: &[&str]| {
        let ran = room.run(&[&["compose", "boat", "-o", "one.pdf"], options].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        let ran = room.run(&[&["proof", "boat", "one.pdf"], options].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        let bytes = std::fs::read(room.path().join("one.pdf")).expect("a file");
        let mut foreign = walk(&bytes).foreign;
        foreign.iter_mut().for_each(|(_, words)| *words = words.replace('\u{a0}', " ").trim().to_owned());
        foreign.sort();
        foreign.dedup();
        foreign
    };
    let said = |language: &str, words: &str| (language.to_owned(), words.to_owned());
    assert_eq!(foreign(&["--colourway", "Harbour"]), [said("fr", "Laine du Port")]);
    assert_eq!(foreign(&["--colourway", "Moon Sea"]), [said("gd", "Gealach 12"), said("gd", "Low Moor Wool")]);
    assert_eq!(foreign(&[]), [said("fr", "Laine du Port"), said("gd", "Gealach 12"), said("gd", "Low Moor Wool")]);
}

#[test]
fn one_booklet_serves_all_colourways_with_yarns_called_by_letters() {
    let room = panel(TWO);
    let ran = room.run(&["compose", "boat", "-o", "all.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = words(&room.path().join("all.pdf"));
    for there in ["In 2 colourways: Harbour and Moon Sea", "yarn A: navy, or moonlight", "yarn B: cream, or coal"] {
        assert!(said.contains(there), "{there}\n{said}");
    }
    // Each yarn of each colourway once in its list, and in the key; the rows in words have letters.
    assert!(said.contains("moonlight, Low Moor Wool, shade 12"), "{said}");
    assert!(!said.contains("8 navy"), "{said}");
    let ran = room.run(&["proof", "boat", "all.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("the same, byte for byte"), "{}", ran.err);
    // It is not taken for the file of one colourway.
    let ran = room.run(&["proof", "boat", "all.pdf", "--colourway", "Harbour"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("its colourway is `*`, and `Harbour` is asked for"), "{}", ran.err);
}

#[test]
fn a_colourway_has_a_booklet_of_its_own_with_its_own_names_and_symbols() {
    let room = panel(TWO);
    let ran = room.run(&["compose", "boat", "--colourway", "moon-sea"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let file = room.path().join("boat/tiny-boat-moon-sea-booklet-a4.pdf");
    let said = words(&file);
    assert!(said.contains("Colourway: Moon Sea") && said.contains("moonlight") && said.contains("coal"), "{said}");
    assert!(!said.contains("navy") && !said.contains("yarn A"), "{said}");
    // The file says which one it is, and `proof` need not be told.
    let ran = room.run(&["proof", "boat", "boat/tiny-boat-moon-sea-booklet-a4.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("the same, byte for byte"), "{}", ran.err);
    // In another colourway the heavier symbol goes with the other yarn: the darker one has it.
    let symbols = |colourway: &str| {
        let project = crate::versions::loaded(&room.path().join("boat"));
        let project = project.in_colourway(colourway).expect("a colourway");
        let symbols = hitchpress::press::symbols(&project);
        let weigh = |name: &String| hitchpress::symbol::weight(name).expect("a symbol");
        let lightness = |at: usize| project.palette.0[at].colour.lab().l;
        ((lightness(0) > lightness(1)), (weigh(&symbols[0]) < weigh(&symbols[1])))
    };
    assert_eq!(symbols("Harbour"), (false, false));
    assert_eq!(symbols("Moon Sea"), (true, true));
    let ran = room.run(&["compose", "boat", "--colourway", "Harbor"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("unknown-colourway") && ran.err.contains("did you mean `Harbour`?"), "{}", ran.err);
}

#[test]
fn check_judges_each_colourway_and_names_it() {
    let like = "[[colourway]]\nname = \"Fog\"\nyarn = [{ key = \"N\", name = \"mist\", colour = \"#ece3d0\" }]\n\
        [[colourway]]\nname = \"Twin\"\nyarn = [{ key = \"N\", name = \"blue\", colour = \"#233a5c\" }]\n";
    let ran = panel(&format!("{TWO}{like}")).run(&["check", "boat"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for told in [
        "in the colourway `Moon Sea` light and dark turn against `Harbour`",
        "in the colourway `Fog` `mist` and `cream` are hard to tell apart",
        "in the colourway `Fog` in grey print some yarns look alike",
        "the colourways `Harbour` and `Twin` have the same colours",
    ] {
        assert!(ran.err.contains(told), "{told}\n{}", ran.err);
    }
    assert!(!ran.err.contains("in the colourway `Harbour`"), "{}", ran.err);
}

#[test]
fn slips_in_colourways_are_named_all_at_once() {
    let more = "[[colourway]]\nname = \"One\"\nyarn = [{ key = \"N\", name = \"a\", colour = \"#000000\" }]\n\
        [[colourway]]\nname = \"one\"\nyarn = [{ key = \"n\", name = \"b\", colour = \"#000000\" }]\n\
        [[colourway]]\nname = \"Three\"\nyarn = [{ key = \"N\", name = \"cream\", colour = \"#000000\" }]\n\
        [[colourway]]\nname = \"Four\"\nyarn = [{ key = \"N\", name = \"x\", colour = \"#000000\" }, { key = \"N\", name = \"y\", colour = \"#000000\" }]\n\
        [[colourway]]\nyarn = [{ key = \"N\", name = \"x\" }]\n";
    let ran = panel(more).run(&["check", "boat"]);
    assert_eq!(ran.code, 1);
    for told in [
        "the first colourway is the yarns as they stand",
        "two colourways have the name `one`",
        "`n` is no yarn's letter",
        "the yarn `N` stands twice in this colourway",
        "`name` is missing in [[colourway]]",
        "`colour` is missing",
    ] {
        assert!(ran.err.contains(told), "{told}\n{}", ran.err);
    }
    let more = "[[colourway]]\nname = \"One\"\n[[colourway]]\nname = \"Two\"\nyarn = [{ key = \"N\", name = \"Cream\", colour = \"#000000\" }]\n";
    let ran = panel(more).run(&["check", "boat"]);
    assert!(ran.err.contains("two yarns of the colourway `Two` have the name `cream`"), "{}", ran.err);
}

#[test]
fn a_shop_folder_has_colourways_as_the_project_says_and_the_note_tells_their_changes() {
    let room = panel(&format!("{TWO}[shop]\ncolourways = \"both\"\n"));
    let ran = room.run(&[&["shop", "boat"], &QUICK[..]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let folder = room.path().join("boat/tiny-boat-shop");
    let pdfs = |shelf: &Shelf| -> Vec<String> {
        shelf.names().filter(|name| name.ends_with(".pdf")).map(str::to_owned).collect()
    };
    let (all, one, two) = (
        "upload/tiny-boat-chart-a4.pdf",
        "upload/tiny-boat-harbour-chart-a4.pdf",
        "upload/tiny-boat-moon-sea-chart-a4.pdf",
    );
    assert_eq!(pdfs(&Shelf::whole(&folder)), [all, one, two]);
    let text = std::fs::read_to_string(room.path().join("boat/project.toml")).expect("the project");
    let text = text.replace("\"both\"", "\"each\"").replace("moonlight", "starlight");
    room.write("boat/project.toml", text.replace("version = \"1.0\"", "version = \"1.1\""));
    // The errata note is written for all colourways where there is a file for all.
    let ran = room.run(&[&["shop", "boat"], &QUICK[..]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(pdfs(&Shelf::whole(&folder)), [one, two]);
    room.write("boat/project.toml", text.replace("\"each\"", "\"together\""));
    let ran = room.run(&[&["shop", "boat"], &QUICK[..]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    room.write("boat/project.toml", text.replace("\"each\"", "\"together\"").replace("starlight", "first snow"));
    let ran = room.run(&[&["shop", "boat"], &QUICK[..]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let note = Shelf::whole(&folder).text("keep/CHANGES.txt");
    assert!(note.contains("Moon Sea, yarn A: first snow, Low Moor Wool, shade 12; was starlight"), "{note}");
}

#[test]
fn amounts_say_which_yarn_is_which_in_every_colourway() {
    let room = panel(TWO);
    let json = |more: &[&str]| -> Value {
        let ran = room.run(&[&["amounts", "boat", "--format", "json"], more].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        serde_json::from_str(&ran.out).expect("JSON")
    };
    let all = json(&[]);
    assert_eq!((&all["colourway"], &all["yarns"][0]["name"]), (&Value::Null, &Value::from("yarn A")));
    assert_eq!(all["colourways"][1]["name"], "Moon Sea");
    assert_eq!(all["colourways"][1]["yarns"][0]["name"], "moonlight");
    let one = json(&["--colourway", "Moon Sea"]);
    assert_eq!((&one["colourway"], &one["yarns"][0]["name"]), (&Value::from("Moon Sea"), &Value::from("moonlight")));
    // The same knots of yarn of the same thickness take as much of it.
    assert_eq!(all["yarns"][0]["buy"], one["yarns"][0]["buy"]);
    let text = room.run(&["amounts", "boat"]).out;
    assert!(text.contains("Moon Sea: yarn A moonlight, yarn B coal"), "{text}");
}

#[test]
fn a_class_and_copies_know_colourways() {
    let room = panel(TWO);
    let typed = ["compose", "boat", "--edition", "materials", "--students", "4", "-o", "class.pdf"];
    assert_eq!(room.run(&typed).code, 0);
    let said = words(&room.path().join("class.pdf"));
    assert!(said.contains("Each bag is of one colourway.") && said.contains("moonlight"), "{said}");
    assert_eq!(room.run(&["proof", "boat", "class.pdf"]).code, 0);
    assert_eq!(room.run(&["compose", "boat", "--colourway", "Moon Sea", "-o", "one.pdf"]).code, 0);
    room.write("buyers.csv", "name\nAda Fernley\n");
    assert_eq!(room.run(&["copies", "one.pdf", "--buyers", "buyers.csv", "-o", "copies"]).code, 0);
    let mut copy = std::fs::read_dir(room.path().join("copies")).expect("copies").flatten().map(|entry| entry.path());
    let copy = copy.find(|path| path.extension().is_some_and(|e| e == "pdf")).expect("a copy");
    let ran = room.run(&["proof", "boat", &copy.to_string_lossy()]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("a licensed copy"), "{}", ran.err);
}

#[test]
fn all_editions_of_the_lantern_compose_and_prove_in_every_version() {
    let room = lantern();
    for version in [
        &[][..],
        &["--colourway", "Snow"],
        &["--language", "de-DE"],
        // As the project file has the names, in every language.
        &["--language", "de-DE", "--colourway", "Harbour", "--size", "Large"],
    ] {
        for edition in ["booklet", "chart", "large-print", "materials"] {
            let typed = [&["compose", "lantern", "--edition", edition, "-o", "made.pdf"][..], version].concat();
            let ran = room.run(&typed);
            assert_eq!(ran.code, 0, "{typed:?}: {}", ran.err);
            let ran = room.run(&["proof", "lantern", "made.pdf"]);
            assert_eq!(ran.code, 0, "{typed:?}: {}", ran.err);
            assert!(ran.err.contains("the same, byte for byte"), "{typed:?}: {}", ran.err);
        }
    }
}
