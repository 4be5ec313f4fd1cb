//! The chart with the words its sheets need. Header rows are no part of it; where the rows in words are not printed with
//! it they stand before it as boxes to tick.

use super::before::{direction, marking};
use super::colourway_words::in_key;
use super::context::WriteContext;
use super::own_words;
use super::own_words::{OwnName, with_names};
use super::rows::has_rule;
use super::rows::{choice, head, kept_together, row_name, row_number, rule, written};
use super::{
    Block, ChartBlock, ChartMark, ChartMarkKind, ChartRow, ChartWords, ChartYarn, Section, TickLine, WrittenRow,
    symbol_words,
};
use crate::catalogue::{SectionName, StyleName};
use crate::chart::Column;
use crate::markup::unmarked;
use crate::workings::{RowPlace, WorkedRow};

pub(super) fn chart(context: &WriteContext) -> Section {
    let with_rows = context.options.sections.contains(&SectionName::RowsInWords);
    let alongside = context.options.rows_alongside;
    let project = context.project;
    let (mut header, mut rows, mut beside) = (Vec::new(), Vec::new(), Vec::new());
    for (written, row) in written(context) {
        if row.place.is_header() {
            header.push((written, row));
            continue;
        }
        rows.push(ChartRow {
            number: row_number(context, row.place),
            left_to_right: written.left_to_right,
            field: written.field.clone(),
            spoken: written.spoken.as_str().into(),
            name: row_name(context, row).as_str().into(),
            in_parts: written.in_parts.clone(),
        });
        if alongside {
            beside.push(written);
        }
    }
    let mut blocks = Vec::new();
    if with_rows {
        blocks.push(context.paragraph(StyleName::Lead, "chart.lead", &[]));
    } else {
        before_sheets(context, &header, &mut blocks);
    }
    let yarns = project
        .palette
        .iter()
        .map(|(id, yarn)| ChartYarn {
            letter: yarn.key,
            name: in_key(context, id),
            colour: yarn.colour,
            symbol: context.swatch(id).symbol,
            symbol_words: symbol_words::of(context, &context.swatch(id).symbol),
            count: context.words.whole(context.workings.tally.of(id).chart),
            spoken: context.words.count("count.knots", context.workings.tally.of(id).chart, &[]),
        })
        .collect();
    let words = words(
        context,
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
        cells: project.chart.cells().iter().map(|cell| cell.map(|yarn| yarn.0)).collect(),
        yarns,
        rows,
        marks: marks(context),
        aspect: context.workings.gauge.aspect(),
        alongside: beside,
        words,
    })));
    Section { id: SectionName::Chart, title: Some(context.say("chart.title", &[])), blocks }
}

/// What the rule of carrying does not say, by cell in reading order.
fn marks(context: &WriteContext) -> Vec<ChartMark> {
    let columns = context.project.chart.columns();
    let cell = |row: RowPlace, column: Column| match row {
        RowPlace::Header(_) => None,
        RowPlace::Chart(at) => Some(at.0 * columns + column.0),
    };
    let mut out = Vec::new();
    for row in &context.workings.rows {
        for id in row.runs.clone() {
            let (run, of) = (&context.workings.sheet.runs[id], &context.workings.marks[id]);
            let (Some(first), Some(last)) = (cell(row.place, run.first), cell(row.place, run.last)) else { continue };
            let mut mark = |cell, kind| out.push(ChartMark { cell, kind });
            if of.start {
                mark(first, ChartMarkKind::Start);
            }
            if let Some(which) = of.choice {
                let kind = ChartMarkKind::Choice { tied: cell(which.row, which.column), words: choice(context, which) };
                mark(first, kind);
            }
            if of.link {
                mark(first, ChartMarkKind::Link);
            }
            if of.cut {
                mark(last, ChartMarkKind::Cut);
            }
        }
    }
    out.sort_unstable();
    out
}

/// What one who follows the chart alone must know, and the header rows: a page before the sheets, in an edition that has no
/// rows in words.
fn before_sheets(context: &WriteContext, header: &[(WrittenRow, &WorkedRow)], blocks: &mut Vec<Block>) {
    direction(context, blocks);
    rule(context, blocks);
    blocks.push(context.body("chart.marks-say"));
    if header.is_empty() {
        marking(context, blocks);
        return;
    }
    blocks.push(context.heading(2, "rows.header"));
    let yarn = context.yarn(context.project.working.header_yarn);
    let words = context.words.count_text("chart.header-first", header.len(), &[("yarn", &yarn)]);
    blocks.push(Block::Paragraph(StyleName::Body, with_names(context, words, [OwnName::Name(yarn)])));
    let lines = header
        .iter()
        .map(|(row, worked)| TickLine {
            field: row.field.clone(),
            swatch: Some(context.swatch(context.project.working.header_yarn)),
            text: with_names(
                context,
                super::plain(format!("{} {}", head(context, worked), unmarked(&row.sentence))),
                [OwnName::Name(&kept_together(yarn))],
            ),
            // The words beside it say which row it is.
            spoken: context.say("spoken.tick-done", &[]),
        })
        .collect();
    blocks.push(Block::Ticks(lines));
    marking(context, blocks);
}

/// What is said where cells are square and the knots are not.
fn square_cells(context: &WriteContext) -> String {
    let aspect = context.workings.gauge.aspect();
    let (key, times) =
        if aspect < 1.0 { ("chart.square-cells-high", 1.0 / aspect) } else { ("chart.square-cells-wide", aspect) };
    context.say(key, &[("n", &context.words.decimal(times, 1))])
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

fn words(context: &WriteContext, rows: Rows) -> ChartWords {
    let t = |key| context.words.template(key);
    // Counted here, where plurals are known.
    let counted = |key| {
        t(key)
            .replace("{columns}", &context.words.count("count.columns", context.project.chart.columns(), &[]))
            .replace("{rows}", &context.words.count("count.rows", context.project.chart.rows(), &[]))
    };
    ChartWords {
        title: context.say("chart.title", &[]),
        sheet: t("chart.sheet"),
        rows_begin: match rows {
            Rows::Elsewhere => t("chart.rows-begin"),
            Rows::Alongside | Rows::Spoken => String::new(),
        },
        columns: t("chart.columns"),
        rows: t("chart.rows"),
        one_row: t("chart.one-row"),
        one_column: t("chart.one-column"),
        shared_columns: t("chart.shared-columns"),
        shared_rows: t("chart.shared-rows"),
        page: t("chart.page"),
        continues_left: t("chart.continues-left"),
        continues_right: t("chart.continues-right"),
        continues_below: t("chart.continues-below"),
        run_counts: t("chart.run-counts"),
        run_counts_more: t("chart.run-counts-more"),
        alt: counted(match rows {
            Rows::Alongside | Rows::Elsewhere => "chart.alt",
            Rows::Spoken => "chart.alt-chart-only",
        }),
        alt_again: match rows {
            Rows::Alongside | Rows::Elsewhere => String::new(),
            Rows::Spoken => counted("chart.alt-chart-only-again"),
        },
        names_language: own_words::names_language(context),
        yarns: context.yarn_list(),
        picture: own_words::picture(context),
        small_cells: t("chart.small-cells"),
        mark_start: t("chart.mark-start"),
        mark_cut: t("chart.mark-cut"),
        mark_link: t("chart.mark-link"),
        mark_choice: t("chart.mark-choice"),
        choices: t("chart.choices"),
        square_cells: square_cells(context),
        carrying: match rows {
            // The rows in words follow at once.
            Rows::Alongside => None,
            Rows::Elsewhere => has_rule(context).then(|| t("chart.carrying-elsewhere")),
            Rows::Spoken => has_rule(context).then(|| t("chart.carrying")),
        },
        bare: t("chart.bare"),
    }
}
