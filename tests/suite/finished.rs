//! Finished booklets of the samples, made once for each test, with the display list they were made from: it says where on
//! the page a thing was drawn, so that a test can find the very operators that draw it.

use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::page::{Booklet, Cells, Item, Placed, TextRun};
use hitchpress::pdf;
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
    /// A layout of the test's own instead of the shipped edition.
    pub layout: Option<String>,
    /// What is said.
    pub copy: Copy,
    /// Where everything sits.
    pub booklet: Booklet,
    /// The file.
    pub bytes: Vec<u8>,
}

/// Composes a sample in the language of its project.
pub fn finished(name: &str, edition: &str, paper: &str, ink: Ink) -> Finished {
    made(sample(name), order(edition, paper, ink), None)
}

/// Composes a sample in a layout of its own, given as text, or in the shipped one.
pub fn finished_in(name: &str, edition: &str, paper: &str, ink: Ink, layout: Option<String>) -> Finished {
    made(sample(name), order(edition, paper, ink), layout)
}

/// Composes a sample as ordered, in a layout of its own or in the shipped one.
pub fn finished_to(name: &str, order: Order, layout: Option<String>) -> Finished {
    made(sample(name), order, layout)
}

/// An order.
pub fn order(edition: &str, paper: &str, ink: Ink) -> Order {
    Order { edition: edition.to_owned(), paper: Some(paper.to_owned()), ink: Some(ink), ..Order::default() }
}

/// The project of a sample.
pub fn sample(name: &str) -> Project {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(name);
    project::load(&folder, &mut Sources::new(), &mut Report::new()).expect("the sample loads")
}

/// Composes any project.
pub fn made(project: Project, order: Order, layout: Option<String>) -> Finished {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let order = with_layout(order, layout.as_deref(), &mut sources);
    let book = FontBook::shipped();
    let copy = press::write_up(&project, &order, &mut sources, &mut report);
    let copy = copy.unwrap_or_else(|| panic!("written up: {report:?}"));
    let booklet = press::lay_out(&copy, &book).expect("it is laid out");
    let bytes = pdf::write(&booklet, &book, pdf::Options::default()).expect("it is written");
    Finished { project, order, layout, copy, booklet, bytes }
}

fn with_layout(order: Order, layout: Option<&str>, sources: &mut Sources) -> Order {
    let own_layout = layout.map(|text| sources.add("own-layout.toml".into(), text.as_bytes().to_vec()));
    Order { own_layout, ..order }
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
        let order = with_layout(self.order.clone(), self.layout.as_deref(), &mut sources);
        press::proof(&self.project, &order, bytes, &mut sources, &mut report).expect("it is written up")
    }

    /// Everything that stands on a page, counted from 0.
    pub fn items(&self, page: usize) -> impl Iterator<Item = &Item> {
        self.placed(page).map(|placed| &placed.item)
    }

    /// The same with roles.
    pub fn placed(&self, page: usize) -> impl Iterator<Item = &Placed> {
        self.booklet.pages[page].frames.iter().flat_map(|frame| &frame.items)
    }

    /// Runs of text of a page.
    pub fn runs(&self, page: usize) -> impl Iterator<Item = &TextRun> {
        self.items(page).filter_map(|item| match item {
            Item::Text(run) => Some(run),
            Item::Shape(_) | Item::Drawing(_) | Item::Picture(_) | Item::Cells(_) | Item::Tick(_) | Item::Link(_) => {
                None
            }
        })
    }

    /// Grids of a page: the chart's, and the samples of the key.
    pub fn cells(&self, page: usize) -> impl Iterator<Item = &Cells> {
        self.items(page).filter_map(|item| match item {
            Item::Cells(cells) => Some(cells),
            Item::Shape(_) | Item::Drawing(_) | Item::Picture(_) | Item::Text(_) | Item::Tick(_) | Item::Link(_) => {
                None
            }
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
