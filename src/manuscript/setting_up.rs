//! Setting up: the cords at their gauge, row H1 level, the header, and what other wood asks for.

use super::context::WriteContext;
use super::hanging::prepare;
use super::hazard::Hazard;
use super::own_words::{OwnName, with_names};
use super::techniques::larks_head;
use super::{Align, Block, Section, Step, Table, TableColumn, TableEntry, plain};
use crate::catalogue::{SectionName, StyleName};
use crate::geom::MM_PER_INCH;
use crate::project::{Mounting, Wood};
use crate::words::Names;
use crate::words::measures::MeasureKind;
use crate::workings::HeaderFrom;

/// Less than this is not worth sparing of a cord, nor of a yarn, millimetres.
const HALF_INCH_MM: f64 = MM_PER_INCH / 2.0;
const METRE_MM: f64 = 1000.0;

pub(super) fn setting_up(context: &WriteContext) -> Section {
    let mut blocks = Vec::new();
    if context.project.hanging.mounting == Mounting::OnTheWood {
        prepare(context, &mut blocks);
    }
    let (before, after) = cords(context);
    blocks.push(context.heading(2, "setup.mounting"));
    blocks.push(Block::Steps(before));
    larks_head(context, &mut blocks);
    blocks.push(Block::Steps(after));
    if context.project.hanging.mounting == Mounting::OnTheWood && context.project.hanging.wood == Wood::Branch {
        level(context, &mut blocks);
    }
    header(context, &mut blocks);
    if context.project.hanging.mounting == Mounting::OnAStrand && !context.has(SectionName::OwnGauge) {
        depth_table(context, &mut blocks);
    }
    Section { id: SectionName::SettingUp, title: Some(context.say("setup.title", &[])), blocks }
}

/// Steps from the bare strand or wood to combed cords: those before the knot is shown that they hang by, and those after.
fn cords(context: &WriteContext) -> (Vec<Step>, Vec<Step>) {
    let (project, workings) = (context.project, context.workings);
    let half = context.measures.both(MeasureKind::Size, workings.size.width_mm / 2.0);
    let mut steps = Vec::new();
    match (&workings.cords.strand, project.hanging.mounting) {
        (Some(strand), Mounting::OnAStrand) => {
            let length = context.cut(strand);
            steps.push(context.step_after(
                &[Hazard::Scissors],
                "setup.strand-1",
                &[("length", &length), ("half", &half)],
            ));
            steps.push(context.step("setup.strand-2", &[]));
        }
        (Some(_) | None, Mounting::OnTheWood | Mounting::OnAStrand) => {
            steps.push(context.step("setup.wood-1", &[("half", &half)]));
        }
    }
    steps.extend(marks(context));
    steps.push(context.step("setup.wrap-tape", &[]));
    let before = std::mem::take(&mut steps);
    let folded = workings.cords.folded.count;
    if folded > 0 {
        let pitch = context.measures.both(MeasureKind::Gap, workings.cords.head_pitch_mm);
        let text = context.words.count_text("setup.mount-folded", folded, &[("pitch", &pitch)]);
        steps.push(Step { cautions: Vec::new(), text, figure: None, picture: None });
    }
    if !workings.cords.groups.is_empty() {
        steps.push(context.step("setup.mount-groups", &[]));
    }
    if project.working.legs_per_column == 2 {
        steps.push(context.step("setup.mount-two", &[]));
    }
    if workings.cords.single.is_some() {
        let hand = context.hand(context.first_direction());
        steps.push(context.step("setup.mount-single", &hand.names(&[])));
    }
    let width = context.measures.both(MeasureKind::Size, workings.size.width_mm);
    steps.push(context.step("setup.mount-spread", &[("width", &width)]));
    // Tapes at every tenth column, where there is more than one ten.
    let comb = if project.chart.columns() > 10 { "setup.comb" } else { "setup.comb-few" };
    steps.push(context.step(comb, &[]));
    (before, steps)
}

/// Marks on strand or wood for this panel's columns: at every tenth one, fewer where there are many. None on a panel that
/// has hardly more.
fn marks(context: &WriteContext) -> Option<Step> {
    const MOST: usize = 8;
    let columns = context.project.chart.columns();
    let every = [10, 20, 50, 100].into_iter().find(|every| columns / every <= MOST)?;
    let mark = |column: usize| {
        let at = context.measures.first(MeasureKind::Size, column as f64 * context.workings.gauge.column_mm);
        context.say("setup.mark", &[("column", &column), ("at", &at)])
    };
    let marks: Vec<String> = (every..columns).step_by(every).map(mark).collect();
    (!marks.is_empty()).then(|| context.step("setup.marks", &[("marks", &context.words.list(&marks))]))
}

/// Levelling row H1 where cords hang on uneven wood.
fn level(context: &WriteContext, blocks: &mut Vec<Block>) {
    blocks.push(context.heading(2, "setup.level"));
    blocks.push(context.body("setup.level-words"));
    blocks.push(Block::Figure(context.figure(
        "level-header",
        false,
        context.say("figure.level-header-alt", &[]),
        context.text("figure.level-header-caption", &[]),
    )));
    blocks.push(Block::Steps(vec![
        context.step("setup.level-1", &[]),
        context.step("setup.level-2", &[]),
        context.step("setup.level-3", &[]),
    ]));
}

fn header(context: &WriteContext, blocks: &mut Vec<Block>) {
    let header = &context.workings.header;
    if header.rows == 0 {
        blocks.push(context.body("setup.header-none"));
        return;
    }
    blocks.push(context.heading(2, "setup.header"));
    let yarn = context.yarn(context.project.working.header_yarn);
    let height = context.measures.both(MeasureKind::Size, context.workings.size.header_mm);
    let names: Names = &[("yarn", &yarn), ("height", &height)];
    let words = context.words.count_text("setup.header-words", header.rows, names);
    blocks.push(Block::Paragraph(StyleName::Body, with_names(context, words, [OwnName::Name(yarn)])));
    if context.project.hanging.mounting == Mounting::OnAStrand {
        blocks.push(context.body("setup.header-behind"));
        if context.is_header_by_wood() {
            blocks.push(context.page_of(StyleName::Body, SectionName::OwnGauge, "setup.header-own"));
        }
        if context.project.hanging.wood == Wood::Branch {
            blocks.push(Block::Figure(context.figure(
                "header-under-branch",
                false,
                context.say("figure.header-under-branch-alt", &[]),
                context.text("figure.header-under-branch-caption", &[]),
            )));
        }
    }
    blocks.push(context.body("setup.header-sentences"));
}

/// Depth of the buyer's own wood, rows, cord and yarn to add.
pub(super) fn depth_table(context: &WriteContext, blocks: &mut Vec<Block>) {
    let header = &context.workings.header;
    // Told with the wood, where the wood is looked for before all else.
    if !context.has(SectionName::OwnGauge) {
        blocks.push(context.heading(2, "setup.depth"));
    }
    blocks.push(context.body("setup.depth-words"));
    let column = |key: &str, align| TableColumn { head: context.text(key, &[]), align, share: 1.0 };
    // What is spared is rounded down, so that nobody cuts too short.
    let signed = |mm: f64, more: MeasureKind, (less, least): (MeasureKind, f64)| match mm {
        mm if mm > 0.05 => context.say("setup.depth-more", &[("amount", &context.measures.both(more, mm))]),
        mm if mm <= -least => context.say("setup.depth-less", &[("amount", &context.measures.both(less, -mm))]),
        _ => context.say("setup.depth-none", &[]),
    };
    let rows = header
        .table
        .iter()
        .map(|choice| {
            [
                context.measures.both(MeasureKind::Gap, choice.depth_mm),
                context.words.whole(choice.rows),
                signed(choice.cord_more_mm, MeasureKind::Cut, (MeasureKind::Spare, HALF_INCH_MM)),
                signed(choice.cord_total_more_mm, MeasureKind::Buy, (MeasureKind::Left, METRE_MM)),
                signed(choice.yarn_more_mm, MeasureKind::Buy, (MeasureKind::Left, METRE_MM)),
            ]
            .map(|words| TableEntry { text: plain(words), ..TableEntry::default() })
            .to_vec()
        })
        .collect();
    let count = context.words.count("count.rows", header.rows, &[]);
    let yarn = context.yarn(context.project.working.header_yarn);
    let note = context.text("setup.depth-note", &[("rows", &count), ("yarn", &yarn)]);
    let mut note = with_names(context, note, [OwnName::Name(yarn)]);
    if header.from == HeaderFrom::Maker {
        note = super::context::joined(vec![note, context.text("setup.depth-maker", &[])]);
    }
    blocks.push(Block::Table(Table {
        caption: Some(context.text("setup.depth-caption", &[])),
        columns: vec![
            column("setup.depth-column", Align::Left),
            column("setup.depth-rows", Align::Right),
            column("setup.depth-cord", Align::Right),
            column("setup.depth-cord-all", Align::Right),
            column("setup.depth-yarn", Align::Right),
        ],
        rows,
        row_heads: true,
        note: Some(note),
    }));
}
