//! Time at the maker's stated pace, as a range; nothing is guessed where she states none.

use super::{CutList, Tally, WorkedRow, YarnAmount};
use crate::project::{Pace, Project};

/// The range, minutes: a tenth less than reckoned to three tenths more (our judgement: breaks and undone knots only add).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Time {
    /// At the pace stated.
    pub reckoned_minutes: f64,
    /// Least.
    pub(crate) least_minutes: f64,
    /// Most.
    pub(crate) most_minutes: f64,
}

pub(super) fn time(project: &Project, tally: &Tally, cords: &CutList, amounts: &[YarnAmount]) -> Option<Time> {
    let pace = project.pace.filter(|p| p.knots_per_minute > 0.0)?;
    let joins: usize = amounts.iter().map(|a| a.pieces).sum();
    let minutes =
        mounting_minutes(pace, cords) + tally.total as f64 / pace.knots_per_minute + joins as f64 * pace.join_minutes;
    Some(Time { reckoned_minutes: minutes, least_minutes: 0.9 * minutes, most_minutes: 1.3 * minutes })
}

pub(super) fn mounting_minutes(pace: Pace, cords: &CutList) -> f64 {
    let heads = cords.folded.count + usize::from(cords.single.is_some());
    heads as f64 * pace.mount_minutes
}

/// Minutes one row takes at a pace: its knots and the lengths joined in it.
pub(crate) fn minutes_of_row(pace: Pace, row: &WorkedRow) -> f64 {
    if pace.knots_per_minute <= 0.0 {
        return 0.0;
    }
    row.knots as f64 / pace.knots_per_minute + row.joins as f64 * pace.join_minutes
}
