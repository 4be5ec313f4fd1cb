//! One piece of work: a file is composed, read back and held against the project, and only then written.

use super::kept::{PICTURES, RECORD};
use super::wanted::Job;
use crate::cli::args::AmountsFormat;
use crate::cli::write::{Folder, NotFresh};
use crate::cli::{amounts, compose, manifest, print};
use crate::diag::{Diagnostic, Report};
use crate::font::FontBook;
use crate::geom::Length;
use crate::manuscript;
use crate::manuscript::record::Record;
use crate::pdf::impose::{Imposing, Lay, SHEETS, Sides, impose};
use crate::picture;
use crate::press::{self, Order, pictures};
use crate::project::{INKS, Ink, Project};
use crate::proof::prove_sheets;
use crate::source::Sources;
use crate::words::Words;
use crate::workings;

/// A file that lies in the new folder.
#[derive(Clone, Debug, Default)]
pub struct Made {
    /// Its name in the folder.
    pub name: String,
    /// How long it is.
    pub bytes: usize,
    /// The SHA-256 of what it holds.
    pub sha256: String,
    /// What else the manifest says of it.
    pub about: Vec<(&'static str, String)>,
    /// Its pages, where it has some.
    pub pages: Option<usize>,
}

impl Made {
    /// A file of that name that holds these bytes.
    pub fn of(name: &str, bytes: &[u8]) -> Made {
        Made { name: name.to_owned(), bytes: bytes.len(), sha256: manifest::sha256(bytes), ..Made::default() }
    }
}

/// Where the work is done: all that the pieces of work for one project share.
pub struct Bench<'a> {
    /// The project, with what was typed about measures and the working direction.
    pub project: &'a Project,
    /// What all its orders have in common.
    pub order: &'a Order,
    /// The words of its language.
    pub words: &'a Words,
    /// The faces.
    pub book: &'a FontBook,
    /// How the pictures are wanted.
    pub pictures: &'a pictures::Wanted,
    /// Paper and ink of the booklet that the pictures show.
    pub shown: (&'a str, Ink),
    /// Where the files go.
    pub folder: &'a Folder,
}

/// What came of a piece of work.
#[derive(Default)]
pub struct Done {
    /// The files, all of them whole and proofed; none when the report has faults.
    pub made: Vec<Made>,
    /// What the maker should know of them.
    pub told: Option<String>,
    /// The record of the edition, from the work that writes it.
    pub record: Option<Record>,
}

impl Bench<'_> {
    /// Does a piece of work. The report says what stands against it.
    pub fn make(&self, job: &Job, sources: &mut Sources, report: &mut Report) -> Done {
        let done = match job {
            Job::File { edition, paper, ink } => self.file(edition, paper, *ink, sources, report),
            Job::Sheets(sheet) => self.sheets(sheet.sheet, sheet.page, sources, report),
            Job::PrintShop { .. } => self.print_shop(job, sources, report),
            Job::Texts => self.texts(report),
            Job::Pictures => self.draw(sources, report),
        };
        done.unwrap_or_default()
    }

    fn order(&self, edition: &str, paper: &str, ink: Ink, sources: &mut Sources, report: &mut Report) -> Order {
        Order {
            edition: edition.to_owned(),
            own_layout: print::own_layout(edition, self.project, sources, report),
            paper: Some(paper.to_owned()),
            ink: Some(ink),
            ..self.order.clone()
        }
    }

    fn file(&self, edition: &str, paper: &str, ink: Ink, sources: &mut Sources, report: &mut Report) -> Option<Done> {
        let order = self.order(edition, paper, ink, sources, report);
        let bytes = press::compose(self.project, &order, self.book, sources, report)?;
        let pages = self.proofed(&order, &bytes, sources, report)?;
        // Files in the project's own ink are named as `compose` names them.
        let ink_named = if ink == self.project.print.ink { String::new() } else { format!("-{}", name_of(ink)) };
        let name = format!("{}-{edition}-{paper}{ink_named}.pdf", self.stem());
        let mut made = self.put(name, &bytes, report)?;
        made.about = self.about(edition, paper, ink);
        made.pages = Some(pages);
        Some(Done { made: vec![made], ..Done::default() })
    }

    fn sheets(&self, sheet: &str, page: &str, sources: &mut Sources, report: &mut Report) -> Option<Done> {
        let ink = self.project.print.ink;
        let order = Order { facing: Some(true), ..self.order("booklet", page, ink, sources, report) };
        let bytes = press::compose(self.project, &order, self.book, sources, report)?;
        self.proofed(&order, &bytes, sources, report)?;
        let index = SHEETS.iter().position(|(name, _)| *name == sheet);
        let imposing = Imposing { lay: Lay::Fold, sides: Sides::Both, sheet: index, thickness: Length::ZERO };
        let imposed = impose(&bytes, imposing).map_err(|faults| report.extend(faults)).ok()?;
        let found = prove_sheets(&imposed.bytes, &bytes, imposed.faces);
        report.extend(found.diagnostics());
        if !found.holds() {
            return None;
        }
        let mut made = self.put(format!("{}-booklet-{sheet}-sheets.pdf", self.stem()), &imposed.bytes, report)?;
        made.about = self.about("booklet", page, ink);
        made.about.push(("sheet", sheet.to_owned()));
        made.pages = Some(imposed.faces);
        Some(Done { made: vec![made], ..Done::default() })
    }

    fn print_shop(&self, job: &Job, sources: &mut Sources, report: &mut Report) -> Option<Done> {
        let Job::PrintShop { paper, profile, most_ink } = job else { return None };
        let profile = print::profile(profile, *most_ink, sources, report)?;
        let ink = self.project.print.ink;
        let order = self.order("booklet", paper, ink, sources, report);
        let order = Order { facing: Some(true), for_shop: true, ..order };
        let shop = press::compose_for_shop(self.project, &order, &profile, self.book, sources, report)?;
        self.proofed(&order, &shop.bytes, sources, report)?;
        let mut made = self.put(format!("{}-booklet-{paper}-print-shop.pdf", self.stem()), &shop.bytes, report)?;
        made.about = self.about("booklet", paper, ink);
        made.about.push(("for", "print-shop".to_owned()));
        made.about.push(("profile", profile.name().to_owned()));
        made.pages = Some(shop.pages);
        Some(Done { made: vec![made], told: Some(compose::told(&shop, &profile)), record: None })
    }

    fn texts(&self, report: &mut Report) -> Option<Done> {
        let workings = workings::work_out(self.project);
        let amounts = |format| amounts::written(self.project, &workings, self.order.students, format);
        let record = Record::new(self.project, &workings, self.words);
        // A record is texts and a truth value, which TOML always takes.
        let remembered = format!(
            "# What this edition says, for the next run to hold its own against.\n\n{}",
            toml::to_string_pretty(&record).unwrap_or_default()
        );
        if toml::from_str(&remembered).ok().as_ref() != Some(&record) {
            let message = format!("`{RECORD}` does not say what the edition says");
            report.push(Diagnostic::fault("broken-record", message));
            return None;
        }
        let mut made = Vec::new();
        for (name, text) in [
            ("amounts.csv", amounts(AmountsFormat::Csv)),
            ("amounts.json", amounts(AmountsFormat::Json)),
            ("licence.txt", manuscript::licence(self.project, &workings, self.words)),
            (RECORD, remembered),
        ] {
            made.push(self.put(name.to_owned(), text.as_bytes(), report)?);
        }
        Some(Done { made, record: Some(record), told: None })
    }

    fn draw(&self, sources: &mut Sources, report: &mut Report) -> Option<Done> {
        let (paper, ink) = self.shown;
        let order = self.order("booklet", paper, ink, sources, report);
        let drawn = pictures::all(self.project, &order, self.pictures, self.book, sources, report)?;
        let mut made = Vec::new();
        for (name, png) in drawn {
            match picture::seen(&png) {
                Ok(seen) if seen.width == self.pictures.width => {}
                _ => {
                    let message = format!("the picture `{name}` cannot be read back");
                    report.push(Diagnostic::fault("broken-picture", message));
                    return None;
                }
            }
            made.push(self.put(format!("{PICTURES}{name}"), &png, report)?);
        }
        Some(Done { made, ..Done::default() })
    }

    /// Reads a file back and holds it against the project; gives its pages, and nothing where it does not hold.
    fn proofed(&self, order: &Order, bytes: &[u8], sources: &mut Sources, report: &mut Report) -> Option<usize> {
        let found = press::proof(self.project, order, bytes, sources, report)?;
        report.extend(found.diagnostics());
        found.holds().then_some(found.pages)
    }

    fn put(&self, name: String, bytes: &[u8], report: &mut Report) -> Option<Made> {
        match self.folder.put(&name, bytes) {
            Ok(()) => Some(Made::of(&name, bytes)),
            Err(NotFresh::Failed(failure)) => {
                report.push(failure);
                None
            }
            // Nobody else knows where the new folder grows.
            Err(NotFresh::Taken(path)) => {
                report.push(Diagnostic::failure("cannot-write", format!("`{}` is there already", path.display())));
                None
            }
        }
    }

    fn stem(&self) -> String {
        compose::plain_name(&self.project.about.title)
    }

    fn about(&self, edition: &str, paper: &str, ink: Ink) -> Vec<(&'static str, String)> {
        vec![
            ("edition", edition.to_owned()),
            ("paper", paper.to_owned()),
            ("ink", name_of(ink).to_owned()),
            ("language", self.words.language().to_owned()),
        ]
    }
}

fn name_of(ink: Ink) -> &'static str {
    INKS.iter().find(|(_, known)| *known == ink).map_or("", |(name, _)| name)
}
