//! Words to glyphs, with fallback cluster by cluster.

use super::collect::ParagraphText;
use super::missing::runs_from_right_to_left;
use super::{Missing, TextSpan};
use crate::font::{Features, FontBook, FontRole, RawGlyph};
use crate::geom::Length;
use crate::page::{FaceId, Glyph};
use std::borrow::Cow;
use std::ops::Range;
use std::sync::Arc;

/// A stretch of text shaped on one line.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ShapedText {
    /// From the first pen position to the last.
    pub(crate) width: Length,
    /// From left to right, neighbours in different faces.
    pub(crate) pieces: Vec<ShapedPiece>,
    /// What could not be printed and was left out.
    pub(crate) missing: Missing,
}

/// A piece of shaped text in one face.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ShapedPiece {
    /// The face.
    pub(crate) face: FaceId,
    /// Glyphs; their clusters count from the start of the piece's own text.
    pub(crate) glyphs: Vec<Glyph>,
    /// The piece's part of the text.
    pub(crate) range: Range<usize>,
}

/// Shapes text on one line, whatever its length. Spaces are glyphs like any other; tabs, line feeds and other control
/// characters are drawn as spaces.
pub(crate) fn shape_line(
    book: &FontBook,
    face: FaceId,
    size: Length,
    text: &str,
    features: Features,
    language: &str,
) -> ShapedText {
    // A control character becomes as many spaces as it has bytes, so that the ranges stay those of the text.
    let spaced: Cow<str> = if text.contains(char::is_control) {
        text.split_inclusive(char::is_control)
            .map(|part| match part.chars().next_back() {
                Some(c) if c.is_control() => {
                    part.trim_end_matches(char::is_control).to_owned() + &" ".repeat(c.len_utf8())
                }
                _ => part.to_owned(),
            })
            .collect()
    } else {
        text.into()
    };
    let text = spaced.as_ref();
    let mut missing = Missing::default();
    let mut width = Length::ZERO;
    let mut pieces: Vec<ShapedPiece> = Vec::new();
    for token in text
        .split_inclusive(' ')
        .flat_map(|token| [token.trim_end_matches(' '), &token[token.trim_end_matches(' ').len()..]])
    {
        let start = token.as_ptr() as usize - text.as_ptr() as usize;
        for part in itemise(book, face, features, language, token, &mut missing) {
            let range = start + part.range.start..start + part.range.end;
            let piece = match pieces.last_mut() {
                Some(last) if last.face == part.face && last.range.end == range.start => {
                    last.range.end = range.end;
                    last
                }
                _ => {
                    pieces.push(ShapedPiece { face: part.face, glyphs: Vec::new(), range: range.clone() });
                    let at = pieces.len() - 1;
                    &mut pieces[at]
                }
            };
            let per_unit = size / f64::from(book.face(part.face).units_per_em);
            let shift = range.start - piece.range.start;
            piece.glyphs.extend(part.glyphs.iter().map(|raw| to_size(raw, per_unit, shift)));
            width += per_unit * f64::from(part.glyphs.iter().map(|g| g.advance).sum::<i32>());
        }
    }
    ShapedText { width, pieces, missing }
}

/// A glyph at a size; `per_unit` is the length of a font unit, `shift` is added to the cluster.
pub(super) fn to_size(raw: &RawGlyph, per_unit: Length, shift: usize) -> Glyph {
    Glyph {
        id: raw.id,
        advance: per_unit * f64::from(raw.advance),
        dx: per_unit * f64::from(raw.dx),
        dy: per_unit * f64::from(raw.dy),
        cluster: raw.cluster.start + shift..raw.cluster.end + shift,
    }
}

struct FacePart {
    face: FaceId,
    range: Range<usize>,
    glyphs: Arc<[RawGlyph]>,
}

/// Cuts text by the face that has its clusters: the wanted one, else the fallback. What neither has goes to `missing`.
fn itemise(
    book: &FontBook,
    wanted: FaceId,
    features: Features,
    language: &str,
    text: &str,
    missing: &mut Missing,
) -> Vec<FacePart> {
    if text.is_empty() {
        return Vec::new();
    }
    let glyphs = book.face(wanted).shape(text, features, language);
    let right_to_left = !text.is_ascii() && text.chars().any(runs_from_right_to_left);
    if !right_to_left && glyphs.iter().all(|glyph| glyph.id != 0) {
        return vec![FacePart { face: wanted, range: 0..text.len(), glyphs }];
    }
    let fallback = book.role(FontRole::Fallback);
    // Neighbouring clusters with the same answer are shaped together.
    let mut cuts: Vec<(Option<FaceId>, Range<usize>)> = Vec::new();
    for (cluster, covered) in clusters(&glyphs) {
        let part = &text[cluster.clone()];
        let face = if part.chars().any(runs_from_right_to_left) {
            None
        } else if covered {
            Some(wanted)
        } else {
            let in_fallback = book.face(fallback).shape(part, features, language);
            in_fallback.iter().all(|glyph| glyph.id != 0).then_some(fallback)
        };
        match cuts.last_mut() {
            Some((last, range)) if *last == face => range.end = cluster.end,
            _ => cuts.push((face, cluster)),
        }
    }
    let mut parts = Vec::with_capacity(cuts.len());
    for (face, range) in cuts {
        let part = &text[range.clone()];
        let shaped = face.map(|face| (face, book.face(face).shape(part, features, language)));
        match shaped {
            Some((face, glyphs)) if glyphs.iter().all(|glyph| glyph.id != 0) => {
                parts.push(FacePart { face, range, glyphs });
            }
            _ => {
                let nowhere = |c: &char| runs_from_right_to_left(*c) || book.face_with(wanted, *c).is_none();
                let before = missing.characters.len();
                missing.characters.extend(part.chars().filter(nowhere));
                // Each character has a glyph and only the cluster has none: the cluster's first character names it.
                if missing.characters.len() == before && !part.chars().any(|c| nowhere(&c)) {
                    missing.characters.extend(part.chars().next());
                }
            }
        }
    }
    parts
}

/// Cluster ranges with whether all their glyphs are there.
pub(super) fn clusters(glyphs: &[RawGlyph]) -> Vec<(Range<usize>, bool)> {
    let mut clusters: Vec<(Range<usize>, bool)> = Vec::new();
    for glyph in glyphs {
        match clusters.last_mut() {
            Some((range, covered)) if range.start == glyph.cluster.start => *covered &= glyph.id != 0,
            _ => clusters.push((glyph.cluster.clone(), glyph.id != 0)),
        }
    }
    clusters
}

/// A shaped part of one stretch in one face.
#[derive(Clone)]
pub(super) struct TextPart {
    /// Index of the stretch.
    pub(crate) stretch: usize,
    pub(crate) face: FaceId,
    /// Bytes of the copy.
    pub(crate) range: Range<usize>,
    pub(crate) glyphs: Arc<[RawGlyph]>,
    /// Length of a font unit.
    pub(crate) per_unit: Length,
}

/// Width of something, and how much of it is spaces that may be made wider or narrower.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Extent {
    pub(crate) width: Length,
    pub(crate) spaces: Length,
}

impl std::ops::Add for Extent {
    type Output = Extent;
    fn add(self, other: Extent) -> Extent {
        Extent { width: self.width + other.width, spaces: self.spaces + other.spaces }
    }
}

impl std::ops::Sub for Extent {
    type Output = Extent;
    fn sub(self, other: Extent) -> Extent {
        Extent { width: self.width - other.width, spaces: self.spaces - other.spaces }
    }
}

/// A space that justifying may change.
pub(super) fn is_space(text: &str) -> bool {
    matches!(text, " " | "\u{a0}")
}

/// Shapes parts of one paragraph and gathers what is missing on the way.
pub(super) struct Shaper<'a> {
    pub(crate) book: &'a FontBook,
    pub(crate) stretches: &'a [TextSpan<'a>],
    pub(crate) missing: Missing,
    language: &'a str,
}

impl<'a> Shaper<'a> {
    pub(crate) fn new(book: &'a FontBook, stretches: &'a [TextSpan<'a>], language: &'a str) -> Shaper<'a> {
        Shaper { book, stretches, missing: Missing::default(), language }
    }

    /// Shapes a range of the copy, each stretch by itself.
    pub(crate) fn range(&mut self, copy: &ParagraphText, range: Range<usize>) -> (Vec<TextPart>, Extent) {
        let mut parts = Vec::new();
        let mut extent = Extent::default();
        let first = copy.ranges.partition_point(|r| r.end <= range.start);
        for (stretch, own) in copy.ranges.iter().enumerate().skip(first).take_while(|(_, own)| own.start < range.end) {
            let own = own.start.max(range.start)..own.end.min(range.end);
            let look = &self.stretches[stretch];
            if let Some(width) = look.object {
                let per_unit = look.size / f64::from(self.book.face(look.face).units_per_em);
                let advance = (width / per_unit).round() as i32;
                let id = self.book.face(look.face).glyph('\u{a0}').unwrap_or(0);
                let glyph = RawGlyph { id, advance, dx: 0, dy: 0, cluster: 0..own.len() };
                extent.width += per_unit * f64::from(advance);
                parts.push(TextPart { stretch, face: look.face, range: own, glyphs: Arc::new([glyph]), per_unit });
                continue;
            }
            for part in
                itemise(self.book, look.face, look.features, self.language, &copy.text[own.clone()], &mut self.missing)
            {
                let per_unit = look.size / f64::from(self.book.face(part.face).units_per_em);
                let text = &copy.text[own.start + part.range.start..own.start + part.range.end];
                let has_spaces = text.contains([' ', '\u{a0}']);
                for glyph in part.glyphs.iter() {
                    let advance = per_unit * f64::from(glyph.advance);
                    extent.width += advance;
                    if has_spaces && is_space(&text[glyph.cluster.clone()]) {
                        extent.spaces += advance;
                    }
                }
                let range = own.start + part.range.start..own.start + part.range.end;
                parts.push(TextPart { stretch, face: part.face, range, glyphs: part.glyphs, per_unit });
            }
        }
        (parts, extent)
    }

    /// The hyphen that is added after byte `at`: the look of the letter before it.
    pub(crate) fn hyphen(&mut self, copy: &ParagraphText, at: usize) -> Option<TextPart> {
        let stretch = copy.ranges.partition_point(|r| r.end < at);
        let look = self.stretches.get(stretch)?;
        let part = itemise(self.book, look.face, look.features, self.language, "-", &mut self.missing).pop()?;
        let per_unit = look.size / f64::from(self.book.face(part.face).units_per_em);
        Some(TextPart { stretch, face: part.face, range: at..at, glyphs: part.glyphs, per_unit })
    }
}
