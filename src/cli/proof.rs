//! `hitchpress proof`: a finished file held against its project.

use super::args::Proof;
use super::load::{Loaded, load};
use super::outcome::Outcome;
use super::{print, report};
use crate::press;

/// Most bytes of a file that is read back.
const FILE_BYTES: u64 = 512 << 20;

/// Reads the file back; says what differs.
pub fn run(proof: &Proof) -> Outcome {
    let Loaded { work, mut sources, mut report } = load(&proof.project);
    let Some((mut project, _)) = work else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    // Advice was for composing; here only the file is judged.
    report.retain(|d| d.severity == crate::diag::Severity::Fault);
    let order = print::order(&proof.print, &mut project, &mut sources, &mut report);
    let file = match sources.read(&proof.file, FILE_BYTES) {
        Ok(file) => Some(file),
        Err(fault) => {
            report.push(fault);
            None
        }
    };
    let (Some(file), false) = (file, report.has_faults()) else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    let bytes = sources.get(file).bytes().to_vec();
    let Some(found) = press::proof(&project, &order, &bytes, &mut sources, &mut report) else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    report.extend(found.diagnostics());
    report::show(&report, &sources);
    if found.holds() {
        report::say(&format!(
            "{}: as the project says; {} pages, {} chart sheets, {} cells, {} written rows, {} boxes, {} fonts",
            proof.file.display(),
            found.pages,
            found.sheets,
            found.cells,
            found.written_rows,
            found.tick_boxes,
            found.fonts
        ));
    }
    if !found.holds() {
        report::say(
            "a file that was composed with options (`--edition`, `--paper`, `--ink`, `--language` ...) is proofed with the \
             same ones",
        );
    }
    Outcome::of(&report)
}
