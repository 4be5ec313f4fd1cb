//! One sheet that was drawn rightly, changed in one thing after it was read.

use super::super::cell_marks::{CellMark, CellMarkKind};
use super::super::check_sheet::{SheetOnPage, check_sheet, tally};
use super::super::expectations::ExpectedMark;
use super::super::flow::Flow;
use super::super::sheet::{DrawnSheet, Number, sheet};
use super::super::{Expectations, Finding, PdfReader, ProofReport, check_coverage};
use super::drawn::line;
use super::{NAMES, Slip, Trial};
use crate::chart::{Column, Row};
use crate::reader::stretches;

/// What is found on the second sheet of the trial, which shows columns 11 to 22 and repeats two, after this change, and which
/// cells are shown once it is. Words beside the sheet's own stand below it.
fn judged(change: impl FnOnce(&mut DrawnSheet), expected: &Expectations, besides: &[&str]) -> (ProofReport, Vec<bool>) {
    judged_on(2, change, expected, besides)
}

/// The same of the sheet on this page.
fn judged_on(
    number: usize,
    change: impl FnOnce(&mut DrawnSheet),
    expected: &Expectations,
    besides: &[&str],
) -> (ProofReport, Vec<bool>) {
    let trial = Trial::new(Slip::None);
    let mut reading = PdfReader::open(&trial.pdf()).expect("the trial opens");
    let page = reading.page(number).expect("it has this page");
    let lines = stretches(&page.drawn);
    let mut drawn = sheet(&page.drawn, &lines, &NAMES).expect("a sheet");
    change(&mut drawn);
    let mut flow = Flow::default();
    let besides = besides.iter().enumerate().map(|(at, words)| line(400.0, 600.0 + 30.0 * at as f64, words));
    flow.add(number, lines.into_iter().chain(besides).collect());
    let tally = tally(expected);
    let on_page = SheetOnPage { number, sheet: &drawn, ticks: &page.ticks, flow: &flow, tally: &tally };
    let chart = &expected.project.chart;
    // The first sheet has shown columns 1 to 12.
    let mut covered: Vec<bool> = (0..chart.cells().len()).map(|at| at % chart.columns() < 12).collect();
    let mut report = ProofReport::default();
    check_sheet(&on_page, expected, &mut covered, &mut report);
    (report, covered)
}

/// What is told of that sheet where it is whole.
fn told(change: impl FnOnce(&mut DrawnSheet), expected: &Expectations, besides: &[&str]) -> Vec<String> {
    let (report, covered) = judged(change, expected, besides);
    assert!(covered.iter().all(|seen| *seen), "both sheets show every cell");
    assert_eq!(report.cells, 180);
    report.findings.iter().map(Finding::sentence).collect()
}

const NONE: [String; 0] = [];

fn at(row: usize, column: usize, kind: CellMarkKind) -> CellMark {
    CellMark { row, column, kind, at_left: true }
}

#[test]
fn small_marks_are_those_that_are_meant_and_lengths_are_named_beside_the_sheet() {
    let trial = Trial::new(Slip::None);
    let meant = |row: usize, column: usize, kind, words: &str| ExpectedMark {
        cell: row * 22 + column,
        mark: at(row, column, kind),
        words: words.to_owned(),
    };
    // The first one stands on the other sheet, as does the last.
    let marks = vec![
        meant(3, 9, CellMarkKind::Start, ""),
        meant(3, 10, CellMarkKind::Cut, ""),
        meant(3, 12, CellMarkKind::Choice, "4, 13 ← 2, 5"),
        meant(4, 21, CellMarkKind::Link, ""),
        meant(14, 9, CellMarkKind::Start, ""),
    ];
    let expected = Expectations { marks: Some(marks), ..trial.expected() };
    // Drawn marks are counted from the sheet's own corner.
    let drawn = [at(3, 0, CellMarkKind::Cut), at(3, 2, CellMarkKind::Choice), at(4, 11, CellMarkKind::Link)];
    let named = ["4, 13 ← 2, 5"];
    assert_eq!(told(|sheet| sheet.marks = drawn.into(), &expected, &named), NONE);
    let missing = told(|sheet| sheet.marks = drawn[1..].iter().copied().collect(), &expected, &named);
    assert_eq!(missing, ["page 2, row 4, column 11: no mark cuts the yarn there"]);
    let missing = told(|sheet| sheet.marks = drawn[..2].iter().copied().collect(), &expected, &named);
    assert_eq!(missing, ["page 2, row 5, column 22: no mark links two yarns there"]);
    let more = |sheet: &mut DrawnSheet| {
        sheet.marks = drawn.into();
        sheet.marks.insert(at(14, 1, CellMarkKind::Start));
    };
    let more = told(more, &expected, &named);
    assert_eq!(more, ["page 2, row 15, column 12: a mark starts a length there, which the rows do not"]);
    let unnamed = told(|sheet| sheet.marks = drawn.into(), &expected, &["4, 13 ← 2, 6"]);
    assert_eq!(unnamed, ["page 2, row 4, column 13: the sheet does not say `4, 13 ← 2, 5`"]);
    // Where no marks are meant to be looked for, none are.
    assert_eq!(told(|sheet| sheet.marks = drawn.into(), &trial.expected(), &[]), NONE);
}

#[test]
fn marks_of_a_sheet_that_begins_further_down_are_counted_from_its_own_first_row() {
    let trial = Trial::new(Slip::None);
    let mark = at(3, 10, CellMarkKind::Cut);
    let marks = vec![ExpectedMark { cell: 3 * 22 + 10, mark, words: String::new() }];
    let expected = Expectations { marks: Some(marks), ..trial.expected() };
    let of_marks = |row: usize| {
        let without_two_rows = |sheet: &mut DrawnSheet| {
            sheet.lattice.area.top += 2.0 * sheet.lattice.down();
            sheet.lattice.rows -= 2;
            sheet.cells.of.drain(..2 * sheet.lattice.columns);
            sheet.row_ends.drain(..2);
            sheet.marks = [at(row, 0, CellMarkKind::Cut)].into();
        };
        let (report, _) = judged(without_two_rows, &expected, &[]);
        let sentences = report.findings.iter().map(Finding::sentence);
        sentences.filter(|sentence| sentence.contains("mark")).collect::<Vec<_>>()
    };
    assert_eq!(of_marks(1), NONE);
    assert_eq!(
        of_marks(3),
        [
            "page 2, row 4, column 11: no mark cuts the yarn there",
            "page 2, row 6, column 11: a mark cuts the yarn there, which the rows do not"
        ]
    );
}

#[test]
fn a_sheet_stands_where_its_cells_fit_though_more_of_its_numbers_say_otherwise() {
    let trial = Trial::new(Slip::None);
    let wrong = |sheet: &mut DrawnSheet| {
        let numbers = sheet.column_ends.iter_mut().flatten().flat_map(|end| &mut end.numbers);
        // All but the last pair name the column before.
        let mut numbers: Vec<&mut Number> = numbers.collect();
        let count = numbers.len() - 2;
        numbers.iter_mut().take(count).for_each(|number| number.value -= 1);
    };
    let found = told(wrong, &trial.expected(), &[]);
    assert!(
        !found.is_empty() && found.iter().all(|it| it.contains("stands above it") || it.contains("stands below it"))
    );
    assert!(found.contains(&"page 2, column 11: the number 10 stands above it instead of 11".to_owned()), "{found:#?}");
}

#[test]
fn a_rows_number_stands_beside_its_middle_and_a_second_one_does_not_hide_it() {
    let trial = Trial::new(Slip::None);
    let expected = trial.expected();
    let change = |row: usize, change: &dyn Fn(&mut Vec<Number>)| {
        let end = usize::from(!row.is_multiple_of(2));
        told(|sheet| change(&mut sheet.row_ends[row][end].numbers), &expected, &[])
    };
    let nearer = Number { value: 99, away: 1.0, off: 0.0, wide: 4.0 };
    assert_eq!(change(4, &|numbers| numbers.insert(0, nearer)), NONE);
    assert_eq!(change(4, &|numbers| numbers[0].off = 0.29), NONE);
    let aside = change(5, &|numbers| numbers[0].off = 0.31);
    assert_eq!(aside, ["page 2, row 6: its number 6 stands beside the middle of no row"]);
    let wrong = change(5, &|numbers| numbers[0].value = 7);
    assert_eq!(wrong, ["page 2, row 6: the number 7 stands at its right end instead of 6"]);
    let none = change(4, &Vec::clear);
    assert_eq!(none, ["page 2, row 5: no number stands at its left end, where it starts"]);
}

#[test]
fn figures_where_a_row_ends_are_its_runs_or_with_dots_the_first_of_them() {
    let trial = Trial::new(Slip::None);
    let expected = Expectations { run_counts: true, ..trial.expected() };
    let chart = &expected.project.chart;
    // Columns that the first sheet has not shown.
    let runs = |row: usize| {
        let mut cells: Vec<_> = (12..22).map(|column| chart.cell(Row(row), Column(column))).collect();
        if row % 2 == 1 {
            cells.reverse();
        }
        let runs = cells.chunk_by(|a, b| a == b).filter(|run| run[0].is_some());
        runs.map(|run| run.len().to_string()).collect::<Vec<_>>()
    };
    let with = |row: usize, words: &str| {
        let say = |sheet: &mut DrawnSheet| {
            for row in 0..15 {
                sheet.row_ends[row][1 - row % 2].words = runs(row).join("·");
            }
            sheet.row_ends[row][1 - row % 2].words = words.to_owned();
        };
        told(say, &expected, &[]).len()
    };
    for row in [2, 3] {
        let all = runs(row);
        assert!(all.len() > 3);
        assert_eq!((with(row, &all.join("·")), with(row, &all.join(" · "))), (0, 0));
        assert_eq!((with(row, &format!("{} …", all[..2].join("·"))), with(row, "…")), (0, 0));
        // Dots after all of them promise more; other figures, or fewer without dots, are wrong.
        assert_eq!((with(row, &format!("{} …", all.join("·"))), with(row, &all[..2].join("·"))), (1, 1));
        assert_eq!((with(row, &format!("9·{} …", all[1])), with(row, "")), (1, 1));
    }
}

#[test]
fn marks_of_a_sheet_that_ends_before_the_chart_are_those_of_its_own_columns() {
    let trial = Trial::new(Slip::None);
    let meant =
        |column: usize, kind| ExpectedMark { cell: 66 + column, mark: at(3, column, kind), words: String::new() };
    // The first sheet shows twelve columns of 22.
    let marks = vec![meant(0, CellMarkKind::Start), meant(11, CellMarkKind::Cut), meant(12, CellMarkKind::Start)];
    let expected = Expectations { marks: Some(marks), ..trial.expected() };
    let told = |drawn: &[CellMark]| {
        let (report, _) = judged_on(1, |sheet| sheet.marks = drawn.iter().copied().collect(), &expected, &[]);
        report.findings.iter().map(Finding::sentence).collect::<Vec<_>>()
    };
    let both = [at(3, 0, CellMarkKind::Start), at(3, 11, CellMarkKind::Cut)];
    assert_eq!(told(&both), NONE);
    let one = told(&both[..1]);
    assert!(one.len() == 1 && one[0].ends_with("no mark cuts the yarn there"), "{one:?}");
}

#[test]
fn a_box_within_a_box_is_one_box_to_tick_and_one_beside_it_is_another() {
    let trial = Trial::new(Slip::None);
    let expected = trial.expected();
    let with = |grown: f64, aside: f64| {
        told(
            |sheet| {
                let boxes = &mut sheet.row_ends[4][0].boxes;
                let mut other = boxes[0].grown(grown);
                (other.left, other.right) = (other.left + aside, other.right + aside);
                boxes.push(other);
            },
            &expected,
            &[],
        )
    };
    assert_eq!((with(-1.5, 0.0), with(2.0, 0.0), with(0.0, 0.9)), (NONE.into(), NONE.into(), NONE.into()));
    assert_eq!(with(0.0, 20.0), ["page 2, row 5: more than one box to tick stands at its left end"]);
}

#[test]
fn a_ten_near_the_edge_may_be_missing_where_two_numbers_would_have_no_room() {
    let trial = Trial::new(Slip::None);
    let expected = trial.expected();
    let missing = |share: f64| {
        told(
            |sheet| {
                // Column 20 is the third from the right: two columns lie between its middle and that of the last.
                let between = 2.0 * sheet.lattice.across();
                assert!(between > 20.0);
                sheet.column_ends[0][0].numbers[0].wide = between / 2.2 * share;
                sheet.column_ends[9].iter_mut().for_each(|end| end.numbers.clear());
            },
            &expected,
            &[],
        )
    };
    assert_eq!(missing(1.05), NONE);
    let told = missing(0.95);
    assert_eq!(told, ["page 2, column 20: no number stands above it", "page 2, column 20: no number stands below it"]);
}

#[test]
fn knots_that_stand_on_no_sheet_are_told_row_by_row() {
    let trial = Trial::new(Slip::None);
    let expected = trial.expected();
    let told = |sheets: usize, missing: &[usize]| {
        let mut report = ProofReport { sheets, ..ProofReport::default() };
        let covered: Vec<bool> = (0..22 * 15).map(|cell| !missing.contains(&cell)).collect();
        check_coverage(&expected, &covered, &mut report);
        report.findings.iter().map(Finding::sentence).collect::<Vec<_>>()
    };
    // The last column is bare.
    assert_eq!(told(2, &[21, 43]), NONE);
    let rows = ["row 3: column 5 stands on no sheet", "row 6: columns 20 to 21 stand on no sheet"];
    assert_eq!(told(2, &[2 * 22 + 4, 5 * 22 + 19, 5 * 22 + 20, 5 * 22 + 21]), rows);
    assert_eq!(told(0, &[0]), ["the file has no chart sheet"]);
}
