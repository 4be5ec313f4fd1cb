//! Where among squares a chart begins and ends.

use super::spread::{Part, Spread};
use crate::chart_read::edges::Edges;
use crate::chart_read::reading::Size;

/// An outermost line is at least so whole, of how whole lines usually are.
const BOUND_AS: f32 = 0.65;

/// A line on the side of a chart is so whole, or is at least about as plain as the one next to it.
const WHOLE: f32 = 0.9;
const PLAINER: f32 = 0.1;
/// So many squares of a photograph's outermost line are straight.
const PIECE: usize = 16;

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

/// The box in the size that was said, laid where most framed squares are; whether both sides were said.
pub(super) fn sized((columns, rows): (usize, usize), part: Part, size: Size, framed: &[bool]) -> (Part, bool) {
    let fitted = |from: usize, to: usize, wanted: Option<usize>, all: usize, weight: &dyn Fn(usize) -> usize| {
        let Some(wanted) = wanted.filter(|wanted| *wanted != to - from && *wanted <= all) else {
            return (from, to);
        };
        let starts =
            if wanted > to - from { to.saturating_sub(wanted)..=from.min(all - wanted) } else { from..=to - wanted };
        let middle = (from + to) as i64 - wanted as i64;
        let judged = starts.map(|start| {
            let sum: usize = (start..start + wanted).map(weight).sum();
            (sum, core::cmp::Reverse((2 * start as i64 - middle).abs()), core::cmp::Reverse(start))
        });
        let start = judged.max().map_or(from, |(_, _, start)| start.0);
        (start, start + wanted)
    };
    let in_column = |column: usize| (0..rows).filter(|r| framed[r * columns + column]).count();
    let (left, right) = fitted(part.left, part.right, size.columns, columns, &in_column);
    let in_row = |row: usize| (0..columns).filter(|c| framed[row * columns + c]).count();
    let (top, bottom) = fitted(part.top, part.bottom, size.rows, rows, &in_row);
    (Part { left, right, top, bottom }, size.columns.is_some() && size.rows.is_some())
}

/// The part between lines: figures beside a chart may look like squares, but nothing in them is straight from end to end.
/// `framed`: the share of a part's squares that show all four sides.
pub(super) fn bounded(
    (edges, turned): (&Edges, &Edges),
    spread: &Spread,
    near: (f64, f64),
    mut part: Part,
    framed: impl Fn(Part) -> f64,
) -> Part {
    // Paper is not quite flat.
    let pieces = |squares: usize| if edges.may_be_whole { 1 } else { squares.div_ceil(PIECE) };
    let upright = |line: usize, part: Part| {
        let pieces = pieces(part.bottom - part.top);
        straight(edges, spread.xs[line], near.0, (spread.ys[part.top], spread.ys[part.bottom]), pieces)
    };
    let level = |line: usize, part: Part| {
        let pieces = pieces(part.right - part.left);
        straight(turned, spread.ys[line], near.1, (spread.xs[part.left], spread.xs[part.right]), pieces)
    };
    let usual = |seen: Vec<f32>| BOUND_AS * middle(seen);
    let least = (
        usual((part.left..=part.right).map(|line| upright(line, part)).collect()),
        usual((part.top..=part.bottom).map(|line| level(line, part)).collect()),
    );
    // Of figures of two places in every row the left sides stand in a line too, but not so wholly as the line next to it,
    // and nothing is above and below them.
    let is_beyond = |(own, next): (f32, f32), (own_framed, next_framed): (f64, f64), least: f32| {
        let figures = !edges.may_be_whole && own < WHOLE && next >= own + PLAINER && own_framed < 0.5 * next_framed;
        own < least || figures
    };
    let upright = |line: usize, next: usize, part: Part| (upright(line, part), upright(next, part));
    let level = |line: usize, next: usize, part: Part| (level(line, part), level(next, part));
    let column = |at: usize, next: usize, part: Part| {
        let one = |at: usize| framed(Part { left: at, right: at + 1, ..part });
        (one(at), one(next))
    };
    let row = |at: usize, next: usize, part: Part| {
        let one = |at: usize| framed(Part { top: at, bottom: at + 1, ..part });
        (one(at), one(next))
    };
    loop {
        let Part { left, right, top, bottom } = part;
        if right - left <= 3 || bottom - top <= 3 {
            return part;
        }
        if is_beyond(upright(left, left + 1, part), column(left, left + 1, part), least.0) {
            part.left += 1;
        } else if is_beyond(upright(right, right - 1, part), column(right - 1, right - 2, part), least.0) {
            part.right -= 1;
        } else if is_beyond(level(top, top + 1, part), row(top, top + 1, part), least.1) {
            part.top += 1;
        } else if is_beyond(level(bottom, bottom - 1, part), row(bottom - 1, bottom - 2, part), least.1) {
            part.bottom -= 1;
        } else {
            return part;
        }
    }
}

/// How much of an upright line is seen, piece by piece at one place across near where it is expected.
fn straight(edges: &Edges, at: f64, near: f64, (from, to): (f64, f64), pieces: usize) -> f32 {
    let edge = 2.5;
    if edges.may_be_whole && (at < edge || at > edges.width as f64 - edge) {
        return 1.0;
    }
    let (from, to) = (from.max(0.0) as usize, (to.max(0.0) as usize).min(edges.height));
    let (left, right) =
        ((at - near).ceil().max(1.0) as usize, ((at + near).floor().max(0.0) as usize + 1).min(edges.width));
    let mut sum = 0;
    for piece in 0..pieces {
        let cut = |i: usize| from + to.saturating_sub(from) * i / pieces;
        let lines = cut(piece)..cut(piece + 1);
        let seen = |x: usize| {
            lines
                .clone()
                .filter(|y| edges.upright[y * edges.width + x - 1..=y * edges.width + x].iter().any(|edge| *edge > 0))
                .count()
        };
        sum += (left..right).map(seen).max().unwrap_or(0);
    }
    sum as f32 / to.saturating_sub(from).max(1) as f32
}

fn middle(mut values: Vec<f32>) -> f32 {
    values.sort_by(f32::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}
