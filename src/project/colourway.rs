//! One design in several colours: a colourway, once it is chosen, is a project like any other; until then the project stands
//! for all of them, and its yarns are called by letters.

use super::{Project, VersionName};
use crate::chart::{Palette, Yarn};
use crate::diag::{Diagnostic, Span};
use crate::form::nearest;
use crate::names::slugify;

/// A colourway. The first one is the project's yarns as they are.
#[derive(Clone, Debug, PartialEq)]
pub struct Colourway {
    /// Its name: "Dusk".
    pub(crate) name: String,
    /// Its yarns, in the order of the project's.
    pub(crate) palette: Palette,
    /// Where its name stands.
    pub(crate) place: Span,
}

impl Project {
    /// Whether the project stands for several colourways at once.
    pub(crate) fn is_for_all_colourways(&self) -> bool {
        self.colourways.len() > 1
    }

    /// The project in one of its colourways.
    ///
    /// # Errors
    /// A fault where there is none of that name.
    pub fn in_colourway(mut self, name: &str) -> Result<Project, Diagnostic> {
        let names: Vec<&str> = self.colourways.iter().map(|colourway| colourway.name.as_str()).collect();
        let at = position(&names, name).ok_or_else(|| unknown("colourway", name, &names))?;
        let chosen = self.colourways.swap_remove(at);
        self.colourways.clear();
        // The photograph is of the first one.
        if at > 0 {
            self.about.photograph = None;
            self.about.photograph_words = None;
        }
        self.add_to_stem(&chosen.name);
        self.palette = chosen.palette;
        self.colourway = Some(VersionName::of(&chosen.name));
        Ok(self)
    }

    /// The project with yarns that are called by letters, `name` saying how: for all its colourways at once. What differs
    /// between these is not said of a yarn.
    pub(crate) fn with_lettered_yarns(mut self, name: impl Fn(&str) -> String) -> Project {
        let colourways = &self.colourways;
        let palette = self.palette.0.iter_mut().enumerate();
        for (at, yarn) in palette {
            let same = |of: fn(&Yarn) -> &Option<String>| {
                colourways.iter().all(|colourway| of(&colourway.palette.0[at]) == of(&colourways[0].palette.0[at]))
            };
            if !same(|yarn| &yarn.brand) {
                yarn.brand = None;
            }
            if !same(|yarn| &yarn.shade) {
                yarn.shade = None;
            }
            if !same(|yarn| &yarn.link) {
                yarn.link = None;
            }
            yarn.dye_lot = None;
            yarn.name = name(&letters(at));
        }
        self
    }

    /// What its files are called, with one more name behind.
    pub(super) fn add_to_stem(&mut self, name: &str) {
        let name = slugify(name).unwrap_or_else(|| "other".to_owned());
        self.file_stem = format!("{}-{name}", self.file_stem);
    }
}

/// The letter of a yarn on paper: A, B ... Z, AA, AB ...
pub(crate) fn letters(at: usize) -> String {
    let letter = |at: usize| char::from(b'A'.saturating_add(u8::try_from(at % 26).unwrap_or(0)));
    match at / 26 {
        0 => letter(at).to_string(),
        round => format!("{}{}", letter(round - 1), letter(at)),
    }
}

/// Where a name stands in a list, as it is typed: with or without capitals, or as it stands in names of files.
pub(super) fn position(names: &[&str], typed: &str) -> Option<usize> {
    let plain = |name: &str| name.to_lowercase();
    let exact = names.iter().position(|name| plain(name) == plain(typed));
    exact.or_else(|| names.iter().position(|name| slugify(name).is_some_and(|slug| slug == plain(typed))))
}

pub(super) fn unknown(kind: &'static str, typed: &str, names: &[&str]) -> Diagnostic {
    let id = if kind == "size" { "unknown-size" } else { "unknown-colourway" };
    let fault = Diagnostic::fault(id, format!("the project has no {kind} `{typed}`"));
    let plain: Vec<String> = names.iter().map(|name| name.to_lowercase().replace(' ', "-")).collect();
    let near = nearest(typed, plain.iter().map(String::as_str));
    let near = near.and_then(|near| names.get(plain.iter().position(|name| name == near)?));
    match (near, names) {
        (_, []) => fault.hint(format!("add a section `[[{kind}]]` with a `name` to the project file")),
        (Some(near), _) => fault.hint(format!("did you mean `{near}`?")),
        (None, _) => fault.hint(format!("choose one of {}", names.join(", "))),
    }
}
