//! Axes of symmetry: found in the drawing, laid on an edge or the middle of a knot, and kept in the chart.

use super::label_map::Labels;
use crate::chart_from::cells::View;

/// The axes of a drawing, as shares of its width and height. `None`: it is not symmetrical about such an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Axes {
    /// The upright one: left and right are alike.
    pub(super) upright: Option<f64>,
    /// The level one: above and below are alike.
    pub(super) level: Option<f64>,
}

/// Points looked at along each side.
const POINTS: usize = 360;

pub(super) fn axes(labels: &Labels, colours: usize, view: &View) -> Axes {
    if view.turn != 0.0 {
        return Axes { upright: None, level: None };
    }
    let ground =
        labels.counts(colours).iter().enumerate().max_by_key(|(at, n)| (**n, usize::MAX - at)).map(|(at, _)| at);
    let ground = ground.unwrap_or(0) as u8;
    let across = Sheet { labels, turned: false };
    let down = Sheet { labels, turned: true };
    Axes { upright: across.axis(ground), level: down.axis(ground) }
}

/// The drawing, or the drawing turned by a quarter, so that both axes are looked for alike.
struct Sheet<'a> {
    labels: &'a Labels,
    turned: bool,
}

impl Sheet<'_> {
    fn size(&self) -> (usize, usize) {
        let (w, h) = (self.labels.width, self.labels.height);
        if self.turned { (h, w) } else { (w, h) }
    }

    fn at(&self, x: usize, y: usize) -> u8 {
        if self.turned { self.labels.at(y, x) } else { self.labels.at(x, y) }
    }

    /// The axis, as a share of the width.
    fn axis(&self, ground: u8) -> Option<f64> {
        let (width, _) = self.size();
        let (left, right) = self.extent(ground)?;
        // Twice the place of the axis in pixels, so that it may lie between two.
        let middle = left + right + 1;
        let mut tries: Vec<usize> = vec![middle, width];
        let reach = (width / 100).clamp(2, 12);
        for by in 1..=reach {
            tries.extend([middle + by, middle.saturating_sub(by), width + by, width.saturating_sub(by)]);
        }
        tries.dedup();
        let judged = tries.into_iter().map(|twice| (self.wrong(twice, ground), twice));
        let (wrong, twice) = judged.min_by(|a, b| a.0.total_cmp(&b.0))?;
        (wrong < 0.03 && !self.differs_somewhere(twice)).then(|| twice as f64 / 2.0 / width as f64)
    }

    /// First and last column with anything but the ground in it.
    fn extent(&self, ground: u8) -> Option<(usize, usize)> {
        let (width, height) = self.size();
        let used = |x: &usize| (0..height).any(|y| self.at(*x, y) != ground);
        Some(((0..width).find(used)?, (0..width).rev().find(used)?))
    }

    /// Share of the points off the ground whose mirror image has another label.
    fn wrong(&self, twice: usize, ground: u8) -> f64 {
        let (width, height) = self.size();
        let (step_x, step_y) = ((width / POINTS).max(1), (height / POINTS).max(1));
        let (mut wrong, mut seen) = (0_usize, 0_usize);
        for y in (0..height).step_by(step_y) {
            for x in (0..width).step_by(step_x) {
                let here = self.at(x, y);
                let there = self.mirrored(x, twice).map_or(ground, |other| self.at(other, y));
                if here != ground || there != ground {
                    seen += 1;
                    wrong += usize::from(here != there);
                }
            }
        }
        wrong as f64 / seen.max(1) as f64
    }

    fn mirrored(&self, x: usize, twice: usize) -> Option<usize> {
        twice.checked_sub(x + 1).filter(|other| *other < self.size().0)
    }

    /// Whether a patch of some pixels each way has another label than its mirror image: a wink, a letter, a flower in one
    /// hand. Edges alone may differ by a pixel, as smoothing and packing leave them.
    fn differs_somewhere(&self, twice: usize) -> bool {
        let (width, height) = self.size();
        let patch = (width.min(height) / 130).clamp(3, 8);
        // How many rows above, this one included, differ here without a gap to the left: a square grows in the corner.
        let mut above = vec![0_usize; width];
        for y in 0..height {
            let (mut corner, mut before) = (0, 0);
            for (x, size) in above.iter_mut().enumerate() {
                let old = *size;
                let differs = self.mirrored(x, twice).is_some_and(|other| self.at(x, y) != self.at(other, y));
                *size = if differs { old.min(before).min(corner) + 1 } else { 0 };
                if *size >= patch {
                    return true;
                }
                (corner, before) = (old, *size);
            }
        }
        false
    }
}

/// The view, moved by up to a quarter of a knot so that an axis lies on an edge or in the middle of a knot.
pub(super) fn aligned(view: View, axes: &Axes, columns: usize, rows: usize) -> View {
    let [left, top, right, bottom] = view.crop;
    let by = |axis: Option<f64>, from: f64, to: f64, count: usize| {
        let Some(axis) = axis else { return 0.0 };
        let knot = (to - from) / count as f64;
        let place = (axis - from) / knot;
        (place - (2.0 * place).round() / 2.0) * knot
    };
    let x = by(axes.upright, left, right, columns);
    let y = by(axes.level, top, bottom, rows);
    View { crop: [left + x, top + y, right + x, bottom + y], ..view }
}

/// Gives the knots at one side of an axis those of the other; whether left and right are now alike.
pub(super) fn copy(cells: &mut [u8], columns: usize, rows: usize, view: &View, axes: &Axes) -> bool {
    let [left, top, right, bottom] = view.crop;
    // Twice the place of the axis in knots.
    let twice = |axis: Option<f64>, from: f64, to: f64, count: usize| {
        axis.map(|axis| (2.0 * (axis - from) / (to - from) * count as f64).round() as i64)
    };
    if let Some(twice) = twice(axes.level, top, bottom, rows) {
        for (row, other) in pairs(twice, rows) {
            let (above, below) = cells.split_at_mut(other * columns);
            below[..columns].copy_from_slice(&above[row * columns..(row + 1) * columns]);
        }
    }
    let Some(twice) = twice(axes.upright, left, right, columns) else { return false };
    for row in 0..rows {
        for (column, other) in pairs(twice, columns) {
            cells[row * columns + other] = cells[row * columns + column];
        }
    }
    twice as usize == columns
}

/// Places before the axis with their mirror images behind it.
fn pairs(twice: i64, count: usize) -> impl Iterator<Item = (usize, usize)> {
    (0..count).filter_map(move |at| {
        let other = usize::try_from(twice - 1 - at as i64).ok()?;
        (at < other && other < count).then_some((at, other))
    })
}
