//! Bent lattices: paper that is not quite flat and lenses that are not quite straight. From the window where squares were
//! found the lattice grows outwards; at each step a sheet is laid through the sides found so far, and says where to look for
//! the next ones.

use super::changes;
use super::inks;
use super::sheet::{Bend, Place, Sheet, TERMS};
use super::spread::{Guess, LEGIBLE, Lattice};
use crate::chart_read::edges::Edges;
use crate::chart_read::reading::MAX_SIDE;
use crate::picture::SrgbPicture;

/// How far an edge may be from where it is expected, of a square's side.
const REACH: f64 = 0.34;
/// While a mesh grows it is first a plane, and then bends little by little.
const GROWING: [Bend; 3] =
    [Bend { terms: 0, stiff: 0.0 }, Bend { terms: 6, stiff: 3e-3 }, Bend { terms: TERMS, stiff: 1e-3 }];
/// It grows by this at each step, and less where it is wide: there the sheet is bent by more of a square from step to step.
const QUICKLY: f64 = 1.25;
const SLOWLY: f64 = 1.12;
const WIDE: f64 = 24.0;
/// And freely once it is known where the chart is.
const GROWN: Bend = Bend { terms: TERMS, stiff: 1e-5 };
/// Edges count for so much where symbols have edges as well, of what changes of ground count.
const BESIDE_SYMBOLS: f64 = 0.3;
/// And middles of symbols for so much.
const IN_SQUARES: f64 = 0.5;
/// So many changes of ground say where sides are.
const LEAST_CHANGES: usize = 24;
/// Most pixels of a square's side once it is even.
const LARGEST: f64 = 26.0;

/// Where corners of squares lie, by their column and row.
pub(in crate::chart_read) struct Mesh {
    sheet: Sheet,
    /// First and one past the last column and row that lie in the picture.
    columns: (i64, i64),
    rows: (i64, i64),
    /// Pixels of a square's side that keep what the picture shows.
    pub(in crate::chart_read) square: usize,
    /// Pixels of a square across and down where it was found.
    sides: (f64, f64),
    /// As of [`Guess`].
    pub(super) alike: f64,
    by_edges: bool,
}

/// What a mesh is laid through.
#[derive(Clone, Copy)]
pub(in crate::chart_read) struct Seen<'a> {
    pub(in crate::chart_read) picture: &'a SrgbPicture,
    pub(in crate::chart_read) edges: &'a Edges,
    pub(in crate::chart_read) turned: &'a Edges,
}

impl Seen<'_> {
    /// Places of sides across and down, from first to one past the last column and row, edges patch by patch.
    fn places(
        &self,
        sheet: &Sheet,
        (columns, rows): ((i64, i64), (i64, i64)),
        patch: i64,
        (sides, edges): ((f64, f64), f64),
    ) -> (Vec<Place>, Vec<Place>) {
        let (mut across, mut down) = changes::places(self.picture, sheet, columns, rows);
        across.iter_mut().for_each(|place| place.weight *= sides.1);
        down.iter_mut().for_each(|place| place.weight *= sides.0);
        if edges < 1.0 {
            let (x, y) = inks::places(self.picture, sheet, columns, rows, IN_SQUARES * sides.0.min(sides.1));
            across.extend(x);
            down.extend(y);
        }
        if edges > 0.0 {
            let (near, turned) = ((REACH * sides.0, REACH * sides.1), sheet.turned());
            let upright = seen(self.edges, sheet, (columns, rows), patch, near.0);
            across.extend(upright.into_iter().map(|p| Place { weight: edges * p.weight, ..p }));
            // The turned picture has rows for columns.
            let level = seen(self.turned, &turned, (rows, columns), patch, near.1);
            down.extend(level.into_iter().map(|p| Place { i: p.j, j: p.i, weight: edges * p.weight, ..p }));
        }
        (across, down)
    }
}

pub(in crate::chart_read) fn follow(from: Seen<'_>, guess: Guess) -> Option<Mesh> {
    let edges = from.edges;
    let (middle_x, middle_y) = guess.window.middle();
    let near = |first: f64, side: f64, middle: f64| first + ((middle - first) / side).round() * side;
    let start = (near(guess.first.0, guess.wide, middle_x), near(guess.first.1, guess.high, middle_y));
    let sides = (guess.wide, guess.high);
    let mut sheet = Sheet::even(start, sides);
    let far = |middle: f64, long: usize, side: f64| middle.max(long as f64 - middle) / side;
    let most =
        far(middle_x, edges.width, guess.wide).max(far(middle_y, edges.height, guess.high)).min(1.2 * MAX_SIDE as f64);
    let mut reach = (0.25 * guess.window.wide() as f64 / guess.wide).clamp(4.0, 12.0);
    let mut last = 0;
    for step in 0.. {
        let bend = GROWING[(step / 2).min(GROWING.len() - 1)];
        let all = (-(reach as i64), reach as i64);
        let patch = (reach / 5.0).round().max(2.0) as i64;
        let weight = if !guess.by_edges {
            0.0
        } else if guess.alike > 0.0 {
            BESIDE_SYMBOLS
        } else {
            1.0
        };
        // Where it is still small it may be off by much.
        for _ in 0..if step < 4 || last > 0 { 2 } else { 1 } {
            let (across, down) = from.places(&sheet, (all, all), patch, (sides, weight));
            sheet = sheet.through(&across, &down, reach, sides, bend);
        }
        if last == 2 {
            break;
        }
        last += usize::from(reach >= most);
        reach = (if reach < WIDE { QUICKLY } else { SLOWLY } * reach).min(most);
    }
    let range = |from: &dyn Fn(i64) -> bool| {
        let end =
            |by: i64| (1..=MAX_SIDE as i64 * 2).map(|i| i * by).find(|i| !from(*i)).unwrap_or(by * MAX_SIDE as i64);
        (end(-1) + 1, end(1))
    };
    let inside = |i: i64, j: i64| {
        let (u, v) = sheet.at(i as f64, j as f64);
        u >= -1.0 && v >= -1.0 && u <= edges.width as f64 + 1.0 && v <= edges.height as f64 + 1.0
    };
    let (columns, rows) = (range(&|i| inside(i, 0)), range(&|j| inside(0, j)));
    let square = sides.0.min(sides.1).round().clamp(8.0, LARGEST) as usize;
    let mesh = Mesh { sheet, columns, rows, square, sides, alike: guess.alike, by_edges: guess.by_edges };
    let (wide, high) = mesh.size();
    (wide >= 8 * square && high >= 8 * square && wide * high <= 40_000_000).then_some(mesh)
}

impl Mesh {
    /// Pixels of the picture once its squares are even.
    pub(in crate::chart_read) fn size(&self) -> (usize, usize) {
        let side = |(from, to): (i64, i64)| (to - from).max(0) as usize * self.square;
        (side(self.columns), side(self.rows))
    }

    /// Whether a photograph can show what is in squares so large.
    pub(super) fn is_legible(&self) -> bool {
        self.sides.0.min(self.sides.1) >= LEGIBLE
    }

    /// Pixels of the picture across and down for one of the picture once its squares are even.
    pub(super) fn pixel(&self) -> (f64, f64) {
        (self.sides.0 / self.square as f64, self.sides.1 / self.square as f64)
    }

    /// The same, laid only through what is seen in a part of it. `lined`: lines are as good as changes of ground. First and one past the last column and row are counted from its own first.
    pub(in crate::chart_read) fn within(
        &self,
        from: Seen<'_>,
        (columns, rows): ((usize, usize), (usize, usize)),
        lined: bool,
    ) -> Mesh {
        let edges = if !self.by_edges {
            0.0
        } else if lined {
            1.0
        } else {
            BESIDE_SYMBOLS
        };
        let own = |first: i64, (from, to): (usize, usize)| (first + from as i64, first + to as i64);
        let (columns, rows) = (own(self.columns.0, columns), own(self.rows.0, rows));
        let unit = [columns.0, columns.1, rows.0, rows.1].map(i64::abs).into_iter().max().unwrap_or(1).max(1) as f64;
        let mut sheet = self.sheet.clone();
        let patch = ((columns.1 - columns.0).min(rows.1 - rows.0) / 8).clamp(2, 6);
        for _ in 0..3 {
            let (across, down) = from.places(&sheet, (columns, rows), patch, (self.sides, edges));
            sheet = sheet.through(&across, &down, unit, self.sides, GROWN);
        }
        let found = Mesh { sheet, ..*self };
        if found.is_even(columns, rows) { found } else { Mesh { sheet: self.sheet.clone(), ..*self } }
    }

    /// How far from the sides of squares their grounds change in the mean, across and down in squares, in a part of the mesh:
    /// strokes of symbols are not where sides are. `None`: they change too seldom.
    pub(in crate::chart_read) fn off(
        &self,
        picture: &SrgbPicture,
        (columns, rows): ((usize, usize), (usize, usize)),
    ) -> Option<(f64, f64)> {
        let own = |first: i64, (from, to): (usize, usize)| (first + from as i64, first + to as i64);
        let (columns, rows) = (own(self.columns.0, columns), own(self.rows.0, rows));
        let (across, down) = changes::places(picture, &self.sheet, columns, rows);
        let off = |places: Vec<Place>, turned: bool| {
            let by = |place: &Place| {
                let at = |i: f64, j: f64| {
                    let (x, y) = self.sheet.at(i, j);
                    if turned { y } else { x }
                };
                let (i, j) = (place.i, place.j);
                let side = if turned { at(i, j + 0.5) - at(i, j - 0.5) } else { at(i + 0.5, j) - at(i - 0.5, j) };
                ((place.at - at(i, j)) / side, place.weight)
            };
            middle(places.iter().map(by).collect())
        };
        Some((off(across, false)?, off(down, true)?))
    }

    /// Whether squares are about as large as their neighbours, everywhere.
    fn is_even(&self, columns: (i64, i64), rows: (i64, i64)) -> bool {
        let across = |i: f64, j: f64| self.sheet.at(i + 0.5, j).0 - self.sheet.at(i - 0.5, j).0;
        let down = |i: f64, j: f64| self.sheet.at(i, j + 0.5).1 - self.sheet.at(i, j - 0.5).1;
        let share = |(from, to): (i64, i64), nth: i32| from as f64 + (to - from) as f64 * f64::from(nth) / 8.0;
        (0..81).all(|nth| {
            let (i, j) = (share(columns, nth % 9), share(rows, nth / 9));
            let near = |side: f64, usual: f64| (0.6..1.6).contains(&(side / usual));
            near(across(i, j), self.sides.0) && near(down(i, j), self.sides.1)
        })
    }

    /// The columns and rows of a lattice in the picture that was made even by this mesh, and one around, from its own first.
    pub(in crate::chart_read) fn part(&self, lattice: &Lattice) -> ((usize, usize), (usize, usize)) {
        let part = |lines: &[f64]| {
            let place = |at: f64| (at / self.square as f64).round() as usize;
            (place(lines[0]).saturating_sub(1), place(lines[lines.len() - 1]) + 1)
        };
        (part(&lattice.xs), part(&lattice.ys))
    }

    /// Where in the picture the corners of one row's upper side lie.
    pub(in crate::chart_read) fn corners(&self, row: usize) -> Vec<(f64, f64)> {
        let j = (self.rows.0 + row as i64) as f64;
        (self.columns.0..=self.columns.1).map(|i| self.sheet.at(i as f64, j)).collect()
    }
}

/// The middle by weight. `None`: of too few to say.
fn middle(mut values: Vec<(f64, f64)>) -> Option<f64> {
    if values.len() < LEAST_CHANGES {
        return None;
    }
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = values.iter().map(|value| value.1).sum::<f64>() / 2.0;
    let mut seen = 0.0;
    values.into_iter().find_map(|(value, weight)| {
        seen += weight;
        (seen >= half).then_some(value)
    })
}

/// Where upright lines are, patch by patch, up to so many columns and rows from the start.
fn seen(edges: &Edges, sheet: &Sheet, (columns, rows): ((i64, i64), (i64, i64)), patch: i64, off: f64) -> Vec<Place> {
    const FINE: f64 = 3.0;
    let bins = (2.0 * off * FINE).ceil() as usize + 1;
    let mut places = Vec::new();
    let mut counts = vec![0.0_f64; bins];
    for row in (rows.0..rows.1).step_by(patch as usize) {
        for column in (columns.0..=columns.1).step_by(patch as usize) {
            let (last_i, last_j) = ((column + patch - 1).min(columns.1), (row + patch).min(rows.1));
            let (mid_i, mid_j) = ((column + last_i) as f64 / 2.0, (row + last_j) as f64 / 2.0);
            let (mid_x, mid_y) = sheet.at(mid_i, mid_j);
            if mid_x < 0.0 || mid_y < 0.0 || mid_x > edges.width as f64 || mid_y > edges.height as f64 {
                continue;
            }
            counts.fill(0.0);
            let mut length = 0.0;
            for j in row..(row + patch).min(rows.1) {
                for i in column..(column + patch).min(columns.1 + 1) {
                    let (i, j) = (i as f64, j as f64);
                    length += note(edges, sheet.at(i, j), sheet.at(i, j + 1.0), off, FINE, &mut counts);
                }
            }
            if let Some((by, weight)) = gathered(&counts, length, edges, off, FINE) {
                places.push(Place { i: mid_i, j: mid_j, at: mid_x + by, weight });
            }
        }
    }
    places
}

/// Counts edges by how far they are from the line from `a` down to `b`; how many pixels long it is.
fn note(edges: &Edges, a: (f64, f64), b: (f64, f64), off: f64, fine: f64, counts: &mut [f64]) -> f64 {
    let (from, to) = (a.1.ceil().max(0.0), b.1.min(edges.height as f64));
    if to <= from || a.0 < off || a.0 > edges.width as f64 - off {
        return 0.0;
    }
    for line in from as usize..to as usize {
        let x = a.0 + (line as f64 + 0.5 - a.1) / (b.1 - a.1) * (b.0 - a.0);
        let right = ((x + off).max(0.0) as usize + 1).min(edges.width);
        let left = ((x - off).ceil().max(0.0) as usize).min(right);
        for (at, _) in (left..right).zip(&edges.upright[line * edges.width + left..]).filter(|(_, edge)| **edge > 0) {
            if let Some(count) = counts.get_mut(((at as f64 - x + off) * fine) as usize) {
                *count += 1.0;
            }
        }
    }
    to - from
}

/// Where edges gather, off the middle, and how plainly. `None`: they lie anywhere.
fn gathered(counts: &[f64], length: f64, edges: &Edges, off: f64, fine: f64) -> Option<(f64, f64)> {
    let bins = counts.len();
    let window = (((1.4 + (edges.reach + edges.slack) as f64) * fine) as usize).clamp(1, (bins / 2).max(1));
    let all: f64 = counts.iter().sum();
    let sum = |from: usize| counts[from..from + window].iter().sum::<f64>();
    let best = (0..=bins - window).max_by(|&a, &b| sum(a).total_cmp(&sum(b)))?;
    let mass = sum(best);
    let middle = (best..best + window).map(|bin| counts[bin] * (bin as f64 + 0.5)).sum::<f64>() / mass.max(1e-9);
    // What would lie in the window if edges lay anywhere.
    let clear = mass - (all - mass) * window as f64 / (bins - window).max(1) as f64;
    (clear > 0.15 * length && length > 0.0).then(|| (middle / fine - off, clear))
}

#[cfg(test)]
mod tests {
    use super::super::spread::OFF;
    use super::*;
    use crate::chart_read::window::Window;

    /// Squares of 16 pixels from (8, 8) on, of grounds that change every few squares, each with an upright stroke at a
    /// quarter of it.
    fn picture() -> SrgbPicture {
        let (width, height) = (336, 304);
        let pixel = |at: usize| {
            let (x, y) = (at % width + 8, at / width + 8);
            let stroke = x % 16 == 4 && (2..14).contains(&(y % 16));
            let dark = (x / 32 + y / 48) % 2 == 0;
            if stroke {
                [20; 3]
            } else if dark {
                [60, 90, 170]
            } else {
                [190, 180, 90]
            }
        };
        SrgbPicture { width, height, rgb: (0..width * height).flat_map(pixel).collect() }
    }

    /// Followed from where they are, by changes of ground alone.
    fn followed(picture: &SrgbPicture) -> Mesh {
        let edges = Edges::soft(picture);
        let window = Window::whole(picture.width, picture.height);
        let guess = Guess { window, wide: 16.0, high: 16.0, first: (8.0, 8.0), seen: 0.5, alike: 0.5, by_edges: false };
        follow(Seen { picture, edges: &edges, turned: &edges.turned() }, guess).expect("a mesh")
    }

    #[test]
    fn how_far_sides_are_from_changes_of_ground_is_seen_and_then_mended() {
        let picture = picture();
        let all = |mesh: &Mesh| {
            let side = |(from, to): (i64, i64)| (0, (to - from) as usize);
            (side(mesh.columns), side(mesh.rows))
        };
        // Laid by hand through the strokes, a quarter of a square too far right.
        let sheet = Sheet::even((12.0, 8.0), (16.0, 16.0));
        let off = Mesh { sheet, columns: (0, 20), rows: (0, 18), ..followed(&picture) };
        let (across, down) = off.off(&picture, all(&off)).expect("changes");
        assert!((across + 0.25).abs() < 0.07 && down.abs() < 0.07, "{across} {down}");
        let right = followed(&picture);
        let (across, down) = right.off(&picture, all(&right)).expect("changes");
        assert!(across.abs() < OFF && down.abs() < OFF, "{across} {down}");
        // On one ground nothing is said.
        let plain = SrgbPicture { rgb: vec![90; 336 * 304 * 3], ..picture };
        assert_eq!(right.off(&plain, all(&right)), None);
    }
}
