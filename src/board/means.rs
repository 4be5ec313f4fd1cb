//! What the command line asks of the board, and what the board gets from the program it runs in.

use super::jobs::Job;
use crate::diag::Diagnostic;
use std::path::{Path, PathBuf};

/// What the command line says.
#[derive(Clone, Debug)]
pub(crate) struct Options {
    /// The folder with the panels.
    pub(crate) folder: PathBuf,
    /// The port that is wanted; `None`: the one of the last time, else any.
    pub(crate) port: Option<u16>,
    /// Whether the browser is opened.
    pub(crate) browser: bool,
    /// Whether it stops by itself once the last page is closed.
    pub(crate) stop_when_closed: bool,
}

/// What the board gets from the program it runs in: only that prints, writes whole files and asks the clock.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Means {
    /// Writes a file, whole or not at all.
    pub(crate) write: fn(&Path, &[u8]) -> Result<(), Diagnostic>,
    /// Words for a failure to write.
    pub(crate) failed: fn(&Path, &std::io::Error) -> Diagnostic,
    /// Seconds since 1970.
    pub(crate) clock: fn() -> u64,
    /// A line for whoever started it.
    pub(crate) say: fn(&str),
    /// The day, as a project file writes it.
    pub(crate) today: fn() -> String,
    /// Clears away what a run that was stopped has left in a folder.
    pub(crate) tidy: fn(&Path),
    /// Runs this program once more with these words as part of a job, and tells each line it says at once: whether it ended
    /// well, and all that it said.
    pub(crate) run: Run,
}

/// See [`Means::run`].
pub(crate) type Run = fn(&[std::ffi::OsString], &Job, &mut dyn FnMut(&str)) -> std::io::Result<(bool, String)>;

/// The path of a file that lies inside a folder, not elsewhere by its name and not through a link.
pub(super) fn inside(folder: &Path, name: &str) -> Result<PathBuf, Diagnostic> {
    crate::source::Sources::new().inside(folder, name)
}
