//! Squares that are the same to the pixel: in a picture as a screen shows it those of one yarn are, and no others.

use super::cut::{Source, middle};
use crate::chart_read::reading::MAX_KINDS;
use core::cmp::Reverse;
use core::ops::{Range, RangeInclusive};
use std::collections::{BTreeMap, BTreeSet};

/// Least pixels along a side of a square that are compared.
const MIN_SIDE: usize = 3;
/// Pixels by which what is drawn may lie beside the middle of what lines leave.
const BESIDE: RangeInclusive<isize> = -2..=2;
/// How often columns and rows are moved to where most of their squares have an equal.
const ROUNDS: usize = 3;
/// So many squares of a hundred, and two more, may be like no other.
const ALONE: usize = 1;
/// Pixels at each side that a line may reach in.
const MOST_INSET: usize = 2;
/// What is left of a square within that, of what is free of lines.
const LEFT: f64 = 0.6;
/// So many squares are looked at first, and so many of a hundred of them have to have an equal.
const FIRST: usize = 800;
const EQUAL: usize = 40;
/// Kinds differ by so many levels of a channel somewhere, or in the mean: packing with little loss leaves less.
const SOMEWHERE: u8 = 24;
const ALL_OVER: u64 = 4;

/// The part of each square that is compared: where it begins across each column and down each row, and its size.
#[derive(Clone)]
struct Windows {
    xs: Vec<usize>,
    ys: Vec<usize>,
    wide: usize,
    high: usize,
}

/// The kind of each square, where all but a few are the same to the pixel as others. `None`: they are not.
pub(super) fn kinds(source: Source<'_>) -> Option<Vec<u8>> {
    let free = Windows::of(source)?;
    // A line may reach a little into the squares beside it.
    (0..=MOST_INSET).find_map(|inset| {
        let windows = free.within(inset)?;
        windows.repeat(source).then(|| windows.aligned(source).kinds(source)).flatten()
    })
}

impl Windows {
    fn of(source: Source<'_>) -> Option<Windows> {
        let columns = source.grid.columns;
        let corners = source.grid.corners;
        let across: Vec<[f64; 2]> =
            (0..columns).map(|column| free(source, column, [corners[column].0, corners[column + 1].0], 0)).collect();
        let down: Vec<[f64; 2]> = (0..source.rows())
            .map(|row| {
                let at = |row: usize| corners[row * (columns + 1)].1;
                free(source, row * columns, [at(row), at(row + 1)], 2)
            })
            .collect();
        let size =
            |of: &[[f64; 2]]| of.iter().map(|[_, long]| libm::round(*long)).fold(f64::INFINITY, f64::min) as usize;
        let (wide, high) = (size(&across), size(&down));
        let starts = |of: &[[f64; 2]], long: usize| {
            of.iter().map(|[middle, _]| libm::round(middle - 0.5 * long as f64).max(0.0) as usize).collect()
        };
        let enough = wide.min(high) >= MIN_SIDE;
        enough.then(|| Windows { xs: starts(&across, wide), ys: starts(&down, high), wide, high })
    }

    /// The same, smaller by so many pixels at each side.
    fn within(&self, inset: usize) -> Option<Windows> {
        let within = |starts: &[usize]| starts.iter().map(|start| start + inset).collect();
        let [wide, high] = [self.wide, self.high].map(|long| long.saturating_sub(2 * inset));
        let enough = |long: usize, of: usize| inset == 0 || long >= MIN_SIDE && long as f64 >= LEFT * of as f64;
        (enough(wide, self.wide) && enough(high, self.high)).then(|| Windows {
            xs: within(&self.xs),
            ys: within(&self.ys),
            wide,
            high,
        })
    }

    fn count(&self) -> usize {
        self.xs.len() * self.ys.len()
    }

    /// Whether squares are the same as others often enough to look further.
    fn repeat(&self, source: Source<'_>) -> bool {
        let step = self.count().div_ceil(FIRST);
        let mut keys: Vec<u64> = (0..self.count()).step_by(step).map(|cell| self.key(source, cell, (0, 0))).collect();
        keys.sort_unstable();
        let equal: usize = keys.chunk_by(|a, b| a == b).map(<[u64]>::len).filter(|count| *count > 1).sum();
        equal * 100 >= EQUAL * keys.len()
    }

    fn kinds(&self, source: Source<'_>) -> Option<Vec<u8>> {
        let mut first: BTreeMap<u64, usize> = BTreeMap::new();
        let mut examples: Vec<(usize, usize)> = Vec::new();
        let mut of = Vec::with_capacity(self.count());
        for cell in 0..self.count() {
            let kind = *first.entry(self.key(source, cell, (0, 0))).or_insert(examples.len());
            if kind == examples.len() {
                if kind == MAX_KINDS {
                    return None;
                }
                examples.push((cell, 0));
            }
            examples[kind].1 += 1;
            of.push(kind as u8);
        }
        let alone = examples.iter().filter(|(_, count)| *count == 1).count();
        let pairs = || (0..examples.len()).flat_map(|i| (0..i).map(move |j| (i, j)));
        // Two that stand in one column, and two in one row, are between the same lines.
        let stand_in = |kind: usize, line: &dyn Fn(usize) -> usize| -> BTreeSet<usize> {
            (0..of.len()).filter(|&cell| usize::from(of[cell]) == kind).map(line).collect()
        };
        let columns = self.xs.len();
        let stand: Vec<[BTreeSet<usize>; 2]> = (0..examples.len())
            .map(|kind| [stand_in(kind, &|cell| cell % columns), stand_in(kind, &|cell| cell / columns)])
            .collect();
        let are_kinds = |(i, j): (usize, usize)| {
            let between_the_same = || (0..2).all(|line| !stand[i][line].is_disjoint(&stand[j][line]));
            let (one, other) = (examples[i].0, examples[j].0);
            self.differ(source, one, other) && (self.are_nowhere_the_same(source, one, other) || between_the_same())
        };
        (alone <= 2 + ALONE * of.len() / 100 && pairs().all(are_kinds)).then_some(of)
    }

    /// What tells a square from others, its window moved by so many pixels.
    fn key(&self, source: Source<'_>, cell: usize, by: (isize, isize)) -> u64 {
        let picture = source.grid.picture;
        let (xs, ys) = self.places(source, cell, by);
        let mut key = 0xcbf2_9ce4_8422_2325_u64;
        for y in ys {
            for pixel in
                picture.rgb[3 * (y * picture.width + xs.start)..3 * (y * picture.width + xs.end)].chunks_exact(3)
            {
                let rgb = u64::from(pixel[0]) << 16 | u64::from(pixel[1]) << 8 | u64::from(pixel[2]);
                key = (key ^ rgb).wrapping_mul(0x0000_0100_0000_01b3);
                key ^= key >> 29;
            }
        }
        key
    }

    fn places(&self, source: Source<'_>, cell: usize, by: (isize, isize)) -> (Range<usize>, Range<usize>) {
        let columns = source.grid.columns;
        let range = |start: usize, by: isize, long: usize, count: usize| {
            let start = start.saturating_add_signed(by).min(count.saturating_sub(long));
            start..(start + long).min(count)
        };
        let picture = source.grid.picture;
        let xs = range(self.xs[cell % columns], by.0, self.wide, picture.width);
        (xs, range(self.ys[cell / columns], by.1, self.high, picture.height))
    }

    /// Whether two squares differ by more than packing with little loss may leave: somewhere, or all over.
    fn differ(&self, source: Source<'_>, one: usize, other: usize) -> bool {
        let (mut most, mut sums) = (0, [0_i64; 3]);
        for y in 0..self.high {
            for x in 0..self.wide {
                let (a, b) = (self.at(source, one, (x, y)), self.at(source, other, (x, y)));
                for i in 0..3 {
                    most = a[i].abs_diff(b[i]).max(most);
                    sums[i] += i64::from(a[i]) - i64::from(b[i]);
                }
            }
        }
        let all = (self.wide * self.high) as u64;
        most >= SOMEWHERE || sums.iter().any(|sum| sum.unsigned_abs() >= ALL_OVER * all)
    }

    /// Whether two squares are not the same inside, nor a pixel beside. What is different at the border alone is a line, and
    /// what is the same a pixel beside lies differently between lines.
    fn are_nowhere_the_same(&self, source: Source<'_>, one: usize, other: usize) -> bool {
        (0..9).all(|shift| {
            let (dx, dy) = (shift % 3, shift / 3);
            // Of the other the pixels are moved by one less than that.
            let mut inside = (1..self.high - 1).flat_map(|y| (1..self.wide - 1).map(move |x| (x, y)));
            inside.any(|(x, y)| {
                let (a, b) = (self.at(source, one, (x, y)), self.at(source, other, (x + dx - 1, y + dy - 1)));
                a.iter().zip(b).any(|(a, b)| a.abs_diff(b) >= ALL_OVER as u8)
            })
        })
    }

    fn at(&self, source: Source<'_>, cell: usize, (x, y): (usize, usize)) -> [u8; 3] {
        let (xs, ys) = self.places(source, cell, (0, 0));
        source.grid.picture.at(xs.start + x, ys.start + y)
    }

    /// Columns and rows moved to where most of their squares have an equal.
    fn aligned(mut self, source: Source<'_>) -> Windows {
        let (columns, rows) = (self.xs.len(), self.ys.len());
        for _ in 0..ROUNDS {
            let before = self.clone();
            let mut counts: BTreeMap<u64, usize> = BTreeMap::new();
            for cell in 0..columns * rows {
                *counts.entry(self.key(source, cell, (0, 0))).or_default() += 1;
            }
            let best = |windows: &Windows, cells: &[usize], by: &dyn Fn(isize) -> (isize, isize)| {
                let equals = |move_by: isize| -> usize {
                    let keys = cells.iter().map(|&cell| windows.key(source, cell, by(move_by)));
                    keys.map(|key| counts.get(&key).copied().unwrap_or(0)).sum()
                };
                BESIDE.max_by_key(|&move_by| (equals(move_by), Reverse(move_by.unsigned_abs()))).unwrap_or(0)
            };
            for column in 0..columns {
                let cells: Vec<usize> = (0..rows).map(|row| row * columns + column).collect();
                let by = best(&self, &cells, &|by| (by, 0));
                self.xs[column] = self.xs[column].saturating_add_signed(by);
            }
            for row in 0..rows {
                let cells: Vec<usize> = (0..columns).map(|column| row * columns + column).collect();
                let by = best(&self, &cells, &|by| (0, by));
                self.ys[row] = self.ys[row].saturating_add_signed(by);
            }
            if self.xs == before.xs && self.ys == before.ys {
                break;
            }
        }
        self
    }
}

/// The middle of what lines leave between two borders, and how long that is. `side`: 0 across, 2 down.
fn free(source: Source<'_>, cell: usize, [low, high]: [f64; 2], side: usize) -> [f64; 2] {
    let lines = source.margins.at(cell);
    let lines = [lines[side], lines[side + 1]];
    let own = high - low;
    [low + own * middle(lines), own * (1.0 - lines[0] - lines[1])]
}
