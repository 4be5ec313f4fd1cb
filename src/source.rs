//! The only reader of files. Keeps what was read so that diagnostics can quote it.
//!
//! A leaf: knows bytes and text, not what they mean.

use crate::diag::{Diagnostic, SourceId, Span};
use std::path::{Path, PathBuf};

/// One file that was read.
#[derive(Debug)]
pub struct Source {
    path: PathBuf,
    bytes: Vec<u8>,
}

impl Source {
    /// The path as it is shown in messages.
    pub fn path(&self) -> &Path {
        &self.path
    }
    /// What the file holds.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }
    /// The text, where the file is UTF-8; a byte-order mark is left in place so that spans stay true.
    pub fn text(&self) -> Option<&str> {
        std::str::from_utf8(&self.bytes).ok()
    }
}

/// Every file of one run, in the order of reading.
#[derive(Debug, Default)]
pub struct Sources {
    files: Vec<Source>,
}

impl Sources {
    /// None read yet.
    pub fn new() -> Sources {
        Sources::default()
    }
    /// Reads a whole file of at most `most` bytes. The diagnostic says what went wrong in plain words; it has no span,
    /// because the one who asked for the file knows where it is named.
    pub fn read(&mut self, path: &Path, most: u64) -> Result<SourceId, Diagnostic> {
        let shown = path.display();
        let about = std::fs::metadata(path).map_err(|e| unreadable(path, &e))?;
        if about.is_dir() {
            return Err(Diagnostic::fault("unreadable-file", format!("`{shown}` is a folder, not a file")));
        }
        if about.len() > most {
            return Err(Diagnostic::fault(
                "file-too-large",
                format!("`{shown}` holds {} bytes; at most {most} are read", about.len()),
            ));
        }
        let bytes = std::fs::read(path).map_err(|e| unreadable(path, &e))?;
        Ok(self.add(path.to_path_buf(), bytes))
    }
    /// Takes in bytes that did not come from the disk: shipped layouts, tests.
    pub fn add(&mut self, path: PathBuf, bytes: Vec<u8>) -> SourceId {
        self.files.push(Source { path, bytes });
        SourceId(self.files.len() - 1)
    }
    /// A file that was read.
    pub fn get(&self, id: SourceId) -> &Source {
        &self.files[id.0]
    }
    /// Line and column of a span's start, both from 1; columns count characters. `None` for files that are not text.
    pub fn line_column(&self, span: Span) -> Option<(usize, usize)> {
        let text = self.get(span.source).text()?;
        let before = text.get(..span.start.min(text.len()))?;
        let line = before.matches('\n').count() + 1;
        let start = before.rfind('\n').map_or(0, |at| at + 1);
        let column = before[start..].trim_start_matches('\u{feff}').chars().count() + 1;
        Some((line, column))
    }
}

fn unreadable(path: &Path, error: &std::io::Error) -> Diagnostic {
    let shown = path.display();
    match error.kind() {
        std::io::ErrorKind::NotFound => Diagnostic::fault("no-such-file", format!("there is no file `{shown}`"))
            .hint("check the spelling and the folder"),
        std::io::ErrorKind::PermissionDenied => {
            Diagnostic::fault("unreadable-file", format!("`{shown}` may not be read"))
                .hint("ask the owner of the file for leave to read it")
        }
        _ => Diagnostic::fault("unreadable-file", format!("`{shown}` cannot be read: {error}")),
    }
}
