//! The key: a sample of every yarn with its name and its knots in the whole chart. It stands on each sheet, or has a page of
//! its own where it would leave the cells too little room.

use super::{ChartSheets, head};
use crate::compose::draw::{self, LAYOUT};
use crate::compose::setting::{SetLine, Setter};
use crate::geom::{Length, Point, Rect};
use crate::manuscript::{ChartBlock, Inline};
use crate::page::{Cells, Mark, NodeId, Placed, Role, Structure};
use std::ops::Range;

/// Side of a sample.
const SAMPLE: Length = Length::mm(4.0);
/// Between a sample and the name beside it.
const BESIDE: Length = Length::mm(2.0);
/// Between one column of the key and the next.
const BETWEEN: Length = Length::mm(5.0);

/// Type of a key is never smaller than this, in sizes of its style: nobody could read it.
const LEAST_SCALE: f64 = 0.3;

/// How a key is set in columns.
#[derive(Clone, Debug)]
pub(super) struct KeyLay {
    columns: usize,
    /// Entries in a column.
    lines: usize,
    /// Width of a column, with the space beside it.
    entry: Length,
    line: Length,
    /// Side of a sample.
    pub sample: Length,
    figures: Length,
}

/// The yarns of the key in palette order, then bare cells if there are any.
fn entries(block: &ChartBlock) -> Vec<Option<usize>> {
    let mut used: Vec<Option<usize>> = (0..block.yarns.len()).map(Some).collect();
    if block.cells.contains(&Cells::BARE) {
        used.push(None);
    }
    used
}

impl KeyLay {
    /// In room of this width; type and samples are so many times as large as the style says, or smaller where a long name
    /// would not fit.
    pub fn of(block: &ChartBlock, setter: &Setter, room: Length, scale: f64) -> KeyLay {
        let style = setter.style("key");
        let used = entries(block);
        let widest = used
            .iter()
            .map(|yarn| match yarn.and_then(|i| block.yarns.get(i)) {
                Some(yarn) => setter.line("key", &yarn.name).width + style.size + setter.line("key", &yarn.count).width,
                None => setter.line("key", &block.words.bare).width,
            })
            .fold(Length::ZERO, Length::max);
        let side = SAMPLE.max(style.size * 1.2);
        let scale = scale.min(((room - BESIDE) / (side + widest)).max(LEAST_SCALE));
        let (figures, sample) = (style.size * scale, side * scale);
        let entry = sample + BESIDE + widest * scale + BETWEEN;
        // The space beside the last column may be missing.
        let columns = (((room + BETWEEN) / entry).floor().max(1.0) as usize).min(used.len().max(1));
        let lines = used.len().div_ceil(columns);
        let line = (style.leading * scale).max(sample + Length::mm(1.0) * scale);
        KeyLay { columns, lines, entry, line, sample, figures }
    }

    /// All entries, as far as they have room.
    pub fn all(&self) -> Range<usize> {
        0..self.lines * self.columns
    }

    /// Of the whole key.
    pub fn height(&self) -> Length {
        self.line * self.lines as f64
    }
}

/// A key on pages of its own.
pub(super) struct KeyPages {
    lay: KeyLay,
    /// Lines of the heading.
    heading: usize,
    /// Pages that it takes.
    pub pages: usize,
}

impl KeyPages {
    /// On pages with room for sheets like these.
    pub fn of(block: &ChartBlock, setter: &Setter, area: Rect) -> KeyPages {
        let mut lay = KeyLay::of(block, setter, area.size.width, 1.0);
        let heading = heading(block, setter, area).len();
        let room = area.size.height - after_heading(setter, heading);
        let most = (room / lay.line).floor().max(1.0) as usize;
        let count = entries(block).len();
        let pages = count.div_ceil(most * lay.columns).max(1);
        // Pages and columns are filled evenly.
        lay.lines = count.div_ceil(pages * lay.columns).max(1);
        KeyPages { lay, heading, pages }
    }

    /// Side of a sample.
    pub fn sample(&self) -> Length {
        self.lay.sample
    }
}

fn heading(block: &ChartBlock, setter: &Setter, area: Rect) -> Vec<SetLine> {
    setter.paragraph("sheet-title", &vec![Inline::Plain(block.words.key.clone())], area.size.width)
}

/// From the top of a page to the first entry.
fn after_heading(setter: &Setter, lines: usize) -> Length {
    setter.style("sheet-title").leading * lines as f64 + Length::mm(2.0)
}

impl ChartSheets<'_> {
    /// Pages that the key takes by itself; 0 where it stands on the sheets.
    pub fn key_pages(&self) -> usize {
        self.key_pages.as_ref().map_or(0, |key| key.pages)
    }

    /// Draws a page of the key, counted from 0. The structure nodes are added under `section`.
    pub fn draw_key(&self, page: usize, setter: &Setter, structure: &mut Structure, section: NodeId) -> Vec<Placed> {
        let mut out = Vec::new();
        let Some(KeyPages { lay, heading: lines, .. }) = &self.key_pages else { return out };
        let (_, area) = self.page();
        if page == 0 {
            let style = setter.style("sheet-title");
            let node = structure.add(Role::Heading(head::title_level(structure, section)), Some(section));
            for (i, line) in heading(self.block, setter, area).into_iter().enumerate() {
                let baseline = area.top() + style.size + style.leading * i as f64;
                line.place(Point::new(area.left(), baseline), Mark::Node(node), &mut out);
            }
        }
        let at = Point::new(area.left(), area.top() + after_heading(setter, *lines));
        let each = lay.lines * lay.columns;
        self.key(page * each..(page + 1) * each, lay, at, setter, structure, Some(section), &mut out);
        out
    }

    /// Entries of the key at a point, as a list of `section`, or to be seen only.
    pub(super) fn key(
        &self,
        shown: Range<usize>,
        lay: &KeyLay,
        at: Point,
        setter: &Setter,
        structure: &mut Structure,
        section: Option<NodeId>,
        out: &mut Vec<Placed>,
    ) {
        let set = |text: &str| setter.line_in("key", text, lay.figures, setter.colour(setter.style("key").colour));
        debug_assert!(lay.columns > 0);
        let list = section.map(|section| structure.add(Role::List(false), Some(section)));
        let shown = entries(self.block).into_iter().skip(shown.start).take(shown.len());
        for (place, yarn) in shown.enumerate() {
            // Down each column first, so that the key reads as short lists.
            let (column, line) = (place / lay.lines, place % lay.lines);
            let x = at.x + lay.entry * column as f64;
            let y = at.y + lay.line * line as f64;
            let mark = list.map_or(LAYOUT, |list| {
                let item = structure.add(Role::ListItem, Some(list));
                Mark::Node(structure.add(Role::ListBody, Some(item)))
            });
            let sample = Rect::new(x, y, lay.sample, lay.sample);
            let baseline = y + lay.sample / 2.0 + lay.figures * 0.34;
            let text_x = x + lay.sample + BESIDE;
            let right = x + lay.entry - BETWEEN;
            let tens = self.edition.look.tens;
            let about = yarn.and_then(|yarn| self.block.yarns.get(yarn).zip(self.key_inks.get(yarn)));
            match about {
                Some((entry, ink)) => {
                    out.extend(draw::sample(sample, ink.clone(), tens));
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
}
