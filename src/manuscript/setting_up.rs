//! Setting up: the cords at their gauge, row H1 level, the header, and what other wood asks for.

use super::hanging::prepare;
use super::hazard::Hazard;
use super::pen::Pen;
use super::{Align, Block, Section, Step, Table, TableColumn, TableEntry, plain};
use crate::geom::MM_PER_INCH;
use crate::project::{Mounting, Wood};
use crate::words::Names;
use crate::words::measures::Kind;
use crate::workings::HeaderFrom;

/// Less than this is not worth sparing of a cord, nor of a yarn, millimetres.
const HALF_INCH_MM: f64 = MM_PER_INCH / 2.0;
const METRE_MM: f64 = 1000.0;

pub(super) fn setting_up(pen: &Pen) -> Section {
    let mut blocks = vec![pen.paragraph("lead", "setup.lead", &[])];
    if pen.project.hanging.mounting == Mounting::OnTheWood {
        prepare(pen, &mut blocks);
    }
    blocks.push(pen.heading(2, "setup.mounting"));
    blocks.push(Block::Steps(cords(pen)));
    if pen.project.hanging.mounting == Mounting::OnTheWood && pen.project.hanging.wood == Wood::Branch {
        level(pen, &mut blocks);
    }
    header(pen, &mut blocks);
    if pen.project.hanging.mounting == Mounting::OnAStrand {
        depth_table(pen, &mut blocks);
    }
    Section { id: "setting-up".into(), title: Some(pen.say("setup.title", &[])), blocks }
}

/// Steps from the bare strand or wood to combed cords.
fn cords(pen: &Pen) -> Vec<Step> {
    let (project, workings) = (pen.project, pen.workings);
    let half = pen.measures.both(Kind::Size, workings.size.width_mm / 2.0);
    let mut steps = Vec::new();
    match (&workings.cords.strand, project.hanging.mounting) {
        (Some(strand), Mounting::OnAStrand) => {
            let length = pen.cut(strand);
            steps.push(pen.step_after(&[Hazard::Scissors], "setup.strand-1", &[("length", &length), ("half", &half)]));
            steps.push(pen.step("setup.strand-2", &[]));
        }
        (Some(_) | None, Mounting::OnTheWood | Mounting::OnAStrand) => {
            steps.push(pen.step("setup.wood-1", &[("half", &half)]));
        }
    }
    steps.push(pen.step("setup.wrap-tape", &[]));
    let folded = workings.cords.folded.count;
    if folded > 0 {
        let pitch = pen.measures.both(Kind::Fine, workings.cords.head_pitch_mm);
        let text = pen.words.count_text("setup.mount-folded", folded, &[("pitch", &pitch)]);
        steps.push(Step { cautions: Vec::new(), text, figure: None });
    }
    if project.working.legs_per_column == 2 {
        steps.push(pen.step("setup.mount-two", &[]));
    }
    if workings.cords.single.is_some() {
        let hand = pen.hand(pen.first_direction());
        steps.push(pen.step("setup.mount-single", &hand.names(&[])));
    }
    let width = pen.measures.both(Kind::Size, workings.size.width_mm);
    steps.push(pen.step("setup.mount-spread", &[("width", &width)]));
    steps.push(pen.step("setup.comb", &[]));
    steps
}

/// Levelling row H1 where cords hang on uneven wood.
fn level(pen: &Pen, blocks: &mut Vec<Block>) {
    blocks.push(pen.heading(2, "setup.level"));
    blocks.push(pen.body("setup.level-words"));
    blocks.push(Block::Figure(pen.figure(
        "level-header",
        false,
        pen.say("figure.level-header-alt", &[]),
        pen.text("figure.level-header-caption", &[]),
    )));
    blocks.push(Block::Steps(vec![
        pen.step("setup.level-1", &[]),
        pen.step("setup.level-2", &[]),
        pen.step("setup.level-3", &[]),
    ]));
}

fn header(pen: &Pen, blocks: &mut Vec<Block>) {
    let header = &pen.workings.header;
    if header.rows == 0 {
        blocks.push(pen.body("setup.header-none"));
        return;
    }
    blocks.push(pen.heading(2, "setup.header"));
    let yarn = pen.yarn(pen.project.working.header_yarn);
    let height = pen.measures.both(Kind::Size, pen.workings.size.header_mm);
    let names: Names = &[("yarn", &yarn), ("height", &height)];
    blocks.push(Block::Paragraph("body", pen.words.count_text("setup.header-words", header.rows, names)));
    if pen.project.hanging.mounting == Mounting::OnAStrand {
        blocks.push(pen.body("setup.header-behind"));
        if pen.project.hanging.wood == Wood::Branch {
            blocks.push(Block::Figure(pen.figure(
                "header-under-branch",
                false,
                pen.say("figure.header-under-branch-alt", &[]),
                pen.text("figure.header-under-branch-caption", &[]),
            )));
        }
    }
    blocks.push(pen.body("setup.header-sentences"));
}

/// Depth of the buyer's own wood, rows, cord and yarn to add.
fn depth_table(pen: &Pen, blocks: &mut Vec<Block>) {
    let header = &pen.workings.header;
    blocks.push(pen.heading(2, "setup.depth"));
    blocks.push(pen.body("setup.depth-words"));
    let column = |key: &str, align| TableColumn { head: pen.text(key, &[]), align, share: 1.0 };
    // What is spared is rounded down, so that nobody cuts too short.
    let signed = |mm: f64, more: Kind, (less, least): (Kind, f64)| match mm {
        mm if mm > 0.05 => pen.say("setup.depth-more", &[("amount", &pen.measures.both(more, mm))]),
        mm if mm <= -least => pen.say("setup.depth-less", &[("amount", &pen.measures.both(less, -mm))]),
        _ => pen.say("setup.depth-none", &[]),
    };
    let margin = 1.0 + pen.project.working.yarn_margin;
    let rows = header
        .table
        .iter()
        .map(|choice| {
            [
                pen.measures.both(Kind::Gap, choice.depth_mm),
                pen.words.whole(choice.rows),
                signed(choice.cord_more_mm, Kind::Cut, (Kind::Spare, HALF_INCH_MM)),
                signed(choice.yarn_more_mm * margin, Kind::Buy, (Kind::Left, METRE_MM)),
            ]
            .map(|words| TableEntry { text: plain(words), ..TableEntry::default() })
            .to_vec()
        })
        .collect();
    let count = pen.words.count("count.rows", header.rows, &[]);
    let yarn = pen.yarn(pen.project.working.header_yarn);
    let mut note = pen.text("setup.depth-note", &[("rows", &count), ("yarn", &yarn)]);
    if header.from == HeaderFrom::Maker {
        note = super::pen::joined(vec![note, pen.text("setup.depth-maker", &[])]);
    }
    blocks.push(Block::Table(Table {
        caption: Some(pen.text("setup.depth-caption", &[])),
        columns: vec![
            column("setup.depth-column", Align::Left),
            column("setup.depth-rows", Align::Right),
            column("setup.depth-cord", Align::Right),
            column("setup.depth-yarn", Align::Right),
        ],
        rows,
        row_heads: true,
        note: Some(note),
    }));
}
