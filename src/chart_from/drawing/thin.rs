//! What is thin or small: lines narrower than a knot, spikes, eyes, highlights.

use super::raster::Raster;
use super::rgb::{as_rgb, differ, rgb, share_between};
use crate::colour::{Colour, Oklab};
use crate::picture::SrgbPicture;
use std::collections::BTreeMap;

/// Adds the colours of lines so thin that no pixel of theirs is flat: pixels that go on along the line and are unlike both
/// sides. Mixtures of the side with a colour that is known are no new colour.
pub(super) fn add_colours(picture: &SrgbPicture, colours: &mut Vec<Colour>, tolerance: i32) {
    let mut found: BTreeMap<[u8; 3], (usize, usize)> = BTreeMap::new();
    for y in 3..picture.height.saturating_sub(3) {
        for x in 3..picture.width.saturating_sub(3) {
            let here = rgb(picture, x, y);
            if colours.iter().any(|colour| differ(as_rgb(*colour), here) <= 24) {
                continue;
            }
            if let Some(side) = ridge(picture, x, y, tolerance) {
                let near = colours.iter().enumerate().map(|(at, c)| (differ(as_rgb(*c), side), at)).min();
                if let Some((_, side)) = near.filter(|(away, _)| *away <= 16) {
                    found.entry(picture.at(x, y)).or_insert((0, side)).0 += 1;
                }
            }
        }
    }
    let least = (picture.width * picture.height / 40_000).max(6);
    // Those furthest from their side first: what lies between is smoothing then.
    let mut order: Vec<([u8; 3], usize, usize)> =
        found.into_iter().map(|(colour, (times, side))| (colour, times, side)).collect();
    let contrast = |&(colour, _, side): &([u8; 3], usize, usize)| differ(colour.map(i32::from), as_rgb(colours[side]));
    order.sort_by_key(|entry| (core::cmp::Reverse(contrast(entry)), entry.0));
    let mut added: Vec<(Colour, usize)> = Vec::new();
    for (colour, times, side) in order {
        let here = colour.map(i32::from);
        let known = added.iter_mut().find(|(known, _)| differ(as_rgb(*known), here) <= 20);
        if let Some((_, count)) = known {
            *count += times;
            continue;
        }
        let side = as_rgb(colours[side]);
        let all = colours.iter().copied().chain(added.iter().map(|(colour, _)| *colour));
        let mixed = all
            .into_iter()
            .any(|other| share_between(here, side, as_rgb(other), 14.0).is_some_and(|t| (0.1..1.1).contains(&t)));
        if !mixed {
            added.push((Colour::new(colour[0], colour[1], colour[2]), times));
        }
    }
    colours.extend(added.into_iter().filter(|(_, times)| *times >= least).map(|(colour, _)| colour));
}

/// The colour at the side of a line that goes through this pixel, if one does.
fn ridge(picture: &SrgbPicture, x: usize, y: usize, tolerance: i32) -> Option<[i32; 3]> {
    let at = |dx: i64, dy: i64| rgb(picture, (x as i64 + dx) as usize, (y as i64 + dy) as usize);
    let here = at(0, 0);
    // Along the line, and across it.
    for ((ax, ay), (nx, ny)) in [((1, 0), (0, 1)), ((0, 1), (1, 0)), ((1, 1), (1, -1)), ((1, -1), (1, 1))] {
        let goes_on = [-2, -1, 1, 2].iter().all(|&k| differ(at(k * ax, k * ay), here) <= 2 * tolerance + 8);
        if !goes_on {
            continue;
        }
        let (one, other) = (at(3 * nx, 3 * ny), at(-3 * nx, -3 * ny));
        let away = differ(one, here);
        let dot: i32 = (0..3).map(|i| (here[i] - one[i]) * (here[i] - other[i])).sum();
        let extreme = [-1, 1].iter().all(|&k| differ(at(k * nx, k * ny), one) <= away + 2);
        if away > 30 && differ(other, here) > 30 && dot > 900 && extreme {
            return Some(one);
        }
    }
    None
}

/// For every knot and label, the share of the knot's area that belongs to something narrower than `narrow` knots.
pub(super) struct Thin {
    /// Labels that have anything thin, with the share of each knot.
    pub(super) shares: Vec<(u8, Vec<f32>)>,
}

/// Narrower than so many knots is thin.
const NARROW: f64 = 1.2;

pub(super) fn find(raster: &Raster, labels: usize) -> Thin {
    let (bw, bh) = ((NARROW * raster.across as f64).round() as usize, (NARROW * raster.down as f64).round() as usize);
    let mut shares = Vec::new();
    for label in 0..labels as u8 {
        let thin = rest_of_opening(raster, label, bw.max(2), bh.max(2));
        let mut share = vec![0.0_f32; raster.columns * raster.rows];
        let mut any = false;
        for (at, _) in thin.iter().enumerate().filter(|(_, thin)| **thin) {
            share[raster.cell_of(at)] += 1.0 / raster.area() as f32;
            any = true;
        }
        if any {
            shares.push((label, share));
        }
    }
    Thin { shares }
}

/// Points of a label that no box of this size fits over, wherever it is laid inside the label. Beyond the edges of the
/// raster everything has the label of the edge.
fn rest_of_opening(raster: &Raster, label: u8, bw: usize, bh: usize) -> Vec<bool> {
    let (width, height) = (raster.width() + 2 * bw, raster.height() + 2 * bh);
    let inside = |x: usize, y: usize| {
        let x = x.saturating_sub(bw).min(raster.width() - 1);
        let y = y.saturating_sub(bh).min(raster.height() - 1);
        raster.of[y * raster.width() + x] == label
    };
    let own = Sums::of(width, height, inside);
    let full = (bw * bh) as u32;
    // Places of the box's first corner where it fits.
    let fits =
        Sums::of(width, height, |x, y| x + bw <= width && y + bh <= height && own.within(x, y, x + bw, y + bh) == full);
    let mut out = Vec::with_capacity(raster.of.len());
    for y in 0..raster.height() {
        for x in 0..raster.width() {
            let (x, y) = (x + bw, y + bh);
            let thin = inside(x, y) && fits.within(x + 1 - bw, y + 1 - bh, x + 1, y + 1) == 0;
            out.push(thin);
        }
    }
    out
}

/// Counts of points in boxes.
struct Sums {
    stride: usize,
    of: Vec<u32>,
}

impl Sums {
    fn of(width: usize, height: usize, is: impl Fn(usize, usize) -> bool) -> Sums {
        let stride = width + 1;
        let mut of = vec![0_u32; stride * (height + 1)];
        for y in 0..height {
            let mut line = 0;
            for x in 0..width {
                line += u32::from(is(x, y));
                of[(y + 1) * stride + x + 1] = of[y * stride + x + 1] + line;
            }
        }
        Sums { stride, of }
    }

    fn within(&self, left: usize, top: usize, right: usize, bottom: usize) -> u32 {
        let at = |x: usize, y: usize| self.of[y * self.stride + x];
        at(right, bottom) + at(left, top) - at(left, bottom) - at(right, top)
    }
}

/// A patch of points of one label that hang together.
pub(super) struct Patch {
    pub(super) label: u8,
    /// Points.
    pub(super) area: usize,
    /// The knots it lies in, with its points in each, most first.
    pub(super) cells: Vec<(usize, usize)>,
    /// The strongest difference to what lies around it is at least this: the least of all labels that touch it.
    pub(super) contrast: f64,
}

/// All patches of at most `most` points.
pub(super) fn patches(raster: &Raster, looks: &[Oklab], most: usize) -> Vec<Patch> {
    let (width, height) = (raster.width(), raster.height());
    let mut seen = vec![false; raster.of.len()];
    let mut found = Vec::new();
    let mut points: Vec<usize> = Vec::new();
    for start in 0..raster.of.len() {
        if seen[start] {
            continue;
        }
        let label = raster.of[start];
        points.clear();
        points.push(start);
        seen[start] = true;
        let mut touched: BTreeMap<u8, usize> = BTreeMap::new();
        let mut next = 0;
        while next < points.len() {
            let at = points[next];
            next += 1;
            let (x, y) = (at % width, at / width);
            for v in y.saturating_sub(1)..(y + 2).min(height) {
                for u in x.saturating_sub(1)..(x + 2).min(width) {
                    let other = v * width + u;
                    if raster.of[other] != label {
                        *touched.entry(raster.of[other]).or_default() += 1;
                    } else if !seen[other] {
                        seen[other] = true;
                        points.push(other);
                    }
                }
            }
        }
        if points.len() > most {
            continue;
        }
        let mut cells: BTreeMap<usize, usize> = BTreeMap::new();
        for &at in &points {
            *cells.entry(raster.cell_of(at)).or_default() += 1;
        }
        let mut cells: Vec<(usize, usize)> = cells.into_iter().collect();
        cells.sort_by_key(|&(cell, points)| (core::cmp::Reverse(points), cell));
        let all: usize = touched.values().sum();
        // A label that touches it in a corner only does not count.
        let around = touched.iter().filter(|(_, times)| **times * 8 >= all);
        let contrast = around
            .map(|(&other, _)| libm::sqrt(looks[usize::from(other)].distance_squared(looks[usize::from(label)])))
            .fold(f64::INFINITY, f64::min);
        found.push(Patch { label, area: points.len(), cells, contrast });
    }
    found
}
