//! The figures that come with the program, each read when it is asked for: a figure read takes much more room than drawn.

use super::file::{self, Crossings};
use super::model::Figure;
use crate::diag::{Report, SourceId};

/// Name and text of every shipped figure.
const TEXTS: &[(&str, &str)] = &[
    ("larks-head-strand", include_str!("../../layouts/figures/larks-head-strand.toml")),
    ("larks-head-dowel", include_str!("../../layouts/figures/larks-head-dowel.toml")),
    ("hitch-left-to-right", include_str!("../../layouts/figures/hitch-left-to-right.toml")),
    ("hitch-right-to-left", include_str!("../../layouts/figures/hitch-right-to-left.toml")),
    ("turn", include_str!("../../layouts/figures/turn.toml")),
    ("join-left-to-right", include_str!("../../layouts/figures/join-left-to-right.toml")),
    ("join-right-to-left", include_str!("../../layouts/figures/join-right-to-left.toml")),
    ("change-yarn", include_str!("../../layouts/figures/change-yarn.toml")),
    ("leave-waiting", include_str!("../../layouts/figures/leave-waiting.toml")),
    ("lead-behind", include_str!("../../layouts/figures/lead-behind.toml")),
    ("link", include_str!("../../layouts/figures/link.toml")),
    ("nearest-length", include_str!("../../layouts/figures/nearest-length.toml")),
    ("tie-off", include_str!("../../layouts/figures/tie-off.toml")),
    ("level-header", include_str!("../../layouts/figures/level-header.toml")),
    ("header-under-branch", include_str!("../../layouts/figures/header-under-branch.toml")),
    ("backing", include_str!("../../layouts/figures/backing.toml")),
    ("stapling", include_str!("../../layouts/figures/stapling.toml")),
];

/// A set of figures by name.
#[derive(Debug)]
pub struct Figures {
    entries: Vec<FigureText>,
}

#[derive(Debug)]
struct FigureText {
    name: &'static str,
    text: &'static str,
}

impl Figures {
    /// The shipped set. Costs nothing until a figure is asked for.
    pub fn shipped() -> Figures {
        let entry = |&(name, text)| FigureText { name, text };
        Figures { entries: TEXTS.iter().map(entry).collect() }
    }
    /// Names in the order of the booklet.
    pub fn names(&self) -> impl Iterator<Item = &'static str> {
        self.entries.iter().map(|e| e.name)
    }
    /// A figure, ready to be drawn; `None` where there is none of that name. That its crossings are clear is not looked at
    /// again: a test has [`Figures::read`] look at all of them.
    pub(crate) fn get(&self, name: &str) -> Option<Figure> {
        self.read_entry(self.entry(name)?, Crossings::Proven).ok()
    }
    /// A figure, or all that is wrong with its file.
    pub fn read(&self, name: &str) -> Option<Result<Figure, Report>> {
        Some(self.read_entry(self.entry(name)?, Crossings::Checked))
    }

    fn entry(&self, name: &str) -> Option<&FigureText> {
        self.entries.iter().find(|e| e.name == name)
    }

    fn read_entry(&self, entry: &FigureText, crossings: Crossings) -> Result<Figure, Report> {
        // A mirror of a mirror is not looked for: it would be the figure itself.
        let origin = |other: &str| {
            let entry = self.entry(other)?;
            file::read(entry.name, entry.text, SourceId(0), crossings, &|_| None).ok()
        };
        file::read(entry.name, entry.text, SourceId(0), crossings, &origin)
    }
}
