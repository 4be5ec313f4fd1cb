//! Every language that is shipped: it composes and proves, says which language it is, and keeps to its measures.

use crate::booklet::SAMPLES;
use crate::finished::{finished_to, laid_out};
use crate::setting::{cuts, lonely_headings, lonely_lines, overlaps, strays};
use crate::support::{Room, is_tried};
use hitchpress::catalogue::{EditionName, LookName, PaperName};
use hitchpress::font::FontBook;
use hitchpress::press::Wishes;
use hitchpress::words::Words;

fn order(edition: &str, paper: &str, language: &str) -> Wishes {
    Wishes {
        edition: EditionName::named(edition),
        paper: PaperName::named(paper),
        language: Some(language.to_owned()),
        ..Wishes::default()
    }
}

#[test]
fn a_sample_in_every_language_is_what_its_project_says_and_names_its_language() {
    for language in Words::languages() {
        let made = finished_to("two-pears", order("booklet", "a4", language));
        let report = made.proof(&made.bytes);
        let findings: Vec<String> = report.findings.iter().take(5).map(|f| f.sentence()).collect();
        assert!(report.holds(), "{language}: {findings:#?}");
        let file = lopdf::Document::load_mem(&made.bytes).expect("a file");
        let named = file.catalog().and_then(|c| c.get(b"Lang")).and_then(|l| l.as_str()).expect("a language");
        assert_eq!(String::from_utf8_lossy(named), language);
    }
}

#[test]
fn no_line_is_overfull_and_nothing_is_left_alone_in_any_sample_in_any_language() {
    let book = FontBook::shipped();
    let mut all = Vec::new();
    // The small paper is the hard one, and large type; the booklet's figures and side column come with the large one.
    let orders = [
        ("booklet", "a4", None),
        ("booklet", "a5", None),
        ("booklet", "a4", Some(LookName::LargePrint)),
        ("chart", "a5", None),
        ("materials", "a5", None),
        ("large-print", "a5", None),
    ];
    for (l, language) in Words::languages().enumerate() {
        for (s, sample) in SAMPLES.into_iter().enumerate() {
            for (_, (edition, paper, look)) in orders.into_iter().enumerate().filter(|(o, _)| is_tried(l + s + o, 3)) {
                let order = Wishes { look, ..order(edition, paper, language) };
                let booklet = laid_out(crate::finished::sample(sample), &order, &book);
                let amiss = [strays(&booklet), overlaps(&booklet), cuts(&booklet)].concat();
                all.extend(amiss.iter().map(|what| format!("{language} {sample} {edition} {paper} {what}")));
                let parted = [lonely_headings(&booklet), lonely_lines(&booklet)].concat();
                all.extend(parted.iter().map(|what| format!("{language} {sample} {edition} {paper} {what}")));
            }
        }
    }
    assert!(all.is_empty(), "{all:#?}");
}

#[test]
fn a_language_that_is_not_there_is_refused_with_the_nearest_one_named() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    for (typed, meant) in [("de-AT", "`de-DE`"), ("german", "`de-DE`"), ("en-UK", "`en-GB`")] {
        let ran = room.run(&["compose", "boat", "--language", typed]);
        assert_eq!(ran.code, 2, "{typed}: {}", ran.err);
        assert!(ran.err.contains(meant), "{typed}: {}", ran.err);
    }
    assert_eq!(room.run(&["compose", "boat", "--language", "de", "-o", "boot.pdf"]).code, 0);
    assert_eq!(room.run(&["proof", "boat", "boot.pdf", "--language", "DE-de"]).code, 0);
    let project = std::fs::read_to_string(room.path().join("boat/project.toml")).expect("a project");
    room.write("boat/project.toml", project.replace("\"en-GB\"", "\"de-CH\""));
    let ran = room.run(&["check", "boat"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("unknown-language") && ran.err.contains("`de-DE`"), "{}", ran.err);
    assert!(ran.err.contains("project.toml:"), "{}", ran.err);
}

#[test]
fn the_help_names_every_language() {
    let room = Room::new();
    let ran = room.run(&["compose", "--help"]);
    for language in Words::languages() {
        assert!(ran.out.contains(language), "{language}: {}", ran.out);
    }
}
