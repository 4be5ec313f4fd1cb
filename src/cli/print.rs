//! From what was typed about paper and ink to an [`Order`], the same for `compose` and `proof`.

use super::args::{InkChoice, PagesChoice, Print, PurposeChoice, SideChoice, UnitsChoice};
use crate::diag::{Diagnostic, Report};
use crate::page::PictureFile;
use crate::picture;
use crate::press::Order;
use crate::project::{Ink, Project, Side, Units};
use crate::source::Sources;
use std::sync::Arc;

/// Most students of one class list.
const MOST_STUDENTS: usize = 10_000;
/// Most bytes of a layout file.
const LAYOUT_BYTES: u64 = 1 << 20;
/// Most bytes of a photograph.
const PHOTOGRAPH_BYTES: u64 = 200 << 20;

/// Settles the order. What the command line says about measures and about the working direction goes into the project
/// itself.
pub fn order(print: &Print, project: &mut Project, sources: &mut Sources, report: &mut Report) -> Order {
    if let Some(units) = print.units {
        project.about.units = match units {
            UnitsChoice::Metric => Units::Metric,
            UnitsChoice::Imperial => Units::Imperial,
        };
    }
    if let Some(side) = print.first_row_from {
        project.working.first_row_from = match side {
            SideChoice::Left => Side::Left,
            SideChoice::Right => Side::Right,
        };
    }
    if print.students.is_some_and(|n| n == 0 || n > MOST_STUDENTS) {
        report.push(
            Diagnostic::fault(
                "odd-class",
                format!("a class of `{}` students cannot be counted for", print.students.unwrap_or(0)),
            )
            .hint(format!("give a number from 1 to {MOST_STUDENTS}")),
        );
    }
    let mut own_layout = None;
    // A layout of the maker's own takes the place of the booklet; the other editions stay as they are shipped.
    if let Some(layout) = project.print.layout.as_ref().filter(|_| print.edition == "booklet") {
        match sources.read(&project.folder.join(layout), LAYOUT_BYTES) {
            Ok(source) => own_layout = Some(source),
            Err(fault) => report.push(fault),
        }
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
        edition: print.edition.clone(),
        own_layout,
        look: print.look.clone(),
        paper: print.paper.clone(),
        ink: print.ink.map(|ink| match ink {
            InkChoice::Saving => Ink::Saving,
            InkChoice::Full => Ink::Full,
            InkChoice::SymbolsOnly => Ink::SymbolsOnly,
        }),
        language: print.language.clone(),
        facing: print.pages.map(|pages| match pages {
            PagesChoice::Single => false,
            PagesChoice::Facing => true,
        }),
        for_shop: print.purpose == PurposeChoice::PrintShop,
        students: print.students,
        photograph,
    }
}
