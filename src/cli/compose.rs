//! `hitchpress compose`: the PDF.

use super::args::Compose;
use super::load::{Loaded, load};
use super::outcome::Outcome;
use super::{print, report, write};
use crate::font::FontBook;
use crate::press;
use crate::project::Project;
use std::path::PathBuf;

/// Composes and writes the file, whole or not at all.
pub fn run(compose: &Compose) -> Outcome {
    let Loaded { work, mut sources, mut report } = load(&compose.project);
    let Some((mut project, workings)) = work else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    // What was typed may change them, and those of a large chart are large.
    drop(workings);
    let order = print::order(&compose.print, &mut project, &mut sources, &mut report);
    let bytes = match report.has_faults() {
        true => None,
        false => press::compose(&project, &order, &FontBook::shipped(), &mut sources, &mut report),
    };
    let Some(bytes) = bytes else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    let paper = order.paper.as_deref().unwrap_or(&project.print.paper);
    let path = compose.output.clone().unwrap_or_else(|| beside(&project, &order.edition, paper));
    if let Err(failure) = write::whole(&path, &bytes) {
        report.push(failure);
        report::show(&report, &sources);
        return Outcome::of(&report);
    }
    report::say(&format!("written: {}", path.display()));
    // The maker is composing, not checking: advice is counted, and `check` tells it.
    match report.len() {
        0 => {}
        1 => report::say(&format!("1 piece of advice: `hitchpress check {}` tells it", compose.project.display())),
        n => report::say(&format!("{n} pieces of advice: `hitchpress check {}` tells them", compose.project.display())),
    }
    Outcome::Done
}

/// The file beside the project: title, edition, paper.
fn beside(project: &Project, edition: &str, paper: &str) -> PathBuf {
    project.folder.join(format!("{}-{edition}-{paper}.pdf", plain_name(&project.about.title)))
}

/// A title in letters that every system takes in the name of a file.
pub fn plain_name(title: &str) -> String {
    let mut name = String::new();
    for c in title.chars() {
        if c.is_ascii_alphanumeric() {
            name.extend(c.to_lowercase());
        } else if !name.is_empty() && !name.ends_with('-') {
            name.push('-');
        }
    }
    let name = name.trim_end_matches('-');
    if name.is_empty() { "pattern".to_owned() } else { name.to_owned() }
}
