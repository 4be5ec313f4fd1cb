//! What a layout and a project can ask of chart sheets: run counts, bands, true cells, the left-handed edition, large print.

use crate::finished::{Finished, finished, made, order, sample};
use crate::panel;
use crate::support::is_tried;
use hitchpress::catalogue::StyleName;
use hitchpress::chart::{Chart, Direction};
use hitchpress::colour::Colour;
use hitchpress::font::FontBook;
use hitchpress::geom::Length;
use hitchpress::page::{Item, Mark, Role, Shape, TextRun, Tick};
use hitchpress::pdf;
use hitchpress::project::{Ink, Side};
use hitchpress::proof::Finding;

const CHART: &str = include_str!("../../layouts/chart.toml");
const LARGE_PRINT: &str = include_str!("../../layouts/large-print.toml");

/// The chart edition with one setting changed.
fn layout(from: &str, to: &str) -> Option<String> {
    assert!(CHART.contains(from), "{from}");
    Some(CHART.replace(from, to))
}

fn said(of: &Finished, bytes: &[u8]) -> Vec<String> {
    of.proof(bytes).findings.iter().map(Finding::sentence).collect()
}

fn holds(of: &Finished) {
    assert_eq!(said(of, &of.bytes), Vec::<String>::new());
}

fn shapes(of: &Finished, page: usize) -> impl Iterator<Item = &Shape> {
    of.items(page).filter_map(|item| match item {
        Item::Shape(shape) => Some(shape),
        Item::Text(_)
        | Item::Drawing(_)
        | Item::Picture(_)
        | Item::Cells(_)
        | Item::Tick(_)
        | Item::Blank(_)
        | Item::Link(_) => None,
    })
}

fn ticks(of: &Finished, page: usize) -> impl Iterator<Item = &Tick> {
    of.items(page).filter_map(|item| match item {
        Item::Tick(tick) => Some(tick),
        Item::Text(_)
        | Item::Picture(_)
        | Item::Cells(_)
        | Item::Shape(_)
        | Item::Drawing(_)
        | Item::Blank(_)
        | Item::Link(_) => None,
    })
}

/// The figures of a run of text that is nothing but run counts.
fn counts(run: &TextRun) -> Option<Vec<usize>> {
    run.text.split('·').map(|figure| figure.parse().ok()).collect()
}

#[test]
fn run_counts_add_up_to_each_row_and_a_wrong_one_is_found() {
    let of = made(
        sample("low-water-heron"),
        order("booklet", "a4", Ink::Saving),
        Some(CHART.replace("cells = \"auto\"", "cells = \"square\"").replace("\"either\"", "\"upright\"")),
    );
    holds(&of);
    let chart = &of.prepared.project.chart;
    let mut tied = vec![0; chart.rows()];
    let mut cut_short = std::collections::BTreeSet::new();
    for (page, first_row, _) in of.sheets() {
        let grid = of.grid(page).expect("a chart sheet");
        let (top, h) = (grid.origin.y.to_pt(), grid.cell.height.to_pt());
        let bottom = top + h * grid.rows() as f64;
        // Smaller than row numbers, and quiet.
        for run in of.runs(page).filter(|run| run.origin.y.to_pt() > top && run.origin.y.to_pt() < bottom + h) {
            let row = first_row + ((run.origin.y.to_pt() - top) / h) as usize;
            if run.text.ends_with('…') {
                cut_short.insert(row);
            }
            let usual = of.draft.variant.edition.look.style(StyleName::CellNumber).size;
            if let Some(counts) = counts(run).filter(|_| run.size < usual * 0.9) {
                let right = run.origin.x > grid.origin.x;
                let ends_at_right = row.is_multiple_of(2);
                assert_eq!(right, ends_at_right, "row {}", row + 1);
                tied[row] += counts.iter().sum::<usize>();
            }
        }
    }
    assert!(cut_short.len() < chart.rows() / 4, "{}", cut_short.len());
    for (row, tied) in tied.iter().enumerate().filter(|(row, _)| !cut_short.contains(row)) {
        let knots = chart.row(hitchpress::chart::Row(row)).iter().flatten().count();
        // Rows shown again on the next sheet have their figures there too.
        assert!(*tied == knots || *tied == 2 * knots, "row {}: {tied} of {knots}", row + 1);
    }
    // The figures of one row in the place of another's.
    let mut booklet = (*of.booklet).clone();
    let (mut moved, mut row) = (None, None);
    for placed in booklet.pages[of.sheets()[0].0].frames.iter_mut().flat_map(|frame| &mut frame.items) {
        let Item::Text(run) = &mut placed.item else { continue };
        let many = counts(run).is_some_and(|counts| counts.len() > 1);
        match &moved {
            None if many => moved = Some((run.glyphs.clone(), run.text.clone())),
            Some((glyphs, text)) if many && run.text != *text => {
                (run.glyphs, run.text) = (glyphs.clone(), text.clone());
                row = Some(run.origin.y);
                break;
            }
            _ => {}
        }
    }
    assert!(row.is_some(), "no two rows with other counts");
    let bytes = pdf::write(&booklet, &FontBook::shipped(), pdf::Options::default()).expect("it is written");
    let report = of.proof(&bytes);
    assert_eq!(report.findings.len(), 1, "{:?}", said(&of, &bytes));
    assert_eq!(report.findings[0].id, "wrong-run-counts");
}

#[test]
fn long_rows_of_counts_end_in_dots_and_cost_no_sheet() {
    // One knot of each yarn after another: as many counts as knots.
    let rows: Vec<String> =
        (0..60).map(|row| (0..60).map(|at| if (at + row) % 2 == 0 { 'A' } else { 'B' }).collect()).collect();
    let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
    let project = panel::panel(panel::chart(&rows));
    let plain =
        made(project.clone(), order("booklet", "a4", Ink::Full), layout("run-counts = true", "run-counts = false"));
    let counted = made(project, order("chart", "a4", Ink::Full), None);
    holds(&counted);
    assert_eq!(plain.booklet.pages.len(), counted.booklet.pages.len());
    assert!(counted.runs(counted.sheets()[0].0).any(|run| run.text.ends_with('…') && run.text.starts_with("1·1·1")));
}

#[test]
fn bands_stand_beside_every_second_or_every_fifth_row() {
    for every in [2, 5] {
        let of = made(
            sample("two-pears"),
            order("booklet", "a4", Ink::Saving),
            layout("band-every = 2", &format!("band-every = {every}")),
        );
        holds(&of);
        let page = of.sheets()[0].0;
        let grid = of.grid(page).expect("a chart sheet");
        let tint = of.draft.variant.edition.look.tint;
        let bands = shapes(&of, page).find(|shape| shape.fill == Some(tint)).expect("bands");
        let mut rows: Vec<usize> = bands
            .outline
            .iter()
            .filter_map(|segment| match segment {
                hitchpress::page::Segment::Move(p) => Some((p.y - grid.origin.y) / grid.cell.height),
                _ => None,
            })
            .map(|row| row.round() as usize + 1)
            .collect();
        rows.dedup();
        rows.sort_unstable();
        rows.dedup();
        let want: Vec<usize> = (1..=grid.rows()).filter(|row| row % every == 0).collect();
        assert_eq!(rows, want);
    }
}

#[test]
fn true_cells_have_the_proportions_of_the_knots() {
    let of = made(
        sample("low-water-heron"),
        order("booklet", "a4", Ink::Saving),
        layout("cells = \"auto\"", "cells = \"true\""),
    );
    holds(&of);
    let gauge = &of.prepared.workings.gauge;
    for (page, ..) in of.sheets() {
        let cell = of.grid(page).expect("a chart sheet").cell;
        // Own computation: 90.4 mm over 16 columns, 54.4 mm over 16 rows.
        assert!((cell.width / cell.height - 90.4 / 54.4).abs() < 0.001, "{cell:?}");
        assert!((gauge.aspect() - 90.4 / 54.4).abs() < 0.001);
        assert!(Length::mm(4.0).fits(cell.height));
    }
}

#[test]
fn the_left_handed_edition_mirrors_the_way_of_working_and_never_the_picture() {
    for (n, name) in ["low-water-heron", "harbour-evening"].into_iter().enumerate() {
        for (_, edition) in ["booklet", "chart"].into_iter().enumerate().filter(|(e, _)| is_tried(n + e, 2)) {
            let usual = finished(name, edition, "a4", Ink::Saving);
            let mut project = sample(name);
            assert_eq!(project.working.first_row_from, Side::Left);
            project.working.first_row_from = Side::Right;
            let of = made(project, order(edition, "a4", Ink::Saving), None);
            holds(&of);
            // A file of the other hand is no proof of this one: every row differs.
            let other = of.proof(&usual.bytes);
            assert!(other.findings.iter().filter(|f| f.id == "wrong-arrow" || f.id == "no-arrow").count() >= 40);
            let sheets = of.sheets();
            assert_eq!(sheets.len(), usual.sheets().len());
            for ((page, first_row, _), (usual_page, ..)) in sheets.into_iter().zip(usual.sheets()) {
                let (grid, before) = (of.grid(page).expect("a sheet"), usual.grid(usual_page).expect("a sheet"));
                assert_eq!((&grid.cells, grid.columns), (&before.cells, before.columns));
                let right = grid.origin.x + grid.cell.width * grid.columns as f64;
                for tick in ticks(&of, page) {
                    let row = ((tick.area.centre().y - grid.origin.y) / grid.cell.height) as usize;
                    let starts_at_right = (first_row + row).is_multiple_of(2);
                    assert_eq!(tick.area.left() > right, starts_at_right, "{}", tick.field);
                }
            }
            let first = of.prepared.workings.rows.iter().find(|row| !row.place.is_header()).expect("rows");
            assert_eq!(first.direction, Direction::RightToLeft);
        }
    }
}

#[test]
fn the_figures_of_the_left_handed_edition_are_drawn_mirrored() {
    use hitchpress::manuscript::Block;
    let mirrored = |of: &Finished| -> Vec<(String, bool)> {
        let figures = of.draft.manuscript.sections.iter().flat_map(|s| &s.blocks).flat_map(|block| match block {
            Block::Figure(figure) => vec![figure],
            Block::Steps(steps) => steps.iter().filter_map(|step| step.figure.as_ref()).collect(),
            _ => Vec::new(),
        });
        figures.map(|figure| (figure.name.clone(), figure.mirrored)).collect()
    };
    let usual = mirrored(&finished("two-pears", "booklet", "a4", Ink::Saving));
    let mut project = sample("two-pears");
    project.working.first_row_from = Side::Right;
    let other = mirrored(&made(project, order("booklet", "a4", Ink::Saving), None));
    assert_eq!(usual.len(), other.len());
    assert!(usual.iter().all(|(_, mirrored)| !mirrored), "{usual:?}");
    let turned = other.iter().filter(|(_, mirrored)| *mirrored).count();
    assert!(turned >= 6, "{other:?}");
}

#[test]
fn large_print_is_large_everywhere_and_rows_follow_the_sheets_that_show_them() {
    let of = finished("two-pears", "large-print", "a4", Ink::Saving);
    for page in 0..of.booklet.pages.len() {
        for run in of.runs(page).filter(|run| !run.text.trim().is_empty()) {
            assert!(Length::pt(18.0).fits(run.size), "page {}: {:?} {:?}", page + 1, run.text, run.size);
            // This sheet's number in the finder is white on the marked field; compose sees to its contrast.
            let marked = run.colour == Colour::WHITE && run.text.trim().parse::<usize>().is_ok();
            // WCAG 2.2, enhanced contrast.
            assert!(marked || run.colour.contrast(Colour::WHITE) >= 7.0, "page {}: {:?}", page + 1, run.text);
        }
    }
    let sheets = of.sheets();
    assert!(sheets.len() > 1);
    let mut told = vec![None; of.prepared.project.chart.rows()];
    for (page, first_row, _) in &sheets {
        let grid = of.grid(*page).expect("a sheet");
        assert!(Length::mm(7.0).fits(grid.cell.width) && Length::mm(7.0).fits(grid.cell.height));
        for told in &mut told[*first_row..first_row + grid.rows()] {
            // Rows shown again at the top of a sheet were told before.
            told.get_or_insert(*page);
        }
    }
    for (row, sheet) in told.iter().enumerate() {
        let field = format!("row-{}", row + 1);
        let pages: Vec<usize> =
            (0..of.booklet.pages.len()).filter(|page| ticks(&of, *page).any(|tick| tick.field == field)).collect();
        let written = pages.iter().find(|page| of.grid(**page).is_none()).expect("the row in words");
        let last_before = sheets.iter().map(|s| s.0).filter(|page| page < written).max();
        let next = sheets.iter().map(|s| s.0).find(|page| page > written);
        let rank = |page: Option<usize>| sheets.iter().find(|s| Some(s.0) == page).map(|s| s.1);
        let own = sheets.iter().find(|s| Some(s.0) == *sheet).map(|s| s.1);
        assert_eq!(rank(last_before), own, "row {} is told after other sheets", row + 1);
        assert_ne!(rank(next), own, "row {} is told among its sheets", row + 1);
    }
    // The maker's own layout may ask for it too.
    let own = LARGE_PRINT.replace("look = \"large-print\"", "look = \"quiet\"");
    holds(&made(sample("two-pears"), order("booklet", "a4", Ink::Saving), Some(own)));
}

#[test]
fn the_key_stands_on_every_sheet_whatever_the_paper() {
    let papers = ["a4", "letter", "a5", "small-screen"];
    for (n, name) in ["low-water-heron", "two-pears", "harbour-evening"].into_iter().enumerate() {
        for (e, edition) in ["booklet", "chart", "large-print"].into_iter().enumerate() {
            for (_, paper) in papers.into_iter().enumerate().filter(|(p, _)| is_tried(n + e + p, 3)) {
                let of = finished(name, edition, paper, Ink::Saving);
                for (page, ..) in of.sheets() {
                    assert_eq!(samples_of(&of, page), of.prepared.project.palette.len(), "{name} {edition} {paper}");
                    for yarn in &of.prepared.project.palette.0 {
                        assert!(of.runs(page).any(|run| run.text.trim() == yarn.name), "{}", yarn.name);
                    }
                    // A sheet is for its rows.
                    let grid = of.grid(page).expect("a sheet");
                    let last = of.sheets().last().map(|s| s.0) == Some(page);
                    assert!(
                        grid.rows() >= if paper == "small-screen" { 2 } else { 3 } || last,
                        "{name} {edition} {paper}: {} rows",
                        grid.rows()
                    );
                }
            }
        }
    }
}

#[test]
fn squares_are_drawn_only_where_they_save_sheets_and_said_to_be() {
    // Knots 1.66 times as wide as high: on a small paper that would take many more sheets.
    let says = |of: &Finished| {
        // On a narrow sheet the note goes on below.
        let words = |page| of.runs(page).flat_map(|run| run.text.split_whitespace()).collect::<Vec<_>>().join(" ");
        of.sheets().iter().all(|(page, ..)| words(*page).contains("drawn square to save paper"))
    };
    for paper in ["a4", "letter", "a5", "half-letter", "small-screen"] {
        let [auto, own, square] = ["auto", "true", "square"].map(|cells| {
            let of = made(
                sample("low-water-heron"),
                order("booklet", paper, Ink::Saving),
                layout("cells = \"auto\"", &format!("cells = \"{cells}\"")),
            );
            let cell = of.grid(of.sheets()[0].0).expect("a sheet").cell;
            let squared = (cell.width / cell.height - 1.0).abs() < 0.001;
            assert_eq!(says(&of), squared, "{paper} {cells}");
            (of.sheets().len(), squared, !Length::mm(4.0).fits(cell.height))
        });
        assert!(!own.1 && square.1);
        // Neither for half again as many sheets nor with cells smaller than usual.
        let dear = own.0 * 2 > square.0 * 3 || (own.2 && own.0 > square.0);
        assert_eq!(auto.1, dear, "{paper}: {own:?} {square:?}");
    }
}

#[test]
fn a_chart_of_22_columns_stands_on_sheets_of_its_whole_width() {
    let row: String = (0..22).map(|at| if at % 3 == 0 { 'A' } else { 'B' }).collect();
    let rows: Vec<&str> = std::iter::repeat_n(row.as_str(), 30).collect();
    let project = panel::panel(panel::chart(&rows));
    for edition in ["booklet", "chart"] {
        for paper in ["a4", "letter", "a5", "half-letter"] {
            let of = made(project.clone(), order(edition, paper, Ink::Saving), None);
            for (page, ..) in of.sheets() {
                let grid = of.grid(page).expect("a sheet");
                assert_eq!(grid.columns, 22, "{edition} {paper}");
                assert!(Length::mm(3.2).fits(grid.cell.width.min(grid.cell.height)), "{edition} {paper}");
            }
        }
    }
}

pub fn samples_of(of: &Finished, page: usize) -> usize {
    of.cells(page).filter(|cells| cells.cells.len() == 1).count()
}

#[test]
fn long_names_of_many_yarns_stay_on_the_page() {
    for (edition, paper) in
        [("large-print", "small-screen"), ("large-print", "a5"), ("chart", "small-screen"), ("booklet", "a4")]
    {
        let mut project = sample("harbour-evening");
        for yarn in &mut project.palette.0 {
            yarn.name.push_str(" of the second dyeing, wound by hand");
        }
        // Every third row: as many yarns, and a third of the sheets.
        let chart = &project.chart;
        let rows = chart.cells().chunks(chart.columns()).step_by(3).flatten().copied().collect();
        project.chart = Chart::new(chart.columns(), rows).expect("whole rows");
        let of = made(project, order(edition, paper, Ink::Saving), None);
        holds(&of);
        let sheets: Vec<usize> = of.sheets().iter().map(|sheet| sheet.0).collect();
        for page in sheets[0].saturating_sub(3)..=sheets[0] {
            let size = of.booklet.pages[page].trim;
            for run in of.runs(page) {
                let right = run.origin.x + run.glyphs.iter().map(|glyph| glyph.advance).sum::<Length>();
                assert!(right.fits(size.width), "{edition} on {paper}, page {}: `{}`", page + 1, run.text);
                assert!(run.origin.y.fits(size.height), "{edition} on {paper}, page {}: `{}`", page + 1, run.text);
            }
        }
    }
}

#[test]
fn every_sheet_says_where_the_chart_goes_on() {
    let of = finished("harbour-evening", "chart", "a4", Ink::Saving);
    let sheets = of.sheets();
    let words = |page: usize| -> Vec<String> {
        of.placed(page)
            .filter_map(|placed| match (&placed.item, placed.mark) {
                (Item::Text(run), Mark::Node(node)) if of.booklet.structure.get(node).role == Role::Link => {
                    run.actual.clone().or(Some(run.text.clone()))
                }
                _ => None,
            })
            .collect()
    };
    for (page, row, column) in &sheets {
        let grid = of.grid(*page).expect("a sheet");
        let (columns, rows) = (of.prepared.project.chart.columns(), of.prepared.project.chart.rows());
        // The nearest of them.
        let folio = |wanted: &dyn Fn(usize, usize) -> bool| {
            let there = sheets.iter().filter(|(_, r, c)| wanted(*r, *c));
            there.min_by_key(|(_, r, c)| r.abs_diff(*row) + c.abs_diff(*column)).map(|(page, ..)| page + 1)
        };
        let says = |text: String| words(*page).iter().any(|words| words.contains(&text));
        if column + grid.columns < columns {
            let next = folio(&|r, c| r == *row && c > *column).expect("a sheet at the right");
            assert!(says(format!("Goes on at the right on page {next}.")), "{:?}", words(*page));
        }
        if *column > 0 {
            let before = folio(&|r, c| r == *row && c < *column).expect("a sheet at the left");
            assert!(says(format!("Goes on at the left on page {before}.")), "{:?}", words(*page));
            assert!(says(format!("also on page {before}")), "{:?}", words(*page));
        }
        if row + grid.rows() < rows {
            let below = folio(&|r, c| r > *row && c == *column).expect("a sheet below");
            assert!(says(format!("Goes on below on page {below}.")), "{:?}", words(*page));
        }
    }
}

#[test]
fn header_rows_are_counted_by_themselves() {
    let of = finished("low-water-heron", "booklet", "a4", Ink::Saving);
    let header = of.prepared.workings.header.rows;
    assert!(header > 0);
    let fields: Vec<&str> =
        (0..of.booklet.pages.len()).flat_map(|page| ticks(&of, page).map(|tick| tick.field.as_str())).collect();
    for row in 1..=header {
        assert!(fields.contains(&format!("row-H{row}").as_str()), "H{row}");
    }
    assert!(!fields.contains(&format!("row-H{}", header + 1).as_str()));
    // The chart's own rows begin at 1 again.
    let (page, first_row, _) = of.sheets()[0];
    assert_eq!(first_row, 0);
    assert!(ticks(&of, page).all(|tick| !tick.field.starts_with("row-H")));
}
