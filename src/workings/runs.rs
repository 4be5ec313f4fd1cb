//! Runs: consecutive knots of one yarn in one row, in working order, header rows included.
//!
//! Yarn moves between *gaps*: gap k lies left of column k. A run worked left to right from column a to b enters at gap a and
//! leaves at gap b + 1; worked right to left from a down to b it enters at gap a + 1 and leaves at gap b.

use crate::chart::{Column, Direction, Row, YarnId};
use crate::project::{Project, Side};
use core::ops::Range;

/// Which run: an index into [`RunSheet::runs`], in working order.
pub type RunId = usize;

/// A row by its kind; both count from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RowPlace {
    /// A header row: H1 is `Header(0)`.
    Header(usize),
    /// A row of the chart.
    Chart(Row),
}

impl RowPlace {
    /// The number as it is drawn, from 1 within its kind.
    pub fn number(self) -> usize {
        match self {
            RowPlace::Header(at) | RowPlace::Chart(Row(at)) => at + 1,
        }
    }
    /// Whether it is a header row.
    pub fn is_header(self) -> bool {
        matches!(self, RowPlace::Header(_))
    }
}

/// Consecutive knots of one yarn in one row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Run {
    /// Its yarn.
    pub yarn: YarnId,
    /// Row in working order, header rows first, from 0.
    pub row: usize,
    /// The column knotted first.
    pub first: Column,
    /// The column knotted last; left of `first` in a row worked right to left.
    pub last: Column,
    /// The way the row is worked.
    pub(crate) direction: Direction,
}

impl Run {
    /// How many knots, at least one.
    pub fn knots(&self) -> usize {
        self.first.0.abs_diff(self.last.0) + 1
    }
    /// The gap it enters at.
    pub(crate) fn enters(&self) -> usize {
        match self.direction {
            Direction::LeftToRight => self.first.0,
            Direction::RightToLeft => self.first.0 + 1,
        }
    }
    /// The gap it leaves at.
    pub(crate) fn leaves(&self) -> usize {
        match self.direction {
            Direction::LeftToRight => self.last.0 + 1,
            Direction::RightToLeft => self.last.0,
        }
    }
}

/// All runs of a panel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RunSheet {
    /// In working order.
    pub runs: Vec<Run>,
    /// For each row in working order, which runs it has; empty for a row without a knot.
    pub(crate) rows: Vec<Range<RunId>>,
    /// How many of the rows are header rows; even, so that chart row 1 starts where the project says.
    pub(crate) header_rows: usize,
    /// Columns of the chart.
    pub(crate) columns: usize,
    /// The way the first row is worked.
    pub(crate) first_direction: Direction,
    /// Cells without a knot, row by row in working order, `columns` each; empty when every cell is knotted.
    pub(super) bare: Vec<bool>,
}

impl RunSheet {
    /// Name of a row given in working order.
    pub(crate) fn place(&self, row: usize) -> RowPlace {
        match row.checked_sub(self.header_rows) {
            Some(chart) => RowPlace::Chart(Row(chart)),
            None => RowPlace::Header(row),
        }
    }
    /// The way a row, given in working order, is worked.
    pub(crate) fn direction(&self, row: usize) -> Direction {
        if row.is_multiple_of(2) { self.first_direction } else { self.first_direction.turned() }
    }
    /// Whether a cell has no knot; row in working order.
    pub(crate) fn is_bare(&self, row: usize, column: usize) -> bool {
        self.bare.get(row * self.columns + column).copied().unwrap_or(false)
    }
}

pub(super) fn sheet(project: &Project, header_rows: usize) -> RunSheet {
    let chart = &project.chart;
    let columns = chart.columns();
    let first_direction = match project.working.first_row_from {
        Side::Left => Direction::LeftToRight,
        Side::Right => Direction::RightToLeft,
    };
    let mut sheet =
        RunSheet { runs: Vec::new(), rows: Vec::new(), header_rows, columns, first_direction, bare: Vec::new() };
    let header: Vec<Option<YarnId>> = vec![Some(project.working.header_yarn); columns];
    for row in 0..header_rows + chart.rows() {
        let direction = sheet.direction(row);
        let cells = match row.checked_sub(header_rows) {
            Some(at) => chart.row(Row(at)),
            None => &header,
        };
        let start = sheet.runs.len();
        let mut open: Option<Run> = None;
        for step in 0..columns {
            let column = match direction {
                Direction::LeftToRight => step,
                Direction::RightToLeft => columns - 1 - step,
            };
            match (cells[column], &mut open) {
                (Some(yarn), Some(run)) if run.yarn == yarn => run.last = Column(column),
                (Some(yarn), _) => {
                    let next = Run { yarn, row, first: Column(column), last: Column(column), direction };
                    sheet.runs.extend(open.replace(next));
                }
                (None, _) => sheet.runs.extend(open.take()),
            }
        }
        sheet.runs.extend(open);
        sheet.rows.push(start..sheet.runs.len());
    }
    if chart.knots() < chart.cells().len() {
        sheet.bare = vec![false; header_rows * columns];
        sheet.bare.extend(chart.cells().iter().map(Option::is_none));
    }
    sheet
}
