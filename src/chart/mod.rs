//! The chart: a grid of knots, clean and checked. Rows and columns count from 0 here and get their +1 where a number is drawn.

pub mod grid_picture;
pub(crate) mod grid_sheet;
pub mod grid_text;
pub(crate) mod yarn;

pub use yarn::{Colour, Palette, Yarn, YarnId};

use crate::diag::Diagnostic;

/// Rows a chart may have, and columns.
pub(crate) const MAX_SIDE: usize = 2_000;
/// Yarns a project may have.
pub(crate) const MAX_YARNS: usize = 32;

/// A row, from 0 at the top: the piece hangs and is worked downwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Row(pub usize);

/// A column, from 0 at the left as seen from the front.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Column(pub usize);

/// The way a row is worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Direction {
    /// From the left edge to the right one.
    LeftToRight,
    /// From the right edge to the left one.
    RightToLeft,
}

impl Direction {
    /// The other one.
    pub(crate) fn turned(self) -> Direction {
        match self {
            Direction::LeftToRight => Direction::RightToLeft,
            Direction::RightToLeft => Direction::LeftToRight,
        }
    }
}

/// A grid of cells, at least one by one, with at least one knot. `None` is a bare cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chart {
    columns: usize,
    cells: Vec<Option<YarnId>>,
}

impl Chart {
    /// From cells in reading order. `None` when the cells do not fill whole rows or there are none.
    pub fn new(columns: usize, cells: Vec<Option<YarnId>>) -> Option<Chart> {
        (columns > 0 && !cells.is_empty() && cells.len().is_multiple_of(columns)).then_some(Chart { columns, cells })
    }
    /// How many columns.
    pub fn columns(&self) -> usize {
        self.columns
    }
    /// How many rows.
    pub fn rows(&self) -> usize {
        self.cells.len() / self.columns
    }
    /// The yarn of a cell, `None` where it is bare.
    pub fn cell(&self, row: Row, column: Column) -> Option<YarnId> {
        self.cells[row.0 * self.columns + column.0]
    }
    /// The cells of one row, left to right.
    pub fn row(&self, row: Row) -> &[Option<YarnId>] {
        &self.cells[row.0 * self.columns..(row.0 + 1) * self.columns]
    }
    /// All cells in reading order.
    pub fn cells(&self) -> &[Option<YarnId>] {
        &self.cells
    }
    /// How many knots in all.
    pub fn knots(&self) -> usize {
        self.cells.iter().flatten().count()
    }
}

/// Adds to a fault which of the yarns' `letters` may have been meant by `typed`.
pub(crate) fn suggest_letter(fault: Diagnostic, typed: &str, letters: &[char]) -> Diagnostic {
    let small = typed.to_lowercase();
    let fault = match letters.iter().find(|letter| letter.to_lowercase().eq(small.chars())) {
        Some(near) => fault.hint(format!("did you mean `{near}`? Capitals and small letters are told apart")),
        None => fault,
    };
    let listed: Vec<String> = letters.iter().map(|letter| format!("`{letter}`")).collect();
    if listed.is_empty() { fault } else { fault.hint(format!("the yarns' letters are {}", listed.join(", "))) }
}
