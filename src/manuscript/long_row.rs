//! A row that takes minutes to say: each sheet's box says what begins on that sheet.

use crate::markup::filled;
use std::ops::Range;

/// What is said of a long row, stretch by stretch.
#[derive(Clone, Debug)]
pub(crate) struct LongRow {
    /// Runs and bare cords in working order.
    pub(crate) stretches: Vec<SpokenStretch>,
    /// With `{from}`, `{to}` and `{stretches}`.
    pub(crate) words: String,
    /// Where nothing begins on a sheet.
    pub(crate) goes_on: String,
    /// What parts two stretches.
    pub(crate) between: String,
}

/// One run, or bare cords beside one another.
#[derive(Clone, Debug)]
pub(crate) struct SpokenStretch {
    /// Its columns in working order, from 0: the first one worked and the last.
    pub(crate) columns: (usize, usize),
    /// "4 oat (link)".
    pub(crate) words: String,
    /// Whether no knot is tied there.
    pub(crate) is_bare: bool,
}

impl LongRow {
    /// What the box beside the row says on a sheet that is the first to show these columns.
    pub(crate) fn on_sheet(&self, own_columns: &Range<usize>) -> String {
        let begins = |stretch: &&SpokenStretch| own_columns.contains(&stretch.columns.0);
        let said: Vec<&SpokenStretch> = self.stretches.iter().filter(begins).collect();
        let (Some(first), Some(last)) = (said.first(), said.last()) else { return self.goes_on.clone() };
        let words: Vec<&str> = said.iter().map(|stretch| stretch.words.as_str()).collect();
        let column = |at: usize| (at + 1).to_string();
        filled(
            &self.words,
            &[
                ("from", column(first.columns.0)),
                ("to", column(last.columns.1)),
                ("stretches", words.join(&self.between)),
            ],
        )
    }
}
