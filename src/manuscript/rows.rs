//! The rows in words: one sentence after another from what the workings say is done, and the page that explains the actions.

use super::pen::{Pen, joined};
use super::{Block, Inline, Section, Text, WrittenRow};
use crate::chart::{Column, Direction, YarnId};
use crate::words::measures::Kind;
use crate::words::{Names, unmarked};
use crate::workings::{Action, Passed, RowPlace, WorkedRow};
use std::collections::BTreeMap;

/// The width is measured every so many rows; panels of fewer than two stretches are measured twice as often.
const CHECK_EVERY: usize = 20;

pub(super) fn rows_in_words(pen: &Pen) -> Section {
    let mut blocks = vec![pen.paragraph("lead", "rows.lead", &[])];
    actions_page(pen, &mut blocks);
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

/// Every row in working order, header rows first; one by one, as the sentences of a large chart fill memory.
pub(super) fn written<'p>(pen: &'p Pen) -> impl Iterator<Item = (WrittenRow, &'p WorkedRow)> {
    let mut waiting = Waiting::default();
    pen.workings.rows.iter().map(move |row| (written_row(pen, row, &mut waiting), row))
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

/// The name of a row's box, the same in the chart and beside the sentence: it holds no words of any language.
pub(super) fn row_field(place: RowPlace) -> String {
    match place {
        RowPlace::Header(_) => format!("row-H{}", place.number()),
        RowPlace::Chart(_) => format!("row-{}", place.number()),
    }
}

/// How many lengths of each yarn wait, so that a place is named only where there is a choice.
#[derive(Default)]
struct Waiting(BTreeMap<YarnId, usize>);

fn written_row(pen: &Pen, row: &WorkedRow, waiting: &mut Waiting) -> WrittenRow {
    let number = row_number(pen, row.place);
    let direction = pen.say(
        match row.direction {
            Direction::LeftToRight => "side.left-to-right",
            Direction::RightToLeft => "side.right-to-left",
        },
        &[],
    );
    let knots = pen.words.count("count.knots", row.knots, &[]);
    let (head, body) = if row.knots == 0 {
        (pen.text("rows.head-bare", &[("row", &number), ("direction", &direction)]), Vec::new())
    } else {
        let names: Names = &[("row", &number), ("direction", &direction), ("knots", &knots)];
        (pen.text("rows.head", names), sentences(pen, row, waiting))
    };
    let names: Names = &[("row", &row.place.number()), ("direction", &direction)];
    let mut spoken = vec![if row.knots == 0 { unmarked(&head) } else { pen.say("spoken.head", names) }];
    let said: Vec<String> = body.iter().map(|sentence| unmarked(sentence)).collect();
    let is_long = said.iter().map(String::len).sum::<usize>() > LONGEST_SPOKEN;
    if !is_long {
        spoken.extend(said);
    }
    if row.knots > 0 {
        spoken.push(pen.say("spoken.total", &[("knots", &knots)]));
    }
    let mut parts = vec![head];
    parts.extend(body);
    if let Some(width) = width_check(pen, row) {
        let check = pen.say("rows.width-check", &[("width", &width)]);
        spoken.push(check.clone());
        parts.push(vec![Inline::Italic(check)]);
    }
    // Where the sentence is there to be read, the box has the row's name: nobody wants to hear it twice.
    if row.place.is_header() {
        spoken = vec![pen.say("spoken.name-header", names)];
    } else if in_words(pen) {
        spoken = vec![pen.say("spoken.name", names)];
    }
    WrittenRow {
        number,
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
    let full = row.knotted_columns() == pen.project.chart.columns();
    let due = (at.0 + 1).is_multiple_of(every) && at.0 + 1 < rows;
    (due && full).then(|| pen.measures.both(Kind::Size, pen.workings.size.width_mm))
}

/// What is said aloud of a row at its box, in bytes: minutes of listening. A longer row says its name and its knots there,
/// and its sentence stands in words where the edition has them.
const LONGEST_SPOKEN: usize = 6_000;

/// One run on its way to a sentence: how its yarn comes, its knots, and what becomes of the yarn.
#[derive(Default)]
struct RunWords {
    start: Option<YarnId>,
    take_up: Option<(YarnId, Which)>,
    lead: Option<(YarnId, usize, Passed)>,
    yarn: Option<YarnId>,
    knots: usize,
    /// Knots after which the length is expected to run out.
    new_lengths: Vec<usize>,
    /// "leave navy waiting", "cut navy".
    closing: Option<String>,
}

/// Which of the waiting lengths of a yarn.
enum Which {
    /// There is only one.
    Only,
    /// The one behind this column.
    Behind(Column),
    /// Of several behind this column the one left in that row.
    Since(Column, RowPlace),
}

/// The sentences of one row.
fn sentences(pen: &Pen, row: &WorkedRow, waiting: &mut Waiting) -> Vec<Text> {
    let mut out = Vec::new();
    let mut run = RunWords::default();
    // The run before in this row: only a whole one is named by its knots where a yarn is led behind it.
    let mut before: Option<(YarnId, usize)> = None;
    let last_knots = row.actions.iter().rposition(|action| matches!(action, Action::Knots { .. }));
    for (at, action) in row.actions.iter().enumerate() {
        // Whatever may open the next run ends the sentence of the one before.
        let opens = matches!(
            action,
            Action::Bare { .. }
                | Action::Link { .. }
                | Action::Start { .. }
                | Action::TakeUp { .. }
                | Action::LeadBehind { .. }
        );
        if opens && let Some(yarn) = run.yarn {
            let done = std::mem::take(&mut run);
            let knots = done.knots;
            out.push(run_sentence(pen, done, before));
            before = Some((yarn, knots));
        }
        match *action {
            Action::Bare { count } => {
                let last = last_knots.is_some_and(|last| at > last);
                out.push(pen.words.count_text(if last { "rows.bare-last" } else { "rows.bare" }, count, &[]));
            }
            Action::Link { yarn, around, after: _ } => {
                out.push(pen.text("rows.link", &[("yarn", &pen.yarn(yarn)), ("around", &pen.yarn(around))]));
            }
            Action::Start { yarn, at: _ } => run.start = Some(yarn),
            Action::TakeUp { yarn, behind, left_in, ambiguous, carry: _ } => {
                let count = waiting.0.entry(yarn).or_default();
                let which = match (*count > 1, ambiguous) {
                    (_, true) => Which::Since(behind, left_in),
                    (true, false) => Which::Behind(behind),
                    (false, false) => Which::Only,
                };
                *count = count.saturating_sub(1);
                run.take_up = Some((yarn, which));
            }
            Action::LeadBehind { yarn, cords, first: _, last: _, passed } => run.lead = Some((yarn, cords, passed)),
            Action::Knots { yarn, count, first: _ } => {
                run.yarn = Some(yarn);
                run.knots += count;
            }
            Action::NewLength { yarn: _, after: _ } => run.new_lengths.push(run.knots),
            Action::LeaveWaiting { yarn, behind: _, until: _, carry: _ } => {
                *waiting.0.entry(yarn).or_default() += 1;
                run.closing = Some(pen.say("rows.leave", &[("yarn", &pen.yarn(yarn))]));
            }
            Action::Cut { yarn, after: _ } => {
                run.closing = Some(pen.say("rows.cut", &[("yarn", &pen.yarn(yarn))]));
            }
        }
    }
    if run.yarn.is_some() {
        out.push(run_sentence(pen, run, before));
    }
    out
}

/// The knots of a run and what becomes of its yarn: "12 navy (a new length after about 4); leave navy waiting". The count
/// keeps its mark-up: a knotter finds her place by it.
fn tied(pen: &Pen, run: &RunWords) -> Text {
    let yarn = run.yarn.unwrap_or(pen.project.working.header_yarn);
    let mut words = pen.text("rows.knots", &[("n", &pen.words.whole(run.knots)), ("yarn", &pen.yarn(yarn))]);
    if !run.new_lengths.is_empty() {
        let after: Vec<String> = run.new_lengths.iter().map(|knots| pen.words.whole(*knots)).collect();
        words = pen.text_with("rows.knots-new-length", &[("after", &pen.words.list(&after))], "knots", words);
    }
    match &run.closing {
        Some(closing) => pen.text_with("rows.then", &[("b", closing)], "a", words),
        None => words,
    }
}

fn run_sentence(pen: &Pen, run: RunWords, before: Option<(YarnId, usize)>) -> Text {
    let tied = tied(pen, &run);
    let with_tied = |key: &str, names: Names| pen.text_with(key, names, "tied", tied.clone());
    if let Some(yarn) = run.start {
        return with_tied("rows.start", &[("yarn", &pen.yarn(yarn))]);
    }
    let lead = run.lead.map(|(yarn, cords, passed)| match passed {
        Passed::One(over) if before == Some((over, cords)) => {
            (yarn, Led::One(pen.words.count("rows.passed", cords, &[("yarn", &pen.yarn(over))])))
        }
        Passed::One(_) | Passed::Several => (yarn, Led::Several(pen.words.count("rows.last-columns", cords, &[]))),
        Passed::Ahead => (yarn, Led::Ahead(pen.words.count("rows.next-columns", cords, &[]))),
    });
    match (run.take_up, lead) {
        (None, None) => with_tied("rows.plain", &[]),
        (None, Some((yarn, led))) => {
            let yarn = pen.yarn(yarn);
            match led {
                Led::One(passed) => with_tied("rows.lead-one", &[("yarn", &yarn), ("passed", &passed)]),
                Led::Several(columns) => with_tied("rows.lead-several", &[("yarn", &yarn), ("columns", &columns)]),
                Led::Ahead(columns) => with_tied("rows.lead-ahead", &[("yarn", &yarn), ("columns", &columns)]),
            }
        }
        (Some((yarn, which)), lead) => {
            let which = which_words(pen, yarn, which);
            match lead {
                None => with_tied("rows.take-up", &[("which", &which)]),
                Some((_, Led::One(passed))) => {
                    with_tied("rows.take-up-lead-one", &[("which", &which), ("passed", &passed)])
                }
                Some((_, Led::Several(columns))) => {
                    with_tied("rows.take-up-lead-several", &[("which", &which), ("columns", &columns)])
                }
                Some((_, Led::Ahead(columns))) => {
                    with_tied("rows.take-up-lead-ahead", &[("which", &which), ("columns", &columns)])
                }
            }
        }
    }
}

/// What a yarn is led behind, in words.
enum Led {
    One(String),
    Several(String),
    Ahead(String),
}

fn which_words(pen: &Pen, yarn: YarnId, which: Which) -> String {
    let yarn = pen.yarn(yarn);
    match which {
        Which::Only => pen.say("rows.which-one", &[("yarn", &yarn)]),
        Which::Behind(column) => {
            pen.say("rows.which-column", &[("yarn", &yarn), ("column", &pen.words.whole(column.0 + 1))])
        }
        Which::Since(column, row) => {
            let row = row_number(pen, row);
            let names: Names = &[("yarn", &yarn), ("column", &pen.words.whole(column.0 + 1)), ("row", &row)];
            pen.say("rows.which-row", names)
        }
    }
}

/// The page that explains the six actions, with two of the panel's own yarns as examples.
fn actions_page(pen: &Pen, blocks: &mut Vec<Block>) {
    let used: Vec<&str> = pen
        .project
        .palette
        .iter()
        .filter(|(id, _)| pen.workings.tally.of(*id).total() > 0)
        .map(|(_, yarn)| yarn.name.as_str())
        .collect();
    let first = used.first().copied().unwrap_or_default();
    let tail = pen.measures.both(Kind::Gap, pen.project.working.tail_mm);
    blocks.push(pen.heading(2, "rows.actions"));
    if let Some(second) = used.get(1) {
        let names: Names = &[("a", &first), ("b", second), ("tail", &tail)];
        blocks.push(pen.body("rows.actions-lead"));
        blocks.push(Block::Bullets(
            [
                "rows.action-start",
                "rows.action-wait",
                "rows.action-take",
                "rows.action-lead",
                "rows.action-link",
                "rows.action-cut",
            ]
            .map(|key| pen.text(key, names))
            .to_vec(),
        ));
    } else {
        let names: Names = &[("a", &first), ("tail", &tail)];
        blocks.push(pen.body("rows.actions-lead-one"));
        blocks.push(Block::Bullets(["rows.action-start", "rows.action-cut"].map(|key| pen.text(key, names)).to_vec()));
    }
    blocks.push(pen.body("rows.straight-on"));
    blocks.push(pen.body("rows.run-out"));
    if used.len() > 1 {
        blocks.push(pen.body("rows.cut-instead"));
    }
}
