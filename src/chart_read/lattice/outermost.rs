//! The outermost squares of a chart on a screen, held against all others: figures beside a chart are like none of them, and
//! squares of the chart that were left out are.

use super::explained::{Drawn, EDGE, MAX_KINDS, PLACES, Shown, alike, in_light, middle_of, points, shown};
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
/// And how much more than usually within so many pixels.
const PLAIN_LINE: f64 = 0.3;
const AROUND_LINE: i64 = 7;
/// How far the outermost squares may be off, in pixels.
const MAX_OFF: i64 = 2;
/// And of a square's side.
const MAX_OFF_OF_SIDE: f64 = 0.12;
/// A square with no more inner places than this that are not of the paper is bare: its lines may reach into the others.
const DRAWN: usize = 1;
/// Inner places of a square.
const INNER: usize = (PLACES - 2) * (PLACES - 2);
/// The outermost squares may be so much narrower, and are so where they are more like others by so much.
const NARROW: f64 = 0.72;
const MORE_ALIKE: f64 = 0.2;
/// Places of one paper differ by no more.
const SAME: i16 = 22;
/// A lattice of fewer squares across or down is not bounded anew.
const LEAST_TO_BOUND: usize = 8;

/// What squares at a side are like.
struct Outer {
    beyond: Beyond,
    /// The share of the outermost that are like others of the chart, and most of what it is of lines next to them.
    outermost: f64,
    next: f64,
}

/// What lies beyond them, in squares of this share of the usual side.
struct Beyond {
    share: f64,
    /// The share that are like others and not of bare paper.
    alike: f64,
    /// And of those which are not of paper in half of their places.
    filled: f64,
}

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
                    let Outer { beyond: outside, outermost, next } = self.outer(lattice, turned, last);
                    let own = if last { lines[lines.len() - 1] } else { lines[0] };
                    let is_line = self.is_line(lattice, turned, own);
                    // Figures may be like letters in squares, but beyond a line there is another, or the picture ends.
                    let end = beyond(lines, last, outside.share);
                    let long = if turned { self.picture.height } else { self.picture.width } as f64;
                    let ends = end < NEAR_LINE as f64 || end > long - NEAR_LINE as f64;
                    let usual = (OF_THE_CHART * next.max(outermost)).max(0.5);
                    let is_bounded = !is_line || ends || self.is_line(lattice, turned, end) || outside.filled >= usual;
                    let lines = if turned { &mut lattice.ys } else { &mut lattice.xs };
                    if nth < MAX_TAKEN && outermost <= NOT_OF_THE_CHART && next >= OF_THE_CHART && !is_line {
                        if last {
                            lines.pop();
                        } else {
                            lines.remove(0);
                        }
                    } else if self.evenly_lit && is_bounded && outside.alike >= usual {
                        if last { lines.push(end) } else { lines.insert(0, end) }
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
            let Outer { beyond: outside, outermost, .. } = self.outer(lattice, turned, last);
            let own = if last { lines[lines.len() - 1] } else { lines[0] };
            let is_line = self.is_line(lattice, turned, own);
            let is_last_line = is_line && !self.is_line(lattice, turned, beyond(lines, last, 1.0));
            (outermost >= OF_THE_CHART || is_line) && (outside.alike <= NOT_OF_THE_CHART || is_last_line)
        })
    }

    /// Whether something is drawn in most of the outermost squares at each side.
    pub(super) fn are_outermost_marked(&self, lattice: &Lattice) -> bool {
        let SrgbPicture { width, height, .. } = *self.picture;
        let across = points(&lattice.xs, width, PLACES, self.fine);
        let down = points(&lattice.ys, height, PLACES, self.fine);
        let is_marked = |x: &[usize], y: &[usize]| {
            let shown = shown(&self.picture, x, y, self.fine);
            let ground = middle_of(&shown);
            shown.iter().any(|place| !place_is(place, &ground))
        };
        let most = |marked: usize, of: usize| marked as f64 >= OF_THE_CHART * of as f64;
        let (right, bottom) = (&across[across.len() - 1], &down[down.len() - 1]);
        [&across[0], right].into_iter().all(|x| most(down.iter().filter(|y| is_marked(x, y)).count(), down.len()))
            && [&down[0], bottom]
                .into_iter()
                .all(|y| most(across.iter().filter(|x| is_marked(x, y)).count(), across.len()))
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
        let whole = EDGE * (along.1 - along.0);
        if most < SEEN_LINE * whole || !self.evenly_lit {
            return most >= SEEN_LINE * whole;
        }
        // Around figures that were packed with loss there is grain everywhere.
        let mut around: Vec<f64> = (-AROUND_LINE..=AROUND_LINE).map(seen).collect();
        around.sort_by(f64::total_cmp);
        most >= around[around.len() / 2] + PLAIN_LINE * whole
    }

    /// What the squares at a side are like, and those beyond it.
    fn outer(&self, lattice: &Lattice, turned: bool, last: bool) -> Outer {
        let SrgbPicture { width, height, .. } = *self.picture;
        let (lines, long) = if turned { (&lattice.ys, height) } else { (&lattice.xs, width) };
        let end = lines.len() - 1;
        let side = (lines[end] - lines[0]) / end as f64;
        let (across, down) =
            (points(&lattice.xs, width, PLACES, self.fine), points(&lattice.ys, height, PLACES, self.fine));
        // Lines are not laid to the last pixel, and the last ones least.
        let moved = |points: &[usize], by: i64| -> Vec<usize> {
            points.iter().map(|at| (*at as i64 + by).clamp(0, long as i64 - 1) as usize).collect()
        };
        let squares = |points: &[usize]| -> Vec<Shown> {
            if turned {
                across.iter().map(|x| shown(&self.picture, x, points, self.fine)).collect()
            } else {
                down.iter().map(|y| shown(&self.picture, points, y, self.fine)).collect()
            }
        };
        let own = if turned { &down } else { &across };
        let nth = |nth: usize| if last { end - 1 - nth } else { nth };
        let mut kinds: Vec<Shown> = Vec::new();
        // Figures may fill several of the outermost lines, and be like each other.
        let inner = if end > 4 * MAX_TAKEN { MAX_TAKEN + 1 } else { 2 };
        // At the other side as well; in a camera's light every square says something.
        let far = if self.evenly_lit && inner > 2 { MAX_TAKEN } else { 0 };
        for square in (inner..end - far).flat_map(|inner| squares(&own[nth(inner)])) {
            if kinds.len() < MAX_KINDS && !kinds.iter().any(|kind| alike(kind, &square)) {
                kinds.push(square);
            }
        }
        let most = |points: &[usize], off: i64, is: &dyn Fn(&Shown) -> bool| {
            let share = |by: i64| {
                let squares = squares(&moved(points, by));
                squares.iter().filter(|square| is(square)).count() as f64 / squares.len() as f64
            };
            (-off..=off).map(share).fold(0.0, f64::max)
        };
        let is_known = |square: &Shown| kinds.iter().any(|kind| alike(kind, square));
        let paper = self.paper();
        let drawn = |square: &Shown| {
            let not_paper =
                |paper| (0..square.len()).filter(|at| is_inner(*at) && !place_is(&square[*at], &paper)).count();
            paper.map_or(INNER, not_paper)
        };
        let beyond = |share: f64| {
            let place = beyond(lines, last, share);
            let pair = if last { [lines[end], place] } else { [place, lines[0]] };
            let points = &points(&pair, long, PLACES, self.fine)[0];
            let off = ((MAX_OFF_OF_SIDE * side).round() as i64).min(MAX_OFF);
            // A narrow one has its end in the picture.
            let out = if share < 1.0 { 0.0 } else { 0.25 * side };
            let fits = place >= -out && place <= long as f64 + out;
            let most = |least: usize| {
                if fits { most(points, off, &|square| is_known(square) && drawn(square) > least) } else { 0.0 }
            };
            Beyond { share, alike: most(DRAWN), filled: most(INNER * 2 / 3) }
        };
        // A heavier line of the paper's colour eats into the squares before it.
        let (whole, narrow) = (beyond(1.0), beyond(NARROW));
        let beyond = if narrow.filled > whole.filled + MORE_ALIKE { narrow } else { whole };
        let known = |at: usize| most(&own[nth(at)], MAX_OFF, &is_known);
        let (outermost, next) = (known(0), (1..inner).map(known).fold(0.0, f64::max));
        Outer { beyond, outermost, next }
    }

    /// What the picture's corners show, if it is the same in all of them.
    pub(super) fn sheet(&self) -> Option<[u8; 3]> {
        let SrgbPicture { width, height, .. } = *self.picture;
        let corners = [(1, 1), (width - 2, 1), (1, height - 2), (width - 2, height - 2)];
        let [a, others @ ..] = corners.map(|(x, y)| self.picture.at(x, y));
        let light = |rgb: [u8; 3]| in_light(rgb.map(i32::from));
        others.iter().all(|other| place_is(&light(*other), &light(a))).then_some(a)
    }

    fn paper(&self) -> Option<[i16; 3]> {
        self.sheet().map(|rgb| in_light(rgb.map(i32::from)))
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
fn beyond(lines: &[f64], last: bool, share: f64) -> f64 {
    let end = lines.len() - 1;
    let side = share * (lines[end] - lines[0]) / end as f64;
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
        let width = picture.width;
        let mut strokes = |places: fn(usize) -> [usize; 2]| {
            for (row, y) in (0..14).flat_map(|row| (22..28).map(move |y| (row, row * 10 + y))) {
                for x in places(row) {
                    let at = (y * width + x) * 3;
                    picture.rgb[at..at + 3].copy_from_slice(&[30, 30, 30]);
                }
            }
            picture.clone()
        };
        // One stroke or two in each row, at places of their own.
        let whole = [20.0, 200.0, 20.0, 160.0];
        assert_eq!(bounded(&strokes(|row| [11 + row % 3, 14 + row % 5]), (10.0, 200.0), (20.0, 160.0)), whole);
        // Of two places, like each other.
        assert_eq!(bounded(&strokes(|row| [3 + row % 3, 6 + row % 2]), (0.0, 200.0), (20.0, 160.0)), whole);
    }

    #[test]
    fn filled_squares_beyond_a_line_are_added_and_narrow_ones_as_well() {
        // White lines on white paper, all around each square; a wider one has eaten into the last column and row.
        let mut picture = chart(18, 14);
        let (width, height) = (picture.width, picture.height);
        let marks = picture.rgb.as_chunks_mut::<3>().0.iter_mut().filter(|pixel| **pixel == [20; 3]);
        marks.for_each(|pixel| *pixel = [220, 200, 120]);
        for y in 20..height - 20 {
            for x in 20..width - 20 {
                if x % 10 == 0 || y % 10 == 0 || x >= 197 || y >= 157 {
                    let at = (y * width + x) * 3;
                    picture.rgb[at..at + 3].copy_from_slice(&[255; 3]);
                }
            }
        }
        let [left, right, top, bottom] = bounded(&picture, (20.0, 190.0), (20.0, 150.0));
        assert_eq!((left, top), (20.0, 20.0));
        assert!((196.0..=200.0).contains(&right) && (156.0..=160.0).contains(&bottom), "{right} {bottom}");
    }

    #[test]
    fn it_is_plain_where_a_chart_ends_unless_squares_are_left_out_or_are_none() {
        let picture = chart(18, 14);
        let is_bounded =
            |across: (f64, f64), down: (f64, f64)| Drawn::of(&picture).is_bounded(&lattice(across, down, 10.0));
        assert!(is_bounded((20.0, 200.0), (20.0, 160.0)));
        // A row too few, a column too few, a column of paper.
        assert!(!is_bounded((20.0, 200.0), (20.0, 150.0)));
        assert!(!is_bounded((30.0, 200.0), (20.0, 160.0)));
        assert!(!is_bounded((20.0, 210.0), (20.0, 160.0)));
        // Of so few nothing is known.
        assert!(!is_bounded((20.0, 80.0), (20.0, 160.0)));
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

    #[test]
    fn a_line_stands_out_from_grain_around_it_and_figures_do_not() {
        let mut picture = chart(18, 14);
        let squares = lattice((20.0, 200.0), (20.0, 160.0), 10.0);
        for y in 20..160 {
            picture.rgb[(y * picture.width + 205) * 3..][..3].copy_from_slice(&[60; 3]);
        }
        assert!(Drawn::of(&picture).is_line(&squares, false, 205.0));
        assert!(!Drawn::of(&picture).is_line(&squares, false, 12.0));
        // Strokes of figures here and there, and what packing leaves around them.
        let mut grainy = chart(18, 14);
        let mut chance = fastrand::Rng::with_seed(5);
        for y in 20..160 {
            for x in (2..19).filter(|_| chance.u8(0..3) == 0) {
                grainy.rgb[(y * grainy.width + x) * 3..][..3].copy_from_slice(&[150; 3]);
            }
        }
        assert!(!Drawn::of(&grainy).is_line(&squares, false, 10.0));
    }

    #[test]
    fn a_chart_fills_a_picture_where_its_outermost_squares_have_marks() {
        // A mark in every square, on two grounds.
        let marked = |margin: usize| {
            let (width, height) = (180 + 2 * margin, 140 + 2 * margin);
            let pixel = |at: usize| {
                let (x, y) = ((at % width).wrapping_sub(margin), (at / width).wrapping_sub(margin));
                match x < 180 && y < 140 {
                    true if (4..6).contains(&(x % 10)) && (3..7).contains(&(y % 10)) => [20; 3],
                    true if (x / 10 + y / 10) % 3 == 0 => [220, 200, 120],
                    true => [90, 160, 200],
                    false => [255; 3],
                }
            };
            SrgbPicture { width, height, rgb: (0..width * height).flat_map(pixel).collect() }
        };
        let are_marked = |picture: &SrgbPicture| {
            let squares = lattice((0.0, picture.width as f64), (0.0, picture.height as f64), 10.0);
            Drawn::of(picture).are_outermost_marked(&squares)
        };
        assert!(are_marked(&marked(0)) && !are_marked(&marked(20)));
    }
}
