//! `hitchpress impose`: a finished booklet on sheets.

use super::args::{Impose, LayChoice, SidesChoice};
use super::outcome::Outcome;
use super::report::counted;
use super::write::{FileKind, Place};
use super::{report, write};
use crate::diag::{Diagnostic, Report};
use crate::form::measure;
use crate::geom::Length;
use crate::pdf::impose::{ImposeOptions, ImposedFile, Lay, PrintSides, SHEETS, impose};
use crate::source::Sources;
use std::path::{Path, PathBuf};

/// Most bytes of a file that is imposed.
const MAX_FILE_BYTES: u64 = 512 << 20;
/// The thickest leaf anybody folds: stout card (our judgement).
const MAX_LEAF_THICKNESS: Length = Length::mm(1.0);

/// Reads the file, imposes it and writes the sheets, whole or not at all.
pub(crate) fn run(typed: &Impose) -> Outcome {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let Some(imposing) = settled(typed, &mut report) else {
        report::show(&report, &sources);
        return Outcome::WrongUse;
    };
    let imposed = match sources.read(&typed.file, MAX_FILE_BYTES) {
        Ok(file) => impose(sources.get(file).bytes(), imposing),
        Err(fault) => {
            report.push(fault);
            Err(Report::new())
        }
    };
    let path = typed.output.clone().unwrap_or_else(|| beside(&typed.file, imposing));
    let imposed = match imposed {
        Ok(imposed) => imposed,
        Err(mut faults) => {
            faults.name_file(&typed.file.display().to_string());
            report.extend(faults);
            report::show(&report, &sources);
            return Outcome::of(&report);
        }
    };
    let place = Place { path: &path, kind: FileKind::Pdf, on_purpose: typed.output.is_some(), read: &sources };
    if let Err(error) = write::whole(&place, &imposed.bytes) {
        return report::not_written(error, report, &sources);
    }
    report::say(&format!("written: {}", path.display()));
    report::say(&told(&imposed, imposing));
    Outcome::Done
}

/// What was typed, checked. `None`: the report says what does not go.
fn settled(typed: &Impose, report: &mut Report) -> Option<ImposeOptions> {
    let lay = match typed.lay {
        LayChoice::Fold => Lay::Fold,
        LayChoice::Flat => Lay::Flat,
        LayChoice::Pages => Lay::Pages,
    };
    let sides = match typed.sides {
        SidesChoice::Both => PrintSides::Both,
        SidesChoice::Fronts => PrintSides::Fronts,
        SidesChoice::Backs => PrintSides::Backs,
    };
    let mut sheet = None;
    if let Some(name) = &typed.sheet {
        sheet = SHEETS.iter().position(|(known, _)| known == name);
        if sheet.is_none() {
            let known = SHEETS.map(|(known, _)| known).join(", ");
            report.push(
                Diagnostic::fault("unknown-sheet", format!("there is no sheet `{name}`"))
                    .hint(format!("give one of {known}")),
            );
        }
        if lay == Lay::Pages {
            report.push(
                Diagnostic::fault("idle-option", "`--sheet` has no say over `--lay pages`")
                    .hint("leave one of them out: single pages have sheets of their own size"),
            );
        }
    }
    let mut thickness = Length::ZERO;
    if let Some(text) = &typed.paper_thickness {
        match measure::read(text).map(Length::mm) {
            Ok(length) if length.fits(MAX_LEAF_THICKNESS) => thickness = length,
            Ok(_) => report.push(
                Diagnostic::fault("odd-thickness", format!("no paper is `{text}` thick"))
                    .hint("give the thickness of one leaf, not of the stack: about 0.1 mm for 80 g/m²"),
            ),
            Err(_) => report.push(
                Diagnostic::fault("odd-thickness", format!("`{text}` is no measure"))
                    .hint("write a number with a unit: \"0.1 mm\" or \"0.004 in\""),
            ),
        }
        if lay != Lay::Fold {
            report.push(
                Diagnostic::fault("idle-option", "`--paper-thickness` matters only where sheets are folded")
                    .hint("leave it out, or choose `--lay fold`"),
            );
        }
    }
    (!report.has_faults()).then_some(ImposeOptions { lay, sides, sheet, thickness })
}

/// The file beside the one that was given.
fn beside(file: &Path, imposing: ImposeOptions) -> PathBuf {
    let stem = file.file_stem().map_or_else(|| "booklet".into(), |stem| stem.to_string_lossy().into_owned());
    let what = match imposing.lay {
        Lay::Fold => "sheets",
        Lay::Flat => "side-by-side",
        Lay::Pages => "pages",
    };
    let sides = match imposing.sides {
        PrintSides::Both => "",
        PrintSides::Fronts => "-fronts",
        PrintSides::Backs => "-backs",
    };
    file.with_file_name(format!("{stem}-{what}{sides}.pdf"))
}

/// What came out, and how to print it.
fn told(imposed: &ImposedFile, imposing: ImposeOptions) -> String {
    let mut lines = Vec::new();
    let pages = counted(imposed.pages, "page", "pages");
    let blank = match imposed.blank {
        0 => String::new(),
        n => format!(", {} after the last", counted(n, "blank page", "blank pages")),
    };
    let printed = match (imposing.sides, imposing.lay) {
        (PrintSides::Both, Lay::Fold) => format!("{} of", counted(imposed.faces / 2, "sheet", "sheets")),
        (PrintSides::Both, _) => format!("{} of", counted(imposed.faces, "side", "sides")),
        (PrintSides::Fronts, _) => format!("the fronts of {} of", counted(imposed.faces, "sheet", "sheets")),
        (PrintSides::Backs, _) => format!("the backs of {} of", counted(imposed.faces, "sheet", "sheets")),
    };
    lines.push(match imposed.sheet {
        Some(sheet) => format!("{pages} on {printed} {}{blank}", shown(sheet)),
        None => format!("{pages} one by one with bleed, trim and crop marks{blank}"),
    });
    let printing = match (imposing.lay, imposing.sides) {
        (Lay::Fold, PrintSides::Both) => "print at actual size on both sides, flipped on the short edge",
        (Lay::Fold, PrintSides::Fronts) => {
            "print at actual size, then turn the stack over on the short edge and print the backs on it"
        }
        (Lay::Fold, PrintSides::Backs) => {
            "print at actual size on the backs of the fronts, in the same order, heads together"
        }
        (Lay::Flat, _) => "print at actual size, on one side or on both; not meant to be folded",
        (Lay::Pages, _) => {
            "pages keep their colours: for the shop's own inks compose with `--for print-shop` instead, which has the same marks"
        }
    };
    lines.push(printing.to_owned());
    if imposing.lay == Lay::Fold {
        lines
            .push("lay the sheets into one another, outermost first, fold them and staple through the fold".to_owned());
        if imposed.creep > Length::ZERO {
            let moved = (imposed.creep.to_mm() * 100.0).round() / 100.0;
            lines.push(format!("for creep, the innermost pages are moved {moved} mm towards the fold"));
        }
        if !imposed.cropped {
            lines.push("the pages fill the sheet, so only the fold is marked; larger paper has crop marks".to_owned());
        }
    }
    if imposed.left_behind {
        lines.push("boxes to tick are printed empty; links and fields are left out".to_owned());
    }
    lines.join("\n")
}

fn shown(sheet: &str) -> &str {
    match sheet {
        "a4" => "A4",
        "a3" => "A3",
        "letter" => "Letter",
        "tabloid" => "Tabloid",
        other => other,
    }
}
