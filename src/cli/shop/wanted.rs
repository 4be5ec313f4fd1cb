//! What is wanted of a project: what was typed, else what its section [shop] says, as a list of pieces of work.

use crate::cli::args::Shop;
use crate::cli::print;
use crate::diag::{Diagnostic, Report};
use crate::edition;
use crate::form::nearest;
use crate::project::{Ink, Project, SHEETS, ShopSheet};
use crate::source::Sources;
use std::path::PathBuf;

/// One piece of work: it makes one file of a folder, or a few that belong together.
#[derive(Clone, Debug, PartialEq)]
pub enum Job {
    /// A PDF to read, tick and print at home.
    File {
        /// Its edition.
        edition: String,
        /// Its paper.
        paper: String,
        /// Its ink.
        ink: Ink,
    },
    /// The booklet imposed on sheets to fold.
    Sheets(ShopSheet),
    /// The booklet for a print shop.
    PrintShop {
        /// Its paper.
        paper: String,
        /// The shop's profile.
        profile: PathBuf,
        /// The most ink its paper carries, per cent.
        most_ink: Option<u16>,
    },
    /// Amounts, licence, and what the next run compares with.
    Texts,
    /// Pictures.
    Pictures,
}

/// Faults of what was typed that are the same for every project: names that there are not, a profile that is none.
pub fn faults(typed: &Shop, sources: &mut Sources) -> Report {
    let mut report = Report::new();
    let papers = edition::papers();
    let papers: Vec<&str> = papers.iter().map(String::as_str).collect();
    let editions = edition::EDITIONS.map(|(name, _)| name);
    let sheets = SHEETS.map(|sheet| sheet.sheet);
    let named = |what: &str, names: &[String], known: &[&str], report: &mut Report| {
        for name in names.iter().filter(|name| !known.contains(&name.as_str())) {
            let fault = Diagnostic::fault("unknown-choice", format!("there is no {what} `{name}`"));
            report.push(match nearest(name, known.iter().copied()) {
                Some(near) => fault.hint(format!("did you mean `{near}`?")),
                None => fault.hint(format!("give some of {}, with commas between them", known.join(", "))),
            });
        }
    };
    named("edition", &typed.edition, &editions, &mut report);
    named("paper", &typed.paper, &papers, &mut report);
    named("sheet", &typed.sheets, &sheets, &mut report);
    named("paper", typed.print_shop.as_slice(), &papers, &mut report);
    if let Some(path) = &typed.profile {
        print::profile(path, typed.most_ink, sources, &mut report);
    }
    report
}

/// The work for a project, in the order in which its manifest lists the files.
pub fn jobs(typed: &Shop, project: &Project, report: &mut Report) -> Vec<Job> {
    let shop = &project.shop;
    let or = |typed: &[String], own: &[String]| once(if typed.is_empty() { own } else { typed });
    let (editions, papers) = (or(&typed.edition, &shop.editions), or(&typed.paper, &shop.papers));
    let inks: Vec<Ink> = match typed.ink.as_slice() {
        [] => shop.inks.clone(),
        inks => once(&inks.iter().copied().map(print::ink).collect::<Vec<_>>()),
    };
    let sheets: Vec<ShopSheet> = match typed.sheets.as_slice() {
        [] => shop.sheets.clone(),
        names => SHEETS.into_iter().filter(|sheet| names.iter().any(|name| name == sheet.sheet)).collect(),
    };
    let mut jobs = Vec::new();
    for edition in &editions {
        for paper in &papers {
            jobs.extend(inks.iter().map(|ink| Job::File { edition: edition.clone(), paper: paper.clone(), ink: *ink }));
        }
    }
    jobs.extend(sheets.into_iter().map(Job::Sheets));
    jobs.extend(print_shop(typed, project, report));
    jobs.extend([Job::Texts, Job::Pictures]);
    jobs
}

/// The booklet for a print shop, if one is wanted.
fn print_shop(typed: &Shop, project: &Project, report: &mut Report) -> Option<Job> {
    let shop = &project.shop;
    let Some(paper) = typed.print_shop.clone().or_else(|| shop.print_shop.clone()) else {
        let idle = [("--profile", typed.profile.is_some()), ("--most-ink", typed.most_ink.is_some())];
        for (option, _) in idle.iter().filter(|(_, given)| *given) {
            report.push(
                Diagnostic::fault("idle-option", format!("`{option}` says nothing without a paper for the print shop"))
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
    Some(Job::PrintShop { paper, profile, most_ink: typed.most_ink.or(shop.most_ink) })
}

/// Each once, in the order in which they first stand.
fn once<T: Clone + PartialEq>(all: &[T]) -> Vec<T> {
    let mut out: Vec<T> = Vec::new();
    for one in all {
        if !out.contains(one) {
            out.push(one.clone());
        }
    }
    out
}
