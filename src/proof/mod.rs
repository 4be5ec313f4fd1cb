//! Reads a finished PDF back and holds it against the project.
//!
//! Shares no code with the writer. Names of resources, drawing order, marked content and metadata carry no meaning here:
//! colour and symbol of a cell are matched by what is drawn to the key on the same page, or on the page that the sheet says
//! the key is on, and the key to the yarns.

mod canvas;
mod document;
mod expected;
mod face;
mod fields;
mod flow;
mod hold_file;
mod hold_sheet;
mod hold_words;
mod imposed;
mod inks;
mod interpret;
mod key;
mod lattice;
mod lines;
mod look;
mod marks;
mod matrix;
mod outline;
mod reading;
mod report;
mod scan;
mod sheet;
#[cfg(test)]
mod tests;

pub use document::{PageBoxes, Unreadable};
pub use expected::{Expected, ExpectedLine, ExpectedRow, ExpectedYarn, SheetWords};
pub use face::Face;
pub use fields::{LinkField, TickField};
pub use imposed::prove_sheets;
pub use lattice::Lattice;
pub use lines::{Stretch, Word, stretches};
pub use marks::{Drawn, GlyphDrawn, Kind, Paint, Painted, Part};
pub use matrix::{Bounds, Spot};
pub use reading::{PageRead, Reading};
pub use report::{Finding, ProofReport};

use crate::chart::{Column, Row};
use std::collections::BTreeMap;

/// Reads a file and holds it against what it must say. Pages are read one after another and let go again, so that a
/// booklet of any length takes no more memory than its fullest page.
pub fn prove(bytes: &[u8], expected: &Expected) -> ProofReport {
    let mut report = ProofReport::default();
    let mut reading = match Reading::open(bytes) {
        Ok(reading) => reading,
        Err(why) => {
            report.find(Finding::new("unreadable-file", why.0));
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
    let names: Vec<&str> = expected.key.iter().map(|y| y.name.as_str()).collect();
    // Keys with pages of their own, by the first of these.
    let mut keys = BTreeMap::new();

    for number in 1..=report.pages {
        let page = match reading.page(number) {
            Ok(page) => page,
            Err(why) => {
                report.find(Finding::new("unreadable-page", why.0).on(number));
                continue;
            }
        };
        hold_file::hold_glyphs(number, &page.drawn, reading.faces(), &mut report);
        let lines = stretches(&page.drawn);
        let sheet = if expected.chart { sheet::sheet(&page.drawn, &lines, &names) } else { None };
        // A sheet of bare cells alone has no knots to be known by.
        let may_lie = expected.chart;
        hold_file::hold_boxes(number, &page.boxes, expected, first_size, may_lie, &mut report);
        first_size.get_or_insert(page.boxes.size());
        flow.add(number, lines);
        if let Some(mut sheet) = sheet {
            report.sheets += 1;
            let mut key_on = Some(number);
            let said = flow.page_said_on(number, &expected.sheet.key_page).filter(|_| sheet.key.is_empty());
            if let Some(said) = said {
                key_on = (!keys.contains_key(&said)).then_some(said);
                let key = keys.entry(said).or_insert_with(|| key_from(&mut reading, said, &sheet, &names));
                sheet.key.clone_from(key);
            }
            let on_page = hold_sheet::OnPage { number, sheet: &sheet, key_on, ticks: &page.ticks, flow: &flow };
            hold_sheet::hold_sheet(&on_page, expected, &mut covered, &mut report);
        }
        ticks.extend(page.ticks.into_iter().map(|t| (number, t)));
    }
    if expected.chart {
        hold_coverage(expected, &covered, &mut report);
    }
    if expected.written || expected.chart {
        hold_words::hold_rows(&flow, expected, &mut report);
    }
    hold_words::hold_lines(&flow, expected, &mut report);
    hold_file::hold_fonts(reading.opened(), &mut report);
    hold_file::hold_fields(&ticks, expected, &mut report);
    report
}

/// The key that begins on a page, for a sheet that leads to it: up to the page that has the last of the yarns.
fn key_from(reading: &mut Reading, first: usize, sheet: &sheet::Sheet, names: &[&str]) -> Vec<key::KeyEntry> {
    let mut found = Vec::new();
    for number in first..=reading.pages() {
        let Ok(page) = reading.page(number) else { break };
        let lines = stretches(&page.drawn);
        let here = key::entries(&page.drawn, &lines, names, &Bounds::EMPTY, sheet.cell(), sheet.is_grounded());
        if here.is_empty() {
            break;
        }
        found.extend(here);
        let has = |at: usize| found.iter().any(|entry: &key::KeyEntry| usize::from(entry.yarn.0) == at);
        if (0..names.len()).all(has) {
            break;
        }
    }
    found
}

/// Every knot of the chart must stand on some sheet. Of bare cells nothing is drawn, so nothing can be missing.
fn hold_coverage(expected: &Expected, covered: &[bool], report: &mut ProofReport) {
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
