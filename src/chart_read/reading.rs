//! What a picture of a chart is read into.

use crate::colour::Colour;
use crate::picture::SrgbPicture;

/// How many squares the maker says there are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Size {
    /// Across; `None`: not said.
    pub columns: Option<usize>,
    /// Down.
    pub rows: Option<usize>,
}

/// Why a picture is not read as a chart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoChart {
    /// No grid of equal squares was found.
    NoGrid,
    /// A grid was found, of so many columns and rows, and cannot be of the size that was said.
    OtherSize(usize, usize),
}

/// A chart as it was read.
#[derive(Clone, Debug)]
pub struct Reading {
    /// Across.
    pub columns: usize,
    /// Down.
    pub rows: usize,
    /// The kind of each square, by its place in `kinds`, in reading order.
    pub cells: Vec<u8>,
    /// Kinds of squares, that of most squares first.
    pub kinds: Vec<SquareKind>,
    /// Squares that may be of another kind, in reading order.
    pub doubtful: Vec<Doubt>,
    /// Whether the number of squares follows from the picture without doubt: grid lines, or edges that fit.
    pub size_is_sure: bool,
    /// Height of a square over its width, as it lies in the picture.
    pub proportion: f64,
    /// Pixels across a square.
    pub pixels: f64,
    /// The picture laid flat, and where its squares are.
    pub flat: Flat,
}

/// The picture laid flat, cut to its squares.
#[derive(Clone, Debug)]
pub struct Flat {
    /// Upright, and without foreshortening.
    pub picture: SrgbPicture,
    /// Whether it is as it came: not laid flat, nor bent.
    pub straight: bool,
    /// Corners of squares, `(columns + 1) x (rows + 1)` in reading order, in pixels.
    pub corners: Vec<(f64, f64)>,
}

/// One kind of square.
#[derive(Clone, Debug, PartialEq)]
pub struct SquareKind {
    /// The colour of its ground.
    pub colour: Colour,
    /// How many squares are of it.
    pub count: usize,
    /// Whether it differs from another kind by what is drawn in it alone.
    pub by_symbol: bool,
    /// A square that shows it well.
    pub example: usize,
}

/// A square that may be read wrongly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// Its place in reading order.
    pub cell: usize,
    /// The kind it may be as well.
    pub or: u8,
}

/// Most squares of a side that are read.
pub const MAX_SIDE: usize = 600;
/// Least squares of a side: fewer are no chart.
pub const MIN_SIDE: usize = 8;
/// As many kinds as a project may have yarns.
pub const MAX_TOLD: usize = 32;
/// Most kinds of squares: more than yarns a project may have, so that the excess can be told.
pub(super) const MAX_KINDS: usize = 64;
