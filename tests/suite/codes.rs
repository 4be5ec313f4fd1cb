//! Codes for a phone's camera, read off the drawn pages by a reader that shares nothing with what makes them.

use crate::support::{Room, repository};
use hitchpress::picture::SrgbPicture;
use hitchpress::preview;
use std::collections::BTreeSet;

/// Every paper with its width in millimetres (ISO 216, ANSI/ASME Y14.1; that of the screen as the program has it).
const WIDTHS: [(&str, f64); 7] = [
    ("a4", 210.0),
    ("letter", 215.9),
    ("a5", 148.0),
    ("half-letter", 139.7),
    ("a3", 297.0),
    ("tabloid", 279.4),
    ("small-screen", 90.0),
];
/// The widest of the usual ones, a small one and the smallest; `HITCHPRESS_EVERY_PAPER` asks for all.
const USUAL: [&str; 3] = ["a4", "half-letter", "small-screen"];
/// Where the codes lead.
const LED: [&str; 2] = ["https://example.org/two-pears/corrections", "https://example.org/v/7"];

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

/// A page as a tired grey printer leaves it: ink that spreads to its neighbours, paper that is not white, black that is not
/// black.
fn printed_grey(page: &SrgbPicture) -> SrgbPicture {
    let (width, height) = (page.width, page.height);
    let light = |x: usize, y: usize| {
        let at = (y * width + x) * 3;
        let [r, g, b] = [page.rgb[at], page.rgb[at + 1], page.rgb[at + 2]].map(u32::from);
        (r * 2126 + g * 7152 + b * 722) / 10_000
    };
    let mut rgb = Vec::with_capacity(page.rgb.len());
    for y in 0..height {
        for x in 0..width {
            let (xs, ys) = (x.saturating_sub(1)..(x + 2).min(width), y.saturating_sub(1)..(y + 2).min(height));
            let around = ys.flat_map(|y| xs.clone().map(move |x| (x, y)));
            let (sum, count) = around.fold((0, 0), |(sum, count), (x, y)| (sum + light(x, y), count + 1));
            let mean = (sum / count + light(x, y)) / 2;
            rgb.extend([(50 + mean * 180 / 255) as u8; 3]);
        }
    }
    SrgbPicture { rgb, ..page.clone() }
}

/// Two pears with addresses wherever one may stand.
fn pears() -> Room {
    let room = Room::new();
    let project = std::fs::read_to_string(repository("samples/two-pears/project.toml")).expect("a sample");
    crate::support::copy(&repository("samples/two-pears"), &room.path().join("pears"));
    let plain: String = project.lines().filter(|line| !line.starts_with("errata")).map(|l| format!("{l}\n")).collect();
    let written = format!(
        "errata = \"example.org/two-pears/corrections\"\nvideo = \"https://example.org/v/7\"\n{plain}\n\
         [[tool]]\nname = \"scissors\"\nlink = \"https://example.org/tools/snips\"\n"
    );
    let written = written
        .replacen(
            "[[yarn]]",
            "[[yarn]]\nlink = \"https://www.example.org/yarns?colour=7&size=a-long-word-behind-it\"",
            1,
        )
        .replacen("[cord]", "[cord]\nlink = \"http://example.org/cord/\"", 1)
        .replacen("[hanging]", "[hanging]\nlink = \"mailto:wood@example.org\"", 1);
    let shop = "[shop]\naddress = \"example.org/shelf\"\n";
    let written =
        if written.contains("[shop]") { written.replacen("[shop]\n", shop, 1) } else { format!("{written}\n{shop}") };
    room.write("pears/project.toml", written);
    room
}

#[test]
#[ignore = "dear: .ci/run runs it with --ignored"]
fn codes_of_the_video_and_of_the_corrections_are_read_from_every_paper() {
    let room = pears();
    let every = std::env::var_os("HITCHPRESS_EVERY_PAPER").is_some();
    for (paper, width_mm) in WIDTHS.into_iter().filter(|(paper, _)| every || USUAL.contains(paper)) {
        for edition in ["booklet", "large-print"] {
            let ran = room.run(&["compose", "pears", "--edition", edition, "--paper", paper, "-o", "pears.pdf"]);
            assert_eq!(ran.code, 0, "{}", ran.err);
            let bytes = std::fs::read(room.path().join("pears.pdf")).expect("a file");
            let (mut found, mut after) = (BTreeSet::new(), BTreeSet::new());
            // 150 dots an inch. The codes stand at a glance, within the first pages.
            let width = (width_mm / 25.4 * 150.0) as usize;
            preview::each(
                &bytes,
                |page| (page < 6).then_some(width),
                |_, page| {
                    let codes = read(&page);
                    if !codes.is_empty() {
                        after.extend(read(&printed_grey(&page)));
                    }
                    found.extend(codes);
                },
            )
            .expect("pages");
            for found in [found, after] {
                assert_eq!(found.iter().map(String::as_str).collect::<Vec<_>>(), LED, "{edition} on {paper}");
            }
        }
    }
    let proof = room.run(&["proof", "pears", "pears.pdf", "--paper", "small-screen", "--edition", "large-print"]);
    assert_eq!(proof.code, 0, "{}", proof.err);
}

/// Every link annotation's address, and what is spoken of it.
fn links(bytes: &[u8]) -> BTreeSet<(String, String)> {
    let document = lopdf::Document::load_mem(bytes).expect("a file");
    let text = |object: &lopdf::Object| lopdf::decode_text_string(object).expect("a text");
    let link = |annotation: &lopdf::Dictionary| {
        let action = document.get_dict_in_dict(annotation, b"A").ok()?;
        let address = String::from_utf8(action.get(b"URI").ok()?.as_str().ok()?.to_vec()).ok()?;
        Some((address, text(annotation.get(b"Contents").ok()?)))
    };
    document.objects.values().filter_map(|object| link(object.as_dict().ok()?)).collect()
}

#[test]
fn every_address_is_a_link_with_a_spoken_name_and_a_print_shop_gets_the_codes_alone() {
    let room = pears();
    assert_eq!(room.run(&["compose", "pears", "-o", "pears.pdf"]).code, 0);
    let bytes = std::fs::read(room.path().join("pears.pdf")).expect("a file");
    let found = links(&bytes);
    for (address, spoken) in [
        ("https://www.example.org/yarns?colour=7&size=a-long-word-behind-it", "example.org/…"),
        ("http://example.org/cord/", "Cord: example.org/cord"),
        ("mailto:wood@example.org", "The wood: wood@example.org"),
        ("https://example.org/tools/snips", "sharp scissors: example.org/tools/snips"),
        ("https://example.org/shelf", "More patterns: example.org/shelf"),
        ("https://example.org/v/7", "Video: example.org/v/7"),
        ("https://example.org/two-pears/corrections", "Corrections: example.org/two-pears/corrections"),
    ] {
        let is_there = found.iter().any(|(to, says)| to == address && says.ends_with(spoken));
        assert!(is_there, "{address}, {spoken}: {found:#?}");
    }
    assert_eq!(room.run(&["proof", "pears", "pears.pdf"]).code, 0);
    room.write("press.icc", crate::print_shop::press::profile());
    let typed =
        ["compose", "pears", "--paper", "a5", "--for", "print-shop", "--profile", "press.icc", "-o", "shop.pdf"];
    let ran = room.run(&typed);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let bytes = std::fs::read(room.path().join("shop.pdf")).expect("a file");
    assert!(links(&bytes).is_empty());
    assert!(!lopdf::Document::load_mem(&bytes).expect("a file").objects.values().any(|object| {
        object
            .as_dict()
            .is_ok_and(|dict| dict.has(b"Annots") || dict.get(b"Subtype").is_ok_and(|it| *it == "Link".into()))
    }));
    let mut found = BTreeSet::new();
    // The sheet is wider than the page by bleed and marks.
    let document = lopdf::Document::load_mem(&bytes).expect("a file");
    let page = document.get_dictionary(document.page_iter().next().expect("a page")).expect("a page");
    let sheet = page.get(b"MediaBox").and_then(lopdf::Object::as_array).expect("a box")[2].as_float().expect("points");
    let width = (f64::from(sheet) / 72.0 * 150.0) as usize;
    preview::each(&bytes, |page| (page < 6).then_some(width), |_, page| found.extend(read(&page))).expect("pages");
    assert_eq!(found.iter().map(String::as_str).collect::<Vec<_>>(), LED);
}

#[test]
fn a_tool_has_one_address() {
    let room = pears();
    let path = room.path().join("pears/project.toml");
    let text = std::fs::read_to_string(&path).expect("a project");
    for (more, id) in [
        ("name = \"scissors\"\nlink = \"example.org/other\"", "repeated-tool"),
        ("name = \"sissors\"\nlink = \"example.org/other\"", "did you mean `scissors`?"),
        ("name = \"comb\"\nlink = \"ftp://example.org/comb\"", "other-address"),
        ("name = \"comb\"", "missing-key"),
    ] {
        std::fs::write(&path, format!("{text}\n[[tool]]\n{more}\n")).expect("written");
        let ran = room.run(&["check", "pears"]);
        assert!(ran.code == 1 && ran.err.contains(id), "{more}: {}", ran.err);
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
