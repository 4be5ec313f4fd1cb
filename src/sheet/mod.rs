//! A spreadsheet as a chart: cells that are filled with colours or hold letters.
//!
//! In: the bytes of an .xlsx file or of a CSV list, and which cells are meant. Out: a [`Sheet`]: for every cell its fill and
//! its letter. A leaf: what the colours and letters stand for is the reader's business.

mod cells;
mod colours;
mod csv_list;
mod workbook;
mod zip;

use crate::diag::Diagnostic;
use cells::{Filled, Found, MAX_SIDE, too_large};

pub(crate) use cells::{Range, SheetCell};

/// How the names of sheets end.
pub(crate) const EXTENSIONS: [&str; 2] = [".xlsx", ".csv"];

/// A part of a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Sheet {
    /// Across.
    pub(crate) columns: usize,
    /// Down.
    pub(crate) rows: usize,
    /// In reading order.
    pub(crate) cells: Vec<SheetCell>,
    /// Ranges of merged cells inside, each taken as so many cells alike.
    pub(crate) merged: usize,
    /// The range it is: "B2:AO60".
    pub(crate) range: String,
    /// Whether there are other sheets in the file, and the name of this one.
    pub(crate) others: usize,
}

/// Whether these bytes or this name are of a sheet that is read here.
pub(crate) fn is_sheet(name: &str, bytes: &[u8]) -> bool {
    let name = name.to_lowercase();
    EXTENSIONS.iter().any(|ending| name.ends_with(ending)) || bytes.starts_with(b"PK\x03\x04")
}

/// Reads a sheet. `range`: of this part alone; without it, of all cells with something in them. The diagnostic has no span.
///
/// # Errors
/// A file that cannot be read, is too large, or has nothing in it.
pub(crate) fn read(bytes: &[u8], range: Option<Range>) -> Result<Sheet, Diagnostic> {
    let mut found = if bytes.starts_with(b"PK\x03\x04") { workbook::read(bytes)? } else { csv_list::read(bytes)? };
    spread(&mut found)?;
    let part = match range {
        Some(range) => range,
        None => used(&found.cells).ok_or_else(|| {
            Diagnostic::fault("empty-sheet", "no cell of the sheet is filled or holds a letter")
                .hint("fill one cell for each knot with its colour, or write its yarn's letter")
        })?,
    };
    let (columns, rows) = (part.right - part.left + 1, part.bottom - part.top + 1);
    if columns > MAX_SIDE || rows > MAX_SIDE {
        return Err(too_large(columns, rows));
    }
    let at = |row: usize, column: usize| found.cells.get(&(row, column)).cloned().unwrap_or_default();
    let cells = (part.top..=part.bottom).flat_map(|row| (part.left..=part.right).map(move |c| (row, c)));
    let inside = |merged: &&Range| {
        merged.left <= part.right && merged.right >= part.left && merged.top <= part.bottom && merged.bottom >= part.top
    };
    Ok(Sheet {
        columns,
        rows,
        cells: cells.map(|(row, column)| at(row, column)).collect(),
        merged: found.merged.iter().filter(inside).count(),
        range: part.to_string(),
        others: found.others,
    })
}

/// Every cell of a merged range is as its first one.
fn spread(found: &mut Found) -> Result<(), Diagnostic> {
    let all: usize = found.merged.iter().map(|m| (m.right - m.left + 1).saturating_mul(m.bottom - m.top + 1)).sum();
    if all > MAX_SIDE * MAX_SIDE {
        return Err(Diagnostic::fault("chart-too-large", "more cells are merged than a chart has"));
    }
    for merged in &found.merged {
        let Some(first) = found.cells.get(&(merged.top, merged.left)).cloned() else { continue };
        for row in merged.top..=merged.bottom {
            for column in merged.left..=merged.right {
                found.cells.insert((row, column), first.clone());
            }
        }
    }
    Ok(())
}

/// The box around all cells with something in them.
fn used(cells: &Filled) -> Option<Range> {
    let top = cells.keys().next()?.0;
    let bottom = cells.keys().next_back()?.0;
    let columns = || cells.keys().map(|(_, column)| *column);
    Some(Range { left: columns().min()?, top, right: columns().max()?, bottom })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_of_letters_is_a_sheet() {
        for text in ["A,B,A\n.,B,A\n", "A;B;A\r\n.;B;A\r\n", "A\tB\tA\n.\tB\tA", "\u{feff}A,B,A\n.,B,A\n"] {
            let sheet = read(text.as_bytes(), None).expect("a sheet");
            let letters: String = sheet.cells.iter().map(|cell| cell.text.as_str()).collect();
            assert_eq!((sheet.columns, sheet.rows, letters.as_str()), (3, 2, "ABA.BA"), "{text:?}");
        }
        assert_eq!(read(b",,\n,,\n", None).map_err(|d| d.id), Err("empty-sheet"));
    }
}
