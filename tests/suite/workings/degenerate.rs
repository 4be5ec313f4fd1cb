//! Inputs at the edge: a right answer or a named fault, never a panic.

use crate::panel::{chart, panel};
use hitchpress::chart::{Chart, YarnId};
use hitchpress::workings::*;

fn faults(project: &hitchpress::project::Project) -> Vec<&'static str> {
    // Reckoning must return whatever the fault.
    let _ = work_out(project);
    feasible(project).iter().map(|d| d.id).collect()
}

#[test]
fn one_cell_is_one_knot_and_two_ends() {
    let w = work_out(&panel(chart(&["A"])));
    assert_eq!((w.tally.total, w.amounts[0].ends, w.amounts[0].threads), (1, 2, 1));
    assert_eq!((w.cords.folded.count, w.cords.single.is_some()), (0, true));
    assert_eq!(w.marks, [RunMarks { start: true, cut: true, ..RunMarks::default() }]);
    assert!(feasible(&panel(chart(&["A"]))).is_empty());
}

#[test]
fn one_row_and_one_column_are_worked_in_one_thread() {
    assert_eq!(work_out(&panel(chart(&["AAAAAAA"]))).plans[0].thread_count(), 1);
    let column = work_out(&panel(chart(&["A", "A", "A", "A"])));
    assert_eq!((column.plans[0].thread_count(), column.plans[0].turns()), (1, 3));
}

#[test]
fn a_row_without_a_knot_parts_the_yarn() {
    let w = work_out(&panel(chart(&["AAA", "...", "AAA"])));
    assert_eq!(w.plans[0].thread_count(), 2);
    assert!(w.rows[1].runs.is_empty());
    assert_eq!((w.rows[1].knots, w.rows[1].knotted_columns, w.rows[2].knotted_columns), (0, 0, 3));
}

#[test]
fn a_chart_without_a_knot_is_a_fault() {
    let project = panel(Chart::new(2, vec![None; 4]).expect("whole rows"));
    assert_eq!(faults(&project), ["no-knots"]);
}

#[test]
fn a_length_too_short_for_one_knot_is_a_fault() {
    let mut project = panel(chart(&["AB", "BA"]));
    project.working.length_mm = 2.0 * 76.2 + 20.0;
    assert_eq!(faults(&project), ["length-too-short", "length-too-short"]);
}

#[test]
fn tails_longer_than_the_length_are_a_fault() {
    let mut project = panel(chart(&["AAAA"]));
    project.working.length_mm = 100.0;
    assert_eq!(faults(&project), ["tails-longer-than-length"]);
}

#[test]
fn an_absurd_gauge_is_a_fault() {
    for diameter in [0.0, -2.0, f64::NAN, f64::INFINITY, 1e300] {
        let mut project = panel(chart(&["AAAA"]));
        project.palette.0[0].diameter_mm = diameter;
        project.cord.diameter_mm = diameter;
        let found = faults(&project);
        assert!(found.contains(&"absurd-gauge"), "{diameter}: {found:?}");
    }
}

#[test]
fn a_yarn_that_is_never_used_is_not_bought() {
    let mut project = panel(chart(&["AC", "CA"]));
    project.working.header_yarn = YarnId(2);
    let w = work_out(&project);
    assert_eq!((w.amounts[1].buy.lengths, w.amounts[1].ends, w.amounts[1].buy.balls), (0, 0, Some(0)));
}

#[test]
fn two_thousand_columns_are_reckoned() {
    let cells = (0..2_000 * 3).map(|at| Some(YarnId(u8::from(at % 7 < 3)))).collect();
    let project = panel(Chart::new(2_000, cells).expect("whole rows"));
    assert!(feasible(&project).is_empty());
    assert_eq!(work_out(&project).tally.total, 6_000);
}

#[test]
fn no_tails_and_no_carries_still_give_a_plan() {
    let mut project = panel(chart(&["ABAB", "BABA"]));
    project.working.tail_mm = 0.0;
    // A step costs yarn and cutting costs none: everything is cut.
    assert!(work_out(&project).plans.iter().all(|p| p.steps.is_empty()));
    project.working.tail_mm = 76.2;
    project.working.longest_carry_mm = 0.0;
    project.working.most_rows_waiting = 0;
    assert!(work_out(&project).plans.iter().all(|p| p.carries() == 0));
}
