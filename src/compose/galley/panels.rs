//! Several small drawings of the panel side by side, each with its name below.

use super::setting::Setting;
use crate::catalogue::StyleName;
use crate::compose::draw;
use crate::compose::piece::Piece;
use crate::geom::{Length, Point, Size};
use crate::manuscript::AsKnotted;
use crate::page::{Mark, NodeId, Role};

/// Between two drawings.
const BETWEEN: Length = Length::mm(7.0);
/// A drawing is no narrower than this where that can be helped: single knots would be lost.
const LEAST: Length = Length::mm(42.0);
/// Most drawings in a row.
const MOST: usize = 4;
/// Share of a page's height that one row of drawings takes at most.
const SHARE: f64 = 0.36;

impl Setting<'_> {
    pub(super) fn panels(&mut self, panels: &[AsKnotted], node: NodeId) {
        let full = self.columns.full;
        let fit = ((full + BETWEEN) / (LEAST + BETWEEN)).floor().max(1.0) as usize;
        // As even as can be: of four, where three have room in a row, two and two.
        let rows = panels.len().div_ceil(fit.min(MOST)).max(1);
        let across = panels.len().div_ceil(rows).max(1);
        let width = (full - BETWEEN * (across - 1) as f64) / across as f64;
        let room = Size::new(width, self.columns.height * SHARE);
        for row in panels.chunks(across) {
            self.row_of_panels(row, room, node);
        }
    }

    fn row_of_panels(&mut self, row: &[AsKnotted], room: Size, node: NodeId) {
        let style = self.setter.style(StyleName::Caption).clone();
        let drawings: Vec<_> = row.iter().map(|panel| self.parts.as_knotted(&panel.grid, room)).collect();
        // A drawing that is wider than high stands in the middle of its room; here the row begins at its top.
        let foot = drawings.iter().map(|drawn| drawn.area_used.size.height).fold(Length::ZERO, Length::max);
        let (mut items, mut lines_below) = (Vec::new(), 0);
        for (at, (panel, drawn)) in row.iter().zip(drawings).enumerate() {
            let left = (room.width + BETWEEN) * at as f64;
            let element = self.structure.add(Role::Figure, Some(node));
            self.structure.get_mut(element).alt = Some(panel.alt.clone());
            items.push(draw::picture(
                Mark::Node(element),
                Point::new(left, Length::ZERO - drawn.area_used.top()),
                drawn.shapes,
            ));
            let Some(caption) = &panel.caption else { continue };
            let element = self.structure.add(Role::Caption, Some(element));
            let lines = self.setter.paragraph(StyleName::Caption, caption, room.width);
            lines_below = lines_below.max(lines.len());
            for (i, line) in lines.into_iter().enumerate() {
                let x = left + (room.width - line.width) / 2.0;
                let y = foot + Length::mm(1.5) + style.leading * i as f64 + self.setter.baseline(&style);
                line.place(Point::new(x, y), Mark::Node(element), &mut items);
            }
        }
        self.push(Piece {
            height: foot + Length::mm(1.5) + style.leading * lines_below as f64,
            wide: true,
            before: Length::mm(2.5),
            after: Length::mm(4.5),
            items,
            ..Piece::default()
        });
    }
}
