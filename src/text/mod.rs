//! Text to lines: collect, breakpoints, galley (shape), total fit, line.
//!
//! In: stretches of text, each with a face, a size and a colour, and the measure they are set to. Out: lines of shaped
//! runs with the baseline at y = 0, ready to be moved to their place. Knows nothing of pages, sections or the trade, and
//! nothing of PDF.
//!
//! * A word is what stands between spaces and break opportunities. Words are shaped one by one and remembered by the
//!   face, so the cost of a booklet is that of its distinct words; what is lost is kerning across a space.
//! * A break inside a word has two measured sides (the word up to there, the word from there on), so the fit works with
//!   the widths that will be printed, kerning and ligatures included.
//! * Every way of setting a paragraph is weighed as a whole (`total_fit`), first without hyphenating, and with it only if
//!   that leaves a poor line. The cost grows with the words times the breaks in one line.
//! * A word too long for the measure is hyphenated, and failing that broken between grapheme clusters, so that no line
//!   is longer than its measure.
//! * A character that no face has is never drawn as a box: it is left out and named in [`Missing`].

mod breakpoints;
mod collect;
mod galley;
mod line;
mod missing;
mod shape;
mod total_fit;

use breakpoints::BreakKind;
pub use breakpoints::hyphenate;
pub use missing::Missing;
pub use shape::{Piece, Shaped, fit_width, shape_line};

use crate::colour::Colour;
pub use crate::font::Features;
use crate::font::FontBook;
use crate::geom::Length;
use crate::page::{FaceId, TextRun};

/// A stretch of a paragraph in one look.
#[derive(Clone, Copy, Debug)]
pub struct Stretch<'a> {
    /// What it says. A line feed ends the line; tabs and other control characters are taken as spaces.
    pub text: &'a str,
    /// Face; characters it lacks come from the book's fallback.
    pub face: FaceId,
    /// Size (em).
    pub size: Length,
    /// Colour.
    pub colour: Colour,
    /// Features of the face.
    pub features: Features,
    /// The caller's own number: comes back with every run, so that links and structure find their runs.
    pub tag: usize,
    /// Never broken inside, not even at its spaces, as long as it is no longer than a line.
    pub no_break: bool,
}

/// How lines stand in the measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
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
pub struct ParagraphStyle {
    /// Alignment.
    pub align: Align,
    /// From baseline to baseline.
    pub leading: Length,
    /// Whether words may be hyphenated, soft hyphens of the text included.
    pub hyphenate: bool,
    /// Language tag (`en-GB`, `de`): decides hyphenation and the letter forms of the language.
    pub language: String,
    /// Space before the first line of the paragraph.
    pub first_indent: Length,
    /// Space before every other line.
    pub hang: Length,
}

/// The lengths of the lines, indents included: the first ones may differ, as beside a figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// Line by line.
    pub first: Vec<Length>,
    /// Every line after those.
    pub rest: Length,
}

impl Measure {
    /// All lines alike.
    pub fn even(measure: Length) -> Measure {
        Measure { first: Vec::new(), rest: measure }
    }
    /// The measure of a line, counted from 0.
    pub fn of(&self, line: usize) -> Length {
        self.first.get(line).copied().unwrap_or(self.rest)
    }
}

/// A set paragraph.
#[derive(Clone, Debug, PartialEq)]
pub struct Paragraph {
    /// Lines from the top; none where there is no text.
    pub lines: Vec<Line>,
    /// What could not be printed.
    pub missing: Missing,
}

/// A line of a paragraph.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// From the left edge of the measure to where the visible text begins.
    pub left: Length,
    /// Length of the visible text.
    pub width: Length,
    /// Above the baseline: the tallest face of the line, by the faces' own line metrics.
    pub ascent: Length,
    /// Below the baseline, as a positive length.
    pub descent: Length,
    /// From this baseline to the next: the style's leading.
    pub height: Length,
    /// From left to right.
    pub runs: Vec<LineRun>,
}

/// A run of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct LineRun {
    /// From the left edge of the measure; the run's origin says the same.
    pub x: Length,
    /// Length of the visible run.
    pub width: Length,
    /// The stretch's own number.
    pub tag: usize,
    /// Glyphs and text; the origin lies on the baseline, y = 0. Where the line ends at a space, the last run keeps that
    /// space with no advance, so that plain text read from the page has its words apart. A hyphen that is not in the
    /// text is a run of its own with an empty `actual`.
    pub run: TextRun,
}

/// Sets a paragraph.
pub fn set_paragraph(book: &FontBook, stretches: &[Stretch], measure: &Measure, style: &ParagraphStyle) -> Paragraph {
    let mut shaper = shape::Shaper::new(book, stretches, &style.language);
    let rules = total_fit::Rules::new(measure, style);
    let copy = collect::collect(stretches);
    let breaks = breakpoints::breakpoints(&copy, stretches, !style.hyphenate);
    let mut galley = galley::galley(&mut shaper, &copy, &breaks, rules.narrowest());
    let mut fit = total_fit::fit(&galley.stops, &rules);
    if style.hyphenate && !fit.good_enough() {
        let breaks = breakpoints::with_hyphens(&breaks, &copy, stretches, &style.language);
        galley = galley::galley(&mut shaper, &copy, &breaks, rules.narrowest());
        fit = total_fit::fit(&galley.stops, &rules);
    }
    if !style.hyphenate && galley.stops.iter().any(|stop| stop.kind == BreakKind::Cut) {
        // A word that fits on no line is better hyphenated than cut, even where nothing else is hyphenated.
        let breaks = breakpoints::with_hyphens_where_cut(&breaks, &copy, stretches, &style.language, &galley.cuts());
        galley = galley::galley(&mut shaper, &copy, &breaks, rules.narrowest());
        fit = total_fit::fit(&galley.stops, &rules);
    }
    let lines = line::lines(&mut shaper, &copy, &galley, &fit.stops, measure, style);
    Paragraph { lines, missing: shaper.missing }
}

#[cfg(test)]
mod tests;
