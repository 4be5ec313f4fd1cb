//! Where cords cross each other or themselves, as the drawing has it: found in the curves, never written down.

use super::curve::{Sample, StagePoint};

/// Samples that are compared as one box before they are compared one by one.
const BLOCK: usize = 16;

/// One crossing of two stretches of cord.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Crossing {
    /// The cord above: which one, and where along it (in samples, with a fraction).
    pub(crate) over: (usize, f64),
    /// The cord below.
    pub(crate) under: (usize, f64),
    /// Where.
    pub(crate) at: StagePoint,
    /// How much higher the upper one lies.
    pub(crate) clearance: f64,
    /// +1 where the upper cord must be turned anticlockwise as seen (by less than half a turn) to lie along the lower
    /// one, else -1: the usual sign of a crossing of two directed curves.
    pub(crate) sign: i32,
}

/// All crossings among `cords`, in the order of the first cord's samples.
pub(crate) fn crossings(cords: &[&[Sample]]) -> Vec<Crossing> {
    let boxed: Vec<BoxedCord<'_>> = cords.iter().map(|samples| BoxedCord::new(samples)).collect();
    let mut found = Vec::new();
    for (a, first) in boxed.iter().enumerate() {
        for (b, second) in boxed.iter().enumerate().skip(a) {
            if meet(&first.whole, &second.whole) {
                among((a, first), (b, second), &mut found);
            }
        }
    }
    found
}

fn among((a, first): (usize, &BoxedCord<'_>), (b, second): (usize, &BoxedCord<'_>), found: &mut Vec<Crossing>) {
    for (i, box_i) in first.blocks.iter().enumerate().filter(|(_, block)| meet(block, &second.whole)) {
        for (j, box_j) in second.blocks.iter().enumerate() {
            if (a == b && j < i) || !meet(box_i, box_j) {
                continue;
            }
            for p in i * BLOCK..((i + 1) * BLOCK).min(first.samples.len() - 1) {
                // A curve's neighbouring steps touch and do not cross, those at a fold neither.
                let start = if a == b { (j * BLOCK).max(p + 4) } else { j * BLOCK };
                for q in start..((j + 1) * BLOCK).min(second.samples.len() - 1) {
                    if let Some((s, t)) = cut(first.samples, p, second.samples, q) {
                        found.push(crossing((a, first.samples, p, s), (b, second.samples, q, t)));
                    }
                }
            }
        }
    }
}

/// Left, top, right, bottom.
type Corners = [f64; 4];

/// A cord with the boxes round its blocks of samples and round all of it.
struct BoxedCord<'s> {
    samples: &'s [Sample],
    blocks: Vec<Corners>,
    whole: Corners,
}

impl<'s> BoxedCord<'s> {
    fn new(samples: &'s [Sample]) -> BoxedCord<'s> {
        const NOTHING: Corners = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
        let round = |b: Corners, c: Corners| [b[0].min(c[0]), b[1].min(c[1]), b[2].max(c[2]), b[3].max(c[3])];
        let blocks: Vec<Corners> = (0..samples.len().saturating_sub(1).div_ceil(BLOCK))
            .map(|block| {
                let stretch = &samples[block * BLOCK..((block + 1) * BLOCK + 1).min(samples.len())];
                stretch.iter().map(|s| [s.at[0], s.at[1], s.at[0], s.at[1]]).fold(NOTHING, round)
            })
            .collect();
        let whole = blocks.iter().copied().fold(NOTHING, round);
        BoxedCord { samples, blocks, whole }
    }
}

fn meet(a: &Corners, b: &Corners) -> bool {
    a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3]
}

/// Shares along the two steps at which they cut, each from 0 up to, but without, 1: a cut at a sample counts once.
fn cut(a: &[Sample], p: usize, b: &[Sample], q: usize) -> Option<(f64, f64)> {
    let (a0, a1, b0, b1) = (a[p].at, a[p + 1].at, b[q].at, b[q + 1].at);
    let (u, v) = ([a1[0] - a0[0], a1[1] - a0[1]], [b1[0] - b0[0], b1[1] - b0[1]]);
    let across = u[0] * v[1] - u[1] * v[0];
    if across == 0.0 {
        return None;
    }
    let w = [b0[0] - a0[0], b0[1] - a0[1]];
    let s = (w[0] * v[1] - w[1] * v[0]) / across;
    let t = (w[0] * u[1] - w[1] * u[0]) / across;
    ((0.0..1.0).contains(&s) && (0.0..1.0).contains(&t)).then_some((s, t))
}

fn crossing(a: (usize, &[Sample], usize, f64), b: (usize, &[Sample], usize, f64)) -> Crossing {
    let height = |(_, samples, at, share): (usize, &[Sample], usize, f64)| {
        samples[at].z + (samples[at + 1].z - samples[at].z) * share
    };
    let (over, under) = if height(a) >= height(b) { (a, b) } else { (b, a) };
    let along = |(_, samples, at, _): (usize, &[Sample], usize, f64)| {
        let (from, to) = (samples[at].at, samples[at + 1].at);
        [to[0] - from[0], to[1] - from[1]]
    };
    let (o, u) = (along(over), along(under));
    // With y downwards a positive cross product turns clockwise as seen.
    let sign = if o[0] * u[1] - o[1] * u[0] < 0.0 { 1 } else { -1 };
    let (from, to) = (a.1[a.2].at, a.1[a.2 + 1].at);
    Crossing {
        over: (over.0, over.2 as f64 + over.3),
        under: (under.0, under.2 as f64 + under.3),
        at: [from[0] + (to[0] - from[0]) * a.3, from[1] + (to[1] - from[1]) * a.3],
        clearance: height(over) - height(under),
        sign,
    }
}
