//! `hitchpress compose`: the PDF.

use super::args::{Compose, PurposeChoice};
use super::load::{Loaded, load};
use super::outcome::Outcome;
use super::{print, report, write};
use crate::diag::{Diagnostic, Report};
use crate::font::FontBook;
use crate::pdf::{ForShop, PrinterProfile};
use crate::press::{self, Order};
use crate::project::Project;
use crate::source::Sources;
use std::path::{Path, PathBuf};

/// Composes and writes the file, whole or not at all.
pub fn run(compose: &Compose) -> Outcome {
    if let Some(wrong) = wrong_use(compose) {
        let mut report = Report::new();
        report.push(wrong);
        report::show(&report, &Sources::new());
        return Outcome::WrongUse;
    }
    let Loaded { work, mut sources, mut report } = load(&compose.project);
    let Some((mut project, workings)) = work else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    // What was typed may change them, and those of a large chart are large.
    drop(workings);
    let order = print::order(&compose.print, &mut project, &mut sources, &mut report);
    let path = compose.profile.as_deref().filter(|_| order.for_shop);
    let shop = path.and_then(|path| print::profile(path, compose.most_ink, &mut sources, &mut report));
    let made = match (report.has_faults(), &shop) {
        (true, _) => None,
        (false, Some(profile)) => {
            let book = FontBook::shipped();
            let made = press::compose_for_shop(&project, &order, profile, &book, &mut sources, &mut report);
            made.map(|made| (made.bytes.clone(), told(&made, profile)))
        }
        (false, None) => {
            let made = press::compose(&project, &order, &FontBook::shipped(), &mut sources, &mut report);
            made.map(|bytes| (bytes, String::new()))
        }
    };
    let Some((bytes, told)) = made else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    let paper = order.paper.as_deref().unwrap_or(&project.print.paper);
    let path = compose.output.clone().unwrap_or_else(|| beside(&project, &order, paper));
    if let Err(failure) = write::whole(&path, &bytes) {
        report.push(failure);
        report::show(&report, &sources);
        return Outcome::of(&report);
    }
    report::say(&format!("written: {}", path.display()));
    if !told.is_empty() {
        report::say(&told);
    }
    // The maker is composing, not checking: advice is counted, and `check` tells it.
    if let Some(counted) = advice_counted(report.len(), &compose.project) {
        report::say(&counted);
    }
    Outcome::Done
}

/// Options that do not go together, and the profile that a print-shop file cannot do without.
fn wrong_use(compose: &Compose) -> Option<Diagnostic> {
    let for_shop = compose.print.purpose == PurposeChoice::PrintShop;
    if for_shop && compose.profile.is_none() {
        return Some(print::no_profile("to print at home, leave `--for print-shop` out"));
    }
    let idle = [("--profile", compose.profile.is_some()), ("--most-ink", compose.most_ink.is_some())];
    let (option, _) = idle.into_iter().find(|(_, given)| *given && !for_shop)?;
    let message = format!("`{option}` has no say over a file for home");
    Some(Diagnostic::fault("idle-option", message).hint("leave it out, or add `--for print-shop`"))
}

/// What the maker should know of a file for a print shop.
pub(super) fn told(made: &ForShop, profile: &PrinterProfile) -> String {
    let mut lines = vec![format!(
        "for a print shop: PDF/X-4, {} pages one by one with 3 mm bleed and crop marks, in the inks of `{}`",
        made.pages,
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

/// How many pieces of advice there are and where they are told; `None` for none.
pub fn advice_counted(pieces: usize, project: &Path) -> Option<String> {
    let shown = project.display();
    match pieces {
        0 => None,
        1 => Some(format!("1 piece of advice: `hitchpress check {shown}` tells it")),
        n => Some(format!("{n} pieces of advice: `hitchpress check {shown}` tells them")),
    }
}

/// The file beside the project: title, edition, paper, purpose.
fn beside(project: &Project, order: &Order, paper: &str) -> PathBuf {
    let (name, purpose) = (plain_name(&project.about.title), if order.for_shop { "-print-shop" } else { "" });
    project.folder.join(format!("{name}-{}-{paper}{purpose}.pdf", order.edition))
}

/// A title in letters that every system takes in the name of a file.
pub fn plain_name(title: &str) -> String {
    crate::names::plain(title).unwrap_or_else(|| "pattern".to_owned())
}
