//! The upper part of a sheet: its title, the key with counts, and the sheet finder.

use super::key::KeyLay;
use super::{ChartSheets, fill, range_words};
use crate::colour::Colour;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::setting::Setter;
use crate::compose::tile::Sheet;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::ChartBlock;
use crate::page::{Mark, NodeId, Placed, Role, Shape, Stroke, Structure};

const FINDER: Size = Size::new(Length::mm(26.0), Length::mm(18.0));
/// The size of notes that the finder was drawn for; beside larger ones it is larger too.
const USUAL_NOTES: Length = Length::pt(8.0);
/// How many times as large it may become.
const MOST_FINDER: f64 = 2.0;
/// On so many sheets the key is said on each of them.
const KEY_SAID: usize = 4;
/// How small type and samples of a long key may be set, the largest first.
const SCALES: [f64; 4] = [1.0, 0.9, 0.8, 0.72];
/// Cells are to have this share of a sheet's height, or the key is set smaller.
const SHARE_OF_CELLS: f64 = 0.45;
/// In any case so many rows are to have room.
const LEAST_ROWS: f64 = 3.0;
/// Type of this size or more is made for people who cannot read smaller: a key is never set smaller, and gives way to the
/// rows only.
const LARGE_PRINT: Length = Length::pt(16.0);
/// On a narrow sheet the finder takes no more than this share of its width.
const SHARE_OF_FINDER: f64 = 0.28;
/// Between the finder and what stands at its left.
const BESIDE_FINDER: Length = Length::mm(4.0);
/// A chart of more sheets is hardly worked from; where it is, the titles of those may come near the finder.
const MOST_SHEETS: usize = 999;
/// The mark of a sheet on the map is no smaller than this.
const LEAST_MARK: Length = Length::pt(2.0);
/// Sheets that would be smaller on the map have no borders there.
const LEAST_ON_MAP: Length = Length::pt(2.5);
/// Between the title and what the sheet shows.
const AFTER_TITLE: Length = Length::mm(5.0);

/// How the upper part is divided on sheets of one width.
pub(super) struct Head {
    /// Of the whole part, with the space below it.
    pub height: Length,
    /// On so many lines what the sheet shows stands below its title; 0: beside it.
    range_lines: usize,
    /// `None`: the key has a page of its own.
    pub key: Option<KeyLay>,
    finder: Size,
}

fn range_line(block: &ChartBlock, sheet: &Sheet) -> String {
    range_words_of(block, sheet, "  ·  ")
}

/// The columns and rows of a sheet, with something between them.
fn range_words_of(block: &ChartBlock, sheet: &Sheet, between: &str) -> String {
    ranges_of(block, sheet).join(between)
}

fn ranges_of(block: &ChartBlock, sheet: &Sheet) -> [String; 2] {
    let words = &block.words;
    [fill(&words.columns, &range_words(&sheet.columns)), fill(&words.rows, &range_words(&sheet.rows))]
}

/// The level of a title: the first one of a chart stands for the section's where that has none.
pub(super) fn title_level(structure: &Structure, section: NodeId) -> u8 {
    let titled = structure.get(section).children.iter().any(|&n| structure.get(n).role == Role::Heading(1));
    if titled { 2 } else { 1 }
}

impl Head {
    /// For sheets with room of this size; `rest` of its height is taken by other things than the head and the cells, which
    /// are at least so high.
    pub fn of(block: &ChartBlock, setter: &Setter, room: Size, rest: Length, least_cell: Length) -> Head {
        let rows = least_cell * LEAST_ROWS.min(block.rows.len() as f64);
        let all = least_cell * block.rows.len() as f64;
        let large = LARGE_PRINT.fits(setter.style("key").size);
        let wanted = if large { rows } else { rows.max((room.height * SHARE_OF_CELLS).min(all)) };
        let scales = if large { &SCALES[..1] } else { &SCALES[..] };
        let heads: Vec<Head> =
            scales.iter().map(|scale| Head::scaled(block, setter, room.width, Some(*scale))).collect();
        let enough = heads.iter().position(|head| (head.height + rest + wanted).fits(room.height));
        let least = heads.iter().map(|head| head.height).reduce(Length::min).unwrap_or_default();
        let lowest = heads.iter().position(|head| head.height.fits(least)).unwrap_or(0);
        let chosen = heads.into_iter().nth(enough.unwrap_or(lowest));
        chosen.unwrap_or_else(|| Head::scaled(block, setter, room.width, Some(1.0)))
    }

    /// For sheets of this width whose key has a page of its own.
    pub fn without_key(block: &ChartBlock, setter: &Setter, width: Length) -> Head {
        Head::scaled(block, setter, width, None)
    }

    fn scaled(block: &ChartBlock, setter: &Setter, width: Length, key: Option<f64>) -> Head {
        let larger = (setter.style("sheet-note").size / USUAL_NOTES).clamp(1.0, MOST_FINDER);
        // The largest numbers that can come; a sheet's own are never wider.
        let all = Sheet::whole(block.columns.max(100), block.rows.len().max(100));
        let most = (block.columns * block.rows.len()).min(MOST_SHEETS).to_string();
        let title = setter.line("sheet-title", &fill(&block.words.sheet, &[("sheet", most.clone()), ("sheets", most)]));
        let beside = (width - title.width - BESIDE_FINDER).max(Length::ZERO).min(width * SHARE_OF_FINDER);
        let finder = Size::new((FINDER.width * larger).min(beside), FINDER.height * larger);
        let room = width - finder.width - BESIDE_FINDER;
        let key = key.map(|scale| KeyLay::of(block, setter, room, scale));
        let range = setter.line("sheet-note", &range_line(block, &all));
        let range_lines = match (title.width + AFTER_TITLE + range.width).fits(room) {
            true => 0,
            false => 1 + usize::from(!range.width.fits(room)),
        };
        let below = setter.style("sheet-note").leading * range_lines as f64;
        let above = setter.style("sheet-title").leading + below + Length::mm(2.0);
        let height = match &key {
            Some(key) => (above + key.height()).max(finder.height),
            None => above,
        };
        Head { height: height + Length::mm(1.5), range_lines, key, finder }
    }
}

impl ChartSheets<'_> {
    pub(super) fn title_and_key(
        &self,
        sheet: &Sheet,
        index: usize,
        area: Rect,
        setter: &Setter,
        structure: &mut Structure,
        section: NodeId,
        out: &mut Vec<Placed>,
    ) {
        let words = &self.block.words;
        let title_style = setter.style("sheet-title");
        let baseline = area.top() + title_style.size;
        let title =
            fill(&words.sheet, &[("sheet", (index + 1).to_string()), ("sheets", self.plan.sheets.len().to_string())]);
        let heading = structure.add(Role::Heading(title_level(structure, section)), Some(section));
        let line = setter.line("sheet-title", &title);
        let after = area.left() + line.width + AFTER_TITLE;
        line.place(Point::new(area.left(), baseline), Mark::Node(heading), out);
        let note = setter.style("sheet-note");
        let paragraph = structure.add(Role::Paragraph, Some(section));
        let set = |text: &str| setter.line("sheet-note", text);
        let lines = match self.head.range_lines {
            0 | 1 => vec![set(&range_line(self.block, sheet)).spoken(range_words_of(self.block, sheet, ", "))],
            _ => ranges_of(self.block, sheet).map(|range| setter.apart(set(&range))).into(),
        };
        for (at, line) in lines.into_iter().enumerate() {
            let at = match self.head.range_lines {
                0 => Point::new(after, baseline),
                _ => Point::new(area.left(), baseline + note.leading * (at + 1) as f64),
            };
            line.place(at, Mark::Node(paragraph), out);
        }

        let below = note.leading * self.head.range_lines as f64;
        let top = area.top() + title_style.leading + below + Length::mm(2.0);
        if let Some(lay) = &self.head.key {
            // Of many sheets the later ones show the key again for the eye: it was said once.
            let section = (index == 0 || self.plan.sheets.len() <= KEY_SAID).then_some(section);
            self.key(lay.all(), lay, Point::new(area.left(), top), setter, structure, section, out);
        }
        if self.plan.sheets.len() > 1 {
            self.finder(index, area, setter, out);
        }
    }

    /// A small map of all sheets with this one marked.
    fn finder(&self, index: usize, area: Rect, setter: &Setter, out: &mut Vec<Placed>) {
        let room = Size::new(self.head.finder.width, self.head.finder.height.min(self.head.height - Length::mm(2.0)));
        let (columns, rows) = (self.block.columns as f64, self.block.rows.len() as f64);
        let wide = self.cell.width * columns;
        let high = self.cell.height * rows;
        let scale = (room.width / wide).min(room.height / high);
        let size = Size::new(wide * scale, high * scale);
        let left = area.right() - size.width;
        let own = |sheet: &Sheet| {
            let (across, down) = (sheet.own_columns(), sheet.own_rows());
            let x = left + size.width * (across.start as f64 / columns);
            let right = left + size.width * (across.end as f64 / columns);
            let y = area.top() + size.height * (down.start as f64 / rows);
            let bottom = area.top() + size.height * (down.end as f64 / rows);
            Rect::new(x, y, right - x, bottom - y)
        };
        let note = setter.style("sheet-note").size;
        // Smaller than the notes, but not for people who need these.
        let figures = if LARGE_PRINT.fits(note) { note } else { note * 0.8 };
        let here = own(&self.plan.sheets[index]);
        // However small: it must be seen.
        let grown = Size::new(here.size.width.max(LEAST_MARK), here.size.height.max(LEAST_MARK));
        let corner = Point::new(here.centre().x - grown.width / 2.0, here.centre().y - grown.height / 2.0);
        let mark = Rect { origin: corner, size: grown };
        out.push(draw::shape(LAYOUT, draw::ground(mark, self.colours.accent)));
        let areas: Vec<Rect> = self.plan.sheets.iter().map(own).collect();
        // Of very many sheets the borders would be all there is to see: only the chart's own is drawn.
        let least = areas.iter().map(|area| area.size.width.min(area.size.height)).reduce(Length::min);
        let outline = match least.is_some_and(|least| LEAST_ON_MAP.fits(least)) {
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
            let label = setter.line_in("sheet-note", &(number + 1).to_string(), figures, colour);
            if (label.width + Length::pt(2.0)).fits(area.size.width)
                && (figures + Length::pt(1.0)).fits(area.size.height)
            {
                let at = Point::new(area.centre().x - label.width / 2.0, area.centre().y + figures * 0.35);
                label.place(at, LAYOUT, out);
            }
        }
    }
}
