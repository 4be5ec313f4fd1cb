//! The maker's own texts in a second language.

use super::{marked, panel, words};
use crate::shop::pattern::{QUICK, Shelf};

/// A translation that lacks nothing, before `names`.
const GERMAN: &str = "[[translation]]\nlanguage = \"de-DE\"\ntitle = \"Winziges Boot\"\n";
const NAMES: &str = "names = [{ own = \"navy\", other = \"Marineblau\" }, { own = \"cream\", other = \"Creme\" }]\n";

#[test]
fn a_booklet_in_another_language_says_the_makers_own_texts_in_it() {
    let room = panel(&format!("{GERMAN}{NAMES}"));
    let ran = room.run(&["compose", "boat", "--language", "de"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(!ran.err.contains("not there in"), "{}", ran.err);
    let file = room.path().join("boat/tiny-boat-de-DE-booklet-a4.pdf");
    let said = words(&file);
    for own in ["Winziges Boot", "Marineblau", "Creme"] {
        assert!(said.contains(own), "{own}");
    }
    for other in ["Tiny Boat", "navy", "cream"] {
        assert!(!said.contains(other), "{other}");
    }
    assert_eq!(marked(&file), Vec::<String>::new());
    let ran = room.run(&["proof", "boat", "boat/tiny-boat-de-DE-booklet-a4.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    // The project's own language is as before.
    assert_eq!(room.run(&["compose", "boat", "--language", "en-GB", "-o", "own.pdf"]).code, 0);
    assert!(words(&room.path().join("own.pdf")).contains("Tiny Boat"));
}

#[test]
fn what_is_not_translated_stays_is_marked_with_its_language_and_is_told() {
    let room = panel(&format!("{GERMAN}names = [{{ own = \"navy\", other = \"Marineblau\" }}]\n"));
    let project = std::fs::read_to_string(room.path().join("boat/project.toml")).expect("the project");
    room.write("boat/project.toml", project.replace("maker =", "introduction = \"A boat to begin with.\"\nmaker ="));
    let ran = room.run(&["check", "boat"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("untranslated"), "{}", ran.err);
    assert!(ran.err.contains("in `de-DE`: `introduction`, the name `cream`"), "{}", ran.err);
    let ran = room.run(&["compose", "boat", "--language", "de-DE", "-o", "boot.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.err.contains("not there in `de-DE`, and left in `en-GB`: `introduction`, the name `cream`"),
        "{}",
        ran.err
    );
    let file = room.path().join("boot.pdf");
    let said = words(&file);
    assert!(said.contains("A boat to begin with.") && said.contains("Winziges Boot"), "{said}");
    assert_eq!(marked(&file), ["en-GB"]);
    // A language without any of her texts.
    let ran = room.run(&["compose", "boat", "--language", "fr-FR", "-o", "bateau.pdf"]);
    assert!(ran.err.contains("none of your own texts is there in `fr-FR`"), "{}", ran.err);
}

#[test]
fn slips_in_a_translation_are_named_all_at_once() {
    let more = "[[translation]]\nlanguage = \"en-GB\"\n[[translation]]\nlanguage = \"fr-FR\"\n\
        names = [{ own = \"navvy\", other = \"marine\" }, { own = \"navy\", other = \"bleu\" }, { own = \"cream\", other = \"bleu\" }]\n\
        [[translation]]\nlanguage = \"fr-FR\"\n[[translation]]\nlanguage = \"it-IT\"\n[[translation]]\ntitle = \"x\"\n";
    let ran = panel(more).run(&["check", "boat"]);
    assert_eq!(ran.code, 1);
    for told in ["unknown-choice", "missing-key"] {
        assert!(ran.err.contains(told), "{told}: {}", ran.err);
    }
    let more = more.replace("it-IT", "es-ES").replace("[[translation]]\ntitle = \"x\"\n", "");
    let ran = panel(&more).run(&["check", "boat"]);
    assert_eq!(ran.code, 1);
    for told in [
        "the project is written in `en-GB` itself",
        "there are two translations into `fr-FR`",
        "nothing in the project is called `navvy`",
        "did you mean `navy`?",
        "two yarns have the name `bleu` in `fr-FR`",
    ] {
        assert!(ran.err.contains(told), "{told}: {}", ran.err);
    }
}

#[test]
fn a_shop_folder_has_every_language_of_the_project_or_those_that_it_names() {
    let room = panel(&format!("{GERMAN}{NAMES}"));
    let ran = room.run(&[&["shop", "boat"], &QUICK[..]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let shelf = Shelf::whole(&room.path().join("boat/tiny-boat-shop"));
    let (own, other) = ("upload/tiny-boat-chart-a4.pdf", "upload/tiny-boat-de-DE-chart-a4.pdf");
    assert_eq!(shelf.names().filter(|name| name.ends_with(".pdf")).collect::<Vec<_>>(), [own, other]);
    assert_eq!(shelf.says(own, "language").as_deref(), Some("en-GB"));
    assert_eq!(shelf.says(other, "language").as_deref(), Some("de-DE"));
    assert!(
        shelf.text("upload/licence.txt").contains("navy") || shelf.text("upload/licence.txt").contains("Tiny Boat")
    );
    assert!(shelf.text("upload/licence-de-DE.txt").contains("Winziges Boot"));
    // What is pasted, too.
    assert!(shelf.text("show/description-de-DE.txt").contains("Sprache: Englisch (britisch) und Deutsch"));
    assert!(shelf.text("show/description.txt").contains("Language: English (British) and German"));
    let project = std::fs::read_to_string(room.path().join("boat/project.toml")).expect("the project");
    room.write("boat/project.toml", format!("{project}[shop]\nlanguages = [\"es-ES\"]\n"));
    let ran = room.run(&[&["shop", "boat"], &QUICK[..]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let shelf = Shelf::whole(&room.path().join("boat/tiny-boat-shop"));
    let pdfs: Vec<&str> = shelf.names().filter(|name| name.ends_with(".pdf")).collect();
    assert_eq!(pdfs, ["upload/tiny-boat-es-ES-chart-a4.pdf"]);
}
