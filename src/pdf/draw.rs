//! Items in drawing order as printpdf's operations, with marked content where the file is tagged.
//!
//! Grids of cells and shapes leave only a marker here; their bytes come from `content` and are put in its place
//! by the finisher.

use super::ink::{Inks, Paint, Use};
use super::resources::Resources;
use super::{Options, PdfError, Place, content, shop, tags, text};
use crate::colour::Colour;
use crate::cores;
use crate::geom::{Length, Rect, Size};
use crate::page::{
    Artifact, Booklet, Item, Link, Mark, NodeId, Page, PlacedPicture, Segment, Shape, Stroke, Structure, Tick,
};
use printpdf::{CurTransMat, DictItem, Op};
use std::collections::BTreeMap;

/// A page as it is drawn.
pub(super) struct DrawnPage<'a> {
    /// For printpdf.
    pub ops: Vec<Op>,
    /// Bytes of grids and shapes, in the order of their markers.
    pub ready: Vec<Vec<u8>>,
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

/// Name of the marker of the bytes `index` of a page.
pub(super) fn marker(index: usize) -> String {
    format!("Ready{index}")
}

/// Draws all pages.
pub(super) fn pages<'a>(
    booklet: &'a Booklet,
    resources: &Resources<'_>,
    options: Options,
) -> Result<Vec<DrawnPage<'a>>, PdfError> {
    let pages = booklet.pages.iter().collect();
    cores::try_each(pages, |page| Pen::new(page, &booklet.structure, resources, options).page(page))
}

/// Rounds to thousandths of a point, so that the shortest form of the number has no more decimals.
pub(super) fn milli(value: f64) -> f32 {
    ((value * 1000.0).round() / 1000.0) as f32
}

/// An operator that printpdf has no name for.
pub(super) fn operator(key: &str, operands: &[f64]) -> Op {
    Op::Unknown { key: key.to_owned(), value: operands.iter().map(|&value| DictItem::Real(milli(value))).collect() }
}

/// An operator that takes a name.
fn named(key: &str, name: &str) -> Op {
    Op::Unknown { key: key.to_owned(), value: vec![DictItem::Name(name.as_bytes().to_vec())] }
}

/// A colour for printpdf, rounded like those of the grids.
pub(super) fn rgb(colour: Colour) -> printpdf::Color {
    let channel = |value: u8| (f64::from(value) / 255.0 * 10_000.0).round() as f32 / 10_000.0;
    printpdf::Color::Rgb(printpdf::Rgb::new(channel(colour.r), channel(colour.g), channel(colour.b), None))
}

/// The property list of an artifact.
fn artifact(kind: Artifact) -> BTreeMap<String, DictItem> {
    let (kind, subtype) = match kind {
        Artifact::Header => ("Pagination", Some("Header")),
        Artifact::Footer => ("Pagination", Some("Footer")),
        Artifact::Layout => ("Layout", None),
        Artifact::Background => ("Background", None),
    };
    let entry = |key: &str, value: &str| (key.to_owned(), DictItem::Name(value.as_bytes().to_vec()));
    std::iter::once(entry("Type", kind)).chain(subtype.map(|subtype| entry("Subtype", subtype))).collect()
}

/// UTF-16BE with its byte order mark (ISO 32000-1, 7.9.2.2).
fn utf16(text: &str) -> Vec<u8> {
    let mut out = vec![0xFE, 0xFF];
    out.extend(text.encode_utf16().flat_map(u16::to_be_bytes));
    out
}

/// Shapes of one look, held back until something else comes.
struct Held<'a> {
    mark: Mark,
    fill: Option<Colour>,
    stroke: Option<&'a Stroke>,
    outline: Vec<Segment>,
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
}

impl<'a, 'r> Pen<'a, 'r> {
    fn new(page: &Page, structure: &'r Structure, resources: &'r Resources<'r>, options: Options) -> Pen<'a, 'r> {
        let drawn = DrawnPage {
            ops: Vec::new(),
            ready: Vec::new(),
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
        let (open, spanning, fill, over) = (None, false, None, false);
        Pen { structure, resources, options, place, drawn, open, spanning, fill, stroke, stroke_set, over }
    }

    fn page(mut self, page: &'a Page) -> Result<DrawnPage<'a>, PdfError> {
        // Shapes of one look that follow one another, to be drawn as one path.
        let mut held: Option<Held<'a>> = None;
        for placed in page.frames.iter().flat_map(|frame| &frame.items) {
            if let Item::Shape(shape) = &placed.item {
                let Some(extent) = self.shape_extent(&shape.outline, shape.stroke.as_ref()) else { continue };
                match &mut held {
                    Some(held) if held.takes(placed.mark, shape, extent) => {
                        held.outline.extend_from_slice(&shape.outline);
                        held.extent = tags::union(held.extent, extent);
                    }
                    Some(_) | None => {
                        let (fill, stroke) = (shape.fill, shape.stroke.as_ref());
                        let next = Held { mark: placed.mark, fill, stroke, outline: shape.outline.clone(), extent };
                        self.shape(held.replace(next));
                    }
                }
                continue;
            }
            self.shape(held.take());
            self.item(placed.mark, &placed.item)?;
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
            Item::Shape(_) => {}
            Item::Picture(picture) => {
                self.mark(mark);
                self.print_over(false);
                self.picture(picture)?;
                let extent = self.place.rect(picture.clip);
                self.extend(mark, extent);
            }
            Item::Cells(cells) => {
                self.mark(mark);
                self.print_over(false);
                let inks = self.resources.inks;
                let bytes = content::grid(cells, &self.resources.marks.names(cells, inks), self.place, inks);
                self.ready(bytes);
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

    /// Leaves a marker for bytes that are ready.
    fn ready(&mut self, bytes: Vec<u8>) {
        if !bytes.is_empty() {
            self.drawn.ops.push(Op::Marker { id: marker(self.drawn.ready.len()) });
            self.drawn.ready.push(bytes);
        }
    }

    /// Opens the marked content that the next item belongs to, unless it is open already.
    pub(super) fn mark(&mut self, mark: Mark) {
        if !self.options.tagged || self.open == Some(mark) {
            return;
        }
        self.close();
        let (tag, map) = match mark {
            Mark::Node(node) => {
                (tags::standard_type(self.structure.get(node).role), BTreeMap::from([self.marked(node, None)]))
            }
            Mark::Artifact(kind) => ("Artifact", artifact(kind)),
        };
        self.begin(tag, map);
        self.open = Some(mark);
    }

    /// Opens a span with words of its own. It never lies inside other marked content: readers are known to lose count
    /// there.
    pub(super) fn span(&mut self, mark: Mark, words: &str) {
        let Mark::Node(node) = mark else { return self.mark(mark) };
        self.close();
        let words = super::fonts::plain(words);
        let words_entry = ("ActualText".to_owned(), DictItem::String { data: utf16(&words), literal: false });
        let mut map = BTreeMap::from([words_entry]);
        if self.options.tagged {
            map.extend([self.marked(node, Some(words))]);
        }
        self.begin("Span", map);
        self.spanning = true;
    }

    /// The entry that ties content to its node.
    fn marked(&mut self, node: NodeId, words: Option<String>) -> (String, DictItem) {
        let id = self.drawn.marked.len();
        self.drawn.marked.push(Marked { node, words });
        ("MCID".to_owned(), DictItem::Int(id as i64))
    }

    fn begin(&mut self, tag: &str, map: BTreeMap<String, DictItem>) {
        let properties = DictItem::Dict { map };
        self.drawn.ops.push(Op::BeginMarkedContentWithProperties { tag: tag.to_owned(), properties });
    }

    /// Closes what is open.
    pub(super) fn close(&mut self) {
        let spanning = std::mem::take(&mut self.spanning);
        if self.open.take().is_some() || spanning {
            self.drawn.ops.push(Op::EndMarkedContent);
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
            self.drawn.ops.push(Op::SetFillColor { col: paint.for_printpdf() });
            self.fill = Some(paint);
        }
    }

    /// Whether what comes next is printed over what lies below it, or takes its place.
    fn print_over(&mut self, over: bool) {
        if std::mem::replace(&mut self.over, over) != over {
            self.drawn.ops.push(named("gs", if over { shop::OVER } else { shop::INSTEAD }));
        }
    }

    /// Draws shapes that were held back.
    fn shape(&mut self, held: Option<Held<'_>>) {
        let Some(Held { mark, fill, stroke, outline, extent }) = held else { return };
        self.mark(mark);
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
        let bytes = self.shapes();
        content::path(bytes, &outline, SHAPE_DECIMALS, |p| place.point(p));
        bytes.extend_from_slice(paint.as_bytes());
        self.extend(mark, extent);
    }

    /// Where the bytes of shapes go: as printpdf's operations each segment would cost hundreds of bytes on the way.
    /// Shapes that follow one another share one marker.
    fn shapes(&mut self) -> &mut Vec<u8> {
        let last = self.drawn.ready.len().checked_sub(1).map(marker);
        let goes_on = matches!((self.drawn.ops.last(), &last), (Some(Op::Marker { id }), Some(last)) if id == last);
        if !goes_on {
            self.drawn.ops.push(Op::Marker { id: marker(self.drawn.ready.len()) });
            self.drawn.ready.push(Vec::new());
        }
        let at = self.drawn.ready.len() - 1;
        &mut self.drawn.ready[at]
    }

    /// The colour of the next shape's area.
    fn fill_shape(&mut self, colour: Colour) {
        let paint = self.resources.inks.paint(colour, Use::Area);
        if self.fill != Some(paint) {
            self.fill = Some(paint);
            paint.write(self.shapes(), false);
        }
    }

    /// Line settings, as far as they differ from those left behind.
    fn stroke(&mut self, stroke: &Stroke) {
        let known = std::mem::replace(&mut self.stroke, stroke.clone());
        let colour_set = std::mem::replace(&mut self.stroke_set, true);
        let inks = self.resources.inks;
        let bytes = self.shapes();
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
        let matrix = |m: [f64; 6]| Op::SetTransformationMatrix { matrix: CurTransMat::Raw(m.map(milli)) };
        let ops = &mut self.drawn.ops;
        ops.push(Op::SaveGraphicsState);
        if !picture.clip.holds(picture.area) {
            let [l, b, r, t] = self.place.rect(picture.clip);
            ops.push(operator("re", &[l, b, r - l, t - b]));
            ops.push(operator("W", &[]));
            ops.push(operator("n", &[]));
        }
        ops.push(matrix([right - left, 0.0, 0.0, top - bottom, left, bottom]));
        if embedded.turn != [1.0, 0.0, 0.0, 1.0, 0.0, 0.0] {
            ops.push(matrix(embedded.turn));
        }
        ops.push(named("Do", &embedded.resource));
        ops.push(Op::RestoreGraphicsState);
        Ok(())
    }

    /// The box round a shape's points, with half the line's width round it.
    fn shape_extent(&self, outline: &[Segment], stroke: Option<&Stroke>) -> Option<[f64; 4]> {
        let margin = stroke.map_or(0.0, |stroke| stroke.width.to_pt() / 2.0);
        let points = outline.iter().flat_map(|segment| segment.points());
        let round = points.map(|p| {
            let (x, y) = self.place.point(p);
            [x - margin, y - margin, x + margin, y + margin]
        });
        round.reduce(tags::union)
    }
}
