//! Cutting a chart into sheets: the fewest sheets, then the largest cells, on tens where that costs no sheet.
//!
//! Knows numbers of cells and room in points; draws nothing.

use crate::geom::Length;
use std::ops::Range;

/// What the planner is asked.
#[derive(Clone, Copy, Debug)]
pub struct Ask {
    /// Columns of the chart.
    pub columns: usize,
    /// Rows of the chart.
    pub rows: usize,
    /// Width of a cell over its height.
    pub aspect: f64,
    /// Least height of a cell; where cells are wider than high the height is what is limited.
    pub least: Length,
    /// Greatest height of a cell.
    pub most: Length,
    /// Columns and rows shown again on the next sheet.
    pub repeat: usize,
}

/// Room for cells on one sheet, in one orientation.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    /// Across, without numbers and boxes.
    pub width: Length,
    /// Down, without key and numbers.
    pub height: Length,
    /// Whether the sheet lies on its side.
    pub turned: bool,
}

/// One sheet: what it shows and what of that is shown for the first time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// Columns shown, the repeated ones included.
    pub columns: Range<usize>,
    /// Rows shown, the repeated ones included.
    pub rows: Range<usize>,
    /// Repeated columns at the left.
    pub repeated_columns: usize,
    /// Repeated rows at the top.
    pub repeated_rows: usize,
    /// Place in the rank of sheets, from 0.
    pub across: usize,
    /// Which rank, from 0.
    pub down: usize,
}

/// The whole cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Height of a cell.
    pub cell: Length,
    /// Whether sheets lie on their side.
    pub turned: bool,
    /// Sheets in working order: a whole rank from left to right, then the next.
    pub sheets: Vec<Sheet>,
    /// Sheets in a rank.
    pub across: usize,
    /// Ranks.
    pub down: usize,
}

/// Cuts for the fewest sheets with the largest cells. Always succeeds: where not even one cell of the least size has
/// room, sheets of one cell are planned and the caller's frame test will say so.
pub fn plan(ask: Ask, rooms: &[Room]) -> Plan {
    let mut best: Option<(usize, Length, Plan)> = None;
    for room in rooms {
        let most_columns = ((room.width / (ask.least * ask.aspect)) + 1e-6).floor().max(1.0) as usize;
        let most_rows = ((room.height / ask.least) + 1e-6).floor().max(1.0) as usize;
        let column_cuts = cuts(ask.columns, most_columns, ask.repeat);
        let row_cuts = cuts(ask.rows, most_rows, ask.repeat);
        for columns in &column_cuts {
            for rows in &row_cuts {
                let plan = build(ask, *room, columns, rows);
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
        || Plan { cell: ask.least, turned: false, sheets: Vec::new(), across: 0, down: 0 },
        |(_, _, plan)| plan,
    )
}

/// Places to cut `count` columns so that no part shows more than `most`, in the least number of parts: evenly, and on
/// tens where that fits as well. A cut is the first column of the next part.
fn cuts(count: usize, most: usize, repeat: usize) -> Vec<Vec<usize>> {
    // With room for little more than the repeated cells there is no place to repeat them.
    let repeat = if most > repeat * 2 { repeat } else { 0 };
    let fresh = most - repeat;
    let parts = if count <= most { 1 } else { 1 + (count - most).div_ceil(fresh) };
    // Every part but the first also shows the repeated cells, so the first takes more of its own.
    let shown = (count + repeat * (parts - 1)).div_ceil(parts);
    let even: Vec<usize> = (1..parts).map(|i| i * (shown - repeat) + repeat).map(|c| c.min(count - 1)).collect();
    let round: Vec<usize> = even.iter().map(|c| (c + 5) / 10 * 10).collect();
    let fits = |cut: &[usize]| {
        let mut start = 0;
        let all = cut.iter().copied().chain([count]).enumerate().all(|(i, end)| {
            let again = if i == 0 { 0 } else { repeat };
            let good = end > start && end - start + again <= most && end <= count;
            start = end;
            good
        });
        all && cut.last().is_none_or(|c| count - c > repeat)
    };
    let mut out = vec![even.clone()];
    if round != even && fits(&round) {
        out.push(round);
    }
    out
}

fn build(ask: Ask, room: Room, column_cuts: &[usize], row_cuts: &[usize]) -> Plan {
    let columns = parts(ask.columns, column_cuts, ask.repeat);
    let rows = parts(ask.rows, row_cuts, ask.repeat);
    let widest = columns.iter().map(|(range, _)| range.len()).max().unwrap_or(1);
    let highest = rows.iter().map(|(range, _)| range.len()).max().unwrap_or(1);
    let cell =
        (room.width / (widest as f64 * ask.aspect)).min(room.height / highest as f64).min(ask.most).max(ask.least);
    let mut sheets = Vec::with_capacity(columns.len() * rows.len());
    for (down, (row_range, repeated_rows)) in rows.iter().enumerate() {
        for (across, (column_range, repeated_columns)) in columns.iter().enumerate() {
            sheets.push(Sheet {
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
    Plan { cell, turned: room.turned, sheets, across: columns.len(), down: rows.len() }
}

fn parts(count: usize, cuts: &[usize], repeat: usize) -> Vec<(Range<usize>, usize)> {
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
mod tests {
    use super::*;

    fn room(width_mm: f64, height_mm: f64, turned: bool) -> Room {
        Room { width: Length::mm(width_mm), height: Length::mm(height_mm), turned }
    }

    fn ask(columns: usize, rows: usize) -> Ask {
        Ask { columns, rows, aspect: 1.0, least: Length::mm(4.0), most: Length::mm(6.0), repeat: 2 }
    }

    #[test]
    fn a_chart_that_fits_takes_one_sheet_with_the_largest_cells() {
        let plan = plan(ask(30, 20), &[room(160.0, 220.0, false)]);
        assert_eq!(plan.sheets.len(), 1);
        assert!((plan.cell.to_mm() - 5.33).abs() < 0.005, "{}", plan.cell.to_mm());
    }

    #[test]
    fn every_cell_is_shown_and_no_sheet_is_wider_than_its_room() {
        let mut random = fastrand::Rng::with_seed(7);
        for _ in 0..2_000 {
            let (columns, rows) = (random.usize(1..400), random.usize(1..400));
            let rooms =
                [room(random.f64() * 200.0 + 30.0, 200.0, false), room(230.0, random.f64() * 120.0 + 30.0, true)];
            let plan = plan(ask(columns, rows), &rooms);
            let room = if plan.turned { rooms[1] } else { rooms[0] };
            let mut seen = vec![false; columns * rows];
            for sheet in &plan.sheets {
                assert!(Length::mm(4.0).fits(plan.cell));
                assert!((plan.cell * sheet.columns.len() as f64).fits(room.width));
                assert!((plan.cell * sheet.rows.len() as f64).fits(room.height));
                for row in sheet.rows.clone() {
                    for column in sheet.columns.clone() {
                        seen[row * columns + column] = true;
                    }
                }
            }
            assert!(seen.iter().all(|s| *s), "{columns} x {rows}");
        }
    }

    #[test]
    fn sheets_break_on_tens_where_it_costs_no_sheet() {
        let plan = plan(ask(70, 40), &[room(160.0, 200.0, false)]);
        assert_eq!(plan.across, 2);
        assert!(plan.sheets.iter().all(|s| (s.columns.start + s.repeated_columns).is_multiple_of(10)));
    }
}
