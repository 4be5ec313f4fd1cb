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
mod line;
mod long_line;
mod missing;
mod paragraph;
mod shape;
mod total_fit;

use breakpoints::BreakKind;
pub use breakpoints::hyphenate;
pub(crate) use missing::Missing;
pub(crate) use paragraph::{Align, LineRun, Measure, OBJECT, Paragraph, ParagraphStyle, TextLine, TextSpan};
pub(crate) use shape::shape_line;

use crate::font::FontBook;

/// Sets a paragraph.
pub(crate) fn set_paragraph(
    book: &FontBook,
    stretches: &[TextSpan],
    measure: &Measure,
    style: &ParagraphStyle,
) -> Paragraph {
    let mut shaper = shape::Shaper::new(book, stretches, &style.language);
    let rules = total_fit::Rules::new(measure, style);
    let copy = collect::collect(stretches);
    let breaks = breakpoints::breakpoints(&copy, stretches, !style.hyphenate);
    let mut long_line = long_line::long_line(&mut shaper, &copy, &breaks, rules.narrowest());
    let mut fit = total_fit::fit(&long_line.stops, &rules);
    if style.hyphenate && !fit.good_enough() {
        let breaks = breakpoints::with_hyphens(&breaks, &copy, stretches, &style.language);
        long_line = long_line::long_line(&mut shaper, &copy, &breaks, rules.narrowest());
        fit = total_fit::fit(&long_line.stops, &rules);
    }
    if !style.hyphenate && long_line.stops.iter().any(|stop| stop.kind == BreakKind::Cut) {
        // A word that fits on no line is better hyphenated than cut, even where nothing else is hyphenated.
        let breaks = breakpoints::with_hyphens_where_cut(&breaks, &copy, stretches, &style.language, &long_line.cuts());
        long_line = long_line::long_line(&mut shaper, &copy, &breaks, rules.narrowest());
        fit = total_fit::fit(&long_line.stops, &rules);
    }
    let lines = line::lines(&mut shaper, &copy, &long_line, &fit.stops, measure, style);
    Paragraph { lines, missing: shaper.missing }
}

#[cfg(test)]
mod tests;
