//! A chart sheet as drawn: its grid, its cells, its key, and what stands beside its rows and columns. No judgement yet.

use super::canvas::PAPER;
use super::key::{self, KeyEntry};
use super::lattice::{Lattice, lattices, sampled};
use super::lines::{Stretch, whole_number};
use super::look::Look;
use super::marks::{Drawn, Kind};
use super::matrix::Bounds;
use std::collections::BTreeMap;

/// How far from the grid numbers, arrows and boxes of rows may stand, points.
const ROW_MARGIN: f64 = 90.0;
/// How far above or below the grid column numbers may stand, points.
const COLUMN_MARGIN: f64 = 30.0;

/// A number drawn beside the grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Number {
    /// Its value.
    pub value: usize,
    /// Distance of its nearer end from the grid, points.
    pub away: f64,
    /// Distance of its middle from the middle of its row or column, in rows or columns.
    pub off: f64,
}

/// What stands at one end of a row or column.
#[derive(Clone, Debug, Default)]
pub(super) struct End {
    /// Numbers, nearest first.
    pub numbers: Vec<Number>,
    /// Empty boxes.
    pub boxes: Vec<Bounds>,
}

/// A sheet.
pub(super) struct Sheet {
    /// The grid.
    pub lattice: Lattice,
    /// Its cells in reading order.
    pub looks: Vec<Look>,
    /// The key on the same page.
    pub key: Vec<KeyEntry>,
    /// Left and right end of each row.
    pub row_ends: Vec<[End; 2]>,
    /// Upper and lower end of each column.
    pub column_ends: Vec<[End; 2]>,
}

/// The chart sheet of a page, if it is one: the largest grid that has numbers beside its rows and over its columns.
pub(super) fn sheet(page: &Drawn, lines: &[Stretch], names: &[&str]) -> Option<Sheet> {
    let found = lattices(page).into_iter().find_map(|lattice| {
        let (rows, columns) = (row_ends(page, lines, &lattice), column_ends(lines, &lattice));
        let numbered = |ends: &[[End; 2]]| ends.iter().flatten().any(|e| !e.numbers.is_empty());
        (numbered(&rows) && numbered(&columns)).then_some((lattice, rows, columns))
    });
    let (lattice, row_ends, column_ends) = found?;
    let canvas = sampled(page, &lattice);
    let mut looks = Vec::with_capacity(lattice.rows * lattice.columns);
    for row in 0..lattice.rows {
        looks.extend((0..lattice.columns).map(|column| Look::read(&canvas, row, column)));
    }
    let grounded = looks.iter().any(|l| l.ground != PAPER);
    let key = key::entries(page, lines, names, &lattice.area, (lattice.across(), lattice.down()), grounded);
    Some(Sheet { lattice, looks, key, row_ends, column_ends })
}

/// The words of stretches that are nothing but numbers.
fn numbers(lines: &[Stretch]) -> impl Iterator<Item = (usize, Bounds, f64)> {
    let all = |s: &&Stretch| s.level && s.words.iter().all(|w| whole_number(&w.letters).is_some());
    lines.iter().filter(all).flat_map(|s| {
        let middle = s.middle().y;
        s.words.iter().filter_map(move |w| Some((whole_number(&w.letters)?, w.area, middle)))
    })
}

fn row_ends(page: &Drawn, lines: &[Stretch], lattice: &Lattice) -> Vec<[End; 2]> {
    let mut ends: Vec<[End; 2]> = vec![Default::default(); lattice.rows];
    let grid = lattice.area;
    let row_of = |y: f64| {
        let at = (y - grid.top) / lattice.down();
        (at > 0.0 && at < lattice.rows as f64).then(|| (at as usize, (at - at.floor() - 0.5).abs()))
    };
    let side = |area: &Bounds| {
        if area.right <= grid.left + 0.5 && area.left >= grid.left - ROW_MARGIN {
            Some((0, grid.left - area.right))
        } else if area.left >= grid.right - 0.5 && area.right <= grid.right + ROW_MARGIN {
            Some((1, area.left - grid.right))
        } else {
            None
        }
    };
    for (value, area, middle) in numbers(lines) {
        if let (Some((row, off)), Some((side, away))) = (row_of(middle), side(&area)) {
            ends[row][side].numbers.push(Number { value, away, off });
        }
    }
    for mark in &page.painted {
        if !matches!(mark.kind, Kind::Stroke(_)) {
            continue;
        }
        for part in mark.parts.iter().filter(|p| p.closed && p.is_box()) {
            let (middle, b) = (part.bounds.centre(), part.bounds);
            let fits = b.height() <= lattice.down() * 1.1 && b.height() >= 2.0 && b.width() >= 2.0;
            if let (true, Some((row, _)), Some((side, _))) = (fits, row_of(middle.y), side(&b)) {
                ends[row][side].boxes.push(b);
            }
        }
    }
    for end in ends.iter_mut().flatten() {
        end.numbers.sort_by(|a, b| a.away.total_cmp(&b.away));
    }
    ends
}

fn column_ends(lines: &[Stretch], lattice: &Lattice) -> Vec<[End; 2]> {
    let mut ends: Vec<[End; 2]> = vec![Default::default(); lattice.columns];
    let grid = lattice.area;
    for (value, area, _) in numbers(lines) {
        let at = (area.centre().x - grid.left) / lattice.across();
        if at <= 0.0 || at >= lattice.columns as f64 {
            continue;
        }
        let off = (at - at.floor() - 0.5).abs();
        let end = if area.bottom <= grid.top + 0.5 && area.bottom >= grid.top - COLUMN_MARGIN {
            Some((0, grid.top - area.bottom))
        } else if area.top >= grid.bottom - 0.5 && area.top <= grid.bottom + COLUMN_MARGIN {
            Some((1, area.top - grid.bottom))
        } else {
            None
        };
        if let Some((end, away)) = end {
            ends[at as usize][end].numbers.push(Number { value, away, off });
        }
    }
    for end in ends.iter_mut().flatten() {
        end.numbers.sort_by(|a, b| a.away.total_cmp(&b.away));
    }
    ends
}

/// Which first row (or column) the numbers speak for, counted from 0, with how many speak for each; most votes first.
pub(super) fn votes(ends: &[[End; 2]], most: usize) -> Vec<(usize, usize)> {
    let mut votes: BTreeMap<usize, usize> = BTreeMap::new();
    for (at, pair) in ends.iter().enumerate() {
        for number in pair.iter().flat_map(|e| &e.numbers) {
            if let Some(first) = number.value.checked_sub(at + 1)
                && first <= most
            {
                *votes.entry(first).or_default() += 1;
            }
        }
    }
    let mut votes: Vec<(usize, usize)> = votes.into_iter().collect();
    votes.sort_by_key(|(first, n)| (usize::MAX - n, *first));
    votes
}
