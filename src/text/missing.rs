//! Characters that cannot be printed.

use crate::diag::Diagnostic;
use std::collections::BTreeSet;

/// Characters that cannot be printed with the faces at hand. They are left out of the lines.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Missing {
    /// Each once, in the order of Unicode.
    pub(crate) characters: BTreeSet<char>,
}

impl Missing {
    /// Whether everything can be printed.
    #[cfg(test)]
    pub(crate) fn is_empty(&self) -> bool {
        self.characters.is_empty()
    }
    /// Takes in another one's characters.
    pub(crate) fn extend(&mut self, other: Missing) {
        self.characters.extend(other.characters);
    }
    /// A fault for each character, without a span: it is looked for in the maker's files where it is told.
    pub(crate) fn diagnostics(&self) -> Vec<Diagnostic> {
        let fault = |c: &char| {
            let named = format!("`{c}` (U+{:04X})", u32::from(*c));
            let fault = if runs_from_right_to_left(*c) {
                Diagnostic::fault(
                    "right-to-left-text",
                    format!(
                        "the character {named} belongs to a script written from right to left, which cannot be set"
                    ),
                )
                .hint("write the name in Latin letters")
            } else {
                Diagnostic::fault("no-such-glyph", format!("no face has the character {named}"))
                    .hint("write it another way, or name a font that has it in the layout")
            };
            fault.character(*c)
        };
        self.characters.iter().map(fault).collect()
    }
}

/// Blocks whose letters run from right to left (Unicode: the default bidirectional classes R and AL by block).
pub(super) fn runs_from_right_to_left(c: char) -> bool {
    matches!(u32::from(c), 0x0590..=0x08FF | 0xFB1D..=0xFDFF | 0xFE70..=0xFEFE | 0x10800..=0x10FFF | 0x1E800..=0x1EFFF)
}
