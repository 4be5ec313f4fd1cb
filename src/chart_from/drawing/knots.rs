//! What colour every knot takes: that of most of its area; then lines are kept whole, and small strong shapes get a knot.

use super::raster::Raster;
use super::thin::{self, Patch};
use crate::colour::Oklab;

/// How small a strong feature may be that still gets a knot of its own, in knots.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Detail(pub f64);

/// Differences of colour under this are not strong: what is thin and no stronger may go (our judgement).
const STRONG: f64 = 9.0;
/// Least share of a line's width in knots, summed across it; a hair is kept, a trace of smoothing is not.
const HAIR: f32 = 0.09;
/// Colours with more than this of the area are in the chart whatever happens.
const MIN_SHARE: f64 = 0.002;

pub(super) fn choose(raster: &Raster, looks: &[Oklab], detail: Detail) -> Vec<u8> {
    let shares = shares(raster, looks.len());
    let mut cells = most_of_area(&shares, raster);
    let most = cells.clone();
    let mut held = vec![false; cells.len()];
    lines(raster, looks, &most, &mut cells, &mut held);
    small(raster, looks, detail, &mut cells, &mut held);
    present(raster, &shares, &mut cells, &held);
    cells
}

/// Points of each label in each knot: label by label.
fn shares(raster: &Raster, labels: usize) -> Vec<Vec<u16>> {
    let mut shares = vec![vec![0_u16; raster.columns * raster.rows]; labels];
    for (at, &label) in raster.of.iter().enumerate() {
        shares[usize::from(label)][raster.cell_of(at)] += 1;
    }
    shares
}

fn most_of_area(shares: &[Vec<u16>], raster: &Raster) -> Vec<u8> {
    let most = |cell: usize| {
        let best = (0..shares.len()).max_by_key(|&label| (shares[label][cell], usize::MAX - label));
        best.unwrap_or(0) as u8
    };
    (0..raster.columns * raster.rows).map(most).collect()
}

/// Keeps thin things whole: across its own direction, a line takes the knot that has most of it.
fn lines(raster: &Raster, looks: &[Oklab], most: &[u8], cells: &mut [u8], held: &mut [bool]) {
    let thin = thin::find(raster, looks.len());
    let (columns, rows) = (raster.columns, raster.rows);
    let mut strength = vec![0.0_f64; cells.len()];
    for (label, share) in &thin.shares {
        let at = |row: i64, column: i64| {
            let inside = (0..rows as i64).contains(&row) && (0..columns as i64).contains(&column);
            if inside { share[row as usize * columns + column as usize] } else { 0.0 }
        };
        for row in 0..rows as i64 {
            for column in 0..columns as i64 {
                let own = at(row, column);
                let cell = row as usize * columns + column as usize;
                if own < HAIR / 2.0 {
                    continue;
                }
                let runs = Runs::around(&at, row, column);
                let (before, after) = if runs.level {
                    (at(row - 1, column), at(row + 1, column))
                } else {
                    (at(row, column - 1), at(row, column + 1))
                };
                let across = own + before + after;
                let is_most = own > before && own >= after;
                // What is short is a small shape, not a line; `small` looks after it.
                let enough = if runs.long { HAIR } else { 0.4 };
                if !is_most || across < enough || most[cell] == *label {
                    continue;
                }
                let contrast = libm::sqrt(looks[usize::from(*label)].distance_squared(looks[usize::from(most[cell])]));
                let strong = contrast * f64::from(own);
                if contrast >= STRONG && strong > strength[cell] {
                    strength[cell] = strong;
                    cells[cell] = *label;
                    held[cell] = true;
                }
            }
        }
    }
}

/// How something thin runs through a knot.
struct Runs {
    /// More level than upright.
    level: bool,
    /// On through the knots around.
    long: bool,
}

impl Runs {
    fn around(at: &impl Fn(i64, i64) -> f32, row: i64, column: i64) -> Runs {
        let (mut sum, mut x, mut y, mut xx, mut yy) = (0.0_f64, 0.0, 0.0, 0.0, 0.0);
        for r in -2..=2_i64 {
            for c in -2..=2_i64 {
                let weight = f64::from(at(row + r, column + c));
                let (c, r) = (c as f64, r as f64);
                sum += weight;
                x += weight * c;
                y += weight * r;
                xx += weight * c * c;
                yy += weight * r * r;
            }
        }
        let (x, y) = (x / sum, y / sum);
        let (wide, high) = (xx / sum - x * x, yy / sum - y * y);
        Runs { level: wide >= high, long: wide.max(high) >= 0.9 }
    }
}

/// Gives every small strong shape that has no knot yet the one it has most of.
fn small(raster: &Raster, looks: &[Oklab], detail: Detail, cells: &mut [u8], held: &mut [bool]) {
    let area = raster.area();
    let mut patches = thin::patches(raster, looks, (30.0 * area) as usize);
    patches.retain(|patch| patch.area as f64 >= detail.0 * area && patch.contrast >= STRONG);
    // Large ones choose first; what they hold is not taken from them.
    patches.sort_by_key(|patch| (core::cmp::Reverse(patch.area), patch.cells.first().map(|(cell, _)| *cell)));
    for patch in &patches {
        if let Some(cell) = shown(patch, cells) {
            held[cell] = true;
        }
    }
    for patch in &patches {
        if shown(patch, cells).is_some() {
            continue;
        }
        let most = patch.cells.first().map_or(0, |(_, points)| *points);
        let free = patch.cells.iter().find(|(cell, points)| !held[*cell] && *points * 3 >= most);
        if let Some(&(cell, _)) = free {
            cells[cell] = patch.label;
            held[cell] = true;
        }
    }
}

/// The knot that shows a patch.
fn shown(patch: &Patch, cells: &[u8]) -> Option<usize> {
    let most = patch.cells.first()?.1;
    let shown = patch.cells.iter().find(|(cell, points)| cells[*cell] == patch.label && *points * 4 >= most);
    shown.map(|(cell, _)| *cell)
}

/// A colour with enough of the area that no knot has, since it lies in many small places, gets the knot it has most of.
fn present(raster: &Raster, shares: &[Vec<u16>], cells: &mut [u8], held: &[bool]) {
    for (label, share) in shares.iter().enumerate() {
        let all: usize = share.iter().map(|&points| usize::from(points)).sum();
        if (all as f64) < MIN_SHARE * raster.of.len() as f64 || cells.contains(&(label as u8)) {
            continue;
        }
        let best = (0..cells.len()).max_by_key(|&cell| (!held[cell], share[cell], usize::MAX - cell));
        if let Some(cell) = best {
            cells[cell] = label as u8;
        }
    }
}
