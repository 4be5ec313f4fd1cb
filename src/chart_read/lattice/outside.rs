//! What lies around a chart in a photograph: the table, and the paper that the chart stands on. Both are of one colour for
//! many squares on end, without lines between them.

use super::sides::{SEEN, Sides};
use super::spread::{Part, Spread};
use crate::chart_read::squares::{self, Grid};
use crate::geom::beside;
use crate::picture::SrgbPicture;

/// Neighbours of one colour differ by some times what most neighbours do, but by so much at least and at most.
const TIMES: i32 = 4;
const LEAST: i32 = 9;
const MOST: i32 = 28;
/// Paper goes around so much of a sheet.
const AROUND: f64 = 0.6;
/// So many of its squares are empty.
const EMPTY: f64 = 0.7;

/// Which squares lie outside. Whether the chart's squares have lines around them, and whether they have symbols.
pub(super) fn find(picture: &SrgbPicture, spread: &Spread, sides: &Sides, (lined, alike): (bool, bool)) -> Vec<bool> {
    let (columns, rows) = (sides.columns, sides.rows);
    let corners = spread.corners();
    let grid = Grid { picture, corners: &corners, columns, margins: None };
    let looked: Vec<[u8; 3]> = (0..columns * rows).map(|at| squares::ground_at(grid, at).0).collect();
    let differ = |a: usize, b: usize| {
        (0..3).map(|c| (i32::from(looked[a][c]) - i32::from(looked[b][c])).abs()).max().unwrap_or(0)
    };
    let mut all: Vec<i32> = (1..looked.len()).filter(|at| at % columns != 0).map(|at| differ(at, at - 1)).collect();
    all.sort_unstable();
    let usual = all.get(all.len() / 3).copied().unwrap_or(0);
    // Lines keep paper and yarns apart; without them only colours do.
    let limit = if lined { MOST } else { (TIMES * usual).clamp(LEAST, MOST) };
    let joined = |a: usize, b: usize| {
        let (low, high) = (a.min(b), a.max(b));
        let side = if high - low == 1 {
            sides.side(low / columns, low % columns + 1)
        } else {
            sides.level_side(low / columns + 1, low % columns)
        };
        side < SEEN && differ(a, b) <= limit
    };
    let flood = |from: &[usize], taken: &mut Vec<bool>| {
        let mut patch: Vec<usize> = from.iter().copied().filter(|at| !taken[*at]).collect();
        patch.iter().for_each(|at| taken[*at] = true);
        let mut next = 0;
        while next < patch.len() {
            let at = patch[next];
            next += 1;
            for other in beside(at, columns, rows) {
                if !taken[other] && joined(at, other) {
                    taken[other] = true;
                    patch.push(other);
                }
            }
        }
        patch
    };
    let mut outside = vec![false; looked.len()];
    let edge = |at: &usize| {
        let (row, column) = (at / columns, at % columns);
        row == 0 || column == 0 || row + 1 == rows || column + 1 == columns
    };
    let edges: Vec<usize> = (0..looked.len()).filter(edge).collect();
    flood(&edges, &mut outside);
    // The table may have a pattern; the sheet is the largest that is left.
    let left: Vec<bool> = outside.iter().map(|outside| !outside).collect();
    let Some((sheet, _)) = sides.largest(&left) else { return outside };
    let ring: Vec<usize> = ring(sheet).map(|(row, column)| row * columns + column).collect();
    let mut taken = outside.clone();
    let mut best: Option<(usize, Vec<usize>)> = None;
    let mut on_ring = vec![false; looked.len()];
    ring.iter().for_each(|at| on_ring[*at] = true);
    for &at in &ring {
        let patch = flood(&[at], &mut taken);
        let around = patch.iter().filter(|at| on_ring[**at]).count();
        if !patch.is_empty() && best.as_ref().is_none_or(|(most, _)| around > *most) {
            best = Some((around, patch));
        }
    }
    let Some((around, patch)) = best else { return outside };
    let some = || patch.iter().step_by((patch.len() / 500).max(1));
    let share = |of: &dyn Fn(usize) -> bool| some().filter(|at| of(**at)).count() as f64 / some().count() as f64;
    let empty = share(&|at| squares::emptiness(grid, at) >= 0.9) >= EMPTY;
    let pale = share(&|at| {
        let rgb = looked[at];
        let (least, most) = (rgb.into_iter().min().unwrap_or(0), rgb.into_iter().max().unwrap_or(0));
        least >= 110 && u16::from(least) * 4 >= u16::from(most) * 3
    }) >= EMPTY;
    if around as f64 >= AROUND * ring.len() as f64 && empty && (alike || pale) {
        patch.into_iter().for_each(|at| outside[at] = true);
    }
    outside
}

/// The outermost squares of a box.
fn ring(part: Part) -> impl Iterator<Item = (usize, usize)> {
    (part.top..part.bottom).flat_map(move |row| {
        (part.left..part.right)
            .filter(move |&column| {
                row == part.top || row + 1 == part.bottom || column == part.left || column + 1 == part.right
            })
            .map(move |column| (row, column))
    })
}
