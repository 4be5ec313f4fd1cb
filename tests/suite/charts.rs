//! Charts as text and as pictures, and what happens to files that are neither.

use crate::support::Room;
use hitchpress::chart::{Chart, Colour, YarnId, grid_picture, grid_text};
use hitchpress::diag::Report;
use hitchpress::project::{self, Project};
use hitchpress::source::Sources;
use image::{DynamicImage, ImageFormat, Rgba, RgbaImage};
use std::io::Cursor;
use std::path::{Path, PathBuf};

const HEAD: &str = r##"format = 1
title = "Two Stripes"
maker = "Ada Example"
date = 2025-03-01
cord = { diameter = "3 mm" }
"##;
const YARNS: &str = r##"
[[yarn]]
key = "A"
name = "sand"
colour = "#d8b26e"
wraps-per-inch = 10
[[yarn]]
key = "b"
name = "grey"
colour = "#808080"
wraps-per-inch = 10
[[yarn]]
key = "Ö"
name = "black"
colour = "#000000"
wraps-per-inch = 10
"##;

fn load(folder: &Path) -> (Option<Project>, Vec<String>) {
    let mut report = Report::new();
    let project = project::load(folder, &mut Sources::new(), &mut report);
    (project, report.iter().map(|d| format!("{}: {}", d.id, d.message)).collect())
}

fn with_chart(name: &str, bytes: &[u8]) -> (Option<Project>, Vec<String>) {
    let room = Room::new();
    room.write("project.toml", format!("chart = \"{name}\"\n{HEAD}{YARNS}"));
    room.write(name, bytes);
    load(room.path())
}

fn picture() -> RgbaImage {
    let (sand, grey, black, bare) =
        (Rgba([0xd8, 0xb2, 0x6e, 255]), Rgba([0x80, 0x80, 0x80, 255]), Rgba([0, 0, 0, 255]), Rgba([9, 8, 7, 0]));
    let rows = [[sand, grey, black], [bare, sand, sand], [black, black, grey], [sand, sand, sand]];
    RgbaImage::from_fn(3, 4, |x, y| rows[y as usize][x as usize])
}

fn packed(picture: DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Vec::new();
    picture.write_to(&mut Cursor::new(&mut bytes), format).expect("a packed picture");
    bytes
}

fn wanted() -> Chart {
    let [sand, grey, black] = [0, 1, 2].map(|id| Some(YarnId(id)));
    let cells = vec![sand, grey, black, None, sand, sand, black, black, grey, sand, sand, sand];
    Chart::new(3, cells).expect("whole rows")
}

#[test]
fn text_and_pictures_of_every_kind_give_the_same_chart() {
    let text = with_chart("chart.txt", "\u{feff}AbÖ\r\n.AA  \r\nÖÖb\r\nAAA\r\n\r\n".as_bytes());
    assert_eq!(text.1, Vec::<String>::new());
    assert_eq!(text.0.map(|p| p.chart), Some(wanted()));
    for format in [ImageFormat::Png, ImageFormat::Bmp, ImageFormat::WebP, ImageFormat::Gif] {
        let bytes = packed(DynamicImage::ImageRgba8(picture()), format);
        // The name's ending does not matter: the first bytes say what it is.
        let (project, said) = with_chart("chart.dat", &bytes);
        assert_eq!(said, Vec::<String>::new(), "{format:?}");
        assert_eq!(project.map(|p| p.chart), Some(wanted()), "{format:?}");
    }
}

#[test]
fn pictures_of_other_colour_types_are_read_exactly() {
    // Sixteen bits a channel: 257 times the eight-bit value is the same colour, anything else is not.
    let wide = DynamicImage::ImageRgba8(picture()).into_rgba16();
    let (project, said) = with_chart("chart.png", &packed(DynamicImage::ImageRgba16(wide.clone()), ImageFormat::Png));
    assert_eq!(said, Vec::<String>::new());
    assert_eq!(project.map(|p| p.chart), Some(wanted()));
    let mut off = wide;
    off.get_pixel_mut(0, 0).0[0] += 1;
    let (project, said) = with_chart("chart.png", &packed(DynamicImage::ImageRgba16(off), ImageFormat::Png));
    assert!(project.is_none() && said.len() == 1 && said[0].contains("column 1, row 1"), "{said:?}");
    // Grey, without an alpha channel.
    let grey = image::GrayImage::from_fn(2, 1, |x, _| image::Luma([if x == 0 { 0x80 } else { 0 }]));
    let (project, said) = with_chart("chart.png", &packed(DynamicImage::ImageLuma8(grey), ImageFormat::Png));
    assert_eq!(said, ["unused-yarn: no knot is tied with yarn `A`, sand"]);
    assert_eq!(project.map(|p| p.chart), Chart::new(2, vec![Some(YarnId(1)), Some(YarnId(2))]));
}

#[test]
fn a_strange_pixel_is_named_with_its_colour_and_the_nearest_yarn() {
    let mut drawn = picture();
    drawn.put_pixel(2, 3, Rgba([0x84, 0x7f, 0x81, 255]));
    let room = Room::new();
    room.write("project.toml", format!("chart = \"chart.png\"\n{HEAD}{YARNS}"));
    room.write("chart.png", packed(DynamicImage::ImageRgba8(drawn), ImageFormat::Png));
    let ran = room.run(&["check", "."]);
    assert_eq!(ran.code, 1);
    for words in ["`#847f81`", "column 3, row 4", "the nearest is yarn `b`, `#808080`"] {
        assert!(ran.err.contains(words), "{words} in\n{}", ran.err);
    }
}

#[test]
fn a_chart_of_the_largest_size_is_read_and_a_larger_picture_refused_from_its_header() {
    let largest = RgbaImage::from_pixel(2_000, 2_000, Rgba([0, 0, 0, 255]));
    let (project, _) = with_chart("chart.png", &packed(DynamicImage::ImageRgba8(largest), ImageFormat::Png));
    assert_eq!(project.map(|p| p.chart.knots()), Some(4_000_000));
    // A header that promises sixteen thousand million pixels, and nothing behind it: decoding it would fail otherwise.
    let mut bomb = packed(DynamicImage::ImageLuma8(image::GrayImage::new(1, 1)), ImageFormat::Png);
    bomb[16..24].copy_from_slice(&[0, 1, 0xe8, 0x48, 0, 1, 0xe8, 0x48]);
    let check = crc(&bomb[12..29]);
    bomb[29..33].copy_from_slice(&check.to_be_bytes());
    let (project, said) = with_chart("chart.png", &bomb);
    assert!(project.is_none());
    assert!(said[0].starts_with("chart-too-large"), "{said:?}");
}

/// The checksum of a PNG chunk (PNG specification, annex D), bit by bit.
fn crc(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 { (crc >> 1) ^ 0xedb8_8320 } else { crc >> 1 };
        }
    }
    !crc
}

/// The bytes with a few of them changed, or other bytes altogether.
fn spoilt(seed: &[u8], random: &mut fastrand::Rng) -> Vec<u8> {
    let mut bytes = seed.to_vec();
    if random.u8(..) < 40 {
        bytes = (0..random.usize(..300)).map(|_| random.u8(..)).collect();
    }
    for _ in 0..random.usize(1..6) {
        let at = random.usize(..=bytes.len());
        match random.u8(..6) {
            0 if at < bytes.len() => bytes[at] = random.u8(..),
            1 => bytes.insert(at, random.u8(..)),
            2 => bytes.truncate(at),
            3 if at < bytes.len() => drop(bytes.remove(at)),
            4 => bytes.splice(at..at, *b"[[{\"'").for_each(drop),
            _ => {
                let from = random.usize(..=at);
                let part = bytes[from..at].to_vec();
                bytes.splice(at..at, part);
            }
        }
    }
    bytes
}

const GOOD_CHART: &str = "AbÖ\r\n.AA\nÖÖb\n";

#[test]
fn random_project_files_never_end_in_a_panic() {
    let mut random = fastrand::Rng::with_seed(2025);
    let room = Room::new();
    let good = format!("chart = \"chart.txt\"\n{HEAD}{YARNS}");
    room.write("chart.txt", GOOD_CHART);
    let mut clean = 0;
    for round in 0..1_500 {
        room.write("project.toml", spoilt(good.as_bytes(), &mut random));
        let mut report = Report::new();
        let mut sources = Sources::new();
        let project = project::load(room.path(), &mut sources, &mut report);
        // A stage that returns nothing has put a fault into the report, and the other way round.
        assert_eq!(project.is_none(), report.has_faults(), "round {round}");
        let _shown = hitchpress::cli::report::rendered(&report, &sources, false);
        clean += usize::from(project.is_some());
    }
    // Both ways must have been gone, or the rounds prove nothing.
    assert!(clean > 20 && clean < 1_400, "{clean}");
}

#[test]
fn random_charts_never_end_in_a_panic() {
    let mut random = fastrand::Rng::with_seed(2026);
    let kinds = [ImageFormat::Png, ImageFormat::Gif, ImageFormat::Bmp, ImageFormat::WebP];
    let mut seeds: Vec<Vec<u8>> = kinds.map(|kind| packed(DynamicImage::ImageRgba8(picture()), kind)).to_vec();
    seeds.push(GOOD_CHART.as_bytes().to_vec());
    let letters = ['A', 'b', 'Ö'].map(Some);
    let colours = [("A", "#d8b26e"), ("b", "#808080"), ("Ö", "#000000")]
        .map(|(key, hex)| Some((key.chars().next()?, Colour::from_hex(hex)?)));
    let (mut clean, mut refused) = (0, 0);
    for round in 0..10_000 {
        let bytes = spoilt(&seeds[round % seeds.len()], &mut random);
        let mut sources = Sources::new();
        let id = sources.add(PathBuf::from("chart"), bytes);
        for picture in [false, true] {
            let mut report = Report::new();
            let chart = if picture {
                grid_picture::read(&sources, id, &colours, &mut report)
            } else {
                sources.get(id).text().and_then(|text| grid_text::read(text, id, &letters, &mut report))
            };
            assert_eq!(
                chart.is_none(),
                report.has_faults() || (!picture && sources.get(id).text().is_none()),
                "{round}"
            );
            let _shown = hitchpress::cli::report::rendered(&report, &sources, false);
            clean += usize::from(chart.is_some());
            refused += usize::from(chart.is_none());
        }
    }
    assert!(clean > 200 && refused > 5_000, "{clean} {refused}");
}
