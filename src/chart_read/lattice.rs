//! The lattice of squares: how far apart its lines are, where they lie, and where the chart ends.
//!
//! Squares show in edges that go on for a square's whole side, be they grid lines or only changes of colour; strokes of
//! symbols, figures and letters are shorter. So edges count by how long they go on.

mod extent;
mod fold;
mod period;

use super::edges::Edges;
use super::reading::Size;
use extent::Extent;
use fold::Points;
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
    /// Whether squares have lines around them.
    pub(super) lined: bool,
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
    let mut fits = match edges.slack {
        0 => by_long_edges(&across, &down, &wide, &high),
        _ => by_folding((edges, &turned), (&across, &down), &wide, &high),
    };
    let most = fits.iter().map(|(held, ..)| *held).fold(0.0, f64::max);
    // What a screen shows is plain; where it is not, packing has left grain, and that is looked at otherwise.
    if edges.slack == 0 && most < 0.3 {
        return None;
    }
    // Halves and thirds of the squares hold the same edges: the largest that hold nearly all are the squares.
    if edges.slack == 0 {
        fits.retain(|(held, ..)| *held >= 0.86 * most && *held > 0.0);
    }
    fits.sort_by(|a, b| (b.1.period * b.2.period).total_cmp(&(a.1.period * a.2.period)));
    let mut best: Option<Lattice> = None;
    for (fitted, x, y) in fits.into_iter().take(3) {
        let Some(extent) = Extent::of(edges, &turned, &x, &y, size) else { continue };
        // Packing leaves short edges everywhere; those that go on say more.
        let strength = if extent.lined { extent.framed } else { extent.held.max(fitted) };
        let lattice = Lattice {
            xs: extent.xs,
            ys: extent.ys,
            moved: Vec::new(),
            strength,
            lined: extent.lined,
            size_is_sure: extent.size_is_sure,
        };
        if best.as_ref().is_none_or(|best| lattice.strength > best.strength + 0.05) {
            best = Some(lattice);
        }
    }
    best
}

/// Squares are about square; charts drawn in the proportion of knots are half as high again as wide, or wide.
fn like_a_square(wide: f64, high: f64) -> bool {
    (0.4..=2.5).contains(&(wide / high))
}

/// Distances held against edges that go on for a square's side, as a screen shows them.
fn by_long_edges(across: &Runs, down: &Runs, wide: &[f64], high: &[f64]) -> Vec<(f64, Fit, Fit)> {
    let mut fits: Vec<(f64, Fit, Fit)> = Vec::new();
    for &w in wide {
        for &h in high.iter().filter(|h| like_a_square(w, **h)) {
            let (Some(x), Some(y)) = (across.fit(w, 0.85 * h, None), down.fit(h, 0.85 * w, None)) else { continue };
            // Few edges that happen to fit are no lattice: most of what goes on has to lie on it.
            fits.push((x.held * y.held * libm::sqrt(x.share * y.share), x, y));
        }
    }
    fits
}

/// Distances by how whole the lines are when all squares are laid upon one another, where packing or a lens has broken them.
fn by_folding(
    (edges, turned): (&Edges, &Edges),
    (across, down): (&Runs, &Runs),
    wide: &[f64],
    high: &[f64],
) -> Vec<(f64, Fit, Fit)> {
    let (upright, level) = (Points::of(edges), Points::of(turned));
    let wide: Vec<f64> = wide.iter().map(|w| across.finer(*w)).collect();
    let high: Vec<f64> = high.iter().map(|h| down.finer(*h)).collect();
    let mut places = Vec::new();
    for &w in &wide {
        for &h in high.iter().filter(|h| like_a_square(w, **h)) {
            let (x, y) = (
                upright.place((w, h), across.smeared().min(0.2 * w)),
                level.place((h, w), down.smeared().min(0.2 * h)),
            );
            places.push((x.seen * y.seen, (w, x), (h, y)));
        }
    }
    places.sort_by(|a, b| b.0.total_cmp(&a.0));
    let best = places.first().map_or(0.0, |place| place.0);
    let fit = |(seen, (w, x), (h, y)): &(f64, (f64, fold::Place), (f64, fold::Place))| {
        let (x, y) = (across.fit(*w, 0.85 * h, Some(x.first))?, down.fit(*h, 0.85 * w, Some(y.first))?);
        // As strong as a line is whole.
        Some((libm::sqrt(*seen), x, y))
    };
    places.iter().take(2).filter(|place| place.0 >= 0.9 * best).filter_map(fit).collect()
}
