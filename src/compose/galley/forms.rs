//! What a maker fills in: snips of yarn and lines to write on.

use super::setting::Setting;
use crate::catalogue::StyleName;
use crate::compose::draw;
use crate::compose::draw::LAYOUT;
use crate::compose::piece::Piece;
use crate::edition::Style;
use crate::geom::{Length, Point, Rect};
use crate::manuscript::{Snip, Text};
use crate::markup::{filled, unmarked};
use crate::page::{Blank, Item, Mark, NodeId, PlacedItem, Role};

/// Words before a blank have at least this share of the column beside it.
const MIN_WORDS: f64 = 0.4;
/// A box for a snip is at least so many times as wide as the type below it is high.
const MIN_SNIP: f64 = 8.0;
/// What is typed into a line is no smaller than this, and the field over the line so many times as high.
const MIN_TYPED: Length = Length::pt(8.0);
const FIELD_HEIGHT: f64 = 1.5;

/// Words beside a line to write on. A field's name says them, as whoever comes to it by the tabulator hears nothing else: read
/// as words of the page too, they would be heard twice.
const BESIDE_FIELD: Mark = LAYOUT;

impl Setting<'_> {
    /// Boxes to tape a snip into, three or four in a row, whichever takes fewer rows (two or one on narrow paper).
    pub(super) fn snips(&mut self, snips: &[Snip], blank: &str, node: NodeId) {
        let list = self.structure.add(Role::List(false), Some(node));
        let gap = Length::mm(5.0);
        let least = self.setter.style(StyleName::Small).size * MIN_SNIP;
        let across = match self.columns.full > Length::mm(150.0) {
            true if snips.len().div_ceil(4) < snips.len().div_ceil(3) => 4,
            true => 3,
            false if (least * 2.0 + gap).fits(self.columns.full) => 2,
            false => 1,
        };
        let width = (self.columns.full - gap * (across as f64 - 1.0)) / across as f64;
        let box_height = Length::mm(15.0);
        let style = self.setter.style(StyleName::Small).clone();
        let line_height = Length::mm(7.0).max(self.setter.style(StyleName::Label).leading);
        let lines = snips.iter().map(|s| s.lines.len()).max().unwrap_or(0);
        let height = box_height + style.leading + Length::mm(2.5) + line_height * lines as f64;
        for group in snips.chunks(across) {
            let mut items = Vec::new();
            for (place, snip) in group.iter().enumerate() {
                let x = (width + gap) * place as f64;
                let item = self.structure.add(Role::ListItem, Some(list));
                let body = self.structure.add(Role::ListBody, Some(item));
                let frame = Rect::new(x, Length::ZERO, width, box_height);
                let mut outline = draw::frame(frame, self.colours.rule, Length::pt(0.6));
                if let Some(stroke) = &mut outline.stroke {
                    stroke.dash = vec![Length::pt(2.5), Length::pt(2.0)];
                }
                items.push(draw::shape(LAYOUT, outline));
                let side = Length::mm(4.2) * self.grown();
                let y = box_height + Length::mm(1.5);
                self.swatch(&snip.swatch, Rect::new(x, y, side, side), &mut items);
                let baseline = y + side / 2.0 + style.size * 0.34;
                let name_left = x + self.swatch_width(side) + Length::mm(2.0);
                let name = self.setter.line_within(StyleName::Small, &snip.name, x + width - name_left);
                let paragraph = self.structure.add(Role::Paragraph, Some(body));
                self.structure.get_mut(paragraph).language.clone_from(&self.parts.pictures.furniture.names_language);
                name.place(Point::new(name_left, baseline), Mark::Node(paragraph), &mut items);
                for (i, words) in snip.lines.iter().enumerate() {
                    let y = y + side + line_height * (i as f64 + 0.85);
                    let label = self.setter.line(StyleName::Label, words);
                    let from = Point::new(x + label.width + Length::mm(1.5), y + Length::pt(1.0));
                    let paragraph = self.structure.add(Role::Paragraph, Some(body));
                    // Those of several fields stand in one line, which is words to whoever looks for words that are left out.
                    label.place(Point::new(x, y), Mark::Node(paragraph), &mut items);
                    let to = Point::new(x + width, from.y);
                    items.push(draw::shape(LAYOUT, draw::rule(from, to, self.colours.rule, Length::pt(0.5))));
                    let field = format!("snip-{}-{}", snip.swatch.yarn + 1, i + 1);
                    let said = filled(blank, &[("what", format!("{}, {words}", snip.name))]);
                    self.blank((from, to), field, said, paragraph, &mut items);
                }
            }
            self.push(Piece { height, wide: true, after: Length::mm(5.0), items, ..Piece::default() });
        }
    }

    /// The field over a line to write on, of which `label` is said.
    fn blank(
        &mut self,
        (from, to): (Point, Point),
        field: String,
        label: String,
        paragraph: NodeId,
        items: &mut Vec<PlacedItem>,
    ) {
        let size = self.setter.style(StyleName::Label).size.max(MIN_TYPED);
        let height = size * FIELD_HEIGHT;
        let area = Rect::new(from.x, from.y - height, to.x - from.x, height);
        let form = self.structure.add(Role::Form, Some(paragraph));
        items.push(PlacedItem { mark: Mark::Node(form), item: Item::Blank(Blank { area, field, label, size }) });
    }

    pub(super) fn fill_in(&mut self, lines: &[(Text, Text)], spoken: &str, node: NodeId) {
        let style = self.setter.style(StyleName::Body).clone();
        let (left, measure) = self.text_column();
        // Blanks stand below each other where there is room.
        let widest = lines
            .iter()
            .map(|l| self.setter.line(StyleName::Body, &unmarked(&l.0)).width)
            .fold(Length::ZERO, Length::max);
        for (number, (before, after)) in lines.iter().enumerate() {
            let paragraph = self.structure.add(Role::Paragraph, Some(node));
            let blank = Length::mm(26.0);
            let after_width = self.setter.line(StyleName::Body, &unmarked(after)).width;
            let room = measure - blank - after_width - Length::mm(3.0);
            let whole_words = Style { hyphenate: false, ..style.clone() };
            // On a narrow page the words stand above their blank.
            let above = room < measure * MIN_WORDS;
            let rows = self.setter.paragraph_as(&whole_words, before, if above { measure } else { room });
            let widest = if widest.fits(room) { widest } else { Length::ZERO };
            let height = style.leading * (rows.len() + usize::from(above)) as f64 + Length::mm(3.0);
            let mut items = Vec::new();
            let mut end = (left, Length::ZERO);
            for (i, line) in rows.into_iter().enumerate() {
                let y = Length::mm(3.0) + style.leading * i as f64 + self.setter.baseline(&style);
                end = (left + line.width.max(widest) + Length::mm(2.0), y);
                line.place(Point::new(left, y), BESIDE_FIELD, &mut items);
            }
            if above {
                end = (left, end.1 + style.leading);
            }
            let (from, to) =
                (Point::new(end.0, end.1 + Length::pt(1.5)), Point::new(end.0 + blank, end.1 + Length::pt(1.5)));
            items.push(draw::shape(LAYOUT, draw::rule(from, to, self.colours.text, Length::pt(0.5))));
            let said = filled(spoken, &[("what", format!("{}, {}", unmarked(before), unmarked(after)))]);
            self.blank((from, to), format!("own-figure-{}", number + 1), said, paragraph, &mut items);
            let line = self.setter.line(StyleName::Body, &unmarked(after));
            line.place(Point::new(to.x + Length::mm(1.5), end.1), BESIDE_FIELD, &mut items);
            let after = if number + 1 == lines.len() { Length::mm(4.0) } else { Length::mm(1.5) };
            let keep = number + 1 < lines.len();
            self.push(Piece { height, after, keep, items, ..Piece::default() });
        }
    }
}
