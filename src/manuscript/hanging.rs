//! Hanging: preparing the wood, fixing the strand to it, the wall; with a drawing of this panel and its own measures.

use super::cover::grid;
use super::hazard::Hazard;
use super::pen::Pen;
use super::{Block, HungPanel, Section, Step};
use crate::project::{BottomFinish, Fixing, Mounting, Wood};
use crate::words::Names;
use crate::words::measures::Kind;
use crate::workings::WOOD_BEHIND_MM;

/// Distance from one staple, nail or tie to the next, millimetres: our judgement.
const FIXED_EVERY_MM: f64 = 50.0;

pub(super) fn hanging(pen: &Pen) -> Section {
    let strand = pen.project.hanging.mounting == Mounting::OnAStrand;
    let mut blocks = vec![pen.paragraph("lead", if strand { "hanging.lead-strand" } else { "hanging.lead-wood" }, &[])];
    blocks.push(Block::HungPanel(drawing(pen)));
    if strand {
        prepare(pen, &mut blocks);
        blocks.push(pen.heading(2, "hanging.fix"));
        fix_strand(pen, &mut blocks);
    } else {
        fix_cords(pen, &mut blocks);
    }
    wall(pen, &mut blocks);
    Section { id: "hanging".into(), title: Some(pen.say("hanging.title", &[])), blocks }
}

/// The longest nail that leaves wood in front of its point, millimetres.
pub(super) fn longest_nail_mm(pen: &Pen) -> f64 {
    (pen.project.hanging.diameter_mm - WOOD_BEHIND_MM).max(0.0)
}

/// Steps that make the wood ready. They come before mounting where the cords hang on the wood itself.
pub(super) fn prepare(pen: &Pen, blocks: &mut Vec<Block>) {
    let project = pen.project;
    let length = pen.measures.both(Kind::Size, pen.workings.hanging.wood_mm);
    let names: Names = &[("length", &length)];
    blocks.push(pen.heading(2, "hanging.prepare"));
    let mut steps = match project.hanging.wood {
        Wood::Branch => vec![
            pen.step_after(&[Hazard::FoundWood], "hanging.prepare-branch-1", names),
            pen.step("hanging.prepare-branch-2", names),
            pen.step("hanging.prepare-length", names),
        ],
        Wood::Dowel => vec![pen.step_after(&[Hazard::Scissors], "hanging.prepare-dowel-1", names)],
    };
    if project.finishing.sealing {
        steps.push(pen.step_after(&[Hazard::Sealing], "hanging.seal", names));
    }
    blocks.push(Block::Steps(steps));
    if project.hanging.mounting == Mounting::OnTheWood {
        blocks.push(pen.body("hanging.wood-before"));
    }
}

fn stapling_figure(pen: &Pen) -> Block {
    let caption = pen.text("figure.stapling-caption", &[]);
    Block::Figure(pen.figure("stapling", false, pen.say("figure.stapling-alt", &[]), caption))
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
    fn new(pen: &Pen) -> Fixings {
        let staples = pen.workings.hanging.staples.as_ref();
        Fixings {
            leg: pen.measures.both(Kind::Least, staples.map_or(0.0, |s| s.leg_mm)),
            thick: pen.measures.both(Kind::Least, staples.map_or(0.0, |s| s.wood_least_mm)),
            left: pen.measures.both(Kind::Least, WOOD_BEHIND_MM),
            every: pen.measures.both(Kind::Reach, FIXED_EVERY_MM),
            most: pen.measures.both(Kind::Short, longest_nail_mm(pen)),
        }
    }

    fn names(&self) -> [(&str, &dyn std::fmt::Display); 5] {
        [("leg", &self.leg), ("thick", &self.thick), ("left", &self.left), ("every", &self.every), ("most", &self.most)]
    }
}

/// Whether the project's own wood is too thin for its staples.
fn too_thin(pen: &Pen) -> bool {
    pen.workings.hanging.staples.as_ref().is_some_and(|s| s.wood_least_mm > pen.project.hanging.diameter_mm)
}

fn fix_strand(pen: &Pen, blocks: &mut Vec<Block>) {
    let fixings = Fixings::new(pen);
    let names = fixings.names();
    let names: Names = &names;
    let mut steps = vec![pen.step("hanging.fix-lay", names), pen.step("hanging.fix-level", names)];
    match pen.project.hanging.fixing {
        Fixing::Staples => {
            blocks.push(stapling_figure(pen));
            if too_thin(pen) {
                blocks.push(pen.body("hanging.staple-too-thin"));
            }
            steps.push(pen.step("hanging.staple-1", names));
            steps.push(pen.step_after(&[Hazard::StapleGun, Hazard::SmallParts], "hanging.staple-2", names));
            steps.push(pen.step("hanging.staple-3", names));
            steps.push(pen.step("hanging.strand-ends", names));
        }
        Fixing::Nails => {
            steps.push(pen.step("hanging.nail-1", names));
            steps.push(pen.step_after(&[Hazard::Hammer, Hazard::SmallParts], "hanging.nail-2", names));
            steps.push(pen.step("hanging.nail-3", names));
            steps.push(pen.step("hanging.strand-ends", names));
        }
        Fixing::Tied => {
            steps.push(pen.step_after(&[Hazard::Scissors], "hanging.tie-1", names));
            steps.push(pen.step("hanging.tie-2", names));
            steps.push(pen.step("hanging.tie-3", names));
        }
    }
    blocks.push(Block::Steps(steps));
}

/// Cords that hang on the wood itself hold by their knots; staples or nails only keep them from sliding.
fn fix_cords(pen: &Pen, blocks: &mut Vec<Block>) {
    let fixings = Fixings::new(pen);
    let names = fixings.names();
    let names: Names = &names;
    let (why, steps): (&str, Vec<Step>) = match pen.project.hanging.fixing {
        Fixing::Tied => return,
        Fixing::Staples => (
            "hanging.fix-wood-staples",
            vec![
                pen.step("hanging.staple-1", names),
                pen.step_after(&[Hazard::StapleGun, Hazard::SmallParts], "hanging.staple-2-wood", names),
                pen.step("hanging.staple-3-wood", names),
            ],
        ),
        Fixing::Nails => (
            "hanging.fix-wood-nails",
            vec![
                pen.step("hanging.nail-1", names),
                pen.step_after(&[Hazard::Hammer, Hazard::SmallParts], "hanging.nail-2-wood", names),
                pen.step("hanging.nail-3", names),
            ],
        ),
    };
    blocks.push(pen.heading(2, "hanging.fix-wood"));
    blocks.push(pen.body(why));
    if too_thin(pen) {
        blocks.push(pen.body("hanging.staple-too-thin-wood"));
    }
    blocks.push(Block::Steps(steps));
}

fn wall(pen: &Pen, blocks: &mut Vec<Block>) {
    let fringe = pen.project.bottom.finish == BottomFinish::Fringe;
    let rated = pen.measures.both(Kind::Load, pen.workings.hanging.hanger_least_g);
    let names: Names = &[("rated", &rated)];
    blocks.push(pen.heading(2, "hanging.wall"));
    blocks.push(Block::Steps(vec![
        pen.step_after(&[Hazard::Children], "hanging.wall-1", names),
        pen.step_after(&[Hazard::Hanging], "hanging.wall-2", names),
        pen.step_after(&[Hazard::Drilling], "hanging.wall-3", names),
        pen.step_after(
            &[Hazard::Fire, Hazard::Pets],
            if fringe { "hanging.wall-4" } else { "hanging.wall-4-plain" },
            names,
        ),
    ]));
}

/// This panel hung up, with its own measures.
fn drawing(pen: &Pen) -> HungPanel {
    let (project, workings) = (pen.project, pen.workings);
    let size = &workings.size;
    let bottom_mm = match project.bottom.finish {
        BottomFinish::Fringe => size.fringe_mm,
        BottomFinish::Trimmed | BottomFinish::FoldedBack => 0.0,
    };
    let both = |kind, mm| pen.measures.both(kind, mm);
    let width = both(Kind::Size, size.width_mm);
    let header = both(Kind::Size, size.header_mm);
    let picture = both(Kind::Size, size.chart_mm);
    let bottom = both(Kind::Size, bottom_mm);
    let wood = both(Kind::Gap, project.hanging.diameter_mm);
    let wood_length = both(Kind::Size, workings.hanging.wood_mm);
    let mut labels = vec![("width".to_string(), pen.say("hanging.label-width", &[("measure", &width)]))];
    let mut parts = vec![pen.say("hanging.alt-width", &[("measure", &width)])];
    if size.header_mm > 0.0 {
        labels.push(("header".to_string(), pen.say("hanging.label-header", &[("measure", &header)])));
        parts.push(pen.say("hanging.label-header", &[("measure", &header)]));
    }
    labels.push(("chart".to_string(), pen.say("hanging.label-picture", &[("measure", &picture)])));
    parts.push(pen.say("hanging.label-picture", &[("measure", &picture)]));
    if bottom_mm > 0.0 {
        labels.push(("bottom".to_string(), pen.say("hanging.label-bottom", &[("measure", &bottom)])));
        parts.push(pen.say("hanging.label-bottom", &[("measure", &bottom)]));
    }
    labels.push(("wood".to_string(), pen.say("hanging.label-wood", &[("measure", &wood)])));
    parts.push(pen.say("hanging.label-wood", &[("measure", &wood)]));
    labels.push(("wood-length".to_string(), pen.say("hanging.label-wood-length", &[("measure", &wood_length)])));
    parts.push(pen.say("hanging.label-wood-length", &[("measure", &wood_length)]));
    HungPanel {
        width_mm: size.width_mm,
        header_mm: size.header_mm,
        chart_mm: size.chart_mm,
        bottom_mm,
        wood_mm: project.hanging.diameter_mm,
        wood_length_mm: workings.hanging.wood_mm,
        lower_edge: project.hanging.lower_edge.iter().map(|point| (point.at_mm, point.depth_mm)).collect(),
        branch: project.hanging.wood == Wood::Branch,
        labels,
        picture: grid(pen),
        alt: pen.say("hanging.drawing-alt", &[("measures", &pen.words.list(&parts))]),
        caption: Some(pen.text("hanging.drawing-caption", &[])),
    }
}
