//! `hitchpress manual` and `hitchpress completions`: what a system needs to know of the commands.

use super::args::{self, Completions, Manual};
use super::outcome::Outcome;
use super::{report, write};
use crate::diag::Report;
use crate::source::Sources;

/// Writes the pages, each whole or not at all.
pub fn run(manual: &Manual) -> Outcome {
    let mut failures = Report::new();
    match std::fs::create_dir_all(&manual.folder) {
        Ok(()) => {
            let pages = args::manual();
            let written = pages.iter().map(|(name, page)| write::whole(&manual.folder.join(name), page));
            written.filter_map(Result::err).for_each(|failure| failures.push(failure));
            if !failures.has_faults() {
                report::say(&format!("written: {} ({} pages)", manual.folder.display(), pages.len()));
            }
        }
        Err(error) => failures.push(write::failed(&manual.folder, &error)),
    }
    report::show(&failures, &Sources::new());
    Outcome::of(&failures)
}

/// Writes a shell's script on standard output.
pub fn completions(wanted: &Completions) -> Outcome {
    report::data(&args::completions(wanted.shell))
}
