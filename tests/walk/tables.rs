//! Tables: rows of one length, heads for every value, no head without something to head.

use super::Walk;
use super::structure::Element;

impl Walk<'_> {
    pub(super) fn table(&mut self, table: &Element) {
        let rows: Vec<Vec<&Element>> =
            table.elements().filter(|row| row.role == "TR").map(|row| row.elements().collect()).collect();
        let widths: Vec<usize> = rows.iter().map(Vec::len).collect();
        let even = widths.first().is_some_and(|first| *first > 0 && widths.iter().all(|width| width == first));
        self.out.check(even, "table-grid", format!("{widths:?}"));
        let heads = |role: &str, cell: &Element| cell.role == "TH" && (cell.scope == role || cell.scope == "Both");
        for (at, row) in rows.iter().enumerate() {
            for (column, cell) in row.iter().enumerate() {
                if cell.role == "TD" {
                    let above = rows[..at].iter().filter_map(|row| row.get(column)).any(|cell| heads("Column", cell));
                    let left = row[..column].iter().any(|cell| heads("Row", cell));
                    self.out.check(above || left, "table-heads", format!("nothing heads `{}`", cell.words()));
                } else if cell.role == "TH" {
                    let below = rows[at + 1..].iter().any(|row| row.get(column).is_some());
                    let right = row.len() > column + 1;
                    let used = heads("Column", cell) && below || heads("Row", cell) && right;
                    self.out.check(used, "table-heads", format!("`{}` heads nothing", cell.words()));
                }
            }
        }
    }
}
