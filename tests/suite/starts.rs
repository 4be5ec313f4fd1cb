//! Dots in the squares where a yarn starts: all of them, nowhere else, and the file still proves.

use crate::finished::{Finished, finished_in};
use hitchpress::chart::Row;
use hitchpress::page::{Item, Segment};
use hitchpress::project::Ink;
use hitchpress::workings::{Action, RowPlace};
use std::collections::BTreeSet;

/// The shipped layout of an edition, with dots.
fn with_dots(edition: &str) -> String {
    let shipped = match edition {
        "booklet" => include_str!("../../layouts/booklet.toml"),
        _ => include_str!("../../layouts/chart.toml"),
    };
    assert!(shipped.contains("yarn-starts = false"), "{edition}");
    shipped.replace("yarn-starts = false", "yarn-starts = true")
}

/// Row and column, from 0, of every square that has a dot, on all sheets.
fn dotted(made: &Finished) -> BTreeSet<(usize, usize)> {
    let mut out = BTreeSet::new();
    for (page, first_row, first_column) in made.sheets() {
        let grid = made.grid(page).expect("a sheet has a grid");
        let (w, h) = (grid.cell.width.to_pt(), grid.cell.height.to_pt());
        let (columns, rows) = (grid.columns, grid.rows());
        let on_sheet = |x: f64, y: f64| {
            let column = (x - grid.origin.x.to_pt()) / w;
            let row = (y - grid.origin.y.to_pt()) / h;
            let inside = (0.0..columns as f64).contains(&column) && (0.0..rows as f64).contains(&row);
            inside.then_some((first_row + row as usize, first_column + column as usize))
        };
        for item in made.items(page) {
            let Item::Shape(shape) = item else { continue };
            let is_round = shape.outline.iter().any(|s| matches!(s, Segment::Curve(..)));
            if shape.fill.is_none() || !is_round {
                continue;
            }
            // Each disc begins at its right end; its centre lies within a tenth of the square's side from there.
            out.extend(shape.outline.iter().filter_map(|segment| match segment {
                Segment::Move(at) => on_sheet(at.x.to_pt() - 0.09 * w.min(h), at.y.to_pt()),
                _ => None,
            }));
        }
    }
    out
}

/// Row and column of every start the rows in words tell of.
fn started(made: &Finished) -> BTreeSet<(usize, usize)> {
    let rows = made.copy.workings.rows.iter();
    rows.flat_map(|row| {
        let RowPlace::Chart(Row(at)) = row.place else { return Vec::new() };
        let starts = row.actions.iter().filter_map(|action| match action {
            Action::Start { at: column, .. } => Some((at, column.0)),
            _ => None,
        });
        starts.collect()
    })
    .collect()
}

#[test]
fn every_start_has_its_dot_where_the_layout_asks_for_them_and_the_file_proves() {
    for (sample, edition, paper, ink) in [
        ("low-water-heron", "chart", "a4", Ink::Full),
        ("low-water-heron", "booklet", "letter", Ink::SymbolsOnly),
        ("two-pears", "chart", "a5", Ink::Saving),
        ("harbour-evening", "chart", "a4", Ink::Saving),
    ] {
        let made = finished_in(sample, edition, paper, ink, Some(with_dots(edition)));
        assert!(started(&made).len() > 5, "{sample}");
        assert_eq!(dotted(&made), started(&made), "{sample} {edition} {paper}");
        let report = made.proof(&made.bytes);
        let findings: Vec<String> = report.findings.iter().take(5).map(|f| f.sentence()).collect();
        assert!(report.holds(), "{sample} {edition} {paper}: {findings:#?}");
    }
}

#[test]
fn without_the_layouts_word_there_are_no_dots() {
    assert!(dotted(&finished_in("two-pears", "chart", "a4", Ink::Saving, None)).is_empty());
}
