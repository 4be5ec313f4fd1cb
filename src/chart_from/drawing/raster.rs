//! The drawing laid under the knots: so many points across and down each, each with its label.

use super::label_map::Labels;
use crate::chart_from::cells::{Places, View};

/// Points of all knots, at most: more change nothing and take memory.
const MAX_POINTS: usize = 6_000_000;
/// Points across a knot, at least and at most.
const ACROSS: (usize, usize) = (6, 28);

/// Labels of points.
pub(super) struct Raster {
    pub(super) columns: usize,
    pub(super) rows: usize,
    /// Points across and down a knot.
    pub(super) across: usize,
    pub(super) down: usize,
    pub(super) of: Vec<u8>,
}

impl Raster {
    pub(super) fn of(labels: &Labels, view: &View, columns: usize, rows: usize) -> Raster {
        let (w, h) = (labels.width as f64, labels.height as f64);
        let (kept_w, kept_h) = view.size(w, h);
        let most = libm::sqrt(MAX_POINTS as f64 / (columns * rows) as f64) as usize;
        let points = |kept: f64, cells: usize| {
            (libm::ceil(kept / cells as f64) as usize).clamp(ACROSS.0, ACROSS.1).min(most.max(3))
        };
        let (across, down) = (points(kept_w, columns), points(kept_h, rows));
        let places = Places::with_points((labels.width, labels.height), view, (columns, rows), (across, down));
        let (width, height) = (columns * across, rows * down);
        let mut of = Vec::with_capacity(width * height);
        for i in 0..height {
            for j in 0..width {
                let (x, y) = places.point(i, j);
                of.push(labels.at(x, y));
            }
        }
        Raster { columns, rows, across, down, of }
    }

    pub(super) fn width(&self) -> usize {
        self.columns * self.across
    }

    pub(super) fn height(&self) -> usize {
        self.rows * self.down
    }

    /// The knot that a point lies in.
    pub(super) fn cell_of(&self, at: usize) -> usize {
        let (x, y) = (at % self.width(), at / self.width());
        y / self.down * self.columns + x / self.across
    }

    /// Points of a knot.
    pub(super) fn area(&self) -> f64 {
        (self.across * self.down) as f64
    }
}
