//! Header rows: plain rows above the chart, so that the picture hangs level below the wood.
//!
//! Always an even number, so that chart row 1 still starts where the project says.

use super::Gauge;
use crate::project::{Mounting, Project};

/// Room between the wood's lowest point and the chart, millimetres: our judgement.
pub const CLEARANCE_MM: f64 = 10.0;

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
    /// Cord to add to each folded cord, millimetres; negative: this much is spared.
    pub cord_more_mm: f64,
    /// Cord to add in all, millimetres; negative: this much is spared.
    pub cord_total_more_mm: f64,
    /// Header yarn to add, millimetres, without margin; negative: this much is spared.
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
    let rows = rows.min(super::feasible::MOST_HEADER_ROWS);
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
    let lines = match project.hanging.mounting {
        Mounting::OnAStrand => 0..depths(depth_mm) + 1,
        // No wood hides a row.
        Mounting::OnTheWood => 0..0,
    };
    let table = lines
        .map(|step| {
            let depth_mm = step as f64 * 10.0;
            let rows_then = rows_for(depth_mm, gauge.row_mm);
            let more = rows_then as f64 - rows as f64;
            let leg = more * gauge.row_mm * (1.0 + project.working.cord_take_up);
            let legs = project.chart.columns() as f64 * f64::from(project.working.legs_per_column);
            let knot = gauge.yarns.get(usize::from(project.working.header_yarn.0)).map_or(0.0, |y| y.knot_mm);
            HeaderChoice {
                depth_mm,
                rows: rows_then,
                cord_more_mm: 2.0 * leg,
                cord_total_more_mm: legs * leg,
                yarn_more_mm: more * project.chart.columns() as f64 * knot,
            }
        })
        .collect();
    Header { rows, from, depth_mm, bare_cord_mm: bare_cord(project), table }
}

/// The table goes on for 40 mm below this panel's own wood, and to 60 mm at least, in steps of 10 mm.
fn depths(depth_mm: f64) -> usize {
    ((libm::ceil(depth_mm / 10.0).clamp(0.0, 96.0) as usize) + 4).max(6)
}

/// Cord that shows above H1 where the wood's lower edge is highest.
pub(super) fn bare_cord(project: &Project) -> f64 {
    match project.hanging.mounting {
        Mounting::OnAStrand => 0.0,
        Mounting::OnTheWood => {
            let edge = || project.hanging.lower_edge.iter().map(|p| p.depth_mm);
            match (edge().reduce(f64::max), edge().reduce(f64::min)) {
                (Some(deepest), Some(highest)) => deepest - highest,
                (Some(_), None) | (None, Some(_)) | (None, None) => 0.0,
            }
        }
    }
}
