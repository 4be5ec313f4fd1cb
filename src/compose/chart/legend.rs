//! What the small marks in the cells mean, in a line under the key: each drawn in a square of its own, with its words.

use super::ChartSheets;
use super::marks::{self, MarkedCell};
use crate::catalogue::StyleName;
use crate::colour::Colour;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::setter::{SetLine, Setter};
use crate::geom::{Length, Point, Rect};
use crate::manuscript::{ChartBlock, ChartMarkKind};
use crate::page::{CellInk, Mark, NodeId, PlacedItem, Role, Structure};
use std::sync::Arc;

/// Between a square and its words, and between one entry and the next.
const BESIDE: Length = Length::mm(1.4);
const BETWEEN: Length = Length::mm(5.0);
/// A square's side, in leadings of the words.
const SIDE: f64 = 0.86;

/// The kinds of marks in the order in which they are explained, and the words of each.
fn kinds(block: &ChartBlock) -> Vec<(ChartMarkKind, &str)> {
    let words = &block.words;
    let all = [
        (ChartMarkKind::Start, words.mark_start.as_str()),
        (ChartMarkKind::Cut, words.mark_cut.as_str()),
        (ChartMarkKind::Link, words.mark_link.as_str()),
        (ChartMarkKind::Choice { tied: None, words: String::new() }, words.mark_choice.as_str()),
    ];
    let used = |kind: &ChartMarkKind| {
        block.marks.iter().any(|mark| std::mem::discriminant(&mark.kind) == std::mem::discriminant(kind))
    };
    all.into_iter().filter(|(kind, _)| used(kind)).collect()
}

/// Where the entries stand, the same on every sheet of a chart.
#[derive(Clone, Debug, Default)]
pub(super) struct Legend {
    /// Left end and line of each.
    places: Vec<(Length, usize)>,
    lines: usize,
    leading: Length,
    /// Of words and squares, in sizes of the notes.
    scale: f64,
}

/// The words of an entry so many times as large as notes, or smaller where the room is narrower.
fn words_of(setter: &Setter, words: &str, room: Length, scale: f64) -> SetLine {
    let style = setter.style(StyleName::SheetNote);
    let usual = setter.line_within(StyleName::SheetNote, words, room * 0.9 / scale);
    let size = usual.runs.first().map_or(style.size, |(_, run)| run.size);
    setter.line_in(StyleName::SheetNote, words, size * scale, setter.colour(style.colour))
}

impl Legend {
    /// For a chart whose sheets have marks, in room of this width and so many times as large as notes.
    pub fn of(block: &ChartBlock, setter: &Setter, room: Length, scale: f64) -> Legend {
        let leading = setter.style(StyleName::SheetNote).leading * scale;
        let (mut x, mut line, mut places) = (Length::ZERO, 0, Vec::new());
        for (_, words) in kinds(block) {
            let width = leading * SIDE + BESIDE + words_of(setter, words, room, scale).width;
            if x > Length::ZERO && !(x + width).fits(room) {
                (x, line) = (Length::ZERO, line + 1);
            }
            places.push((x, line));
            x += width + BETWEEN;
        }
        let lines = if places.is_empty() { 0 } else { line + 1 };
        Legend { places, lines, leading, scale }
    }

    /// Of all lines, with the space above them.
    pub fn height(&self) -> Length {
        if self.lines == 0 { Length::ZERO } else { self.leading * self.lines as f64 + Length::mm(0.8) }
    }
}

impl ChartSheets<'_> {
    /// Draws the entries at a point, to be read in `section` or to be seen only.
    pub(super) fn legend(
        &self,
        at: Point,
        room: Length,
        setter: &Setter,
        structure: &mut Structure,
        section: Option<NodeId>,
        out: &mut Vec<PlacedItem>,
    ) {
        let legend = &self.head.legend;
        let node = section.filter(|_| legend.lines > 0).map(|section| structure.add(Role::Paragraph, Some(section)));
        let mark = node.map_or(LAYOUT, Mark::Node);
        let side = legend.leading * SIDE;
        let ink = CellInk { ground: None, mark: Arc::default(), colour: Colour::BLACK };
        let style = setter.style(StyleName::SheetNote);
        for (at_entry, ((kind, words), (x, line))) in kinds(self.block).iter().zip(&legend.places).enumerate() {
            let top = at.y + Length::mm(0.8) + legend.leading * *line as f64;
            let area = Rect::new(at.x + *x, top, side, side);
            out.push(draw::shape(LAYOUT, draw::frame(area, self.edition.look.tens, Length::pt(0.4))));
            let cell = MarkedCell { area, kind, left_to_right: true, ink: &ink };
            out.extend(marks::shapes(std::iter::once(cell)).into_iter().map(|shape| draw::shape(LAYOUT, shape)));
            let line = words_of(setter, words, room, legend.scale);
            // The squares between the entries are for the eye.
            let line = match at_entry + 1 < legend.places.len() {
                true => line.spoken(format!("{words}; ")),
                false => setter.apart(line),
            };
            line.place(
                Point::new(area.right() + BESIDE, area.centre().y + style.size * (legend.scale * 0.34)),
                mark,
                out,
            );
        }
    }
}
