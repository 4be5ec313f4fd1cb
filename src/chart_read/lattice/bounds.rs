//! Where among squares a chart begins and ends.

use super::spread::{Part, Spread};
use crate::chart_read::edges::Edges;

/// An outermost line is at least so whole, of how whole lines usually are.
const BOUND_AS: f32 = 0.65;

/// The box around a patch whose columns and rows each speak for the chart, seen along the box: at an edge of the chart that
/// changes at once. `score`: of a square by its row and column, -1 to 1.
pub(super) fn best_box(
    (columns, rows): (usize, usize),
    around: Part,
    score: impl Fn(usize, usize) -> f64,
) -> Option<Part> {
    let scores: Vec<f64> = (0..columns * rows).map(|at| score(at / columns, at % columns)).collect();
    let mut part = around;
    for _ in 0..8 {
        let before = part;
        let by_column = |column: usize| {
            (part.top..part.bottom).map(|row| scores[row * columns + column]).sum::<f64>()
                / (part.bottom - part.top) as f64
        };
        (part.left, part.right) = best_run(&(0..columns).map(by_column).collect::<Vec<_>>(), part.left..part.right)?;
        let by_row = |row: usize| {
            (part.left..part.right).map(|column| scores[row * columns + column]).sum::<f64>()
                / (part.right - part.left) as f64
        };
        (part.top, part.bottom) = best_run(&(0..rows).map(by_row).collect::<Vec<_>>(), part.top..part.bottom)?;
        if part == before {
            break;
        }
    }
    Some(part)
}

/// The run that most speaks for, where what lies half-way between the usual of `inside` and nothing at all counts nothing.
fn best_run(scores: &[f64], inside: std::ops::Range<usize>) -> Option<(usize, usize)> {
    let mut usual = scores[inside].to_vec();
    usual.sort_by(f64::total_cmp);
    let least = (usual.get(usual.len() / 2)? - 1.0) / 2.0;
    let (mut best, mut best_sum) = (None, 0.0);
    let (mut from, mut sum) = (0, 0.0);
    for (at, score) in scores.iter().enumerate() {
        if sum <= 0.0 {
            (from, sum) = (at, 0.0);
        }
        sum += score - least;
        if sum > best_sum {
            (best, best_sum) = (Some((from, at + 1)), sum);
        }
    }
    best
}

/// The part between lines: figures beside a chart may look like squares, but nothing in them is straight from end to end.
pub(super) fn bounded((edges, turned): (&Edges, &Edges), spread: &Spread, near: (f64, f64), mut part: Part) -> Part {
    let upright = |line: usize, part: Part| {
        straight(edges, spread.xs[line], near.0, (spread.ys[part.top], spread.ys[part.bottom]))
    };
    let level = |line: usize, part: Part| {
        straight(turned, spread.ys[line], near.1, (spread.xs[part.left], spread.xs[part.right]))
    };
    let usual = |seen: Vec<f32>| BOUND_AS * middle(seen);
    let least = (
        usual((part.left..=part.right).map(|line| upright(line, part)).collect()),
        usual((part.top..=part.bottom).map(|line| level(line, part)).collect()),
    );
    while part.right - part.left > 3 && upright(part.left, part) < least.0 {
        part.left += 1;
    }
    while part.right - part.left > 3 && upright(part.right, part) < least.0 {
        part.right -= 1;
    }
    while part.bottom - part.top > 3 && level(part.top, part) < least.1 {
        part.top += 1;
    }
    while part.bottom - part.top > 3 && level(part.bottom, part) < least.1 {
        part.bottom -= 1;
    }
    part
}

/// How much of an upright line is seen at one place across, near where it is expected.
fn straight(edges: &Edges, at: f64, near: f64, (from, to): (f64, f64)) -> f32 {
    let edge = 2.5;
    if edges.may_be_whole && (at < edge || at > edges.width as f64 - edge) {
        return 1.0;
    }
    let (from, to) = (from.max(0.0) as usize, (to.max(0.0) as usize).min(edges.height));
    let seen = |x: usize| {
        (from..to)
            .filter(|y| edges.upright[y * edges.width + x - 1..=y * edges.width + x].iter().any(|edge| *edge > 0))
            .count()
    };
    let (left, right) =
        ((at - near).ceil().max(1.0) as usize, ((at + near).floor().max(0.0) as usize + 1).min(edges.width));
    (left..right).map(seen).max().unwrap_or(0) as f32 / to.saturating_sub(from).max(1) as f32
}

fn middle(mut values: Vec<f32>) -> f32 {
    values.sort_by(f32::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}
