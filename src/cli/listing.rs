//! `hitchpress listing`: what a maker pastes beside her pattern, on standard output.

use super::args::{self, ListingFormat, ListingPart, UnitsChoice};
use super::load::LoadedProject;
use super::outcome::Outcome;
use super::report;
use crate::diag::Report;
use crate::font::FontBook;
use crate::manuscript::listing::{ListedFile, Listing, ListingLimits, listing};
use crate::manuscript::pasted::{PasteFormat, pasted};
use crate::press::{self, Prepared, Variant, Wishes};
use crate::project::{Project, Units};
use crate::source::Sources;
use std::path::Path;

/// Writes it. Faults go to standard error; advice is `check`'s to tell.
pub(crate) fn run(typed: &args::Listing) -> Outcome {
    let wishes = Wishes {
        language: typed.language.clone(),
        units: typed.units.map(|units| match units {
            UnitsChoice::Metric => Units::Metric,
            UnitsChoice::Imperial => Units::Imperial,
        }),
        students: typed.students.map(usize::from),
        size: typed.size.clone(),
        colourway: typed.colourway.clone(),
        ..Wishes::default()
    };
    let LoadedProject { work, sources, report } = open(&typed.project, &wishes);
    let Some(written) = work.map(|(prepared, files)| {
        let limits = ListingLimits {
            title: typed.longest_title.into(),
            tag: typed.longest_tag.into(),
            tags: typed.most_tags.into(),
        };
        let format = match typed.format {
            ListingFormat::Text => PasteFormat::Plain,
            ListingFormat::Markdown => PasteFormat::Markdown,
        };
        written(&of(&prepared, &files, limits), typed.part, format)
    }) else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    report::data(&written)
}

/// The listing of a project whose files are these.
pub(super) fn of(prepared: &Prepared, files: &[ListedFile], limits: ListingLimits) -> Listing {
    let Prepared { project, workings, words, students, .. } = prepared;
    let mut languages = project.languages();
    if !languages.contains(&words.language()) {
        languages = vec![words.language()];
    }
    listing(project, workings, words, files, &languages, *students, limits)
}

/// The project with the files that its shop folder has, laid out for the number of their pages.
fn open(path: &Path, wishes: &Wishes) -> LoadedProject<(Prepared, Vec<ListedFile>)> {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let settle = |project: &Project, sources: &mut Sources, report: &mut Report| {
        let pictures = press::read_pictures(project, sources, report);
        let (paper, ink) = (project.shop.papers.first().copied(), project.shop.inks.first().copied());
        let variants: Vec<Option<Variant>> = project
            .shop
            .editions
            .iter()
            .map(|edition| {
                let wishes = Wishes { edition: Some(*edition), paper, ink, ..wishes.clone() };
                Variant::from(&wishes, project, sources, report)
            })
            .collect();
        Some((pictures, variants))
    };
    let opened = press::open(path, wishes, &mut sources, &mut report, settle);
    let work = opened.and_then(|(prepared, (pictures, variants))| {
        let prepared = prepared.with_pictures(pictures);
        let book = FontBook::shipped();
        let mut files = Vec::new();
        for variant in variants.into_iter().flatten() {
            let booklet = press::lay_out(&prepared, &prepared.write(&variant), &book, &mut report)?;
            let papers = prepared.project.shop.papers.clone();
            files.push(ListedFile { edition: variant.name, papers, pages: booklet.pages.len() });
        }
        Some((prepared, files))
    });
    LoadedProject { work, sources, report }
}

/// One part as it is pasted, or all of them one after another, each below its name.
pub(super) fn written(listing: &Listing, part: Option<ListingPart>, format: PasteFormat) -> String {
    let of = |part: ListingPart| match part {
        ListingPart::Titles => listing.titles.iter().map(|title| format!("{title}\n")).collect(),
        ListingPart::Tags => format!("{}\n", listing.tags.join(", ")),
        ListingPart::Description => pasted(&listing.description, format),
        ListingPart::Materials => pasted(&listing.materials, format),
    };
    match part {
        Some(part) => of(part),
        None => [
            ("TITLES", ListingPart::Titles),
            ("TAGS", ListingPart::Tags),
            ("DESCRIPTION", ListingPart::Description),
            ("MATERIALS", ListingPart::Materials),
        ]
        .map(|(name, part)| format!("---- {name} ----\n\n{}", of(part)))
        .join("\n"),
    }
}
