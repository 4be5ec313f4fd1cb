//! Small marks in the cells: all that the rule of carrying does not say, read back from the drawing, and every slip found.

use crate::finished::{Finished, finished, finished_in};
use hitchpress::font::FontBook;
use hitchpress::manuscript::{Block, ChartMark, ChartMarkKind};
use hitchpress::pdf;
use hitchpress::press::Draft;
use hitchpress::project::Ink;
use hitchpress::proof::Finding;

fn marks(draft: &mut Draft) -> &mut Vec<ChartMark> {
    let blocks = draft.manuscript.sections.iter_mut().flat_map(|section| &mut section.blocks);
    let charts = blocks.filter_map(|block| match block {
        Block::Chart(chart) => Some(&mut chart.marks),
        _ => None,
    });
    charts.last().expect("an edition with a chart")
}

/// What proof says of the file that has other marks.
fn said(of: &Finished, change: impl Fn(&mut Vec<ChartMark>)) -> Vec<(String, String)> {
    let mut draft = of.draft.clone();
    change(marks(&mut draft));
    let book = FontBook::shipped();
    let booklet = draft.lay_out(&book).expect("it is laid out");
    let bytes = pdf::write(&booklet, &book, pdf::Options::default()).expect("it is written");
    let found = |finding: &Finding| (finding.id.to_string(), finding.sentence());
    of.proof(&bytes).findings.iter().map(found).collect()
}

#[test]
fn every_mark_is_read_back_from_the_drawing_in_every_ink() {
    for (sample, edition, paper, ink) in [
        ("low-water-heron", "chart", "a4", Ink::Full),
        ("low-water-heron", "booklet", "letter", Ink::SymbolsOnly),
        ("two-pears", "chart", "a5", Ink::Saving),
        ("two-pears", "large-print", "a4", Ink::Full),
        ("harbour-evening", "chart", "a4", Ink::Saving),
        ("harbour-evening", "booklet", "a4", Ink::SymbolsOnly),
    ] {
        let of = finished(sample, edition, paper, ink);
        let report = of.proof(&of.bytes);
        let findings: Vec<String> = report.findings.iter().take(5).map(|f| f.sentence()).collect();
        assert!(report.holds(), "{sample} {edition} {paper} {ink:?}: {findings:#?}");
        let mut draft = of.draft.clone();
        let marks = marks(&mut draft);
        let count = |kind: fn(&ChartMarkKind) -> bool| marks.iter().filter(|mark| kind(&mark.kind)).count();
        assert!(count(|kind| *kind == ChartMarkKind::Start) > 5, "{sample}");
        assert!(count(|kind| *kind == ChartMarkKind::Cut) > 5, "{sample}");
    }
}

#[test]
fn a_mark_that_is_missing_another_or_elsewhere_is_found() {
    let of = finished("low-water-heron", "chart", "a4", Ink::Full);
    assert_eq!(said(&of, |_| {}), []);
    let mut draft = of.draft.clone();
    let all = marks(&mut draft).clone();
    let columns = of.prepared.project.chart.columns();
    let rightwards: Vec<bool> = {
        let blocks = draft.manuscript.sections.iter().flat_map(|section| &section.blocks);
        let mut charts = blocks.filter_map(|block| match block {
            Block::Chart(chart) => Some(chart),
            _ => None,
        });
        charts.next_back().expect("a chart").rows.iter().map(|row| row.left_to_right).collect()
    };
    // A link lies on the line between two columns; it is named by the column to the right of the line.
    let place = |mark: &ChartMark| {
        let (row, column) = (mark.cell / columns, mark.cell % columns);
        let right = usize::from(mark.kind == ChartMarkKind::Link && !rightwards[row]);
        format!("row {}, column {}: ", row + 1, column + right + 1)
    };
    let mut kinds = std::collections::BTreeSet::new();
    for (at, mark) in all.iter().enumerate() {
        // One of each kind.
        if !kinds.insert(format!("{:?}", mark.kind).chars().take(4).collect::<String>()) {
            continue;
        }
        let found = said(&of, |marks| drop(marks.remove(at)));
        assert!(
            found.iter().any(|(id, said)| id == "no-cell-mark" && said.contains(&place(mark))),
            "{mark:?} {found:?}"
        );
        let moved = ChartMark { cell: mark.cell + columns, ..mark.clone() };
        let found = said(&of, |marks| {
            marks.remove(at);
            marks.insert(marks.partition_point(|other| other.cell < moved.cell), moved.clone());
        });
        assert!(
            found.iter().any(|(id, said)| id == "no-cell-mark" && said.contains(&place(mark))),
            "{mark:?} {found:?}"
        );
        if all.iter().all(|other| *other != moved) {
            assert!(found.iter().any(|(id, _)| id == "mark-not-meant"), "{mark:?} {found:?}");
        }
    }
    assert!(kinds.len() >= 3, "{kinds:?}");
}

#[test]
fn a_lozenge_comes_with_the_name_of_its_length() {
    let of = finished("low-water-heron", "chart", "a4", Ink::Saving);
    let mut draft = of.draft.clone();
    let choices: Vec<ChartMark> =
        marks(&mut draft).iter().filter(|mark| matches!(mark.kind, ChartMarkKind::Choice { .. })).cloned().collect();
    assert!(!choices.is_empty());
    for mark in choices {
        let found = said(&of, |marks| {
            for other in marks.iter_mut().filter(|other| **other == mark) {
                other.kind = ChartMarkKind::Choice { tied: Some(0), words: String::new() };
            }
        });
        assert_eq!(found.iter().map(|(id, _)| id.as_str()).collect::<Vec<_>>(), ["length-not-named"], "{found:?}");
    }
}

#[test]
fn without_the_layouts_word_there_are_none() {
    let layout = include_str!("../../layouts/chart.toml");
    assert!(layout.contains("\nmarks = true"));
    let of =
        finished_in("two-pears", "chart", "a4", Ink::Saving, Some(layout.replace("\nmarks = true", "\nmarks = false")));
    assert!(of.proof(&of.bytes).holds());
    let with = finished("two-pears", "chart", "a4", Ink::Saving);
    assert!(!with.proof(&of.bytes).holds(), "the same file is no proof of a chart with marks");
}
