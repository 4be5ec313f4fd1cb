//! A photograph or drawing becomes a chart that is pleasant to tie.
//!
//! In: a picture as it is seen, the part of it that is wanted, how many knots and yarns, and a project for the gauge and
//! the ways of working. Out: the yarns' colours and a chart. Pure and the same every time; knows no files and no words.
//!
//! The steps: [`cells::Targets`] says what colour every knot should have, [`yarns::choose`] finds the yarns, and [`draw`]
//! starts from the nearest yarn everywhere and joins knots to their neighbours (`joining`) wherever the work that is saved
//! (`tying`) outweighs the likeness that is lost (`likeness`), at several strengths; of the charts so made the one that
//! asks for the least handling and still looks like the picture wins (`choosing`).

pub mod cells;
mod choosing;
pub mod drawing;
mod joining;
mod likeness;
mod tying;
pub mod yarns;

pub use choosing::{ChartScore, JudgedChart, draw};

/// A chart in the making: which yarn each knot has, by its place in the list of yarns. Every cell is knotted.
#[derive(Clone, Debug, PartialEq, Eq)]
struct YarnGrid {
    columns: usize,
    rows: usize,
    cells: Vec<u8>,
}

impl YarnGrid {
    /// The yarn of a knot; inside the panel only.
    fn at(&self, row: usize, column: usize) -> u8 {
        self.cells[row * self.columns + column]
    }
    /// The yarns above, below, left and right of a knot, as far as there are any.
    fn around(&self, row: usize, column: usize) -> impl Iterator<Item = u8> {
        let above = (row > 0).then(|| self.at(row - 1, column));
        let below = (row + 1 < self.rows).then(|| self.at(row + 1, column));
        let left = (column > 0).then(|| self.at(row, column - 1));
        let right = (column + 1 < self.columns).then(|| self.at(row, column + 1));
        [above, below, left, right].into_iter().flatten()
    }
    /// Whether no knot above, below, left or right of this one has its yarn.
    fn is_single(&self, row: usize, column: usize) -> bool {
        let yarn = self.at(row, column);
        self.around(row, column).all(|other| other != yarn)
    }
    /// How many knots stand alone.
    fn singles(&self) -> usize {
        let place = |at: usize| (at / self.columns, at % self.columns);
        (0..self.cells.len()).map(place).filter(|&(row, column)| self.is_single(row, column)).count()
    }
}

#[cfg(test)]
mod tests;
