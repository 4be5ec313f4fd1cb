//! `hitchpress amounts`: every quantity, for a maker, a spreadsheet or a machine.

mod colourways;
mod mirror;
mod screen;
mod sheet;

use super::args::{Amounts, AmountsFormat};
use super::load::{LoadedProject, load};
use super::outcome::Outcome;
use super::report;
use crate::manuscript::listing;
use crate::manuscript::pasted::{PasteFormat, pasted};
use crate::press::{Prepared, Wishes};
use crate::project::Project;
use crate::workings::Workings;

/// Writes the amounts on standard output. Faults go to standard error; advice is `check`'s to tell.
pub(crate) fn run(amounts: &Amounts) -> Outcome {
    let (students, colourway) = (amounts.students.map(usize::from), amounts.colourway.clone());
    let wishes = Wishes { students, colourway, size: amounts.size.clone(), ..Wishes::default() };
    let LoadedProject { work, sources, report } = load(&amounts.project, &wishes);
    let Some(Prepared { project, workings, students, words, .. }) = work else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    report::data(&match amounts.format {
        // For people, in the words of the paper.
        AmountsFormat::Markdown => {
            pasted(&listing::amounts(&project, &workings, &words, students), PasteFormat::Markdown)
        }
        AmountsFormat::Text => written(&project, &workings, students, DataFormat::Text),
        AmountsFormat::Json => written(&project, &workings, students, DataFormat::Json),
        AmountsFormat::Csv => written(&project, &workings, students, DataFormat::Csv),
    })
}

/// A form in which the figures are written as they are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum DataFormat {
    /// For a screen.
    Text,
    /// For a machine.
    Json,
    /// For a spreadsheet.
    Csv,
}

/// The amounts in one of the formats.
pub(super) fn written(project: &Project, workings: &Workings, students: Option<usize>, format: DataFormat) -> String {
    let amounts = || mirror::Amounts::new(project, workings, students);
    match format {
        DataFormat::Text => screen::text(project, workings, students, &amounts().colourways),
        DataFormat::Csv => sheet::csv(&amounts()),
        // A mirror of numbers and texts always becomes JSON.
        DataFormat::Json => serde_json::to_string_pretty(&amounts()).unwrap_or_default() + "\n",
    }
}

#[cfg(test)]
mod tests;
