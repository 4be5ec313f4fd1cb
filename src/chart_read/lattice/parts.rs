//! Whether squares that have lines are halves or thirds of squares, or several as one: lines between squares are all seen as
//! plainly, and nothing half-way between them is.

use super::explained::{Drawn, EDGE};
use super::spread::{Lattice, between};

/// Lines between squares are seen at least so much as every other of them.
const UNEVEN: f64 = 0.75;
/// Lines are looked for so many pixels to each side.
const NEAR: i64 = 2;
/// Of fewer lines nothing is said.
const LEAST: usize = 8;

impl Drawn<'_> {
    /// Whether every other or every third line is seen much more than those between, across or down.
    pub(super) fn are_halves(&self, lattice: &Lattice) -> bool {
        let seen = |turned: bool| -> Vec<f64> {
            let lines = if turned { &lattice.ys } else { &lattice.xs };
            lines[1..lines.len() - 1].iter().map(|at| self.seen_near(lattice, turned, *at, NEAR)).collect()
        };
        let uneven = |seen: &[f64], step: usize| {
            let of: Vec<f64> = (0..step).map(|from| mean(seen.iter().skip(from).step_by(step))).collect();
            let (least, most) = (of.iter().copied().fold(f64::MAX, f64::min), of.iter().copied().fold(0.0, f64::max));
            least < UNEVEN * most
        };
        [false, true]
            .into_iter()
            .map(seen)
            .any(|seen| seen.len() >= LEAST && [2, 3].into_iter().any(|step| uneven(&seen, step)))
    }

    /// Whether lines are seen half-way between those of a lattice as well, across or down.
    pub(super) fn are_doubles(&self, lattice: &Lattice) -> bool {
        [(false, &lattice.xs), (true, &lattice.ys)].into_iter().any(|(turned, lines)| {
            let seen = |places: &[f64]| {
                mean(places.iter().map(|at| self.seen_near(lattice, turned, *at, NEAR)).collect::<Vec<f64>>().iter())
            };
            seen(&between(lines)) >= UNEVEN * seen(lines)
        })
    }

    /// How much of a line within so many pixels of this place is seen, of its length.
    fn seen_near(&self, lattice: &Lattice, turned: bool, at: f64, near: i64) -> f64 {
        let end = |lines: &[f64]| (lines[0], lines[lines.len() - 1]);
        let along = if turned { end(&lattice.xs) } else { end(&lattice.ys) };
        let seen = |by: i64| {
            let pixels = (at.round() + by as f64, at.round() + by as f64 + 1.0);
            let within = if turned { self.within(along, pixels) } else { self.within(pixels, along) };
            within / (EDGE * (along.1 - along.0))
        };
        (-near..=near).map(seen).fold(0.0, f64::max)
    }
}

fn mean<'a>(values: impl Iterator<Item = &'a f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0), |(sum, count), value| (sum + value, count + 1));
    sum / f64::from(count.max(1))
}

#[cfg(test)]
mod tests {
    use super::super::tests::lattice;
    use super::*;
    use crate::picture::SrgbPicture;

    #[test]
    fn lines_of_squares_are_seen_alike_and_those_of_their_halves_are_not() {
        let (width, height) = (480, 384);
        let pixel = |at: usize| {
            let (x, y) = (at % width, at / width);
            let (u, v) = (x % 24, y % 24);
            match (24..457).contains(&x) && (24..361).contains(&y) {
                true if u == 0 || v == 0 => [90; 3],
                true if (10..14).contains(&u) && (10..14).contains(&v) => [20; 3],
                true => [220, 200, 120],
                false => [255; 3],
            }
        };
        let picture = SrgbPicture { width, height, rgb: (0..width * height).flat_map(pixel).collect() };
        let drawn = Drawn::of(&picture);
        let squares = |side: f64| lattice((24.0, 456.0), (24.0, 360.0), side);
        assert!(!drawn.are_halves(&squares(24.0)) && !drawn.are_doubles(&squares(24.0)));
        assert!(drawn.are_halves(&squares(12.0)) && drawn.are_doubles(&squares(48.0)));
        let thirds = squares(8.0);
        assert!(drawn.are_halves(&thirds) && !drawn.are_doubles(&thirds));
    }
}
