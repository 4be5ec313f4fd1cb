//! The buyer's own gauge: a page that needs no software. She knots a swatch, fills in three figures, and reads two tables.

use super::context::WriteContext;
use super::materials::{column, entry, used, yarn_entry};
use super::{Align, Block, Section, Table, TableColumn, TableEntry};
use crate::chart::YarnId;
use crate::geom::MM_PER_INCH;
use crate::words::measures::MeasureKind;

/// Knots tied from a measured length, and columns and rows measured on a swatch.
const KNOTS: f64 = 20.0;
const MEASURED: f64 = 16.0;

pub(super) fn own_gauge(context: &WriteContext) -> Section {
    let own = &context.workings.own_gauge;
    let mut blocks = vec![context.paragraph("lead", "own-gauge.lead", &[])];
    blocks.push(Block::Steps(
        ["own-gauge.step-1", "own-gauge.step-2", "own-gauge.step-3", "own-gauge.step-4"]
            .map(|key| context.step(key, &[]))
            .to_vec(),
    ));
    let blank = |before: &str, after: &str| (context.text(before, &[]), context.text(after, &[]));
    blocks.push(Block::FillIn(vec![
        blank("own-gauge.my-knots", "own-gauge.my-unit"),
        blank("own-gauge.my-columns", "own-gauge.my-unit"),
        blank("own-gauge.my-rows", "own-gauge.my-unit"),
    ]));
    let gauge = &context.workings.gauge;
    let columns = context.measures.both(MeasureKind::Fine, MEASURED * gauge.column_mm);
    let rows = context.measures.both(MeasureKind::Fine, MEASURED * gauge.row_mm);
    blocks.push(context.paragraph("body", "own-gauge.booklet", &[("columns", &columns), ("rows", &rows)]));
    blocks.push(context.body("own-gauge.plausible"));

    blocks.push(context.heading(2, "own-gauge.yarn"));
    blocks.push(context.body("own-gauge.yarn-words"));
    blocks.push(twenty_knots(context));
    blocks.push(to_buy(context));

    blocks.push(context.heading(2, "own-gauge.size"));
    blocks.push(context.body("own-gauge.size-words"));
    let rows = own
        .pitches
        .iter()
        .map(|line| {
            vec![
                entry(percent(context, line.percent)),
                entry(context.measures.both(MeasureKind::Fine, MEASURED * line.column_mm)),
                entry(context.measures.both(MeasureKind::Fine, MEASURED * line.row_mm)),
                entry(context.measures.across_down(MeasureKind::Size, line.width_mm, line.height_mm)),
                entry(context.measures.both_of(MeasureKind::Cut, line.folded_mm, line.folded_inches * MM_PER_INCH)),
            ]
        })
        .collect();
    blocks.push(Block::Table(Table {
        caption: Some(context.text("own-gauge.size-caption", &[])),
        columns: vec![
            column(context, "own-gauge.part", Align::Left, 0.8),
            column(context, "own-gauge.columns", Align::Left, 1.1),
            column(context, "own-gauge.rows", Align::Left, 1.1),
            column(context, "own-gauge.finished", Align::Left, 1.6),
            column(context, "own-gauge.folded", Align::Left, 1.1),
        ],
        rows,
        row_heads: true,
        note: Some(context.text("own-gauge.size-note", &[])),
    }));
    Section { id: "own-gauge".into(), title: Some(context.say("own-gauge.title", &[])), blocks }
}

/// "+10 %", "as in this booklet", "−20 %".
fn percent(context: &WriteContext, percent: i32) -> String {
    let n = percent.unsigned_abs();
    match percent {
        0 => context.say("own-gauge.same", &[]),
        p if p > 0 => context.say("own-gauge.more", &[("n", &n)]),
        _ => context.say("own-gauge.less", &[("n", &n)]),
    }
}

/// The head of a table: what heads the rows, then one column for each part.
fn parts(context: &WriteContext, first: &str) -> Vec<TableColumn> {
    let mut columns = vec![column(context, first, Align::Left, 1.3)];
    columns.extend(context.workings.own_gauge.yarns.iter().map(|line| TableColumn {
        head: super::plain(percent(context, line.percent)),
        align: Align::Left,
        share: 1.0,
    }));
    columns
}

/// What twenty knots take, for each group of yarns that take the same.
fn twenty_knots(context: &WriteContext) -> Block {
    let own = &context.workings.own_gauge;
    let mut groups: Vec<(f64, Vec<YarnId>)> = Vec::new();
    for (of, _) in used(context) {
        let knot = context.workings.gauge.yarns.get(usize::from(of.yarn.0)).map_or(0.0, |yarn| yarn.knot_mm);
        match groups.iter_mut().find(|(mm, _)| (*mm - knot).abs() < 0.01) {
            Some((_, yarns)) => yarns.push(of.yarn),
            None => groups.push((knot, vec![of.yarn])),
        }
    }
    let all = groups.len() == 1;
    let rows = groups
        .iter()
        .map(|(_, yarns)| {
            let names: Vec<String> = yarns.iter().map(|id| context.yarn(*id).to_string()).collect();
            let head = if all { context.say("own-gauge.all-yarns", &[]) } else { context.words.list(&names) };
            let mut row = vec![entry(head)];
            row.extend(own.yarns.iter().map(|line| {
                let at = yarns.first().map_or(0, |id| usize::from(id.0));
                let knot = line.knot_mm.get(at).copied().unwrap_or_default();
                entry(context.measures.both(MeasureKind::Size, KNOTS * knot))
            }));
            row
        })
        .collect();
    Block::Table(Table {
        caption: Some(context.text("own-gauge.knots-caption", &[])),
        columns: parts(context, "materials.yarn-column"),
        rows,
        row_heads: true,
        note: None,
    })
}

fn to_buy(context: &WriteContext) -> Block {
    let own = &context.workings.own_gauge;
    let rows = used(context)
        .map(|(of, _)| {
            let mut row: Vec<TableEntry> = vec![yarn_entry(context, of)];
            row.extend(own.yarns.iter().map(|line| {
                let amount = line.buy.get(usize::from(of.yarn.0));
                let mut words = amount.map(|amount| context.buy(amount)).unwrap_or_default();
                if let Some(balls) = amount.and_then(|amount| amount.balls) {
                    let balls = context.words.count("count.balls", balls, &[]);
                    words = context.say("lists.middle", &[("a", &words), ("b", &balls)]);
                }
                entry(words)
            }));
            row
        })
        .collect();
    Block::Table(Table {
        caption: Some(context.text("own-gauge.buy-caption", &[])),
        columns: parts(context, "materials.yarn-column"),
        rows,
        row_heads: true,
        note: None,
    })
}
