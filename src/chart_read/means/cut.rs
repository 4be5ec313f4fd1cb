//! Squares cut to places that can be held against one another: of one size, in even light, without lines.

use crate::chart_read::margins::Margins;
use crate::chart_read::squares::{Grid, place};
use crate::picture::SrgbPicture;
use core::ops::Range;

/// Most places along a side of a square.
const MAX_SIDE: usize = 18;
/// Least places along a side of a square.
const MIN_SIDE: usize = 4;
/// Most values of all squares together.
const MAX_VALUES: usize = 8_000_000;
/// What is left out at each side of a square, of its length: what smears over from beside.
const INSET: f64 = 0.08;
/// A point is mixed from pixels so far from it.
const MIXED: f64 = 0.5;
/// So many pixels from a whole one, what is drawn lies on it.
const ON_WHOLE: f64 = 0.25;
/// Amounts of light are about this power of channels.
const GAMMA: f64 = 2.2;

/// What squares are cut from.
#[derive(Clone, Copy)]
pub(in crate::chart_read) struct Source<'a> {
    pub(super) grid: Grid<'a>,
    pub(super) margins: &'a Margins,
    pub(super) light: &'a [[f64; 3]],
    /// Whether nothing but marks of few pixels tells squares apart.
    pub(super) are_small_marks: bool,
}

impl<'a> Source<'a> {
    /// `light`: by how much the light of each square is to be multiplied, by channel, so that light is even; empty where it
    /// is.
    pub(in crate::chart_read) fn new(grid: Grid<'a>, margins: &'a Margins, light: &'a [[f64; 3]]) -> Source<'a> {
        Source { grid, margins, light, are_small_marks: false }
    }

    pub(super) fn rows(self) -> usize {
        self.grid.corners.len() / (self.grid.columns + 1) - 1
    }

    /// Pixels of a usual square across and down.
    pub(super) fn square(self) -> (f64, f64) {
        let Grid { corners, columns, .. } = self.grid;
        let rows = self.rows();
        let wide = (corners[columns].0 - corners[0].0) / columns as f64;
        (wide, (corners[rows * (columns + 1)].1 - corners[0].1) / rows as f64)
    }

    /// Pixels of the shorter side of a usual square.
    pub(super) fn least_side(self) -> f64 {
        let (wide, high) = self.square();
        wide.min(high)
    }
}

/// Pixels by which what is drawn in each column, and in each row, lies beside the middle of what lines leave.
#[derive(Clone, PartialEq)]
pub(super) struct Moves {
    pub(super) columns: Vec<f64>,
    pub(super) rows: Vec<f64>,
}

/// All squares, cut to `side` x `side` places.
pub(super) struct Cut {
    pub(super) side: usize,
    pub(super) columns: usize,
    /// Of each square light, blue less light and red less light of each place, 0 to 255.
    values: Vec<u8>,
    /// Places that no line takes: across of each column.
    across: Vec<Range<usize>>,
    /// Down of each row.
    down: Vec<Range<usize>>,
    /// Where the middle of each column, and of each row, lies.
    middles: [Vec<f64>; 2],
}

impl Cut {
    pub(super) fn of(source: Source<'_>, moves: &Moves) -> Cut {
        let Grid { corners, columns, .. } = source.grid;
        let rows = source.rows();
        let (wide, high) = source.square();
        let most = libm::sqrt(MAX_VALUES as f64 / (3 * columns * rows) as f64) as usize;
        let side = (libm::round(wide.min(high)) as usize).clamp(MIN_SIDE, MAX_SIDE).min(most.max(MIN_SIDE));
        let across = (0..columns).map(|column| {
            let [left, right, ..] = source.margins.at(column);
            let own = corners[column + 1].0 - corners[column].0;
            free(own, [left, right], (moves.columns[column], wide / side as f64), side)
        });
        let down = (0..rows).map(|row| {
            let [.., top, bottom] = source.margins.at(row * columns);
            let own = corners[(row + 1) * (columns + 1)].1 - corners[row * (columns + 1)].1;
            free(own, [top, bottom], (moves.rows[row], high / side as f64), side)
        });
        let middles = [
            (0..columns).map(|column| middle_of(source, column, (moves.columns[column], 0.0)).0).collect(),
            (0..rows).map(|row| middle_of(source, row * columns, (0.0, moves.rows[row])).1).collect(),
        ];
        let mut values = Vec::with_capacity(3 * columns * rows * side * side);
        for cell in 0..columns * rows {
            let by = (moves.columns[cell % columns], moves.rows[cell / columns]);
            values.extend(seen(source, cell, by, side));
        }
        Cut { side, columns, values, across: across.collect(), down: down.collect(), middles }
    }

    pub(super) fn square(&self, cell: usize) -> &[u8] {
        let size = self.size();
        &self.values[cell * size..(cell + 1) * size]
    }

    /// Values of a square.
    pub(super) fn size(&self) -> usize {
        3 * self.side * self.side
    }

    /// How far two squares are apart across or down, in pixels, whole times `whole` left out.
    pub(super) fn apart_without(&self, one: usize, other: usize, whole: f64) -> f64 {
        let off = |middles: &[f64], one: usize, other: usize| {
            let off = middles[one] - middles[other];
            (off - whole * libm::round(off / whole)).abs()
        };
        let across = off(&self.middles[0], one % self.columns, other % self.columns);
        across.max(off(&self.middles[1], one / self.columns, other / self.columns))
    }

    /// Whether all but a few columns and rows lie on pixels alike.
    pub(super) fn is_on_whole_pixels(&self) -> bool {
        self.middles.iter().all(|middles| {
            let is_on = |middle: &&f64| {
                let off = **middle - middles[0];
                (off - libm::round(off)).abs() <= ON_WHOLE
            };
            5 * middles.iter().filter(is_on).count() >= 4 * middles.len()
        })
    }

    /// Values of a square that no line takes.
    pub(super) fn free(&self, cell: usize) -> impl Iterator<Item = Range<usize>> + use<> {
        let (across, down) = (self.across[cell % self.columns].clone(), self.down[cell / self.columns].clone());
        let side = self.side;
        down.flat_map(move |y| {
            let across = across.clone();
            (0..3).map(move |channel| {
                let line = (channel * side + y) * side;
                line + across.start..line + across.end
            })
        })
    }

    pub(super) fn free_count(&self, cell: usize) -> usize {
        3 * self.across[cell % self.columns].len() * self.down[cell / self.columns].len()
    }
}

/// Places along a side of `own` pixels that no line takes. `by`: pixels they are moved by, and from one to the next.
fn free(own: f64, lines: [f64; 2], by: (f64, f64), side: usize) -> Range<usize> {
    let [low, high] = lines.map(|line| (line * own + MIXED).max(INSET * own));
    let middle = middle(lines) * own + by.0;
    let inside = |i: &usize| {
        let place = middle + (*i as f64 + 0.5 - 0.5 * side as f64) * by.1;
        place > low && place < own - high
    };
    let first = (0..side).find(inside).unwrap_or(side / 2);
    let last = (0..side).rfind(inside).unwrap_or(side / 2);
    first..last + 1
}

/// The middle of what lines leave.
pub(super) fn middle([low, high]: [f64; 2]) -> f64 {
    0.5 * (1.0 + low - high)
}

/// Where the middle of what lines leave of a square is, moved by so many pixels.
fn middle_of(source: Source<'_>, cell: usize, by: (f64, f64)) -> (f64, f64) {
    let [left, right, top, bottom] = source.margins.at(cell);
    let (x, y) = place(source.grid, cell, middle([left, right]), middle([top, bottom]));
    (x + by.0, y + by.1)
}

/// The values of one square whose places are moved by so many pixels.
pub(super) fn seen(source: Source<'_>, cell: usize, by: (f64, f64), side: usize) -> Vec<u8> {
    let (wide, high) = source.square();
    let parts = (libm::ceil(wide.min(high) / side as f64) as usize).clamp(1, 3);
    let start = middle_of(source, cell, by);
    let light = source.light.get(cell).map_or([1.0; 3], |light| light.map(|by| libm::pow(by, 1.0 / GAMMA)));
    let picture = source.grid.picture;
    let sums = match source.are_small_marks {
        true => sums(picture, [(start.0, wide), (start.1, high)], (side, parts), of_three),
        false => sums(picture, [(start.0, wide), (start.1, high)], (side, parts), of_two),
    };
    let mut values = vec![0_u8; 3 * side * side];
    for (at, sum) in sums.into_iter().enumerate() {
        let [r, g, b] = core::array::from_fn(|c| (light[c] * f64::from(sum[c]) / (parts * parts) as f64).min(255.0));
        // As pictures are packed: light, and what blue and red are more.
        let y = 0.299 * r + 0.587 * g + 0.114 * b;
        for (channel, v) in [y, 128.0 + 0.564 * (b - y), 128.0 + 0.713 * (r - y)].into_iter().enumerate() {
            values[channel * side * side + at] = libm::round(v).clamp(0.0, 255.0) as u8;
        }
    }
    values
}

/// Pixels along one side that a place is mixed from, and how much it has of each.
type Mixed<const N: usize> = ([usize; N], [f32; N]);

/// Sums of `parts` x `parts` points of each of `side` x `side` places. `along`: the middle and the length across and down;
/// `mixed`: what a point among so many pixels is mixed from.
fn sums<const N: usize>(
    picture: &SrgbPicture,
    along: [(f64, f64); 2],
    (side, parts): (usize, usize),
    mixed: fn(f64, usize) -> Mixed<N>,
) -> Vec<[f32; 3]> {
    let points = |(middle, long): (f64, f64), count: usize| -> Vec<Mixed<N>> {
        let share = |i: usize| (i as f64 + 0.5) / (side * parts) as f64 - 0.5;
        (0..side * parts).map(|i| mixed(middle + long * share(i), count)).collect()
    };
    let (xs, ys) = (points(along[0], picture.width), points(along[1], picture.height));
    let (first, last) = (xs[0].0[0], xs[xs.len() - 1].0[N - 1]);
    let pixels = |y: usize| &picture.rgb[3 * (y * picture.width + first)..3 * (y * picture.width + last + 1)];
    let mut line = vec![0.0_f32; 3 * (last + 1 - first)];
    let mut sums = vec![[0.0_f32; 3]; side * side];
    for (nth, (lines, shares)) in ys.iter().enumerate() {
        line.fill(0.0);
        for (&y, &share) in lines.iter().zip(shares) {
            line.iter_mut().zip(pixels(y)).for_each(|(mixed, value)| *mixed += share * f32::from(*value));
        }
        let sums = &mut sums[nth / parts * side..][..side];
        for (nth, (places, shares)) in xs.iter().enumerate() {
            for (&x, &share) in places.iter().zip(shares) {
                let pixel = &line[3 * (x - first)..][..3];
                sums[nth / parts].iter_mut().zip(pixel).for_each(|(sum, value)| *sum += share * value);
            }
        }
    }
    sums
}

/// The two pixels of `count` that a place lies between.
fn of_two(v: f64, count: usize) -> Mixed<2> {
    let v = (v - 0.5).clamp(0.0, (count - 1) as f64);
    let low = v as usize;
    let share = (v - low as f64) as f32;
    ([low, (low + 1).min(count - 1)], [1.0 - share, share])
}

/// The three pixels around a place, by a quadratic B-spline: every place is mixed as widely wherever it lies. Of two pixels
/// alone, a thin stroke half-way between them is paler than one on them.
fn of_three(v: f64, count: usize) -> Mixed<3> {
    let v = (v - 0.5).clamp(0.0, (count - 1) as f64);
    let on = libm::round(v);
    let off = (v - on) as f32;
    let on = on as usize;
    let shares = [0.5 * (0.5 - off) * (0.5 - off), 0.75 - off * off, 0.5 * (0.5 + off) * (0.5 + off)];
    ([on.saturating_sub(1), on, (on + 1).min(count - 1)], shares)
}

#[cfg(test)]
mod tests;
