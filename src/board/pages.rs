//! The booklet's pages as they are printed, drawn when a page asks for them, and the rows in words. What was composed is kept
//! as long as the panel stays as it is.

use super::panel::Reckoned;
use crate::catalogue::{EditionName, PaperName};
use crate::diag::{Diagnostic, Report};
use crate::font::FontBook;
use crate::geom::Length;
use crate::manuscript::{Block, WrittenRow};
use crate::markup::unmarked;
use crate::page::Booklet;
use crate::picture;
use crate::press::{self, Prepared, Variant, Wishes, pictures};
use crate::project::Ink;
use crate::source::Sources;
use std::sync::{Arc, Mutex, PoisonError};

/// Composed files that are kept.
const MOST_FILES: usize = 6;
/// Drawn pages that are kept.
const MOST_DRAWN: usize = 80;
/// Widths of a drawn page, pixels.
pub(super) const WIDTHS: std::ops::RangeInclusive<usize> = 60..=2_400;

/// How a file is composed; an empty word is as the project says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Choices {
    pub(crate) edition: String,
    pub(crate) paper: String,
    pub(crate) ink: String,
    pub(crate) language: String,
}

/// Pages that are laid out. Each is drawn by itself: a whole file would be written for one page in sight.
pub(super) struct Composed {
    booklet: Booklet,
    variant: Variant,
    /// Width and height of each page, points.
    pub(crate) sizes: Vec<(f32, f32)>,
}

struct Kept<K, V> {
    entries: Vec<(K, Arc<V>)>,
    most: usize,
}

impl<K: PartialEq, V> Kept<K, V> {
    fn find(&mut self, key: &K) -> Option<Arc<V>> {
        let at = self.entries.iter().position(|(known, _)| known == key)?;
        // What was asked for last is dropped last.
        let entry = self.entries.remove(at);
        let found = Arc::clone(&entry.1);
        self.entries.push(entry);
        Some(found)
    }
    fn keep(&mut self, key: K, value: Arc<V>) {
        self.entries.push((key, value));
        let more = self.entries.len().saturating_sub(self.most);
        self.entries.drain(..more);
    }
}

type File = (String, u64, Choices);

/// What was composed and drawn last.
pub(super) struct Press {
    files: Mutex<Kept<File, Composed>>,
    drawn: Mutex<Kept<(File, usize, usize), Vec<u8>>>,
    book: FontBook,
}

impl Press {
    pub(super) fn new() -> Press {
        Press {
            files: Mutex::new(Kept { entries: Vec::new(), most: MOST_FILES }),
            drawn: Mutex::new(Kept { entries: Vec::new(), most: MOST_DRAWN }),
            book: FontBook::shipped(),
        }
    }

    /// The file of a panel's state; the report says why there is none.
    pub(super) fn composed(&self, panel: &str, made: &Reckoned, choices: &Choices) -> Result<Arc<Composed>, Report> {
        let key = (panel.to_owned(), made.n, choices.clone());
        let mut files = self.files.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(found) = files.find(&key) {
            return Ok(found);
        }
        let mut report = Report::new();
        let (prepared, variant) = opened(made, choices)?;
        let laid_out = press::lay_out(&prepared, &prepared.write(&variant), &self.book, &mut report);
        let Some(booklet) = laid_out else { return Err(report) };
        let points = |length: Length| length.to_pt() as f32;
        let sizes = booklet.pages.iter().map(|page| (points(page.trim.width), points(page.trim.height))).collect();
        let composed = Arc::new(Composed { booklet, variant, sizes });
        files.keep(key, Arc::clone(&composed));
        Ok(composed)
    }

    /// One page as PNG.
    pub(super) fn page(
        &self,
        panel: &str,
        made: &Reckoned,
        choices: &Choices,
        number: usize,
        width: usize,
    ) -> Result<Arc<Vec<u8>>, Report> {
        let width = width.clamp(*WIDTHS.start(), *WIDTHS.end());
        let key = ((panel.to_owned(), made.n, choices.clone()), number, width);
        if let Some(found) = self.drawn.lock().unwrap_or_else(PoisonError::into_inner).find(&key) {
            return Ok(found);
        }
        let composed = self.composed(panel, made, choices)?;
        let faces = composed.variant.faces(&self.book);
        let drawn = pictures::page(&composed.booklet, faces, number, width).and_then(|seen| picture::png(&seen));
        let png = Arc::new(drawn.map_err(of)?);
        self.drawn.lock().unwrap_or_else(PoisonError::into_inner).keep(key, Arc::clone(&png));
        Ok(png)
    }
}

fn of(fault: Diagnostic) -> Report {
    let mut report = Report::new();
    report.push(fault);
    report
}

/// The panel as it is to be made; what was reckoned already is not reckoned again.
fn opened(made: &Reckoned, choices: &Choices) -> Result<(Prepared, Variant), Report> {
    let Some((project, workings)) = &made.work else { return Err(made.report.clone()) };
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let wishes = Wishes {
        edition: EditionName::named(&choices.edition),
        paper: PaperName::named(&choices.paper),
        ink: match choices.ink.as_str() {
            "saving" => Some(Ink::Saving),
            "full" => Some(Ink::Full),
            "symbols-only" => Some(Ink::SymbolsOnly),
            _ => None,
        },
        language: (!choices.language.is_empty()).then(|| choices.language.clone()),
        ..Wishes::default()
    };
    press::variant_of(project, workings, &wishes, &mut sources, &mut report).ok_or(report)
}

/// A row as it is tied.
pub(super) struct Row {
    /// As it is printed: "12", "H1".
    pub(crate) number: String,
    /// Whether it is worked from left to right.
    pub(crate) left_to_right: bool,
    /// What is done.
    pub(crate) sentence: String,
}

/// All rows in working order, header rows first, in the words of a language; empty: of the project's.
pub(super) fn rows(made: &Reckoned, language: &str) -> Result<Vec<Row>, Report> {
    // Not the booklet: a layout of her own, which may leave the rows out, takes its place.
    let choices = Choices { edition: "large-print".to_owned(), language: language.to_owned(), ..Choices::default() };
    let (prepared, variant) = opened(made, &choices)?;
    let draft = prepared.write(&variant);
    let blocks = draft.manuscript.sections.iter().flat_map(|section| &section.blocks);
    let written = blocks.filter_map(|block| match block {
        Block::Rows(rows) => Some(rows),
        Block::Chart(chart) => Some(&chart.alongside),
        _ => None,
    });
    let row = |row: &WrittenRow| Row {
        number: row.number.clone(),
        left_to_right: row.left_to_right,
        sentence: unmarked(&row.sentence),
    };
    Ok(written.flatten().map(row).collect())
}
