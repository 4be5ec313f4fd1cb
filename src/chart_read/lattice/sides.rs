//! Sides of squares: for each the share that is an edge.

use super::spread::Part;
use crate::chart_read::edges::Edges;
use crate::geom::beside;

/// The share of a square's side that must be seen where squares have lines: symbols may cover some of it.
pub(super) const SEEN: f32 = 0.6;

/// Lines so near to the picture's edge, of a square's other side, are that edge.
const EDGE: f64 = 0.3;

/// Sides of all squares between some lines.
pub(super) struct Sides {
    pub(super) columns: usize,
    pub(super) rows: usize,
    /// Upright sides, `columns + 1` a row.
    pub(super) upright: Vec<f32>,
    /// Level sides, `columns` a line, `rows + 1` lines.
    pub(super) level: Vec<f32>,
}

impl Sides {
    /// `near`: how far an edge may be from its line. `inset`: the share of a side that is left out at both of its ends.
    pub(super) fn of(edges: &Edges, turned: &Edges, (xs, ys): (&[f64], &[f64]), near: (f64, f64), inset: f64) -> Sides {
        let (columns, rows) = (xs.len() - 1, ys.len() - 1);
        let upright = seen(edges, xs, near.0, ys, inset);
        let across = seen(turned, ys, near.1, xs, inset);
        // From line by line of the turned picture to reading order.
        let mut level = vec![0.0; columns * (rows + 1)];
        for column in 0..columns {
            for line in 0..=rows {
                level[line * columns + column] = across[column * (rows + 1) + line];
            }
        }
        Sides { columns, rows, upright, level }
    }

    pub(super) fn side(&self, row: usize, line: usize) -> f32 {
        self.upright[row * (self.columns + 1) + line]
    }

    pub(super) fn level_side(&self, line: usize, column: usize) -> f32 {
        self.level[line * self.columns + column]
    }

    /// Which squares show all four sides.
    pub(super) fn framed(&self) -> Vec<bool> {
        let framed = |at: usize| {
            let (row, column) = (at / self.columns, at % self.columns);
            self.side(row, column) >= SEEN
                && self.side(row, column + 1) >= SEEN
                && self.level_side(row, column) >= SEEN
                && self.level_side(row + 1, column) >= SEEN
        };
        (0..self.columns * self.rows).map(framed).collect()
    }

    /// The box around the largest patch of squares that hang together, and how many these are.
    pub(super) fn largest(&self, is: &[bool]) -> Option<(Part, usize)> {
        let mut seen = vec![false; is.len()];
        let mut best: Option<(Part, usize)> = None;
        let mut patch: Vec<usize> = Vec::new();
        for start in 0..is.len() {
            if seen[start] || !is[start] {
                continue;
            }
            patch.clear();
            patch.push(start);
            seen[start] = true;
            let mut part = Part { left: usize::MAX, right: 0, top: usize::MAX, bottom: 0 };
            let mut next = 0;
            while next < patch.len() {
                let at = patch[next];
                next += 1;
                let (row, column) = (at / self.columns, at % self.columns);
                part.left = part.left.min(column);
                part.right = part.right.max(column + 1);
                part.top = part.top.min(row);
                part.bottom = part.bottom.max(row + 1);
                for other in beside(at, self.columns, self.rows) {
                    if is[other] && !seen[other] {
                        seen[other] = true;
                        patch.push(other);
                    }
                }
            }
            if best.is_none_or(|(_, most)| patch.len() > most) {
                best = Some((part, patch.len()));
            }
        }
        best
    }

    /// Squares that are, and those at most so many columns and rows from them.
    pub(super) fn widened(&self, is: &[bool], reach: usize) -> Vec<bool> {
        let mut near = vec![false; is.len()];
        for at in (0..is.len()).filter(|at| is[*at]) {
            let (row, column) = (at / self.columns, at % self.columns);
            for r in row.saturating_sub(reach)..(row + reach + 1).min(self.rows) {
                for c in column.saturating_sub(reach)..(column + reach + 1).min(self.columns) {
                    near[r * self.columns + c] = true;
                }
            }
        }
        near
    }
}

/// For each square's side along lines at `xs`, between neighbouring `ys`, the share of it where an edge is near: row by row,
/// `xs.len()` a row.
fn seen(edges: &Edges, xs: &[f64], near: f64, ys: &[f64], inset: f64) -> Vec<f32> {
    let mut shares = Vec::with_capacity(xs.len() * (ys.len() - 1));
    for row in ys.windows(2) {
        let inset = inset * (row[1] - row[0]);
        let from = (row[0] + inset).round().max(0.0) as usize;
        let to = ((row[1] - inset).round().max(0.0) as usize).max(from + 1).min(edges.height);
        for &line in xs {
            let left = (line - near).ceil().max(0.0) as usize;
            let right = (((line + near).floor().max(-1.0) + 1.0) as usize).min(edges.width);
            // The picture's own edges may be the chart's.
            let edge = EDGE * (row[1] - row[0]);
            if edges.may_be_whole && (line < edge || line > edges.width as f64 - edge) {
                shares.push(1.0);
                continue;
            }
            let found = (from..to).filter(|y| {
                left < right && edges.upright[y * edges.width + left..y * edges.width + right].iter().any(|e| *e > 0)
            });
            shares.push(found.count() as f32 / to.saturating_sub(from).max(1) as f32);
        }
    }
    shares
}
