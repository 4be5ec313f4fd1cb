//! The grid itself: cells, and the lines between them.

use super::marks;
use super::sheets::{ChartSheets, SheetOnPage};
use crate::compose::draw::{self, LAYOUT};
use crate::geom::{Point, Rect};
use crate::inks;
use crate::page::{Cells, Item, Mark, PlacedItem, Segment, Shape};

impl ChartSheets<'_> {
    pub(super) fn cells(&self, page: &SheetOnPage, out: &mut Vec<PlacedItem>) {
        let sheet = page.sheet;
        let mut cells = Vec::with_capacity(sheet.columns.len() * sheet.rows.len());
        for row in sheet.rows.clone() {
            let start = row * self.block.columns;
            cells.extend_from_slice(&self.block.cells[start + sheet.columns.start..start + sheet.columns.end]);
        }
        out.push(PlacedItem {
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

    pub(super) fn cell_marks(&self, page: &SheetOnPage, out: &mut Vec<PlacedItem>) {
        if !self.edition.chart.marks {
            return;
        }
        let (sheet, grid, columns) = (page.sheet, page.grid, self.block.columns);
        let marked = marks::on(self.block, sheet).filter_map(|mark| {
            let (row, column) = (mark.cell / columns, mark.cell % columns);
            let yarn = usize::from((*self.block.cells.get(mark.cell)?)?);
            let left = grid.left() + self.cell.width * (column - sheet.columns.start) as f64;
            let top = grid.top() + self.cell.height * (row - sheet.rows.start) as f64;
            Some(marks::MarkedCell {
                area: Rect { origin: Point::new(left, top), size: self.cell },
                kind: &mark.kind,
                left_to_right: self.block.rows.get(row)?.left_to_right,
                ink: self.cell_inks.get(yarn)?,
            })
        });
        out.extend(marks::shapes(marked).into_iter().map(|shape| draw::shape(Mark::Node(page.figure), shape)));
    }

    /// Lines between cells, only where there is a knot on one side: bare cells are left blank.
    pub(super) fn lines(&self, page: &SheetOnPage, out: &mut Vec<PlacedItem>) {
        let (sheet, grid) = (page.sheet, page.grid);
        let (columns, rows) = (sheet.columns.len(), sheet.rows.len());
        let knot = |row: Option<usize>, column: Option<usize>| -> bool {
            let (Some(row), Some(column)) = (row, column) else { return false };
            if row >= rows || column >= columns {
                return false;
            }
            let at = (sheet.rows.start + row) * self.block.columns + sheet.columns.start + column;
            self.block.cells[at].is_some()
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
        // Tens are those of the whole chart; the edge runs round the knots.
        let [usual, heavy] = inks::lines(self.ink, self.edition.look.grid, self.edition.look.tens);
        for (outline, (colour, width)) in [(thin, usual), (tens, heavy), (edge, heavy)] {
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
