//! Titles of sections, and the headings below them.

use super::setting::Setting;
use crate::catalogue::StyleName;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::piece::{Anchor, Piece};
use crate::geom::{Length, Point};
use crate::manuscript::{Inline, Text};
use crate::markup::unmarked;
use crate::page::{Mark, NodeId, Role};

impl Setting<'_> {
    pub(super) fn title(&mut self, title: &str, anchor: Anchor, node: NodeId) {
        let style = self.setter.style(StyleName::Heading1).clone();
        let heading = self.structure.add(Role::Heading(2), Some(node));
        let lines =
            self.setter.paragraph(StyleName::Heading1, &vec![Inline::Plain(title.to_string())], self.columns.full);
        let mut items = Vec::new();
        let rule = self.edition.look.section_rule;
        if rule > Length::ZERO {
            let y = rule / 2.0;
            let (from, to) = (Point::new(Length::ZERO, y), Point::new(self.columns.full, y));
            items.push(draw::shape(LAYOUT, draw::rule(from, to, self.colours.accent, rule)));
        }
        let top = Length::pt(8.0);
        let count = lines.len();
        for (i, line) in lines.into_iter().enumerate() {
            let y = top + style.leading * i as f64 + self.setter.baseline(&style);
            line.place(Point::new(Length::ZERO, y), Mark::Node(heading), &mut items);
        }
        self.push(Piece {
            height: top + style.leading * count as f64,
            wide: true,
            before: style.before,
            after: style.after,
            keep: true,
            heading: true,
            items,
            anchors: vec![anchor],
            ..Piece::default()
        });
    }

    pub(super) fn heading(&mut self, level: u8, text: &Text, node: NodeId) {
        let hangs = level <= 2 && self.columns.side > Length::ZERO;
        self.heading_at(level, text, node, hangs);
    }

    /// Rows reach into the side column, so what heads them stands above them.
    pub(super) fn heading_of_rows(&mut self, level: u8, text: &Text, node: NodeId) {
        let columns = self.columns;
        self.columns.text_left = self.rows_left();
        self.heading_at(level, text, node, false);
        self.columns = columns;
    }

    fn heading_at(&mut self, level: u8, text: &Text, node: NodeId, hangs: bool) {
        let name = if level <= 2 { StyleName::Heading2 } else { StyleName::Heading3 };
        let style = self.setter.style(name).clone();
        let heading = self.structure.add(Role::Heading(level.clamp(2, 3) + 1), Some(node));
        let outline = (level <= 2).then(|| (2, unmarked(text)));
        let anchors = vec![Anchor { section: None, outline }];
        let (left, measure) = if hangs { (Length::ZERO, self.columns.side) } else { self.text_column() };
        let lines = self.setter.paragraph(name, text, measure);
        let height = style.leading * lines.len() as f64;
        let mut items = Vec::new();
        for (i, line) in lines.into_iter().enumerate() {
            let y = style.leading * i as f64 + self.setter.baseline(&style);
            line.place(Point::new(left, y), Mark::Node(heading), &mut items);
        }
        // A heading below one that hangs in the side column stands beside it.
        let beside = self.galley.pieces.last().is_some_and(|p| p.side > Length::ZERO && p.height <= Length::ZERO);
        let before = if beside && !hangs { Length::ZERO } else { style.before };
        self.push(match hangs {
            true => Piece { side: height, before, keep: true, heading: true, items, anchors, ..Piece::default() },
            false => Piece {
                height,
                before,
                after: style.after,
                keep: true,
                heading: true,
                items,
                anchors,
                ..Piece::default()
            },
        });
    }
}
