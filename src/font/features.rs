//! What a style may ask of a face beyond its plain letters.

use harfrust::{Feature, Tag};

/// OpenType features a style may ask for; what a face lacks is left out without a word. Kerning and the usual ligatures
/// are always on, and figures are lining unless `old_style` says otherwise.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Features {
    /// Figures of one width (`tnum`), for columns; otherwise each figure has its own width (`pnum`).
    pub tabular: bool,
    /// `1/2` as a fraction (`frac`). A fraction slash (U+2044) makes one in any case.
    pub fractions: bool,
    /// Small capitals for small letters (`smcp`).
    pub small_caps: bool,
    /// Figures with ascenders and descenders (`onum`).
    pub old_style: bool,
}

impl Features {
    /// As the shaper wants them. Every figure feature is named, on or off, because faces differ in what they do when
    /// nothing is said.
    pub(super) fn settings(self) -> Vec<Feature> {
        let mut settings = vec![
            Feature::new(Tag::new(if self.tabular { b"tnum" } else { b"pnum" }), 1, ..),
            Feature::new(Tag::new(if self.old_style { b"onum" } else { b"lnum" }), 1, ..),
        ];
        if self.fractions {
            settings.push(Feature::new(Tag::new(b"frac"), 1, ..));
        }
        if self.small_caps {
            settings.push(Feature::new(Tag::new(b"smcp"), 1, ..));
        }
        settings
    }
}
