//! Joins knots to their neighbours: changes are tried place by place, and the best one at a place is made if it saves more
//! work than it costs likeness.
//!
//! The rule: a change is made if `strength x work saved > likeness lost`, work in starts (`tying`), likeness in squared
//! distance (`likeness`). Tried are: a short run takes the yarn beside, above or below it; the boundary between two runs
//! moves by up to four knots; a patch of few knots takes the yarn of a neighbour whole. Places are visited in reading order
//! until nothing more is gained.

use super::YarnGrid;
use super::likeness::{KnotChange, Likeness};
use super::tying::Tying;
use crate::geom::beside;

/// Longest run that is recoloured whole.
const SHORT_RUN: usize = 8;
/// Furthest that a boundary moves at once.
const SHIFT: usize = 4;
/// Largest patch that is recoloured whole.
const SMALL_PATCH: usize = 24;
/// Rounds over the whole panel, at most.
const ROUNDS: usize = 8;

/// A panel with what is known about it.
#[derive(Clone)]
pub(super) struct JoiningState {
    pub(super) panel: YarnGrid,
    pub(super) likeness: Likeness,
}

/// Joins until nothing more is gained at this strength.
pub(super) fn join(work: &mut JoiningState, tying: &Tying, strength: f64) {
    let mut bench = JoiningContext { work, tying, strength, touched: Vec::new(), changes: Vec::new() };
    bench.touched = vec![true; bench.work.panel.cells.len()];
    for _ in 0..ROUNDS {
        let before = bench.work.panel.cells.clone();
        bench.patches();
        bench.runs();
        if bench.work.panel.cells == before {
            break;
        }
    }
}

struct JoiningContext<'a> {
    work: &'a mut JoiningState,
    tying: &'a Tying,
    strength: f64,
    /// Places where something may have changed since they were last tried.
    touched: Vec<bool>,
    /// Kept to save asking for memory.
    changes: Vec<KnotChange>,
}

/// A stretch of one row that would take another yarn.
#[derive(Clone, Copy)]
struct RowStretch {
    row: usize,
    from: usize,
    /// One past the last.
    to: usize,
    yarn: u8,
}

impl JoiningContext<'_> {
    fn runs(&mut self) {
        let (columns, rows) = (self.work.panel.columns, self.work.panel.rows);
        for row in 0..rows {
            for column in 0..columns {
                let at = row * columns + column;
                if !core::mem::take(&mut self.touched[at]) {
                    continue;
                }
                self.at(row, column);
            }
        }
    }

    /// Tries everything that begins at this knot, as long as something is gained.
    fn at(&mut self, row: usize, column: usize) {
        for _ in 0..4 {
            let mut best: Option<(f64, RowStretch)> = None;
            for stretch in self.tries(row, column) {
                let gain = self.gain_of(stretch);
                if gain > 1e-6 && best.is_none_or(|(most, _)| gain > most) {
                    best = Some((gain, stretch));
                }
            }
            let Some((_, stretch)) = best else { return };
            self.stretch(stretch);
            self.make();
        }
    }

    fn tries(&self, row: usize, column: usize) -> Vec<RowStretch> {
        let panel = &self.work.panel;
        let yarn = panel.at(row, column);
        let mut tries: Vec<RowStretch> = Vec::new();
        let mut add = |from: usize, to: usize, to_yarn: u8| {
            let known = tries.iter().any(|t| (t.from, t.to, t.yarn) == (from, to, to_yarn));
            if !known && (from..to).any(|c| panel.at(row, c) != to_yarn) {
                tries.push(RowStretch { row, from, to, yarn: to_yarn });
            }
        };
        // This knot alone.
        for other in panel.around(row, column).filter(|&other| other != yarn) {
            add(column, column + 1, other);
        }
        if column == 0 || panel.at(row, column - 1) != yarn {
            let end = (column..panel.columns).find(|&c| panel.at(row, c) != yarn).unwrap_or(panel.columns);
            if end - column <= SHORT_RUN {
                let middle = (column + end - 1) / 2;
                let beside = [
                    column.checked_sub(1).map(|c| panel.at(row, c)),
                    (end < panel.columns).then(|| panel.at(row, end)),
                ];
                let above = (row > 0).then(|| panel.at(row - 1, middle));
                let below = (row + 1 < panel.rows).then(|| panel.at(row + 1, middle));
                for other in beside.into_iter().chain([above, below]).flatten().filter(|&other| other != yarn) {
                    add(column, end, other);
                }
            }
            if let Some(before) = column.checked_sub(1).map(|c| panel.at(row, c)) {
                for by in 1..=SHIFT {
                    if column + by <= end {
                        add(column, column + by, before);
                    }
                    if column >= by {
                        add(column - by, column, yarn);
                    }
                }
            }
        }
        tries
    }

    fn gain_of(&mut self, stretch: RowStretch) -> f64 {
        self.stretch(stretch);
        self.gain()
    }

    fn stretch(&mut self, RowStretch { row, from, to, yarn }: RowStretch) {
        let panel = &self.work.panel;
        self.changes.clear();
        self.changes.extend((from..to).filter(|&c| panel.at(row, c) != yarn).map(|c| (row * panel.columns + c, yarn)));
    }

    /// What `changes` gain: work saved, weighed, less likeness lost.
    fn gain(&mut self) -> f64 {
        let loss = self.work.likeness.loss(&self.work.panel, &self.changes);
        // Nothing saves more than this; most tries end here.
        let before = self.tying_cost();
        if loss >= self.strength * before {
            return f64::NEG_INFINITY;
        }
        let was: Vec<u8> = self.changes.iter().map(|&(at, _)| self.work.panel.cells[at]).collect();
        for &(at, to) in &self.changes {
            self.work.panel.cells[at] = to;
        }
        let after = self.tying_cost();
        for (&(at, _), was) in self.changes.iter().zip(was) {
            self.work.panel.cells[at] = was;
        }
        self.strength * (before - after) - loss
    }

    /// What tying costs wherever `changes` can be felt.
    fn tying_cost(&self) -> f64 {
        let (rows, columns) = self.felt();
        self.tying.cost(&self.work.panel, rows, columns)
    }

    fn felt(&self) -> (core::ops::Range<usize>, core::ops::Range<usize>) {
        let panel = &self.work.panel;
        let (mut top, mut bottom, mut left, mut right) = (usize::MAX, 0, usize::MAX, 0);
        for &(at, _) in &self.changes {
            let (row, column) = (at / panel.columns, at % panel.columns);
            (top, bottom) = (top.min(row), bottom.max(row));
            (left, right) = (left.min(column), right.max(column));
        }
        let aside = self.tying.columns_aside() + 1;
        let rows = top.saturating_sub(1)..(bottom + self.tying.rows_down().max(2) + 1).min(panel.rows);
        let columns = left.saturating_sub(aside)..(right + aside + 1).min(panel.columns);
        (rows, columns)
    }

    /// Makes `changes`, and has everything that feels them tried again.
    fn make(&mut self) {
        let changes = core::mem::take(&mut self.changes);
        self.work.likeness.take(&self.work.panel, &changes);
        for &(at, to) in &changes {
            self.work.panel.cells[at] = to;
        }
        self.changes = changes;
        let (rows, columns) = self.felt();
        let rows = rows.start.saturating_sub(self.tying.rows_down())..rows.end;
        for row in rows {
            let start = row * self.work.panel.columns;
            self.touched[start + columns.start..start + columns.end].fill(true);
        }
    }

    /// Patches of few knots: each takes the yarn of a neighbour whole where that gains something.
    fn patches(&mut self) {
        let cells = self.work.panel.cells.len();
        let mut seen = vec![false; cells];
        let mut patch = Vec::new();
        for at in 0..cells {
            if seen[at] || !self.find_patch(at, &mut seen, &mut patch) {
                continue;
            }
            if !patch.iter().any(|&at| self.touched[at]) {
                continue;
            }
            let columns = self.work.panel.columns;
            let yarn = self.work.panel.cells[at];
            let mut others: Vec<u8> = patch
                .iter()
                .flat_map(|&at| self.work.panel.around(at / columns, at % columns))
                .filter(|&other| other != yarn)
                .collect();
            others.sort_unstable();
            others.dedup();
            let mut best: Option<(f64, u8)> = None;
            for other in others {
                self.changes.clear();
                self.changes.extend(patch.iter().map(|&at| (at, other)));
                let gain = self.gain();
                if gain > 1e-6 && best.is_none_or(|(most, _)| gain > most) {
                    best = Some((gain, other));
                }
            }
            if let Some((_, other)) = best {
                self.changes.clear();
                self.changes.extend(patch.iter().map(|&at| (at, other)));
                self.make();
            }
        }
    }

    /// Gathers the knots of one yarn that hang together with this one; whether they are few.
    fn find_patch(&self, at: usize, seen: &mut [bool], patch: &mut Vec<usize>) -> bool {
        let panel = &self.work.panel;
        patch.clear();
        patch.push(at);
        seen[at] = true;
        let mut next = 0;
        while next < patch.len() {
            let at = patch[next];
            next += 1;
            for other in beside(at, panel.columns, panel.rows) {
                if !seen[other] && panel.cells[other] == panel.cells[at] {
                    seen[other] = true;
                    patch.push(other);
                }
            }
        }
        patch.len() <= SMALL_PATCH
    }
}
