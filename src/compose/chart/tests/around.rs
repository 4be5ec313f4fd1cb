//! What stands round the grid of a sheet: bands, numbers, arrows, counts, boxes.

use super::drawn::{Drawn, assert_near, assert_rect, bounds, count, parts, plain, sheet, width};
use super::*;
use crate::geom::Rect;
use crate::manuscript::long_row::LongRow;
use crate::page::{Item, Mark, Segment, Shape};

/// One large sheet with cells of so many millimetres.
fn one_sheet(cell: f64, change: impl FnOnce(&mut Edition)) -> Edition {
    plain(400.0, 420.0, cell, change)
}

/// Millimetres.
fn mm(length: f64) -> Length {
    Length::mm(length)
}

#[test]
fn the_first_and_the_last_column_tens_and_fives_have_numbers_above_and_below() {
    let edition = one_sheet(8.0, |_| {});
    sheet(&block(23, 6, 1.0), &edition, 0, |drawn, _, setter| {
        let size = setter.style(StyleName::CellNumber).size;
        for column in [1, 5, 10, 15, 20, 23] {
            let mut found = drawn.all_of(&column.to_string());
            // Rows have numbers too.
            found.retain(|run| run.origin.y < drawn.grid.top() || run.origin.y > drawn.grid.bottom());
            assert_eq!(found.len(), 2, "{column}");
            for run in &found {
                assert_near(run.origin.x + width(run) / 2.0, drawn.middle(column - 1, 0).x);
            }
            // Nine tenths of a millimetre from the grid: feet above it, heads below it, which rise by 0.68 of the size.
            assert_near(found[0].origin.y, drawn.grid.top() - mm(0.9));
            assert_near(found[1].origin.y - size * 0.68, drawn.grid.bottom() + mm(0.9));
            assert_eq!(found[0].size, size);
        }
        let numbers =
            |run: &&&crate::page::TextRun| run.origin.y < drawn.grid.top() && run.text.parse::<usize>().is_ok();
        assert_eq!(drawn.texts().iter().filter(numbers).count() - 2, 6);
        assert_eq!(drawn.role_of("23"), Some(Role::Figure));
    });
}

#[test]
fn a_column_number_that_would_run_into_another_is_left_out() {
    let (mut stood, mut left_out) = (0, 0);
    for tenths in 24..80 {
        let cell = f64::from(tenths) / 10.0;
        let block = block(16, 4, 1.0);
        let probe = one_sheet(cell, |_| {});
        let gutter = with(&probe, |setter| Beside::of(&block, setter).gutter());
        // Eight columns on each of two sheets: 9, 10, 15 and 16 may be numbered on the second.
        let edition = plain(16.0 + gutter.to_mm() * 2.0 + cell * 8.5, 200.0, cell, |_| {});
        sheet(&block, &edition, 1, |drawn, _, setter| {
            assert_eq!(drawn.sheet.columns, 8..16);
            let size = number_size(drawn.cell, setter);
            let wide = |number: &str| setter.line_in(StyleName::CellNumber, number, size, Colour::BLACK).width;
            assert_eq!((drawn.all_of("9").len(), drawn.all_of("16").len()), (2, 2));
            for (kept, other) in [("9", "10"), ("16", "15")] {
                let free = drawn.cell.width - (wide(kept) + wide(other)) / 2.0;
                let has_room = (size * 0.38).fits(free);
                assert_eq!(drawn.all_of(other).len(), if has_room { 2 } else { 0 }, "{other} in cells of {cell} mm");
                if has_room { stood += 1 } else { left_out += 1 }
            }
        });
    }
    assert!(stood > 20 && left_out > 20, "{stood} {left_out}");
}

#[test]
fn a_row_has_its_number_arrow_and_box_one_after_another_where_it_begins() {
    // So that no box says its row and no number is a heading.
    let edition = one_sheet(8.0, |edition| edition.chart.rows_alongside = true);
    sheet(&block(9, 10, 1.0), &edition, 0, |drawn, _, setter| {
        let size = setter.style(StyleName::CellNumber).size;
        // The widest number is that of row 10 here.
        let room = setter.line(StyleName::CellNumber, "10").width;
        let arrows = arrows(drawn);
        let boxes = boxes(drawn);
        let ticks = drawn.ticks();
        assert_eq!((arrows.len(), boxes.len(), ticks.len()), (10, 10, 10));
        for row in 0..10 {
            let middle = drawn.middle(0, row).y;
            let at_left = row % 2 == 0;
            let grid = drawn.grid;
            // Outwards from the grid, whichever side it is.
            let outwards = |from: Length, wide: Length, high: Length| {
                let x = if at_left { grid.left() - from - wide } else { grid.right() + from };
                Rect::new(x, middle - high / 2.0, wide, high)
            };
            let word = (row + 1).to_string();
            let is_beside = |run: &&&crate::page::TextRun| run.origin.y > grid.top() && run.origin.y < grid.bottom();
            let all = drawn.all_of(&word);
            let numbers: Vec<_> = all.iter().filter(is_beside).collect();
            assert_eq!(numbers.len(), 1, "{word}");
            assert_near(numbers[0].origin.x, outwards(mm(0.9), width(numbers[0]), mm(0.0)).left());
            assert_near(numbers[0].origin.y, middle + size * 0.34);
            let (arrow, tip) = &arrows[row];
            assert_rect(*arrow, outwards(mm(1.8) + room, mm(3.0), mm(1.4)));
            assert_near(*tip, if at_left { arrow.right() } else { arrow.left() });
            let target = outwards(mm(1.8) + room + mm(3.0) + mm(0.9), mm(6.4), mm(8.0));
            assert_rect(ticks[row].area, target);
            let corner = target.centre().moved(-mm(2.1), -mm(2.1));
            assert_rect(boxes[row], Rect { origin: corner, size: Size::new(mm(4.2), mm(4.2)) });
            assert_eq!((&*ticks[row].label, ticks[row].field.as_str()), ("Row", format!("row-{word}").as_str()));
        }
    });
    // In low rows boxes keep seven tenths of a millimetre between them, and figures are as large as these allow.
    sheet(&block(9, 10, 1.0), &one_sheet(3.0, |_| {}), 0, |drawn, _, _| {
        assert!(boxes(drawn).iter().all(|area| (area.size.width.to_mm() - 2.3).abs() < 1e-3));
        assert!(drawn.ticks().iter().all(|tick| (tick.area.size.height.to_mm() - 3.0).abs() < 1e-3));
        assert_near(drawn.all_of("9")[0].size, mm(3.0 * 0.92));
    });
}

/// The arrows of the rows from above, each with where its point is.
fn arrows(drawn: &Drawn) -> Vec<(Rect, Length)> {
    let figures: Vec<_> = drawn.items.iter().filter(|it| matches!(it.mark, Mark::Node(_))).collect();
    let mut shapes = figures.iter().filter_map(|it| if let Item::Shape(shape) = &it.item { Some(shape) } else { None });
    let shape = shapes.next_back().expect("arrows are the last shape that is seen as part of the figure");
    let tip = |part: &[Segment]| {
        let area = bounds(part);
        let points: Vec<_> = part.iter().copied().flat_map(Segment::points).collect();
        let at = points.iter().find(|point| (point.y - area.centre().y).abs() < Length::pt(1e-6));
        at.expect("a point in the middle of its height").x
    };
    parts(&shape.outline).into_iter().map(|part| (bounds(part), tip(part))).collect()
}

/// The boxes that are drawn: the last shape of the sheet.
fn boxes(drawn: &Drawn) -> Vec<Rect> {
    let shapes = drawn.shapes();
    let last: &&Shape = shapes.last().expect("boxes are the last shape");
    assert_eq!(last.fill, Some(Colour::WHITE));
    parts(&last.outline).into_iter().map(bounds).collect()
}

#[test]
fn every_second_row_has_a_quiet_band_at_both_sides() {
    let quiet = |every: usize, rows: usize| {
        let edition = one_sheet(8.0, |edition| edition.chart.band_every = every);
        let tint = edition.look.tint;
        sheet(&block(9, rows, 1.0), &edition, 0, |drawn, sheets, _| {
            // Six tenths of a millimetre short of the boxes' outer edge.
            let wide = sheets.beside.gutter() - mm(0.6);
            let bands = drawn.filled(tint);
            for (at, band) in bands.iter().enumerate() {
                let row = at / 2 * every + every - 1;
                let left = if at % 2 == 0 { drawn.grid.left() - wide } else { drawn.grid.right() };
                assert_rect(*band, Rect::new(left, drawn.middle(0, row).y - mm(4.0), wide, mm(8.0)));
            }
            bands.len()
        })
    };
    assert_eq!((quiet(2, 7), quiet(2, 8), quiet(3, 8), quiet(0, 8)), (6, 8, 4, 0));
}

/// Paper on which forty columns and rows of 8 mm stand on four sheets: twenty in a row and below one another, where two of
/// each are shown again.
fn four_sheets() -> Edition {
    let chart = block(40, 40, 1.0);
    let gutter = with(&edition(|_| {}), |setter| Beside::of(&chart, setter).gutter());
    // Room for 22 columns and half a one.
    let wide = 16.0 + gutter.to_mm() * 2.0 + 8.0 * 22.5;
    let of_height = |high: f64| plain(wide, high, 8.0, |edition| edition.chart.repeat = 2);
    let high = (100..400).map(f64::from).find(|high| count(&chart, &of_height(*high)) == 4);
    // The least height has room for 21 rows, which is not enough to cut on tens.
    of_height(high.expect("there is room on some height") + 9.0)
}

#[test]
fn what_is_shown_again_has_bands_beside_it_where_its_other_sheet_is_printed() {
    let edition = four_sheets();
    let shared = |chart: &ChartBlock, index: usize| {
        sheet(chart, &edition, index, |drawn, sheets, setter| {
            let wide = sheets.beside.gutter() - mm(0.6);
            let grid = drawn.grid;
            // The strips above and below reach over the numbers of the columns.
            let high = mm(5.4).max(strip(setter) - mm(0.9));
            let rows = [grid.left() - wide, grid.right()].map(|x| Rect::new(x, grid.top(), wide, mm(16.0)));
            let columns = [grid.top() - high, grid.bottom()].map(|y| Rect::new(grid.left(), y, mm(16.0), high));
            (drawn.filled(edition.look.shared), rows, columns, drawn.filled(edition.look.tint), grid)
        })
    };
    let full = block(40, 40, 1.0);
    assert_eq!(count(&full, &edition), 4);
    for (index, has_rows, has_columns) in [(0, false, false), (1, false, true), (2, true, false), (3, true, true)] {
        let (found, rows, columns, ..) = shared(&full, index);
        let wanted: Vec<Rect> =
            has_rows.then_some(rows).into_iter().chain(has_columns.then_some(columns)).flatten().collect();
        assert_eq!(found.len(), wanted.len(), "sheet {}", index + 1);
        found.into_iter().zip(wanted).for_each(|(found, wanted)| assert_rect(found, wanted));
    }
    // Quiet bands begin below the rows that are shown again: rows 21 and 22, or 19 and 20.
    let (.., quiet, grid) = shared(&full, 3);
    let top = quiet.iter().map(|band| band.top()).reduce(Length::min).expect("there are some");
    assert_near(top, grid.top() + mm(24.0));
    // The sheet at the left has no knot and is not printed: nothing is shown again then.
    let mut bare = block(40, 40, 1.0);
    for row in 20..40 {
        (0..20).for_each(|column| bare.cells[row * 40 + column] = None);
    }
    let plan = arrange(&bare, &edition).plan;
    let first_columns: Vec<usize> = plan.sheets.iter().map(|sheet| sheet.own_columns().start).collect();
    assert_eq!(first_columns, [0, 20, 0, 20]);
    let (found, rows) = sheet(&bare, &edition, 2, |drawn, sheets, _| {
        assert_eq!((sheets.plan.sheets.len(), drawn.sheet.across, drawn.sheet.repeated_columns), (3, 1, 2));
        let wide = sheets.beside.gutter() - mm(0.6);
        let rows = [drawn.grid.left() - wide, drawn.grid.right()];
        (drawn.filled(edition.look.shared), rows.map(|x| Rect::new(x, drawn.grid.top(), wide, mm(16.0))))
    });
    assert_eq!(found.len(), 2);
    found.into_iter().zip(rows).for_each(|(found, wanted)| assert_rect(found, wanted));
}

#[test]
fn counts_stand_where_a_row_ends_in_the_order_in_which_knots_are_tied() {
    let mut chart = block(6, 2, 1.0);
    chart.cells = [0, 0, 1, 1, 1, 0, 1, 0, 0, 0, 0, 1].map(Some).to_vec();
    let counted = |on: bool| one_sheet(8.0, |edition| edition.chart.run_counts = on);
    sheet(&chart, &counted(true), 0, |drawn, _, setter| {
        let size = setter.style(StyleName::CellNumber).size * 0.8;
        for (words, row) in [("2·3·1", 0), ("1·4·1", 1)] {
            let run = drawn.text(words);
            let (from, to) = (run.origin.x, run.origin.x + width(run));
            match row {
                0 => assert_near(from, drawn.grid.right() + mm(0.9)),
                _ => assert_near(to, drawn.grid.left() - mm(0.9)),
            }
            assert_near(run.origin.y, drawn.middle(0, row).y + size * 0.34);
            assert_near(run.size, size);
        }
        assert!(drawn.all_of("more follow").is_empty() && drawn.texts().iter().any(|run| run.text.contains("figures")));
    });
    sheet(&chart, &counted(false), 0, |drawn, _, _| {
        assert!(drawn.texts().iter().all(|run| !run.text.contains('·') || run.text.contains("Columns")));
    });
}

#[test]
fn counts_that_have_no_room_end_in_dots_and_a_note_says_so() {
    let mut chart = block(60, 2, 1.0);
    chart.cells = (0..120).map(|cell| Some(u8::from(cell % 2 == 0))).collect();
    let edition = plain(330.0, 300.0, 3.0, |edition| edition.chart.run_counts = true);
    sheet(&chart, &edition, 0, |drawn, sheets, setter| {
        let room = sheets.beside.room_for_counts();
        let cut: Vec<_> = drawn.texts().into_iter().filter(|run| run.text.ends_with(" …")).collect();
        assert_eq!(cut.len(), 2);
        let wide = |text: &str| setter.line_in(StyleName::CellNumber, text, cut[0].size, Colour::BLACK).width;
        let shown = cut[0].text.matches('1').count();
        assert!(shown > 3 && shown < 60 && cut[0].text.starts_with("1·1·1·"), "{}", cut[0].text);
        assert!(wide(&cut[0].text).fits(room));
        assert!(!wide(&format!("1·{}", cut[0].text)).fits(room), "one more has room");
        // No more than a fifth of the sheet at either side.
        assert_near(room, drawn.area.size.width * 0.2);
        assert!(drawn.texts().iter().any(|run| run.text.trim_end() == "more follow"), "{:?}", drawn.words());
    });
}

#[test]
fn the_number_of_the_first_of_every_twenty_rows_is_a_heading_over_their_boxes() {
    let list = Role::List(false);
    sheet(&block(5, 25, 1.0), &one_sheet(8.0, |_| {}), 0, |drawn, sheets, setter| {
        let roles = drawn.roles();
        let from = roles.iter().position(|role| *role == Role::Figure).expect("the figure");
        assert_eq!(roles[from + 1..], [Role::Heading(4), list, Role::Heading(4), list]);
        let children = &drawn.structure.get(drawn.section).children[from + 1..];
        let said: Vec<_> = children.iter().map(|node| drawn.structure.get(*node)).collect();
        let words = |at: usize| said[at].actual.as_deref();
        assert_eq!((words(0), words(2)), (Some("Rows 1 to 20"), Some("Rows 21 to 25")));
        assert_eq!((said[1].children.len(), said[3].children.len()), (20, 5));
        assert!(drawn.ticks().iter().all(|tick| &*tick.label == "words"));
        // Each row has its number once, those of headings too.
        for row in [1, 2, 20, 21, 22, 25] {
            let all = drawn.all_of(&row.to_string());
            let beside = all.iter().filter(|run| run.origin.y > drawn.grid.top() && run.origin.y < drawn.grid.bottom());
            assert_eq!(beside.count(), 1, "{row}");
        }
        let outline = sheets.stretches(0, setter);
        assert_eq!(
            outline.iter().map(|(title, _)| title.as_str()).collect::<Vec<_>>(),
            ["Rows 1 to 20", "Rows 21 to 25"]
        );
        assert_near(outline[0].1, drawn.grid.top());
        assert_near(outline[1].1, drawn.grid.top() + mm(160.0));
    });
}

#[test]
fn a_row_is_said_on_the_first_sheet_that_shows_it_and_named_on_others() {
    let edition = four_sheets();
    let chart = block(40, 40, 1.0);
    let list = Role::List(false);
    let boxes = |chart: &ChartBlock, index: usize| {
        sheet(chart, &edition, index, |drawn, sheets, setter| {
            let roles = drawn.roles();
            let from = roles.iter().position(|role| *role == Role::Figure).expect("the figure");
            let labels: Vec<String> = drawn.ticks().iter().map(|tick| tick.label.to_string()).collect();
            let lists: Vec<usize> = drawn.structure.get(drawn.section).children[from + 1..]
                .iter()
                .map(|node| drawn.structure.get(*node))
                .filter(|node| node.role == list)
                .map(|node| node.children.len())
                .collect();
            (roles[from + 1..].to_vec(), labels, lists, sheets.stretches(index, setter).len())
        })
    };
    let all = |labels: &[String], word: &str| labels.iter().filter(|label| *label == word).count();
    let (roles, labels, lists, outline) = boxes(&chart, 0);
    assert_eq!((roles, lists, outline), (vec![Role::Heading(4), list], vec![20], 1));
    assert_eq!(all(&labels, "words"), 20);
    // At its right all boxes are one entry, and each has only its row's name.
    let (roles, labels, lists, outline) = boxes(&chart, 1);
    assert_eq!((roles, lists, outline, all(&labels, "Row")), (vec![list], vec![1], 0, 20));
    // Below, the two rows that are shown again are passed over together, then the others are said.
    let (roles, labels, lists, outline) = boxes(&chart, 2);
    assert_eq!((roles, lists, outline), (vec![list, Role::Heading(4), list], vec![1, 20], 1));
    assert_eq!((all(&labels[..2], "Row"), all(&labels[2..], "words")), (2, 20));
    // A long row says on each sheet what begins there.
    let mut long = block(40, 40, 1.0);
    long.rows[3].in_parts = Some(Box::new(LongRow {
        stretches: Vec::new(),
        words: String::new(),
        goes_on: "it goes on".to_owned(),
        between: String::new(),
    }));
    let (_, labels, ..) = boxes(&long, 1);
    assert_eq!((labels[3].as_str(), labels[4].as_str(), all(&labels, "Row")), ("it goes on", "Row", 19));
    let (_, labels, ..) = boxes(&long, 0);
    assert_eq!((labels[3].as_str(), labels[4].as_str()), ("it goes on", "words"));
    // But not where it is shown again: the sheet below begins with rows 19 and 20.
    long.rows[18].in_parts = long.rows[3].in_parts.clone();
    let (_, labels, ..) = boxes(&long, 2);
    assert_eq!((labels[0].as_str(), labels[2].as_str()), ("Row", "words"));
}
