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
    /// Faults without a span: the place is looked for in the maker's files where they are told. Of letters that no font has
    /// each may stand somewhere else and has one of its own; those of a script from right to left stand together.
    pub(crate) fn diagnostics(&self) -> Vec<Diagnostic> {
        let (from_right, others) = self.by_kind();
        let hint = "write it another way, or name a font that has it under `[fonts]` in a look of your own";
        let each = others.iter().map(|c| no_such_glyph(&[*c]).hint(hint).character(*c));
        right_to_left(&from_right, "write it in letters that run from left to right").into_iter().chain(each).collect()
    }
    /// The same of a name in one line, which stands in no file of a project and is set in the shipped fonts: a fault of each
    /// kind.
    pub(crate) fn of_a_name(&self) -> Vec<Diagnostic> {
        let (from_right, others) = self.by_kind();
        let hint = "write the name in Latin, Greek or Cyrillic letters";
        let none = (!others.is_empty()).then(|| no_such_glyph(&others).hint(hint));
        right_to_left(&from_right, hint).into_iter().chain(none).collect()
    }

    fn by_kind(&self) -> (Vec<char>, Vec<char>) {
        self.characters.iter().partition(|c| runs_from_right_to_left(**c))
    }
}

/// Characters that a fault names; who has more of them finds the others at the same place.
const MAX_NAMED: usize = 6;

/// One character, or several, with what to say of one and of several.
fn named(characters: &[char], one: &str, several: &str) -> String {
    let named = |c: &char| format!("`{c}` (U+{:04X})", u32::from(*c));
    match characters {
        [only] => format!("{one} {}", named(only)),
        _ => {
            let first: Vec<String> = characters.iter().take(MAX_NAMED).map(named).collect();
            let more = characters.len().saturating_sub(MAX_NAMED);
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            format!("{several} {}{more}", first.join(", "))
        }
    }
}

fn no_such_glyph(characters: &[char]) -> Diagnostic {
    let named = named(characters, "no font has the character", "no font has the characters");
    Diagnostic::fault("no-such-glyph", named)
}

fn right_to_left(characters: &[char], hint: &str) -> Option<Diagnostic> {
    let first = characters.first()?;
    let named = named(characters, "from right to left runs the character", "from right to left run the characters");
    let message = format!("{named}, and such lines cannot be set");
    Some(Diagnostic::fault("right-to-left-text", message).hint(hint).character(*first))
}

/// Blocks whose letters run from right to left (Unicode: the default bidirectional classes R and AL by block).
pub(super) fn runs_from_right_to_left(c: char) -> bool {
    matches!(u32::from(c), 0x0590..=0x08FF | 0xFB1D..=0xFDFF | 0xFE70..=0xFEFE | 0x10800..=0x10FFF | 0x1E800..=0x1EFFF)
}
