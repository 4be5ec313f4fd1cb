//! The buyer's own gauge: a page that needs no software. She knots a swatch, fills in three figures, and reads two tables.

use super::materials::{column, entry, used, yarn_entry};
use super::pen::Pen;
use super::{Align, Block, Section, Table, TableColumn, TableEntry};
use crate::chart::YarnId;
use crate::geom::MM_PER_INCH;
use crate::words::measures::Kind;
use crate::workings::{Amount, OwnYarn};

/// Knots tied from a measured length, and columns and rows measured on a swatch.
const KNOTS: f64 = 20.0;
const MEASURED: f64 = 16.0;

pub(super) fn own_gauge(pen: &Pen) -> Section {
    let own = &pen.workings.own_gauge;
    let mut blocks = vec![pen.paragraph("lead", "own-gauge.lead", &[])];
    blocks.push(Block::Steps(
        ["own-gauge.step-1", "own-gauge.step-2", "own-gauge.step-3", "own-gauge.step-4"]
            .map(|key| pen.step(key, &[]))
            .to_vec(),
    ));
    let blank = |before: &str, after: &str| (pen.text(before, &[]), pen.text(after, &[]));
    blocks.push(Block::FillIn(vec![
        blank("own-gauge.my-knots", "own-gauge.my-unit"),
        blank("own-gauge.my-columns", "own-gauge.my-unit"),
        blank("own-gauge.my-rows", "own-gauge.my-unit"),
    ]));
    let gauge = &pen.workings.gauge;
    let columns = pen.measures.both(Kind::Fine, MEASURED * gauge.column_mm);
    let rows = pen.measures.both(Kind::Fine, MEASURED * gauge.row_mm);
    blocks.push(pen.paragraph("body", "own-gauge.booklet", &[("columns", &columns), ("rows", &rows)]));
    blocks.push(pen.body("own-gauge.plausible"));

    blocks.push(pen.heading(2, "own-gauge.yarn"));
    blocks.push(pen.body("own-gauge.yarn-words"));
    blocks.push(twenty_knots(pen));
    blocks.push(by_yarn(pen, "own-gauge.planned-caption", |line| &line.carrying));
    blocks.push(by_yarn(pen, "own-gauge.cutting-caption", |line| &line.cutting));

    blocks.push(pen.heading(2, "own-gauge.size"));
    blocks.push(pen.body("own-gauge.size-words"));
    let rows = own
        .pitches
        .iter()
        .map(|line| {
            vec![
                entry(percent(pen, line.percent)),
                entry(pen.measures.both(Kind::Fine, MEASURED * line.column_mm)),
                entry(pen.measures.both(Kind::Fine, MEASURED * line.row_mm)),
                entry(pen.measures.across_down(Kind::Size, line.width_mm, line.height_mm)),
                entry(pen.measures.both_of(Kind::Cut, line.folded_mm, line.folded_inches * MM_PER_INCH)),
            ]
        })
        .collect();
    blocks.push(Block::Table(Table {
        caption: Some(pen.text("own-gauge.size-caption", &[])),
        columns: vec![
            column(pen, "own-gauge.part", Align::Left, 0.8),
            column(pen, "own-gauge.columns", Align::Left, 1.1),
            column(pen, "own-gauge.rows", Align::Left, 1.1),
            column(pen, "own-gauge.finished", Align::Left, 1.6),
            column(pen, "own-gauge.folded", Align::Left, 1.1),
        ],
        rows,
        row_heads: true,
        note: Some(pen.text("own-gauge.size-note", &[])),
    }));
    Section { id: "own-gauge".into(), title: Some(pen.say("own-gauge.title", &[])), blocks }
}

/// "+10 %", "as in this booklet", "−20 %".
fn percent(pen: &Pen, percent: i32) -> String {
    let n = percent.unsigned_abs();
    match percent {
        0 => pen.say("own-gauge.same", &[]),
        p if p > 0 => pen.say("own-gauge.more", &[("n", &n)]),
        _ => pen.say("own-gauge.less", &[("n", &n)]),
    }
}

/// The head of a table: what heads the rows, then one column for each part.
fn parts(pen: &Pen, first: &str) -> Vec<TableColumn> {
    let mut columns = vec![column(pen, first, Align::Left, 1.3)];
    columns.extend(pen.workings.own_gauge.yarns.iter().map(|line| TableColumn {
        head: super::plain(percent(pen, line.percent)),
        align: Align::Left,
        share: 1.0,
    }));
    columns
}

/// What twenty knots take, for each group of yarns that take the same.
fn twenty_knots(pen: &Pen) -> Block {
    let own = &pen.workings.own_gauge;
    let mut groups: Vec<(f64, Vec<YarnId>)> = Vec::new();
    for (of, _) in used(pen) {
        let knot = pen.workings.gauge.yarns.get(usize::from(of.yarn.0)).map_or(0.0, |yarn| yarn.knot_mm);
        match groups.iter_mut().find(|(mm, _)| (*mm - knot).abs() < 0.01) {
            Some((_, yarns)) => yarns.push(of.yarn),
            None => groups.push((knot, vec![of.yarn])),
        }
    }
    let all = groups.len() == 1;
    let rows = groups
        .iter()
        .map(|(_, yarns)| {
            let names: Vec<String> = yarns.iter().map(|id| pen.yarn(*id).to_string()).collect();
            let head = if all { pen.say("own-gauge.all-yarns", &[]) } else { pen.words.list(&names) };
            let mut row = vec![entry(head)];
            row.extend(own.yarns.iter().map(|line| {
                let at = yarns.first().map_or(0, |id| usize::from(id.0));
                let knot = line.knot_mm.get(at).copied().unwrap_or_default();
                entry(pen.measures.both(Kind::Size, KNOTS * knot))
            }));
            row
        })
        .collect();
    Block::Table(Table {
        caption: Some(pen.text("own-gauge.knots-caption", &[])),
        columns: parts(pen, "materials.yarn-column"),
        rows,
        row_heads: true,
        note: None,
    })
}

fn by_yarn(pen: &Pen, caption: &str, of_line: fn(&OwnYarn) -> &Vec<Amount>) -> Block {
    let own = &pen.workings.own_gauge;
    let rows = used(pen)
        .map(|(of, _)| {
            let mut row: Vec<TableEntry> = vec![yarn_entry(pen, of)];
            row.extend(own.yarns.iter().map(|line| {
                let amount = of_line(line).get(usize::from(of.yarn.0));
                let mut words = amount.map(|amount| pen.buy(amount)).unwrap_or_default();
                if let Some(balls) = amount.and_then(|amount| amount.balls) {
                    let balls = pen.words.count("count.balls", balls, &[]);
                    words = pen.say("lists.middle", &[("a", &words), ("b", &balls)]);
                }
                entry(words)
            }));
            row
        })
        .collect();
    Block::Table(Table {
        caption: Some(pen.text(caption, &[])),
        columns: parts(pen, "materials.yarn-column"),
        rows,
        row_heads: true,
        note: None,
    })
}
