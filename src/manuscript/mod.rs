//! What is said, in order; no positions, no fonts, no pages.
//!
//! `write` turns a checked project, its workings and the words of a language into a [`Manuscript`]; `compose` turns that
//! into pages. Styles are named here and looked up in the edition.
//!
//! Long, and one subject: the types of a manuscript, and nothing that works with them.

mod before;
pub(crate) mod changes;
mod chart;
mod class;
mod colourway_words;
mod colourways;
mod context;
mod cover;
mod cutting;
#[cfg(test)]
pub(crate) mod dump;
mod finishing;
mod gauge;
mod glance;
mod hanging;
mod hazard;
pub(crate) mod listing;
pub(crate) mod long_row;
mod materials;
pub(crate) mod options;
mod own_words;
pub(crate) mod pasted;
mod plain_text;
pub(crate) mod record;
mod rows;
mod setting_up;
mod shop;
pub(crate) mod step_pictures;
mod swatch;
mod symbol_words;
mod techniques;
mod using;
mod width_check;
pub(crate) mod write;

pub(crate) use colourways::lettered;
pub(crate) use plain_text::licence;
pub(crate) use shop::shop;

pub(crate) use crate::markup::plain;
pub use crate::markup::{Inline, LinkTarget, Text};

use crate::catalogue::{SectionName, StyleName};
use crate::colour::Colour;
use crate::page::{AboutBooklet, PictureFile};
use long_row::LongRow;

/// Everything one edition says.
#[derive(Clone, Debug)]
pub struct Manuscript {
    /// Title, author and the like.
    pub(crate) about: AboutBooklet,
    /// Words for running heads and the like.
    pub furniture: Furniture,
    /// Sections in the edition's order.
    pub sections: Vec<Section>,
    /// Pictures referred to by number.
    pub(crate) pictures: Vec<PictureFile>,
}

/// Words that stand on every page, and words that only make-up can place.
#[derive(Clone, Debug, Default)]
pub struct Furniture {
    /// Running head, inner side: the title.
    pub head: String,
    /// Language of the yarns' names where it is not the booklet's.
    pub(crate) names_language: Option<String>,
    /// Language of the title where it is not the booklet's.
    pub(crate) title_language: Option<String>,
    /// Running head, outer side: the maker.
    pub head_side: String,
    /// Foot line: version and date.
    pub foot: String,
    /// Template of the folio, with `{page}` and `{pages}`.
    pub(crate) folio: String,
    /// Template of a page's name, "page {page}": spoken for the bare number in the list of contents.
    pub(crate) page: String,
    /// Template of what is said of a line to write on: "Fill in: {what}".
    pub(crate) blank: String,
    /// What the two ends of the ruler are called: 50 mm and 2 in.
    pub(crate) ruler: [String; 2],
    /// Title of the pages to write on.
    pub(crate) notes: String,
    /// What they are for, in a sentence.
    pub(crate) notes_use: String,
}

/// A section.
#[derive(Clone, Debug)]
pub struct Section {
    /// Its name in layout files.
    pub id: SectionName,
    /// Its heading; `None`: it has none (the cover).
    pub(crate) title: Option<String>,
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
    pub(crate) picture: usize,
    /// Why it is there, which says how large it is.
    pub(crate) role: PictureRole,
    /// Where it is cut if it is too high for its place at full width: the share of what is too much that goes above.
    /// `None`: it is shown whole, and smaller.
    pub(crate) cut_above: Option<f64>,
    /// Words instead.
    pub(crate) alt: String,
    /// Caption.
    pub(crate) caption: Option<Text>,
    /// Language of its words, where it is another than the booklet's.
    pub(crate) language: Option<String>,
}

/// Why a picture is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PictureRole {
    /// The panel, on the cover.
    Cover,
    /// It shows a step, or something of the maker's own words: as wide as the text.
    Text,
    /// The maker's sign, small.
    Logo,
}
/// Rows that stand under one heading: as many as between two measurings of the width.
pub(crate) const ROWS_IN_STRETCH: usize = 20;

/// An address as a code for a phone's camera.
#[derive(Clone, Debug, PartialEq)]
pub struct CodeBlock {
    /// The whole address, with its scheme.
    pub(crate) address: String,
    /// What it leads to, and the address as a reader types it.
    pub(crate) words: Text,
    /// Words instead of the code.
    pub(crate) alt: String,
}

/// A numbered step.
#[derive(Clone, Debug)]
pub struct Step {
    /// What must be known before it.
    pub(crate) cautions: Vec<Caution>,
    /// What to do.
    pub(crate) text: Text,
    /// A figure beside it.
    pub figure: Option<FigureBlock>,
    /// The maker's photograph of it.
    pub(crate) picture: Option<PictureBlock>,
}

/// Signal words of ANSI Z535.6 / ISO 3864-2.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Signal {
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
    pub(crate) signal: Signal,
    /// The signal word in the booklet's language.
    pub(crate) word: String,
    /// Hazard, consequence, how to avoid it.
    pub(crate) text: Text,
}

/// A line with a box to tick.
#[derive(Clone, Debug)]
pub struct TickLine {
    /// Name of the field: stable, unique in the booklet unless it is meant to be the same box: "materials-yarn-N".
    pub(crate) field: String,
    /// A yarn's swatch before the text.
    pub(crate) swatch: Option<Swatch>,
    /// Text.
    pub(crate) text: Text,
    /// What a screen reader says of the box.
    pub(crate) spoken: String,
}

/// A yarn's patch of colour with its symbol.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Swatch {
    /// Index into the chart's yarns.
    pub(crate) yarn: usize,
    /// The yarn's own colour.
    pub(crate) colour: Colour,
    /// Name of its symbol.
    pub(crate) symbol: String,
}

/// A table.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// Stands above it.
    pub(crate) caption: Option<Text>,
    /// Columns.
    pub(crate) columns: Vec<TableColumn>,
    /// Rows of cells; the first column heads its row where `row_heads` is set.
    pub(crate) rows: Vec<Vec<TableEntry>>,
    /// Whether the first cell of a row is its head.
    pub(crate) row_heads: bool,
    /// Stands below it, small.
    pub(crate) note: Option<Text>,
}

/// A column of a table.
#[derive(Clone, Debug)]
pub(crate) struct TableColumn {
    /// Its head.
    pub(crate) head: Text,
    /// Figures to the right.
    pub(crate) align: Align,
    /// Share of the width relative to the other columns; 0: as wide as its content.
    pub(crate) share: f64,
}

/// Alignment in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Align {
    /// Left.
    Left,
    /// Right: figures.
    Right,
}

/// A cell of a table.
#[derive(Clone, Debug, Default)]
pub(crate) struct TableEntry {
    /// A box to tick: field name and spoken words.
    pub(crate) tick: Option<(String, String)>,
    /// A yarn's swatch.
    pub(crate) swatch: Option<Swatch>,
    /// Text.
    pub(crate) text: Text,
}

/// A drawn figure.
#[derive(Clone, Debug)]
pub struct FigureBlock {
    /// Name in layouts/figures.
    pub name: String,
    /// Those of its stages that are shown, counted from 0; empty: all.
    pub(crate) stages: Vec<usize>,
    /// Mirror left and right (the working direction of a left-handed edition).
    pub mirrored: bool,
    /// Words for its labels: key, words.
    pub(crate) labels: Vec<(String, String)>,
    /// Words instead of it.
    pub(crate) alt: String,
    /// Caption.
    pub(crate) caption: Option<Text>,
}

/// The fleece as it lies on the back of a panel, both seen from the back. Measures are millimetres; words are ready to print.
#[derive(Clone, Debug)]
pub struct FleeceDrawing {
    /// Panel width.
    pub(crate) width_mm: f64,
    /// Knots from left to right: width of a column and how far down its knots reach.
    pub(crate) knots: Vec<(f64, f64)>,
    /// How far inside the panel's sides and its top the fleece lies.
    pub(crate) inside_mm: f64,
    /// Parts of the fleece from left to right: width and height.
    pub(crate) steps: Vec<(f64, f64)>,
    /// The words of each part: its width and its height.
    pub(crate) labels: Vec<(String, String)>,
    /// The whole fleece: its width and its greatest height.
    pub(crate) whole: [String; 2],
    /// Words instead of it.
    pub(crate) alt: String,
    /// Caption.
    pub(crate) caption: Option<Text>,
}

/// A dimensioned drawing of the panel hung up. All measures are millimetres; the words are ready to print.
#[derive(Clone, Debug)]
pub struct HungPanel {
    /// Panel width.
    pub(crate) width_mm: f64,
    /// Height of the header.
    pub(crate) header_mm: f64,
    /// Height of the chart's rows.
    pub(crate) chart_mm: f64,
    /// What hangs below.
    pub(crate) bottom_mm: f64,
    /// Diameter of the wood.
    pub(crate) wood_mm: f64,
    /// Length of the wood.
    pub(crate) wood_length_mm: f64,
    /// Lower edge of the wood: from the panel's left edge, depth below the fixing line.
    pub(crate) lower_edge: Vec<(f64, f64)>,
    /// Whether it is a branch.
    pub(crate) branch: bool,
    /// From each end of the wood to the knot of the cord it hangs by.
    pub(crate) hanger_in_mm: f64,
    /// How far that cord rises above the wood.
    pub(crate) hanger_rise_mm: f64,
    /// Dimension labels: which measure ("width", "header", "chart", "bottom", "wood", "wood-length", "hanger") and its words.
    pub(crate) labels: Vec<(String, String)>,
    /// The panel's picture.
    pub(crate) picture: AsKnottedGrid,
    /// Words instead of it.
    pub(crate) alt: String,
    /// Caption.
    pub(crate) caption: Option<Text>,
}

/// The panel as knotted, a drawing in true proportions.
#[derive(Clone, Debug)]
pub struct AsKnotted {
    /// What is drawn.
    pub(crate) grid: AsKnottedGrid,
    /// Words instead of it.
    pub(crate) alt: String,
    /// Says that it is a drawing.
    pub(crate) caption: Option<Text>,
}

/// The knots of a panel, header rows included.
#[derive(Clone, Debug)]
pub(crate) struct AsKnottedGrid {
    /// Columns.
    pub(crate) columns: usize,
    /// Index into `colours` in reading order; `None` bare.
    pub(crate) cells: Vec<Option<u8>>,
    /// Colour of each yarn.
    pub(crate) colours: Vec<Colour>,
    /// Colour of the cord.
    pub(crate) cord: Colour,
    /// Pitches, millimetres.
    pub(crate) column_mm: f64,
    /// See `column_mm`.
    pub(crate) row_mm: f64,
    /// For each row whether it is worked from left to right: wraps then are higher at the left.
    pub(crate) left_to_right: Vec<bool>,
    /// Cord hanging below the last row, millimetres; 0 where it is trimmed or folded back.
    pub(crate) fringe_mm: f64,
    /// Whether its ends follow the lower edge; else they hang to one line.
    pub(crate) fringe_follows: bool,
    /// Diameter of the wood, millimetres.
    pub(crate) wood_mm: f64,
    /// Whether it is a branch.
    pub(crate) branch: bool,
}

/// A box to tape a snip into.
#[derive(Clone, Debug)]
pub struct Snip {
    /// The yarn.
    pub(crate) swatch: Swatch,
    /// Its name.
    pub(crate) name: String,
    /// Lines to fill in: "my yarn", "dye lot".
    pub(crate) lines: Vec<String>,
}

/// The chart, with all the words its sheets need.
#[derive(Clone, Debug)]
pub struct ChartBlock {
    /// Columns.
    pub(crate) columns: usize,
    /// Index into `yarns` in reading order; `None` bare.
    pub(crate) cells: Vec<Option<u8>>,
    /// Yarns in palette order.
    pub(crate) yarns: Vec<ChartYarn>,
    /// One for every row, top first (header rows are not part of the chart).
    pub rows: Vec<ChartRow>,
    /// What the rule of carrying does not say, by cell: with it the chart alone can be followed.
    pub marks: Vec<ChartMark>,
    /// True proportion of a cell: width over height.
    pub(crate) aspect: f64,
    /// The rows in words, one for every row, where they are to stand beside their sheets; else empty.
    pub(crate) alongside: Vec<WrittenRow>,
    /// Words, templates with `{}` names.
    pub(crate) words: ChartWords,
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
pub(crate) struct ChartYarn {
    /// Its letter.
    #[cfg_attr(not(test), expect(dead_code, reason = "a manuscript as text names yarns by it"))]
    pub(crate) letter: char,
    /// Its name.
    pub(crate) name: String,
    /// Its colour.
    pub(crate) colour: Colour,
    /// Name of its symbol.
    pub(crate) symbol: String,
    /// What the symbol is in plain words, for those who cannot see it.
    pub(crate) symbol_words: String,
    /// Knots in the whole chart, as printed in the key.
    pub(crate) count: String,
    /// The same as spoken: "1,808 knots".
    pub(crate) spoken: String,
}

/// What stands beside a row.
#[derive(Clone, Debug)]
pub struct ChartRow {
    /// Number as printed.
    pub number: String,
    /// Whether it is worked from left to right: the side it starts at.
    pub left_to_right: bool,
    /// Name of the tick field: "row-12", shared with the rows in words.
    pub(crate) field: String,
    /// What a screen reader says: the row's sentence, or its name where the booklet has the sentence in words.
    pub spoken: std::sync::Arc<str>,
    /// What it says on a sheet where the sentence was said before: the row's name.
    pub name: std::sync::Arc<str>,
    /// What each sheet says instead, where the sentence takes minutes to say and stands nowhere in words.
    pub(crate) in_parts: Option<Box<LongRow>>,
}

/// Words for chart sheets; compose fills in the names in braces.
#[derive(Clone, Debug, Default)]
pub(crate) struct ChartWords {
    /// The section's title.
    pub(crate) title: String,
    /// "Sheet {sheet} of {sheets}".
    pub(crate) sheet: String,
    /// "The rows in words begin on page {page}"; empty where they stand in no section of their own.
    pub(crate) rows_begin: String,
    /// "Columns {from} to {to}".
    pub(crate) columns: String,
    /// "Rows {from} to {to}".
    pub(crate) rows: String,
    /// "Row {from}", where there is only one.
    pub(crate) one_row: String,
    /// "Column {from}", where there is only one.
    pub(crate) one_column: String,
    /// "Columns {from} to {to} also on page {page}".
    pub(crate) shared_columns: String,
    /// "Rows {from} to {to} also on page {page}".
    pub(crate) shared_rows: String,
    /// Beside an arrow at an edge where the chart goes on: "page {page}".
    pub(crate) page: String,
    /// Spoken instead at the left edge: "goes on at the left on page {page}".
    pub(crate) continues_left: String,
    /// At the right edge: "goes on at the right on page {page}".
    pub(crate) continues_right: String,
    /// At the lower edge: "goes on below on page {page}".
    pub(crate) continues_below: String,
    /// Says what the small figures where a row ends are.
    pub(crate) run_counts: String,
    /// Beside it where rows of counts are cut short.
    pub(crate) run_counts_more: String,
    /// Words instead of the figure, counts filled in, with {from_column} ... of this sheet, the {yarns} of the whole
    /// chart and the {picture}.
    pub(crate) alt: String,
    /// The same for a sheet whose rows are said on another one, the {first} beside it; empty where the rows stand in words.
    pub(crate) alt_again: String,
    /// Language of the yarns' names where it is not the booklet's.
    pub(crate) names_language: Option<String>,
    /// Names of all yarns as a list.
    pub(crate) yarns: String,
    /// What the picture shows, with a space before it, for the words instead of the first sheet; may be empty.
    pub(crate) picture: String,
    /// Said when cells are under 3.7 mm.
    pub(crate) small_cells: String,
    /// Said when cells are square although the knots are not.
    pub(crate) square_cells: String,
    /// The rule of carrying in short, where yarns change: "Without a mark ...", with the {page} of the whole rule where it
    /// does not stand before the sheets.
    pub(crate) carrying: Option<String>,
    /// "bare cord", for bare cells in the key.
    pub(crate) bare: String,
    /// Under the key, beside a dot: a length starts.
    pub(crate) mark_start: String,
    /// Beside a bar: it is cut.
    pub(crate) mark_cut: String,
    /// Beside a dash: two yarns are linked.
    pub(crate) mark_link: String,
    /// Beside a lozenge: a certain length is taken up.
    pub(crate) mark_choice: String,
    /// Before the places of lozenges and of the knots that name their lengths.
    pub(crate) choices: String,
}

/// A row in words.
#[derive(Clone, Debug)]
pub struct WrittenRow {
    /// Number as printed: "12" or "H1".
    pub(crate) number: String,
    /// Name of the tick field, shared with the chart.
    pub(crate) field: String,
    /// Which way: for the small arrow.
    pub(crate) left_to_right: bool,
    /// The line: "4 oat, 2 reed brown (start; cut after), 15 oat.", and at times a measure to check.
    pub sentence: Text,
    /// Where each run begins, by the inlines of the sentence.
    pub(crate) runs: Vec<usize>,
    /// What a screen reader says of its box: the sentence, or the row's name where the sentence stands beside it.
    pub(crate) spoken: String,
    /// What the sheets of the chart say part by part, where it would take minutes to say and no line is there to be read: then
    /// `spoken` is the row's name.
    pub(crate) in_parts: Option<Box<LongRow>>,
}

/// What is said on pictures for a shop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct ShopWords {
    /// Language tag.
    pub(crate) language: String,
    /// Title of the pattern.
    pub(crate) title: String,
    /// "by ..."
    pub(crate) maker: String,
    /// That the picture is a drawing.
    pub(crate) drawing: String,
    /// Over the list of what is inside.
    pub(crate) inside: String,
    /// How many pages there are.
    pub(crate) pages: String,
    /// Below a small part of the chart.
    pub(crate) corner: String,
    /// Laid over every picture; empty: nothing is.
    pub(crate) watermark: String,
    /// What stands small in a corner.
    pub(crate) mark: String,
    /// Names the picture that a chart was drawn from.
    pub(crate) before: String,
    /// Names the panel that is knotted from it.
    pub(crate) after: String,
}

#[cfg(test)]
mod tests;
