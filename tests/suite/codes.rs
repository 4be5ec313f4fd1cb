//! Codes for a phone's camera, read off the drawn pages by a reader that shares nothing with what makes them.

use crate::support::{Room, repository};
use hitchpress::picture::SrgbPicture;
use hitchpress::preview;
use std::collections::BTreeSet;

/// A4 and A5 at 150 dots an inch, in millimetres of their width.
const WIDTHS: [(&str, f64); 4] = [("a4", 210.0), ("letter", 215.9), ("a5", 148.0), ("half-letter", 139.7)];

/// What the codes of a page say.
fn read(page: &SrgbPicture) -> Vec<String> {
    // As a grey print: the mean of light is what a copier sees, near enough.
    let grey = |x: usize, y: usize| {
        let at = (y * page.width + x) * 3;
        let [r, g, b] = [page.rgb[at], page.rgb[at + 1], page.rgb[at + 2]].map(u32::from);
        ((r * 2126 + g * 7152 + b * 722) / 10_000) as u8
    };
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(page.width, page.height, grey);
    image.detect_grids().iter().filter_map(|grid| grid.decode().ok()).map(|(_, text)| text).collect()
}

#[test]
fn codes_of_the_video_and_of_the_corrections_are_read_from_every_paper() {
    let room = Room::new();
    let project = std::fs::read_to_string(repository("samples/two-pears/project.toml")).expect("a sample");
    crate::support::copy(&repository("samples/two-pears"), &room.path().join("pears"));
    let plain: String = project.lines().filter(|line| !line.starts_with("errata")).map(|l| format!("{l}\n")).collect();
    let written =
        format!("errata = \"example.org/two-pears/corrections\"\nvideo = \"https://example.org/v/7\"\n{plain}");
    room.write("pears/project.toml", written);
    for (paper, width_mm) in WIDTHS {
        let ran = room.run(&["compose", "pears", "--paper", paper, "-o", "pears.pdf"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let bytes = std::fs::read(room.path().join("pears.pdf")).expect("a file");
        let mut found = BTreeSet::new();
        let width = (width_mm / 25.4 * 150.0) as usize;
        // The codes stand at a glance, within the first pages.
        preview::each(&bytes, |page| (page < 5).then_some(width), |_, page| found.extend(read(&page))).expect("pages");
        let wanted = ["https://example.org/two-pears/corrections", "https://example.org/v/7"];
        assert_eq!(found.iter().map(String::as_str).collect::<Vec<_>>(), wanted, "{paper}");
        let proof = room.run(&["proof", "pears", "pears.pdf", "--paper", paper]);
        assert_eq!(proof.code, 0, "{}", proof.err);
    }
}

#[test]
fn only_pages_and_mailboxes_are_addresses() {
    let room = Room::new();
    crate::support::copy(&repository("samples/two-pears"), &room.path().join("pears"));
    let project = std::fs::read_to_string(repository("samples/two-pears/project.toml")).expect("a sample");
    for (video, id) in [("javascript:alert(1)", "other-address"), ("example.org/a b", "not-an-address")] {
        room.write("pears/project.toml", format!("video = \"{video}\"\n{project}"));
        let ran = room.run(&["check", "pears"]);
        assert!(ran.code == 1 && ran.err.contains(id), "{video}: {}", ran.err);
    }
}
