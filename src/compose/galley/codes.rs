//! Codes for a phone's camera, each beside its words.

use super::setting::Setting;
use crate::catalogue::StyleName;
use crate::colour::Colour;
use crate::compose::draw;
use crate::compose::piece::Piece;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::CodeBlock;
use crate::matrix_code::{MatrixCode, QUIET_ZONE};
use crate::page::{Mark, NodeId, Role, Shape};

/// A module's side. Half a millimetre is what telephones of any age read from a hand's breadth away (our judgement); the rest
/// is room for ink that spreads.
const MODULE: Length = Length::mm(0.75);
/// A code with its words takes at least this much of a line.
const MIN_WIDTH: Length = Length::mm(74.0);

impl Setting<'_> {
    pub(super) fn codes(&mut self, codes: &[CodeBlock], node: NodeId) {
        let (left, measure) = self.text_column();
        let side_by_side = ((measure / MIN_WIDTH) as usize).clamp(1, codes.len().max(1));
        let width = measure / side_by_side as f64;
        for row in codes.chunks(side_by_side) {
            let mut piece = Piece { before: Length::mm(2.0), after: Length::mm(2.0), ..Piece::default() };
            for (at, code) in row.iter().enumerate() {
                self.code(code, left + width * at as f64, width, node, &mut piece);
            }
            self.push(piece);
        }
    }

    /// One code and its words, both from the piece's top.
    fn code(&mut self, block: &CodeBlock, left: Length, width: Length, node: NodeId, piece: &mut Piece) {
        // An address that is too long for a code is a fault of the project; here its words stand alone.
        let Some(code) = MatrixCode::of(&block.address) else { return };
        let quiet = MODULE * QUIET_ZONE as f64;
        let side = MODULE * code.size() as f64;
        let figure = self.structure.add(Role::Figure, Some(node));
        self.structure.get_mut(figure).alt = Some(block.alt.clone());
        // On the side towards the margin the page itself is quiet.
        piece.items.push(draw::shape(Mark::Node(figure), modules(&code, Point::new(left, quiet))));
        let paragraph = self.structure.add(Role::Paragraph, Some(node));
        let words_left = left + side + quiet.max(Length::mm(4.0));
        let style = self.setter.style(StyleName::Body).clone();
        let lines = self.setter.paragraph(StyleName::Body, &block.words, left + width - words_left - Length::mm(4.0));
        let marks = self.inline_marks(&block.words, paragraph);
        let height = style.leading * lines.len() as f64;
        let top = quiet + ((side - height) / 2.0).max(Length::ZERO);
        let baseline = top + self.setter.baseline(&style);
        for (i, line) in lines.into_iter().enumerate() {
            let at = Point::new(words_left, baseline + style.leading * i as f64);
            self.place_line(line, &block.words, &marks, at, &style, &mut piece.items);
        }
        piece.height = piece.height.max(side + quiet * 2.0).max(top + height);
    }
}

/// All dark modules as one outline, so that no reader sees a seam between two of them.
fn modules(code: &MatrixCode, origin: Point) -> Shape {
    let outline = code.stretches().into_iter().flat_map(|(x, y, long)| {
        let corner = origin.moved(MODULE * x as f64, MODULE * y as f64);
        // A hair taller than a module: renderers that smooth edges would leave a light line between rows.
        let size = Size::new(MODULE * long as f64, MODULE * 1.02);
        draw::box_outline(Rect { origin: corner, size })
    });
    Shape { outline: outline.collect(), fill: Some(Colour::BLACK), stroke: None }
}
