//! `hitchpress new`: a commented starter project.

use super::args::New;
use super::outcome::Outcome;
use super::report;
use super::today::today;
use super::write::{self, NewFileError};
use crate::diag::{Diagnostic, Report};
use crate::edit::form::{self, Change, Place};
use crate::project::PLACEHOLDER_TITLE;
use crate::project::schema::{self, STARTER};
use crate::source::{self, Sources, steers};
use crate::words::Words;
use std::path::Path;

const CHART: &str = include_str!("starter/chart.txt");

/// Writes the starter project into a folder where nothing of its name lies yet.
pub fn run(new: &New) -> Outcome {
    let project = match project(new) {
        Ok(project) => project,
        Err(fault) => {
            show(fault);
            return Outcome::WrongUse;
        }
    };
    let schema = schema::schema();
    let files =
        [("project.toml", project.as_bytes()), ("chart.txt", CHART.as_bytes()), (schema::FILE, schema.as_bytes())];
    match write::added(&new.folder, &files) {
        Ok(()) => {
            let pasted = report::pasted(&new.folder);
            report::say(&format!(
                "written: {} and {}\nnext:\n  hitchpress check {pasted}\n  hitchpress compose {pasted}",
                new.folder.join("project.toml").display(),
                new.folder.join("chart.txt").display(),
            ));
            Outcome::Done
        }
        Err(NewFileError::Taken(path)) => {
            report::say(&format!(
                "`{}` is there already, and nothing is overwritten; choose another folder",
                path.display()
            ));
            Outcome::WrongUse
        }
        Err(NewFileError::Failed(diagnostic)) => {
            show(diagnostic);
            Outcome::MachineFailed
        }
    }
}

fn show(fault: Diagnostic) {
    let mut report = Report::new();
    report.push(fault);
    report::show(&report, &Sources::new());
}

/// The starter with all in it that can be known.
fn project(new: &New) -> Result<String, Diagnostic> {
    let tag = new.language.as_deref().unwrap_or("en-GB");
    let Some(words) = Words::shipped(tag) else {
        let fault = Diagnostic::fault("unknown-language", format!("there are no words in the language `{tag}`"));
        return Err(fault.hint(Words::language_hint(tag)));
    };
    let title = new.title.clone().or_else(|| title_of(&new.folder));
    let units = if words.language() == "en-US" { "imperial" } else { "metric" };
    let known = [
        ("title", Some(title.unwrap_or_else(|| PLACEHOLDER_TITLE.to_owned()))),
        ("maker", new.maker.clone()),
        ("language", Some(words.language().to_owned())),
        ("units", Some(units.to_owned())),
    ];
    let mut text = STARTER.replace("{date}", &today());
    let values = form::values(&text)?;
    for (key, value) in known {
        let Some(value) = value else { continue };
        let place = Place { section: String::new(), item: None, key: key.to_owned() };
        text = form::apply(&text, &Change::Set { place, from: values[key].clone(), to: value.into() })?;
    }
    Ok(text)
}

/// The title that the name of a folder gives: "little-boat" is "Little Boat", and what has capitals or spaces already stays as
/// it is typed. `None` where the name says nothing.
fn title_of(folder: &Path) -> Option<String> {
    let real = source::real(folder).ok();
    let name = folder.file_name().or_else(|| real.as_deref().and_then(Path::file_name))?.to_string_lossy();
    let name = name.replace('_', " ").replace(steers, " ");
    let is_typed = name.contains(' ') || name.chars().any(char::is_uppercase);
    let name = if is_typed { name } else { name.replace('-', " ") };
    let words: Vec<String> = name
        .split_whitespace()
        .map(|word| {
            let mut letters = word.chars();
            match letters.next() {
                Some(first) if !name.chars().any(char::is_uppercase) => first.to_uppercase().chain(letters).collect(),
                _ => word.to_owned(),
            }
        })
        .collect();
    let title = words.join(" ");
    title.chars().any(char::is_alphanumeric).then_some(title)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_name_of_a_folder_is_a_title() {
        for (name, title) in [
            ("little-boat", "Little Boat"),
            ("panels/Little Fox", "Little Fox"),
            ("panels/little fox/", "Little Fox"),
            ("Half-Timbered", "Half-Timbered"),
            ("two_pears", "Two Pears"),
            ("été-à-la-mer", "Été À La Mer"),
            ("say \"hush\"", "Say \"hush\""),
        ] {
            assert_eq!(title_of(Path::new(name)).as_deref(), Some(title), "{name}");
        }
        assert_eq!(title_of(Path::new("/")), None);
        assert_eq!(title_of(Path::new("---")), None);
    }
}
