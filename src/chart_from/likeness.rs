//! How like the picture a panel is, and what a change does to that without looking at the whole panel again.
//!
//! The panel's error is, knot by knot, yarn colour less the colour aimed at. It is judged twice: as it is, and blurred by
//! one knot, the way a panel is seen from across a room: there a knot too dark is made good by one too light beside it.
//! Both are squares of the error weighed with a kernel, so the change that some knots bring follows from the kernel's pull
//! at those knots.

use super::{YarnGrid, cells::Targets};
use crate::colour::Oklab;

/// Share of the likeness judged knot by knot; the rest is judged blurred.
const SHARP: f64 = 0.35;
/// How far the kernel reaches, knots: two blurs of one knot each have faded by then.
const REACH: usize = 4;
const SPAN: usize = 2 * REACH + 1;

/// A knot that would take another yarn: its place in reading order, and the yarn.
pub(super) type KnotChange = (usize, u8);

/// The likeness of one panel, kept up to date.
#[derive(Clone)]
pub(super) struct Likeness {
    columns: usize,
    rows: usize,
    colours: Vec<Oklab>,
    kernel: [[f64; SPAN]; SPAN],
    /// The kernel laid over the errors around each knot.
    pull: Vec<[f64; 3]>,
}

impl Likeness {
    pub(super) fn new(panel: &YarnGrid, targets: &Targets, colours: &[Oklab]) -> Likeness {
        let mut likeness = Likeness {
            columns: panel.columns,
            rows: panel.rows,
            colours: colours.to_vec(),
            kernel: kernel(),
            pull: vec![[0.0; 3]; panel.cells.len()],
        };
        for (at, (&yarn, target)) in panel.cells.iter().zip(&targets.cells).enumerate() {
            let yarn = colours[usize::from(yarn)].0;
            likeness.push(at, [yarn[0] - target.0[0], yarn[1] - target.0[1], yarn[2] - target.0[2]]);
        }
        likeness
    }

    /// By how much the squared error would grow; below zero where the panel would be more like the picture.
    pub(super) fn loss(&self, panel: &YarnGrid, changes: &[KnotChange]) -> f64 {
        let mut loss = 0.0;
        for (i, &(at, to)) in changes.iter().enumerate() {
            let step = self.step(panel.cells[at], to);
            loss += 2.0 * dot(step, self.pull[at]) + self.kernel[REACH][REACH] * dot(step, step);
            let (row, column) = (at / self.columns, at % self.columns);
            for &(other, to) in &changes[..i] {
                let (down, across) = (row.abs_diff(other / self.columns), column.abs_diff(other % self.columns));
                if down <= REACH && across <= REACH {
                    let weight = self.kernel[REACH + down][REACH + across];
                    loss += 2.0 * weight * dot(step, self.step(panel.cells[other], to));
                }
            }
        }
        loss
    }

    /// Takes in changes that are about to be made.
    pub(super) fn take(&mut self, panel: &YarnGrid, changes: &[KnotChange]) {
        for &(at, to) in changes {
            self.push(at, self.step(panel.cells[at], to));
        }
    }

    fn step(&self, from: u8, to: u8) -> [f64; 3] {
        let (from, to) = (self.colours[usize::from(from)].0, self.colours[usize::from(to)].0);
        [to[0] - from[0], to[1] - from[1], to[2] - from[2]]
    }

    fn push(&mut self, at: usize, step: [f64; 3]) {
        let (row, column) = (at / self.columns, at % self.columns);
        for r in row.saturating_sub(REACH)..(row + REACH + 1).min(self.rows) {
            for c in column.saturating_sub(REACH)..(column + REACH + 1).min(self.columns) {
                let weight = self.kernel[r + REACH - row][c + REACH - column];
                let pull = &mut self.pull[r * self.columns + c];
                for (pull, step) in pull.iter_mut().zip(step) {
                    *pull += weight * step;
                }
            }
        }
    }
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Two blurs with a bell of one knot are one with a bell of the square root of two, whose sum is 1.
fn kernel() -> [[f64; SPAN]; SPAN] {
    let bell: [f64; SPAN] = core::array::from_fn(|i| {
        let d = i.abs_diff(REACH) as f64;
        libm::exp(-d * d / 4.0)
    });
    let sum: f64 = bell.iter().sum();
    let mut kernel = [[0.0; SPAN]; SPAN];
    for (line, a) in kernel.iter_mut().zip(bell) {
        for (entry, b) in line.iter_mut().zip(bell) {
            *entry = (1.0 - SHARP) * a * b / (sum * sum);
        }
    }
    kernel[REACH][REACH] += SHARP;
    kernel
}

/// Mean distance between picture and panel, both blurred by one knot: how a finished chart is judged.
pub(super) fn blurred_distance(panel: &YarnGrid, targets: &Targets, colours: &[Oklab]) -> f64 {
    const HALF: usize = 3;
    let bell: [f64; 2 * HALF + 1] = core::array::from_fn(|i| {
        let d = i.abs_diff(HALF) as f64;
        libm::exp(-d * d / 2.0)
    });
    let errors: Vec<[f64; 3]> = panel
        .cells
        .iter()
        .zip(&targets.cells)
        .map(|(&yarn, target)| core::array::from_fn(|i| colours[usize::from(yarn)].0[i] - target.0[i]))
        .collect();
    let (columns, rows) = (panel.columns, panel.rows);
    // Along a line of `count` entries `step` apart; what the bell has beyond the edge is shared out among the rest.
    let along = |from: &[[f64; 3]], base: usize, step: usize, at: usize, count: usize| {
        let (mut sum, mut weights) = ([0.0; 3], 0.0);
        for i in at.saturating_sub(HALF)..(at + HALF + 1).min(count) {
            let weight = bell[i + HALF - at];
            weights += weight;
            for (sum, v) in sum.iter_mut().zip(from[base + i * step]) {
                *sum += weight * v;
            }
        }
        sum.map(|v| v / weights)
    };
    let across: Vec<[f64; 3]> =
        (0..errors.len()).map(|at| along(&errors, at - at % columns, 1, at % columns, columns)).collect();
    let total: f64 = (0..errors.len())
        .map(|at| {
            let v = along(&across, at % columns, columns, at / columns, rows);
            libm::sqrt(dot(v, v))
        })
        .sum();
    total / errors.len().max(1) as f64
}
