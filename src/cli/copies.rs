//! `hitchpress copies`: one licensed copy of a finished booklet for each buyer.

use super::args::Copies;
use super::manifest::{self, Manifest};
use super::outcome::Outcome;
use super::{report, shop, write};
use crate::buyers::{self, Buyer};
use crate::compose::licence_line;
use crate::diag::{Diagnostic, Report};
use crate::font::FontBook;
use crate::pdf::copies::{Master, file_name};
use crate::source::Sources;
use crate::words::Words;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Most bytes of a booklet.
const FILE_BYTES: u64 = 512 << 20;
/// Most bytes of a list of buyers.
const LIST_BYTES: u64 = 64 << 20;
/// Copies between two words about how far it is.
const EVERY: usize = 25;

/// Makes the copies, each whole or not at all, and lists them. A line of the list that cannot be used stops no other.
pub fn run(typed: &Copies) -> Outcome {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let booklet = sources.read(&typed.file, FILE_BYTES);
    let master = booklet.and_then(|id| Master::open(sources.get(id).bytes())).map_err(|fault| report.push(fault)).ok();
    let list = sources.read(&typed.buyers, LIST_BYTES).map_err(|fault| report.push(fault)).ok();
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
    if let Err(error) = std::fs::create_dir_all(&folder) {
        report.push(write::failed(&folder, &error));
        report::show(&report, &sources);
        return Outcome::of(&report);
    }
    let made = make(&master, &buyers, &stem, &folder, &mut report);
    report::progress("");
    report::show(&report, &sources);
    report::say(&format!("written: {made} of {} copies in {}", buyers.len(), folder.display()));
    Outcome::of(&report)
}

/// Makes all copies and the manifest; gives how many there are. One that cannot be made is a fault at its line.
fn make(master: &Master, buyers: &[Buyer], stem: &str, folder: &Path, report: &mut Report) -> usize {
    let book = FontBook::shipped();
    let language = master.language().unwrap_or_default();
    let words = Words::shipped(&language).or_else(|| Words::shipped("en-GB"));
    let Some(words) = words else { return 0 };
    let mut manifest = Manifest::new("One licensed copy for each buyer, and the SHA-256 of its file.");
    let (mut taken, mut made) = (BTreeMap::new(), 0);
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
        let name = file_name(stem, &[&buyer.name, buyer.order.as_deref().unwrap_or_default()], &mut taken);
        if let Err(failure) = write::whole(&folder.join(&name), &bytes) {
            // The disk is full or may not be written: no other copy would fare better.
            report.push(failure);
            break;
        }
        made += 1;
        manifest.entry("copy").text("file", &name).text("name", &buyer.name);
        if let Some(order) = &buyer.order {
            manifest.text("order", order);
        }
        manifest.text("sha256", &manifest::sha256(&bytes));
    }
    if let Err(failure) = write::whole(&folder.join(manifest::NAME), manifest.written().as_bytes()) {
        report.push(failure);
    }
    made
}

/// The folder beside the booklet, or beside the folder for a shop that it lies in.
fn beside(file: &Path, stem: &str) -> PathBuf {
    let folder = file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    // A folder for a shop holds what the shop gets and nothing else, least of all buyers' names.
    let folder = match folder.parent() {
        Some(parent) if shop::is_folder_for_shop(folder) && folder.file_name().is_some() => parent,
        _ => folder,
    };
    folder.join(format!("{stem}-copies"))
}
