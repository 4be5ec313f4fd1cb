//! Where in its square a line lies: the edges of all squares of a window laid upon one another. A line of the lattice goes on
//! from one end of the square to the other; strokes of symbols do not, however often they come again.

use crate::chart_read::edges::Edges;
use crate::chart_read::window::Window;

/// Most edges that are laid together.
const MAX_EDGES: usize = 40_000;
/// Most parts of a square's side along a line.
const ALONG: usize = 12;
/// Least share of a line between two others that is a line as well.
const FINER: f64 = 0.12;

/// A line is the only one where it is by so much clearer than all else, of what is seen of it.
const SINGLE: f64 = 0.5;

/// Edges of one direction in a window, few enough to be laid together many times.
pub(super) struct Points {
    points: Vec<(f32, f32)>,
    /// Pixel rows that were looked at, of all.
    share: f64,
    area: f64,
}

/// Squares of one size laid upon one another: for each place across, how much of a line along it is seen.
pub(super) struct Fold {
    wide: f64,
    /// 0 to 1 by place across.
    seen: Vec<f64>,
    /// Places at each side of a line that belong to it.
    reach: usize,
    best: usize,
    /// Places of the middle of what is there, from `best`.
    off: f64,
}

impl Points {
    /// Upright edges.
    pub(super) fn of(edges: &Edges, window: Window) -> Points {
        let lines = || (window.top..window.bottom).map(|y| (y, edges.upright_in(y, window)));
        let count: usize = lines().map(|(_, line)| line.iter().filter(|edge| **edge > 0).count()).sum();
        let mut step = count.div_ceil(MAX_EDGES).max(1);
        // No step that walks in time with the squares.
        if step > 1 {
            step |= 1;
        }
        let mut points = Vec::new();
        for (y, line) in lines().step_by(step) {
            let kept = line.iter().enumerate().filter(|(_, edge)| **edge > 0);
            points.extend(kept.map(|(x, _)| ((x + window.left) as f32, y as f32)));
        }
        Points { points, share: 1.0 / step as f64, area: window.area() as f64 }
    }

    /// Lays squares of this size upon one another. `near`: how far from a line its edges may lie. `alike`: there may be
    /// symbols in them, whose strokes nearly go from line to line.
    pub(super) fn fold(&self, (wide, high): (f64, f64), near: f64, alike: bool) -> Fold {
        let parts = ((wide * 2.0).round() as usize).clamp(8, 240);
        let mut counts = vec![[0.0_f64; ALONG]; parts];
        // No finer than pixels: parts between them would stay empty.
        let along = ((high * 0.8) as usize).clamp(3, ALONG);
        let (per_x, per_y) = (1.0 / wide as f32, 1.0 / high as f32);
        for &(x, y) in &self.points {
            let (u, v) = ((x * per_x).fract() * parts as f32, (y * per_y).fract() * along as f32);
            counts[(u as usize).min(parts - 1)][(v as usize).min(along - 1)] += 1.0;
        }
        let reach = ((near / wide * parts as f64).round().max(1.0) as usize).min(parts / 8).max(1);
        let pixels = self.area * self.share / wide / along as f64;
        let seen = |at: usize| {
            let mut sums = [0.0_f64; ALONG];
            for i in 0..=2 * reach {
                for (sum, count) in sums.iter_mut().zip(counts[(at + parts + i - reach) % parts]) {
                    *sum += count;
                }
            }
            let sums = &mut sums[..along];
            sums.sort_by(f64::total_cmp);
            (sums[along / if alike { 10 } else { 5 }] / pixels.max(1.0)).min(1.0)
        };
        let seen: Vec<f64> = (0..parts).map(seen).collect();
        let mass = |at: usize| -> f64 { counts[at].iter().sum() };
        let all = |at: usize| -> f64 { (0..=2 * reach).map(|i| mass((at + parts + i - reach) % parts)).sum() };
        let better = |&a: &usize, &b: &usize| seen[a].total_cmp(&seen[b]).then(all(a).total_cmp(&all(b)));
        let best = (0..parts).max_by(better).unwrap_or(0);
        // The middle of what is there, so that both edges of a line count.
        let (mut sum, mut moment) = (0.0, 0.0);
        for i in 0..=2 * reach {
            let column = mass((best + parts + i - reach) % parts);
            sum += column;
            moment += column * (i as f64 - reach as f64);
        }
        Fold { wide, reach, best, off: moment / f64::max(sum, 1.0), seen }
    }
}

impl Fold {
    /// The first line at or after 0.
    pub(super) fn first(&self) -> f64 {
        ((self.best as f64 + 0.5 + self.off) / self.seen.len() as f64 * self.wide).rem_euclid(self.wide)
    }

    /// How much of a line is seen, less what is seen anywhere else: several lines in one square make it several squares.
    pub(super) fn clear(&self) -> f64 {
        let parts = self.seen.len();
        let away = |at: &usize| {
            let d = at.abs_diff(self.best);
            d.min(parts - d) > 2 * self.reach + 1
        };
        let other = (0..parts).filter(away).map(|at| self.seen[at]).max_by(f64::total_cmp);
        // Where nothing is away from the line, nothing can be told.
        other.map_or(0.0, |other| self.seen[self.best] - other)
    }

    /// Whether the line is plainly the only one.
    pub(super) fn is_single(&self) -> bool {
        self.clear() >= SINGLE * self.seen[self.best]
    }

    /// Whether fainter lines cut the square into so many equal parts, and nothing else is seen: a grid whose heavier lines
    /// outshine the others.
    pub(super) fn is_cut_into(&self, count: usize) -> bool {
        let parts = self.seen.len();
        let mut sorted = self.seen.clone();
        sorted.sort_by(f64::total_cmp);
        let usual = sorted[parts / 3];
        let least = (1..count)
            .map(|i| {
                let middle = self.best + (parts * i + count / 2) / count;
                (0..3).map(|d| self.seen[(middle + parts + d - 1) % parts]).fold(0.0, f64::max)
            })
            .fold(f64::INFINITY, f64::min);
        parts >= count * (3 * self.reach + 1) && least >= usual + FINER
    }
}
