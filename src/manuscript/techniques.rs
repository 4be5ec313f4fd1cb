//! Techniques: the one knot both ways, turning, joining, changing, leading behind, leaving waiting, linking, cutting, and
//! what to do when something goes wrong. Each with its figure.

use super::hazard::Hazard;
use super::pen::Pen;
use super::{Block, FigureBlock, Section, Step};
use crate::chart::Direction;
use crate::project::Mounting;
use crate::words::Names;
use crate::words::measures::Kind;
use crate::workings::KEPT_LEAST_UM;

/// Tails are trimmed to about this, millimetres: common practice, no source.
pub(super) const TRIM_MM: f64 = 20.0;
/// Pieces over this are kept for short stretches, millimetres.
pub(super) const KEEP_MM: f64 = KEPT_LEAST_UM as f64 / 1000.0;

pub(super) fn techniques(pen: &Pen) -> Section {
    let mut blocks = vec![pen.paragraph("lead", "technique.lead", &[])];
    mounting(pen, &mut blocks);
    let first = pen.first_direction();
    hitch(pen, first, &mut blocks);
    hitch(pen, first.turned(), &mut blocks);
    blocks.push(pen.body("technique.hitch-after"));
    if pen.project.working.legs_per_column == 2 {
        blocks.push(pen.body("technique.hitch-two"));
    }
    turning(pen, &mut blocks);
    joining(pen, first, &mut blocks);
    joining(pen, first.turned(), &mut blocks);
    between_yarns(pen, &mut blocks);
    cutting(pen, &mut blocks);
    mending(pen, &mut blocks);
    Section { id: "techniques".into(), title: Some(pen.say("technique.title", &[])), blocks }
}

/// A heading with what comes before, a figure and its steps: the first step goes with the figure's first stage, and so on.
fn shown(before: Vec<Block>, figure: FigureBlock, steps: Vec<Step>, blocks: &mut Vec<Block>) {
    blocks.extend(before);
    blocks.push(Block::Figure(figure));
    blocks.push(Block::Steps(steps));
}

/// A figure of a row in its working direction: drawn left to right, mirrored where the first row starts at the right.
fn row_figure(pen: &Pen, name: &str, alt: &str, caption: &str) -> FigureBlock {
    let hand = pen.hand(pen.first_direction());
    pen.figure(name, pen.mirrored(), pen.say(alt, &hand.names(&[])), pen.text(caption, &hand.names(&[])))
}

fn mounting(pen: &Pen, blocks: &mut Vec<Block>) {
    match pen.project.hanging.mounting {
        Mounting::OnAStrand => shown(
            vec![pen.heading(2, "technique.mounting-strand"), pen.body("technique.mounting-strand-1")],
            row_figure(pen, "larks-head-strand", "figure.larks-head-strand-alt", "figure.larks-head-strand-caption"),
            vec![
                pen.step("technique.mounting-strand-2", &[]),
                pen.step("technique.mounting-strand-3", &[]),
                pen.step("technique.mounting-strand-4", &[]),
            ],
            blocks,
        ),
        Mounting::OnTheWood => shown(
            vec![pen.heading(2, "technique.mounting-dowel"), pen.body("technique.mounting-dowel-1")],
            row_figure(pen, "larks-head-dowel", "figure.larks-head-dowel-alt", "figure.larks-head-dowel-caption"),
            vec![
                pen.step("technique.mounting-dowel-2", &[]),
                pen.step("technique.mounting-dowel-3", &[]),
                pen.step("technique.mounting-dowel-4", &[]),
            ],
            blocks,
        ),
    }
}

fn hitch(pen: &Pen, direction: Direction, blocks: &mut Vec<Block>) {
    let hand = pen.hand(direction);
    let name = match direction {
        Direction::LeftToRight => "hitch-left-to-right",
        Direction::RightToLeft => "hitch-right-to-left",
    };
    let names = hand.names(&[]);
    let figure = pen.figure(name, false, pen.say("figure.hitch-alt", &names), pen.text("figure.hitch-caption", &names));
    let steps = vec![
        pen.step("technique.hitch-1", &names),
        pen.step("technique.hitch-2", &names),
        pen.step("technique.hitch-3", &names),
        pen.step("technique.hitch-4", &names),
        pen.step("technique.hitch-5", &names),
    ];
    shown(vec![Block::Heading(2, pen.text("technique.hitch", &names))], figure, steps, blocks);
}

fn turning(pen: &Pen, blocks: &mut Vec<Block>) {
    let hand = pen.hand(pen.first_direction());
    let names = hand.names(&[]);
    let steps = vec![
        pen.step("technique.turn-1", &names),
        pen.step("technique.turn-2", &names),
        pen.step("technique.turn-3", &names),
    ];
    let figure = row_figure(pen, "turn", "figure.turn-alt", "figure.turn-caption");
    shown(vec![pen.heading(2, "technique.turn")], figure, steps, blocks);
    blocks.push(pen.paragraph("body", "technique.turn-other", &names));
}

fn joining(pen: &Pen, direction: Direction, blocks: &mut Vec<Block>) {
    let hand = pen.hand(direction);
    let tail = pen.measures.both(Kind::Gap, pen.project.working.tail_mm);
    let name = match direction {
        Direction::LeftToRight => "join-left-to-right",
        Direction::RightToLeft => "join-right-to-left",
    };
    let names = hand.names(&[("tail", &tail)]);
    let figure = pen.figure(name, false, pen.say("figure.join-alt", &names), pen.text("figure.join-caption", &names));
    let steps = vec![
        pen.step("technique.join-2", &names),
        pen.step("technique.join-3", &names),
        pen.step("technique.join-4", &names),
    ];
    let before =
        vec![Block::Heading(2, pen.text("technique.join", &names)), pen.paragraph("body", "technique.join-1", &names)];
    shown(before, figure, steps, blocks);
}

/// Changing, leading behind, leaving waiting, linking: said only where the panel has more than one yarn at work.
fn between_yarns(pen: &Pen, blocks: &mut Vec<Block>) {
    let used = pen.workings.tally.yarns.iter().filter(|yarn| yarn.total() > 0).count();
    if used < 2 {
        return;
    }
    let longest = pen.measures.both(Kind::Gap, pen.project.working.longest_carry_mm);
    let steps =
        |keys: &[&str]| -> Vec<Step> { keys.iter().map(|key| pen.step(key, &[("longest", &longest)])).collect() };
    shown(
        vec![pen.heading(2, "technique.change")],
        row_figure(pen, "change-yarn", "figure.change-yarn-alt", "figure.change-yarn-caption"),
        steps(&["technique.change-1", "technique.change-2", "technique.change-3"]),
        blocks,
    );
    let mut led = steps(&["technique.lead-1", "technique.lead-2", "technique.lead-3"]);
    if let Some(first) = led.first_mut() {
        first.cautions = pen.cautions(&[Hazard::Carry]);
    }
    shown(
        vec![pen.heading(2, "technique.lead-behind")],
        row_figure(pen, "lead-behind", "figure.lead-behind-alt", "figure.lead-behind-caption"),
        led,
        blocks,
    );
    blocks.push(pen.paragraph("body", "technique.lead-4", &[("longest", &longest)]));
    shown(
        vec![pen.heading(2, "technique.wait")],
        row_figure(pen, "leave-waiting", "figure.leave-waiting-alt", "figure.leave-waiting-caption"),
        steps(&["technique.wait-1", "technique.wait-2", "technique.wait-3"]),
        blocks,
    );
    shown(
        vec![pen.heading(2, "technique.link"), pen.body("technique.link-why")],
        row_figure(pen, "link", "figure.link-alt", "figure.link-caption"),
        steps(&["technique.link-1", "technique.link-2", "technique.link-3"]),
        blocks,
    );
}

fn cutting(pen: &Pen, blocks: &mut Vec<Block>) {
    let tail = pen.measures.both(Kind::Gap, pen.project.working.tail_mm);
    let keep = pen.measures.both(Kind::Reach, KEEP_MM);
    let trim = pen.measures.both(Kind::Gap, TRIM_MM);
    let names: Names = &[("tail", &tail), ("keep", &keep), ("trim", &trim)];
    let mut before = vec![pen.heading(2, "technique.cut")];
    before.extend(pen.cautions(&[Hazard::Scissors]).into_iter().map(Block::Caution));
    before.push(pen.paragraph("body", "technique.cut-1", names));
    before.push(pen.paragraph("body", "technique.cut-2", names));
    let steps = vec![
        pen.step("technique.cut-3", names),
        pen.step("technique.cut-4", names),
        pen.step("technique.cut-5", names),
        pen.step("technique.cut-6", names),
        pen.step("technique.cut-7", names),
    ];
    let figure = row_figure(pen, "tie-off", "figure.tie-off-alt", "figure.tie-off-caption");
    shown(before, figure, steps, blocks);
}

fn mending(pen: &Pen, blocks: &mut Vec<Block>) {
    const TROUBLES: [(&str, &str); 5] = [
        ("technique.undo", "technique.undo-words"),
        ("technique.missed", "technique.missed-words"),
        ("technique.wrong", "technique.wrong-words"),
        ("technique.curl", "technique.curl-words"),
        ("technique.narrow", "technique.narrow-words"),
    ];
    blocks.push(pen.heading(2, "technique.mend"));
    for (heading, words) in TROUBLES {
        blocks.push(pen.heading(3, heading));
        blocks.push(pen.body(words));
    }
}
