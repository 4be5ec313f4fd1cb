//! The upper part of a sheet: its title, the key with counts, and the sheet finder.

use super::{ChartSheets, fill, range_words};
use crate::colour::Colour;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::setting::Setter;
use crate::compose::tile::Sheet;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::ChartBlock;
use crate::page::{Cells, Mark, NodeId, Placed, Role, Shape, Stroke, Structure};

const FINDER: Size = Size::new(Length::mm(26.0), Length::mm(18.0));
/// The size of notes that the finder was drawn for; beside larger ones it is larger too.
const USUAL_NOTES: Length = Length::pt(8.0);
/// How many times as large it may become.
const MOST_FINDER: f64 = 2.0;
/// On so many sheets the key is said on each of them.
const KEY_SAID: usize = 4;
/// Side of a sample in the key.
const SAMPLE: Length = Length::mm(4.0);
/// How small type and samples of a long key may be set, the largest first.
const SCALES: [f64; 4] = [1.0, 0.9, 0.8, 0.72];
/// Cells are to have this share of a sheet's height, or the key is set smaller.
const SHARE_OF_CELLS: f64 = 0.45;
/// In any case so many rows are to have room.
const LEAST_ROWS: f64 = 3.0;
/// A key in type of this size or more is made for people who cannot read smaller, and gives way to the rows only.
const LARGE_PRINT: Length = Length::pt(16.0);
/// Between the title and what the sheet shows.
const AFTER_TITLE: Length = Length::mm(5.0);

/// How the upper part is divided on sheets of one width.
pub(super) struct Head {
    /// Of the whole part, with the space below it.
    pub height: Length,
    /// What the sheet shows stands below its title instead of beside it.
    range_below: bool,
    columns: usize,
    lines: usize,
    entry: Length,
    line: Length,
    sample: Length,
    figures: Length,
    finder: Size,
}

/// The yarns of the key in palette order, then bare cells if there are any.
fn entries(block: &ChartBlock) -> Vec<Option<usize>> {
    let mut used: Vec<Option<usize>> = (0..block.yarns.len()).map(Some).collect();
    if block.cells.contains(&Cells::BARE) {
        used.push(None);
    }
    used
}

fn range_line(block: &ChartBlock, sheet: &Sheet) -> String {
    range_words_of(block, sheet, "  ·  ")
}

/// The columns and rows of a sheet, with something between them.
fn range_words_of(block: &ChartBlock, sheet: &Sheet, between: &str) -> String {
    let words = &block.words;
    let columns = fill(&words.columns, &range_words(&sheet.columns));
    format!("{columns}{between}{}", fill(&words.rows, &range_words(&sheet.rows)))
}

impl Head {
    /// For sheets with room of this size; `rest` of its height is taken by other things than the head and the cells, which
    /// are at least so high.
    pub fn of(block: &ChartBlock, setter: &Setter, room: Size, rest: Length, least_cell: Length) -> Head {
        let rows = least_cell * LEAST_ROWS.min(block.rows.len() as f64);
        let all = least_cell * block.rows.len() as f64;
        let wanted = match LARGE_PRINT.fits(setter.style("key").size) {
            true => rows,
            false => rows.max((room.height * SHARE_OF_CELLS).min(all)),
        };
        let heads = SCALES.map(|scale| Head::scaled(block, setter, room.width, scale));
        let enough = heads.iter().position(|head| (head.height + rest + wanted).fits(room.height));
        let [.., smallest] = &heads;
        let least = heads.iter().position(|head| head.height.fits(smallest.height)).unwrap_or(0);
        heads.into_iter().nth(enough.unwrap_or(least)).unwrap_or_else(|| Head::scaled(block, setter, room.width, 1.0))
    }

    fn scaled(block: &ChartBlock, setter: &Setter, width: Length, scale: f64) -> Head {
        let larger = (setter.style("sheet-note").size / USUAL_NOTES).clamp(1.0, MOST_FINDER);
        let finder = Size::new(FINDER.width * larger, FINDER.height * larger);
        let room = width - finder.width - Length::mm(6.0);
        let style = setter.style("key");
        let figures = style.size * scale;
        let sample = (SAMPLE * scale).max(figures * 1.2);
        let used = entries(block);
        let widest = used
            .iter()
            .map(|yarn| match yarn {
                Some(i) => {
                    let yarn = &block.yarns[*i];
                    setter.line("key", &yarn.name).width + style.size + setter.line("key", &yarn.count).width
                }
                None => setter.line("key", &block.words.bare).width,
            })
            .fold(Length::ZERO, Length::max)
            * scale;
        let entry = sample + Length::mm(2.0) + widest + Length::mm(5.0);
        let columns = ((room / entry).floor().max(1.0) as usize).min(used.len().max(1));
        let lines = used.len().div_ceil(columns);
        let line = (style.leading * scale).max(sample + Length::mm(1.0) * scale);
        // The largest numbers that can come; a sheet's own are never wider.
        let all = Sheet::whole(block.columns.max(100), block.rows.len().max(100));
        let most = (block.columns * block.rows.len()).to_string();
        let title = setter.line("sheet-title", &fill(&block.words.sheet, &[("sheet", most.clone()), ("sheets", most)]));
        let range = setter.line("sheet-note", &range_line(block, &all));
        let range_below = !(title.width + AFTER_TITLE + range.width).fits(room);
        let below = if range_below { setter.style("sheet-note").leading } else { Length::ZERO };
        let above = setter.style("sheet-title").leading + below + Length::mm(2.0);
        let height = (above + line * lines as f64).max(finder.height) + Length::mm(1.5);
        Head { height, range_below, columns, lines, entry, line, sample, figures, finder }
    }

    /// Side of a sample.
    pub fn sample(&self) -> Length {
        self.sample
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
        // The first sheet's title stands for the section's where that has none.
        let titled = structure.get(section).children.iter().any(|&n| structure.get(n).role == Role::Heading(1));
        let level = if titled { 2 } else { 1 };
        let heading = structure.add(Role::Heading(level), Some(section));
        let line = setter.line("sheet-title", &title);
        let after = area.left() + line.width + AFTER_TITLE;
        line.place(Point::new(area.left(), baseline), Mark::Node(heading), out);
        let note = setter.style("sheet-note");
        let at = match self.head.range_below {
            true => Point::new(area.left(), baseline + note.leading),
            false => Point::new(after, baseline),
        };
        let paragraph = structure.add(Role::Paragraph, Some(section));
        let range = setter.line("sheet-note", &range_line(self.block, sheet));
        range.spoken(range_words_of(self.block, sheet, ", ")).place(at, Mark::Node(paragraph), out);

        let below = if self.head.range_below { note.leading } else { Length::ZERO };
        let top = area.top() + title_style.leading + below + Length::mm(2.0);
        // Of many sheets the later ones show the key again for the eye: it was said once.
        let section = (index == 0 || self.plan.sheets.len() <= KEY_SAID).then_some(section);
        self.key(Point::new(area.left(), top), setter, structure, section, out);
        if self.plan.sheets.len() > 1 {
            self.finder(index, area, setter, out);
        }
    }

    /// The key at a point, as a list of `section`, or to be seen only.
    fn key(
        &self,
        at: Point,
        setter: &Setter,
        structure: &mut Structure,
        section: Option<NodeId>,
        out: &mut Vec<Placed>,
    ) {
        let head = &self.head;
        let set = |text: &str| setter.line_in("key", text, head.figures, setter.colour(setter.style("key").colour));
        debug_assert!(head.columns > 0);
        let list = section.map(|section| structure.add(Role::List(false), Some(section)));
        for (place, yarn) in entries(self.block).into_iter().enumerate() {
            // Down each column first, so that the key reads as short lists.
            let (column, line) = (place / head.lines, place % head.lines);
            let x = at.x + head.entry * column as f64;
            let y = at.y + head.line * line as f64;
            let mark = list.map_or(LAYOUT, |list| {
                let item = structure.add(Role::ListItem, Some(list));
                Mark::Node(structure.add(Role::ListBody, Some(item)))
            });
            let sample = Rect::new(x, y, head.sample, head.sample);
            let baseline = y + head.sample / 2.0 + head.figures * 0.34;
            let text_x = x + head.sample + Length::mm(2.0);
            let right = x + head.entry - Length::mm(5.0);
            let tens = self.edition.look.tens;
            match yarn {
                Some(yarn) => {
                    out.extend(draw::sample(sample, self.key_inks[yarn].clone(), tens));
                    let entry = &self.block.yarns[yarn];
                    setter.apart(set(&entry.name)).place(Point::new(text_x, baseline), mark, out);
                    let count = set(&entry.count);
                    let x = right - count.width;
                    count.spoken(entry.spoken.clone()).place(Point::new(x, baseline), mark, out);
                }
                None => {
                    let mut frame = draw::frame(sample, tens, Length::pt(0.4));
                    if let Some(stroke) = &mut frame.stroke {
                        stroke.dash = vec![Length::pt(1.2), Length::pt(1.2)];
                    }
                    out.push(draw::shape(LAYOUT, frame));
                    set(&self.block.words.bare).place(Point::new(text_x, baseline), mark, out);
                }
            }
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
        out.push(draw::shape(LAYOUT, draw::ground(own(&self.plan.sheets[index]), self.colours.accent)));
        let areas: Vec<Rect> = self.plan.sheets.iter().map(own).collect();
        let stroke = Stroke { round: true, ..draw::line(self.edition.look.tens, Length::pt(0.5)) };
        out.push(draw::shape(LAYOUT, Shape { outline: draw::borders(&areas), fill: None, stroke: Some(stroke) }));
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
