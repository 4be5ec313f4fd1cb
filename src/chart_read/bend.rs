//! Paper that is not quite flat, and lenses that are not quite straight: corners of squares moved to where the edges are, by
//! as much as a smooth surface can.

use super::edges::Edges;
use super::lattice::Lattice;

/// Patches along each side in which the lattice is held against the edges.
const PATCHES: usize = 8;
/// Terms of the surface: all products of powers up to three together.
const TERMS: usize = 10;

type Surface = [f64; TERMS];

/// The lattice with its corners moved.
pub(super) fn follow(edges: &Edges, mut lattice: Lattice) -> Lattice {
    let (columns, rows) = (lattice.columns(), lattice.rows());
    if columns < 12 || rows < 12 {
        return lattice;
    }
    lattice.moved = vec![(0.0, 0.0); (columns + 1) * (rows + 1)];
    for reach in [0.42, 0.3, 0.25] {
        let corners = lattice.corners();
        let x = surface(&offsets(edges, &corners, columns, rows, lattice.square().0 * reach, false));
        let y = surface(&offsets(edges, &corners, columns, rows, lattice.square().1 * reach, true));
        let (Some(x), Some(y)) = (x, y) else { return lattice };
        for row in 0..=rows {
            for column in 0..=columns {
                let (u, v) = place(column as f64, columns, row as f64, rows);
                let (dx, dy) = &mut lattice.moved[row * (columns + 1) + column];
                *dx += at(&x, u, v);
                *dy += at(&y, u, v);
            }
        }
    }
    lattice
}

/// A place in the chart, -1 to 1 each way.
fn place(column: f64, columns: usize, row: f64, rows: usize) -> (f64, f64) {
    (2.0 * column / columns as f64 - 1.0, 2.0 * row / rows as f64 - 1.0)
}

fn terms(u: f64, v: f64) -> Surface {
    [1.0, u, v, u * u, u * v, v * v, u * u * u, u * u * v, u * v * v, v * v * v]
}

fn at(surface: &Surface, u: f64, v: f64) -> f64 {
    surface.iter().zip(terms(u, v)).map(|(a, b)| a * b).sum()
}

/// How far edges are off the lattice in one patch, and how sure that is.
struct Offset {
    u: f64,
    v: f64,
    by: f64,
    weight: f64,
}

/// `level`: of level sides, else of upright ones.
fn offsets(edges: &Edges, corners: &[(f64, f64)], columns: usize, rows: usize, reach: f64, level: bool) -> Vec<Offset> {
    const FINE: f64 = 4.0;
    let bins = (2.0 * reach * FINE).ceil() as usize + 1;
    let mut counts = vec![vec![0.0_f64; bins]; PATCHES * PATCHES];
    let stride = columns + 1;
    for row in 0..rows {
        for column in 0..columns {
            let patch = row * PATCHES / rows * PATCHES + column * PATCHES / columns;
            let (a, b) = (
                corners[row * stride + column],
                corners[(row + usize::from(!level)) * stride + column + usize::from(level)],
            );
            let steps = if level { b.0 - a.0 } else { b.1 - a.1 };
            for step in 0..steps.max(1.0) as usize {
                let share = (step as f64 + 0.5) / steps.max(1.0);
                let (x, y) = (a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1));
                note(edges, (x, y), reach, level, &mut counts[patch], FINE);
            }
        }
    }
    let one = |(patch, counts): (usize, Vec<f64>)| {
        let all: f64 = counts.iter().sum();
        let window = (bins / 5).max(1);
        let sum = |from: usize| counts[from..from + window].iter().sum::<f64>();
        let best = (0..=bins - window).max_by(|&a, &b| sum(a).total_cmp(&sum(b)))?;
        let mass = sum(best);
        let middle =
            (best..best + window).map(|bin| counts[bin] * bin as f64).sum::<f64>() / mass.max(1e-9) / FINE - reach;
        // What would lie in the window if edges lay anywhere.
        let clear = mass - all * window as f64 / bins as f64;
        let (u, v) = (
            place((patch % PATCHES) as f64 + 0.5, PATCHES, (patch / PATCHES) as f64 + 0.5, PATCHES).0,
            place(0.0, PATCHES, (patch / PATCHES) as f64 + 0.5, PATCHES).1,
        );
        (clear > 0.0).then_some(Offset { u, v, by: middle, weight: clear })
    };
    counts.into_iter().enumerate().filter_map(one).collect()
}

fn note(edges: &Edges, (x, y): (f64, f64), reach: f64, level: bool, counts: &mut [f64], fine: f64) {
    let (along, across, long) = if level { (x, y, edges.height) } else { (y, x, edges.width) };
    let line = along as usize;
    if along < 0.0 || line >= if level { edges.width } else { edges.height } {
        return;
    }
    let from = (across - reach).ceil().max(0.0) as usize;
    let to = ((across + reach).floor().max(-1.0) + 1.0) as usize;
    for at in from..to.min(long) {
        let edge = if level { edges.level[at * edges.width + line] } else { edges.upright[line * edges.width + at] };
        if edge > 0 {
            let bin = ((at as f64 - across + reach) * fine) as usize;
            if let Some(count) = counts.get_mut(bin) {
                *count += 1.0;
            }
        }
    }
}

/// The surface that is nearest to the offsets.
fn surface(offsets: &[Offset]) -> Option<Surface> {
    if offsets.len() < TERMS {
        return None;
    }
    let mut normal = [[0.0; TERMS + 1]; TERMS];
    let most = offsets.iter().map(|offset| offset.weight).fold(0.0, f64::max);
    for Offset { u, v, by, weight } in offsets {
        let terms = terms(*u, *v);
        let weight = weight / most;
        for (line, a) in normal.iter_mut().zip(terms) {
            for (entry, b) in line.iter_mut().zip(terms.iter().chain([by])) {
                *entry += weight * a * b;
            }
        }
    }
    for (i, line) in normal.iter_mut().enumerate() {
        line[i] += 1e-3;
    }
    super::light::solved(normal.iter().map(|line| line.to_vec()).collect())?.try_into().ok()
}
