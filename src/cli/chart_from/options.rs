//! What was asked for: size, cut and turn of the picture, yarns, detail; checked, and settled for one picture and gauge.

use crate::chart::MAX_YARNS;
use crate::chart_from::cells::View;
use crate::cli::args::{ChartFrom, DetailChoice};
use crate::diag::{Diagnostic, Report};
use crate::form::measure;

/// Most columns and rows that are drawn from a picture.
pub(super) const MAX_SIDE: usize = 600;
/// Least of either: fewer show nothing.
const MIN_SIDE: usize = 8;
/// Yarns unless asked for otherwise.
const YARNS: usize = 6;
/// Columns unless a size is given.
const COLUMNS: usize = 60;

/// What was asked for, checked.
pub(crate) struct ChartFromOptions {
    across: Option<SideLength>,
    down: Option<SideLength>,
    crop: Option<[f64; 4]>,
    turn: f64,
    /// Most yarns; `None`: as many as the picture asks for.
    pub(crate) yarns: Option<usize>,
    /// How small a strong feature of a drawing may be, in knots.
    pub(crate) feature: f64,
    /// How much further from the picture than the nearest yarns the chart may be.
    pub(crate) allowance: f64,
}

/// A side's length in knots, or finished in millimetres.
#[derive(Clone, Copy)]
enum SideLength {
    Knots(usize),
    Millimetres(f64),
}

/// How the chart lies on the picture.
pub(crate) struct ChartPlan {
    /// Across.
    pub(crate) columns: usize,
    /// Down.
    pub(crate) rows: usize,
    /// The part of the picture that it covers.
    pub(crate) view: View,
}

impl ChartFromOptions {
    /// `None`: the report has at least one fault.
    pub(crate) fn read(typed: &ChartFrom, report: &mut Report) -> Option<ChartFromOptions> {
        let before = report.len();
        let options = ChartFromOptions {
            across: side("--columns", typed.columns, "--width", typed.width.as_deref(), report),
            down: side("--rows", typed.rows, "--height", typed.height.as_deref(), report),
            crop: typed.crop.as_deref().and_then(|text| crop(text, report)),
            turn: typed.straighten.unwrap_or(0.0),
            yarns: typed.yarns,
            feature: match typed.detail {
                DetailChoice::Much => 0.08,
                DetailChoice::Usual => 0.16,
                DetailChoice::Little => 0.5,
            },
            allowance: match typed.detail {
                DetailChoice::Much => 0.25,
                DetailChoice::Usual => 0.6,
                DetailChoice::Little => 1.6,
            },
        };
        if let Some(yarns) = options.yarns.filter(|yarns| !(2..=MAX_YARNS).contains(yarns)) {
            report.push(
                Diagnostic::fault("odd-yarns", format!("a picture cannot be drawn in `{yarns}` yarns"))
                    .typed()
                    .hint(format!("give --yarns from 2 to {MAX_YARNS}; 4 to 8 are usual")),
            );
        }
        if !(-45.0..=45.0).contains(&options.turn) {
            report.push(
                Diagnostic::fault("odd-turn", format!("`{}` degrees are no straightening", options.turn))
                    .typed()
                    .hint("give --straighten from -45 to 45, and turn the picture itself by quarters beforehand"),
            );
        }
        (report.len() == before).then_some(options)
    }

    /// Most yarns of a photograph.
    pub(crate) fn most_yarns(&self) -> usize {
        self.yarns.unwrap_or(YARNS)
    }

    /// Settles columns, rows and view for a picture of so many pixels and a gauge in millimetres. `None`: the report has
    /// a fault.
    pub(crate) fn plan(
        &self,
        pixels: (usize, usize),
        column_mm: f64,
        row_mm: f64,
        report: &mut Report,
    ) -> Option<ChartPlan> {
        let (width, height) = (pixels.0 as f64, pixels.1 as f64);
        let mut view = View::straightened(width, height, self.turn);
        if let Some([left, top, right, bottom]) = self.crop {
            let [l, t, r, b] = view.crop;
            let (x, y) = (|share: f64| l + share * (r - l), |share: f64| t + share * (b - t));
            view.crop = [x(left), y(top), x(right), y(bottom)];
        }
        let knots = |side: SideLength, mm: f64| match side {
            SideLength::Knots(knots) => knots as f64,
            SideLength::Millimetres(long) => (long / mm).round(),
        };
        let (w, h) = view.size(width, height);
        // Knots are wider than high: the same height takes more of them than the same width.
        let down_for_one_across = h / w * column_mm / row_mm;
        let (columns, rows) = match (self.across, self.down) {
            (Some(across), Some(down)) => (knots(across, column_mm), knots(down, row_mm)),
            (Some(across), None) => (knots(across, column_mm), knots(across, column_mm) * down_for_one_across),
            (None, Some(down)) => (knots(down, row_mm) / down_for_one_across, knots(down, row_mm)),
            (None, None) => (COLUMNS as f64, COLUMNS as f64 * down_for_one_across),
        };
        let (columns, rows) = (columns.round(), rows.round());
        for (what, count) in [("columns", columns), ("rows", rows)] {
            if !(MIN_SIDE as f64..=MAX_SIDE as f64).contains(&count) {
                report.push(
                    Diagnostic::fault("odd-size", format!("the chart would have `{count}` {what}"))
                        .typed()
                        .hint(format!("from {MIN_SIDE} to {MAX_SIDE} are drawn from a picture; 40 to 100 are usual"))
                        .hint("give another size, or cut the picture with --crop"),
                );
            }
        }
        if report.has_faults() {
            return None;
        }
        let view = view.of_proportion(width, height, columns * column_mm / (rows * row_mm));
        Some(ChartPlan { columns: columns as usize, rows: rows as usize, view })
    }
}

fn side(
    knots_name: &str,
    knots: Option<usize>,
    measure_name: &str,
    measured: Option<&str>,
    report: &mut Report,
) -> Option<SideLength> {
    if let Some(knots) = knots {
        if !(MIN_SIDE..=MAX_SIDE).contains(&knots) {
            report.push(
                Diagnostic::fault("odd-size", format!("`{knots_name} {knots}` cannot be drawn"))
                    .typed()
                    .hint(format!("give a number from {MIN_SIDE} to {MAX_SIDE}; 40 to 100 are usual")),
            );
        }
        return Some(SideLength::Knots(knots));
    }
    let text = measured?;
    match measure::read(text) {
        Ok(mm) if mm > 0.0 => Some(SideLength::Millimetres(mm)),
        Ok(_) | Err(_) => {
            report.push(
                Diagnostic::fault("no-measure", format!("`{measure_name} {text}` is no measure"))
                    .typed()
                    .hint(format!("write a number with its unit: {measure_name} \"40 cm\" or \"16 in\"")),
            );
            None
        }
    }
}

/// Four edges in parts of a hundred, as shares.
fn crop(text: &str, report: &mut Report) -> Option<[f64; 4]> {
    let edges: Vec<f64> = text.split(',').filter_map(|edge| edge.trim().trim_end_matches('%').parse().ok()).collect();
    let in_order = |a: f64, b: f64| 0.0 <= a && a + 1.0 <= b && b <= 100.0;
    match edges.as_slice() {
        &[left, top, right, bottom]
            if text.split(',').count() == 4 && in_order(left, right) && in_order(top, bottom) =>
        {
            Some([left, top, right, bottom].map(|edge| edge / 100.0))
        }
        _ => {
            report.push(
                Diagnostic::fault("odd-crop", format!("`--crop {text}` keeps no part of a picture"))
                    .typed()
                    .hint("give four edges in parts of a hundred: left, top, right, bottom; 0,0,100,100 is all of it"),
            );
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn options(across: Option<SideLength>, down: Option<SideLength>) -> ChartFromOptions {
        ChartFromOptions { across, down, crop: None, turn: 0.0, yarns: None, feature: 0.16, allowance: 0.6 }
    }

    #[test]
    fn rows_follow_from_the_knots_own_proportions() {
        // Own computation: 60 columns of 5.6 mm are 336 mm; a picture of 4 to 3 is then 252 mm high: 72 rows of 3.5 mm.
        let plan =
            options(Some(SideLength::Knots(60)), None).plan((400, 300), 5.6, 3.5, &mut Report::new()).expect("a plan");
        assert_eq!((plan.columns, plan.rows), (60, 72));
        let plan = options(None, Some(SideLength::Millimetres(252.0))).plan((400, 300), 5.6, 3.5, &mut Report::new());
        assert_eq!(plan.map(|plan| (plan.columns, plan.rows)), Some((60, 72)));
    }

    #[test]
    fn a_size_of_two_sides_cuts_the_picture() {
        let size = (Some(SideLength::Millimetres(280.0)), Some(SideLength::Millimetres(280.0)));
        let plan = options(size.0, size.1).plan((400, 300), 5.6, 3.5, &mut Report::new()).expect("a plan");
        assert_eq!((plan.columns, plan.rows), (50, 80));
        assert_eq!(plan.view.crop, [0.125, 0.0, 0.875, 1.0]);
    }

    #[test]
    fn what_cannot_be_is_said() {
        for text in ["", "1,2,3", "0,0,100", "10,0,10,100", "0,0,101,100", "a,b,c,d", "0,0,nan,100", "0,0,100,100,5"] {
            let mut report = Report::new();
            assert_eq!(crop(text, &mut report), None, "{text}");
            assert!(report.has_faults(), "{text}");
        }
        let mut report = Report::new();
        assert!(options(Some(SideLength::Knots(600)), None).plan((100, 5_000), 5.6, 3.5, &mut report).is_none());
        assert!(report.has_faults());
    }
}
