//! From what is wished and what the project and the layout say to what holds. After this no `None` means "as somewhere else
//! says": a stage asks nobody again.

use crate::catalogue::{EditionName, LookName, PaperName, SectionName};
use crate::chart::{Row, YarnId};
use crate::diag::{Diagnostic, Report};
use crate::edition::{self, Edition, OwnFont};
use crate::font::FontBook;
use crate::geom::Length;
use crate::pdf;
use crate::project::{Ink, Project, Side, Units};
use crate::source::Sources;
use crate::words::Words;
use crate::workings;
use std::sync::Arc;

/// Most bytes of a layout file.
const LARGEST_LAYOUT: u64 = 1 << 20;
/// What stands nearer to the cut may be cut off (common practice, no source).
const SAFE_MARGIN: Length = Length::mm(5.0);

/// What is asked for on a command line or on a screen. `None`: nothing is, and it is as the project says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wishes {
    /// Which edition; without it the booklet, in the maker's own layout where she has one.
    pub edition: Option<EditionName>,
    /// A shipped look in place of the layout's.
    pub look: Option<LookName>,
    /// Paper.
    pub paper: Option<PaperName>,
    /// Ink.
    pub ink: Option<Ink>,
    /// Whether left and right pages mirror each other.
    pub facing: Option<bool>,
    /// What the file is for.
    pub purpose: Purpose,
    /// Language tag of the words on paper.
    pub language: Option<String>,
    /// The size; without it, the first one.
    pub size: Option<String>,
    /// The colourway; without it, all of them.
    pub colourway: Option<String>,
    /// Which system of measures stands first.
    pub units: Option<Units>,
    /// Where row 1 of the chart starts.
    pub first_row_from: Option<Side>,
    /// Students of a class.
    pub students: Option<usize>,
}

/// What a file is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Purpose {
    /// To read, tick and print at home.
    #[default]
    Home,
    /// To be printed by a shop: with bleed, without fields, filled up to whole folded sheets.
    PrintShop,
}

/// What holds for everything that is made of a project in one run: it decides what is reckoned and in which words it is said.
#[derive(Clone, Debug)]
pub struct Manner {
    /// The words on paper.
    pub(crate) words: Words,
    /// Which system of measures stands first.
    pub(crate) units: Units,
    /// Where row 1 of the chart starts.
    pub(crate) first_row_from: Side,
    /// Students of a class; `None`: there is no class.
    pub(crate) students: Option<usize>,
}

/// One file that is made of a project: any number of them come from one [`super::Prepared`].
#[derive(Clone)]
pub struct Variant {
    /// Which edition.
    pub name: EditionName,
    /// How it is laid out: layout, look and paper, with what was wished.
    pub edition: Edition,
    /// Ink of the chart.
    pub(crate) ink: Ink,
    /// What the file is for.
    pub(crate) purpose: Purpose,
    /// The shipped look that was wished in place of the layout's.
    pub(super) look: Option<LookName>,
    /// The shipped faces with the maker's own in the roles they take, where her look has some.
    own_faces: Option<Arc<FontBook>>,
}

/// Everything that is asked for, settled before any stage starts.
#[derive(Clone)]
pub struct Settled {
    /// What holds for the whole project.
    pub manner: Manner,
    /// The file.
    pub variant: Variant,
}

/// The project that is wished, of all that a project file holds: in that size and colourway, with the maker's texts in that language.
/// `None`: the report has a fault.
pub(super) fn version(project: Project, wishes: &Wishes, report: &mut Report) -> Option<Project> {
    let project = match &wishes.size {
        Some(name) => project.of_size(name).map_err(|fault| report.push(fault.typed())).ok()?,
        None => project,
    };
    let project = match &wishes.colourway {
        Some(name) => project.in_colourway(name).map_err(|fault| report.push(fault.typed())).ok()?,
        None => project,
    };
    Some(match wishes.language.as_deref().and_then(Words::tag) {
        Some(language) => project.in_language(language),
        None => project,
    })
}

impl Settled {
    /// Settles what is wished for one file. `None`: the report has every fault of it.
    pub fn from(wishes: &Wishes, project: &Project, sources: &mut Sources, report: &mut Report) -> Option<Settled> {
        let manner = Manner::from(wishes, project, report);
        let variant = Variant::from(wishes, project, sources, report);
        Some(Settled { manner: manner?, variant: variant? })
    }
}

impl Manner {
    /// Settles what holds for everything made of a project. `None`: the report has every fault of it, those that make the
    /// panel impossible to reckon among them.
    pub fn from(wishes: &Wishes, project: &Project, report: &mut Report) -> Option<Manner> {
        let infeasible = workings::feasible(project);
        let feasible = !infeasible.has_faults();
        report.extend(infeasible);
        let language = wishes.language.as_deref().unwrap_or(&project.about.language);
        let words = Words::shipped(language);
        if words.is_none() {
            report.push(
                Diagnostic::fault("unknown-language", format!("there are no words in the language `{language}`"))
                    .typed()
                    .hint(Words::language_hint(language)),
            );
        }
        let words = words.filter(|_| feasible)?;
        Some(Manner {
            words,
            units: wishes.units.unwrap_or(project.about.units),
            first_row_from: wishes.first_row_from.unwrap_or(project.working.first_row_from),
            students: wishes.students,
        })
    }
}

impl Variant {
    /// Settles one file. `None`: the report has every fault of it.
    pub fn from(wishes: &Wishes, project: &Project, sources: &mut Sources, report: &mut Report) -> Option<Variant> {
        let name = wishes.edition.unwrap_or(EditionName::Booklet);
        let paper = wishes.paper.unwrap_or(project.print.paper);
        // A layout of the maker's own takes the place of the booklet; the other editions stay as they are shipped.
        let layout = project.print.layout.as_ref().filter(|_| name == EditionName::Booklet);
        let own = match layout.map(|layout| sources.read(&project.folder.join(layout), LARGEST_LAYOUT)) {
            Some(Err(fault)) => {
                report.push(fault);
                return None;
            }
            Some(Ok(id)) => Some(id),
            None => None,
        };
        let choice = edition::Choice { edition: name, own, look: wishes.look, paper };
        let mut edition = edition::load(choice, sources, report)?;
        if let Some(fault) = too_much_to_read(project, &edition) {
            report.push(fault);
            return None;
        }
        if let Some(facing) = wishes.facing.or(project.print.facing) {
            edition.facing = facing;
        }
        let faces = match edition.look.fonts.as_slice() {
            [] => Some(None),
            fonts => own_faces(fonts, report).map(Some),
        };
        // They are in the book now.
        edition.look.fonts.clear();
        let mut too_narrow = false;
        match wishes.purpose {
            Purpose::Home => {}
            Purpose::PrintShop => {
                edition.in_fours = true;
                edition.in_black = true;
                edition.look.in_greys();
                edition.bleed = pdf::marks::BLEED;
                // Pages that are folded and stapled together are of one size and stand upright.
                edition.chart.may_turn = false;
                let narrow = narrow_margins(&edition);
                too_narrow = narrow.is_some();
                narrow.into_iter().for_each(|fault| report.push(fault));
            }
        }
        let ink = wishes.ink.unwrap_or(project.print.ink);
        let own_faces = faces.filter(|_| !too_narrow)?.map(Arc::new);
        Some(Variant { name, edition, ink, purpose: wishes.purpose, look: wishes.look, own_faces })
    }

    /// The faces that this file is set in.
    pub(crate) fn faces<'a>(&'a self, shipped: &'a FontBook) -> &'a FontBook {
        self.own_faces.as_deref().unwrap_or(shipped)
    }
}

/// Stretches of one yarn that rows in words may tell: some three hundred pages.
const MAX_STRETCHES_IN_WORDS: usize = 100_000;
/// Stretches of one yarn of a chart that is drawn: a thousand hours of knotting at the very least.
const MAX_STRETCHES: usize = 1_200_000;
/// Megabytes that composing a chart and proofing it take at the most, as measured with noise, single knots and round patches
/// of 200 x 200 to 2,000 x 2,000 knots and fitted within 8 %: for itself, for a million cells (a symbol each), and for a
/// million stretches (a ground each, and marks where lengths start).
const MEMORY: [usize; 3] = [45, 205, 1_110];
/// Megabytes more where the rows stand in words as well, measured and fitted in the same way.
const MEMORY_OF_WORDS: [usize; 3] = [30, 50, 9_300];
/// The same in large print, with its many sheets and its words beside them.
const MEMORY_OF_WORDS_ALONGSIDE: [usize; 3] = [10, 665, 7_000];
/// Most megabytes, so that what was measured with a hand's breadth to spare stays under a gigabyte.
const MAX_MEMORY: usize = 950;
/// Stretches that a page of rows in words tells, about: only for what is said of it.
const STRETCHES_A_PAGE: usize = 320;

/// A fault where an edition would be a book that nobody could knot from.
fn too_much_to_read(project: &Project, edition: &Edition) -> Option<Diagnostic> {
    let chart = &project.chart;
    let has = |section| edition.sections.contains(&section);
    let in_words = edition.chart.rows_alongside || has(SectionName::RowsInWords);
    let stretches_of = |cells: &[Option<YarnId>]| cells.chunk_by(|a, b| a == b).filter(|run| run[0].is_some()).count();
    let stretches: usize = (0..chart.rows()).map(|row| stretches_of(chart.row(Row(row)))).sum();
    let cells = chart.cells().len();
    let megabytes = |of: [usize; 3]| of[0] + (cells * of[1] + stretches * of[2]) / 1_000_000;
    let memory = megabytes(MEMORY);
    let of_words = if edition.chart.rows_alongside { MEMORY_OF_WORDS_ALONGSIDE } else { MEMORY_OF_WORDS };
    let of_both = memory + megabytes(of_words);
    let drawable = stretches <= MAX_STRETCHES && memory <= MAX_MEMORY;
    let told = stretches <= MAX_STRETCHES_IN_WORDS;
    let (what, serves) = match (in_words && !told, has(SectionName::Chart) && !drawable) {
        (false, false) if in_words && has(SectionName::Chart) && of_both > MAX_MEMORY => (
            format!(
                "a chart of {} columns and {} rows with its rows in words fills more pages than anybody turns, and proofing \
                 them would take some {of_both} MB of memory",
                chart.columns(),
                chart.rows()
            ),
            "compose the edition `chart`, which shows every knot: add `--edition chart`",
        ),
        (true, false) => (
            format!(
                "the rows in words would tell {stretches} stretches of yarn on some {} pages",
                stretches / STRETCHES_A_PAGE
            ),
            "compose the edition `chart`, which shows every knot: add `--edition chart`; \
             or give the project a layout of your own without `rows-in-words`",
        ),
        (_, true) => (
            format!(
                "the chart has {stretches} stretches of yarn, each to be started or taken up by hand, and drawing it would take \
                 some {memory} MB of memory"
            ),
            "compose the edition `materials`, which says what such a panel takes: add `--edition materials`",
        ),
        (false, false) => return None,
    };
    Some(
        Diagnostic::fault("too-much-to-read", format!("{what}: more than anybody can knot from")).hint(serves).hint(
            "if the chart came from a photograph, fewer yarns and larger patches of one colour make it knottable",
        ),
    )
}

/// A fault where a paper's margins are too narrow to be cut by a shop.
fn narrow_margins(edition: &Edition) -> Option<Diagnostic> {
    let paper = &edition.paper;
    let least = [paper.top, paper.bottom, paper.inner, paper.outer, paper.chart_margin];
    let is_narrow = least.into_iter().any(|margin| !SAFE_MARGIN.fits(margin));
    is_narrow.then(|| {
        let message =
            format!("margins of the paper `{}` are under 5 mm, too near to the cut for a print shop", paper.name);
        Diagnostic::fault("margins-too-narrow", message).hint("choose a paper that is printed on, such as a5")
    })
}

/// The shipped faces with those of the maker's own in the roles they take. `None`: the report has a fault for every file
/// that cannot be used.
fn own_faces(fonts: &[OwnFont], report: &mut Report) -> Option<FontBook> {
    let mut book = FontBook::shipped();
    let before = report.len();
    for font in fonts {
        match book.add(&font.name, font.bytes.clone()) {
            Ok(face) => book.set_role(font.role, face),
            Err(fault) => report.push(fault.at(font.at)),
        }
    }
    (report.len() == before).then_some(book)
}
