//! What a style may ask of a face beyond its plain letters.

use harfrust::{Feature, Tag};
use std::ops::Range;

/// OpenType features a style may ask for; what a face lacks is left out without a word. Kerning and the usual ligatures
/// are always on, and figures are lining unless `old_style` says otherwise.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Features {
    /// Figures of one width (`tnum`), for columns; otherwise each figure has its own width (`pnum`).
    pub(crate) tabular: bool,
    /// Figures on both sides of one slash as a fraction (`frac`): `1/2` but not `1/2/26`. A fraction slash (U+2044)
    /// makes one in any case.
    pub(crate) fractions: bool,
    /// Small capitals for small letters (`smcp`).
    pub(crate) small_caps: bool,
    /// Figures with ascenders and descenders (`onum`).
    pub(crate) old_style: bool,
}

impl Features {
    /// As the shaper wants them for this text. Every figure feature is named because faces differ in what they do when
    /// nothing is said.
    pub(super) fn settings(self, text: &str) -> Vec<Feature> {
        let mut settings = vec![
            Feature::new(Tag::new(if self.tabular { b"tnum" } else { b"pnum" }), 1, ..),
            Feature::new(Tag::new(if self.old_style { b"onum" } else { b"lnum" }), 1, ..),
        ];
        if self.small_caps {
            settings.push(Feature::new(Tag::new(b"smcp"), 1, ..));
        }
        for (range, slash) in fractions(text) {
            let mut on_range = |tag: &[u8; 4], value: u32| {
                // The field is one past the end, other than the crate's constructor takes it.
                settings.push(Feature { tag: Tag::new(tag), value, start: range.start as u32, end: range.end as u32 });
            };
            if slash == '\u{2044}' || self.fractions {
                // Faces that give figures another width first find no numerators for what comes of it.
                on_range(b"pnum", 0);
                on_range(b"onum", 0);
                // The shaper itself sees to a fraction slash.
                if slash == '/' {
                    on_range(b"frac", 1);
                }
            }
        }
        settings
    }
}

/// Where a text has figures, one slash, figures: with the slash.
fn fractions(text: &str) -> Vec<(Range<usize>, char)> {
    let is_slash = |c: char| c == '/' || c == '\u{2044}';
    let mut found = Vec::new();
    for (at, slash) in text.char_indices().filter(|(_, c)| is_slash(*c)) {
        let after = at + slash.len_utf8();
        let figures = |c: &char| c.is_ascii_digit();
        let (above, below) =
            (text[..at].chars().rev().take_while(figures).count(), text[after..].chars().take_while(figures).count());
        let range = at - above..after + below;
        let one_of_many = text[..range.start].ends_with(is_slash) || text[range.end..].starts_with(is_slash);
        if above > 0 && below > 0 && !one_of_many {
            found.push((range, slash));
        }
    }
    found
}
