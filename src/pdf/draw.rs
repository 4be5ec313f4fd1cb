//! Items in drawing order as the bytes of each page's content, with marked content where the file is tagged.
//!
//! Written straight, because operations as printpdf and lopdf hold them cost hundreds of bytes each on the way.

use super::below;
use super::drawn::DrawnPage;
use super::error::PdfError;
use super::ink::InkPaint;
use super::number::{number, operands};
use super::options::Options;
use super::page_stream::page_stream;
use super::painter::PagePainter;
use super::place::union;
use super::resources::Resources;
use super::shapes::{self, ShapesOf};
use super::{content, text};
use crate::catalogue::FrameName;
use crate::colour::Colour;
use crate::cores;
use crate::geom::{Point, Rect, Size};
use crate::page::{Booklet, Frame, Item, Mark, Page, PlacedPicture, Segment, Shape, Stroke};

/// Decimals of a shape's coordinates: two thousandths of a millimetre.
const SHAPE_DECIMALS: u32 = 2;
/// The same where a shape is bent: less than half a dot of a printer with 600 dots to the inch. Drawn cords are most of what
/// most pages hold.
const BENT_DECIMALS: u32 = 1;

/// Draws all pages.
pub(super) fn pages<'a>(
    booklet: &'a Booklet,
    resources: &Resources<'_>,
    options: Options,
) -> Result<Vec<DrawnPage<'a>>, PdfError> {
    let pages = booklet.pages.iter().enumerate().collect();
    let in_inks = resources.inks.profile().is_some();
    cores::try_each(pages, |(index, page): (usize, &Page)| {
        let drawn = |is_again: bool| {
            let frames = page.frames.iter().filter(|frame| (frame.name == FrameName::Again) == is_again);
            PagePainter::new(page, &booklet.structure, resources, options).frames(frames)
        };
        let again = drawn(true)?.content;
        let mut own = drawn(false)?;
        if !again.is_empty() {
            // The page's own content starts from the state of a new page.
            own.again = [b"q\n".as_slice(), &again, b"Q\n"].concat();
        }
        own.stream = page_stream(booklet, index, std::mem::take(&mut own.content), in_inks, options)?;
        Ok(own)
    })
}

/// Rounds to thousandths of a point.
fn milli(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

/// Shapes of one look, held back until something else comes.
pub(super) struct PendingShapes<'a> {
    mark: Mark,
    pub(crate) fill: Option<Colour>,
    pub(crate) stroke: Option<&'a Stroke>,
    /// What they belong to.
    pub(crate) of: ShapesOf,
    /// Each with the place that it is measured from.
    pub(crate) outlines: Vec<(&'a [Segment], Point)>,
    extent: [f64; 4],
}

impl PendingShapes<'_> {
    /// Whether another shape may be drawn with these as one path. Lines may always; filled parts of one path would
    /// cancel each other where they overlap, so they must lie apart.
    fn takes(&self, mark: Mark, shape: &Shape, of: ShapesOf, extent: [f64; 4]) -> bool {
        let [left, bottom, right, top] = self.extent;
        let apart = extent[0] > right || extent[2] < left || extent[1] > top || extent[3] < bottom;
        self.mark == mark
            && self.of == of
            && self.fill == shape.fill
            && self.stroke == shape.stroke.as_ref()
            && (self.fill.is_none() || apart)
    }
}

impl<'a> PagePainter<'a, '_> {
    fn frames(mut self, frames: impl Iterator<Item = &'a Frame>) -> Result<DrawnPage<'a>, PdfError> {
        // Shapes of one look that follow one another, to be drawn as one path.
        let mut held: Option<PendingShapes<'a>> = None;
        for placed in frames.flat_map(|frame| &frame.items) {
            let (shapes, origin, picture) = match &placed.item {
                Item::Shape(shape) => (std::slice::from_ref(shape), Point::default(), None),
                Item::Drawing(drawing) => {
                    (drawing.shapes.as_slice(), drawing.origin, Some(shapes::in_colours(drawing)))
                }
                other => {
                    self.shape(held.take(), None);
                    self.item(placed.mark, other)?;
                    continue;
                }
            };
            for (at, shape) in shapes.iter().enumerate() {
                let of = picture.as_ref().map_or(ShapesOf::Ornament, |picture| ShapesOf::drawing(picture, at));
                let (fill, stroke) = (shape.fill, shape.stroke.as_ref());
                let outline = (shape.outline.as_slice(), origin);
                let Some(extent) = self.shape_extent(outline, stroke) else { continue };
                match &mut held {
                    Some(held) if held.takes(placed.mark, shape, of, extent) => {
                        held.outlines.push(outline);
                        held.extent = union(held.extent, extent);
                    }
                    Some(_) | None => {
                        let (mark, outlines) = (placed.mark, vec![outline]);
                        let next = PendingShapes { mark, fill, stroke, of, outlines, extent };
                        self.shape(held.take(), Some(&next));
                        held = Some(next);
                    }
                }
            }
        }
        self.shape(held.take(), None);
        self.close();
        Ok(self.drawn)
    }

    fn item(&mut self, mark: Mark, item: &'a Item) -> Result<(), PdfError> {
        match item {
            Item::Text(run) => {
                let resources = self.resources;
                if let Some(face) = resources.faces.get(&run.face) {
                    let extent = text::run(self, run, face, mark);
                    self.extend(mark, extent);
                }
            }
            // Drawn by `frames`, which holds them back to put them together.
            Item::Shape(_) | Item::Drawing(_) => {}
            Item::Picture(picture) => {
                self.mark(mark);
                self.end_text();
                self.print_over(false);
                self.below.add_picture(below::extent_of_box(picture.clip));
                self.picture(picture)?;
                let extent = self.place.rect(picture.clip);
                self.extend(mark, extent);
            }
            Item::Cells(cells) => {
                self.mark(mark);
                self.end_text();
                self.print_over(false);
                let inks = self.resources.inks;
                let names = self.resources.marks.names(cells, inks);
                if inks.profile().is_some() {
                    self.below.add_grid(cells, inks);
                }
                content::grid(&mut self.drawn.content, cells, &names, self.place, inks);
                let (columns, rows) = (cells.columns as f64, cells.rows() as f64);
                let size = Size::new(cells.cell.width * columns, cells.cell.height * rows);
                let extent = self.place.rect(Rect { origin: cells.origin, size });
                self.extend(mark, extent);
            }
            Item::Tick(tick) => {
                if self.options.ticks {
                    self.drawn.ticks.push((mark, tick));
                }
            }
            Item::Blank(blank) => {
                if self.options.ticks {
                    self.drawn.blanks.push((mark, blank));
                }
            }
            Item::Link(link) => self.drawn.links.push((mark, link)),
        }
        Ok(())
    }

    /// Draws shapes that were held back; `next` is what is drawn after them.
    fn shape(&mut self, held: Option<PendingShapes<'a>>, next: Option<&PendingShapes<'a>>) {
        let Some(held) = held else { return };
        self.mark(held.mark);
        self.end_text();
        match self.resources.inks.profile() {
            Some(profile) => self.shape_in_inks(profile, &held, next),
            None => {
                let fill = held.fill.map(InkPaint::Rgb);
                let stroke = held.stroke.map(|stroke| (stroke, InkPaint::Rgb(stroke.colour)));
                self.path(fill, stroke, &held.outlines);
            }
        }
        self.extend(held.mark, held.extent);
    }

    /// Draws outlines as one path.
    pub(super) fn path(
        &mut self,
        fill: Option<InkPaint>,
        stroke: Option<(&Stroke, InkPaint)>,
        outlines: &[(&[Segment], Point)],
    ) {
        if let Some(paint) = fill.filter(|paint| self.fill != Some(*paint)) {
            self.fill = Some(paint);
            paint.write(&mut self.drawn.content, false);
        }
        if let Some((stroke, paint)) = stroke {
            self.stroke(stroke, paint);
        }
        let paint = match (fill.is_some(), stroke.is_some()) {
            (true, true) => "B\n",
            (true, false) => "f\n",
            (false, true) => "S\n",
            (false, false) => "n\n",
        };
        let place = self.place;
        let bytes = &mut self.drawn.content;
        for (outline, origin) in outlines {
            let bent = outline.iter().any(|segment| matches!(segment, Segment::Curve(..)));
            content::path(bytes, outline, if bent { BENT_DECIMALS } else { SHAPE_DECIMALS }, |p| {
                place.point(p.moved(origin.x, origin.y))
            });
        }
        bytes.extend_from_slice(paint.as_bytes());
    }

    /// Line settings, as far as they differ from those left behind.
    fn stroke(&mut self, stroke: &Stroke, paint: InkPaint) {
        let known = std::mem::replace(&mut self.stroke, stroke.clone());
        let inks = self.resources.inks;
        let bytes = &mut self.drawn.content;
        if self.stroke_paint.replace(paint) != Some(paint) {
            paint.write(bytes, true);
        }
        if known.width != stroke.width {
            number(bytes, inks.line(stroke.width).to_pt(), 3);
            bytes.extend_from_slice(b" w\n");
        }
        if known.round != stroke.round {
            bytes.extend_from_slice(if stroke.round { b"1 J\n1 j\n" } else { b"0 J\n0 j\n" });
        }
        if known.dash != stroke.dash {
            bytes.push(b'[');
            // An array of nothing but zeros is an error (ISO 32000-1, 8.4.3.6).
            if stroke.dash.iter().any(|&length| milli(length.to_pt()) > 0.0) {
                for length in &stroke.dash {
                    number(bytes, length.to_pt(), 3);
                    bytes.push(b' ');
                }
            }
            bytes.extend_from_slice(b"] 0 d\n");
        }
    }

    fn picture(&mut self, picture: &PlacedPicture) -> Result<(), PdfError> {
        let embedded =
            self.resources.pictures.get(&picture.picture).ok_or(PdfError::UnknownPicture(picture.picture))?;
        let [left, bottom, right, top] = self.place.rect(picture.area);
        let out = &mut self.drawn.content;
        out.extend_from_slice(b"q\n");
        if !picture.clip.holds(picture.area) {
            let [l, b, r, t] = self.place.rect(picture.clip);
            operands(out, [l, b, r - l, t - b], 3);
            out.extend_from_slice(b"re\nW\nn\n");
        }
        let area = [right - left, 0.0, 0.0, top - bottom, left, bottom];
        for matrix in [area, embedded.turn].into_iter().filter(|matrix| *matrix != [1.0, 0.0, 0.0, 1.0, 0.0, 0.0]) {
            operands(out, matrix, 3);
            out.extend_from_slice(b"cm\n");
        }
        out.extend_from_slice(format!("/{} Do\nQ\n", embedded.resource).as_bytes());
        Ok(())
    }

    /// The box round a shape's points, with half the line's width round it.
    fn shape_extent(&self, (outline, origin): (&[Segment], Point), stroke: Option<&Stroke>) -> Option<[f64; 4]> {
        let margin = stroke.map_or(0.0, |stroke| stroke.width.to_pt() / 2.0);
        let points = outline.iter().flat_map(|segment| segment.points());
        let round = points.map(|p| {
            let (x, y) = self.place.point(p.moved(origin.x, origin.y));
            [x - margin, y - margin, x + margin, y + margin]
        });
        round.reduce(union)
    }
}
