//! A small panel for the targets that need a project.

use hitchpress::chart::{Chart, YarnId};
use hitchpress::diag::Report;
use hitchpress::project::{self, Project};
use hitchpress::source::Sources;

/// The project file that the small panel is made from.
pub const TEXT: &str = include_str!("small.toml");

/// Three columns and two rows in two yarns, with a bare cell.
pub fn chart() -> Chart {
    let cells = [Some(0), Some(1), Some(1), Some(0), None, Some(1)].map(|cell| cell.map(YarnId)).to_vec();
    Chart::new(3, cells).expect("whole rows")
}

/// The small panel, or one with this chart.
pub fn panel(chart: Chart) -> Project {
    project::draft(TEXT, chart, &mut Sources::new(), &mut Report::new()).expect("no faults")
}
