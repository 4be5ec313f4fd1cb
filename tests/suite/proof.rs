//! `proof` on finished files: right ones pass, and a reader that shares no code with the writer or with `proof` sees the
//! same chart.

use crate::finished::{Finished, finished};
use crate::support::Room;
use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};
use hitchpress::catalogue::EditionName;
use hitchpress::page::Cells;
use hitchpress::project::Ink;
use hitchpress::proof::Finding;

const SAMPLES: [&str; 3] = ["low-water-heron", "two-pears", "harbour-evening"];
const INKS: [Ink; 3] = [Ink::Saving, Ink::Full, Ink::SymbolsOnly];

fn passes(of: &Finished) {
    let report = of.proof(&of.bytes);
    let said: Vec<String> = report.findings.iter().map(Finding::sentence).collect();
    assert!(said.is_empty(), "{} {}: {said:#?}", of.prepared.project.about.title, of.draft.variant.name);
    assert_eq!(report.pages, of.booklet.pages.len());
    if of.draft.variant.name != EditionName::Materials {
        assert!(report.cells >= of.prepared.project.chart.cells().len());
        assert!(report.tick_boxes >= of.prepared.project.chart.rows());
    }
    if of.draft.variant.name == EditionName::Booklet {
        assert!(report.written_rows >= of.prepared.project.chart.rows());
    }
}

#[test]
fn every_edition_of_every_sample_passes() {
    for sample in SAMPLES {
        for edition in ["booklet", "chart", "large-print", "materials"] {
            passes(&finished(sample, edition, "a4", Ink::Saving));
        }
    }
}

#[test]
fn every_ink_and_paper_passes() {
    for (sample, paper) in SAMPLES.iter().zip(["a5", "letter", "a5"]) {
        for ink in INKS {
            passes(&finished(sample, "chart", paper, ink));
        }
    }
}

/// Pixels a point for the renderer: cells of 4 mm become 34 pixels.
const SCALE: f32 = 3.0;
/// Places across a cell that are compared.
const PLACES: usize = 14;

/// A page as the renderer shows it.
struct RenderedPage {
    width: usize,
    pixels: Vec<[u8; 3]>,
}

impl RenderedPage {
    fn pages(bytes: &[u8]) -> Vec<RenderedPage> {
        let pdf = Pdf::new(bytes.to_vec()).expect("the file is a PDF");
        let cache = RenderCache::new();
        let paper = PixmapSettings { x_scale: SCALE, y_scale: SCALE, bg_color: WHITE };
        let pages = pdf.pages();
        let seen = pages.iter().map(|page| {
            let picture = render(page, &cache, &InterpreterSettings::default(), &RenderSettings::default(), &paper);
            let pixels = picture.data().iter().map(|p| [p.r, p.g, p.b]).collect();
            RenderedPage { width: usize::from(picture.width()), pixels }
        });
        seen.collect()
    }

    /// The square in the middle of a cell, as a list of colours.
    fn square(&self, x: f64, y: f64, side: f64) -> Vec<[u8; 3]> {
        let place = |middle: f64, i: usize| {
            let off = ((i as f64 + 0.5) / PLACES as f64 - 0.5) * 0.84 * side;
            ((middle + off) * f64::from(SCALE)) as usize
        };
        (0..PLACES * PLACES).map(|i| self.pixels[place(y, i / PLACES) * self.width + place(x, i % PLACES)]).collect()
    }
}

fn unlike(a: &[[u8; 3]], b: &[[u8; 3]]) -> u32 {
    a.iter().flatten().zip(b.iter().flatten()).map(|(x, y)| u32::from(x.abs_diff(*y))).sum()
}

/// Every cell of the picture is taken for the yarn whose sample in the key looks most like it.
fn read_by_eye(of: &Finished) {
    let chart = &of.prepared.project.chart;
    let pages = RenderedPage::pages(&of.bytes);
    let mut read = vec![false; chart.cells().len()];
    for (page, first_row, first_column) in of.sheets() {
        let seen = &pages[page];
        let look = |cells: &Cells, row: usize, column: usize| {
            let (w, h) = (cells.cell.width.to_pt(), cells.cell.height.to_pt());
            let x = cells.origin.x.to_pt() + (column as f64 + 0.5) * w;
            let y = cells.origin.y.to_pt() + (row as f64 + 0.5) * h;
            seen.square(x, y, w.min(h))
        };
        let grid = of.grid(page).expect("a chart sheet");
        // The key's samples come in palette order.
        let key: Vec<_> = of.cells(page).filter(|c| c.cells.len() == 1).map(|sample| look(sample, 0, 0)).collect();
        assert_eq!(key.len(), of.prepared.project.palette.len());
        for row in 0..grid.rows() {
            for column in 0..grid.columns {
                let cell = look(grid, row, column);
                let bare = cell.iter().flatten().all(|v| *v > 250);
                let nearest = (0..key.len()).min_by_key(|yarn| unlike(&cell, &key[*yarn])).expect("a key");
                let got = if bare { None } else { Some(nearest) };
                let at = (first_row + row) * chart.columns() + first_column + column;
                let want = chart.cells()[at].map(|yarn| usize::from(yarn.0));
                assert_eq!(got, want, "row {}, column {}", first_row + row + 1, first_column + column + 1);
                read[at] = true;
            }
        }
    }
    assert!(read.iter().all(|seen| *seen), "every cell stands on a sheet");
}

#[test]
fn a_rendering_shows_the_sample_charts_cell_for_cell() {
    for (sample, ink) in SAMPLES.iter().zip(INKS) {
        read_by_eye(&finished(sample, "chart", "a4", ink));
    }
}

#[test]
fn a_file_on_another_paper_is_told_once_and_how_to_ask_for_it() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    assert_eq!(room.run(&["compose", "boat", "--paper", "a5", "-o", "boat.pdf"]).code, 0);
    // It says its paper, so nobody need ask; and who asks for another is told that, not what else follows from it.
    assert_eq!(room.run(&["proof", "boat", "boat.pdf"]).code, 0);
    let ran = room.run(&["proof", "boat", "boat.pdf", "--paper", "a4"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert_eq!(ran.err.matches("page-size").count(), 1, "{}", ran.err);
    assert_eq!(ran.err.matches("other-making").count(), 1, "{}", ran.err);
    assert!(ran.err.contains("`a5`") && ran.err.contains("`a4`") && ran.err.contains("2 faults"), "{}", ran.err);
    // One that says nothing is told once as well.
    let mut document = lopdf::Document::load(room.path().join("boat.pdf")).expect("a PDF");
    document.catalog_mut().expect("a catalogue").remove(b"PieceInfo").expect("it says how it was made");
    let mut bytes = Vec::new();
    document.save_to(&mut bytes).expect("written");
    room.write("silent.pdf", bytes);
    let ran = room.run(&["proof", "boat", "silent.pdf"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert_eq!(ran.err.matches("page-size").count(), 1, "{}", ran.err);
    assert!(ran.err.contains("--paper") && ran.err.contains("1 fault"), "{}", ran.err);
    assert_eq!(room.run(&["proof", "boat", "silent.pdf", "--paper", "a5"]).code, 0);
}
