//! What is at hand while a chart is made from a picture.

use super::options::{ChartFromOptions, ChartPlan};
use super::pattern::Pattern;
use crate::cli::args::ChartFrom;
use crate::cli::report::counted;
use crate::picture::SrgbPicture;
use crate::project::Project;
use crate::words::Words;
use crate::workings;

/// What is at hand once everything typed is understood.
pub(super) struct Desk<'a> {
    pub(crate) typed: &'a ChartFrom,
    pub(crate) options: ChartFromOptions,
    pub(crate) words: Words,
    pub(crate) picture: SrgbPicture,
    pub(crate) pattern: Pattern,
    /// The project without its chart: its gauge and ways of working count.
    pub(crate) base: Project,
}

/// A chart in its project, before it is packed.
pub(super) struct Finished {
    pub(crate) project: Project,
    pub(crate) pattern: Pattern,
    pub(crate) plan: ChartPlan,
    pub(crate) said: String,
    /// Files that only some kinds of pictures bring.
    pub(crate) more: Vec<(&'static str, Vec<u8>)>,
}

pub(super) fn size_said(project: &Project) -> String {
    let gauge = workings::gauge(project);
    let chart = &project.chart;
    let cm = |knots: usize, mm: f64| (knots as f64 * mm / 10.0).round();
    format!(
        "{}, {}, {}; {} x {} cm without header and fringe",
        counted(chart.columns(), "column", "columns"),
        counted(chart.rows(), "row", "rows"),
        counted(project.palette.len(), "yarn", "yarns"),
        cm(chart.columns(), gauge.column_mm),
        cm(chart.rows(), gauge.row_mm),
    )
}
