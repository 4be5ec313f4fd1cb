//! The buyer's own gauge: tables that need no software, by yarn per knot and by pitch.
//!
//! Each column holds the same margin as the booklet's own amounts. Cutting can by luck come out a length cheaper for
//! slightly looser hands; no column is given smaller than one for tighter hands, and none left of the booklet's own larger
//! than that.

use super::cut_list::WOOD_EACH_SIDE_MM;
use super::cutting::Measure;
use super::purchase::{Amount, YarnAmount, lengths_of};
use super::{CutList, Gauge, Header, YarnPlan, cut_list};
use crate::project::Project;

/// Steps of both tables, percent of this booklet's gauge.
pub const PERCENTS: [i32; 6] = [-20, -10, 0, 10, 20, 30];

/// Both tables.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnGauge {
    /// By yarn per knot, from least to most.
    pub yarns: Vec<OwnYarn>,
    /// By pitch, from narrow to wide; both pitches change by the same part.
    pub pitches: Vec<OwnPitch>,
}

/// A line by yarn per knot.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnYarn {
    /// Percent above this booklet's gauge.
    pub percent: i32,
    /// Yarn per knot of each yarn, millimetres.
    pub knot_mm: Vec<f64>,
    /// What to buy of each yarn.
    pub buy: Vec<Amount>,
}

/// A line by pitch.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnPitch {
    /// Percent above this booklet's gauge.
    pub percent: i32,
    /// Column pitch, millimetres.
    pub column_mm: f64,
    /// Row pitch, millimetres.
    pub row_mm: f64,
    /// Finished width, millimetres.
    pub width_mm: f64,
    /// Finished height with this booklet's header rows, millimetres.
    pub height_mm: f64,
    /// A folded cord as cut, up to the next 10 mm.
    pub folded_mm: f64,
    /// A folded cord as cut, up to the next inch.
    pub folded_inches: f64,
    /// Everything that is cut from the cord, and what to buy of it.
    pub cords: CutList,
    /// The shortest wood that serves, millimetres.
    pub wood_least_mm: f64,
}

pub(super) fn own_gauge(
    project: &Project,
    gauge: &Gauge,
    plans: &[YarnPlan],
    amounts: &[YarnAmount],
    header: &Header,
) -> OwnGauge {
    let mut yarns: Vec<OwnYarn> = PERCENTS
        .iter()
        .map(|&percent| {
            let factor = 1.0 + f64::from(percent) / 100.0;
            let mut line = OwnYarn { percent, knot_mm: Vec::new(), buy: Vec::new() };
            for ((plan, amount), (own, (_, yarn))) in
                plans.iter().zip(amounts).zip(gauge.yarns.iter().zip(project.palette.iter()))
            {
                line.knot_mm.push(own.knot_mm * factor);
                if percent == 0 {
                    line.buy.push(amount.buy);
                    continue;
                }
                let measure = Measure {
                    // A looser hand leads yarn more loosely too; a firmer one is not counted on to.
                    step_part: factor.max(1.0),
                    ..Measure::new(project, own.knot_mm * factor)
                };
                let margin = project.working.yarn_margin;
                line.buy.push(Amount::of(project, yarn, lengths_of(plan, measure, margin)));
            }
            line
        })
        .collect();
    in_order(&mut yarns);
    let pitches = PERCENTS
        .iter()
        .map(|&percent| {
            let factor = 1.0 + f64::from(percent) / 100.0;
            let (column_mm, row_mm) = (gauge.column_mm * factor, gauge.row_mm * factor);
            let at = Gauge { column_mm, row_mm, ..gauge.clone() };
            let cords = cut_list::cut_list(project, &at, header.rows);
            let width_mm = project.chart.columns() as f64 * column_mm;
            OwnPitch {
                percent,
                column_mm,
                row_mm,
                width_mm,
                height_mm: (header.rows + project.chart.rows()) as f64 * row_mm,
                folded_mm: cords.folded.cut_mm,
                folded_inches: cords.folded.cut_inches,
                cords,
                wood_least_mm: width_mm + 2.0 * WOOD_EACH_SIDE_MM,
            }
        })
        .collect();
    OwnGauge { yarns, pitches }
}

/// No amount smaller than the one left of it; the booklet's own column stays as it is.
fn in_order(lines: &mut [OwnYarn]) {
    let same = lines.iter().position(|line| line.percent == 0).unwrap_or(0);
    for at in (0..same).rev() {
        adjust(lines, at, at + 1, |own, next| own.yarn_mm > next.yarn_mm);
    }
    for at in same + 1..lines.len() {
        adjust(lines, at, at - 1, |own, before| own.yarn_mm < before.yarn_mm);
    }
}

/// Gives line `at` the amounts of line `by` wherever its own are out of order.
fn adjust(lines: &mut [OwnYarn], at: usize, by: usize, is_off: fn(&Amount, &Amount) -> bool) {
    let others = lines[by].buy.clone();
    for (own, other) in lines[at].buy.iter_mut().zip(others) {
        if is_off(own, &other) {
            *own = other;
        }
    }
}
