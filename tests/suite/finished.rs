//! Finished booklets of the samples, made once for each test, with the display list they were made from: it says where on
//! the page a thing was drawn, so that a test can find the very operators that draw it.

use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::page::{Booklet, Cells, Item, TextRun};
use hitchpress::press::{self, Copy, Order};
use hitchpress::project::{self, Ink, Project};
use hitchpress::proof::ProofReport;
use hitchpress::source::Sources;
use std::path::Path;

/// A finished file and all it came from.
pub struct Finished {
    /// The project.
    pub project: Project,
    /// What was ordered.
    pub order: Order,
    /// What is said.
    pub copy: Copy,
    /// Where everything sits.
    pub booklet: Booklet,
    /// The file.
    pub bytes: Vec<u8>,
    /// The layout it was given, where it is not the shipped one.
    pub layout: Option<String>,
}

/// Composes a sample in the language of its project.
pub fn finished(sample: &str, edition: &str, paper: &str, ink: Ink) -> Finished {
    finished_in(sample, edition, paper, ink, None)
}

/// Composes a sample in a layout of its own, given as text, or in the shipped one.
pub fn finished_in(sample: &str, edition: &str, paper: &str, ink: Ink, layout: Option<String>) -> Finished {
    let (paper, ink) = (Some(paper.to_owned()), Some(ink));
    finished_to(sample, Order { edition: edition.to_owned(), paper, ink, ..Order::default() }, layout)
}

/// Composes a sample as ordered, in a layout of its own or in the shipped one.
pub fn finished_to(sample: &str, mut order: Order, layout: Option<String>) -> Finished {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    order.own_layout = layout.as_ref().map(|text| sources.add("own.toml".into(), text.clone().into_bytes()));
    let book = FontBook::shipped();
    let (project, copy, booklet) = laid_out(sample, &order, &book, &mut sources);
    let bytes = press::compose(&project, &order, &book, &mut sources, &mut report).expect("the sample is composed");
    Finished { project, order, copy, booklet, bytes, layout }
}

/// Lays a sample out as ordered, without making a file of it.
pub fn laid_out(sample: &str, order: &Order, book: &FontBook, sources: &mut Sources) -> (Project, Copy, Booklet) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample);
    let mut report = Report::new();
    let project = project::load(&folder, sources, &mut report).expect("the sample loads");
    let copy = press::write_up(&project, order, sources, &mut report).expect("the sample is written up");
    let booklet = press::lay_out(&copy, book).expect("the sample is laid out");
    (project, copy, booklet)
}

impl Finished {
    /// What proof says of these bytes.
    pub fn proof(&self, bytes: &[u8]) -> ProofReport {
        let (mut sources, mut report) = (Sources::new(), Report::new());
        let own_layout = self.layout.as_ref().map(|text| sources.add("own.toml".into(), text.clone().into_bytes()));
        let order = Order { own_layout, ..self.order.clone() };
        press::proof(&self.project, &order, bytes, &mut sources, &mut report).expect("the sample is written up")
    }

    /// Everything that stands on a page, counted from 0.
    pub fn items(&self, page: usize) -> impl Iterator<Item = &Item> {
        self.booklet.pages[page].frames.iter().flat_map(|frame| &frame.items).map(|placed| &placed.item)
    }

    /// Runs of text of a page.
    pub fn runs(&self, page: usize) -> impl Iterator<Item = &TextRun> {
        self.items(page).filter_map(|item| match item {
            Item::Text(run) => Some(run),
            Item::Shape(_) | Item::Picture(_) | Item::Cells(_) | Item::Tick(_) | Item::Link(_) => None,
        })
    }

    /// Grids of a page: the chart's, and the samples of the key.
    pub fn cells(&self, page: usize) -> impl Iterator<Item = &Cells> {
        self.items(page).filter_map(|item| match item {
            Item::Cells(cells) => Some(cells),
            Item::Shape(_) | Item::Picture(_) | Item::Text(_) | Item::Tick(_) | Item::Link(_) => None,
        })
    }

    /// The chart's grid on a page, if it is a chart sheet.
    pub fn grid(&self, page: usize) -> Option<&Cells> {
        self.cells(page).filter(|c| c.cells.len() > 1).max_by_key(|c| c.cells.len())
    }

    /// Chart sheets: page (from 0), first row and first column of the chart on it. Read off the display list's numbers.
    pub fn sheets(&self) -> Vec<(usize, usize, usize)> {
        let number = |run: &TextRun| run.text.trim().parse::<usize>().ok();
        let mut out = Vec::new();
        for page in 0..self.booklet.pages.len() {
            let Some(grid) = self.grid(page) else { continue };
            let (left, top) = (grid.origin.x.to_pt(), grid.origin.y.to_pt());
            let (w, h) = (grid.cell.width.to_pt(), grid.cell.height.to_pt());
            let right = left + w * grid.columns as f64;
            let bottom = top + h * grid.rows() as f64;
            let mut rows = Vec::new();
            let mut columns = Vec::new();
            for run in self.runs(page) {
                let Some(value) = number(run) else { continue };
                let (x, y) = (run.origin.x.to_pt(), run.origin.y.to_pt());
                if y > top && y < bottom && (x < left || x > right) {
                    rows.push(value - 1 - ((y - top) / h) as usize);
                } else if y < top && y > top - 20.0 && x > left - w && x < right {
                    columns.push((x, value));
                }
            }
            columns.sort_by(|a, b| a.0.total_cmp(&b.0));
            out.push((page, rows[0], columns[0].1 - 1));
        }
        out
    }
}
