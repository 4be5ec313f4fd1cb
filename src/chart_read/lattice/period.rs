//! How far apart the lines are: edges that go on for a while, by their place across, and the distances at which they come
//! again.

use crate::chart_read::edges::Edges;

/// Edges longer than this count no more for each pixel than those of this length: a frame is not a grid.
const LONG: u32 = 48;
/// Candidates for a distance.
const MAX_CANDIDATES: usize = 7;

/// Edges that go on, of one direction.
pub(in crate::chart_read) struct Runs {
    wide: usize,
    slack: usize,
    along: usize,
    reach: usize,
    /// Place across, and length.
    runs: Vec<(u32, u32)>,
}

/// Lines at equal distances.
#[derive(Clone, Copy, Debug)]
pub(in crate::chart_read) struct Fit {
    pub(in crate::chart_read) period: f64,
    /// The first line at or after 0.
    pub(in crate::chart_read) first: f64,
    /// The share of long edges that lie on the lines, less what would lie there by chance: at most 1.
    pub(in crate::chart_read) held: f64,
    /// The share of all edges, weighed by how long they go on, that is long enough and lies on the lines.
    pub(in crate::chart_read) share: f64,
    /// How far an edge may lie from its line.
    pub(in crate::chart_read) near: f64,
}

impl Runs {
    pub(in crate::chart_read) fn of(edges: &Edges) -> Runs {
        let (wide, slack, along) = (edges.width, edges.slack, edges.along);
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
        for line in edges.upright.chunks_exact(wide) {
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
        Runs { wide, slack, along, reach: edges.reach, runs }
    }

    /// How much goes on at each place, of edges at least so long.
    fn profile(&self, least: f64) -> Vec<f64> {
        let mut profile = vec![0.0_f64; self.wide + 1];
        for &(x, length) in self.runs.iter().filter(|(_, length)| f64::from(*length) >= least) {
            profile[x as usize] += f64::from(length) * f64::from(length.min(LONG));
        }
        // Pressed down, so that heavier lines do not hide the others.
        profile.into_iter().map(libm::sqrt).collect()
    }

    /// Distances that may be those of the lines, in pixels.
    pub(in crate::chart_read) fn candidates(&self) -> Vec<f64> {
        let profile = levelled(&self.profile(3.0));
        let shortest = if self.slack == 0 { 2.0 } else { 3.5 * self.reach as f64 };
        let cap = if self.slack == 0 { 0.5 } else { 0.3 };
        let longest = self.wide as f64 / 6.0;
        let step = 0.25 / self.wide as f64;
        let count = (cap / step) as usize + 1;
        let strengths: Vec<f64> = (0..=count).map(|at| strength(&profile, at as f64 * step)).collect();
        let from = ((1.0 / longest) / step) as usize;
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
        let scores: Vec<f64> = (0..=to).map(|at| if at < from.max(4) { 0.0 } else { score(at) }).collect();
        let mut peaks: Vec<(f64, usize)> = (from.max(5)..to)
            .filter(|&at| scores[at] >= scores[at - 1] && scores[at] > scores[at + 1])
            .map(|at| (scores[at], at))
            .chain((scores.len() > 1).then(|| (scores[to], to)))
            .collect();
        peaks.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut found: Vec<f64> = Vec::new();
        for (_, at) in peaks {
            let distance = 1.0 / (at as f64 * step);
            if found.iter().all(|known| (known / distance - 1.0).abs() > 0.03) {
                found.push(distance);
            }
            if found.len() == MAX_CANDIDATES {
                break;
            }
        }
        // Whole parts of the best ones may be the squares, where heavier lines outshine the others.
        for of in [2.0, 5.0, 10.0] {
            if let Some(part) = found.first().map(|best| best / of).filter(|part| *part >= shortest)
                && found.iter().all(|known| (known / part - 1.0).abs() > 0.03)
            {
                found.push(part);
            }
        }
        found
    }

    /// How far from a line at this distance from the next its edges may lie.
    pub(in crate::chart_read) fn near(&self, period: f64) -> f64 {
        // Both sides of a smeared line are further from its middle.
        self.smeared().max(0.13 * period).min(0.4 * period)
    }

    /// The same in pixels, however large squares are.
    pub(in crate::chart_read) fn smeared(&self) -> f64 {
        0.6 + 0.9 * self.slack as f64 + 1.3 * (self.reach - 1) as f64
    }

    /// The distance near this one at which edges come again most strongly.
    pub(in crate::chart_read) fn finer(&self, period: f64) -> f64 {
        finer(&levelled(&self.profile(3.0)), period, self.wide)
    }

    /// Lays lines of about this distance on edges of at least this length. `first`: the first line, where that is known.
    pub(in crate::chart_read) fn fit(&self, period: f64, least: f64, first: Option<f64>) -> Option<Fit> {
        // Edges are seen longer by what was taken together.
        let least = least + 0.5 * (self.along - 1) as f64;
        let profile = self.profile(least.max(2.0));
        let all: f64 = profile.iter().sum();
        if all <= 0.0 {
            return None;
        }
        let level = levelled(&profile);
        let near = self.near(period);
        let mut period = if first.is_some() { period } else { finer(&level, period, self.wide) };
        let mut first = first.unwrap_or_else(|| best_place(&profile, period, near));
        for _ in 0..3 {
            if let Some((p, f)) = least_squares(&profile, period, first, near * 1.4)
                && (p / period - 1.0).abs() < 0.02
            {
                (period, first) = (p, f);
            }
        }
        first -= (first / period).floor() * period;
        let on: f64 =
            (0..profile.len()).filter(|&x| off(x as f64, period, first).abs() <= near).map(|x| profile[x]).sum();
        let chance = places_near(period, near);
        let held = ((on / all - chance) / (1.0 - chance).max(0.05)).clamp(0.0, 1.0);
        let weight = |(_, length): &(u32, u32)| f64::from(*length) * f64::from((*length).min(LONG));
        let whole: f64 = self.runs.iter().map(weight).sum();
        let on_lines = self
            .runs
            .iter()
            .filter(|(x, length)| f64::from(*length) >= least && off(f64::from(*x), period, first).abs() <= near);
        let share = on_lines.map(weight).sum::<f64>() / whole.max(1.0);
        Some(Fit { period, first, held, share, near })
    }
}

/// The share of whole pixels that are that near to a line.
fn places_near(period: f64, near: f64) -> f64 {
    (2.0 * near / period).min(0.9)
}

/// How far a place is from its nearest line.
fn off(x: f64, period: f64, first: f64) -> f64 {
    let turns = (x - first) / period;
    (turns - turns.round()) * period
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

/// Where lines at this distance have most on them.
fn best_place(profile: &[f64], period: f64, near: f64) -> f64 {
    let parts = ((period * 4.0).ceil() as usize).clamp(8, 4_000);
    let mut folded = vec![0.0; parts];
    for (x, v) in profile.iter().enumerate() {
        let part = (x as f64 / period).fract() * parts as f64;
        folded[(part as usize).min(parts - 1)] += v;
    }
    let reach = ((near / period * parts as f64).round() as usize).max(1);
    let sum = |at: usize| {
        (0..=2 * reach)
            .map(|i| {
                let d = i.abs_diff(reach) as f64 / (reach as f64 + 1.0);
                folded[(at + parts + i - reach) % parts] * (1.0 - 0.3 * d)
            })
            .sum::<f64>()
    };
    let sums: Vec<f64> = (0..parts).map(sum).collect();
    let best = (0..parts).max_by(|&a, &b| sums[a].total_cmp(&sums[b])).unwrap_or(0);
    // The middle of the plateau.
    let level = sums[best] * (1.0 - 1e-9);
    let after = (0..parts).take_while(|i| sums[(best + i) % parts] >= level).count().max(1) - 1;
    let before = (0..parts).take_while(|i| sums[(best + parts - i) % parts] >= level).count().max(1) - 1;
    (best as f64 + 0.5 + (after as f64 - before as f64) / 2.0) / parts as f64 * period
}

/// Distance and first line that fit the middles of what is near each line best.
fn least_squares(profile: &[f64], period: f64, first: f64, near: f64) -> Option<(f64, f64)> {
    let (mut n, mut i1, mut i2, mut x1, mut ix) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let lines = ((profile.len() as f64 - first) / period).floor() as i64;
    for i in 0..=lines.max(0) {
        let line = first + i as f64 * period;
        let Some((mass, middle)) = middle_near(profile, line, near) else { continue };
        let weight = libm::sqrt(mass);
        let i = i as f64;
        n += weight;
        i1 += weight * i;
        i2 += weight * i * i;
        x1 += weight * middle;
        ix += weight * i * middle;
    }
    let det = n * i2 - i1 * i1;
    (det > 1e-9 * n * n).then(|| {
        let period = (n * ix - i1 * x1) / det;
        (period, (x1 - period * i1) / n)
    })
}

/// What is near a line, and its middle.
pub(in crate::chart_read) fn middle_near(profile: &[f64], line: f64, near: f64) -> Option<(f64, f64)> {
    let from = (line - near).ceil().max(0.0) as usize;
    let to = ((line + near).floor().max(-1.0) + 1.0) as usize;
    let (mut mass, mut moment) = (0.0, 0.0);
    for (x, v) in profile.iter().enumerate().take(to.min(profile.len())).skip(from) {
        mass += v;
        moment += v * x as f64;
    }
    (mass > 0.0).then(|| (mass, moment / mass))
}
