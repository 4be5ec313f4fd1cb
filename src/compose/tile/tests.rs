//! How charts are cut into sheets, in numbers of cells and room.

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
    let shown: Vec<_> = plan.sheets.iter().map(|s| (s.columns.clone(), s.own_columns(), s.repeated_columns)).collect();
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
#[test]
fn both_ways_are_cut_on_tens_or_neither() {
    let ask = TileRequest { repeat: 0, ..ask(70, 90) };
    // Own computation: 40 by 50 cells of 4 mm. Even cuts are 35 and 45, cells of 4.44 mm, which is less than a quarter more.
    let cut = plan(ask, &[room(160.0, 200.0, false)]);
    let own: Vec<_> = cut.sheets.iter().map(|sheet| (sheet.columns.clone(), sheet.rows.clone())).collect();
    assert_eq!(own, [(0..40, 0..50), (40..70, 0..50), (0..40, 50..90), (40..70, 50..90)]);
    // 55 rows have no cut on tens that leaves no sliver in 53: 50 and 5, but 30 and 25 do.
    let other = plan(TileRequest { rows: 55, ..ask }, &[room(160.0, 212.0, false)]);
    let starts: Vec<_> = other.sheets.iter().map(|sheet| (sheet.columns.start, sheet.rows.start)).collect();
    assert_eq!(starts, [(0, 0), (40, 0), (0, 30), (40, 30)]);
    // Ten and seven will do; ten and four will not.
    assert_eq!(on_tens(17, 16, 0, 2), Some(vec![10]));
    assert_eq!(on_tens(14, 13, 0, 2), None);
}

#[test]
fn without_a_room_there_is_no_sheet_and_a_least_size_is_kept_to_the_last_digit() {
    let none = plan(ask(5, 5), &[]);
    assert_eq!((none.sheets.len(), none.across, none.down, none.cell, none.turned), (0, 0, 0, Length::mm(4.0), false));
    let least = Length::mm(4.567);
    let exact = plan(TileRequest { least, ..ask(10, 10) }, &[room(45.67, 45.67, false)]);
    assert_eq!((exact.sheets.len(), exact.cell), (1, least));
    // A hair less and a column goes to a sheet of its own.
    assert_eq!(plan(TileRequest { least, ..ask(10, 10) }, &[room(45.66, 45.67, false)]).across, 2);
}

#[test]
fn cuts_on_tens_go_as_far_as_the_room_and_no_more_is_shown_again_than_there_is() {
    assert_eq!(on_tens(94, 36, 2, 3), Some(vec![30, 60]));
    // 30 of its own and two again are 32; with 31 the second part ends after 20.
    assert_eq!(on_tens(82, 32, 2, 3), Some(vec![30, 60]));
    assert_eq!(on_tens(82, 31, 2, 3), None);
    assert_eq!((on_tens(80, 31, 2, 4), on_tens(85, 31, 2, 4)), (None, Some(vec![30, 50, 70])));
    // The last part shows what is left and two again.
    assert_eq!((on_tens(62, 32, 2, 2), on_tens(60, 32, 2, 2)), (None, Some(vec![30])));
    // In two parts of thirty and one of fourteen the last is a sliver, of fifteen it is none.
    assert_eq!((on_tens(74, 30, 0, 3), on_tens(75, 30, 0, 3)), (None, Some(vec![30, 60])));
    assert_eq!(on_tens(50, 9, 0, 6), None);
    assert_eq!(parts(10, &[1, 6], 2), [(0..1, 0), (0..6, 1), (4..10, 2)]);
}
