//! Names of ranges of rows and columns as they are printed.

use crate::compose::tile::SheetCells;
use crate::manuscript::{ChartBlock, ChartWords};
use crate::markup::filled;
use std::ops::Range;

/// The name of a stretch of rows: "Rows 21 to 40", "Row 21".
pub(crate) fn stretch_title(words: &ChartWords, rows: &Range<usize>) -> String {
    range_title(&words.rows, &words.one_row, rows)
}

/// The numbers of the first and the last of a range as printed, for templates with `{from}` and `{to}`.
pub(crate) fn range_words(range: &Range<usize>) -> [(&'static str, String); 2] {
    [("from", (range.start + 1).to_string()), ("to", range.end.to_string())]
}

/// The name of a range of rows or columns, or of one of them alone.
fn range_title(several: &str, alone: &str, range: &Range<usize>) -> String {
    filled(if range.len() == 1 { alone } else { several }, &range_words(range))
}

/// The columns and rows of a sheet on one line.
pub(crate) fn range_line(block: &ChartBlock, sheet: &SheetCells) -> String {
    range_words_of(block, sheet, "  ·  ")
}

/// The columns and rows of a sheet, with something between them.
pub(crate) fn range_words_of(block: &ChartBlock, sheet: &SheetCells, between: &str) -> String {
    ranges_of(block, sheet).join(between)
}

/// The columns of a sheet, and its rows.
pub(crate) fn ranges_of(block: &ChartBlock, sheet: &SheetCells) -> [String; 2] {
    let words = &block.words;
    [
        range_title(&words.columns, &words.one_column, &sheet.columns),
        range_title(&words.rows, &words.one_row, &sheet.rows),
    ]
}
