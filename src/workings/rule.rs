//! The one rule by which a hand finds the next length, printed once before the rows. No plan is known here.
//!
//! Of a yarn's lengths that hang at the back the one is taken up with the fewest columns between the place where it hangs
//! and the place where the run begins, to either side, from this row or from above; lengths beyond bare cord do not count.
//! Of two equally near, the one on the side the row comes from; of two at one place, the lower. After a run its length
//! hangs where the run left it. The places are gaps (see `runs`), so a turn is distance 0, and as no two runs of one yarn
//! leave one gap in one row, the order is total.

use super::runs::{RunId, RunSheet};
use super::yarn_plan::{hangs_over_bare, led_behind_bare};
use crate::chart::{Direction, MAX_YARNS};
use std::collections::BTreeMap;

/// The lengths that hang at the back of a panel while it is worked, each known by the run it tied last.
#[derive(Clone, Debug)]
pub struct HangingLengths<'a> {
    sheet: &'a RunSheet,
    /// By yarn: gap and row of each length, and its run.
    yarns: Vec<BTreeMap<(usize, usize), RunId>>,
    count: usize,
}

impl<'a> HangingLengths<'a> {
    /// Nothing hangs before the first row.
    pub fn new(sheet: &'a RunSheet) -> HangingLengths<'a> {
        HangingLengths { sheet, yarns: vec![BTreeMap::new(); MAX_YARNS], count: 0 }
    }
    /// How many hang, all yarns together.
    pub(crate) fn count(&self) -> usize {
        self.count
    }
    /// The length that tied this run hangs where the run left it.
    pub fn hang(&mut self, run: RunId) {
        let (yarn, place) = self.place(run);
        if self.yarns[yarn].insert(place, run).is_none() {
            self.count += 1;
        }
    }
    /// The length that last tied this run is taken up.
    pub(crate) fn take_up(&mut self, run: RunId) {
        let (yarn, place) = self.place(run);
        if self.yarns[yarn].remove(&place).is_some() {
            self.count -= 1;
        }
    }
    /// Which length the rule takes up for this run, by the run it tied last. `None`: a new one is joined.
    pub fn nearest(&self, run: RunId) -> Option<RunId> {
        let into = &self.sheet.runs[run];
        let begins = into.enters();
        let lengths = &self.yarns[usize::from(into.yarn.0)];
        let left = lengths.range(..=(begins, usize::MAX)).rev().map(|(_, &id)| id);
        let left = self.first_that_counts(left, run).map(|id| (begins - self.sheet.runs[id].leaves(), id));
        let right = self.right_of(begins, run).map(|id| (self.sheet.runs[id].leaves() - begins, id));
        match (left, right) {
            (Some((a, left)), Some((b, right))) => Some(match a.cmp(&b) {
                core::cmp::Ordering::Less => left,
                core::cmp::Ordering::Greater => right,
                core::cmp::Ordering::Equal => match into.direction {
                    Direction::LeftToRight => left,
                    Direction::RightToLeft => right,
                },
            }),
            (left, right) => left.or(right).map(|found| found.1),
        }
    }

    /// The nearest length that hangs right of a gap, the lowest of those at one gap.
    fn right_of(&self, gap: usize, run: RunId) -> Option<RunId> {
        let lengths = &self.yarns[usize::from(self.sheet.runs[run].yarn.0)];
        let mut from = gap + 1;
        loop {
            let (&(place, _), &first) = lengths.range((from, 0)..).next()?;
            if led_behind_bare(self.sheet, first, run) {
                return None;
            }
            let here = lengths.range((place, 0)..=(place, usize::MAX)).rev().map(|(_, &id)| id);
            if let Some(found) = self.first_that_counts(here, run) {
                return Some(found);
            }
            from = place + 1;
        }
    }

    /// The first that has no bare cord on its way; what lies further off is beyond the same bare cord of the run's row.
    fn first_that_counts(&self, mut ids: impl Iterator<Item = RunId>, run: RunId) -> Option<RunId> {
        ids.by_ref()
            .take_while(|&id| !led_behind_bare(self.sheet, id, run))
            .find(|&id| !hangs_over_bare(self.sheet, id, run))
    }

    fn place(&self, run: RunId) -> (usize, (usize, usize)) {
        let run = &self.sheet.runs[run];
        (usize::from(run.yarn.0), (run.leaves(), run.row))
    }
}
