//! What every kind of block is set with: lines of text, marks, labels, boxes, samples.

use crate::catalogue::StyleName;
use crate::compose::colours::Colours;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::parts::Parts;
use crate::compose::piece::{Galley, Keep, Piece};
use crate::compose::setter::{SetLine, Setter};
use crate::compose::text_area::ColumnWidths;
use crate::edition::{Edition, Style};
use crate::geom::{Length, Point, Rect};
use crate::manuscript::{Inline, Swatch, Text};
use crate::markup::filled;
use crate::page::{Item, Link, Mark, NodeId, PlacedItem, Role, Structure, Target, Tick};

/// The size of running text that boxes and patches of colour were drawn for.
const USUAL_TEXT: Length = Length::pt(10.5);

/// Sets everything into pieces.
pub(crate) struct Setting<'a> {
    pub(super) setter: &'a Setter<'a>,
    pub(super) edition: &'a Edition,
    pub(super) colours: Colours,
    pub(super) columns: ColumnWidths,
    pub(super) parts: &'a Parts<'a>,
    pub(super) structure: &'a mut Structure,
    pub(super) galley: Galley,
    /// How many charts were set.
    pub(super) chart: usize,
}

impl<'a> Setting<'a> {
    /// An empty galley.
    pub(crate) fn new(
        setter: &'a Setter<'a>,
        edition: &'a Edition,
        colours: Colours,
        columns: ColumnWidths,
        parts: &'a Parts<'a>,
        structure: &'a mut Structure,
    ) -> Setting<'a> {
        Setting { setter, edition, colours, columns, parts, structure, galley: Galley::default(), chart: 0 }
    }

    pub(super) fn push(&mut self, piece: Piece) {
        self.galley.pieces.push(piece);
    }

    /// What is set below `node` meanwhile speaks this language.
    pub(super) fn in_language(&mut self, tag: &str, node: NodeId, set: impl FnOnce(&mut Self)) {
        let before = self.structure.get(node).children.len();
        set(self);
        let below: Vec<NodeId> = self.structure.get(node).children[before..].to_vec();
        for child in below {
            self.structure.get_mut(child).language = Some(tag.to_owned());
        }
    }

    pub(super) fn text_column(&self) -> (Length, Length) {
        (self.columns.text_left, self.columns.text)
    }

    pub(super) fn paragraph(&mut self, style: StyleName, text: &Text, node: NodeId) {
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

    pub(super) fn place_line(
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

    /// Room for hanging numbers and boxes: the gutter where there is a side column, an indent elsewhere.
    pub(super) fn indent(&self) -> Length {
        if self.columns.side > Length::ZERO { Length::ZERO } else { Length::mm(7.5) * self.grown() }
    }

    /// Where the words of rows begin on a page with a side column: lines are longer there, as rows are worked one by one with
    /// a finger or a rule below them, and a row of many runs is easier to hold on few lines.
    pub(super) fn rows_left(&self) -> Length {
        const REACH: f64 = 0.4;
        self.columns.text_left * (1.0 - REACH)
    }

    /// A label beside a piece. It is drawn first, as it is read: those who follow the order of drawing hear the same.
    pub(super) fn label(&mut self, piece: usize, line: SetLine, at: Point, node: NodeId) {
        let mut items = Vec::new();
        line.place(at, Mark::Node(node), &mut items);
        self.ahead(piece, items);
    }

    /// Draws items before what stands in a piece: those who follow the order of drawing hear them first.
    pub(super) fn ahead(&mut self, piece: usize, items: Vec<PlacedItem>) {
        if let Some(piece) = self.galley.pieces.get_mut(piece) {
            piece.items.splice(0..0, items);
        }
    }

    /// An empty box with a tick field over it, centred on a point.
    pub(super) fn tick_box(&self, at: Point, field: &str, spoken: &str, form: NodeId, items: &mut Vec<PlacedItem>) {
        let side = Length::mm(3.6) * self.grown();
        let target = Length::mm(6.4) * self.grown();
        let area = |size: Length| Rect::new(at.x - size / 2.0, at.y - size / 2.0, size, size);
        items.push(draw::shape(LAYOUT, draw::frame(area(side), self.colours.text, Length::pt(0.7))));
        items.push(PlacedItem {
            mark: Mark::Node(form),
            item: Item::Tick(Tick {
                area: area(target),
                field: field.to_string(),
                label: spoken.into(),
                colour: self.colours.accent,
            }),
        });
    }

    /// A yarn's symbol, drawn like a cell of the chart, and right of it a patch of the yarn's true colour where the ink shows
    /// that: as wide as [`Setting::swatch_width`] says.
    pub(super) fn swatch(&self, swatch: &Swatch, area: Rect, items: &mut Vec<PlacedItem>) {
        let ink = self.parts.palette.cell(swatch.colour, &swatch.symbol, area.size);
        items.extend(draw::sample(area, ink, self.colours.rule));
        if self.parts.palette.shows_true_colours() {
            let patch = Rect::new(area.right(), area.top(), area.size.height * draw::PATCH, area.size.height);
            items.extend(draw::patch(patch, swatch.colour, self.colours.rule));
        }
    }

    /// Width of a swatch whose symbol has this side.
    pub(super) fn swatch_width(&self, side: Length) -> Length {
        if self.parts.palette.shows_true_colours() { side * (1.0 + draw::PATCH) } else { side }
    }
}
