//! Flat drawings become charts in exactly their own colours, with what is small and strong kept, and symmetry too.

use super::sketch::{self, Sketch};
use crate::support::Room;
use hitchpress::chart_from::cells::View;
use hitchpress::chart_from::drawing::{Detail, Drawing};
use hitchpress::colour::Colour;
use hitchpress::picture::{self, SrgbPicture};
use std::collections::BTreeSet;

/// Knots of 5.598 x 3.353 mm: the worked value for 3 mm cord and yarn of 10 wraps per inch.
const PROPORTION: f64 = 5.598 / 3.353;

struct Charted {
    columns: usize,
    rows: usize,
    cells: Vec<Colour>,
    symmetrical: bool,
}

fn charted(seen: &SrgbPicture, columns: usize, name: &str) -> Charted {
    let drawing = Drawing::find(seen).unwrap_or_else(|| panic!("{name} is no drawing"));
    let rows = (columns as f64 * PROPORTION * seen.height as f64 / seen.width as f64).round() as usize;
    let drawn = drawing.knots(&View::WHOLE, columns, rows, Detail(0.16));
    let cells = drawn.cells.iter().map(|&at| drawing.colours[usize::from(at)]).collect();
    Charted { columns, rows, cells, symmetrical: drawn.symmetrical }
}

fn faults(sketch: &Sketch, chart: &Charted, exact: bool) -> Vec<String> {
    let mut faults = Vec::new();
    let own = sketch.colours();
    // JPEG moves a colour by a step or two.
    let of = |colour: Colour| {
        let alike = |known: &&Colour| if exact { **known == colour } else { known.difference(colour) < 4.0 };
        own.iter().find(alike).copied()
    };
    let mut cells = Vec::new();
    for cell in &chart.cells {
        match of(*cell) {
            Some(known) => cells.push(known),
            None => {
                faults.push(format!("{} is no colour of the drawing", cell.to_hex()));
                cells.push(*cell);
            }
        }
    }
    let used: BTreeSet<Colour> = cells.iter().copied().collect();
    for colour in &own {
        let share = sketch.share(*colour);
        if share > 0.003 && !used.contains(colour) {
            faults.push(format!("{} has {:.2} % of the area and no knot", colour.to_hex(), 100.0 * share));
        }
    }
    if sketch.symmetrical {
        let crooked = cells.chunks(chart.columns).filter(|row| !row.iter().eq(row.iter().rev())).count();
        if crooked > 0 || !chart.symmetrical {
            faults.push(format!("{crooked} of {} rows are not symmetrical", chart.rows));
        }
    } else if chart.symmetrical {
        faults.push("taken for symmetrical".to_owned());
    }
    for (x, y, colour) in &sketch.features {
        let (column, row) = (x * chart.columns as f64, y / sketch.high * chart.rows as f64);
        let near = |at: f64, count: usize| {
            let at = at.floor() as usize;
            at.saturating_sub(1)..(at + 2).min(count)
        };
        let kept =
            near(row, chart.rows).any(|r| near(column, chart.columns).any(|c| cells[r * chart.columns + c] == *colour));
        if !kept {
            faults.push(format!("nothing of {} at {x}, {y}", colour.to_hex()));
        }
    }
    faults.sort();
    faults.dedup();
    faults
}

/// In how many ways each drawing is drawn: pixels, points of smoothing, columns.
const WAYS: [(usize, usize, usize); 4] = [(600, 3, 40), (300, 1, 64), (480, 3, 80), (260, 3, 32)];

#[test]
fn flat_drawings_keep_their_colours_their_small_shapes_and_their_symmetry() {
    let sketches = sketch::all();
    assert!(sketches.len() >= 20, "{}", sketches.len());
    let mut wrong = Vec::new();
    for (nth, sketch) in sketches.iter().enumerate() {
        for (way, (pixels, smooth, columns)) in WAYS.into_iter().enumerate() {
            // One of the ways in turn, where nothing else is asked for.
            if way != nth % WAYS.len() && !super::old_charts::every_picture() {
                continue;
            }
            let seen = sketch.drawn(pixels, smooth);
            let chart = charted(&seen, columns, sketch.name);
            let faults = faults(sketch, &chart, true);
            if !faults.is_empty() {
                wrong.push(format!("{} {pixels} px, {columns} columns: {}", sketch.name, faults.join("; ")));
                save(sketch, columns, &seen, &chart);
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Leaves picture and chart where they can be looked at, if a folder is named for them.
fn save(sketch: &Sketch, columns: usize, seen: &SrgbPicture, chart: &Charted) {
    let Ok(folder) = std::env::var("LOOK_AT") else { return };
    let (w, h) = (10, 6);
    let pixel = |at: usize| {
        let (x, y) = (at % (chart.columns * w) / w, at / (chart.columns * w) / h);
        let colour = chart.cells[y * chart.columns + x];
        [colour.r, colour.g, colour.b]
    };
    let rgb = (0..chart.columns * w * chart.rows * h).flat_map(pixel).collect();
    let drawn = SrgbPicture { width: chart.columns * w, height: chart.rows * h, rgb };
    for (what, picture) in [("picture", seen), ("chart", &drawn)] {
        let path = format!("{folder}/{}-{columns}-{what}.png", sketch.name.replace(' ', "-"));
        std::fs::write(path, picture::png(picture).expect("a PNG")).expect("a file");
    }
}

fn jpeg(seen: &SrgbPicture, quality: u8) -> Vec<u8> {
    let mut bytes = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, quality)
        .encode(&seen.rgb, seen.width as u32, seen.height as u32, image::ExtendedColorType::Rgb8)
        .expect("a JPEG");
    bytes
}

#[test]
#[ignore = "dear: .ci/run runs it with --ignored"]
fn drawings_packed_with_loss_or_drawn_small_are_still_drawings() {
    let mut wrong = Vec::new();
    for (nth, sketch) in sketch::all().into_iter().enumerate() {
        if nth % 3 != 0 && !super::old_charts::every_picture() {
            continue;
        }
        let seen = picture::seen(&jpeg(&sketch.drawn(640, 3), 85)).expect("a picture");
        let chart = charted(&seen, 48, sketch.name);
        let faults = faults(&sketch, &chart, false);
        if !faults.is_empty() {
            wrong.push(format!("{}: {}", sketch.name, faults.join("; ")));
            save(&sketch, 48, &seen, &chart);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_photograph_is_taken_for_a_drawing() {
    for name in super::PHOTOGRAPHS {
        let bytes = std::fs::read(super::photograph(name)).expect("a file");
        assert!(Drawing::find(&picture::seen(&bytes).expect("a picture")).is_none(), "{name}");
    }
}

#[test]
fn light_that_passes_from_one_colour_into_another_is_no_drawing() {
    // Leaves far out of focus, as behind whatever a camera was set to: hardly a pixel differs from the next.
    let blobs = [
        ((60.0, 50.0, 90.0), [5.0, 50.0, 45.0]),
        ((330.0, 60.0, 100.0), [0.0, 30.0, 38.0]),
        ((380.0, 250.0, 90.0), [8.0, 34.0, 10.0]),
    ];
    let (width, height) = (420, 280);
    let pixel = |at: usize| {
        let (x, y) = ((at % width) as f64, (at / width) as f64);
        let mut rgb = [6.0, 12.0, 14.0];
        for ((u, v, wide), light) in blobs {
            let share = (-((x - u).powi(2) + (y - v).powi(2)) / (2.0 * wide * wide)).exp();
            (0..3).for_each(|i| rgb[i] += share * light[i]);
        }
        let grain = (at * 7919 % 101 % 3) as f64;
        rgb.map(|v: f64| (v + grain).min(255.0) as u8)
    };
    let rgb = (0..width * height).flat_map(pixel).collect();
    assert!(Drawing::find(&SrgbPicture { width, height, rgb }).is_none());
}

#[test]
#[ignore = "dear: .ci/run runs it with --ignored"]
fn fewer_yarns_than_colours_mix_none() {
    let fox = sketch::all().into_iter().next().expect("a fox");
    let room = Room::new();
    room.write("fox.png", picture::png(&fox.drawn(560, 4)).expect("a PNG"));
    for (yarns, kept) in [("3", 3), ("4", 4), ("5", 5), ("9", 5)] {
        let folder = format!("fox-{yarns}");
        let ran = room.run(&["chart-from", "fox.png", "--columns", "36", "--yarns", yarns, "-o", &folder]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(ran.err.contains("seen as a drawing of 5 flat colours"), "{}", ran.err);
        let project = super::project(&room.path().join(&folder));
        assert_eq!(project.palette.len(), kept);
        let own = fox.colours();
        assert!(project.palette.iter().all(|(_, yarn)| own.contains(&yarn.colour)));
        // Cream for the face is missed more than white for two small lights.
        assert!(kept < 4 || project.palette.iter().any(|(_, yarn)| yarn.colour == sketch::hex("#f4e6cc")));
    }
    let ran = room.run(&["chart-from", "fox.png", "--columns", "36", "--as", "photograph", "-o", "shaded"]);
    assert!(ran.code == 0 && !ran.err.contains("drawing"), "{}", ran.err);
}
