//! Slits: boundaries between two columns that no yarn crosses for three rows or more. Without links they gape.
//!
//! A run crosses the gaps between its own columns; a step crosses those between the column it left and the column it goes
//! on with, in the row where it is taken up. Rows in which either side is bare part a slit: there is nothing to gape.

use super::runs::RunSheet;
use super::yarn_plan::Links;
use crate::chart::{Column, Row};

/// Rows without a crossing that make a slit.
pub(crate) const SLIT_ROWS: usize = 3;

/// One slit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Slit {
    /// The column at its left; the other side is the next one.
    pub left: Column,
    /// Its first row.
    pub first: Row,
    /// Its last row.
    pub last: Row,
}

impl Slit {
    /// How many rows it runs, at least three.
    pub(crate) fn rows(&self) -> usize {
        self.last.0 - self.first.0 + 1
    }
    /// Whether the row sentences link across it in this row: every second row from its second on, so that no two
    /// neighbouring rows are without.
    pub(crate) fn is_linked_in(&self, row: Row) -> bool {
        (self.first..=self.last).contains(&row) && (row.0 - self.first.0) % 2 == 1
    }
}

/// All slits, by column, then row. Header rows have none: one run crosses everything.
pub(super) fn slits(sheet: &RunSheet, links: &Links) -> Vec<Slit> {
    let columns = sheet.columns;
    let mut found = Vec::new();
    // Rows the gap right of each column has been uncrossed.
    let mut open = vec![0usize; columns.saturating_sub(1)];
    let mut crossed = vec![false; columns.saturating_sub(1)];
    for (row, runs) in sheet.rows.iter().enumerate().skip(sheet.header_rows) {
        crossed.fill(false);
        let mut cross = |a: usize, b: usize| {
            if let Some(gaps) = crossed.get_mut(a.min(b)..a.max(b)) {
                gaps.fill(true);
            }
        };
        for id in runs.clone() {
            let run = &sheet.runs[id];
            cross(run.first.0, run.last.0);
            if let Some(from) = links.from[id] {
                cross(sheet.runs[from].last.0, run.first.0);
            }
        }
        for (left, rows) in open.iter_mut().enumerate() {
            let both = !sheet.is_bare(row, left) && !sheet.is_bare(row, left + 1);
            if both && !crossed[left] {
                *rows += 1;
            } else {
                close(&mut found, sheet, left, rows, row);
            }
        }
    }
    for (left, rows) in open.iter_mut().enumerate() {
        close(&mut found, sheet, left, rows, sheet.rows.len());
    }
    found.sort_unstable();
    found
}

/// Ends what was open above `row` (in working order).
fn close(found: &mut Vec<Slit>, sheet: &RunSheet, left: usize, rows: &mut usize, row: usize) {
    let open = core::mem::take(rows);
    if open >= SLIT_ROWS {
        let below = row - sheet.header_rows;
        found.push(Slit { left: Column(left), first: Row(below - open), last: Row(below - 1) });
    }
}
