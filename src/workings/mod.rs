//! The reckoning: from a checked project to every figure the booklet prints.
//!
//! In comes a [`Project`] and nothing else, out goes [`Workings`]. Pure: no files, no words, no fonts, no pages. Lengths
//! are millimetres in `f64` where a formula makes them and whole micrometres (`i64`) where yarn is added up, so that sums
//! agree to the last digit. Rows and columns count from 0; their +1 is added where a number is drawn.

mod assignment;
pub(crate) mod class_kit;
mod cord_groups;
mod cut_list;
mod cutting;
mod edge;
mod feasible;
mod gauge;
mod hanging;
mod header;
mod method;
mod other_wood;
mod own_gauge;
mod purchase;
mod rounding;
mod rows;
mod rule;
mod runs;
mod slits;
mod tally;
#[cfg(test)]
mod tests;
mod time;
mod yarn_plan;

pub(crate) use class_kit::ClassKit;
pub use class_kit::class_kit;
pub use cut_list::{CordGroup, CutCord, CutList, SINGLE_END_MM};
pub(crate) use cut_list::{HANGER_IN_MM, HANGER_RISE, STRAND_EACH_SIDE_MM};
pub(crate) use cutting::KEPT_LEAST_UM;
pub(crate) use edge::LowerEdge;
pub use feasible::feasible;
pub(crate) use gauge::FinishedSize;
pub use gauge::{Gauge, GaugeFrom};
pub(crate) use hanging::{BACKING_LESS_MM, HangingWorkings, RIBBON_TURNED_IN_MM, WOOD_BEHIND_MM};
pub use header::HeaderFrom;
pub(crate) use header::{Header, rows_for as header_rows_for};
pub(crate) use method::method_figures;
pub use own_gauge::OwnYarn;
pub(crate) use own_gauge::{OwnGauge, OwnPitch, swatch};
pub(crate) use purchase::{Amount, YarnAmount};
pub(crate) use rows::LastKnot;
pub use rows::{RunMarks, WorkedRow};
pub use rule::HangingLengths;
pub use runs::{RowPlace, RunId};
pub(crate) use runs::{Run, RunSheet};
pub use slits::Slit;
pub(crate) use tally::Tally;
pub(crate) use time::Time;
pub(crate) use yarn_plan::hanging_worth_um;
pub use yarn_plan::{PlanLimits, Thread, YarnPlan, YarnStep};

use crate::project::Project;

/// Everything that can be reckoned from a project. Vectors named `yarns` follow the palette's order.
#[derive(Clone, Debug, PartialEq)]
pub struct Workings {
    /// Pitches and yarn per knot.
    pub gauge: Gauge,
    /// The finished panel.
    pub size: FinishedSize,
    /// Header rows, and what other wood would ask for.
    pub header: Header,
    /// Knots by yarn.
    pub tally: Tally,
    /// Every run in working order, header rows first.
    pub sheet: RunSheet,
    /// Where each yarn is carried and where it is cut, one plan a yarn.
    pub plans: Vec<YarnPlan>,
    /// Boundaries that no yarn crosses for three rows or more, by column, then row.
    pub slits: Vec<Slit>,
    /// The rows in working order: header rows first, then chart row 1, 2 ...
    pub rows: Vec<WorkedRow>,
    /// What is said of each run of `sheet` beyond its knots and its yarn.
    pub marks: Vec<RunMarks>,
    /// What to buy and to cut of each yarn.
    pub amounts: Vec<YarnAmount>,
    /// Filler cords and mounting strand.
    pub cords: CutList,
    /// Where the knots of each column end.
    pub edge: LowerEdge,
    /// Wood, staples, backing, mass.
    pub hanging: HangingWorkings,
    /// The page on which the buyer puts in her own gauge.
    pub own_gauge: OwnGauge,
    /// Time at the maker's pace; `None` when she states none.
    pub time: Option<Time>,
}

/// Reckons everything. Call [`feasible()`] first: where it finds a fault the figures here mean nothing, though this
/// function still returns.
pub fn work_out(project: &Project) -> Workings {
    let gauge = gauge::gauge(project);
    let mut header = header::header(project, &gauge);
    let size = gauge::finished_size(project, &gauge, header.rows);
    let sheet = runs::sheet(project, header.rows);
    let tally = tally::tally(project, &sheet);
    let plans = yarn_plan::plans(project, &gauge, &sheet);
    let links = yarn_plan::links(&plans, sheet.runs.len());
    let slits = slits::slits(&sheet, &links);
    let cuttings = cutting::cuttings(project, &gauge, &plans);
    let (rows, marks) = rows::rows(&sheet, &links, &slits, &cuttings);
    let cords = cut_list::cut_list(project, &gauge, header.rows);
    let amounts = purchase::amounts(project, &gauge, &tally, &plans, &cuttings);
    header.table = other_wood::table(project, &gauge, &header, &cords, &amounts);
    let edge = edge::lower_edge(project, header.rows);
    let hanging = hanging::hanging(project, &gauge, &size, &edge, header.rows, &cords, &amounts);
    let own_gauge = own_gauge::own_gauge(project, &gauge, &plans, &amounts, &header);
    let time = time::time(project, &tally, &cords, &amounts);
    Workings {
        gauge,
        size,
        header,
        tally,
        sheet,
        plans,
        slits,
        rows,
        marks,
        amounts,
        cords,
        edge,
        hanging,
        own_gauge,
        time,
    }
}

/// Column and row pitch and the yarn for a knot, without the rest of the reckoning.
pub(crate) fn gauge(project: &Project) -> Gauge {
    gauge::gauge(project)
}

/// What a chart asks of the maker's hands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Handling {
    /// Threads to start, all yarns together, as if lengths were endless.
    pub(crate) threads: usize,
    /// Runs of one yarn.
    pub(crate) runs: usize,
    /// Times a yarn is led behind other knots.
    pub(crate) carries: usize,
    /// Yarn that lies in those carries, micrometres.
    pub(crate) carried_um: i64,
    /// Rows of slits, all slits together.
    pub(crate) slit_rows: usize,
}

/// What a project's chart asks of the maker's hands: the yarn plan and the slits, without the rest of the reckoning.
pub(crate) fn handling(project: &Project) -> Handling {
    let gauge = gauge::gauge(project);
    let header = header::header(project, &gauge);
    let sheet = runs::sheet(project, header.rows);
    let plans = yarn_plan::plans(project, &gauge, &sheet);
    let links = yarn_plan::links(&plans, sheet.runs.len());
    let carried = |plan: &YarnPlan| plan.steps.iter().filter(|s| s.is_carry).map(|s| s.micrometres).sum::<i64>();
    Handling {
        threads: plans.iter().map(YarnPlan::thread_count).sum(),
        runs: sheet.runs.len(),
        carries: plans.iter().map(YarnPlan::carries).sum(),
        carried_um: plans.iter().map(carried).sum(),
        slit_rows: slits::slits(&sheet, &links).iter().map(Slit::rows).sum(),
    }
}
