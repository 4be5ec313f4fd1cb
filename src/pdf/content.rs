//! Content streams of cell grids, written straight as bytes: grounds merged into few rectangles, marks placed as
//! small forms that the whole document shares.
//!
//! Comes in: [`Cells`] and the resource names of their marks. Goes out: bytes that leave the graphics state as they
//! found it. Knows nothing of documents, tags or fonts.

use super::ink::Inks;
use super::number::{number, written};
use super::place::PagePlace;
use super::prepress;
use super::shapes::InkUse;
use crate::colour::Colour;
use crate::page::{CellInk, Cells, Segment};
use std::collections::BTreeMap;

/// Decimals of a step from cell to cell: sixty steps of half a unit in the last place stay below a thousandth of a
/// point.
const STEP_DECIMALS: u32 = 5;
/// Decimals of a coordinate on the page.
const PLACE_DECIMALS: u32 = 4;

/// A box in one operator: left or right, top or bottom, width, height as written. Sides may be negative: they lead away from
/// the corner that the outline begins at. `re` goes along the level side first; a box that goes the other way round may be
/// written so where nothing else is painted with it (`alone`).
fn as_box(
    outline: &[Segment],
    decimals: u32,
    alone: bool,
    place: &impl Fn(crate::geom::Point) -> (f64, f64),
) -> Option<[f64; 4]> {
    let [Segment::Move(a), Segment::Line(b), Segment::Line(c), Segment::Line(d), Segment::Close] = outline else {
        return None;
    };
    let [a, b, c, d] = [a, b, c, d].map(|p| {
        let (x, y) = place(*p);
        [written(x, decimals), written(y, decimals)]
    });
    let level = a[1] == b[1] && b[0] == c[0] && c[1] == d[1] && d[0] == a[0];
    let upright = a[0] == b[0] && b[1] == c[1] && c[0] == d[0] && d[1] == a[1];
    (level || (alone && upright)).then(|| [a[0], a[1], c[0] - a[0], c[1] - a[1]])
}

/// An outline as path operators, without painting it; `place` turns a point into page or form space.
pub(super) fn path(
    out: &mut Vec<u8>,
    outline: &[Segment],
    decimals: u32,
    place: impl Fn(crate::geom::Point) -> (f64, f64),
) {
    let point = |out: &mut Vec<u8>, p| {
        let (x, y) = place(p);
        number(out, x, decimals);
        out.push(b' ');
        number(out, y, decimals);
        out.push(b' ');
    };
    let mut rest = outline;
    while let Some((segment, after)) = rest.split_first() {
        if let Some(sides) = rest.get(..5).and_then(|five| as_box(five, decimals, outline.len() == 5, &place)) {
            for value in sides {
                number(out, value, decimals);
                out.push(b' ');
            }
            out.extend_from_slice(b"re\n");
            rest = rest.get(5..).unwrap_or_default();
            continue;
        }
        rest = after;
        match *segment {
            Segment::Move(p) => {
                point(out, p);
                out.extend_from_slice(b"m\n");
            }
            Segment::Line(p) => {
                point(out, p);
                out.extend_from_slice(b"l\n");
            }
            Segment::Curve(a, b, p) => {
                point(out, a);
                point(out, b);
                point(out, p);
                out.extend_from_slice(b"c\n");
            }
            Segment::Close => out.extend_from_slice(b"h\n"),
        }
    }
}

/// The content of a mark's form: the outline filled in its colour. Form space has y downwards, as the grid that places
/// it turns the page over once.
pub(super) fn mark_form(ink: &CellInk, inks: Inks<'_>) -> Vec<u8> {
    let mut out = Vec::new();
    inks.mark(ink.colour, ink.ground).write(&mut out, false);
    path(&mut out, &ink.mark, 3, |p| (p.x.to_pt(), p.y.to_pt()));
    out.extend_from_slice(b"f");
    out
}

/// Draws a grid. `marks[i]` is the resource name of the form of ink `i`, `None` where the ink has no mark.
pub(super) fn grid(out: &mut Vec<u8>, cells: &Cells, marks: &[Option<String>], place: PagePlace, inks: Inks<'_>) {
    if cells.columns == 0 || cells.cells.is_empty() {
        return;
    }
    out.reserve(cells.cells.len() * 26 + 256);
    grounds(out, cells, place, inks);
    let over: Vec<bool> = cells.inks.iter().map(|ink| inks.prints_over(ink.colour, ink.ground)).collect();
    let only = |wanted: bool| -> Vec<Option<String>> {
        marks.iter().zip(&over).map(|(mark, over)| mark.clone().filter(|_| *over == wanted)).collect()
    };
    row_by_row(out, cells, &only(false), place, None);
    row_by_row(out, cells, &only(true), place, Some(prepress::OVER));
}

/// A rectangle of cells of one ground.
#[derive(Clone, Copy)]
struct Patch {
    column: usize,
    row: usize,
    columns: usize,
    rows: usize,
}

/// Grounds: one path per colour, in units of cells under one transformation, so that every corner is a whole number.
/// One path also keeps the edges between neighbours free of hairlines.
fn grounds(out: &mut Vec<u8>, cells: &Cells, place: PagePlace, inks: Inks<'_>) {
    let mut patches: BTreeMap<Colour, Vec<Patch>> = BTreeMap::new();
    // Patches that end in the row above, by their first column; they grow when the same run comes again.
    let mut above: Vec<Option<(Colour, usize)>> = vec![None; cells.columns];
    let ground = |ink: Option<u8>| cells.inks.get(usize::from(ink?)).and_then(|ink| ink.ground);
    for (row, line) in cells.cells.chunks(cells.columns).enumerate() {
        let mut here = vec![None; cells.columns];
        let mut column = 0;
        while column < line.len() {
            let Some(colour) = ground(line[column]) else {
                column += 1;
                continue;
            };
            let mut end = column + 1;
            while end < line.len() && ground(line[end]) == Some(colour) {
                end += 1;
            }
            let list = patches.entry(colour).or_default();
            let grown = match above[column] {
                Some((same, index)) if same == colour && list[index].columns == end - column => {
                    list[index].rows += 1;
                    index
                }
                Some(_) | None => {
                    list.push(Patch { column, row, columns: end - column, rows: 1 });
                    list.len() - 1
                }
            };
            here[column] = Some((colour, grown));
            column = end;
        }
        above = here;
    }
    if patches.is_empty() {
        return;
    }
    let (x, y) = place.point(cells.origin);
    out.extend_from_slice(b"q\n");
    for (value, decimals) in [
        (cells.cell.width.to_pt(), STEP_DECIMALS),
        (0.0, 0),
        (0.0, 0),
        (-cells.cell.height.to_pt(), STEP_DECIMALS),
        (x, PLACE_DECIMALS),
        (y, PLACE_DECIMALS),
    ] {
        number(out, value, decimals);
        out.push(b' ');
    }
    out.extend_from_slice(b"cm\n");
    for (colour, list) in &patches {
        inks.paint(*colour, InkUse::Area).write(out, false);
        for patch in list {
            for value in [patch.column, patch.row, patch.columns, patch.rows] {
                number(out, value as f64, 0);
                out.push(b' ');
            }
            out.extend_from_slice(b"re\n");
        }
        out.extend_from_slice(b"f\n");
    }
    out.extend_from_slice(b"Q\n");
}

/// Marks, row by row: each row starts afresh from the grid's origin, so that rounding cannot pile up over rows, and
/// within a row each step is the difference to what has been written so far. `state` is one that they are drawn in.
fn row_by_row(out: &mut Vec<u8>, cells: &Cells, marks: &[Option<String>], place: PagePlace, state: Option<&str>) {
    let mark = |ink: Option<u8>| marks.get(usize::from(ink?)).and_then(Option::as_deref);
    if !cells.cells.iter().any(|&ink| mark(ink).is_some()) {
        return;
    }
    let (width, height) = (cells.cell.width.to_pt(), cells.cell.height.to_pt());
    let (x, y) = place.point(cells.origin.moved(cells.cell.width / 2.0, cells.cell.height / 2.0));
    out.extend_from_slice(b"q\n1 0 0 -1 ");
    number(out, x, PLACE_DECIMALS);
    out.push(b' ');
    number(out, y, PLACE_DECIMALS);
    out.extend_from_slice(b" cm\n");
    if let Some(state) = state {
        out.extend_from_slice(format!("/{state} gs\n").as_bytes());
    }
    for (row, line) in cells.cells.chunks(cells.columns).enumerate() {
        let mut pen: Option<f64> = None;
        for (column, &ink) in line.iter().enumerate() {
            let Some(name) = mark(ink) else { continue };
            let target = width * column as f64;
            let down = if pen.is_none() { height * row as f64 } else { 0.0 };
            if pen.is_none() {
                out.extend_from_slice(b"q\n");
            }
            let from = pen.unwrap_or(0.0);
            let step = written(target - from, STEP_DECIMALS);
            out.extend_from_slice(b"1 0 0 1 ");
            number(out, step, STEP_DECIMALS);
            out.push(b' ');
            number(out, down, STEP_DECIMALS);
            out.extend_from_slice(b" cm/");
            out.extend_from_slice(name.as_bytes());
            out.extend_from_slice(b" Do\n");
            pen = Some(from + step);
        }
        if pen.is_some() {
            out.extend_from_slice(b"Q\n");
        }
    }
    out.extend_from_slice(b"Q\n");
}
