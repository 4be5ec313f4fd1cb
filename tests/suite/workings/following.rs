//! Follows the row actions literally, knot by knot, and ties the chart: what a buyer does with the sentences.

use crate::panel::{chart, panel, random_chart};
use hitchpress::chart::{Chart, Column, Direction, Row, YarnId};
use hitchpress::project::{Project, Side};
use hitchpress::workings::*;
use std::collections::BTreeMap;

/// A board with hanging cords, some yarns waiting behind them and one in hand.
struct Board {
    cells: Vec<Vec<Option<YarnId>>>,
    /// Yarn, column and row (in working order): what waits there.
    waiting: BTreeMap<(YarnId, usize, usize), usize>,
    hand: Option<YarnId>,
    /// The column knotted last, by the yarn in hand.
    at: Option<usize>,
    /// By row: gaps (by their left column) that a yarn crosses or a link holds.
    held: Vec<Vec<bool>>,
    most_waiting: Vec<usize>,
}

fn hold(held: &mut [bool], a: usize, b: usize) {
    held[a.min(b)..a.max(b)].fill(true);
}

/// Follows every action; panics where a sentence cannot be followed.
fn follow(project: &Project, w: &Workings) -> Board {
    let columns = project.chart.columns();
    let mut board = Board {
        cells: Vec::new(),
        waiting: BTreeMap::new(),
        hand: None,
        at: None,
        held: Vec::new(),
        most_waiting: Vec::new(),
    };
    let place = |row: RowPlace| match row {
        RowPlace::Header(at) => at,
        RowPlace::Chart(Row(at)) => w.header.rows + at,
    };
    for (row, worked) in w.rows.iter().enumerate() {
        assert_eq!(place(worked.place), row);
        let mut cells = vec![None; columns];
        let mut held = vec![false; columns.saturating_sub(1)];
        let mut reached = 0;
        let mut led_to = None;
        // The column just knotted in this row, whatever yarn is in hand now.
        let mut just: Option<(YarnId, usize)> = None;
        let column = |reached: usize| match worked.direction {
            Direction::LeftToRight => reached,
            Direction::RightToLeft => columns - 1 - reached,
        };
        let mut most: usize = board.waiting.values().sum();
        for action in &worked.actions {
            match *action {
                Action::Bare { count } => reached += count,
                Action::Start { yarn, at } => {
                    assert_eq!(board.hand, None, "two yarns in hand");
                    assert_eq!(at, Column(column(reached)));
                    (board.hand, board.at) = (Some(yarn), None);
                }
                Action::TakeUp { yarn, behind, left_in, ambiguous, .. } => {
                    assert_eq!(board.hand, None, "two yarns in hand");
                    let there = board.waiting.keys().filter(|k| k.0 == yarn && k.1 == behind.0).count();
                    assert_eq!(there > 1, ambiguous, "the place does not tell which");
                    let found = board.waiting.remove(&(yarn, behind.0, place(left_in)));
                    assert_eq!(found, Some(1), "nothing waits there");
                    (board.hand, board.at) = (Some(yarn), Some(behind.0));
                }
                Action::LeadBehind { yarn, cords, first, last, passed } => {
                    assert_eq!(board.hand, Some(yarn));
                    assert_eq!(cords, first.0.abs_diff(last.0) + 1);
                    let over: Vec<Option<YarnId>> =
                        (first.0.min(last.0)..=first.0.max(last.0)).map(|c| cells[c]).collect();
                    match passed {
                        Passed::One(one) => assert!(over.iter().all(|c| *c == Some(one))),
                        Passed::Several => {
                            assert!(over.iter().all(Option::is_some));
                            assert!(over.windows(2).any(|p| p[0] != p[1]));
                        }
                        Passed::Ahead => {
                            assert!(over.iter().all(Option::is_none));
                            assert_eq!(last.0, column(reached), "led to where the run starts");
                        }
                    }
                    led_to = Some(last.0);
                }
                Action::Link { yarn, around, after } => {
                    assert_ne!(yarn, around);
                    assert_eq!(just, Some((around, after.0)));
                    hold(&mut held, after.0, column(reached));
                }
                Action::Knots { yarn, count, first } => {
                    assert_eq!(board.hand, Some(yarn), "the yarn is not in hand");
                    assert!(count > 0);
                    assert_eq!(first.0, column(reached));
                    if let Some(at) = board.at {
                        hold(&mut held, at, first.0);
                        // Without a word about leading it the yarn is there, or one cord away after a turn.
                        if led_to.is_none() && just.is_none_or(|j| j.1 != at) {
                            let (up, here) = (board.cells.len() - 1, first.0);
                            assert!(at.abs_diff(here) <= 1, "row {up}: column {at} to {here} without a word");
                        }
                    }
                    for _ in 0..count {
                        let at = column(reached);
                        assert_eq!(cells[at], None);
                        cells[at] = Some(yarn);
                        reached += 1;
                    }
                    hold(&mut held, first.0, column(reached - 1));
                    board.at = Some(column(reached - 1));
                    just = Some((yarn, column(reached - 1)));
                    led_to = None;
                }
                Action::LeaveWaiting { yarn, behind, until, .. } => {
                    assert_eq!(board.hand.take(), Some(yarn));
                    assert_eq!(just, Some((yarn, behind.0)));
                    assert!(place(until) >= row);
                    *board.waiting.entry((yarn, behind.0, row)).or_insert(0) += 1;
                    board.at = None;
                    most = most.max(board.waiting.values().sum());
                }
                Action::Cut { yarn, after } => {
                    assert_eq!(board.hand.take(), Some(yarn));
                    assert_eq!(just, Some((yarn, after.0)));
                    board.at = None;
                }
                Action::NewLength { yarn, after } => {
                    assert_eq!(board.hand, Some(yarn));
                    assert_eq!(just, Some((yarn, after.0)));
                }
            }
        }
        assert_eq!(reached, columns, "knots and bare cells do not make up the row");
        assert_eq!(worked.knots, cells.iter().flatten().count());
        assert_eq!(worked.waiting_most, most);
        board.cells.push(cells);
        board.held.push(held);
        board.most_waiting.push(most);
    }
    assert!(board.hand.is_none() && board.waiting.is_empty(), "something is left hanging");
    board
}

/// Holds a followed board against the chart: every knot, and no gap open for three rows.
fn inspect(project: &Project, w: &Workings) -> Board {
    let board = follow(project, w);
    let chart = &project.chart;
    for row in 0..chart.rows() {
        assert_eq!(board.cells[w.header.rows + row], chart.row(Row(row)), "row {row}");
    }
    for left in 0..chart.columns().saturating_sub(1) {
        let mut open = 0;
        for row in 0..chart.rows() {
            let cells = chart.row(Row(row));
            let both = cells[left].is_some() && cells[left + 1].is_some();
            open = if both && !board.held[w.header.rows + row][left] { open + 1 } else { 0 };
            assert!(open < 3, "a slit right of column {left} at row {row}");
        }
    }
    board
}

#[test]
fn the_actions_of_random_charts_tie_the_chart_and_leave_no_slit() {
    let mut rng = fastrand::Rng::with_seed(31);
    let (mut slits, mut ambiguous, mut ahead, mut new_lengths) = (0, 0, 0, 0);
    for _ in 0..2_000 {
        let mut project = panel(random_chart(&mut rng, 16, 5));
        project.working.header_rows = Some(rng.usize(0..5));
        project.working.most_rows_waiting = rng.usize(0..5);
        project.working.longest_carry_mm = 5.0 + rng.f64() * 40.0;
        project.working.length_mm = 300.0 + rng.f64() * 1_200.0;
        if rng.bool() {
            project.working.first_row_from = Side::Right;
        }
        let w = work_out(&project);
        inspect(&project, &w);
        slits += w.slits.len();
        for action in w.rows.iter().flat_map(|r| &r.actions) {
            ambiguous += usize::from(matches!(action, Action::TakeUp { ambiguous: true, .. }));
            ahead += usize::from(matches!(action, Action::LeadBehind { passed: Passed::Ahead, .. }));
            new_lengths += usize::from(matches!(action, Action::NewLength { .. }));
        }
    }
    // The odd corners have been walked.
    assert!(
        slits > 100 && ahead > 100 && new_lengths > 100 && ambiguous > 0,
        "{slits} {ahead} {new_lengths} {ambiguous}"
    );
}

#[test]
fn two_fields_side_by_side_are_a_slit_and_are_linked_every_second_row() {
    let project = panel(chart(&["AAABBB"; 6]));
    let w = work_out(&project);
    assert_eq!(w.slits, [Slit { left: Column(2), first: Row(0), last: Row(5) }]);
    let linked: Vec<usize> = w
        .rows
        .iter()
        .filter(|r| r.actions.iter().any(|a| matches!(a, Action::Link { .. })))
        .map(|r| r.place.number())
        .collect();
    assert_eq!(linked, [2, 4, 6]);
    inspect(&project, &w);
}

#[test]
fn a_bare_edge_is_no_slit() {
    let w = work_out(&panel(chart(&["AAA..", "AAA..", "AAA..", "AAA.."])));
    assert!(w.slits.is_empty());
}

#[test]
fn a_row_of_the_two_row_check_reads_as_it_is_worked() {
    let w = work_out(&panel(chart(&["AABA", "ABBA"])));
    let (a, b) = (YarnId(0), YarnId(1));
    let row2 = RowPlace::Chart(Row(1));
    let row1 = RowPlace::Chart(Row(0));
    assert_eq!(
        w.rows[0].actions,
        [
            Action::Start { yarn: a, at: Column(0) },
            Action::Knots { yarn: a, count: 2, first: Column(0) },
            Action::LeaveWaiting { yarn: a, behind: Column(1), until: row1, carry: true },
            Action::Start { yarn: b, at: Column(2) },
            Action::Knots { yarn: b, count: 1, first: Column(2) },
            Action::LeaveWaiting { yarn: b, behind: Column(2), until: row2, carry: false },
            Action::TakeUp { yarn: a, behind: Column(1), left_in: row1, ambiguous: false, carry: true },
            Action::LeadBehind { yarn: a, cords: 1, first: Column(2), last: Column(2), passed: Passed::One(b) },
            Action::Knots { yarn: a, count: 1, first: Column(3) },
        ]
    );
    assert_eq!(
        w.rows[1].actions,
        [
            Action::Knots { yarn: a, count: 1, first: Column(3) },
            Action::LeaveWaiting { yarn: a, behind: Column(3), until: row2, carry: true },
            Action::TakeUp { yarn: b, behind: Column(2), left_in: row1, ambiguous: false, carry: false },
            Action::Knots { yarn: b, count: 2, first: Column(2) },
            Action::Cut { yarn: b, after: Column(1) },
            Action::TakeUp { yarn: a, behind: Column(3), left_in: row2, ambiguous: false, carry: true },
            Action::LeadBehind { yarn: a, cords: 2, first: Column(2), last: Column(1), passed: Passed::One(b) },
            Action::Knots { yarn: a, count: 1, first: Column(0) },
            Action::Cut { yarn: a, after: Column(0) },
        ]
    );
    assert_eq!((w.rows[0].waiting_most, w.rows[0].waiting_at), (2, Some(Column(2))));
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
