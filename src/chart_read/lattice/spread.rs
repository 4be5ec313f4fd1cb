//! Squares of one size before it is known which of them are the chart.

use crate::chart_read::edges::Edges;
use crate::chart_read::window::Window;
use crate::picture::SrgbPicture;

/// Squares as they lie in one window of a picture.
#[derive(Clone, Copy, Debug)]
pub(in crate::chart_read) struct Guess {
    pub(super) window: Window,
    /// Sides of a square.
    pub(super) wide: f64,
    pub(super) high: f64,
    /// A corner of a square.
    pub(super) first: (f64, f64),
    /// How much speaks for it, 0 to 1.
    pub(super) seen: f64,
    /// How much of squares comes again with what is in them, in both directions; 0: they are known by their edges alone.
    pub(super) alike: f64,
}

/// All lines from edge to edge of a picture.
pub(super) struct Spread {
    pub(super) xs: Vec<f64>,
    pub(super) ys: Vec<f64>,
    pub(super) wide: f64,
    pub(super) high: f64,
}

/// A box of squares: first and one past the last column and row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Part {
    pub(super) left: usize,
    pub(super) right: usize,
    pub(super) top: usize,
    pub(super) bottom: usize,
}

impl Part {
    pub(super) fn area(self) -> usize {
        (self.right - self.left) * (self.bottom - self.top)
    }

    pub(super) fn holds(self, row: usize, column: usize) -> bool {
        (self.left..self.right).contains(&column) && (self.top..self.bottom).contains(&row)
    }
}

impl Spread {
    pub(super) fn corners(&self) -> Vec<(f64, f64)> {
        self.ys.iter().flat_map(|&y| self.xs.iter().map(move |&x| (x, y))).collect()
    }

    /// How far edges may be from their line, across and down.
    pub(super) fn near(&self, edges: &Edges) -> (f64, f64) {
        // Both sides of a heavier line are as far from its middle as this at least.
        let smeared = if edges.slack == 0 { 1.6 } else { 0.9 + 0.9 * edges.slack as f64 + (edges.reach - 1) as f64 };
        let near = |period: f64| smeared.min(0.3 * period).max(1.1);
        (near(self.wide), near(self.high))
    }

    /// All squares that are whole inside the picture.
    pub(super) fn inside(&self, picture: &SrgbPicture) -> Option<Part> {
        let cut = |lines: &[f64], long: usize, period: f64| {
            let slip = (0.2 * period).max(0.6);
            let from = lines.iter().position(|line| *line >= -slip)?;
            let to = lines.iter().rposition(|line| *line <= long as f64 + slip)?;
            (from < to).then_some((from, to))
        };
        let (left, right) = cut(&self.xs, picture.width, self.wide)?;
        let (top, bottom) = cut(&self.ys, picture.height, self.high)?;
        Some(Part { left, right, top, bottom })
    }

    /// Whether the outermost lines are the picture's own edges.
    pub(super) fn fits(&self, picture: &SrgbPicture) -> bool {
        let fits = |lines: &[f64], long: usize, period: f64| {
            let slip = (0.2 * period).max(0.6);
            lines[0].abs() <= slip && (lines[lines.len() - 1] - long as f64).abs() <= slip
        };
        fits(&self.xs, picture.width, self.wide) && fits(&self.ys, picture.height, self.high)
    }
}

/// Lines half-way between these.
pub(super) fn between(lines: &[f64]) -> Vec<f64> {
    lines.windows(2).map(|pair| (pair[0] + pair[1]) / 2.0).collect()
}
