//! Cells of a sheet, their places, and what a reader of one format finds.

use crate::colour::Colour;
use crate::diag::Diagnostic;

/// Most columns and rows that are read.
pub(super) const MAX_SIDE: usize = 2_000;

/// One cell.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct SheetCell {
    /// The colour that it is filled with; `None`: not filled.
    pub(crate) fill: Option<Colour>,
    /// What is written in it, without spaces around.
    pub(crate) text: String,
}

/// Columns and rows from 0, both ends included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Range {
    /// First column.
    pub(crate) left: usize,
    /// First row.
    pub(crate) top: usize,
    /// Last column.
    pub(crate) right: usize,
    /// Last row.
    pub(crate) bottom: usize,
}

impl Range {
    /// From "B2:AO60", in capitals or small letters.
    pub(crate) fn read(text: &str) -> Option<Range> {
        let (from, to) = text.trim().split_once(':')?;
        let ((left, top), (right, bottom)) = (place(from)?, place(to)?);
        (left <= right && top <= bottom).then_some(Range { left, top, right, bottom })
    }

    /// Whether both have a cell in common.
    pub(super) fn meets(self, other: Range) -> bool {
        self.left <= other.right && self.right >= other.left && self.top <= other.bottom && self.bottom >= other.top
    }
}

impl std::fmt::Display for Range {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}:{}{}", letters(self.left), self.top + 1, letters(self.right), self.bottom + 1)
    }
}

/// Column and row of "AO60", from 0.
pub(super) fn place(text: &str) -> Option<(usize, usize)> {
    let text = text.trim().replace('$', "");
    let digits = text.find(|c: char| c.is_ascii_digit())?;
    let (letters, number) = text.split_at(digits);
    let column = letters.chars().try_fold(0_usize, |sum, c| {
        let c = c.to_ascii_uppercase();
        (c.is_ascii_uppercase() && sum < 1_000_000).then(|| sum * 26 + (c as usize - 'A' as usize) + 1)
    })?;
    let row: usize = number.parse().ok()?;
    (column > 0 && (1..=10_000_000).contains(&row)).then(|| (column - 1, row - 1))
}

fn letters(mut column: usize) -> String {
    let mut out = Vec::new();
    loop {
        out.push(b'A' + (column % 26) as u8);
        match (column / 26).checked_sub(1) {
            Some(more) => column = more,
            None => break,
        }
    }
    out.iter().rev().map(|b| *b as char).collect()
}

/// Cells with something in them, by row and column.
pub(super) type Filled = std::collections::BTreeMap<(usize, usize), SheetCell>;

/// What a reader of one format found.
pub(super) struct Found {
    pub(super) cells: Filled,
    pub(super) merged: Vec<Range>,
    pub(super) others: usize,
}

/// Keeps a cell if there is something in it; no more of them than a chart has.
pub(super) fn keep(cells: &mut Filled, (row, column): (usize, usize), cell: SheetCell) -> Result<(), Diagnostic> {
    if cell.fill.is_some() || !cell.text.is_empty() {
        cells.insert((row, column), cell);
    }
    if cells.len() > MAX_SIDE * MAX_SIDE { Err(too_large(column + 1, row + 1)) } else { Ok(()) }
}

pub(super) fn too_large(columns: usize, rows: usize) -> Diagnostic {
    Diagnostic::fault("chart-too-large", format!("the sheet's part is {columns} x {rows} cells large"))
        .hint(format!("at most {MAX_SIDE} x {MAX_SIDE} are read; name the part that is the chart, such as B2:AO60"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_read_and_written_as_spreadsheets_do() {
        assert_eq!(place("A1"), Some((0, 0)));
        assert_eq!(place("ao60"), Some((40, 59)));
        assert_eq!(place("$AA$10"), Some((26, 9)));
        assert_eq!(Range::read("B2:AO60").map(|r| r.to_string()).as_deref(), Some("B2:AO60"));
        for wrong in ["", "B2", "2B:3C", "C3:B2", "A0:B1", ":", "ZZZZZZZZZ1:A2"] {
            assert_eq!(Range::read(wrong), None, "{wrong}");
        }
    }
}
