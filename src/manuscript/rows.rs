//! The rows in words: one line a row of runs and yarns, with brackets where the one rule of carrying does not say it all; and
//! the rule, once, before them.

use super::context::{WriteContext, joined};
use super::long_row::{LongRow, SpokenStretch};
use super::own_words::{OwnName, with_names};
use super::techniques::row_figure;
use super::width_check::width_check;
use super::{Block, Inline, ROWS_IN_STRETCH, Section, Text, WrittenRow};
use crate::catalogue::{SectionName, StyleName};
use crate::chart::Direction;
use crate::markup::{filled, unmarked};
use crate::words::Names;
use crate::words::measures::MeasureKind;
use crate::workings::{LastKnot, RowPlace, RunId, RunMarks, WorkedRow};

pub(super) fn rows_in_words(context: &WriteContext) -> Section {
    let mut blocks = vec![context.paragraph(StyleName::Lead, "rows.lead", &[])];
    rule(context, &mut blocks);
    let (header, picture): (Vec<_>, Vec<_>) = written(context).partition(|(_, row)| row.place.is_header());
    let only =
        |rows: Vec<(WrittenRow, &WorkedRow)>| Block::Rows(rows.into_iter().map(|(written, _)| written).collect());
    // Where the picture's rows stand beside the chart, only the header's have their place here.
    let alongside = context.options.rows_alongside;
    if !header.is_empty() {
        blocks.push(context.heading(2, "rows.header"));
        blocks.push(only(header));
    }
    if !alongside {
        in_stretches(context, picture.into_iter().map(|(written, _)| written).collect(), &mut blocks);
    }
    Section { id: SectionName::RowsInWords, title: Some(context.say("rows.title", &[])), blocks }
}

/// The picture's rows, each stretch of twenty under a heading of its own.
fn in_stretches(context: &WriteContext, rows: Vec<WrittenRow>, blocks: &mut Vec<Block>) {
    let mut from = 1;
    for stretch in rows.chunks(ROWS_IN_STRETCH) {
        let to = from + stretch.len() - 1;
        let title = if from == to { "chart.one-row" } else { "chart.rows" };
        blocks.push(Block::Stretch(context.say(title, &[("from", &from), ("to", &to)])));
        blocks.push(Block::Rows(stretch.to_vec()));
        from = to + 1;
    }
}

/// Every row in working order, header rows first; one by one, as the lines of a large chart fill memory.
pub(super) fn written<'p>(context: &'p WriteContext) -> impl Iterator<Item = (WrittenRow, &'p WorkedRow)> {
    context.workings.rows.iter().map(move |row| (written_row(context, row), row))
}

/// Whether the picture's rows are printed in words, somewhere in this edition.
pub(super) fn in_words(context: &WriteContext) -> bool {
    context.options.rows_alongside || context.options.sections.contains(&SectionName::RowsInWords)
}

/// The number of a row as it is printed: "12", "H1".
pub(super) fn row_number(context: &WriteContext, place: RowPlace) -> String {
    match place {
        RowPlace::Header(_) => context.say("rows.header-row", &[("n", &place.number())]),
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
pub(super) fn choice(context: &WriteContext, last: LastKnot) -> String {
    let row = row_number(context, last.row);
    context.say("rows.choice", &[("row", &row), ("column", &context.words.whole(last.column.0 + 1))])
}

/// What stands before a line where its number and its arrow do not: "Row 12, right to left:".
pub(super) fn head(context: &WriteContext, row: &WorkedRow) -> String {
    named(context, row, if row.place.is_header() { "spoken.head-header" } else { "spoken.head" })
}

/// The name of a row of the chart, where its words are elsewhere: "Row 12, right to left".
pub(super) fn row_name(context: &WriteContext, row: &WorkedRow) -> String {
    with_plain_spaces(&named(context, row, "spoken.name"))
}

fn named(context: &WriteContext, row: &WorkedRow, key: &str) -> String {
    let direction = context.hand(row.direction).direction;
    context.say(key, &[("row", &row.place.number()), ("direction", &direction)])
}

fn written_row(context: &WriteContext, row: &WorkedRow) -> WrittenRow {
    let (line, mut runs) = line(context, row);
    let said = unmarked(&line);
    let is_alone = !in_words(context) && !row.place.is_header();
    let in_parts = (is_alone && said.len() > MAX_SPOKEN_LENGTH).then(|| Box::new(parts_of(context, row)));
    let mut spoken = vec![head(context, row), said];
    if row.knots > 0 {
        let knots = context.words.count("count.knots", row.knots, &[]);
        spoken.push(context.say("spoken.total", &[("knots", &knots)]));
    }
    let mut parts = vec![line];
    if let Some(width) = width_check(context, row) {
        let check = context.say("rows.width-check", &[("width", &width)]);
        spoken.push(check.clone());
        // Behind the space that parts the two.
        runs.push(parts.iter().map(Vec::len).sum::<usize>() + 1);
        parts.push(vec![Inline::Italic(check)]);
    }
    // Where the line is there to be read, the box has the row's name: nobody wants to hear it twice.
    if row.place.is_header() {
        spoken = vec![named(context, row, "spoken.name-header")];
    } else if !is_alone || in_parts.is_some() {
        spoken = vec![named(context, row, "spoken.name")];
    }
    WrittenRow {
        number: row_number(context, row.place),
        field: row_field(row.place),
        left_to_right: row.direction == Direction::LeftToRight,
        sentence: joined(parts),
        runs,
        spoken: with_plain_spaces(&spoken.join(" ")),
        in_parts,
    }
}

/// What is said aloud has no spaces of other widths.
fn with_plain_spaces(words: &str) -> String {
    words.replace(['\u{a0}', '\u{202f}'], " ")
}

/// What is said aloud of a row at its box, in bytes: minutes of listening. Of a longer row each sheet says what begins on it.
const MAX_SPOKEN_LENGTH: usize = 4_000;

/// A long row, part by part.
fn parts_of(context: &WriteContext, row: &WorkedRow) -> LongRow {
    let knots = context.words.count("count.knots", row.knots, &[]);
    let direction = context.hand(row.direction).direction;
    let filled_in = |template: String| {
        let known =
            [("row", row.place.number().to_string()), ("direction", direction.clone()), ("knots", knots.clone())];
        with_plain_spaces(&filled(&template, &known))
    };
    let stretches = stretches(context, row).into_iter().map(|(columns, is_bare, words)| SpokenStretch {
        columns,
        words: with_plain_spaces(&unmarked(&words)),
        is_bare,
    });
    LongRow {
        stretches: stretches.collect(),
        words: filled_in(context.words.template("spoken.part")),
        goes_on: filled_in(context.words.template("spoken.goes-on")),
        between: between(context),
    }
}

/// What parts the entries of a list.
fn between(context: &WriteContext) -> String {
    context.say("lists.middle", &[("a", &""), ("b", &"")])
}

/// Runs and bare cords of a row in working order: the first column worked and the last, whether it is bare, and the words.
fn stretches(context: &WriteContext, row: &WorkedRow) -> Vec<((usize, usize), bool, Text)> {
    let columns = context.project.chart.columns();
    // A column by its place from the side where the row starts, and the other way round.
    let column = |place: usize| match row.direction {
        Direction::LeftToRight => place,
        Direction::RightToLeft => columns - 1 - place,
    };
    let bare = |from: usize, to: usize| {
        ((column(from), column(to - 1)), true, context.words.count_text("rows.bare", to - from, &[]))
    };
    let mut out = Vec::with_capacity(row.runs.len());
    let mut done = 0;
    for id in row.runs.clone() {
        let run = &context.workings.sheet.runs[id];
        let begins = column(run.first.0);
        if begins > done {
            out.push(bare(done, begins));
        }
        done = begins + run.knots();
        out.push(((run.first.0, column(done - 1)), false, stretch(context, id)));
    }
    if columns > done {
        out.push(bare(done, columns));
    }
    out
}

/// The line of one row: "4 oat, 2 reed brown (start; cut after), 15 oat.", and where each run begins in it. Its symbols are
/// for the eye.
fn line(context: &WriteContext, row: &WorkedRow) -> (Text, Vec<usize>) {
    if row.knots == 0 {
        return (context.text("rows.none", &[]), Vec::new());
    }
    let comma = between(context);
    let stretches = stretches(context, row);
    let mut out = Text::new();
    let mut runs = Vec::with_capacity(stretches.len());
    for (_, _, stretch) in stretches {
        if !out.is_empty() {
            out.push(Inline::Plain(comma.clone()));
        }
        runs.push(out.len());
        out.extend(stretch);
    }
    // Words that stand before the first run are said with it.
    let ahead = context.text_with("rows.line", &[], "stretches", Text::new());
    let line = context.text_with("rows.line", &[], "stretches", out.clone());
    let shift = (0..=ahead.len()).find(|at| line[*at..].starts_with(&out)).unwrap_or(0);
    runs.iter_mut().for_each(|run| *run += shift);
    (line, runs)
}

/// The name of a yarn that a line's end does not part: "reed brown" is one thing to the eye. A long name may be parted.
pub(super) fn kept_together(name: &str) -> String {
    match name.chars().count() <= MAX_KEPT_TOGETHER {
        true => name.replace(' ', "\u{a0}"),
        false => name.to_owned(),
    }
}

/// Letters of a name that is kept on one line: a third of the narrowest measure.
const MAX_KEPT_TOGETHER: usize = 16;

/// One run with what departs from the rule: "4 oat (link)".
fn stretch(context: &WriteContext, id: RunId) -> Text {
    let (run, marks) = (&context.workings.sheet.runs[id], &context.workings.marks[id]);
    let symbol = vec![Inline::Symbol(context.swatch(run.yarn).symbol)];
    let yarn = kept_together(context.yarn(run.yarn));
    let names: Names = &[("n", &context.words.whole(run.knots())), ("yarn", &yarn)];
    let knots = context.text_with("rows.knots", names, "symbol", symbol);
    let knots = with_names(context, knots, [OwnName::Name(&yarn)]);
    let mut said: Vec<String> = Vec::new();
    if marks.start {
        said.push(context.say("rows.start", &[]));
    }
    said.extend(marks.choice.map(|last| choice(context, last)));
    if marks.link {
        said.push(context.say("rows.link", &[]));
    }
    if marks.cut {
        said.push(context.say("rows.cut", &[]));
    }
    match said.into_iter().reduce(|a, b| context.say("rows.and", &[("a", &a), ("b", &b)])) {
        Some(said) => context.text_with("rows.bracket", &[("said", &said)], "knots", knots),
        None => knots,
    }
}

/// Whether it has to be said which length is taken up: with one yarn and one length there is no choice.
pub(super) fn has_rule(context: &WriteContext) -> bool {
    let used = context.project.palette.iter().filter(|(id, _)| context.workings.tally.of(*id).total() > 0);
    used.count() > 1 || context.workings.marks.iter().any(|marks| marks.choice.is_some())
}

/// The one rule of carrying, and what the brackets mean.
pub(super) fn rule(context: &WriteContext, blocks: &mut Vec<Block>) {
    let tail = context.measures.both(MeasureKind::Gap, context.project.working.tail_mm);
    let names: Names = &[("tail", &tail)];
    blocks.push(context.heading(2, "rows.rule"));
    let has = |mark: fn(&RunMarks) -> bool| context.workings.marks.iter().any(mark);
    if has_rule(context) {
        let mut words = vec![context.text("rows.rule-words", &[])];
        if context.project.chart.knots() < context.project.chart.cells().len() {
            words.push(context.text("rows.rule-bare", &[]));
        }
        blocks.push(Block::Paragraph(StyleName::Body, joined(words)));
        let figure = ("figure.nearest-length-alt", "figure.nearest-length-caption");
        blocks.push(Block::Figure(row_figure(context, "nearest-length", figure.0, figure.1)));
    } else {
        blocks.push(context.body("rows.rule-one"));
    }
    blocks.push(context.body("rows.brackets"));
    let mut brackets = vec![context.text("rows.bracket-start", names)];
    if let Some(last) = context.workings.marks.iter().find_map(|m| m.choice) {
        brackets.push(context.text("rows.bracket-choice", &[("choice", &choice(context, last))]));
    }
    if has(|m| m.link) {
        brackets.push(context.text("rows.bracket-link", names));
    }
    brackets.push(context.text("rows.bracket-cut", names));
    blocks.push(Block::Bullets(brackets));
    blocks.push(context.body("rows.run-out"));
}
