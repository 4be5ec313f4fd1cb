//! The finished panel drawn as it is knotted: true proportions, every knot two wraps that lean the way its row was
//! worked, the cord where it is bare and below the last row, the wood above.
//!
//! Comes from knots and pitches alone and goes out as a few dozen shapes: everything of one tone is one shape, and a
//! wrap is a stroke of two points, so that a panel of ten thousand knots stays a small file. It is a drawing, never to be
//! taken for a photograph; whoever sets it says so in its caption.

mod cords;
mod knots;
mod scale;
mod tones;
mod wood;

use crate::geom::Rect;
use crate::manuscript::AsKnottedGrid;
use crate::page::Shape;
use scale::PanelScale;
use std::sync::Arc;

/// A drawing and the part of the offered area that it fills.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct KnottedDrawing {
    /// In drawing order.
    pub(crate) shapes: Arc<Vec<Shape>>,
    /// Where they stand: the area's full width or height, centred in the other direction.
    pub(crate) area_used: Rect,
}

/// Draws the panel as large as `area` allows.
pub(crate) fn draw(grid: &AsKnottedGrid, area: Rect) -> KnottedDrawing {
    let sheet = placed(grid, area);
    let mut shapes = Vec::new();
    // What is tied round comes before the knots, what lies in front of them after.
    cords::bare(grid, &sheet, &mut shapes);
    cords::fringe(grid, &sheet, &mut shapes);
    wood::rod_and_legs(grid, &sheet, &mut shapes);
    knots::draw(grid, &sheet, &mut shapes);
    wood::rest(grid, &sheet, &mut shapes);
    KnottedDrawing { shapes: Arc::new(shapes), area_used: sheet.used }
}

/// How the whole drawing stands in `area`.
fn placed(grid: &AsKnottedGrid, area: Rect) -> PanelScale {
    PanelScale::fitted(grid, area, wood::overhang_mm(grid), wood::above_mm(grid))
}

/// Draws only the knotted part, in plain colours, over `area`'s width from its left and top edge on: for drawings that
/// show the panel among other things.
pub(crate) fn draw_plain(grid: &AsKnottedGrid, area: Rect) -> Vec<Shape> {
    let scale = area.size.width.to_pt() / (grid.columns.max(1) as f64 * grid.column_mm.max(0.1));
    let sheet = PanelScale { scale, left: area.left().to_pt(), top: area.top().to_pt(), used: area };
    let mut shapes = Vec::new();
    knots::plain(grid, &sheet, &mut shapes);
    shapes
}

#[cfg(test)]
mod tests;
