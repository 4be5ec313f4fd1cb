//! `hitchpress check`: every fault and every piece of advice.

use super::args::{Check, CheckFormat};
use super::load::{Loaded, load};
use super::outcome::Outcome;
use super::{print, report};
use crate::font::FontBook;
use crate::press;

/// Says what is wrong with a project and what is worth knowing.
pub fn run(check: &Check) -> Outcome {
    let Loaded { work, mut sources, mut report } = load(&check.project);
    // What only pages can tell: it is composed as the project says, and thrown away.
    if let Some((project, _)) = &work {
        let mut project = project.clone();
        let order = print::order(&check.print, &mut project, &mut sources, &mut report);
        if !report.has_faults() {
            press::look_over(&project, &order, &FontBook::shipped(), &mut sources, &mut report);
        }
    }
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
