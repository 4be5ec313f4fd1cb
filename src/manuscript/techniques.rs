//! Techniques in the order in which they are met: the one knot both ways, turning, joining, changing, leading behind, leaving
//! waiting, linking, cutting, and what to do when something goes wrong. The lark's head and tying off are shown where they
//! are done.

use super::context::{WriteContext, joined};
use super::hazard::Hazard;
use super::width_check::is_measured;
use super::{Block, FigureBlock, Inline, Section, Step};
use crate::catalogue::{SectionName, StyleName};
use crate::chart::Direction;
use crate::markup::unmarked;
use crate::project::Mounting;
use crate::words::measures::MeasureKind;
use crate::workings::KEPT_LEAST_UM;

/// Tails are trimmed to about this, millimetres: common practice, no source.
pub(super) const TRIM_MM: f64 = 20.0;
/// Pieces over this are kept for short stretches, millimetres.
pub(super) const KEEP_MM: f64 = KEPT_LEAST_UM as f64 / 1000.0;

pub(super) fn techniques(context: &WriteContext) -> Section {
    let mut blocks = vec![context.paragraph(StyleName::Lead, "technique.lead", &[])];
    hitch(context, &mut blocks);
    turning(context, &mut blocks);
    joining(context, &mut blocks);
    between_yarns(context, &mut blocks);
    cutting(context, &mut blocks);
    mending(context, &mut blocks);
    Section { id: SectionName::Techniques, title: Some(context.say("technique.title", &[])), blocks }
}

/// A heading with what comes before, a figure and its steps: the first step goes with the figure's first stage, and so on.
fn shown(before: Vec<Block>, figure: FigureBlock, steps: Vec<Step>, blocks: &mut Vec<Block>) {
    blocks.extend(before);
    blocks.push(Block::Figure(figure));
    blocks.push(Block::Steps(steps));
}

/// A figure of a row in its working direction: drawn left to right, mirrored where the first row starts at the right.
pub(super) fn row_figure(context: &WriteContext, name: &str, alt: &str, caption: &str) -> FigureBlock {
    let hand = context.hand(context.first_direction());
    context.figure(
        name,
        context.mirrored(),
        context.say(alt, &hand.names(&[])),
        context.text(caption, &hand.names(&[])),
    )
}

/// The knot that the cords hang by. It is shown where they are hung.
pub(super) fn larks_head(context: &WriteContext, blocks: &mut Vec<Block>) {
    match context.project.hanging.mounting {
        Mounting::OnAStrand => shown(
            vec![context.heading(2, "technique.mounting-strand")],
            row_figure(
                context,
                "larks-head-strand",
                "figure.larks-head-strand-alt",
                "figure.larks-head-strand-caption",
            ),
            vec![
                context.step("technique.mounting-strand-2", &[]),
                context.step("technique.mounting-strand-3", &[]),
                context.step("technique.mounting-strand-4", &[]),
            ],
            blocks,
        ),
        Mounting::OnTheWood => shown(
            vec![context.heading(2, "technique.mounting-dowel")],
            row_figure(context, "larks-head-dowel", "figure.larks-head-dowel-alt", "figure.larks-head-dowel-caption"),
            vec![
                context.step("technique.mounting-dowel-2", &[]),
                context.step("technique.mounting-dowel-3", &[]),
                context.step("technique.mounting-dowel-4", &[]),
            ],
            blocks,
        ),
    }
}

/// The knot: its steps in the direction of the first row, and the other direction drawn below it, mirrored.
fn hitch(context: &WriteContext, blocks: &mut Vec<Block>) {
    let first = context.first_direction();
    let drawn = |direction: Direction| {
        let name = match direction {
            Direction::LeftToRight => "hitch-left-to-right",
            Direction::RightToLeft => "hitch-right-to-left",
        };
        let hand = context.hand(direction);
        let names = hand.names(&[]);
        Block::Figure(context.figure(
            name,
            false,
            context.say("figure.hitch-alt", &names),
            context.text("figure.hitch-caption", &names),
        ))
    };
    let hand = context.hand(first);
    let names = hand.names(&[]);
    blocks.push(context.heading(2, "technique.hitch"));
    // Both directions at one glance, before the steps of one of them.
    blocks.extend([drawn(first), drawn(first.turned())]);
    blocks.push(context.paragraph(StyleName::Body, "technique.hitch-steps", &names));
    blocks.push(Block::Steps(vec![
        context.step("technique.hitch-1", &names),
        context.step("technique.hitch-2", &names),
        context.step("technique.hitch-3", &names),
        context.step("technique.hitch-4", &names),
        context.step("technique.hitch-5", &names),
    ]));
    blocks.push(context.body("technique.hitch-after"));
    if context.project.working.legs_per_column == 2 {
        blocks.push(context.body("technique.hitch-two"));
    }
}

fn turning(context: &WriteContext, blocks: &mut Vec<Block>) {
    let hand = context.hand(context.first_direction());
    let names = hand.names(&[]);
    let steps = vec![
        context.step("technique.turn-1", &names),
        context.step("technique.turn-2", &names),
        context.step("technique.turn-3", &names),
    ];
    let figure = row_figure(context, "turn", "figure.turn-alt", "figure.turn-caption");
    shown(vec![context.heading(2, "technique.turn")], figure, steps, blocks);
    blocks.push(context.paragraph(StyleName::Body, "technique.turn-other", &names));
}

fn joining(context: &WriteContext, blocks: &mut Vec<Block>) {
    let direction = context.first_direction();
    let hand = context.hand(direction);
    let tail = context.measures.both(MeasureKind::Gap, context.project.working.tail_mm);
    let name = match direction {
        Direction::LeftToRight => "join-left-to-right",
        Direction::RightToLeft => "join-right-to-left",
    };
    let names = hand.names(&[("tail", &tail)]);
    let figure = context.figure(
        name,
        false,
        context.say("figure.join-alt", &names),
        context.text("figure.join-caption", &names),
    );
    let steps = vec![
        context.step("technique.join-2", &names),
        context.step("technique.join-3", &names),
        context.step("technique.join-4", &names),
    ];
    let before =
        vec![context.heading(2, "technique.join"), context.paragraph(StyleName::Body, "technique.join-1", &names)];
    shown(before, figure, steps, blocks);
    let other = context.hand(direction.turned());
    blocks.push(context.paragraph(StyleName::Body, "technique.join-other", &other.names(&[])));
}

/// Changing, leading behind, leaving waiting, linking: said only where the panel has more than one yarn at work.
fn between_yarns(context: &WriteContext, blocks: &mut Vec<Block>) {
    let used = context.workings.tally.yarns.iter().filter(|yarn| yarn.total() > 0).count();
    if used < 2 {
        return;
    }
    let longest = context.measures.both(MeasureKind::Gap, context.project.working.longest_carry_mm);
    let steps =
        |keys: &[&str]| -> Vec<Step> { keys.iter().map(|key| context.step(key, &[("longest", &longest)])).collect() };
    shown(
        vec![context.heading(2, "technique.change")],
        row_figure(context, "change-yarn", "figure.change-yarn-alt", "figure.change-yarn-caption"),
        steps(&["technique.change-1", "technique.change-2", "technique.change-3"]),
        blocks,
    );
    let mut led = steps(&["technique.lead-1", "technique.lead-2", "technique.lead-3"]);
    if let Some(first) = led.first_mut() {
        first.cautions = context.cautions(&[Hazard::Carry]);
    }
    shown(
        vec![context.heading(2, "technique.lead-behind")],
        row_figure(context, "lead-behind", "figure.lead-behind-alt", "figure.lead-behind-caption"),
        led,
        blocks,
    );
    blocks.push(context.paragraph(StyleName::Body, "technique.lead-4", &[("longest", &longest)]));
    shown(
        vec![context.heading(2, "technique.wait")],
        row_figure(context, "leave-waiting", "figure.leave-waiting-alt", "figure.leave-waiting-caption"),
        steps(&["technique.wait-1", "technique.wait-2", "technique.wait-3"]),
        blocks,
    );
    if !context.workings.marks.iter().any(|marks| marks.link) {
        return;
    }
    shown(
        vec![context.heading(2, "technique.link"), context.body("technique.link-why")],
        row_figure(context, "link", "figure.link-alt", "figure.link-caption"),
        steps(&["technique.link-1", "technique.link-2", "technique.link-3"]),
        blocks,
    );
}

fn cutting(context: &WriteContext, blocks: &mut Vec<Block>) {
    let tail = context.measures.both(MeasureKind::Gap, context.project.working.tail_mm);
    let keep = context.measures.both(MeasureKind::Reach, KEEP_MM);
    blocks.push(context.heading(2, "technique.cut"));
    blocks.extend(context.cautions(&[Hazard::Scissors]).into_iter().map(Block::Caution));
    blocks.push(Block::Paragraph(
        StyleName::Body,
        joined(vec![
            context.text("technique.cut-1", &[("tail", &tail)]),
            context.text("technique.cut-2", &[("keep", &keep)]),
        ]),
    ));
}

/// Tails tied off at the back, drawn with its steps; it is done when the panel is finished. `glue` is a last step.
pub(super) fn tying_off(context: &WriteContext, glue: Option<Step>, blocks: &mut Vec<Block>) {
    let trim = context.measures.both(MeasureKind::Gap, TRIM_MM);
    let figure = row_figure(context, "tie-off", "figure.tie-off-alt", "figure.tie-off-caption");
    let mut steps = vec![
        context.step("finishing.tails-1", &[]),
        context.step("finishing.tails-2", &[]),
        context.step_after(&[Hazard::Scissors], "finishing.tails-3", &[("trim", &trim)]),
        context.step("finishing.tails-4", &[]),
        context.step("finishing.tails-5", &[]),
    ];
    steps.extend(glue);
    shown(Vec::new(), figure, steps, blocks);
}

fn mending(context: &WriteContext, blocks: &mut Vec<Block>) {
    const TROUBLES: [(&str, &str); 5] = [
        ("technique.undo", "technique.undo-words"),
        ("technique.missed", "technique.missed-words"),
        ("technique.wrong", "technique.wrong-words"),
        ("technique.curl", "technique.curl-words"),
        ("technique.narrow", "technique.narrow-words"),
    ];
    blocks.push(context.heading(2, "technique.mend"));
    let told = |(heading, words)| {
        let name = Inline::Strong(unmarked(&context.text("lists.run-in", &[("heading", &context.say(heading, &[]))])));
        let mut said = vec![vec![name]];
        // A low panel is finished before it is time to measure it.
        said.extend(
            (words == "technique.narrow-words" && is_measured(context))
                .then(|| context.text("technique.narrow-where", &[])),
        );
        said.push(context.text(words, &[]));
        joined(said)
    };
    blocks.push(Block::Bullets(TROUBLES.into_iter().map(told).collect()));
}
