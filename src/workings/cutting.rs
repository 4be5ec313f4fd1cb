//! Cutting, simulated in working order: one working length at a time, pieces worth keeping are kept.
//!
//! A thread takes the shortest kept piece that holds it whole (knots, steps, two tails), else a fresh length. A thread
//! longer than a length is cut where the length ends, after a whole knot (a step that falls there is not needed), and goes
//! on like a thread of its own with what is left of it. A piece is kept only once its thread is cut, not before: it is
//! still hanging on the panel.

use super::assignment::CUT;
use super::rounding::micrometres;
use super::runs::RunId;
use super::yarn_plan::ChainLink;
use super::{Gauge, YarnPlan};
use crate::project::Project;
use std::collections::BTreeMap;

/// Shorter pieces are waste, micrometres.
pub(crate) const KEPT_LEAST_UM: i64 = 300_000;

/// What cutting one yarn comes to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Cutting {
    /// Fresh lengths cut from the ball.
    pub(crate) lengths: usize,
    /// Pieces tied in, fresh or kept: each leaves two ends.
    pub(crate) pieces: usize,
    /// Yarn in the panel with its tails, micrometres.
    pub(crate) used_um: i64,
    /// Where lengths are expected to run out within a thread, in working order.
    pub(crate) new_lengths: Vec<NewLength>,
}

/// A place where a length is expected to run out: an estimate, as hands differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct NewLength {
    /// The run in which it happens.
    pub(crate) run: RunId,
    /// Knots of the run tied before it; all of them when the length ends with the run.
    pub(crate) after_knots: usize,
}

/// Measures of one yarn, micrometres.
#[derive(Clone, Copy, Debug)]
pub(super) struct Measure {
    pub(crate) knot_um: i64,
    pub(crate) tail_um: i64,
    pub(crate) length_um: i64,
    /// Yarn of a step, as a part of the plan's.
    pub(crate) step_part: f64,
}

impl Measure {
    pub(crate) fn new(project: &Project, knot_mm: f64) -> Measure {
        Measure {
            knot_um: micrometres(knot_mm).max(1),
            tail_um: micrometres(project.working.tail_mm),
            length_um: micrometres(project.working.length_mm),
            step_part: 1.0,
        }
    }
    /// The same in looser hands: knots and steps take this part more.
    pub(crate) fn looser(self, part: f64) -> Measure {
        let knot_um = micrometres(self.knot_um as f64 / 1000.0 * (1.0 + part)).max(1);
        Measure { knot_um, step_part: self.step_part * (1.0 + part), ..self }
    }
    /// Whole knots in a length between two tails.
    pub(crate) fn knots_in_length(&self) -> i64 {
        (self.length_um - 2 * self.tail_um) / self.knot_um
    }
}

/// The cutting of every yarn.
pub(super) fn cuttings(project: &Project, gauge: &Gauge, plans: &[YarnPlan]) -> Vec<Cutting> {
    plans.iter().zip(&gauge.yarns).map(|(plan, own)| cut(plan, Measure::new(project, own.knot_mm))).collect()
}

/// Nothing of a thread is in hand: it begins, or its last length ended before the step.
const NOT_IN_HAND: i64 = i64::MIN;

/// Cuts one yarn through.
pub(super) fn cut(plan: &YarnPlan, measure: Measure) -> Cutting {
    let next = |link: &ChainLink| {
        let step_um = libm::round(f64::from(link.step_um) * measure.step_part) as i64;
        (link.next != CUT).then_some((link.next as usize, step_um))
    };
    // Of each run, yarn to the end of its thread without tails, and what is in hand before the end tail, micrometres.
    let mut runs = vec![(0i64, NOT_IN_HAND); plan.chain.len()];
    for (at, link) in plan.chain.iter().enumerate().rev() {
        let on = next(link).map_or(0, |(to, step_um)| step_um + runs[to].0);
        runs[at].0 = i64::from(link.knots) * measure.knot_um + on;
    }
    let tails = 2 * measure.tail_um;
    let mut scissors = Scissors { measure, kept: BTreeMap::new(), cutting: Cutting::default() };
    for (at, link) in plan.chain.iter().enumerate() {
        let (rest, in_hand) = runs[at];
        let mut left = if in_hand == NOT_IN_HAND { scissors.take(rest + tails) } else { in_hand };
        let all = i64::from(link.knots);
        let mut tied = 0;
        loop {
            let fits = (all - tied).min(left.div_euclid(measure.knot_um)).max(0);
            left -= fits * measure.knot_um;
            tied += fits;
            // Where no length holds a knot, a fault named elsewhere, going on would never end.
            if tied == all || measure.knots_in_length() < 1 {
                break;
            }
            scissors.run_out(link.run, tied);
            left = scissors.take(rest - tied * measure.knot_um + tails);
        }
        scissors.cutting.used_um += tied * measure.knot_um;
        match next(link) {
            None => scissors.keep(left),
            Some((to, step_um)) if left >= step_um + measure.knot_um => {
                scissors.cutting.used_um += step_um;
                runs[to].1 = left - step_um;
            }
            Some(_) => {
                scissors.run_out(link.run, all);
                scissors.keep(left);
            }
        }
    }
    scissors.cutting
}

struct Scissors {
    measure: Measure,
    /// Kept pieces: how many of each length, micrometres.
    kept: BTreeMap<i64, usize>,
    cutting: Cutting,
}

impl Scissors {
    /// A piece for a thread (or the rest of one) that takes `need` with both tails; gives what it holds between them.
    fn take(&mut self, need: i64) -> i64 {
        self.cutting.pieces += 1;
        self.cutting.used_um += 2 * self.measure.tail_um;
        let kept = self.kept.range_mut(need..).next();
        let piece = match kept {
            Some((&piece, count)) => {
                *count -= 1;
                if *count == 0 {
                    self.kept.remove(&piece);
                }
                piece
            }
            None => {
                self.cutting.lengths += 1;
                self.measure.length_um
            }
        };
        piece - 2 * self.measure.tail_um
    }
    /// A thread ends: what is left of its piece beyond its tails is kept or waste.
    fn keep(&mut self, left_um: i64) {
        if left_um >= KEPT_LEAST_UM.max(self.measure.knot_um + 2 * self.measure.tail_um) {
            *self.kept.entry(left_um).or_insert(0) += 1;
        }
    }
    fn run_out(&mut self, run: u32, after_knots: i64) {
        self.cutting.new_lengths.push(NewLength { run: run as usize, after_knots: after_knots as usize });
    }
}
