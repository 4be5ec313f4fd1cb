//! What the maker does, row by row: the facts of a row sentence, in the order of working.
//!
//! A waiting yarn is named by place, never by number: it hangs behind the column whose knot it left. Two yarns of one
//! colour may wait behind one column, left there in different rows; then [`Action::TakeUp`] says so.

use super::cutting::Cutting;
use super::runs::{RowPlace, Run, RunId, RunSheet};
use super::slits::Slit;
use super::yarn_plan::Links;
use crate::chart::{Column, Direction, Row, YarnId};

/// One row in working order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WorkedRow {
    /// Which row.
    pub place: RowPlace,
    /// The way it is worked.
    pub direction: Direction,
    /// Knots in it; with the bare cells they make up the chart's columns.
    pub knots: usize,
    /// What is done, in order.
    pub actions: Vec<Action>,
    /// Most yarns waiting at once while it is worked, the one in hand not counted.
    pub waiting_most: usize,
    /// The column just knotted when most were waiting; `None` where that was so before its first knot, or none wait.
    pub waiting_at: Option<Column>,
}

impl WorkedRow {
    /// Width from the outermost knot to the outermost knot, in columns; 0 for a row without a knot. A width check on the
    /// way multiplies it by the column pitch.
    pub fn knotted_columns(&self) -> usize {
        let mut bare_before = 0;
        let mut bare_after = 0;
        let mut columns = 0;
        for action in &self.actions {
            match action {
                Action::Bare { count } => {
                    columns += count;
                    bare_after += count;
                }
                Action::Knots { count, .. } => {
                    if columns == bare_after {
                        bare_before = bare_after;
                    }
                    columns += count;
                    bare_after = 0;
                }
                Action::Start { .. }
                | Action::TakeUp { .. }
                | Action::LeadBehind { .. }
                | Action::Link { .. }
                | Action::LeaveWaiting { .. }
                | Action::Cut { .. }
                | Action::NewLength { .. } => {}
            }
        }
        if self.knots == 0 { 0 } else { columns - bare_before - bare_after }
    }
}

/// What lies in front of a yarn that is led behind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passed {
    /// Knots of this row, all of one yarn: "behind the 2 cream".
    One(YarnId),
    /// Knots of this row, of several yarns.
    Several,
    /// Cords that are knotted next: the yarn is led back to where the run starts, against the working direction.
    Ahead,
}

/// One thing the maker does.
///
/// The order for each run is: what was done with the last yarn (`LeaveWaiting` or `Cut`), `Bare`, `Link`, then `Start` or
/// `TakeUp`, `LeadBehind`, `Knots` (and a `NewLength` between or after the knots). At a row's end a yarn that goes straight
/// on into the next row needs no word: the next row begins with its `Knots`, or with `LeadBehind` where it steps aside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Skip cords that stay bare here.
    Bare {
        /// How many.
        count: usize,
    },
    /// Tie knots. Where a length is expected to run out within a run, the run comes in several of these with
    /// `NewLength` between; their counts add up.
    Knots {
        /// With which yarn.
        yarn: YarnId,
        /// How many.
        count: usize,
        /// The column knotted first.
        first: Column,
    },
    /// Start a yarn: its first use, or after a cut.
    Start {
        /// Which.
        yarn: YarnId,
        /// The column it starts at.
        at: Column,
    },
    /// Take up a waiting yarn.
    TakeUp {
        /// Which.
        yarn: YarnId,
        /// The column it waits behind.
        behind: Column,
        /// The row it was left in: this one or one above.
        left_in: RowPlace,
        /// Another yarn of the same colour waits behind the same column: say the row.
        ambiguous: bool,
        /// This step is a carry (she may cut and start anew instead); else it goes straight down.
        carry: bool,
    },
    /// Lead the yarn in hand loosely behind cords to where its run starts.
    LeadBehind {
        /// Which.
        yarn: YarnId,
        /// How many cords it passes, at least one.
        cords: usize,
        /// The cord passed first.
        first: Column,
        /// The cord passed last.
        last: Column,
        /// What lies in front.
        passed: Passed,
    },
    /// Cross the yarn to be used next once round the one just used, at the back: no slit opens between them.
    Link {
        /// The one used next.
        yarn: YarnId,
        /// The one just used.
        around: YarnId,
        /// The column just knotted.
        after: Column,
    },
    /// Leave the yarn just used hanging at the back.
    LeaveWaiting {
        /// Which.
        yarn: YarnId,
        /// The column just knotted, which it waits behind.
        behind: Column,
        /// The row it is taken up in: this one or one below.
        until: RowPlace,
        /// It comes back by a carry (she may cut here instead); else straight below.
        carry: bool,
    },
    /// Cut the yarn just used, leaving a tail.
    Cut {
        /// Which.
        yarn: YarnId,
        /// The column just knotted.
        after: Column,
    },
    /// About here the length runs out: an estimate, as hands differ. Join a new one and go on.
    NewLength {
        /// Which.
        yarn: YarnId,
        /// The column just knotted.
        after: Column,
    },
}

/// Every row's actions.
pub(super) fn rows(sheet: &RunSheet, links: &Links, slits: &[Slit], cuttings: &[Cutting]) -> Vec<WorkedRow> {
    let mut desk = Desk {
        sheet,
        links,
        link_rows: link_rows(sheet, slits),
        waiting_behind: vec![0; crate::chart::MOST_YARNS * sheet.columns],
        waiting: 0,
        new_lengths: new_lengths(cuttings),
    };
    (0..sheet.rows.len()).map(|row| desk.row(row)).collect()
}

/// Slits by chart row: the columns left of the gaps that are linked there, ascending.
fn link_rows(sheet: &RunSheet, slits: &[Slit]) -> Vec<Vec<usize>> {
    let mut rows = vec![Vec::new(); sheet.rows.len() - sheet.header_rows];
    for slit in slits {
        for row in (slit.first.0..=slit.last.0).filter(|&row| slit.is_linked_in(Row(row))) {
            rows[row].push(slit.left.0);
        }
    }
    rows
}

/// Where lengths run out, by run, later places first so that they can be popped.
fn new_lengths(cuttings: &[Cutting]) -> Vec<(RunId, usize)> {
    let mut all: Vec<(RunId, usize)> =
        cuttings.iter().flat_map(|c| &c.new_lengths).map(|n| (n.run, n.after_knots)).collect();
    all.sort_unstable_by(|a, b| b.cmp(a));
    all
}

struct Desk<'a> {
    sheet: &'a RunSheet,
    links: &'a Links,
    link_rows: Vec<Vec<usize>>,
    /// How many yarns wait, by yarn and column.
    waiting_behind: Vec<u16>,
    waiting: usize,
    new_lengths: Vec<(RunId, usize)>,
}

impl Desk<'_> {
    fn row(&mut self, row: usize) -> WorkedRow {
        let runs = self.sheet.rows[row].clone();
        let mut out = WorkedRow {
            place: self.sheet.place(row),
            direction: self.sheet.direction(row),
            knots: 0,
            actions: Vec::with_capacity(runs.len() * 3),
            waiting_most: self.waiting,
            waiting_at: None,
        };
        let mut worked = 0;
        for id in runs {
            let run = self.sheet.runs[id];
            let before = match run.direction {
                Direction::LeftToRight => run.first.0,
                Direction::RightToLeft => self.sheet.columns - 1 - run.first.0,
            };
            if before > worked {
                out.actions.push(Action::Bare { count: before - worked });
            }
            worked = before + run.knots();
            out.knots += run.knots();
            self.come_in(id, &run, &mut out);
            self.knots(id, &run, &mut out);
            self.go_out(id, &run, &mut out);
        }
        if worked < self.sheet.columns {
            out.actions.push(Action::Bare { count: self.sheet.columns - worked });
        }
        out
    }

    fn come_in(&mut self, id: RunId, run: &Run, out: &mut WorkedRow) {
        if let Some(around) = self.linked_to(id, run) {
            let before = &self.sheet.runs[around];
            out.actions.push(Action::Link { yarn: run.yarn, around: before.yarn, after: before.last });
        }
        let Some(from) = self.links.from[id] else {
            out.actions.push(Action::Start { yarn: run.yarn, at: run.first });
            return;
        };
        let left = self.sheet.runs[from];
        let carry = self.links.out[from].is_some_and(|s| s.is_carry);
        if from + 1 != id {
            let waiting_there = self.waiting_at(run.yarn, left.last);
            let ambiguous = *waiting_there > 1;
            *waiting_there -= 1;
            self.waiting -= 1;
            out.actions.push(Action::TakeUp {
                yarn: run.yarn,
                behind: left.last,
                left_in: self.sheet.place(left.row),
                ambiguous,
                carry,
            });
        }
        // A turn is plain: the next knot says where it goes.
        if carry && left.leaves() != run.enters() {
            out.actions.push(self.lead(id, &left, run));
        }
    }

    fn knots(&mut self, id: RunId, run: &Run, out: &mut WorkedRow) {
        let along = |knots: usize| match run.direction {
            Direction::LeftToRight => Column(run.first.0 + knots),
            Direction::RightToLeft => Column(run.first.0 - knots),
        };
        let mut tied = 0;
        while let Some(&(_, after)) = self.new_lengths.last().filter(|n| n.0 == id) {
            self.new_lengths.pop();
            if after > tied {
                out.actions.push(Action::Knots { yarn: run.yarn, count: after - tied, first: along(tied) });
                tied = after;
            }
            out.actions.push(Action::NewLength { yarn: run.yarn, after: along(tied.max(1) - 1) });
        }
        if run.knots() > tied {
            out.actions.push(Action::Knots { yarn: run.yarn, count: run.knots() - tied, first: along(tied) });
        }
    }

    fn go_out(&mut self, id: RunId, run: &Run, out: &mut WorkedRow) {
        match self.links.out[id] {
            None => out.actions.push(Action::Cut { yarn: run.yarn, after: run.last }),
            Some(step) if step.to == id + 1 => {}
            Some(step) => {
                out.actions.push(Action::LeaveWaiting {
                    yarn: run.yarn,
                    behind: run.last,
                    until: self.sheet.place(self.sheet.runs[step.to].row),
                    carry: step.is_carry,
                });
                *self.waiting_at(run.yarn, run.last) += 1;
                self.waiting += 1;
                if self.waiting > out.waiting_most {
                    out.waiting_most = self.waiting;
                    out.waiting_at = Some(run.last);
                }
            }
        }
    }

    fn waiting_at(&mut self, yarn: YarnId, column: Column) -> &mut u16 {
        &mut self.waiting_behind[usize::from(yarn.0) * self.sheet.columns + column.0]
    }

    /// The run just before in this row, if the two meet at a slit that is linked in this row.
    fn linked_to(&self, id: RunId, run: &Run) -> Option<RunId> {
        let row = run.row.checked_sub(self.sheet.header_rows)?;
        let before = id.checked_sub(1).filter(|b| self.sheet.runs[*b].row == run.row)?;
        let left = self.sheet.runs[before].last.0.min(run.first.0);
        self.link_rows[row].binary_search(&left).is_ok().then_some(before)
    }

    fn lead(&self, id: RunId, left: &Run, run: &Run) -> Action {
        let (from, to) = (left.leaves(), run.enters());
        let (first, last) = if from < to { (from, to - 1) } else { (from - 1, to) };
        let is_behind_us = (from < to) == (run.direction == Direction::LeftToRight);
        let passed = if is_behind_us {
            // Back over the runs just tied, as far as the yarn was led.
            let (low, high) = (first.min(last), first.max(last));
            let mut yarns = self.sheet.rows[run.row].start..id;
            let mut yarns = core::iter::from_fn(|| yarns.next_back())
                .map(|before| &self.sheet.runs[before])
                .take_while(|r| r.first.0.min(r.last.0) <= high && low <= r.first.0.max(r.last.0));
            match yarns.next() {
                Some(one) if yarns.all(|r| r.yarn == one.yarn) => Passed::One(one.yarn),
                Some(_) | None => Passed::Several,
            }
        } else {
            Passed::Ahead
        };
        Action::LeadBehind {
            yarn: run.yarn,
            cords: from.abs_diff(to),
            first: Column(first),
            last: Column(last),
            passed,
        }
    }
}
