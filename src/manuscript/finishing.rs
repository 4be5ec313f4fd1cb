//! Finishing: tails, the lower edge, beads, backing, ribbon, label; only what the maker chose.

use super::hazard::Hazard;
use super::pen::Pen;
use super::techniques::TRIM_MM;
use super::{Block, Caution, Section, Step};
use crate::project::{Backing, BottomFinish, Glue};
use crate::words::Names;
use crate::words::measures::Kind;

/// How far below the last row cords are cut level, millimetres: our judgement.
const TRIMMED_MM: f64 = 10.0;
/// Distance of the stitches that hold a backing, millimetres: our judgement.
const STITCH_MM: f64 = 10.0;

pub(super) fn finishing(pen: &Pen) -> Section {
    let mut glue = GluePot::new(pen);
    let mut blocks = vec![pen.paragraph("lead", "finishing.lead", &[])];
    tails(pen, &mut glue, &mut blocks);
    lower_edge(pen, &mut glue, &mut blocks);
    backing(pen, &mut blocks);
    ribbon(pen, &mut glue, &mut blocks);
    label(pen, &mut glue, &mut blocks);
    Section { id: "finishing".into(), title: Some(pen.say("finishing.title", &[])), blocks }
}

/// Knows whether the glue's caution has been said in full; after that a short one stands before each step with glue.
struct GluePot<'a, 'b> {
    pen: &'a Pen<'b>,
    said: bool,
}

impl<'a, 'b> GluePot<'a, 'b> {
    fn new(pen: &'a Pen<'b>) -> GluePot<'a, 'b> {
        GluePot { pen, said: false }
    }

    /// The cautions for one more step with glue; none where the maker uses none.
    fn cautions(&mut self) -> Vec<Caution> {
        let first = !std::mem::replace(&mut self.said, true);
        match self.pen.project.finishing.glue {
            Glue::None => Vec::new(),
            Glue::Craft if first => self.pen.cautions(&[Hazard::CraftGlue, Hazard::GlueFlood]),
            Glue::Hot if first => self.pen.cautions(&[Hazard::HotGlue, Hazard::GlueFlood]),
            Glue::Craft => self.pen.cautions(&[Hazard::CraftGlueAgain]),
            Glue::Hot => self.pen.cautions(&[Hazard::HotGlueAgain]),
        }
    }

    /// A step that takes glue, in the form for the kind of glue; `sewn` where there is none, or no step at all.
    fn step(&mut self, sewn: Option<&str>, craft: &str, hot: &str) -> Option<Step> {
        let key = match self.pen.project.finishing.glue {
            Glue::None => sewn?,
            Glue::Craft => craft,
            Glue::Hot => hot,
        };
        Some(Step { cautions: self.cautions(), ..self.pen.step(key, &[]) })
    }
}

/// The first cut of this section: its caution stands in full, a short one before every later cut.
fn tails(pen: &Pen, glue: &mut GluePot, blocks: &mut Vec<Block>) {
    let trim = pen.measures.both(Kind::Gap, TRIM_MM);
    blocks.push(pen.heading(2, "finishing.tails"));
    let ends = pen.ends();
    if ends > 0 {
        let ends = pen.words.count("count.ends", ends, &[]);
        blocks.push(pen.paragraph("body", "finishing.tails-count", &[("ends", &ends)]));
    }
    let mut steps = vec![
        pen.step("finishing.tails-1", &[]),
        pen.step("finishing.tails-2", &[]),
        pen.step("finishing.tails-3", &[]),
        pen.step("finishing.tails-4", &[]),
    ];
    steps.push(pen.step_after(&[Hazard::Scissors], "finishing.tails-5", &[("trim", &trim)]));
    steps.extend(glue.step(None, "finishing.tails-glue-craft", "finishing.tails-glue-hot"));
    blocks.push(Block::Steps(steps));
}

fn lower_edge(pen: &Pen, glue: &mut GluePot, blocks: &mut Vec<Block>) {
    blocks.push(pen.heading(2, "finishing.bottom"));
    if pen.project.finishing.beads {
        blocks.push(pen.heading(3, "finishing.beads"));
        blocks.push(Block::Steps(vec![
            pen.step_after(&[Hazard::SmallParts], "finishing.beads-1", &[]),
            pen.step("finishing.beads-2", &[]),
        ]));
    }
    let heading = match pen.project.bottom.finish {
        BottomFinish::Fringe => "finishing.fringe",
        BottomFinish::Trimmed => "finishing.trimmed",
        BottomFinish::FoldedBack => "finishing.folded",
    };
    blocks.push(pen.heading(3, heading));
    let length = pen.measures.both(Kind::Size, pen.workings.size.fringe_mm);
    let trim = pen.measures.both(Kind::Gap, TRIMMED_MM);
    let names: Names = &[("length", &length), ("trim", &trim)];
    let steps = match pen.project.bottom.finish {
        BottomFinish::Fringe => vec![
            pen.step("finishing.fringe-1", names),
            pen.step("finishing.fringe-2", names),
            pen.step_after(&[Hazard::ScissorsAgain], "finishing.fringe-3", names),
        ],
        BottomFinish::Trimmed => {
            let mut steps = vec![
                pen.step("finishing.trimmed-1", names),
                pen.step_after(&[Hazard::ScissorsAgain], "finishing.trimmed-2", names),
            ];
            steps.extend(glue.step(None, "finishing.trimmed-glue-craft", "finishing.trimmed-glue-hot"));
            steps
        }
        BottomFinish::FoldedBack => vec![
            pen.step("finishing.folded-1", names),
            pen.step("finishing.folded-2", names),
            pen.step_after(&[Hazard::ScissorsAgain], "finishing.folded-3", names),
            pen.step("finishing.folded-4", names),
        ],
    };
    blocks.push(Block::Steps(steps));
}

fn backing(pen: &Pen, blocks: &mut Vec<Block>) {
    blocks.push(pen.heading(2, "finishing.backing"));
    // The figure's first stage is the fleece: without one it would show what this panel does not have.
    if pen.project.finishing.backing != Backing::None {
        let caption = pen.text("figure.backing-caption", &[]);
        blocks.push(Block::Figure(pen.figure("backing", false, pen.say("figure.backing-alt", &[]), caption)));
    }
    let size = pen.backing_size();
    let stitch = pen.measures.both(Kind::Gap, STITCH_MM);
    let names: Names = &[("size", &size), ("stitch", &stitch)];
    match pen.project.finishing.backing {
        Backing::None => blocks.push(pen.body("finishing.backing-none")),
        Backing::Fused => blocks.push(Block::Steps(vec![
            pen.step_after(&[Hazard::ScissorsAgain], "finishing.backing-fused-1", names),
            pen.step_after(&[Hazard::Iron, Hazard::Scorch], "finishing.backing-fused-2", names),
            pen.step("finishing.backing-fused-3", names),
            pen.step("finishing.backing-fused-4", names),
            pen.step("finishing.backing-fused-5", names),
        ])),
        Backing::Sewn => {
            if pen.project.palette.iter().any(|(_, yarn)| yarn.melts) {
                blocks.push(pen.body("finishing.backing-sewn-why"));
            }
            blocks.push(Block::Steps(vec![
                pen.step_after(&[Hazard::ScissorsAgain], "finishing.backing-sewn-1", names),
                pen.step("finishing.backing-sewn-2", names),
                pen.step("finishing.backing-sewn-3", names),
            ]));
        }
    }
}

fn ribbon(pen: &Pen, glue: &mut GluePot, blocks: &mut Vec<Block>) {
    if !pen.project.finishing.edge_ribbon {
        return;
    }
    blocks.push(pen.heading(2, "finishing.ribbon"));
    let length = pen.measures.both(Kind::Cut, pen.workings.hanging.ribbon_mm.unwrap_or_default());
    let mut steps = vec![pen.step_after(&[Hazard::ScissorsAgain], "finishing.ribbon-1", &[("length", &length)])];
    steps.extend(glue.step(Some("finishing.ribbon-2-sewn"), "finishing.ribbon-2-craft", "finishing.ribbon-2-hot"));
    blocks.push(Block::Steps(steps));
}

fn label(pen: &Pen, glue: &mut GluePot, blocks: &mut Vec<Block>) {
    if !pen.project.finishing.label {
        return;
    }
    blocks.push(pen.heading(2, "finishing.label"));
    let (width, height) = pen.workings.hanging.label_mm.unwrap_or_default();
    let size = pen.measures.across_down(Kind::Size, width, height);
    let mut steps = vec![pen.step_after(&[Hazard::ScissorsAgain], "finishing.label-1", &[("size", &size)])];
    steps.extend(glue.step(Some("finishing.label-2-sewn"), "finishing.label-2-craft", "finishing.label-2-hot"));
    blocks.push(Block::Steps(steps));
}
