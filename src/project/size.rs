//! One design in several sizes: each has a chart of its own and is settled as a project like any other.

use super::colourway::{position, unknown};
use super::{Project, VersionName};
use crate::diag::{Diagnostic, Span};

/// A size.
#[derive(Clone, Debug, PartialEq)]
pub struct PanelSize {
    /// Its name: "Large".
    pub(crate) name: String,
    /// The project in this size; `None`: the one that lists it, which is the first.
    pub(crate) project: Option<Box<Project>>,
    /// Where its name stands.
    pub(crate) place: Span,
}

impl Project {
    /// The project in one of its sizes.
    ///
    /// # Errors
    /// A fault where there is none of that name.
    pub(crate) fn of_size(mut self, name: &str) -> Result<Project, Diagnostic> {
        let names: Vec<&str> = self.sizes.iter().map(|size| size.name.as_str()).collect();
        let at = position(&names, name).ok_or_else(|| unknown("size", name, &names))?;
        let chosen = self.sizes.swap_remove(at);
        self.sizes.clear();
        Ok(chosen.project.map_or(self, |project| *project))
    }

    /// Says which size a project is.
    pub(super) fn named_size(mut self, name: &str) -> Project {
        self.add_to_stem(name);
        self.size = Some(VersionName::of(name));
        self
    }
}
