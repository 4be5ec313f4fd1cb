//! What shapes belong to, as a print shop's plates ask: rules and marks, figures, pictures in colours; and what their colours
//! are used for.

use crate::page::{Drawing, Shape};
use std::ops::Range;

/// What a colour is used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum InkUse {
    /// Letters, and marks that are read like letters.
    Type,
    /// Letters so small that a screen would fray them.
    SmallType,
    /// Lines.
    Line,
    /// Areas.
    Area,
    /// Parts of a picture in colours. None stands on one plate alone: its neighbours are on the others, and paper would show
    /// between them where the plates are a little off.
    Picture,
}

/// What shapes belong to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ShapesOf {
    /// Rules, arrows, marks, boxes.
    Ornament,
    /// A figure, or the lines that explain a panel.
    Figure,
    /// A picture in colours.
    Picture,
}

impl ShapesOf {
    /// Of a shape of a drawing, some of which are a picture in colours.
    pub(crate) fn drawing(picture: &Range<usize>, at: usize) -> ShapesOf {
        if picture.contains(&at) { ShapesOf::Picture } else { ShapesOf::Figure }
    }

    /// What the colour of an area is used for.
    pub(crate) fn area(self) -> InkUse {
        match self {
            ShapesOf::Ornament | ShapesOf::Figure => InkUse::Area,
            ShapesOf::Picture => InkUse::Picture,
        }
    }

    /// What the colour of a line is used for.
    pub(crate) fn line(self) -> InkUse {
        match self {
            ShapesOf::Ornament | ShapesOf::Figure => InkUse::Line,
            ShapesOf::Picture => InkUse::Picture,
        }
    }
}

/// The shapes of a drawing that are a picture in colours. One without colours is all on one plate, as a figure is.
pub(super) fn in_colours(drawing: &Drawing) -> Range<usize> {
    let shapes = drawing.shapes.get(drawing.picture.clone()).unwrap_or_default();
    let colours = |shape: &Shape| [shape.fill, shape.stroke.as_ref().map(|stroke| stroke.colour)];
    let is_coloured = shapes.iter().flat_map(colours).flatten().any(|colour| !colour.is_grey());
    if is_coloured { drawing.picture.clone() } else { 0..0 }
}

/// The last body drawn.
#[derive(Clone, Copy)]
pub(super) struct Body {
    /// Its lightness.
    pub(crate) lightness: f64,
    /// What it belongs to.
    pub(crate) of: ShapesOf,
}

impl Body {
    /// The paper of an empty page.
    pub(crate) const PAPER: Body = Body { lightness: 100.0, of: ShapesOf::Ornament };
}
