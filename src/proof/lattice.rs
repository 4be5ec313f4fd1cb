//! Finds the grid of a chart on a page from its thin lines: many level ones and many upright ones, all of one length and
//! evenly spaced.

use super::canvas;
use super::marks::{Drawn, Kind, Paint, Painted, Part};
use super::matrix::{Bounds, Spot};
use crate::colour::Colour;

/// Lines of a grid are no wider than this, points.
const WIDEST: f64 = 2.5;
/// Ends of the lines of one grid differ by no more than this, points: half a wide line and some rounding.
const ENDS: f64 = 1.6;
/// Lines nearer than this are one line drawn twice, points.
const TWICE: f64 = 0.4;
/// Lines of one direction that are looked at.
const MOST_LINES: usize = 6_000;

/// An even grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lattice {
    /// Its outer edge.
    pub area: Bounds,
    /// Columns.
    pub columns: usize,
    /// Rows.
    pub rows: usize,
}

impl Lattice {
    /// Width of a column, points.
    pub fn across(&self) -> f64 {
        self.area.width() / self.columns as f64
    }
    /// Height of a row, points.
    pub fn down(&self) -> f64 {
        self.area.height() / self.rows as f64
    }
    /// The middle of a column.
    pub fn column_middle(&self, column: usize) -> f64 {
        self.area.left + (column as f64 + 0.5) * self.across()
    }
    /// The middle of a row.
    pub fn row_middle(&self, row: usize) -> f64 {
        self.area.top + (row as f64 + 0.5) * self.down()
    }
}

/// One line: where it stands and from where to where it runs.
#[derive(Clone, Copy, Debug)]
struct Line {
    at: f64,
    from: f64,
    to: f64,
}

/// All grids of a page, the largest first.
pub(super) fn lattices(page: &Drawn) -> Vec<Lattice> {
    let (level, upright) = lines(page);
    let mut out: Vec<Lattice> = Vec::new();
    for group in groups(upright) {
        let (Some(first), Some(last)) = (group.first(), group.last()) else { continue };
        let (left, right) = (first.at, last.at);
        let (top, bottom) = (first.from, first.to);
        let mates: Vec<f64> = level
            .iter()
            .filter(|l| (l.from - left).abs() <= ENDS && (l.to - right).abs() <= ENDS)
            .filter(|l| l.at >= top - ENDS && l.at <= bottom + ENDS)
            .map(|l| l.at)
            .collect();
        let (Some(rows), Some(columns)) = (even(&mates), even(&group.iter().map(|l| l.at).collect::<Vec<_>>())) else {
            continue;
        };
        let area = Bounds { left: columns.0, top: rows.0, right: columns.1, bottom: rows.1 };
        let lattice = Lattice { area, columns: columns.2, rows: rows.2 };
        if (area.top - top).abs() <= ENDS && (area.bottom - bottom).abs() <= ENDS && !out.contains(&lattice) {
            out.push(lattice);
        }
    }
    out.sort_by(|a, b| (b.area.width() * b.area.height()).total_cmp(&(a.area.width() * a.area.height())));
    out
}

/// Level and upright lines, pieces in one line joined, sorted by where they stand.
fn lines(page: &Drawn) -> (Vec<Line>, Vec<Line>) {
    let (mut level, mut upright) = (Vec::new(), Vec::new());
    for mark in page.painted.iter().filter(|m| m.paint != Paint::Flat(Colour::WHITE)) {
        match mark.kind {
            Kind::Stroke(width) if width <= WIDEST => {
                for part in &mark.parts {
                    sides(part, &mut |a, b| note(a, b, &mut level, &mut upright));
                }
            }
            Kind::Fill | Kind::FillEvenOdd => thin_boxes(mark, &mut level, &mut upright),
            Kind::Stroke(_) | Kind::Picture => {}
        }
    }
    (joined(level), joined(upright))
}

fn sides(part: &Part, see: &mut impl FnMut(Spot, Spot)) {
    for pair in part.spots.windows(2) {
        see(pair[0], pair[1]);
    }
    if let (true, Some(first), Some(last)) = (part.closed, part.spots.first(), part.spots.last()) {
        see(*last, *first);
    }
}

fn note(a: Spot, b: Spot, level: &mut Vec<Line>, upright: &mut Vec<Line>) {
    let (dx, dy) = ((a.x - b.x).abs(), (a.y - b.y).abs());
    if dy < 0.02 && dx > 2.0 {
        level.push(Line { at: a.y, from: a.x.min(b.x), to: a.x.max(b.x) });
    } else if dx < 0.02 && dy > 2.0 {
        upright.push(Line { at: a.x, from: a.y.min(b.y), to: a.y.max(b.y) });
    }
}

fn thin_boxes(mark: &Painted, level: &mut Vec<Line>, upright: &mut Vec<Line>) {
    for part in mark.parts.iter().filter(|p| p.is_box()) {
        let (area, middle) = (part.bounds, part.bounds.centre());
        if area.height() <= WIDEST && area.width() > 4.0 * area.height() {
            level.push(Line { at: middle.y, from: area.left, to: area.right });
        } else if area.width() <= WIDEST && area.height() > 4.0 * area.width() {
            upright.push(Line { at: middle.x, from: area.top, to: area.bottom });
        }
    }
}

/// Pieces that follow each other in one line become one.
fn joined(mut pieces: Vec<Line>) -> Vec<Line> {
    pieces.sort_by(|a, b| a.at.total_cmp(&b.at).then(a.from.total_cmp(&b.from)));
    let mut out: Vec<Line> = Vec::new();
    let mut start = 0;
    while start < pieces.len() {
        let mut end = start + 1;
        while end < pieces.len() && pieces[end].at - pieces[start].at < TWICE {
            end += 1;
        }
        let same = &mut pieces[start..end];
        same.sort_by(|a, b| a.from.total_cmp(&b.from));
        let first_of_these = out.len();
        for piece in same.iter() {
            match out[first_of_these..].last_mut() {
                Some(line) if piece.from <= line.to + 0.6 => line.to = line.to.max(piece.to),
                _ => out.push(*piece),
            }
        }
        start = end;
    }
    out.truncate(MOST_LINES);
    out
}

/// Lines that begin and end together, each group sorted by where they stand.
fn groups(mut lines: Vec<Line>) -> Vec<Vec<Line>> {
    lines.sort_by(|a, b| a.from.total_cmp(&b.from).then(a.at.total_cmp(&b.at)));
    let mut out: Vec<Vec<Line>> = Vec::new();
    for line in lines {
        let so_far = out.len();
        let home = out.iter_mut().find(|g| (g[0].from - line.from).abs() <= ENDS && (g[0].to - line.to).abs() <= ENDS);
        match home {
            Some(group) => group.push(line),
            None if so_far < 2_000 => out.push(vec![line]),
            None => {}
        }
    }
    out.iter_mut().for_each(|g| g.sort_by(|a, b| a.at.total_cmp(&b.at)));
    out.retain(|g| g.len() >= 2);
    out
}

/// First place, last place and number of steps of an even row of places; a few strangers between them are forgiven.
fn even(places: &[f64]) -> Option<(f64, f64, usize)> {
    let mut places = places.to_vec();
    places.sort_by(f64::total_cmp);
    places.dedup_by(|b, a| *b - *a < TWICE);
    let (first, last) = (*places.first()?, *places.last()?);
    let mut gaps: Vec<f64> = places.windows(2).map(|w| w[1] - w[0]).collect();
    gaps.sort_by(f64::total_cmp);
    let step = *gaps.get(gaps.len() / 2)?;
    let steps = ((last - first) / step).round();
    if !(1.0..=5_000.0).contains(&steps) {
        return None;
    }
    let step = (last - first) / steps;
    let on = places.iter().filter(|p| {
        let at = (**p - first) / step;
        (at - at.round()).abs() < 0.08
    });
    let on = on.count();
    (on as f64 >= 0.9 * (steps + 1.0) && on * 10 >= places.len() * 9).then_some((first, last, steps as usize))
}

/// Samples of one side of a cell.
pub(super) const SAMPLES: usize = 16;

/// Paints everything that touches the grid into a canvas of [`SAMPLES`] by [`SAMPLES`] a cell.
pub(super) fn sampled(page: &Drawn, lattice: &Lattice) -> canvas::Canvas {
    let mut canvas = canvas::Canvas::new(lattice.area, lattice.columns * SAMPLES, lattice.rows * SAMPLES);
    page.painted.iter().for_each(|mark| canvas.paint(mark));
    canvas
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn evenly_spaced_places_are_counted_and_strangers_forgiven() {
        let mut places: Vec<f64> = (0..=30).map(|i| 50.0 + 8.5 * f64::from(i)).collect();
        places.push(92.6);
        places.push(92.5);
        // Own computation: 30 steps of 8.5.
        assert_eq!(even(&places), Some((50.0, 305.0, 30)));
        assert_eq!(even(&[1.0, 5.0, 17.0, 18.0]), None);
        assert_eq!(even(&[4.0]), None);
        assert_eq!(even(&[4.0, 9.0]), Some((4.0, 9.0, 1)));
    }
}
