//! What was not written, and why.

use crate::diag::Diagnostic;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// Why something was not written.
#[derive(Debug)]
pub(crate) enum NotWritten {
    /// What lies there must not be replaced: another place has to be named.
    Refused(Diagnostic),
    /// The machine failed.
    Failed(Diagnostic),
}

impl NotWritten {
    /// What to tell.
    pub(crate) fn into_diagnostic(self) -> Diagnostic {
        match self {
            NotWritten::Refused(diagnostic) | NotWritten::Failed(diagnostic) => diagnostic,
        }
    }
}

/// Why a folder or new files could not be written.
#[derive(Debug)]
pub(crate) enum NewFileError {
    /// There is something of that name already.
    Taken(PathBuf),
    /// The machine failed.
    Failed(Diagnostic),
}

/// The failure to write `path`, in plain words.
pub(crate) fn failed(path: &Path, error: &std::io::Error) -> Diagnostic {
    let shown = path.display();
    let (why, hint) = match error.kind() {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => ("the disk is full".to_owned(), "make room and try again"),
        ErrorKind::PermissionDenied => {
            ("permission is denied".to_owned(), "choose another folder, or ask for leave to write there")
        }
        ErrorKind::ReadOnlyFilesystem => ("the disk is read-only".to_owned(), "choose a folder on another disk"),
        ErrorKind::NotFound | ErrorKind::NotADirectory => {
            ("its folder does not exist".to_owned(), "make the folder first")
        }
        ErrorKind::ResourceBusy => ("another run is at work there".to_owned(), "wait until it has ended"),
        _ => (error.to_string(), "what was there before is untouched"),
    };
    Diagnostic::failure("cannot-write", format!("`{shown}` cannot be written: {why}")).hint(hint)
}
