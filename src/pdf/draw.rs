//! Items in drawing order as the bytes of each page's content, with marked content where the file is tagged.
//!
//! Written straight, because operations as printpdf and lopdf hold them cost hundreds of bytes each on the way.

use super::ink::{Inks, Paint, Use};
use super::resources::Resources;
use super::{Options, PdfError, Place, content, shop, tags, text};
use crate::colour::Colour;
use crate::cores;
use crate::geom::{Length, Point, Rect, Size};
use crate::page::{
    Artifact, Booklet, Item, Link, Mark, NodeId, Page, PlacedPicture, Segment, Shape, Stroke, Structure, Tick,
};
use std::collections::BTreeMap;

/// A page as it is drawn.
pub(super) struct DrawnPage<'a> {
    /// The page's content.
    pub content: Vec<u8>,
    /// Each piece of marked content, by its id.
    pub marked: Vec<Marked>,
    /// Fields in drawing order.
    pub ticks: Vec<(Mark, &'a Tick)>,
    /// Links in drawing order.
    pub links: Vec<(Mark, &'a Link)>,
    /// What is drawn for each node itself, in PDF's coordinates: left, bottom, right, top.
    pub extents: BTreeMap<NodeId, [f64; 4]>,
}

/// A piece of marked content: whose it is, and the words to be read instead of what it draws.
pub(super) struct Marked {
    /// The node it belongs to.
    pub node: NodeId,
    /// Instead of what is drawn.
    pub words: Option<String>,
}

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
    let pages = booklet.pages.iter().collect();
    cores::try_each(pages, |page| Pen::new(page, &booklet.structure, resources, options).page(page))
}

/// Rounds to thousandths of a point.
fn milli(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

/// Numbers with at most so many decimals, each followed by a space.
pub(super) fn operands<const N: usize>(out: &mut Vec<u8>, values: [f64; N], decimals: u32) {
    for value in values {
        content::number(out, value, decimals);
        out.push(b' ');
    }
}

/// The property list of an artifact.
fn artifact(kind: Artifact) -> &'static str {
    match kind {
        Artifact::Header => "/Type/Pagination/Subtype/Header",
        Artifact::Footer => "/Type/Pagination/Subtype/Footer",
        Artifact::Layout => "/Type/Layout",
        Artifact::Background => "/Type/Background",
    }
}

/// A text as UTF-16BE with its byte order mark (ISO 32000-1, 7.9.2.2), in hexadecimal digits.
fn utf16(out: &mut Vec<u8>, text: &str) {
    out.extend_from_slice(b"<FEFF");
    text.encode_utf16().for_each(|unit| hexadecimal(out, unit));
    out.push(b'>');
}

/// Four hexadecimal digits.
pub(super) fn hexadecimal(out: &mut Vec<u8>, value: u16) {
    const DIGITS: &[u8; 16] = b"0123456789ABCDEF";
    out.extend([12, 8, 4, 0].map(|shift| DIGITS[usize::from(value >> shift & 0xF)]));
}

/// Shapes of one look, held back until something else comes.
struct Held<'a> {
    mark: Mark,
    fill: Option<Colour>,
    stroke: Option<&'a Stroke>,
    /// Each with the place that it is measured from.
    outlines: Vec<(&'a [Segment], Point)>,
    extent: [f64; 4],
}

impl Held<'_> {
    /// Whether another shape may be drawn with these as one path. Lines may always; filled parts of one path would
    /// cancel each other where they overlap, so they must lie apart.
    fn takes(&self, mark: Mark, shape: &Shape, extent: [f64; 4]) -> bool {
        let [left, bottom, right, top] = self.extent;
        let apart = extent[0] > right || extent[2] < left || extent[1] > top || extent[3] < bottom;
        self.mark == mark
            && self.fill == shape.fill
            && self.stroke == shape.stroke.as_ref()
            && (self.fill.is_none() || apart)
    }
}

/// Draws one page and remembers the state it has left behind.
pub(super) struct Pen<'a, 'r> {
    structure: &'r Structure,
    resources: &'r Resources<'r>,
    options: Options,
    pub(super) place: Place,
    pub(super) drawn: DrawnPage<'a>,
    open: Option<Mark>,
    spanning: bool,
    fill: Option<Paint>,
    /// Line settings as they were left; whatever else is drawn leaves them alone.
    stroke: Stroke,
    /// Whether the colour of lines was set at all: for a shop it always is, because a page starts with the black of a screen.
    stroke_set: bool,
    /// Whether what is drawn is printed over what lies below it.
    over: bool,
    /// Face and size of type as they were left: resource name, points.
    face: Option<(&'r str, f64)>,
    /// The text object that is open.
    text: Option<TextObject>,
}

/// Where a text object's last line begins, as written.
#[derive(Clone, Copy)]
enum TextObject {
    /// Nothing is set in it yet.
    Begun,
    /// Of an upright line.
    Upright(f64, f64),
    /// Of a turned one.
    Turned,
}

impl<'a, 'r> Pen<'a, 'r> {
    fn new(page: &Page, structure: &'r Structure, resources: &'r Resources<'r>, options: Options) -> Pen<'a, 'r> {
        let drawn = DrawnPage {
            content: Vec::new(),
            marked: Vec::new(),
            ticks: Vec::new(),
            links: Vec::new(),
            extents: BTreeMap::new(),
        };
        // As a page starts (ISO 32000-1, 8.4.1).
        let stroke = Stroke { colour: Colour::BLACK, width: Length::pt(1.0), dash: Vec::new(), round: false };
        let (place, stroke_set) = match resources.inks {
            Inks::Screen => (Place::on(page), true),
            Inks::Shop(_) => (shop::place(page), false),
        };
        Pen {
            structure,
            resources,
            options,
            place,
            drawn,
            open: None,
            spanning: false,
            fill: None,
            stroke,
            stroke_set,
            over: false,
            face: None,
            text: None,
        }
    }

    fn page(mut self, page: &'a Page) -> Result<DrawnPage<'a>, PdfError> {
        // Shapes of one look that follow one another, to be drawn as one path.
        let mut held: Option<Held<'a>> = None;
        for placed in page.frames.iter().flat_map(|frame| &frame.items) {
            let (shapes, origin) = match &placed.item {
                Item::Shape(shape) => (std::slice::from_ref(shape), Point::default()),
                Item::Drawing(drawing) => (drawing.shapes.as_slice(), drawing.origin),
                other => {
                    self.shape(held.take());
                    self.item(placed.mark, other)?;
                    continue;
                }
            };
            for shape in shapes {
                let (fill, stroke) = (shape.fill, shape.stroke.as_ref());
                let outline = (shape.outline.as_slice(), origin);
                let Some(extent) = self.shape_extent(outline, stroke) else { continue };
                match &mut held {
                    Some(held) if held.takes(placed.mark, shape, extent) => {
                        held.outlines.push(outline);
                        held.extent = tags::union(held.extent, extent);
                    }
                    Some(_) | None => {
                        let next = Held { mark: placed.mark, fill, stroke, outlines: vec![outline], extent };
                        self.shape(held.replace(next));
                    }
                }
            }
        }
        self.shape(held.take());
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
            // Drawn by `page`, which holds them back to put them together.
            Item::Shape(_) | Item::Drawing(_) => {}
            Item::Picture(picture) => {
                self.mark(mark);
                self.end_text();
                self.print_over(false);
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
            Item::Link(link) => self.drawn.links.push((mark, link)),
        }
        Ok(())
    }

    /// Opens the marked content that the next item belongs to, unless it is open already.
    pub(super) fn mark(&mut self, mark: Mark) {
        if !self.options.tagged || self.open == Some(mark) {
            return;
        }
        self.close();
        match mark {
            Mark::Node(node) => {
                let id = self.marked(node, None);
                let tag = tags::standard_type(self.structure.get(node).role);
                self.begin(tag, |out| out.extend_from_slice(format!("/MCID {id}").as_bytes()));
            }
            Mark::Artifact(kind) => self.begin("Artifact", |out| out.extend_from_slice(artifact(kind).as_bytes())),
        }
        self.open = Some(mark);
    }

    /// Opens a span with words of its own. It never lies inside other marked content: readers are known to lose count
    /// there.
    pub(super) fn span(&mut self, mark: Mark, words: &str) {
        let Mark::Node(node) = mark else { return self.mark(mark) };
        self.close();
        let words = super::fonts::plain(words).into_owned();
        let id = self.options.tagged.then(|| self.marked(node, Some(words.clone())));
        self.begin("Span", |out| {
            out.extend_from_slice(b"/ActualText ");
            utf16(out, &words);
            if let Some(id) = id {
                out.extend_from_slice(format!("/MCID {id}").as_bytes());
            }
        });
        self.spanning = true;
    }

    /// Ties content to its node; gives the number of the piece.
    fn marked(&mut self, node: NodeId, words: Option<String>) -> usize {
        self.drawn.marked.push(Marked { node, words });
        self.drawn.marked.len() - 1
    }

    /// Sets type in this face and size; begins a text object unless one is open.
    pub(super) fn face(&mut self, resource: &'r str, size: f64) {
        let out = &mut self.drawn.content;
        if self.text.is_none() {
            out.extend_from_slice(b"BT\n");
            self.text = Some(TextObject::Begun);
        }
        // Face and size belong to the graphics state: they outlast a text object.
        if self.face.replace((resource, size)) != Some((resource, size)) {
            out.push(b'/');
            out.extend_from_slice(resource.as_bytes());
            out.push(b' ');
            content::number(out, size, text::SIZE_DECIMALS);
            out.extend_from_slice(b" Tf\n");
        }
    }

    /// Where the next glyphs stand, and which way they run.
    pub(super) fn text_at(&mut self, (x, y): (f64, f64), (sin, cos): (f64, f64)) {
        const DECIMALS: u32 = 3;
        let out = &mut self.drawn.content;
        let upright = (sin, cos) == (0.0, 1.0);
        let (x, y) = (content::written(x, DECIMALS), content::written(y, DECIMALS));
        let from = match self.text {
            Some(TextObject::Upright(from_x, from_y)) => Some((from_x, from_y)),
            Some(TextObject::Begun) => Some((0.0, 0.0)),
            Some(TextObject::Turned) | None => None,
        };
        match from.filter(|_| upright) {
            // Steps are written as exactly as places, so that nothing adds up.
            Some((from_x, from_y)) => {
                operands(out, [x - from_x, y - from_y], DECIMALS);
                out.extend_from_slice(b"Td\n");
            }
            None => {
                operands(out, [cos, sin, -sin, cos], 6);
                operands(out, [x, y], DECIMALS);
                out.extend_from_slice(b"Tm\n");
            }
        }
        self.text = Some(if upright { TextObject::Upright(x, y) } else { TextObject::Turned });
    }

    /// Ends the text object that is open: nothing but type, its colours and its sizes may stand in one.
    fn end_text(&mut self) {
        if self.text.take().is_some() {
            self.drawn.content.extend_from_slice(b"ET\n");
        }
    }

    fn begin(&mut self, tag: &str, properties: impl FnOnce(&mut Vec<u8>)) {
        let out = &mut self.drawn.content;
        out.push(b'/');
        out.extend_from_slice(tag.as_bytes());
        out.extend_from_slice(b" <<");
        properties(out);
        out.extend_from_slice(b">> BDC\n");
    }

    /// Closes what is open.
    pub(super) fn close(&mut self) {
        self.end_text();
        let spanning = std::mem::take(&mut self.spanning);
        if self.open.take().is_some() || spanning {
            self.drawn.content.extend_from_slice(b"EMC\n");
        }
    }

    fn extend(&mut self, mark: Mark, extent: [f64; 4]) {
        if let Mark::Node(node) = mark {
            let known = self.drawn.extents.entry(node).or_insert(extent);
            *known = tags::union(*known, extent);
        }
    }

    /// The colour of letters. Those of black ink alone are printed over what lies below them, so that no white rim shows
    /// where the plates are a little off.
    pub(super) fn fill_type(&mut self, colour: Colour) {
        let paint = self.resources.inks.paint(colour, Use::Type);
        self.print_over(paint.is_black_ink());
        if self.fill != Some(paint) {
            paint.write(&mut self.drawn.content, false);
            self.fill = Some(paint);
        }
    }

    /// Whether what comes next is printed over what lies below it, or takes its place.
    fn print_over(&mut self, over: bool) {
        if std::mem::replace(&mut self.over, over) != over {
            let state = if over { shop::OVER } else { shop::INSTEAD };
            self.drawn.content.extend_from_slice(format!("/{state} gs\n").as_bytes());
        }
    }

    /// Draws shapes that were held back.
    fn shape(&mut self, held: Option<Held<'_>>) {
        let Some(Held { mark, fill, stroke, outlines, extent }) = held else { return };
        self.mark(mark);
        self.end_text();
        self.print_over(false);
        if let Some(colour) = fill {
            self.fill_shape(colour);
        }
        if let Some(stroke) = stroke {
            self.stroke(stroke);
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
        self.extend(mark, extent);
    }

    /// The colour of the next shape's area.
    fn fill_shape(&mut self, colour: Colour) {
        let paint = self.resources.inks.paint(colour, Use::Area);
        if self.fill != Some(paint) {
            self.fill = Some(paint);
            paint.write(&mut self.drawn.content, false);
        }
    }

    /// Line settings, as far as they differ from those left behind.
    fn stroke(&mut self, stroke: &Stroke) {
        let known = std::mem::replace(&mut self.stroke, stroke.clone());
        let colour_set = std::mem::replace(&mut self.stroke_set, true);
        let inks = self.resources.inks;
        let bytes = &mut self.drawn.content;
        if known.colour != stroke.colour || !colour_set {
            inks.paint(stroke.colour, Use::Line).write(bytes, true);
        }
        if known.width != stroke.width {
            content::number(bytes, inks.line(stroke.width).to_pt(), 3);
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
                    content::number(bytes, length.to_pt(), 3);
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
        round.reduce(tags::union)
    }
}
