//! `hitchpress manual` and `hitchpress completions`: what a system needs to know of the commands.

use super::args::{self, Completions, Manual};
use super::outcome::Outcome;
use super::write::{FileKind, NotWritten, Place, Way};
use super::{report, write};
use crate::diag::Report;
use crate::source::Sources;
use std::path::PathBuf;

/// Writes the pages, each whole or not at all.
pub(crate) fn run(manual: &Manual) -> Outcome {
    let (pages, none) = (args::manual(), Sources::new());
    let paths: Vec<PathBuf> = pages.iter().map(|(name, _)| manual.folder.join(name)).collect();
    let place = |path| Place { path, kind: FileKind::ManualPage, on_purpose: false, read: &none };
    let written = Way::to(&manual.folder).map_err(|e| NotWritten::Failed(write::failed(&manual.folder, &e)));
    let written = written.and_then(|_way| {
        // All places first, so that nothing is written where one of them is somebody's.
        paths.iter().try_for_each(|path| write::may_write(&place(path)).map(|_| ()))?;
        paths.iter().zip(&pages).try_for_each(|(path, (_, page))| write::whole(&place(path), page))
    });
    match written {
        Ok(()) => {
            report::say(&format!("written: {} ({} pages)", manual.folder.display(), pages.len()));
            Outcome::Done
        }
        Err(error) => report::not_written(error, Report::new(), &none),
    }
}

/// Writes a shell's script on standard output.
pub(crate) fn completions(wanted: &Completions) -> Outcome {
    report::data(&args::completions(wanted.shell))
}
