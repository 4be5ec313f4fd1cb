//! A spreadsheet as a chart: cells that are filled with colours or hold letters.
//!
//! In: the bytes of an .xlsx or .ods file or of a CSV list, and which cells are meant. Out: a [`Sheet`]: for every cell its fill and
//! its letter. A leaf: what the colours and letters stand for is the reader's business.

mod cells;
mod colours;
mod csv_list;
mod opendocument;
mod steps;
mod workbook;
mod zip;

use crate::diag::Diagnostic;
use cells::{Filled, Found, MAX_SIDE, too_large};
use zip::Archive;

pub(crate) use cells::{Range, SheetCell};

/// How the names of sheets end.
pub(crate) const EXTENSIONS: [&str; 3] = [".xlsx", ".ods", ".csv"];

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
    let mut found = if bytes.starts_with(b"PK\x03\x04") {
        let archive = Archive::open(bytes)?;
        let is_opendocument = archive.has(opendocument::CONTENT);
        if is_opendocument { opendocument::read(&archive, range)? } else { workbook::read(&archive)? }
    } else {
        csv_list::read(bytes)?
    };
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
    Ok(Sheet {
        columns,
        rows,
        cells: cells.map(|(row, column)| at(row, column)).collect(),
        merged: found.merged.iter().filter(|merged| merged.meets(part)).count(),
        range: part.to_string(),
        others: found.others,
    })
}

/// Every cell of a merged range is as its first one.
fn spread(found: &mut Found) -> Result<(), Diagnostic> {
    let area = |m: &Range| (m.right - m.left + 1).saturating_mul(m.bottom - m.top + 1);
    let all = found.merged.iter().map(area).fold(0, usize::saturating_add);
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
    use crate::colour::Colour;

    const FILLED: [(&str, &[u8]); 2] = [
        ("xlsx", include_bytes!("../../tests/data/sheets/fills.xlsx")),
        ("ods", include_bytes!("../../tests/data/sheets/fills.ods")),
    ];
    const LETTERED: [(&str, &[u8]); 2] = [
        ("xlsx", include_bytes!("../../tests/data/sheets/letters.xlsx")),
        ("ods", include_bytes!("../../tests/data/sheets/letters.ods")),
    ];

    /// Fills by their letters. The theme's first accent is #4f81bd; lighter by 40 and 80 of a hundred and darker by 25 it is
    /// shown as #95b3d7, #dce6f1 and #366092 by the programs that write such files (their palettes, from memory), which differ
    /// by a level.
    const COLOURS: [(char, Colour); 6] = [
        ('A', Colour::new(0x8a, 0x5a, 0x2b)),
        ('B', Colour::new(0x95, 0xb3, 0xd7)),
        ('C', Colour::new(0xff, 0x00, 0x00)),
        ('D', Colour::new(0x36, 0x60, 0x92)),
        ('E', Colour::new(0xdc, 0xe6, 0xf1)),
        ('F', Colour::new(0x4f, 0x81, 0xbd)),
    ];

    /// The fills of a row, a letter each.
    fn fills(sheet: &Sheet, row: usize) -> String {
        let letter = |cell: &SheetCell| {
            let Some(fill) = cell.fill else { return '.' };
            let near =
                |of: &Colour| [(fill.r, of.r), (fill.g, of.g), (fill.b, of.b)].iter().all(|(a, b)| a.abs_diff(*b) <= 1);
            COLOURS.iter().find(|(_, colour)| near(colour)).map_or('?', |(letter, _)| *letter)
        };
        sheet.cells[row * sheet.columns..][..sheet.columns].iter().map(letter).collect()
    }

    #[test]
    fn files_of_other_writers_are_read_cell_for_cell() {
        for (kind, bytes) in FILLED {
            let sheet = read(bytes, None).unwrap_or_else(|fault| panic!("{kind}: {}", fault.message));
            let rows: Vec<String> = (0..sheet.rows).map(|row| fills(&sheet, row)).collect();
            assert_eq!(rows, ["ABCABC", "AABBCC", ".ABCD.", "DDDDDD", "EEFFAA"], "{kind}");
            assert_eq!((sheet.range.as_str(), sheet.merged, sheet.others), ("B2:G6", 1, 2), "{kind}");
            assert!(sheet.cells.iter().all(|cell| cell.text.is_empty()), "{kind}: a comment is no letter");
            let part = read(bytes, Range::read("C2:E4")).unwrap_or_else(|fault| panic!("{kind}: {}", fault.message));
            let rows: Vec<String> = (0..part.rows).map(|row| fills(&part, row)).collect();
            assert_eq!(rows, ["BCA", "ABB", "ABC"], "{kind}");
            // What was merged begins outside.
            let part = read(bytes, Range::read("D5:G6")).unwrap_or_else(|fault| panic!("{kind}: {}", fault.message));
            let rows: Vec<String> = (0..part.rows).map(|row| fills(&part, row)).collect();
            assert_eq!((rows, part.merged), (vec!["DDDD".to_owned(), "FFAA".to_owned()], 1), "{kind}");
        }
        for (kind, bytes) in LETTERED {
            let sheet = read(bytes, None).unwrap_or_else(|fault| panic!("{kind}: {}", fault.message));
            let texts: Vec<&str> = sheet.cells.iter().map(|cell| cell.text.as_str()).collect();
            assert_eq!(texts, ["k", "1", "k", "2", "k", "k", "1", "2", "2", "", "k", ""], "{kind}");
            assert_eq!(sheet.range, "D3:G5", "{kind}");
        }
    }

    #[test]
    fn a_file_that_is_cut_off_or_changed_anywhere_is_told_or_read_and_never_worse() {
        for (kind, bytes) in FILLED.into_iter().chain(LETTERED) {
            for at in (0..bytes.len()).step_by(7) {
                assert!(read(&bytes[..at], None).is_err(), "{kind} cut at {at}");
                let mut changed = bytes.to_vec();
                changed[at] ^= 0x55;
                let _read_or_told = read(&changed, None);
            }
        }
    }

    #[test]
    fn more_merged_cells_than_can_be_counted_are_told() {
        let range = Range { left: 0, top: 0, right: usize::MAX - 1, bottom: 1 };
        let mut found = Found { cells: Filled::new(), merged: vec![range; 3], others: 0 };
        assert_eq!(spread(&mut found).map_err(|fault| fault.id), Err("chart-too-large"));
    }

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
