//! The finished panel drawn as it is knotted: true proportions, every knot two wraps that lean the way its row was
//! worked, the cord where it is bare and below the last row, the wood above.
//!
//! Comes from knots and pitches alone and goes out as a few dozen shapes: everything of one tone is one shape, and a
//! wrap is a stroke of two points, so that a panel of ten thousand knots stays a small file. It is a drawing, never to be
//! taken for a photograph; whoever sets it says so in its caption.

mod cords;
mod knots;
mod tones;
mod wood;

use crate::geom::{Length, Point, Rect};
use crate::manuscript::AsKnottedGrid;
use crate::page::{Segment, Shape};
use std::sync::Arc;

/// A drawing and the part of the offered area that it fills.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// In drawing order.
    pub shapes: Arc<Vec<Shape>>,
    /// Where they stand: the area's full width or height, centred in the other direction.
    pub area_used: Rect,
}

/// Draws the panel as large as `area` allows.
pub fn draw(grid: &AsKnottedGrid, area: Rect) -> Drawing {
    let sheet = Sheet::placed(grid, area);
    let mut shapes = Vec::new();
    // What is tied round comes before the knots, what lies in front of them after.
    cords::bare(grid, &sheet, &mut shapes);
    cords::fringe(grid, &sheet, &mut shapes);
    wood::rod_and_legs(grid, &sheet, &mut shapes);
    knots::draw(grid, &sheet, &mut shapes);
    wood::rest(grid, &sheet, &mut shapes);
    Drawing { shapes: Arc::new(shapes), area_used: sheet.used }
}

/// Draws only the knotted part, in plain colours, over `area`'s width from its left and top edge on: for drawings that
/// show the panel among other things.
pub fn draw_plain(grid: &AsKnottedGrid, area: Rect) -> Vec<Shape> {
    let scale = area.size.width.to_pt() / (grid.columns.max(1) as f64 * grid.column_mm.max(0.1));
    let sheet = Sheet { scale, left: area.left().to_pt(), top: area.top().to_pt(), used: area };
    let mut shapes = Vec::new();
    knots::plain(grid, &sheet, &mut shapes);
    shapes
}

/// How the panel, measured in millimetres from its top left corner, stands on the page.
struct Sheet {
    /// Points a millimetre.
    scale: f64,
    /// The panel's left edge, points.
    left: f64,
    /// Its top edge, points.
    top: f64,
    /// All that is drawn, wood and fringe included.
    used: Rect,
}

impl Sheet {
    fn placed(grid: &AsKnottedGrid, area: Rect) -> Sheet {
        let panel = Panel::of(grid);
        let overhang = wood::overhang_mm(grid);
        let above = wood::above_mm(grid);
        let width = panel.width + 2.0 * overhang;
        // The lower ends of the last row's wraps stand out by a seventh of a row.
        let height = above + panel.height + grid.fringe_mm.max(0.2 * grid.row_mm.max(0.0));
        let scale = (area.size.width.to_pt() / width).min(area.size.height.to_pt() / height);
        let used = Rect::new(
            area.left() + (area.size.width - Length::pt(width * scale)) / 2.0,
            area.top() + (area.size.height - Length::pt(height * scale)) / 2.0,
            Length::pt(width * scale),
            Length::pt(height * scale),
        );
        Sheet { scale, left: used.left().to_pt() + overhang * scale, top: used.top().to_pt() + above * scale, used }
    }

    /// A place on the page, rounded to a tenth of a point, a hundredth where knots are tiny: finer figures would double
    /// the file for nothing the eye sees.
    fn at(&self, x_mm: f64, y_mm: f64) -> Point {
        let step = if self.scale < 0.6 { 100.0 } else { 10.0 };
        let round = |v: f64| (v * step).round() / step;
        Point::pt(round(self.left + x_mm * self.scale), round(self.top + y_mm * self.scale))
    }

    fn length(&self, mm: f64) -> Length {
        Length::pt((mm * self.scale * 100.0).round() / 100.0)
    }

    /// Adds a straight stroke.
    fn stroke(&self, outline: &mut Vec<Segment>, from: (f64, f64), to: (f64, f64)) {
        outline.push(Segment::Move(self.at(from.0, from.1)));
        outline.push(Segment::Line(self.at(to.0, to.1)));
    }

    /// Adds a closed polygon.
    fn polygon(&self, outline: &mut Vec<Segment>, points: &[(f64, f64)]) {
        for (i, &(x, y)) in points.iter().enumerate() {
            let at = self.at(x, y);
            outline.push(if i == 0 { Segment::Move(at) } else { Segment::Line(at) });
        }
        outline.push(Segment::Close);
    }

    /// Adds a smooth line through `points`; `close` joins its end to its start by a straight edge.
    fn smooth(&self, outline: &mut Vec<Segment>, points: &[(f64, f64)], on: bool) {
        let Some(&first) = points.first() else { return };
        let at = self.at(first.0, first.1);
        outline.push(if on { Segment::Line(at) } else { Segment::Move(at) });
        for i in 1..points.len() {
            // Tangents from the neighbours on both sides; a sixth of them reproduces straight lines.
            let before = points[i.saturating_sub(2)];
            let (from, to) = (points[i - 1], points[i]);
            let after = points[(i + 1).min(points.len() - 1)];
            let a = (from.0 + (to.0 - before.0) / 6.0, from.1 + (to.1 - before.1) / 6.0);
            let b = (to.0 - (after.0 - from.0) / 6.0, to.1 - (after.1 - from.1) / 6.0);
            outline.push(Segment::Curve(self.at(a.0, a.1), self.at(b.0, b.1), self.at(to.0, to.1)));
        }
    }
}

/// The knotted part, millimetres.
struct Panel {
    width: f64,
    height: f64,
    rows: usize,
}

impl Panel {
    fn of(grid: &AsKnottedGrid) -> Panel {
        let rows = grid.cells.len() / grid.columns.max(1);
        Panel {
            width: grid.columns.max(1) as f64 * grid.column_mm.max(0.1),
            height: rows.max(1) as f64 * grid.row_mm.max(0.1),
            rows,
        }
    }
}

/// A cell without a knot.
const BARE: u8 = 255;

/// The yarn of a cell; [`BARE`] where there is none, outside of the grid too.
fn cell(grid: &AsKnottedGrid, row: usize, column: usize) -> u8 {
    if column >= grid.columns {
        return BARE;
    }
    match grid.cells.get(row * grid.columns + column) {
        Some(&yarn) if usize::from(yarn) < grid.colours.len() => yarn,
        Some(_) | None => BARE,
    }
}

/// A number from 0 to 1 that looks like chance and is always the same for the same place.
fn chance(a: usize, b: usize) -> f64 {
    let mut v = (a as u32).wrapping_mul(0x9e37_79b1) ^ (b as u32).wrapping_mul(0x85eb_ca6b) ^ 0x5bd1_e995;
    for (shift, by) in [(15, 0x2c1b_3c6d), (12, 0x297a_2d39), (15, 1)] {
        v = (v ^ (v >> shift)).wrapping_mul(by);
    }
    f64::from(v >> 8) / f64::from(1_u32 << 24)
}

#[cfg(test)]
mod tests;
