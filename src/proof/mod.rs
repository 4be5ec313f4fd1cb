//! Reads a finished PDF back and holds it against the project.
//!
//! Shares no code with the writer. Names of resources, drawing order, marked content and metadata carry no meaning here:
//! colour and symbol of a cell are matched by what is drawn to the key on the same page, and the key to the yarns.

mod canvas;
mod cell_marks;
mod cells;
mod check_file;
mod check_sheet;
mod check_words;
mod expectations;
mod flow;
mod imposed;
mod key;
mod lattice;
mod look;
mod report;
mod sheet;
#[cfg(test)]
mod tests;
mod whole;

pub use expectations::Expectations;
pub(crate) use expectations::PageLayout;
pub(crate) use imposed::prove_sheets;
pub use report::{Finding, ProofReport};
pub use whole::{Comparison, compare};

use crate::chart::{Column, Row};
use crate::reader::{PdfReader, ReadError, stretches};

/// Reads a file and holds it against what it must say. Pages are read one after another and let go again, so that a
/// booklet of any length takes no more memory than its fullest page.
pub fn prove(bytes: &[u8], expected: &Expectations) -> ProofReport {
    prove_opened(PdfReader::open(bytes), expected)
}

/// The same of a file that is open already, or could not be opened.
pub(crate) fn prove_opened(opened: Result<PdfReader, ReadError>, expected: &Expectations) -> ProofReport {
    let mut report = ProofReport::default();
    let mut reading = match opened {
        Ok(reading) => reading,
        Err(why) => {
            report.find(Finding::new("unreadable-file", format!("{why}; {}", why.remedy())));
            return report;
        }
    };
    report.pages = reading.pages();
    if report.pages == 0 {
        report.find(Finding::new("no-pages", "the file has no pages"));
    }
    let chart = &expected.project.chart;
    let mut covered = vec![false; chart.cells().len()];
    let mut flow = flow::Flow::default();
    let mut ticks = Vec::new();
    let mut first_size = None;
    let tally = check_sheet::tally(expected);
    let names: Vec<&str> = expected.key.iter().map(|y| y.name.as_str()).collect();

    for number in 1..=report.pages {
        let page = match reading.page(number) {
            Ok(page) => page,
            Err(why) => {
                report.find(Finding::new("unreadable-page", why.to_string()).on(number));
                continue;
            }
        };
        check_file::check_glyphs(number, &page.drawn, reading.faces(), &mut report);
        let lines = stretches(&page.drawn);
        let sheet = if expected.chart { sheet::sheet(&page.drawn, &lines, &names) } else { None };
        // A sheet of bare cells alone has no knots to be known by.
        let may_lie = expected.chart;
        check_file::check_boxes(number, &page.boxes, expected, first_size, may_lie, &mut report);
        first_size.get_or_insert(page.boxes.size());
        flow.add(number, lines);
        if let Some(sheet) = sheet {
            flow.mark_as_sheet(number);
            report.sheets += 1;
            let on_page =
                check_sheet::SheetOnPage { number, sheet: &sheet, ticks: &page.ticks, flow: &flow, tally: &tally };
            check_sheet::check_sheet(&on_page, expected, &mut covered, &mut report);
        }
        ticks.extend(page.ticks.into_iter().map(|t| (number, t)));
    }
    if expected.chart {
        check_coverage(expected, &covered, &mut report);
    }
    if expected.written || expected.chart {
        check_words::check_rows(&flow, expected, &mut report);
    }
    check_words::check_lines(&flow, expected, &mut report);
    check_file::check_fonts(reading.opened(), &mut report);
    check_file::check_fields(&ticks, expected, &mut report);
    report
}

/// Every knot of the chart must stand on some sheet. Of bare cells nothing is drawn, so nothing can be missing.
fn check_coverage(expected: &Expectations, covered: &[bool], report: &mut ProofReport) {
    let chart = &expected.project.chart;
    if report.sheets == 0 {
        report.find(Finding::new("no-sheet", "the file has no chart sheet"));
        return;
    }
    for (row, cells) in covered.chunks(chart.columns()).enumerate() {
        let missing = |column: &usize| !cells[*column] && chart.cell(Row(row), Column(*column)).is_some();
        let Some(from) = (0..cells.len()).find(missing) else { continue };
        let length = (from..cells.len()).take_while(missing).count();
        let message = match length {
            1 => format!("column {} stands on no sheet", from + 1),
            _ => format!("columns {} to {} stand on no sheet", from + 1, from + length),
        };
        report.find(Finding::new("not-on-a-sheet", message).row(row));
    }
}
