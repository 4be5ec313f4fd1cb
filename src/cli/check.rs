//! `hitchpress check`: every fault and every piece of advice.

use super::args::{Check, CheckFormat};
use super::load::{Loaded, load};
use super::outcome::Outcome;
use super::report;

/// Says what is wrong with a project and what is worth knowing.
pub fn run(check: &Check) -> Outcome {
    let Loaded { work, sources, report } = load(&check.project);
    let outcome = Outcome::of(&report);
    match check.format {
        CheckFormat::Json => match report::data(&report::json(&report, &sources)) {
            Outcome::Done => outcome,
            failed => failed,
        },
        CheckFormat::Text => {
            report::show(&report, &sources);
            if let Some((project, _)) = work {
                let chart = &project.chart;
                report::say(&format!(
                    "{}: no faults; {} columns, {} rows, {} knots, {} yarns",
                    project.about.title,
                    chart.columns(),
                    chart.rows(),
                    chart.knots(),
                    project.palette.len()
                ));
            }
            outcome
        }
    }
}
