//! What a sheet says of others, and the notes below its key.

use super::drawn::{Drawn, assert_near, assert_rect, bounds, large, plain, sheet, sheet_after, width};
use super::*;
use crate::catalogue::SectionName;
use crate::compose::setter::Landmark;
use crate::geom::Rect;
use crate::page::{Artifact, Item, Link, Mark, Shape, Target, TextRun};
use std::collections::BTreeMap;

fn mm(length: f64) -> Length {
    Length::mm(length)
}

/// Four sheets of twelve by fourteen cells: six by seven each, and nothing is shown again.
fn twelve() -> (ChartBlock, Edition) {
    let mut chart = block(12, 14, 1.0);
    chart.words.page = "p. {page}".to_owned();
    chart.words.continues_left = "goes on at the left on {page}".to_owned();
    chart.words.continues_right = "goes on at the right on {page}".to_owned();
    chart.words.continues_below = "goes on below on {page}".to_owned();
    chart.words.alt =
        "{yarns}{picture} columns {from_column} to {to_column}, rows {from_row} to {to_row}, {sheet}/{sheets}"
            .to_owned();
    chart.words.alt_again = format!("first {{first}}: {}", chart.words.alt);
    chart.words.yarns = "2 yarns".to_owned();
    chart.words.picture = ", a boat".to_owned();
    (chart, plain(105.0, 120.0, 8.0, |_| {}))
}

fn alt(drawn: &Drawn) -> String {
    let children = drawn.structure.get(drawn.section).children.iter().map(|node| drawn.structure.get(*node));
    let alts: Vec<String> = children.filter(|node| node.role == Role::Figure).filter_map(|it| it.alt.clone()).collect();
    alts.concat()
}

#[test]
fn a_sheet_says_in_words_what_it_shows_and_where_its_rows_are_said() {
    let (mut chart, edition) = twelve();
    let said = |chart: &ChartBlock, edition: &Edition, index| sheet(chart, edition, index, |drawn, _, _| alt(drawn));
    assert_eq!(said(&chart, &edition, 0), "2 yarns, a boat columns 1 to 6, rows 1 to 7, 1/4");
    assert_eq!(said(&chart, &edition, 1), "first 1: 2 yarns columns 7 to 12, rows 1 to 7, 2/4");
    assert_eq!(said(&chart, &edition, 2), "2 yarns columns 1 to 6, rows 8 to 14, 3/4");
    assert_eq!(said(&chart, &edition, 3), "first 3: 2 yarns columns 7 to 12, rows 8 to 14, 4/4");
    // Where rows stand in words elsewhere no sheet leads to another for them.
    for change in [
        |edition: &mut Edition| edition.chart.rows_alongside = true,
        |edition: &mut Edition| edition.sections.push(SectionName::RowsInWords),
    ] {
        let edition = plain(105.0, 120.0, 8.0, change);
        assert_eq!(said(&chart, &edition, 3), "2 yarns columns 7 to 12, rows 8 to 14, 4/4");
    }
    // A long row is said part by part, so the sheet at the right says something too.
    chart.rows[12].in_parts = Some(Box::new(crate::manuscript::long_row::LongRow {
        stretches: Vec::new(),
        words: String::new(),
        goes_on: String::new(),
        between: String::new(),
    }));
    assert_eq!(said(&chart, &edition, 3), "2 yarns columns 7 to 12, rows 8 to 14, 4/4");
    assert_eq!(said(&chart, &edition, 1), "first 1: 2 yarns columns 7 to 12, rows 1 to 7, 2/4");
}

#[test]
fn one_kind_of_thing_is_drawn_after_another() {
    let (chart, edition) = twelve();
    sheet(&chart, &edition, 3, |drawn, sheets, _| {
        let at = |is_it: &dyn Fn(&PlacedItem) -> bool| drawn.items.iter().position(is_it).expect("it is drawn");
        let fill = |colour: Colour| move |it: &PlacedItem| matches!(&it.item, Item::Shape(shape) if shape.fill == Some(colour));
        let text = |words: &'static str| move |it: &PlacedItem| it.item.as_text().is_some_and(|run| run.text == words);
        let order = [
            at(&text("The chart")),
            at(&text("p. p3")),
            at(&fill(edition.look.tint)),
            at(&|it| matches!(&it.item, Item::Cells(cells) if cells.columns == 6)),
            at(
                &|it| matches!(&it.item, Item::Shape(shape) if shape.fill.is_none() && bounds(&shape.outline).holds(drawn.grid)),
            ),
            at(&text("12")),
            at(&text("8")),
            at(&fill(sheets.colours.quiet)),
            at(&fill(Colour::WHITE)),
            at(&|it| matches!(&it.item, Item::Tick(_))),
        ];
        assert!(order.is_sorted(), "{order:?}");
    });
}

/// The arrows to other sheets, each with its link.
fn pointers(drawn: &Drawn, accent: Colour) -> Vec<(&Link, &Shape)> {
    let is_pointer = |it: &&Shape| it.fill == Some(accent) && it.outline.len() > 5;
    let pointers: Vec<&Shape> = drawn.shapes().into_iter().filter(is_pointer).collect();
    let links: Vec<&Link> = drawn.links().into_iter().filter(|link| link.label.starts_with("goes on")).collect();
    assert_eq!(pointers.len(), links.len());
    links.into_iter().zip(pointers).collect()
}

#[test]
fn arrows_lead_to_the_sheets_beside_and_below() {
    let (chart, edition) = twelve();
    let of = |index: usize| {
        sheet(&chart, &edition, index, |drawn, sheets, _| {
            let leads = |link: &Link| match link.target {
                Target::Page(page, _) => (link.label.clone(), page),
                _ => panic!("{link:?}"),
            };
            pointers(drawn, sheets.colours.accent).into_iter().map(|(link, _)| leads(link)).collect::<Vec<_>>()
        })
    };
    let right = |folio: &str, page| (format!("goes on at the right on {folio}"), page);
    let left = |folio: &str, page| (format!("goes on at the left on {folio}"), page);
    let below = |folio: &str, page| (format!("goes on below on {folio}"), page);
    assert_eq!(of(0), [right("p2", 41), below("p3", 42)]);
    assert_eq!(of(1), [left("p1", 40), below("p4", 43)]);
    assert_eq!(of(2), [right("p4", 43)]);
    assert_eq!(of(3), [left("p3", 42)]);
}

#[test]
fn an_arrow_stands_at_the_outer_edge_and_its_page_towards_the_chart() {
    let (chart, edition) = twelve();
    for index in [0, 1] {
        sheet(&chart, &edition, index, |drawn, sheets, setter| {
            let size = setter.style(StyleName::SheetNote).size;
            let figures = setter.style(StyleName::CellNumber).size;
            let (left_edge, right_edge) =
                (drawn.grid.left() - sheets.beside.gutter(), drawn.grid.right() + sheets.beside.gutter());
            // On the lines of the column numbers.
            let above = drawn.grid.top() - mm(0.9);
            let below = drawn.grid.bottom() + mm(0.9) + figures * 0.68;
            let found = pointers(drawn, sheets.colours.accent);
            assert_eq!(found.len(), 2);
            for (link, shape) in found {
                let arrow = bounds(&shape.outline);
                let downwards = link.label.contains("below");
                let baseline = if downwards { below } else { above };
                let (long, thick) = (size * 1.05, size * 0.5);
                let lies = if downwards { (thick, long) } else { (long, thick) };
                assert_near(arrow.size.width, lies.0);
                assert_near(arrow.size.height, lies.1);
                assert_near(arrow.centre().y, baseline - size * 0.34);
                let words = drawn.texts().into_iter().find(|run| run.actual.as_ref() == Some(&link.label));
                let words = words.expect("there is room for the page");
                let at_left = link.label.contains("left");
                match at_left {
                    true => {
                        assert_near(arrow.left(), left_edge);
                        assert_near(words.origin.x, arrow.right() + size * 0.4);
                    }
                    false => {
                        assert_near(arrow.right(), right_edge);
                        assert_near(words.origin.x + width(words), arrow.left() - size * 0.4);
                    }
                }
                assert_near(words.origin.y, baseline);
                // The whole of it leads there.
                let left = words.origin.x.min(arrow.left());
                let right = (words.origin.x + width(words)).max(arrow.right());
                let top = (baseline - size * 0.8).min(arrow.top());
                let bottom = (baseline + size * 0.3).max(arrow.bottom());
                assert_rect(link.area, Rect::new(left, top, right - left, bottom - top));
            }
        });
    }
}

#[test]
fn the_page_is_left_out_where_it_would_come_near_the_chart() {
    let (mut chart, edition) = twelve();
    let mut seen = [[0; 2]; 2];
    for letters in 0..40 {
        chart.words.page = format!("{}{{page}}", "i".repeat(letters));
        for index in [0, 1] {
            sheet(&chart, &edition, index, |drawn, sheets, setter| {
                let size = setter.style(StyleName::SheetNote).size;
                for (link, shape) in pointers(drawn, sheets.colours.accent) {
                    let words = drawn.texts().into_iter().find(|run| run.actual.as_ref() == Some(&link.label));
                    let arrow = bounds(&shape.outline);
                    let folio = link.label.rsplit(' ').next().expect("a folio");
                    let label = format!("{}{folio}", "i".repeat(letters));
                    let wide = setter.line(StyleName::SheetNote, &label).width;
                    // A letter's size between the words and the chart.
                    let free = sheets.beside.gutter() - arrow.size.width - size * 0.4 - wide;
                    let has_room = size.fits(free);
                    assert_eq!(words.is_some(), has_room, "{label}");
                    seen[usize::from(link.label.contains("below"))][usize::from(has_room)] += 1;
                    if !has_room {
                        // The arrow alone leads there, and is heard.
                        assert_rect(link.area, arrow);
                        let heard = drawn.items.iter().find_map(|it| match (&it.item, it.mark) {
                            (Item::Shape(other), Mark::Node(node)) if other.outline == shape.outline => Some(node),
                            _ => None,
                        });
                        let node = drawn.structure.get(heard.expect("it is no layout"));
                        assert_eq!((node.role, node.alt.as_ref()), (Role::Link, Some(&link.label)));
                    }
                }
            });
        }
    }
    assert!(seen.as_flattened().iter().all(|count| *count > 3), "{seen:?}");
}

/// Forty columns and sixty rows on four sheets of large print, two of each shown again.
fn in_large_print(change: impl FnOnce(&mut Edition)) -> (ChartBlock, Edition) {
    let mut chart = block(40, 60, 1.0);
    chart.words.shared_columns = "Columns {from} to {to} also stand on page {page}".to_owned();
    chart.words.shared_rows = "Rows {from} to {to} also stand on page {page}".to_owned();
    let edition = large(|edition| {
        edition.paper.size = Size::new(mm(297.0), mm(420.0));
        (edition.chart.repeat, edition.chart.may_turn) = (2, false);
        change(edition);
    });
    (chart, edition)
}

/// The notes of a sheet: what stands between its key and its grid on lines of their own, from above.
fn notes<'d>(drawn: &'d Drawn, sheets: &ChartSheets, setter: &Setter) -> Vec<&'d TextRun> {
    let from = drawn.area.top() + sheets.head.height;
    let to = from + setter.style(StyleName::SheetNote).leading * sheets.note_lines as f64;
    let is_note = |run: &&TextRun| run.origin.y > from && run.origin.y < to && run.text.len() > 3;
    drawn.texts().into_iter().filter(is_note).collect()
}

#[test]
fn what_is_shown_again_is_said_with_the_page_where_it_also_stands() {
    let (chart, edition) = in_large_print(|_| {});
    let plan = arrange(&chart, &edition).plan;
    assert_eq!((plan.across, plan.down), (2, 2));
    let last = &plan.sheets[3];
    let columns = (last.columns.start + 1, last.columns.start + 2);
    let rows = (last.rows.start + 1, last.rows.start + 2);
    let of_columns = |folio: &str| format!("Columns {} to {} also stand on page {folio}", columns.0, columns.1);
    let of_rows = |folio: &str| format!("Rows {} to {} also stand on page {folio}", rows.0, rows.1);
    let said = |index: usize| {
        sheet(&chart, &edition, index, |drawn, sheets, setter| {
            let notes = notes(drawn, sheets, setter);
            let words: String = notes.iter().map(|run| run.text.as_str()).collect();
            let pages: Vec<(String, usize)> = drawn
                .links()
                .into_iter()
                .filter(|link| link.label.contains("also"))
                .map(|link| (link.label.clone(), if let Target::Page(page, _) = link.target { page } else { 0 }))
                .collect();
            (words.trim_end().to_owned(), pages)
        })
    };
    let (words, pages) = said(0);
    assert!(!words.contains("also stand") && pages.is_empty(), "{words}");
    assert_eq!(said(1), (of_columns("p1"), vec![(of_columns("p1"), 40)]));
    assert_eq!(said(2), (of_rows("p1"), vec![(of_rows("p1"), 40)]));
    let (words, pages) = said(3);
    assert!(words.starts_with(&of_columns("p3")) && words.ends_with(&of_rows("p2")), "{words}");
    assert!(pages.contains(&(of_columns("p3"), 42)) && pages.contains(&(of_rows("p2"), 41)));
}

/// Many columns and rows of small squares in large print, with a key of so many yarns.
fn small_squares(yarns: usize, height: f64) -> (ChartBlock, Edition) {
    let (mut chart, edition) = in_large_print(|edition| {
        edition.paper.size = Size::new(mm(260.0), mm(height));
        let side = mm(1.5);
        (edition.chart.least_cell, edition.chart.narrow_cell, edition.chart.most_cell) = (side, side, side);
        edition.chart.repeat = 1;
    });
    chart = ChartBlock { columns: 200, cells: vec![Some(0); 60_000], rows: block(1, 300, 1.0).rows, ..chart };
    chart.yarns = (0..yarns).map(|_| chart.yarns[0].clone()).collect();
    chart.words.small_cells =
        "Small squares: a good lamp helps, and a ruler below the row that is knotted now".to_owned();
    (chart, edition)
}

/// Whether the last sheet shows a column and a row that stand on others too.
fn shows_again((chart, edition): &(ChartBlock, Edition)) -> bool {
    let plan = arrange(chart, edition).plan;
    plan.sheets.last().is_some_and(|sheet| sheet.repeated_columns > 0 && sheet.repeated_rows > 0)
}

#[test]
fn notes_stand_on_lines_under_the_key_and_each_leads_to_its_page() {
    // Narrow enough that each note has lines of its own. A long key on a low sheet is set smaller, and the notes with it.
    for (yarns, heights, is_small) in [(2, 420..421, false), (90, 200..260, true)] {
        let (chart, edition) = heights
            .step_by(4)
            .map(|high| small_squares(yarns, f64::from(high)))
            .find(shows_again)
            .expect("some height leaves room for enough rows to show one again");
        let last = arrange(&chart, &edition).plan.sheets.len() - 1;
        sheet(&chart, &edition, last, |drawn, sheets, setter| {
            let scale = sheets.head.note_scale;
            assert_eq!(scale < 1.0, is_small, "{scale}");
            let style = setter.style(StyleName::SheetNote);
            let notes: Vec<&TextRun> = drawn
                .texts()
                .into_iter()
                .filter(|run| run.text.contains("also") || run.text.contains("Small sq"))
                .collect();
            let first = drawn.area.top() + sheets.head.height + style.size * scale;
            let rows: Vec<f64> = notes.iter().map(|run| (run.origin.y - first) / (style.leading * scale)).collect();
            assert!(notes.len() == 3 && rows.iter().all(|row| (row - row.round()).abs() < 1e-6), "{rows:?}");
            assert!(rows[0].abs() < 1e-6 && rows[2] > 0.5 && rows.is_sorted(), "{rows:?}");
            for (at, run) in notes.iter().enumerate() {
                assert!((run.size / style.size - scale).abs() < 1e-9);
                let node = drawn.node_of(run.text.trim_end()).map(|node| drawn.structure.get(node).role);
                assert_eq!(node, Some(if at < 2 { Role::Link } else { Role::Span }));
                // A line's first note begins at the left, and whatever ends a note is told from the next one.
                let is_first = at == 0 || rows[at] > rows[at - 1] + 0.5;
                assert!(!is_first || (run.origin.x - drawn.area.left()).to_pt().abs() < 1e-6);
                let spoken = (at < 2).then(|| format!("{}; ", run.text));
                assert_eq!((run.actual.clone(), run.text.ends_with(' ')), (spoken, at == 2));
            }
            let size = style.size * scale;
            let links: Vec<&Link> = drawn.links().into_iter().filter(|link| link.label.contains("also")).collect();
            for (run, link) in notes.iter().zip(links) {
                let area = Rect::new(run.origin.x, run.origin.y - size * 0.8, width(run), size * 1.1);
                assert_rect(link.area, area);
                assert_eq!(link.label, run.text);
            }
        });
    }
}

#[test]
fn dots_between_notes_on_a_line_are_for_the_eye() {
    let mut chart = block(9, 8, 1.5);
    chart.words.carrying = Some("the rule is on page {page}".to_owned());
    let edition = plain(300.0, 300.0, 3.0, |edition| {
        (edition.chart.cells, edition.chart.marks, edition.chart.run_counts) = (CellShape::Square, true, true);
    });
    let pages = BTreeMap::from([(Landmark::Section(SectionName::RowsInWords), "7".to_owned())]);
    sheet_after(&chart, &edition, 0, (pages, &[]), |drawn, sheets, setter| {
        let all = ["Small figures", "The squares are small.", "The squares are drawn square.", "the rule is on page 7"];
        let dots: Vec<&PlacedItem> =
            drawn.items.iter().filter(|it| it.item.as_text().is_some_and(|run| run.text == "  ·  ")).collect();
        assert_eq!(dots.len(), 3);
        let mut end = drawn.area.left();
        for (at, words) in all.iter().enumerate() {
            let run = drawn.text(words);
            assert_near(run.origin.x, end);
            end = run.origin.x + width(run);
            assert_eq!(run.actual, (at < 3).then(|| format!("{words}; ")));
            assert_eq!(drawn.role_of(words), Some(Role::Span));
            if let Some(dots) = dots.get(at) {
                let run = dots.item.as_text().expect("words");
                assert_near(run.origin.x, end);
                assert!(matches!(dots.mark, Mark::Artifact(Artifact::Layout)));
                end += width(run);
            }
        }
        assert_eq!(notes(drawn, sheets, setter).len(), 7);
    });
    // None of it: no node for it either.
    let edition = plain(300.0, 300.0, 3.7, |edition| edition.chart.cells = CellShape::True);
    sheet(&block(9, 8, 1.0), &edition, 0, |drawn, sheets, setter| {
        assert!(notes(drawn, sheets, setter).is_empty());
        assert_eq!(drawn.roles().iter().filter(|role| **role == Role::Paragraph).count(), 1);
    });
}

#[test]
fn a_sheet_without_a_knot_is_left_out_of_its_rank_but_not_the_last_of_it() {
    let (full, edition) = twelve();
    let kept = |bare: &dyn Fn(usize, usize) -> bool| {
        let mut chart = full.clone();
        (0..168).filter(|cell| bare(cell / 12, cell % 12)).for_each(|cell| chart.cells[cell] = None);
        sheet(&chart, &edition, 0, |_, sheets, _| {
            sheets.plan.sheets.iter().map(|sheet| (sheet.across, sheet.down)).collect::<Vec<_>>()
        })
    };
    assert_eq!(kept(&|_, _| false), [(0, 0), (1, 0), (0, 1), (1, 1)]);
    assert_eq!(kept(&|row, column| row < 7 && column < 6), [(1, 0), (0, 1), (1, 1)]);
    assert_eq!(kept(&|row, column| row >= 7 && column >= 6), [(0, 0), (1, 0), (0, 1)]);
    // One knot is enough, the last one too.
    assert_eq!(kept(&|row, column| row >= 7 && column >= 6 && (row, column) != (13, 11)).len(), 4);
    assert_eq!(kept(&|row, _| row >= 7), [(0, 0), (1, 0), (0, 1)]);
    assert_eq!(kept(&|_, _| true), [(0, 0), (0, 1)]);
}
