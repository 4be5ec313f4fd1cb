//! Gauge: how wide a column is, how high a row, how much yarn a knot takes.
//!
//! A swatch wins over the model part by part. The model (a double half hitch is two turns and a riding crossing of a soft
//! yarn round a cord) is to be trusted to 20 % at best.

use crate::project::Project;
use core::f64::consts::PI;

/// Where a figure comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GaugeFrom {
    /// Measured on the panel's swatch.
    Swatch,
    /// Measured on this yarn's own swatch.
    OwnSwatch,
    /// Reckoned from the diameters; within 20 % at best.
    Model,
}

/// The gauge of the panel and of each yarn.
#[derive(Clone, Debug, PartialEq)]
pub struct Gauge {
    /// p_c, column pitch, millimetres.
    pub column_mm: f64,
    /// Where it comes from.
    pub column_from: GaugeFrom,
    /// p_r, row pitch, millimetres.
    pub row_mm: f64,
    /// Where it comes from.
    pub(crate) row_from: GaugeFrom,
    /// De, diameter of the filler cord under tension, millimetres.
    pub(crate) cord_mm: f64,
    /// By yarn.
    pub yarns: Vec<YarnGauge>,
}

/// What one knot of a yarn takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct YarnGauge {
    /// W, the wrap alone by the model, millimetres; 0 or less where a swatch is narrower than its own step.
    pub wrap_mm: f64,
    /// L, yarn for a knot and the step to the next cord, millimetres.
    pub knot_mm: f64,
    /// Where L comes from.
    pub from: GaugeFrom,
}

impl Gauge {
    /// Width of a cell over its height: cells are not square.
    pub fn aspect(&self) -> f64 {
        self.column_mm / self.row_mm
    }
}

/// The finished panel, without the wood, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FinishedSize {
    /// Across all columns.
    pub width_mm: f64,
    /// Height of the chart's rows.
    pub(crate) chart_mm: f64,
    /// Height of the header rows.
    pub(crate) header_mm: f64,
    /// Header and chart.
    pub height_mm: f64,
    /// Bare cord below the last row: the fringe, 0 when the ends are trimmed or folded back.
    pub(crate) fringe_mm: f64,
}

pub(super) fn gauge(project: &Project) -> Gauge {
    let cord = project.model.cord_under_tension * project.cord.diameter_mm;
    let under_tension = |d: f64| project.model.yarn_under_tension * d;
    // Pitches belong to the panel: its thickest yarn sets them.
    let thickest = under_tension(project.palette.iter().map(|(_, y)| y.diameter_mm).fold(0.0, f64::max));
    let legs = f64::from(project.working.legs_per_column);
    let (column_mm, column_from) = match project.swatch.column_mm {
        Some(measured) => (measured, GaugeFrom::Swatch),
        None => (legs * cord + 2.0 * thickest, GaugeFrom::Model),
    };
    let (row_mm, row_from) = match project.swatch.row_mm {
        Some(measured) => (measured, GaugeFrom::Swatch),
        None => (project.model.packing * thickest, GaugeFrom::Model),
    };
    let yarns = project
        .palette
        .iter()
        .map(|(_, yarn)| {
            let de = under_tension(yarn.diameter_mm);
            let round = if project.working.legs_per_column == 2 {
                // Round two cords side by side: two half circles and the way across.
                2.0 * (PI + 2.0) * cord
            } else {
                2.0 * PI * cord
            };
            let wrap_mm = project.model.slack * (round + 3.0 * PI * de);
            let (knot_mm, from) = match (yarn.knot_mm, project.swatch.knot_mm) {
                (Some(own), _) => (own, GaugeFrom::OwnSwatch),
                (None, Some(panel)) => (panel, GaugeFrom::Swatch),
                (None, None) => (wrap_mm + column_mm, GaugeFrom::Model),
            };
            YarnGauge { wrap_mm, knot_mm, from }
        })
        .collect();
    Gauge { column_mm, column_from, row_mm, row_from, cord_mm: cord, yarns }
}

pub(super) fn finished_size(project: &Project, gauge: &Gauge, header_rows: usize) -> FinishedSize {
    use crate::project::BottomFinish;
    let chart_mm = project.chart.rows() as f64 * gauge.row_mm;
    let header_mm = header_rows as f64 * gauge.row_mm;
    FinishedSize {
        width_mm: project.chart.columns() as f64 * gauge.column_mm,
        chart_mm,
        header_mm,
        height_mm: header_mm + chart_mm,
        fringe_mm: match project.bottom.finish {
            BottomFinish::Fringe => project.bottom.length_mm,
            BottomFinish::Trimmed | BottomFinish::FoldedBack => 0.0,
        },
    }
}
