//! From what was typed about paper and ink to an [`Order`], the same for every command that composes.

use super::args::{InkChoice, Manner, PagesChoice, Print, PurposeChoice, SideChoice, UnitsChoice};
use crate::diag::{Diagnostic, Report, SourceId, Span};
use crate::page::PictureFile;
use crate::pdf::{PrinterProfile, USUAL_INK};
use crate::picture;
use crate::press::Order;
use crate::project::{Ink, Project, Side, Units};
use crate::source::Sources;
use std::path::Path;
use std::sync::Arc;

/// Most bytes of a layout file.
const LAYOUT_BYTES: u64 = 1 << 20;
/// Most bytes of a photograph.
const PHOTOGRAPH_BYTES: u64 = 200 << 20;
/// Most bytes of a printer profile; those of presses have one to three million.
const PROFILE_BYTES: u64 = 32 << 20;

/// Settles the order. What the command line says about measures and about the working direction goes into the project
/// itself.
pub fn order(print: &Print, project: &mut Project, sources: &mut Sources, report: &mut Report) -> Order {
    let common = manner(&print.manner, project, sources, report);
    Order {
        own_layout: own_layout(&print.edition, project, sources, report),
        edition: print.edition.clone(),
        paper: print.paper.clone(),
        ink: print.ink.map(ink),
        for_shop: print.purpose == PurposeChoice::PrintShop,
        ..common
    }
}

/// What is the same in all orders of a project, whatever edition, paper and ink; what was typed about measures and about
/// the working direction goes into the project itself.
pub fn manner(manner: &Manner, project: &mut Project, sources: &mut Sources, report: &mut Report) -> Order {
    if let Some(units) = manner.units {
        project.about.units = match units {
            UnitsChoice::Metric => Units::Metric,
            UnitsChoice::Imperial => Units::Imperial,
        };
    }
    if let Some(side) = manner.first_row_from {
        project.working.first_row_from = match side {
            SideChoice::Left => Side::Left,
            SideChoice::Right => Side::Right,
        };
    }
    let mut photograph = None;
    if let Some(path) = &project.about.photograph {
        let read = sources.read(&project.folder.join(path), PHOTOGRAPH_BYTES);
        match read.and_then(|id| picture::photograph(sources.get(id).bytes())) {
            Ok(picture) => {
                let pixels = (picture.width, picture.height);
                photograph = Some(PictureFile { bytes: Arc::new(picture.bytes), pixels });
            }
            Err(fault) => report.push(fault),
        }
    }
    Order {
        look: manner.look.clone(),
        language: manner.language.clone(),
        facing: manner.pages.map(|pages| match pages {
            PagesChoice::Single => false,
            PagesChoice::Facing => true,
        }),
        students: manner.students.map(usize::from),
        photograph,
        ..Order::default()
    }
}

/// A layout of the maker's own; it takes the place of the booklet, and the other editions stay as they are shipped.
pub fn own_layout(edition: &str, project: &Project, sources: &mut Sources, report: &mut Report) -> Option<SourceId> {
    let layout = project.print.layout.as_ref().filter(|_| edition == "booklet")?;
    sources.read(&project.folder.join(layout), LAYOUT_BYTES).map_err(|fault| report.push(fault)).ok()
}

/// The ink of that name.
pub fn ink(choice: InkChoice) -> Ink {
    match choice {
        InkChoice::Saving => Ink::Saving,
        InkChoice::Full => Ink::Full,
        InkChoice::SymbolsOnly => Ink::SymbolsOnly,
    }
}

/// A print shop's profile, with the most ink its paper carries; `None` when the report says why not.
pub fn profile(
    path: &Path,
    most_ink: Option<u16>,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<PrinterProfile> {
    let source = sources.read(path, PROFILE_BYTES).map_err(|fault| report.push(fault)).ok()?;
    let read = PrinterProfile::read(sources.get(source).bytes(), most_ink.unwrap_or(USUAL_INK));
    read.map_err(|fault| report.push(fault.at(Span::file(source)))).ok()
}

/// That a print-shop file cannot be made without a profile; `instead` says how to do without the file.
pub fn no_profile(instead: &str) -> Diagnostic {
    let message = "a file for a print shop needs the profile of its press: only it says which inks make which colour";
    Diagnostic::fault("no-printer-profile", message)
        .hint(
            "ask the print shop for the ICC profile (CMYK) of the paper you chose, and give it as `--profile FILE.icc`",
        )
        .hint("ask how much ink that paper carries in total, and give it as `--most-ink PERCENT` (300 without it)")
        .hint("ask whether it takes PDF/X-4, single pages in the order of reading, 3 mm bleed and crop marks")
        .hint(instead)
}
