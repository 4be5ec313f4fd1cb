//! Marks and words as a page has them, for the tests of this room.

use crate::colour::Colour;
use crate::reader::lines::{Stretch, Word};
use crate::reader::marks::{PageMarks, Paint, PaintKind, PaintedMark, Subpath};
use crate::reader::matrix::{Bounds, PagePoint};
use std::sync::Arc;

/// A closed outline through these corners.
pub(in crate::proof) fn outline(corners: &[(f64, f64)]) -> Subpath {
    let spots: Vec<PagePoint> = corners.iter().map(|&(x, y)| PagePoint { x, y }).collect();
    let mut bounds = Bounds::EMPTY;
    spots.iter().for_each(|spot| bounds.take_in(*spot));
    Subpath { spots, closed: true, bounds }
}

/// A box from its upper left corner.
pub(in crate::proof) fn upright(left: f64, top: f64, width: f64, height: f64) -> Subpath {
    let (right, bottom) = (left + width, top + height);
    outline(&[(left, top), (right, top), (right, bottom), (left, bottom)])
}

/// A triangle as wide and as high as such a box.
pub(in crate::proof) fn triangle(left: f64, top: f64, width: f64, height: f64) -> Subpath {
    outline(&[(left, top), (left + width, top), (left + width / 2.0, top + height)])
}

/// Something painted with these parts.
pub(in crate::proof) fn mark(kind: PaintKind, colour: Colour, parts: Vec<Subpath>) -> PaintedMark {
    let mut bounds = Bounds::EMPTY;
    parts.iter().flat_map(|part| &part.spots).for_each(|spot| bounds.take_in(*spot));
    PaintedMark {
        kind,
        paint: Paint::Flat(colour),
        opacity: 1.0,
        shape: Arc::new(parts),
        moved: PagePoint::default(),
        bounds,
        clip: None,
    }
}

/// Filled with a pale colour.
pub(in crate::proof) fn filled(part: Subpath) -> PaintedMark {
    mark(PaintKind::Fill, Colour::new(0xe0, 0xd0, 0xc0), vec![part])
}

/// Filled with black.
pub(in crate::proof) fn inked(part: Subpath) -> PaintedMark {
    mark(PaintKind::Fill, Colour::BLACK, vec![part])
}

/// Drawn round with a thin black line.
pub(in crate::proof) fn framed(part: Subpath) -> PaintedMark {
    mark(PaintKind::Stroke(0.4), Colour::BLACK, vec![part])
}

/// A page with these marks.
pub(in crate::proof) fn page(painted: Vec<PaintedMark>) -> PageMarks {
    PageMarks { painted, ..PageMarks::default() }
}

/// Words on a line: five points a letter, three between words, seven high, ten the size.
pub(in crate::proof) fn line(left: f64, baseline: f64, text: &str) -> Stretch {
    let mut pen = left;
    let mut words = Vec::new();
    for word in text.split(' ') {
        let right = pen + 5.0 * word.chars().count() as f64;
        let area = Bounds { left: pen, top: baseline - 7.0, right, bottom: baseline };
        words.push(Word { letters: word.to_owned(), area });
        pen = right + 3.0;
    }
    let area = Bounds { left, top: baseline - 7.0, right: pen - 3.0, bottom: baseline };
    Stretch { words, area, baseline, size: 10.0, level: true }
}
