//! What a page asks for, and why it may be refused.

use crate::diag::Diagnostic;
use crate::edit::{Line, form};
use serde::Deserialize;
use serde_json::Value as Json;

/// A change, as a page sends it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub(crate) enum Change {
    /// Knots.
    Knots {
        /// Size of the chart that they were painted on.
        columns: usize,
        /// See `columns`.
        rows: usize,
        /// Places in reading order.
        at: Vec<usize>,
        /// For each place the letter that was seen there.
        from: String,
        /// For each place the letter it is to have; one letter stands for all of them.
        to: String,
    },
    /// Rows or columns put in.
    PutIn {
        /// Which.
        line: LineName,
        /// Before which one, from 0.
        at: usize,
        /// How many.
        count: usize,
    },
    /// Rows or columns taken out.
    TakeOut {
        /// Which.
        line: LineName,
        /// The first of them, from 0.
        at: usize,
        /// How many.
        count: usize,
    },
    /// Keys of the project file.
    Form {
        /// One after another; all or none.
        changes: Vec<form::Change>,
    },
    /// One more yarn, measured like another one.
    AddYarn {
        /// Its letter in the chart.
        letter: char,
        /// Its name.
        name: String,
        /// `#rrggbb`.
        colour: String,
        /// The letter of the yarn whose weight, ball and fibre it shares.
        like: Option<char>,
    },
    /// A yarn is taken out; its knots become those of another, or bare.
    ReplaceYarn {
        /// Its letter.
        letter: char,
        /// The letter its knots get; a full stop for bare cord.
        by: char,
    },
    /// A yarn gets another letter, here and in the chart.
    LetterYarn {
        /// Its letter.
        letter: char,
        /// The new one.
        to: char,
    },
    /// Undoes the last step.
    Undo,
    /// Does the step again that was undone last.
    Redo,
    /// Brings an earlier state back, as a step of its own.
    Restore {
        /// How many of the journal's steps were done then.
        steps: usize,
    },
}

/// [`Line`], as a page writes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum LineName {
    /// Rows.
    Rows,
    /// Columns.
    Columns,
}

impl From<LineName> for Line {
    fn from(name: LineName) -> Line {
        match name {
            LineName::Rows => Line::Row,
            LineName::Columns => Line::Column,
        }
    }
}

/// What a page sends.
#[derive(Debug, Deserialize)]
pub(crate) struct Whole {
    /// The panel.
    pub(crate) panel: String,
    /// The number of the state it was made on.
    pub(crate) base: u64,
    /// The change.
    pub(crate) change: Change,
}

/// Why nothing was changed.
#[derive(Debug)]
pub(crate) enum Refused {
    /// Rows or columns moved since: a place now means another knot.
    Moved,
    /// In words.
    Told(Diagnostic),
}

impl Change {
    /// A word for the journal; the page has a phrase for each.
    pub(super) fn kind(&self) -> &'static str {
        match self {
            Change::Knots { .. } => "knots",
            Change::PutIn { line: LineName::Rows, .. } => "rows-in",
            Change::PutIn { line: LineName::Columns, .. } => "columns-in",
            Change::TakeOut { line: LineName::Rows, .. } => "rows-out",
            Change::TakeOut { line: LineName::Columns, .. } => "columns-out",
            Change::Form { .. } => "form",
            Change::AddYarn { .. } => "yarn-added",
            Change::ReplaceYarn { .. } => "yarn-replaced",
            Change::LetterYarn { .. } => "yarn-letter",
            Change::Undo => "undo",
            Change::Redo => "redo",
            Change::Restore { .. } => "restored",
        }
    }

    /// Whether it speaks of places in the chart.
    pub(super) fn is_about_places(&self) -> bool {
        matches!(self, Change::Knots { .. } | Change::PutIn { .. } | Change::TakeOut { .. })
    }

    /// Whether places mean other knots after it.
    pub(super) fn moves(&self) -> bool {
        matches!(self, Change::PutIn { .. } | Change::TakeOut { .. })
    }
}

/// A key of the first section with text in it.
pub(super) fn text(key: &str, value: &str) -> (String, Json) {
    (key.to_owned(), Json::from(value))
}
