//! Items in drawing order as printpdf's operations, with marked content where the file is tagged.
//!
//! Grids of cells leave only a marker here; their bytes come from `content` and are put in its place by the finisher.

use super::resources::Resources;
use super::{Options, PdfError, Place, content, tags, text};
use crate::colour::Colour;
use crate::geom::{Point, Rect};
use crate::page::{
    Artifact, Booklet, Item, Link, Mark, NodeId, Page, PlacedPicture, Segment, Shape, Stroke, Structure, Tick,
};
use printpdf::{CurTransMat, DictItem, Op};
use std::collections::BTreeMap;

/// A page as it is drawn.
pub(super) struct DrawnPage<'a> {
    /// For printpdf.
    pub ops: Vec<Op>,
    /// Bytes of the grids, in the order of their markers.
    pub grids: Vec<Vec<u8>>,
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

/// Name of the marker of grid `index` of a page.
pub(super) fn grid_marker(index: usize) -> String {
    format!("Grid{index}")
}

/// Draws all pages.
pub(super) fn pages<'a>(
    booklet: &'a Booklet,
    resources: &Resources,
    options: Options,
) -> Result<Vec<DrawnPage<'a>>, PdfError> {
    booklet.pages.iter().map(|page| Pen::new(page, &booklet.structure, resources, options).page(page)).collect()
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

/// Draws one page and remembers the state it has left behind.
pub(super) struct Pen<'a, 'r> {
    structure: &'r Structure,
    resources: &'r Resources,
    options: Options,
    pub(super) place: Place,
    pub(super) drawn: DrawnPage<'a>,
    open: Option<Mark>,
    spanning: bool,
    fill: Option<Colour>,
}

impl<'a, 'r> Pen<'a, 'r> {
    fn new(page: &Page, structure: &'r Structure, resources: &'r Resources, options: Options) -> Pen<'a, 'r> {
        let drawn = DrawnPage {
            ops: Vec::new(),
            grids: Vec::new(),
            marked: Vec::new(),
            ticks: Vec::new(),
            links: Vec::new(),
            extents: BTreeMap::new(),
        };
        Pen { structure, resources, options, place: Place::on(page), drawn, open: None, spanning: false, fill: None }
    }

    fn page(mut self, page: &'a Page) -> Result<DrawnPage<'a>, PdfError> {
        // What the lines look like that were drawn last, if they were the last thing drawn.
        let mut lines: Option<(Mark, &Stroke)> = None;
        for placed in page.frames.iter().flat_map(|frame| &frame.items) {
            if !matches!(placed.item, Item::Shape(_) | Item::Tick(_) | Item::Link(_)) {
                lines = None;
            }
            match &placed.item {
                Item::Text(run) => {
                    let Some(face) = self.resources.faces.get(&run.face) else { continue };
                    let extent = text::run(&mut self, run, face, placed.mark);
                    self.extend(placed.mark, extent);
                }
                Item::Shape(shape) => {
                    let same = lines.is_some_and(|(mark, stroke)| {
                        mark == placed.mark && shape.fill.is_none() && shape.stroke.as_ref() == Some(stroke)
                    });
                    if same && !shape.outline.is_empty() {
                        self.more_lines(shape);
                    } else {
                        self.mark(placed.mark);
                        self.shape(shape);
                    }
                    let drawn = shape.stroke.as_ref().filter(|_| shape.fill.is_none() && !shape.outline.is_empty());
                    lines = drawn.map(|stroke| (placed.mark, stroke));
                    if let Some(extent) = self.shape_extent(shape) {
                        self.extend(placed.mark, extent);
                    }
                }
                Item::Picture(picture) => {
                    self.mark(placed.mark);
                    self.picture(picture)?;
                    let extent = self.place.rect(picture.clip);
                    self.extend(placed.mark, extent);
                }
                Item::Cells(cells) => {
                    self.mark(placed.mark);
                    let bytes = content::grid(cells, &self.resources.marks.names(cells), self.place);
                    if !bytes.is_empty() {
                        self.drawn.ops.push(Op::Marker { id: grid_marker(self.drawn.grids.len()) });
                        self.drawn.grids.push(bytes);
                    }
                    let size = crate::geom::Size::new(
                        cells.cell.width * cells.columns as f64,
                        cells.cell.height * cells.rows() as f64,
                    );
                    let extent = self.place.rect(Rect { origin: cells.origin, size });
                    self.extend(placed.mark, extent);
                }
                Item::Tick(tick) => {
                    if self.options.ticks {
                        self.drawn.ticks.push((placed.mark, tick));
                    }
                }
                Item::Link(link) => self.drawn.links.push((placed.mark, link)),
            }
        }
        self.close();
        Ok(self.drawn)
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
        let words_entry = ("ActualText".to_owned(), DictItem::String { data: utf16(words), literal: false });
        let mut map = BTreeMap::from([words_entry]);
        if self.options.tagged {
            map.extend([self.marked(node, Some(words.to_owned()))]);
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

    pub(super) fn fill(&mut self, colour: Colour) {
        if self.fill != Some(colour) {
            self.drawn.ops.push(Op::SetFillColor { col: rgb(colour) });
            self.fill = Some(colour);
        }
    }

    fn shape(&mut self, shape: &Shape) {
        if shape.outline.is_empty() {
            return;
        }
        if let Some(colour) = shape.fill {
            self.fill(colour);
        }
        if let Some(stroke) = &shape.stroke {
            self.stroke(stroke);
        }
        self.outline(&shape.outline);
        let paint = match (shape.fill.is_some(), shape.stroke.is_some()) {
            (true, true) => "B",
            (true, false) => "f",
            (false, true) => "S",
            (false, false) => "n",
        };
        self.drawn.ops.push(operator(paint, &[]));
        if shape.stroke.is_some() {
            self.drawn.ops.push(Op::RestoreGraphicsState);
        }
    }

    /// Adds lines to those that were drawn last, where they look the same: a grid is then one path and not hundreds.
    fn more_lines(&mut self, shape: &Shape) {
        let ops = &mut self.drawn.ops;
        ops.truncate(ops.len().saturating_sub(2));
        self.outline(&shape.outline);
        self.drawn.ops.push(operator("S", &[]));
        self.drawn.ops.push(Op::RestoreGraphicsState);
    }

    fn outline(&mut self, outline: &[Segment]) {
        for segment in outline {
            let point = |p: Point| self.place.point(p);
            let op = match *segment {
                Segment::Move(p) => {
                    let (x, y) = point(p);
                    operator("m", &[x, y])
                }
                Segment::Line(p) => {
                    let (x, y) = point(p);
                    operator("l", &[x, y])
                }
                Segment::Curve(a, b, p) => {
                    let ((ax, ay), (bx, by), (x, y)) = (point(a), point(b), point(p));
                    operator("c", &[ax, ay, bx, by, x, y])
                }
                Segment::Close => operator("h", &[]),
            };
            self.drawn.ops.push(op);
        }
    }

    /// Line settings, inside a saved state so that no line inherits another's dashes.
    fn stroke(&mut self, stroke: &Stroke) {
        let ops = &mut self.drawn.ops;
        ops.push(Op::SaveGraphicsState);
        ops.push(Op::SetOutlineColor { col: rgb(stroke.colour) });
        ops.push(operator("w", &[stroke.width.to_pt()]));
        if stroke.round {
            for key in ["J", "j"] {
                ops.push(Op::Unknown { key: key.to_owned(), value: vec![DictItem::Int(1)] });
            }
        }
        let dash: Vec<f32> = stroke.dash.iter().map(|length| milli(length.to_pt())).collect();
        // An array of nothing but zeros is an error (ISO 32000-1, 8.4.3.6).
        if dash.iter().any(|&length| length > 0.0) {
            ops.push(Op::SetLineDashPattern { dash: printpdf::LineDashPattern::new(0.0, &dash) });
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
    fn shape_extent(&self, shape: &Shape) -> Option<[f64; 4]> {
        let margin = shape.stroke.as_ref().map_or(0.0, |stroke| stroke.width.to_pt() / 2.0);
        let points = shape.outline.iter().flat_map(|segment| match *segment {
            Segment::Move(p) | Segment::Line(p) => vec![p],
            Segment::Curve(a, b, p) => vec![a, b, p],
            Segment::Close => Vec::new(),
        });
        points
            .map(|p| {
                let (x, y) = self.place.point(p);
                [x - margin, y - margin, x + margin, y + margin]
            })
            .reduce(tags::union)
    }
}
