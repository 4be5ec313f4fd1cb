//! Lists of letters with commas, semicolons or tabs between them.

use super::cells::{Filled, Found, MAX_SIDE, SheetCell, too_large};
use crate::diag::Diagnostic;

pub(super) fn read(bytes: &[u8]) -> Result<Found, Diagnostic> {
    let text = String::from_utf8_lossy(bytes);
    let text = text.trim_start_matches('\u{feff}');
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or("");
    let most = |separator: u8| first.bytes().filter(|b| *b == separator).count();
    let separator = [b',', b';', b'\t'].into_iter().max_by_key(|&b| (most(b), b == b',')).unwrap_or(b',');
    let mut lines =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).delimiter(separator).from_reader(text.as_bytes());
    let mut cells = Filled::new();
    for (row, line) in lines.records().enumerate() {
        let line = line.map_err(|e| {
            Diagnostic::fault("broken-sheet", format!("the list cannot be read: {e}")).hint("save it as CSV anew")
        })?;
        if row > MAX_SIDE || line.len() > MAX_SIDE {
            return Err(too_large(line.len(), row + 1));
        }
        for (column, text) in line.iter().enumerate() {
            let text = text.trim();
            if !text.is_empty() {
                cells.insert((row, column), SheetCell { fill: None, text: text.chars().take(40).collect() });
            }
        }
    }
    Ok(Found { cells, merged: Vec::new(), others: 0 })
}
