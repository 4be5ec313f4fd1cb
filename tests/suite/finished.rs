//! Finished booklets of the samples, each made once for all tests of a run, with the display list they were made from: it says
//! where on the page a thing was drawn, so that a test can find the very operators that draw it.

use hitchpress::catalogue::{EditionName, PaperName};
use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::page::{Booklet, Cells, Item, PlacedItem, TextRun};
use hitchpress::pdf;
use hitchpress::press::{Draft, Prepared, Settled, Wishes};
use hitchpress::project::{self, Ink, Project};
use hitchpress::proof::ProofReport;
use hitchpress::source::Sources;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, LazyLock, Mutex, OnceLock};

/// The bytes of a file, written when a test first reads them: many ask only where things sit.
pub type Written = LazyLock<Vec<u8>, Box<dyn FnOnce() -> Vec<u8> + Send>>;

/// A finished file and all it came from.
pub struct Finished {
    /// The project, reckoned.
    pub prepared: Prepared,
    /// What is said, and how it is laid out.
    pub draft: Draft,
    /// Where everything sits.
    pub booklet: Arc<Booklet>,
    /// The file.
    pub bytes: Written,
}

/// Samples that a test of this run has asked for, by name and order. Several tests read the same ones.
static SAMPLES: Mutex<BTreeMap<String, Arc<OnceLock<Arc<Finished>>>>> = Mutex::new(BTreeMap::new());

/// A sample in the language of its project.
pub fn finished(name: &str, edition: &str, paper: &str, ink: Ink) -> Arc<Finished> {
    finished_to(name, order(edition, paper, ink))
}

/// Composes a sample in a layout of its own, given as text, or in the shipped one.
pub fn finished_in(name: &str, edition: &str, paper: &str, ink: Ink, layout: Option<String>) -> Finished {
    made(sample(name), order(edition, paper, ink), layout)
}

/// A sample as ordered.
pub fn finished_to(name: &str, order: Wishes) -> Arc<Finished> {
    let key = format!("{name} {order:?}");
    // Only the place is kept while others wait: two samples are composed at once.
    let place = Arc::clone(SAMPLES.lock().expect("no test fails here").entry(key).or_default());
    Arc::clone(place.get_or_init(|| Arc::new(made(sample(name), order, None))))
}

/// An order.
pub fn order(edition: &str, paper: &str, ink: Ink) -> Wishes {
    let (edition, paper) = (EditionName::named(edition), PaperName::named(paper));
    assert!(edition.is_some() && paper.is_some());
    Wishes { edition, paper, ink: Some(ink), ..Wishes::default() }
}

/// The project of a sample.
pub fn sample(name: &str) -> Project {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(name);
    project::load(&folder, &mut Sources::new(), &mut Report::new()).expect("the sample loads")
}

/// Composes any project.
pub fn made(mut project: Project, mut order: Wishes, layout: Option<String>) -> Finished {
    let mut sources = Sources::new();
    if let Some(layout) = layout {
        // A maker's own layout takes the place of the booklet.
        order.edition = Some(EditionName::Booklet);
        project.print.layout = Some("own-layout.toml".into());
        sources.lay_over(project.folder.join("own-layout.toml"), layout.into_bytes());
    }
    let book = FontBook::shipped();
    let (prepared, draft) = drafted(project, &order, &mut sources);
    let booklet = draft.lay_out(&book).expect("it is laid out");
    Finished::new(prepared, draft, booklet)
}

/// Settles, reckons and writes a project as ordered.
pub fn drafted(project: Project, order: &Wishes, sources: &mut Sources) -> (Prepared, Draft) {
    let mut report = Report::new();
    let settled = Settled::from(order, &project, sources, &mut report);
    let Settled { manner, variant } = settled.unwrap_or_else(|| panic!("settled: {report:?}"));
    let prepared = Prepared::new(project, manner);
    let draft = prepared.write(&variant);
    (prepared, draft)
}

/// Lays a project out as ordered, without making a file of it.
pub fn laid_out(project: Project, order: &Wishes, book: &FontBook) -> Booklet {
    drafted(project, order, &mut Sources::new()).1.lay_out(book).expect("it is laid out")
}

impl Finished {
    /// Of what was laid out.
    pub fn new(prepared: Prepared, draft: Draft, booklet: Booklet) -> Finished {
        let booklet = Arc::new(booklet);
        let same = Arc::clone(&booklet);
        let write = move || pdf::write(&same, &FontBook::shipped(), pdf::Options::default()).expect("it is written");
        Finished { prepared, draft, booklet, bytes: LazyLock::new(Box::new(write)) }
    }

    /// What proof says of these bytes.
    pub fn proof(&self, bytes: &[u8]) -> ProofReport {
        self.prepared.proof(&self.draft, bytes)
    }

    /// Everything that stands on a page, counted from 0.
    pub fn items(&self, page: usize) -> impl Iterator<Item = &Item> {
        self.placed(page).map(|placed| &placed.item)
    }

    /// The same with roles.
    pub fn placed(&self, page: usize) -> impl Iterator<Item = &PlacedItem> {
        self.booklet.pages[page].frames.iter().flat_map(|frame| &frame.items)
    }

    /// Runs of text of a page.
    pub fn runs(&self, page: usize) -> impl Iterator<Item = &TextRun> {
        self.items(page).filter_map(Item::as_text)
    }

    /// Grids of a page: the chart's, and the samples of the key.
    pub fn cells(&self, page: usize) -> impl Iterator<Item = &Cells> {
        self.items(page).filter_map(|item| match item {
            Item::Cells(cells) => Some(cells),
            Item::Shape(_)
            | Item::Drawing(_)
            | Item::Picture(_)
            | Item::Text(_)
            | Item::Tick(_)
            | Item::Blank(_)
            | Item::Link(_) => None,
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
                    rows.push((run.size.to_pt(), value, ((y - top) / h) as usize));
                } else if y < top && y > top - 20.0 && x > left - w && x < right {
                    columns.push((x, value));
                }
            }
            columns.sort_by(|a, b| a.0.total_cmp(&b.0));
            // Run counts stand beside rows too, and are smaller than their numbers.
            rows.sort_by(|a, b| b.0.total_cmp(&a.0));
            out.push((page, rows[0].1 - 1 - rows[0].2, columns[0].1 - 1));
        }
        out
    }
}
