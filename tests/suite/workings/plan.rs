//! The yarn plan against a dense assignment method written apart from it, on random charts; ties by exhaustion.

use crate::panel::{panel, random_chart};
use hitchpress::chart::{Row, YarnId};
use hitchpress::project::{Method, Project, Side};
use hitchpress::workings::*;

/// A run as the test itself reads it from the chart.
#[derive(Clone, Copy)]
struct Stretch {
    yarn: u8,
    row: usize,
    enters: i64,
    leaves: i64,
    last: usize,
    knots: i64,
}

fn stretches(project: &Project) -> Vec<Stretch> {
    let chart = &project.chart;
    let mut out = Vec::new();
    for row in 0..chart.rows() {
        let rightwards = (project.working.first_row_from == Side::Left) == (row % 2 == 0);
        let mut columns: Vec<usize> = (0..chart.columns()).collect();
        if !rightwards {
            columns.reverse();
        }
        let cells = chart.row(Row(row));
        let mut at = 0;
        while at < columns.len() {
            let Some(yarn) = cells[columns[at]] else {
                at += 1;
                continue;
            };
            let start = at;
            while at < columns.len() && cells[columns[at]] == Some(yarn) {
                at += 1;
            }
            let (first, last) = (columns[start], columns[at - 1]);
            let (enters, leaves) = if rightwards { (first, last + 1) } else { (first + 1, last) };
            let knots = (at - start) as i64;
            out.push(Stretch { yarn: yarn.0, row, enters: enters as i64, leaves: leaves as i64, last, knots });
        }
    }
    out
}

/// What a step takes in micrometres, if it is allowed: straight from the rule in words.
fn step(project: &Project, gauge: &Gauge, a: &Stretch, b: &Stretch) -> Option<i64> {
    let (across, down) = ((a.leaves - b.enters).abs(), b.row - a.row);
    let (x, y) = (across as f64 * gauge.column_mm, down as f64 * gauge.row_mm);
    let bare = (x * x + y * y).sqrt();
    let turn = down == 1 && across <= 1;
    let waits = down.saturating_sub(1) > project.working.most_rows_waiting;
    let is_bare = |row: usize, column: usize| project.chart.row(Row(row))[column].is_none();
    let hangs_bare = (a.row + 1..b.row).any(|row| is_bare(row, a.last));
    let leads_bare = (a.leaves.min(b.enters)..a.leaves.max(b.enters)).any(|c| is_bare(b.row, c as usize));
    let too_long = !turn && bare > project.working.longest_carry_mm;
    let cost = ((1.0 + project.working.carry_slack) * bare * 1000.0).round() as i64;
    (!waits && !hangs_bare && !leads_bare && !too_long).then_some(cost)
}

/// h of the workroom: what it is worth that a length need not hang over into the next row, micrometres.
fn hanging_worth(method: Method) -> i64 {
    match method {
        Method::Carry => 40_000,
        Method::Areas => 0,
    }
}

/// The least sum over rows of a square matrix of costs, by potentials, in cubic time.
fn dense_least(cost: &[Vec<i128>]) -> i128 {
    let n = cost.len();
    let far = i128::MAX / 4;
    let (mut u, mut v) = (vec![0i128; n + 1], vec![0i128; n + 1]);
    let (mut matched, mut way) = (vec![0usize; n + 1], vec![0usize; n + 1]);
    for i in 1..=n {
        matched[0] = i;
        let mut j0 = 0;
        let mut least = vec![far; n + 1];
        let mut used = vec![false; n + 1];
        while matched[j0] != 0 {
            used[j0] = true;
            let (i0, mut delta, mut j1) = (matched[j0], far, 0);
            for j in 1..=n {
                if used[j] {
                    continue;
                }
                let now = cost[i0 - 1][j - 1] - u[i0] - v[j];
                if now < least[j] {
                    (least[j], way[j]) = (now, j0);
                }
                if least[j] < delta {
                    (delta, j1) = (least[j], j);
                }
            }
            for j in 0..=n {
                if used[j] {
                    u[matched[j]] += delta;
                    v[j] -= delta;
                } else {
                    least[j] -= delta;
                }
            }
            j0 = j1;
        }
        while j0 != 0 {
            let j1 = way[j0];
            matched[j0] = matched[j1];
            j0 = j1;
        }
    }
    (1..=n).map(|j| cost[matched[j] - 1][j - 1]).sum()
}

/// A cut weighs as a step 2^14 runs forward.
const CUT_WEIGHS: i128 = 1 << 28;
const UM: i128 = 1 << 80;

/// The least of (micrometres, squares of runs gone forward), in one number.
fn least_plan(project: &Project, gauge: &Gauge, own: &[Stretch]) -> i128 {
    let n = own.len();
    let tails = (2.0 * project.working.tail_mm * 1000.0).round() as i128;
    let never = UM << 40;
    // Every run goes to a run or to its own cut; the runs nobody goes to are filled up for nothing.
    let cost: Vec<Vec<i128>> = (0..2 * n)
        .map(|a| {
            (0..2 * n)
                .map(|b| match (a < n, b < n) {
                    (true, true) if b > a => step(project, gauge, &own[a], &own[b]).map_or(never, |um| {
                        let rows = (own[b].row - own[a].row) as i64;
                        let weight = um + rows * hanging_worth(project.working.method);
                        i128::from(weight) * UM + ((b - a) * (b - a)) as i128
                    }),
                    (true, true) => never,
                    (true, false) if b - n == a => tails * UM + CUT_WEIGHS,
                    (true, false) => never,
                    (false, _) => 0,
                })
                .collect()
        })
        .collect();
    dense_least(&cost)
}

fn varied(rng: &mut fastrand::Rng, most: usize, yarns: u8) -> Project {
    let mut project = panel(random_chart(rng, most, yarns));
    if rng.bool() {
        project.working.first_row_from = Side::Right;
    }
    // Whole ratios make many ties; odd ones make few.
    if rng.bool() {
        project.swatch.column_mm = Some(5.0);
        project.swatch.row_mm = Some(5.0);
    }
    project.working.most_rows_waiting = rng.usize(0..4);
    project.working.longest_carry_mm = rng.f64() * if rng.bool() { 40.0 } else { 90.0 };
    project.working.method = if rng.bool() { Method::Carry } else { Method::Areas };
    project.working.tail_mm = if rng.bool() { 76.2 } else { 1.0 + rng.f64() * 20.0 };
    project
}

#[test]
fn the_plan_costs_what_a_dense_method_finds_and_breaks_ties_as_written() {
    let mut rng = fastrand::Rng::with_seed(20_250_309);
    let mut with_steps = 0;
    // 2,000 charts, each worked both ways.
    for round in 0..4_000 {
        let mut project = varied(&mut rng, 9, 4);
        project.working.method = if round % 2 == 0 { Method::Carry } else { Method::Areas };
        let w = work_out(&project);
        let all = stretches(&project);
        for plan in &w.plans {
            let own: Vec<Stretch> = all.iter().copied().filter(|s| s.yarn == plan.yarn.0).collect();
            let index = |run: RunId| w.sheet.runs[..run].iter().filter(|r| r.yarn == plan.yarn).count();
            let tails = (2.0 * project.working.tail_mm * 1000.0).round() as i128;
            let mut found = plan.thread_count() as i128 * (tails * UM + CUT_WEIGHS);
            for taken in &plan.steps {
                let (a, b) = (index(taken.from), index(taken.to));
                let cost = step(&project, &w.gauge, &own[a], &own[b]).expect("the step is allowed");
                let rows = own[b].row - own[a].row;
                assert_eq!((cost, rows), (taken.micrometres, taken.rows));
                let weight = cost + rows as i64 * hanging_worth(project.working.method);
                found += i128::from(weight) * UM + ((b - a) * (b - a)) as i128;
            }
            with_steps += usize::from(!plan.steps.is_empty());
            assert_eq!(found, least_plan(&project, &w.gauge, &own), "round {round}, {:?}", plan.yarn);
        }
    }
    assert!(with_steps > 2_000, "{with_steps}");
}

#[test]
fn areas_takes_no_more_yarn_and_carry_hangs_over_no_more_rows() {
    let mut rng = fastrand::Rng::with_seed(77);
    let (mut less_yarn, mut fewer_rows) = (0, 0);
    for round in 0..2_000 {
        let mut project = varied(&mut rng, 14, 5);
        // Yarn in steps and tails before cutting, and rows moved, summed over all steps.
        let mut of = |method| {
            project.working.method = method;
            let plans = work_out(&project).plans;
            let tails = 2 * (project.working.tail_mm * 1000.0).round() as i64;
            let yarn: i64 = plans.iter().map(|p| p.steps_um() + tails * p.thread_count() as i64).sum();
            (yarn, plans.iter().map(YarnPlan::rows_hanging).sum::<usize>())
        };
        let (carry, areas) = (of(Method::Carry), of(Method::Areas));
        assert!(areas.0 <= carry.0, "round {round}: {areas:?} {carry:?}");
        assert!(carry.1 <= areas.1, "round {round}: {areas:?} {carry:?}");
        less_yarn += usize::from(areas.0 < carry.0);
        fewer_rows += usize::from(carry.1 < areas.1);
    }
    assert!(less_yarn > 200 && fewer_rows > 200, "{less_yarn} {fewer_rows}");
}

#[test]
fn the_dense_method_agrees_with_trying_everything() {
    fn every(cost: &[Vec<i128>], row: usize, taken: u32) -> i128 {
        if row == cost.len() {
            return 0;
        }
        (0..cost.len())
            .filter(|j| taken & (1 << j) == 0)
            .map(|j| cost[row][j] + every(cost, row + 1, taken | 1 << j))
            .min()
            .expect("a square matrix")
    }
    let mut rng = fastrand::Rng::with_seed(7);
    for _ in 0..200 {
        let n = rng.usize(1..=6);
        let cost: Vec<Vec<i128>> = (0..n).map(|_| (0..n).map(|_| i128::from(rng.u8(0..30))).collect()).collect();
        assert_eq!(dense_least(&cost), every(&cost, 0, 0));
    }
}

#[test]
fn threads_tie_every_run_once_and_their_needs_add_up() {
    let mut rng = fastrand::Rng::with_seed(11);
    for _ in 0..600 {
        let project = varied(&mut rng, 14, 5);
        let w = work_out(&project);
        let all = stretches(&project);
        let mut tied = vec![false; all.len()];
        for (plan, own) in w.plans.iter().zip(&w.gauge.yarns) {
            let mut needs = 0;
            for thread in plan.threads() {
                assert!(thread.runs.is_sorted_by(|a, b| a < b));
                needs += thread.need_um;
                for &run in thread.runs {
                    assert!(!std::mem::replace(&mut tied[run], true));
                    assert_eq!((all[run].yarn, all[run].knots), (plan.yarn.0, w.sheet.runs[run].knots() as i64));
                }
            }
            let knots = w.tally.of(plan.yarn).total() as i64;
            let tails = 2 * (project.working.tail_mm * 1000.0).round() as i64;
            let knot = (own.knot_mm * 1000.0).round() as i64;
            assert_eq!(needs, knots * knot + plan.steps_um() + plan.thread_count() as i64 * tails);
            assert_eq!(plan.run_count(), plan.thread_count() + plan.steps.len());
        }
        assert!(tied.into_iter().all(|t| t));
    }
}

/// Cuts a yarn the way the booklet tells a maker to, from the plan's threads, apart from the crate's own scissors.
/// Gives fresh lengths, pieces and the micrometres in the panel.
fn cut_by_hand(project: &Project, w: &Workings, yarn: YarnId) -> (usize, usize, i64) {
    let plan = &w.plans[usize::from(yarn.0)];
    let knot = (w.gauge.yarns[usize::from(yarn.0)].knot_mm * 1000.0).round() as i64;
    let tail = (project.working.tail_mm * 1000.0).round() as i64;
    let length = (project.working.length_mm * 1000.0).round() as i64;
    let step_after = |run: RunId| plan.steps.iter().find(|s| s.from == run).map(|s| s.micrometres);
    // What each thread does, knot by knot: (run, extra yarn before the knot).
    let threads: Vec<Vec<(RunId, i64)>> = plan
        .threads()
        .map(|t| {
            let mut before = 0;
            let mut knots = Vec::new();
            for &run in t.runs {
                for at in 0..w.sheet.runs[run].knots() {
                    knots.push((run, if at == 0 { before } else { 0 }));
                }
                before = step_after(run).unwrap_or(0);
            }
            knots
        })
        .collect();
    let need = |knots: &[(RunId, i64)]| {
        knots.iter().enumerate().map(|(at, k)| knot + if at == 0 { 0 } else { k.1 }).sum::<i64>() + 2 * tail
    };
    let mut kept: Vec<i64> = Vec::new();
    let (mut fresh, mut pieces, mut used) = (0, 0, 0);
    let mut in_hand: Vec<Option<i64>> = vec![None; threads.len()];
    let mut done: Vec<usize> = vec![0; threads.len()];
    for run in 0..w.sheet.runs.len() {
        let Some(thread) = threads.iter().position(|t| t.iter().any(|k| k.0 == run)) else { continue };
        while let Some(&(_, before)) = threads[thread].get(done[thread]).filter(|k| k.0 == run) {
            let rest = &threads[thread][done[thread]..];
            let mut left = in_hand[thread].take().unwrap_or(-1);
            if left >= before + knot {
                left -= before;
                used += before;
            } else {
                if left >= 0 {
                    kept.push(left);
                }
                kept.retain(|&p| p >= 300_000 && p >= knot + 2 * tail);
                kept.sort_unstable();
                let piece = match kept.iter().position(|&p| p >= need(rest)) {
                    Some(at) => kept.remove(at),
                    None => {
                        fresh += 1;
                        length
                    }
                };
                pieces += 1;
                used += 2 * tail;
                left = piece - 2 * tail;
            }
            assert!(left >= knot);
            left -= knot;
            used += knot;
            done[thread] += 1;
            match threads[thread].get(done[thread]) {
                None => kept.push(left),
                // The rest of a length that cannot reach the next knot is let go at once, not when it is missed.
                Some(next) if left < next.1 + knot => {
                    kept.push(left);
                    in_hand[thread] = None;
                }
                Some(_) => in_hand[thread] = Some(left),
            }
            kept.retain(|&p| p >= 300_000 && p >= knot + 2 * tail);
        }
    }
    (fresh, pieces, used)
}

#[test]
fn cutting_agrees_with_cutting_by_hand() {
    let mut rng = fastrand::Rng::with_seed(23);
    let mut reused = 0;
    for round in 0..500 {
        let mut project = varied(&mut rng, 14, 3);
        project.working.length_mm = 200.0 + rng.f64() * 1_500.0;
        let w = work_out(&project);
        for amount in &w.amounts {
            let (fresh, pieces, used) = cut_by_hand(&project, &w, amount.yarn);
            assert_eq!((amount.buy.lengths, amount.pieces), (fresh, pieces), "round {round}");
            assert!((amount.used_mm * 1000.0 - used as f64).abs() < 0.5);
            assert!(used as f64 / 1000.0 <= fresh as f64 * project.working.length_mm + 1e-6);
            let carries = w.plans[usize::from(amount.yarn.0)].carries();
            assert_eq!(amount.cut_instead_mm, 2.0 * carries as f64 * project.working.tail_mm);
            assert_eq!(amount.pieces, amount.threads + amount.joins);
            reused += pieces - fresh;
        }
    }
    assert!(reused > 500, "{reused}");
}
