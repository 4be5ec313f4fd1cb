//! Header rows: plain rows above the chart, so that the picture hangs level below the wood.
//!
//! Always an even number, so that chart row 1 still starts where the project says.

use super::purchase::{self, YarnAmount};
use super::{CutList, Gauge, cut_list};
use crate::project::{Mounting, Project};

/// Room between the wood's lowest point and the chart, millimetres: our judgement.
pub const CLEARANCE_MM: f64 = 10.0;

/// Header rows a panel may have.
pub const MAX_HEADER_ROWS: usize = 400;

/// Where the number of header rows comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeaderFrom {
    /// The maker asked for it (an odd number is raised by one).
    Maker,
    /// From the deepest measured point of the wood's lower edge.
    LowerEdge,
    /// From half the wood's diameter: straight wood with the strand along its middle.
    StraightWood,
    /// Cords hang on the wood itself: only the clearance.
    LevelString,
}

/// The header of this panel, and what other wood would ask for.
#[derive(Clone, Debug, PartialEq)]
pub struct Header {
    /// How many rows, even.
    pub rows: usize,
    /// Why so many.
    pub from: HeaderFrom,
    /// How far the wood reaches below the fixing line, millimetres; 0 where the cords hang on the wood.
    pub depth_mm: f64,
    /// Most bare cord above row H1, where cords hang on uneven wood and H1 is levelled against a tight string,
    /// millimetres; else 0.
    pub bare_cord_mm: f64,
    /// What other wood asks for, from the shallowest depth to the deepest; empty where cords hang on the wood.
    pub table: Vec<HeaderChoice>,
}

/// A line of the table: depth of the buyer's own wood -> rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeaderChoice {
    /// Deepest point of the wood's lower edge below the fixing line, millimetres.
    pub depth_mm: f64,
    /// Rows it asks for.
    pub rows: usize,
    /// Cord to add to each folded cord as it is cut, millimetres; negative: this much is spared.
    pub cord_more_mm: f64,
    /// Cord to buy beyond this panel's, with its margin, millimetres; negative: this much is spared.
    pub cord_total_more_mm: f64,
    /// Header yarn to buy beyond this panel's, with lengths, tails and margin, millimetres; negative: this much is spared.
    pub yarn_more_mm: f64,
}

/// Header rows for wood that reaches `depth_mm` below the fixing line.
pub fn rows_for(depth_mm: f64, row_mm: f64) -> usize {
    let rows = libm::ceil((depth_mm + CLEARANCE_MM) / row_mm - 1e-9);
    // `as` saturates: an absurd gauge is a fault that `feasible` names, not a panic.
    even(rows.max(0.0) as usize)
}

/// The next even number, and no more than are knotted at all.
fn even(rows: usize) -> usize {
    let rows = rows.min(MAX_HEADER_ROWS);
    rows + rows % 2
}

pub(super) fn header(project: &Project, gauge: &Gauge) -> Header {
    let edge = || project.hanging.lower_edge.iter().map(|p| p.depth_mm);
    let deepest = edge().reduce(f64::max);
    let (depth_mm, reason) = match (project.hanging.mounting, deepest) {
        (Mounting::OnTheWood, _) => (0.0, HeaderFrom::LevelString),
        (Mounting::OnAStrand, Some(depth)) => (depth, HeaderFrom::LowerEdge),
        (Mounting::OnAStrand, None) => (project.hanging.diameter_mm / 2.0, HeaderFrom::StraightWood),
    };
    let (rows, from) = match project.working.header_rows {
        Some(asked) => (even(asked), HeaderFrom::Maker),
        None => (rows_for(depth_mm, gauge.row_mm), reason),
    };
    Header { rows, from, depth_mm, bare_cord_mm: bare_cord(project), table: Vec::new() }
}

/// What other wood asks for, against what this panel takes. Everything is reckoned anew for each number of rows, with its
/// lengths, tails and margins, as the amounts are.
pub(super) fn table(
    project: &Project,
    gauge: &Gauge,
    header: &Header,
    now: &CutList,
    amounts: &[YarnAmount],
) -> Vec<HeaderChoice> {
    // No wood hides a row where the cords hang on it.
    if project.hanging.mounting == Mounting::OnTheWood {
        return Vec::new();
    }
    let yarn = project.working.header_yarn;
    let yarn_now_mm = amounts.iter().find(|amount| amount.yarn == yarn).map_or(0.0, |amount| amount.buy.yarn_mm);
    let mut table: Vec<HeaderChoice> = Vec::new();
    for step in depths(header.depth_mm) {
        let depth_mm = step as f64 * 10.0;
        let rows = rows_for(depth_mm, gauge.row_mm);
        let choice = match table.last() {
            Some(before) if before.rows == rows => HeaderChoice { depth_mm, ..*before },
            Some(_) | None => {
                let then = cut_list::cut_list(project, gauge, rows);
                let yarn_mm = match rows == header.rows {
                    true => yarn_now_mm,
                    false => purchase::yarn_with_header(project, gauge, yarn, rows).yarn_mm,
                };
                HeaderChoice {
                    depth_mm,
                    rows,
                    cord_more_mm: more(&then, now),
                    cord_total_more_mm: then.to_buy_mm - now.to_buy_mm,
                    yarn_more_mm: yarn_mm - yarn_now_mm,
                }
            }
        };
        table.push(choice);
    }
    table
}

/// What is added to each folded cord: enough for those of every length.
fn more(then: &CutList, now: &CutList) -> f64 {
    let each = then.groups.iter().zip(&now.groups).map(|(then, now)| then.cord.cut_mm - now.cord.cut_mm);
    each.fold(then.folded.cut_mm - now.folded.cut_mm, f64::max)
}

/// Centimetres of depth in the table: 40 mm to either side of this panel's own wood, and from 0 to 60 mm at least.
fn depths(depth_mm: f64) -> std::ops::RangeInclusive<usize> {
    const AROUND: usize = 4;
    let own = libm::ceil(depth_mm / 10.0).clamp(0.0, 96.0) as usize;
    let first = if own <= 2 * AROUND { 0 } else { own - AROUND };
    first..=(own + AROUND).max(6)
}

/// Cord that shows above H1 where the wood's lower edge is highest.
pub(super) fn bare_cord(project: &Project) -> f64 {
    match project.hanging.mounting {
        Mounting::OnAStrand => 0.0,
        Mounting::OnTheWood => {
            let edge = || project.hanging.lower_edge.iter().map(|p| p.depth_mm);
            match (edge().reduce(f64::max), edge().reduce(f64::min)) {
                (Some(deepest), Some(highest)) => deepest - highest,
                (Some(_) | None, None) | (None, Some(_)) => 0.0,
            }
        }
    }
}
