//! `hitchpress proof`: a finished file held against its project.

use super::args::Proof;
use super::load::{LoadedProject, load_variant};
use super::outcome::Outcome;
use super::report::counted;
use super::{print, report};
use crate::diag::Report;
use crate::font::FontBook;
use crate::press::{FileProof, FinishedFile, WholeFile};
use crate::proof::ProofReport;
use crate::source::Sources;

/// Most bytes of a file that is read back.
const MAX_FILE_BYTES: u64 = 512 << 20;

/// Reads the file back; says what differs. The file is asked first how it was made, so that options need not be typed again.
pub(crate) fn run(proof: &Proof) -> Outcome {
    let mut file = Sources::new();
    let read = file.read(&proof.file, MAX_FILE_BYTES);
    let bytes = read.as_ref().map_or(&[][..], |id| file.get(*id).bytes());
    let finished = FinishedFile::open(bytes);
    let wishes = print::wishes(&proof.print).or_as_said(&finished.making().said);
    let LoadedProject { work, sources, mut report } = load_variant(&proof.project, &wishes);
    // Advice was for composing; here only the file is judged.
    report.retain(|d| d.severity != crate::diag::Severity::Advice);
    if let Err(fault) = &read {
        report.push(fault.clone());
    }
    let work = work.filter(|_| !report.has_faults());
    let found = work.and_then(|(prepared, variant)| {
        prepared.proof_whole(&prepared.write(&variant), finished, &FontBook::shipped(), &mut report)
    });
    report.retain(|d| d.severity != crate::diag::Severity::Advice);
    let Some(found) = found else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    judge(proof, &found, &mut report);
    report::show(&report, &sources);
    say(proof, &found);
    Outcome::of(&report)
}

/// Puts what both judges found into the report.
fn judge(proof: &Proof, found: &FileProof, report: &mut Report) {
    report.extend(found.pages.diagnostics());
    if let WholeFile::Compared(comparison) = &found.whole {
        report.extend(comparison.diagnostics());
    }
    report.name_file(&proof.file.display().to_string());
}

fn say(proof: &Proof, found: &FileProof) {
    let shown = proof.file.display();
    let kind = match (found.on_sheets, &found.licence_line) {
        (true, Some(line)) => format!("sheets of a licensed copy, `{line}`"),
        (true, None) => "sheets of the booklet".to_owned(),
        (false, Some(line)) => format!("a licensed copy, `{line}`"),
        (false, None) => String::new(),
    };
    if !kind.is_empty() {
        report::say(&format!("{shown}: {kind}"));
    }
    if found.pages.holds() {
        report::say(&format!("{shown}: read page by page, it is as the project says; {}", read(&found.pages)));
    }
    if found.pages.pages == 0 && matches!(found.whole, WholeFile::LeftOut(_)) {
        // The file cannot be read at all, and that is told.
        return;
    }
    report::say(&match &found.whole {
        WholeFile::Compared(comparison) if comparison.same_bytes => {
            format!("{shown}: compared with the file that the project makes: the same, byte for byte")
        }
        WholeFile::Compared(comparison) if comparison.holds() => format!(
            "{shown}: compared with the file that the project makes: saved again by another program, {} compared, and nothing \
             is different",
            counted(comparison.objects, "object", "objects")
        ),
        WholeFile::Compared(_) => format!("{shown}: compared with the file that the project makes: not the same"),
        WholeFile::LeftOut(why) => format!("{shown}: not compared with the file that the project makes: {why}"),
    });
    // Nothing else says how a file was made that does not say it itself.
    if !found.pages.holds() && matches!(found.whole, WholeFile::LeftOut(_)) {
        report::say(
            "a file that was composed with options (`--edition`, `--paper`, `--ink`, `--language` ...) and does not say so is \
             proofed with the same ones",
        );
    }
}

/// What was read.
fn read(pages: &ProofReport) -> String {
    let mut parts = vec![counted(pages.pages, "page", "pages")];
    for (count, one, several) in [
        (pages.sheets, "chart sheet", "chart sheets"),
        (pages.cells, "cell", "cells"),
        (pages.written_rows, "written row", "written rows"),
        (pages.tick_boxes, "box", "boxes"),
        (pages.fonts, "font", "fonts"),
    ] {
        parts.push(counted(count, one, several));
    }
    parts.join(", ")
}
