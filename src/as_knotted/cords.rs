//! The cord where it shows: at bare cells between knots, and hanging below the last row.

use super::scale::{PanelScale, PanelSize, cell, chance};
use super::tones::{lit, shaded};
use crate::geom::{Length, Point};
use crate::manuscript::AsKnottedGrid;
use crate::page::{Segment, Shape, Stroke};

/// Thickness of the cord in column pitches: what the default gauge gives (De / p_c for 3 mm cord, 10 wraps an inch).
pub(super) const THICK: f64 = 0.46;
/// The same where the cord hangs free of tension (D / p_c at that gauge).
const RELAXED: f64 = 0.54;

/// Cords at bare cells that have a knot, or the top edge, above and a knot below.
pub(super) fn bare(grid: &AsKnottedGrid, sheet: &PanelScale, shapes: &mut Vec<Shape>) {
    let mut outline = Vec::new();
    let rows = PanelSize::of(grid).rows;
    for column in 0..grid.columns {
        let Some(last) = last_knot(grid, column) else { continue };
        let mut row = 0;
        while row < last {
            if cell(grid, row, column).is_some() {
                row += 1;
                continue;
            }
            let first = row;
            while row < rows && cell(grid, row, column).is_none() {
                row += 1;
            }
            let x = (column as f64 + 0.5) * grid.column_mm;
            // Half a row longer at both ends, so that it vanishes under the knots.
            let (top, bottom) = ((first as f64 - 0.5).max(0.0), row as f64 + 0.5);
            sheet.stroke(&mut outline, (x, top * grid.row_mm), (x, bottom * grid.row_mm));
        }
    }
    cord(grid, sheet, THICK, outline, shapes);
}

/// The fringe, cut level below the lowest row or as the edge above it goes; nothing where the ends are trimmed or
/// folded back.
pub(super) fn fringe(grid: &AsKnottedGrid, sheet: &PanelScale, shapes: &mut Vec<Shape>) {
    if grid.fringe_mm <= 0.0 {
        return;
    }
    let panel = PanelSize::of(grid);
    let mut outline = Vec::new();
    for column in 0..grid.columns {
        let Some(last) = last_knot(grid, column) else { continue };
        let x = (column as f64 + 0.5) * grid.column_mm;
        let top = (last as f64 + 0.5) * grid.row_mm;
        // The round end of the stroke is the last bit of cord.
        let from = if grid.fringe_follows { (last as f64 + 1.0) * grid.row_mm } else { panel.height };
        let end = from + grid.fringe_mm - RELAXED * grid.column_mm / 2.0 - chance(column, 3) * 0.35 * grid.row_mm;
        // A cord that was wound on a spool keeps a slight bend: each hangs in its own.
        let sway = grid.column_mm * 0.5 * ((end - top) / 110.0).min(1.0);
        let bend = |at: usize| (chance(column, at) - 0.5) * sway;
        let long = end - top;
        outline.push(Segment::Move(sheet.at(x, top)));
        let (mid, foot) = (x + bend(7), x + bend(9));
        outline.push(Segment::Curve(
            sheet.at(mid, top + long * 0.4),
            sheet.at(mid, top + long * 0.7),
            sheet.at(foot, end),
        ));
    }
    cord(grid, sheet, RELAXED, outline, shapes);
}

/// The row of a column's last knot; `None` where it has none.
fn last_knot(grid: &AsKnottedGrid, column: usize) -> Option<usize> {
    (0..PanelSize::of(grid).rows).rev().find(|&row| cell(grid, row, column).is_some())
}

/// Cords along `outline`, `share` of a column pitch thick: a shadow, the cord, and the light along it.
pub(super) fn cord(
    grid: &AsKnottedGrid,
    sheet: &PanelScale,
    share: f64,
    outline: Vec<Segment>,
    shapes: &mut Vec<Shape>,
) {
    if outline.is_empty() {
        return;
    }
    let thick = sheet.length(share * grid.column_mm);
    let mut layer = |outline: Vec<Segment>, colour, width: Length| {
        let stroke = Stroke { colour, width, dash: Vec::new(), round: true };
        shapes.push(Shape { outline, fill: None, stroke: Some(stroke) });
    };
    let light = (thick.to_pt() > 1.2).then(|| shifted(&outline, thick * -0.14));
    layer(outline.clone(), shaded(grid.cord, 22.0), thick);
    layer(outline, grid.cord, thick * 0.84);
    if let Some(light) = light {
        layer(light, lit(grid.cord, 10.0), thick * 0.26);
    }
}

/// The same outline further right.
fn shifted(outline: &[Segment], right: Length) -> Vec<Segment> {
    let right = Length::pt((right.to_pt() * 10.0).round() / 10.0);
    let moved = |p: Point| p.moved(right, Length::ZERO);
    let segment = |segment: &Segment| match *segment {
        Segment::Move(p) => Segment::Move(moved(p)),
        Segment::Line(p) => Segment::Line(moved(p)),
        Segment::Curve(a, b, p) => Segment::Curve(moved(a), moved(b), moved(p)),
        Segment::Close => Segment::Close,
    };
    outline.iter().map(segment).collect()
}
