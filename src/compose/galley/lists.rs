//! Lists: steps, bullets, boxes to tick, rows in words; and cautions.

use super::setting::Setting;
use crate::catalogue::StyleName;
use crate::colour::Colour;
use crate::compose::chart::stretch_title;
use crate::compose::draw;
use crate::compose::draw::LAYOUT;
use crate::compose::piece::{Anchor, Keep, Piece};
use crate::edition::Style;
use crate::geom::{Length, Point, Rect};
use crate::manuscript::{Caution, ChartWords, Inline, ROWS_IN_STRETCH, Signal, Step, Text, TickLine, WrittenRow};
use crate::markup::unmarked;
use crate::page::{Mark, NodeId, PlacedItem, Role, Shape};

/// A row in words that takes more of a page than this may be cut.
const MAX_ROW: f64 = 0.5;
/// A row of fewer lines is never cut.
const LEAST_PARTED: usize = 4;
/// Number, arrow and box of a row may take this share of the column's width beside its words.
const MAX_LEAD: f64 = 0.3;
/// The level of such a heading: inside a section.
const HEADING_OF_STRETCH: u8 = 3;

impl Setting<'_> {
    pub(super) fn steps(&mut self, steps: &[Step], node: NodeId) {
        let list = self.structure.add(Role::List(true), Some(node));
        let style = self.setter.style(StyleName::Step).clone();
        let indent = self.indent();
        for (number, step) in steps.iter().enumerate() {
            // A caution is an entry before the step it protects: whoever listens hears the number right before what to do.
            for caution in &step.cautions {
                let item = self.structure.add(Role::ListItem, Some(list));
                let body = self.structure.add(Role::ListBody, Some(item));
                self.caution(caution, body, true);
            }
            let item = self.structure.add(Role::ListItem, Some(list));
            let label = self.structure.add(Role::ListLabel, Some(item));
            let body = self.structure.add(Role::ListBody, Some(item));
            let paragraph = self.structure.add(Role::Paragraph, Some(body));
            let (left, measure) = (self.columns.text_left + indent, self.columns.text - indent);
            let keep = if step.figure.is_some() || step.picture.is_some() { Keep::WholeAndNext } else { Keep::Whole };
            let first = self.lines(StyleName::Step, &step.text, left, measure, paragraph, keep);
            let figure =
                self.setter.line_in(StyleName::RowNumber, &(number + 1).to_string(), style.size, self.colours.accent);
            let x = left - Length::mm(2.6) - figure.width;
            let y = self.setter.baseline(&style);
            self.label(first, figure, Point::new(x, y), label);
            if let Some(piece) = self.galley.pieces.get_mut(first) {
                piece.step = true;
            }
            if let Some(figure) = &step.figure {
                self.figure(figure, body);
            }
            if let Some(picture) = &step.picture {
                self.picture_in_text(picture, indent, body);
            }
        }
    }

    pub(super) fn bullets(&mut self, entries: &[Text], node: NodeId) {
        let list = self.structure.add(Role::List(false), Some(node));
        let style = self.setter.style(StyleName::Step).clone();
        let indent = Length::mm(4.5) * self.grown();
        for entry in entries {
            let item = self.structure.add(Role::ListItem, Some(list));
            let label = self.structure.add(Role::ListLabel, Some(item));
            let body = self.structure.add(Role::ListBody, Some(item));
            let left = self.columns.text_left + indent;
            let first = self.lines(StyleName::Step, entry, left, self.columns.text - indent, body, Keep::Loose);
            let bullet = self.setter.line_in(StyleName::Step, "•", style.size, self.colours.accent);
            let y = self.setter.baseline(&style);
            self.label(first, bullet, Point::new(left - indent + Length::mm(0.5), y), label);
        }
    }

    pub(super) fn ticks(&mut self, lines: &[TickLine], node: NodeId) {
        let list = self.structure.add(Role::List(false), Some(node));
        let style = self.setter.style(StyleName::Tick).clone();
        let indent = self.indent();
        if self.ticks_in_pairs(lines, list) {
            return;
        }
        for line in lines {
            let item = self.structure.add(Role::ListItem, Some(list));
            let label = self.structure.add(Role::ListLabel, Some(item));
            let form = self.structure.add(Role::Form, Some(label));
            let body = self.structure.add(Role::ListBody, Some(item));
            let mut left = self.columns.text_left + indent;
            let grown = self.grown();
            let box_left = left - Length::mm(7.0) * grown;
            let side = Length::mm(4.2) * grown;
            let swatch_room = match line.swatch {
                Some(_) => self.swatch_width(side) + Length::mm(2.3) * grown,
                None => Length::ZERO,
            };
            let swatch_left = left;
            left += swatch_room;
            let measure = self.columns.text - indent - swatch_room;
            let first = self.lines(StyleName::Tick, &line.text, left, measure, body, Keep::Whole);
            let middle = style.leading / 2.0;
            let mut items = Vec::new();
            let box_at = Point::new(box_left + Length::mm(2.1) * grown, middle);
            self.tick_box(box_at, &line.field, &line.spoken, form, &mut items);
            if let Some(swatch) = &line.swatch {
                self.swatch(swatch, Rect::new(swatch_left, middle - side / 2.0, side, side), &mut items);
            }
            self.ahead(first, items);
        }
    }

    /// Short lines with boxes stand in pairs beside a side column. Returns whether they do.
    fn ticks_in_pairs(&mut self, lines: &[TickLine], list: NodeId) -> bool {
        const FEW: usize = 4;
        let style = self.setter.style(StyleName::Tick).clone();
        let (lead, gap) = (Length::mm(7.0) * self.grown(), Length::mm(4.0));
        let width = (self.columns.text - gap - lead) / 2.0;
        let fits = |line: &TickLine| {
            line.swatch.is_none() && self.setter.line(StyleName::Tick, &unmarked(&line.text)).width.fits(width * 2.0)
        };
        if self.columns.side <= Length::ZERO || lines.len() < FEW || !lines.iter().all(fits) {
            return false;
        }
        for pair in lines.chunks(2) {
            let mut items = Vec::new();
            let mut rows = 1;
            for (place, line) in pair.iter().enumerate() {
                let item = self.structure.add(Role::ListItem, Some(list));
                let label = self.structure.add(Role::ListLabel, Some(item));
                let form = self.structure.add(Role::Form, Some(label));
                let body = self.structure.add(Role::ListBody, Some(item));
                let left = self.columns.text_left + (width + gap + lead) * place as f64;
                let middle = style.leading / 2.0;
                let at = Point::new(left - lead + Length::mm(2.1) * self.grown(), middle);
                self.tick_box(at, &line.field, &line.spoken, form, &mut items);
                let set = self.setter.paragraph(StyleName::Tick, &line.text, width);
                rows = rows.max(set.len());
                let marks = self.inline_marks(&line.text, body);
                for (row, set) in set.into_iter().enumerate() {
                    let y = style.leading * row as f64 + self.setter.baseline(&style);
                    self.place_line(set, &line.text, &marks, Point::new(left, y), &style, &mut items);
                }
            }
            let height = style.leading * rows as f64;
            self.push(Piece { height, after: style.after, items, ..Piece::default() });
        }
        true
    }

    pub(super) fn caution(&mut self, caution: &Caution, node: NodeId, keep_with_next: bool) {
        // The signal word is set off for the ear as for the eye: it is the note's label.
        let note = self.structure.add(Role::Note, Some(node));
        let signal = self.structure.add(Role::ListLabel, Some(note));
        let words = self.structure.add(Role::Paragraph, Some(note));
        let style = self.setter.style(StyleName::Caution).clone();
        let mut text: Text = vec![Inline::Strong(format!("{}  ", caution.word))];
        text.extend(caution.text.iter().cloned());
        let marks: Vec<Mark> =
            std::iter::once(Mark::Node(signal)).chain(self.inline_marks(&caution.text, words)).collect();
        let indent = self.indent().max(Length::mm(1.0));
        let left = self.columns.text_left + indent;
        let keep = if keep_with_next { Keep::WholeAndNext } else { Keep::Whole };
        let first = self.marked_lines(StyleName::Caution, &text, (left, self.columns.text - indent), &marks, keep);
        let count = self.galley.pieces.len() - first;
        let grave = match caution.signal {
            Signal::Warning | Signal::Caution => true,
            Signal::Notice => false,
        };
        // A bar beside all its lines; the alert triangle (ISO 7010 form, drawn plain) beside the first.
        let bar = left - Length::mm(2.4);
        let grown = self.grown();
        for (i, piece) in self.galley.pieces[first..].iter_mut().enumerate() {
            let extra = if i + 1 == count { Length::ZERO } else { piece.after };
            let (from, to) = (Point::new(bar, Length::ZERO), Point::new(bar, piece.height + extra));
            piece.items.push(draw::shape(LAYOUT, draw::rule(from, to, self.colours.accent, Length::pt(1.4))));
            if i == 0 && grave {
                let side = Length::mm(3.6) * grown;
                let right = bar - Length::mm(1.4);
                let middle = style.leading / 2.0;
                alert(
                    Rect::new(right - side, middle - side * 0.45, side, side * 0.9),
                    self.colours.accent,
                    &mut piece.items,
                );
            }
        }
    }

    pub(super) fn rows(&mut self, rows: &[WrittenRow], node: NodeId) {
        let list = self.structure.add(Role::List(false), Some(node));
        let style = self.setter.style(StyleName::Rows).clone();
        let hangs = self.columns.side > Length::ZERO;
        let grown = self.grown();
        let lead = self.row_lead();
        // On a narrow page a row's number stands above its words, so that these have the whole width.
        let above = !hangs && !lead.fits(self.columns.text * MAX_LEAD);
        let indent = if hangs || above { Length::ZERO } else { lead };
        let words_left = if hangs { self.rows_left() } else { self.columns.text_left + indent };
        let measure = self.columns.text_left + self.columns.text - words_left;
        for row in rows {
            let item = self.structure.add(Role::ListItem, Some(list));
            let label = self.structure.add(Role::ListLabel, Some(item));
            let form = self.structure.add(Role::Form, Some(label));
            let body = self.structure.add(Role::ListBody, Some(item));
            let left = words_left;
            let (arrow, thick) = (Length::mm(3.2) * grown, Length::mm(1.5) * grown);
            let number = self.setter.line(StyleName::RowNumber, &row.number);
            // A fingertip's room, or the same with some air at its left.
            let half_box = Length::mm(if above { 3.2 } else { 4.0 }) * grown;
            let box_x = left - indent + if hangs { half_box - lead } else { half_box };
            let number_x = match above {
                true => box_x + half_box,
                false => left - Length::mm(3.0) - arrow - Length::mm(1.5) - number.width,
            };
            let middle = style.leading / 2.0;
            let arrow_area = Rect::new(number_x + number.width + Length::mm(1.5), middle - thick / 2.0, arrow, thick);
            let mut items = Vec::new();
            items.push(draw::shape(LAYOUT, draw::arrow(arrow_area, row.left_to_right, self.colours.quiet)));
            number.place(Point::new(number_x, self.setter.baseline(&style)), LAYOUT, &mut items);
            self.tick_box(Point::new(box_x, middle), &row.field, &row.spoken, form, &mut items);
            if above {
                let (height, before) = (style.leading, style.before);
                let items = std::mem::take(&mut items);
                self.push(Piece { height, before, keep: true, items, ..Piece::default() });
            }
            let marks = self.marks_of_runs(row, body);
            let place = (left, measure);
            let first = self.marked_lines(StyleName::Rows, &row.sentence, place, &marks, Keep::Loose);
            let Some(count) = self.galley.pieces.len().checked_sub(first).filter(|c| *c > 0) else { continue };
            // A row is not cut in the middle of the work, unless the page would be left half empty for it.
            if (style.leading * count as f64).fits(self.columns.height * MAX_ROW) {
                self.galley.pieces[first..first + count - 1].iter_mut().for_each(|piece| piece.keep = true);
                // Two lines of it at least stand on either page.
                if count >= LEAST_PARTED {
                    self.galley.pieces[first + 1..first + count - 2].iter_mut().for_each(|piece| piece.may_part = true);
                }
            }
            self.ahead(first, items);
        }
    }

    /// A mark for each inline of a row's sentence: its runs are parts of their own, each with the comma after it.
    fn marks_of_runs(&mut self, row: &WrittenRow, body: NodeId) -> Vec<Mark> {
        let mut marks = Vec::with_capacity(row.sentence.len());
        let mut from = 0;
        while from < row.sentence.len() {
            let next = row.runs.iter().copied().find(|at| *at > from).unwrap_or(row.sentence.len());
            let part = self.structure.add(Role::Span, Some(body));
            marks.extend(self.inline_marks(&row.sentence[from..next], part));
            from = next;
        }
        marks
    }

    /// Rows of a chart from row `from` on, under a slim heading for every stretch of twenty.
    pub(super) fn rows_by_stretches(&mut self, rows: &[WrittenRow], from: usize, words: &ChartWords, node: NodeId) {
        let mut at = from;
        while let Some(rows) = rows.get(at - from..).filter(|rows| !rows.is_empty()) {
            let count = (ROWS_IN_STRETCH - at % ROWS_IN_STRETCH).min(rows.len());
            self.stretch_heading(&stretch_title(words, &(at..at + count)), node);
            self.rows(&rows[..count], node);
            at += count;
        }
    }

    /// The heading of a stretch of rows: small, on a line of its own above them.
    pub(super) fn stretch_heading(&mut self, words: &str, node: NodeId) {
        let style = self.setter.style(StyleName::Label).clone();
        let heading = self.structure.add(Role::Heading(HEADING_OF_STRETCH), Some(node));
        let anchors = vec![Anchor { section: None, outline: Some((2, words.to_owned())) }];
        let text: Text = vec![Inline::Plain(words.to_owned())];
        let left = if self.columns.side > Length::ZERO { self.rows_left() } else { self.columns.text_left };
        let measure = self.columns.text_left + self.columns.text - left;
        let lines = self.setter.paragraph_as(&Style { hyphenate: false, ..style.clone() }, &text, measure);
        let height = style.leading * lines.len() as f64;
        let mut items = Vec::new();
        for (i, line) in lines.into_iter().enumerate() {
            let y = style.leading * i as f64 + self.setter.baseline(&style);
            line.place(Point::new(left, y), Mark::Node(heading), &mut items);
        }
        let before = self.setter.style(StyleName::Rows).after;
        self.push(Piece { height, before, keep: true, heading: true, items, anchors, ..Piece::default() });
    }

    /// Room left of a row's words for its number, arrow and box.
    fn row_lead(&self) -> Length {
        Length::mm(26.0) * (1.0 + (self.grown() - 1.0) * 0.6)
    }
}

/// The general alert sign: a triangle with an exclamation mark.
fn alert(area: Rect, colour: Colour, items: &mut Vec<PlacedItem>) {
    let (x, w, h) = (area.centre().x, area.size.width, area.size.height);
    let apex = Point::new(x, area.top());
    let (a, b) = (Point::new(area.left(), area.bottom()), Point::new(area.right(), area.bottom()));
    items.push(draw::shape(LAYOUT, draw::triangle(apex, b, a, colour)));
    let bar = Rect::new(x - w * 0.055, area.top() + h * 0.34, w * 0.11, h * 0.34);
    items.push(draw::shape(LAYOUT, draw::ground(bar, Colour::WHITE)));
    let dot = Shape {
        outline: draw::disc_outline(Point::new(x, area.top() + h * 0.81), w * 0.065),
        fill: Some(Colour::WHITE),
        stroke: None,
    };
    items.push(draw::shape(LAYOUT, dot));
}
