//! Lengths, points and boxes, in PostScript points (1/72 in) with y growing downwards.
//!
//! A leaf: knows nothing of the rest. `Length` is a newtype so that millimetres, points and knots are never mixed;
//! compare lengths with [`Length::fits`] and [`Length::approx_eq`], never with `==`.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// Points in one inch, by definition of the point used in page description (ISO 32000: default user space unit).
pub(crate) const POINTS_PER_INCH: f64 = 72.0;
/// Millimetres in one inch, exact (international yard and pound agreement, 1959).
pub(crate) const MM_PER_INCH: f64 = 25.4;

/// A length in points. May be negative where it is a difference.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Length(f64);

impl Length {
    /// Nothing at all.
    pub const ZERO: Length = Length(0.0);

    /// From points.
    pub const fn pt(points: f64) -> Length {
        Length(points)
    }
    /// From millimetres.
    pub const fn mm(millimetres: f64) -> Length {
        Length(millimetres * POINTS_PER_INCH / MM_PER_INCH)
    }
    /// From inches.
    pub(crate) const fn inches(inches: f64) -> Length {
        Length(inches * POINTS_PER_INCH)
    }
    /// In points.
    pub const fn to_pt(self) -> f64 {
        self.0
    }
    /// In millimetres.
    pub const fn to_mm(self) -> f64 {
        self.0 * MM_PER_INCH / POINTS_PER_INCH
    }
    /// In inches.
    pub(crate) const fn to_inches(self) -> f64 {
        self.0 / POINTS_PER_INCH
    }
    /// Whether this length goes into `room`, forgiving rounding of a ten-thousandth of a point.
    pub fn fits(self, room: Length) -> bool {
        self.0 <= room.0 + 1e-4
    }
    /// Equal to within a ten-thousandth of a point.
    pub fn approx_eq(self, other: Length) -> bool {
        (self.0 - other.0).abs() <= 1e-4
    }
    /// The longer of the two.
    pub(crate) fn max(self, other: Length) -> Length {
        Length(self.0.max(other.0))
    }
    /// The shorter of the two.
    pub fn min(self, other: Length) -> Length {
        Length(self.0.min(other.0))
    }
    /// Without its sign.
    pub(crate) fn abs(self) -> Length {
        Length(self.0.abs())
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}
impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}
impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(-self.0)
    }
}
impl Mul<f64> for Length {
    type Output = Length;
    fn mul(self, factor: f64) -> Length {
        Length(self.0 * factor)
    }
}
impl Div<f64> for Length {
    type Output = Length;
    fn div(self, divisor: f64) -> Length {
        Length(self.0 / divisor)
    }
}
impl Div for Length {
    type Output = f64;
    fn div(self, other: Length) -> f64 {
        self.0 / other.0
    }
}
impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        self.0 += other.0;
    }
}
impl SubAssign for Length {
    fn sub_assign(&mut self, other: Length) {
        self.0 -= other.0;
    }
}
impl std::iter::Sum for Length {
    fn sum<I: Iterator<Item = Length>>(iter: I) -> Length {
        iter.fold(Length::ZERO, |a, b| a + b)
    }
}

/// A place on a page, from its top left corner; y grows downwards.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// From the left edge.
    pub x: Length,
    /// From the top edge.
    pub y: Length,
}

impl Point {
    /// A point from its two distances.
    pub(crate) const fn new(x: Length, y: Length) -> Point {
        Point { x, y }
    }
    /// A point from distances in points.
    pub(crate) const fn pt(x: f64, y: f64) -> Point {
        Point { x: Length::pt(x), y: Length::pt(y) }
    }
    /// Moved right by `dx` and down by `dy`.
    pub(crate) fn moved(self, dx: Length, dy: Length) -> Point {
        Point { x: self.x + dx, y: self.y + dy }
    }
}

/// Width and height.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Size {
    /// Across.
    pub width: Length,
    /// Down.
    pub height: Length,
}

impl Size {
    /// A size from its two measures.
    pub const fn new(width: Length, height: Length) -> Size {
        Size { width, height }
    }
}

/// A box whose sides are parallel to the page's.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rect {
    /// Top left corner.
    pub origin: Point,
    /// Width and height, never negative.
    pub size: Size,
}

impl Rect {
    /// From left, top, width and height.
    pub const fn new(x: Length, y: Length, width: Length, height: Length) -> Rect {
        Rect { origin: Point { x, y }, size: Size { width, height } }
    }
    /// Left edge.
    pub fn left(self) -> Length {
        self.origin.x
    }
    /// Top edge.
    pub fn top(self) -> Length {
        self.origin.y
    }
    /// Right edge.
    pub fn right(self) -> Length {
        self.origin.x + self.size.width
    }
    /// Bottom edge.
    pub fn bottom(self) -> Length {
        self.origin.y + self.size.height
    }
    /// The point in the middle.
    pub fn centre(self) -> Point {
        self.origin.moved(self.size.width / 2.0, self.size.height / 2.0)
    }
    /// Smaller by `by` on every side.
    pub(crate) fn inset(self, by: Length) -> Rect {
        Rect::new(self.left() + by, self.top() + by, self.size.width - by * 2.0, self.size.height - by * 2.0)
    }
    /// Moved right by `dx` and down by `dy`.
    pub(crate) fn moved(self, dx: Length, dy: Length) -> Rect {
        Rect { origin: self.origin.moved(dx, dy), size: self.size }
    }
    /// Whether `other` lies inside, forgiving rounding.
    pub fn holds(self, other: Rect) -> bool {
        self.left().fits(other.left())
            && self.top().fits(other.top())
            && other.right().fits(self.right())
            && other.bottom().fits(self.bottom())
    }
}

/// The cells above, below, left and right of one, in a grid that is counted row by row.
pub(crate) fn beside(at: usize, columns: usize, rows: usize) -> impl Iterator<Item = usize> {
    let (row, column) = (at / columns, at % columns);
    let all = [
        (row > 0).then(|| at - columns),
        (row + 1 < rows).then(|| at + columns),
        (column > 0).then(|| at - 1),
        (column + 1 < columns).then(|| at + 1),
    ];
    all.into_iter().flatten()
}
