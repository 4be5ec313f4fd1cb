//! How the grid's lines run through a picture taken by hand. Lines that are parallel on paper meet in one point of the
//! picture: an upright one that crosses the picture's middle line at `u` leans by `lean + closing x u`. Both numbers are
//! found by laying the edges together along such lines and seeing when they gather most sharply.

use super::edges::Edges;

/// Lines that meet in one point, far off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pencil {
    /// Pixels to the side for each pixel along, of the line through the middle of the picture.
    pub(super) lean: f64,
    /// How much more that is for each pixel further to the side.
    pub(super) closing: f64,
}

impl Pencil {
    pub(super) const PARALLEL: Pencil = Pencil { lean: 0.0, closing: 0.0 };
}

/// The pencils of upright and of level lines.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pencils {
    pub(super) upright: Pencil,
    pub(super) level: Pencil,
}

impl Pencils {
    /// Whether the picture lies flat as it is.
    pub(super) fn are_straight(&self) -> bool {
        self.upright == Pencil::PARALLEL && self.level == Pencil::PARALLEL
    }
}

/// Most edges that are laid together: enough for a sharp answer.
const MAX_EDGES: usize = 50_000;
/// Edges stronger than this count no more: those of letters are the strongest, and slant as they like.
const EVEN: u8 = 16;
/// Pencils that are followed further, at first and then: in a narrow band slanting strokes of letters look best.
const KEPT: [usize; 3] = [20, 12, 6];
/// A pencil that is so little sharper than straight lines is taken for straight.
const LITTLE: f64 = 1.02;

pub(super) fn find(edges: &Edges) -> Pencils {
    let one = pencil(edges.width, edges.height, &edges.upright, 1, edges.width);
    let other = pencil(edges.height, edges.width, &edges.level, edges.width, 1);
    Pencils { upright: one, level: other }
}

/// Edges of a direction: `wide` places across the lines, each `step_x` further in memory, `long` along them.
fn pencil(wide: usize, long: usize, edges: &[u8], step_x: usize, step_y: usize) -> Pencil {
    let (middle_x, middle_y) = (wide as f64 / 2.0, long as f64 / 2.0);
    let count = edges.iter().filter(|edge| **edge > 0).count();
    let skip = (count / MAX_EDGES).max(1);
    // Whole lines are left out, so that what is kept is kept with all its neighbours across.
    let lines: Vec<Line> = (0..long)
        .step_by(skip)
        .map(|y| {
            let edge = |x: usize| (x as f32 - middle_x as f32, f32::from(edges[x * step_x + y * step_y].min(EVEN)));
            Line { y: y as f32 - middle_y as f32, edges: (0..wide).map(edge).filter(|edge| edge.1 > 0.0).collect() }
        })
        .collect();
    let half = long as f64 / 2.0;
    let mut band = (half / 5.0).max(40.0).min(half);
    let side = wide as f64 / 2.0;
    let (mut lean_step, mut closing_step) = (2.0 / band, 3.0 / (side * band));
    let (leans, closings) = ((0.3 / lean_step) as i64, (0.45 / wide as f64 / closing_step) as i64);
    let mut tries: Vec<Pencil> = Vec::new();
    for i in -leans..=leans {
        for j in -closings..=closings {
            tries.push(Pencil { lean: i as f64 * lean_step, closing: j as f64 * closing_step });
        }
    }
    let mut bins = vec![0.0_f32; wide + 2 * wide];
    let mut last = false;
    let mut kept = KEPT.into_iter();
    let mut keep = KEPT[0];
    loop {
        // Lines are in order.
        let first = lines.partition_point(|line| f64::from(line.y) < -band);
        let within = &lines[first..lines.partition_point(|line| f64::from(line.y) <= band)];
        let mut judged: Vec<(f64, Pencil)> =
            tries.iter().map(|&pencil| (sharpness(within, pencil, &mut bins), pencil)).collect();
        judged.sort_by(|a, b| b.0.total_cmp(&a.0));
        keep = if last { 1 } else { kept.next().unwrap_or(keep) };
        judged.truncate(keep);
        if last && lean_step * band < 0.3 {
            let (best, pencil) = judged.first().copied().unwrap_or((0.0, Pencil::PARALLEL));
            let straight = sharpness(within, Pencil::PARALLEL, &mut bins);
            return if best > straight * LITTLE { pencil } else { Pencil::PARALLEL };
        }
        last = band >= half;
        band = (2.0 * band).min(half);
        lean_step = if last { lean_step / 2.0 } else { 1.0 / band };
        closing_step = if last { closing_step / 2.0 } else { 1.5 / (side * band) };
        tries.clear();
        for (_, pencil) in judged {
            for i in -2..=2 {
                for j in -2..=2 {
                    tries.push(Pencil {
                        lean: pencil.lean + f64::from(i) * lean_step,
                        closing: pencil.closing + f64::from(j) * closing_step,
                    });
                }
            }
        }
    }
}

/// How sharply the edges gather when each is followed along its line to the middle.
fn sharpness(lines: &[Line], pencil: Pencil, bins: &mut [f32]) -> f64 {
    bins.fill(0.0);
    let (lean, closing) = (pencil.lean as f32, pencil.closing as f32);
    let (middle, last) = (bins.len() as f32 / 2.0, (bins.len() - 1) as f32);
    for Line { y, edges } in lines {
        // x = u + y (lean + closing u)
        let by = 1.0 / (1.0 + y * closing);
        let start = middle - y * lean * by;
        for &(x, weight) in edges {
            let at = x * by + start;
            if at >= 0.0 && at < last {
                let low = at as i32;
                let part = weight * (at - low as f32);
                bins[low as usize] += weight - part;
                bins[low as usize + 1] += part;
            }
        }
    }
    bins.iter().map(|bin| f64::from(*bin) * f64::from(*bin)).sum()
}

/// Edges across one line of places, from the middle of the picture.
struct Line {
    y: f32,
    /// Where they are, and how much each counts.
    edges: Vec<(f32, f32)>,
}
