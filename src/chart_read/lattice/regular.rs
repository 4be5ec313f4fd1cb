//! Lines as they are drawn: all as far apart, but for every fifth or tenth, which is heavier and pushes those after it on by
//! the same each time. Lines that are followed one by one wander where strokes of symbols or the grain of packing lie near
//! them; those that are looked for all together do not.

use core::ops::Range;

/// As many lines tell how they are drawn.
const LEAST_LINES: i64 = 12;
/// Of more, only those in the middle are looked for in every way.
const MANY_LINES: i64 = 48;
/// Heavier lines are so many squares apart.
const HEAVIER: [i64; 2] = [5, 10];
/// And push others on by so many pixels.
const PUSHES: [f64; 6] = [0.5, 1.0, 1.5, 2.0, 2.5, 3.0];
/// They themselves are pushed on by such a part of that: they may grow to either side.
const OWN: [f64; 3] = [-0.5, 0.0, 0.5];
/// There are heavier ones where so much more is seen with them.
const MORE: f64 = 1.03;
/// How far the distance between lines may be off, of itself, and in how many steps to each side it is looked for.
const OFF: f64 = 0.024;
const STEPS: i32 = 24;
/// The same once they are known about.
const NEAR: f64 = 0.002;
const NEAR_STEPS: i32 = 4;
/// Places are tried so many pixels apart.
const PLACE: f64 = 0.5;
/// Most lines that were followed are no further off, of a square.
const NEAR_FOLLOWED: f64 = 0.25;
/// And so many pixels to each side once they are known about.
const NEAR_PLACE: i32 = 4;

/// A line may be so many pixels beside its place, where so much more is seen.
const BESIDE: f64 = 2.5;
const PLAINER: f64 = 1.6;
/// Parts of a pixel that are told apart, and how far edges may be from the middle of a line, in pixels.
const PARTS: f64 = 4.0;
const REACH: f64 = 2.5;

/// How lines are drawn.
#[derive(Clone, Copy)]
struct Drawing {
    /// A line in the middle of the picture.
    middle: f64,
    pace: f64,
    push: f64,
    /// From this line on, each that is a multiple of so many further is heavier.
    phase: i64,
    every: i64,
    /// The part of a push by which a heavier line is pushed on itself.
    own: f64,
}

/// All lines through a picture, as most is seen on them. `profile`: how much goes on at each place; `period`: about how far
/// lines are apart; `followed`: where they are one by one, of which most are about right. `None`: they are too few.
pub(super) fn lines(profile: &[f64], period: f64, followed: &[f64]) -> Option<Vec<f64>> {
    let seen = smeared(profile);
    let at = |place: f64| value(&seen, place);
    let middle = 0.5 * profile.len() as f64;
    let near = followed.iter().copied().min_by(|a, b| (a - middle).abs().total_cmp(&(b - middle).abs()))?;
    let places = near - NEAR_FOLLOWED * period..near + NEAR_FOLLOWED * period;
    let drawing = found(profile.len(), period, places, &|drawing, nth| at(drawing.at(nth)))?;
    Some(drawing.lines(profile.len()).map(|at| settled(at, &seen)).collect())
}

/// All lines through a picture, as most of what is drawn lies half-way between them and least on them. `ink`: how much is drawn
/// at each place.
pub(super) fn between(ink: &[f64], period: f64) -> Option<Vec<f64>> {
    let ink = smeared(ink);
    let at = |place: f64| value(&ink, place);
    let seen = |drawing: &Drawing, nth: i64| {
        let (line, next) = (drawing.at(nth), drawing.at(nth + 1));
        at(0.5 * (line + next)) - 2.0 * at(line)
    };
    let long = ink.len() / PARTS as usize;
    let middle = 0.5 * long as f64;
    Some(found(long, period, middle..middle + period, &seen)?.lines(long).collect())
}

/// The drawing of which most is seen. `places`: where one of its lines is; `seen`: how much, of its line of this number from
/// there.
fn found(long: usize, period: f64, places: Range<f64>, seen: &dyn Fn(&Drawing, i64) -> f64) -> Option<Drawing> {
    let long = long as f64;
    let count = (long / period) as i64;
    if count < LEAST_LINES {
        return None;
    }
    let half = count.min(MANY_LINES) / 2;
    let steps = ((places.end - places.start) / PLACE).ceil() as i32;
    let places = (0..=steps).map(|nth| places.start + f64::from(nth) * PLACE);
    let plain = places.flat_map(|middle| {
        paces(period, (OFF, STEPS)).map(move |pace| Drawing { middle, pace, push: 0.0, every: 1, phase: 0, own: 0.0 })
    });
    let plain = best(plain, seen, half)?;
    let heavier = HEAVIER.into_iter().flat_map(|every| (0..every).map(move |phase| (every, phase)));
    let ways = PUSHES.into_iter().flat_map(|push| OWN.map(|own| (push, own)));
    let heavier = heavier.flat_map(|heavier| ways.clone().map(move |way| (heavier, way))).flat_map(
        |((every, phase), (push, own))| {
            // Pushed lines are further apart in the mean.
            let (middle, pace) = (plain.0.middle, plain.0.pace - push / every as f64);
            around(Drawing { middle, pace, push, every, phase, own })
        },
    );
    let heavier = best(heavier, seen, half)?;
    let drawing = if heavier.1 > MORE * plain.1 { heavier.0 } else { plain.0 };
    // The more lines there are, the better it is known how far they are apart.
    Some(best(around(drawing), seen, count / 2 + 1)?.0)
}

impl Drawing {
    fn at(&self, nth: i64) -> f64 {
        let from = nth - self.phase;
        let own = if from.rem_euclid(self.every) == 0 { self.own } else { 1.0 };
        let pushes = from.div_euclid(self.every) as f64 + own;
        self.middle + self.pace * nth as f64 + self.push * pushes
    }

    /// All lines through a picture so long.
    fn lines(self, long: usize) -> impl Iterator<Item = f64> {
        let count = (long as f64 / self.pace) as i64;
        let (from, to) = (-0.3 * self.pace, long as f64 + 0.3 * self.pace);
        (-count..=count).map(move |nth| self.at(nth)).filter(move |at| (from..=to).contains(at))
    }
}

/// The drawing of which most is seen, of so many lines to each side of the middle, and how much that is.
fn best(
    drawings: impl Iterator<Item = Drawing>,
    seen: &dyn Fn(&Drawing, i64) -> f64,
    half: i64,
) -> Option<(Drawing, f64)> {
    let all = |drawing: Drawing| (drawing, (-half..=half).map(|nth| seen(&drawing, nth)).sum::<f64>());
    drawings.map(all).max_by(|a, b| a.1.total_cmp(&b.1))
}

/// A line that is plainly a little beside its place: outermost ones may be drawn in another way.
fn settled(at: f64, seen: &[f64]) -> f64 {
    let mass = |at: f64| value(seen, at);
    let parts = (BESIDE * PARTS) as i32;
    let near = (-parts..=parts).map(|by| at + f64::from(by) / PARTS);
    let plainest = near.max_by(|a, b| mass(*a).total_cmp(&mass(*b))).unwrap_or(at);
    if mass(plainest) > PLAINER * mass(at) { plainest } else { at }
}

/// What goes on at a place; nothing does outside the picture.
fn value(smeared: &[f64], place: f64) -> f64 {
    let part = PARTS * place + 0.5;
    if part < 0.0 { 0.0 } else { smeared.get(part as usize).copied().unwrap_or(0.0) }
}

/// Others that are nearly the same.
fn around(drawing: Drawing) -> impl Iterator<Item = Drawing> {
    (-NEAR_PLACE..=NEAR_PLACE).flat_map(move |by| {
        let middle = drawing.middle + f64::from(by) * PLACE;
        paces(drawing.pace, (NEAR, NEAR_STEPS)).map(move |pace| Drawing { middle, pace, ..drawing })
    })
}

fn paces(period: f64, (off, steps): (f64, i32)) -> impl Iterator<Item = f64> {
    (-steps..=steps).map(move |by| period * (1.0 + off * f64::from(by) / f64::from(steps)))
}

/// What goes on near each place, for parts of pixels: a line has two edges, and lies in their middle.
fn smeared(profile: &[f64]) -> Vec<f64> {
    let parts = PARTS as i64;
    let near = |part: i64| {
        let at = part as f64 / PARTS;
        let edges = (part / parts - REACH as i64..=part / parts + REACH as i64 + 1).filter_map(|x| {
            let edge = profile.get(usize::try_from(x).ok()?)?;
            let off = (x as f64 - at) / REACH;
            Some(edge * (1.0 - off * off).max(0.0))
        });
        edges.sum()
    };
    (0..profile.len() as i64 * parts).map(near).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lines 12 pixels apart, of which every tenth is heavier and pushes the others on by two.
    fn at(nth: usize) -> usize {
        12 + 12 * nth + 2 * (nth / 10)
    }

    #[test]
    fn lines_that_strokes_have_pushed_are_put_where_they_are_drawn() {
        let mut profile = vec![0.0; at(40) + 20];
        for nth in 0..=40 {
            // Both edges of a line, and of a stroke near it.
            (profile[at(nth)], profile[at(nth) + 1]) = (80.0, 70.0);
            if nth % 3 == 1 {
                (profile[at(nth) + 3], profile[at(nth) + 4]) = (75.0, 75.0);
            }
        }
        // Followed one by one: now on a line, now on a stroke.
        let followed: Vec<f64> = (0..=40).map(|nth| at(nth) as f64 + if nth % 3 == 1 { 3.5 } else { 0.5 }).collect();
        let found = lines(&profile, 12.0, &followed).expect("lines");
        let off = |nth: usize| {
            let place = at(nth) as f64 + 0.5;
            found.iter().map(|line| (line - place).abs()).fold(f64::INFINITY, f64::min)
        };
        let worst = (0..=40).map(off).fold(0.0, f64::max);
        assert!(worst <= 1.0, "{worst} {found:?}");
        assert_eq!(lines(&profile[..130], 12.0, &followed), None);
    }

    #[test]
    fn lines_that_are_not_drawn_are_half_way_between_marks() {
        let mut ink = vec![0.0; at(30) + 20];
        for nth in 0..30 {
            (at(nth) + 4..at(nth) + 9).for_each(|x| ink[x] = 9.0);
        }
        let found = between(&ink, 12.2).expect("lines");
        // One line in each gap, and none through a mark.
        for nth in 1..30 {
            let gap = (at(nth - 1) + 8) as f64..(at(nth) + 4) as f64;
            assert_eq!(found.iter().filter(|line| gap.contains(line)).count(), 1, "{nth} {found:?}");
        }
        let marked = |line: &f64| ink.get(line.max(0.0) as usize).is_some_and(|ink| *ink > 0.0);
        assert!(!found.iter().any(marked), "{found:?}");
    }
}
