//! The buyer's own gauge: tables that need no software, by yarn per knot and by pitch.

use super::cutting::{Measure, Steps, cut};
use super::purchase::{Amount, YarnAmount};
use super::{Gauge, Header, YarnPlan, cut_list, up_to};
use crate::geom::MM_PER_INCH;
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
    /// Carrying as planned, each yarn.
    pub carrying: Vec<Amount>,
    /// Cutting at every colour change, each yarn.
    pub cutting: Vec<Amount>,
}

/// A line by pitch.
#[derive(Clone, Copy, Debug, PartialEq)]
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
}

pub(super) fn own_gauge(
    project: &Project,
    gauge: &Gauge,
    plans: &[YarnPlan],
    amounts: &[YarnAmount],
    header: &Header,
) -> OwnGauge {
    let yarns = PERCENTS
        .iter()
        .map(|&percent| {
            let factor = 1.0 + f64::from(percent) / 100.0;
            let mut line = OwnYarn { percent, knot_mm: Vec::new(), carrying: Vec::new(), cutting: Vec::new() };
            for ((plan, amount), (own, (_, yarn))) in
                plans.iter().zip(amounts).zip(gauge.yarns.iter().zip(project.palette.iter()))
            {
                line.knot_mm.push(own.knot_mm * factor);
                if percent == 0 {
                    line.carrying.push(amount.carrying);
                    line.cutting.push(amount.cutting);
                    continue;
                }
                let measure = Measure {
                    // A looser hand leads yarn more loosely too; a firmer one is not counted on to.
                    step_percent: 100 + i64::from(percent.max(0)),
                    ..Measure::new(project, own.knot_mm * factor)
                };
                let carried = cut(plan, Steps::AsPlanned, measure).lengths;
                line.carrying.push(Amount::of(project, yarn, carried));
                line.cutting.push(Amount::of(project, yarn, cut(plan, Steps::TurnsOnly, measure).lengths.max(carried)));
            }
            line
        })
        .collect();
    let pitches = PERCENTS
        .iter()
        .map(|&percent| {
            let factor = 1.0 + f64::from(percent) / 100.0;
            let (column_mm, row_mm) = (gauge.column_mm * factor, gauge.row_mm * factor);
            let folded = cut_list::folded_mm(project, row_mm, header.rows);
            OwnPitch {
                percent,
                column_mm,
                row_mm,
                width_mm: project.chart.columns() as f64 * column_mm,
                height_mm: (header.rows + project.chart.rows()) as f64 * row_mm,
                folded_mm: up_to(folded, 10.0),
                folded_inches: up_to(folded / MM_PER_INCH, 1.0),
            }
        })
        .collect();
    OwnGauge { yarns, pitches }
}
