//! Points, boxes and transformations of a page that was read back.
//!
//! Plain `f64` points with y growing downwards from the top of the trimmed page; every coordinate of this room is one.

/// A place on the page, points.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct PagePoint {
    /// From the left edge of the trimmed page.
    pub(crate) x: f64,
    /// From its top edge.
    pub(crate) y: f64,
}

/// A box whose sides are parallel to the page's, points. Empty while `left > right`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Bounds {
    /// Left edge.
    pub(crate) left: f64,
    /// Top edge.
    pub(crate) top: f64,
    /// Right edge.
    pub(crate) right: f64,
    /// Bottom edge.
    pub(crate) bottom: f64,
}

impl Bounds {
    /// Holds nothing yet; grows with [`Bounds::take_in`].
    pub(crate) const EMPTY: Bounds =
        Bounds { left: f64::INFINITY, top: f64::INFINITY, right: f64::NEG_INFINITY, bottom: f64::NEG_INFINITY };
    /// From two opposite corners in any order.
    pub(crate) fn of(a: PagePoint, b: PagePoint) -> Bounds {
        Bounds { left: a.x.min(b.x), top: a.y.min(b.y), right: a.x.max(b.x), bottom: a.y.max(b.y) }
    }
    /// Grows so that `spot` lies inside.
    pub(crate) fn take_in(&mut self, spot: PagePoint) {
        self.left = self.left.min(spot.x);
        self.top = self.top.min(spot.y);
        self.right = self.right.max(spot.x);
        self.bottom = self.bottom.max(spot.y);
    }
    /// Across; negative when empty.
    pub(crate) fn width(&self) -> f64 {
        self.right - self.left
    }
    /// Down; negative when empty.
    pub(crate) fn height(&self) -> f64 {
        self.bottom - self.top
    }
    /// The middle.
    pub(crate) fn centre(&self) -> PagePoint {
        PagePoint { x: (self.left + self.right) / 2.0, y: (self.top + self.bottom) / 2.0 }
    }
    /// Whether nothing lies inside.
    pub(crate) fn is_empty(&self) -> bool {
        self.left > self.right || self.top > self.bottom
    }
    /// Whether the two share a point.
    pub(crate) fn meets(&self, other: &Bounds) -> bool {
        self.left <= other.right && other.left <= self.right && self.top <= other.bottom && other.top <= self.bottom
    }
    /// What both share; may be empty.
    pub(crate) fn shared(&self, other: &Bounds) -> Bounds {
        Bounds {
            left: self.left.max(other.left),
            top: self.top.max(other.top),
            right: self.right.min(other.right),
            bottom: self.bottom.min(other.bottom),
        }
    }
    /// Larger by `by` on every side.
    pub(crate) fn grown(&self, by: f64) -> Bounds {
        Bounds { left: self.left - by, top: self.top - by, right: self.right + by, bottom: self.bottom + by }
    }
    /// As large, and so far from here.
    pub(crate) fn moved(&self, by: PagePoint) -> Bounds {
        Bounds { left: self.left + by.x, top: self.top + by.y, right: self.right + by.x, bottom: self.bottom + by.y }
    }
    /// Whether a point lies inside.
    pub(crate) fn holds(&self, spot: PagePoint) -> bool {
        spot.x >= self.left && spot.x <= self.right && spot.y >= self.top && spot.y <= self.bottom
    }
    /// Whether another box lies inside.
    pub(crate) fn holds_all(&self, other: &Bounds) -> bool {
        other.left >= self.left && other.right <= self.right && other.top >= self.top && other.bottom <= self.bottom
    }
}

/// A transformation as page descriptions write it: `[a b c d e f]`, x' = ax + cy + e, y' = bx + dy + f.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Matrix(pub [f64; 6]);

impl Matrix {
    /// Changes nothing.
    pub(crate) const IDENTITY: Matrix = Matrix([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);

    /// First `self`, then `then`. `None` when a figure leaves what can be reckoned with.
    pub(crate) fn then(&self, then: &Matrix) -> Option<Matrix> {
        let [a, b, c, d, e, f] = self.0;
        let [ta, tb, tc, td, te, tf] = then.0;
        let out = [
            a * ta + b * tc,
            a * tb + b * td,
            c * ta + d * tc,
            c * tb + d * td,
            e * ta + f * tc + te,
            e * tb + f * td + tf,
        ];
        out.iter().all(|v| v.is_finite() && v.abs() < 1e12).then_some(Matrix(out))
    }
    /// Where a point goes.
    pub(crate) fn apply(&self, x: f64, y: f64) -> PagePoint {
        let [a, b, c, d, e, f] = self.0;
        PagePoint { x: a * x + c * y + e, y: b * x + d * y + f }
    }
    /// Where the corners of a box go.
    pub(crate) fn apply_box(&self, x0: f64, y0: f64, x1: f64, y1: f64) -> [PagePoint; 4] {
        [self.apply(x0, y0), self.apply(x1, y0), self.apply(x1, y1), self.apply(x0, y1)]
    }
    /// By how much lengths grow, the geometric mean of both directions.
    pub(crate) fn scale(&self) -> f64 {
        let [a, b, c, d, _, _] = self.0;
        (a * d - b * c).abs().sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn transformations_are_applied_first_to_last() {
        let double = Matrix([2.0, 0.0, 0.0, 2.0, 0.0, 0.0]);
        let right = Matrix([1.0, 0.0, 0.0, 1.0, 10.0, 0.0]);
        // Own computation: (3, 4) doubled is (6, 8), moved by 10 is (16, 8).
        assert_eq!(double.then(&right).map(|m| m.apply(3.0, 4.0)), Some(PagePoint { x: 16.0, y: 8.0 }));
    }

    #[test]
    fn a_transformation_that_runs_away_is_refused() {
        let huge = Matrix([1e9, 0.0, 0.0, 1e9, 0.0, 0.0]);
        assert_eq!(huge.then(&huge), None);
    }
}
