//! What the panel hangs from: a turned dowel with the cords' lark's heads on it, or a branch in front of the header.
//!
//! It is no real piece of wood: its bends, bark and knots are always the same and only its thickness is measured.

use super::cords;
use super::scale::{PanelScale, PanelSize, chance};
use crate::colour::Colour;
use crate::geom::Length;
use crate::manuscript::AsKnottedGrid;
use crate::page::{Segment, Shape, Stroke};

/// Wood that stands out at each side of the panel, millimetres: an inch at least, more for thick wood.
pub(super) fn overhang_mm(grid: &AsKnottedGrid) -> f64 {
    if grid.branch { (grid.wood_mm * 2.2).max(25.4) } else { (grid.wood_mm * 1.1).max(25.4) }
}

/// Height of what stands above the panel's top edge, millimetres.
pub(super) fn above_mm(grid: &AsKnottedGrid) -> f64 {
    if grid.branch {
        return grid.wood_mm * 1.5;
    }
    // The turns of the lark's heads stand a little above the rod.
    grid.wood_mm + drop_mm(grid) + 0.4 * cords::THICK * grid.column_mm
}

/// From the dowel's lower edge to the first row.
fn drop_mm(grid: &AsKnottedGrid) -> f64 {
    0.9 * grid.row_mm
}

/// A rod and the cords' legs, which the first row is tied over.
pub(super) fn rod_and_legs(grid: &AsKnottedGrid, sheet: &PanelScale, shapes: &mut Vec<Shape>) {
    if !grid.branch {
        dowel(grid, sheet, shapes);
        legs(grid, sheet, shapes);
    }
}

/// What lies in front: a branch before the header, or the lark's heads.
pub(super) fn rest(grid: &AsKnottedGrid, sheet: &PanelScale, shapes: &mut Vec<Shape>) {
    if grid.branch {
        branch(grid, sheet, shapes);
    } else {
        lark_heads(grid, sheet, shapes);
    }
}

fn filled(outline: Vec<Segment>, colour: Colour) -> Shape {
    Shape { outline, fill: Some(colour), stroke: None }
}

fn lined(outline: Vec<Segment>, colour: Colour, width: Length) -> Shape {
    Shape { outline, fill: None, stroke: Some(Stroke { colour, width, dash: Vec::new(), round: true }) }
}

/// A closed ellipse with its axes along the page's.
fn ellipse(sheet: &PanelScale, (x, y): (f64, f64), rx: f64, ry: f64) -> Vec<Segment> {
    /// Handle of a quarter circle of radius one.
    const K: f64 = 0.552_285;
    let at = |dx: f64, dy: f64| sheet.at(x + dx * rx, y + dy * ry);
    vec![
        Segment::Move(at(1.0, 0.0)),
        Segment::Curve(at(1.0, K), at(K, 1.0), at(0.0, 1.0)),
        Segment::Curve(at(-K, 1.0), at(-1.0, K), at(-1.0, 0.0)),
        Segment::Curve(at(-1.0, -K), at(-K, -1.0), at(0.0, -1.0)),
        Segment::Curve(at(K, -1.0), at(1.0, -K), at(1.0, 0.0)),
        Segment::Close,
    ]
}

const DOWEL: Colour = Colour::new(0xd9, 0xbc, 0x90);
const DOWEL_LIGHT: Colour = Colour::new(0xec, 0xd8, 0xb4);
const DOWEL_SHADE: Colour = Colour::new(0xbf, 0x9d, 0x6d);
const DOWEL_DEEP: Colour = Colour::new(0x9c, 0x7a, 0x4e);

/// A round rod seen a little from the right, so that its end grain shows.
fn dowel(grid: &AsKnottedGrid, sheet: &PanelScale, shapes: &mut Vec<Shape>) {
    let radius = grid.wood_mm / 2.0;
    let end = radius * 0.34;
    // Half the thickness of the line round the end stays inside.
    let over = overhang_mm(grid) - end - 0.2;
    let (left, right) = (-over, PanelSize::of(grid).width + over);
    let middle = -drop_mm(grid) - radius;

    // The body, its left end rounded as a turned end is.
    let band = |from: f64, to: f64| {
        // Where a height on the rod meets the elliptic ends.
        let bulge = |at: f64| end * (1.0 - at * at).max(0.0).sqrt();
        let steps: Vec<f64> = (0..=6).map(|i| from + (to - from) * f64::from(i) / 6.0).collect();
        let mut outline = Vec::new();
        let left_side: Vec<_> = steps.iter().map(|&at| (left - bulge(at), middle + at * radius)).collect();
        let right_side: Vec<_> = steps.iter().rev().map(|&at| (right + bulge(at), middle + at * radius)).collect();
        sheet.smooth(&mut outline, &left_side, false);
        sheet.smooth(&mut outline, &right_side, true);
        outline.push(Segment::Close);
        outline
    };
    for (from, to, colour) in
        [(-1.0, 1.0, DOWEL), (-0.72, -0.3, DOWEL_LIGHT), (0.42, 1.0, DOWEL_SHADE), (0.8, 1.0, DOWEL_DEEP)]
    {
        shapes.push(filled(band(from, to), colour));
    }
    let mut grain = Vec::new();
    for line in 0..9 {
        let y = middle + radius * (-0.8 + 0.19 * f64::from(line));
        let place = line as usize;
        let from = left + (right - left) * chance(place, 1) * 0.7;
        let long = (right - left) * (0.08 + 0.22 * chance(place, 2));
        sheet.stroke(&mut grain, (from, y), ((from + long).min(right - end), y + radius * 0.03));
    }
    shapes.push(lined(grain, DOWEL_SHADE, sheet.length(0.35)));

    // The end grain: rings about a heart that is off the middle.
    shapes.push(filled(ellipse(sheet, (right, middle), end, radius), DOWEL_LIGHT));
    for ring in [0.78, 0.56, 0.36, 0.16] {
        let heart = (right - end * 0.12 * (1.0 - ring), middle + radius * 0.16 * (1.0 - ring));
        shapes.push(lined(ellipse(sheet, heart, end * ring, radius * ring), DOWEL_SHADE, sheet.length(0.4)));
    }
    shapes.push(lined(ellipse(sheet, (right, middle), end, radius), DOWEL_DEEP, sheet.length(0.35)));
}

/// What one lark's head holds: its middle and the columns of its legs. One for every two columns, the last alone where
/// their count is odd.
fn heads(grid: &AsKnottedGrid) -> impl Iterator<Item = (f64, [f64; 2])> {
    (0..grid.columns).step_by(2).map(|column| {
        let left = (column as f64 + 0.5) * grid.column_mm;
        let right = if column + 1 < grid.columns { left + grid.column_mm } else { left };
        ((left + right) / 2.0, [left, right])
    })
}

/// Where the loop lies across the rod, from the panel's top edge.
fn loop_mm(grid: &AsKnottedGrid) -> f64 {
    -drop_mm(grid) - grid.wood_mm * 0.24
}

/// The legs of the lark's heads, from the loops to under the first row.
fn legs(grid: &AsKnottedGrid, sheet: &PanelScale, shapes: &mut Vec<Shape>) {
    let thick = cords::THICK * grid.column_mm;
    let foot = -drop_mm(grid);
    let mut outline = Vec::new();
    for (x, columns) in heads(grid) {
        for (side, leg) in [-1.0, 1.0].into_iter().zip(columns) {
            outline.push(Segment::Move(sheet.at(x + side * thick * 0.4, loop_mm(grid))));
            outline.push(Segment::Curve(
                sheet.at(x + side * thick * 0.5, foot),
                sheet.at(leg, foot),
                sheet.at(leg, grid.row_mm * 0.5),
            ));
        }
    }
    cords::cord(grid, sheet, cords::THICK, outline, shapes);
}

/// Two turns over the rod and the loop across them.
fn lark_heads(grid: &AsKnottedGrid, sheet: &PanelScale, shapes: &mut Vec<Shape>) {
    let thick = cords::THICK * grid.column_mm;
    let top = -drop_mm(grid) - grid.wood_mm + thick * 0.2;
    let bar = loop_mm(grid);
    let (mut turns, mut loops) = (Vec::new(), Vec::new());
    for (x, _) in heads(grid) {
        for side in [-1.0, 1.0] {
            // The loop draws the turns apart a little where it crosses them.
            sheet.stroke(&mut turns, (x + side * thick * 0.54, top), (x + side * thick * 0.62, bar));
        }
        sheet.stroke(&mut loops, (x - thick * 0.72, bar), (x + thick * 0.72, bar));
    }
    cords::cord(grid, sheet, cords::THICK, turns, shapes);
    cords::cord(grid, sheet, cords::THICK, loops, shapes);
}

const BARK: Colour = Colour::new(0x8c, 0x74, 0x5b);
const BARK_LIGHT: Colour = Colour::new(0xa8, 0x91, 0x76);
const BARK_SHADE: Colour = Colour::new(0x6d, 0x58, 0x44);
const BARK_DEEP: Colour = Colour::new(0x4f, 0x3f, 0x31);
const HEARTWOOD: Colour = Colour::new(0xdd, 0xc3, 0x9c);
const HEARTWOOD_RING: Colour = Colour::new(0xb8, 0x98, 0x6c);

/// A branch along the panel's top edge.
struct Branch {
    from: f64,
    long: f64,
    thick: f64,
}

impl Branch {
    /// The middle line and half the thickness at a share of the length.
    fn at(&self, share: f64) -> (f64, f64, f64) {
        let turn = std::f64::consts::TAU;
        let wave = |times: f64, shift: f64| libm::sin(turn * (times * share + shift));
        let middle = self.thick * (0.16 * wave(0.9, 0.05) + 0.06 * wave(2.3, 0.4));
        // Two thickenings where side shoots once stood.
        let bump = |centre: f64, width: f64| libm::exp(-((share - centre) / width) * ((share - centre) / width));
        let taper = 1.06 - 0.22 * share;
        let half = self.thick / 2.0
            * (taper
                + 0.05 * wave(3.1, 0.7)
                + 0.03 * wave(7.7, 0.2)
                + 0.16 * bump(0.22, 0.02)
                + 0.13 * bump(0.71, 0.025));
        (self.from + self.long * share, middle, half)
    }

    /// A line along the branch, `height` from -1 at its upper edge to 1 at its lower one.
    fn line(&self, height: f64, from: f64, to: f64, steps: usize) -> Vec<(f64, f64)> {
        (0..=steps)
            .map(|i| {
                let (x, y, half) = self.at(from + (to - from) * i as f64 / steps as f64);
                (x, y + half * height)
            })
            .collect()
    }
}

fn branch(grid: &AsKnottedGrid, sheet: &PanelScale, shapes: &mut Vec<Shape>) {
    let over = overhang_mm(grid) - grid.wood_mm * 0.25;
    let branch = Branch { from: -over, long: PanelSize::of(grid).width + 2.0 * over, thick: grid.wood_mm };
    let band = |upper: f64, lower: f64, from: f64, to: f64| {
        let mut outline = Vec::new();
        sheet.smooth(&mut outline, &branch.line(upper, from, to, 26), false);
        let mut back = branch.line(lower, from, to, 26);
        back.reverse();
        sheet.smooth(&mut outline, &back, true);
        outline.push(Segment::Close);
        outline
    };

    twig(&branch, sheet, shapes);
    shapes.push(filled(band(-1.0, 1.0, 0.0, 1.0), BARK));
    shapes.push(filled(band(-0.74, -0.28, 0.012, 0.985), BARK_LIGHT));
    shapes.push(filled(band(0.36, 1.0, 0.0, 1.0), BARK_SHADE));
    shapes.push(filled(band(0.82, 1.0, 0.0, 1.0), BARK_DEEP));

    // Furrows of the bark run along it, broken and never quite straight.
    let (mut fine, mut deep) = (Vec::new(), Vec::new());
    for line in 0..36 {
        let height = -0.86 + 1.6 * chance(line, 11);
        let from = 0.015 + 0.9 * chance(line, 12);
        let to = (from + 0.02 + 0.09 * chance(line, 13)).min(0.985);
        let drift = 0.24 * (chance(line, 14) - 0.5);
        let mut points = branch.line(height, from, to, 4);
        for (i, point) in points.iter_mut().enumerate() {
            point.1 += drift * branch.thick / 2.0 * i as f64 / 4.0;
        }
        sheet.smooth(if line % 3 == 0 { &mut deep } else { &mut fine }, &points, false);
    }
    shapes.push(lined(fine, BARK_SHADE, sheet.length(0.55)));
    shapes.push(lined(deep, BARK_DEEP, sheet.length(0.5)));

    // Scars of old shoots.
    for (share, height, size) in [(0.225, 0.1, 0.24), (0.71, 0.02, 0.2), (0.48, -0.2, 0.11)] {
        let (x, y, half) = branch.at(share);
        let centre = (x, y + half * height);
        let (rx, ry) = (size * branch.thick * 0.78, size * branch.thick * 0.58);
        shapes.push(filled(ellipse(sheet, centre, rx, ry), BARK_SHADE));
        shapes.push(lined(ellipse(sheet, centre, rx, ry), BARK_DEEP, sheet.length(0.5)));
        shapes.push(filled(ellipse(sheet, centre, rx * 0.45, ry * 0.45), BARK_DEEP));
    }

    // Sawn ends.
    for (share, lean) in [(0.0, 0.30), (1.0, 0.34)] {
        let (x, y, half) = branch.at(share);
        cut_end(sheet, (x, y), half * lean, half, shapes);
    }
}

/// The stump of a side shoot, behind the branch.
fn twig(branch: &Branch, sheet: &PanelScale, shapes: &mut Vec<Shape>) {
    let (x, y, half) = branch.at(0.845);
    let (w, up) = (branch.thick * 0.17, branch.thick * 0.5);
    let (tip_x, tip_y) = (x + branch.thick * 0.34, y - half - up);
    let side = |out: f64| {
        vec![
            (x + out * w * 1.9, y - half * 0.6),
            (x + out * w * 1.1 + w * 0.3, y - half - up * 0.35),
            (tip_x + out * w, tip_y),
        ]
    };
    let body = |from: f64, to: f64| {
        let mut outline = Vec::new();
        sheet.smooth(&mut outline, &side(from), false);
        let mut back = side(to);
        back.reverse();
        sheet.smooth(&mut outline, &back, true);
        outline.push(Segment::Close);
        outline
    };
    shapes.push(filled(body(-1.0, 1.0), BARK));
    shapes.push(filled(body(-0.7, -0.2), BARK_LIGHT));
    shapes.push(filled(body(0.4, 1.0), BARK_SHADE));
    cut_end(sheet, (tip_x, tip_y), w * 1.04, w * 0.5, shapes);
}

/// Pale wood in a rim of bark, with its rings.
fn cut_end(sheet: &PanelScale, centre: (f64, f64), rx: f64, ry: f64, shapes: &mut Vec<Shape>) {
    shapes.push(filled(ellipse(sheet, centre, rx, ry), BARK_DEEP));
    shapes.push(filled(ellipse(sheet, centre, rx * 0.86, ry * 0.9), HEARTWOOD));
    for ring in [0.66, 0.42, 0.2] {
        shapes.push(lined(ellipse(sheet, centre, rx * ring, ry * ring), HEARTWOOD_RING, sheet.length(0.4)));
    }
}
