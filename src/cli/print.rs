//! From what was typed about paper and ink to [`Wishes`], the same for every command that composes; and the profile of a
//! print shop.

use super::args::{InkChoice, PagesChoice, PrintOptions, ProjectOptions, PurposeChoice, SideChoice, UnitsChoice};
use crate::diag::{Diagnostic, Report, Span};
use crate::pdf::{PrinterProfile, USUAL_INK};
use crate::press::{Purpose, Wishes};
use crate::project::{Ink, Side, Units};
use crate::source::Sources;
use std::path::Path;

/// Most bytes of a printer profile; those of presses have one to three million.
const MAX_PROFILE_BYTES: u64 = 32 << 20;

/// What was typed.
pub(crate) fn wishes(print: &PrintOptions) -> Wishes {
    Wishes {
        edition: print.edition,
        paper: print.paper,
        ink: print.ink.map(ink),
        purpose: match print.purpose {
            None | Some(PurposeChoice::Home) => Purpose::Home,
            Some(PurposeChoice::PrintShop) => Purpose::PrintShop,
        },
        ..manner(&print.manner)
    }
}

/// What was typed that is the same for all files of a project, whatever edition, paper and ink.
pub(crate) fn manner(manner: &ProjectOptions) -> Wishes {
    Wishes {
        look: manner.look,
        language: manner.language.clone(),
        colourway: manner.colourway.clone(),
        size: manner.size.clone(),
        units: manner.units.map(|units| match units {
            UnitsChoice::Metric => Units::Metric,
            UnitsChoice::Imperial => Units::Imperial,
        }),
        first_row_from: manner.first_row_from.map(|side| match side {
            SideChoice::Left => Side::Left,
            SideChoice::Right => Side::Right,
        }),
        facing: manner.pages.map(|pages| match pages {
            PagesChoice::Single => false,
            PagesChoice::Facing => true,
        }),
        students: manner.students.map(usize::from),
        ..Wishes::default()
    }
}

/// The ink of that name.
pub(crate) fn ink(choice: InkChoice) -> Ink {
    match choice {
        InkChoice::Saving => Ink::Saving,
        InkChoice::Full => Ink::Full,
        InkChoice::SymbolsOnly => Ink::SymbolsOnly,
    }
}

/// A print shop's profile, with the most ink its paper carries; `None` when the report says why not.
pub(crate) fn profile(
    path: &Path,
    most_ink: Option<u16>,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<PrinterProfile> {
    let source = sources.read(path, MAX_PROFILE_BYTES).map_err(|fault| report.push(fault)).ok()?;
    let read = PrinterProfile::read(sources.get(source).bytes(), most_ink.unwrap_or(USUAL_INK));
    read.map_err(|fault| report.push(fault.at(Span::file(source)))).ok()
}

/// That a print-shop file cannot be made without a profile; `instead` says how to do without the file.
pub(crate) fn no_profile(instead: &str) -> Diagnostic {
    let message = "a file for a print shop needs the profile of its press: only it says which inks make which colour";
    Diagnostic::fault("no-printer-profile", message)
        .typed()
        .hint(
            "ask the print shop for the ICC profile (CMYK) of the paper you chose, and give it as `--profile FILE.icc`",
        )
        .hint("ask how much ink that paper carries in total, and give it as `--most-ink PERCENT` (300 without it)")
        .hint("ask whether it takes PDF/X-4, single pages in the order of reading, 3 mm bleed and crop marks")
        .hint(instead)
}
