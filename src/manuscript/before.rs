//! Before you start: how the booklet is read, which way rows go, keeping one's place, the print scale, what to be careful of.

use super::context::{WriteContext, joined};
use super::hazard::Hazard;
use super::rows::rule;
use super::{Block, Section};
use crate::catalogue::{SectionName, StyleName};
use crate::geom::MM_PER_INCH;
use crate::project::Units;
use crate::words::measures::MeasureKind;

pub(super) fn before_you_start(context: &WriteContext) -> Section {
    let project = context.project;
    let mut blocks = Vec::new();

    blocks.push(context.heading(2, "before.how"));
    blocks.push(context.body(if project.working.legs_per_column == 2 { "before.how-1-two" } else { "before.how-1" }));
    if project.chart.knots() < project.chart.cells().len() {
        blocks.push(context.body("before.how-bare"));
    }
    for key in ["before.how-2", "before.how-3"] {
        blocks.push(context.body(key));
    }
    if context.has(SectionName::RowsInWords) {
        blocks.push(context.page_of(StyleName::Body, SectionName::RowsInWords, "before.how-rule"));
    } else {
        rule(context, &mut blocks);
    }

    direction(context, &mut blocks);
    marking(context, &mut blocks);

    blocks.push(context.heading(2, "before.scale"));
    let ends = ruler_ends(context);
    let alt = context.say("before.scale-alt", &[("a", &ends[0]), ("b", &ends[1])]);
    blocks.push(Block::Ruler { caption: context.text("before.scale-words", &[]), ends, alt });

    if context.has(SectionName::Cautions) {
        return Section { id: SectionName::BeforeYouStart, title: Some(context.say("before.title", &[])), blocks };
    }
    blocks.push(context.heading(2, "before.cautions"));
    const FOR_ALL: [Hazard; 5] = [Hazard::Children, Hazard::Fire, Hazard::SmallParts, Hazard::Scissors, Hazard::Pets];
    blocks.extend(
        FOR_ALL
            .into_iter()
            .filter(|hazard| hazard.met_by(context))
            .map(|hazard| Block::Caution(context.caution(hazard))),
    );
    blocks.push(context.body("before.sitting"));
    Section { id: SectionName::BeforeYouStart, title: Some(context.say("before.title", &[])), blocks }
}

/// Which way rows go.
pub(super) fn direction(context: &WriteContext, blocks: &mut Vec<Block>) {
    blocks.push(context.heading(2, "before.direction"));
    let first = context.hand(context.first_direction()).direction;
    let second = context.hand(context.first_direction().turned()).direction;
    blocks.push(context.paragraph(
        StyleName::Body,
        "before.direction-words",
        &[("first", &first), ("second", &second)],
    ));
    if context.workings.header.rows > 0 {
        blocks.push(context.paragraph(StyleName::Body, "before.direction-header", &[("first", &first)]));
    }
    if context.mirrored() {
        blocks.push(context.body("before.direction-left"));
    }
}

/// How a place is kept. That a box stands twice is told where it does.
pub(super) fn marking(context: &WriteContext, blocks: &mut Vec<Block>) {
    blocks.push(context.heading(2, "before.marking"));
    let mut tick = vec![context.text("before.marking-1", &[])];
    if context.has(SectionName::RowsInWords) {
        tick.push(context.text("before.marking-same", &[]));
    }
    let mut bullets = vec![joined(tick)];
    bullets.extend(["before.marking-2", "before.marking-3"].map(|key| context.text(key, &[])));
    blocks.push(Block::Bullets(bullets));
}

/// What the two ends of a ruler are called.
pub(super) fn ruler_ends(context: &WriteContext) -> [String; 2] {
    let ends = [(Units::Metric, 50.0), (Units::Imperial, 2.0 * MM_PER_INCH)];
    ends.map(|(units, mm)| context.measures.only(units, MeasureKind::Gap, mm))
}
