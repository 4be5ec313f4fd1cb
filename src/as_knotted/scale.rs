//! How the panel's millimetres stand on the page, and what its cells hold.

use crate::geom::{Length, Point, Rect};
use crate::manuscript::AsKnottedGrid;
use crate::page::Segment;

/// How the panel, measured in millimetres from its top left corner, stands on the page.
pub(super) struct PanelScale {
    /// Points a millimetre.
    pub(super) scale: f64,
    /// The panel's left edge, points.
    pub(super) left: f64,
    /// Its top edge, points.
    pub(super) top: f64,
    /// All that is drawn, wood and fringe included.
    pub(super) used: Rect,
}

impl PanelScale {
    /// As large as `area` allows, with wood that stands out by `overhang` at each side and by `above` at the top, millimetres.
    pub(super) fn fitted(grid: &AsKnottedGrid, area: Rect, overhang: f64, above: f64) -> PanelScale {
        let panel = PanelSize::of(grid);
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
        PanelScale {
            scale,
            left: used.left().to_pt() + overhang * scale,
            top: used.top().to_pt() + above * scale,
            used,
        }
    }

    /// A place on the page, rounded to a tenth of a point, a hundredth where knots are tiny: finer figures would double
    /// the file for nothing the eye sees.
    pub(super) fn at(&self, x_mm: f64, y_mm: f64) -> Point {
        let step = if self.scale < 0.6 { 100.0 } else { 10.0 };
        let round = |v: f64| (v * step).round() / step;
        Point::pt(round(self.left + x_mm * self.scale), round(self.top + y_mm * self.scale))
    }

    pub(super) fn length(&self, mm: f64) -> Length {
        Length::pt((mm * self.scale * 100.0).round() / 100.0)
    }

    /// Adds a straight stroke.
    pub(super) fn stroke(&self, outline: &mut Vec<Segment>, from: (f64, f64), to: (f64, f64)) {
        outline.push(Segment::Move(self.at(from.0, from.1)));
        outline.push(Segment::Line(self.at(to.0, to.1)));
    }

    /// Adds a closed polygon.
    pub(super) fn polygon(&self, outline: &mut Vec<Segment>, points: &[(f64, f64)]) {
        for (i, &(x, y)) in points.iter().enumerate() {
            let at = self.at(x, y);
            outline.push(if i == 0 { Segment::Move(at) } else { Segment::Line(at) });
        }
        outline.push(Segment::Close);
    }

    /// Adds a smooth line through `points`; `close` joins its end to its start by a straight edge.
    pub(super) fn smooth(&self, outline: &mut Vec<Segment>, points: &[(f64, f64)], on: bool) {
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
pub(super) struct PanelSize {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) rows: usize,
}

impl PanelSize {
    pub(super) fn of(grid: &AsKnottedGrid) -> PanelSize {
        let rows = grid.cells.len() / grid.columns.max(1);
        PanelSize {
            width: grid.columns.max(1) as f64 * grid.column_mm.max(0.1),
            height: rows.max(1) as f64 * grid.row_mm.max(0.1),
            rows,
        }
    }
}

/// The yarn of a cell; `None` where there is none, outside of the grid too.
pub(super) fn cell(grid: &AsKnottedGrid, row: usize, column: usize) -> Option<u8> {
    let yarn = grid.cells.get(row * grid.columns + column).copied().flatten();
    yarn.filter(|yarn| column < grid.columns && usize::from(*yarn) < grid.colours.len())
}

/// A number from 0 to 1 that looks like chance and is always the same for the same place.
pub(super) fn chance(a: usize, b: usize) -> f64 {
    let mut v = (a as u32).wrapping_mul(0x9e37_79b1) ^ (b as u32).wrapping_mul(0x85eb_ca6b) ^ 0x5bd1_e995;
    for (shift, by) in [(15, 0x2c1b_3c6d), (12, 0x297a_2d39), (15, 1)] {
        v = (v ^ (v >> shift)).wrapping_mul(by);
    }
    f64::from(v >> 8) / f64::from(1_u32 << 24)
}
