//! What nobody could read or print never passes `check`, nor is a file of it made: letters in the colour of the paper, fonts
//! without outlines, looks without room, a photograph that is cut off, letters that no face has, addresses that lead astray.

use crate::shop::pattern::tiny;
use crate::support::{Room, repository};

/// A small panel whose booklet has a layout, a look and a face of its own.
fn own() -> Room {
    let room = Room::new();
    let project = tiny(&room, "tiny", "Tiny Boat");
    let text = std::fs::read_to_string(&project).expect("a project");
    room.write("tiny/project.toml", format!("{text}[print]\nlayout = \"layout.toml\"\n"));
    let layout = std::fs::read_to_string(repository("layouts/booklet.toml")).expect("a layout");
    room.write("tiny/layout.toml", layout.replace("look = \"quiet\"", "look = \"look.toml\""));
    room.write("tiny/look.toml", look());
    room
}

fn look() -> String {
    std::fs::read_to_string(repository("layouts/looks/quiet.toml")).expect("a look")
}

/// `check` and `compose` both tell the fault with its file, and nothing is written.
fn told(room: &Room, why: &str, id: &str, file: &str) {
    for typed in [&["check", "tiny"][..], &["compose", "tiny", "-o", "tiny.pdf"]] {
        let ran = room.run(typed);
        assert_eq!(ran.code, 1, "{why}, {typed:?}: {}", ran.err);
        let has = |words: &str| ran.err.contains(words);
        assert!(has(&format!("fault[{id}]")) && has(file) && has("hint"), "{why}, {typed:?}: {}", ran.err);
    }
    assert!(!room.path().join("tiny.pdf").exists(), "{why}");
}

#[test]
fn looks_that_cannot_be_read_or_leave_no_room_are_told() {
    let room = own();
    assert_eq!(room.run(&["compose", "tiny", "-o", "good.pdf"]).code, 0);
    for (key, value, id) in [
        ("text", "#ffffff", "faint-text"),
        // 2.85 to 1 by the formula of WCAG 2.2; 3 to 1 is its least for large letters.
        ("quiet", "#999999", "faint-text"),
        ("measure", "30 mm", "out-of-range"),
        ("gutter", "41 mm", "out-of-range"),
        ("size", "4 pt", "out-of-range"),
        ("size", "80 pt", "out-of-range"),
        ("leading", "8 pt", "lines-too-near"),
        ("heavy", "90 pt", "out-of-range"),
    ] {
        let line = |line: &str| line.split_once(" = ").filter(|(name, _)| *name == key).is_some();
        let changed = |old: &str| if line(old) { format!("{key} = \"{value}\"") } else { old.to_owned() };
        room.write("tiny/look.toml", look().lines().map(changed).collect::<Vec<_>>().join("\n"));
        told(&room, &format!("{key} = {value}"), id, "look.toml");
    }
}

#[test]
fn fonts_without_outlines_or_units_are_told() {
    let room = own();
    room.write("tiny/look.toml", look().replace("[colours]", "[fonts]\ntext = \"mine.ttf\"\n\n[colours]"));
    let face = std::fs::read(repository("fonts/source-sans/SourceSans3-Regular.ttf")).expect("a face");
    room.write("tiny/mine.ttf", &face);
    assert_eq!(room.run(&["compose", "tiny", "-o", "good.pdf"]).code, 0);
    let of = |tag: &[u8]| face.windows(4).position(|four| four == tag).expect("an entry of the directory");
    let mut without = face.clone();
    without[of(b"glyf")..][..4].copy_from_slice(b"glyX");
    room.write("tiny/mine.ttf", &without);
    told(&room, "no outlines", "font-without-outlines", "mine.ttf");
    // `unitsPerEm` stands 18 bytes into the table `head` (OpenType specification).
    let entry = of(b"head");
    let head = u32::from_be_bytes(face[entry + 8..entry + 12].try_into().expect("four bytes")) as usize;
    let mut unmeasured = face.clone();
    unmeasured[head + 18..head + 20].fill(0);
    room.write("tiny/mine.ttf", &unmeasured);
    told(&room, "no units", "font-unreadable", "mine.ttf");
}

#[test]
fn a_photograph_that_is_cut_off_is_told() {
    for (name, format) in [("cover.jpg", image::ImageFormat::Jpeg), ("cover.png", image::ImageFormat::Png)] {
        let room = own();
        let drawn = image::RgbImage::from_fn(400, 300, |x, y| image::Rgb([(x % 256) as u8, (y % 256) as u8, 90]));
        let mut bytes = std::io::Cursor::new(Vec::new());
        drawn.write_to(&mut bytes, format).expect("a picture");
        let bytes = bytes.into_inner();
        let text = std::fs::read_to_string(room.path().join("tiny/project.toml")).expect("a project");
        room.write("tiny/project.toml", format!("photograph = \"{name}\"\n{text}"));
        room.write(&format!("tiny/{name}"), &bytes);
        assert_eq!(room.run(&["check", "tiny"]).code, 0, "{name}");
        for share in [2, 10, 90] {
            room.write(&format!("tiny/{name}"), &bytes[..bytes.len() * share / 100]);
            let ran = room.run(&["compose", "tiny", "-o", "tiny.pdf"]);
            assert_eq!(ran.code, 1, "{name}, {share} %: {}", ran.err);
            assert!(ran.err.contains(name) && ran.err.contains("hint"), "{name}, {share} %: {}", ran.err);
            assert!(!room.path().join("tiny.pdf").exists());
        }
    }
}

#[test]
fn letters_that_no_face_has_are_told_and_a_name_is_found_for_the_file() {
    let room = Room::new();
    tiny(&room, "tiny", "\u{6d77} boat");
    told(&room, "a title", "no-such-glyph", "project.toml");
    tiny(&room, "tiny", "Łódź");
    let ran = room.run(&["compose", "tiny", "--edition", "materials", "--paper", "a5"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(room.path().join("tiny/lodz-materials-a5.pdf").is_file(), "{}", ran.err);
    let ran = room.run(&["pictures", "tiny", "--width", "200", "--watermark", "\u{6d77}", "-o", "drawn"]);
    assert!(ran.code == 1 && ran.err.contains("no-such-glyph"), "{}", ran.err);
    // What turns the direction of words has no letter either.
    let ran = room.run(&["pictures", "tiny", "--width", "200", "--watermark", "A\u{202e}", "-o", "drawn"]);
    assert!(ran.code == 2 && ran.err.contains("U+202E"), "{}", ran.err);
    assert!(!room.path().join("drawn").exists());
}

#[test]
fn addresses_that_lead_astray_are_told() {
    for (key, address) in [
        ("errata", "ftp://example.org/boat"),
        ("errata", "javascript:alert(1)"),
        ("contact", "file:///etc/passwd"),
        ("contact", "data:text/html,x"),
    ] {
        let room = Room::new();
        let project = tiny(&room, "tiny", "Tiny Boat");
        let text = std::fs::read_to_string(&project).expect("a project");
        room.write("tiny/project.toml", format!("{key} = \"{address}\"\n{text}"));
        let ran = room.run(&["check", "tiny"]);
        assert_eq!(ran.code, 1, "{address}: {}", ran.err);
        assert!(ran.err.contains("https://") && ran.err.contains("project.toml:1"), "{address}: {}", ran.err);
    }
    let room = Room::new();
    let project = tiny(&room, "tiny", "Tiny Boat");
    let text = std::fs::read_to_string(&project).expect("a project");
    let words = "[[own-words]]\nsection = \"care\"\nwords = \"See [this](ftp://example.org).\"\n";
    room.write("tiny/project.toml", format!("{text}{words}"));
    let ran = room.run(&["check", "tiny"]);
    assert!(ran.code == 1 && ran.err.contains("https://"), "{}", ran.err);
}
