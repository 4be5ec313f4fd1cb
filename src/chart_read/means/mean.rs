//! The mean of some squares; how far a square is from one, and whether two of them show two kinds.

use super::cut::Cut;
use core::ops::Range;

/// Squares of one kind differ by so many levels at least.
const LEAST_NOISE: f32 = 4.0;
/// A place counts for so much at most, in squares of noise.
const MOST_OF_ONE: f32 = 60.0;
/// Kinds that differ at some spot by so many levels are two: more where squares of a kind differ more.
const SPOT: [f32; 2] = [10.0, 34.0];
/// And more where what is drawn is strong, as it may lie a part of a pixel beside.
const SPOT_OF_INK: f32 = 0.15;
/// But not by more than this share of what is drawn, which is that from so many levels on.
const MOST_OF_INK: f32 = 0.2;
const DRAWN: f32 = 60.0;
/// Kinds that differ on the whole by so many levels are two: more where squares of a kind differ more.
const WHOLE: [f32; 2] = [3.0, 11.0];
/// Noise of one place is at most so many times that of half of all places, in squares.
const AT_ONE_PLACE: f32 = 6.0;
/// So many levels are added for each by which squares differ more than the least.
const BY_NOISE: f32 = 3.0;
/// Of few squares the mean itself has noise.
const OF_FEW: f32 = 0.8;

/// By place, of all squares in which no line takes it.
#[derive(Clone)]
pub(super) struct Mean {
    values: Vec<f32>,
    /// How many squares those are.
    counts: Vec<f32>,
    pub(super) squares: usize,
}

/// How much squares differ that are of one kind.
pub(super) struct Noise {
    /// By place: one over the square of it.
    weights: Vec<f32>,
    /// Kinds that differ by more levels at some spot are two.
    spot: f32,
    /// Kinds that differ by more levels on the whole are two.
    whole: f32,
}

/// Values that are reckoned with at once.
const LANES: usize = 4;

/// How far a square is from a mean at the places that were looked at.
#[derive(Default)]
struct Off {
    sums: [f32; LANES],
    /// Places that the mean knows.
    counts: [f32; LANES],
}

/// Values for all lanes, time and again, and those that are left over.
fn in_lanes<T>(values: &[T]) -> (&[[T; LANES]], &[T]) {
    values.as_chunks()
}

impl Off {
    fn sum(&self) -> f32 {
        self.sums.iter().sum()
    }

    fn count(&self) -> f32 {
        self.counts.iter().sum()
    }
}

impl Mean {
    pub(super) fn of(cut: &Cut, cells: &[usize]) -> Mean {
        let mut mean = Mean { values: vec![0.0; cut.size()], counts: vec![0.0; cut.size()], squares: cells.len() };
        for &cell in cells {
            let square = cut.square(cell);
            for places in cut.free(cell) {
                let sums = mean.values[places.clone()].iter_mut().zip(&mut mean.counts[places.clone()]);
                for ((sum, count), value) in sums.zip(&square[places]) {
                    *sum += f32::from(*value);
                    *count += 1.0;
                }
            }
        }
        for (value, count) in mean.values.iter_mut().zip(&mean.counts) {
            if *count > 0.0 {
                *value /= count;
            }
        }
        mean
    }

    /// How far a square is, in squares of noise a place; endless where it is farther than `enough`.
    pub(super) fn far(&self, cut: &Cut, cell: usize, noise: &Noise, enough: f32) -> f32 {
        let square = cut.square(cell);
        let all = cut.free_count(cell) as f32;
        let mut off = Off::default();
        for places in cut.free(cell) {
            self.add(&mut off, places, square, noise);
            if off.sum() > enough * all {
                return f32::INFINITY;
            }
        }
        let count = off.count();
        if count < 1.0 { f32::INFINITY } else { off.sum() / count }
    }

    /// How far a square is from the first mean to the second: 0 to 1.
    pub(super) fn between(means: [&Mean; 2], cut: &Cut, cell: usize, noise: &Noise) -> f32 {
        let square = cut.square(cell);
        let (mut along, mut whole) = (0.0, 0.0);
        for place in cut.free(cell).flatten().filter(|&i| means.iter().all(|mean| mean.counts[i] > 0.0)) {
            let step = means[1].values[place] - means[0].values[place];
            let weighed = step * noise.weights[place];
            along += (f32::from(square[place]) - means[0].values[place]) * weighed;
            whole += step * weighed;
        }
        if whole > 0.0 { along / whole } else { 0.0 }
    }

    /// The same of a square that was cut anew: the sum of all places.
    pub(super) fn far_from(&self, cut: &Cut, cell: usize, values: &[u8], noise: &Noise) -> f32 {
        let mut off = Off::default();
        cut.free(cell).for_each(|places| self.add(&mut off, places, values, noise));
        off.sum()
    }

    /// How far a square is at some places.
    fn add(&self, off: &mut Off, places: Range<usize>, square: &[u8], noise: &Noise) {
        let (own, counts) = (in_lanes(&self.values[places.clone()]), in_lanes(&self.counts[places.clone()]));
        let (values, weights) = (in_lanes(&square[places.clone()]), in_lanes(&noise.weights[places]));
        let far = |value: u8, own: f32, count: f32, weight: f32| -> (f32, f32) {
            let known = if count > 0.0 { 1.0 } else { 0.0 };
            let off = f32::from(value) - own;
            let far = off * off * weight;
            (known * if far < MOST_OF_ONE { far } else { MOST_OF_ONE }, known)
        };
        for (((values, own), counts), weights) in values.0.iter().zip(own.0).zip(counts.0).zip(weights.0) {
            for lane in 0..LANES {
                let (far, known) = far(values[lane], own[lane], counts[lane], weights[lane]);
                off.sums[lane] += far;
                off.counts[lane] += known;
            }
        }
        for (((value, own), count), weight) in values.1.iter().zip(own.1).zip(counts.1).zip(weights.1) {
            let (far, known) = far(*value, *own, *count, *weight);
            off.sums[0] += far;
            off.counts[0] += known;
        }
    }

    /// Whether two means differ on the whole, and not by what is drawn alone.
    pub(super) fn is_of_other_ground(&self, other: &Mean, side: usize, noise: &Noise) -> bool {
        let whole = (0..3).map(|channel| self.whole(other, side, channel)).map(|off| off * off).sum();
        libm::sqrtf(whole) > noise.whole * self.more(other)
    }

    /// How much more two means may differ than those of many squares.
    fn more(&self, other: &Mean) -> f32 {
        1.0 + OF_FEW / self.squares.min(other.squares) as f32
    }

    /// Whether two means are those of two kinds.
    pub(super) fn is_apart(&self, other: &Mean, side: usize, noise: &Noise) -> bool {
        if self.is_of_other_ground(other, side, noise) {
            return true;
        }
        // What is drawn may lie a little beside.
        let (mut at, mut best) = ((0.0, 0.0), self.beside(other, side, (0.0, 0.0)));
        for step in [1.0, 1.0, 0.5, 0.25] {
            let from: (f32, f32) = at;
            for i in 0..9 {
                let by = (from.0 + step * (i % 3 - 1) as f32, from.1 + step * (i / 3 - 1) as f32);
                let off = self.beside(other, side, by);
                if off.0 < 0.9 * best.0 && by.0.abs().max(by.1.abs()) <= side as f32 / 8.0 {
                    (best, at) = (off, by);
                }
            }
        }
        let ink = self.range(side).max(other.range(side));
        let by_noise = if ink > DRAWN { noise.spot.min(MOST_OF_INK * ink) } else { noise.spot };
        best.1 > self.more(other) * by_noise.max(SPOT_OF_INK * ink)
    }

    /// Whether something is drawn in the squares.
    pub(super) fn is_drawn(&self, side: usize) -> bool {
        self.range(side) > DRAWN
    }

    /// By how much half of all places differ in a channel, or more.
    fn whole(&self, other: &Mean, side: usize, channel: usize) -> f32 {
        let places = channel * side * side..(channel + 1) * side * side;
        let both = places.filter(|&i| self.counts[i] > 0.0 && other.counts[i] > 0.0);
        let mut off: Vec<f32> = both.map(|i| self.values[i] - other.values[i]).collect();
        let half = off.len() / 2;
        if off.is_empty() { 0.0 } else { *off.select_nth_unstable_by(half, f32::total_cmp).1 }
    }

    /// How far it is from the darkest place to the lightest.
    fn range(&self, side: usize) -> f32 {
        let free = || (0..side * side).filter(|&i| self.counts[i] > 0.0).map(|i| self.values[i]);
        (free().fold(0.0, f32::max) - free().fold(255.0, f32::min)).max(0.0)
    }

    /// How far light is apart, the other moved by so many places: a place on the whole, and at the spot of two places by
    /// two where it differs most.
    fn beside(&self, other: &Mean, side: usize, by: (f32, f32)) -> (f32, f32) {
        let off: Vec<Option<f32>> = (0..side * side)
            .map(|i| {
                let moved = other.light(side, (i % side) as f32 + by.0, (i / side) as f32 + by.1);
                moved.filter(|_| self.counts[i] > 0.0).map(|moved| self.values[i] - moved)
            })
            .collect();
        let both = (0..side * side).filter(|&i| self.counts[i] > 0.0 && other.counts[i] > 0.0).count();
        let count = off.iter().flatten().count();
        // Of the little that is left when most is moved out nothing can be said.
        if 5 * count < 3 * both {
            return (f32::INFINITY, f32::INFINITY);
        }
        let spot = |at: usize| {
            let four = [at, at + 1, at + side, at + side + 1].map(|i| off[i]);
            four.into_iter().try_fold(0.0, |sum, v| v.map(|v| sum + v / 4.0)).map_or(0.0, f32::abs)
        };
        let spots = (0..side - 1).flat_map(|y| (0..side - 1).map(move |x| y * side + x)).map(spot);
        let sum: f32 = off.iter().flatten().map(|v| v.abs()).sum();
        (sum / count.max(1) as f32, spots.fold(0.0, f32::max))
    }

    /// The light between places. `None`: lines take it, or it is outside.
    fn light(&self, side: usize, x: f32, y: f32) -> Option<f32> {
        let (left, top) = (libm::floorf(x), libm::floorf(y));
        let (s, t) = (x - left, y - top);
        let shares = [(0, 0, (1.0 - s) * (1.0 - t)), (1, 0, s * (1.0 - t)), (0, 1, (1.0 - s) * t), (1, 1, s * t)];
        shares.into_iter().filter(|(.., share)| *share > 0.0).try_fold(0.0, |sum, (dx, dy, share)| {
            let (x, y) = (usize::try_from(left as i32 + dx).ok()?, usize::try_from(top as i32 + dy).ok()?);
            let i = y * side + x;
            let inside = x < side && y < side && self.counts[i] > 0.0;
            inside.then(|| sum + share * self.values[i])
        })
    }
}

impl Noise {
    /// `of`: the kind of each square, by its place in `means`.
    pub(super) fn of(cut: &Cut, of: &[u8], means: &[Mean]) -> Noise {
        /// Noise before any was measured, and how much of it a place may add once some was.
        const FIRST: f32 = 400.0;
        const MOST: f32 = 9.0;
        let mut usual = vec![FIRST; cut.size()];
        for round in 0..3 {
            let (mut sums, mut counts) = (vec![0.0_f64; cut.size()], vec![0.0_f64; cut.size()]);
            for (cell, &kind) in of.iter().enumerate() {
                let mean = &means[usize::from(kind)];
                // From the mean of two squares both are as far.
                if mean.squares < 3 {
                    continue;
                }
                let square = cut.square(cell);
                let most = if round == 0 { f32::INFINITY } else { MOST };
                for places in cut.free(cell) {
                    let sums = sums[places.clone()].iter_mut().zip(&mut counts[places.clone()]);
                    let known = mean.values[places.clone()].iter().zip(&usual[places.clone()]);
                    for (((sum, count), (mean, usual)), value) in sums.zip(known).zip(&square[places]) {
                        let off = f32::from(*value) - mean;
                        *sum += f64::from((off * off).min(most * usual));
                        *count += 1.0;
                    }
                }
            }
            for (usual, (sum, count)) in usual.iter_mut().zip(sums.iter().zip(&counts)) {
                *usual = ((sum / count.max(1.0)) as f32).max(LEAST_NOISE * LEAST_NOISE);
            }
            // Where squares of one kind differ far more than elsewhere, two kinds were taken for one.
            for channel in usual.chunks_exact_mut(cut.side * cut.side) {
                let mut sorted = channel.to_vec();
                sorted.sort_by(f32::total_cmp);
                let most = AT_ONE_PLACE * sorted[sorted.len() / 2];
                channel.iter_mut().for_each(|usual| *usual = usual.min(most));
            }
        }
        let over = |places: usize| {
            let mut levels: Vec<f32> = usual[..places].iter().map(|v| libm::sqrtf(*v)).collect();
            levels.sort_by(f32::total_cmp);
            BY_NOISE * (levels[levels.len() * 3 / 4] - LEAST_NOISE)
        };
        let within = |[least, most]: [f32; 2], over: f32| (least + over).min(most);
        let light = cut.side * cut.side;
        let (spot, whole) = (within(SPOT, over(light)), within(WHOLE, over(cut.size())));
        Noise { weights: usual.into_iter().map(|v| 1.0 / v).collect(), spot, whole }
    }
}
