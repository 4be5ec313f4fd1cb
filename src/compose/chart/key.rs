//! The key: a sample of every yarn with its true colour, its name and its knots in the whole chart. It stands on each sheet.

use super::ChartSheets;
use crate::catalogue::StyleName;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::setter::Setter;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::ChartBlock;
use crate::page::{Mark, NodeId, PlacedItem, Role, Structure};

/// Height of a sample.
const SAMPLE: Length = Length::mm(4.0);
/// Between a sample and the name beside it.
const BESIDE: Length = Length::mm(2.0);
/// Between one column of the key and the next.
const BETWEEN: Length = Length::mm(5.0);

/// Type of a key is never smaller than this, in sizes of its style: nobody could read it.
const MIN_SCALE: f64 = 0.3;

/// Samples are no wider or narrower than this for their height, whatever the cells are.
const PROPORTIONS: [f64; 2] = [0.75, 1.6];

/// What samples look like.
#[derive(Clone, Copy, Debug)]
pub(super) struct SampleLook {
    /// Width over height.
    aspect: f64,
    /// Whether the yarn's true colour stands beside its symbol.
    coloured: bool,
}

impl SampleLook {
    /// For cells of these proportions.
    pub fn of(aspect: f64, coloured: bool) -> SampleLook {
        SampleLook { aspect: aspect.clamp(PROPORTIONS[0], PROPORTIONS[1]), coloured }
    }
}

/// How a key is set in columns.
#[derive(Clone, Debug)]
pub(super) struct KeyLay {
    /// Entries in a column.
    lines: usize,
    /// Width of a column, with the space beside it.
    entry: Length,
    line: Length,
    /// Of a sample, without the patch of colour beside it.
    pub sample: Size,
    /// Width of that patch; zero: there is none.
    patch: Length,
    figures: Length,
}

/// The yarns of the key in palette order, then bare cells if there are any.
fn entries(block: &ChartBlock) -> Vec<Option<usize>> {
    let mut used: Vec<Option<usize>> = (0..block.yarns.len()).map(Some).collect();
    if block.cells.contains(&None) {
        used.push(None);
    }
    used
}

impl KeyLay {
    /// In room of this width; type and samples are so many times as large as the style says, or smaller where a long name
    /// would not fit.
    pub fn of(block: &ChartBlock, setter: &Setter, room: Length, scale: f64, look: SampleLook) -> KeyLay {
        let style = setter.style(StyleName::Key);
        let used = entries(block);
        let widest = used
            .iter()
            .map(|yarn| match yarn.and_then(|i| block.yarns.get(i)) {
                Some(yarn) => {
                    setter.line(StyleName::Key, &yarn.name).width
                        + style.size
                        + setter.line(StyleName::Key, &yarn.count).width
                }
                None => setter.line(StyleName::Key, &block.words.bare).width,
            })
            .fold(Length::ZERO, Length::max);
        let side = SAMPLE.max(style.size * 1.2);
        let patch = if look.coloured { side * draw::PATCH } else { Length::ZERO };
        let wide = side * look.aspect + patch;
        let scale = scale.min(((room - BESIDE) / (wide + widest)).max(MIN_SCALE));
        let figures = style.size * scale;
        let entry = wide * scale + BESIDE + widest * scale + BETWEEN;
        // The space beside the last column may be missing.
        let columns = (((room + BETWEEN) / entry).floor().max(1.0) as usize).min(used.len().max(1));
        let lines = used.len().div_ceil(columns);
        let line = (style.leading * scale).max((side + Length::mm(1.0)) * scale);
        let sample = Size::new(side * look.aspect * scale, side * scale);
        KeyLay { lines, entry, line, sample, patch: patch * scale, figures }
    }

    /// Of the whole key.
    pub fn height(&self) -> Length {
        self.line * self.lines as f64
    }
}

impl ChartSheets<'_> {
    /// Entries of the key at a point, as a list of `section`, or to be seen only.
    pub(super) fn key(
        &self,
        at: Point,
        setter: &Setter,
        structure: &mut Structure,
        section: Option<NodeId>,
        out: &mut Vec<PlacedItem>,
    ) {
        let lay = &self.head.key;
        let set = |text: &str| {
            setter.line_in(StyleName::Key, text, lay.figures, setter.colour(setter.style(StyleName::Key).colour))
        };
        let list = section.map(|section| structure.add(Role::List(false), Some(section)));
        for (place, yarn) in entries(self.block).into_iter().enumerate() {
            // Down each column first, so that the key reads as short lists.
            let (column, line) = (place / lay.lines, place % lay.lines);
            let x = at.x + lay.entry * column as f64;
            let y = at.y + lay.line * line as f64;
            let body = list.map(|list| {
                let item = structure.add(Role::ListItem, Some(list));
                structure.add(Role::ListBody, Some(item))
            });
            let sample = Rect { origin: Point::new(x, y), size: lay.sample };
            let baseline = sample.centre().y + lay.figures * 0.34;
            let text_x = sample.right() + lay.patch + BESIDE;
            let right = x + lay.entry - BETWEEN;
            let tens = self.edition.look.tens;
            let about = yarn.and_then(|yarn| self.block.yarns.get(yarn).zip(self.key_inks.get(yarn)));
            match about {
                Some((entry, ink)) => {
                    // Eyes see the symbol; ears are told what it is, so that they too can go by it.
                    let symbol = body.map(|body| structure.add(Role::Span, Some(body)));
                    if let Some(symbol) = symbol {
                        structure.get_mut(symbol).actual = Some(format!("{}: ", entry.symbol_words));
                    }
                    let name = body.map(|body| structure.add(Role::Span, Some(body)));
                    if let Some(name) = name {
                        structure.get_mut(name).language.clone_from(&self.block.words.names_language);
                    }
                    let mark = body.map_or(LAYOUT, |body| Mark::Node(structure.add(Role::Span, Some(body))));
                    let drawn = draw::sample(sample, ink.clone(), tens);
                    out.extend(drawn.map(|placed| PlacedItem { mark: symbol.map_or(LAYOUT, Mark::Node), ..placed }));
                    if lay.patch > Length::ZERO {
                        let patch = Rect::new(sample.right(), y, lay.patch, lay.sample.height);
                        out.extend(draw::patch(patch, entry.colour, tens));
                    }
                    setter.apart(set(&entry.name)).place(
                        Point::new(text_x, baseline),
                        name.map_or(LAYOUT, Mark::Node),
                        out,
                    );
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
                    let mark = body.map_or(LAYOUT, Mark::Node);
                    set(&self.block.words.bare).place(Point::new(text_x, baseline), mark, out);
                }
            }
        }
    }
}
