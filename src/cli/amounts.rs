//! `hitchpress amounts`: every quantity, for a maker, a spreadsheet or a machine.

mod mirror;
mod screen;
mod sheet;

use super::args::{Amounts, AmountsFormat};
use super::load::{LoadedProject, load};
use super::outcome::Outcome;
use super::report;
use crate::press::{Prepared, Wishes};
use crate::project::Project;
use crate::workings::Workings;

/// Writes the amounts on standard output. Faults go to standard error; advice is `check`'s to tell.
pub fn run(amounts: &Amounts) -> Outcome {
    let wishes = Wishes { students: amounts.students.map(usize::from), ..Wishes::default() };
    let LoadedProject { work, sources, report } = load(&amounts.project, &wishes);
    let Some(Prepared { project, workings, students, .. }) = work else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    report::data(&written(&project, &workings, students, amounts.format))
}

/// The amounts in one of the formats.
pub(super) fn written(
    project: &Project,
    workings: &Workings,
    students: Option<usize>,
    format: AmountsFormat,
) -> String {
    let amounts = mirror::Amounts::new(project, workings, students);
    match format {
        AmountsFormat::Text => screen::text(project, workings, students),
        AmountsFormat::Csv => sheet::csv(&amounts),
        AmountsFormat::Markdown => sheet::markdown(&amounts),
        // A mirror of numbers and texts always becomes JSON.
        AmountsFormat::Json => serde_json::to_string_pretty(&amounts).unwrap_or_default() + "\n",
    }
}

#[cfg(test)]
mod tests;
