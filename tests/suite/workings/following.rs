//! One who knows nothing but the runs, their marks and the rule ties the chart with the lengths of the plan: the rule is
//! written here a second time, from its words, and looks at every length.

use crate::panel::{chart, panel, random_chart};
use hitchpress::chart::{Chart, Column, Direction, Row, YarnId};
use hitchpress::project::{Method, Project, Side};
use hitchpress::workings::*;

/// A length at the back.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Hanging {
    yarn: YarnId,
    /// The knot it tied last: row in working order, column.
    row: usize,
    column: usize,
    /// Whether that row went from left to right.
    rightwards: bool,
    /// Which length it is.
    length: usize,
}

impl Hanging {
    /// Half the columns left of the place where it hangs: beside the cord it tied last, on the side the row went to.
    fn place(&self) -> i64 {
        self.column as i64 + i64::from(self.rightwards)
    }
}

/// What somebody did.
#[derive(Debug, Default)]
struct Followed {
    /// The length that tied each run.
    lengths: Vec<usize>,
    /// Runs for which a choice was named.
    choices: usize,
    /// By row in working order: how many hang at its end.
    hanging: Vec<usize>,
}

/// What the rule takes up for a run that begins at `place` in `row`, out of all that hang.
fn by_the_rule(
    all: &[Hanging],
    yarn: YarnId,
    place: i64,
    row: usize,
    rightwards: bool,
    is_bare: &dyn Fn(usize, usize) -> bool,
) -> Option<Hanging> {
    let counts = |h: &&Hanging| {
        let between = place.min(h.place())..place.max(h.place());
        h.yarn == yarn
            && !between.into_iter().any(|c| is_bare(row, c as usize))
            && !(h.row + 1..row).any(|r| is_bare(r, h.column))
    };
    // The side the row comes from is the smaller places of a row from left to right.
    let far_side = |h: &Hanging| if rightwards { h.place() > place } else { h.place() < place };
    all.iter().filter(counts).min_by_key(|h| ((h.place() - place).abs(), far_side(h), usize::MAX - h.row)).copied()
}

/// Follows the marks and the rule; panics where a line cannot be followed.
fn follow(project: &Project, w: &Workings) -> Followed {
    let mut did = Followed::default();
    let mut all: Vec<Hanging> = Vec::new();
    let mut next = 0;
    let place_of = |place: RowPlace| match place {
        RowPlace::Header(at) => at,
        RowPlace::Chart(Row(at)) => w.header.rows + at,
    };
    let is_bare = |row: usize, column: usize| {
        row.checked_sub(w.header.rows).is_some_and(|r| project.chart.row(Row(r))[column].is_none())
    };
    for (row, worked) in w.rows.iter().enumerate() {
        assert_eq!(place_of(worked.place), row);
        let rightwards = worked.direction == Direction::LeftToRight;
        for id in worked.runs.clone() {
            let (run, marks) = (&w.sheet.runs[id], &w.marks[id]);
            let begins = run.first.0 as i64 + i64::from(!rightwards);
            let nearest = by_the_rule(&all, run.yarn, begins, row, rightwards, &is_bare);
            let taken = match (marks.start, marks.choice) {
                (true, choice) => {
                    assert_eq!(choice, None, "started and chosen");
                    None
                }
                (false, Some(last)) => {
                    did.choices += 1;
                    let is_it = |h: &&Hanging| (h.row, h.column) == (place_of(last.row), last.column.0);
                    let found: Vec<&Hanging> = all.iter().filter(is_it).collect();
                    assert!(matches!(found[..], [one] if one.yarn == run.yarn), "one knot, one length: {found:?}");
                    assert_ne!(found[0].length, nearest.map_or(usize::MAX, |n| n.length), "the rule says the same");
                    Some(*found[0])
                }
                (false, None) => Some(nearest.expect("nothing hangs, and no start is said")),
            };
            let length = match taken {
                Some(taken) => {
                    all.retain(|h| h.length != taken.length);
                    taken.length
                }
                None => {
                    next += 1;
                    next - 1
                }
            };
            did.lengths.push(length);
            if !marks.cut {
                all.push(Hanging { yarn: run.yarn, row, column: run.last.0, rightwards, length });
            }
        }
        assert_eq!(worked.hanging, all.len());
        did.hanging.push(all.len());
    }
    assert!(all.is_empty(), "something is left hanging");
    did
}

/// Whether two runs were tied with one length exactly where the plan says so.
fn uses_the_plans_lengths(w: &Workings, did: &Followed) -> bool {
    let mut thread = vec![usize::MAX; w.sheet.runs.len()];
    let threads = w.plans.iter().flat_map(YarnPlan::threads).enumerate();
    threads.for_each(|(at, t)| t.runs.iter().for_each(|run| thread[*run] = at));
    let mut pairs: Vec<(usize, usize)> = thread.into_iter().zip(did.lengths.iter().copied()).collect();
    pairs.sort_unstable();
    pairs.dedup();
    let count = |of: fn(&(usize, usize)) -> usize| {
        let mut all: Vec<usize> = pairs.iter().map(of).collect();
        all.sort_unstable();
        all.dedup();
        all.len()
    };
    pairs.len() == count(|p| p.0) && pairs.len() == count(|p| p.1)
}

/// No gap open for three rows: every one is crossed by a run or a yarn on its way, or held by a link.
fn leaves_no_slit(project: &Project, w: &Workings, did: &Followed) {
    let columns = project.chart.columns();
    let mut open = vec![0; columns.saturating_sub(1)];
    let mut last: Vec<Option<usize>> = vec![None; did.lengths.len()];
    for worked in &w.rows {
        let mut held = vec![false; columns.saturating_sub(1)];
        let mut hold = |a: usize, b: usize| held[a.min(b)..a.max(b)].fill(true);
        for id in worked.runs.clone() {
            let run = &w.sheet.runs[id];
            hold(run.first.0, run.last.0);
            if let Some(from) = last[did.lengths[id]].replace(run.last.0) {
                hold(from, run.first.0);
            }
            if w.marks[id].link {
                let before = &w.sheet.runs[id - 1];
                assert_ne!(before.yarn, run.yarn);
                assert!(worked.runs.contains(&(id - 1)));
                hold(before.last.0, run.first.0);
            }
        }
        let RowPlace::Chart(at) = worked.place else { continue };
        let cells = project.chart.row(at);
        for (left, open) in open.iter_mut().enumerate() {
            let both = cells[left].is_some() && cells[left + 1].is_some();
            *open = if both && !held[left] { *open + 1 } else { 0 };
            assert!(*open < 3, "a slit right of column {left} at row {at:?}");
        }
    }
}

fn inspect(project: &Project, w: &Workings) -> Followed {
    let did = follow(project, w);
    assert!(uses_the_plans_lengths(w, &did), "other lengths than planned");
    leaves_no_slit(project, w, &did);
    did
}

#[test]
fn the_rule_and_the_marks_of_random_charts_use_the_lengths_of_the_plan_and_leave_no_slit() {
    let mut rng = fastrand::Rng::with_seed(31);
    let (mut slits, mut choices, mut links) = (0, 0, 0);
    for round in 0..2_000 {
        let mut project = panel(random_chart(&mut rng, 16, 5));
        project.working.header_rows = Some(2 * rng.usize(0..3));
        project.working.most_rows_waiting = rng.usize(0..5);
        project.working.longest_carry_mm = 5.0 + rng.f64() * 70.0;
        project.working.length_mm = 300.0 + rng.f64() * 1_200.0;
        project.working.method = if round % 2 == 0 { Method::Carry } else { Method::Areas };
        if rng.bool() {
            project.working.first_row_from = Side::Right;
        }
        let w = work_out(&project);
        choices += inspect(&project, &w).choices;
        slits += w.slits.len();
        links += w.marks.iter().filter(|m| m.link).count();
    }
    // The odd corners have been walked.
    assert!(slits > 100 && choices > 100 && links > 100, "{slits} {choices} {links}");
}

#[test]
fn two_fields_side_by_side_are_a_slit_and_are_linked_every_second_row() {
    let project = panel(chart(&["AAABBB"; 6]));
    let w = work_out(&project);
    assert_eq!(w.slits, [Slit { left: Column(2), first: Row(0), last: Row(5) }]);
    let is_linked = |r: &&WorkedRow| r.runs.clone().any(|id| w.marks[id].link);
    let linked: Vec<usize> = w.rows.iter().filter(is_linked).map(|r| r.place.number()).collect();
    assert_eq!(linked, [2, 4, 6]);
    inspect(&project, &w);
}

#[test]
fn a_bare_edge_is_no_slit() {
    let w = work_out(&panel(chart(&["AAA..", "AAA..", "AAA..", "AAA.."])));
    assert!(w.slits.is_empty());
}

#[test]
fn the_two_row_check_needs_no_word_but_start_and_cut() {
    let project = panel(chart(&["AABA", "ABBA"]));
    let w = work_out(&project);
    let start = RunMarks { start: true, ..RunMarks::default() };
    let cut = RunMarks { cut: true, ..RunMarks::default() };
    let plain = RunMarks::default();
    assert_eq!(w.marks, [start, start, plain, plain, cut, cut]);
    assert_eq!(w.rows.iter().map(|r| (r.knots, r.hanging, r.joins)).collect::<Vec<_>>(), [(4, 2, 2), (4, 0, 0)]);
    inspect(&project, &w);
}

#[test]
fn of_two_equally_near_the_one_where_the_row_comes_from_and_of_two_at_one_place_the_lower() {
    // What the rule takes for the last run of A, by the knot the length tied last, if these lengths hang.
    let takes = |rows: &[&str], hang: &[usize]| {
        let w = work_out(&panel(chart(rows)));
        let mut lengths = HangingLengths::new(&w.sheet);
        hang.iter().for_each(|run| lengths.hang(*run));
        let last = (0..w.sheet.runs.len()).rev().find(|id| w.sheet.runs[*id].yarn == YarnId(0)).expect("a run of A");
        lengths.nearest(last).map(|id| (w.sheet.runs[id].row, w.sheet.runs[id].last.0))
    };
    // Row 2 comes from the right. Lengths left at gaps 1 and 5; a run that enters at gap 3.
    assert_eq!(takes(&["ABBBABB", "BBABBBB"], &[0, 2]), Some((0, 4)));
    // The same mirrored: row 3 comes from the left.
    assert_eq!(takes(&["BBBBBBB", "BBABBBA", "BBBBABB"], &[1, 3]), Some((1, 2)));
    // Left at one gap in rows 1 and 2: row 1 went right from column 2, row 2 left from column 3.
    assert_eq!(takes(&["BABBB", "BBABB", "BBABB"], &[1, 4]), Some((1, 2)));
    // Nothing hangs; nothing of this yarn hangs.
    assert_eq!(takes(&["ABBBABB", "BBABBBB"], &[]), None);
    assert_eq!(takes(&["ABBBABB", "BBABBBB"], &[1]), None);
    // Beyond bare cord, in the run's row or below the length.
    assert_eq!(takes(&["BABBBAB", "BB.ABBB"], &[1, 3]), Some((0, 5)));
    assert_eq!(takes(&["BABBAB", "BBBB.B", "BABBBB"], &[3]), None);
}

#[test]
fn yarn_is_never_led_behind_a_bare_cell() {
    let cells = |rows: &[&str]| -> Chart { chart(rows) };
    let w = work_out(&panel(cells(&["AA.AA"])));
    assert_eq!(w.plans[0].thread_count(), 2);
    // A widening edge: the yarn turns into the column that begins in row 2.
    let w = work_out(&panel(cells(&["AAA.", "AAAA"])));
    assert_eq!(w.plans[0].thread_count(), 1);
}
