//! At what distance a picture is most like itself. Squares of one yarn stand beside one another, each with the same lines
//! around it and the same symbol in it, so what changes in one square changes in the next, a square's side further on.
//! Strokes inside a symbol come again in part; whole squares come again as a whole.

use crate::chart_read::window::Window;
use crate::picture::SrgbPicture;

/// Pixels that are compared with others of their row, at most.
const MAX_PIXELS: usize = 160_000;
/// The longest distance, in pixels.
const LONGEST: usize = 150;
/// The shortest.
const SHORTEST: usize = 5;
/// A nearer distance is the squares' own where the picture is as much like itself there, of the most anywhere.
const AS_MUCH: f64 = 0.74;
/// Changes of a channel under this are grain.
const GRAIN: f32 = 9.0;
/// And over this count no more: strokes of letters are the strongest.
const STRONG: f32 = 48.0;

/// A distance, and how much of what changes comes again there, up to 1.
#[derive(Clone, Copy, Debug)]
pub(super) struct Alike {
    pub(super) distance: f64,
    pub(super) share: f64,
}

/// The distance across (`turned`: down) at which squares come again. `None`: nothing comes again.
pub(super) fn find(picture: &SrgbPicture, window: Window, turned: bool) -> Option<Alike> {
    fundamental(&shares(picture, window, turned)?)
}

/// All distances at which something comes again, that at which most does first.
pub(super) fn distances(picture: &SrgbPicture, window: Window, turned: bool) -> Vec<f64> {
    let Some(shares) = shares(picture, window, turned) else { return Vec::new() };
    let mut peaks: Vec<usize> = (SHORTEST..shares.len() - 1)
        .filter(|&d| shares[d] > 0.0 && shares[d] >= shares[d - 1] && shares[d] >= shares[d + 1])
        .collect();
    peaks.sort_by(|&a, &b| shares[b].total_cmp(&shares[a]).then(a.cmp(&b)));
    peaks.into_iter().map(|d| between(&shares, d)).collect()
}

/// How much of what changes comes again at each distance in pixels.
fn shares(picture: &SrgbPicture, window: Window, turned: bool) -> Option<Vec<f64>> {
    let along = if turned { window.turned() } else { window };
    let (wide, high) = (along.wide(), along.bottom - along.top);
    let longest = LONGEST.min(wide / 4);
    if longest < 2 * SHORTEST {
        return None;
    }
    let pixel = |x: usize, y: usize| {
        let (x, y) = (along.left + x, along.top + y);
        if turned { picture.at(y, x) } else { picture.at(x, y) }
    };
    // No step that walks in time with the squares.
    let step = (wide * high / MAX_PIXELS).max(1) | 1;
    let mut sums = vec![0.0_f64; longest + 2];
    let mut all = 0.0_f64;
    let mut changes = vec![[0.0_f32; 3]; wide];
    for y in (0..high).step_by(step) {
        for (x, change) in changes.iter_mut().enumerate() {
            let (a, b) = (pixel(x.saturating_sub(1), y), pixel((x + 1).min(wide - 1), y));
            let by: [f32; 3] = core::array::from_fn(|i| f32::from(b[i]) - f32::from(a[i]));
            let most = by.iter().fold(0.0_f32, |most, v| most.max(v.abs()));
            let kept = if most < GRAIN { 0.0 } else { most.min(STRONG) / most };
            *change = by.map(|v| v * kept);
        }
        let dot = |a: [f32; 3], b: [f32; 3]| f64::from(a[0] * b[0] + a[1] * b[1] + a[2] * b[2]);
        all += changes.iter().map(|change| dot(*change, *change)).sum::<f64>();
        for (x, &change) in changes.iter().enumerate().filter(|(_, change)| **change != [0.0; 3]) {
            let ahead = &changes[(x + 1).min(wide)..(x + longest + 2).min(wide)];
            for (sum, other) in sums[1..].iter_mut().zip(ahead) {
                *sum += dot(change, *other);
            }
        }
    }
    if all <= 0.0 {
        return None;
    }
    // Where two lie further apart, fewer of them fit in.
    let share = |d: usize| sums[d] / all / (1.0 - d as f64 / wide as f64);
    Some((0..=longest + 1).map(|d| if d == 0 { 1.0 } else { share(d) }).collect())
}

/// The least distance at which nearly as much comes again as anywhere.
fn fundamental(shares: &[f64]) -> Option<Alike> {
    let last = shares.len() - 2;
    // Past what is only the width of a stroke.
    let from = (2..last).find(|&d| shares[d] <= shares[d + 1])?.max(SHORTEST);
    let is_peak = |d: usize| shares[d] >= shares[d - 1] && shares[d] >= shares[d + 1];
    // A distance between two pixels is shared by both.
    let height = |d: usize| {
        let beside = shares[d - 1].max(shares[d + 1]).max(0.0);
        shares[d] + 0.5 * beside
    };
    let peaks: Vec<usize> = (from..=last).filter(|&d| is_peak(d)).collect();
    let most = peaks.iter().map(|&d| height(d)).fold(0.0, f64::max);
    let first = peaks.iter().copied().find(|&d| height(d) >= AS_MUCH * most && shares[d] > 0.0)?;
    let mut distance = between(shares, first);
    // From multiple to multiple it is known better.
    for times in 2.. {
        let expected = distance * f64::from(times);
        let reach = (0.2 * distance).min(3.0);
        let (low, high) = ((expected - reach).round() as usize, (expected + reach).round() as usize);
        if high > last {
            break;
        }
        let Some(there) = (low..=high).max_by(|&a, &b| shares[a].total_cmp(&shares[b])) else { break };
        if is_peak(there) && shares[there] >= 0.4 * shares[first] {
            distance = between(shares, there) / f64::from(times);
        }
    }
    Some(Alike { distance, share: shares[first] })
}

/// The top of the arc through a peak and its neighbours.
fn between(shares: &[f64], at: usize) -> f64 {
    let (a, b, c) = (shares[at - 1], shares[at], shares[at + 1]);
    let bend = a - 2.0 * b + c;
    at as f64 + if bend < -1e-9 { (0.5 * (a - c) / bend).clamp(-0.5, 0.5) } else { 0.0 }
}
