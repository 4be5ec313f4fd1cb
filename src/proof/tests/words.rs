//! Rows in words: their counts, and what is told of a sentence that stands nowhere whole.

use super::super::check_words::{check_lines, check_rows};
use super::super::expectations::ExpectedLine;
use super::super::flow::Flow;
use super::super::{Expectations, Finding, ProofReport};
use super::drawn::line;
use super::{Slip, Trial};
use crate::chart::{Chart, YarnId};
use crate::project::Side;

/// A trial with one row of three navy, two cream, three navy blue, and below it one that has a bare cell between two cream.
fn small() -> Trial {
    let mut trial = Trial::new(Slip::None);
    trial.project.working.first_row_from = Side::Left;
    let letters = "NNNCCBBBC.CNNNNN";
    let cells = letters.chars().map(|letter| "NBC".find(letter).map(|yarn| YarnId(yarn as u8)));
    trial.project.chart = Chart::new(8, cells.collect()).expect("two rows of eight");
    trial
}

/// What is told of a row's counts where it is said like this.
fn counts(row: usize, sentence: &str) -> Vec<String> {
    let trial = small();
    let mut expected = Expectations { written: false, ..trial.expected() };
    expected.rows.truncate(2);
    for (at, other) in expected.rows.iter_mut().enumerate() {
        other.sentence = if at == row { sentence.to_owned() } else { String::new() };
    }
    let mut report = ProofReport::default();
    check_rows(&Flow::default(), &expected, &mut report);
    report.findings.iter().map(Finding::sentence).collect()
}

#[test]
fn a_row_says_the_runs_of_the_chart_whole_or_in_parts_and_nothing_else() {
    let right = [
        "3 navy, 2 cream, 3 navy blue.",
        "Row 1: (3 navy): “2 cream”; 3 navy blue",
        "2 navy; a new length: 1 navy, 2 cream, 3 navy blue",
        // What is led behind knots is said besides, where the row has as many of it.
        "3 navy, lead behind 2 cream, 2 cream, 3 navy blue",
        "3 navy, 2 cream, 1 navy, 3 navy blue",
        "",
    ];
    for sentence in right {
        assert_eq!(counts(0, sentence), Vec::<String>::new(), "{sentence}");
    }
    let wrong = [
        ("3 navy, 2 cream", "leaves out 3 navy blue"),
        ("2 navy, 2 cream, 3 navy blue", "leaves out 3 navy"),
        ("2 cream, 3 navy, 3 navy blue", "leaves out 2 cream"),
        ("3, navy, 2 cream", "leaves out 3 navy"),
        ("3 navy 2 cream, 3 navy: blue", "leaves out 3 navy blue"),
        ("nothing", "leaves out 3 navy"),
        ("3 navy, 2 cream, 4 navy blue", "says 4 navy blue, which is no run of it"),
        ("3 navy, 3 cream, 3 navy blue", "says 3 cream, which is no run of it"),
        ("4 navy, 2 cream, 3 navy blue", "says 4 navy, which is no run of it"),
        ("2 navy, 2 navy, 2 cream, 3 navy blue", "leaves out 3 navy"),
    ];
    for (sentence, told) in wrong {
        assert_eq!(counts(0, sentence), [format!("row 1: its sentence {told}")], "{sentence}");
    }
    // The second row is tied from the right; knots on both sides of a bare cell are two runs.
    assert_eq!(counts(1, "5 navy, 1 cream, 1 cream"), Vec::<String>::new());
    assert_eq!(counts(1, "1 cream, 1 cream, 5 navy"), ["row 2: its sentence leaves out 1 cream"]);
    assert_eq!(counts(1, "5 navy, 2 cream"), ["row 2: its sentence says 2 cream, which is no run of it"]);
}

#[test]
fn a_sentence_that_is_not_whole_is_told_from_where_it_differs() {
    let trial = small();
    let told = |lines: &[(f64, f64, &str)]| {
        let mut flow = Flow::default();
        flow.add(3, lines.iter().map(|(x, y, text)| line(*x, *y, text)).collect());
        let mut expected = Expectations { written: true, ..trial.expected() };
        expected.rows.truncate(1);
        expected.rows[0].sentence = "Row 1, left to right: 3 navy, 2 cream, 3 navy blue.".to_owned();
        let mut report = ProofReport::default();
        check_rows(&flow, &expected, &mut report);
        (report.written_rows, report.findings.iter().map(Finding::sentence).collect::<Vec<_>>())
    };
    let whole = [(50.0, 100.0, "Row 1, left to right: 3 navy, 2 cream,"), (50.0, 112.0, "3 navy blue.")];
    assert_eq!(told(&whole), (1, Vec::new()));
    let said = |words: &str| format!("page 3, row 1: after {words}");
    let other = [(50.0, 100.0, "Row 1, left to right: 3 navy, 5 cream, 3 navy blue.")];
    assert_eq!(told(&other), (0, vec![said("`right: 3 navy,` the words say `5` instead of `2`")]));
    let cut = [(50.0, 100.0, "Row 1, left to right: 3 navy, 2")];
    assert_eq!(told(&cut), (0, vec![said("`3 navy, 2` the words say nothing more instead of `cream,`")]));
    let two = [(50.0, 100.0, "Row 1, right to left")];
    assert_eq!(told(&two), (0, vec![said("`Row 1,` the words say `right` instead of `left`")]));
    // One word alike is no sentence.
    let nowhere = "row 1: its sentence `Row 1, left to right: 3 ...` stands nowhere in the file";
    assert_eq!(told(&[(50.0, 100.0, "Row by row")]), (0, vec![nowhere.to_owned()]));
    assert_eq!(told(&[(50.0, 100.0, "nothing")]), (0, vec![nowhere.to_owned()]));
}

#[test]
fn other_words_stand_beside_what_they_are_said_of() {
    let trial = small();
    let expected = |beside: &str| {
        let line = ExpectedLine { what: "a value".to_owned(), words: "37 m".to_owned(), beside: beside.to_owned() };
        Expectations { lines: vec![line], ..trial.expected() }
    };
    let told = |beside: &str| {
        let mut flow = Flow::default();
        flow.add(1, vec![line(50.0, 100.0, "navy"), line(120.0, 100.0, "37 m"), line(50.0, 130.0, "cream")]);
        let mut report = ProofReport::default();
        check_lines(&flow, &expected(beside), &mut report);
        report.findings.iter().map(Finding::sentence).collect::<Vec<_>>()
    };
    assert_eq!((told(""), told("navy")), (Vec::new(), Vec::new()));
    assert_eq!(told("cream"), ["a value should read `37 m` beside `cream`; that stands nowhere"]);
}
