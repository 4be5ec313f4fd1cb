//! The samples as finished booklets: every edition on every usual paper composes, proves, and keeps to its frames (in the usual
//! run every two of sample, edition and paper together, with `HITCHPRESS_ALL` all three); the same project gives the same
//! bytes wherever and whenever it is composed.

use crate::finished::{finished, made, order, sample};
use crate::setting::{overlaps, strays};
use crate::support::{Room, is_tried, repository};
use hitchpress::page::dump;
use hitchpress::project::Ink;
use std::process::Command;

pub const SAMPLES: [&str; 3] = ["low-water-heron", "two-pears", "harbour-evening"];
const EDITIONS: [&str; 4] = ["booklet", "chart", "large-print", "materials"];
const PAPERS: [&str; 3] = ["a4", "letter", "a5"];
const INKS: [Ink; 3] = [Ink::Saving, Ink::Full, Ink::SymbolsOnly];

#[test]
fn every_sample_in_every_edition_on_every_usual_paper_is_what_its_project_says() {
    for (s, sample) in SAMPLES.into_iter().enumerate() {
        for (e, edition) in EDITIONS.into_iter().enumerate() {
            for (p, paper) in PAPERS.into_iter().enumerate().filter(|(p, _)| is_tried(s + e + p, 3)) {
                let made = finished(sample, edition, paper, INKS[(e + 2 * p) % 3]);
                let report = made.proof(&made.bytes);
                let findings: Vec<String> = report.findings.iter().take(5).map(|f| f.sentence()).collect();
                assert!(report.holds(), "{sample} {edition} {paper}: {findings:#?}");
                let strays = strays(&made.booklet);
                assert!(strays.is_empty(), "{sample} {edition} {paper}: {:#?}", &strays[..strays.len().min(5)]);
                if edition != "materials" {
                    // Sheets without a knot are left out.
                    let knots = made.prepared.project.chart.cells().iter().flatten().count();
                    assert!(report.cells >= knots, "{sample} {edition} {paper}");
                }
            }
        }
    }
}

#[test]
fn no_text_lies_on_other_text() {
    for sample in SAMPLES {
        let made = finished(sample, "booklet", "a4", Ink::Saving);
        let overlaps = overlaps(&made.booklet);
        assert!(overlaps.is_empty(), "{sample}: {overlaps:#?}");
    }
}

#[test]
fn composing_twice_from_elsewhere_and_in_another_time_zone_gives_the_same_bytes() {
    let room = Room::new();
    let program = env!("CARGO_BIN_EXE_hitchpress");
    let project = repository("samples/two-pears");
    let mut files = Vec::new();
    for (name, folder, zone, locale) in [
        ("first.pdf", repository("."), "UTC", "C"),
        ("second.pdf", room.path().to_path_buf(), "Pacific/Auckland", "de_DE.UTF-8"),
    ] {
        let file = room.path().join(name);
        let status = Command::new(program)
            .args(["compose".as_ref(), project.as_os_str(), "-o".as_ref(), file.as_os_str()])
            .current_dir(folder)
            .env("TZ", zone)
            .env("LC_ALL", locale)
            .env("LANG", locale)
            .output()
            .expect("the program starts");
        assert!(status.status.success(), "{}", String::from_utf8_lossy(&status.stderr));
        files.push(std::fs::read(file).expect("the file is there"));
    }
    assert!(files[0] == files[1], "the two files differ");
}

#[test]
fn an_older_booklet_survives_a_compose_that_fails() {
    let room = Room::new();
    room.write("project/project.toml", "format = 1\ntitle = 7\n");
    room.write("project/booklet.pdf", "the old one");
    let ran = room.run(&["compose", "project", "-o", "project/booklet.pdf"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert_eq!(std::fs::read(room.path().join("project/booklet.pdf")).expect("still there"), b"the old one");
    let ran = room.run(&["compose", "project", "-o", "project/booklet.pdf", "--edition", "poster"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert_eq!(room.files().len(), 2, "{:?}", room.files());
}

#[test]
fn a_starter_project_composes_and_proves_at_once() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    let ran = room.run(&["compose", "boat", "-o", "boat.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = room.run(&["proof", "boat", "boat.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
}

#[test]
fn an_unknown_edition_paper_or_language_is_named_and_nothing_is_written() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    let before = room.files();
    // What can be typed is a few words for most options: the command line refuses others and lists them.
    for (option, value, code, list) in [
        ("--edition", "poster", 2, "possible values: booklet"),
        ("--paper", "a9", 2, "possible values: a4"),
        ("--look", "loud", 2, "possible values: quiet"),
        ("--language", "xx", 2, "choose one of"),
    ] {
        let ran = room.run(&["compose", "boat", option, value]);
        assert_eq!(ran.code, code, "{option} {value}: {}", ran.err);
        assert!(ran.err.contains(value), "{}", ran.err);
        assert!(ran.err.contains(list), "{}", ran.err);
    }
    assert_eq!(room.files(), before);
}

#[test]
fn the_display_list_of_a_small_chart_is_dumped_the_same_each_time() {
    let text = |made: &crate::finished::Finished| dump::dump(&made.booklet);
    let [one, two] = [(); 2].map(|()| made(sample("two-pears"), order("chart", "a4", Ink::Full), None));
    assert_eq!(text(&one), text(&two));
    assert!(text(&one).contains("cells "));
}
