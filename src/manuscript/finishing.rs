//! Finishing: tails, the lower edge, beads, backing, ribbon, label; only what the maker chose.

use super::context::WriteContext;
use super::hazard::Hazard;
use super::techniques::tying_off;
use super::{Block, Caution, FleeceDrawing, Section, Step};
use crate::catalogue::{SectionName, StyleName};
use crate::project::{Backing, BottomEdge, BottomFinish, Glue};
use crate::words::Names;
use crate::words::measures::MeasureKind;

/// How far below the last row cords are cut level, millimetres: our judgement.
const TRIMMED_MM: f64 = 10.0;
/// Distance of the stitches that hold a backing, millimetres: our judgement.
const STITCH_MM: f64 = 10.0;

pub(super) fn finishing(context: &WriteContext) -> Section {
    let mut glue = GluePot::new(context);
    let mut blocks = vec![context.body("finishing.lead")];
    tails(context, &mut glue, &mut blocks);
    // A fringe is trimmed last, on the hanging panel; ends that are sewn or folded lie below the backing.
    let fringe = context.project.bottom.finish == BottomFinish::Fringe;
    if !fringe {
        lower_edge(context, &mut glue, &mut blocks);
    }
    backing(context, &mut blocks);
    ribbon(context, &mut glue, &mut blocks);
    label(context, &mut glue, &mut blocks);
    if fringe {
        lower_edge(context, &mut glue, &mut blocks);
    }
    Section { id: SectionName::Finishing, title: Some(context.say("finishing.title", &[])), blocks }
}

/// Steps that take glue, in the words for the kind of glue.
struct GluePot<'a, 'b> {
    context: &'a WriteContext<'b>,
    said: bool,
}

impl<'a, 'b> GluePot<'a, 'b> {
    fn new(context: &'a WriteContext<'b>) -> GluePot<'a, 'b> {
        GluePot { context, said: false }
    }

    /// The cautions for one more step with glue; none where the maker uses none. What is about the work is said once.
    fn cautions(&mut self) -> Vec<Caution> {
        let first = !std::mem::replace(&mut self.said, true);
        let mut met = vec![Hazard::CraftGlue, Hazard::HotGlue];
        met.extend(first.then_some(Hazard::GlueFlood));
        self.context.cautions(&met)
    }

    /// A step that takes glue, in the form for the kind of glue; `sewn` where there is none, or no step at all.
    fn step(&mut self, sewn: Option<&str>, craft: &str, hot: &str) -> Option<Step> {
        let key = match self.context.project.finishing.glue {
            Glue::None => sewn?,
            Glue::Craft => craft,
            Glue::Hot => hot,
        };
        Some(Step { cautions: self.cautions(), ..self.context.step(key, &[]) })
    }
}

fn tails(context: &WriteContext, glue: &mut GluePot, blocks: &mut Vec<Block>) {
    blocks.push(context.heading(2, "finishing.tails"));
    let ends = context.ends();
    if ends > 0 {
        let ends = context.words.count("count.ends", ends, &[]);
        blocks.push(context.paragraph(StyleName::Body, "finishing.tails-count", &[("ends", &ends)]));
    }
    let last = glue.step(None, "finishing.tails-glue-craft", "finishing.tails-glue-hot");
    tying_off(context, last, blocks);
}

fn lower_edge(context: &WriteContext, glue: &mut GluePot, blocks: &mut Vec<Block>) {
    blocks.push(context.heading(2, "finishing.bottom"));
    if context.project.finishing.beads {
        blocks.push(context.heading(3, "finishing.beads"));
        blocks.push(Block::Steps(vec![
            context.step_after(&[Hazard::SmallParts], "finishing.beads-1", &[]),
            context.step("finishing.beads-2", &[]),
        ]));
    }
    let heading = match context.project.bottom.finish {
        BottomFinish::Fringe => "finishing.fringe",
        BottomFinish::Trimmed => "finishing.trimmed",
        BottomFinish::FoldedBack => "finishing.folded",
    };
    blocks.push(context.heading(3, heading));
    let length = context.measures.both(MeasureKind::Size, context.workings.size.fringe_mm);
    let trim = context.measures.both(MeasureKind::Gap, TRIMMED_MM);
    let names: Names = &[("length", &length), ("trim", &trim)];
    let shaped = context.is_shaped();
    let steps = match context.project.bottom.finish {
        BottomFinish::Fringe => vec![
            context.step("finishing.fringe-1", names),
            context.step(
                match (shaped, context.project.bottom.edge) {
                    (false, _) => "finishing.fringe-2",
                    (true, BottomEdge::Straight) => "finishing.fringe-2-shaped",
                    (true, BottomEdge::Following) => "finishing.fringe-2-following",
                },
                names,
            ),
            context.step_after(&[Hazard::Scissors], "finishing.fringe-3", names),
        ],
        BottomFinish::Trimmed => {
            let mut steps = vec![
                context.step(if shaped { "finishing.trimmed-1-shaped" } else { "finishing.trimmed-1" }, names),
                context.step_after(
                    &[Hazard::Scissors],
                    match (shaped, context.project.bottom.edge) {
                        (false, _) => "finishing.trimmed-2",
                        (true, BottomEdge::Straight) => "finishing.trimmed-2-straight",
                        (true, BottomEdge::Following) => "finishing.trimmed-2-shaped",
                    },
                    names,
                ),
            ];
            steps.extend(glue.step(None, "finishing.trimmed-glue-craft", "finishing.trimmed-glue-hot"));
            steps
        }
        BottomFinish::FoldedBack => vec![
            context.step("finishing.folded-1", names),
            context.step("finishing.folded-2", names),
            context.step_after(
                &[Hazard::Scissors],
                if shaped { "finishing.folded-3-shaped" } else { "finishing.folded-3" },
                names,
            ),
            context.step("finishing.folded-4", names),
        ],
    };
    blocks.push(Block::Steps(steps));
}

fn backing(context: &WriteContext, blocks: &mut Vec<Block>) {
    if context.backing() != Backing::None {
        blocks.push(context.heading(2, "finishing.backing"));
    }
    match fleece_drawing(context) {
        Some(drawing) => {
            // Narrow parts have no room for their measures in the drawing.
            let both = |mm: f64| context.measures.both(MeasureKind::Size, mm);
            let part = |(wide, high): &(f64, f64)| {
                context.say("finishing.fleece-part", &[("wide", &both(*wide)), ("high", &both(*high))])
            };
            let parts: Vec<String> = drawing.steps.iter().map(part).collect();
            let parts = context.words.list(&parts);
            blocks.push(Block::Fleece(drawing));
            blocks.push(context.paragraph(StyleName::Body, "finishing.fleece-parts", &[("parts", &parts)]));
        }
        None => back_figure(context, blocks),
    }
    let size = context.backing_size();
    let stitch = context.measures.both(MeasureKind::Gap, STITCH_MM);
    // A fleece of several heights is cut by the drawing.
    let (fused, sewn) = match context.is_shaped() {
        true => ("finishing.backing-shaped", "finishing.backing-shaped"),
        false => ("finishing.backing-fused-1", "finishing.backing-sewn-1"),
    };
    let names: Names = &[("size", &size), ("stitch", &stitch)];
    match context.backing() {
        Backing::None => {}
        Backing::Fused => blocks.push(Block::Steps(vec![
            context.step_after(&[Hazard::Scissors], fused, names),
            context.step_after(&[Hazard::Iron, Hazard::Scorch], "finishing.backing-fused-2", names),
            context.step("finishing.backing-fused-3", names),
            context.step("finishing.backing-fused-4", names),
            context.step("finishing.backing-fused-5", names),
        ])),
        Backing::Sewn => {
            if context.project.palette.iter().any(|(_, yarn)| yarn.melts) {
                blocks.push(context.body("finishing.backing-sewn-why"));
            }
            blocks.push(Block::Steps(vec![
                context.step_after(&[Hazard::Scissors], sewn, names),
                context.step("finishing.backing-sewn-2", names),
                context.step("finishing.backing-sewn-3", names),
            ]));
        }
    }
}

/// The back of the panel with what this one has of fleece, ribbon and label; nothing where it has none of them.
fn back_figure(context: &WriteContext, blocks: &mut Vec<Block>) {
    let hanging = &context.workings.hanging;
    let parts = [
        (context.backing() != Backing::None, "figure.backing-alt-fleece"),
        (hanging.ribbon_mm.is_some(), "figure.backing-alt-ribbon"),
        (hanging.label_mm.is_some(), "figure.backing-alt-label"),
    ];
    // The last stage is the label without a ribbon round it.
    let label = if hanging.ribbon_mm.is_some() { 2 } else { 3 };
    let drawn = [0, 1, label].into_iter().zip(&parts);
    let stages: Vec<usize> = drawn.filter(|(_, (is_there, _))| *is_there).map(|(at, _)| at).collect();
    if stages.is_empty() || context.backing() == Backing::None {
        return;
    }
    let told: Vec<String> = parts.iter().filter(|(there, _)| *there).map(|(_, key)| context.say(key, &[])).collect();
    let figure = context.figure("backing", false, told.join(" "), context.text("figure.backing-caption", &[]));
    blocks.push(Block::Figure(super::FigureBlock { stages, ..figure }));
}

fn ribbon(context: &WriteContext, glue: &mut GluePot, blocks: &mut Vec<Block>) {
    if context.workings.hanging.ribbon_mm.is_none() {
        return;
    }
    blocks.push(context.heading(2, "finishing.ribbon"));
    let length = context.measures.both(MeasureKind::Cut, context.workings.hanging.ribbon_mm.unwrap_or_default());
    let mut steps = vec![context.step_after(&[Hazard::Scissors], "finishing.ribbon-1", &[("length", &length)])];
    if context.is_shaped() {
        steps.push(context.step("finishing.ribbon-shaped", &[]));
        steps.extend(glue.step(Some("finishing.ribbon-3-sewn"), "finishing.ribbon-3-craft", "finishing.ribbon-3-hot"));
    } else {
        steps.extend(glue.step(Some("finishing.ribbon-2-sewn"), "finishing.ribbon-2-craft", "finishing.ribbon-2-hot"));
    }
    blocks.push(Block::Steps(steps));
}

fn label(context: &WriteContext, glue: &mut GluePot, blocks: &mut Vec<Block>) {
    if context.workings.hanging.label_mm.is_none() {
        return;
    }
    blocks.push(context.heading(2, "finishing.label"));
    let (width, height) = context.workings.hanging.label_mm.unwrap_or_default();
    let size = context.measures.across_down(MeasureKind::Size, width, height);
    let mut steps = vec![context.step_after(&[Hazard::Scissors], "finishing.label-1", &[("size", &size)])];
    if context.is_shaped() {
        if let Some((from, to, row)) = context.workings.hanging.label_place {
            let names: Names = &[("from", &(from + 1)), ("to", &(to + 1)), ("row", &row)];
            steps.push(context.step("finishing.label-shaped", names));
        }
        steps.extend(glue.step(Some("finishing.label-3-sewn"), "finishing.label-3-craft", "finishing.label-3-hot"));
    } else {
        steps.extend(glue.step(Some("finishing.label-2-sewn"), "finishing.label-2-craft", "finishing.label-2-hot"));
    }
    blocks.push(Block::Steps(steps));
}

/// The fleece of a shaped panel as it lies on the back; `None` where it is a plain rectangle, or there is none.
fn fleece_drawing(context: &WriteContext) -> Option<FleeceDrawing> {
    let piece = context.workings.hanging.backing.as_ref().filter(|piece| !piece.steps.is_empty())?;
    let gauge = &context.workings.gauge;
    let size = |mm: f64| context.measures.first(MeasureKind::Size, mm);
    // Seen from the back: left and right change places.
    let width = context.workings.size.width_mm;
    let ends = &context.workings.edge.ends;
    let knots = ends.iter().rev().map(|end| (gauge.column_mm, *end as f64 * gauge.row_mm)).collect();
    let steps: Vec<(f64, f64)> =
        piece.steps.iter().rev().map(|step| (step.to_mm - step.from_mm, step.height_mm)).collect();
    let labels = steps.iter().map(|(wide, high)| (size(*wide), size(*high))).collect();
    let parts = |key: &str, mm: f64| context.say(key, &[("measure", &size(mm))]);
    Some(FleeceDrawing {
        width_mm: width,
        knots,
        inside_mm: (width - piece.width_mm) / 2.0,
        steps,
        labels,
        whole: [parts("finishing.fleece-wide", piece.width_mm), parts("finishing.fleece-high", piece.height_mm)],
        alt: context.say("finishing.fleece-alt", &[]),
        caption: Some(context.text("finishing.fleece-caption", &[])),
    })
}
