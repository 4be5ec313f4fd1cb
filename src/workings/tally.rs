//! How many knots of each yarn.

use super::runs::RunSheet;
use crate::chart::YarnId;
use crate::project::Project;

/// Knots of the whole panel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tally {
    /// By yarn.
    pub yarns: Vec<YarnTally>,
    /// In the chart's rows.
    pub(crate) chart: usize,
    /// In the header rows.
    pub header: usize,
    /// In all.
    pub total: usize,
}

/// Knots of one yarn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct YarnTally {
    /// In the chart's rows.
    pub(crate) chart: usize,
    /// In the header rows; 0 for every yarn but the header yarn.
    pub header: usize,
}

impl YarnTally {
    /// Header and chart.
    pub fn total(self) -> usize {
        self.chart + self.header
    }
}

impl Tally {
    /// Of one yarn.
    pub fn of(&self, yarn: YarnId) -> YarnTally {
        self.yarns.get(usize::from(yarn.0)).copied().unwrap_or_default()
    }
}

pub(super) fn tally(project: &Project, sheet: &RunSheet) -> Tally {
    let mut yarns = vec![YarnTally::default(); project.palette.len()];
    for run in &sheet.runs {
        if let Some(yarn) = yarns.get_mut(usize::from(run.yarn.0)) {
            if run.row < sheet.header_rows {
                yarn.header += run.knots();
            } else {
                yarn.chart += run.knots();
            }
        }
    }
    let chart = yarns.iter().map(|y| y.chart).sum();
    let header = yarns.iter().map(|y| y.header).sum();
    Tally { yarns, chart, header, total: chart + header }
}
