//! The grid itself: cells, and the lines between them.

use super::{ChartSheets, OnPage, starts};
use crate::compose::draw::{self, LAYOUT};
use crate::compose::tile::Sheet;
use crate::geom::{Length, Point};
use crate::page::{Cells, Item, Mark, Placed, Segment, Shape};

/// Lines between cells.
const THIN: Length = Length::pt(0.3);
/// Lines on tens of the whole chart, and round the knots.
const TENS: Length = Length::pt(0.8);

impl ChartSheets<'_> {
    pub(super) fn cells(&self, page: &OnPage, out: &mut Vec<Placed>) {
        let sheet = page.sheet;
        let mut cells = Vec::with_capacity(sheet.columns.len() * sheet.rows.len());
        for row in sheet.rows.clone() {
            let start = row * self.block.columns;
            cells.extend_from_slice(&self.block.cells[start + sheet.columns.start..start + sheet.columns.end]);
        }
        out.push(Placed {
            mark: Mark::Node(page.figure),
            item: Item::Cells(Cells {
                origin: page.grid.origin,
                cell: self.cell,
                columns: sheet.columns.len(),
                cells,
                inks: self.cell_inks.clone(),
            }),
        });
    }

    /// Squares of this sheet in which a yarn starts; none where the layout does not ask for them.
    pub(super) fn starts_on<'s>(&'s self, sheet: &'s Sheet) -> impl Iterator<Item = starts::Start<'s>> {
        let wanted = if self.edition.chart.yarn_starts { self.block.starts.as_slice() } else { &[] };
        let columns = self.block.columns;
        wanted
            .iter()
            .map(move |cell| (cell / columns, cell % columns))
            .filter(|(row, column)| sheet.rows.contains(row) && sheet.columns.contains(column))
            .filter_map(move |(row, column)| {
                let yarn = usize::from(*self.block.cells.get(row * columns + column)?);
                Some(starts::Start {
                    row: row - sheet.rows.start,
                    column: column - sheet.columns.start,
                    left_to_right: self.block.rows.get(row)?.left_to_right,
                    ink: self.cell_inks.get(yarn)?,
                })
            })
    }

    pub(super) fn starts(&self, page: &OnPage, out: &mut Vec<Placed>) {
        let dots = starts::dots(page.grid, self.cell, self.starts_on(page.sheet));
        out.extend(dots.into_iter().map(|dot| draw::shape(Mark::Node(page.figure), dot)));
    }

    /// Lines between cells, only where there is a knot on one side: bare cells are left blank.
    pub(super) fn lines(&self, page: &OnPage, out: &mut Vec<Placed>) {
        let (sheet, grid) = (page.sheet, page.grid);
        let (columns, rows) = (sheet.columns.len(), sheet.rows.len());
        let knot = |row: Option<usize>, column: Option<usize>| -> bool {
            let (Some(row), Some(column)) = (row, column) else { return false };
            if row >= rows || column >= columns {
                return false;
            }
            let at = (sheet.rows.start + row) * self.block.columns + sheet.columns.start + column;
            self.block.cells[at] != Cells::BARE
        };
        let (mut thin, mut tens, mut edge) = (Vec::new(), Vec::new(), Vec::new());
        let x = |column: usize| grid.left() + self.cell.width * column as f64;
        let y = |row: usize| grid.top() + self.cell.height * row as f64;
        for i in 0..=columns {
            let drawn = |row: usize| knot(Some(row), i.checked_sub(1)) || knot(Some(row), Some(i));
            let border = |row: usize| knot(Some(row), i.checked_sub(1)) != knot(Some(row), Some(i));
            let ten = (sheet.columns.start + i).is_multiple_of(10);
            for (from, to) in stretches(rows, drawn) {
                let into = if ten { &mut tens } else { &mut thin };
                into.extend([Segment::Move(Point::new(x(i), y(from))), Segment::Line(Point::new(x(i), y(to)))]);
            }
            for (from, to) in stretches(rows, border) {
                edge.extend([Segment::Move(Point::new(x(i), y(from))), Segment::Line(Point::new(x(i), y(to)))]);
            }
        }
        for i in 0..=rows {
            let drawn = |column: usize| knot(i.checked_sub(1), Some(column)) || knot(Some(i), Some(column));
            let border = |column: usize| knot(i.checked_sub(1), Some(column)) != knot(Some(i), Some(column));
            let ten = (sheet.rows.start + i).is_multiple_of(10);
            for (from, to) in stretches(columns, drawn) {
                let into = if ten { &mut tens } else { &mut thin };
                into.extend([Segment::Move(Point::new(x(from), y(i))), Segment::Line(Point::new(x(to), y(i)))]);
            }
            for (from, to) in stretches(columns, border) {
                edge.extend([Segment::Move(Point::new(x(from), y(i))), Segment::Line(Point::new(x(to), y(i)))]);
            }
        }
        let look = &self.edition.look;
        for (outline, colour, width) in [(thin, look.grid, THIN), (tens, look.tens, TENS), (edge, look.tens, TENS)] {
            if !outline.is_empty() {
                let stroke = Some(draw::line(colour, width));
                out.push(draw::shape(LAYOUT, Shape { outline, fill: None, stroke }));
            }
        }
    }
}

/// Runs of consecutive numbers below `count` for which `wanted` says yes, as (first, one past the last).
fn stretches(count: usize, wanted: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut start = None;
    for i in 0..=count {
        match (start, i < count && wanted(i)) {
            (None, true) => start = Some(i),
            (Some(from), false) => {
                out.push((from, i));
                start = None;
            }
            _ => {}
        }
    }
    out
}
