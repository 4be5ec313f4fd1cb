//! Figures, the panel hung up and as knotted, photographs and the ruler: drawings with their captions.

use super::setting::Setting;
use crate::catalogue::StyleName;
use crate::colour::Colour;
use crate::compose::draw;
use crate::compose::fit::IN_SIDE;
use crate::compose::piece::{Keep, MovableDrawing, Piece};
use crate::figure::USUAL_LABEL;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::{FigureBlock, FleeceDrawing, HungPanel, Inline, PictureBlock, PictureRole, Text};
use crate::page::{Item, Mark, NodeId, PlacedItem, PlacedPicture, Role};
use crate::{figure, hung_panel};

/// The panel hung up takes this part of a page's height at most: its measures are read, not its knots.
const HUNG: f64 = 0.31;
/// The same where its words are larger and need more room.
const MOST_HUNG: f64 = 0.38;

impl Setting<'_> {
    pub(super) fn figure(&mut self, figure: &FigureBlock, node: NodeId) {
        // A heading and its first lines stay with the figure.
        let room = |measure| Size::new(measure, self.columns.height * 0.78);
        let grown = (self.setter.style(StyleName::Label).size / USUAL_LABEL).max(1.0);
        let rows = |measure| figure::rows_of_figure((&figure.name, &figure.stages), room(measure), grown);
        let (text_left, text) = self.text_column();
        // Stages are followed best in one row: where it saves rows, a figure runs over the side column too.
        let wide = self.columns.side > Length::ZERO && rows(self.columns.full) < rows(text);
        let (left, measure) = if wide { (Length::ZERO, self.columns.full) } else { (text_left, text) };
        let room = room(measure);
        let Some(drawn) = self.parts.figure((&figure.name, &figure.stages), room, grown, figure.mirrored) else {
            return;
        };
        let element = self.structure.add(Role::Figure, Some(node));
        self.structure.get_mut(element).alt = Some(figure.alt.clone());
        let mark = Mark::Node(element);
        let mut items = vec![draw::drawing(mark, Point::new(left, Length::ZERO), drawn.shapes, drawn.picture)];
        let style = self.setter.style(StyleName::Label).clone();
        let paper = Some(self.parts.figure_colours.paper);
        self.drawn_labels(&drawn.labels, &figure.labels, (left, measure), (mark, paper), &mut items);
        for stage in &drawn.numbers {
            let line = self.setter.line_in(
                StyleName::RowNumber,
                &stage.number.to_string(),
                style.size * 1.2,
                self.colours.accent,
            );
            line.place(Point::new(left + stage.at.x, stage.at.y + style.size * 0.4), mark, &mut items);
        }
        self.block_with_caption(items, drawn.size.height, wide, figure.caption.as_ref(), element, left, measure);
    }

    /// Sets the words of a drawing at their places; `words` pairs their keys with them. With a paper colour they stand on
    /// a patch of it, so that they can be read where they lie over a cord.
    pub(super) fn drawn_labels(
        &mut self,
        labels: &[figure::Label],
        words: &[(String, String)],
        (left, measure): (Length, Length),
        (mark, paper): (Mark, Option<Colour>),
        items: &mut Vec<PlacedItem>,
    ) {
        let style = self.setter.style(StyleName::Label).clone();
        let rim = Length::pt(0.8);
        for label in labels {
            let Some((_, words)) = words.iter().find(|(key, _)| *key == label.key) else { continue };
            // No word of a label is cut, however little room it has.
            let room = label.room.max(Length::mm(8.0)).max(self.setter.longest_piece(StyleName::Label, words, false));
            let lines = self.setter.paragraph(StyleName::Label, &vec![Inline::Plain(words.clone())], room);
            for (i, line) in lines.into_iter().enumerate() {
                let x = match label.align {
                    figure::LabelAlign::Left => label.at.x,
                    figure::LabelAlign::Centre => label.at.x - line.width / 2.0,
                    figure::LabelAlign::Right => label.at.x - line.width,
                };
                // A label that would leave the measure is drawn back inside.
                let x = x.min((measure - line.width).max(Length::ZERO)).max(Length::ZERO);
                let y = label.at.y + style.size * 0.34 + style.leading * i as f64;
                if let Some(paper) = paper {
                    let corner = Point::new(left + x - rim, y - style.size * 0.78);
                    let patch = Rect { origin: corner, size: Size::new(line.width + rim * 2.0, style.size * 1.02) };
                    items.push(draw::shape(mark, draw::ground(patch, paper)));
                }
                line.place(Point::new(left + x, y), mark, items);
            }
        }
    }

    pub(super) fn hung_panel(&mut self, hung: &HungPanel, node: NodeId) {
        let label = self.setter.style(StyleName::Label);
        let share = (HUNG * (label.size / USUAL_LABEL).max(1.0)).min(MOST_HUNG);
        let room = Size::new(self.columns.full, self.columns.height * share);
        let kind = hung_panel::LabelType { size: label.size, leading: label.leading };
        let drawn = hung_panel::draw(hung, room, self.colours.quiet, kind);
        let element = self.structure.add(Role::Figure, Some(node));
        self.structure.get_mut(element).alt = Some(hung.alt.clone());
        let mark = Mark::Node(element);
        let mut items = vec![draw::drawing(mark, Point::default(), drawn.shapes, drawn.picture)];
        self.drawn_labels(&drawn.labels, &hung.labels, (Length::ZERO, room.width), (mark, None), &mut items);
        let caption = hung.caption.as_ref();
        let from = self.galley.pieces.len();
        self.block_with_caption(items, drawn.size.height, true, caption, element, Length::ZERO, room.width);
        let to = self.galley.pieces.len();
        self.galley.drawings.push(MovableDrawing { from, to, end: to, node: element });
    }

    /// The fleece as it lies on the knots, with the height of each part in it and its width below.
    pub(super) fn fleece(&mut self, fleece: &FleeceDrawing, node: NodeId) {
        let (left, measure) = self.text_column();
        let label = self.setter.style(StyleName::Label).clone();
        let deepest = fleece.knots.iter().map(|(_, high)| *high).fold(1.0, f64::max);
        let foot = label.leading * 2.2;
        let scale = (measure.to_mm() / fleece.width_mm.max(1.0))
            .min((self.columns.height.to_mm() * HUNG - foot.to_mm()) / deepest);
        let element = self.structure.add(Role::Figure, Some(node));
        self.structure.get_mut(element).alt = Some(fleece.alt.clone());
        let mark = Mark::Node(element);
        let at = |x: f64, y: f64| Point::new(left + Length::mm(x * scale), Length::mm(y * scale));
        let outline = |parts: &[(f64, f64)], inside: f64| {
            let mut points = vec![at(inside, inside)];
            let mut x = inside;
            for (wide, high) in parts {
                points.push(at(x, inside + high));
                x += wide;
                points.push(at(x, inside + high));
            }
            points.push(at(x, inside));
            points
        };
        let knots = outline(&fleece.knots, 0.0);
        let steps = outline(&fleece.steps, fleece.inside_mm);
        let mut items = vec![draw::shape(mark, draw::polygon(&knots, Some(self.colours.tint), self.colours.quiet))];
        items.push(draw::shape(mark, draw::polygon(&steps, Some(Colour::WHITE), self.colours.text)));
        let mut x = fleece.inside_mm;
        for ((wide, high), (_, words)) in fleece.steps.iter().zip(&fleece.labels) {
            let line = self.setter.line(StyleName::Label, words);
            let middle = at(x + wide / 2.0, fleece.inside_mm + high);
            x += wide;
            // A part too narrow for its words has them in the words instead of the drawing alone.
            if line.width.fits(Length::mm(wide * scale)) && *high > 0.0 {
                let y = middle.y - label.size * 0.6;
                let x = middle.x - line.width / 2.0;
                line.place(Point::new(x, y), mark, &mut items);
            }
        }
        let y = Length::mm(deepest * scale) + label.leading;
        let whole = self.setter.line(StyleName::Label, &fleece.whole.join(", "));
        whole.place(Point::new(left, y), mark, &mut items);
        self.block_with_caption(items, y + foot / 2.0, false, fleece.caption.as_ref(), element, left, measure);
    }

    /// Pushes a block of drawn things with its caption: in the side column where there is one, below elsewhere. The caption
    /// belongs to the figure.
    pub(super) fn block_with_caption(
        &mut self,
        mut items: Vec<PlacedItem>,
        height: Length,
        wide: bool,
        caption: Option<&Text>,
        figure: NodeId,
        left: Length,
        measure: Length,
    ) {
        let (gap, before) = (Length::mm(2.0), Length::mm(2.5));
        // A caption stands below a heading that hangs beside the figure, and does not push the figure down.
        let heading = self.galley.pieces.last().filter(|piece| piece.heading && piece.height <= Length::ZERO);
        let hung = heading.map(|heading| (heading.side + IN_SIDE - before).max(Length::ZERO));
        let mut side = Length::ZERO;
        let mut below = None;
        if let Some(caption) = caption {
            let style = self.setter.style(StyleName::Caption).clone();
            let element = self.structure.add(Role::Caption, Some(figure));
            if self.columns.side > Length::ZERO && !wide {
                let lines = self.setter.paragraph(StyleName::Caption, caption, self.columns.side);
                let top = hung.unwrap_or(Length::ZERO);
                side = top + style.leading * lines.len() as f64;
                for (i, line) in lines.into_iter().enumerate() {
                    let y = top + style.leading * i as f64 + self.setter.baseline(&style);
                    line.place(Point::new(Length::ZERO, y), Mark::Node(element), &mut items);
                }
            } else {
                below = Some((caption, element));
            }
        }
        self.push(Piece {
            height,
            side,
            below_heading: hung.is_some(),
            wide,
            before,
            after: if below.is_some() { gap } else { Length::mm(3.5) },
            keep: below.is_some(),
            items,
            ..Piece::default()
        });
        if let Some((caption, element)) = below {
            self.lines(StyleName::Caption, caption, left, measure, element, Keep::Whole);
        }
    }

    pub(super) fn as_knotted(&mut self, drawing: &crate::manuscript::AsKnotted, room: Size, node: NodeId) {
        let drawn = self.parts.as_knotted(&drawing.grid, room);
        let element = self.structure.add(Role::Figure, Some(node));
        self.structure.get_mut(element).alt = Some(drawing.alt.clone());
        let mark = Mark::Node(element);
        let items = vec![draw::picture(mark, Point::default(), drawn.shapes)];
        let height = drawn.area_used.bottom();
        self.block_with_caption(items, height, true, drawing.caption.as_ref(), element, Length::ZERO, room.width);
    }

    /// A picture where it stands in the text, set in by `indent`.
    pub(super) fn picture_in_text(&mut self, picture: &PictureBlock, indent: Length, node: NodeId) {
        let columns = self.columns;
        let (left, width) = (columns.text_left + indent, columns.text - indent);
        match picture.role {
            PictureRole::Cover => {
                self.picture(picture, Size::new(columns.full, columns.height * 0.6), Length::ZERO, node);
            }
            // As wide as the text, and never so high that little else has room beside it.
            PictureRole::Text => self.picture(picture, Size::new(width, columns.height * 0.4), left, node),
            PictureRole::Logo => {
                let high = Length::mm(14.0) * self.grown();
                self.picture(picture, Size::new(width.min(high * 3.0), high), left, node);
            }
        }
    }

    /// A picture in the room it has, whole or cut as it says.
    pub(super) fn picture(&mut self, picture: &PictureBlock, room: Size, start: Length, node: NodeId) {
        let Some(file) = self.parts.pictures.pictures.get(picture.picture) else { return };
        let (w, h) = (f64::from(file.pixels.0.max(1)), f64::from(file.pixels.1.max(1)));
        let scale = match picture.cut_above {
            Some(_) => room.width / w,
            None => (room.width / w).min(room.height / h),
        };
        let whole = Size::new(scale * w, scale * h);
        let shown = Size::new(whole.width, whole.height.min(room.height));
        let is_cover = picture.role == PictureRole::Cover;
        // On the cover it stands in the middle, in the text at its left edge.
        let left = if is_cover { (room.width - whole.width) / 2.0 } else { start };
        let above = (whole.height - shown.height) * picture.cut_above.unwrap_or(0.0);
        let area = Rect::new(left, -above, whole.width, whole.height);
        let clip = Rect::new(left, Length::ZERO, shown.width, shown.height);
        let element = self.structure.add(Role::Figure, Some(node));
        let figure = self.structure.get_mut(element);
        figure.alt = Some(picture.alt.clone());
        figure.language.clone_from(&picture.language);
        let placed = PlacedPicture { picture: picture.picture, area, clip };
        let items = vec![PlacedItem { mark: Mark::Node(element), item: Item::Picture(placed) }];
        let caption = picture.caption.as_ref();
        self.block_with_caption(items, shown.height, is_cover, caption, element, start, room.width);
    }

    /// A ruler to check the scale of a print.
    pub(super) fn ruler(&mut self, caption: &Text, [millimetres, inches]: &[String; 2], alt: &str, node: NodeId) {
        let element = self.structure.add(Role::Figure, Some(node));
        self.structure.get_mut(element).alt = Some(alt.to_owned());
        let mark = Mark::Node(element);
        let left = self.columns.text_left;
        let top = Length::mm(7.0);
        let mut items = draw::ruler(Point::new(left, top), Length::mm(4.0), mark, self.colours.text);
        let size = self.setter.style(StyleName::Label).size;
        for (words, x, y) in [
            (millimetres, Length::mm(50.0), top - Length::mm(5.0)),
            (inches, Length::inches(2.0), top + Length::mm(5.0) + size * 0.7),
        ] {
            let line = self.setter.line(StyleName::Label, words);
            let x = left + x - line.width / 2.0;
            line.place(Point::new(x, y), mark, &mut items);
        }
        let (text_left, measure) = self.text_column();
        self.block_with_caption(items, Length::mm(15.0), false, Some(caption), element, text_left, measure);
    }
}
