//! Where corners of squares lie on a sheet that a camera saw: a plane in perspective, and smoothly bent a little.

use crate::chart_read::light::solved;

/// Terms of a bend: products of powers up to three together.
pub(super) const TERMS: usize = 10;

/// How far a place may be off, of a square's side, turn by turn, until it counts for nothing.
const OFF: [f64; 3] = [0.5, 0.3, 0.16];

fn terms(u: f64, v: f64) -> [f64; TERMS] {
    [1.0, u, v, u * u, u * v, v * v, u * u * u, u * u * v, u * v * v, v * v * v]
}

/// Columns and rows to pixels.
#[derive(Clone, Debug)]
pub(super) struct Sheet {
    /// (a i + b j + c) / w across, (d i + e j + f) / w down, w = g i + h j + 1; in columns and rows.
    plane: [f64; 8],
    /// What is added across and down.
    bends: [[f64; TERMS]; 2],
    /// Columns and rows that count as one unit in bends.
    unit: f64,
}

/// A place of the lattice that was seen: where it is in pixels, across or down.
#[derive(Clone, Debug)]
pub(super) struct Place {
    pub(super) i: f64,
    pub(super) j: f64,
    pub(super) at: f64,
    pub(super) weight: f64,
}

/// How a sheet may bend.
#[derive(Clone, Copy)]
pub(super) struct Bend {
    /// Terms that are used: 0, none; 6, those of the second power; 10, all.
    pub(super) terms: usize,
    /// How much it is kept from it.
    pub(super) stiff: f64,
}

impl Sheet {
    /// Squares all of one size.
    pub(super) fn even(first: (f64, f64), (wide, high): (f64, f64)) -> Sheet {
        Sheet { plane: [wide, 0.0, first.0, 0.0, high, first.1, 0.0, 0.0], bends: [[0.0; TERMS]; 2], unit: 1.0 }
    }

    pub(super) fn at(&self, i: f64, j: f64) -> (f64, f64) {
        let (x, y) = self.on_plane(i, j);
        let terms = terms(i / self.unit, j / self.unit);
        let by = |bend: &[f64; TERMS]| bend.iter().zip(terms).map(|(a, b)| a * b).sum::<f64>();
        (x + by(&self.bends[0]), y + by(&self.bends[1]))
    }

    fn on_plane(&self, i: f64, j: f64) -> (f64, f64) {
        let [a, b, c, d, e, f, g, h] = self.plane;
        // Beyond the horizon there is nothing; far outside every picture.
        let w = (g * i + h * j + 1.0).max(0.05);
        ((a * i + b * j + c) / w, (d * i + e * j + f) / w)
    }

    /// With columns for rows and across for down.
    pub(super) fn turned(&self) -> Sheet {
        let [a, b, c, d, e, f, g, h] = self.plane;
        let turned =
            |[a, u, v, uu, uv, vv, uuu, uuv, uvv, vvv]: [f64; TERMS]| [a, v, u, vv, uv, uu, vvv, uvv, uuv, uuu];
        let [x, y] = self.bends;
        Sheet { plane: [e, d, f, b, a, c, h, g], bends: [turned(y), turned(x)], unit: self.unit }
    }

    /// The sheet nearest to these places; those that are far off it are left out. `unit`: about how many columns and rows
    /// they are from the first. `sides`: of a square, across and down.
    pub(super) fn through(&self, x: &[Place], y: &[Place], unit: f64, sides: (f64, f64), bend: Bend) -> Sheet {
        let mut found = self.clone();
        for off in OFF {
            let near = |places: &[Place], down: bool, sheet: &Sheet| -> Vec<Place> {
                let side = if down { sides.1 } else { sides.0 };
                let at = |place: &Place| {
                    let (x, y) = sheet.at(place.i, place.j);
                    if down { y } else { x }
                };
                places.iter().filter(|place| (at(place) - place.at).abs() <= off * side).cloned().collect()
            };
            let (x, y) = (near(x, false, &found), near(y, true, &found));
            if x.len() < 8 || y.len() < 8 {
                return found;
            }
            let Some(plane) = plane(&x, &y, unit) else { return found };
            let flat = Sheet { plane, bends: [[0.0; TERMS]; 2], unit };
            let rest = |places: &[Place], down: bool| {
                let rest = |place: &Place| {
                    let (x, y) = flat.on_plane(place.i, place.j);
                    Place { at: place.at - if down { y } else { x }, ..place.clone() }
                };
                bent(&places.iter().map(rest).collect::<Vec<_>>(), unit, bend)
            };
            let bends = [rest(&x, false), rest(&y, true)];
            found = Sheet { bends, ..flat };
        }
        found
    }
}

/// Squares of a box, from first to one past the last column and row; of many about so many as say enough, evenly spread.
pub(super) fn some_squares(columns: (i64, i64), rows: (i64, i64)) -> impl Iterator<Item = (i64, i64)> {
    const ENOUGH: usize = 2_500;
    let squares = ((columns.1 - columns.0).max(0) * (rows.1 - rows.0).max(0)) as usize;
    let step = squares.div_ceil(ENOUGH).max(1) as i64;
    let all = (rows.0..rows.1).flat_map(move |row| (columns.0..columns.1).map(move |column| (column, row)));
    all.filter(move |(column, row)| (3 * column + row).rem_euclid(step) == 0)
}

/// The plane in perspective nearest to places across and down.
fn plane(x: &[Place], y: &[Place], unit: f64) -> Option<[f64; 8]> {
    let long = x.iter().chain(y).map(|place| place.at.abs()).fold(1.0, f64::max);
    let mut normal = vec![vec![0.0; 9]; 8];
    let mut all = 0.0;
    for (places, down) in [(x, false), (y, true)] {
        for place in places {
            let (i, j, at) = (place.i / unit, place.j / unit, place.at / long);
            let mut row = [0.0; 9];
            let own = if down { 3 } else { 0 };
            row[own..own + 3].copy_from_slice(&[i, j, 1.0]);
            (row[6], row[7], row[8]) = (-at * i, -at * j, at);
            for (line, a) in normal.iter_mut().zip(row) {
                for (entry, b) in line.iter_mut().zip(row) {
                    *entry += place.weight * a * b;
                }
            }
            all += place.weight;
        }
    }
    // In no more perspective than has to be.
    for i in [6, 7] {
        normal[i][i] += 1e-7 * all;
    }
    let [a, b, c, d, e, f, g, h] = solved(normal)?.try_into().ok()?;
    Some([a * long / unit, b * long / unit, c * long, d * long / unit, e * long / unit, f * long, g / unit, h / unit])
}

/// The bend that what is left of places shows.
fn bent(places: &[Place], unit: f64, bend: Bend) -> [f64; TERMS] {
    let mut terms_of = [0.0; TERMS];
    let count = bend.terms.min(TERMS);
    if count == 0 || places.len() < 3 * count {
        return terms_of;
    }
    let mut normal = vec![vec![0.0; count + 1]; count];
    let mut all = 0.0;
    for place in places {
        let terms = terms(place.i / unit, place.j / unit);
        for (line, a) in normal.iter_mut().zip(terms) {
            for (entry, b) in line.iter_mut().zip(terms[..count].iter().chain([&place.at])) {
                *entry += place.weight * a * b;
            }
        }
        all += place.weight;
    }
    for (i, line) in normal.iter_mut().enumerate() {
        line[i] += bend.stiff * all + 1e-9;
    }
    if let Some(solved) = solved(normal) {
        terms_of[..count].copy_from_slice(&solved);
    }
    terms_of
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Corners of squares of 20 x 14 pixels, in perspective and bent by a term of the third power.
    fn seen(i: f64, j: f64) -> (f64, f64) {
        let w = 0.002 * i - 0.001 * j + 1.0;
        ((20.0 * i + 0.4 * j + 300.0) / w + 0.000_4 * i * i * i, (0.3 * i + 14.0 * j + 200.0) / w)
    }

    fn places() -> (Vec<Place>, Vec<Place>) {
        let place = |i: i32, j: i32| (f64::from(i), f64::from(j));
        let all = (-12..=12).flat_map(|i| (-12..=12).map(move |j| place(i, j)));
        let x = all.clone().map(|(i, j)| Place { i, j, at: seen(i, j).0, weight: 1.0 }).collect();
        let y = all.map(|(i, j)| Place { i, j, at: seen(i, j).1, weight: 1.0 }).collect();
        (x, y)
    }

    #[test]
    fn a_bent_sheet_in_perspective_is_laid_through_its_places_though_some_are_wrong() {
        let (mut x, y) = places();
        // A tenth are on the wrong side of their square.
        x.iter_mut().step_by(10).for_each(|place| place.at += 9.0);
        let bend = Bend { terms: TERMS, stiff: 1e-6 };
        let start = Sheet::even((300.0, 200.0), (20.0, 14.0));
        let grown = (0..6).fold(start, |sheet, _| sheet.through(&x, &y, 12.0, (20.0, 14.0), bend));
        for (i, j) in [(0.0, 0.0), (10.0, -10.0), (-12.0, 12.0), (5.5, 3.5)] {
            let (own, found) = (seen(i, j), grown.at(i, j));
            assert!((own.0 - found.0).abs() < 0.3 && (own.1 - found.1).abs() < 0.3, "{own:?} {found:?}");
            let (turned_x, turned_y) = grown.turned().at(j, i);
            assert!((turned_x - found.1).abs() < 1e-9 && (turned_y - found.0).abs() < 1e-9);
        }
    }

    #[test]
    fn too_few_places_leave_a_sheet_as_it_was() {
        let (x, y) = places();
        let start = Sheet::even((300.0, 200.0), (20.0, 14.0));
        let same = start.through(&x[..5], &y[..5], 12.0, (20.0, 14.0), Bend { terms: 0, stiff: 0.0 });
        assert_eq!(start.at(3.0, 4.0), same.at(3.0, 4.0));
    }
}
