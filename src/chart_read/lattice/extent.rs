//! Which squares of an endless lattice are the chart: inside its lines where it has lines; else the squares that are not of
//! the paper's colour; or the whole picture where that is made of whole squares.

use super::bounds::{best_box, bounded, sized};
use super::outside;
use super::sides::{SEEN, Sides};
use super::spread::{Part, Spread, between};
use crate::chart_read::edges::Edges;
use crate::chart_read::margins;
use crate::chart_read::reading::Size;
use crate::chart_read::squares::{self, Grid};
use crate::picture::SrgbPicture;

/// The chart's part of the lattice.
pub(super) struct Extent {
    pub(super) part: Part,
    /// Whether squares have lines around them.
    pub(super) lined: bool,
    /// The share of squares that show all four sides.
    pub(super) framed: f64,
    pub(super) size_is_sure: bool,
    /// As of [`quality`], inside.
    pub(super) quality: f64,
}

/// Squares have lines where so many of them show all four sides.
const LINED: f64 = 0.55;
/// And seem to have them where so many do, of the box around all that do.
const SEEMS_LINED: f64 = 0.4;
/// How much a square with so many of its sides seen speaks for the chart going on there.
const BY_SIDES: [f64; 5] = [-1.0, -1.0, -0.8, 0.2, 1.0];
/// Where squares have no lines, a side is seen where so much of it is: strokes of figures beside the chart are shorter.
const SEEN_WHOLE: f32 = 0.8;
/// And from corner to corner.
const TO_CORNERS: f32 = 0.92;

impl Extent {
    pub(super) fn of(
        edges: &Edges,
        turned: &Edges,
        picture: &SrgbPicture,
        (spread, alike): (&Spread, bool),
        size: Size,
    ) -> Option<Extent> {
        let lines = (&spread.xs[..], &spread.ys[..]);
        let near = spread.near(edges);
        let sides = Sides::of(edges, turned, lines, near, 0.1);
        let framed = sides.framed();
        let share = |part: Part| sides.share(part, &framed);
        let inside = spread.inside(picture)?;
        let framed_box = sides.largest(&sides.widened(&framed, 1)).map(|(around, _)| around);
        let seems_lined = framed_box.is_some_and(|around| around.area() >= 64 && share(around) >= SEEMS_LINED);
        let outside = match edges.may_be_whole {
            true => Vec::new(),
            false => outside::find(picture, spread, &sides, (seems_lined, alike)),
        };
        let is_outside = |row: usize, column: usize| outside.get(row * sides.columns + column).is_some_and(|out| *out);
        let lined = framed_box
            .and_then(|around| {
                best_box(sides.size(), around, |row, column| {
                    if inside.holds(row, column) && !is_outside(row, column) {
                        BY_SIDES[sides.count(row, column)]
                    } else {
                        -1.0
                    }
                })
            })
            .map(|part| bounded((edges, turned), spread, near, part, share))
            .filter(|part| share(*part) >= LINED && part.area() >= 64);
        let (part, sure) = match lined {
            Some(part) => (part, true),
            None if edges.may_be_whole => unlined(edges, turned, picture, spread, near)?,
            None => on_a_sheet(&sides, &outside, &is_outside)?,
        };
        let (part, told) = sized(sides.size(), part, size, &framed);
        if part.left >= part.right || part.top >= part.bottom {
            return None;
        }
        let cut = Spread {
            xs: spread.xs[part.left..=part.right].to_vec(),
            ys: spread.ys[part.top..=part.bottom].to_vec(),
            ..*spread
        };
        let quality = quality(edges, turned, picture, &cut, alike);
        Some(Extent { part, quality, framed: share(part), lined: lined.is_some(), size_is_sure: sure || told })
    }
}

/// How much speaks for squares, 0 to 1: their sides are seen, and not half-way between; every other line is seen as often,
/// else they are halves of squares; their ground is even, else they are several, or parts of letters.
fn quality(edges: &Edges, turned: &Edges, picture: &SrgbPicture, spread: &Spread, alike: bool) -> f64 {
    let near = spread.near(edges);
    let sides = Sides::of(edges, turned, (&spread.xs, &spread.ys), near, 0.1);
    let held = held(edges, turned, spread, near);
    if held <= 0.0 {
        return 0.0;
    }
    // Letters may fill squares that come again as a whole.
    let even = if alike { 1.0 } else { evenness(picture, spread) };
    held * sides.steadiness(sides.all()) * even
}

/// How much more of squares' sides is seen on the lines than half-way between them, 0 to 1, for both directions together.
fn held(edges: &Edges, turned: &Edges, spread: &Spread, near: (f64, f64)) -> f64 {
    let (xs, ys) = (&spread.xs[..], &spread.ys[..]);
    let share = |lines: (&[f64], &[f64])| {
        // From corner to corner: strokes of letters are nearly as long as sides.
        let sides = Sides::of(edges, turned, lines, near, 0.0);
        let seen =
            |all: &[f32]| all.iter().filter(|side| **side >= TO_CORNERS).count() as f64 / all.len().max(1) as f64;
        (seen(&sides.upright), seen(&sides.level))
    };
    let (on_x, on_y) = share((xs, ys));
    // Lines half-way in one direction only, so that sides begin and end where squares do.
    let (off_x, off_y) = (share((&between(xs), ys)).0, share((xs, &between(ys))).1);
    let more = |on: f64, off: f64| ((on - off) / (on + 1e-9)).clamp(0.0, 1.0);
    more(on_x, off_x) * more(on_y, off_y)
}

/// The share of squares whose ground is even.
fn evenness(picture: &SrgbPicture, spread: &Spread) -> f64 {
    let corners = spread.corners();
    let columns = spread.xs.len() - 1;
    let grid = Grid { picture, corners: &corners, columns, margins: None };
    let all = columns * (spread.ys.len() - 1);
    // No step that walks in time with the rows.
    let step = (all / 1_200).max(1) | 1;
    let looked = (0..all).step_by(step).map(|at| f64::from(u8::from(squares::ground_at(grid, at).1 >= 0.75)));
    looked.clone().sum::<f64>() / looked.count().max(1) as f64
}

/// The part that is a chart without lines, and whether it is bounded on all sides.
fn unlined(
    edges: &Edges,
    turned: &Edges,
    picture: &SrgbPicture,
    spread: &Spread,
    near: (f64, f64),
) -> Option<(Part, bool)> {
    let lines = (&spread.xs[..], &spread.ys[..]);
    let sides = Sides::of(edges, turned, lines, near, 0.1);
    let all = sides.all();
    let corners = spread.corners();
    let grid = Grid { picture, corners: &corners, columns: sides.columns, margins: None };
    let looked: Vec<([u8; 3], f32)> = (0..all.area()).map(|at| squares::ground_at(grid, at)).collect();
    let whole = edges.may_be_whole && spread.fits(picture);
    let even = looked.iter().filter(|(_, even)| *even >= 0.9).count();
    if whole && even * 50 >= looked.len() * 49 {
        return Some((all, true));
    }
    // Without paper around, the chart goes on to the picture's edges.
    let Some(paper) = paper(picture) else {
        return Some((spread.inside(picture)?, whole));
    };
    let inside = spread.inside(picture)?;
    let score = |row: usize, column: usize| {
        let at = row * sides.columns + column;
        if !inside.holds(row, column) {
            return -1.0;
        }
        let bare = squares::share_of(grid, at, paper, 14);
        // A yarn may have the paper's colour; what stands beside a chart is paper in part.
        if bare > 0.97 { -0.5 } else { 1.0 - 2.0 * f64::from(bare).min(0.5) / 0.5 }
    };
    let scores: Vec<f64> = (0..all.area()).map(|at| score(at / sides.columns, at % sides.columns)).collect();
    let full: Vec<bool> = scores.iter().map(|score| *score > 0.3).collect();
    let (around, _) = sides.largest(&full)?;
    let part = best_box(sides.size(), around, |row, column| scores[row * sides.columns + column])?;
    let most = |seen: usize, of: usize| seen * 4 >= of * 3;
    let (wide, high) = (part.right - part.left, part.bottom - part.top);
    let upright = |line: usize| {
        let edge = line == 0 || line == sides.columns;
        edge || most((part.top..part.bottom).filter(|&row| sides.side(row, line) >= SEEN_WHOLE).count(), high)
    };
    let level = |line: usize| {
        let edge = line == 0 || line == sides.rows;
        edge || most((part.left..part.right).filter(|&c| sides.level_side(line, c) >= SEEN_WHOLE).count(), wide)
    };
    let sure = upright(part.left) && upright(part.right) && level(part.top) && level(part.bottom);
    Some((part, sure))
}

/// The part of a photograph that is a chart without lines, and whether it is plainly bounded.
fn on_a_sheet(sides: &Sides, outside: &[bool], is_outside: &dyn Fn(usize, usize) -> bool) -> Option<(Part, bool)> {
    let inside: Vec<bool> = outside.iter().map(|outside| !outside).collect();
    let found = sides.largest(&inside).and_then(|(around, _)| {
        best_box(sides.size(), around, |row, column| if is_outside(row, column) { -1.0 } else { 1.0 })
    });
    match found {
        Some(part) if part.area() >= 64 && sides.share(part, &inside) >= 0.9 => Some((part, true)),
        _ => sides.changing(),
    }
}

/// The colour that nearly all of the picture's outermost pixels have.
fn paper(picture: &SrgbPicture) -> Option<[u8; 3]> {
    let (right, bottom) = (picture.width - 1, picture.height - 1);
    let level = (0..picture.width).flat_map(|x| [picture.at(x, 0), picture.at(x, bottom)]);
    let upright = (0..picture.height).flat_map(|y| [picture.at(0, y), picture.at(right, y)]);
    let ring: Vec<[u8; 3]> = level.chain(upright).collect();
    let middle = margins::middle(&ring);
    let of_it = ring.iter().filter(|pixel| alike(**pixel, middle, 10)).count();
    (of_it * 20 >= ring.len() * 19).then_some(middle)
}

fn alike(a: [u8; 3], b: [u8; 3], most: i32) -> bool {
    (0..3).all(|i| (i32::from(a[i]) - i32::from(b[i])).abs() <= most)
}

fn mean(values: impl Iterator<Item = f32>) -> f32 {
    let (sum, count) = values.fold((0.0, 0), |(sum, count), v| (sum + v, count + 1));
    sum / count.max(1) as f32
}

impl Sides {
    /// The share of a part's squares that are of some kind.
    fn share(&self, part: Part, is: &[bool]) -> f64 {
        let rows = part.top..part.bottom;
        let count: usize = rows.map(|row| (part.left..part.right).filter(|c| is[row * self.columns + c]).count()).sum();
        count as f64 / part.area().max(1) as f64
    }

    fn all(&self) -> Part {
        Part { left: 0, right: self.columns, top: 0, bottom: self.rows }
    }

    /// How much alike lines of odd and of even number are, 0 to 1.
    fn steadiness(&self, part: Part) -> f64 {
        let alike = |seen: Vec<f32>| {
            let of = |odd: usize| mean(seen.iter().skip(odd).step_by(2).copied());
            let (even, odd) = (of(0), of(1));
            // Every other one may differ by chance.
            f64::from(2.5 * even.min(odd) / even.max(odd).max(1e-6)).min(1.0)
        };
        let whole = |side: f32| f32::from(u8::from(side >= SEEN));
        let upright = |line: usize| mean((part.top..part.bottom).map(|row| whole(self.side(row, line))));
        let level = |line: usize| mean((part.left..part.right).map(|column| whole(self.level_side(line, column))));
        let upright = (part.left + 1..part.right).map(upright).collect();
        let level = (part.top + 1..part.bottom).map(level).collect();
        alike(upright) * alike(level)
    }

    fn size(&self) -> (usize, usize) {
        (self.columns, self.rows)
    }

    /// How many of a square's four sides are seen.
    fn count(&self, row: usize, column: usize) -> usize {
        let sides = [
            self.side(row, column),
            self.side(row, column + 1),
            self.level_side(row, column),
            self.level_side(row + 1, column),
        ];
        sides.into_iter().filter(|side| *side >= SEEN).count()
    }

    /// The box in which colours change from square to square, and whether it is bounded by such changes on all sides.
    fn changing(&self) -> Option<(Part, bool)> {
        // A square is of the chart where a side of it is seen, or of one not far from it.
        let seen = |at: usize| {
            let (row, column) = (at / self.columns, at % self.columns);
            self.side(row, column) >= SEEN_WHOLE
                || self.side(row, column + 1) >= SEEN_WHOLE
                || self.level_side(row, column) >= SEEN_WHOLE
                || self.level_side(row + 1, column) >= SEEN_WHOLE
        };
        let seen: Vec<bool> = (0..self.columns * self.rows).map(seen).collect();
        let near = self.widened(&seen, 1);
        let (around, _) = self.largest(&near)?;
        // Back to the outermost sides that are seen inside.
        let upright = |line: &usize| (around.top..around.bottom).any(|row| self.side(row, *line) >= SEEN_WHOLE);
        let level =
            |line: &usize| (around.left..around.right).any(|column| self.level_side(*line, column) >= SEEN_WHOLE);
        let part = Part {
            left: (around.left..=around.right).find(upright)?,
            right: (around.left..=around.right).rev().find(upright)?,
            top: (around.top..=around.bottom).find(level)?,
            bottom: (around.top..=around.bottom).rev().find(level)?,
        };
        if part.left >= part.right || part.top >= part.bottom {
            return None;
        }
        let share = |seen: usize, all: usize| seen * 4 >= all * 3;
        let (wide, high) = (part.right - part.left, part.bottom - part.top);
        let upright = |line: usize| {
            share((part.top..part.bottom).filter(|&row| self.side(row, line) >= SEEN_WHOLE).count(), high)
        };
        let level = |line: usize| {
            share((part.left..part.right).filter(|&column| self.level_side(line, column) >= SEEN_WHOLE).count(), wide)
        };
        // Figures and a key beside the chart change as well: where a whole line bounds it further in, that is its side.
        let bounded = |lines: &mut dyn Iterator<Item = usize>, is_whole: &dyn Fn(usize) -> bool, most: usize| {
            lines.take(most / 5 + 2).find(|line| is_whole(*line))
        };
        let part = Part {
            left: bounded(&mut (part.left..part.right), &upright, wide).unwrap_or(part.left),
            right: bounded(&mut (part.left + 1..=part.right).rev(), &upright, wide).unwrap_or(part.right),
            top: bounded(&mut (part.top..part.bottom), &level, high).unwrap_or(part.top),
            bottom: bounded(&mut (part.top + 1..=part.bottom).rev(), &level, high).unwrap_or(part.bottom),
        };
        if part.left >= part.right || part.top >= part.bottom {
            return None;
        }
        let sure = upright(part.left) && upright(part.right) && level(part.top) && level(part.bottom);
        Some((part, sure))
    }
}
