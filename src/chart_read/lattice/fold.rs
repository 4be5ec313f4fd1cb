//! Where in its square a line lies: the edges of all squares laid upon one another. A line of the lattice goes on from one
//! end of the square to the other; strokes of symbols do not, however often they come again.

use crate::chart_read::edges::Edges;

/// Most edges that are laid together.
const MAX_EDGES: usize = 100_000;
/// Most parts of a square's side along a line.
const ALONG: usize = 12;

/// Edges of one direction, few enough to be laid together many times.
pub(super) struct Points {
    points: Vec<(f32, f32)>,
    /// Pixel rows that were looked at, of all.
    share: f64,
    area: f64,
}

/// The best place of a line, and how much of it is seen.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    /// The first line at or after 0.
    pub(super) first: f64,
    /// Of a pixel along the line, how often it is an edge, where that is least often.
    pub(super) seen: f64,
}

impl Points {
    /// Upright edges.
    pub(super) fn of(edges: &Edges) -> Points {
        let count = edges.upright.iter().filter(|edge| **edge > 0).count();
        let mut step = count.div_ceil(MAX_EDGES).max(1);
        // No step that walks in time with the squares.
        if step > 1 {
            step |= 1;
        }
        let mut points = Vec::new();
        for (y, line) in edges.upright.chunks_exact(edges.width).enumerate().step_by(step) {
            let kept = line.iter().enumerate().filter(|(_, edge)| **edge > 0);
            points.extend(kept.map(|(x, _)| (x as f32, y as f32)));
        }
        Points { points, share: 1.0 / step as f64, area: (edges.width * edges.height) as f64 }
    }

    /// Lays squares of this size upon one another. `near`: how far from a line its edges may lie.
    pub(super) fn place(&self, (wide, high): (f64, f64), near: f64) -> Place {
        let parts = ((wide * 2.0).round() as usize).clamp(8, 160);
        let mut counts = vec![[0.0_f64; ALONG]; parts];
        // No finer than pixels: parts between them would stay empty.
        let along = ((high * 0.8) as usize).clamp(3, ALONG);
        let (per_x, per_y) = (1.0 / wide as f32, 1.0 / high as f32);
        for &(x, y) in &self.points {
            let (u, v) = ((x * per_x).fract() * parts as f32, (y * per_y).fract() * along as f32);
            counts[(u as usize).min(parts - 1)][(v as usize).min(along - 1)] += 1.0;
        }
        let reach = (near / wide * parts as f64).round().max(1.0) as usize;
        let seen = |at: usize| {
            let mut sums = [0.0_f64; ALONG];
            for i in 0..=2 * reach {
                for (sum, count) in sums.iter_mut().zip(counts[(at + parts + i - reach) % parts]) {
                    *sum += count;
                }
            }
            let sums = &mut sums[..along];
            sums.sort_by(f64::total_cmp);
            sums[along / 5]
        };
        let all: Vec<f64> = (0..parts).map(seen).collect();
        let best = (0..parts).max_by(|&a, &b| all[a].total_cmp(&all[b])).unwrap_or(0);
        // The middle of what is there, so that both edges of a line count.
        let (mut mass, mut moment) = (0.0, 0.0);
        for i in 0..=2 * reach {
            let d = i as f64 - reach as f64;
            let column: f64 = counts[(best + parts + i - reach) % parts].iter().sum();
            mass += column;
            moment += column * d;
        }
        let middle = best as f64 + 0.5 + moment / mass.max(1.0);
        let first = (middle / parts as f64 * wide).rem_euclid(wide);
        // Less what is seen anywhere else: several lines in one square make it several squares.
        let away = |at: &usize| {
            let d = at.abs_diff(best);
            d.min(parts - d) > 2 * reach + 1
        };
        let other = (0..parts).filter(away).map(|at| all[at]).fold(0.0, f64::max);
        let clear = all[best] - other;
        let pixels = self.area * self.share / wide / along as f64;
        Place { first, seen: clear / pixels.max(1.0) }
    }
}
