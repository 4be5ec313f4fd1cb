//! The rows in words: one line a row of runs and yarns, with brackets where the one rule of carrying does not say it all; and
//! the rule, once, before them.

use super::pen::{Pen, joined};
use super::{Block, Inline, Section, Text, WrittenRow};
use crate::chart::{Direction, YarnId};
use crate::words::measures::Kind;
use crate::words::{Names, unmarked};
use crate::workings::{LastKnot, RowPlace, RunId, RunMarks, WorkedRow};

/// The width is measured every so many rows; panels of fewer than two stretches are measured twice as often.
const CHECK_EVERY: usize = 20;

pub(super) fn rows_in_words(pen: &Pen) -> Section {
    let mut blocks = vec![pen.paragraph("lead", "rows.lead", &[])];
    rule(pen, &mut blocks);
    let (header, picture): (Vec<_>, Vec<_>) = written(pen).partition(|(_, row)| row.place.is_header());
    let only =
        |rows: Vec<(WrittenRow, &WorkedRow)>| Block::Rows(rows.into_iter().map(|(written, _)| written).collect());
    // Where the picture's rows stand beside the chart, only the header's have their place here.
    let alongside = pen.options.rows_alongside;
    if !header.is_empty() {
        blocks.push(pen.heading(2, "rows.header"));
        blocks.push(only(header));
        if !alongside {
            blocks.push(pen.heading(2, "rows.picture"));
        }
    }
    if !alongside {
        blocks.push(only(picture));
    }
    Section { id: "rows-in-words".into(), title: Some(pen.say("rows.title", &[])), blocks }
}

/// Every row in working order, header rows first; one by one, as the lines of a large chart fill memory.
pub(super) fn written<'p>(pen: &'p Pen) -> impl Iterator<Item = (WrittenRow, &'p WorkedRow)> {
    pen.workings.rows.iter().map(move |row| (written_row(pen, row), row))
}

/// Whether the picture's rows are printed in words, somewhere in this edition.
pub(super) fn in_words(pen: &Pen) -> bool {
    pen.options.rows_alongside || pen.options.sections.iter().any(|id| id == "rows-in-words")
}

/// The number of a row as it is printed: "12", "H1".
pub(super) fn row_number(pen: &Pen, place: RowPlace) -> String {
    match place {
        RowPlace::Header(_) => pen.say("rows.header-row", &[("n", &place.number())]),
        RowPlace::Chart(_) => place.number().to_string(),
    }
}

/// The name of a row's box, the same in the chart and beside the line: it holds no words of any language.
pub(super) fn row_field(place: RowPlace) -> String {
    match place {
        RowPlace::Header(_) => format!("row-H{}", place.number()),
        RowPlace::Chart(_) => format!("row-{}", place.number()),
    }
}

/// Which of a yarn's lengths to take up: "the one last tied in row 40, column 23".
pub(super) fn choice(pen: &Pen, last: LastKnot) -> String {
    let row = row_number(pen, last.row);
    pen.say("rows.choice", &[("row", &row), ("column", &pen.words.whole(last.column.0 + 1))])
}

fn written_row(pen: &Pen, row: &WorkedRow) -> WrittenRow {
    let direction = pen.say(
        match row.direction {
            Direction::LeftToRight => "side.left-to-right",
            Direction::RightToLeft => "side.right-to-left",
        },
        &[],
    );
    let line = line(pen, row);
    let said = unmarked(&line);
    let is_long = said.len() > LONGEST_SPOKEN;
    let names: Names = &[("row", &row.place.number()), ("direction", &direction)];
    let (name, head) = match row.place {
        RowPlace::Header(_) => ("spoken.name-header", "spoken.head-header"),
        RowPlace::Chart(_) => ("spoken.name", "spoken.head"),
    };
    let mut spoken = vec![pen.say(head, names)];
    if !is_long {
        spoken.push(said);
    }
    if row.knots > 0 {
        let knots = pen.words.count("count.knots", row.knots, &[]);
        spoken.push(pen.say("spoken.total", &[("knots", &knots)]));
    }
    let mut parts = vec![line];
    if let Some(width) = width_check(pen, row) {
        let check = pen.say("rows.width-check", &[("width", &width)]);
        spoken.push(check.clone());
        parts.push(vec![Inline::Italic(check)]);
    }
    // Where the line is there to be read, the box has the row's name: nobody wants to hear it twice.
    if in_words(pen) {
        spoken = vec![pen.say(name, names)];
    }
    WrittenRow {
        number: row_number(pen, row.place),
        field: row_field(row.place),
        left_to_right: row.direction == Direction::LeftToRight,
        sentence: joined(parts),
        spoken: spoken.join(" ").replace(['\u{a0}', '\u{202f}'], " "),
        is_long,
    }
}

/// The width to be measured after this row, if it is time.
fn width_check(pen: &Pen, row: &WorkedRow) -> Option<String> {
    let RowPlace::Chart(at) = row.place else { return None };
    let rows = pen.project.chart.rows();
    let every = if rows < 2 * CHECK_EVERY { CHECK_EVERY / 2 } else { CHECK_EVERY };
    let full = row.knotted_columns == pen.project.chart.columns();
    let due = (at.0 + 1).is_multiple_of(every) && at.0 + 1 < rows;
    (due && full).then(|| pen.measures.both(Kind::Size, pen.workings.size.width_mm))
}

/// What is said aloud of a row at its box, in bytes: minutes of listening. A longer row says its name and its knots there,
/// and its line stands in words where the edition has them.
const LONGEST_SPOKEN: usize = 6_000;

/// The line of one row: "4 oat, 2 reed brown (start; cut after), 15 oat." Its symbols are for the eye.
fn line(pen: &Pen, row: &WorkedRow) -> Text {
    if row.knots == 0 {
        return pen.text("rows.none", &[]);
    }
    let columns = pen.project.chart.columns();
    let mut stretches: Vec<Text> = Vec::with_capacity(row.runs.len());
    // Knots and bare cords from the side where the row starts.
    let mut done = 0;
    for id in row.runs.clone() {
        let run = &pen.workings.sheet.runs[id];
        let begins = match row.direction {
            Direction::LeftToRight => run.first.0,
            Direction::RightToLeft => columns - 1 - run.first.0,
        };
        if begins > done {
            stretches.push(pen.words.count_text("rows.bare", begins - done, &[]));
        }
        done = begins + run.knots();
        stretches.push(stretch(pen, id));
    }
    if columns > done {
        stretches.push(pen.words.count_text("rows.bare", columns - done, &[]));
    }
    // What parts the entries of a list.
    let comma = pen.say("lists.middle", &[("a", &""), ("b", &"")]);
    let mut out = Text::new();
    for stretch in stretches {
        if !out.is_empty() {
            out.push(Inline::Plain(comma.clone()));
        }
        out.extend(stretch);
    }
    pen.text_with("rows.line", &[], "stretches", out)
}

/// One run with what departs from the rule: "4 oat (link)".
fn stretch(pen: &Pen, id: RunId) -> Text {
    let (run, marks) = (&pen.workings.sheet.runs[id], &pen.workings.marks[id]);
    let symbol = vec![Inline::Symbol(pen.swatch(run.yarn).symbol)];
    let names: Names = &[("n", &pen.words.whole(run.knots())), ("yarn", &pen.yarn(run.yarn))];
    let knots = pen.text_with("rows.knots", names, "symbol", symbol);
    let mut said: Vec<String> = Vec::new();
    if marks.start {
        said.push(pen.say("rows.start", &[]));
    }
    said.extend(marks.choice.map(|last| choice(pen, last)));
    if marks.link {
        said.push(pen.say("rows.link", &[]));
    }
    if marks.cut {
        said.push(pen.say("rows.cut", &[]));
    }
    match said.into_iter().reduce(|a, b| pen.say("rows.and", &[("a", &a), ("b", &b)])) {
        Some(said) => pen.text_with("rows.bracket", &[("said", &said)], "knots", knots),
        None => knots,
    }
}

/// The one rule of carrying, and what the brackets mean.
pub(super) fn rule(pen: &Pen, blocks: &mut Vec<Block>) {
    let used: Vec<YarnId> =
        pen.project.palette.iter().map(|(id, _)| id).filter(|id| pen.workings.tally.of(*id).total() > 0).collect();
    let tail = pen.measures.both(Kind::Gap, pen.project.working.tail_mm);
    let names: Names = &[("tail", &tail)];
    blocks.push(pen.heading(2, "rows.rule"));
    let has = |mark: fn(&RunMarks) -> bool| pen.workings.marks.iter().any(mark);
    if used.len() > 1 || has(|m| m.choice.is_some()) {
        let mut words = vec![pen.text("rows.rule-words", &[])];
        if pen.project.chart.knots() < pen.project.chart.cells().len() {
            words.push(pen.text("rows.rule-bare", &[]));
        }
        blocks.push(Block::Paragraph("body", joined(words)));
    } else {
        blocks.push(pen.body("rows.rule-one"));
    }
    blocks.push(pen.body("rows.brackets"));
    let mut brackets = vec![pen.text("rows.bracket-start", names)];
    if let Some(last) = pen.workings.marks.iter().find_map(|m| m.choice) {
        brackets.push(pen.text("rows.bracket-choice", &[("choice", &choice(pen, last))]));
    }
    if has(|m| m.link) {
        brackets.push(pen.text("rows.bracket-link", names));
    }
    brackets.push(pen.text("rows.bracket-cut", names));
    blocks.push(Block::Bullets(brackets));
    blocks.push(pen.body("rows.run-out"));
}
