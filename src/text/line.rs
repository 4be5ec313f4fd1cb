//! Chosen stops to lines: runs in their places, spaces made wider, hyphens added.

use super::breakpoints::BreakKind;
use super::collect::ParagraphText;
use super::long_line::LongLine;
use super::shape::{Shaper, TextPart, is_space, to_size};
use super::total_fit::{Stop, indent};
use super::{Align, LineRun, Measure, ParagraphStyle, TextLine};
use crate::geom::{Length, Point};
use crate::page::TextRun;
use std::sync::Arc;

pub(super) fn lines(
    shaper: &mut Shaper,
    copy: &ParagraphText,
    long_line: &LongLine,
    chosen: &[Stop],
    measure: &Measure,
    style: &ParagraphStyle,
) -> Vec<TextLine> {
    let mut lines = Vec::with_capacity(chosen.len());
    let (mut next, mut next_token) = (0, 0);
    for (number, stop) in chosen.iter().enumerate() {
        let mut line = PendingLine::default();
        let tokens = long_line.tokens.get(next_token..).unwrap_or_default();
        for token in tokens.iter().take_while(|token| token.range.start < stop.visible) {
            if token.range.start >= next && token.range.end <= stop.visible {
                token.parts.iter().for_each(|part| line.add(shaper, copy, part));
            } else {
                // A hyphenated word: its part on this line is shaped as it stands there.
                let (parts, _) = shaper.range(copy, token.range.start.max(next)..token.range.end.min(stop.visible));
                parts.iter().for_each(|part| line.add(shaper, copy, part));
            }
        }
        if stop.kind == BreakKind::Hyphen {
            line.add_hyphen(shaper, copy, stop.visible);
        }
        let ends_apart = stop.visible < stop.next && number + 1 < chosen.len();
        let left = indent(style, number);
        lines.push(line.finish(
            shaper,
            left,
            measure.of(number) - left,
            stop.kind == BreakKind::Forced,
            ends_apart,
            style,
        ));
        (next, next_token) = (stop.next, stop.next_token);
    }
    lines
}

/// A line being put together.
#[derive(Default)]
struct PendingLine {
    runs: Vec<LineRun>,
    /// The stretch of the last run.
    stretch: Option<usize>,
    /// Whether the last run is an added hyphen, to which nothing may be joined.
    closed: bool,
}

impl PendingLine {
    fn add(&mut self, shaper: &Shaper, copy: &ParagraphText, part: &TextPart) {
        let text = &copy.text[part.range.clone()];
        let joins = !self.closed
            && self.runs.last().is_some_and(|last| last.run.face == part.face)
            && self.stretch.is_some_and(|s| s == part.stretch || alike(shaper, s, part.stretch));
        if !joins {
            self.open(shaper, part);
        }
        self.stretch = Some(part.stretch);
        if let Some(last) = self.runs.last_mut() {
            let shift = last.run.text.len();
            last.run.text.push_str(text);
            Arc::make_mut(&mut last.run.glyphs)
                .extend(part.glyphs.iter().map(|raw| to_size(raw, part.per_unit, shift)));
        }
    }

    fn add_hyphen(&mut self, shaper: &mut Shaper, copy: &ParagraphText, at: usize) {
        let Some(part) = shaper.hyphen(copy, at) else { return };
        self.open(shaper, &part);
        if let Some(last) = self.runs.last_mut() {
            last.run.text.push('-');
            Arc::make_mut(&mut last.run.glyphs).extend(part.glyphs.iter().map(|raw| to_size(raw, part.per_unit, 0)));
            last.run.actual = Some(String::new());
        }
        self.closed = true;
    }

    fn open(&mut self, shaper: &Shaper, part: &TextPart) {
        let look = &shaper.stretches[part.stretch];
        let run = TextRun {
            face: part.face,
            size: look.size,
            colour: look.colour,
            origin: Point::default(),
            glyphs: Arc::default(),
            text: String::new(),
            actual: None,
            language: None,
            turn: 0.0,
        };
        self.runs.push(LineRun { x: Length::ZERO, width: Length::ZERO, tag: look.tag, run });
        self.closed = false;
    }

    /// Places the runs in `room`, which begins at `indent`.
    fn finish(
        mut self,
        shaper: &Shaper,
        indent: Length,
        room: Length,
        last: bool,
        ends_apart: bool,
        style: &ParagraphStyle,
    ) -> TextLine {
        let (mut width, mut spaces) = (Length::ZERO, Length::ZERO);
        for LineRun { run, .. } in &self.runs {
            width += run.glyphs.iter().map(|g| g.advance).sum();
            spaces += run.glyphs.iter().filter(|g| is_space(&run.text[g.cluster.clone()])).map(|g| g.advance).sum();
        }
        let slack = room - width;
        let spread = style.align == Align::Justified && !last;
        // A line that shrinking made fit is longer than its room until now, whatever its alignment.
        if spaces > Length::ZERO && (spread || slack < Length::ZERO) {
            let factor = 1.0 + slack / spaces;
            for LineRun { run, .. } in &mut self.runs {
                let TextRun { glyphs, text, .. } = run;
                Arc::make_mut(glyphs)
                    .iter_mut()
                    .filter(|g| is_space(&text[g.cluster.clone()]))
                    .for_each(|g| g.advance = g.advance * factor);
            }
            width = room;
        }
        let left = indent
            + match style.align {
                Align::Left | Align::Justified => Length::ZERO,
                Align::Centre => (room - width) / 2.0,
                Align::Right => room - width,
            };
        let mut x = left;
        for line_run in &mut self.runs {
            line_run.x = x;
            line_run.run.origin.x = x;
            line_run.width = line_run.run.glyphs.iter().map(|g| g.advance).sum();
            x += line_run.width;
        }
        if ends_apart {
            self.keep_words_apart(shaper);
        }
        let (ascent, descent) = self.heights(shaper);
        TextLine { left, width, ascent, descent, height: style.leading, runs: self.runs }
    }

    /// The space at the line's end, with no advance.
    fn keep_words_apart(&mut self, shaper: &Shaper) {
        let Some(LineRun { run, .. }) = self.runs.last_mut() else { return };
        let Some(id) = shaper.book.face(run.face).glyph(' ') else { return };
        run.keep_apart(id);
    }

    /// An empty line is as tall as the paragraph's first stretch.
    fn heights(&self, shaper: &Shaper) -> (Length, Length) {
        let of = |face, size: Length| {
            let face = shaper.book.face(face);
            let per_unit = size / f64::from(face.units_per_em);
            (per_unit * f64::from(face.ascender), per_unit * f64::from(-face.descender))
        };
        let higher = |a: (Length, Length), b: (Length, Length)| (a.0.max(b.0), a.1.max(b.1));
        let runs = self.runs.iter().map(|r| of(r.run.face, r.run.size));
        let first = shaper.stretches.first().map(|s| of(s.face, s.size));
        runs.reduce(higher).or(first).unwrap_or_default()
    }
}

fn alike(shaper: &Shaper, a: usize, b: usize) -> bool {
    let (a, b) = (&shaper.stretches[a], &shaper.stretches[b]);
    a.tag == b.tag && a.size == b.size && a.colour == b.colour
}
