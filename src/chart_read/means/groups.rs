//! Whether squares stand in two groups by all that is drawn in them together. On bare paper, where nothing else tells, marks
//! of few pixels differ by little anywhere, and plainly on the whole.

use super::cut::Cut;
use super::mean::{Mean, Noise};

/// Middles of groups are so many times as far apart as squares of one lie from its own.
const APART: f32 = 6.0;
/// In groups of so few squares each is held against the mean of the others: its own would be drawn towards it.
const FEW: usize = 30;
/// Of squares that lie between pixels as those of the smaller group do, so many are of the larger: else it is where they lie
/// that tells them.
const MIXED: f32 = 0.2;
/// So many pixels apart, without whole ones, squares lie between pixels alike.
const ALIKE: f64 = 0.17;
/// What JPEG packs together (ITU-T T.81, A.1.1: blocks of 8 x 8), and so many pixels apart in it squares lie alike.
const BLOCK: f64 = 8.0;
const ALIKE_IN_BLOCK: f64 = 1.0;
/// So many squares of a group are looked at for that.
const MOST_LOOKED_AT: usize = 300;

/// Whether these squares, whose means are given, are of two groups.
pub(super) fn stand_apart(cut: &Cut, noise: &Noise, cells: [&[usize]; 2], means: [&Mean; 2]) -> bool {
    if cells.iter().any(|cells| cells.len() < 2) || !are_mixed(cut, cells) {
        return false;
    }
    let along = |group: usize, at: usize| {
        let cell = cells[group][at];
        if cells[group].len() > FEW {
            return Mean::between(means, cut, cell, noise);
        }
        let others: Vec<usize> = cells[group].iter().copied().filter(|&other| other != cell).collect();
        let without = Mean::of(cut, &others);
        let means = if group == 0 { [&without, means[1]] } else { [means[0], &without] };
        Mean::between(means, cut, cell, noise)
    };
    let places: [Vec<f32>; 2] = [0, 1].map(|group| (0..cells[group].len()).map(|at| along(group, at)).collect());
    let middles = [0, 1].map(|group: usize| places[group].iter().sum::<f32>() / places[group].len() as f32);
    let off = |group: usize| places[group].iter().map(move |v| (v - middles[group]) * (v - middles[group]));
    let count = places.iter().map(Vec::len).sum::<usize>() as f32;
    let spread = libm::sqrtf(off(0).chain(off(1)).sum::<f32>() / (count - 2.0).max(1.0));
    middles[1] - middles[0] > APART * spread
}

/// Whether the larger of two groups has its share of the squares that lie as those of the smaller do: between pixels, and
/// where all lie on whole ones, in packing's blocks.
fn are_mixed(cut: &Cut, cells: [&[usize]; 2]) -> bool {
    let has_share = |whole: f64, most: f64| {
        let [few, many] = if cells[0].len() < cells[1].len() { cells } else { [cells[1], cells[0]] };
        let [few, many] = [few, many].map(|cells| {
            let step = cells.len().div_ceil(MOST_LOOKED_AT);
            (cells.iter().copied().step_by(step).collect::<Vec<usize>>(), step as f32)
        });
        let near = |cell: usize, (others, step): &(Vec<usize>, f32)| {
            let is_near = |other: &&usize| **other != cell && cut.apart_without(cell, **other, whole) <= most;
            step * others.iter().filter(is_near).count() as f32
        };
        let (mut shares, mut count) = (0.0, 0.0);
        for &cell in &few.0 {
            let (own, other) = (near(cell, &few), near(cell, &many));
            if own + other > 0.0 {
                shares += other / (own + other);
                count += 1.0;
            }
        }
        count > 0.0 && shares >= MIXED * count
    };
    has_share(1.0, ALIKE) && (!cut.is_on_whole_pixels() || has_share(BLOCK, ALIKE_IN_BLOCK))
}

#[cfg(test)]
mod tests;
