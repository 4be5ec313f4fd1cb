//! Stretches to one text, with the places where Unicode lets a line end.
//!
//! The invisible characters that only steer line breaking have done their work after this and are taken out, so that no
//! glyph has to stand for them.

use super::TextSpan;
use std::ops::Range;
use unicode_linebreak::BreakOpportunity;

/// A paragraph's text as one piece.
pub(super) struct ParagraphText {
    /// Without soft hyphens, word joiners and the like; lines are ended by `\n` alone.
    pub(crate) text: String,
    /// The part of each stretch, in order and without gaps.
    pub(crate) ranges: Vec<Range<usize>>,
    /// Where a line may (`false`) or must (`true`) end: the byte where the next line would begin.
    pub(crate) opportunities: Vec<(usize, bool)>,
    /// Where the text had a soft hyphen.
    pub(crate) soft_hyphens: Vec<usize>,
}

const SOFT_HYPHEN: char = '\u{ad}';

pub(super) fn collect(stretches: &[TextSpan]) -> ParagraphText {
    let mut raw = String::with_capacity(stretches.iter().map(|s| s.text.len()).sum());
    let mut raw_ranges = Vec::with_capacity(stretches.len());
    for stretch in stretches {
        let start = raw.len();
        let mut chars = stretch.text.chars().peekable();
        while let Some(c) = chars.next() {
            match c {
                '\r' if chars.peek() == Some(&'\n') => {}
                '\n' | '\r' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}' => raw.push('\n'),
                c if c.is_control() => raw.push(' '),
                c => raw.push(c),
            }
        }
        raw_ranges.push(start..raw.len());
    }
    let steering = |c: char| matches!(c, SOFT_HYPHEN | '\u{2060}' | '\u{200b}' | '\u{feff}');
    let mut text = String::with_capacity(raw.len());
    let mut soft_hyphens = Vec::new();
    // Start of each removed character and how many bytes are gone once it is passed.
    let mut removed: Vec<(usize, usize)> = Vec::new();
    for (at, c) in raw.char_indices() {
        if steering(c) {
            if c == SOFT_HYPHEN {
                soft_hyphens.push(text.len());
            }
            removed.push((at, at + c.len_utf8() - text.len()));
        } else {
            text.push(c);
        }
    }
    let place = |at: usize| match removed.partition_point(|(start, _)| *start < at) {
        0 => at,
        passed => at - removed[passed - 1].1,
    };
    let mut opportunities: Vec<(usize, bool)> = unicode_linebreak::linebreaks(&raw)
        .filter(|(at, _)| !raw[..*at].ends_with(SOFT_HYPHEN) || *at == raw.len())
        .map(|(at, kind)| (place(at), kind == BreakOpportunity::Mandatory))
        .collect();
    opportunities.dedup_by(|later, kept| {
        let same = later.0 == kept.0;
        kept.1 |= same && later.1;
        same
    });
    soft_hyphens.dedup();
    ParagraphText {
        text,
        ranges: raw_ranges.iter().map(|r| place(r.start)..place(r.end)).collect(),
        opportunities,
        soft_hyphens,
    }
}
