//! What a paragraph is set from, and what it is when it is set.

use super::missing::Missing;
use crate::colour::Colour;
use crate::font::Features;
use crate::geom::Length;
use crate::page::{FaceId, TextRun};

/// A stretch of a paragraph in one look.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TextSpan<'a> {
    /// What it says. A line feed ends the line; tabs and other control characters are taken as spaces.
    pub(crate) text: &'a str,
    /// Face; characters it lacks come from the book's fallback.
    pub(crate) face: FaceId,
    /// Size (em).
    pub(crate) size: Length,
    /// Colour.
    pub(crate) colour: Colour,
    /// Features of the face.
    pub(crate) features: Features,
    /// The caller's own number: comes back with every run, so that links and structure find their runs.
    pub(crate) tag: usize,
    /// Never broken inside, not even at its spaces, as long as it is no longer than a line.
    pub(crate) no_break: bool,
    /// A space of this width in which the caller draws a thing. Its text is [`OBJECT`].
    pub(crate) object: Option<Length>,
}

/// Stands in the text where the caller draws a thing: a space that holds together what stands beside it.
pub(crate) const OBJECT: &str = "\u{a0}";

/// How lines stand in the measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Align {
    /// Even at the left, ragged at the right.
    Left,
    /// Even on both sides, the last line as `Left`.
    Justified,
    /// Centred, lines of about one length.
    Centre,
    /// Even at the right.
    Right,
}

/// How a paragraph is set.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ParagraphStyle {
    /// Alignment.
    pub(crate) align: Align,
    /// From baseline to baseline.
    pub(crate) leading: Length,
    /// Whether words may be hyphenated, soft hyphens of the text included.
    pub(crate) hyphenate: bool,
    /// Language tag (`en-GB`, `de`): decides hyphenation and the letter forms of the language.
    pub(crate) language: String,
    /// Space before the first line of the paragraph.
    pub(crate) first_indent: Length,
    /// Space before every other line.
    pub(crate) hang: Length,
}

/// The lengths of the lines, indents included: the first ones may differ, as beside a figure.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Measure {
    /// Line by line.
    pub(crate) first: Vec<Length>,
    /// Every line after those.
    pub(crate) rest: Length,
}

impl Measure {
    /// All lines alike.
    pub(crate) fn even(measure: Length) -> Measure {
        Measure { first: Vec::new(), rest: measure }
    }
    /// The measure of a line, counted from 0.
    pub(crate) fn of(&self, line: usize) -> Length {
        self.first.get(line).copied().unwrap_or(self.rest)
    }
}

/// A set paragraph.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Paragraph {
    /// Lines from the top; none where there is no text.
    pub(crate) lines: Vec<TextLine>,
    /// What could not be printed.
    pub(crate) missing: Missing,
}

/// A line of a paragraph.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TextLine {
    /// From the left edge of the measure to where the visible text begins.
    pub(crate) left: Length,
    /// Length of the visible text.
    pub(crate) width: Length,
    /// Above the baseline: the tallest face of the line, by the faces' own line metrics.
    pub(crate) ascent: Length,
    /// Below the baseline, as a positive length.
    pub(crate) descent: Length,
    /// From this baseline to the next: the style's leading.
    pub(crate) height: Length,
    /// From left to right.
    pub(crate) runs: Vec<LineRun>,
}

/// A run of a line.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct LineRun {
    /// From the left edge of the measure; the run's origin says the same.
    pub(crate) x: Length,
    /// Length of the visible run.
    pub(crate) width: Length,
    /// The stretch's own number.
    pub(crate) tag: usize,
    /// Glyphs and text; the origin lies on the baseline, y = 0. Where the line ends at a space, the last run keeps that
    /// space with no advance, so that plain text read from the page has its words apart. A hyphen that is not in the
    /// text is a run of its own with an empty `actual`.
    pub(crate) run: TextRun,
}
