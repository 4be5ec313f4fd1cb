//! Blocks to pieces: everything of a manuscript in one long galley, before it is made up into pages.
//!
//! A piece is what is never cut: a line, a row of a table, a figure. Its items are placed from the left edge of the text
//! area and its own top.
//!
//! Long, and one subject: what every kind of block is set with.

mod codes;
mod drawings;
mod forms;
mod front;
mod lists;
mod panels;

use super::draw::{self, LAYOUT};
use super::fit::Filled;
use super::setting::{SetLine, Setter};
use super::{Colours, Parts, table};
use crate::catalogue::{SectionName, StyleName};
use crate::edition::{Edition, Style};
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::{Block, ChartBlock, Inline, Manuscript, Section, Text};
use crate::markup::{filled, unmarked};
use crate::page::{Item, Link, Mark, NodeId, PlacedItem, Role, Structure, Target};

/// How far cautions reach into the room left of the text.
const WIDER: f64 = 0.6;
/// The size of running text that boxes and patches of colour were drawn for.
const USUAL_TEXT: Length = Length::pt(10.5);

/// What is never cut.
#[derive(Debug, Default)]
pub struct Piece {
    /// Height in the text column.
    pub height: Length,
    /// Height in the side column, where something hangs there; 0 otherwise.
    pub side: Length,
    /// What hangs in the side column leaves room for the heading there by itself.
    pub below_heading: bool,
    /// Whether it runs over the side column too and must clear what hangs there.
    pub wide: bool,
    /// Space above; dropped at the head of a page.
    pub before: Length,
    /// Space below; dropped at the foot of a page.
    pub after: Length,
    /// Never parted from the next piece.
    pub keep: bool,
    /// It keeps with the next piece for looks alone, and is parted from it where much of a page would stay white.
    pub soft: bool,
    /// A line in the middle of a row: it becomes `soft` where that saves a page.
    pub may_part: bool,
    /// A line that would leave another one alone, or a sentence of instruction cut: the next stays with it even where all
    /// that keeps together is higher than a page.
    pub tight: bool,
    /// A title or heading: two lines of what follows stay with it.
    pub heading: bool,
    /// Where a numbered step begins.
    pub step: bool,
    /// Items from the left edge of the text area and the piece's top.
    pub items: Vec<PlacedItem>,
    /// What is drawn again above the first piece on a new page: the head of a table.
    pub head: Option<usize>,
    /// Where a section or heading begins.
    pub anchors: Vec<Anchor>,
    /// What kind it is.
    pub kind: PieceKind,
}

/// Kinds of piece.
#[derive(Debug, Default, PartialEq, Eq, Clone, Copy)]
pub enum PieceKind {
    /// Stands in the text column.
    #[default]
    Flow,
    /// What follows starts a new page.
    NewPage,
    /// Chart sheet: number of the chart, number of the sheet.
    Sheet(usize, usize),
    /// Stands at the foot of its page, whatever room is left.
    Foot,
}

/// The beginning of something that can be led to.
#[derive(Debug, Clone)]
pub struct Anchor {
    /// The section, for its title.
    pub section: Option<SectionName>,
    /// Outline level and words; `None`: not in the outline.
    pub outline: Option<(u8, String)>,
}

/// A head that is drawn again.
#[derive(Debug, Clone)]
pub struct RepeatedHead {
    /// Height.
    pub height: Length,
    /// Items, none of them content: what they say was said where the head stands first.
    pub items: Vec<PlacedItem>,
}

/// The whole galley.
#[derive(Debug, Default)]
pub struct Galley {
    /// Pieces in order.
    pub pieces: Vec<Piece>,
    /// Heads drawn again.
    pub heads: Vec<RepeatedHead>,
    /// Drawings that may stand at either end of their section.
    pub drawings: Vec<MovableDrawing>,
}

/// A drawing that may also stand after all else that its section says.
#[derive(Debug, Clone)]
pub struct MovableDrawing {
    /// The first of its pieces.
    pub from: usize,
    /// The first piece after it.
    pub to: usize,
    /// The first piece after its section.
    pub end: usize,
    /// Its place in the structure.
    pub node: NodeId,
}

/// The columns of the text area.
#[derive(Clone, Copy, Debug)]
pub struct ColumnWidths {
    /// Whole width.
    pub full: Length,
    /// Left edge of the text column.
    pub text_left: Length,
    /// Width of the text column.
    pub text: Length,
    /// Width of the side column; zero where there is none.
    pub side: Length,
    /// Height of the text area.
    pub height: Length,
}

/// Sets everything into pieces.
pub struct Setting<'a> {
    pub(super) setter: &'a Setter<'a>,
    pub(super) edition: &'a Edition,
    pub(super) colours: Colours,
    pub(super) columns: ColumnWidths,
    pub(super) parts: &'a Parts<'a>,
    pub(super) structure: &'a mut Structure,
    pub(super) galley: Galley,
    chart: usize,
}

impl<'a> Setting<'a> {
    /// An empty galley.
    pub fn new(
        setter: &'a Setter<'a>,
        edition: &'a Edition,
        colours: Colours,
        columns: ColumnWidths,
        parts: &'a Parts<'a>,
        structure: &'a mut Structure,
    ) -> Setting<'a> {
        Setting { setter, edition, colours, columns, parts, structure, galley: Galley::default(), chart: 0 }
    }

    /// Sets the manuscript.
    pub fn set(mut self, manuscript: &Manuscript, document: NodeId, with_contents: bool) -> Galley {
        for section in &manuscript.sections {
            if section.id == SectionName::Contents && !with_contents {
                continue;
            }
            self.section(section, manuscript, document);
        }
        self.galley
    }

    fn section(&mut self, section: &Section, manuscript: &Manuscript, document: NodeId) {
        let node = self.structure.add(Role::Section, Some(document));
        if self.edition.new_page.contains(&section.id) && !self.galley.pieces.is_empty() {
            self.push(Piece { kind: PieceKind::NewPage, ..Piece::default() });
        }
        let anchor = Anchor { section: Some(section.id), outline: section.title.clone().map(|title| (1, title)) };
        // Sheets have titles of their own and fill their pages: a page with the section's title and an opening alone would
        // say nothing. Boxes to tick before the chart have a page.
        let chart_at = section.blocks.iter().position(|b| matches!(b, Block::Chart(_)));
        let chart_at = chart_at.filter(|&at| section.blocks[..at].iter().all(|b| matches!(b, Block::Paragraph(..))));
        match &section.title {
            // The list of contents is no chapter: it stands below what is told at a glance.
            Some(title) if section.id == SectionName::Contents && !self.edition.new_page.contains(&section.id) => {
                self.heading(2, &vec![Inline::Plain(title.clone())], node);
                if let Some(piece) = self.galley.pieces.last_mut() {
                    piece.anchors = vec![Anchor { outline: Some((2, title.clone())), ..anchor }];
                }
            }
            Some(title) if chart_at.is_none() => self.title(title, anchor, node),
            _ => self.push(Piece { anchors: vec![anchor], keep: true, ..Piece::default() }),
        }
        if section.id == SectionName::Cover {
            self.cover(&section.blocks, node);
            self.push(Piece { kind: PieceKind::NewPage, ..Piece::default() });
            return;
        }
        let columns = self.columns;
        if section.id == SectionName::Cautions {
            // Looked up, not read through: lines may be longer, and all stand on one page.
            let wider = self.columns.text_left * WIDER;
            self.columns.text_left -= wider;
            self.columns.text = self.columns.full - self.columns.text_left;
        }
        let opens_at = self.galley.pieces.len() - 1;
        let blocks = &section.blocks[chart_at.unwrap_or(0)..];
        let mut figure: Option<usize> = None;
        for (at, block) in blocks.iter().enumerate() {
            let from = self.galley.pieces.len();
            match (block, blocks.get(at + 1)) {
                (Block::Heading(level, text), Some(Block::Rows(_))) => self.heading_of_rows(*level, text, node),
                _ => self.block(block, manuscript, node),
            }
            let opens = at == 0 || matches!(blocks[at - 1], Block::Heading(..));
            // Words that are all there is below a heading open nothing; those below the title open the section.
            let goes_on = match blocks.get(at + 1) {
                None | Some(Block::NewPage | Block::Chart(_)) => false,
                Some(Block::Heading(..)) => at == 0,
                Some(_) => true,
            };
            if opens && goes_on && matches!(block, Block::Paragraph(..)) {
                self.stay_with_next(from);
            }
            // Figures in a row are compared.
            if matches!((block, blocks.get(at + 1)), (Block::Figure(_), Some(Block::Figure(_)))) {
                self.galley.pieces[from..].iter_mut().for_each(|piece| piece.keep = true);
            }
            figure = match (block, figure) {
                (Block::Figure(_), _) => Some(from),
                (Block::Caution(_), figure) => figure,
                (Block::Steps(_), Some(figure)) => {
                    self.stay_with_figure(figure);
                    None
                }
                _ => None,
            };
        }
        self.columns = columns;
        let end = self.galley.pieces.len();
        for drawing in self.galley.drawings.iter_mut().filter(|drawing| drawing.from > opens_at) {
            drawing.end = end;
        }
        // Cautions are looked up while the hands are busy: all of them on one page, where a page holds them.
        if section.id == SectionName::Cautions
            && let Some((_, all_but_last)) = self.galley.pieces[opens_at..].split_last_mut()
            && Filled::nothing().has_room_for(all_but_last, self.columns.height, 1.0)
        {
            all_but_last.iter_mut().for_each(|piece| piece.keep = true);
        }
    }

    /// Steps stay on the page of the figure that shows them: whoever ties has no hand free to turn it. A figure with many
    /// steps would leave too much white before it, and is parted from those after the first.
    fn stay_with_figure(&mut self, from: usize) {
        const MAX_SHARE: f64 = 0.2;
        let pieces = &mut self.galley.pieces[from..];
        let height: Length = pieces.iter().map(|p| p.before + p.height + p.after).sum();
        let figures = pieces.iter().position(|piece| piece.step).unwrap_or(pieces.len());
        let (shown, steps) = pieces.split_at_mut(figures);
        shown.iter_mut().for_each(|piece| piece.keep = true);
        if height.fits(self.columns.height * MAX_SHARE)
            && let Some((_, all_but_last)) = steps.split_last_mut()
        {
            keep_softly(all_but_last);
        }
    }

    /// A short opening stays with what it opens: a heading and one sentence alone at a page's foot say nothing.
    fn stay_with_next(&mut self, from: usize) {
        const SHORT: usize = 4;
        let opening = &mut self.galley.pieces[from..];
        if opening.len() <= SHORT {
            opening.iter_mut().for_each(|piece| piece.keep = true);
        }
    }

    pub(super) fn push(&mut self, piece: Piece) {
        self.galley.pieces.push(piece);
    }

    fn title(&mut self, title: &str, anchor: Anchor, node: NodeId) {
        let style = self.setter.style(StyleName::Heading1).clone();
        let heading = self.structure.add(Role::Heading(2), Some(node));
        let lines =
            self.setter.paragraph(StyleName::Heading1, &vec![Inline::Plain(title.to_string())], self.columns.full);
        let mut items = Vec::new();
        let rule = self.edition.look.section_rule;
        if rule > Length::ZERO {
            let y = rule / 2.0;
            let (from, to) = (Point::new(Length::ZERO, y), Point::new(self.columns.full, y));
            items.push(draw::shape(LAYOUT, draw::rule(from, to, self.colours.accent, rule)));
        }
        let top = Length::pt(8.0);
        let count = lines.len();
        for (i, line) in lines.into_iter().enumerate() {
            let y = top + style.leading * i as f64 + self.setter.baseline(&style);
            line.place(Point::new(Length::ZERO, y), Mark::Node(heading), &mut items);
        }
        self.push(Piece {
            height: top + style.leading * count as f64,
            wide: true,
            before: style.before,
            after: style.after,
            keep: true,
            heading: true,
            items,
            anchors: vec![anchor],
            ..Piece::default()
        });
    }

    fn block(&mut self, block: &Block, manuscript: &Manuscript, node: NodeId) {
        match block {
            Block::Heading(level, text) => self.heading(*level, text, node),
            Block::Paragraph(style, text) => self.paragraph(*style, text, node),
            Block::Steps(steps) => self.steps(steps, node),
            Block::Bullets(entries) => self.bullets(entries, node),
            Block::Ticks(lines) => self.ticks(lines, node),
            Block::Caution(caution) => self.caution(caution, node, false),
            Block::Table(table) => table::set(self, table, node),
            Block::Figure(figure) => self.figure(figure, node),
            Block::HungPanel(hung) => self.hung_panel(hung, node),
            Block::Fleece(fleece) => self.fleece(fleece, node),
            Block::AsKnotted(drawing) => {
                let room = Size::new(self.columns.full, self.columns.height * 0.6);
                self.as_knotted(drawing, room, node);
            }
            Block::Picture(picture) => self.picture_in_text(picture, Length::ZERO, node),
            Block::Panels(panels) => self.panels(panels, node),
            Block::Facts(facts) => self.facts(facts, node),
            Block::Snips(snips) => self.snips(snips, &manuscript.furniture.blank, node),
            Block::Chart(chart) => self.chart(chart, node),
            Block::Rows(rows) => self.rows(rows, node),
            Block::Stretch(words) => self.stretch_heading(words, node),
            Block::Ruler { caption, ends, alt } => self.ruler(caption, ends, alt, node),
            Block::Codes(codes) => self.codes(codes, node),
            Block::FillIn(lines) => self.fill_in(lines, &manuscript.furniture.blank, node),
            Block::Contents => self.contents(manuscript, node),
            Block::NewPage => self.push(Piece { kind: PieceKind::NewPage, ..Piece::default() }),
            Block::InLanguage(tag, blocks) => self.in_language(tag, node, |setting| {
                blocks.iter().for_each(|block| setting.block(block, manuscript, node));
            }),
        }
    }

    /// What is set below `node` meanwhile speaks this language.
    fn in_language(&mut self, tag: &str, node: NodeId, set: impl FnOnce(&mut Self)) {
        let before = self.structure.get(node).children.len();
        set(self);
        let below: Vec<NodeId> = self.structure.get(node).children[before..].to_vec();
        for child in below {
            self.structure.get_mut(child).language = Some(tag.to_owned());
        }
    }

    /// The sheets; where the rows in words go with them, each rank is followed by the rows it shows.
    fn chart(&mut self, block: &ChartBlock, node: NodeId) {
        let chart = self.chart;
        self.chart += 1;
        let parts = self.parts;
        let sheets = &parts.sheets[chart].plan.sheets;
        for (at, sheet) in sheets.iter().enumerate() {
            self.push(Piece { kind: PieceKind::Sheet(chart, at), ..Piece::default() });
            let ends_rank = sheets.get(at + 1).is_none_or(|next| next.down != sheet.down);
            let Some(rows) = block.alongside.get(sheet.own_rows()).filter(|rows| ends_rank && !rows.is_empty()) else {
                continue;
            };
            self.rows_by_stretches(rows, sheet.own_rows().start, &block.words, node);
        }
    }

    fn heading(&mut self, level: u8, text: &Text, node: NodeId) {
        let hangs = level <= 2 && self.columns.side > Length::ZERO;
        self.heading_at(level, text, node, hangs);
    }

    /// Rows reach into the side column, so what heads them stands above them.
    fn heading_of_rows(&mut self, level: u8, text: &Text, node: NodeId) {
        let columns = self.columns;
        self.columns.text_left = self.rows_left();
        self.heading_at(level, text, node, false);
        self.columns = columns;
    }

    /// Where the words of rows begin on a page with a side column: lines are longer there, as rows are worked one by one with
    /// a finger or a rule below them, and a row of many runs is easier to hold on few lines.
    pub(super) fn rows_left(&self) -> Length {
        const REACH: f64 = 0.4;
        self.columns.text_left * (1.0 - REACH)
    }

    fn heading_at(&mut self, level: u8, text: &Text, node: NodeId, hangs: bool) {
        let name = if level <= 2 { StyleName::Heading2 } else { StyleName::Heading3 };
        let style = self.setter.style(name).clone();
        let heading = self.structure.add(Role::Heading(level.clamp(2, 3) + 1), Some(node));
        let outline = (level <= 2).then(|| (2, unmarked(text)));
        let anchors = vec![Anchor { section: None, outline }];
        let (left, measure) = if hangs { (Length::ZERO, self.columns.side) } else { self.text_column() };
        let lines = self.setter.paragraph(name, text, measure);
        let height = style.leading * lines.len() as f64;
        let mut items = Vec::new();
        for (i, line) in lines.into_iter().enumerate() {
            let y = style.leading * i as f64 + self.setter.baseline(&style);
            line.place(Point::new(left, y), Mark::Node(heading), &mut items);
        }
        // A heading below one that hangs in the side column stands beside it.
        let beside = self.galley.pieces.last().is_some_and(|p| p.side > Length::ZERO && p.height <= Length::ZERO);
        let before = if beside && !hangs { Length::ZERO } else { style.before };
        self.push(match hangs {
            true => Piece { side: height, before, keep: true, heading: true, items, anchors, ..Piece::default() },
            false => Piece {
                height,
                before,
                after: style.after,
                keep: true,
                heading: true,
                items,
                anchors,
                ..Piece::default()
            },
        });
    }

    pub(super) fn text_column(&self) -> (Length, Length) {
        (self.columns.text_left, self.columns.text)
    }

    fn paragraph(&mut self, style: StyleName, text: &Text, node: NodeId) {
        let paragraph = self.structure.add(Role::Paragraph, Some(node));
        let (left, measure) = self.text_column();
        self.lines(style, text, left, measure, paragraph, Keep::Loose);
    }

    /// Sets text as one piece a line. Returns the index of the first piece.
    pub(super) fn lines(
        &mut self,
        name: StyleName,
        text: &Text,
        left: Length,
        measure: Length,
        node: NodeId,
        keep: Keep,
    ) -> usize {
        let marks = self.inline_marks(text, node);
        self.marked_lines(name, text, (left, measure), &marks, keep)
    }

    /// The same with a mark for each inline.
    pub(super) fn marked_lines(
        &mut self,
        name: StyleName,
        text: &Text,
        (left, measure): (Length, Length),
        marks: &[Mark],
        keep: Keep,
    ) -> usize {
        let style = self.setter.style(name).clone();
        let first = self.galley.pieces.len();
        let lines = self.setter.paragraph(name, text, measure);
        let count = lines.len();
        let baseline = self.setter.baseline(&style);
        for (i, line) in lines.into_iter().enumerate() {
            let mut items = Vec::new();
            self.place_line(line, text, marks, Point::new(left, baseline), &style, &mut items);
            let last = i + 1 == count;
            // Never one line alone at a page's foot or head.
            let tight = match keep {
                Keep::Whole | Keep::WholeAndNext => !last,
                Keep::Loose => !last && (i == 0 || i + 2 == count),
            };
            let keep = tight || keep == Keep::WholeAndNext;
            self.push(Piece {
                height: style.leading,
                before: if i == 0 { style.before } else { Length::ZERO },
                after: if last { style.after } else { Length::ZERO },
                keep,
                tight,
                items,
                ..Piece::default()
            });
        }
        first
    }

    /// One mark for each inline: links have nodes of their own.
    pub(super) fn inline_marks(&mut self, text: &[Inline], node: NodeId) -> Vec<Mark> {
        let has_links = text.iter().any(|i| matches!(i, Inline::Address(..) | Inline::PageOf(_)));
        text.iter()
            .map(|inline| match inline {
                Inline::Address(..) | Inline::PageOf(_) => Mark::Node(self.structure.add(Role::Link, Some(node))),
                // Content of a node comes before its children, so text beside links needs nodes of its own.
                _ if has_links => Mark::Node(self.structure.add(Role::Span, Some(node))),
                _ => Mark::Node(node),
            })
            .collect()
    }

    fn place_line(
        &self,
        line: SetLine,
        text: &Text,
        marks: &[Mark],
        at: Point,
        style: &Style,
        items: &mut Vec<PlacedItem>,
    ) {
        for (tag, run) in &line.runs {
            let (target, label) = match text.get(*tag) {
                Some(Inline::Address(words, to)) => {
                    (Target::Address(to.address.clone()), to.spoken.clone().unwrap_or_else(|| words.clone()))
                }
                // The page is filled in by make-up, which knows where sections came to stand.
                Some(Inline::PageOf(section)) => {
                    let page = [("page", run.text.clone())];
                    let label = filled(&self.parts.pictures.furniture.page, &page);
                    (Target::Section(*section), label)
                }
                _ => continue,
            };
            let width: Length = run.glyphs.iter().map(|g| g.advance).sum();
            let area = Rect::new(at.x + run.origin.x, at.y - style.size * 0.8, width, style.size * 1.1);
            items.push(PlacedItem { mark: marks[*tag], item: Item::Link(Link { area, target, label }) });
        }
        line.place_by(at, |tag| marks.get(tag).copied().unwrap_or(LAYOUT), items);
    }

    /// How much larger boxes, arrows and patches of colour are than beside running text of the usual size. They grow
    /// more slowly than letters: they are seen, not read.
    pub(super) fn grown(&self) -> f64 {
        1.0 + ((self.setter.style(StyleName::Body).size / USUAL_TEXT).max(1.0) - 1.0) * 0.5
    }
}

/// Keeps pieces with those after them for looks alone.
pub(super) fn keep_softly(pieces: &mut [Piece]) {
    for piece in pieces.iter_mut().filter(|piece| !piece.keep) {
        (piece.keep, piece.soft) = (true, true);
    }
}

/// How the lines of a text hold together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Keep {
    /// May be cut, but never with one line alone.
    Loose,
    /// Never cut.
    Whole,
    /// Never cut, nor parted from what follows.
    WholeAndNext,
}

/// A block by itself, out of the language it stands in.
fn alone(block: &Block) -> Option<&Block> {
    match block {
        Block::InLanguage(_, blocks) => blocks.first().and_then(alone),
        block => Some(block),
    }
}
