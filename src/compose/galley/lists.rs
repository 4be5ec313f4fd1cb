//! Lists: steps, bullets, boxes to tick.

use super::setting::Setting;
use crate::catalogue::StyleName;
use crate::compose::piece::{Keep, Piece};
use crate::geom::{Length, Point, Rect};
use crate::manuscript::{Step, Text, TickLine};
use crate::markup::unmarked;
use crate::page::{NodeId, Role};

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
}
