//! What is in every square: the colour of its ground, how even that is, and what is drawn on it.

use super::margins::{Margins, middle};
use super::reading::Flat;
use crate::picture::SrgbPicture;

/// What is left out at each side of a square, of its length: its lines, and what smears over from beside.
const INSET: f64 = 0.17;
/// The same in squares of fewer pixels than `SMALL`.
const INSET_OF_SMALL: f64 = 0.3;
const SMALL: f64 = 10.0;
/// Points looked at along each side of a square.
const POINTS: usize = 14;
/// The ring of points in which the ground shows beside a symbol.
const RING: usize = 2;
/// Channels this near to the ground's are the ground.
const ALIKE: i32 = 26;
/// So many of a hundred points are plainly of the ground.
const DENSEST: usize = 40;
/// Squares of fewer pixels show no symbol that could be told from another.
const MIN_FOR_SYMBOLS: f64 = 6.0;

/// What is drawn in a square: for each of `side` x `side` places how much lighter or darker than the ground, -1 to 1.
pub(super) type Patch = Vec<f32>;

/// All squares in reading order.
pub(super) struct Looked {
    /// Colours of grounds, channels 0 to 255.
    pub(super) grounds: Vec<[u8; 3]>,
    /// The share of points around a symbol that have the ground's colour.
    pub(super) even: Vec<f32>,
    /// What is drawn; empty where squares are too small for that.
    pub(super) patches: Vec<Patch>,
    /// Places along a side of a patch.
    pub(super) side: usize,
}

/// A picture and where its squares are.
#[derive(Clone, Copy)]
pub(super) struct Grid<'a> {
    pub(super) picture: &'a SrgbPicture,
    /// As of [`Flat`].
    pub(super) corners: &'a [(f64, f64)],
    pub(super) columns: usize,
    /// What lines take, where that was measured.
    pub(super) margins: Option<&'a Margins>,
}

impl Flat {
    pub(super) fn grid<'a>(&'a self, columns: usize, margins: Option<&'a Margins>) -> Grid<'a> {
        Grid { picture: &self.picture, corners: &self.corners, columns, margins }
    }
}

/// The ground of one square, and the share around its middle that has it.
pub(super) fn ground_at(grid: Grid<'_>, at: usize) -> ([u8; 3], f32) {
    let usual = ground(&points(grid, at, INSET));
    let side = place(grid, at, 1.0, 0.5).0 - place(grid, at, 0.0, 0.5).0;
    if side >= SMALL || usual.1 > 0.9 {
        return usual;
    }
    // Of a small square a heavier line may take a large part; or a symbol does.
    let inner = ground(&points(grid, at, INSET_OF_SMALL));
    if inner.1 > usual.1 { inner } else { usual }
}

/// The share of a square's points that have its ground's colour: less where something is drawn in it.
pub(super) fn emptiness(grid: Grid<'_>, at: usize) -> f32 {
    let points = points(grid, at, INSET);
    let own = middle(&points);
    let alike = |point: &&[u8; 3]| (0..3).all(|i| (i32::from(point[i]) - i32::from(own[i])).abs() <= ALIKE);
    points.iter().filter(alike).count() as f32 / points.len() as f32
}

/// The share of a square's outer points that have this colour.
pub(super) fn share_of(grid: Grid<'_>, at: usize, colour: [u8; 3], most: i32) -> f32 {
    let points = points(grid, at, INSET);
    let ring = || (0..points.len()).filter(|&i| in_ring(i));
    let of_it = ring().filter(|&i| (0..3).all(|c| (i32::from(points[i][c]) - i32::from(colour[c])).abs() <= most));
    of_it.count() as f32 / ring().count() as f32
}

/// The share of squares whose ground is even.
pub(super) fn evenness(flat: &Flat, columns: usize, rows: usize) -> f64 {
    let step = (columns * rows / 4_000).max(1);
    let looked = (0..columns * rows).step_by(step).map(|at| ground_at(flat.grid(columns, None), at).1);
    let (mut all, mut even) = (0_usize, 0_usize);
    for share in looked {
        all += 1;
        even += usize::from(share >= 0.75);
    }
    even as f64 / all.max(1) as f64
}

pub(super) fn look(flat: &Flat, grid: Grid<'_>, rows: usize) -> Looked {
    let columns = grid.columns;
    let first = &flat.corners;
    let wide = (first[columns].0 - first[0].0) / columns as f64;
    let high = (first[rows * (columns + 1)].1 - first[0].1) / rows as f64;
    let pixels = wide.min(high);
    let cut = Cut::of(flat, pixels);
    let mut looked = Looked { grounds: Vec::new(), even: Vec::new(), patches: Vec::new(), side: cut.side };
    for at in 0..columns * rows {
        let (ground, even) = ground_at(grid, at);
        looked.grounds.push(ground);
        looked.even.push(even);
        if pixels >= MIN_FOR_SYMBOLS {
            looked.patches.push(patch(grid, at, cut, ground));
        }
    }
    looked
}

/// A place in a square; `s` and `t` from 0 to 1.
pub(super) fn place(grid: Grid<'_>, at: usize, s: f64, t: f64) -> (f64, f64) {
    let Grid { corners, columns, .. } = grid;
    let corner = at / columns * (columns + 1) + at % columns;
    let [a, b] = [corners[corner], corners[corner + 1]];
    let [c, d] = [corners[corner + columns + 1], corners[corner + columns + 2]];
    let mix = |a: f64, b: f64, c: f64, d: f64| (1.0 - t) * ((1.0 - s) * a + s * b) + t * ((1.0 - s) * c + s * d);
    (mix(a.0, b.0, c.0, d.0), mix(a.1, b.1, c.1, d.1))
}

fn pixel(grid: Grid<'_>, (x, y): (f64, f64)) -> [u8; 3] {
    let at = |v: f64, count: usize| (v.max(0.0) as usize).min(count - 1);
    grid.picture.at(at(x, grid.picture.width), at(y, grid.picture.height))
}

/// Colours of `POINTS` x `POINTS` points.
fn points(grid: Grid<'_>, at: usize, inset: f64) -> Vec<[u8; 3]> {
    // What smears over from a line is a pixel at most.
    let [left, right, top, bottom] =
        grid.margins.map_or([0.0; 4], |margins| margins.at(at)).map(|line| line.max(inset));
    let share = |i: usize, low: f64, high: f64| low + (1.0 - low - high) * (i as f64 + 0.5) / POINTS as f64;
    let one = |i: usize| pixel(grid, place(grid, at, share(i % POINTS, left, right), share(i / POINTS, top, bottom)));
    (0..POINTS * POINTS).map(one).collect()
}

/// Whether a point is one of those around the symbol.
fn in_ring(i: usize) -> bool {
    let inner = RING..POINTS - RING;
    !inner.contains(&(i % POINTS)) || !inner.contains(&(i / POINTS))
}

/// The ground's colour, and the share of the ring that has it.
fn ground(points: &[[u8; 3]]) -> ([u8; 3], f32) {
    let ring: Vec<[u8; 3]> = (0..points.len()).filter(|&i| in_ring(i)).map(|i| points[i]).collect();
    let first = usual(&ring);
    let alike = |point: &&[u8; 3]| (0..3).all(|i| (i32::from(point[i]) - i32::from(first[i])).abs() <= ALIKE);
    let even = ring.iter().filter(alike).count() as f32 / ring.len() as f32;
    // What smears over from beside reaches the ring first: where the middle is of the ground as well, it knows better.
    let inner: Vec<[u8; 3]> = (0..points.len()).filter(|&i| !in_ring(i)).map(|i| points[i]).collect();
    let core: Vec<[u8; 3]> = inner.iter().filter(alike).copied().collect();
    if 4 * core.len() >= 3 * inner.len() {
        return (usual(&core), even);
    }
    let all: Vec<[u8; 3]> = points.iter().filter(alike).copied().collect();
    (if all.len() >= 12 { usual(&all) } else { first }, even)
}

/// The colour that many points have exactly, as a screen shows it, even where others are mixed with a symbol's; else the
/// middle one.
fn usual(of: &[[u8; 3]]) -> [u8; 3] {
    // As one number each they are sorted much faster.
    let mut sorted: Vec<u32> = of.iter().map(|[r, g, b]| u32::from_be_bytes([0, *r, *g, *b])).collect();
    sorted.sort_unstable();
    let longest = sorted.chunk_by(|a, b| a == b).max_by_key(|same| same.len());
    let same = longest.filter(|same| same.len() * 6 >= of.len()).map(|same| same[0].to_be_bytes());
    same.map_or_else(|| densest(of), |[_, r, g, b]| [r, g, b])
}

/// The mean of those points that are nearest to one another in light: ink is lighter or darker, and smears.
fn densest(of: &[[u8; 3]]) -> [u8; 3] {
    let light = |[r, g, b]: [u8; 3]| 299 * u32::from(r) + 587 * u32::from(g) + 114 * u32::from(b);
    let one = |rgb: &[u8; 3]| u64::from(light(*rgb)) << 24 | u64::from(u32::from_be_bytes([0, rgb[0], rgb[1], rgb[2]]));
    let mut sorted: Vec<u64> = of.iter().map(one).collect();
    sorted.sort_unstable();
    let count = (sorted.len() * DENSEST / 100).max(1);
    let dense = sorted.windows(count).min_by_key(|window| (window[count - 1] >> 24) - (window[0] >> 24));
    let dense = dense.unwrap_or(&sorted);
    core::array::from_fn(|c| {
        let sum: usize = dense.iter().map(|one| usize::from(one.to_be_bytes()[5 + c])).sum();
        ((sum + dense.len() / 2) / dense.len().max(1)) as u8
    })
}

/// How patches are cut.
#[derive(Clone, Copy)]
struct Cut {
    /// Places along a side of a patch.
    side: usize,
    /// Whole pixels of each place, where the picture is as a screen shows it: a symbol then has the same pixels everywhere.
    /// `None`: places lie between pixels.
    whole: Option<usize>,
}

impl Cut {
    fn of(flat: &Flat, pixels: f64) -> Cut {
        let inner = (0.74 * pixels) as usize;
        if flat.straight {
            let whole = inner.div_ceil(20).max(1);
            return Cut { side: (inner / whole).max(4), whole: Some(whole) };
        }
        Cut { side: inner.clamp(4, 14), whole: None }
    }
}

fn patch(grid: Grid<'_>, at: usize, cut: Cut, ground: [u8; 3]) -> Patch {
    const INNER: f64 = 0.13;
    /// Points along a place of the patch, so that thin strokes count by their width.
    const FINE: usize = 2;
    let light = |rgb: [u8; 3]| 0.299 * f32::from(rgb[0]) + 0.587 * f32::from(rgb[1]) + 0.114 * f32::from(rgb[2]);
    let own = light(ground);
    let Cut { side, whole } = cut;
    let middle = place(grid, at, 0.5, 0.5);
    let one = |i: usize| -> f32 {
        let (column, row) = (i % side, i / side);
        let fine = whole.unwrap_or(FINE);
        let sum: f32 = (0..fine * fine)
            .map(|part| {
                let spot = if whole.is_some() {
                    let half = (side * fine) as f64 / 2.0;
                    let start = |v: f64| (v - half).round();
                    let x = start(middle.0) + (column * fine + part % fine) as f64 + 0.5;
                    (x, start(middle.1) + (row * fine + part / fine) as f64 + 0.5)
                } else {
                    let share = |i: usize, part: usize| {
                        INNER + (1.0 - 2.0 * INNER) * (i as f64 + (part as f64 + 0.5) / FINE as f64) / side as f64
                    };
                    place(grid, at, share(column, part % fine), share(row, part / fine))
                };
                light(pixel(grid, spot)) - own
            })
            .sum();
        let mean = sum / (fine * fine) as f32 / 255.0;
        // Grain is not ink.
        if mean.abs() < 0.06 { 0.0 } else { mean }
    };
    let mut patch: Patch = (0..side * side).map(one).collect();
    without_lines(&mut patch, side);
    centred(&patch, side)
}

/// The same with what is drawn moved to the middle: a lattice is not laid to the last pixel.
fn centred(patch: &Patch, side: usize) -> Patch {
    let (mut left, mut right, mut top, mut bottom) = (side, 0, side, 0);
    for (i, _) in patch.iter().enumerate().filter(|(_, v)| v.abs() > 0.12) {
        (left, right) = (left.min(i % side), right.max(i % side));
        (top, bottom) = (top.min(i / side), bottom.max(i / side));
    }
    if left > right {
        return patch.clone();
    }
    let move_by = |low: usize, high: usize| (side as i32 - 1 - (low + high) as i32).div_euclid(2).clamp(-2, 2);
    let (dx, dy) = (move_by(left, right), move_by(top, bottom));
    (0..side * side)
        .map(|i| {
            let (x, y) = ((i % side) as i32 - dx, (i / side) as i32 - dy);
            let inside = (0..side as i32).contains(&x) && (0..side as i32).contains(&y);
            if inside { patch[y as usize * side + x as usize] } else { 0.0 }
        })
        .collect()
}

/// Takes out what runs along a whole side of a patch: a heavier grid line that reaches in.
fn without_lines(patch: &mut Patch, side: usize) {
    let at = |turned: bool, line: usize, i: usize| if turned { i * side + line } else { line * side + i };
    for turned in [false, true] {
        for lines in [[0, 1], [side - 1, side - 2]] {
            for line in lines {
                // Where the lines of the other direction were taken out, a line has gaps.
                let whole = (0..side).filter(|&i| patch[at(turned, line, i)] != 0.0).count() + 2 >= side;
                if !whole {
                    break;
                }
                (0..side).for_each(|i| patch[at(turned, line, i)] = 0.0);
            }
        }
    }
}
