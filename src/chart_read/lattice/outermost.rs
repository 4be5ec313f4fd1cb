//! The outermost squares of a chart on a screen, held against all others: figures beside a chart are like none of them, and
//! squares of the chart that were left out are.

use super::explained::{Drawn, EDGE, MAX_KINDS, PLACES, Shown, alike, in_light, points, shown};
use super::spread::Lattice;
use crate::picture::SrgbPicture;

/// A line of squares is of the chart where so many of them are like others of the chart, of those that usually are.
const OF_THE_CHART: f64 = 0.7;
/// And it is not where so few are.
const NOT_OF_THE_CHART: f64 = 0.25;
/// Lines of squares that are taken away at a side, at most.
const MAX_TAKEN: usize = 3;
/// And those that are added.
const MAX_ADDED: usize = 12;
/// How far edges may be from the outermost line, in pixels, and how much of its length has to have some.
const NEAR_LINE: i64 = 3;
const SEEN_LINE: f64 = 0.75;
/// How far the outermost squares may be off, in pixels.
const MAX_OFF: i64 = 2;
/// And of a square's side.
const MAX_OFF_OF_SIDE: f64 = 0.12;
/// A square with no more inner places than this that are not of the paper is bare: its lines may reach into the others.
const DRAWN: usize = 1;
/// Places of one paper differ by no more.
const SAME: i16 = 22;
/// A lattice of fewer squares across or down is not bounded anew.
const LEAST_TO_BOUND: usize = 8;

impl Drawn<'_> {
    /// Takes outermost lines of squares away that are unlike all others, as figures beside a chart are, and adds those that
    /// are like them and not of bare paper.
    pub(super) fn bound(&self, lattice: &mut Lattice) {
        for turned in [false, true] {
            for last in [false, true] {
                for nth in 0..MAX_ADDED {
                    let lines = if turned { &lattice.ys } else { &lattice.xs };
                    if lines.len() <= LEAST_TO_BOUND {
                        break;
                    }
                    let [outside, outermost, next] = self.likeness(lattice, turned, last);
                    let own = if last { lines[lines.len() - 1] } else { lines[0] };
                    let is_line = self.is_line(lattice, turned, own);
                    // Figures may be like letters in squares, but beyond a line there is another, or the picture ends.
                    let end = beyond(lines, last);
                    let long = if turned { self.picture.height } else { self.picture.width } as f64;
                    let ends = end < NEAR_LINE as f64 || end > long - NEAR_LINE as f64;
                    let is_bounded = !is_line || ends || self.is_line(lattice, turned, end);
                    let lines = if turned { &mut lattice.ys } else { &mut lattice.xs };
                    if nth < MAX_TAKEN && outermost <= NOT_OF_THE_CHART && next >= OF_THE_CHART && !is_line {
                        if last {
                            lines.pop();
                        } else {
                            lines.remove(0);
                        }
                    } else if self.evenly_lit && is_bounded && outside >= (OF_THE_CHART * next.max(outermost)).max(0.5)
                    {
                        let beyond = beyond(lines, last);
                        if last { lines.push(beyond) } else { lines.insert(0, beyond) }
                    } else {
                        break;
                    }
                }
            }
        }
    }

    /// Whether it is plain on all four sides where the squares end: the outermost are like others, or have a line at their
    /// outer side, and those beyond are like none, or beyond the last line.
    pub(super) fn is_bounded(&self, lattice: &Lattice) -> bool {
        [(false, false), (false, true), (true, false), (true, true)].into_iter().all(|(turned, last)| {
            let lines = if turned { &lattice.ys } else { &lattice.xs };
            if lines.len() <= LEAST_TO_BOUND {
                return false;
            }
            let [outside, outermost, _] = self.likeness(lattice, turned, last);
            let own = if last { lines[lines.len() - 1] } else { lines[0] };
            let is_line = self.is_line(lattice, turned, own);
            let is_last_line = is_line && !self.is_line(lattice, turned, beyond(lines, last));
            (outermost >= OF_THE_CHART || is_line) && (outside <= NOT_OF_THE_CHART || is_last_line)
        })
    }

    /// Whether a line at this place is seen from end to end.
    fn is_line(&self, lattice: &Lattice, turned: bool, at: f64) -> bool {
        let end = |lines: &[f64]| (lines[0], lines[lines.len() - 1]);
        let (xs, ys) = (&lattice.xs[..], &lattice.ys[..]);
        let along = if turned { end(xs) } else { end(ys) };
        // Strokes of figures stand in a line too, but in no one line of pixels.
        let seen = |by: i64| {
            let pixels = (at.round() + by as f64, at.round() + by as f64 + 1.0);
            if turned { self.within(along, pixels) } else { self.within(pixels, along) }
        };
        let most = (-NEAR_LINE..=NEAR_LINE).map(seen).fold(0.0, f64::max);
        most >= EDGE * SEEN_LINE * (along.1 - along.0)
    }

    /// The share of squares that are like others of the chart: of the line of squares beyond a side, of the outermost line and
    /// of that next to it.
    fn likeness(&self, lattice: &Lattice, turned: bool, last: bool) -> [f64; 3] {
        let (mut xs, mut ys) = (lattice.xs.clone(), lattice.ys.clone());
        let SrgbPicture { width, height, .. } = *self.picture;
        let (lines, long) = if turned { (&mut ys, height) } else { (&mut xs, width) };
        let side = (lines[lines.len() - 1] - lines[0]) / (lines.len() - 1) as f64;
        let beyond = beyond(lines, last);
        let fits = beyond >= -0.25 * side && beyond <= long as f64 + 0.25 * side;
        if last {
            lines.push(beyond);
        } else {
            lines.insert(0, beyond);
        }
        let (across, down) = (points(&xs, width, PLACES, self.fine), points(&ys, height, PLACES, self.fine));
        let count = if turned { down.len() } else { across.len() };
        // Lines are not laid to the last pixel, and the last ones least.
        let moved = |points: &[usize], by: i64, long: usize| -> Vec<usize> {
            points.iter().map(|at| (*at as i64 + by).clamp(0, long as i64 - 1) as usize).collect()
        };
        let line = |nth: usize, by: i64| -> Vec<Shown> {
            let at = if last { count - 1 - nth } else { nth };
            if turned {
                let y = moved(&down[at], by, height);
                across.iter().map(|x| shown(&self.picture, x, &y, self.fine)).collect()
            } else {
                let x = moved(&across[at], by, width);
                down.iter().map(|y| shown(&self.picture, &x, y, self.fine)).collect()
            }
        };
        let mut kinds: Vec<Shown> = Vec::new();
        for own in (3..count).flat_map(|nth| line(nth, 0)) {
            if kinds.len() < MAX_KINDS && !kinds.iter().any(|kind| alike(kind, &own)) {
                kinds.push(own);
            }
        }
        let paper = self.paper();
        [0, 1, 2].map(|nth| {
            let is = |own: &&Shown| {
                let drawn = || {
                    paper.is_none_or(|paper| {
                        (0..own.len()).filter(|&at| is_inner(at) && !place_is(&own[at], &paper)).count() > DRAWN
                    })
                };
                kinds.iter().any(|kind| alike(kind, own)) && (nth > 0 || drawn())
            };
            let share = |by: i64| {
                let squares = line(nth, by);
                squares.iter().filter(is).count() as f64 / squares.len() as f64
            };
            let off = if nth == 0 { ((MAX_OFF_OF_SIDE * side).round() as i64).min(MAX_OFF) } else { MAX_OFF };
            let most = (-off..=off).map(share).fold(0.0, f64::max);
            if nth == 0 && !fits { 0.0 } else { most }
        })
    }

    /// What the picture's corners show, if it is the same in all of them.
    fn paper(&self) -> Option<[i16; 3]> {
        let SrgbPicture { width, height, .. } = *self.picture;
        let corners = [(1, 1), (width - 2, 1), (1, height - 2), (width - 2, height - 2)];
        let [a, others @ ..] = corners.map(|(x, y)| in_light(self.picture.at(x, y).map(i32::from)));
        others.iter().all(|other| place_is(other, &a)).then_some(a)
    }
}

/// Whether a place of a square is none of the outermost.
fn is_inner(at: usize) -> bool {
    (1..PLACES - 1).contains(&(at % PLACES)) && (1..PLACES - 1).contains(&(at / PLACES))
}

/// Whether two places show the same, as paper does that is not quite even.
fn place_is(a: &[i16; 3], b: &[i16; 3]) -> bool {
    (0..3).all(|c| (a[c] - b[c]).abs() <= SAME)
}

/// The next line beyond the first or the last.
fn beyond(lines: &[f64], last: bool) -> f64 {
    let end = lines.len() - 1;
    let side = (lines[end] - lines[0]) / end as f64;
    if last { lines[end] + side } else { lines[0] - side }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{chart, lattice};
    use super::*;

    /// Lines of a lattice once its outermost squares were held against the others.
    fn bounded(picture: &SrgbPicture, across: (f64, f64), down: (f64, f64)) -> [f64; 4] {
        let mut lattice = lattice(across, down, 10.0);
        Drawn::of(picture).bound(&mut lattice);
        let (xs, ys) = (&lattice.xs, &lattice.ys);
        [xs[0], xs[xs.len() - 1], ys[0], ys[ys.len() - 1]]
    }

    #[test]
    fn squares_that_were_left_out_are_added_and_bare_paper_is_not() {
        let picture = chart(18, 14);
        let whole = [20.0, 200.0, 20.0, 160.0];
        assert_eq!(bounded(&picture, (20.0, 200.0), (20.0, 160.0)), whole);
        assert_eq!(bounded(&picture, (30.0, 200.0), (20.0, 150.0)), whole);
        assert_eq!(bounded(&picture, (20.0, 180.0), (40.0, 160.0)), whole);
    }

    #[test]
    fn figures_beside_a_chart_are_taken_away() {
        let mut picture = chart(18, 14);
        // One stroke or two in each row, at places of their own.
        for row in 0..14 {
            for y in 22..28 {
                for x in [11 + row % 3, 14 + row % 5] {
                    let at = ((row * 10 + y) * picture.width + x) * 3;
                    picture.rgb[at..at + 3].copy_from_slice(&[30, 30, 30]);
                }
            }
        }
        assert_eq!(bounded(&picture, (10.0, 200.0), (20.0, 160.0)), [20.0, 200.0, 20.0, 160.0]);
    }

    #[test]
    fn an_outermost_column_behind_a_line_stays_whatever_is_in_it() {
        let mut picture = chart(18, 14);
        // A yarn that is tied nowhere else, with marks of its own, bounded by the chart's edge.
        for y in 20..160 {
            for x in 190..200 {
                let at = (y * picture.width + x) * 3;
                let colour = if (x + y / 3) % 4 < 2 { [90, 200, 90] } else { [10, 60, 10] };
                picture.rgb[at..at + 3].copy_from_slice(&colour);
            }
        }
        assert_eq!(bounded(&picture, (20.0, 200.0), (20.0, 160.0)), [20.0, 200.0, 20.0, 160.0]);
    }
}
