//! One piece of work: a file is composed, read back and held against the project, and only then written.

use super::file::ShopFile;
use super::jobs::Job;
use super::names::{KEEP, LICENCE, RECORD, SHOW, UPLOAD};
use crate::cli::amounts::DataFormat;
use crate::cli::write::{Folder, NewFileError};
use crate::cli::{amounts, compose};
use crate::diag::{Diagnostic, Report};
use crate::font::FontBook;
use crate::geom::Length;
use crate::manuscript;
use crate::manuscript::record::Record;
use crate::names::slugify;
use crate::pdf::PrinterProfile;
use crate::pdf::impose::{ImposeOptions, Lay, PrintSides, SHEETS, impose};
use crate::picture;
use crate::press::{self, Draft, Prepared, Variant, pictures};
use crate::project::{INKS, Ink, ShopSheet};
use crate::proof::prove_sheets;

/// Where the work is done: all that the pieces of work for one project share.
pub(crate) struct ShopContext<'a> {
    /// The project, reckoned.
    pub(crate) prepared: &'a Prepared,
    /// The faces.
    pub(crate) book: &'a FontBook,
    /// How the pictures are wanted.
    pub(crate) pictures: &'a pictures::PicturesOptions,
    /// Where the files go.
    pub(crate) folder: &'a Folder,
}

/// What came of a piece of work.
#[derive(Default)]
pub(crate) struct Done {
    /// The files, all of them whole and proofed; none when the report has faults.
    pub(crate) made: Vec<ShopFile>,
    /// What the maker should know of them.
    pub(crate) told: Option<String>,
    /// The record of the edition, from the work that writes it.
    pub(crate) record: Option<Record>,
}

impl ShopContext<'_> {
    /// Does a piece of work. The report says what stands against it.
    pub(crate) fn make(&self, job: &Job, report: &mut Report) -> Done {
        let done = match job {
            Job::File(variant) => self.file(variant, report),
            Job::Sheets(sheet, variant) => self.sheets(*sheet, variant, report),
            Job::PrintShop(variant, profile) => self.print_shop(variant, profile, report),
            Job::Texts => self.texts(report),
            Job::Amounts => self.amounts(report),
            Job::Licence => self.licence(report),
            Job::Pictures(variant) => self.draw(variant, report),
        };
        done.unwrap_or_default()
    }

    fn file(&self, variant: &Variant, report: &mut Report) -> Option<Done> {
        let (bytes, pages) = self.composed(variant, report)?;
        let (edition, paper, ink) = (variant.name, variant.edition.paper.name, variant.ink);
        // Files in the project's own ink are named as `compose` names them.
        let own_ink = ink == self.prepared.project.print.ink;
        let ink_named = if own_ink { String::new() } else { format!("-{}", name_of(ink)) };
        let mut made = self.put(format!("{UPLOAD}{}-{edition}-{paper}{ink_named}.pdf", self.stem()), &bytes, report)?;
        made.about = self.about(variant);
        made.pages = Some(pages);
        Some(Done { made: vec![made], ..Done::default() })
    }

    fn sheets(&self, ShopSheet { sheet, .. }: ShopSheet, variant: &Variant, report: &mut Report) -> Option<Done> {
        let (bytes, _) = self.composed(variant, report)?;
        let index = SHEETS.iter().position(|(name, _)| *name == sheet.name());
        let imposing = ImposeOptions { lay: Lay::Fold, sides: PrintSides::Both, sheet: index, thickness: Length::ZERO };
        let imposed = impose(&bytes, imposing).map_err(|faults| report.extend(faults)).ok()?;
        let found = prove_sheets(&imposed.bytes, &bytes, imposed.faces);
        report.extend(found.diagnostics());
        if !found.holds() {
            return None;
        }
        let mut made =
            self.put(format!("{UPLOAD}{}-booklet-{sheet}-sheets.pdf", self.stem()), &imposed.bytes, report)?;
        made.about = self.about(variant);
        made.about.push(("sheet", sheet.to_string()));
        made.pages = Some(imposed.faces);
        Some(Done { made: vec![made], ..Done::default() })
    }

    fn print_shop(&self, variant: &Variant, profile: &PrinterProfile, report: &mut Report) -> Option<Done> {
        let draft = self.prepared.write(variant);
        let booklet = press::lay_out(self.prepared, &draft, self.book, report)?;
        let shop = press::shop_file(&booklet, variant.faces(self.book), profile, report)?;
        self.proofed(&draft, &shop.bytes, report)?;
        let paper = variant.edition.paper.name;
        // It is for the printer, not for the shop.
        let mut made =
            self.put(format!("{KEEP}{}-booklet-{paper}-print-shop.pdf", self.stem()), &shop.bytes, report)?;
        made.about = self.about(variant);
        made.about.push(("for", "print-shop".to_owned()));
        made.about.push(("profile", profile.name().to_owned()));
        made.pages = Some(shop.pages);
        Some(Done { made: vec![made], told: Some(compose::told(&shop, profile)), record: None })
    }

    fn texts(&self, report: &mut Report) -> Option<Done> {
        let Prepared { project, workings, words, students, .. } = self.prepared;
        let amounts = |format| amounts::written(project, workings, *students, format);
        let record = Record::new(project, workings, words);
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
            (format!("{KEEP}amounts.csv"), amounts(DataFormat::Csv)),
            (format!("{KEEP}amounts.json"), amounts(DataFormat::Json)),
            (format!("{UPLOAD}{LICENCE}"), manuscript::licence(project, workings, words)),
            (RECORD.to_owned(), remembered),
        ] {
            made.push(self.put(name, text.as_bytes(), report)?);
        }
        Some(Done { made, record: Some(record), told: None })
    }

    /// All quantities of another size than the first.
    fn amounts(&self, report: &mut Report) -> Option<Done> {
        let Prepared { project, workings, students, .. } = self.prepared;
        let size = project.size.as_ref().and_then(|size| slugify(&size.own)).unwrap_or_else(|| "other".to_owned());
        let mut made = Vec::new();
        for (ending, format) in [("csv", DataFormat::Csv), ("json", DataFormat::Json)] {
            let text = amounts::written(project, workings, *students, format);
            made.push(self.put(format!("{KEEP}amounts-{size}.{ending}"), text.as_bytes(), report)?);
        }
        Some(Done { made, ..Done::default() })
    }

    /// What a buyer may do, in another language than the project's.
    fn licence(&self, report: &mut Report) -> Option<Done> {
        let Prepared { project, workings, words, .. } = self.prepared;
        let text = manuscript::licence(project, workings, words);
        let made = self.put(format!("{UPLOAD}licence-{}.txt", words.language()), text.as_bytes(), report)?;
        Some(Done { made: vec![made], ..Done::default() })
    }

    fn draw(&self, variant: &Variant, report: &mut Report) -> Option<Done> {
        let drawn = pictures::all(self.prepared, variant, self.pictures, self.book, report)?;
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
            made.push(self.put(format!("{SHOW}{name}"), &png, report)?);
        }
        Some(Done { made, ..Done::default() })
    }

    /// Composes a variant and holds the file against what it was made from; gives it with the number of its pages.
    fn composed(&self, variant: &Variant, report: &mut Report) -> Option<(Vec<u8>, usize)> {
        let draft = self.prepared.write(variant);
        let booklet = press::lay_out(self.prepared, &draft, self.book, report)?;
        let bytes = press::file(&booklet, variant.faces(self.book), report)?;
        let pages = self.proofed(&draft, &bytes, report)?;
        Some((bytes, pages))
    }

    /// Reads a file back and holds it against its draft; gives its pages, and nothing where it does not hold.
    fn proofed(&self, draft: &Draft, bytes: &[u8], report: &mut Report) -> Option<usize> {
        let found = self.prepared.proof(draft, bytes);
        report.extend(found.diagnostics());
        found.holds().then_some(found.pages)
    }

    fn put(&self, name: String, bytes: &[u8], report: &mut Report) -> Option<ShopFile> {
        match self.folder.put(&name, bytes) {
            // Disks lie seldom, and then nobody notices until the buyer does.
            Ok(()) if self.folder.holds(&name, bytes) => Some(ShopFile::of(&name, bytes)),
            Ok(()) => {
                let message = format!("`{name}` was written and reads otherwise; the disk is not to be trusted");
                report.push(Diagnostic::failure("cannot-write", message));
                None
            }
            Err(NewFileError::Failed(failure)) => {
                report.push(failure);
                None
            }
            // Nobody else knows where the new folder grows.
            Err(NewFileError::Taken(path)) => {
                report.push(Diagnostic::failure("cannot-write", format!("`{}` is there already", path.display())));
                None
            }
        }
    }

    fn stem(&self) -> &str {
        &self.prepared.project.file_stem
    }

    fn about(&self, variant: &Variant) -> Vec<(&'static str, String)> {
        vec![
            ("edition", variant.name.to_string()),
            ("paper", variant.edition.paper.name.to_string()),
            ("ink", name_of(variant.ink).to_owned()),
            ("language", self.prepared.words.language().to_owned()),
        ]
    }
}

fn name_of(ink: Ink) -> &'static str {
    INKS.iter().find(|(_, known)| *known == ink).map_or("", |(name, _)| name)
}
