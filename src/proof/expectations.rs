//! What a finished file must say, worked out from its manuscript; proof itself knows no phrases and no layout.

use super::cell_marks::{CellMark, CellMarkKind};
use crate::geom::{Length, Size};
use crate::manuscript::long_row::LongRow;
use crate::manuscript::{Block, ChartBlock, ChartMark, ChartMarkKind, Manuscript, WrittenRow};
use crate::markup::{Inline, Text, unmarked};
use crate::project::Project;
use crate::reader::lines::seen;

/// The little that proof must know of the layout.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PageLayout {
    /// Trimmed size of every page.
    pub(crate) paper: Size,
    /// Bleed on every side; zero for home files.
    pub(crate) bleed: Length,
    /// Whether the knots of each yarn in turn stand in figures where a row ends.
    pub(crate) run_counts: bool,
    /// Whether starts, cuts, links and choices are marked in the cells.
    pub(crate) marks: bool,
}

/// Everything a file is held against.
#[derive(Clone, Debug)]
pub struct Expectations<'a> {
    /// The project: its chart, its yarns, where its rows start.
    pub(crate) project: &'a Project,
    /// Trimmed width and height of every page, points; `None`: all pages must agree, whatever their size.
    pub(crate) paper: Option<(f64, f64)>,
    /// Bleed on every side, points; 0 for home files.
    pub(crate) bleed: f64,
    /// Whether the edition has chart sheets.
    pub(crate) chart: bool,
    /// Whether boxes can be ticked on a screen: then one field must lie on each box beside a row.
    pub(crate) fields: bool,
    /// Whether the knots of each yarn in turn stand in figures where a row ends.
    pub(crate) run_counts: bool,
    /// Small marks in the cells, in the order of these; `None`: they are not looked for.
    pub(crate) marks: Option<Vec<ExpectedMark>>,
    /// One for every row of the chart, top first.
    pub rows: Vec<ExpectedRow>,
    /// Header rows in words, in order; they have no place on the chart.
    pub(crate) header_rows: Vec<ExpectedRow>,
    /// Whether the sentences are drawn as text (else they are only spoken by the fields).
    pub(crate) written: bool,
    /// One for every yarn, palette order.
    pub key: Vec<ExpectedYarn>,
    /// Words that must stand on each chart sheet.
    pub(crate) sheet: SheetWords,
    /// Other words that must stand somewhere: amounts, cords, totals.
    pub(crate) lines: Vec<ExpectedLine>,
}

/// A mark in a cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct ExpectedMark {
    /// The cell it belongs to, as an index into the chart's cells.
    pub(crate) cell: usize,
    /// The mark, in rows and columns of the chart.
    pub(crate) mark: CellMark,
    /// Words that the sheet must say of it; empty: none.
    pub(crate) words: String,
}

/// A row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExpectedRow {
    /// Number as printed.
    pub(crate) number: String,
    /// Name of its field.
    pub field: String,
    /// Its sentence as written, without mark-up; where it is nowhere written, as spoken.
    pub sentence: String,
    /// Its sentence as spoken by the field.
    pub(crate) spoken: String,
    /// What is spoken at its further boxes: the same, or its name where `spoken` is its sentence.
    pub(crate) again: String,
    /// Its runs, where each sheet's field speaks some of them: then `spoken` is what every field begins with.
    pub(crate) in_parts: Vec<String>,
}

/// A yarn in the key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExpectedYarn {
    /// Its name.
    pub name: String,
    /// Its count of knots as printed.
    pub count: String,
}

/// Templates for the words over a sheet, with `{from}` and `{to}`; an empty template is not looked for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct SheetWords {
    /// Columns of the sheet.
    pub(crate) columns: String,
    /// Rows of the sheet.
    pub(crate) rows: String,
    /// Its one column.
    pub(crate) one_column: String,
    /// Its one row.
    pub(crate) one_row: String,
}

/// Words that must stand in the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct ExpectedLine {
    /// What they are, for the message: "the length of navy to buy".
    pub(crate) what: String,
    /// The words on one line or running over into the next; spaces of any kind are equal.
    pub(crate) words: String,
    /// Words that must stand first on the same line (a yarn's name before its amount in a table); empty: anywhere.
    pub(crate) beside: String,
}

impl<'a> Expectations<'a> {
    /// What a file must say that is composed from this manuscript in such a layout.
    pub(crate) fn of(project: &'a Project, manuscript: &Manuscript, layout: PageLayout) -> Expectations<'a> {
        expectations(project, manuscript, layout)
    }
}

fn expectations<'a>(project: &'a Project, manuscript: &Manuscript, layout: PageLayout) -> Expectations<'a> {
    let blocks = || manuscript.sections.iter().flat_map(|s| &s.blocks);
    let chart = blocks().find_map(|b| match b {
        Block::Chart(chart) => Some(chart.as_ref()),
        _ => None,
    });
    let written: Vec<&WrittenRow> = blocks()
        .filter_map(|b| match b {
            Block::Rows(rows) => Some(rows),
            Block::Chart(chart) => Some(&chart.alongside),
            _ => None,
        })
        .flatten()
        .collect();
    let is_header = |field: &str| chart.is_none_or(|c| c.rows.iter().all(|r| r.field != field));
    let row = |row: &WrittenRow| ExpectedRow {
        number: row.number.clone(),
        field: row.field.clone(),
        sentence: seen(&unmarked(&row.sentence)).into_owned(),
        spoken: row.spoken.clone(),
        again: row.spoken.clone(),
        in_parts: Vec::new(),
    };
    let rows = match (written.is_empty(), chart) {
        (false, _) => written.iter().filter(|r| !is_header(&r.field)).map(|r| row(r)).collect(),
        (true, Some(chart)) => chart
            .rows
            .iter()
            .map(|r| {
                let parts: Vec<String> = r.in_parts.iter().flat_map(|long| knots_of(long)).collect();
                let sentence = if parts.is_empty() { r.spoken.to_string() } else { parts.join(", ") };
                ExpectedRow {
                    number: r.number.clone(),
                    field: r.field.clone(),
                    sentence: seen(&sentence).into_owned(),
                    spoken: r.spoken.to_string(),
                    again: r.name.to_string(),
                    in_parts: parts,
                }
            })
            .collect(),
        (true, None) => Vec::new(),
    };
    Expectations {
        project,
        paper: Some((layout.paper.width.to_pt(), layout.paper.height.to_pt())),
        bleed: layout.bleed.to_pt(),
        chart: chart.is_some(),
        fields: layout.bleed <= Length::ZERO,
        run_counts: layout.run_counts,
        marks: chart.filter(|_| layout.marks).map(marks),
        header_rows: written.iter().filter(|r| is_header(&r.field)).map(|r| row(r)).collect(),
        written: !written.is_empty(),
        rows,
        key: chart
            .map(|c| {
                c.yarns
                    .iter()
                    .map(|y| ExpectedYarn { name: seen(&y.name).into_owned(), count: y.count.clone() })
                    .collect()
            })
            .unwrap_or_default(),
        sheet: chart
            .map(|c| SheetWords {
                columns: c.words.columns.clone(),
                rows: c.words.rows.clone(),
                one_column: c.words.one_column.clone(),
                one_row: c.words.one_row.clone(),
            })
            .unwrap_or_default(),
        lines: lines_of(manuscript),
    }
}

/// What is said of the knots of a long row; bare cords may be on a sheet that is left out.
fn knots_of(long: &LongRow) -> impl Iterator<Item = String> {
    long.stretches.iter().filter(|stretch| !stretch.is_bare).map(|stretch| stretch.words.clone())
}

/// The small marks of a chart's cells.
fn marks(chart: &ChartBlock) -> Vec<ExpectedMark> {
    let place = |cell: usize| format!("{}, {}", chart.rows[cell / chart.columns].number, cell % chart.columns + 1);
    let marked = |mark: &ChartMark| {
        let (row, column) = (mark.cell / chart.columns, mark.cell % chart.columns);
        let rightwards = chart.rows[row].left_to_right;
        let (kind, column, at_left) = match mark.kind {
            ChartMarkKind::Start => (CellMarkKind::Start, column, rightwards),
            ChartMarkKind::Choice { .. } => (CellMarkKind::Choice, column, rightwards),
            ChartMarkKind::Link => (CellMarkKind::Link, if rightwards { column } else { column + 1 }, true),
            ChartMarkKind::Cut => (CellMarkKind::Cut, column, !rightwards),
        };
        let words = match &mark.kind {
            ChartMarkKind::Choice { tied: Some(tied), .. } => format!("{} ← {}", place(mark.cell), place(*tied)),
            ChartMarkKind::Choice { tied: None, words } => format!("{} ← {words}", place(mark.cell)),
            ChartMarkKind::Start | ChartMarkKind::Link | ChartMarkKind::Cut => String::new(),
        };
        ExpectedMark { cell: mark.cell, mark: CellMark { row, column, kind, at_left }, words }
    };
    let mut marks: Vec<ExpectedMark> = chart.marks.iter().map(marked).collect();
    marks.sort_by_key(|mark| mark.cell);
    marks
}

/// What tables and lists of a manuscript say, for proof to look for: every line with a box, and every cell of a table beside
/// the first of its row.
fn lines_of(manuscript: &Manuscript) -> Vec<ExpectedLine> {
    let mut out = Vec::new();
    for section in &manuscript.sections {
        let what =
            |kind: &str| format!("{kind} in the section `{}`", section.title.as_deref().unwrap_or(section.id.name()));
        let mut say = |kind: &str, text: &Text, beside: &str| {
            // A page number is filled in only when the pages are made up.
            let words = seen(&unmarked(text)).into_owned();
            if !words.trim().is_empty() && !text.iter().any(|inline| matches!(inline, Inline::PageOf(_))) {
                out.push(ExpectedLine { what: what(kind), words, beside: seen(beside).into_owned() });
            }
        };
        for block in &section.blocks {
            match block {
                Block::Ticks(lines) => lines.iter().for_each(|line| say("a line", &line.text, "")),
                Block::Facts(facts) => {
                    for (name, value) in facts {
                        say("a value", value, &unmarked(name));
                    }
                }
                Block::Table(table) => {
                    for row in &table.rows {
                        let head = row.first().filter(|_| table.row_heads).map(|cell| unmarked(&cell.text));
                        for (column, cell) in row.iter().enumerate() {
                            let beside = if column == 0 { "" } else { head.as_deref().unwrap_or("") };
                            say("a table's cell", &cell.text, beside);
                        }
                    }
                }
                Block::Heading(..)
                | Block::Paragraph(..)
                | Block::Steps(_)
                | Block::Bullets(_)
                | Block::Caution(_)
                | Block::Figure(_)
                | Block::HungPanel(_)
                | Block::Fleece(_)
                | Block::AsKnotted(_)
                | Block::Panels(_)
                | Block::Picture(_)
                | Block::Snips(_)
                | Block::Chart(_)
                | Block::Rows(_)
                | Block::Stretch(_)
                | Block::Ruler { .. }
                | Block::Codes(_)
                | Block::FillIn(_)
                | Block::Contents
                | Block::NewPage
                | Block::InLanguage(..) => {}
            }
        }
    }
    out
}
