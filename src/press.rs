//! The whole way from a project to finished files, and back: the stages in one place.
//!
//! [`open`] reads a project, settles what is wished, and reckons: a [`Prepared`]. From it any number of [`Variant`]s are
//! composed and proofed, and nothing is reckoned again. Files are read through `source` only, so that text which is not on
//! the disk yet can be laid over them; nothing is written.

mod expected;
pub mod pictures;
mod prepared;
mod settle;
#[cfg(test)]
mod tests;

pub use prepared::{Draft, Prepared, photograph, symbols};
pub use settle::{Manner, Purpose, Settled, Variant, Wishes};

use crate::advice;
use crate::diag::{Diagnostic, Report};
use crate::font::FontBook;
use crate::form::nearest;
use crate::geom::MM_PER_INCH;
use crate::page::{Booklet, Item};
use crate::pdf;
use crate::project::{self, Project};
use crate::source::Sources;
use std::path::Path;

/// Reads a project, settles it, reckons it, and gathers faults and advice, without the advice that the maker has answered.
/// `settle` settles whatever else is wanted of it, so that its faults are told in the same run; [`Variant::from`] for one
/// file. `None`: the report has at least one fault.
pub fn open<T>(
    path: &Path,
    wishes: &Wishes,
    sources: &mut Sources,
    report: &mut Report,
    settle: impl FnOnce(&Project, &mut Sources, &mut Report) -> Option<T>,
) -> Option<(Prepared, T)> {
    let project = project::load(path, sources, report)?;
    project.quieten(report);
    let manner = Manner::from(wishes, &project, report);
    let settled = settle(&project, sources, report);
    if report.has_faults() {
        return None;
    }
    idle_answers(&project, report);
    let prepared = Prepared::new(project, manner?);
    report.extend(advice::advise(&prepared.project, &prepared.workings));
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
        let photograph = photograph(project, sources, report);
        Variant::from(wishes, project, sources, report).map(|variant| (variant, photograph))
    };
    let (prepared, (variant, photograph)) = open(path, wishes, sources, report, settle)?;
    Some((prepared.with_photograph(photograph), variant))
}

/// An answer to advice that does not exist is misspelt, and the advice it was meant for would go on unanswered.
fn idle_answers(project: &Project, report: &mut Report) {
    let known = || advice::IDS.into_iter().chain(project::ADVICE);
    for answer in project.acknowledged.iter().filter(|answer| known().all(|id| id != answer.id)) {
        let idle = Diagnostic::advice("unknown-advice", format!("there is no advice `{}` to answer", answer.id))
            .at(answer.place);
        report.push(match nearest(&answer.id, known()) {
            Some(near) => idle.hint(format!("did you mean `{near}`?")),
            None => idle.hint("write what stands in square brackets after the word advice"),
        });
    }
}

/// Lays a draft out, and gives the advice that only finished pages can give: cells and photographs that come out small.
/// `None`: the report has every character that no face has.
pub fn lay_out(prepared: &Prepared, draft: &Draft, book: &FontBook, report: &mut Report) -> Option<Booklet> {
    let booklet = draft.lay_out(book).map_err(|faults| report.extend(faults)).ok()?;
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
        Item::Cells(cells) if cells.cells.len() > 1 => Some(cells.cell.width.to_mm()),
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
pub fn file(booklet: &Booklet, faces: &FontBook, report: &mut Report) -> Option<Vec<u8>> {
    written(pdf::write(booklet, faces, pdf::Options::default()), report)
}

/// The PDF of finished pages for a print shop, in its inks.
pub fn shop_file(
    booklet: &Booklet,
    faces: &FontBook,
    profile: &pdf::PrinterProfile,
    report: &mut Report,
) -> Option<pdf::PrepressFile> {
    written(pdf::write_prepress(booklet, faces, profile), report)
}

fn written<T>(file: Result<T, pdf::PdfError>, report: &mut Report) -> Option<T> {
<<<<<<< HEAD
    match file {
        Ok(file) => Some(file),
        Err(error) => {
            report.push(Diagnostic::fault("unprintable", error.to_string()));
            None
        }
    }
}

/// Holds a finished file against the project it was made from. `None`: the report has at least one fault.
pub fn proof(
    project: &Project,
    order: &Order,
    bytes: &[u8],
    sources: &mut Sources,
    report: &mut Report,
) -> Option<ProofReport> {
    let copy = write_up(project, order, sources, report)?;
    Some(prove(bytes, &expected(project, &copy)))
}

/// What a file composed from this copy must say.
pub fn expected<'a>(project: &'a Project, copy: &Draft) -> Expectations<'a> {
    let manuscript = &copy.manuscript;
    let blocks = || manuscript.sections.iter().flat_map(|s| &s.blocks);
    let chart = blocks().find_map(|b| match b {
        Block::Chart(chart) => Some(chart.as_ref()),
        _ => None,
    });
    let written: Vec<&crate::manuscript::WrittenRow> = blocks()
        .filter_map(|b| match b {
            Block::Rows(rows) => Some(rows),
            Block::Chart(chart) => Some(&chart.alongside),
            _ => None,
        })
        .flatten()
        .collect();
    let is_header = |field: &str| chart.is_none_or(|c| c.rows.iter().all(|r| r.field != field));
    let row = |row: &crate::manuscript::WrittenRow| ExpectedRow {
        number: row.number.clone(),
        field: row.field.clone(),
        sentence: words_of(&row.sentence),
        spoken: row.spoken.clone(),
    };
    let rows = match (written.is_empty(), chart) {
        (false, _) => written.iter().filter(|r| !is_header(&r.field)).map(|r| row(r)).collect(),
        (true, Some(chart)) => chart
            .rows
            .iter()
            .map(|r| ExpectedRow {
                number: r.number.clone(),
                field: r.field.clone(),
                // A long row's sentence stands nowhere in this edition.
                sentence: if r.is_long { String::new() } else { r.spoken.to_string() },
                spoken: r.spoken.to_string(),
            })
            .collect(),
        (true, None) => Vec::new(),
    };
    let size = copy.edition.paper.size;
    Expectations {
        project,
        paper: Some((size.width.to_pt(), size.height.to_pt())),
        bleed: copy.edition.bleed.to_pt(),
        chart: chart.is_some(),
        fields: copy.edition.bleed <= Length::ZERO,
        run_counts: copy.edition.chart.run_counts,
        header_rows: written.iter().filter(|r| is_header(&r.field)).map(|r| row(r)).collect(),
        written: !written.is_empty(),
        rows,
        key: chart
            .map(|c| c.yarns.iter().map(|y| ExpectedYarn { name: y.name.clone(), count: y.count.clone() }).collect())
            .unwrap_or_default(),
        sheet: chart
            .map(|c| SheetWords {
                columns: c.words.columns.clone(),
                rows: c.words.rows.clone(),
            })
            .unwrap_or_default(),
        lines: lines_of(manuscript),
    }
}

/// What tables and lists of a manuscript say, for proof to look for: every line with a box, and every cell of a table beside
/// the first of its row.
fn lines_of(manuscript: &Manuscript) -> Vec<ExpectedLine> {
    let mut out = Vec::new();
    for section in &manuscript.sections {
        let what = |kind: &str| format!("{kind} in the section `{}`", section.title.as_deref().unwrap_or(&section.id));
        let mut say = |kind: &str, text: &Text, beside: &str| {
            // A page number is filled in only when the pages are made up.
            let words = words_of(text);
            if !words.trim().is_empty() && !text.iter().any(|inline| matches!(inline, Inline::PageOf(_))) {
                out.push(ExpectedLine { what: what(kind), words, beside: beside.to_owned() });
            }
        };
        for block in &section.blocks {
            match block {
                Block::Ticks(lines) => lines.iter().for_each(|line| say("a line", &line.text, "")),
                Block::Facts(facts) => {
                    for (name, value) in facts {
                        say("a value", value, &words_of(name));
                    }
                }
                Block::Table(table) => {
                    for row in &table.rows {
                        let head = row.first().filter(|_| table.row_heads).map(|cell| words_of(&cell.text));
                        for (column, cell) in row.iter().enumerate() {
                            let beside = if column == 0 { "" } else { head.as_deref().unwrap_or("") };
                            say("a table's cell", &cell.text, beside);
                        }
                    }
                }
                Block::Heading(..)
                | Block::Paragraph(..)
                | Block::Steps(_)
                | Block::Bullets(_)
                | Block::Caution(_)
                | Block::Figure(_)
                | Block::HungPanel(_)
                | Block::AsKnotted(_)
                | Block::Picture { .. }
                | Block::Snips(_)
                | Block::Chart(_)
                | Block::Rows(_)
                | Block::Ruler { .. }
                | Block::FillIn(_)
                | Block::Contents
                | Block::NewPage
                | Block::InLanguage(..) => {}
            }
        }
    }
    out
}

fn words_of(text: &Text) -> String {
    text.iter()
        .map(|inline| match inline {
            Inline::Plain(t) | Inline::Strong(t) | Inline::Italic(t) | Inline::Address(t, _) => t.as_str(),
            Inline::PageOf(_) => "",
        })
        .collect()
}

/// A symbol for every yarn of the project.
pub fn symbols(project: &Project) -> Vec<String> {
    let cells: Vec<u8> = project.chart.cells().iter().map(|c| c.map_or(u8::MAX, |YarnId(i)| i)).collect();
    let touch = symbol::touches(project.chart.columns(), &cells, project.palette.len());
    let yarns: Vec<_> = project.palette.iter().map(|(_, y)| (y.colour, y.symbol.as_deref())).collect();
    symbol::assign(&yarns, &touch)
}

/// Compose has its own word for the ink, so that it need not know the project.
fn compose_ink(ink: Ink) -> inks::ChartInk {
    match ink {
        Ink::Saving => inks::ChartInk::Saving,
        Ink::Full => inks::ChartInk::Full,
        Ink::SymbolsOnly => inks::ChartInk::SymbolsOnly,
    }
=======
    file.map_err(|error| report.push(Diagnostic::fault("unprintable", error.to_string()))).ok()
>>>>>>> main
}
