//! Runs: consecutive knots of one yarn in one row, in working order.

use super::{Chart, Column, Direction, Row, YarnId};

/// Consecutive knots of one yarn in one row. A bare cell parts two runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Run {
    /// The yarn.
    pub yarn: YarnId,
    /// The column of the knot tied first.
    pub first: Column,
    /// The column of the knot tied last.
    pub last: Column,
}

impl Run {
    /// How many knots, at least one.
    pub fn knots(self) -> usize {
        self.first.0.abs_diff(self.last.0) + 1
    }
    /// The leftmost column, whichever way the row is worked.
    pub fn left(self) -> Column {
        self.first.min(self.last)
    }
    /// The rightmost column.
    pub fn right(self) -> Column {
        self.first.max(self.last)
    }
}

impl Chart {
    /// The runs of a row worked in `direction`, in working order; none where the whole row is bare.
    pub fn runs(&self, row: Row, direction: Direction) -> Vec<Run> {
        let cells = self.row(row);
        let in_order: Vec<usize> = match direction {
            Direction::LeftToRight => (0..cells.len()).collect(),
            Direction::RightToLeft => (0..cells.len()).rev().collect(),
        };
        let mut runs: Vec<Run> = Vec::new();
        let mut before: Option<YarnId> = None;
        for column in in_order {
            match (cells[column], runs.last_mut()) {
                (Some(yarn), Some(run)) if before == Some(yarn) => run.last = Column(column),
                (Some(yarn), _) => runs.push(Run { yarn, first: Column(column), last: Column(column) }),
                (None, _) => {}
            }
            before = cells[column];
        }
        runs
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chart(columns: usize, cells: &str) -> Chart {
        let cells = cells.chars().map(|c| (c != '.').then(|| YarnId(c as u8 - b'a'))).collect();
        Chart::new(columns, cells).expect("whole rows")
    }

    #[test]
    fn runs_follow_the_working_order() {
        let chart = chart(7, "aab.bba");
        let told = |direction| -> Vec<(u8, usize, usize, usize)> {
            chart.runs(Row(0), direction).iter().map(|r| (r.yarn.0, r.first.0, r.last.0, r.knots())).collect()
        };
        // Own computation, counted by hand.
        assert_eq!(told(Direction::LeftToRight), [(0, 0, 1, 2), (1, 2, 2, 1), (1, 4, 5, 2), (0, 6, 6, 1)]);
        assert_eq!(told(Direction::RightToLeft), [(0, 6, 6, 1), (1, 5, 4, 2), (1, 2, 2, 1), (0, 1, 0, 2)]);
    }

    #[test]
    fn a_bare_row_has_no_runs() {
        assert!(chart(3, "...aaa").runs(Row(0), Direction::LeftToRight).is_empty());
    }
}
