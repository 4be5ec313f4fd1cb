//! The knots: a ground in the yarn's shadow, two wraps a knot, a light on each.

use super::scale::{PanelScale, PanelSize, cell};
use super::tones::{lit, shaded};
use crate::colour::Colour;
use crate::geom::Length;
use crate::manuscript::AsKnottedGrid;
use crate::page::{Segment, Shape, Stroke};

/// How far down the first and the second wrap lie, in row pitches.
const WRAPS: [f64; 2] = [0.26, 0.76];
/// Thickness of a wrap, in row pitches: two of them nearly fill the row.
const THICK: f64 = 0.46;
/// How much lower one end of a wrap lies than the other, in row pitches.
const LEAN: f64 = 0.30;

/// Width of a cell on paper under which wraps are no longer drawn one by one, points.
const MIN_WRAPPED: f64 = 2.0;
/// Width under which they have no light on them.
const MIN_LIT: f64 = 2.4;
/// Knots beyond which the lights are left out, for the file's sake.
const MAX_LIT: usize = 18_000;
/// Knots beyond which only grounds are drawn.
const MAX_WRAPPED: usize = 60_000;

pub(super) fn draw(grid: &AsKnottedGrid, sheet: &PanelScale, shapes: &mut Vec<Shape>) {
    let panel = PanelSize::of(grid);
    let knots = grid.cells.iter().flatten().count();
    let width = grid.column_mm * sheet.scale;
    let wrapped = width >= MIN_WRAPPED && knots <= MAX_WRAPPED;
    let light = width >= MIN_LIT && knots <= MAX_LIT;

    if !wrapped {
        plain(grid, sheet, shapes);
        return;
    }
    grounds(grid, sheet, true, |colour| shaded(colour, 17.0), shapes);

    let mut wraps = vec![Vec::new(); grid.colours.len()];
    let mut lights = vec![Vec::new(); grid.colours.len()];
    for row in 0..panel.rows {
        for column in 0..grid.columns {
            let Some(yarn) = cell(grid, row, column) else { continue };
            for wrap in WRAPS {
                one_wrap(grid, sheet, (row, column), wrap, &mut wraps[usize::from(yarn)]);
            }
            if light {
                one_light(grid, sheet, (row, column), WRAPS[0], &mut lights[usize::from(yarn)]);
            }
        }
    }
    for (outline, &colour) in wraps.into_iter().zip(&grid.colours) {
        push(shapes, lines(outline, colour, sheet.length(THICK * grid.row_mm)));
    }
    for (outline, &colour) in lights.into_iter().zip(&grid.colours) {
        push(shapes, lines(outline, lit(colour, 9.0), sheet.length(0.34 * THICK * grid.row_mm)));
    }
}

/// Every cell in its yarn's colour, nothing more.
pub(super) fn plain(grid: &AsKnottedGrid, sheet: &PanelScale, shapes: &mut Vec<Shape>) {
    grounds(grid, sheet, false, |colour| colour, shapes);
}

/// One shape a yarn; `tucked` keeps it under the round ends of the wraps where no knot is next to it.
fn grounds(
    grid: &AsKnottedGrid,
    sheet: &PanelScale,
    tucked: bool,
    tone: fn(Colour) -> Colour,
    shapes: &mut Vec<Shape>,
) {
    let mut outlines = vec![Vec::new(); grid.colours.len()];
    rectangles(grid, &PanelSize::of(grid), sheet, tucked, &mut outlines);
    for (outline, &colour) in outlines.into_iter().zip(&grid.colours) {
        push(shapes, Shape { outline, fill: Some(tone(colour)), stroke: None });
    }
}

fn push(shapes: &mut Vec<Shape>, shape: Shape) {
    if !shape.outline.is_empty() {
        shapes.push(shape);
    }
}

fn lines(outline: Vec<Segment>, colour: Colour, width: Length) -> Shape {
    Shape { outline, fill: None, stroke: Some(Stroke { colour, width, dash: Vec::new(), round: true }) }
}

/// +1 where the wraps of a row are higher at the left, else -1.
fn lean(grid: &AsKnottedGrid, row: usize) -> f64 {
    if grid.left_to_right.get(row).copied().unwrap_or(row.is_multiple_of(2)) { 1.0 } else { -1.0 }
}

/// A wrap as a stroke whose round ends reach the middle of the gap to the next column.
fn one_wrap(grid: &AsKnottedGrid, sheet: &PanelScale, (row, column): (usize, usize), wrap: f64, to: &mut Vec<Segment>) {
    let (x, y) = ((column as f64 + 0.5) * grid.column_mm, (row as f64 + wrap) * grid.row_mm);
    let half = (grid.column_mm - THICK * grid.row_mm * 0.86).max(0.1) / 2.0;
    let drop = LEAN / 2.0 * grid.row_mm * lean(grid, row);
    sheet.stroke(to, (x - half, y - drop), (x + half, y + drop));
}

/// The light along a wrap's upper side.
fn one_light(
    grid: &AsKnottedGrid,
    sheet: &PanelScale,
    (row, column): (usize, usize),
    wrap: f64,
    to: &mut Vec<Segment>,
) {
    let (x, y) = ((column as f64 + 0.5) * grid.column_mm, (row as f64 + wrap) * grid.row_mm);
    let half = (grid.column_mm - THICK * grid.row_mm).max(0.1) / 2.0 * 0.72;
    let drop = LEAN / 2.0 * grid.row_mm * lean(grid, row) * 0.72;
    let up = 0.2 * THICK * grid.row_mm;
    sheet.stroke(to, (x - half, y - drop - up), (x + half, y + drop - up));
}

/// Rectangles under the knots, equal neighbours joined along the row and then downwards.
fn rectangles(
    grid: &AsKnottedGrid,
    panel: &PanelSize,
    sheet: &PanelScale,
    tucked: bool,
    outlines: &mut [Vec<Segment>],
) {
    // Runs of the row above that may still grow: first column, one after the last, yarn, first row.
    let mut open: Vec<(usize, usize, u8, usize)> = Vec::new();
    let mut close = |(from, to, yarn, top): (usize, usize, u8, usize), bottom: usize| {
        // At an open edge the ground stays under the round ends of the wraps.
        let tuck = if tucked { 0.12 * grid.column_mm } else { 0.0 };
        let bare = |column: usize| (top..bottom).any(|row| cell(grid, row, column).is_none());
        let left = from as f64 * grid.column_mm + if from == 0 || bare(from - 1) { tuck } else { 0.0 };
        let right = to as f64 * grid.column_mm - if bare(to) { tuck } else { 0.0 };
        let open = |row: usize| (from..to).all(|column| cell(grid, row, column).is_none());
        let up = if tucked && (top == 0 || open(top - 1)) { 0.12 * grid.row_mm } else { 0.0 };
        let down = if tucked && open(bottom) { 0.12 * grid.row_mm } else { 0.0 };
        let (top, bottom) = (top as f64 * grid.row_mm + up, bottom as f64 * grid.row_mm - down);
        if let Some(outline) = outlines.get_mut(usize::from(yarn)) {
            sheet.polygon(outline, &[(left, top), (right, top), (right, bottom), (left, bottom)]);
        }
    };
    for row in 0..panel.rows {
        let mut runs: Vec<(usize, usize, u8)> = Vec::new();
        for column in 0..grid.columns {
            let Some(yarn) = cell(grid, row, column) else { continue };
            match runs.last_mut() {
                Some(run) if run.2 == yarn && run.1 == column => run.1 += 1,
                Some(_) | None => runs.push((column, column + 1, yarn)),
            }
        }
        let goes_on = |run: &(usize, usize, u8, usize)| runs.contains(&(run.0, run.1, run.2));
        let (kept, done): (Vec<_>, Vec<_>) = open.into_iter().partition(goes_on);
        done.into_iter().for_each(|run| close(run, row));
        open = kept;
        for &(from, to, yarn) in &runs {
            if !open.iter().any(|run| (run.0, run.1, run.2) == (from, to, yarn)) {
                open.push((from, to, yarn, row));
            }
        }
    }
    open.into_iter().for_each(|run| close(run, panel.rows));
}
