//! The key: a sample of every yarn with its true colour, its name and its knots in the whole chart. It stands on each sheet.

use super::room::key::{BESIDE, BETWEEN, entries};
use super::sheets::ChartSheets;
use crate::catalogue::StyleName;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::setter::Setter;
use crate::geom::{Length, Point, Rect};
use crate::page::{Mark, NodeId, PlacedItem, Role, Structure};

impl ChartSheets<'_> {
    /// Entries of the key at a point, as a list of `section`, or to be seen only.
    pub(super) fn key(
        &self,
        at: Point,
        setter: &Setter,
        structure: &mut Structure,
        section: Option<NodeId>,
        out: &mut Vec<PlacedItem>,
    ) {
        let lay = &self.head.key;
        let set = |text: &str| {
            setter.line_in(StyleName::Key, text, lay.figures, setter.colour(setter.style(StyleName::Key).colour))
        };
        let list = section.map(|section| structure.add(Role::List(false), Some(section)));
        for (place, yarn) in entries(self.block).into_iter().enumerate() {
            // Down each column first, so that the key reads as short lists.
            let (column, line) = (place / lay.lines, place % lay.lines);
            let x = at.x + lay.entry * column as f64;
            let y = at.y + lay.line * line as f64;
            let body = list.map(|list| {
                let item = structure.add(Role::ListItem, Some(list));
                structure.add(Role::ListBody, Some(item))
            });
            let sample = Rect { origin: Point::new(x, y), size: lay.sample };
            let baseline = sample.centre().y + lay.figures * 0.34;
            let text_x = sample.right() + lay.patch + BESIDE;
            let right = x + lay.entry - BETWEEN;
            let tens = self.edition.look.tens;
            let about = yarn.and_then(|yarn| self.block.yarns.get(yarn).zip(self.key_inks.get(yarn)));
            match about {
                Some((entry, ink)) => {
                    // Eyes see the symbol; ears are told what it is, so that they too can go by it.
                    let symbol = body.map(|body| structure.add(Role::Span, Some(body)));
                    if let Some(symbol) = symbol {
                        structure.get_mut(symbol).actual = Some(format!("{}: ", entry.symbol_words));
                    }
                    let name = body.map(|body| structure.add(Role::Span, Some(body)));
                    if let Some(name) = name {
                        structure.get_mut(name).language.clone_from(&self.block.words.names_language);
                    }
                    let mark = body.map_or(LAYOUT, |body| Mark::Node(structure.add(Role::Span, Some(body))));
                    let drawn = draw::sample(sample, ink.clone(), tens);
                    out.extend(drawn.map(|placed| PlacedItem { mark: symbol.map_or(LAYOUT, Mark::Node), ..placed }));
                    if lay.patch > Length::ZERO {
                        let patch = Rect::new(sample.right(), y, lay.patch, lay.sample.height);
                        out.extend(draw::patch(patch, entry.colour, tens));
                    }
                    setter.apart(set(&entry.name)).place(
                        Point::new(text_x, baseline),
                        name.map_or(LAYOUT, Mark::Node),
                        out,
                    );
                    let count = set(&entry.count);
                    let x = right - count.width;
                    count.spoken(entry.spoken.clone()).place(Point::new(x, baseline), mark, out);
                }
                None => {
                    let mut frame = draw::frame(sample, tens, Length::pt(0.4));
                    if let Some(stroke) = &mut frame.stroke {
                        stroke.dash = vec![Length::pt(1.2), Length::pt(1.2)];
                    }
                    out.push(draw::shape(LAYOUT, frame));
                    let mark = body.map_or(LAYOUT, Mark::Node);
                    set(&self.block.words.bare).place(Point::new(text_x, baseline), mark, out);
                }
            }
        }
    }
}
