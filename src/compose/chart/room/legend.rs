//! What the small marks in the cells mean: which kinds are explained, and where each of them stands.

use crate::catalogue::StyleName;
use crate::compose::setter::{SetLine, Setter};
use crate::geom::Length;
use crate::manuscript::{ChartBlock, ChartMarkKind};

/// Between a square and its words, and between one entry and the next.
pub(crate) const BESIDE: Length = Length::mm(1.4);
const BETWEEN: Length = Length::mm(5.0);
/// A square's side, in leadings of the words.
pub(crate) const SIDE: f64 = 0.86;

/// The kinds of marks in the order in which they are explained, and the words of each.
pub(crate) fn kinds(block: &ChartBlock) -> Vec<(ChartMarkKind, &str)> {
    let words = &block.words;
    let all = [
        (ChartMarkKind::Start, words.mark_start.as_str()),
        (ChartMarkKind::Cut, words.mark_cut.as_str()),
        (ChartMarkKind::Link, words.mark_link.as_str()),
        (ChartMarkKind::Choice { tied: None, words: String::new() }, words.mark_choice.as_str()),
    ];
    let used = |kind: &ChartMarkKind| {
        block.marks.iter().any(|mark| std::mem::discriminant(&mark.kind) == std::mem::discriminant(kind))
    };
    all.into_iter().filter(|(kind, _)| used(kind)).collect()
}

/// Where the entries stand, the same on every sheet of a chart.
#[derive(Clone, Debug, Default)]
pub(crate) struct Legend {
    /// Left end and line of each.
    pub(crate) places: Vec<(Length, usize)>,
    pub(crate) lines: usize,
    pub(crate) leading: Length,
    /// Of words and squares, in sizes of the notes.
    pub(crate) scale: f64,
}

/// The words of an entry so many times as large as notes, or smaller where the room is narrower.
pub(crate) fn words_of(setter: &Setter, words: &str, room: Length, scale: f64) -> SetLine {
    let style = setter.style(StyleName::SheetNote);
    let usual = setter.line_within(StyleName::SheetNote, words, room * 0.9 / scale);
    let size = usual.runs.first().map_or(style.size, |(_, run)| run.size);
    setter.line_in(StyleName::SheetNote, words, size * scale, setter.colour(style.colour))
}

impl Legend {
    /// For a chart whose sheets have marks, in room of this width and so many times as large as notes.
    pub(crate) fn of(block: &ChartBlock, setter: &Setter, room: Length, scale: f64) -> Legend {
        let leading = setter.style(StyleName::SheetNote).leading * scale;
        let (mut x, mut line, mut places) = (Length::ZERO, 0, Vec::new());
        for (_, words) in kinds(block) {
            let width = leading * SIDE + BESIDE + words_of(setter, words, room, scale).width;
            if x > Length::ZERO && !(x + width).fits(room) {
                (x, line) = (Length::ZERO, line + 1);
            }
            places.push((x, line));
            x += width + BETWEEN;
        }
        let lines = if places.is_empty() { 0 } else { line + 1 };
        Legend { places, lines, leading, scale }
    }

    /// Of all lines, with the space above them.
    pub(crate) fn height(&self) -> Length {
        if self.lines == 0 { Length::ZERO } else { self.leading * self.lines as f64 + Length::mm(0.8) }
    }
}
