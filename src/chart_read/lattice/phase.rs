//! Which of the places where something comes again in every square are the squares' sides: a side is an edge from corner to
//! corner or none at all; what is drawn in squares is an edge in part.

use super::sides::Sides;
use super::spread::{Spread, between};
use crate::chart_read::edges::Edges;
use crate::chart_read::window::Window;
use crate::picture::SrgbPicture;

/// Squares that are looked at, across and down: heavier lines push those further on out of step.
const SQUARES: f64 = 18.0;
/// Places across a square that are tried.
const PLACES: usize = 20;
/// A side is seen from corner to corner.
const WHOLE: f32 = 0.9;
/// Lines that were followed are as plain as others that are plainer by this share of all sides.
const FOLLOWED: f64 = 0.02;
/// A side is seen in part.
const IN_PART: core::ops::Range<f32> = 0.25..0.8;
/// How far from a line its edges may lie, in pixels.
const NEAR: f64 = 1.2;

/// The places across and down at which lines of squares of this size are most plainly sides; `first` is tried before others.
pub(super) fn sides(
    picture: &SrgbPicture,
    window: Window,
    (wide, high): (f64, f64),
    first: (f64, f64),
) -> Option<(f64, f64)> {
    let (middle_x, middle_y) = window.middle();
    let cut = |middle: f64, side: f64, from: usize, to: usize| {
        let half = 0.5 * SQUARES * side;
        ((middle - half).max(from as f64) as usize, ((middle + half) as usize).min(to))
    };
    let (left, right) = cut(middle_x, wide, window.left, window.right);
    let (top, bottom) = cut(middle_y, high, window.top, window.bottom);
    let part = picture.part(left, top, right - left, bottom - top);
    let edges = Edges { may_be_whole: false, ..Edges::bare(&part) };
    let turned = edges.turned();
    let lines = |first: f64, side: f64, from: usize, to: usize| -> Vec<f64> {
        let start = from as f64 + (first - from as f64).rem_euclid(side);
        let count = ((to as f64 - start) / side) as usize;
        (0..=count).map(|i| start + i as f64 * side - from as f64).filter(|at| *at < (to - from) as f64).collect()
    };
    let places = |first: f64, side: f64| {
        let count = (side as usize).clamp(1, PLACES);
        (0..count).map(move |i| first + side * i as f64 / count as f64)
    };
    let mut best: Option<(f64, (f64, f64))> = None;
    for x in places(first.0, wide) {
        for y in places(first.1, high) {
            let (xs, ys) = (lines(x, wide, left, right), lines(y, high, top, bottom));
            if xs.len() < 4 || ys.len() < 4 {
                continue;
            }
            let sides = Sides::of(&edges, &turned, (&xs, &ys), (NEAR, NEAR), 0.0);
            let worth = worth(&sides);
            if best.is_none_or(|(most, _)| worth > most) {
                best = Some((worth, (x, y)));
            }
        }
    }
    best.map(|(_, (x, y))| (x.rem_euclid(wide), y.rem_euclid(high)))
}

/// How plainly all these are sides, in units of one side.
fn worth(sides: &Sides) -> f64 {
    let one = |side: &f32| match *side {
        side if side >= WHOLE => 1.0,
        side if IN_PART.contains(&side) => -0.5,
        _ => 0.0,
    };
    sides.upright.iter().chain(&sides.level).map(one).sum()
}

/// A way to lay lines through a picture.
pub(super) struct Way {
    /// Its place among those that were tried.
    pub(super) nth: usize,
    pub(super) spread: Spread,
    /// How much more of all sides is plainly one on these lines than half-way between them.
    pub(super) margin: f64,
}

/// Of ways to lay lines through a picture that in which they are most plainly sides; the first, whose lines were followed,
/// if none is plainer.
pub(super) fn plainest(picture: &SrgbPicture, ways: Vec<Spread>) -> Option<Way> {
    let edges = Edges { may_be_whole: false, ..Edges::bare(picture) };
    let turned = edges.turned();
    let judged = |xs: &[f64], ys: &[f64]| {
        let sides = Sides::of(&edges, &turned, (xs, ys), (NEAR, NEAR), 0.0);
        worth(&sides) / (sides.upright.len() + sides.level.len()) as f64
    };
    let mut best: Option<(f64, usize, Spread)> = None;
    for (at, way) in ways.into_iter().enumerate().filter(|(_, way)| way.xs.len() > 3 && way.ys.len() > 3) {
        let worth = judged(&way.xs, &way.ys) + if at == 0 { FOLLOWED } else { 0.0 };
        if best.as_ref().is_none_or(|(most, ..)| worth > *most) {
            best = Some((worth, at, way));
        }
    }
    let (_, nth, spread) = best?;
    let (xs, ys) = (&spread.xs, &spread.ys);
    let off = judged(&between(xs), ys).max(judged(xs, &between(ys)));
    let margin = judged(xs, ys) - off;
    Some(Way { nth, spread, margin })
}
