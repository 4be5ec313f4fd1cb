//! The upper part of a sheet: its title, the key with counts, and the sheet finder.

use super::key::{KeyLay, SampleLook};
use super::legend::Legend;
use super::{ChartSheets, range_title};
use crate::catalogue::{SectionName, StyleName};
use crate::colour::Colour;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::setting::Setter;
use crate::compose::tile::SheetCells;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::ChartBlock;
use crate::markup::filled;
use crate::page::{Item, Link, Mark, NodeId, PlacedItem, Role, Shape, Stroke, Structure, Target};

const FINDER: Size = Size::new(Length::mm(26.0), Length::mm(18.0));
/// The size of notes that the finder was drawn for; beside larger ones it is larger too.
const USUAL_NOTES: Length = Length::pt(8.0);
/// How many times as large it may become.
const MAX_FINDER: f64 = 2.0;
/// On so many sheets the key is said on each of them.
const KEY_SAID: usize = 4;
/// How small type and samples of a long key may be set, the largest first.
const SCALES: [f64; 4] = [1.0, 0.9, 0.8, 0.72];
/// Cells are to have this share of a sheet's height, or the key is set smaller.
const SHARE_OF_CELLS: f64 = 0.45;
/// In any case so many rows are to have room.
const MIN_ROWS: f64 = 3.0;
/// Type of this size or more is made for people who cannot read smaller: a key is not set smaller, and gives way to a few
/// rows only.
const LARGE_PRINT: Length = Length::pt(16.0);
/// Unless not even these rows had room beside it.
const SCALES_OF_LARGE_PRINT: [f64; 7] = [1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4];
/// On a narrow sheet the finder takes no more than this share of its width.
const SHARE_OF_FINDER: f64 = 0.28;
/// Between the finder and what stands at its left.
const BESIDE_FINDER: Length = Length::mm(4.0);
/// A chart of more sheets is hardly worked from; where it is, the titles of those may come near the finder.
const MAX_SHEETS: usize = 999;
/// The mark of a sheet on the map is no smaller than this.
const MIN_MARK: Length = Length::pt(2.0);
/// Sheets that would be smaller on the map have no borders there.
const MIN_ON_MAP: Length = Length::pt(2.5);
/// Between the section's title and the sheet's.
const AFTER_SECTION: Length = Length::mm(2.5);
/// A long title gives way to the map down to this share of its size.
const MIN_TITLE: f64 = 0.7;
/// Between the title and what the sheet shows.
const AFTER_TITLE: Length = Length::mm(5.0);

/// How the upper part is divided on sheets of one width.
pub(super) struct Head {
    /// Of the whole part, with the space below it.
    pub height: Length,
    /// On so many lines what the sheet shows stands below its title; 0: beside it.
    range_lines: usize,
    pub key: KeyLay,
    /// What marks in the cells mean; without entries where there are none.
    pub legend: Legend,
    finder: Size,
    /// Words about a sheet are so many times as large as their style says.
    pub note_scale: f64,
}

fn range_line(block: &ChartBlock, sheet: &SheetCells) -> String {
    range_words_of(block, sheet, "  ·  ")
}

/// The columns and rows of a sheet, with something between them.
fn range_words_of(block: &ChartBlock, sheet: &SheetCells, between: &str) -> String {
    ranges_of(block, sheet).join(between)
}

fn ranges_of(block: &ChartBlock, sheet: &SheetCells) -> [String; 2] {
    let words = &block.words;
    [
        range_title(&words.columns, &words.one_column, &sheet.columns),
        range_title(&words.rows, &words.one_row, &sheet.rows),
    ]
}

/// Whether the section's title was said before.
fn is_titled(structure: &Structure, section: NodeId) -> bool {
    structure.get(section).children.iter().any(|&n| structure.get(n).role == Role::Heading(SECTION))
}

/// The levels of a section's title and of a sheet's.
const SECTION: u8 = 2;
const SHEET: u8 = 3;

impl Head {
    /// For sheets with room of this size; `rest` of its height is taken by other things than the head and the cells where
    /// words about a sheet are so many times as large as usual; cells are at least so high.
    pub fn of(
        block: &ChartBlock,
        setter: &Setter,
        room: Size,
        rest: impl Fn(f64) -> Length,
        (least_cell, look, marks): (Length, SampleLook, bool),
    ) -> Head {
        let rows = least_cell * MIN_ROWS.min(block.rows.len() as f64);
        let all = least_cell * block.rows.len() as f64;
        let large = LARGE_PRINT.fits(setter.style(StyleName::Key).size);
        let wanted = if large { rows } else { rows.max((room.height * SHARE_OF_CELLS).min(all)) };
        let scales = if large { &SCALES_OF_LARGE_PRINT[..] } else { &SCALES[..] };
        // Where a long key leaves no rows at all, the map gives its room to it.
        let ways = [true, false].into_iter().flat_map(|map| scales.iter().map(move |scale| (*scale, map)));
        let heads: Vec<Head> =
            ways.map(|(scale, map)| Head::scaled(block, setter, room.width, (scale, map), (look, marks))).collect();
        let enough = heads.iter().position(|head| (head.height + rest(head.note_scale) + wanted).fits(room.height));
        let least = heads.iter().map(|head| head.height).reduce(Length::min).unwrap_or_default();
        let lowest = heads.iter().position(|head| head.height.fits(least)).unwrap_or(0);
        let chosen = heads.into_iter().nth(enough.unwrap_or(lowest));
        chosen.unwrap_or_else(|| Head::scaled(block, setter, room.width, (1.0, true), (look, marks)))
    }

    /// Width left of the map, if there is one.
    fn beside_finder(width: Length, finder: Size) -> Length {
        if finder.width > Length::ZERO { width - finder.width - BESIDE_FINDER } else { width }
    }

    fn scaled(
        block: &ChartBlock,
        setter: &Setter,
        width: Length,
        (scale, map): (f64, bool),
        (look, marks): (SampleLook, bool),
    ) -> Head {
        let larger = (setter.style(StyleName::SheetNote).size / USUAL_NOTES).clamp(1.0, MAX_FINDER);
        // The largest numbers that can come; a sheet's own are never wider.
        let all = SheetCells::whole(block.columns.max(100), block.rows.len().max(100));
        let most = (block.columns * block.rows.len()).min(MAX_SHEETS).to_string();
        let sheet = filled(&block.words.sheet, &[("sheet", most.clone()), ("sheets", most)]);
        let wide = |words: &str| setter.line(StyleName::SheetTitle, words).width;
        let title = wide(&block.words.title) + AFTER_SECTION + wide(&sheet);
        let beside = (width - title * MIN_TITLE - BESIDE_FINDER).max(Length::ZERO).min(width * SHARE_OF_FINDER);
        let finder = match map {
            true => Size::new((FINDER.width * larger).min(beside), FINDER.height * larger),
            false => Size::default(),
        };
        let room = Head::beside_finder(width, finder);
        let key = KeyLay::of(block, setter, room, scale, look);
        let range = setter.line(StyleName::SheetNote, &range_line(block, &all));
        let range_lines = match (title + AFTER_TITLE + range.width).fits(room) {
            true => 0,
            false => 1 + usize::from(!range.width.fits(room)),
        };
        let below = setter.style(StyleName::SheetNote).leading * range_lines as f64;
        let above = setter.style(StyleName::SheetTitle).leading + below + Length::mm(2.0);
        // Large words on a small sheet give way with the key to a few rows; usual ones are small enough.
        let large = LARGE_PRINT.fits(setter.style(StyleName::SheetNote).size);
        let note_scale = if large { scale } else { 1.0 };
        let legend = if marks { Legend::of(block, setter, room, note_scale) } else { Legend::default() };
        let height = (above + key.height() + legend.height()).max(finder.height);
        Head { height: height + Length::mm(1.5), range_lines, key, legend, finder, note_scale }
    }
}

impl ChartSheets<'_> {
    pub(super) fn title_and_range(
        &self,
        sheet: &SheetCells,
        index: usize,
        area: Rect,
        setter: &Setter,
        structure: &mut Structure,
        section: NodeId,
        out: &mut Vec<PlacedItem>,
    ) {
        let title_style = setter.style(StyleName::SheetTitle);
        let baseline = area.top() + title_style.size;
        let after = self.titles(index, Point::new(area.left(), baseline), area, setter, structure, section, out);
        self.range(sheet, after, Point::new(area.left(), baseline), setter, structure, section, out);
    }

    /// Whether a sheet's key is read. Of many sheets the later ones show it again for the eye: it was said once.
    pub(super) fn says_key(&self, index: usize) -> bool {
        index == 0 || self.plan.sheets.len() <= KEY_SAID
    }

    /// The key and the legend, to be read in `said_in` or to be seen only.
    pub(super) fn key_and_legend(
        &self,
        area: Rect,
        setter: &Setter,
        structure: &mut Structure,
        said_in: Option<NodeId>,
        out: &mut Vec<PlacedItem>,
    ) {
        let below = setter.style(StyleName::SheetNote).leading * self.head.range_lines as f64;
        let top = area.top() + setter.style(StyleName::SheetTitle).leading + below + Length::mm(2.0);
        self.key(Point::new(area.left(), top), setter, structure, said_in, out);
        let below = Point::new(area.left(), top + self.head.key.height());
        let room = Head::beside_finder(area.size.width, self.head.finder);
        self.legend(below, room, setter, structure, said_in, out);
    }

    /// The title of a sheet: "Sheet 2 of 6".
    pub fn title(&self, index: usize) -> String {
        let values = [("sheet", (index + 1).to_string()), ("sheets", self.plan.sheets.len().to_string())];
        filled(&self.block.words.sheet, &values)
    }

    /// The section's title, which is a heading where it was not said before, and the sheet's; says where they end.
    fn titles(
        &self,
        index: usize,
        at: Point,
        area: Rect,
        setter: &Setter,
        structure: &mut Structure,
        section: NodeId,
        out: &mut Vec<PlacedItem>,
    ) -> Length {
        let style = setter.style(StyleName::SheetTitle);
        let words = [self.block.words.title.clone(), self.title(index)];
        let natural = words.each_ref().map(|words| setter.line(StyleName::SheetTitle, words).width);
        let room = Head::beside_finder(area.size.width, self.head.finder) - AFTER_SECTION;
        let scale = (room / (natural[0] + natural[1])).min(1.0);
        let colour = setter.colour(style.colour);
        let set = |words: &str| setter.line_in(StyleName::SheetTitle, words, style.size * scale, colour);
        let mark = match is_titled(structure, section) {
            true => LAYOUT,
            false => Mark::Node(structure.add(Role::Heading(SECTION), Some(section))),
        };
        set(&words[0]).place(at, mark, out);
        let next = at.x + natural[0] * scale + AFTER_SECTION;
        let heading = structure.add(Role::Heading(SHEET), Some(section));
        set(&words[1]).place(Point::new(next, at.y), Mark::Node(heading), out);
        next + natural[1] * scale + AFTER_TITLE
    }

    /// The columns and rows that a sheet shows, beside the title or below it. Where the rows stand in words elsewhere, it
    /// leads there.
    fn range(
        &self,
        sheet: &SheetCells,
        after: Length,
        below: Point,
        setter: &Setter,
        structure: &mut Structure,
        section: NodeId,
        out: &mut Vec<PlacedItem>,
    ) {
        let note = setter.style(StyleName::SheetNote);
        let paragraph = structure.add(Role::Paragraph, Some(section));
        let set = |text: &str| setter.line(StyleName::SheetNote, text);
        let words = &self.block.words.rows_begin;
        let leads = setter.page_of(SectionName::RowsInWords).filter(|_| !words.is_empty());
        let label = leads.map(|page| filled(words, &[("page", page.to_owned())]));
        let node = match label {
            Some(_) => structure.add(Role::Link, Some(paragraph)),
            None => paragraph,
        };
        let said = range_words_of(self.block, sheet, ", ");
        let said = label.as_ref().map_or(said.clone(), |label| format!("{said}. {label}"));
        let lines = match self.head.range_lines {
            0 | 1 => vec![set(&range_line(self.block, sheet)).spoken(said)],
            _ => {
                let [columns, rows] = ranges_of(self.block, sheet).map(|range| set(&range));
                vec![columns.spoken(said), rows.spoken(String::new())]
            }
        };
        for (at, line) in lines.into_iter().enumerate() {
            let at = match self.head.range_lines {
                0 => Point::new(after, below.y),
                _ => Point::new(below.x, below.y + note.leading * (at + 1) as f64),
            };
            if let Some(label) = &label {
                let area = Rect::new(at.x, at.y - note.size * 0.8, line.width, note.size * 1.1);
                let link = Link { area, target: Target::Section(SectionName::RowsInWords), label: label.clone() };
                out.push(PlacedItem { mark: Mark::Node(node), item: Item::Link(link) });
            }
            line.place(at, Mark::Node(node), out);
        }
    }

    /// A small map of all sheets with this one marked, where there are several and room for it.
    pub(super) fn finder(&self, index: usize, area: Rect, setter: &Setter, out: &mut Vec<PlacedItem>) {
        if self.plan.sheets.len() < 2 || self.head.finder.width <= Length::ZERO {
            return;
        }
        let room = Size::new(self.head.finder.width, self.head.finder.height.min(self.head.height - Length::mm(2.0)));
        let (columns, rows) = (self.block.columns as f64, self.block.rows.len() as f64);
        let wide = self.cell.width * columns;
        let high = self.cell.height * rows;
        let scale = (room.width / wide).min(room.height / high);
        let size = Size::new(wide * scale, high * scale);
        let left = area.right() - size.width;
        let own = |sheet: &SheetCells| {
            let (across, down) = (sheet.own_columns(), sheet.own_rows());
            let x = left + size.width * (across.start as f64 / columns);
            let right = left + size.width * (across.end as f64 / columns);
            let y = area.top() + size.height * (down.start as f64 / rows);
            let bottom = area.top() + size.height * (down.end as f64 / rows);
            Rect::new(x, y, right - x, bottom - y)
        };
        let note = setter.style(StyleName::SheetNote).size;
        // Smaller than the notes, but not for people who need these.
        let figures = if LARGE_PRINT.fits(note) { note } else { note * 0.8 };
        let here = own(&self.plan.sheets[index]);
        // However small: it must be seen.
        let grown = Size::new(here.size.width.max(MIN_MARK), here.size.height.max(MIN_MARK));
        let corner = Point::new(here.centre().x - grown.width / 2.0, here.centre().y - grown.height / 2.0);
        let mark = Rect { origin: corner, size: grown };
        out.push(draw::shape(LAYOUT, draw::ground(mark, self.colours.accent)));
        let areas: Vec<Rect> = self.plan.sheets.iter().map(own).collect();
        // Of very many sheets the borders would be all there is to see: only the chart's own is drawn.
        let least = areas.iter().map(|area| area.size.width.min(area.size.height)).reduce(Length::min);
        let outline = match least.is_some_and(|least| MIN_ON_MAP.fits(least)) {
            true => draw::borders(&areas),
            false => draw::box_outline(Rect { origin: Point::new(left, area.top()), size }),
        };
        let stroke = Stroke { round: true, ..draw::line(self.edition.look.tens, Length::pt(0.5)) };
        out.push(draw::shape(LAYOUT, Shape { outline, fill: None, stroke: Some(stroke) }));
        for (number, area) in areas.into_iter().enumerate() {
            let colour = match number == index {
                true => Colour::WHITE,
                false => self.colours.quiet,
            };
            let label = setter.line_in(StyleName::SheetNote, &(number + 1).to_string(), figures, colour);
            if (label.width + Length::pt(2.0)).fits(area.size.width)
                && (figures + Length::pt(1.0)).fits(area.size.height)
            {
                let at = Point::new(area.centre().x - label.width / 2.0, area.centre().y + figures * 0.35);
                label.place(at, LAYOUT, out);
            }
        }
    }
}
