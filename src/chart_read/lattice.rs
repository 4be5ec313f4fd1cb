//! The lattice of squares: how far apart its lines are, where they lie, and where the chart ends.
//!
//! Squares show in edges that go on for a square's whole side, be they grid lines or only changes of colour; strokes of
//! symbols, figures and letters are shorter. So edges count by how long they go on.

mod extent;
mod period;

use super::edges::Edges;
use super::reading::Size;
use extent::Extent;
use period::{Fit, Runs};

/// Where the squares are.
#[derive(Clone, Debug)]
pub(super) struct Lattice {
    /// Places of upright lines, one more than columns.
    pub(super) xs: Vec<f64>,
    /// Places of level lines.
    pub(super) ys: Vec<f64>,
    /// How far corners are from there, in reading order; empty where the lattice is straight.
    pub(super) moved: Vec<(f64, f64)>,
    /// 0 to 1: how much of what is to be seen of a grid is seen.
    pub(super) strength: f64,
    /// Whether lines or the picture's own edges bound it on all sides.
    pub(super) size_is_sure: bool,
}

impl Lattice {
    pub(super) fn columns(&self) -> usize {
        self.xs.len() - 1
    }
    pub(super) fn rows(&self) -> usize {
        self.ys.len() - 1
    }
    /// Without so many lines at the left, right, top and bottom.
    pub(super) fn without(&mut self, [left, right, top, bottom]: [usize; 4]) {
        self.xs.drain(..left);
        self.xs.truncate(self.xs.len() - right);
        self.ys.drain(..top);
        self.ys.truncate(self.ys.len() - bottom);
    }
    /// Width and height of a square in the mean.
    pub(super) fn square(&self) -> (f64, f64) {
        let mean = |lines: &[f64]| (lines[lines.len() - 1] - lines[0]) / (lines.len() - 1) as f64;
        (mean(&self.xs), mean(&self.ys))
    }
    /// Corners of all squares in reading order.
    pub(super) fn corners(&self) -> Vec<(f64, f64)> {
        let straight = self.ys.iter().flat_map(|&y| self.xs.iter().map(move |&x| (x, y)));
        match self.moved.is_empty() {
            true => straight.collect(),
            false => straight.zip(&self.moved).map(|((x, y), (dx, dy))| (x + dx, y + dy)).collect(),
        }
    }
}

/// `None`: there is nothing like a lattice.
pub(super) fn find(edges: &Edges, size: Size) -> Option<Lattice> {
    let turned = edges.turned();
    let (across, down) = (Runs::of(edges), Runs::of(&turned));
    let (wide, high) = (across.candidates(), down.candidates());
    let mut fits: Vec<(f64, Fit, Fit)> = Vec::new();
    for &w in &wide {
        for &h in &high {
            // Squares are about square; charts drawn in the proportion of knots are half as high again as wide, or wide.
            if !(0.4..=2.5).contains(&(w / h)) {
                continue;
            }
            let (Some(x), Some(y)) = (across.fit(w, 0.85 * h), down.fit(h, 0.85 * w)) else { continue };
            // Few edges that happen to fit are no lattice: most of what goes on has to lie on it.
            fits.push((x.held * y.held * libm::sqrt(x.share * y.share), x, y));
        }
    }
    let most = fits.iter().map(|(held, ..)| *held).fold(0.0, f64::max);
    // What a screen shows is plain; where it is not, packing has left grain, and that is looked at otherwise.
    if edges.slack == 0 && most < 0.12 {
        return None;
    }
    // Halves and thirds of the squares hold the same edges: the largest that hold nearly all are the squares.
    fits.retain(|(held, ..)| *held >= 0.86 * most && *held > 0.0);
    fits.sort_by(|a, b| (b.1.period * b.2.period).total_cmp(&(a.1.period * a.2.period)));
    let mut best: Option<Lattice> = None;
    for (_, x, y) in fits.into_iter().take(3) {
        let Some(extent) = Extent::of(edges, &turned, &x, &y, size) else { continue };
        let strength = if extent.lined { extent.framed } else { extent.held };
        let lattice =
            Lattice { xs: extent.xs, ys: extent.ys, moved: Vec::new(), strength, size_is_sure: extent.size_is_sure };
        if best.as_ref().is_none_or(|best| lattice.strength > best.strength + 0.05) {
            best = Some(lattice);
        }
    }
    best
}
