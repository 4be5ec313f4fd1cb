//! A project that is ready to be made into files: settled, reckoned once, with its words at hand. Any number of variants are
//! written, laid out and proofed from it.

use super::making;
use super::settle::{Manner, Variant};
use crate::chart::YarnId;
use crate::compose;
use crate::diag::Report;
use crate::font::FontBook;
use crate::manuscript::options::WriteOptions;
use crate::manuscript::write::write;
use crate::manuscript::{self, Block, Manuscript};
use crate::page::{Booklet, PictureFile};
use crate::picture;
use crate::project::{Ink, MAX_PHOTOGRAPH_BYTES, Project};
use crate::proof::{Expectations, PageLayout, ProofReport, prove, prove_opened};
use crate::reader::{PdfReader, ReadError};
use crate::source::Sources;
use crate::words::Words;
use crate::workings::{self, Workings};
use crate::{inks, symbol};
use std::path::PathBuf;
use std::sync::Arc;

/// A project, what is reckoned from it, and its words.
#[derive(Clone, Debug)]
pub struct Prepared {
    /// The project, in the system of measures and the working direction that were settled.
    pub project: Project,
    /// The reckoning.
    pub workings: Workings,
    /// The words on paper.
    pub(crate) words: Words,
    /// Students of a class; `None`: there is no class.
    pub(crate) students: Option<usize>,
    /// The maker's pictures, ready to print, by the names that the project has for them.
    pub(crate) pictures: Vec<(PathBuf, PictureFile)>,
    /// A symbol for every yarn, in the palette's order.
    pub(crate) symbols: Vec<String>,
}

/// What a variant says, not laid out yet.
#[derive(Clone)]
pub struct Draft {
    /// What is said.
    pub manuscript: Manuscript,
    /// What it is laid out as.
    pub variant: Variant,
    /// What the program has to know to make the file once more.
    pub(crate) made_with: Vec<(String, String)>,
}

impl Prepared {
    /// Reckons a project.
    pub fn new(mut project: Project, manner: Manner) -> Prepared {
        let Manner { words, units, first_row_from, students } = manner;
        project.about.units = units;
        project.working.first_row_from = first_row_from;
        let workings = workings::work_out(&project);
        let project = manuscript::lettered(project, &words);
        let symbols = symbols(&project);
        Prepared { project, workings, words, students, pictures: Vec::new(), symbols }
    }

    /// A project that was reckoned already, as it is written. Only the direction of the first row changes what is reckoned.
    pub(crate) fn reckoned(mut project: Project, workings: Workings, manner: Manner) -> Prepared {
        if manner.first_row_from != project.working.first_row_from {
            return Prepared::new(project, manner);
        }
        project.about.units = manner.units;
        let project = manuscript::lettered(project, &manner.words);
        let symbols = symbols(&project);
        Prepared { project, workings, words: manner.words, students: manner.students, pictures: Vec::new(), symbols }
    }

    /// The same with the maker's pictures.
    pub(crate) fn with_pictures(self, pictures: Vec<(PathBuf, PictureFile)>) -> Prepared {
        Prepared { pictures, ..self }
    }

    /// Writes what a variant says.
    pub fn write(&self, variant: &Variant) -> Draft {
        let options = WriteOptions {
            edition: variant.name,
            sections: &variant.edition.sections,
            symbols: &self.symbols,
            rows_alongside: variant.edition.chart.rows_alongside,
            students: self.students,
            pictures: &self.pictures,
        };
        let manuscript = write(&self.project, &self.workings, &self.words, &options);
        let made_with = making::made_with(&self.project, &self.words, self.students, variant);
        Draft { manuscript, variant: variant.clone(), made_with }
    }

    /// What a file that was composed from this draft must say.
    pub fn expected(&self, draft: &Draft) -> Expectations<'_> {
        let edition = &draft.variant.edition;
        let layout = PageLayout {
            paper: edition.paper.size,
            bleed: edition.bleed,
            run_counts: edition.chart.run_counts,
            marks: edition.chart.marks,
        };
        Expectations::of(&self.project, &draft.manuscript, layout)
    }

    /// Holds a finished file against what it was made from.
    pub fn proof(&self, draft: &Draft, bytes: &[u8]) -> ProofReport {
        prove(bytes, &self.expected(draft))
    }

    /// The same of a file that is open already, or could not be opened.
    pub(super) fn proof_opened(&self, draft: &Draft, opened: Result<PdfReader, ReadError>) -> ProofReport {
        prove_opened(opened, &self.expected(draft))
    }
}

impl Draft {
    /// Lays the draft out.
    ///
    /// # Errors
    /// A report with every character that no face has.
    pub fn lay_out(&self, shipped: &FontBook) -> Result<Booklet, Report> {
        let Variant { edition, ink, .. } = &self.variant;
        let mut booklet = compose::compose(&self.manuscript, edition, self.variant.faces(shipped), chart_ink(*ink))?;
        booklet.about.made_with.clone_from(&self.made_with);
        Ok(booklet)
    }

    /// Titles of the sections from which one could work: the chart's and the rows'.
    pub(super) fn worked_from(&self) -> Vec<String> {
        let is_worked_from = |block: &Block| matches!(block, Block::Chart(_) | Block::Rows(_));
        let sections = &self.manuscript.sections;
        let worked_from = sections.iter().filter(|section| section.blocks.iter().any(is_worked_from));
        worked_from.filter_map(|section| section.title.clone()).collect()
    }
}

/// The pictures that a project names, ready to print; the report says which of them cannot be used, and why.
pub(crate) fn read_pictures(
    project: &Project,
    sources: &mut Sources,
    report: &mut Report,
) -> Vec<(PathBuf, PictureFile)> {
    let mut all = Vec::new();
    for file in project.picture_files() {
        let read = sources.read(&project.folder.join(&file), MAX_PHOTOGRAPH_BYTES);
        match read.and_then(|id| picture::photograph(sources.get(id).bytes())) {
            Ok(picture) => {
                let pixels = (picture.width, picture.height);
                all.push((file, PictureFile { bytes: Arc::new(picture.bytes), pixels }));
            }
            Err(fault) => report.push(fault),
        }
    }
    all
}

/// A symbol for every yarn of the project.
pub fn symbols(project: &Project) -> Vec<String> {
    let cells: Vec<Option<u8>> = project.chart.cells().iter().map(|cell| cell.map(|YarnId(yarn)| yarn)).collect();
    let touch = symbol::touches(project.chart.columns(), &cells, project.palette.len());
    let yarns: Vec<_> = project.palette.iter().map(|(_, y)| (y.colour, y.symbol.as_deref())).collect();
    symbol::assign(&yarns, &touch)
}

/// Compose has its own word for the ink, so that it need not know the project.
fn chart_ink(ink: Ink) -> inks::ChartInk {
    match ink {
        Ink::Saving => inks::ChartInk::Saving,
        Ink::Full => inks::ChartInk::Full,
        Ink::SymbolsOnly => inks::ChartInk::SymbolsOnly,
    }
}
