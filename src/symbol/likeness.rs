//! How much two outlines differ to the eye: coverage on a fine grid, best match over small shifts.

use super::geometry;
use super::set::SET;
use crate::geom::Point;
use crate::page::Segment;
use std::sync::OnceLock;

/// Coverage of square pixels, 0 to 1, in reading order. The box of side one about (0, 0) spans `pixels` of them, with
/// `margin` more on every side.
pub(super) struct Coverage {
    /// Pixels on a side, margins included.
    pub(super) side: usize,
    /// One value a pixel.
    pub(super) values: Vec<f64>,
}

/// Scan lines in one pixel. Across, coverage is exact.
const LINES: usize = 8;
/// Straight pieces a curve is taken as.
const PIECES: usize = 16;

/// Draws an outline (non-zero winding).
pub(super) fn coverage(outline: &[Segment], pixels: usize, margin: usize) -> Coverage {
    let side = pixels + 2 * margin;
    let place = |v: f64| (v + 0.5) * pixels as f64 + margin as f64;
    let edges: Vec<[f64; 4]> =
        edges(outline).into_iter().map(|[a, b, c, d]| [place(a), place(b), place(c), place(d)]).collect();
    let mut values = vec![0.0; side * side];
    let mut crossings: Vec<(f64, i32)> = Vec::new();
    for line in 0..side * LINES {
        let y = (line as f64 + 0.5) / LINES as f64;
        crossings.clear();
        for &[x0, y0, x1, y1] in &edges {
            if (y0 <= y) != (y1 <= y) {
                crossings.push((x0 + (x1 - x0) * (y - y0) / (y1 - y0), if y1 > y0 { 1 } else { -1 }));
            }
        }
        crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut winding = 0;
        for pair in crossings.windows(2) {
            winding += pair[0].1;
            if winding != 0 {
                let row = line / LINES * side;
                for x in pair[0].0.max(0.0) as usize..side.min(pair[1].0.ceil().max(0.0) as usize) {
                    let covered = pair[1].0.min(x as f64 + 1.0) - pair[0].0.max(x as f64);
                    values[row + x] += covered.max(0.0) / LINES as f64;
                }
            }
        }
    }
    Coverage { side, values }
}

/// The outline as straight edges, in points: x, y to x, y.
fn edges(outline: &[Segment]) -> Vec<[f64; 4]> {
    let pair = |p: Point| (p.x.to_pt(), p.y.to_pt());
    let mut out = Vec::new();
    let (mut start, mut at) = ((0.0, 0.0), (0.0, 0.0));
    for &segment in outline {
        match segment {
            Segment::Move(p) => {
                start = pair(p);
                at = start;
            }
            Segment::Line(p) => {
                let to = pair(p);
                out.push([at.0, at.1, to.0, to.1]);
                at = to;
            }
            Segment::Curve(a, b, p) => {
                let (a, b, to, from) = (pair(a), pair(b), pair(p), at);
                for piece in 1..=PIECES {
                    let t = piece as f64 / PIECES as f64;
                    let u = 1.0 - t;
                    let mix =
                        |p: f64, q: f64, r: f64, s: f64| u * u * u * p + 3.0 * u * t * (u * q + t * r) + t * t * t * s;
                    let next = (mix(from.0, a.0, b.0, to.0), mix(from.1, a.1, b.1, to.1));
                    out.push([at.0, at.1, next.0, next.1]);
                    at = next;
                }
            }
            Segment::Close => {
                out.push([at.0, at.1, start.0, start.1]);
                at = start;
            }
        }
    }
    out
}

/// The share of the box that differs at the best match, either one being shifted by up to `shift` pixels each way.
/// `margin` is what both were drawn with and at least `shift`.
pub(super) fn difference(a: &Coverage, b: &Coverage, margin: usize, shift: usize) -> f64 {
    // Bytes can be added up many at a time.
    const WHOLE: f64 = 255.0;
    let inner = a.side - 2 * margin;
    let side = a.side;
    let [a, b] = [a, b].map(|c| c.values.iter().map(|v| (v * WHOLE + 0.5) as u8).collect::<Vec<u8>>());
    let mut least = u32::MAX;
    // Small shifts come first: they are likely to match, and what matches worse is given up sooner.
    let mut shifts: Vec<usize> = (margin - shift..=margin + shift).collect();
    shifts.sort_by_key(|at| at.abs_diff(margin));
    for (still, moved) in [(&a, &b), (&b, &a)] {
        for &down in &shifts {
            for &right in &shifts {
                let mut sum = 0;
                for y in 0..inner {
                    let at = (y + margin) * side + margin;
                    let to = (y + down) * side + right;
                    let rows = still[at..at + inner].iter().zip(&moved[to..to + inner]);
                    sum += rows.map(|(p, q)| u32::from(p.abs_diff(*q))).sum::<u32>();
                    if sum >= least {
                        break;
                    }
                }
                least = least.min(sum);
            }
        }
    }
    f64::from(least) / WHOLE / (inner * inner) as f64
}

/// [`difference`] of the set's symbols, on a grid fine enough to rank them by. Each pair is compared when it is first
/// asked for, once for all: the set is what it is.
pub(super) struct Differences {
    drawn: Vec<Coverage>,
    known: Vec<OnceLock<f64>>,
}

impl Differences {
    const PIXELS: usize = 20;
    const SHIFT: usize = 2;

    pub(super) fn of_the_set() -> &'static Differences {
        static KNOWN: OnceLock<Differences> = OnceLock::new();
        KNOWN.get_or_init(Differences::new)
    }

    fn new() -> Differences {
        let draw = |symbol: &super::set::Symbol| {
            coverage(&geometry::outline(symbol.parts), Differences::PIXELS, Differences::SHIFT)
        };
        Differences { drawn: SET.iter().map(draw).collect(), known: vec![OnceLock::new(); SET.len() * SET.len()] }
    }

    /// How much two symbols differ; a symbol from itself not at all.
    pub(super) fn between(&self, a: usize, b: usize) -> f64 {
        let (a, b) = (a.max(b), a.min(b));
        let compare = || difference(&self.drawn[a], &self.drawn[b], Differences::SHIFT, Differences::SHIFT);
        if a == b { 0.0 } else { *self.known[a * SET.len() + b].get_or_init(compare) }
    }
}
