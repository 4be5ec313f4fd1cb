//! The narrow waist: a booklet as pages of placed items. Knows no file format and no trade.
//!
//! Everything above ends in a [`Booklet`], everything below starts from one. The logical structure travels inside:
//! every placed item carries a [`Mark`], either a node of [`Structure`] or a kind of artifact.
//!
//! Long, and one subject: the types that both halves of the program share, and nothing that works with them.

pub mod dump;

use crate::catalogue::{FrameName, SectionName};
use crate::colour::Colour;
use crate::geom::{Length, Point, Rect, Size};
use std::ops::Range;
use std::sync::Arc;

/// A finished layout.
#[derive(Clone, Debug, Default)]
pub struct Booklet {
    /// Title, author and the like.
    pub about: AboutBooklet,
    /// Pages in reading order.
    pub pages: Vec<Page>,
    /// Outline in reading order; levels from 1, never jumping by more than one downwards.
    pub outline: Vec<OutlineEntry>,
    /// Logical structure.
    pub structure: Structure,
    /// Pictures referred to by [`Item::Picture`].
    pub pictures: Vec<PictureFile>,
    /// Room kept on every page for a line that says whose copy it is.
    pub(crate) licence_line: Option<LicenceLine>,
}

/// Room for one line of small type, in the middle above the foot of every page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct LicenceLine {
    /// Its size.
    pub(crate) size: Size,
    /// From the foot of the trimmed page to its lower edge.
    pub(crate) foot: Length,
}

/// What a library or shop wants to know; all of it comes from the project.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct AboutBooklet {
    /// Title.
    pub(crate) title: String,
    /// Maker.
    pub(crate) author: String,
    /// One sentence.
    pub subject: String,
    /// Words to find it by.
    pub(crate) keywords: Vec<String>,
    /// Language tag.
    pub language: String,
    /// Rights in one sentence.
    pub rights: String,
    /// Version of the pattern.
    pub(crate) version: String,
    /// Year, month, day.
    pub(crate) date: (u16, u8, u8),
    /// What the program has to know to make the file once more: names of choices, and what was chosen. The first of them is
    /// the program's version. Empty: the file does not say.
    pub(crate) made_with: Vec<(String, String)>,
}

/// One page.
#[derive(Clone, Debug)]
pub struct Page {
    /// Trimmed size.
    pub trim: Size,
    /// Bleed on every side; zero for home files.
    pub(crate) bleed: Length,
    /// The folio as printed; empty where none is.
    pub(crate) label: String,
    /// Frames, each an area whose items must stay inside it.
    pub frames: Vec<Frame>,
}

/// A named area of a page and what stands in it, in drawing order.
#[derive(Clone, Debug)]
pub struct Frame {
    /// Which part of the page it is.
    pub name: FrameName,
    /// Where it is.
    pub area: Rect,
    /// What stands in it.
    pub items: Vec<PlacedItem>,
}

/// An item with its logical role.
#[derive(Clone, Debug)]
pub struct PlacedItem {
    /// Structure node or artifact.
    pub mark: Mark,
    /// What is drawn.
    pub item: Item,
}

/// Where an item belongs logically.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Content of this node.
    Node(NodeId),
    /// Not content.
    Artifact(Artifact),
}

/// Kinds of artifact (ISO 32000-1, 14.8.2.2).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Artifact {
    /// Running head.
    Header,
    /// Folio.
    Footer,
    /// Rules, tints, grid: layout only.
    Layout,
    /// A whole-page background.
    Background,
}

/// The eight kinds of item.
#[derive(Clone, Debug)]
pub enum Item {
    /// A run of shaped glyphs of one face, size and colour.
    Text(TextRun),
    /// A filled or stroked outline.
    Shape(Shape),
    /// Many outlines that move as one.
    Drawing(Drawing),
    /// A picture in a box.
    Picture(PlacedPicture),
    /// A grid of coloured cells with marks: by far the largest thing on paper, so it has an item of its own.
    Cells(Cells),
    /// A box that can be ticked on a screen; the empty box is drawn as a Shape, this is only the field.
    Tick(Tick),
    /// A line that can be filled in on a screen; the line itself is drawn as a Shape, this is only the field.
    Blank(Blank),
    /// An area that leads somewhere.
    Link(Link),
}

impl Item {
    /// The text, if it is text.
    pub fn as_text(&self) -> Option<&TextRun> {
        match self {
            Item::Text(run) => Some(run),
            Item::Shape(_)
            | Item::Drawing(_)
            | Item::Picture(_)
            | Item::Cells(_)
            | Item::Tick(_)
            | Item::Blank(_)
            | Item::Link(_) => None,
        }
    }
}

/// Which face of the font book.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FaceId(pub u16);

/// Shaped text: origin is the left end of the baseline.
#[derive(Clone, Debug, PartialEq)]
pub struct TextRun {
    /// Face.
    pub(crate) face: FaceId,
    /// Size (em).
    pub size: Length,
    /// Colour.
    pub colour: Colour,
    /// Left end of the baseline.
    pub origin: Point,
    /// Glyphs in visual order; shared by copies of the run, because pages are made up more than once.
    pub glyphs: Arc<Vec<Glyph>>,
    /// The text the glyphs stand for.
    pub text: String,
    /// Text that a reader is to speak or copy instead, where it differs (a hyphen added at a line's end: the empty string).
    pub actual: Option<String>,
    /// The language of its words, where it is not that of what stands round it.
    pub(crate) language: Option<String>,
    /// Angle in degrees, anticlockwise, about the origin. Nearly always 0.
    pub turn: f64,
}

impl TextRun {
    /// Ends the run with a space that takes no room, its face's glyph `id`: what follows is read apart from it.
    pub(crate) fn keep_apart(&mut self, id: u16) {
        let start = self.text.len();
        self.text.push(' ');
        let cluster = start..self.text.len();
        let nothing = Length::ZERO;
        Arc::make_mut(&mut self.glyphs).push(Glyph { id, advance: nothing, dx: nothing, dy: nothing, cluster });
    }
}

/// One glyph.
#[derive(Clone, Debug, PartialEq)]
pub struct Glyph {
    /// Glyph id in the whole face.
    pub(crate) id: u16,
    /// How far the pen moves.
    pub advance: Length,
    /// Shift right of the pen.
    pub(crate) dx: Length,
    /// Shift up from the baseline.
    pub(crate) dy: Length,
    /// Bytes of the run's text it stands for; several glyphs of one cluster share a range.
    pub cluster: Range<usize>,
}

/// One step of an outline; y grows downwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// Start here.
    Move(Point),
    /// Straight to.
    Line(Point),
    /// Cubic Bézier with two control points to the end point.
    Curve(Point, Point, Point),
    /// Back to the start of this part.
    Close,
}

impl Segment {
    /// Its points and control points, in order.
    pub(crate) fn points(self) -> impl Iterator<Item = Point> {
        let points = match self {
            Segment::Move(p) | Segment::Line(p) => [None, None, Some(p)],
            Segment::Curve(a, b, p) => [Some(a), Some(b), Some(p)],
            Segment::Close => [None; 3],
        };
        points.into_iter().flatten()
    }
}

/// A filled or stroked outline.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Shape {
    /// The outline.
    pub outline: Vec<Segment>,
    /// Fill colour (non-zero winding rule), if filled.
    pub fill: Option<Colour>,
    /// Stroke, if stroked; over the fill.
    pub stroke: Option<Stroke>,
}

/// A figure or a panel: shapes from the bottom up, measured from a place. They are shared, because they are many and a page
/// is made up more than once.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Where the shapes' (0, 0) lies.
    pub(crate) origin: Point,
    /// The shapes.
    pub(crate) shapes: Arc<Vec<Shape>>,
    /// Which of them are a picture, of knots and cords and wood, and no lines that explain something.
    pub(crate) picture: Range<usize>,
}

/// A line's look.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// Colour.
    pub colour: Colour,
    /// Width.
    pub width: Length,
    /// Dashes and gaps; empty for a full line.
    pub dash: Vec<Length>,
    /// Round ends and joins instead of square ones.
    pub round: bool,
}

/// A picture's bytes, ready to embed.
#[derive(Clone, Debug)]
pub struct PictureFile {
    /// The encoded file (JPEG or PNG).
    pub bytes: Arc<Vec<u8>>,
    /// Width and height in pixels as they are shown.
    pub pixels: (u32, u32),
}

/// A picture in a box.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedPicture {
    /// Index into [`Booklet::pictures`].
    pub picture: usize,
    /// Where the whole picture goes, cut away or not.
    pub area: Rect,
    /// What of it shows.
    pub clip: Rect,
}

/// A grid of cells.
#[derive(Clone, Debug, PartialEq)]
pub struct Cells {
    /// Top left corner of the first cell.
    pub origin: Point,
    /// Size of one cell.
    pub cell: Size,
    /// Columns.
    pub columns: usize,
    /// Index into `inks` for each cell in reading order; `None` draws nothing.
    pub cells: Vec<Option<u8>>,
    /// What cells can look like.
    pub inks: Vec<CellInk>,
}

impl Cells {
    /// How many rows.
    pub fn rows(&self) -> usize {
        self.cells.len() / self.columns.max(1)
    }
}

/// The look of one kind of cell.
#[derive(Clone, Debug, PartialEq)]
pub struct CellInk {
    /// Ground, if any.
    pub ground: Option<Colour>,
    /// Outline of the mark, already to scale, centred on (0, 0); filled (non-zero winding).
    pub mark: Arc<Vec<Segment>>,
    /// Colour of the mark.
    pub(crate) colour: Colour,
}

/// A box to tick on a screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// Where.
    pub area: Rect,
    /// The field's name: equal names are one field shown in several places.
    pub field: String,
    /// What a screen reader says; a row's sentence is shared by all its boxes.
    pub(crate) label: Arc<str>,
    /// Colour of the tick.
    pub(crate) colour: Colour,
}

/// A line to be typed into on a screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Blank {
    /// Where the words stand.
    pub(crate) area: Rect,
    /// The field's name, unique in the booklet.
    pub(crate) field: String,
    /// What a screen reader says.
    pub(crate) label: String,
    /// Size of what is typed.
    pub(crate) size: Length,
}

/// An area that leads somewhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// Where.
    pub(crate) area: Rect,
    /// Whereto.
    pub(crate) target: Target,
    /// What a screen reader says.
    pub(crate) label: String,
}

/// Where a link leads.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Target {
    /// A page (from 0) and a height on it.
    Page(usize, Length),
    /// A section, as long as its page is not known; no finished booklet has one.
    Section(SectionName),
    /// An address.
    Address(String),
}

/// An entry of the outline.
#[derive(Clone, Debug, PartialEq)]
pub struct OutlineEntry {
    /// From 1.
    pub level: u8,
    /// Words.
    pub title: String,
    /// Page, from 0.
    pub(crate) page: usize,
    /// Height on it.
    pub(crate) y: Length,
}

/// A node of the structure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NodeId(pub usize);

/// The logical structure: a tree in an arena. Reading order is the order in which children were added; a node's own
/// content comes before its children, in page order and then drawing order.
#[derive(Clone, Debug, Default)]
pub struct Structure {
    nodes: Vec<Node>,
}

/// One node.
#[derive(Clone, Debug)]
pub struct Node {
    /// What it is.
    pub role: Role,
    /// Its parent; `None` only for the root.
    pub parent: Option<NodeId>,
    /// Children in reading order.
    pub(crate) children: Vec<NodeId>,
    /// Words instead of a figure.
    pub(crate) alt: Option<String>,
    /// Words spoken instead of what is drawn.
    pub(crate) actual: Option<String>,
    /// Language, where it is not the document's.
    pub(crate) language: Option<String>,
}

/// Roles, each with an equal among the standard structure types (ISO 32000-1, 14.8.4).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// The whole.
    Document,
    /// A section.
    Section,
    /// A heading: 1 is the title, 2 a section's, 3 and 4 what stands inside one.
    Heading(u8),
    /// A paragraph.
    Paragraph,
    /// What stands apart from the text round it, such as a caution.
    Note,
    /// A stretch inside a paragraph.
    Span,
    /// A list; `true` when it is numbered.
    List(bool),
    /// An entry of a list.
    ListItem,
    /// Its number, bullet or box; of a note, its signal word.
    ListLabel,
    /// Its text.
    ListBody,
    /// A table.
    Table,
    /// A row of a table.
    TableRow,
    /// A cell that heads a column.
    ColumnHead,
    /// A cell that heads a row.
    RowHead,
    /// A cell.
    TableCell,
    /// A figure.
    Figure,
    /// Its caption.
    Caption,
    /// A link.
    Link,
    /// A field.
    Form,
    /// The list of contents.
    Contents,
    /// One line of it.
    ContentsItem,
}

impl Structure {
    /// Adds a node under `parent`; the first one added is the root and has none.
    pub(crate) fn add(&mut self, role: Role, parent: Option<NodeId>) -> NodeId {
        let id = NodeId(self.nodes.len());
        self.nodes.push(Node { role, parent, children: Vec::new(), alt: None, actual: None, language: None });
        if let Some(parent) = parent {
            self.nodes[parent.0].children.push(id);
        }
        id
    }
    /// Adds a node right before another one, below the same parent. The other one is not the root.
    pub(crate) fn add_before(&mut self, role: Role, next: NodeId) -> NodeId {
        let parent = self.get(next).parent;
        let id = self.add(role, parent);
        if let Some(parent) = parent {
            let children = &mut self.nodes[parent.0].children;
            children.pop();
            let at = children.iter().position(|child| *child == next).unwrap_or(children.len());
            children.insert(at, id);
        }
        id
    }
    /// Makes a node the last child of its parent.
    pub(crate) fn move_to_end(&mut self, id: NodeId) {
        if let Some(parent) = self.get(id).parent {
            let children = &mut self.nodes[parent.0].children;
            children.retain(|child| *child != id);
            children.push(id);
        }
    }
    /// A node.
    pub fn get(&self, id: NodeId) -> &Node {
        &self.nodes[id.0]
    }
    /// A node to be changed.
    pub(crate) fn get_mut(&mut self, id: NodeId) -> &mut Node {
        &mut self.nodes[id.0]
    }
    /// The root.
    pub(crate) fn root(&self) -> Option<NodeId> {
        (!self.nodes.is_empty()).then_some(NodeId(0))
    }
}
