//! The chart as it is edited: letters in reading order. It may be wholly bare, which a finished chart may not.

use crate::chart::MAX_SIDE;

/// The letter of a bare cell.
pub(crate) const BARE: char = '.';

/// Letters of a chart in reading order, at least one, all rows of one length.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grid {
    columns: usize,
    cells: Vec<char>,
}

/// Rows or columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// From side to side.
    Row,
    /// From top to bottom.
    Column,
}

impl Grid {
    /// `None` where the cells do not fill whole rows, there are none, or a side is longer than a chart may be.
    pub fn new(columns: usize, cells: Vec<char>) -> Option<Grid> {
        let whole = columns > 0 && !cells.is_empty() && cells.len().is_multiple_of(columns);
        (whole && columns <= MAX_SIDE && cells.len() / columns <= MAX_SIDE).then_some(Grid { columns, cells })
    }
    /// How many columns.
    pub(crate) fn columns(&self) -> usize {
        self.columns
    }
    /// How many rows.
    pub(crate) fn rows(&self) -> usize {
        self.cells.len() / self.columns
    }
    /// Letters in reading order.
    pub fn cells(&self) -> &[char] {
        &self.cells
    }
    /// The letters of one row.
    pub(crate) fn row(&self, row: usize) -> &[char] {
        &self.cells[row * self.columns..(row + 1) * self.columns]
    }
    /// Gives one cell another letter; a place outside changes nothing.
    pub(crate) fn set(&mut self, at: usize, letter: char) {
        if let Some(cell) = self.cells.get_mut(at) {
            *cell = letter;
        }
    }
    /// Puts `count` rows or columns in before `at`, each like the neighbour before them, or behind where there is none.
    /// `None` where `at` lies outside, or the chart would be larger than a chart may be.
    pub(crate) fn put_in(&self, line: Line, at: usize, count: usize) -> Option<Grid> {
        match line {
            Line::Row => {
                if at > self.rows() || count == 0 || count > MAX_SIDE {
                    return None;
                }
                let like = self.row(at.saturating_sub(1)).to_vec();
                let mut cells = self.cells[..at * self.columns].to_vec();
                (0..count).for_each(|_| cells.extend(&like));
                cells.extend(&self.cells[at * self.columns..]);
                Grid::new(self.columns, cells)
            }
            Line::Column => self.turned().put_in(Line::Row, at, count).map(|grid| grid.turned()),
        }
    }
    /// Takes `count` rows or columns out from `at` on. `None` where they are not all there, or nothing would be left.
    pub(crate) fn take_out(&self, line: Line, at: usize, count: usize) -> Option<Grid> {
        match line {
            Line::Row => {
                let end = at.checked_add(count).filter(|end| *end <= self.rows() && count > 0)?;
                let mut cells = self.cells[..at * self.columns].to_vec();
                cells.extend(&self.cells[end * self.columns..]);
                Grid::new(self.columns, cells)
            }
            Line::Column => self.turned().take_out(Line::Row, at, count).map(|grid| grid.turned()),
        }
    }
    /// Rows for columns.
    fn turned(&self) -> Grid {
        let rows = self.rows();
        let cells = (0..self.columns)
            .flat_map(|c| (0..rows).map(move |r| (r, c)))
            .map(|(r, c)| self.cells[r * self.columns + c]);
        Grid { columns: rows, cells: cells.collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(rows: &[&str]) -> Grid {
        Grid::new(rows[0].chars().count(), rows.concat().chars().collect()).expect("a grid")
    }

    #[test]
    fn rows_and_columns_put_in_are_like_their_neighbour_and_come_out_again() {
        let plain = grid(&["AB", "CD"]);
        assert_eq!(plain.put_in(Line::Row, 1, 2), Some(grid(&["AB", "AB", "AB", "CD"])));
        assert_eq!(plain.put_in(Line::Row, 0, 1), Some(grid(&["AB", "AB", "CD"])));
        assert_eq!(plain.put_in(Line::Column, 2, 1), Some(grid(&["ABB", "CDD"])));
        assert_eq!(plain.put_in(Line::Row, 3, 1), None);
        let mut random = fastrand::Rng::with_seed(4);
        for _ in 0..300 {
            let (columns, rows) = (random.usize(1..9), random.usize(1..9));
            let cells = (0..columns * rows).map(|_| random.alphabetic()).collect();
            let grid = Grid::new(columns, cells).expect("a grid");
            let (line, side) = if random.bool() { (Line::Row, rows) } else { (Line::Column, columns) };
            let (at, count) = (random.usize(0..=side), random.usize(1..4));
            let more = grid.put_in(line, at, count).expect("put in");
            assert_eq!(more.take_out(line, at, count), Some(grid));
        }
    }

    #[test]
    fn a_chart_is_never_emptied_nor_larger_than_the_largest() {
        let plain = grid(&["AB", "CD"]);
        assert_eq!(plain.take_out(Line::Row, 0, 2), None);
        assert_eq!(plain.take_out(Line::Column, 1, 2), None);
        assert_eq!(plain.put_in(Line::Row, 0, MAX_SIDE), None);
        assert_eq!(plain.put_in(Line::Row, 0, usize::MAX), None);
        assert_eq!(plain.take_out(Line::Row, usize::MAX, 2), None);
    }
}
