//! `hitchpress pictures`: what it writes, what it never touches.

use crate::support::{Room, repository};

fn sample() -> String {
    repository("samples/two-pears").display().to_string()
}

/// Width and height from a PNG file's header (PNG 1.2, 11.2.2: eight bytes of signature, then the header chunk).
fn size(png: &[u8]) -> (u32, u32) {
    assert_eq!(&png[..8], b"\x89PNG\r\n\x1a\n");
    let at = |i: usize| u32::from_be_bytes([png[i], png[i + 1], png[i + 2], png[i + 3]]);
    (at(16), at(20))
}

#[test]
fn the_panel_is_drawn_as_wide_as_it_is_asked_for_and_the_same_twice() {
    let room = Room::new();
    for folder in ["one", "two"] {
        let ran = room.run(&["pictures", &sample(), "--width", "640", "-o", folder]);
        assert_eq!((ran.code, ran.out.as_str()), (0, ""), "{}", ran.err);
    }
    let read = |folder: &str| std::fs::read(room.path().join(folder).join("panel.png")).expect("a picture");
    assert_eq!(size(&read("one")), (640, 800));
    assert!(read("one") == read("two"), "the same project gave other bytes");
}

#[test]
fn the_panels_colours_are_those_of_its_yarns() {
    let room = Room::new();
    assert_eq!(room.run(&["pictures", &sample(), "--width", "800", "-o", "out"]).code, 0);
    let bytes = std::fs::read(room.path().join("out/panel.png")).expect("a picture");
    let picture = hitchpress::picture::seen(&bytes).expect("a PNG");
    let mut sources = hitchpress::source::Sources::new();
    let mut report = hitchpress::diag::Report::new();
    let project = hitchpress::project::load(sample().as_ref(), &mut sources, &mut report).expect("a sample");
    for (_, yarn) in project.palette.iter() {
        let own = [yarn.colour.r, yarn.colour.g, yarn.colour.b];
        let near = |a: [u8; 3]| a.iter().zip(own).all(|(a, b)| a.abs_diff(b) <= 2);
        let seen = picture.rgb.chunks(3).filter(|p| near([p[0], p[1], p[2]])).count();
        assert!(seen > 20, "{}: {seen} pixels", yarn.name);
    }
}

#[test]
fn a_folder_with_files_of_the_makers_own_is_left_as_it_is() {
    let room = Room::new();
    assert_eq!(room.run(&["pictures", &sample(), "--width", "300", "-o", "out"]).code, 0);
    assert_eq!(room.run(&["pictures", &sample(), "--width", "300", "-o", "out"]).code, 0);
    room.write("out/holiday.png", "mine");
    let before = room.files();
    let ran = room.run(&["pictures", &sample(), "--width", "300", "-o", "out"]);
    assert_eq!(ran.code, 3);
    assert!(ran.err.contains("holiday.png"), "{}", ran.err);
    assert_eq!(room.files(), before);
}
