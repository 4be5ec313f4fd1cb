//! Where each yarn is carried and where it is cut: the best plan, yarn by yarn.
//!
//! A step from one run to a later one is allowed if its bare length is within the longest carry, if no more rows lie
//! between than may, and if it passes behind no bare cell: while it waits the yarn hangs behind the column it left, and it
//! is led in the row where it is taken up. A step into the next row with a gap difference of 0 or 1 is a *turn*: not a
//! carry, so the longest carry does not bind it. Of all plans the one with the least `sum over steps of (yarn + h x rows
//! moved) + 2 tails x threads` is taken, in whole micrometres (see `assignment`); of equal ones that whose steps go to the
//! nearest runs. h is what it is worth, in yarn, that a length need not hang over into the next row ([`hanging_worth_um`]).
//! It is no yarn: it weighs in the choice and is in no amount.

use super::Gauge;
use super::assignment::{CUT, Edges, cheapest};
use super::rounding::micrometres;
use super::runs::{RunId, RunSheet};
use crate::chart::{Direction, YarnId};
use crate::project::{Method, Project};

/// The plan of one yarn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct YarnPlan {
    /// The yarn.
    pub yarn: YarnId,
    /// The steps, by the run they leave.
    pub steps: Vec<YarnStep>,
    /// All runs of the yarn, thread after thread, each thread in working order; threads by their first run.
    runs: Vec<RunId>,
    /// Where each thread ends in `runs`.
    ends: Vec<usize>,
    /// What each thread takes, micrometres, parallel to `ends`.
    needs: Vec<i64>,
    /// All runs of the yarn in working order, with where their yarn goes.
    pub(super) chain: Vec<ChainLink>,
}

/// A run of the yarn, as `cutting` needs it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct ChainLink {
    pub(crate) run: u32,
    pub(crate) knots: u32,
    /// Where in the chain the thread goes on, `u32::MAX` where it is cut.
    pub(crate) next: u32,
    /// Yarn of the step, micrometres.
    pub(crate) step_um: u32,
}

/// A step from one run to a later one, without cutting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct YarnStep {
    /// The run it leaves.
    pub from: RunId,
    /// The run it enters.
    pub to: RunId,
    /// Yarn it takes, with slack, micrometres.
    pub micrometres: i64,
    /// Rows it goes down, over which the length hangs; 0 within a row.
    pub rows: usize,
    /// Whether it is a carry; else a turn.
    pub(crate) is_carry: bool,
}

/// A chain of runs tied without cutting, if lengths were endless.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Thread<'a> {
    /// Its runs in working order, at least one.
    pub runs: &'a [RunId],
    /// Knots, steps and two tails, micrometres.
    pub need_um: i64,
}

impl YarnPlan {
    /// The threads, by their first run.
    pub fn threads(&self) -> impl Iterator<Item = Thread<'_>> {
        let starts = core::iter::once(0).chain(self.ends.iter().copied());
        starts
            .zip(self.ends.iter().zip(&self.needs))
            .map(|(start, (&end, &need_um))| Thread { runs: &self.runs[start..end], need_um })
    }
    /// How many threads.
    pub fn thread_count(&self) -> usize {
        self.ends.len()
    }
    /// How many runs.
    pub fn run_count(&self) -> usize {
        self.runs.len()
    }
    /// How many of the steps are carries.
    pub fn carries(&self) -> usize {
        self.steps.iter().filter(|s| s.is_carry).count()
    }
    /// How many of the steps are turns.
    pub fn turns(&self) -> usize {
        self.steps.iter().filter(|s| !s.is_carry).count()
    }
    /// Rows moved, all steps together: over so many row ends a length of this yarn hangs.
    pub fn rows_hanging(&self) -> usize {
        self.steps.iter().map(|s| s.rows).sum()
    }
    /// The yarn all steps take, micrometres.
    pub fn steps_um(&self) -> i64 {
        self.steps.iter().map(|s| s.micrometres).sum()
    }
}

/// What steps are allowed and what they cost: the same for every yarn of a project.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanLimits {
    /// Yarn of a step by rows moved, then gaps moved, micrometres. Ends where the longest carry does, or where cutting is
    /// better; a row moved that is not there is more than may lie between.
    costs: Vec<Vec<i64>>,
    /// h, micrometres.
    hanging_um: i64,
    /// One tail, micrometres.
    pub(crate) tail_um: i64,
}

/// h: what it is worth, in yarn, that a length need not hang over into the next row, micrometres. Our judgement, tried on
/// two panels of some 5,000 knots: from 30 to 60 mm the lengths that hang at once are half of what they are at 0.
pub(crate) fn hanging_worth_um(method: Method) -> i64 {
    match method {
        Method::Carry => 40_000,
        Method::Areas => 0,
    }
}

impl PlanLimits {
    /// From the project's method, longest carry, most rows waiting, slack and tails.
    pub(crate) fn new(project: &Project, gauge: &Gauge) -> PlanLimits {
        let working = &project.working;
        let tail_um = micrometres(working.tail_mm);
        let hanging_um = hanging_worth_um(working.method);
        let rows = project.chart.rows() + super::header::MAX_HEADER_ROWS;
        let costs = (0..=(working.most_rows_waiting.saturating_add(1)).min(rows))
            .map(|down| {
                let bare = |across: usize| libm::hypot(across as f64 * gauge.column_mm, down as f64 * gauge.row_mm);
                (0..=project.chart.columns())
                    .take_while(|&across| is_turn(across, down) || bare(across) <= working.longest_carry_mm + 1e-9)
                    .map(|across| micrometres((1.0 + working.carry_slack) * bare(across)))
                    .take_while(|&cost| cost + hanging_um * down as i64 <= 2 * tail_um)
                    .collect()
            })
            .collect();
        PlanLimits { costs, hanging_um, tail_um }
    }
    /// Yarn of a step, micrometres; `None` where it is longer than a carry may be, waits too long, or weighs more than
    /// two tails.
    pub(crate) fn cost(&self, across: usize, down: usize) -> Option<i64> {
        self.costs.get(down)?.get(across).copied()
    }
    /// Most steps that could leave one run.
    pub(super) fn window(&self) -> usize {
        self.costs.iter().map(|row| 2 * row.len()).sum()
    }
}

fn is_turn(across: usize, down: usize) -> bool {
    down == 1 && across <= 1
}

/// Whether a length that has tied run `from` hangs over a bare cell before the row of run `to`.
pub(super) fn hangs_over_bare(sheet: &RunSheet, from: RunId, to: RunId) -> bool {
    let (a, b) = (&sheet.runs[from], &sheet.runs[to]);
    !sheet.bare.is_empty() && (a.row + 1..b.row).any(|row| sheet.is_bare(row, a.last.0))
}

/// Whether a length that has tied run `from` is led behind a bare cell on its way to where run `to` begins.
pub(super) fn led_behind_bare(sheet: &RunSheet, from: RunId, to: RunId) -> bool {
    let (a, b) = (sheet.runs[from].leaves(), sheet.runs[to].enters());
    !sheet.bare.is_empty() && (a.min(b)..a.max(b)).any(|column| sheet.is_bare(sheet.runs[to].row, column))
}

/// The plans of all yarns, in the palette's order.
/// The plan of one yarn alone.
pub(super) fn plan_of(project: &Project, gauge: &Gauge, sheet: &RunSheet, yarn: YarnId) -> YarnPlan {
    let limits = PlanLimits::new(project, gauge);
    let runs: Vec<RunId> = (0..sheet.runs.len()).filter(|&id| sheet.runs[id].yarn == yarn).collect();
    let knot_mm = gauge.yarns.get(usize::from(yarn.0)).map_or(0.0, |own| own.knot_mm);
    plan(yarn, &runs, sheet, &limits, micrometres(knot_mm))
}

pub(super) fn plans(project: &Project, gauge: &Gauge, sheet: &RunSheet) -> Vec<YarnPlan> {
    let limits = PlanLimits::new(project, gauge);
    let mut runs_of: Vec<Vec<RunId>> = vec![Vec::new(); project.palette.len()];
    for (id, run) in sheet.runs.iter().enumerate() {
        if let Some(list) = runs_of.get_mut(usize::from(run.yarn.0)) {
            list.push(id);
        }
    }
    runs_of
        .iter()
        .zip(project.palette.iter().zip(&gauge.yarns))
        .map(|(runs, ((yarn, _), own))| plan(yarn, runs, sheet, &limits, micrometres(own.knot_mm)))
        .collect()
}

fn plan(yarn: YarnId, runs: &[RunId], sheet: &RunSheet, limits: &PlanLimits, knot_um: i64) -> YarnPlan {
    let goes_to = cheapest(&allowed(runs, sheet, limits), 2 * limits.tail_um);
    let mut is_entered = vec![false; runs.len()];
    let mut plan = YarnPlan {
        yarn,
        steps: Vec::new(),
        runs: Vec::with_capacity(runs.len()),
        ends: Vec::new(),
        needs: Vec::new(),
        chain: Vec::with_capacity(runs.len()),
    };
    for (&id, &to) in runs.iter().zip(&goes_to) {
        let from = &sheet.runs[id];
        let mut link = ChainLink { run: id as u32, knots: from.knots() as u32, next: to, step_um: 0 };
        if to != CUT {
            is_entered[to as usize] = true;
            let into = &sheet.runs[runs[to as usize]];
            let (across, down) = (from.leaves().abs_diff(into.enters()), into.row - from.row);
            let micrometres = limits.cost(across, down).unwrap_or(0);
            link.step_um = micrometres as u32;
            plan.steps.push(YarnStep {
                from: id,
                to: runs[to as usize],
                micrometres,
                rows: down,
                is_carry: !is_turn(across, down),
            });
        }
        plan.chain.push(link);
    }
    for head in (0..runs.len()).filter(|&at| !is_entered[at]) {
        let mut need = 2 * limits.tail_um;
        let mut at = head;
        loop {
            let link = plan.chain[at];
            plan.runs.push(runs[at]);
            need += i64::from(link.knots) * knot_um + i64::from(link.step_um);
            if link.next == CUT {
                break;
            }
            at = link.next as usize;
        }
        plan.ends.push(plan.runs.len());
        plan.needs.push(need);
    }
    plan
}

/// Every step that is allowed and not dearer than cutting, with what it weighs: its yarn and h for each row moved.
fn allowed(runs: &[RunId], sheet: &RunSheet, limits: &PlanLimits) -> Edges {
    let mut edges = Edges::with_runs(runs.len());
    // Where each row's runs of this yarn begin in `runs`.
    let mut row_starts = Vec::with_capacity(sheet.rows.len() + 1);
    let mut at = 0;
    for row in &sheet.rows {
        row_starts.push(at);
        while at < runs.len() && runs[at] < row.end {
            at += 1;
        }
    }
    row_starts.push(at);
    let gaps: Vec<(i32, i32)> =
        runs.iter().map(|&r| (sheet.runs[r].enters() as i32, sheet.runs[r].leaves() as i32)).collect();
    // Along a row the gaps only rise or only fall, so a window that moves with the run never goes back.
    let mut windows = vec![0usize; limits.costs.len()];
    for row in 0..sheet.rows.len() {
        let here = row_starts[row]..row_starts[row + 1];
        if here.is_empty() {
            continue;
        }
        let sign = match sheet.direction(row) {
            Direction::LeftToRight => 1,
            Direction::RightToLeft => -1,
        };
        let last = (row_starts.len() - 2 - row).min(limits.costs.len() - 1);
        for (down, window) in windows.iter_mut().enumerate().take(last + 1) {
            *window = if down % 2 == 0 { row_starts[row + down] } else { row_starts[row + down + 1] };
        }
        for from in here {
            for (down, costs) in limits.costs.iter().enumerate().take(last + 1) {
                let Some(furthest) = costs.len().checked_sub(1) else { continue };
                let there = row_starts[row + down]..row_starts[row + down + 1];
                // How far ahead of the yarn a run is entered, in the direction of its row.
                let ahead = |to: usize| (gaps[to].0 - gaps[from].1) * sign;
                let furthest = furthest as i32;
                let hanging = limits.hanging_um * down as i64;
                let mut weigh = |to: usize| {
                    let cost = costs[ahead(to).unsigned_abs() as usize] + hanging;
                    let (from, into) = (runs[from], runs[to]);
                    if !hangs_over_bare(sheet, from, into) && !led_behind_bare(sheet, from, into) {
                        edges.push(to, cost);
                    }
                };
                let window = &mut windows[down];
                if down % 2 == 0 {
                    *window = (*window).max(if down == 0 { from + 1 } else { 0 });
                    while *window < there.end && ahead(*window) < -furthest {
                        *window += 1;
                    }
                    (*window..there.end).take_while(|&to| ahead(to) <= furthest).for_each(&mut weigh);
                } else {
                    while *window > there.start && ahead(*window - 1) < -furthest {
                        *window -= 1;
                    }
                    (there.start..*window).rev().take_while(|&to| ahead(to) <= furthest).for_each(&mut weigh);
                }
            }
            edges.next_run();
        }
    }
    edges
}

/// The steps of all yarns as one list: where each run's yarn came from and where it goes.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Links {
    /// The step out of each run.
    pub(crate) out: Vec<Option<YarnStep>>,
    /// The run each run was reached from.
    pub(crate) from: Vec<Option<RunId>>,
}

pub(super) fn links(plans: &[YarnPlan], runs: usize) -> Links {
    let mut links = Links { out: vec![None; runs], from: vec![None; runs] };
    for step in plans.iter().flat_map(|p| &p.steps) {
        links.out[step.from] = Some(*step);
        links.from[step.to] = Some(step.from);
    }
    links
}
