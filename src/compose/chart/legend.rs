//! What the small marks in the cells mean, in a line under the key: each drawn in a square of its own, with its words.

use super::marks::{self, MarkedCell};
use super::room::legend::{BESIDE, SIDE, kinds, words_of};
use super::sheets::ChartSheets;
use crate::catalogue::StyleName;
use crate::colour::Colour;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::setter::Setter;
use crate::geom::{Length, Point, Rect};
use crate::page::{CellInk, Mark, NodeId, PlacedItem, Role, Structure};
use std::sync::Arc;

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
