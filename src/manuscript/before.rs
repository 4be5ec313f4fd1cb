//! Before you start: how the booklet is read, which way rows go, keeping one's place, the print scale, what to be careful of.

use super::hazard::Hazard;
use super::pen::{Pen, joined};
use super::{Block, Section};
use crate::geom::MM_PER_INCH;
use crate::project::Units;
use crate::words::measures::Kind;

pub(super) fn before_you_start(pen: &Pen) -> Section {
    let project = pen.project;
    let mut blocks = vec![pen.paragraph("lead", "before.lead", &[])];

    blocks.push(pen.heading(2, "before.how"));
    blocks.push(pen.body(if project.working.legs_per_column == 2 { "before.how-1-two" } else { "before.how-1" }));
    if project.chart.knots() < project.chart.cells().len() {
        blocks.push(pen.body("before.how-bare"));
    }
    for key in ["before.how-2", "before.how-3", "before.how-4"] {
        blocks.push(pen.body(key));
    }
    blocks.push(pen.sent_to("body", "rows-in-words", "before.how-actions", "before.how-actions-shown"));

    direction(pen, &mut blocks);
    marking(pen, &mut blocks);

    blocks.push(pen.heading(2, "before.scale"));
    let ends = ruler_ends(pen);
    let alt = pen.say("before.scale-alt", &[("a", &ends[0]), ("b", &ends[1])]);
    blocks.push(Block::Ruler { caption: pen.text("before.scale-words", &[]), ends, alt });

    blocks.push(pen.heading(2, "before.cautions"));
    const FOR_ALL: [Hazard; 5] = [Hazard::Children, Hazard::Fire, Hazard::SmallParts, Hazard::Scissors, Hazard::Pets];
    blocks.extend(
        FOR_ALL.into_iter().filter(|hazard| hazard.met_by(project)).map(|hazard| Block::Caution(pen.caution(hazard))),
    );
    blocks.push(pen.body("before.sitting"));
    Section { id: "before-you-start".into(), title: Some(pen.say("before.title", &[])), blocks }
}

/// Which way rows go.
pub(super) fn direction(pen: &Pen, blocks: &mut Vec<Block>) {
    blocks.push(pen.heading(2, "before.direction"));
    let first = pen.hand(pen.first_direction()).direction;
    let second = pen.hand(pen.first_direction().turned()).direction;
    blocks.push(pen.paragraph("body", "before.direction-words", &[("first", &first), ("second", &second)]));
    if pen.workings.header.rows > 0 {
        blocks.push(pen.paragraph("body", "before.direction-header", &[("first", &first)]));
    }
    if pen.mirrored() {
        blocks.push(pen.body("before.direction-left"));
    }
}

/// How a place is kept. That a box stands twice is told where it does.
pub(super) fn marking(pen: &Pen, blocks: &mut Vec<Block>) {
    blocks.push(pen.heading(2, "before.marking"));
    let mut tick = vec![pen.text("before.marking-1", &[])];
    if pen.has("rows-in-words") {
        tick.push(pen.text("before.marking-same", &[]));
    }
    let mut bullets = vec![joined(tick)];
    bullets.extend(["before.marking-2", "before.marking-3"].map(|key| pen.text(key, &[])));
    blocks.push(Block::Bullets(bullets));
}

/// What the two ends of a ruler are called.
pub(super) fn ruler_ends(pen: &Pen) -> [String; 2] {
    let ends = [(Units::Metric, 50.0), (Units::Imperial, 2.0 * MM_PER_INCH)];
    ends.map(|(units, mm)| pen.measures.only(units, Kind::Gap, mm))
}
