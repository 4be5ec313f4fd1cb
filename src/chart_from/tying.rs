//! What a panel asks of the maker's hands, reckoned around one place at a time: threads to start, carries, changes of yarn,
//! knots that stand alone, boundaries that would gape.
//!
//! A run is entered from the cheapest run of its yarn that ends near by, in the same row or one of those above, under the
//! limits of the yarn plan; where there is none, a thread is started. That two runs may not go on from the same one is left
//! to the plan itself, which judges the finished charts (`choosing`); everything here is a guide on the way.
//!
//! The unit is one start: cutting a length, two tails, and pushing both to the back.

use super::YarnGrid;
use crate::chart::Direction;
use crate::workings::PlanLimits;
use core::ops::Range;

/// What a run costs however it is entered: the yarn has to be changed (our judgement).
const RUN: f64 = 0.06;
/// What a carry costs beside its yarn: it has to be kept slack (our judgement).
const CARRY: f64 = 0.12;
/// What a knot that stands alone costs beside its thread: it is lost in the chart and in the row (our judgement).
const SINGLE: f64 = 1.0;
/// What one row of a boundary that runs straight down costs: it has to be linked (our judgement).
const SLIT: f64 = 0.04;

/// How a panel is tied.
pub(super) struct Tying {
    /// Cost of a step by rows moved, then gaps moved, in starts.
    steps: Vec<Vec<f64>>,
    /// The way of row 1.
    first: Direction,
}

impl Tying {
    pub(super) fn new(limits: &PlanLimits, first: Direction, columns: usize) -> Tying {
        let start = (2 * limits.tail_um).max(1) as f64;
        let steps = (0..)
            .map_while(|down| {
                let costs: Vec<f64> = (0..=columns)
                    .map_while(|across| limits.cost(across, down))
                    .enumerate()
                    .map(|(across, um)| {
                        let is_turn = down == 1 && across <= 1;
                        (um as f64 / start + if is_turn { 0.0 } else { CARRY }).min(1.0)
                    })
                    .collect();
                (!costs.is_empty()).then_some(costs)
            })
            .collect();
        Tying { steps, first }
    }

    /// How many rows further down a change can still be felt.
    pub(super) fn rows_down(&self) -> usize {
        self.steps.len().saturating_sub(1)
    }

    /// How many columns to the side.
    pub(super) fn columns_aside(&self) -> usize {
        self.steps.iter().map(Vec::len).max().unwrap_or(0)
    }

    /// What the knots in these rows and columns cost: every run whose first knot lies there, and what is counted knot by
    /// knot.
    pub(super) fn cost(&self, panel: &YarnGrid, rows: Range<usize>, columns: Range<usize>) -> f64 {
        let mut cost = 0.0;
        for row in rows {
            for column in columns.clone() {
                if self.enters(panel, row, column) {
                    cost += RUN + self.entering(panel, row, column);
                }
                if panel.is_single(row, column) {
                    cost += SINGLE;
                }
                if row >= 2 && column > 0 && (0..3).all(|up| parts(panel, row - up, column)) {
                    cost += SLIT;
                }
            }
        }
        cost
    }

    fn direction(&self, row: usize) -> Direction {
        if row.is_multiple_of(2) { self.first } else { self.first.turned() }
    }

    /// Whether a run begins at this knot.
    fn enters(&self, panel: &YarnGrid, row: usize, column: usize) -> bool {
        match self.direction(row) {
            Direction::LeftToRight => column == 0 || parts(panel, row, column),
            Direction::RightToLeft => column + 1 == panel.columns || parts(panel, row, column + 1),
        }
    }

    /// The cheapest way into the run that begins at this knot, at most one start.
    fn entering(&self, panel: &YarnGrid, row: usize, column: usize) -> f64 {
        let yarn = panel.at(row, column);
        let gap = match self.direction(row) {
            Direction::LeftToRight => column,
            Direction::RightToLeft => column + 1,
        };
        let mut best = 1.0_f64;
        // In the same row only what was tied before: the first knot of this yarn on the way back ends the nearest run.
        let behind = |back: usize| match self.direction(row) {
            Direction::LeftToRight => gap.checked_sub(back + 1),
            Direction::RightToLeft => Some(gap + back).filter(|&column| column < panel.columns),
        };
        for (back, &cost) in self.steps.first().into_iter().flatten().enumerate().skip(1) {
            match behind(back) {
                Some(column) if panel.at(row, column) == yarn => {
                    best = best.min(cost);
                    break;
                }
                Some(_) => {}
                None => break,
            }
        }
        for (down, costs) in self.steps.iter().enumerate().skip(1) {
            let Some(above) = row.checked_sub(down) else { break };
            for (across, &cost) in costs.iter().enumerate() {
                if cost >= best {
                    break;
                }
                let left = gap.checked_sub(across);
                let right = (across > 0).then_some(gap + across);
                if [left, right].into_iter().flatten().any(|gap| self.leaves(panel, above, gap, yarn)) {
                    best = cost;
                }
            }
        }
        best
    }

    /// Whether a run of `yarn` in this row ends at this gap.
    fn leaves(&self, panel: &YarnGrid, row: usize, gap: usize, yarn: u8) -> bool {
        if gap > panel.columns {
            return false;
        }
        let (last, beyond) = match self.direction(row) {
            Direction::LeftToRight => (gap.checked_sub(1), Some(gap)),
            Direction::RightToLeft => (Some(gap), gap.checked_sub(1)),
        };
        let is = |column: Option<usize>| {
            column.filter(|&column| column < panel.columns).is_some_and(|column| panel.at(row, column) == yarn)
        };
        is(last) && !is(beyond)
    }
}

/// Whether the yarn changes between this column and the one at its left.
fn parts(panel: &YarnGrid, row: usize, column: usize) -> bool {
    column > 0 && panel.at(row, column) != panel.at(row, column - 1)
}
