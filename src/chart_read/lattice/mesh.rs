//! Bent lattices: paper that is not quite flat and lenses that are not quite straight. From the window where squares were
//! found the lattice grows outwards; at each step a smooth surface is laid through the edges found so far, and says where
//! to look for the next ones.

use super::spread::Guess;
use crate::chart_read::edges::Edges;
use crate::chart_read::light::solved;
use crate::chart_read::reading::MAX_SIDE;

/// Terms of a surface: products of powers up to three together.
const TERMS: usize = 10;
/// Surfaces through few places are simpler: those of the plane, and those of the second power.
const FEWER: [usize; 2] = [3, 6];
/// How far an edge may be from where it is expected, of a square's side.
const REACH: f64 = 0.34;
/// Most pixels of a square's side once it is even.
const LARGEST: f64 = 26.0;

/// Where corners of squares lie, by their column and row.
pub(in crate::chart_read) struct Mesh {
    x: Surface,
    y: Surface,
    /// First and one past the last column and row that lie in the picture.
    columns: (i64, i64),
    rows: (i64, i64),
    /// Pixels of a square's side that keep what the picture shows.
    pub(in crate::chart_read) square: usize,
    /// As of [`Guess`].
    pub(super) alike: f64,
}

#[derive(Clone, Debug)]
struct Surface {
    terms: [f64; TERMS],
    /// Columns and rows that count as one unit.
    unit: f64,
}

fn terms(u: f64, v: f64) -> [f64; TERMS] {
    [1.0, u, v, u * u, u * v, v * v, u * u * u, u * u * v, u * v * v, v * v * v]
}

impl Surface {
    fn at(&self, i: f64, j: f64) -> f64 {
        self.terms.iter().zip(terms(i / self.unit, j / self.unit)).map(|(a, b)| a * b).sum()
    }
}

/// A place of the lattice that was seen: where it is in pixels, across or down.
struct Place {
    i: f64,
    j: f64,
    at: f64,
    weight: f64,
}

pub(in crate::chart_read) fn follow(edges: &Edges, turned: &Edges, guess: Guess) -> Option<Mesh> {
    let (middle_x, middle_y) = guess.window.middle();
    let near = |first: f64, side: f64, middle: f64| first + ((middle - first) / side).round() * side;
    let (start_x, start_y) = (near(guess.first.0, guess.wide, middle_x), near(guess.first.1, guess.high, middle_y));
    let plane = |start: f64, across: f64, down: f64| {
        let mut terms = [0.0; TERMS];
        [terms[0], terms[1], terms[2]] = [start, across, down];
        Surface { terms, unit: 1.0 }
    };
    let mut x = plane(start_x, guess.wide, 0.0);
    let mut y = plane(start_y, 0.0, guess.high);
    let far = |middle: f64, long: usize, side: f64| middle.max(long as f64 - middle) / side;
    let most =
        far(middle_x, edges.width, guess.wide).max(far(middle_y, edges.height, guess.high)).min(1.2 * MAX_SIDE as f64);
    let side = guess.wide.min(guess.high);
    let mut reach = (0.25 * guess.window.wide() as f64 / guess.wide).clamp(4.0, 12.0);
    let mut last = 0;
    for step in 0.. {
        for _ in 0..2 {
            let fewer = FEWER.get(step).copied().unwrap_or(TERMS);
            let seen = |edges: &Edges, x: &Surface, y: &Surface| seen(edges, (x, y), reach, REACH * side);
            let upright = seen(edges, &x, &y);
            // The turned picture has rows for columns.
            let level = seen(turned, &y.turned(), &x.turned());
            let level: Vec<Place> = level.into_iter().map(|p| Place { i: p.j, j: p.i, ..p }).collect();
            (x, y) = (x.through(&upright, reach, fewer, side), y.through(&level, reach, fewer, side));
        }
        if last == 2 {
            break;
        }
        last += usize::from(reach >= most);
        reach = (1.3 * reach).min(most);
    }
    let range = |from: &dyn Fn(i64) -> bool| {
        let end =
            |by: i64| (1..=MAX_SIDE as i64 * 2).map(|i| i * by).find(|i| !from(*i)).unwrap_or(by * MAX_SIDE as i64);
        (end(-1) + 1, end(1))
    };
    let inside = |i: i64, j: i64| {
        let (u, v) = (x.at(i as f64, j as f64), y.at(i as f64, j as f64));
        u >= -1.0 && v >= -1.0 && u <= edges.width as f64 + 1.0 && v <= edges.height as f64 + 1.0
    };
    let (columns, rows) = (range(&|i| inside(i, 0)), range(&|j| inside(0, j)));
    let square = side.round().clamp(8.0, LARGEST) as usize;
    let mesh = Mesh { x, y, columns, rows, square, alike: guess.alike };
    let (wide, high) = mesh.size();
    (wide >= 8 * square && high >= 8 * square && wide * high <= 40_000_000).then_some(mesh)
}

impl Mesh {
    /// Pixels of the picture once its squares are even.
    pub(in crate::chart_read) fn size(&self) -> (usize, usize) {
        let side = |(from, to): (i64, i64)| (to - from).max(0) as usize * self.square;
        (side(self.columns), side(self.rows))
    }

    /// Where in the picture the corners of one row's upper side lie.
    pub(in crate::chart_read) fn corners(&self, row: usize) -> Vec<(f64, f64)> {
        let j = (self.rows.0 + row as i64) as f64;
        (self.columns.0..=self.columns.1).map(|i| (self.x.at(i as f64, j), self.y.at(i as f64, j))).collect()
    }
}

impl Surface {
    fn turned(&self) -> Surface {
        let [a, u, v, uu, uv, vv, uuu, uuv, uvv, vvv] = self.terms;
        Surface { terms: [a, v, u, vv, uv, uu, vvv, uvv, uuv, uuu], unit: self.unit }
    }

    /// The surface of so many terms nearest to these places; those that are far off it are left out.
    fn through(&self, places: &[Place], unit: f64, fewer: usize, side: f64) -> Surface {
        let mut found = self.clone();
        for round in 0..2 {
            let kept =
                places.iter().filter(|place| round == 0 || (found.at(place.i, place.j) - place.at).abs() < 0.2 * side);
            let kept: Vec<&Place> = kept.collect();
            if kept.len() < 2 * fewer {
                return found;
            }
            let most = kept.iter().map(|place| place.weight).fold(0.0, f64::max);
            let mut normal = vec![vec![0.0; fewer + 1]; fewer];
            for place in &kept {
                let terms = terms(place.i / unit, place.j / unit);
                let weight = place.weight / most;
                for (line, a) in normal.iter_mut().zip(terms) {
                    for (entry, b) in line.iter_mut().zip(terms[..fewer].iter().chain([&place.at])) {
                        *entry += weight * a * b;
                    }
                }
            }
            // Bent no more than has to be.
            for (i, line) in normal.iter_mut().enumerate().skip(3) {
                line[i] += 1e-3 * kept.len() as f64 * if i < 6 { 0.2 } else { 1.0 };
            }
            let Some(solved) = solved(normal) else { return found };
            let mut terms = [0.0; TERMS];
            terms[..fewer].copy_from_slice(&solved);
            found = Surface { terms, unit };
        }
        found
    }
}

/// Where upright lines are, patch by patch, up to so many columns and rows from the start.
fn seen(edges: &Edges, (x, y): (&Surface, &Surface), reach: f64, off: f64) -> Vec<Place> {
    const FINE: f64 = 3.0;
    let patch = (reach / 5.0).round().max(2.0) as i64;
    let most = reach as i64;
    let bins = (2.0 * off * FINE).ceil() as usize + 1;
    let mut places = Vec::new();
    let mut counts = vec![0.0_f64; bins];
    for row in (-most..most).step_by(patch as usize) {
        for column in (-most..=most).step_by(patch as usize) {
            let (mid_i, mid_j) = (column as f64 + (patch - 1) as f64 / 2.0, row as f64 + patch as f64 / 2.0);
            let (mid_x, mid_y) = (x.at(mid_i, mid_j), y.at(mid_i, mid_j));
            if mid_x < 0.0 || mid_y < 0.0 || mid_x > edges.width as f64 || mid_y > edges.height as f64 {
                continue;
            }
            counts.fill(0.0);
            let mut length = 0.0;
            for j in row..row + patch {
                for i in column..column + patch {
                    let (i, j) = (i as f64, j as f64);
                    let (a, b) = ((x.at(i, j), y.at(i, j)), (x.at(i, j + 1.0), y.at(i, j + 1.0)));
                    length += note(edges, a, b, off, FINE, &mut counts);
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
        let (left, right) = ((x - off).ceil().max(0.0) as usize, ((x + off).max(0.0) as usize + 1).min(edges.width));
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
