//! What a finished file must say, worked out from the project by the caller; proof itself knows no phrases.

use crate::project::Project;

/// Everything a file is held against.
#[derive(Clone, Debug)]
pub struct Expected<'a> {
    /// The project: its chart, its yarns, where its rows start.
    pub project: &'a Project,
    /// Trimmed width and height of every page, points; `None`: all pages must agree, whatever their size.
    pub paper: Option<(f64, f64)>,
    /// Bleed on every side, points; 0 for home files.
    pub bleed: f64,
    /// Whether the edition has chart sheets.
    pub chart: bool,
    /// Whether boxes can be ticked on a screen: then one field must lie on each box beside a row.
    pub fields: bool,
    /// Whether the knots of each yarn in turn stand in figures where a row ends.
    pub run_counts: bool,
    /// One for every row of the chart, top first.
    pub rows: Vec<ExpectedRow>,
    /// Header rows in words, in order; they have no place on the chart.
    pub header_rows: Vec<ExpectedRow>,
    /// Whether the sentences are drawn as text (else they are only spoken by the fields).
    pub written: bool,
    /// One for every yarn, palette order.
    pub key: Vec<ExpectedYarn>,
    /// Words that must stand on each chart sheet.
    pub sheet: SheetWords,
    /// Other words that must stand somewhere: amounts, cords, totals.
    pub lines: Vec<ExpectedLine>,
}

/// A row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExpectedRow {
    /// Number as printed.
    pub number: String,
    /// Name of its field.
    pub field: String,
    /// Its sentence as written, without mark-up; where it is nowhere written, as spoken; empty where it is too long for that.
    pub sentence: String,
    /// Its sentence as spoken by the field.
    pub spoken: String,
}

/// A yarn in the key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExpectedYarn {
    /// Its name.
    pub name: String,
    /// Its count of knots as printed.
    pub count: String,
}

/// Templates for the words over a sheet, with `{from}` and `{to}` or `{page}`; an empty template is not looked for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SheetWords {
    /// Columns of the sheet.
    pub columns: String,
    /// Rows of the sheet.
    pub rows: String,
    /// The page of the key, on a sheet without one.
    pub key_page: String,
}

/// Words that must stand in the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExpectedLine {
    /// What they are, for the message: "the length of navy to buy".
    pub what: String,
    /// The words on one line or running over into the next; spaces of any kind are equal.
    pub words: String,
    /// Words that must stand first on the same line (a yarn's name before its amount in a table); empty: anywhere.
    pub beside: String,
}
