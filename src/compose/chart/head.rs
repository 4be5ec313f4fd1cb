//! The upper part of a sheet: its title, the key with counts, and the sheet finder.

use super::ranges::{range_line, range_words_of, ranges_of};
use super::room::head::{AFTER_SECTION, AFTER_TITLE, Head, LARGE_PRINT};
use super::sheets::ChartSheets;
use crate::catalogue::{SectionName, StyleName};
use crate::colour::Colour;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::setter::Setter;
use crate::compose::tile::SheetCells;
use crate::geom::{Length, Point, Rect, Size};
use crate::markup::filled;
use crate::page::{Item, Link, Mark, NodeId, PlacedItem, Role, Shape, Stroke, Structure, Target};

/// On so many sheets the key is said on each of them.
const KEY_SAID: usize = 4;
/// The mark of a sheet on the map is no smaller than this.
const MIN_MARK: Length = Length::pt(2.0);
/// Sheets that would be smaller on the map have no borders there.
const MIN_ON_MAP: Length = Length::pt(2.5);
/// The levels of a section's title and of a sheet's.
const SECTION: u8 = 2;
const SHEET: u8 = 3;

/// Whether the section's title was said before.
fn is_titled(structure: &Structure, section: NodeId) -> bool {
    structure.get(section).children.iter().any(|&n| structure.get(n).role == Role::Heading(SECTION))
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
