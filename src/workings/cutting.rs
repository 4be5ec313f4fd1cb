//! Cutting, simulated in working order: one working length at a time, pieces worth keeping are kept.
//!
//! A thread takes the shortest kept piece that holds it whole (knots, steps, two tails), else a fresh length. A thread
//! longer than a length is cut where the length ends, after a whole knot (a step that falls there is not needed), and goes
//! on like a thread of its own with what is left of it. A piece is kept only once its thread is cut, not before: it is
//! still hanging on the panel.

use super::runs::{RunId, RunSheet};
use super::{Gauge, YarnPlan, micrometres};
use crate::project::Project;
use std::collections::BTreeMap;

/// Shorter pieces are waste, micrometres.
pub const KEPT_LEAST_UM: i64 = 300_000;

/// What cutting one yarn comes to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cutting {
    /// Fresh lengths cut from the ball.
    pub lengths: usize,
    /// Pieces tied in, fresh or kept: each leaves two ends.
    pub pieces: usize,
    /// Yarn in the panel with its tails, micrometres.
    pub used_um: i64,
    /// Where lengths are expected to run out within a thread, in working order.
    pub new_lengths: Vec<NewLength>,
}

/// A place where a length is expected to run out: an estimate, as hands differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NewLength {
    /// The run in which it happens.
    pub run: RunId,
    /// Knots of the run tied before it; all of them when the length ends with the run.
    pub after_knots: usize,
}

/// Measures of one yarn, micrometres.
#[derive(Clone, Copy, Debug)]
pub(super) struct Measure {
    pub knot_um: i64,
    pub tail_um: i64,
    pub length_um: i64,
    /// Yarn of a step, in percent of the plan's.
    pub step_percent: i64,
}

impl Measure {
    pub fn new(project: &Project, knot_mm: f64) -> Measure {
        Measure {
            knot_um: micrometres(knot_mm).max(1),
            tail_um: micrometres(project.working.tail_mm),
            length_um: micrometres(project.working.length_mm),
            step_percent: 100,
        }
    }
    /// Whole knots in a length between two tails.
    pub fn knots_in_length(&self) -> i64 {
        (self.length_um - 2 * self.tail_um) / self.knot_um
    }
}

/// Which steps the maker takes without cutting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Steps {
    /// All of the plan's.
    AsPlanned,
    /// Turns only: she cuts at every colour change.
    TurnsOnly,
}

/// The cutting of every yarn, carrying as planned.
pub(super) fn cuttings(project: &Project, gauge: &Gauge, sheet: &RunSheet, plans: &[YarnPlan]) -> Vec<Cutting> {
    plans
        .iter()
        .zip(&gauge.yarns)
        .map(|(plan, own)| Chain::new(plan, sheet, Steps::AsPlanned).cut(Measure::new(project, own.knot_mm)))
        .collect()
}

/// The runs of a yarn in working order, as the scissors see them.
pub(super) struct Chain {
    links: Vec<ChainLink>,
}

#[derive(Clone, Copy)]
struct ChainLink {
    run: RunId,
    knots: i64,
    /// Where in `links` the thread goes on, and the yarn of the step, micrometres.
    next: Option<(usize, i64)>,
    /// Whether a thread begins here.
    is_head: bool,
}

/// What is in hand of a thread.
#[derive(Clone, Copy)]
struct InHand {
    /// Yarn before the end tail, micrometres.
    left_um: i64,
}

impl Chain {
    pub fn new(plan: &YarnPlan, sheet: &RunSheet, steps: Steps) -> Chain {
        let mut order: Vec<RunId> = plan.threads().flat_map(|t| t.runs.iter().copied()).collect();
        order.sort_unstable();
        let place = |run: RunId| order.binary_search(&run).ok();
        let mut links: Vec<ChainLink> = order
            .iter()
            .map(|&run| ChainLink { run, knots: sheet.runs[run].knots() as i64, next: None, is_head: true })
            .collect();
        for step in plan.steps.iter().filter(|s| steps == Steps::AsPlanned || !s.is_carry) {
            if let (Some(from), Some(to)) = (place(step.from), place(step.to)) {
                links[from].next = Some((to, step.micrometres));
                links[to].is_head = false;
            }
        }
        Chain { links }
    }

    /// Cuts it all.
    pub fn cut(&self, measure: Measure) -> Cutting {
        let step_um = |um: i64| um * measure.step_percent / 100;
        // Yarn from each run to the end of its thread, without tails.
        let mut rest = vec![0i64; self.links.len()];
        for (at, link) in self.links.iter().enumerate().rev() {
            rest[at] = link.knots * measure.knot_um + link.next.map_or(0, |(to, um)| step_um(um) + rest[to]);
        }
        let tails = 2 * measure.tail_um;
        let mut scissors = Scissors { measure, kept: BTreeMap::new(), cutting: Cutting::default() };
        let mut hands: Vec<Option<InHand>> = vec![None; self.links.len()];
        for (at, link) in self.links.iter().enumerate() {
            // No hand here: a thread begins, or its last length ended before the step.
            let mut hand = match hands[at].take() {
                Some(hand) => hand,
                None => scissors.take(rest[at] + tails),
            };
            let mut knots = link.knots;
            loop {
                let fits = (hand.left_um / measure.knot_um).clamp(0, knots);
                hand.left_um -= fits * measure.knot_um;
                scissors.cutting.used_um += fits * measure.knot_um;
                knots -= fits;
                if knots == 0 {
                    break;
                }
                if fits == 0 && measure.knots_in_length() < 1 {
                    // No length holds a knot: a fault named elsewhere; going on would never end.
                    break;
                }
                scissors.run_out(link.run, (link.knots - knots) as usize);
                hand = scissors.take(rest[at] - (link.knots - knots) * measure.knot_um + tails);
            }
            match link.next {
                None => scissors.keep(hand.left_um),
                Some((to, um)) if hand.left_um >= step_um(um) + measure.knot_um => {
                    scissors.cutting.used_um += step_um(um);
                    hands[to] = Some(InHand { left_um: hand.left_um - step_um(um) });
                }
                Some(_) => {
                    scissors.run_out(link.run, link.knots as usize);
                    scissors.keep(hand.left_um);
                }
            }
        }
        scissors.cutting
    }
}

struct Scissors {
    measure: Measure,
    /// Kept pieces: how many of each length, micrometres.
    kept: BTreeMap<i64, usize>,
    cutting: Cutting,
}

impl Scissors {
    /// A piece for a thread (or the rest of one) that takes `need` with both tails.
    fn take(&mut self, need: i64) -> InHand {
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
        InHand { left_um: piece - 2 * self.measure.tail_um }
    }
    /// A thread ends: what is left of its piece beyond its tails is kept or waste.
    fn keep(&mut self, left_um: i64) {
        if left_um >= KEPT_LEAST_UM.max(self.measure.knot_um + 2 * self.measure.tail_um) {
            *self.kept.entry(left_um).or_insert(0) += 1;
        }
    }
    fn run_out(&mut self, run: RunId, after_knots: usize) {
        self.cutting.new_lengths.push(NewLength { run, after_knots });
    }
}
