//! What a content stream sets and what is drawn by: the graphics state and the text position.

use super::colour_space::ColourSpace;
use super::marks::Paint;
use super::matrix::{Bounds, Matrix};

/// The graphics state (ISO 32000-1, 8.4), as far as it matters here.
#[derive(Clone)]
pub(super) struct State {
    pub ctm: Matrix,
    pub fill: Paint,
    pub stroke: Paint,
    pub fill_space: ColourSpace,
    pub stroke_space: ColourSpace,
    pub fill_opacity: f64,
    pub stroke_opacity: f64,
    pub width: f64,
    pub clip: Option<Bounds>,
    pub face: Option<usize>,
    pub size: f64,
    pub char_space: f64,
    pub word_space: f64,
    pub stretch: f64,
    pub leading: f64,
    pub rise: f64,
    pub mode: i64,
}

impl State {
    /// Whether outlines are drawn alike with both but for where they stand and what clips them. What sets text does not count.
    pub fn draws_like(&self, other: &State) -> bool {
        self.ctm.0[..4] == other.ctm.0[..4]
            && (self.fill, self.fill_space, self.fill_opacity) == (other.fill, other.fill_space, other.fill_opacity)
            && (self.stroke, self.stroke_space, self.stroke_opacity)
                == (other.stroke, other.stroke_space, other.stroke_opacity)
            && self.width == other.width
    }

    /// As a page starts.
    pub fn new(ctm: Matrix) -> State {
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
    pub matrix: Matrix,
    pub line: Matrix,
}

impl TextPosition {
    /// Where a text object begins, or where a matrix moves it.
    pub fn at(matrix: Matrix) -> TextPosition {
        TextPosition { matrix, line: matrix }
    }

    /// To the next line, so far from the beginning of this one.
    pub fn next_line(&mut self, dx: f64, dy: f64) {
        if let Some(line) = Matrix([1.0, 0.0, 0.0, 1.0, dx, dy]).then(&self.line) {
            self.line = line;
            self.matrix = line;
        }
    }

    /// On along the line.
    pub fn on(&mut self, dx: f64) {
        if let Some(matrix) = Matrix([1.0, 0.0, 0.0, 1.0, dx, 0.0]).then(&self.matrix) {
            self.matrix = matrix;
        }
    }
}
