//! Cutting a chart into sheets: the fewest sheets, then the largest cells, on tens where that costs no sheet.
//!
//! Knows numbers of cells and room in points; draws nothing.

use crate::geom::Length;
use std::ops::Range;

/// What the planner is asked.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TileRequest {
    /// Columns of the chart.
    pub(crate) columns: usize,
    /// Rows of the chart.
    pub(crate) rows: usize,
    /// Width of a cell over its height.
    pub(crate) aspect: f64,
    /// Least height of a cell; where cells are wider than high the height is what is limited.
    pub(crate) least: Length,
    /// Greatest height of a cell.
    pub(crate) most: Length,
    /// Columns and rows shown again on the next sheet.
    pub(crate) repeat: usize,
}

/// Room for cells on one sheet, in one orientation.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Room {
    /// Across, without numbers and boxes.
    pub(crate) width: Length,
    /// Down, without key and numbers.
    pub(crate) height: Length,
    /// Whether the sheet lies on its side.
    pub(crate) turned: bool,
}

/// One sheet: what it shows and what of that is shown for the first time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct SheetCells {
    /// Columns shown, the repeated ones included.
    pub(crate) columns: Range<usize>,
    /// Rows shown, the repeated ones included.
    pub(crate) rows: Range<usize>,
    /// Repeated columns at the left.
    pub(crate) repeated_columns: usize,
    /// Repeated rows at the top.
    pub(crate) repeated_rows: usize,
    /// Place in the rank of sheets, from 0.
    pub(crate) across: usize,
    /// Which rank, from 0.
    pub(crate) down: usize,
}

impl SheetCells {
    /// A sheet that shows a whole chart.
    pub(crate) fn whole(columns: usize, rows: usize) -> SheetCells {
        SheetCells { columns: 0..columns, rows: 0..rows, repeated_columns: 0, repeated_rows: 0, across: 0, down: 0 }
    }
    /// Columns shown here for the first time.
    pub(crate) fn own_columns(&self) -> Range<usize> {
        self.columns.start + self.repeated_columns..self.columns.end
    }
    /// Rows shown here for the first time.
    pub(crate) fn own_rows(&self) -> Range<usize> {
        self.rows.start + self.repeated_rows..self.rows.end
    }
}

/// The whole cut.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct SheetPlan {
    /// Height of a cell.
    pub(crate) cell: Length,
    /// Whether sheets lie on their side.
    pub(crate) turned: bool,
    /// Sheets in working order: a whole rank from left to right, then the next. Some may be left out.
    pub(crate) sheets: Vec<SheetCells>,
    /// Sheets in a rank.
    pub(crate) across: usize,
    /// Ranks.
    pub(crate) down: usize,
}

impl SheetPlan {
    fn at(&self, across: Option<usize>, down: Option<usize>) -> Option<usize> {
        let (across, down) = (across?, down?);
        self.sheets.iter().position(|sheet| sheet.across == across && sheet.down == down)
    }
    /// The sheet to the left of one, by its place in [`SheetPlan::sheets`].
    pub(crate) fn left_of(&self, sheet: &SheetCells) -> Option<usize> {
        self.at(sheet.across.checked_sub(1), Some(sheet.down))
    }
    /// The sheet to the right of one.
    pub(crate) fn right_of(&self, sheet: &SheetCells) -> Option<usize> {
        self.at(Some(sheet.across + 1), Some(sheet.down))
    }
    /// The sheet above one.
    pub(crate) fn above(&self, sheet: &SheetCells) -> Option<usize> {
        self.at(Some(sheet.across), sheet.down.checked_sub(1))
    }
    /// The sheet below one.
    pub(crate) fn below(&self, sheet: &SheetCells) -> Option<usize> {
        self.at(Some(sheet.across), Some(sheet.down + 1))
    }
}

/// Cuts for the fewest sheets with the largest cells. Always succeeds: where not even one cell of the least size has
/// room, sheets of one cell are planned and the caller's frame test will say so.
pub(crate) fn plan(ask: TileRequest, rooms: &[Room]) -> SheetPlan {
    let mut best: Option<(usize, Length, SheetPlan)> = None;
    for room in rooms {
        let most_columns = ((room.width / (ask.least * ask.aspect)) + 1e-6).floor().max(1.0) as usize;
        let most_rows = ((room.height / ask.least) + 1e-6).floor().max(1.0) as usize;
        let again = (repeated(most_columns, ask.repeat), repeated(most_rows, ask.repeat));
        let column_cuts = cuts(ask.columns, most_columns, again.0);
        let row_cuts = cuts(ask.rows, most_rows, again.1);
        for columns in &column_cuts {
            for rows in &row_cuts {
                let plan = build(ask, *room, &parts(ask.columns, columns, again.0), &parts(ask.rows, rows, again.1));
                let count = plan.sheets.len();
                // Cuts on tens may cost a fifth of the cell, never a sheet.
                let tens = |cut: &[usize]| cut.iter().all(|c| c.is_multiple_of(10));
                let favour = if tens(columns) && tens(rows) { 1.25 } else { 1.0 };
                let merit = plan.cell * favour;
                let better = match &best {
                    None => true,
                    Some((fewest, highest, _)) => {
                        count < *fewest || (count == *fewest && !merit.fits(*highest + Length::pt(0.01)))
                    }
                };
                if better {
                    best = Some((count, merit, plan));
                }
            }
        }
    }
    best.map_or_else(
        || SheetPlan { cell: ask.least, turned: false, sheets: Vec::new(), across: 0, down: 0 },
        |(_, _, plan)| plan,
    )
}

/// How many are shown again where a sheet has room for `most`: where they would take a fifth of it or more, none.
fn repeated(most: usize, repeat: usize) -> usize {
    if most > repeat * 5 { repeat } else { 0 }
}

/// Places to cut `count` columns so that no part shows more than `most`, in the least number of parts: evenly, and on
/// tens where that fits as well. A cut is the first column of the next part.
fn cuts(count: usize, most: usize, repeat: usize) -> Vec<Vec<usize>> {
    let fresh = most - repeat;
    let parts = if count <= most { 1 } else { 1 + (count - most).div_ceil(fresh) };
    // Every part but the first also shows the repeated cells, so the first takes more of its own.
    let shown = count + repeat * (parts - 1);
    let (each, over) = (shown / parts, shown % parts);
    let mut even = Vec::with_capacity(parts - 1);
    let mut end = repeat;
    for part in 0..parts - 1 {
        end += each + usize::from(part < over) - repeat;
        even.push(end);
    }
    let mut out = vec![even];
    // The smallest parts that can be cut on tens, as few as before.
    let round = (shown.div_ceil(parts)..=most).find_map(|room| on_tens(count, room, repeat, parts));
    out.extend(round.filter(|cuts| *cuts != out[0]));
    out
}

/// Cuts on tens into so many parts that show at most `room`; `None` where there are none, or only with a sliver: a last
/// part less than half as large as another.
fn on_tens(count: usize, room: usize, repeat: usize, parts: usize) -> Option<Vec<usize>> {
    let mut cuts = Vec::with_capacity(parts);
    let (mut start, mut largest) = (0, 0);
    loop {
        let again = if start == 0 { 0 } else { repeat };
        if count - start + again <= room {
            break;
        }
        let end = room.checked_sub(again).map(|own| (start + own) / 10 * 10).filter(|end| *end > start)?;
        largest = largest.max(end - start);
        cuts.push(end);
        start = end;
        if cuts.len() >= parts {
            return None;
        }
    }
    (cuts.len() + 1 == parts && (count - start) * 2 >= largest).then_some(cuts)
}

fn build(ask: TileRequest, room: Room, columns: &[CellSpan], rows: &[CellSpan]) -> SheetPlan {
    let widest = columns.iter().map(|(range, _)| range.len()).max().unwrap_or(1);
    let highest = rows.iter().map(|(range, _)| range.len()).max().unwrap_or(1);
    let cell =
        (room.width / (widest as f64 * ask.aspect)).min(room.height / highest as f64).min(ask.most).max(ask.least);
    let mut sheets = Vec::with_capacity(columns.len() * rows.len());
    for (down, (row_range, repeated_rows)) in rows.iter().enumerate() {
        for (across, (column_range, repeated_columns)) in columns.iter().enumerate() {
            sheets.push(SheetCells {
                columns: column_range.clone(),
                rows: row_range.clone(),
                repeated_columns: *repeated_columns,
                repeated_rows: *repeated_rows,
                across,
                down,
            });
        }
    }
    // Hundredths of a millimetre are finer than any printer and keep the file's numbers short.
    let cell = Length::mm((cell.to_mm() * 100.0 + 1e-6).floor() / 100.0).max(ask.least);
    SheetPlan { cell, turned: room.turned, sheets, across: columns.len(), down: rows.len() }
}

/// Cells shown, and how many of them again.
type CellSpan = (Range<usize>, usize);

fn parts(count: usize, cuts: &[usize], repeat: usize) -> Vec<CellSpan> {
    let mut out = Vec::with_capacity(cuts.len() + 1);
    let mut start = 0;
    for end in cuts.iter().copied().chain([count]) {
        let again = if start == 0 { 0 } else { repeat.min(start) };
        out.push((start - again..end, again));
        start = end;
    }
    out
}

#[cfg(test)]
mod tests;
