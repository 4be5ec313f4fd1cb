//! The whole way from a project to finished files, and back: the stages in one place.
//!
//! [`open()`] reads a project, settles what is wished, and reckons: a [`Prepared`]. From it any number of [`Variant`]s are
//! composed and proofed, and nothing is reckoned again. Files are read through `source` only, so that text which is not on
//! the disk yet can be laid over them; nothing is written.

mod making;
pub mod pictures;
mod prepared;
mod settle;
#[cfg(test)]
mod tests;
mod whole_file;

pub(crate) use prepared::read_pictures;
pub use prepared::{Draft, Prepared, symbols};
pub use settle::{Manner, Purpose, Settled, Variant, Wishes};
pub(crate) use whole_file::{FileProof, FinishedFile, WholeFile};

use crate::advice;
use crate::diag::{Diagnostic, Phrase, Report};
use crate::font::FontBook;
use crate::form::nearest;
use crate::geom::MM_PER_INCH;
use crate::manuscript::step_pictures;
use crate::page::{Booklet, Item};
use crate::pdf;
use crate::project::{self, Project};
use crate::source::Sources;
use crate::workings::Workings;
use std::path::Path;

/// Reads a project, settles it, reckons it, and gathers faults and advice, without the advice that the maker has answered.
/// `settle` settles whatever else is wanted of it, so that its faults are told in the same run; [`Variant::from`] for one
/// file. `None`: the report has at least one fault.
pub(crate) fn open<T>(
    path: &Path,
    wishes: &Wishes,
    sources: &mut Sources,
    report: &mut Report,
    settle: impl FnOnce(&Project, &mut Sources, &mut Report) -> Option<T>,
) -> Option<(Prepared, T)> {
    let project = project::load(path, sources, report)?;
    project.quieten(report);
    let project = settle::version(project, wishes, report)?;
    let manner = Manner::from(wishes, &project, report);
    let settled = settle(&project, sources, report);
    if report.has_faults() {
        return None;
    }
    idle_answers(&project, report);
    // Advice calls yarns by their names, also where a booklet for all colourways does not.
    let named = project.is_for_all_colourways().then(|| project.clone());
    let prepared = Prepared::new(project, manner?);
    let named = named.as_ref().unwrap_or(&prepared.project);
    let said = advice::advise(named, &prepared.workings);
    let mut of_sizes = Report::new();
    advice::advise_sizes(named, &said, &mut of_sizes);
    report.extend(said);
    report.extend(of_sizes);
    if report.has_faults() {
        return None;
    }
    Some((prepared, settled?))
}

/// Opens a project to make one file of it, with the maker's photograph ready to print. `None`: the report has at least one
/// fault.
pub fn open_variant(
    path: &Path,
    wishes: &Wishes,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<(Prepared, Variant)> {
    let settle = |project: &Project, sources: &mut Sources, report: &mut Report| {
        let pictures = read_pictures(project, sources, report);
        Variant::from(wishes, project, sources, report).map(|variant| (variant, pictures))
    };
    let (prepared, (variant, pictures)) = open(path, wishes, sources, report, settle)?;
    Some((prepared.with_pictures(pictures), variant))
}

/// A file of a project that was read and reckoned already: nothing is reckoned again unless other wishes ask for it. `None`:
/// the report has at least one fault.
pub fn variant_of(
    project: &Project,
    workings: &Workings,
    wishes: &Wishes,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<(Prepared, Variant)> {
    let project = settle::version(project.clone(), wishes, report)?;
    let manner = Manner::from(wishes, &project, report);
    let pictures = read_pictures(&project, sources, report);
    let variant = Variant::from(wishes, &project, sources, report);
    if report.has_faults() {
        return None;
    }
    let prepared = match wishes.size {
        Some(_) => Prepared::new(project, manner?),
        None => Prepared::reckoned(project, workings.clone(), manner?),
    };
    Some((prepared.with_pictures(pictures), variant?))
}

/// An answer to advice that does not exist is misspelt, and the advice it was meant for would go on unanswered.
fn idle_answers(project: &Project, report: &mut Report) {
    let known = || advice::IDS.into_iter().chain(project::ADVICE);
    for answer in project.acknowledged.iter().filter(|answer| known().all(|id| id != answer.id)) {
        let message = Phrase::new("unknown-advice", "there is no advice `{id}` to answer").with("id", &answer.id);
        let hint = match nearest(&answer.id, known()) {
            Some(near) => Phrase::new("unknown-advice-near", "did you mean `{near}`?").with("near", near),
            None => Phrase::new("unknown-advice-hint", "write what stands in square brackets after the word advice"),
        };
        report.push(Diagnostic::advice(message).at(answer.place).advise(hint));
    }
}

/// Lays a draft out, and gives the advice that only finished pages can give: cells and photographs that come out small.
/// `None`: the report has every character that no face has.
pub fn lay_out(prepared: &Prepared, draft: &Draft, book: &FontBook, report: &mut Report) -> Option<Booklet> {
    let booklet = draft.lay_out(book).map_err(|faults| report.extend(faults)).ok()?;
    for of in step_pictures::unplaced(&prepared.project, &prepared.words, &draft.manuscript) {
        let message = Phrase::new("no-such-step", "`{technique}` has no step {step} here")
            .with("technique", of.technique)
            .with("step", of.step);
        let advice = Diagnostic::advice(message).at(of.place).advise(Phrase::new(
            "no-such-step-hint",
            "count its steps in the booklet of this panel; a picture without its step is not printed",
        ));
        if !advice::is_acknowledged(&prepared.project, &advice) {
            report.push(advice);
        }
    }
    on_paper(&booklet, draft.variant.edition.paper.name.name(), &mut |advice| {
        if !advice::is_acknowledged(&prepared.project, &advice) {
            report.push(advice);
        }
    });
    Some(booklet)
}

/// Advice that only finished pages can give.
fn on_paper(booklet: &Booklet, paper: &str, give: &mut impl FnMut(Diagnostic)) {
    let items = || booklet.pages.iter().flat_map(|page| &page.frames).flat_map(|frame| &frame.items);
    // A sample in the key is a grid of one cell; a chart of one cell is never small.
    let cells = items().filter_map(|placed| match &placed.item {
        Item::Cells(cells) if cells.cells.len() > 1 => Some(cells.cell.width.min(cells.cell.height).to_mm()),
        _ => None,
    });
    if let Some(advice) = cells.reduce(f64::min).and_then(|cell| advice::small_cells(cell, paper)) {
        give(advice);
    }
    let coarse = items().filter_map(|placed| match &placed.item {
        Item::Picture(placed) => {
            let across = f64::from(booklet.pictures.get(placed.picture)?.pixels.0);
            Some(across / (placed.area.size.width.to_mm() / MM_PER_INCH))
        }
        _ => None,
    });
    if let Some(advice) = coarse.reduce(f64::min).and_then(|ppi| advice::coarse_photograph(ppi, paper)) {
        give(advice);
    }
}

/// From a project to the bytes of a PDF for home. `None`: the report has at least one fault.
pub fn compose(prepared: &Prepared, variant: &Variant, book: &FontBook, report: &mut Report) -> Option<Vec<u8>> {
    // What is said of a large chart is large, and let go before the file is written.
    let booklet = lay_out(prepared, &prepared.write(variant), book, report)?;
    file(&booklet, variant.faces(book), report)
}

/// The PDF of finished pages, to read, tick and print at home.
pub(crate) fn file(booklet: &Booklet, faces: &FontBook, report: &mut Report) -> Option<Vec<u8>> {
    written(pdf::write(booklet, faces, pdf::Options::default()), report)
}

/// The PDF of finished pages for a print shop, in its inks.
pub(crate) fn shop_file(
    booklet: &Booklet,
    faces: &FontBook,
    profile: &pdf::PrinterProfile,
    report: &mut Report,
) -> Option<pdf::PrepressFile> {
    written(pdf::write_prepress(booklet, faces, profile), report)
}

fn written<T>(file: Result<T, pdf::PdfError>, report: &mut Report) -> Option<T> {
    file.map_err(|error| report.push(Diagnostic::fault("unprintable", error.to_string()))).ok()
}
