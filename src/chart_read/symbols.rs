//! What is drawn in squares told apart, within squares of one ground. Squares whose grounds are alike and whose symbols are
//! not are of two kinds.

use super::grounds::Grounds;
use super::squares::{Looked, Patch};
use crate::colour::Colour;

/// Squares of one ground that are compared with one another to learn how much two of one symbol differ.
const LEARNT_FROM: usize = 90;
/// Sums of ink under this share of a patch are no symbol.
const INK: f32 = 0.012;

/// Kinds whose grounds differ by less are told apart by what is drawn.
pub(super) const SAME_GROUND: f64 = 3.0;

/// Kinds of squares as they are told apart at first.
pub(super) struct Told {
    /// The kind of each square, by its place in `colours`.
    pub(super) cells: Vec<u8>,
    /// The colour of each kind's ground.
    pub(super) colours: Vec<Colour>,
}

impl Told {
    /// Whether nearly all squares have one ground, or others that are hardly to be told from it.
    pub(super) fn is_of_one_ground(&self) -> bool {
        let mut counts = vec![0_usize; self.colours.len()];
        for &kind in &self.cells {
            counts[usize::from(kind)] += 1;
        }
        let of_most = (0..counts.len()).max_by_key(|&kind| counts[kind]).map(|kind| self.colours[kind]);
        let like = |colour: Colour| of_most.is_some_and(|most| most.difference(colour) < SAME_GROUND);
        let alike: usize = (0..counts.len()).filter(|&kind| like(self.colours[kind])).map(|kind| counts[kind]).sum();
        alike * 10 >= self.cells.len() * 9
    }
}

pub(super) fn tell_apart(looked: &Looked, grounds: &Grounds, most: usize) -> Told {
    let count = grounds.of.len();
    let mut told = Told { cells: vec![0; count], colours: Vec::new() };
    for (ground, &colour) in grounds.colours.iter().enumerate() {
        let cells: Vec<usize> = (0..count).filter(|&at| usize::from(grounds.of[at]) == ground).collect();
        // Where one ground has nearly all squares, symbols alone tell; else they do only where they are plainly others, and
        // not in a picture with grain.
        let alone = cells.len() * 10 >= count * 8;
        let sorted = if looked.patches.is_empty() || (grounds.grain > 0.0 && !alone) {
            None
        } else {
            sort(looked, &cells, Manner { grainy: grounds.grain > 0.0, alone })
        };
        let base = told.colours.len();
        let of = sorted.unwrap_or_else(|| vec![0; cells.len()]);
        let kinds = of.iter().copied().max().map_or(1, |last| usize::from(last) + 1);
        let kinds = if base + kinds <= most { kinds } else { 1 };
        for (&cell, kind) in cells.iter().zip(of) {
            told.cells[cell] = (base + if kinds > 1 { usize::from(kind) } else { 0 }) as u8;
        }
        told.colours.resize(base + kinds, colour);
    }
    told
}

/// Moves of a patch that are tried, the least first.
const MOVES: [(i32, i32); 9] = [(0, 0), (1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (1, -1), (-1, 1), (-1, -1)];

/// How unlike two patches are, 0 to 1: ink that one has and the other has not, of all ink of both. One may be moved by a
/// place, since a lattice is not laid to the last part of a pixel.
fn unlike(a: &Patch, b: &Patch, side: usize, enough: f32) -> f32 {
    let ink = |patch: &Patch| patch.iter().map(|v| v.abs()).sum::<f32>();
    let (ink_a, ink_b) = (ink(a), ink(b));
    let all = ink_a + ink_b;
    let floor = 4.0 * INK * (side * side) as f32;
    if all <= floor / 2.0 {
        return 0.0;
    }
    let least_possible = (ink_a - ink_b).abs() / all.max(floor);
    if least_possible > enough {
        return least_possible;
    }
    let mut best = f32::INFINITY;
    for (dx, dy) in MOVES {
        let moved = |i: usize| -> f32 {
            let (x, y) = ((i % side) as i32 + dx, (i / side) as i32 + dy);
            let inside = (0..side as i32).contains(&x) && (0..side as i32).contains(&y);
            if inside { b[y as usize * side + x as usize] } else { 0.0 }
        };
        let off: f32 = a.iter().enumerate().map(|(i, v)| (v - moved(i)).abs()).sum();
        // Moved ones have to be better, not only as good.
        let penalty = if (dx, dy) == (0, 0) { 0.0 } else { 0.015 };
        best = best.min(off / all.max(floor) + penalty);
        if best <= 0.01 {
            break;
        }
    }
    best
}

/// How strictly symbols are told apart.
#[derive(Clone, Copy)]
struct Manner {
    /// In a picture with grain.
    grainy: bool,
    /// Whether nothing but symbols tells squares apart.
    alone: bool,
}

/// Where grounds tell yarns apart as well, symbols less unlike than this are one.
const PLAINLY: f32 = 0.42;

/// The kind of each square, by what is drawn in it. `None`: all are alike.
fn sort(looked: &Looked, cells: &[usize], manner: Manner) -> Option<Vec<u8>> {
    let Manner { grainy, .. } = manner;
    let side = looked.side;
    let patch = |i: usize| &looked.patches[cells[i]];
    if cells.iter().all(|&cell| looked.patches[cell].iter().all(|v| *v == 0.0)) {
        return None;
    }
    let grain = grain(looked, cells);
    let limit = if grainy { (2.0 * grain + 0.06).clamp(0.16, 0.5) } else { (1.8 * grain + 0.03).clamp(0.05, 0.4) };
    // Each square joins the first it is like, or leads others.
    let mut leaders: Vec<(Patch, usize)> = Vec::new();
    for i in 0..cells.len() {
        let near = leaders
            .iter()
            .map(|(leader, _)| unlike(patch(i), leader, side, limit))
            .enumerate()
            .min_by(|a, b| a.1.total_cmp(&b.1));
        match near {
            Some((at, far)) if far <= limit => {
                let (mean, count) = &mut leaders[at];
                *count += 1;
                if *count <= 60 {
                    let share = 1.0 / *count as f32;
                    for (mean, v) in mean.iter_mut().zip(patch(i)) {
                        *mean += share * (v - *mean);
                    }
                }
            }
            _ if leaders.len() < if grainy { 60 } else { 160 } => leaders.push((patch(i).clone(), 1)),
            _ => {}
        }
    }
    let means = joined(leaders, side, limit, cells.len(), manner);
    if means.len() <= 1 {
        return None;
    }
    let nearest = |i: usize| {
        let far = means.iter().map(|mean| unlike(patch(i), mean, side, 1.0)).zip(0_u8..);
        far.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))).map_or(0, |(_, at)| at)
    };
    Some((0..cells.len()).map(nearest).collect())
}

/// Leaders that are like one another joined, and those of too few squares taken by the nearest of many.
fn joined(mut leaders: Vec<(Patch, usize)>, side: usize, limit: f32, all: usize, manner: Manner) -> Vec<Patch> {
    let Manner { grainy, alone } = manner;
    leaders.sort_by_key(|(_, count)| core::cmp::Reverse(*count));
    let mut kept: Vec<(Patch, usize)> = Vec::new();
    for (patch, count) in leaders {
        let near = kept
            .iter()
            .map(|(other, _)| unlike(&patch, other, side, 1.0))
            .enumerate()
            .min_by(|a, b| a.1.total_cmp(&b.1));
        // One square alone says little: a line may have reached into it.
        let few = if grainy { count < 3 || count * 400 < all } else { count == 1 || count * 4_000 < all };
        let alike = match near {
            None => None,
            Some((at, far)) => {
                let close = if few { far < 1.7 * limit } else { far < 0.8 * limit } || (!alone && far < PLAINLY);
                // In a grainy picture what few squares show may be anything, so it has to be plain.
                (close || (grainy && few && far < 0.6)).then_some(at)
            }
        };
        match alike {
            Some(at) => kept[at].1 += count,
            None => kept.push((patch, count)),
        }
    }
    kept.truncate(48);
    kept.into_iter().map(|(patch, _)| patch).collect()
}

/// How far squares of one symbol are apart: each to the nearest of some others.
fn grain(looked: &Looked, cells: &[usize]) -> f32 {
    let step = (cells.len() / LEARNT_FROM).max(1);
    let some: Vec<usize> = cells.iter().copied().step_by(step).take(LEARNT_FROM).collect();
    let mut nearest: Vec<f32> = Vec::with_capacity(some.len());
    for (i, &one) in some.iter().enumerate() {
        let others = some.iter().enumerate().filter(|(j, _)| *j != i);
        let mut least = f32::INFINITY;
        for (_, &other) in others {
            least = least.min(unlike(&looked.patches[one], &looked.patches[other], looked.side, least));
        }
        if least.is_finite() {
            nearest.push(least);
        }
    }
    if nearest.is_empty() {
        return 0.0;
    }
    nearest.sort_by(f32::total_cmp);
    nearest[nearest.len() * 7 / 10]
}
