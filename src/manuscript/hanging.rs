//! Hanging: preparing the wood, fixing the strand to it, the wall; with a drawing of this panel and its own measures.

use super::context::WriteContext;
use super::cover::grid;
use super::hazard::{Hazard, hangs_from_a_pin};
use super::{Block, HungPanel, Section, Step};
use crate::catalogue::SectionName;
use crate::project::{BottomFinish, Fixing, Mounting, Wood};
use crate::words::Names;
use crate::words::measures::MeasureKind;
use crate::workings::{HANGER_IN_MM, HANGER_RISE, WOOD_BEHIND_MM};

/// Distance from one staple, nail or tie to the next, millimetres: our judgement.
const FIXED_EVERY_MM: f64 = 50.0;

pub(super) fn hanging(context: &WriteContext) -> Section {
    let strand = context.project.hanging.mounting == Mounting::OnAStrand;
    let lead = if strand { "hanging.lead-strand" } else { "hanging.lead-wood" };
    let mut blocks = vec![context.body(lead)];
    blocks.push(Block::HungPanel(drawing(context)));
    if strand {
        prepare(context, &mut blocks);
        blocks.push(context.heading(2, "hanging.fix"));
        fix_strand(context, &mut blocks);
    } else {
        fix_cords(context, &mut blocks);
    }
    wall(context, &mut blocks);
    Section { id: SectionName::Hanging, title: Some(context.say("hanging.title", &[])), blocks }
}

/// The longest nail that leaves wood in front of its point, millimetres.
pub(super) fn longest_nail_mm(context: &WriteContext) -> f64 {
    (context.project.hanging.diameter_mm - WOOD_BEHIND_MM).max(0.0)
}

/// Steps that make the wood ready. They come before mounting where the cords hang on the wood itself.
pub(super) fn prepare(context: &WriteContext, blocks: &mut Vec<Block>) {
    let project = context.project;
    let length = context.measures.both(MeasureKind::Size, context.workings.hanging.wood_mm);
    let names: Names = &[("length", &length)];
    blocks.push(context.heading(2, "hanging.prepare"));
    let mut steps = match project.hanging.wood {
        // Where the wood is looked for before all else, it is cleaned there too.
        Wood::Branch if context.has(SectionName::OwnGauge) => {
            vec![context.step_after(&[Hazard::Scissors], "hanging.prepare-length", names)]
        }
        Wood::Branch => {
            let mut steps = prepare_branch(context);
            steps.push(context.step("hanging.prepare-length", names));
            steps
        }
        Wood::Dowel => vec![context.step_after(&[Hazard::Scissors], "hanging.prepare-dowel-1", names)],
    };
    if project.finishing.sealing {
        steps.push(context.step_after(&[Hazard::Sealing], "hanging.seal", names));
    }
    blocks.push(Block::Steps(steps));
    if project.hanging.mounting == Mounting::OnTheWood {
        blocks.push(context.body("hanging.wood-before"));
    }
}

/// Steps that clean a found branch.
pub(super) fn prepare_branch(context: &WriteContext) -> Vec<Step> {
    vec![
        context.step_after(&[Hazard::FoundWood], "hanging.prepare-branch-1", &[]),
        context.step("hanging.prepare-branch-2", &[]),
    ]
}

fn stapling_figure(context: &WriteContext) -> Block {
    let caption = context.text("figure.stapling-caption", &[]);
    Block::Figure(context.figure("stapling", false, context.say("figure.stapling-alt", &[]), caption))
}

/// What every fixing step may name.
struct Fixings {
    leg: String,
    thick: String,
    left: String,
    every: String,
    most: String,
}

impl Fixings {
    fn new(context: &WriteContext) -> Fixings {
        let staples = context.workings.hanging.staples.as_ref();
        Fixings {
            leg: context.measures.both(MeasureKind::Least, staples.map_or(0.0, |s| s.leg_mm)),
            thick: context.measures.both(MeasureKind::Least, staples.map_or(0.0, |s| s.wood_least_mm)),
            left: context.measures.both(MeasureKind::Least, WOOD_BEHIND_MM),
            every: context.measures.both(MeasureKind::Reach, FIXED_EVERY_MM),
            most: context.measures.both(MeasureKind::Short, longest_nail_mm(context)),
        }
    }

    fn names(&self) -> [(&str, &dyn std::fmt::Display); 5] {
        [("leg", &self.leg), ("thick", &self.thick), ("left", &self.left), ("every", &self.every), ("most", &self.most)]
    }
}

/// Whether the project's own wood is too thin for its staples.
fn too_thin(context: &WriteContext) -> bool {
    context.workings.hanging.staples.as_ref().is_some_and(|s| s.wood_least_mm > context.project.hanging.diameter_mm)
}

fn fix_strand(context: &WriteContext, blocks: &mut Vec<Block>) {
    let fixings = Fixings::new(context);
    let names = fixings.names();
    let names: Names = &names;
    let mut steps = vec![context.step("hanging.fix-lay", names), context.step("hanging.fix-level", names)];
    match context.project.hanging.fixing {
        Fixing::Staples => {
            blocks.push(stapling_figure(context));
            if too_thin(context) {
                blocks.push(context.body("hanging.staple-too-thin"));
            }
            steps.push(context.step("hanging.staple-1", names));
            steps.push(context.step_after(&[Hazard::StapleGun, Hazard::SmallParts], "hanging.staple-2", names));
            steps.push(context.step("hanging.staple-3", names));
            steps.push(context.step("hanging.strand-ends", names));
        }
        Fixing::Nails => {
            steps.push(context.step("hanging.nail-1", names));
            steps.push(context.step_after(&[Hazard::Hammer, Hazard::SmallParts], "hanging.nail-2", names));
            steps.push(context.step("hanging.nail-3", names));
            steps.push(context.step("hanging.strand-ends", names));
        }
        Fixing::Tied => {
            steps.push(context.step_after(&[Hazard::Scissors], "hanging.tie-1", names));
            steps.push(context.step("hanging.tie-2", names));
            steps.push(context.step("hanging.tie-3", names));
        }
    }
    blocks.push(Block::Steps(steps));
}

/// Cords that hang on the wood itself hold by their knots; staples or nails only keep them from sliding.
fn fix_cords(context: &WriteContext, blocks: &mut Vec<Block>) {
    let fixings = Fixings::new(context);
    let names = fixings.names();
    let names: Names = &names;
    let (why, steps): (&str, Vec<Step>) = match context.project.hanging.fixing {
        Fixing::Tied => return,
        Fixing::Staples => (
            "hanging.fix-wood-staples",
            vec![
                context.step("hanging.staple-1", names),
                context.step_after(&[Hazard::StapleGun, Hazard::SmallParts], "hanging.staple-2-wood", names),
                context.step("hanging.staple-3-wood", names),
            ],
        ),
        Fixing::Nails => (
            "hanging.fix-wood-nails",
            vec![
                context.step("hanging.nail-1", names),
                context.step_after(&[Hazard::Hammer, Hazard::SmallParts], "hanging.nail-2-wood", names),
                context.step("hanging.nail-3", names),
            ],
        ),
    };
    blocks.push(context.heading(2, "hanging.fix-wood"));
    blocks.push(context.body(why));
    if too_thin(context) {
        blocks.push(context.body("hanging.staple-too-thin-wood"));
    }
    blocks.push(Block::Steps(steps));
}

fn wall(context: &WriteContext, blocks: &mut Vec<Block>) {
    let fringe = context.project.bottom.finish == BottomFinish::Fringe;
    let rated = context.measures.both(MeasureKind::Load, context.workings.hanging.hanger_least_g);
    let length = context.cut(&context.workings.cords.hanger);
    let inside = context.measures.both(MeasureKind::Gap, HANGER_IN_MM);
    let names: Names = &[("rated", &rated), ("length", &length), ("inside", &inside)];
    blocks.push(context.heading(2, "hanging.wall"));
    let last = if fringe { "hanging.wall-4" } else { "hanging.wall-4-plain" };
    let mut steps = vec![context.step_after(&[Hazard::Children], "hanging.wall-1", names)];
    if hangs_from_a_pin(context) {
        steps.push(context.step_after(&[Hazard::Hanging, Hazard::WallPin], "hanging.wall-pin", names));
    } else {
        steps.push(context.step_after(&[Hazard::Hanging], "hanging.wall-2", names));
        steps.push(context.step_after(&[Hazard::Drilling], "hanging.wall-3", names));
    }
    steps.push(context.step_after(&[Hazard::Fire, Hazard::Pets], last, names));
    blocks.push(Block::Steps(steps));
}

/// This panel hung up, with its own measures.
fn drawing(context: &WriteContext) -> HungPanel {
    let (project, workings) = (context.project, context.workings);
    let size = &workings.size;
    let bottom_mm = match project.bottom.finish {
        BottomFinish::Fringe => size.fringe_mm,
        BottomFinish::Trimmed | BottomFinish::FoldedBack => 0.0,
    };
    let both = |kind, mm| context.measures.both(kind, mm);
    let width = both(MeasureKind::Size, size.width_mm);
    let header = both(MeasureKind::Size, size.header_mm);
    let picture = both(MeasureKind::Size, size.chart_mm);
    let bottom = both(MeasureKind::Size, bottom_mm);
    let wood = both(MeasureKind::Gap, project.hanging.diameter_mm);
    let wood_length = both(MeasureKind::Size, workings.hanging.wood_mm);
    let mut labels = vec![("width".to_string(), context.say("hanging.label-width", &[("measure", &width)]))];
    let mut parts = vec![context.say("hanging.alt-width", &[("measure", &width)])];
    if size.header_mm > 0.0 {
        labels.push(("header".to_string(), context.say("hanging.label-header", &[("measure", &header)])));
        parts.push(context.say("hanging.label-header", &[("measure", &header)]));
    }
    labels.push(("chart".to_string(), context.say("hanging.label-picture", &[("measure", &picture)])));
    parts.push(context.say("hanging.label-picture", &[("measure", &picture)]));
    if bottom_mm > 0.0 {
        labels.push(("bottom".to_string(), context.say("hanging.label-bottom", &[("measure", &bottom)])));
        parts.push(context.say("hanging.label-bottom", &[("measure", &bottom)]));
    }
    labels.push(("wood".to_string(), context.say("hanging.label-wood", &[("measure", &wood)])));
    parts.push(context.say("hanging.label-wood", &[("measure", &wood)]));
    labels.push(("wood-length".to_string(), context.say("hanging.label-wood-length", &[("measure", &wood_length)])));
    parts.push(context.say("hanging.label-wood-length", &[("measure", &wood_length)]));
    let hanger = context.cut(&workings.cords.hanger);
    labels.push(("hanger".to_string(), context.say("hanging.label-hanger", &[("measure", &hanger)])));
    parts.push(context.say("hanging.label-hanger", &[("measure", &hanger)]));
    HungPanel {
        width_mm: size.width_mm,
        header_mm: size.header_mm,
        chart_mm: size.chart_mm,
        bottom_mm,
        wood_mm: project.hanging.diameter_mm,
        wood_length_mm: workings.hanging.wood_mm,
        lower_edge: project.hanging.lower_edge.iter().map(|point| (point.at_mm, point.depth_mm)).collect(),
        branch: project.hanging.wood == Wood::Branch,
        hanger_in_mm: HANGER_IN_MM.min(workings.hanging.wood_mm / 4.0),
        hanger_rise_mm: (workings.hanging.wood_mm - 2.0 * HANGER_IN_MM).max(0.0) * HANGER_RISE,
        labels,
        picture: grid(context),
        alt: context.say("hanging.drawing-alt", &[("measures", &context.words.list(&parts))]),
        caption: Some(context.text("hanging.drawing-caption", &[])),
    }
}
