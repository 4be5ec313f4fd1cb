//! How far apart the lines may be: edges that go on for a while, by their place across, and the distances at which they come
//! again.

use crate::chart_read::edges::Edges;
use crate::chart_read::window::Window;

/// Edges longer than this count no more for each pixel than those of this length: a frame is not a grid.
const LONG: u32 = 48;
/// Candidates for a distance, before parts and multiples of the best.
const MAX_CANDIDATES: usize = 7;
/// Squares of fewer pixels are not looked for.
const SMALLEST: f64 = 4.5;

/// Edges that go on, of one direction, in a window.
pub(super) struct Runs {
    wide: usize,
    slack: usize,
    reach: usize,
    /// Place across from the window's left, and length.
    runs: Vec<(u32, u32)>,
}

impl Runs {
    pub(super) fn of(edges: &Edges, window: Window) -> Runs {
        let (wide, slack, along) = (window.wide(), edges.slack, edges.along);
        // Grain is as long as what was taken together.
        let least = along as u32 + 2 * u32::from(along > 1) + 1;
        // Edges may miss a pixel or two on their way.
        let most_gap = 1 + slack as u32;
        let mut open = vec![(0_u32, 0_u32); wide];
        let mut runs = Vec::new();
        let mut close = |x: usize, length: u32| {
            if length >= least {
                runs.push((x as u32, length));
            }
        };
        for y in window.top..window.bottom {
            let line = edges.upright_in(y, window);
            for x in 0..wide {
                let near = &line[x.saturating_sub(slack)..(x + slack + 1).min(wide)];
                let (length, gap) = &mut open[x];
                if near.iter().any(|edge| *edge > 0) {
                    *length += *gap + 1;
                    *gap = 0;
                } else if *length > 0 {
                    *gap += 1;
                    if *gap > most_gap {
                        close(x, *length);
                        (*length, *gap) = (0, 0);
                    }
                }
            }
        }
        for (x, (length, _)) in open.into_iter().enumerate() {
            close(x, length);
        }
        Runs { wide, slack, reach: edges.reach, runs }
    }

    /// How much goes on at each place, of edges at least so long.
    pub(super) fn profile(&self, least: f64) -> Vec<f64> {
        let mut profile = vec![0.0_f64; self.wide + 1];
        for &(x, length) in self.runs.iter().filter(|(_, length)| f64::from(*length) >= least) {
            profile[x as usize] += f64::from(length) * f64::from(length.min(LONG));
        }
        // Pressed down, so that heavier lines do not hide the others.
        profile.into_iter().map(libm::sqrt).collect()
    }

    /// Distances that may be those of the lines, in pixels.
    pub(super) fn candidates(&self) -> Vec<f64> {
        let profile = levelled(&self.profile(3.0));
        let shortest = if self.slack == 0 { SMALLEST } else { SMALLEST.max(2.2 * self.reach as f64) };
        let cap = if self.slack == 0 { 0.5 } else { 0.3 };
        let longest = self.wide as f64 / 5.0;
        let step = 0.25 / self.wide as f64;
        let count = (cap / step) as usize + 1;
        let strengths: Vec<f64> = (0..=count).map(|at| strength(&profile, at as f64 * step)).collect();
        let from = (((1.0 / longest) / step) as usize).max(5);
        let to = (((1.0 / shortest) / step) as usize).min(count);
        let score = |at: usize| {
            let times = (count / at).clamp(1, 24);
            // The strongest near each multiple: the distance is not known to the last bit yet.
            let near = |k: usize| {
                let spread = (k / 2).min(3);
                (k * at - spread..=(k * at + spread).min(count)).map(|i| strengths[i]).fold(0.0, f64::max)
            };
            (1..=times).map(near).sum::<f64>() / libm::sqrt(times as f64)
        };
        let scores: Vec<f64> = (0..=to).map(|at| if at + 1 < from { 0.0 } else { score(at) }).collect();
        let mut peaks: Vec<(f64, usize)> = (from..to)
            .filter(|&at| scores[at] >= scores[at - 1] && scores[at] > scores[at + 1])
            .map(|at| (scores[at], at))
            .collect();
        peaks.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut found: Vec<f64> = Vec::new();
        let mut note = |distance: f64, most: usize| {
            if found.len() < most
                && (shortest..=longest).contains(&distance)
                && found.iter().all(|known: &f64| (known / distance - 1.0).abs() > 0.03)
            {
                found.push(distance);
            }
        };
        let distance = |at: usize| 1.0 / (at as f64 * step);
        peaks.iter().for_each(|&(_, at)| note(distance(at), MAX_CANDIDATES));
        // Parts and multiples of the best ones may be the squares: heavier lines outshine the others, and in letters the
        // same strokes come again.
        for &(_, at) in peaks.iter().take(2) {
            for by in [1.0 / 2.0, 1.0 / 3.0, 1.0 / 5.0, 1.0 / 10.0, 2.0, 3.0] {
                note(distance(at) * by, 2 * MAX_CANDIDATES);
            }
        }
        found.iter().map(|&distance| finer(&profile, distance, self.wide)).collect()
    }

    /// How far from a line its edges may lie, in pixels: both sides of a smeared line are further from its middle.
    pub(super) fn smeared(&self) -> f64 {
        0.6 + 0.9 * self.slack as f64 + 1.3 * (self.reach - 1) as f64
    }
}

/// Less the mean around, so that where much goes on does not count for its own sake.
fn levelled(profile: &[f64]) -> Vec<f64> {
    let reach = (profile.len() / 16).max(12);
    let mut sums = vec![0.0];
    for v in profile {
        sums.push(sums[sums.len() - 1] + v);
    }
    (0..profile.len())
        .map(|x| {
            let (from, to) = (x.saturating_sub(reach), (x + reach + 1).min(profile.len()));
            profile[x] - (sums[to] - sums[from]) / (to - from) as f64
        })
        .collect()
}

/// How strongly something comes again so many times a pixel.
fn strength(profile: &[f64], often: f64) -> f64 {
    let turn = -core::f64::consts::TAU * often;
    let (sin, cos) = (libm::sin(turn), libm::cos(turn));
    let (mut re, mut im) = (1.0_f64, 0.0_f64);
    let (mut sum_re, mut sum_im) = (0.0_f64, 0.0_f64);
    for v in profile {
        sum_re += v * re;
        sum_im += v * im;
        (re, im) = (re * cos - im * sin, re * sin + im * cos);
    }
    libm::hypot(sum_re, sum_im)
}

/// The distance near `period` at which lines come again most strongly.
fn finer(profile: &[f64], period: f64, wide: usize) -> f64 {
    let mut best = (0.0, period);
    let mut centre = period;
    let mut step = period * period / wide as f64 / 12.0;
    for _ in 0..2 {
        for i in -8..=8 {
            let tried = centre + f64::from(i) * step;
            let times = ((0.4 * tried) as usize).clamp(1, 5);
            let sum: f64 = (1..=times).map(|k| strength(profile, k as f64 / tried)).sum();
            if sum > best.0 {
                best = (sum, tried);
            }
        }
        centre = best.1;
        step /= 8.0;
    }
    best.1
}
