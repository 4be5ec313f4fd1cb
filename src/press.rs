//! The whole way from a clean project to a finished file, and back: the stages in one place.
//!
//! In: a [`Project`] and an [`Order`]. Out: a PDF's bytes, or what the bytes say when they are read again. No I/O but the
//! layout files that `edition` reads through `source`.

pub mod pictures;

use crate::advice;
use crate::chart::YarnId;
use crate::compose::{inks, symbol};
use crate::diag::{Diagnostic, Report, SourceId};
use crate::edition::{self, Edition};
use crate::font::{FontBook, Role};
use crate::geom::{Length, MM_PER_INCH};
use crate::manuscript::write::{WriteOptions, write};
use crate::manuscript::{Block, Inline, Manuscript, Text};
use crate::page::{Booklet, Item, PictureFile};
use crate::pdf;
use crate::project::{Ink, Project};
use crate::proof::{Expected, ExpectedLine, ExpectedRow, ExpectedYarn, ProofReport, SheetWords, prove};
use crate::source::Sources;
use crate::words::Words;
use crate::workings::{self, Workings};

/// What is to be composed. `None` means: as the project says.
#[derive(Clone, Debug, Default)]
pub struct Order {
    /// Shipped edition: "booklet", "chart", "large-print", "materials".
    pub edition: String,
    /// The maker's own edition file, already read.
    pub own_layout: Option<SourceId>,
    /// Shipped look.
    pub look: Option<String>,
    /// Paper.
    pub paper: Option<String>,
    /// Ink.
    pub ink: Option<Ink>,
    /// Language of the words on paper.
    pub language: Option<String>,
    /// Whether left and right pages mirror each other, whatever project and layout say.
    pub facing: Option<bool>,
    /// Whether the file is for a print shop: with bleed, without fields, filled up to whole folded sheets.
    pub for_shop: bool,
    /// Students of a class.
    pub students: Option<usize>,
    /// The maker's photograph for the cover, read and ready.
    pub photograph: Option<PictureFile>,
}

/// A project on its way to paper: everything said and reckoned, nothing placed.
pub struct Copy {
    /// What is said.
    pub manuscript: Manuscript,
    /// How it is laid out.
    pub edition: Edition,
    /// The reckoning.
    pub workings: Workings,
    /// Ink of the chart.
    pub ink: Ink,
}

/// Reckons and writes. `None`: the report has at least one fault.
pub fn write_up(project: &Project, order: &Order, sources: &mut Sources, report: &mut Report) -> Option<Copy> {
    let paper = order.paper.as_deref().unwrap_or(&project.print.paper);
    let choice = edition::Choice { edition: &order.edition, own: order.own_layout, look: order.look.as_deref(), paper };
    let edition = edition::load(choice, sources, report);
    let language = order.language.as_deref().unwrap_or(&project.about.language);
    let words = Words::shipped(language);
    if words.is_none() {
        report.push(
            Diagnostic::fault("unknown-language", format!("there are no words in the language `{language}`"))
                .hint(Words::language_hint(language)),
        );
    }
    let (mut edition, words) = (edition?, words?);
    if let Some(facing) = order.facing.or(project.print.facing) {
        edition.facing = facing;
    }
    if order.for_shop {
        edition.in_fours = true;
        edition.bleed = pdf::marks::BLEED;
        // Pages that are folded and stapled together are of one size and stand upright.
        edition.chart.may_turn = false;
        report.extend(narrow_margins(&edition));
    }
    report.extend(workings::feasible(project));
    if report.has_faults() {
        return None;
    }
    let workings = workings::work_out(project);
    let ink = order.ink.unwrap_or(project.print.ink);
    let symbols = symbols(project);
    let options = WriteOptions {
        sections: &edition.sections,
        symbols: &symbols,
        rows_alongside: edition.chart.rows_alongside,
        students: order.students,
        photograph: order.photograph.clone(),
    };
    let manuscript = write(project, &workings, &words, &options);
    Some(Copy { manuscript, edition, workings, ink })
}

/// What stands nearer to the cut may be cut off (common practice, no source).
const SAFE_MARGIN: Length = Length::mm(5.0);

/// A fault where a paper's margins are too narrow to be cut by a shop.
fn narrow_margins(edition: &Edition) -> Report {
    let mut report = Report::new();
    let paper = &edition.paper;
    let least = [paper.top, paper.bottom, paper.inner, paper.outer, paper.chart_margin];
    if least.into_iter().any(|margin| !SAFE_MARGIN.fits(margin)) {
        let message =
            format!("margins of the paper `{}` are under 5 mm, too near to the cut for a print shop", paper.name);
        report.push(
            Diagnostic::fault("margins-too-narrow", message).hint("choose a paper that is printed on, such as a5"),
        );
    }
    report
}

/// Lays out a copy.
///
/// # Errors
/// A report with every character that no face has.
pub fn lay_out(copy: &Copy, book: &FontBook) -> Result<Booklet, Report> {
    crate::compose::compose(&copy.manuscript, &copy.edition, book, compose_ink(copy.ink))
}

/// The shipped faces with those of the maker's own in the roles they take. `None`: the report has a fault for every file
/// that cannot be used.
fn with_own_fonts(fonts: &[edition::OwnFont], report: &mut Report) -> Option<FontBook> {
    let mut book = FontBook::shipped();
    let before = report.len();
    for font in fonts {
        match (book.add(&font.name, font.bytes.clone()), Role::from_name(&font.role)) {
            (Ok(face), Some(role)) => book.set_role(role, face),
            (Err(fault), _) => report.push(fault.at(font.at)),
            (Ok(_), None) => {}
        }
    }
    (report.len() == before).then_some(book)
}

/// Finished pages. What was said and reckoned for them is let go: of a large chart it is large.
struct SetOut {
    booklet: Booklet,
    edition: Edition,
    /// Titles of the sections from which one could work: the chart's and the rows'.
    worked_from: Vec<String>,
    /// The book with the maker's own faces, where the layout has some.
    own: Option<FontBook>,
}

/// Pages, with what only they can tell of: cells and photographs that come out small. `None`: the report has a fault.
fn set_out(
    project: &Project,
    order: &Order,
    book: &FontBook,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<SetOut> {
    let copy = write_up(project, order, sources, report)?;
    let own = match copy.edition.look.fonts.as_slice() {
        [] => None,
        fonts => Some(with_own_fonts(fonts, report)?),
    };
    let Copy { manuscript, edition, workings, ink } = copy;
    // All is said; those of a large chart are large.
    drop(workings);
    match crate::compose::compose(&manuscript, &edition, own.as_ref().unwrap_or(book), compose_ink(ink)) {
        Ok(booklet) => {
            on_paper(&booklet, &edition.paper.name, &mut |advice| {
                if !advice::is_acknowledged(project, &advice) {
                    report.push(advice);
                }
            });
            let worked_from = worked_from(&manuscript);
            Some(SetOut { booklet, edition, worked_from, own })
        }
        Err(faults) => {
            report.extend(faults);
            None
        }
    }
}

fn worked_from(manuscript: &Manuscript) -> Vec<String> {
    let is_worked_from = |block: &Block| matches!(block, Block::Chart(_) | Block::Rows(_));
    let sections = manuscript.sections.iter().filter(|section| section.blocks.iter().any(is_worked_from));
    sections.filter_map(|section| section.title.clone()).collect()
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

/// What only finished pages can tell of a project as it is ordered, and every fault that would keep it from being composed.
pub fn look_over(project: &Project, order: &Order, book: &FontBook, sources: &mut Sources, report: &mut Report) {
    set_out(project, order, book, sources, report);
}

/// From a project to the bytes of a PDF. `None`: the report has at least one fault.
pub fn compose(
    project: &Project,
    order: &Order,
    book: &FontBook,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<Vec<u8>> {
    let SetOut { booklet, own, .. } = set_out(project, order, book, sources, report)?;
    written(pdf::write(&booklet, own.as_ref().unwrap_or(book), pdf::Options::default()), report)
}

/// From a project to a file for a print shop, in its inks. `None`: the report has at least one fault.
pub fn compose_for_shop(
    project: &Project,
    order: &Order,
    profile: &pdf::PrinterProfile,
    book: &FontBook,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<pdf::ForShop> {
    let order = Order { for_shop: true, ..order.clone() };
    let SetOut { booklet, own, .. } = set_out(project, &order, book, sources, report)?;
    written(pdf::write_for_shop(&booklet, own.as_ref().unwrap_or(book), profile), report)
}

fn written<T>(file: Result<T, pdf::PdfError>, report: &mut Report) -> Option<T> {
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
pub fn expected<'a>(project: &'a Project, copy: &Copy) -> Expected<'a> {
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
    Expected {
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
                key_page: c.words.key_page.clone(),
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
}
