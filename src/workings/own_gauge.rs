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

/// Swatches, from the largest: a side in columns and rows, and the part of it in the middle that is measured.
const SWATCHES: [(usize, usize); 3] = [(20, 16), (12, 8), (8, 6)];
/// A swatch takes this part of the panel's knots at most.
const MOST_PART: usize = 4;
/// The finest marks of a tape in both systems, millimetres: what heads a column is read off one.
const TAPE_MARKS_MM: [f64; 2] = [1.0, 25.4 / 8.0];

/// The swatch that suits a panel: its side, and the part in the middle that is measured; `None`: the panel is hardly larger
/// than a swatch itself.
pub(crate) fn swatch(project: &Project) -> Option<(usize, usize)> {
    let chart = &project.chart;
    SWATCHES.into_iter().find(|(side, _)| *side <= chart.columns() && side * side * MOST_PART <= chart.cells().len())
}

/// A pitch that is not below what a tape shows of it over the measured part of the swatch, in neither system: whoever
/// measures just what heads a column finds pieces in it that are long enough for her.
pub(super) fn as_headed(pitch_mm: f64, measured: Option<usize>) -> f64 {
    let Some(measured) = measured.map(|n| n as f64) else { return pitch_mm };
    let nearest = |mm: f64, mark: f64| libm::round(mm / mark) * mark;
    // Raised to one tape's mark it may be nearest to a higher one of the other's.
    (0..4).fold(pitch_mm, |pitch, _| {
        TAPE_MARKS_MM.into_iter().fold(pitch, |most, mark| most.max(nearest(pitch * measured, mark) / measured))
    })
}

/// Steps of both tables, percent of this booklet's gauge.
pub(crate) const PERCENTS: [i32; 6] = [-20, -10, 0, 10, 20, 30];

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
    pub(crate) knot_mm: Vec<f64>,
    /// What to buy of each yarn.
    pub buy: Vec<Amount>,
}

/// A line by pitch.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnPitch {
    /// Percent above this booklet's gauge.
    pub percent: i32,
    /// Column pitch, millimetres.
    pub(crate) column_mm: f64,
    /// Row pitch, millimetres.
    pub(crate) row_mm: f64,
    /// Finished width, millimetres.
    pub width_mm: f64,
    /// Finished height with this booklet's header rows, millimetres.
    pub(crate) height_mm: f64,
    /// A folded cord as cut, up to the next 10 mm.
    pub folded_mm: f64,
    /// A folded cord as cut, up to the next inch.
    pub(crate) folded_inches: f64,
    /// Everything that is cut from the cord, and what to buy of it.
    pub(crate) cords: CutList,
    /// The shortest wood that serves, millimetres.
    pub(crate) wood_least_mm: f64,
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
            let measured = swatch(project).map(|(_, middle)| middle);
            let headed = Gauge {
                column_mm: as_headed(column_mm, measured),
                row_mm: as_headed(row_mm, measured),
                ..gauge.clone()
            };
            let cords = cut_list::cut_list(project, &headed, header.rows);
            // The booklet's own gauge has the size that is told everywhere.
            let finished = if percent == 0 { gauge } else { &headed };
            let width_mm = project.chart.columns() as f64 * finished.column_mm;
            OwnPitch {
                percent,
                column_mm,
                row_mm,
                width_mm,
                height_mm: (header.rows + project.chart.rows()) as f64 * finished.row_mm,
                folded_mm: cords.folded.cut_mm,
                folded_inches: cords.folded.cut_inches,
                cords,
                wood_least_mm: project.chart.columns() as f64 * headed.column_mm + 2.0 * WOOD_EACH_SIDE_MM,
            }
        })
        .collect();
    OwnGauge { yarns, pitches }
}

/// No amount smaller than the one left of it; the booklet's own column stays as it is.
pub(super) fn in_order(lines: &mut [OwnYarn]) {
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
