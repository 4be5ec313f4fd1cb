//! Rows in words, each with its number, arrow and box, and the headings of their stretches.

use super::setting::Setting;
use crate::catalogue::StyleName;
use crate::compose::chart::stretch_title;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::piece::{Anchor, Keep, Piece};
use crate::edition::Style;
use crate::geom::{Length, Point, Rect};
use crate::manuscript::{ChartWords, Inline, ROWS_IN_STRETCH, Text, WrittenRow};
use crate::page::{Mark, NodeId, Role};

/// A row in words that takes more of a page than this may be cut.
const MAX_ROW: f64 = 0.5;
/// A row of fewer lines is never cut.
const LEAST_PARTED: usize = 4;
/// Number, arrow and box of a row may take this share of the column's width beside its words.
const MAX_LEAD: f64 = 0.3;
/// The level of the heading of a stretch of rows: inside a section.
const HEADING_OF_STRETCH: u8 = 3;

impl Setting<'_> {
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
