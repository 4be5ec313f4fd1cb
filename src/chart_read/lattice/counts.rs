//! How many bare squares there are between two sides of a chart: the fewest whose sides are where its colours change.

use super::spread::SMALLEST;
use crate::chart_read::reading::MAX_SIDE;

/// Squares across or down, at least.
const LEAST: usize = 5;
/// How far a change may be from a side, in pixels, and of a square: scaling smears it.
const OFF: f64 = 1.2;
const OFF_OF_SIDE: f64 = 0.08;
/// Fewer squares are better where they leave no more unexplained than so much of what the best explain.
const NEARLY: f64 = 0.96;
/// Twice as many explain as much: both are tried.
const TRIED: usize = 2;

/// The likeliest numbers of squares between two places. `profile`: how much changes at each place.
pub(super) fn find(profile: &[f64], (first, last): (f64, f64)) -> Vec<usize> {
    let long = last - first;
    // The outermost sides are there whatever their number.
    let inside = (first + SMALLEST).ceil() as usize..((last - SMALLEST).max(0.0) as usize).min(profile.len());
    let all: f64 = profile[inside.clone()].iter().sum();
    if all <= 0.0 {
        return Vec::new();
    }
    let explained = |count: usize| {
        let side = long / count as f64;
        let off = OFF.max(OFF_OF_SIDE * side);
        let is_near = |x: &usize| {
            let at = (*x as f64 - first) / side;
            (at - at.round()).abs() * side <= off
        };
        let chance = (2.0 * off + 1.0) / side;
        let near = inside.clone().filter(is_near).map(|x| profile[x]).sum::<f64>() / all;
        (near - chance) / (1.0 - chance)
    };
    let most = ((long / SMALLEST) as usize).min(MAX_SIDE);
    let counts: Vec<(usize, f64)> = (LEAST..=most).map(|count| (count, explained(count))).collect();
    let best = counts.iter().map(|(_, explained)| *explained).fold(0.0, f64::max);
    counts
        .into_iter()
        .filter(|(_, explained)| *explained >= NEARLY * best)
        .map(|(count, _)| count)
        .take(TRIED)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn squares_are_as_few_as_put_a_side_at_every_change() {
        // Twelve squares of 11 pixels, whose colours change at some of their sides only.
        let mut profile = vec![0.0; 140];
        for side in [1, 2, 3, 5, 8, 9, 11] {
            profile[4 + 11 * side] = 30.0;
        }
        assert_eq!(find(&profile, (4.0, 136.0)), [12, 24]);
        // At every other side only: there are half as many, or as many.
        let mut even = vec![0.0; 140];
        [2, 4, 6, 8, 10].into_iter().for_each(|side| even[4 + 11 * side] = 30.0);
        assert_eq!(find(&even, (4.0, 136.0)), [6, 12]);
        assert_eq!(find(&vec![0.0; 140], (4.0, 136.0)), [0; 0]);
    }
}
