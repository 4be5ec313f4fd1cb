//! The key: in how many columns it is set, and how large its samples and words are.

use crate::catalogue::StyleName;
use crate::compose::draw;
use crate::compose::setter::Setter;
use crate::geom::{Length, Size};
use crate::manuscript::ChartBlock;

/// Height of a sample.
const SAMPLE: Length = Length::mm(4.0);
/// Between a sample and the name beside it.
pub(crate) const BESIDE: Length = Length::mm(2.0);
/// Between one column of the key and the next.
pub(crate) const BETWEEN: Length = Length::mm(5.0);

/// Type of a key is never smaller than this, in sizes of its style: nobody could read it.
const MIN_SCALE: f64 = 0.3;

/// Samples are no wider or narrower than this for their height, whatever the cells are.
const PROPORTIONS: [f64; 2] = [0.75, 1.6];

/// What samples look like.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SampleLook {
    /// Width over height.
    aspect: f64,
    /// Whether the yarn's true colour stands beside its symbol.
    coloured: bool,
}

impl SampleLook {
    /// For cells of these proportions.
    pub(crate) fn of(aspect: f64, coloured: bool) -> SampleLook {
        SampleLook { aspect: aspect.clamp(PROPORTIONS[0], PROPORTIONS[1]), coloured }
    }
}

/// How a key is set in columns.
#[derive(Clone, Debug)]
pub(crate) struct KeyLay {
    /// Entries in a column.
    pub(crate) lines: usize,
    /// Width of a column, with the space beside it.
    pub(crate) entry: Length,
    pub(crate) line: Length,
    /// Of a sample, without the patch of colour beside it.
    pub(crate) sample: Size,
    /// Width of that patch; zero: there is none.
    pub(crate) patch: Length,
    pub(crate) figures: Length,
}

/// The yarns of the key in palette order, then bare cells if there are any.
pub(crate) fn entries(block: &ChartBlock) -> Vec<Option<usize>> {
    let mut used: Vec<Option<usize>> = (0..block.yarns.len()).map(Some).collect();
    if block.cells.contains(&None) {
        used.push(None);
    }
    used
}

impl KeyLay {
    /// In room of this width; type and samples are so many times as large as the style says, or smaller where a long name
    /// would not fit.
    pub(crate) fn of(block: &ChartBlock, setter: &Setter, room: Length, scale: f64, look: SampleLook) -> KeyLay {
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
    pub(crate) fn height(&self) -> Length {
        self.line * self.lines as f64
    }
}
