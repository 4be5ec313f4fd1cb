//! What is drawn on a page, in the order it is drawn, in page coordinates.

use super::matrix::{Bounds, PagePoint};
use crate::colour::Colour;
use std::sync::Arc;

/// A page read back.
#[derive(Clone, Debug, Default)]
pub(crate) struct PageMarks {
    /// Glyphs in drawing order.
    pub(crate) glyphs: Vec<PageGlyph>,
    /// The letters of all glyphs, one after another; each glyph holds its stretch.
    pub(crate) letters: String,
    /// Fills, strokes and pictures in drawing order.
    pub(crate) painted: Vec<PaintedMark>,
    /// What could not be followed, in plain words; empty for a page that was read whole.
    pub(crate) unread: Vec<String>,
}

impl PageMarks {
    /// The letters of a glyph.
    pub(crate) fn letters_of(&self, glyph: &PageGlyph) -> &str {
        self.letters.get(glyph.letters.0 as usize..glyph.letters.1 as usize).unwrap_or("")
    }
}

/// One glyph.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PageGlyph {
    /// Where it stands: left end of its baseline.
    pub(crate) from: PagePoint,
    /// Where the pen goes on, without extra spacing.
    pub(crate) to: PagePoint,
    /// Size of the font on the page, points.
    pub(crate) size: f64,
    /// Index into the faces of the reading.
    pub(crate) face: usize,
    /// Code in the file.
    pub(crate) code: u32,
    /// Colour.
    pub(crate) paint: Paint,
    /// Whether anything shows: text may be set to draw nothing.
    pub(crate) shows: bool,
    /// Stretch of [`PageMarks::letters`]; empty when the file does not say what the code stands for.
    pub(crate) letters: (u32, u32),
}

/// A colour as it is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Paint {
    /// One colour.
    Flat(Colour),
    /// A pattern, a shading, a spot colour or anything else that is not one plain colour.
    Other,
}

/// What a painted mark is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum PaintKind {
    /// A filled outline, by the non-zero winding rule.
    Fill,
    /// A filled outline, by the even-odd rule.
    FillEvenOdd,
    /// A line of this width, points; 0: as thin as the printer can.
    Stroke(f64),
    /// A picture; its outline is its corners.
    Picture,
}

/// One painted mark.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct PaintedMark {
    /// What it is.
    pub(crate) kind: PaintKind,
    /// Colour.
    pub(crate) paint: Paint,
    /// How opaque, 0 to 1.
    pub(crate) opacity: f64,
    /// Its outline, curves flattened. All places where one drawing stands share it.
    pub(crate) shape: Arc<Vec<Subpath>>,
    /// How far the outline is moved to its place here.
    pub(crate) moved: PagePoint,
    /// Around all parts; line width not counted.
    pub(crate) bounds: Bounds,
    /// Nothing shows outside this box.
    pub(crate) clip: Option<Bounds>,
}

impl PaintedMark {
    /// The parts of its outline in their places.
    pub(crate) fn parts(&self) -> impl Iterator<Item = Part<'_>> + Clone {
        self.shape.iter().map(|path| Part { path, moved: self.moved })
    }

    /// The same mark, with nothing shown outside this box.
    pub(crate) fn within(self, clip: Option<Bounds>) -> PaintedMark {
        let clip = match (self.clip, clip) {
            (Some(own), Some(other)) => Some(own.shared(&other)),
            (own, other) => own.or(other),
        };
        PaintedMark { clip, ..self }
    }

    /// The same mark so far from here.
    pub(crate) fn moved_by(&self, by: PagePoint) -> PaintedMark {
        PaintedMark {
            shape: Arc::clone(&self.shape),
            moved: PagePoint { x: self.moved.x + by.x, y: self.moved.y + by.y },
            bounds: self.bounds.moved(by),
            clip: self.clip.map(|clip| clip.moved(by)),
            ..*self
        }
    }
}

/// One part of a mark in its place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Part<'a> {
    /// The part as it is shared.
    pub(crate) path: &'a Subpath,
    /// How far it is moved to its place.
    pub(crate) moved: PagePoint,
}

impl<'a> Part<'a> {
    /// Around it.
    pub(crate) fn bounds(&self) -> Bounds {
        self.path.bounds.moved(self.moved)
    }

    /// Its corners in order.
    pub(crate) fn spots(self) -> impl ExactSizeIterator<Item = PagePoint> + Clone + 'a {
        self.path.spots.iter().map(move |spot| PagePoint { x: spot.x + self.moved.x, y: spot.y + self.moved.y })
    }

    /// Its sides in order; where `closing`, also the one from the last corner back to the first.
    pub(crate) fn sides(self, closing: bool) -> impl Iterator<Item = (PagePoint, PagePoint)> + 'a {
        let back = closing.then(|| self.spots().last().zip(self.spots().next())).flatten();
        self.spots().zip(self.spots().skip(1)).chain(back)
    }
}

/// One part of an outline.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Subpath {
    /// Corners in order.
    pub(crate) spots: Vec<PagePoint>,
    /// Whether it was closed in the file.
    pub(crate) closed: bool,
    /// Around it.
    pub(crate) bounds: Bounds,
}

impl Subpath {
    /// Whether it is a rectangle parallel to the page's sides.
    pub(crate) fn is_box(&self) -> bool {
        let mut spots = self.spots.as_slice();
        if let [first, middle @ .., last] = spots
            && middle.len() == 3
            && near(*first, *last)
        {
            spots = &spots[..4];
        }
        let [a, b, c, d] = spots else { return false };
        let level = |p: &PagePoint, q: &PagePoint| (p.y - q.y).abs() < 0.02;
        let plumb = |p: &PagePoint, q: &PagePoint| (p.x - q.x).abs() < 0.02;
        (level(a, b) && plumb(b, c) && level(c, d) && plumb(d, a))
            || (plumb(a, b) && level(b, c) && plumb(c, d) && level(d, a))
    }
}

/// Equal to within a fiftieth of a point, finer than any printer.
pub(crate) fn near(a: PagePoint, b: PagePoint) -> bool {
    (a.x - b.x).abs() < 0.02 && (a.y - b.y).abs() < 0.02
}
