//! How much room things have on a sheet, and how its cells are made as large as they can be.

use super::drawn::{assert_near, assert_rect, large, plain, sheet};
use super::*;
use crate::catalogue::SectionName;
use crate::compose::setter::Landmark;
use crate::geom::Rect;
use std::collections::BTreeMap;

fn mm(length: f64) -> Length {
    Length::mm(length)
}

#[test]
fn a_sheet_is_the_paper_without_its_margins_head_and_folio() {
    let area = |running_head, folio, turned| {
        let edition = edition(|edition| (edition.running_head, edition.folio) = (running_head, folio));
        sheet_area(&edition, turned)
    };
    // Own computation: A5, 8 mm of margin; a head of 5 mm; the folio's 9 pt by 0.75 are more than the 3 mm that, with two
    // millimetres of air, make five.
    let look = edition(|_| {});
    let foot = mm(5.0).max(look.look.style(StyleName::Folio).size * 0.75 + mm(2.0));
    assert_rect(area(false, false, false), Rect::new(mm(8.0), mm(8.0), mm(132.0), mm(194.0)));
    assert_rect(area(false, false, true), Rect::new(mm(8.0), mm(8.0), mm(194.0), mm(132.0)));
    assert_rect(area(true, false, false), Rect::new(mm(8.0), mm(13.0), mm(132.0), mm(189.0)));
    assert_rect(area(false, true, false), Rect::new(mm(8.0), mm(8.0), mm(132.0), mm(194.0) - foot));
    assert_rect(area(true, true, true), Rect::new(mm(8.0), mm(13.0), mm(194.0), mm(127.0) - foot));
    // A folio of 18 pt takes 13.5 pt and two millimetres.
    let large = large(|edition| edition.running_head = false);
    let margin = large.paper.chart_margin;
    let high = large.paper.size.height - margin * 2.0 - Length::pt(13.5) - mm(2.0);
    assert_near(sheet_area(&large, false).size.height, high);
}

/// Whether all on the sheets keeps within the area, and whether cells a hundredth of a millimetre higher would not.
#[track_caller]
fn fills_its_sheets(chart: &ChartBlock, edition: &Edition) -> bool {
    let plan = arrange(chart, edition).plan;
    let mut is_full = false;
    for index in 0..plan.sheets.len() {
        is_full |= sheet(chart, edition, index, |drawn, sheets, setter| {
            let (area, grid) = (drawn.area, drawn.grid);
            let gutter = sheets.beside.gutter();
            let has_room = |left: Length, bottom: Length| area.left().fits(left - gutter) && bottom.fits(area.bottom());
            assert!(has_room(grid.left() - Length::pt(-0.001), grid.bottom() + strip(setter) - Length::pt(0.001)));
            assert_near((grid.left() + grid.right()) / 2.0, area.centre().x);
            let notes = setter.style(StyleName::SheetNote).leading * sheets.head.note_scale * sheets.note_lines as f64;
            assert_near(grid.top(), area.top() + sheets.head.height + notes + strip(setter));
            let more = mm(0.0101);
            let wider = more * (sheets.aspect * drawn.sheet.columns.len() as f64 / 2.0);
            !has_room(grid.left() - wider, grid.bottom() + strip(setter) + more * drawn.sheet.rows.len() as f64)
        });
    }
    is_full
}

#[test]
fn cells_are_as_large_as_the_sheets_let_them() {
    for (columns, rows) in [(20, 30), (34, 20), (50, 80), (90, 40)] {
        for aspect in [1.0, 1.4, 0.7] {
            let chart = block(columns, rows, aspect);
            for change in [
                |_: &mut Edition| {},
                |edition: &mut Edition| (edition.chart.run_counts, edition.chart.may_turn) = (false, false),
                |edition: &mut Edition| (edition.chart.cells, edition.chart.repeat) = (CellShape::True, 0),
            ] {
                let edition = edition(|edition| {
                    edition.chart.most_cell = mm(40.0);
                    change(edition);
                });
                assert!(fills_its_sheets(&chart, &edition), "{columns} x {rows} of {aspect}");
            }
        }
    }
    let chart = block(18, 30, 1.0);
    let large = large(|edition| edition.chart.most_cell = mm(60.0));
    assert!(fills_its_sheets(&chart, &large));
}

#[test]
fn cells_narrower_than_usual_are_no_price_for_their_proportions() {
    let (mut taken, mut kept) = (0, 0);
    for rows in (56..104).step_by(4) {
        let chart = block(30, rows, 0.75);
        let of = |cells: CellShape| {
            let change = |edition: &mut Edition| {
                (edition.chart.cells, edition.chart.narrow_cell) = (cells, mm(3.0));
                (edition.chart.run_counts, edition.chart.may_turn) = (false, false);
            };
            arrange(&chart, &edition(change))
        };
        let (own, square, auto) = (of(CellShape::True), of(CellShape::Square), of(CellShape::Auto));
        // Thirty columns stand side by side only where they are narrower than the 4 mm that are asked for.
        let side = (own.plan.cell * 0.75).to_mm();
        assert!(own.plan.across == 1 && (3.0..3.99).contains(&side), "{side}");
        let (count, of_squares) = (own.plan.sheets.len(), square.plan.sheets.len());
        // So many sheets more would do for usual cells.
        assert!(2 * count <= 3 * of_squares, "{rows} rows: {count} sheets, {of_squares} of squares");
        let wanted = if count > of_squares { 1.0 } else { 0.75 };
        assert_eq!(auto.aspect, wanted, "{rows} rows: {count} sheets, {of_squares} of squares");
        if wanted == 1.0 { taken += 1 } else { kept += 1 }
    }
    assert!(taken > 0 && kept > 0, "{taken} {kept}");
}

#[test]
fn notes_that_are_set_smaller_leave_their_room_to_the_rows() {
    let mut chart = block(4, 3, 1.4);
    chart.yarns = (0..70).map(|_| chart.yarns[0].clone()).collect();
    let of_height = |high: f64| {
        large(|edition| {
            edition.paper.size = Size::new(mm(297.0), mm(high));
            (edition.chart.cells, edition.chart.may_turn) = (CellShape::Square, false);
            edition.chart.most_cell = mm(60.0);
        })
    };
    let is_smaller = |edition: &Edition| {
        let found = arrange(&chart, edition);
        found.head.note_scale < 1.0 && found.note_lines > 0 && found.plan.sheets.len() == 1
    };
    let edition = (150..300).step_by(10).map(|high| of_height(f64::from(high))).find(is_smaller);
    assert!(fills_its_sheets(&chart, &edition.expect("some height is too low for a large key")));
}

#[test]
fn the_shorter_side_of_a_cell_is_what_has_a_least_and_a_greatest_length() {
    let cell = |aspect: f64, columns, rows| {
        let edition = plain(200.0, 250.0, 8.0, |edition| {
            (edition.chart.cells, edition.chart.least_cell) = (CellShape::True, mm(5.0));
            edition.chart.narrow_cell = mm(5.0);
        });
        sheet(&block(columns, rows, aspect), &edition, 0, |drawn, _, _| drawn.cell)
    };
    let (wide, high) = (cell(2.0, 2, 2), cell(0.5, 2, 2));
    assert_near(wide.height, mm(8.0));
    assert_near(wide.width, mm(16.0));
    assert_near(high.width, mm(8.0));
    assert_near(high.height, mm(16.0));
    // Of very many cells some sheets are made rather than smaller ones.
    for aspect in [0.5, 0.8, 1.25, 2.0] {
        let many = cell(aspect, 200, 200);
        let shorter = many.width.min(many.height);
        assert!(mm(5.0).fits(shorter) && shorter.fits(mm(6.0)), "{aspect}: {}", shorter.to_mm());
    }
}

#[test]
fn a_sheet_lies_on_its_side_where_it_may_and_cells_are_larger_so() {
    let of = |columns, rows, may_turn| {
        let edition = edition(|edition| (edition.chart.may_turn, edition.chart.most_cell) = (may_turn, mm(20.0)));
        sheet(&block(columns, rows, 1.0), &edition, 0, |drawn, sheets, _| {
            let (size, area) = sheets.page();
            assert!(size.width > area.right() && size.height > area.bottom());
            (sheets.plan.turned, size.width > size.height, drawn.cell.width)
        })
    };
    let (upright, lying) = (of(24, 8, false), of(24, 8, true));
    assert_eq!(((upright.0, upright.1), (lying.0, lying.1)), ((false, false), (true, true)));
    assert!(lying.2 > upright.2);
    assert!(!of(8, 24, true).0);
}

#[test]
fn no_room_is_kept_to_say_what_is_shown_again_where_nothing_is() {
    let lines = |columns: usize, repeat: usize| {
        let edition = plain(105.0, 300.0, 8.0, |edition| edition.chart.repeat = repeat);
        let found = arrange(&block(columns, 6, 1.0), &edition);
        (found.plan.sheets.len(), found.note_lines)
    };
    assert_eq!((lines(6, 2), lines(6, 0)), ((1, 0), (1, 0)));
    // Seven columns have room, so two would be more than a fifth of them; one is less.
    assert_eq!((lines(12, 2), lines(12, 0)), ((2, 0), (2, 0)));
    let (sheets, lines) = lines(12, 1);
    assert!(sheets == 2 && lines > 0, "{sheets} {lines}");
}

#[test]
fn counts_have_all_the_room_they_need_unless_that_costs_a_sheet() {
    // Two knots of each yarn in turn, so that every row has half as many counts as columns.
    let striped = |columns: usize| {
        let mut chart = block(columns, 12, 1.0);
        chart.cells = (0..columns * 12).map(|cell| Some(u8::from((cell % columns / 2).is_multiple_of(2)))).collect();
        chart
    };
    let (mut all, mut fewer) = (0, 0);
    for columns in (14..60).step_by(2) {
        let chart = striped(columns);
        let of = |counts: bool| {
            let edition = plain(210.0, 200.0, 5.0, |edition| edition.chart.run_counts = counts);
            with(&edition, |setter| {
                let found = arranged(&chart, &edition, setter, true);
                let wanted = widest_counts(&chart, &found.plan, setter);
                let most = sheet_area(&edition, false).size.width * 0.2;
                (found.plan.sheets.len(), found.beside.room_for_counts(), found.beside.gutter(), wanted.min(most))
            })
        };
        let ((without, usual, ..), (sheets, room, gutter, wanted)) = (of(false), of(true));
        assert_eq!(sheets, without, "{columns} columns");
        if wanted.fits(usual) {
            assert_near(room, usual);
            continue;
        }
        let free = 194.0 - gutter.to_mm() * 2.0 - 5.0 * columns as f64;
        if room.approx_eq(wanted) {
            all += 1;
        } else if sheets == 1 {
            // One eighth more at either side would leave too little for the cells.
            assert!(free >= -1e-3 && free < wanted.to_mm() / 4.0, "{columns} columns: {free} mm are left");
            fewer += 1;
        }
    }
    assert!(all > 2 && fewer > 0, "{all} {fewer}");
}

#[test]
fn room_for_notes_is_reckoned_with_the_longest_that_can_come() {
    let edition = plain(300.0, 300.0, 4.0, |_| {});
    with(&edition, |setter| {
        let wide = |text: &str| setter.line(StyleName::SheetNote, text).width;
        let lines = |chart: &ChartBlock, width| most_lines(chart, &edition, setter, width, (false, true));
        let small = "Columns 99 to 100 also on page 100  ·  Rows 99 to 100 also on page 100";
        assert_eq!(lines(&block(10, 10, 1.0), wide(small)), 1);
        assert_eq!(lines(&block(10, 10, 1.0), wide(small) - Length::pt(0.1)), 2);
        let large = "Columns 1199 to 1200 also on page 100  ·  Rows 299 to 300 also on page 100";
        assert_eq!(lines(&block(1200, 300, 1.0), wide(large)), 1);
        assert_eq!(lines(&block(1200, 300, 1.0), wide(large) - Length::pt(0.1)), 2);
    });
    // 3.7 mm are not small; cells that may be narrower to save a sheet are.
    let lines = |narrow: f64| {
        let edition = plain(300.0, 300.0, 4.0, |edition| edition.chart.narrow_cell = mm(narrow));
        with(&edition, |setter| most_lines(&block(10, 10, 1.0), &edition, setter, mm(300.0), (false, false)))
    };
    assert_eq!((lines(3.7), lines(3.69)), (0, 1));
}

#[test]
fn the_short_rule_names_the_page_of_the_rows_in_words_as_soon_as_it_is_known() {
    let mut chart = block(10, 10, 1.0);
    chart.words.carrying = Some("the rule is on page {page}".to_owned());
    let marked = edition(|edition| edition.chart.marks = true);
    let unmarked = edition(|edition| edition.chart.marks = false);
    let book = FontBook::shipped();
    let said = |edition: &Edition, page: Option<&str>| {
        let mut setter = Setter::new(&book, edition, Colours::of(edition, &[]), "en-GB");
        let known = page.map(|page| (Landmark::Section(SectionName::RowsInWords), page.to_owned()));
        setter.again(BTreeMap::from_iter(known));
        let width = setter.line(StyleName::SheetNote, "the rule is on page 100").width;
        [carrying(&chart, edition, &setter, width), carrying(&chart, edition, &setter, width - Length::pt(0.1))]
    };
    assert_eq!(said(&marked, Some("7")), [Some("the rule is on page 7".to_owned()), None]);
    assert_eq!(said(&marked, None), [Some("the rule is on page 100".to_owned()), None]);
    assert_eq!(said(&unmarked, Some("7")), [None, None]);
}

#[test]
fn boxes_and_arrows_grow_with_large_figures_but_more_slowly() {
    let chart = block(10, 120, 1.0);
    let large = large(|_| {});
    let (beside, number) =
        with(&large, |setter| (Beside::of(&chart, setter), setter.line(StyleName::CellNumber, "120").width));
    // Own computation: 18 pt are 1.8 times 10 pt, and 0.78 of what is more: 1.624 times as large.
    assert_near(beside.most_box, mm(4.2 * 1.624));
    assert_near(beside.target, mm(4.2 * 1.624));
    assert_near(beside.arrow.width, mm(3.0 * 1.624));
    assert_near(beside.arrow.height, mm(1.4 * 1.624));
    assert_near(beside.arrow_at(), number + mm(1.8));
    assert_near(beside.gutter(), number + mm(2.7) + beside.arrow.width + beside.target + mm(0.6));
    // The first number is the widest where rows are counted from below.
    let mut upwards = block(10, 120, 1.0);
    upwards.rows.reverse();
    let other = with(&large, |setter| Beside::of(&upwards, setter));
    assert_near(other.arrow_at(), number + mm(1.8));
}
