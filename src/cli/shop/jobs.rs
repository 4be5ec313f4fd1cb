//! What is wanted of a project: what was typed, else what its section `[shop]` says, settled as a list of pieces of work.

use crate::catalogue::EditionName;
use crate::cli::args::Shop;
use crate::cli::print;
use crate::diag::{Diagnostic, Report};
use crate::pdf::PrinterProfile;
use crate::press::{Purpose, Variant, Wishes};
use crate::project::{Ink, Project, SHEETS, ShopColourways, ShopSheet};
use crate::source::Sources;
use crate::words::Words;

/// One piece of work: it makes one file of a folder, or a few that belong together.
#[expect(clippy::large_enum_variant, reason = "there are a dozen of them at a time, and each is used once")]
pub(crate) enum Job {
    /// A PDF to read, tick and print at home.
    File(Variant),
    /// The booklet imposed on sheets to fold.
    Sheets(ShopSheet, Variant),
    /// The booklet for a print shop, and the profile of its press.
    PrintShop(Variant, PrinterProfile),
    /// Amounts, licence, and what the next run compares with.
    Texts,
    /// The amounts of one more size.
    Amounts,
    /// The licence in one more language.
    Licence,
    /// Pictures of a booklet.
    Pictures(Variant),
}

/// Faults of what was typed that are the same for every project: a profile that is none.
pub(crate) fn faults(typed: &Shop, sources: &mut Sources) -> Report {
    let mut report = Report::new();
    if let Some(path) = &typed.profile {
        print::profile(path, typed.most_ink, sources, &mut report);
    }
    report
}

/// What is wished of each version of a project that its folder holds: one for every size and language, and for
/// colourways as the project says.
pub(crate) fn versions(typed: &Shop, project: &Project) -> Vec<Wishes> {
    let common = print::manner(&typed.manner);
    let own = Words::tag(&project.about.language);
    let languages: Vec<Option<String>> = match &typed.manner.language {
        Some(language) => vec![Some(language.clone())],
        None => {
            let wished = |tag: &str| (own != Some(tag)).then(|| tag.to_owned());
            project.languages().into_iter().map(wished).collect()
        }
    };
    let each = || project.colourways.iter().map(|colourway| Some(colourway.name.clone()));
    let colourways: Vec<Option<String>> = match (&typed.manner.colourway, project.shop.colourways) {
        (Some(colourway), _) => vec![Some(colourway.clone())],
        (None, ShopColourways::Each) if !project.colourways.is_empty() => each().collect(),
        (None, ShopColourways::Both) => std::iter::once(None).chain(each()).collect(),
        (None, ShopColourways::Together | ShopColourways::Each) => vec![None],
    };
    // Of several sizes the first is meant where none is wished: it stands for all of them in amounts and notes.
    let sizes: Vec<Option<String>> = match &typed.manner.size {
        Some(size) => vec![Some(size.clone())],
        None => {
            let others = project.sizes.iter().filter(|size| size.project.is_some()).map(|size| Some(size.name.clone()));
            std::iter::once(None).chain(others).collect()
        }
    };
    let mut versions = Vec::new();
    for size in &sizes {
        for language in &languages {
            for colourway in &colourways {
                let (size, language, colourway) = (size.clone(), language.clone(), colourway.clone());
                versions.push(Wishes { size, language, colourway, ..common.clone() });
            }
        }
    }
    versions
}

/// What a version's part of the folder holds beside its files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Beside {
    /// Everything that is there once for all versions.
    All,
    /// The amounts of its size.
    Amounts,
    /// The licence in its language.
    Licence,
    /// Nothing.
    Nothing,
}

/// The work for one version of a project, in the order in which the manifest lists the files. What cannot be settled is in the report.
pub(crate) fn jobs(
    typed: &Shop,
    common: &Wishes,
    beside: Beside,
    project: &Project,
    sources: &mut Sources,
    report: &mut Report,
) -> Vec<Job> {
    let shop = &project.shop;
    let (editions, papers) = (or(&typed.edition, &shop.editions), or(&typed.paper, &shop.papers));
    let inks: Vec<Ink> = typed.ink.iter().copied().map(print::ink).collect();
    let inks = or(&inks, &shop.inks);
    let sheets: Vec<ShopSheet> = match typed.sheets.as_slice() {
        [] => shop.sheets.clone(),
        names => SHEETS.into_iter().filter(|sheet| names.contains(&sheet.sheet)).collect(),
    };
    let booklet = Wishes { edition: Some(EditionName::Booklet), ..common.clone() };
    let mut settle = |wishes: Wishes| Variant::from(&wishes, project, sources, report);
    let mut jobs = Vec::new();
    for edition in &editions {
        for paper in &papers {
            for ink in &inks {
                let (edition, paper, ink) = (Some(*edition), Some(*paper), Some(*ink));
                jobs.extend(settle(Wishes { edition, paper, ink, ..common.clone() }).map(Job::File));
            }
        }
    }
    for sheet in sheets {
        let wishes = Wishes { paper: Some(sheet.page), facing: Some(true), ..booklet.clone() };
        jobs.extend(settle(wishes).map(|variant| Job::Sheets(sheet, variant)));
    }
    // The pictures show the first paper and ink of all.
    let shown = settle(Wishes { paper: papers.first().copied(), ink: inks.first().copied(), ..booklet.clone() });
    jobs.extend(print_shop(typed, project, booklet, sources, report));
    match beside {
        Beside::All => {
            jobs.push(Job::Texts);
            jobs.extend(shown.map(Job::Pictures));
        }
        Beside::Amounts => jobs.push(Job::Amounts),
        Beside::Licence => jobs.push(Job::Licence),
        Beside::Nothing => {}
    }
    jobs
}

/// The booklet for a print shop, if one is wanted.
fn print_shop(
    typed: &Shop,
    project: &Project,
    booklet: Wishes,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<Job> {
    let shop = &project.shop;
    let Some(paper) = typed.print_shop.or(shop.print_shop) else {
        let idle = [("--profile", typed.profile.is_some()), ("--most-ink", typed.most_ink.is_some())];
        for (option, _) in idle.iter().filter(|(_, given)| *given) {
            report.push(
                Diagnostic::fault("idle-option", format!("`{option}` says nothing without a paper for the print shop"))
                    .typed()
                    .hint("add `--print-shop PAPER`, or `print-shop = \"a5\"` under [shop] in the project file"),
            );
        }
        return None;
    };
    let own = || shop.profile.as_ref().map(|profile| project.folder.join(profile));
    let Some(profile) = typed.profile.clone().or_else(own) else {
        report.push(print::no_profile("to do without that file, leave `--print-shop` or `print-shop` out"));
        return None;
    };
    let profile = print::profile(&profile, typed.most_ink.or(shop.most_ink), sources, report);
    let wishes = Wishes { paper: Some(paper), facing: Some(true), purpose: Purpose::PrintShop, ..booklet };
    let variant = Variant::from(&wishes, project, sources, report);
    Some(Job::PrintShop(variant?, profile?))
}

/// What was typed, else the project's own, each once, in the order in which they first stand.
fn or<T: Copy + PartialEq>(typed: &[T], own: &[T]) -> Vec<T> {
    let mut out: Vec<T> = Vec::new();
    for one in if typed.is_empty() { own } else { typed } {
        if !out.contains(one) {
            out.push(*one);
        }
    }
    out
}
