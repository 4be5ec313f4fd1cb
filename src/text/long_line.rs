//! The galley: the whole paragraph as one long line, with every place measured where it may end.

use super::breakpoints::{Break, BreakKind};
use super::collect::ParagraphText;
use super::shape::{Extent, Shaper, TextPart, clusters};
use super::total_fit::Stop;
use crate::geom::Length;
use std::ops::Range;

/// A word, or spaces, of the copy; never both.
pub(super) struct TextToken {
    pub(crate) range: Range<usize>,
    pub(crate) parts: Vec<TextPart>,
}

/// The paragraph on one long line.
pub(super) struct LongLine {
    pub(crate) tokens: Vec<TextToken>,
    /// Where lines may end, in order, measured along the line; the last one is its end.
    pub(crate) stops: Vec<Stop>,
}

impl LongLine {
    /// Where words that fit on no line are cut, in bytes.
    pub(crate) fn cuts(&self) -> Vec<usize> {
        self.stops.iter().filter(|stop| stop.kind == BreakKind::Cut).map(|stop| stop.next).collect()
    }
}

/// Shapes the copy and measures every break. Words longer than `narrowest`, the shortest line, are cut.
pub(super) fn long_line(shaper: &mut Shaper, copy: &ParagraphText, breaks: &[Break], narrowest: Length) -> LongLine {
    let mut setting =
        Setting { shaper, copy, narrowest, tokens: Vec::new(), stops: Vec::new(), reached: Extent::default() };
    let mut start = 0;
    for segment in breaks.split_inclusive(|b| b.kind != BreakKind::Hyphen) {
        if let Some((end, hyphens)) = segment.split_last() {
            setting.segment(start, *end, hyphens);
            start = end.at;
        }
    }
    LongLine { tokens: setting.tokens, stops: setting.stops }
}

/// A galley being set.
struct Setting<'s, 'a> {
    shaper: &'s mut Shaper<'a>,
    copy: &'s ParagraphText,
    narrowest: Length,
    tokens: Vec<TextToken>,
    stops: Vec<Stop>,
    /// Length so far.
    reached: Extent,
}

impl Setting<'_, '_> {
    /// What stands between two neighbouring breaks that need no hyphen: mostly a word and the space after it, but text
    /// that is held together may have spaces inside.
    fn segment(&mut self, start: usize, end: Break, hyphens: &[Break]) {
        let text = self.copy.text.as_str();
        let line_end = end.at - usize::from(text[start..end.at].ends_with('\n'));
        let visible = start + text[start..line_end].trim_end_matches(' ').len();
        let (first_stop, begin) = (self.stops.len(), self.reached);
        let mut partings = Vec::new();
        let mut at = start;
        while at < visible {
            let rest = &text[at..visible];
            let word = at..at + rest.find(' ').unwrap_or(rest.len());
            let spaces =
                word.end..word.end + rest[word.len()..].len() - rest[word.len()..].trim_start_matches(' ').len();
            let inside = hyphens.iter().filter(|b| word.contains(&b.at)).copied().collect::<Vec<_>>();
            at = spaces.end;
            let parting = self.word_and_spaces(word, &inside, spaces, BreakKind::Parted);
            partings.extend(parting.filter(|_| at < visible));
        }
        let seen = self.reached;
        // Held text that fits on no line comes apart at its spaces.
        if !(seen - begin).width.fits(self.narrowest) && !partings.is_empty() {
            self.stops.extend(partings);
            self.stops[first_stop..].sort_by_key(|stop| stop.next);
        }
        self.add_token(visible..line_end);
        let next_token = self.tokens.len();
        self.stops.push(Stop { end: seen, start: self.reached, kind: end.kind, visible, next: end.at, next_token });
    }

    /// Sets a word and what parts it from the next; gives back the stop between them.
    fn word_and_spaces(
        &mut self,
        word: Range<usize>,
        hyphens: &[Break],
        spaces: Range<usize>,
        kind: BreakKind,
    ) -> Option<Stop> {
        let visible = word.end;
        self.word(word, hyphens);
        let end = self.reached;
        if spaces.is_empty() {
            return None;
        }
        let next = spaces.end;
        self.add_token(spaces);
        Some(Stop { end, start: self.reached, kind, visible, next, next_token: self.tokens.len() })
    }

    /// A word. One that fits on no line comes apart at its no-break spaces, then at its hyphens, then anywhere.
    fn word(&mut self, word: Range<usize>, hyphens: &[Break]) {
        let (parts, extent) = self.shaper.range(self.copy, word.clone());
        if extent.width.fits(self.narrowest) {
            for hyphen in hyphens {
                let (_, before) = self.shaper.range(self.copy, word.start..hyphen.at);
                let (_, after) = self.shaper.range(self.copy, hyphen.at..word.end);
                let end = self.reached + before + self.hyphen(hyphen.at);
                self.stop_inside(end, self.reached + extent - after, BreakKind::Hyphen, hyphen.at);
            }
            self.tokens.push(TextToken { range: word, parts });
            self.reached = self.reached + extent;
            return;
        }
        let text = &self.copy.text[word.clone()];
        let no_break_space = |c: char| matches!(c, '\u{a0}' | '\u{2007}' | '\u{202f}');
        if text.contains(no_break_space) {
            let mut start = word.start;
            for piece in text.split_inclusive(no_break_space) {
                let end = start + piece.trim_end_matches(no_break_space).len();
                let next = start + piece.len();
                let inside: Vec<Break> = hyphens.iter().filter(|b| (start..end).contains(&b.at)).copied().collect();
                let parting = self.word_and_spaces(start..end, &inside, end..next, BreakKind::Parted);
                self.stops.extend(parting.filter(|stop| stop.next < word.end));
                start = next;
            }
        } else {
            self.syllables(word, hyphens);
        }
    }

    /// Syllables become words of their own, and a syllable that is still too long is cut between grapheme clusters. Each
    /// piece is shaped by itself, so the widths are those that will be printed.
    fn syllables(&mut self, word: Range<usize>, hyphens: &[Break]) {
        let mut start = word.start;
        for end in hyphens.iter().map(|b| b.at).chain([word.end]) {
            let hyphen = if end < word.end { self.hyphen(end) } else { Extent::default() };
            let (parts, extent) = self.shaper.range(self.copy, start..end);
            if (extent + hyphen).width.fits(self.narrowest) {
                self.tokens.push(TextToken { range: start..end, parts });
                self.reached = self.reached + extent;
            } else {
                let mut from = start;
                for to in parts.iter().flat_map(cluster_ends).filter(|to| *to < end).chain([end]) {
                    self.add_token(from..to);
                    if to < end {
                        self.stop_inside(self.reached, self.reached, BreakKind::Cut, to);
                    }
                    from = to;
                }
            }
            if end < word.end {
                self.stop_inside(self.reached + hyphen, self.reached, BreakKind::Hyphen, end);
            }
            start = end;
        }
    }

    /// Shapes a range as one token; an empty one is none.
    fn add_token(&mut self, range: Range<usize>) {
        if !range.is_empty() {
            let (parts, extent) = self.shaper.range(self.copy, range.clone());
            self.tokens.push(TextToken { range, parts });
            self.reached = self.reached + extent;
        }
    }

    fn stop_inside(&mut self, end: Extent, start: Extent, kind: BreakKind, at: usize) {
        self.stops.push(Stop { end, start, kind, visible: at, next: at, next_token: self.tokens.len() });
    }

    fn hyphen(&mut self, at: usize) -> Extent {
        let hyphen = self.shaper.hyphen(self.copy, at);
        let units = |part: &TextPart| f64::from(part.glyphs.iter().map(|g| g.advance).sum::<i32>());
        Extent { width: hyphen.map_or(Length::ZERO, |part| part.per_unit * units(&part)), spaces: Length::ZERO }
    }
}

fn cluster_ends(part: &TextPart) -> impl Iterator<Item = usize> {
    let start = part.range.start;
    clusters(&part.glyphs).into_iter().map(move |(range, _)| start + range.end)
}
