//! What is said, in order; no positions, no fonts, no pages.
//!
//! `write` turns a checked project, its workings and the words of a language into a [`Manuscript`]; `compose` turns that
//! into pages. Styles are named here and looked up in the edition.
//!
//! Long, and one subject: the types of a manuscript, and nothing that works with them.

mod before;
pub mod changes;
mod chart;
mod class;
mod colourway_words;
mod colourways;
mod context;
mod cover;
mod cutting;
pub mod dump;
mod finishing;
mod gauge;
mod glance;
mod hanging;
mod hazard;
pub mod listing;
pub mod long_row;
mod materials;
pub mod options;
mod own_words;
pub mod pasted;
mod plain_text;
pub mod record;
mod rows;
mod setting_up;
mod shop;
pub mod step_pictures;
mod swatch;
mod symbol_words;
mod techniques;
mod using;
mod width_check;
pub mod write;

pub use colourways::lettered;
pub use plain_text::licence;
pub use shop::shop;

pub use crate::markup::{Inline, LinkTarget, Text, plain};

use crate::catalogue::{SectionName, StyleName};
use crate::colour::Colour;
use crate::page::{AboutBooklet, PictureFile};
use long_row::LongRow;

/// Everything one edition says.
#[derive(Clone, Debug)]
pub struct Manuscript {
    /// Title, author and the like.
    pub about: AboutBooklet,
    /// Words for running heads and the like.
    pub furniture: Furniture,
    /// Sections in the edition's order.
    pub sections: Vec<Section>,
    /// Pictures referred to by number.
    pub pictures: Vec<PictureFile>,
}

/// Words that stand on every page, and words that only make-up can place.
#[derive(Clone, Debug, Default)]
pub struct Furniture {
    /// Running head, inner side: the title.
    pub head: String,
    /// Language of the yarns' names where it is not the booklet's.
    pub names_language: Option<String>,
    /// Language of the title where it is not the booklet's.
    pub title_language: Option<String>,
    /// Running head, outer side: the maker.
    pub head_side: String,
    /// Foot line: version and date.
    pub foot: String,
    /// Template of the folio, with `{page}` and `{pages}`.
    pub folio: String,
    /// Title of the list of contents.
    pub contents: String,
    /// Put after a table's caption where it goes on: "(continued)".
    pub continued: String,
    /// Template of a page's name, "page {page}": spoken for the bare number in the list of contents.
    pub page: String,
    /// Template of what is said of a line to write on: "Fill in: {what}".
    pub blank: String,
    /// What the two ends of the ruler are called: 50 mm and 2 in.
    pub ruler: [String; 2],
    /// Title of the pages to write on.
    pub notes: String,
    /// What they are for, in a sentence.
    pub notes_use: String,
}

/// A section.
#[derive(Clone, Debug)]
pub struct Section {
    /// Its name in layout files.
    pub id: SectionName,
    /// Its heading; `None`: it has none (the cover).
    pub title: Option<String>,
    /// What it says.
    pub blocks: Vec<Block>,
}

/// One thing said.
#[derive(Clone, Debug)]
pub enum Block {
    /// A heading inside a section: level 2 or 3 (the section's own title is level 1).
    Heading(u8, Text),
    /// A paragraph in a style.
    Paragraph(StyleName, Text),
    /// Numbered steps. Cautions stand before the step they protect and are never parted from it.
    Steps(Vec<Step>),
    /// A list with bullets.
    Bullets(Vec<Text>),
    /// A list with boxes to tick.
    Ticks(Vec<TickLine>),
    /// A caution: signal word and text.
    Caution(Caution),
    /// A table.
    Table(Table),
    /// A drawn figure from layouts/figures, by name.
    Figure(FigureBlock),
    /// A dimensioned drawing of this panel hung up.
    HungPanel(HungPanel),
    /// The fleece of a panel whose lower edge is shaped, with its measures.
    Fleece(FleeceDrawing),
    /// The panel as knotted.
    AsKnotted(AsKnotted),
    /// The panel as knotted several times, small, side by side: its colourways.
    Panels(Vec<AsKnotted>),
    /// A picture file.
    Picture(PictureBlock),
    /// Pairs of a name and a value: the table "at a glance".
    Facts(Vec<(Text, Text)>),
    /// Boxes to tape a snip of each yarn into.
    Snips(Vec<Snip>),
    /// The chart: cut into sheets by `compose/tile.rs`.
    Chart(Box<ChartBlock>),
    /// The rows in words.
    Rows(Vec<WrittenRow>),
    /// A slim heading over the next stretch of rows: "Rows 21 to 40".
    Stretch(String),
    /// A ruler to check the print scale.
    Ruler {
        /// Stands below it.
        caption: Text,
        /// Words at the ends of its two bars, 50 mm and 2 in long.
        ends: [String; 2],
        /// Words instead of it.
        alt: String,
    },
    /// Addresses as codes for a phone's camera, each with its words beside it.
    Codes(Vec<CodeBlock>),
    /// Lines to fill in by hand: words before the line, words after it.
    FillIn(Vec<(Text, Text)>),
    /// The list of contents, filled in by make-up.
    Contents,
    /// What follows starts a new page.
    NewPage,
    /// Blocks in another language than the booklet's, by its tag: the maker's own words.
    InLanguage(String, Vec<Block>),
}

/// A picture file in the text.
#[derive(Clone, Debug, PartialEq)]
pub struct PictureBlock {
    /// Index into [`Manuscript::pictures`].
    pub picture: usize,
    /// Why it is there, which says how large it is.
    pub role: PictureRole,
    /// Where it is cut if it is too high for its place at full width: the share of what is too much that goes above.
    /// `None`: it is shown whole, and smaller.
    pub cut_above: Option<f64>,
    /// Words instead.
    pub alt: String,
    /// Caption.
    pub caption: Option<Text>,
    /// Language of its words, where it is another than the booklet's.
    pub language: Option<String>,
}

/// Why a picture is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureRole {
    /// The panel, on the cover.
    Cover,
    /// It shows a step, or something of the maker's own words: as wide as the text.
    Text,
    /// The maker's sign, small.
    Logo,
}
/// Rows that stand under one heading: as many as between two measurings of the width.
pub const ROWS_IN_STRETCH: usize = 20;

/// An address as a code for a phone's camera.
#[derive(Clone, Debug, PartialEq)]
pub struct CodeBlock {
    /// The whole address, with its scheme.
    pub address: String,
    /// What it leads to, and the address as a reader types it.
    pub words: Text,
    /// Words instead of the code.
    pub alt: String,
}

/// A numbered step.
#[derive(Clone, Debug)]
pub struct Step {
    /// What must be known before it.
    pub cautions: Vec<Caution>,
    /// What to do.
    pub text: Text,
    /// A figure beside it.
    pub figure: Option<FigureBlock>,
    /// The maker's photograph of it.
    pub picture: Option<PictureBlock>,
}

/// Signal words of ANSI Z535.6 / ISO 3864-2.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Signal {
    /// Could result in death or serious injury.
    Warning,
    /// Could result in minor or moderate injury.
    Caution,
    /// Not about injury.
    Notice,
}

/// A caution.
#[derive(Clone, Debug, PartialEq)]
pub struct Caution {
    /// How grave.
    pub signal: Signal,
    /// The signal word in the booklet's language.
    pub word: String,
    /// Hazard, consequence, how to avoid it.
    pub text: Text,
}

/// A line with a box to tick.
#[derive(Clone, Debug)]
pub struct TickLine {
    /// Name of the field: stable, unique in the booklet unless it is meant to be the same box: "materials-yarn-N".
    pub field: String,
    /// A yarn's swatch before the text.
    pub swatch: Option<Swatch>,
    /// Text.
    pub text: Text,
    /// What a screen reader says of the box.
    pub spoken: String,
}

/// A yarn's patch of colour with its symbol.
#[derive(Clone, Debug, PartialEq)]
pub struct Swatch {
    /// Index into the chart's yarns.
    pub yarn: usize,
    /// The yarn's own colour.
    pub colour: Colour,
    /// Name of its symbol.
    pub symbol: String,
}

/// A table.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// Stands above it.
    pub caption: Option<Text>,
    /// Columns.
    pub columns: Vec<TableColumn>,
    /// Rows of cells; the first column heads its row where `row_heads` is set.
    pub rows: Vec<Vec<TableEntry>>,
    /// Whether the first cell of a row is its head.
    pub row_heads: bool,
    /// Stands below it, small.
    pub note: Option<Text>,
}

/// A column of a table.
#[derive(Clone, Debug)]
pub struct TableColumn {
    /// Its head.
    pub head: Text,
    /// Figures to the right.
    pub align: Align,
    /// Share of the width relative to the other columns; 0: as wide as its content.
    pub share: f64,
}

/// Alignment in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Left.
    Left,
    /// Centred.
    Centre,
    /// Right: figures.
    Right,
}

/// A cell of a table.
#[derive(Clone, Debug, Default)]
pub struct TableEntry {
    /// A box to tick: field name and spoken words.
    pub tick: Option<(String, String)>,
    /// A yarn's swatch.
    pub swatch: Option<Swatch>,
    /// Text.
    pub text: Text,
}

/// A drawn figure.
#[derive(Clone, Debug)]
pub struct FigureBlock {
    /// Name in layouts/figures.
    pub name: String,
    /// Those of its stages that are shown, counted from 0; empty: all.
    pub stages: Vec<usize>,
    /// Mirror left and right (the working direction of a left-handed edition).
    pub mirrored: bool,
    /// Words for its labels: key, words.
    pub labels: Vec<(String, String)>,
    /// Words instead of it.
    pub alt: String,
    /// Caption.
    pub caption: Option<Text>,
}

/// The fleece as it lies on the back of a panel, both seen from the back. Measures are millimetres; words are ready to print.
#[derive(Clone, Debug)]
pub struct FleeceDrawing {
    /// Panel width.
    pub width_mm: f64,
    /// Knots from left to right: width of a column and how far down its knots reach.
    pub knots: Vec<(f64, f64)>,
    /// How far inside the panel's sides and its top the fleece lies.
    pub inside_mm: f64,
    /// Parts of the fleece from left to right: width and height.
    pub steps: Vec<(f64, f64)>,
    /// The words of each part: its width and its height.
    pub labels: Vec<(String, String)>,
    /// The whole fleece: its width and its greatest height.
    pub whole: [String; 2],
    /// Words instead of it.
    pub alt: String,
    /// Caption.
    pub caption: Option<Text>,
}

/// A dimensioned drawing of the panel hung up. All measures are millimetres; the words are ready to print.
#[derive(Clone, Debug)]
pub struct HungPanel {
    /// Panel width.
    pub width_mm: f64,
    /// Height of the header.
    pub header_mm: f64,
    /// Height of the chart's rows.
    pub chart_mm: f64,
    /// What hangs below.
    pub bottom_mm: f64,
    /// Diameter of the wood.
    pub wood_mm: f64,
    /// Length of the wood.
    pub wood_length_mm: f64,
    /// Lower edge of the wood: from the panel's left edge, depth below the fixing line.
    pub lower_edge: Vec<(f64, f64)>,
    /// Whether it is a branch.
    pub branch: bool,
    /// From each end of the wood to the knot of the cord it hangs by.
    pub hanger_in_mm: f64,
    /// How far that cord rises above the wood.
    pub hanger_rise_mm: f64,
    /// Dimension labels: which measure ("width", "header", "chart", "bottom", "wood", "wood-length", "hanger") and its words.
    pub labels: Vec<(String, String)>,
    /// The panel's picture.
    pub picture: AsKnottedGrid,
    /// Words instead of it.
    pub alt: String,
    /// Caption.
    pub caption: Option<Text>,
}

/// The panel as knotted, a drawing in true proportions.
#[derive(Clone, Debug)]
pub struct AsKnotted {
    /// What is drawn.
    pub grid: AsKnottedGrid,
    /// Words instead of it.
    pub alt: String,
    /// Says that it is a drawing.
    pub caption: Option<Text>,
}

/// The knots of a panel, header rows included.
#[derive(Clone, Debug)]
pub struct AsKnottedGrid {
    /// Columns.
    pub columns: usize,
    /// Header rows at the top of `cells`.
    pub header_rows: usize,
    /// Index into `colours` in reading order; `None` bare.
    pub cells: Vec<Option<u8>>,
    /// Colour of each yarn.
    pub colours: Vec<Colour>,
    /// Colour of the cord.
    pub cord: Colour,
    /// Pitches, millimetres.
    pub column_mm: f64,
    /// See `column_mm`.
    pub row_mm: f64,
    /// For each row whether it is worked from left to right: wraps then are higher at the left.
    pub left_to_right: Vec<bool>,
    /// Cord hanging below the last row, millimetres; 0 where it is trimmed or folded back.
    pub fringe_mm: f64,
    /// Whether its ends follow the lower edge; else they hang to one line.
    pub fringe_follows: bool,
    /// Diameter of the wood, millimetres.
    pub wood_mm: f64,
    /// Whether it is a branch.
    pub branch: bool,
}

/// A box to tape a snip into.
#[derive(Clone, Debug)]
pub struct Snip {
    /// The yarn.
    pub swatch: Swatch,
    /// Its name.
    pub name: String,
    /// Lines to fill in: "my yarn", "dye lot".
    pub lines: Vec<String>,
}

/// The chart, with all the words its sheets need.
#[derive(Clone, Debug)]
pub struct ChartBlock {
    /// Columns.
    pub columns: usize,
    /// Index into `yarns` in reading order; `None` bare.
    pub cells: Vec<Option<u8>>,
    /// Yarns in palette order.
    pub yarns: Vec<ChartYarn>,
    /// One for every row, top first (header rows are not part of the chart).
    pub rows: Vec<ChartRow>,
    /// What the rule of carrying does not say, by cell: with it the chart alone can be followed.
    pub marks: Vec<ChartMark>,
    /// True proportion of a cell: width over height.
    pub aspect: f64,
    /// The rows in words, one for every row, where they are to stand beside their sheets; else empty.
    pub alongside: Vec<WrittenRow>,
    /// Words, templates with `{}` names.
    pub words: ChartWords,
}

/// What the row's line says in brackets of a run, at the run's first or last cell.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ChartMark {
    /// Index into the chart's cells.
    pub cell: usize,
    /// What is marked.
    pub kind: ChartMarkKind,
}

/// Kinds of marks in a cell.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ChartMarkKind {
    /// In the first cell: a new length is joined.
    Start,
    /// In the first cell: this length is taken up, not the one the rule takes.
    Choice {
        /// The cell it tied last; `None` in a header row, which the chart does not show.
        tied: Option<usize>,
        /// The same in words: "the one last tied in row 40, column 23".
        words: String,
    },
    /// In the first cell: once taken up, the yarn is crossed round the one just used.
    Link,
    /// In the last cell: the length is cut after it.
    Cut,
}

/// A yarn in the key.
#[derive(Clone, Debug)]
pub struct ChartYarn {
    /// Its letter.
    pub letter: char,
    /// Its name.
    pub name: String,
    /// Its colour.
    pub colour: Colour,
    /// Name of its symbol.
    pub symbol: String,
    /// What the symbol is in plain words, for those who cannot see it.
    pub symbol_words: String,
    /// Knots in the whole chart, as printed in the key.
    pub count: String,
    /// The same as spoken: "1,808 knots".
    pub spoken: String,
}

/// What stands beside a row.
#[derive(Clone, Debug)]
pub struct ChartRow {
    /// Number as printed.
    pub number: String,
    /// Whether it is worked from left to right: the side it starts at.
    pub left_to_right: bool,
    /// Name of the tick field: "row-12", shared with the rows in words.
    pub field: String,
    /// What a screen reader says: the row's sentence, or its name where the booklet has the sentence in words.
    pub spoken: std::sync::Arc<str>,
    /// What it says on a sheet where the sentence was said before: the row's name.
    pub name: std::sync::Arc<str>,
    /// What each sheet says instead, where the sentence takes minutes to say and stands nowhere in words.
    pub in_parts: Option<Box<LongRow>>,
}

/// Words for chart sheets; compose fills in the names in braces.
#[derive(Clone, Debug, Default)]
pub struct ChartWords {
    /// The section's title.
    pub title: String,
    /// "Sheet {sheet} of {sheets}".
    pub sheet: String,
    /// "The rows in words begin on page {page}"; empty where they stand in no section of their own.
    pub rows_begin: String,
    /// "Columns {from} to {to}".
    pub columns: String,
    /// "Rows {from} to {to}".
    pub rows: String,
    /// "Row {from}", where there is only one.
    pub one_row: String,
    /// "Columns {from} to {to} also on page {page}".
    pub shared_columns: String,
    /// "Rows {from} to {to} also on page {page}".
    pub shared_rows: String,
    /// Beside an arrow at an edge where the chart goes on: "page {page}".
    pub page: String,
    /// Spoken instead at the left edge: "goes on at the left on page {page}".
    pub continues_left: String,
    /// At the right edge: "goes on at the right on page {page}".
    pub continues_right: String,
    /// At the lower edge: "goes on below on page {page}".
    pub continues_below: String,
    /// Says what the small figures where a row ends are.
    pub run_counts: String,
    /// Words instead of the figure, counts filled in, with {from_column} ... of this sheet, the {yarns} of the whole
    /// chart and the {picture}.
    pub alt: String,
    /// The same for a sheet whose rows are said on another one, the {first} beside it; empty where the rows stand in words.
    pub alt_again: String,
    /// Language of the yarns' names where it is not the booklet's.
    pub names_language: Option<String>,
    /// Names of all yarns as a list.
    pub yarns: String,
    /// What the picture shows, with a space before it, for the words instead of the first sheet; may be empty.
    pub picture: String,
    /// Said when cells are under 3.7 mm.
    pub small_cells: String,
    /// Said when cells are square although the knots are not.
    pub square_cells: String,
    /// The rule of carrying in short, where yarns change: "Without a mark ...", with the {page} of the whole rule where it
    /// does not stand before the sheets.
    pub carrying: Option<String>,
    /// "bare cord", for bare cells in the key.
    pub bare: String,
    /// Under the key, beside a dot: a length starts.
    pub mark_start: String,
    /// Beside a bar: it is cut.
    pub mark_cut: String,
    /// Beside a dash: two yarns are linked.
    pub mark_link: String,
    /// Beside a lozenge: a certain length is taken up.
    pub mark_choice: String,
    /// Before the places of lozenges and of the knots that name their lengths.
    pub choices: String,
}

/// A row in words.
#[derive(Clone, Debug)]
pub struct WrittenRow {
    /// Number as printed: "12" or "H1".
    pub number: String,
    /// Name of the tick field, shared with the chart.
    pub field: String,
    /// Which way: for the small arrow.
    pub left_to_right: bool,
    /// The line: "4 oat, 2 reed brown (start; cut after), 15 oat.", and at times a measure to check.
    pub sentence: Text,
    /// Where each run begins, by the inlines of the sentence.
    pub runs: Vec<usize>,
    /// What a screen reader says of its box: the sentence, or the row's name where the sentence stands beside it.
    pub spoken: String,
    /// What the sheets of the chart say part by part, where it would take minutes to say and no line is there to be read: then
    /// `spoken` is the row's name.
    pub in_parts: Option<Box<LongRow>>,
}

/// What is said on pictures for a shop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShopWords {
    /// Language tag.
    pub language: String,
    /// Title of the pattern.
    pub title: String,
    /// "by ..."
    pub maker: String,
    /// That the picture is a drawing.
    pub drawing: String,
    /// Over the list of what is inside.
    pub inside: String,
    /// How many pages there are.
    pub pages: String,
    /// Below a small part of the chart.
    pub corner: String,
    /// Laid over every picture; empty: nothing is.
    pub watermark: String,
    /// What stands small in a corner.
    pub mark: String,
    /// Names the picture that a chart was drawn from.
    pub before: String,
    /// Names the panel that is knotted from it.
    pub after: String,
}

#[cfg(test)]
mod tests;
