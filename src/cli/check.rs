//! `hitchpress check`: every fault and every piece of advice.

use super::args::{Check, CheckFormat};
use super::load::{LoadedProject, load_variant};
use super::outcome::Outcome;
use super::report::counted;
use super::{print, report};
use crate::font::FontBook;
use crate::press::{self, Prepared};

/// Says what is wrong with a project and what is worth knowing.
pub(crate) fn run(check: &Check) -> Outcome {
    let LoadedProject { work, sources, mut report } = load_variant(&check.project, &print::wishes(&check.print));
    // What only pages can tell: they are laid out, and thrown away.
    if let Some((prepared, variant)) = &work {
        press::lay_out(prepared, &prepared.write(variant), &FontBook::shipped(), &mut report);
    }
    let outcome = Outcome::of(&report);
    match check.format {
        CheckFormat::Json => match report::data(&report::json(&report, &sources)) {
            Outcome::Done => outcome,
            failed => failed,
        },
        CheckFormat::Text => {
            report::show(&report, &sources);
            if let Some((Prepared { project, .. }, _)) = work.filter(|_| !report.has_faults()) {
                let chart = &project.chart;
                report::say(&format!(
                    "{}: no faults; {}, {}, {}, {}",
                    project.about.title,
                    counted(chart.columns(), "column", "columns"),
                    counted(chart.rows(), "row", "rows"),
                    counted(chart.knots(), "knot", "knots"),
                    counted(project.palette.len(), "yarn", "yarns")
                ));
            }
            outcome
        }
    }
}
