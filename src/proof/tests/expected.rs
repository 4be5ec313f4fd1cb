//! What is expected of a file, worked out from small manuscripts.

use super::super::Expectations;
use super::super::cell_marks::{CellMark, CellMarkKind};
use super::super::expectations::PageLayout;
use super::{Slip, Trial};
use crate::catalogue::SectionName;
use crate::colour::Colour;
use crate::geom::{Length, Size};
use crate::manuscript::long_row::{LongRow, SpokenStretch};
use crate::manuscript::{
    Block, ChartBlock, ChartMark, ChartMarkKind, ChartRow, ChartWords, ChartYarn, Manuscript, Section, Table,
    TableEntry, TickLine, WrittenRow,
};
use crate::markup::{Inline, plain};

fn manuscript(blocks: Vec<Block>) -> Manuscript {
    let section = Section { id: SectionName::Materials, title: Some("To buy".to_owned()), blocks };
    Manuscript {
        about: Default::default(),
        furniture: Default::default(),
        sections: vec![section],
        pictures: Vec::new(),
    }
}

/// What is expected of this manuscript, with so much bleed, and marks or none.
fn of(trial: &Trial, blocks: Vec<Block>, bleed: f64, marks: bool) -> Expectations<'_> {
    let paper = Size::new(Length::mm(148.0), Length::mm(210.0));
    let layout = PageLayout { paper, bleed: Length::mm(bleed), run_counts: false, marks };
    Expectations::of(&trial.project, &manuscript(blocks), layout)
}

fn written(number: &str, field: &str) -> WrittenRow {
    WrittenRow {
        number: number.to_owned(),
        field: field.to_owned(),
        left_to_right: true,
        sentence: plain(format!("Row\u{ad} {number}: 3 navy")),
        runs: Vec::new(),
        spoken: format!("Row {number}"),
        in_parts: None,
    }
}

/// A chart of two rows and three columns, the second from the right.
fn chart() -> ChartBlock {
    let row = |row: usize| ChartRow {
        number: (row + 1).to_string(),
        left_to_right: row == 0,
        field: format!("row-{}", row + 1),
        spoken: format!("Row {}: 3 navy", row + 1).as_str().into(),
        name: format!("Row {}", row + 1).as_str().into(),
        in_parts: None,
    };
    let yarn = ChartYarn {
        letter: 'N',
        name: "navy \u{200b}blue".to_owned(),
        colour: Colour::BLACK,
        symbol: "square".to_owned(),
        symbol_words: "a square".to_owned(),
        count: "6".to_owned(),
        spoken: "6 knots".to_owned(),
    };
    let words =
        ChartWords { columns: "Columns {from}".to_owned(), rows: "Rows {from}".to_owned(), ..ChartWords::default() };
    ChartBlock {
        columns: 3,
        cells: vec![Some(0); 6],
        yarns: vec![yarn],
        rows: vec![row(0), row(1)],
        marks: Vec::new(),
        aspect: 1.0,
        alongside: Vec::new(),
        words,
    }
}

#[test]
fn lines_facts_and_tables_are_looked_for_but_no_page_numbers() {
    let trial = Trial::new(Slip::None);
    let line = |text| TickLine { field: String::new(), swatch: None, text, spoken: String::new() };
    let cell = |words: &str| TableEntry { tick: None, swatch: None, text: plain(words) };
    let table = |row_heads| {
        let rows = vec![vec![cell("navy"), cell("37 m"), cell("")], vec![cell("cream"), cell("5 m")]];
        Block::Table(Table { caption: None, columns: Vec::new(), rows, row_heads, note: None })
    };
    let blocks = vec![
        Block::Ticks(vec![
            line(plain("a do\u{ad}wel")),
            line(vec![Inline::PageOf(SectionName::Chart)]),
            line(plain(" ")),
        ]),
        Block::Facts(vec![(plain("length"), plain("1 m"))]),
        table(true),
        table(false),
    ];
    let expected = of(&trial, blocks, 0.0, true);
    let lines: Vec<_> =
        expected.lines.iter().map(|it| (it.what.as_str(), it.words.as_str(), it.beside.as_str())).collect();
    let (a_line, a_value, a_cell) =
        ("a line in the section `To buy`", "a value in the section `To buy`", "a table's cell in the section `To buy`");
    let wanted = [
        (a_line, "a dowel", ""),
        (a_value, "1 m", "length"),
        (a_cell, "navy", ""),
        (a_cell, "37 m", "navy"),
        (a_cell, "cream", ""),
        (a_cell, "5 m", "cream"),
        (a_cell, "navy", ""),
        (a_cell, "37 m", ""),
        (a_cell, "cream", ""),
        (a_cell, "5 m", ""),
    ];
    assert_eq!(lines, wanted);
    assert!(!expected.chart && !expected.written && expected.rows.is_empty() && expected.key.is_empty());
    assert!(expected.marks.is_none());
    // Boxes are ticked on a screen, and no press prints a screen's file.
    assert!(expected.fields && !of(&trial, Vec::new(), 3.0, true).fields);
    let (width, height) = expected.paper.expect("a paper");
    assert!((width - 419.53).abs() < 0.01 && (height - 595.28).abs() < 0.01);
    assert!((of(&trial, Vec::new(), 3.0, true).bleed - 8.504).abs() < 0.001);
}

#[test]
fn rows_are_those_in_words_and_else_those_that_boxes_say() {
    let trial = Trial::new(Slip::None);
    let names = |rows: &[super::super::expectations::ExpectedRow]| {
        rows.iter().map(|row| format!("{} {} {}", row.number, row.field, row.sentence)).collect::<Vec<_>>()
    };
    // Header rows stand in words, and have no place on the chart.
    let rows = || vec![written("H1", "header-1"), written("1", "row-1"), written("2", "row-2")];
    let both = of(&trial, vec![Block::Rows(rows()), Block::Chart(Box::new(chart()))], 0.0, true);
    assert_eq!(names(&both.rows), ["1 row-1 Row 1: 3 navy", "2 row-2 Row 2: 3 navy"]);
    assert_eq!(names(&both.header_rows), ["H1 header-1 Row H1: 3 navy"]);
    assert!(both.written && both.chart && both.rows[0].again == "Row 1");
    let beside = of(&trial, vec![Block::Chart(Box::new(ChartBlock { alongside: rows(), ..chart() }))], 0.0, true);
    assert_eq!((names(&beside.rows), beside.written), (names(&both.rows), true));
    let spoken = of(&trial, vec![Block::Chart(Box::new(chart()))], 0.0, true);
    assert_eq!((names(&spoken.rows), spoken.written), (names(&both.rows), false));
    assert_eq!((spoken.rows[1].spoken.as_str(), spoken.rows[1].again.as_str()), ("Row 2: 3 navy", "Row 2"));
    assert_eq!((spoken.key[0].name.as_str(), spoken.key[0].count.as_str()), ("navy blue", "6"));
    assert_eq!((spoken.sheet.columns.as_str(), spoken.sheet.rows.as_str()), ("Columns {from}", "Rows {from}"));
    // Of a long row all knots are to be said; bare cords may be on a sheet that is not printed.
    let stretch = |words: &str, is_bare| SpokenStretch { columns: (0, 0), words: words.to_owned(), is_bare };
    let stretches = vec![stretch("2 navy", false), stretch("9 bare", true), stretch("1 cream", false)];
    let long = LongRow { stretches, words: String::new(), goes_on: String::new(), between: ", ".to_owned() };
    let mut in_parts = chart();
    in_parts.rows[0].in_parts = Some(Box::new(long));
    let parted = of(&trial, vec![Block::Chart(Box::new(in_parts))], 0.0, true);
    assert_eq!(
        (parted.rows[0].sentence.as_str(), parted.rows[1].sentence.as_str()),
        ("2 navy, 1 cream", "Row 2: 3 navy")
    );
    assert_eq!(parted.rows[0].in_parts, ["2 navy", "1 cream"]);
}

#[test]
fn marks_stand_where_a_run_begins_or_ends_as_its_row_is_worked() {
    let trial = Trial::new(Slip::None);
    let choice = |tied, words: &str| ChartMarkKind::Choice { tied, words: words.to_owned() };
    // Cell 1 is in row 1 from the left, cell 5 in row 2 from the right.
    let of_kind = |cell, kind, marks| {
        let marked = ChartBlock { marks: vec![ChartMark { cell, kind }], ..chart() };
        let found = of(&trial, vec![Block::Chart(Box::new(marked))], 0.0, marks).marks?;
        Some((found[0].cell, found[0].mark, found[0].words.clone()))
    };
    let at = |row, column, kind, at_left| CellMark { row, column, kind, at_left };
    for (cell, kind, mark, words) in [
        (1, ChartMarkKind::Start, at(0, 1, CellMarkKind::Start, true), ""),
        (5, ChartMarkKind::Start, at(1, 2, CellMarkKind::Start, false), ""),
        (1, ChartMarkKind::Cut, at(0, 1, CellMarkKind::Cut, false), ""),
        (5, ChartMarkKind::Cut, at(1, 2, CellMarkKind::Cut, true), ""),
        (1, ChartMarkKind::Link, at(0, 1, CellMarkKind::Link, true), ""),
        (4, ChartMarkKind::Link, at(1, 2, CellMarkKind::Link, true), ""),
        (5, choice(Some(1), "unsaid"), at(1, 2, CellMarkKind::Choice, false), "2, 3 ← 1, 2"),
        (1, choice(None, "H2"), at(0, 1, CellMarkKind::Choice, true), "1, 2 ← H2"),
    ] {
        assert_eq!(of_kind(cell, kind.clone(), true), Some((cell, mark, words.to_owned())), "{kind:?}");
        assert_eq!(of_kind(cell, kind, false), None);
    }
}
