//! `hitchpress copies`: one licensed copy of a finished booklet for each buyer.

mod shelf;

use super::args::Copies;
use super::manifest;
use super::outcome::Outcome;
use super::report::counted;
use super::write::{NotWritten, Way};
use super::{report, shop, write};
use crate::buyers::{self, Buyer};
use crate::compose::licence_line;
use crate::diag::{Diagnostic, Report};
use crate::font::FontBook;
use crate::pdf::copies::{Master, file_name};
use crate::source::Sources;
use crate::words::Words;
use shelf::{Entry, Shelf};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Most bytes of a booklet.
const MAX_FILE_BYTES: u64 = 512 << 20;
/// Most bytes of a list of buyers.
const MAX_LIST_BYTES: u64 = 64 << 20;
/// Copies between two words about how far it is.
const EVERY: usize = 25;

/// Makes the copies, each whole or not at all, and lists them. A line of the list that cannot be used stops no other.
pub fn run(typed: &Copies) -> Outcome {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let booklet = sources.read(&typed.file, MAX_FILE_BYTES);
    let opened = booklet.map(|id| Master::open(sources.get(id).bytes()));
    let master = match opened {
        Ok(Ok(master)) => Some(master),
        Ok(Err(fault)) => {
            let mut faults = Report::new();
            faults.push(fault);
            faults.name_file(&typed.file.display().to_string());
            report.extend(faults);
            None
        }
        Err(fault) => {
            report.push(fault);
            None
        }
    };
    let list = sources.read(&typed.buyers, MAX_LIST_BYTES).map_err(|fault| report.push(fault)).ok();
    let buyers = match list {
        Some(id) => match sources.text_of(id, &mut report).map(str::to_owned) {
            Some(text) => buyers::read(&text, id, &mut report),
            None => Vec::new(),
        },
        None => Vec::new(),
    };
    let (Some(master), false) = (master, buyers.is_empty()) else {
        if report.is_empty() {
            report.push(Diagnostic::fault("empty-list", "the list names no buyer").hint("write a line for each buyer"));
        }
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    let stem = typed.file.file_stem().map_or_else(|| "booklet".into(), |stem| stem.to_string_lossy().into_owned());
    let folder = typed.output.clone().unwrap_or_else(|| beside(&typed.file, &stem));
    let way = Way::to(&folder).map_err(|e| NotWritten::Failed(write::failed(&folder, &e)));
    let shelf = way.and_then(|way| Ok((Shelf::open(&folder, &sources)?, way)));
    let (mut shelf, _way) = match shelf {
        Ok(opened) => opened,
        Err(error) => return Outcome::of_not_written(error, report, &sources),
    };
    make(&master, &buyers, &stem, &mut shelf, &mut report);
    let made = shelf.made;
    report::progress("");
    report::show(&report, &sources);
    report::say(&match made {
        0 => "no copy was made".to_owned(),
        _ => format!("written: {made} of {} in {}", counted(buyers.len(), "copy", "copies"), folder.display()),
    });
    Outcome::of(&report)
}

/// Makes all copies. One that cannot be made is a fault at its line.
fn make(master: &Master, buyers: &[Buyer], stem: &str, shelf: &mut Shelf<'_>, report: &mut Report) {
    let book = FontBook::shipped();
    let language = master.language().unwrap_or_default();
    let words = Words::shipped(&language).or_else(|| Words::shipped("en-GB"));
    let Some(words) = words else { return };
    // A buyer whose name leaves no letters gets no copy by the booklet's own name.
    let mut taken = BTreeMap::from([(crate::names::slugify(stem).unwrap_or_default(), 1)]);
    for (at, buyer) in buyers.iter().enumerate() {
        if at > 0 && at % EVERY == 0 {
            report::progress(&format!("{at} of {} copies", buyers.len()));
        }
        let line = words.licence_line(&buyer.name, buyer.order.as_deref());
        let set = match licence_line::set(&line, master.room(), &book, &language) {
            Ok(set) => set,
            Err(faults) => {
                faults.into_iter().for_each(|fault| report.push(fault.at(buyer.place)));
                continue;
            }
        };
        let bytes = match master.copy(&set, &book, &line) {
            Ok(bytes) => bytes,
            Err(error) => {
                report.push(Diagnostic::fault("unprintable", error.to_string()).at(buyer.place));
                continue;
            }
        };
        let file = file_name(stem, &[&buyer.name, buyer.order.as_deref().unwrap_or_default()], &mut taken);
        let entry =
            Entry { sha256: manifest::sha256(&bytes), name: buyer.name.clone(), order: buyer.order.clone(), file };
        if let Err(refused) = shelf.take(entry, bytes) {
            report.push(refused.into_diagnostic().at(buyer.place));
        }
        if shelf.is_full()
            && let Err(failure) = shelf.put_down()
        {
            // The disk is full or may not be written: no other copy would fare better.
            report.push(failure.into_diagnostic());
            return;
        }
    }
    if let Err(failure) = shelf.put_down() {
        report.push(failure.into_diagnostic());
    }
}

/// The folder beside the booklet, or beside the folder for a shop that it lies in.
fn beside(file: &Path, stem: &str) -> PathBuf {
    let folder = file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    // A folder for a shop holds what the shop gets and nothing else, least of all buyers' names.
    let folder = match folder.parent() {
        Some(parent) if shop::is_shop_folder(folder) && folder.file_name().is_some() => parent,
        _ => folder,
    };
    folder.join(format!("{stem}-copies"))
}
