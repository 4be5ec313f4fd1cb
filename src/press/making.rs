//! What a file keeps of how it was made: the program's version and everything that was chosen, so that it can be made once
//! more and compared; and the way back from there.

use super::settle::{Purpose, Variant, Wishes};
use crate::catalogue::{EditionName, LookName, PaperName};
use crate::project::{Ink, Project, Side, Units};
use crate::words::Words;
use std::collections::BTreeMap;

/// The version of this program.
pub(crate) const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Said in place of a colourway by a file that holds all of them; no name has such signs alone.
const ALL: &str = "*";

const INKS: [(&str, Ink); 3] = [("saving", Ink::Saving), ("full", Ink::Full), ("symbols-only", Ink::SymbolsOnly)];
const UNITS: [(&str, Units); 2] = [("metric", Units::Metric), ("imperial", Units::Imperial)];
const SIDES: [(&str, Side); 2] = [("left", Side::Left), ("right", Side::Right)];
const PAGES: [(&str, bool); 2] = [("facing", true), ("single", false)];
const PURPOSES: [(&str, Purpose); 2] = [("home", Purpose::Home), ("print-shop", Purpose::PrintShop)];

fn word<T: PartialEq>(words: &[(&'static str, T)], of: &T) -> &'static str {
    words.iter().find(|(_, it)| it == of).map_or("", |(word, _)| word)
}

fn named<T: Copy>(words: &[(&str, T)], said: &BTreeMap<String, String>, key: &str) -> Option<T> {
    let word = said.get(key)?;
    words.iter().find(|(known, _)| known == word).map(|(_, it)| *it)
}

/// What a file of this variant says of its making.
pub(super) fn made_with(
    project: &Project,
    words: &Words,
    students: Option<usize>,
    variant: &Variant,
) -> Vec<(String, String)> {
    let (about, working) = (&project.about, &project.working);
    let mut said = vec![
        ("version", VERSION.to_owned()),
        ("edition", variant.name.to_string()),
        ("for", word(&PURPOSES, &variant.purpose).to_owned()),
        ("paper", variant.edition.paper.name.to_string()),
        ("ink", word(&INKS, &variant.ink).to_owned()),
        ("pages", word(&PAGES, &variant.edition.facing).to_owned()),
        ("language", words.language().to_string()),
        ("units", word(&UNITS, &about.units).to_owned()),
        ("first-row-from", word(&SIDES, &working.first_row_from).to_owned()),
    ];
    // A file for all of several colourways says so too, so that it is not taken for one of them.
    let all = project.is_for_all_colourways().then(|| ALL.to_owned());
    said.extend(
        project.colourway.as_ref().map(|colourway| colourway.own.clone()).or(all).map(|name| ("colourway", name)),
    );
    said.extend(project.size.as_ref().map(|size| ("size", size.own.clone())));
    said.extend(variant.look.map(|look| ("look", look.to_string())));
    said.extend(students.map(|students| ("students", students.to_string())));
    said.into_iter().map(|(key, value)| (key.to_owned(), value)).collect()
}

impl Wishes {
    /// These, and where nothing is wished, what a file says that it was made with.
    pub(crate) fn or_as_said(self, said: &BTreeMap<String, String>) -> Wishes {
        let text = |key: &str| said.get(key).map(String::as_str);
        Wishes {
            edition: self.edition.or_else(|| EditionName::named(text("edition")?)),
            look: self.look.or_else(|| LookName::named(text("look")?)),
            paper: self.paper.or_else(|| PaperName::named(text("paper")?)),
            ink: self.ink.or_else(|| named(&INKS, said, "ink")),
            facing: self.facing.or_else(|| named(&PAGES, said, "pages")),
            purpose: match self.purpose {
                Purpose::Home => named(&PURPOSES, said, "for").unwrap_or_default(),
                Purpose::PrintShop => Purpose::PrintShop,
            },
            language: self.language.or_else(|| said.get("language").cloned()),
            size: self.size.or_else(|| said.get("size").cloned()),
            colourway: self.colourway.or_else(|| said.get("colourway").filter(|name| *name != ALL).cloned()),
            units: self.units.or_else(|| named(&UNITS, said, "units")),
            first_row_from: self.first_row_from.or_else(|| named(&SIDES, said, "first-row-from")),
            students: self.students.or_else(|| text("students")?.parse().ok()),
        }
    }
}
