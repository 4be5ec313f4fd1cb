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
use std::io::IsTerminal;
use std::path::{Path, PathBuf};

/// Most bytes of a booklet.
const MAX_FILE_BYTES: u64 = 512 << 20;
/// Most bytes of a list of buyers.
const MAX_LIST_BYTES: u64 = 64 << 20;
/// Copies between two words about how far it is.
const EVERY: usize = 25;

/// Makes the copies, each whole or not at all, and lists them. A line of the list that cannot be used stops no other.
pub(crate) fn run(typed: &Copies) -> Outcome {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let is_piped = typed.output.as_deref() == Some(Path::new("-"));
    if is_piped && let Some(wrong) = not_to_be_piped(typed) {
        report.push(wrong);
        report::show(&report, &sources);
        return Outcome::WrongUse;
    }
    let master = master(&typed.file, &mut sources, &mut report);
    let buyers = buyers(typed, &mut sources, &mut report);
    let (Some(master), false) = (master, buyers.is_empty()) else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    let Some(desk) = Desk::of(&master) else { return Outcome::Faults };
    if let ([buyer], true) = (buyers.as_slice(), is_piped) {
        return match desk.copy(buyer) {
            Ok(bytes) => report::bytes(&bytes),
            Err(faults) => {
                report::show(&faults, &sources);
                Outcome::of(&faults)
            }
        };
    }
    let stem = typed.file.file_stem().map_or_else(|| "booklet".into(), |stem| stem.to_string_lossy().into_owned());
    let folder = typed.output.clone().unwrap_or_else(|| beside(&typed.file, &stem));
    let way = Way::to(&folder).map_err(|e| NotWritten::Failed(write::failed(&folder, &e)));
    let shelf = way.and_then(|way| Ok((Shelf::open(&folder, &sources)?, way)));
    let (mut shelf, _way) = match shelf {
        Ok(opened) => opened,
        Err(error) => return report::not_written(error, report, &sources),
    };
    make(&desk, &buyers, &stem, &mut shelf, &mut report);
    let made = shelf.made;
    report::progress("");
    report::show(&report, &sources);
    report::say(&match made {
        0 => "no copy was made".to_owned(),
        _ => format!("written: {made} of {} in {}", counted(buyers.len(), "copy", "copies"), folder.display()),
    });
    Outcome::of(&report)
}

/// Standard output takes one copy, and a terminal none.
fn not_to_be_piped(typed: &Copies) -> Option<Diagnostic> {
    if typed.name.is_none() {
        let fault =
            Diagnostic::fault("many-copies", "standard output takes the copy of one buyer, not those of a list");
        return Some(fault.hint("name the buyer with `--name`, or a folder with `-o`"));
    }
    std::io::stdout().is_terminal().then(|| {
        Diagnostic::fault("no-terminal", "a PDF is nothing for a terminal")
            .hint("write it into a file, for example `-o - > copy.pdf`, or hand it to another program")
    })
}

/// The booklet, opened.
fn master(file: &Path, sources: &mut Sources, report: &mut Report) -> Option<Master> {
    let id = sources.read(file, MAX_FILE_BYTES).map_err(|fault| report.push(fault)).ok()?;
    let opened = Master::open(sources.get(id).bytes());
    opened
        .map_err(|fault| {
            let mut faults = Report::new();
            faults.push(fault);
            faults.name_file(&file.display().to_string());
            report.extend(faults);
        })
        .ok()
}

/// The buyers of the list, or the one that was typed.
fn buyers(typed: &Copies, sources: &mut Sources, report: &mut Report) -> Vec<Buyer> {
    if let Some(name) = &typed.name {
        let buyer = Buyer::new(name, typed.order.as_deref());
        return buyer.map_err(|fault| report.push(fault.typed())).into_iter().collect();
    }
    let Some(list) = &typed.buyers else { return Vec::new() };
    let Ok(id) = sources.read(list, MAX_LIST_BYTES).map_err(|fault| report.push(fault)) else { return Vec::new() };
    let text = sources.text_of(id, report).map(str::to_owned);
    text.map_or_else(Vec::new, |text| buyers::read(&text, id, report))
}

/// Where copies of one booklet are made.
struct Desk<'a> {
    master: &'a Master,
    book: FontBook,
    language: String,
    words: Words,
}

impl Desk<'_> {
    /// With the words of the booklet's own language, where there are any.
    fn of(master: &Master) -> Option<Desk<'_>> {
        let language = master.language().unwrap_or_default();
        let words = Words::shipped(&language).or_else(|| Words::shipped("en-GB"))?;
        Some(Desk { master, book: FontBook::shipped(), language, words })
    }

    /// One copy; or why there is none, each fault at the buyer's place.
    fn copy(&self, buyer: &Buyer) -> Result<Vec<u8>, Report> {
        let line = self.words.licence_line(&buyer.name, buyer.order.as_deref());
        let placed = |faults: Vec<Diagnostic>| {
            let mut report = Report::new();
            faults.into_iter().for_each(|fault| report.push(fault.at_maybe(buyer.place)));
            report
        };
        let set = licence_line::set(&line, self.master.room(), &self.book, &self.language).map_err(placed)?;
        let copy = self.master.copy(&set, &self.book, &line);
        copy.map_err(|error| placed(vec![Diagnostic::fault("unprintable", error.to_string())]))
    }
}

/// Makes all copies. One that cannot be made is a fault at its line.
fn make(desk: &Desk<'_>, buyers: &[Buyer], stem: &str, shelf: &mut Shelf<'_>, report: &mut Report) {
    // A buyer whose name leaves no letters gets no copy by the booklet's own name.
    let mut taken = BTreeMap::from([(crate::names::slugify(stem).unwrap_or_default(), 1)]);
    for (at, buyer) in buyers.iter().enumerate() {
        if at > 0 && at % EVERY == 0 {
            report::progress(&format!("{at} of {} copies", buyers.len()));
        }
        let bytes = match desk.copy(buyer) {
            Ok(bytes) => bytes,
            Err(faults) => {
                report.extend(faults);
                continue;
            }
        };
        let file = file_name(stem, &[&buyer.name, buyer.order.as_deref().unwrap_or_default()], &mut taken);
        let entry =
            Entry { sha256: manifest::sha256(&bytes), name: buyer.name.clone(), order: buyer.order.clone(), file };
        if let Err(refused) = shelf.take(entry, bytes) {
            report.push(refused.into_diagnostic().at_maybe(buyer.place));
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
    let folder = match shop::shop_folder(folder) {
        Some(shop) => match shop.parent() {
            Some(parent) if parent.as_os_str().is_empty() => Path::new("."),
            Some(parent) if shop.file_name().is_some() => parent,
            _ => folder,
        },
        None => folder,
    };
    folder.join(format!("{stem}-copies"))
}
