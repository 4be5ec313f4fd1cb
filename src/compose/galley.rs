//! Blocks to pieces: everything of a manuscript in one long galley, before it is made up into pages.
//!
//! A piece is what is never cut: a line, a row of a table, a figure. Its items are placed from the left edge of the text
//! area and its own top.

use super::draw::{self, LAYOUT};
use super::setting::{SetLine, Setter};
use super::{Colours, Parts, table};
use crate::colour::Colour;
use crate::edition::{Edition, Style};
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::{
    Block, Caution, ChartBlock, FigureBlock, HungPanel, Inline, Manuscript, Section, Signal, Snip, Step, Swatch, Text,
    TickLine, WrittenRow,
};
use crate::page::{Item, Link, Mark, NodeId, Placed, PlacedPicture, Role, Shape, Structure, Target, Tick};

/// The size of running text that boxes and patches of colour were drawn for.
const USUAL_TEXT: Length = Length::pt(10.5);

/// A row in words that takes more of a page than this may be cut.
const MOST_ROW: f64 = 0.5;

/// What is never cut.
#[derive(Debug, Default)]
pub struct Piece {
    /// Height in the text column.
    pub height: Length,
    /// Height in the side column, where something hangs there; 0 otherwise.
    pub side: Length,
    /// Whether it runs over the side column too and must clear what hangs there.
    pub wide: bool,
    /// Space above; dropped at the head of a page.
    pub before: Length,
    /// Space below; dropped at the foot of a page.
    pub after: Length,
    /// Never parted from the next piece.
    pub keep: bool,
    /// A title or heading: two lines of what follows stay with it.
    pub heading: bool,
    /// Items from the left edge of the text area and the piece's top.
    pub items: Vec<Placed>,
    /// What is drawn again above the first piece on a new page: the head of a table.
    pub head: Option<usize>,
    /// Where a section or heading begins.
    pub anchors: Vec<Anchor>,
    /// What kind it is.
    pub kind: Kind,
}

/// Kinds of piece.
#[derive(Debug, Default, PartialEq, Eq, Clone, Copy)]
pub enum Kind {
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
    /// Section id, for a section's title.
    pub section: Option<String>,
    /// Outline level and words; `None`: not in the outline.
    pub outline: Option<(u8, String)>,
}

/// A head that is drawn again.
#[derive(Debug, Clone)]
pub struct RepeatedHead {
    /// Height.
    pub height: Length,
    /// Items with the marks of the head as it stands first.
    pub items: Vec<Placed>,
    /// The cells of that head, one for each column.
    pub cells: Vec<NodeId>,
    /// How often it was drawn again so far.
    pub times: usize,
}

/// The whole galley.
#[derive(Debug, Default)]
pub struct Galley {
    /// Pieces in order.
    pub pieces: Vec<Piece>,
    /// Heads drawn again.
    pub heads: Vec<RepeatedHead>,
}

/// The columns of the text area.
#[derive(Clone, Copy, Debug)]
pub struct Columns {
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
    pub(super) columns: Columns,
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
        columns: Columns,
        parts: &'a Parts<'a>,
        structure: &'a mut Structure,
    ) -> Setting<'a> {
        Setting { setter, edition, colours, columns, parts, structure, galley: Galley::default(), chart: 0 }
    }

    /// Sets the manuscript.
    pub fn set(mut self, manuscript: &Manuscript, document: NodeId, with_contents: bool) -> Galley {
        for section in &manuscript.sections {
            if section.id == "contents" && !with_contents {
                continue;
            }
            self.section(section, manuscript, document);
        }
        self.galley
    }

    fn section(&mut self, section: &Section, manuscript: &Manuscript, document: NodeId) {
        let node = self.structure.add(Role::Section, Some(document));
        if self.edition.new_page.contains(&section.id) && !self.galley.pieces.is_empty() {
            self.push(Piece { kind: Kind::NewPage, ..Piece::default() });
        }
        let anchor =
            Anchor { section: Some(section.id.clone()), outline: section.title.clone().map(|title| (1, title)) };
        // Sheets have titles of their own and fill their pages: a page with the section's title and an opening alone would
        // say nothing. Boxes to tick before the chart have a page.
        let chart_at = section.blocks.iter().position(|b| matches!(b, Block::Chart(_)));
        let chart_at = chart_at.filter(|&at| section.blocks[..at].iter().all(|b| matches!(b, Block::Paragraph(..))));
        match &section.title {
            Some(title) if chart_at.is_none() => self.title(title, anchor, node),
            _ => self.push(Piece { anchors: vec![anchor], keep: true, ..Piece::default() }),
        }
        if section.id == "cover" {
            self.cover(&section.blocks, node);
            self.push(Piece { kind: Kind::NewPage, ..Piece::default() });
            return;
        }
        let blocks = &section.blocks[chart_at.unwrap_or(0)..];
        let mut figure: Option<usize> = None;
        for (at, block) in blocks.iter().enumerate() {
            let from = self.galley.pieces.len();
            self.block(block, manuscript, node);
            let opens = at == 0 || matches!(blocks[at - 1], Block::Heading(..));
            let goes_on = !matches!(blocks.get(at + 1), None | Some(Block::NewPage | Block::Chart(_)));
            if opens && goes_on && matches!(block, Block::Paragraph(..)) {
                self.stay_with_next(from);
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
    }

    /// Steps stay on the page of the figure that shows them: whoever ties has no hand free to turn it. A figure with many
    /// steps would leave too much white before it, and is parted from the last of them.
    fn stay_with_figure(&mut self, from: usize) {
        const MOST: f64 = 0.65;
        let pieces = &mut self.galley.pieces[from..];
        let height: Length = pieces.iter().map(|p| p.before + p.height + p.after).sum();
        if height.fits(self.columns.height * MOST)
            && let Some((_, all_but_last)) = pieces.split_last_mut()
        {
            all_but_last.iter_mut().for_each(|piece| piece.keep = true);
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
        let style = self.setter.style("heading-1").clone();
        let heading = self.structure.add(Role::Heading(1), Some(node));
        let lines = self.setter.paragraph("heading-1", &vec![Inline::Plain(title.to_string())], self.columns.full);
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
            Block::Paragraph(style, text) => self.paragraph(style, text, node),
            Block::Steps(steps) => self.steps(steps, node),
            Block::Bullets(entries) => self.bullets(entries, node),
            Block::Ticks(lines) => self.ticks(lines, node),
            Block::Caution(caution) => self.caution(caution, node, false),
            Block::Table(table) => table::set(self, table, node),
            Block::Figure(figure) => self.figure(figure, node),
            Block::HungPanel(hung) => self.hung_panel(hung, node),
            Block::AsKnotted(drawing) => {
                let room = Size::new(self.columns.full, self.columns.height * 0.6);
                self.as_knotted(drawing, room, node);
            }
            Block::Picture { picture, cut_above, alt, caption } => {
                let room = Size::new(self.columns.full, self.columns.height * 0.6);
                self.picture(manuscript, *picture, *cut_above, alt, caption.as_ref(), room, node);
            }
            Block::Facts(facts) => self.facts(facts, node),
            Block::Snips(snips) => self.snips(snips, &manuscript.furniture.blank, node),
            Block::Chart(chart) => self.chart(chart, node),
            Block::Rows(rows) => self.rows(rows, node),
            Block::Ruler { caption, ends, alt } => self.ruler(caption, ends, alt, node),
            Block::FillIn(lines) => self.fill_in(lines, &manuscript.furniture.blank, node),
            Block::Contents => self.contents(manuscript, node),
            Block::NewPage => self.push(Piece { kind: Kind::NewPage, ..Piece::default() }),
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
            self.push(Piece { kind: Kind::Sheet(chart, at), ..Piece::default() });
            let ends_rank = sheets.get(at + 1).is_none_or(|next| next.down != sheet.down);
            let Some(rows) = block.alongside.get(sheet.own_rows()).filter(|rows| ends_rank && !rows.is_empty()) else {
                continue;
            };
            let title = super::chart::fill(&block.words.rows, &super::chart::range_words(&sheet.own_rows()));
            self.heading(2, &vec![Inline::Plain(title)], node);
            self.rows(rows, node);
        }
    }

    fn heading(&mut self, level: u8, text: &Text, node: NodeId) {
        let name = if level <= 2 { "heading-2" } else { "heading-3" };
        let style = self.setter.style(name).clone();
        let heading = self.structure.add(Role::Heading(level.clamp(2, 3)), Some(node));
        let outline = (level <= 2).then(|| (2, words_of(text)));
        let anchors = vec![Anchor { section: None, outline }];
        let hangs = level <= 2 && self.columns.side > Length::ZERO;
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

    fn paragraph(&mut self, style: &str, text: &Text, node: NodeId) {
        let paragraph = self.structure.add(Role::Paragraph, Some(node));
        let (left, measure) = self.text_column();
        self.lines(style, text, left, measure, paragraph, Keep::Loose);
    }

    /// Sets text as one piece a line. Returns the index of the first piece.
    pub(super) fn lines(
        &mut self,
        name: &str,
        text: &Text,
        left: Length,
        measure: Length,
        node: NodeId,
        keep: Keep,
    ) -> usize {
        let style = self.setter.style(name).clone();
        let first = self.galley.pieces.len();
        let lines = self.setter.paragraph(name, text, measure);
        let count = lines.len();
        let marks = self.inline_marks(text, node);
        let baseline = self.setter.baseline(&style);
        for (i, line) in lines.into_iter().enumerate() {
            let mut items = Vec::new();
            self.place_line(line, text, &marks, Point::new(left, baseline), &style, &mut items);
            let last = i + 1 == count;
            // Never one line alone at a page's foot or head.
            let keep = match keep {
                Keep::Whole => !last,
                Keep::WholeAndNext => true,
                Keep::Loose => !last && (i == 0 || i + 2 == count),
            };
            self.push(Piece {
                height: style.leading,
                before: if i == 0 { style.before } else { Length::ZERO },
                after: if last { style.after } else { Length::ZERO },
                keep,
                items,
                ..Piece::default()
            });
        }
        first
    }

    /// One mark for each inline: links have nodes of their own.
    fn inline_marks(&mut self, text: &Text, node: NodeId) -> Vec<Mark> {
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
        style: &crate::edition::Style,
        items: &mut Vec<Placed>,
    ) {
        for (tag, run) in &line.runs {
            let (target, label) = match text.get(*tag) {
                Some(Inline::Address(words, address)) => (Target::Address(address.clone()), words.clone()),
                // The page is filled in by make-up, which knows where sections came to stand.
                Some(Inline::PageOf(section)) => {
                    let page = [("page", run.text.clone())];
                    let label = super::chart::fill(&self.parts.pictures.furniture.page, &page);
                    (Target::Address(format!("section:{section}")), label)
                }
                _ => continue,
            };
            let width: Length = run.glyphs.iter().map(|g| g.advance).sum();
            let area = Rect::new(at.x + run.origin.x, at.y - style.size * 0.8, width, style.size * 1.1);
            items.push(Placed { mark: marks[*tag], item: Item::Link(Link { area, target, label }) });
        }
        line.place_by(at, |tag| marks.get(tag).copied().unwrap_or(LAYOUT), items);
    }

    fn steps(&mut self, steps: &[Step], node: NodeId) {
        let list = self.structure.add(Role::List(true), Some(node));
        let style = self.setter.style("step").clone();
        let indent = self.indent();
        for (number, step) in steps.iter().enumerate() {
            let item = self.structure.add(Role::ListItem, Some(list));
            let label = self.structure.add(Role::ListLabel, Some(item));
            let body = self.structure.add(Role::ListBody, Some(item));
            for caution in &step.cautions {
                self.caution(caution, body, true);
            }
            let paragraph = self.structure.add(Role::Paragraph, Some(body));
            let (left, measure) = (self.columns.text_left + indent, self.columns.text - indent);
            let keep = if step.figure.is_some() { Keep::WholeAndNext } else { Keep::Whole };
            let first = self.lines("step", &step.text, left, measure, paragraph, keep);
            let figure = self.setter.line_in("row-number", &(number + 1).to_string(), style.size, self.colours.accent);
            let x = left - Length::mm(2.6) - figure.width;
            let y = self.setter.baseline(&style);
            self.label(first, figure, Point::new(x, y), label);
            if let Some(figure) = &step.figure {
                self.figure(figure, body);
            }
        }
    }

    /// Room for hanging numbers and boxes: the gutter where there is a side column, an indent elsewhere.
    fn indent(&self) -> Length {
        if self.columns.side > Length::ZERO { Length::ZERO } else { Length::mm(7.5) * self.grown() }
    }

    /// How much larger boxes, arrows and patches of colour are than beside running text of the usual size. They grow
    /// more slowly than letters: they are seen, not read.
    pub(super) fn grown(&self) -> f64 {
        1.0 + ((self.setter.style("body").size / USUAL_TEXT).max(1.0) - 1.0) * 0.5
    }

    fn bullets(&mut self, entries: &[Text], node: NodeId) {
        let list = self.structure.add(Role::List(false), Some(node));
        let style = self.setter.style("step").clone();
        let indent = Length::mm(4.5) * self.grown();
        for entry in entries {
            let item = self.structure.add(Role::ListItem, Some(list));
            let label = self.structure.add(Role::ListLabel, Some(item));
            let body = self.structure.add(Role::ListBody, Some(item));
            let left = self.columns.text_left + indent;
            let first = self.lines("step", entry, left, self.columns.text - indent, body, Keep::Loose);
            let bullet = self.setter.line_in("step", "•", style.size, self.colours.accent);
            let y = self.setter.baseline(&style);
            self.label(first, bullet, Point::new(left - indent + Length::mm(0.5), y), label);
        }
    }

    /// A label beside a piece. It is drawn first, as it is read: those who follow the order of drawing hear the same.
    fn label(&mut self, piece: usize, line: SetLine, at: Point, node: NodeId) {
        let mut items = Vec::new();
        line.place(at, Mark::Node(node), &mut items);
        if let Some(piece) = self.galley.pieces.get_mut(piece) {
            piece.items.splice(0..0, items);
        }
    }

    fn ticks(&mut self, lines: &[TickLine], node: NodeId) {
        let list = self.structure.add(Role::List(false), Some(node));
        let style = self.setter.style("tick").clone();
        let indent = self.indent();
        for line in lines {
            let item = self.structure.add(Role::ListItem, Some(list));
            let label = self.structure.add(Role::ListLabel, Some(item));
            let form = self.structure.add(Role::Form, Some(label));
            let body = self.structure.add(Role::ListBody, Some(item));
            let mut left = self.columns.text_left + indent;
            let grown = self.grown();
            let box_left = left - Length::mm(7.0) * grown;
            let swatch_room = if line.swatch.is_some() { Length::mm(6.5) * grown } else { Length::ZERO };
            let swatch_left = left;
            left += swatch_room;
            let measure = self.columns.text - indent - swatch_room;
            let first = self.lines("tick", &line.text, left, measure, body, Keep::Whole);
            let middle = style.leading / 2.0;
            let mut items = Vec::new();
            let box_at = Point::new(box_left + Length::mm(2.1) * grown, middle);
            self.tick_box(box_at, &line.field, &line.spoken, form, &mut items);
            if let Some(swatch) = &line.swatch {
                let side = Length::mm(4.2) * grown;
                self.swatch(swatch, Rect::new(swatch_left, middle - side / 2.0, side, side), &mut items);
            }
            if let Some(piece) = self.galley.pieces.get_mut(first) {
                piece.items.extend(items);
            }
        }
    }

    /// An empty box with a tick field over it, centred on a point.
    pub(super) fn tick_box(&self, at: Point, field: &str, spoken: &str, form: NodeId, items: &mut Vec<Placed>) {
        let side = Length::mm(3.6) * self.grown();
        let target = Length::mm(6.4) * self.grown();
        let area = |size: Length| Rect::new(at.x - size / 2.0, at.y - size / 2.0, size, size);
        items.push(draw::shape(LAYOUT, draw::frame(area(side), self.colours.text, Length::pt(0.7))));
        items.push(Placed {
            mark: Mark::Node(form),
            item: Item::Tick(Tick {
                area: area(target),
                field: field.to_string(),
                label: spoken.into(),
                colour: self.colours.accent,
            }),
        });
    }

    /// A yarn's patch of colour with its symbol, drawn like a cell of the chart.
    pub(super) fn swatch(&self, swatch: &Swatch, area: Rect, items: &mut Vec<Placed>) {
        let ink = super::inks::cell_ink(swatch.colour, &swatch.symbol, self.parts.ink, area.size);
        items.extend(draw::sample(area, ink, self.colours.rule));
    }

    pub(super) fn caution(&mut self, caution: &Caution, node: NodeId, keep_with_next: bool) {
        let paragraph = self.structure.add(Role::Paragraph, Some(node));
        let style = self.setter.style("caution").clone();
        let mut text: Text = vec![Inline::Strong(format!("{}  ", caution.word))];
        text.extend(caution.text.iter().cloned());
        let indent = self.indent().max(Length::mm(1.0));
        let left = self.columns.text_left + indent;
        let keep = if keep_with_next { Keep::WholeAndNext } else { Keep::Whole };
        let first = self.lines("caution", &text, left, self.columns.text - indent, paragraph, keep);
        let count = self.galley.pieces.len() - first;
        let grave = match caution.signal {
            Signal::Warning | Signal::Caution => true,
            Signal::Notice => false,
        };
        // A bar beside all its lines; the alert triangle (ISO 7010 form, drawn plain) beside the first.
        let bar = left - Length::mm(2.4);
        let grown = self.grown();
        for (i, piece) in self.galley.pieces[first..].iter_mut().enumerate() {
            let extra = if i + 1 == count { Length::ZERO } else { piece.after };
            let (from, to) = (Point::new(bar, Length::ZERO), Point::new(bar, piece.height + extra));
            piece.items.push(draw::shape(LAYOUT, draw::rule(from, to, self.colours.accent, Length::pt(1.4))));
            if i == 0 && grave {
                let side = Length::mm(3.6) * grown;
                let right = bar - Length::mm(1.4);
                let middle = style.leading / 2.0;
                alert(
                    Rect::new(right - side, middle - side * 0.45, side, side * 0.9),
                    self.colours.accent,
                    &mut piece.items,
                );
            }
        }
    }

    fn figure(&mut self, figure: &FigureBlock, node: NodeId) {
        // A heading and its first lines stay with the figure.
        let room = |measure| Size::new(measure, self.columns.height * 0.78);
        let grown = (self.setter.style("label").size / super::USUAL_LABEL).max(1.0);
        let rows = |measure| self.parts.rows_of_figure(&figure.name, room(measure), grown);
        let (text_left, text) = self.text_column();
        // Stages are followed best in one row: where it saves rows, a figure runs over the side column too.
        let wide = self.columns.side > Length::ZERO && rows(self.columns.full) < rows(text);
        let (left, measure) = if wide { (Length::ZERO, self.columns.full) } else { (text_left, text) };
        let room = room(measure);
        let Some(drawn) = self.parts.figure(&figure.name, room, grown, figure.mirrored) else { return };
        let element = self.structure.add(Role::Figure, Some(node));
        self.structure.get_mut(element).alt = Some(figure.alt.clone());
        let mark = Mark::Node(element);
        let mut items: Vec<Placed> =
            drawn.shapes.into_iter().map(|shape| draw::shape(mark, moved(shape, left, Length::ZERO))).collect();
        let style = self.setter.style("label").clone();
        let paper = Some(self.parts.figure_colours.paper);
        self.drawn_labels(&drawn.labels, &figure.labels, (left, measure), (mark, paper), &mut items);
        for stage in &drawn.numbers {
            let line =
                self.setter.line_in("row-number", &stage.number.to_string(), style.size * 1.2, self.colours.accent);
            line.place(Point::new(left + stage.at.x, stage.at.y + style.size * 0.4), mark, &mut items);
        }
        self.block_with_caption(items, drawn.size.height, wide, figure.caption.as_ref(), element, left, measure);
    }

    /// Sets the words of a drawing at their places; `words` pairs their keys with them. With a paper colour they stand on
    /// a patch of it, so that they can be read where they lie over a cord.
    fn drawn_labels(
        &mut self,
        labels: &[super::figure::Label],
        words: &[(String, String)],
        (left, measure): (Length, Length),
        (mark, paper): (Mark, Option<Colour>),
        items: &mut Vec<Placed>,
    ) {
        let style = self.setter.style("label").clone();
        let rim = Length::pt(0.8);
        for label in labels {
            let Some((_, words)) = words.iter().find(|(key, _)| *key == label.key) else { continue };
            // No word of a label is cut, however little room it has.
            let room = label.room.max(Length::mm(8.0)).max(self.setter.longest_piece("label", words, false));
            let lines = self.setter.paragraph("label", &vec![Inline::Plain(words.clone())], room);
            for (i, line) in lines.into_iter().enumerate() {
                let x = match label.align {
                    super::figure::LabelAlign::Left => label.at.x,
                    super::figure::LabelAlign::Centre => label.at.x - line.width / 2.0,
                    super::figure::LabelAlign::Right => label.at.x - line.width,
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

    fn hung_panel(&mut self, hung: &HungPanel, node: NodeId) {
        let room = Size::new(self.columns.full, self.columns.height * 0.62);
        let label = self.setter.style("label");
        let kind = super::hung_panel::Type { size: label.size, leading: label.leading };
        let drawn = super::hung_panel::draw(hung, room, self.colours.quiet, kind);
        let element = self.structure.add(Role::Figure, Some(node));
        self.structure.get_mut(element).alt = Some(hung.alt.clone());
        let mark = Mark::Node(element);
        let mut items: Vec<Placed> = drawn.shapes.into_iter().map(|shape| draw::shape(mark, shape)).collect();
        self.drawn_labels(&drawn.labels, &hung.labels, (Length::ZERO, room.width), (mark, None), &mut items);
        let caption = hung.caption.as_ref();
        self.block_with_caption(items, drawn.size.height, true, caption, element, Length::ZERO, room.width);
    }

    /// Pushes a block of drawn things with its caption: in the side column where there is one, below elsewhere. The caption
    /// belongs to the figure.
    fn block_with_caption(
        &mut self,
        mut items: Vec<Placed>,
        height: Length,
        wide: bool,
        caption: Option<&Text>,
        figure: NodeId,
        left: Length,
        measure: Length,
    ) {
        let gap = Length::mm(2.0);
        let mut side = Length::ZERO;
        let mut below = None;
        if let Some(caption) = caption {
            let style = self.setter.style("caption").clone();
            let element = self.structure.add(Role::Caption, Some(figure));
            if self.columns.side > Length::ZERO && !wide {
                let lines = self.setter.paragraph("caption", caption, self.columns.side);
                side = style.leading * lines.len() as f64;
                for (i, line) in lines.into_iter().enumerate() {
                    let y = style.leading * i as f64 + self.setter.baseline(&style);
                    line.place(Point::new(Length::ZERO, y), Mark::Node(element), &mut items);
                }
            } else {
                below = Some((caption, element));
            }
        }
        self.push(Piece {
            height,
            side,
            wide,
            before: Length::mm(2.5),
            after: if below.is_some() { gap } else { Length::mm(4.5) },
            keep: below.is_some(),
            items,
            ..Piece::default()
        });
        if let Some((caption, element)) = below {
            self.lines("caption", caption, left, measure, element, Keep::Whole);
        }
    }

    fn as_knotted(&mut self, drawing: &crate::manuscript::AsKnotted, room: Size, node: NodeId) {
        let drawn = self.parts.as_knotted(&drawing.grid, room);
        let element = self.structure.add(Role::Figure, Some(node));
        self.structure.get_mut(element).alt = Some(drawing.alt.clone());
        let mark = Mark::Node(element);
        let items: Vec<Placed> = drawn.shapes.into_iter().map(|s| draw::shape(mark, s)).collect();
        let height = drawn.area_used.bottom();
        self.block_with_caption(items, height, true, drawing.caption.as_ref(), element, Length::ZERO, room.width);
    }

    fn picture(
        &mut self,
        manuscript: &Manuscript,
        picture: usize,
        cut_above: Option<f64>,
        alt: &str,
        caption: Option<&Text>,
        room: Size,
        node: NodeId,
    ) {
        let Some(file) = manuscript.pictures.get(picture) else { return };
        let (w, h) = (f64::from(file.pixels.0.max(1)), f64::from(file.pixels.1.max(1)));
        let scale = match cut_above {
            Some(_) => room.width / w,
            None => (room.width / w).min(room.height / h),
        };
        let whole = Size::new(scale * w, scale * h);
        let shown = Size::new(whole.width, whole.height.min(room.height));
        let left = (room.width - whole.width) / 2.0;
        let above = (whole.height - shown.height) * cut_above.unwrap_or(0.0);
        let area = Rect::new(left, -above, whole.width, whole.height);
        let clip = Rect::new(left, Length::ZERO, shown.width, shown.height);
        let element = self.structure.add(Role::Figure, Some(node));
        self.structure.get_mut(element).alt = Some(alt.to_string());
        let placed = PlacedPicture { picture, area, clip };
        let items = vec![Placed { mark: Mark::Node(element), item: Item::Picture(placed) }];
        self.block_with_caption(items, shown.height, true, caption, element, Length::ZERO, room.width);
    }

    /// The cover: words above, the picture in what room is left, the rest at the foot.
    fn cover(&mut self, blocks: &[Block], node: NodeId) {
        let columns = self.columns;
        self.columns.text_left = Length::ZERO;
        self.columns.text = columns.full;
        self.columns.side = Length::ZERO;
        let picture_at = blocks
            .iter()
            .position(|b| alone(b).is_some_and(|b| matches!(b, Block::AsKnotted(_) | Block::Picture { .. })))
            .unwrap_or(blocks.len());
        let start = self.galley.pieces.len();
        for block in &blocks[..picture_at] {
            self.cover_words(block, node);
        }
        // What stands below is set first, to know the room; its place in the galley comes after the picture.
        let above: Length = self.galley.pieces[start..].iter().map(|p| p.before + p.height + p.after).sum();
        let room_for_foot = self.setter.style("body").leading * (blocks.len() - picture_at) as f64 * 1.7;
        if let Some(block) = blocks.get(picture_at) {
            let room = Size::new(columns.full, columns.height - above - room_for_foot - Length::mm(22.0));
            self.push(Piece { height: Length::mm(6.0), keep: true, ..Piece::default() });
            let set = |setting: &mut Self| match alone(block) {
                Some(Block::AsKnotted(drawing)) => setting.as_knotted(drawing, room, node),
                Some(Block::Picture { picture, cut_above, alt, caption }) => {
                    let pictures = setting.parts.pictures;
                    setting.picture(pictures, *picture, *cut_above, alt, caption.as_ref(), room, node);
                }
                _ => {}
            };
            match block {
                Block::InLanguage(tag, _) => self.in_language(tag, node, set),
                _ => set(self),
            }
        }
        for block in blocks.iter().skip(picture_at + 1) {
            let first = self.galley.pieces.len();
            self.cover_words(block, node);
            for piece in &mut self.galley.pieces[first..] {
                piece.kind = Kind::Foot;
            }
        }
        self.columns = columns;
    }

    /// Paragraphs of the cover, in whatever language.
    fn cover_words(&mut self, block: &Block, node: NodeId) {
        match block {
            Block::Paragraph(style, text) => self.paragraph(style, text, node),
            Block::InLanguage(tag, blocks) => self.in_language(tag, node, |setting| {
                blocks.iter().for_each(|block| setting.cover_words(block, node));
            }),
            _ => {}
        }
    }

    fn facts(&mut self, facts: &[(Text, Text)], node: NodeId) {
        let table = self.structure.add(Role::Table, Some(node));
        // Values are looked up, not read: their words stay whole.
        let style = Style { hyphenate: false, ..self.setter.style("body").clone() };
        let head_style = self.setter.style("table-head").clone();
        let hangs = self.columns.side > Length::ZERO;
        // So are the names', on narrow pages too, as long as half the measure is left for the values.
        let pieces = facts.iter().map(|(name, _)| self.setter.longest_piece("table-head", &words_of(name), false));
        let widest = pieces.fold(Length::ZERO, Length::max) + Length::pt(0.2);
        let (name_left, name_width) = match hangs {
            true => (Length::ZERO, self.columns.side),
            false => (self.columns.text_left, (self.columns.text * 0.34).max(widest.min(self.columns.text * 0.5))),
        };
        let name_style = Style { hyphenate: head_style.hyphenate && !widest.fits(name_width), ..head_style.clone() };
        let (left, measure) = match hangs {
            true => self.text_column(),
            false => {
                let gap = Length::mm(4.0);
                (name_left + name_width + gap, self.columns.text - name_width - gap)
            }
        };
        let pad = Length::pt(3.5);
        let count = facts.len();
        for (at, (name, value)) in facts.iter().enumerate() {
            let row = self.structure.add(Role::TableRow, Some(table));
            let head = self.structure.add(Role::RowHead, Some(row));
            let cell = self.structure.add(Role::TableCell, Some(row));
            let names = self.setter.paragraph_as(&name_style, name, name_width);
            let values = self.setter.paragraph_as(&style, value, measure);
            let rows = names.len().max(values.len());
            let height = style.leading * rows as f64 + pad * 2.0;
            let mut items = Vec::new();
            let (from, to) =
                (Point::new(name_left, Length::ZERO), Point::new(self.columns.full.min(left + measure), Length::ZERO));
            items.push(draw::shape(LAYOUT, draw::rule(from, to, self.colours.rule, self.edition.look.table_rule)));
            let baseline = pad + self.setter.baseline(&style);
            for (i, line) in names.into_iter().enumerate() {
                let at = Point::new(name_left, baseline + head_style.leading * i as f64);
                line.place(at, Mark::Node(head), &mut items);
            }
            let marks = self.inline_marks(value, cell);
            for (i, line) in values.into_iter().enumerate() {
                let at = Point::new(left, baseline + style.leading * i as f64);
                self.place_line(line, value, &marks, at, &style, &mut items);
            }
            // Neither the first fact nor the last stands alone on its page.
            let keep = at == 0 && count > 1 || at + 2 == count;
            self.push(Piece { height, wide: hangs, keep, items, ..Piece::default() });
        }
        if let Some(last) = self.galley.pieces.last_mut() {
            last.after = style.after * 1.5;
        }
    }

    /// Boxes to tape a snip into, three or four in a row, whichever takes fewer rows (two on narrow paper).
    fn snips(&mut self, snips: &[Snip], blank: &str, node: NodeId) {
        let list = self.structure.add(Role::List(false), Some(node));
        let across = match self.columns.full > Length::mm(150.0) {
            true if snips.len().div_ceil(4) < snips.len().div_ceil(3) => 4,
            true => 3,
            false => 2,
        };
        let gap = Length::mm(5.0);
        let width = (self.columns.full - gap * (across as f64 - 1.0)) / across as f64;
        let box_height = Length::mm(15.0);
        let style = self.setter.style("small").clone();
        let line_height = Length::mm(7.0).max(self.setter.style("label").leading);
        let lines = snips.iter().map(|s| s.lines.len()).max().unwrap_or(0);
        let height = box_height + style.leading + Length::mm(2.5) + line_height * lines as f64;
        for group in snips.chunks(across) {
            let mut items = Vec::new();
            for (place, snip) in group.iter().enumerate() {
                let x = (width + gap) * place as f64;
                let item = self.structure.add(Role::ListItem, Some(list));
                let body = self.structure.add(Role::ListBody, Some(item));
                let frame = Rect::new(x, Length::ZERO, width, box_height);
                let mut outline = draw::frame(frame, self.colours.rule, Length::pt(0.6));
                if let Some(stroke) = &mut outline.stroke {
                    stroke.dash = vec![Length::pt(2.5), Length::pt(2.0)];
                }
                items.push(draw::shape(LAYOUT, outline));
                let side = Length::mm(4.2) * self.grown();
                let y = box_height + Length::mm(1.5);
                self.swatch(&snip.swatch, Rect::new(x, y, side, side), &mut items);
                let baseline = y + side / 2.0 + style.size * 0.34;
                let name_left = x + side + Length::mm(2.0);
                let name = self.setter.line_within("small", &snip.name, x + width - name_left);
                let paragraph = self.structure.add(Role::Paragraph, Some(body));
                name.place(Point::new(name_left, baseline), Mark::Node(paragraph), &mut items);
                for (i, words) in snip.lines.iter().enumerate() {
                    let y = y + side + line_height * (i as f64 + 0.85);
                    let label = self.setter.line("label", words);
                    let from = Point::new(x + label.width + Length::mm(1.5), y + Length::pt(1.0));
                    let paragraph = self.structure.add(Role::Paragraph, Some(body));
                    label.place(Point::new(x, y), Mark::Node(paragraph), &mut items);
                    let to = Point::new(x + width, from.y);
                    let mark = self.blank(paragraph, format!(" {blank}"));
                    items.push(draw::shape(mark, draw::rule(from, to, self.colours.rule, Length::pt(0.5))));
                }
            }
            self.push(Piece { height, wide: true, after: Length::mm(5.0), items, ..Piece::default() });
        }
    }

    fn rows(&mut self, rows: &[WrittenRow], node: NodeId) {
        let list = self.structure.add(Role::List(false), Some(node));
        let style = self.setter.style("rows").clone();
        let hangs = self.columns.side > Length::ZERO;
        let grown = self.grown();
        let lead = Length::mm(26.0) * (1.0 + (grown - 1.0) * 0.6);
        let indent = if hangs { Length::ZERO } else { lead };
        for row in rows {
            let item = self.structure.add(Role::ListItem, Some(list));
            let label = self.structure.add(Role::ListLabel, Some(item));
            let form = self.structure.add(Role::Form, Some(label));
            let body = self.structure.add(Role::ListBody, Some(item));
            let left = self.columns.text_left + indent;
            let first = self.lines("rows", &row.sentence, left, self.columns.text - indent, body, Keep::Loose);
            let Some(count) = self.galley.pieces.len().checked_sub(first).filter(|c| *c > 0) else { continue };
            // A row is not cut in the middle of the work, unless the page would be left half empty for it.
            if (style.leading * count as f64).fits(self.columns.height * MOST_ROW) {
                self.galley.pieces[first..first + count - 1].iter_mut().for_each(|piece| piece.keep = true);
            }
            let middle = style.leading / 2.0;
            let mut items = Vec::new();
            let number = self.setter.line("row-number", &row.number);
            let right = left - Length::mm(3.0);
            let (arrow, thick) = (Length::mm(3.2) * grown, Length::mm(1.5) * grown);
            let arrow_area = Rect::new(right - arrow, middle - thick / 2.0, arrow, thick);
            items.push(draw::shape(LAYOUT, draw::arrow(arrow_area, row.left_to_right, self.colours.quiet)));
            let x = right - arrow - Length::mm(1.5) - number.width;
            number.place(Point::new(x, self.setter.baseline(&style)), LAYOUT, &mut items);
            let box_at = Point::new(left - lead + Length::mm(4.0) * grown, middle);
            self.tick_box(box_at, &row.field, &row.spoken, form, &mut items);
            self.galley.pieces[first].items.extend(items);
        }
    }

    /// The mark of a line to write on, which is spoken as `words`.
    fn blank(&mut self, paragraph: NodeId, words: String) -> Mark {
        let node = self.structure.add(Role::Span, Some(paragraph));
        self.structure.get_mut(node).actual = Some(words);
        Mark::Node(node)
    }

    /// A ruler to check the scale of a print.
    fn ruler(&mut self, caption: &Text, [millimetres, inches]: &[String; 2], alt: &str, node: NodeId) {
        let element = self.structure.add(Role::Figure, Some(node));
        self.structure.get_mut(element).alt = Some(alt.to_owned());
        let mark = Mark::Node(element);
        let left = self.columns.text_left;
        let top = Length::mm(7.0);
        let mut items = draw::ruler(Point::new(left, top), Length::mm(4.0), mark, self.colours.text);
        let size = self.setter.style("label").size;
        for (words, x, y) in [
            (millimetres, Length::mm(50.0), top - Length::mm(5.0)),
            (inches, Length::inches(2.0), top + Length::mm(5.0) + size * 0.7),
        ] {
            let line = self.setter.line("label", words);
            let x = left + x - line.width / 2.0;
            line.place(Point::new(x, y), mark, &mut items);
        }
        let (text_left, measure) = self.text_column();
        self.block_with_caption(items, Length::mm(15.0), false, Some(caption), element, text_left, measure);
    }

    fn fill_in(&mut self, lines: &[(Text, Text)], spoken: &str, node: NodeId) {
        let style = self.setter.style("body").clone();
        let (left, measure) = self.text_column();
        // Blanks stand below each other where there is room.
        let widest =
            lines.iter().map(|l| self.setter.line("body", &words_of(&l.0)).width).fold(Length::ZERO, Length::max);
        for (number, (before, after)) in lines.iter().enumerate() {
            let paragraph = self.structure.add(Role::Paragraph, Some(node));
            let blank = Length::mm(26.0);
            let after_width = self.setter.line("body", &words_of(after)).width;
            let room = measure - blank - after_width - Length::mm(3.0);
            let whole_words = Style { hyphenate: false, ..style.clone() };
            let rows = self.setter.paragraph_as(&whole_words, before, room);
            let widest = if widest.fits(room) { widest } else { Length::ZERO };
            let height = style.leading * rows.len() as f64 + Length::mm(3.0);
            let mut items = Vec::new();
            let mut end = (left, Length::ZERO);
            // A node's own content comes before its children: words before and after the blank have nodes of their own.
            let words = Mark::Node(self.structure.add(Role::Span, Some(paragraph)));
            for (i, line) in rows.into_iter().enumerate() {
                let y = Length::mm(3.0) + style.leading * i as f64 + self.setter.baseline(&style);
                end = (left + line.width.max(widest) + Length::mm(2.0), y);
                line.place(Point::new(left, y), words, &mut items);
            }
            let (from, to) =
                (Point::new(end.0, end.1 + Length::pt(1.5)), Point::new(end.0 + blank, end.1 + Length::pt(1.5)));
            let mark = self.blank(paragraph, format!(" {spoken} "));
            items.push(draw::shape(mark, draw::rule(from, to, self.colours.text, Length::pt(0.5))));
            let words = Mark::Node(self.structure.add(Role::Span, Some(paragraph)));
            let line = self.setter.line("body", &words_of(after));
            line.place(Point::new(to.x + Length::mm(1.5), end.1), words, &mut items);
            let after = if number + 1 == lines.len() { Length::mm(4.0) } else { Length::mm(1.5) };
            self.push(Piece { height, after, items, ..Piece::default() });
        }
    }

    fn contents(&mut self, manuscript: &Manuscript, node: NodeId) {
        let list = self.structure.add(Role::Contents, Some(node));
        let style = self.setter.style("contents").clone();
        let left = self.columns.text_left;
        let folio_of = |setter: &Setter, id: &str| setter.pages.get(id).cloned().unwrap_or_else(|| "00".to_string());
        let widths =
            manuscript.sections.iter().map(|s| self.setter.line("contents", &folio_of(self.setter, &s.id)).width);
        let widest = widths.fold(Length::mm(8.0), Length::max);
        for section in &manuscript.sections {
            let Some(title) = section.title.as_ref().filter(|_| section.id != "contents") else { continue };
            let entry = self.structure.add(Role::ContentsItem, Some(list));
            let link = self.structure.add(Role::Link, Some(entry));
            let y = self.setter.baseline(&style);
            let folio = folio_of(self.setter, &section.id);
            let number = self.setter.line_in("contents", &folio, style.size, self.colours.accent);
            let mut items = Vec::new();
            let target = Target::Address(format!("section:{}", section.id));
            let title_line = self.setter.line("contents", title);
            let number_left = if self.columns.side > Length::ZERO {
                left - Length::mm(4.0) - number.width
            } else {
                left + widest - number.width
            };
            let title_left = if self.columns.side > Length::ZERO { left } else { left + widest + Length::mm(4.0) };
            let area = Rect::new(number_left, Length::ZERO, title_left + title_line.width - number_left, style.leading);
            // Eyes see a number beside a title; ears are told that it is a page.
            let page = format!(", {}", super::chart::fill(&manuscript.furniture.page, &[("page", folio)]));
            let label = format!("{title}{page}");
            items.push(Placed { mark: Mark::Node(link), item: Item::Link(Link { area, target, label }) });
            title_line.place(Point::new(title_left, y), Mark::Node(link), &mut items);
            number.spoken(page).place(Point::new(number_left, y), Mark::Node(link), &mut items);
            self.push(Piece { height: style.leading, items, ..Piece::default() });
        }
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

/// The plain words of a text.
pub fn words_of(text: &Text) -> String {
    text.iter()
        .map(|inline| match inline {
            Inline::Plain(t) | Inline::Strong(t) | Inline::Italic(t) | Inline::Address(t, _) => t.as_str(),
            Inline::PageOf(_) => "",
        })
        .collect()
}

/// A shape moved right and down.
pub fn moved(mut shape: Shape, dx: Length, dy: Length) -> Shape {
    use crate::page::Segment;
    for segment in &mut shape.outline {
        *segment = match *segment {
            Segment::Move(p) => Segment::Move(p.moved(dx, dy)),
            Segment::Line(p) => Segment::Line(p.moved(dx, dy)),
            Segment::Curve(a, b, c) => Segment::Curve(a.moved(dx, dy), b.moved(dx, dy), c.moved(dx, dy)),
            Segment::Close => Segment::Close,
        };
    }
    shape
}

/// The general alert sign: a triangle with an exclamation mark.
fn alert(area: Rect, colour: Colour, items: &mut Vec<Placed>) {
    let (x, w, h) = (area.centre().x, area.size.width, area.size.height);
    let apex = Point::new(x, area.top());
    let (a, b) = (Point::new(area.left(), area.bottom()), Point::new(area.right(), area.bottom()));
    items.push(draw::shape(LAYOUT, draw::triangle(apex, b, a, colour)));
    let bar = Rect::new(x - w * 0.055, area.top() + h * 0.34, w * 0.11, h * 0.34);
    items.push(draw::shape(LAYOUT, draw::ground(bar, Colour::WHITE)));
    let dot = Shape {
        outline: draw::disc_outline(Point::new(x, area.top() + h * 0.81), w * 0.065),
        fill: Some(Colour::WHITE),
        stroke: None,
    };
    items.push(draw::shape(LAYOUT, dot));
}
