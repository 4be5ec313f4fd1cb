//! Wood, staples, backing, ribbon, and what the finished panel weighs.

use super::cut_list::WOOD_EACH_SIDE_MM;
use super::edge::{self, FleeceStep, LowerEdge};
use super::purchase::YarnAmount;
use super::{CutList, FinishedSize, Gauge, cut_list};
use crate::geom::MM_PER_INCH;
use crate::project::{Backing, BottomFinish, Fixing, Hardness, Mounting, Project};
use core::f64::consts::PI;

/// Backing is smaller than the panel by this overall, millimetres: half an inch (common practice, no source).
pub(crate) const BACKING_LESS_MM: f64 = MM_PER_INCH / 2.0;
/// What a staple goes into hardwood beyond the layer, millimetres.
pub(crate) const STAPLE_IN_HARD_MM: f64 = 6.0;
/// What a staple goes into softwood beyond the layer, millimetres.
pub(crate) const STAPLE_IN_SOFT_MM: f64 = 9.5;
/// Wood left behind the points, millimetres.
pub(crate) const WOOD_BEHIND_MM: f64 = 3.0;
/// Ribbon to turn in at its ends, in all, millimetres: our judgement.
pub(crate) const RIBBON_TURNED_IN_MM: f64 = 50.0;

/// Panels narrower or lower than this take neither fleece nor ribbon: there is nothing to iron or to sew (our judgement).
const FLEECE_LEAST_MM: f64 = 15.0;
/// A label smaller than this takes no name (our judgement).
const LABEL_LEAST_MM: f64 = 15.0;
/// Where the usual label lies on knots nowhere, a smaller one may: parts of it.
const LABEL_SIZES: [f64; 4] = [1.0, 0.8, 0.65, 0.5];

/// Making up and hanging.
#[derive(Clone, Debug, PartialEq)]
pub struct HangingWorkings {
    /// The shortest wood that serves, millimetres: the panel and an inch each side.
    pub wood_least_mm: f64,
    /// The wood: the project's own length, else the shortest that serves, millimetres.
    pub(crate) wood_mm: f64,
    /// Staples, where that is how it is fixed.
    pub staples: Option<StapledWood>,
    /// Yarn and cord of the finished panel, grams, without the wood.
    pub(crate) panel_g: f64,
    /// Whether some of that was reckoned from a diameter for want of a ball band or a spool.
    pub mass_is_estimated: bool,
    /// The wood by its volume, grams: 0.72 g/cm3 hard, 0.55 soft (from memory).
    pub(crate) wood_g: f64,
    /// Panel and wood, grams.
    pub(crate) total_g: f64,
    /// What the fixing should be rated for at least, grams: twice the whole (our judgement).
    pub(crate) hanger_least_g: f64,
    /// Backing, where it is chosen.
    pub backing: Option<BackingPiece>,
    /// Ribbon over the edges at the back (both sides and the bottom), where it is chosen, millimetres.
    pub ribbon_mm: Option<f64>,
    /// A label's width and height, where it is chosen: 60 x 40 mm, or a third of a narrow panel's width.
    pub label_mm: Option<(f64, f64)>,
    /// Where it lies on knots alone, as low as can be: first and last column, from 0, and the chart's row above whose end it
    /// stays, from 1.
    pub label_place: Option<(usize, usize, usize)>,
}

/// Legs of staples and the wood they ask for, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StapledWood {
    /// What the staple bridges: the mounting strand, or the filler cord.
    pub(crate) layer_mm: f64,
    /// Leg in hardwood.
    pub hard_leg_mm: f64,
    /// Leg in softwood.
    pub soft_leg_mm: f64,
    /// Leg for this project's wood.
    pub leg_mm: f64,
    /// Thickness of this project's wood at least, so that the points do not come through.
    pub wood_least_mm: f64,
}

/// A backing.
#[derive(Clone, Debug, PartialEq)]
pub struct BackingPiece {
    /// Width, millimetres.
    pub width_mm: f64,
    /// Height, millimetres.
    pub height_mm: f64,
    /// Whether it is sewn on; else ironed.
    pub(crate) is_sewn: bool,
    /// How far down it reaches from left to right, where the panel's lower edge is shaped; else empty.
    pub steps: Vec<FleeceStep>,
}

pub(super) fn hanging(
    project: &Project,
    gauge: &Gauge,
    size: &FinishedSize,
    edge: &LowerEdge,
    header_rows: usize,
    cords: &CutList,
    amounts: &[YarnAmount],
) -> HangingWorkings {
    let wood_least_mm = size.width_mm + 2.0 * WOOD_EACH_SIDE_MM;
    let wood_mm = project.hanging.length_mm.unwrap_or(wood_least_mm);
    let staples = match project.hanging.fixing {
        Fixing::Staples => {
            let layer_mm = project.cord.diameter_mm;
            let (hard_leg_mm, soft_leg_mm) = (layer_mm + STAPLE_IN_HARD_MM, layer_mm + STAPLE_IN_SOFT_MM);
            let (leg_mm, inside) = match project.hanging.hardness {
                Hardness::Hard => (hard_leg_mm, STAPLE_IN_HARD_MM),
                Hardness::Soft => (soft_leg_mm, STAPLE_IN_SOFT_MM),
            };
            Some(StapledWood { layer_mm, hard_leg_mm, soft_leg_mm, leg_mm, wood_least_mm: inside + WOOD_BEHIND_MM })
        }
        Fixing::Nails | Fixing::Tied => None,
    };
    let mut mass_is_estimated = project.cord.spool_m.is_none() || project.cord.spool_g.is_none();
    let mut panel_g = cord_in_panel_mm(project, cords) / 1000.0 * cut_list::cord_g_per_m(project);
    for (amount, (_, yarn)) in amounts.iter().zip(project.palette.iter()) {
        let g_per_m = match (yarn.ball_m, yarn.ball_g) {
            (Some(m), Some(g)) if m > 0.0 => g / m,
            (_, _) => {
                mass_is_estimated |= amount.used_mm > 0.0;
                cut_list::cotton_g_per_m(yarn.diameter_mm)
            }
        };
        panel_g += amount.used_mm / 1000.0 * g_per_m;
    }
    let g_per_cm3 = match project.hanging.hardness {
        Hardness::Hard => 0.72,
        Hardness::Soft => 0.55,
    };
    let wood_g = PI / 4.0 * project.hanging.diameter_mm * project.hanging.diameter_mm * wood_mm / 1000.0 * g_per_cm3;
    let (width, height) = (size.width_mm - BACKING_LESS_MM, size.height_mm - BACKING_LESS_MM);
    let steps = if edge.is_shaped() { edge::fleece(edge, gauge) } else { Vec::new() };
    let backed = |is_sewn| match (steps.first(), steps.last()) {
        _ if width < FLEECE_LEAST_MM || height < FLEECE_LEAST_MM => None,
        (Some(first), Some(last)) => Some(BackingPiece {
            width_mm: last.to_mm - first.from_mm,
            height_mm: steps.iter().map(|step| step.height_mm).fold(0.0, f64::max),
            is_sewn,
            steps: steps.clone(),
        }),
        _ => Some(BackingPiece { width_mm: width, height_mm: height, is_sewn, steps: Vec::new() }),
    };
    // Half as high as the panel at most.
    let most = (size.width_mm / 3.0).min(60.0).min(size.height_mm * 0.75);
    let sizes = LABEL_SIZES.iter().map(|part| (most * part, most * part * 2.0 / 3.0));
    let label = sizes.filter(|(width, _)| project.finishing.label && *width >= LABEL_LEAST_MM).find_map(|label| {
        let (from, to, row) = edge.place_of(label, gauge)?;
        (!edge.is_shaped() || row > header_rows).then_some((label, (from, to, row.saturating_sub(header_rows))))
    });
    HangingWorkings {
        wood_least_mm,
        wood_mm,
        staples,
        panel_g,
        mass_is_estimated,
        wood_g,
        total_g: panel_g + wood_g,
        hanger_least_g: 2.0 * (panel_g + wood_g),
        backing: match project.finishing.backing {
            Backing::None => None,
            Backing::Fused => backed(false),
            Backing::Sewn => backed(true),
        },
        ribbon_mm: (project.finishing.edge_ribbon && size.width_mm >= FLEECE_LEAST_MM).then(|| {
            match edge.is_shaped() {
                true => edge::ribbon_mm(edge, gauge, RIBBON_TURNED_IN_MM),
                false => 2.0 * size.height_mm + size.width_mm + RIBBON_TURNED_IN_MM,
            }
        }),
        label_mm: label.map(|(label, _)| label),
        label_place: label.map(|(_, place)| place),
    }
}

/// Cord that stays in the finished panel.
fn cord_in_panel_mm(project: &Project, cords: &CutList) -> f64 {
    let below = match project.bottom.finish {
        BottomFinish::Trimmed => 0.0,
        BottomFinish::Fringe | BottomFinish::FoldedBack => project.bottom.length_mm,
    };
    let leg = cords.leg_mm - project.bottom.length_mm + below;
    let heads = cords.folded.count as f64 + if cords.single.is_some() { 1.0 } else { 0.0 };
    let strand = match (project.hanging.mounting, &cords.strand) {
        (Mounting::OnAStrand, Some(strand)) => strand.exact_mm,
        (Mounting::OnAStrand, None) | (Mounting::OnTheWood, _) => 0.0,
    };
    let short: f64 =
        cords.groups.iter().map(|group| (cords.leg_mm - group.leg_mm) * 2.0 * group.cord.count as f64).sum();
    cords.legs as f64 * leg - short + heads * cords.head_mm + strand
}
