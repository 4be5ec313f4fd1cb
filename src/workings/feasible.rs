//! Faults that must stop the composing: measures with which no panel can be knotted, or no sum can be trusted.

use super::header::MAX_HEADER_ROWS;
use super::yarn_plan::PlanLimits;
use super::{Gauge, cutting::Measure, gauge, header, runs};
use crate::diag::{Diagnostic, Report};
use crate::project::Project;

/// Places a yarn could go to, over all runs: about what a gigabyte holds in the worst case, two yarns in every row.
const MAX_STEPS: usize = 500_000_000;

/// Every fault that only the reckoning can see. Empty: [`super::work_out`] gives a right answer.
pub fn feasible(project: &Project) -> Report {
    let mut report = Report::new();
    let gauge = gauge::gauge(project);
    check_gauge(project, &gauge, &mut report);
    check_measures(project, &mut report);
    if project.chart.knots() == 0 {
        report.push(
            Diagnostic::fault("no-knots", "the chart has no knot: every cell is bare")
                .hint("give at least one cell a yarn's letter"),
        );
    }
    if report.has_faults() {
        return report;
    }
    check_lengths(project, &gauge, &mut report);
    let header = header::header(project, &gauge);
    if header.rows >= MAX_HEADER_ROWS {
        report.push(
            Diagnostic::fault(
                "header-too-deep",
                format!(
                    "the wood asks for `{}` header rows or more; at most {MAX_HEADER_ROWS} are knotted",
                    header.rows
                ),
            )
            .hint("measure the wood's lower edge again: millimetres below the line the mounting strand is fixed on"),
        );
        return report;
    }
    let sheet = runs::sheet(project, header.rows);
    let window = PlanLimits::new(project, &gauge).window();
    if sheet.runs.len().saturating_mul(window) > MAX_STEPS {
        report.push(
            Diagnostic::fault(
                "too-many-steps",
                "the longest carry and the rows waiting leave too many ways to lead the yarn",
            )
            .hint("carry no further than about 25 mm, over two waiting rows at most"),
        );
    }
    report
}

fn is_sane(mm: f64, least: f64, most: f64) -> bool {
    (least..=most).contains(&mm)
}

/// Pitches and yarn per knot.
fn check_gauge(project: &Project, gauge: &Gauge, report: &mut Report) {
    for (what, mm) in [("column", gauge.column_mm), ("row", gauge.row_mm)] {
        if !is_sane(mm, 0.2, 200.0) {
            report.push(
                Diagnostic::fault("absurd-gauge", format!("a {what} would measure `{mm:.3}` mm"))
                    .hint("measure the swatch again: 16 columns and 16 rows, in millimetres, divided by 16"),
            );
        }
    }
    for (own, (_, yarn)) in gauge.yarns.iter().zip(project.palette.iter()) {
        if !is_sane(own.knot_mm, 0.5, 2_000.0) {
            report.push(
                Diagnostic::fault(
                    "absurd-gauge",
                    format!("one knot of `{}` would take `{:.3}` mm of yarn", yarn.name, own.knot_mm),
                )
                .hint("tie 20 knots from a measured length: (start - left over - tail) / 20"),
            );
        }
    }
}

/// Lengths the maker states.
fn check_measures(project: &Project, report: &mut Report) {
    let working = &project.working;
    for (what, mm) in [
        ("working length", working.length_mm),
        ("tail", working.tail_mm),
        ("longest carry", working.longest_carry_mm),
        ("carry slack", working.carry_slack),
        ("cord below the last row", project.bottom.length_mm),
    ] {
        if !is_sane(mm, 0.0, 1_000_000.0) {
            report.push(
                Diagnostic::fault("absurd-measure", format!("the {what} is `{mm}`"))
                    .hint("give a length in millimetres, zero or more"),
            );
        }
    }
}

/// A working length must hold a knot of every yarn beside its tails.
fn check_lengths(project: &Project, gauge: &Gauge, report: &mut Report) {
    let working = &project.working;
    if working.length_mm <= 2.0 * working.tail_mm {
        report.push(
            Diagnostic::fault(
                "tails-longer-than-length",
                format!(
                    "two tails of `{}` mm leave nothing of a working length of `{}` mm",
                    working.tail_mm, working.length_mm
                ),
            )
            .hint("cut longer lengths: about an arm span, 1500 mm")
            .hint("or leave shorter tails: 50 to 80 mm"),
        );
        return;
    }
    for (own, (_, yarn)) in gauge.yarns.iter().zip(project.palette.iter()) {
        if Measure::new(project, own.knot_mm).knots_in_length() < 1 {
            report.push(
                Diagnostic::fault(
                    "length-too-short",
                    format!(
                        "a working length of `{}` mm is too short for one knot of `{}`, which takes {:.1} mm and two tails",
                        working.length_mm, yarn.name, own.knot_mm
                    ),
                )
                .hint("cut longer lengths: about an arm span, 1500 mm"),
            );
        }
    }
}
