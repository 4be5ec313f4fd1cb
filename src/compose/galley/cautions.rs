//! Cautions: a signal word, a bar beside all lines, and the alert sign beside the first of a grave one.

use super::setting::Setting;
use crate::catalogue::StyleName;
use crate::colour::Colour;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::piece::Keep;
use crate::geom::{Length, Point, Rect};
use crate::manuscript::{Caution, Inline, Signal, Text};
use crate::page::{Mark, NodeId, PlacedItem, Role, Shape};

impl Setting<'_> {
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
