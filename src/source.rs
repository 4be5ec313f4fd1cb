//! The only reader of files. Keeps what was read so that diagnostics can quote it.
//!
//! A leaf: knows bytes and text, not what they mean.

use crate::diag::{Diagnostic, Report, SourceId, Span};
use std::io::Read;
use std::path::{Component, Path, PathBuf};

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
        // A pipe or a device would keep this program waiting, or never end.
        if !about.is_file() {
            let what = if about.is_dir() { "a folder" } else { "a device" };
            return Err(Diagnostic::fault("not-a-file", format!("`{shown}` is {what}, not a file"))
                .hint("name a file in its place"));
        }
        let mut bytes = Vec::new();
        let file = std::fs::File::open(path).map_err(|e| unreadable(path, &e))?;
        // Counted while reading: the size in the folder's list may have changed by now.
        file.take(most.saturating_add(1)).read_to_end(&mut bytes).map_err(|e| unreadable(path, &e))?;
        if bytes.len() as u64 > most {
            return Err(Diagnostic::fault("file-too-large", format!("`{shown}` is larger than {most} bytes"))
                .hint("is it the right file?"));
        }
        Ok(self.add(path.to_path_buf(), bytes))
    }
    /// The text of a file that must be UTF-8; if it is not, a fault with the line of the first wrong byte goes into
    /// `report`.
    pub fn text_of(&self, id: SourceId, report: &mut Report) -> Option<&str> {
        let source = self.get(id);
        match std::str::from_utf8(&source.bytes) {
            Ok(text) => Some(text),
            Err(error) => {
                let line = source.bytes[..error.valid_up_to()].iter().filter(|b| **b == b'\n').count() + 1;
                let shown = source.path.display();
                report.push(
                    Diagnostic::fault(
                        "not-utf-8",
                        format!("`{shown}` is not plain text in UTF-8, from line {line} on"),
                    )
                    .at(Span::file(id))
                    .hint("open it in a text editor and save it as plain text with the encoding UTF-8"),
                );
                None
            }
        }
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

/// Whether a path names a folder.
pub fn is_folder(path: &Path) -> bool {
    path.is_dir()
}

/// The path of a file that is named in a project or layout, if it lies inside `folder`: not elsewhere by its name, and
/// not through a link. The diagnostic has no span.
pub fn inside(folder: &Path, named: &str) -> Result<PathBuf, Diagnostic> {
    let outside = || {
        Diagnostic::fault("path-leaves-folder", format!("`{named}` lies outside the project's folder"))
            .hint("copy the file into the project's folder and name it from there")
    };
    if named.contains('\\') {
        return Err(Diagnostic::fault("backslash-in-path", format!("`{named}` is written with backslashes"))
            .hint(format!("write `{}`, which works on every system", named.replace('\\', "/"))));
    }
    let name = Path::new(named);
    // A colon is a drive or a stream on some systems, and must not mean another file there than here.
    let plain = name.components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
    if !plain || named.contains(':') {
        return Err(outside());
    }
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let path = folder.join(name);
    let real_folder = folder.canonicalize().map_err(|e| unreadable(folder, &e))?;
    let real = path.canonicalize().map_err(|e| unreadable(&path, &e))?;
    if real.starts_with(&real_folder) { Ok(path) } else { Err(outside()) }
}

fn unreadable(path: &Path, error: &std::io::Error) -> Diagnostic {
    let shown = path.display();
    match error.kind() {
        std::io::ErrorKind::NotFound | std::io::ErrorKind::NotADirectory => {
            Diagnostic::fault("no-such-file", format!("there is no file `{shown}`"))
                .hint("check the spelling and the folder")
        }
        std::io::ErrorKind::InvalidInput | std::io::ErrorKind::InvalidFilename => Diagnostic::fault(
            "no-such-file",
            format!("`{}` cannot be the name of a file", shown.to_string().escape_debug()),
        ),
        std::io::ErrorKind::PermissionDenied => {
            Diagnostic::failure("unreadable-file", format!("`{shown}` may not be read"))
                .hint("ask the owner of the file for leave to read it")
        }
        _ => Diagnostic::failure("unreadable-file", format!("`{shown}` cannot be read: {error}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_named_file_must_lie_inside_the_folder() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let folder = room.path().join("project");
        std::fs::create_dir_all(folder.join("sub")).expect("folders");
        for file in ["project/chart.txt", "project/sub/chart.txt", "secret.txt"] {
            std::fs::write(room.path().join(file), "A").expect("a file");
        }
        let id = |named: &str| inside(&folder, named).map_err(|d| d.id);
        assert_eq!(id("chart.txt"), Ok(folder.join("chart.txt")));
        assert_eq!(id("./sub/chart.txt"), Ok(folder.join("sub/chart.txt")));
        assert_eq!(id("../secret.txt"), Err("path-leaves-folder"));
        assert_eq!(id("sub/../../secret.txt"), Err("path-leaves-folder"));
        assert_eq!(id("/etc/hostname"), Err("path-leaves-folder"));
        assert_eq!(id("c:chart.txt"), Err("path-leaves-folder"));
        assert_eq!(id("sub\\chart.txt"), Err("backslash-in-path"));
        assert_eq!(id("none.txt"), Err("no-such-file"));
        assert_eq!(id("chart.txt\0"), Err("no-such-file"));
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(room.path().join("secret.txt"), folder.join("link.txt")).expect("a link");
            std::os::unix::fs::symlink("chart.txt", folder.join("near.txt")).expect("a link");
            assert_eq!(id("link.txt"), Err("path-leaves-folder"));
            assert_eq!(id("near.txt"), Ok(folder.join("near.txt")));
        }
    }

    #[test]
    fn a_file_larger_than_allowed_is_not_read() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = room.path().join("large");
        std::fs::write(&path, [b'x'; 11]).expect("a file");
        let mut sources = Sources::new();
        assert_eq!(sources.read(&path, 10).map_err(|d| d.id), Err("file-too-large"));
        assert!(sources.read(&path, 11).is_ok());
        assert_eq!(sources.read(room.path(), 10).map_err(|d| d.id), Err("not-a-file"));
    }

    #[test]
    fn lines_and_columns_count_characters_from_one() {
        let mut sources = Sources::new();
        let id = sources.add(PathBuf::from("x"), "\u{feff}ä\nbc\n".as_bytes().to_vec());
        let place = |at| sources.line_column(Span::new(id, at, at));
        assert_eq!(place(3), Some((1, 1)));
        assert_eq!(place(5), Some((1, 2)));
        assert_eq!(place(7), Some((2, 2)));
    }
}
