//! What must hold for the drawing, and pictures of it to look at.

use super::*;
use crate::colour::Colour;
use crate::geom::{Length, Point};
use crate::page::Segment;

/// A panel from a text chart, `.` bare, with header rows of `header`.
fn panel(text: &str, colours: &[(char, &str)], header: char, header_rows: usize) -> AsKnottedGrid {
    let lines: Vec<&str> = text.lines().filter(|line| !line.trim().is_empty()).collect();
    let columns = lines.iter().map(|line| line.len()).max().unwrap_or(0);
    let index = |c: char| colours.iter().position(|&(key, _)| key == c).map(|at| at as u8);
    let mut cells = vec![index(header); header_rows * columns];
    for line in &lines {
        cells.extend(line.chars().chain(std::iter::repeat('.')).take(columns).map(index));
    }
    AsKnottedGrid {
        columns,
        left_to_right: (0..cells.len() / columns.max(1)).map(|row| row % 2 == 0).collect(),
        cells,
        colours: colours.iter().filter_map(|&(_, hex)| Colour::from_hex(hex)).collect(),
        cord: Colour::new(0xe6, 0xdc, 0xc8),
        column_mm: 5.6,
        row_mm: 3.4,
        fringe_mm: 110.0,
        fringe_follows: false,
        wood_mm: 21.0,
        branch: true,
    }
}

const HERON: [(char, &str); 7] = [
    ('o', "#EFE3CB"),
    ('a', "#E9855A"),
    ('w', "#22707B"),
    ('r', "#8A6A3C"),
    ('b', "#A35F49"),
    ('s', "#6F8499"),
    ('k', "#1F2A36"),
];
const HARBOUR: [(char, &str); 12] = [
    ('d', "#3F5680"),
    ('w', "#2B7482"),
    ('n', "#1E2A44"),
    ('l', "#8E86B4"),
    ('p', "#EBA58E"),
    ('c', "#F5EDDC"),
    ('h', "#5F5878"),
    ('r', "#B23A2E"),
    ('t', "#C77B45"),
    ('s', "#A79B8C"),
    ('y', "#F7C54E"),
    ('g', "#3F5446"),
];

fn sample(name: &str) -> String {
    std::fs::read_to_string(format!("{}/samples/{name}/chart.txt", env!("CARGO_MANIFEST_DIR"))).unwrap_or_default()
}

fn heron() -> AsKnottedGrid {
    panel(&sample("low-water-heron"), &HERON, 'o', 6)
}

fn harbour() -> AsKnottedGrid {
    AsKnottedGrid {
        fringe_mm: 0.0,
        branch: false,
        wood_mm: 22.0,
        ..panel(&sample("harbour-evening"), &HARBOUR, 'd', 2)
    }
}

/// A small panel with bare cells inside and stepped sides, on a thin dowel.
fn steps() -> AsKnottedGrid {
    let text = "aaaaaaaaaaaa\naaaabbbbaaaa\naabbbbbbbbaa\nabbb....bbba\nbbb......bbb\nbbbb....bbbb\naabbbbbbbbaa\n.aaabbbbaaa.\n..aaaaaaaa..\n...aaaaaa...\n.....aa.....";
    AsKnottedGrid {
        branch: false,
        wood_mm: 10.0,
        fringe_mm: 30.0,
        ..panel(text, &[('a', "#233B4A"), ('b', "#F0E4CC")], 'a', 2)
    }
}

/// Strokes of two points of one colour: left end, right end.
fn strokes(shapes: &[Shape], colour: Colour) -> Vec<(Point, Point)> {
    let of_colour = shapes.iter().filter(|shape| shape.stroke.as_ref().is_some_and(|stroke| stroke.colour == colour));
    let pairs = of_colour.flat_map(|shape| shape.outline.chunks(2)).filter_map(|pair| match *pair {
        [Segment::Move(a), Segment::Line(b)] => Some((a, b)),
        _ => None,
    });
    pairs.collect()
}

#[test]
fn every_knot_is_two_wraps_and_they_lean_the_way_its_row_was_worked() {
    let grid = heron();
    let drawing = draw(&grid, Rect::new(Length::ZERO, Length::ZERO, Length::mm(150.0), Length::mm(200.0)));
    let sheet = placed(&grid, drawing.area_used);
    for (yarn, &colour) in grid.colours.iter().enumerate() {
        let wraps = strokes(&drawing.shapes, colour);
        let knots = grid.cells.iter().filter(|cell| cell.map(usize::from) == Some(yarn)).count();
        assert_eq!(wraps.len(), 2 * knots, "yarn {yarn}");
        for (a, b) in wraps {
            let middle = (a.y.to_pt() + b.y.to_pt()) / 2.0;
            let row = ((middle - sheet.top) / (sheet.scale * grid.row_mm)).floor() as usize;
            // By the room's own trace of the knot, wraps of a left-to-right row are higher at the left; y grows down.
            assert!(a.x < b.x && (a.y < b.y) == grid.left_to_right[row], "row {row}");
        }
    }
}

#[test]
fn the_drawing_keeps_the_panels_proportions_and_stays_in_its_area() {
    let area = Rect::new(Length::mm(20.0), Length::mm(30.0), Length::mm(120.0), Length::mm(150.0));
    for grid in [heron(), harbour(), steps()] {
        let drawing = draw(&grid, area);
        assert!(area.holds(drawing.area_used));
        let sheet = placed(&grid, area);
        let (mut low, mut high) = ((f64::MAX, f64::MAX), (f64::MIN, f64::MIN));
        for shape in drawing.shapes.iter() {
            let half = shape.stroke.as_ref().map_or(0.0, |stroke| stroke.width.to_pt() / 2.0);
            for segment in &shape.outline {
                let points = match *segment {
                    Segment::Move(p) | Segment::Line(p) => vec![p],
                    Segment::Curve(a, b, p) => vec![a, b, p],
                    Segment::Close => vec![],
                };
                for p in points {
                    low = (low.0.min(p.x.to_pt() - half), low.1.min(p.y.to_pt() - half));
                    high = (high.0.max(p.x.to_pt() + half), high.1.max(p.y.to_pt() + half));
                }
            }
        }
        let used = drawing.area_used;
        // A tenth of a point is what places are rounded to.
        assert!(low.0 >= used.left().to_pt() - 0.1 && low.1 >= used.top().to_pt() - 0.1, "{low:?} {used:?}");
        assert!(high.0 <= used.right().to_pt() + 0.1 && high.1 <= used.bottom().to_pt() + 0.1, "{high:?} {used:?}");
        // Neighbouring columns and rows are as far apart as the pitches say, on one scale.
        let (a, b) = (sheet.at(0.0, 0.0), sheet.at(50.0 * grid.column_mm, 50.0 * grid.row_mm));
        let proportion = (b.x - a.x).to_pt() / (b.y - a.y).to_pt();
        assert!((proportion - grid.column_mm / grid.row_mm).abs() < 0.002);
    }
}

#[test]
fn bare_cells_show_the_cord_between_knots_and_nothing_is_tied_there() {
    let grid = steps();
    let mut shapes = Vec::new();
    let sheet = placed(&grid, Rect::new(Length::ZERO, Length::ZERO, Length::mm(100.0), Length::mm(100.0)));
    cords::bare(&grid, &sheet, &mut shapes);
    // Counted by hand in the chart: six columns have bare cells above a knot.
    assert_eq!(strokes(&shapes, grid.cord).len(), 6);
}

#[test]
fn a_panel_without_knots_without_columns_or_with_strange_numbers_is_drawn_all_the_same() {
    let area = Rect::new(Length::ZERO, Length::ZERO, Length::mm(50.0), Length::mm(50.0));
    let whole = steps();
    for grid in [
        AsKnottedGrid { cells: Vec::new(), ..whole.clone() },
        AsKnottedGrid { columns: 0, ..whole.clone() },
        AsKnottedGrid { cells: vec![None; 24], ..whole.clone() },
        AsKnottedGrid { cells: vec![Some(77); 24], ..whole.clone() },
        AsKnottedGrid { left_to_right: Vec::new(), colours: Vec::new(), ..whole.clone() },
        AsKnottedGrid { columns: 1, cells: vec![Some(0)], wood_mm: 0.0, fringe_mm: -3.0, ..whole.clone() },
    ] {
        assert!(area.holds(draw(&grid, area).area_used));
        draw(&AsKnottedGrid { branch: true, ..grid }, area);
    }
}

#[test]
fn the_file_stays_small_at_cover_size() {
    let cover = Rect::new(Length::mm(30.0), Length::mm(40.0), Length::mm(150.0), Length::mm(200.0));
    for (grid, most) in [(heron(), 120_000), (harbour(), 350_000)] {
        let drawing = draw(&grid, cover);
        let bytes = deflated(&drawing.shapes);
        assert!(bytes < most, "{bytes}");
        assert!(drawing.shapes.len() < 100);
    }
    // The largest chart that is likely: only grounds, and picture-like runs join.
    let large = AsKnottedGrid {
        columns: 400,
        cells: (0..240_000).map(|at: u32| Some(((at % 400 / 40 + at / 400 / 60) % 7) as u8)).collect(),
        left_to_right: Vec::new(),
        ..heron()
    };
    assert!(deflated(&draw(&large, cover).shapes) < 60_000);
}

#[test]
fn the_same_panel_is_drawn_the_same_twice() {
    let area = Rect::new(Length::ZERO, Length::ZERO, Length::mm(90.0), Length::mm(120.0));
    assert_eq!(draw(&steps(), area), draw(&steps(), area));
}

/// The size of the drawing as a page's content would have it: numbers and operators, deflated.
fn deflated(shapes: &[Shape]) -> usize {
    use std::io::Write;
    let mut pack = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::default());
    // A page's height is rarely whole, so y gets two decimals.
    let at = |p: Point| format!("{} {}", tenth(p.x.to_pt()), tenth(841.89 - p.y.to_pt()));
    for shape in shapes {
        for segment in &shape.outline {
            let _ = match *segment {
                Segment::Move(p) => writeln!(pack, "{} m", at(p)),
                Segment::Line(p) => writeln!(pack, "{} l", at(p)),
                Segment::Curve(a, b, p) => writeln!(pack, "{} {} {} c", at(a), at(b), at(p)),
                Segment::Close => writeln!(pack, "h"),
            };
        }
    }
    pack.finish().map_or(usize::MAX, |bytes| bytes.len())
}

fn tenth(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}
