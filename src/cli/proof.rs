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
            "{}: as the project says; {}, {}, {}, {}, {}, {}",
            proof.file.display(),
            counted(found.pages, "page"),
            counted(found.sheets, "chart sheet"),
            counted(found.cells, "cell"),
            counted(found.written_rows, "written row"),
            if found.tick_boxes == 1 { "1 box".to_owned() } else { format!("{} boxes", found.tick_boxes) },
            counted(found.fonts, "font")
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

/// So many of a thing.
fn counted(count: usize, thing: &str) -> String {
    if count == 1 { format!("1 {thing}") } else { format!("{count} {thing}s") }
}
