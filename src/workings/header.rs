//! Header rows: plain rows above the chart, so that the picture hangs level below the wood.
//!
//! Always an even number, so that chart row 1 still starts where the project says.

use super::Gauge;
use crate::project::{Mounting, Project};

/// Room between the wood's lowest point and the chart, millimetres: our judgement.
pub(crate) const CLEARANCE_MM: f64 = 10.0;

/// Header rows a panel may have.
pub(crate) const MAX_HEADER_ROWS: usize = 400;

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
    pub(crate) depth_mm: f64,
    /// Most bare cord above row H1, where cords hang on uneven wood and H1 is levelled against a tight string,
    /// millimetres; else 0.
    pub(crate) bare_cord_mm: f64,
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
pub(crate) fn rows_for(depth_mm: f64, row_mm: f64) -> usize {
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
