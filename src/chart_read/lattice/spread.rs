//! Squares of one size before it is known which of them are the chart.

use crate::chart_read::edges::Edges;
use crate::chart_read::window::Window;
use crate::picture::SrgbPicture;

/// Squares of fewer pixels are not looked for.
pub(super) const SMALLEST: f64 = 5.0;
/// Squares of a photograph of fewer pixels are looked for only where there are no others.
pub(super) const LEGIBLE: f64 = 7.0;
/// Squares that are so far off, of their side, lie elsewhere.
pub(super) const OFF: f64 = 0.1;
/// A lattice this strong is plain, and is looked for no further.
pub(in crate::chart_read) const PLAIN: f64 = 0.65;
/// Squares that are plain by what is in them, or by how much more is seen on their lines than between them, are as strong as
/// this at least.
pub(super) const BY_MARGIN: f64 = 0.7;

/// Where the squares are.
#[derive(Clone, Debug)]
pub(in crate::chart_read) struct Lattice {
    /// Places of upright lines, one more than columns.
    pub(in crate::chart_read) xs: Vec<f64>,
    /// Places of level lines.
    pub(in crate::chart_read) ys: Vec<f64>,
    /// 0 to 1: how much of what is to be seen of a grid is seen.
    pub(in crate::chart_read) strength: f64,
    /// Whether squares have lines around them.
    pub(in crate::chart_read) lined: bool,
    /// Whether lines or the picture's own edges bound it on all sides.
    pub(in crate::chart_read) size_is_sure: bool,
    /// The share of what changes in a square that comes again in the next, of the direction in which it is less.
    pub(in crate::chart_read) alike: f64,
}

impl Lattice {
    pub(in crate::chart_read) fn columns(&self) -> usize {
        self.xs.len() - 1
    }
    pub(in crate::chart_read) fn rows(&self) -> usize {
        self.ys.len() - 1
    }
    /// Width and height of a square in the mean.
    pub(in crate::chart_read) fn square(&self) -> (f64, f64) {
        let mean = |lines: &[f64]| (lines[lines.len() - 1] - lines[0]) / (lines.len() - 1) as f64;
        (mean(&self.xs), mean(&self.ys))
    }
    /// The same where lines were followed over a wide even part and one was lost or found there: without lines of its own a
    /// chart has no heavier ones, so its squares are all of one size.
    pub(super) fn evened(mut self, (wide, high): (f64, f64)) -> Lattice {
        /// Of a square: so far from a whole number of squares may the chart end.
        const OFF_WHOLE: f64 = 0.15;
        if self.lined {
            return self;
        }
        for (lines, side) in [(&mut self.xs, wide), (&mut self.ys, high)] {
            let (first, last) = (lines[0], lines[lines.len() - 1]);
            let count = libm::round((last - first) / side);
            if count >= 1.0
                && count as usize + 1 != lines.len()
                && libm::fabs((last - first) / side - count) < OFF_WHOLE
            {
                *lines = (0..=count as usize).map(|i| first + (last - first) * i as f64 / count).collect();
            }
        }
        self
    }

    /// Corners of all squares in reading order.
    pub(in crate::chart_read) fn corners(&self) -> Vec<(f64, f64)> {
        self.ys.iter().flat_map(|&y| self.xs.iter().map(move |&x| (x, y))).collect()
    }
}

/// Squares are about square; charts drawn in the proportion of knots are half as high again as wide, or wide.
pub(super) fn like_a_square(wide: f64, high: f64) -> bool {
    (0.4..=2.5).contains(&(wide / high))
}

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
    /// Whether they are to be followed by edges, beside changes of ground and what is drawn in them.
    pub(super) by_edges: bool,
}

impl Guess {
    /// Whether a photograph can show what is in squares so large.
    pub(in crate::chart_read) fn is_legible(&self) -> bool {
        self.wide.min(self.high) >= LEGIBLE
    }

    /// Whether following both comes to the same.
    pub(super) fn is_like(&self, other: &Guess) -> bool {
        let near = |a: f64, b: f64| (a / b - 1.0).abs() < 0.004;
        near(self.wide, other.wide)
            && near(self.high, other.high)
            && self.by_edges == other.by_edges
            && (self.alike > 0.0) == (other.alike > 0.0)
    }

    /// The same so many squares further across and down, to be followed by changes of ground and symbols alone. `None`: that
    /// is where it is, or it was followed so.
    pub(in crate::chart_read) fn beside(&self, (across, down): (f64, f64)) -> Option<Guess> {
        let (x, y) = self.first;
        let first = (x + across * self.wide, y + down * self.high);
        let is_off = self.by_edges && self.alike > 0.0 && across.abs().max(down.abs()) >= OFF;
        is_off.then_some(Guess { first, by_edges: false, ..*self })
    }

    /// How much speaks for it where so many squares are seen: of few squares little is known.
    pub(super) fn worth(&self) -> f64 {
        let squares = self.window.area() as f64 / self.wide / self.high;
        self.seen * libm::sqrt((squares / 150.0).min(1.0))
    }
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
            let slip = (0.12 * period).max(0.6);
            lines[0].abs() <= slip && (lines[lines.len() - 1] - long as f64).abs() <= slip
        };
        fits(&self.xs, picture.width, self.wide) && fits(&self.ys, picture.height, self.high)
    }
}

/// Lines half-way between these.
pub(super) fn between(lines: &[f64]) -> Vec<f64> {
    lines.windows(2).map(|pair| (pair[0] + pair[1]) / 2.0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn squares_are_looked_for_beside_only_where_they_were_followed_by_edges_and_lie_off() {
        let window = Window::whole(300, 200);
        let guess = Guess { window, wide: 20.0, high: 10.0, first: (4.0, 3.0), seen: 0.5, alike: 0.4, by_edges: true };
        let beside = guess.beside((-0.25, 0.05)).expect("another place");
        assert_eq!((beside.first, beside.by_edges), ((-1.0, 3.5), false));
        assert!(guess.beside((0.05, -0.09)).is_none());
        assert!(beside.beside((0.3, 0.0)).is_none());
        assert!(Guess { alike: 0.0, ..guess }.beside((0.3, 0.0)).is_none());
    }
}
