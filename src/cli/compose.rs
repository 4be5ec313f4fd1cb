//! `hitchpress compose`: the PDF.

use super::args::{Compose, PurposeChoice};
use super::load::{LoadedProject, load_variant};
use super::outcome::Outcome;
use super::report::counted;
use super::write::{FileKind, Place};
use super::{print, report, write};
use crate::diag::{Diagnostic, Report, Value};
use crate::font::FontBook;
use crate::pdf::{PrepressFile, PrinterProfile};
use crate::press::{self, Prepared, Purpose, Variant};
use crate::project::Project;
use crate::source::Sources;
use crate::words::Words;
use std::path::{Path, PathBuf};

/// Composes and writes the file, whole or not at all.
pub(crate) fn run(compose: &Compose) -> Outcome {
    if let Some(wrong) = wrong_use(compose) {
        let mut report = Report::new();
        report.push(wrong);
        report::show(&report, &Sources::new());
        return Outcome::WrongUse;
    }
    let LoadedProject { work, mut sources, mut report } =
        load_variant(&compose.project, &print::wishes(&compose.print));
    let path = compose.profile.as_deref();
    let profile = path.and_then(|path| print::profile(path, compose.most_ink, &mut sources, &mut report));
    let made = work.filter(|_| !report.has_faults()).and_then(|(prepared, variant)| {
        let (bytes, told) = made(&prepared, &variant, profile.as_ref(), &mut report)?;
        let told: Vec<String> = untranslated(&prepared).into_iter().chain(told).collect();
        Some((compose.output.clone().unwrap_or_else(|| beside(&prepared.project, &variant)), bytes, told))
    });
    let Some((path, bytes, told)) = made else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    let place = Place { path: &path, kind: FileKind::Pdf, on_purpose: compose.output.is_some(), read: &sources };
    if let Err(error) = write::whole(&place, &bytes) {
        // The maker asked for a file, and that alone is to be told.
        return report::not_written(error, Report::new(), &sources);
    }
    report::say(&format!("written: {}", path.display()));
    told.iter().for_each(|told| report::say(told));
    // The maker is composing, not checking: advice is counted, and `check` tells it.
    if let Some(counted) = advice_counted(report.len(), &compose.project) {
        report::say(&counted);
    }
    Outcome::Done
}

/// The file, for a print shop where there is a profile; and what the maker should know of it.
fn made(
    prepared: &Prepared,
    variant: &Variant,
    profile: Option<&PrinterProfile>,
    report: &mut Report,
) -> Option<(Vec<u8>, Option<String>)> {
    let book = FontBook::shipped();
    let Some(profile) = profile else {
        return press::compose(prepared, variant, &book, report).map(|bytes| (bytes, None));
    };
    let booklet = press::lay_out(prepared, &prepared.write(variant), &book, report)?;
    let shop = press::shop_file(&booklet, variant.faces(&book), profile, report)?;
    let told = told(&shop, profile);
    Some((shop.bytes, Some(told)))
}

/// Options that do not go together, and the profile that a print-shop file cannot do without.
fn wrong_use(compose: &Compose) -> Option<Diagnostic> {
    let prepress = compose.print.purpose == Some(PurposeChoice::PrintShop);
    if prepress && compose.profile.is_none() {
        return Some(print::no_profile("to print at home, leave `--for print-shop` out"));
    }
    let idle = [("--profile", compose.profile.is_some()), ("--most-ink", compose.most_ink.is_some())];
    let (option, _) = idle.into_iter().find(|(_, given)| *given && !prepress)?;
    let message = format!("`{option}` has no say over a file for home");
    Some(Diagnostic::fault("idle-option", message).hint("leave it out, or add `--for print-shop`"))
}

/// What the maker should know of a file for a print shop.
pub(super) fn told(made: &PrepressFile, profile: &PrinterProfile) -> String {
    let mut lines = vec![format!(
        "for a print shop: PDF/X-4, {} one by one with 3 mm bleed and crop marks, in the inks of `{}`",
        counted(made.pages, "page", "pages"),
        profile.name()
    )];
    let (asked, most) = (made.asked.ceil(), profile.most_ink());
    lines.push(match made.asked > f64::from(most) {
        true => format!("the darkest place would take {asked} % of ink; it was brought down to {most} %"),
        false => format!("the darkest place takes {asked} % of ink, under the limit of {most} %"),
    });
    for picture in &made.coarse {
        lines.push(format!(
            "advice: the picture on page {} has {} pixels an inch and will look coarse; take one that is {} pixels wide or more",
            picture.page + 1,
            picture.per_inch.round(),
            picture.enough
        ));
    }
    lines.push(
        "show the shop a proof before you have many printed; type is black ink alone, printed over what lies below"
            .to_owned(),
    );
    lines.join("\n")
}

/// Which of the maker's texts are not there in the language of the file.
fn untranslated(prepared: &Prepared) -> Option<String> {
    let (project, language) = (&prepared.project, prepared.words.language());
    let own = &project.about.language;
    if Words::tag(own) == Some(language) {
        return None;
    }
    if project.translated.is_none() {
        return Some(format!(
            "none of your own texts is there in `{language}`: title, names and words of yours stand in `{own}`; \
             [[translation]] in the project file takes them"
        ));
    }
    let missing = project.missing_texts();
    (!missing.is_empty()).then(|| format!("not there in `{language}`, and left in `{own}`: {}", Value::List(missing)))
}

/// How many pieces of advice there are and where they are told; `None` for none.
pub(crate) fn advice_counted(pieces: usize, project: &Path) -> Option<String> {
    let shown = report::pasted(project);
    match pieces {
        0 => None,
        1 => Some(format!("1 piece of advice: `hitchpress check {shown}` tells it")),
        n => Some(format!("{n} pieces of advice: `hitchpress check {shown}` tells them")),
    }
}

/// The file beside the project: title, edition, paper, purpose.
fn beside(project: &Project, variant: &Variant) -> PathBuf {
    let purpose = match variant.purpose {
        Purpose::Home => "",
        Purpose::PrintShop => "-print-shop",
    };
    let (stem, paper) = (&project.file_stem, variant.edition.paper.name);
    project.folder.join(format!("{stem}-{}-{paper}{purpose}.pdf", variant.name))
}

/// A title in letters that every system takes in the name of a file.
pub(crate) fn title_slug(title: &str) -> String {
    crate::names::slugify(title).unwrap_or_else(|| "pattern".to_owned())
}
