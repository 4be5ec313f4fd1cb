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
mod tests {
    use super::*;

    fn room(width_mm: f64, height_mm: f64, turned: bool) -> Room {
        Room { width: Length::mm(width_mm), height: Length::mm(height_mm), turned }
    }

    fn ask(columns: usize, rows: usize) -> TileRequest {
        TileRequest { columns, rows, aspect: 1.0, least: Length::mm(4.0), most: Length::mm(6.0), repeat: 2 }
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
            // Some have room for a single cell.
            let rooms = [room(random.f64() * 200.0 + 5.0, 200.0, false), room(230.0, random.f64() * 120.0 + 5.0, true)];
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
        // Own computation: at most 36 with two again, 30 and 60 leave 34 and the two; one column more would not fit.
        assert_eq!(cuts(94, 36, 2), [vec![33, 64], vec![30, 60]]);
        // 104 and twice two fill three parts to the last column, so no ten is free.
        assert_eq!(cuts(104, 36, 2), [vec![36, 70]]);
    }

    #[test]
    fn no_part_is_a_sliver() {
        for repeat in [0, 2, 5] {
            for most in repeat * 2 + 1..60 {
                for count in 1..300 {
                    for cut in cuts(count, most, repeat) {
                        let parts = parts(count, &cut, repeat);
                        let own: Vec<usize> = parts.iter().map(|(range, again)| range.len() - again).collect();
                        let (least, largest) = (own.iter().min().copied(), own.iter().max().copied());
                        let shown = |(range, _): &CellSpan| range.len();
                        assert!(parts.iter().map(shown).max() <= Some(most), "{count} {most} {repeat} {cut:?}");
                        // The first part has no repeated cells and so more of its own.
                        let fair = least.zip(largest).is_some_and(|(a, b)| a > 0 && (a + repeat) * 2 >= b);
                        assert!(fair, "{count} in parts of {most}, {repeat} again: {own:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn neighbours_are_found_and_a_sheet_that_is_left_out_is_none() {
        let mut plan = plan(ask(70, 90), &[room(160.0, 200.0, false)]);
        assert_eq!((plan.across, plan.down), (2, 2));
        let last = plan.sheets[3].clone();
        assert_eq!((plan.left_of(&last), plan.above(&last)), (Some(2), Some(1)));
        assert_eq!((plan.right_of(&last), plan.below(&last)), (None, None));
        assert_eq!(plan.below(&plan.sheets[0]), Some(2));
        plan.sheets.remove(1);
        assert_eq!((plan.left_of(&last), plan.above(&last)), (Some(1), None));
    }

    #[test]
    fn the_room_that_takes_fewer_sheets_wins_and_then_the_one_with_larger_cells() {
        let rooms = [room(160.0, 220.0, false), room(250.0, 150.0, true)];
        // Own computation: 40 columns of 4 mm upright, 62 on its side; 250 / 60 mm, down to hundredths.
        let wide = plan(ask(60, 20), &rooms);
        assert_eq!((wide.turned, wide.sheets.len(), wide.cell), (true, 1, Length::mm(4.16)));
        // 220 / 40 mm upright; on its side there is room for 37 rows.
        let high = plan(ask(20, 40), &rooms);
        assert_eq!((high.turned, high.sheets.len(), high.cell), (false, 1, Length::mm(5.5)));
        assert_eq!(plan(ask(20, 40), &[rooms[1], rooms[0]]), high);
        // Both have room for the largest cells: the first stays.
        assert!(!plan(ask(10, 10), &rooms).turned);
        assert_eq!(plan(ask(10, 10), &rooms).cell, Length::mm(6.0));
        // No room for a cell of the least size: one a sheet.
        let none = plan(ask(2, 1), &[room(3.0, 3.0, false)]);
        assert_eq!((none.sheets.len(), none.across, none.down, none.cell), (2, 2, 1, Length::mm(4.0)));
    }

    #[test]
    fn cells_are_as_wide_for_their_height_as_they_were_asked_for() {
        let wide = TileRequest { aspect: 2.0, most: Length::mm(20.0), ..ask(10, 10) };
        // Own computation: 160 / (10 x 2) mm; of 8 mm each 20 columns, so 21 take two sheets.
        assert_eq!(plan(wide, &[room(160.0, 220.0, false)]).cell, Length::mm(8.0));
        assert_eq!(plan(TileRequest { columns: 20, ..wide }, &[room(160.0, 220.0, false)]).sheets.len(), 1);
        assert_eq!(plan(TileRequest { columns: 21, ..wide }, &[room(160.0, 220.0, false)]).sheets.len(), 2);
    }

    #[test]
    fn what_is_shown_again_is_shown_before_the_own_cells() {
        // Own computation: 40 columns a sheet; 70 and two again are 36 and 36, on tens 40 and 30 and the two.
        let plan = plan(ask(70, 5), &[room(160.0, 200.0, false)]);
        let shown: Vec<_> =
            plan.sheets.iter().map(|s| (s.columns.clone(), s.own_columns(), s.repeated_columns)).collect();
        assert_eq!(shown, [(0..40, 0..40, 0), (38..70, 40..70, 2)]);
        assert_eq!(plan.cell, Length::mm(4.0));
        let down = super::plan(ask(5, 90), &[room(160.0, 200.0, false)]);
        let shown: Vec<_> = down.sheets.iter().map(|s| (s.rows.clone(), s.own_rows(), s.repeated_rows)).collect();
        assert_eq!(shown, [(0..50, 0..50, 0), (48..90, 50..90, 2)]);
        // Two of ten are a fifth; of eleven they are less.
        assert_eq!((repeated(10, 2), repeated(11, 2), repeated(3, 0)), (0, 2, 0));
    }

    #[test]
    fn parts_are_even_or_on_tens() {
        // Own computation: three parts show 100 + 2 + 2: 35, 35 and 34; on tens 40, 30 + 2 and 30 + 2.
        assert_eq!(cuts(100, 40, 2), [vec![35, 68], vec![40, 70]]);
        assert_eq!(parts(100, &[35, 68], 2), [(0..35, 0), (33..68, 2), (66..100, 2)]);
        assert_eq!(cuts(40, 40, 2), [Vec::<usize>::new()]);
        assert_eq!(cuts(41, 40, 2), [vec![22], vec![20]]);
        assert_eq!(cuts(80, 40, 0), [vec![40]]);
        // A last part of one is less than half of another.
        assert_eq!(on_tens(41, 40, 0, 2), None);
        assert_eq!(on_tens(60, 40, 0, 2), Some(vec![40]));
        assert_eq!(on_tens(59, 40, 0, 2), None);
        // More parts than were asked for, and fewer.
        assert_eq!((on_tens(90, 40, 0, 2), on_tens(40, 40, 0, 2)), (None, None));
    }
}
