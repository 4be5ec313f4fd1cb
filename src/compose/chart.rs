//! One chart sheet: title, key with counts, sheet finder, the grid, and beside every row its number, arrow and box.
//!
//! What stands where is the same on every sheet, so that a reader (and `proof`) finds it again: `room` says how much room
//! each thing takes, `arrange` cuts the sheets by that, `sheets` knows them all, and the other files draw.

mod arrange;
mod beside;
mod grid;
mod head;
mod key;
mod legend;
mod marks;
mod measure;
mod notes;
mod ranges;
mod room;
mod sheets;
#[cfg(test)]
mod tests;

pub(crate) use ranges::stretch_title;
pub(crate) use sheets::{ChartSheets, Folios};

use super::setter::Setter;
use super::tile::SheetCells;
use crate::markup::filled;
use crate::page::{NodeId, PlacedItem, Role, Structure};
use ranges::range_words;
use sheets::SheetOnPage;

/// Draws sheet `index`: its own items, and those that later sheets only show again, all alike. The structure nodes are
/// added under `section`.
pub(crate) fn draw(
    sheets: &ChartSheets,
    index: usize,
    setter: &Setter,
    folios: &dyn Folios,
    structure: &mut Structure,
    section: NodeId,
) -> (Vec<PlacedItem>, Vec<PlacedItem>) {
    let sheet = &sheets.plan.sheets[index];
    let (_, area) = sheets.page();
    let grid = sheets.grid_area(sheet, area, setter);
    let (mut out, mut again) = (Vec::new(), Vec::new());
    sheets.title_and_range(sheet, index, area, setter, structure, section, &mut out);
    match sheets.says_key(index) {
        true => sheets.key_and_legend(area, setter, structure, Some(section), &mut out),
        false => sheets.key_and_legend(area, setter, structure, None, &mut again),
    }
    sheets.finder(index, area, setter, &mut out);
    sheets.notes(sheet, area, setter, folios, structure, section, &mut out);
    sheets.goes_on(sheet, grid, setter, folios, structure, section, &mut out);

    let figure = structure.add(Role::Figure, Some(section));
    structure.get_mut(figure).alt = Some(alt(sheets, sheet, index));
    let page = SheetOnPage { sheet, grid, setter, section, figure };
    // One kind of thing after another, so that equal ones are drawn together.
    sheets.bands(&page, &mut out);
    sheets.cells(&page, &mut out);
    sheets.lines(&page, &mut out);
    sheets.cell_marks(&page, &mut out);
    sheets.column_numbers(&page, &mut out);
    sheets.row_numbers(&page, &mut out);
    sheets.run_counts(&page, &mut out);
    sheets.arrows(&page, &mut out);
    sheets.boxes(&page, structure, &mut out);
    (out, again)
}

/// Words instead of the figure.
fn alt(sheets: &ChartSheets, sheet: &SheetCells, index: usize) -> String {
    let [from_column, to_column] = range_words(&sheet.columns);
    let [from_row, to_row] = range_words(&sheet.rows);
    // The rows of a sheet that says none are said on the first one of its rank.
    let is_silent = sheets.boxes_say_rows() && !sheet.rows.clone().any(|row| sheets.is_said_on(sheet, row));
    let first = sheets.first_of_rank(sheet.down).map_or(index, |(first, _)| first);
    filled(
        if is_silent { &sheets.block.words.alt_again } else { &sheets.block.words.alt },
        &[
            ("first", (first + 1).to_string()),
            ("sheet", (index + 1).to_string()),
            ("sheets", sheets.plan.sheets.len().to_string()),
            ("yarns", sheets.block.words.yarns.clone()),
            // Heard once; the other sheets show more of the same.
            ("picture", if index == 0 { sheets.block.words.picture.clone() } else { String::new() }),
            ("from_column", from_column.1),
            ("to_column", to_column.1),
            ("from_row", from_row.1),
            ("to_row", to_row.1),
        ],
    )
}
