//! The chart with the words its sheets need. Header rows are no part of it; where the rows in words are not printed with
//! it they stand before it as boxes to tick.

use super::before::{direction, marking};
use super::pen::Pen;
use super::rows::{row_number, written};
use super::{Block, ChartBlock, ChartRow, ChartWords, ChartYarn, Section, TickLine, WrittenRow};
use crate::words::unmarked;
use crate::workings::{Action, RowPlace};

pub(super) fn chart(pen: &Pen) -> Section {
    let with_rows = pen.options.sections.iter().any(|id| id == "rows-in-words");
    let alongside = pen.options.rows_alongside;
    let project = pen.project;
    let (mut header, mut rows, mut beside) = (Vec::new(), Vec::new(), Vec::new());
    for (written, row) in written(pen) {
        if row.place.is_header() {
            header.push(written);
            continue;
        }
        rows.push(ChartRow {
            number: row_number(pen, row.place),
            left_to_right: written.left_to_right,
            field: written.field.clone(),
            spoken: written.spoken.as_str().into(),
            is_long: written.is_long,
        });
        if alongside {
            beside.push(written);
        }
    }
    let mut blocks = Vec::new();
    if with_rows {
        blocks.push(pen.paragraph("lead", "chart.lead", &[]));
    } else {
        header_ticks(pen, &header, &mut blocks);
    }
    let yarns = project
        .palette
        .iter()
        .map(|(id, yarn)| ChartYarn {
            letter: yarn.key,
            name: yarn.name.clone(),
            colour: yarn.colour,
            symbol: pen.swatch(id).symbol,
            count: pen.words.whole(pen.workings.tally.of(id).chart),
            spoken: pen.words.count("count.knots", pen.workings.tally.of(id).chart, &[]),
        })
        .collect();
    let words = words(
        pen,
        if alongside {
            Rows::Alongside
        } else if with_rows {
            Rows::Elsewhere
        } else {
            Rows::Spoken
        },
    );
    blocks.push(Block::Chart(Box::new(ChartBlock {
        columns: project.chart.columns(),
        cells: project.chart.cells().iter().map(|cell| cell.map_or(u8::MAX, |yarn| yarn.0)).collect(),
        yarns,
        rows,
        starts: starts(pen),
        aspect: pen.workings.gauge.aspect(),
        alongside: beside,
        words,
    })));
    Section { id: "chart".into(), title: Some(pen.say("chart.title", &[])), blocks }
}

/// Cells of the chart in which a yarn starts, in reading order.
fn starts(pen: &Pen) -> Vec<usize> {
    let mut cells = Vec::new();
    for row in &pen.workings.rows {
        let RowPlace::Chart(at) = row.place else { continue };
        for action in &row.actions {
            if let Action::Start { yarn: _, at: column } = action {
                cells.push(at.0 * pen.project.chart.columns() + column.0);
            }
        }
    }
    cells.sort_unstable();
    cells
}

/// The header rows of an edition that has no rows in words. They take a page before the sheets, so that there is room for
/// what a knotter wants beside her.
fn header_ticks(pen: &Pen, header: &[WrittenRow], blocks: &mut Vec<Block>) {
    if header.is_empty() {
        return;
    }
    direction(pen, blocks);
    blocks.push(pen.heading(2, "rows.header"));
    let yarn = pen.yarn(pen.project.working.header_yarn);
    blocks.push(Block::Paragraph("body", pen.words.count_text("chart.header-first", header.len(), &[("yarn", &yarn)])));
    let lines = header
        .iter()
        .map(|row| TickLine {
            field: row.field.clone(),
            swatch: Some(pen.swatch(pen.project.working.header_yarn)),
            text: super::plain(unmarked(&row.sentence)),
            spoken: row.spoken.clone(),
        })
        .collect();
    blocks.push(Block::Ticks(lines));
    marking(pen, blocks);
}

/// Where the words of a row are.
enum Rows {
    /// On the pages after its sheets.
    Alongside,
    /// In a section of their own.
    Elsewhere,
    /// Only spoken by the boxes to tick.
    Spoken,
}

fn words(pen: &Pen, rows: Rows) -> ChartWords {
    let t = |key| pen.words.template(key);
    ChartWords {
        sheet: t("chart.sheet"),
        columns: t("chart.columns"),
        rows: t("chart.rows"),
        shared_columns: t("chart.shared-columns"),
        shared_rows: t("chart.shared-rows"),
        page: t("chart.page"),
        continues_left: t("chart.continues-left"),
        continues_right: t("chart.continues-right"),
        continues_below: t("chart.continues-below"),
        run_counts: t("chart.run-counts"),
        key: t("chart.key"),
        key_page: t("chart.key-page"),
        alt: t(match rows {
            Rows::Alongside => "chart.alt-alongside",
            Rows::Elsewhere => "chart.alt",
            Rows::Spoken => "chart.alt-chart-only",
        }),
        yarns: pen.yarn_list(),
        small_cells: t("chart.small-cells"),
        starts: t("chart.starts"),
        bare: t("chart.bare"),
    }
}
