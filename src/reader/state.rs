//! What a content stream sets and what is drawn by: the graphics state and the text position.

use super::colour_space::ColourSpace;
use super::marks::Paint;
use super::matrix::{Bounds, Matrix};

/// The graphics state (ISO 32000-1, 8.4), as far as it matters here.
#[derive(Clone)]
pub(super) struct State {
    pub(crate) ctm: Matrix,
    pub(crate) fill: Paint,
    pub(crate) stroke: Paint,
    pub(crate) fill_space: ColourSpace,
    pub(crate) stroke_space: ColourSpace,
    pub(crate) fill_opacity: f64,
    pub(crate) stroke_opacity: f64,
    pub(crate) width: f64,
    pub(crate) clip: Option<Bounds>,
    pub(crate) face: Option<usize>,
    pub(crate) size: f64,
    pub(crate) char_space: f64,
    pub(crate) word_space: f64,
    pub(crate) stretch: f64,
    pub(crate) leading: f64,
    pub(crate) rise: f64,
    pub(crate) mode: i64,
}

impl State {
    /// Whether outlines are drawn alike with both but for where they stand and what clips them. What sets text does not count.
    pub(crate) fn draws_like(&self, other: &State) -> bool {
        self.ctm.0[..4] == other.ctm.0[..4]
            && (self.fill, self.fill_space, self.fill_opacity) == (other.fill, other.fill_space, other.fill_opacity)
            && (self.stroke, self.stroke_space, self.stroke_opacity)
                == (other.stroke, other.stroke_space, other.stroke_opacity)
            && self.width == other.width
    }

    /// As a page starts.
    pub(crate) fn new(ctm: Matrix) -> State {
        State {
            ctm,
            fill: ColourSpace::Grey.first(),
            stroke: ColourSpace::Grey.first(),
            fill_space: ColourSpace::Grey,
            stroke_space: ColourSpace::Grey,
            fill_opacity: 1.0,
            stroke_opacity: 1.0,
            width: 1.0,
            clip: None,
            face: None,
            size: 0.0,
            char_space: 0.0,
            word_space: 0.0,
            stretch: 1.0,
            leading: 0.0,
            rise: 0.0,
            mode: 0,
        }
    }
}

/// Text position, reset by each BT.
pub(super) struct TextPosition {
    pub(crate) matrix: Matrix,
    pub(crate) line: Matrix,
}

impl TextPosition {
    /// Where a text object begins, or where a matrix moves it.
    pub(crate) fn at(matrix: Matrix) -> TextPosition {
        TextPosition { matrix, line: matrix }
    }

    /// To the next line, so far from the beginning of this one.
    pub(crate) fn next_line(&mut self, dx: f64, dy: f64) {
        if let Some(line) = Matrix([1.0, 0.0, 0.0, 1.0, dx, dy]).then(&self.line) {
            self.line = line;
            self.matrix = line;
        }
    }

    /// On along the line.
    pub(crate) fn on(&mut self, dx: f64) {
        if let Some(matrix) = Matrix([1.0, 0.0, 0.0, 1.0, dx, 0.0]).then(&self.matrix) {
            self.matrix = matrix;
        }
    }
}
