//! Whether what lies in the place of a new file may be replaced. An input never may, nor what is no plain file. A file that
//! was named on purpose may be if it is of the kind that is written; one that the program named itself only if the program
//! wrote it.

use super::failed::{NotWritten, failed};
use crate::diag::Diagnostic;
use crate::source::Sources;
use std::fs::Metadata;
use std::io::ErrorKind;
use std::path::Path;

/// Most bytes of a file that is looked at before it is replaced.
const MAX_FILE_BYTES: u64 = 1 << 30;

/// What kind of file is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum FileKind {
    /// A PDF file.
    Pdf,
    /// A page of the manual.
    ManualPage,
    /// The list of licensed copies.
    ListOfCopies,
    /// A file that somebody edits: whatever it holds, she opened it.
    Edited,
}

/// The line that begins a list of licensed copies.
pub(crate) const LIST_OF_COPIES: &str = "One licensed copy for each buyer, and the SHA-256 of its file.";

impl FileKind {
    fn named(self) -> &'static str {
        match self {
            FileKind::Pdf => "a PDF file",
            FileKind::ManualPage => "a page of this program's manual",
            FileKind::ListOfCopies => "a list of licensed copies",
            FileKind::Edited => "a file that is edited",
        }
    }

    fn is(self, bytes: &[u8]) -> bool {
        match self {
            // The header may stand a little further down (ISO 32000-2, 7.5.2, note on the first 1024 bytes of old readers).
            FileKind::Pdf => has(&bytes[..bytes.len().min(1024)], b"%PDF-"),
            FileKind::ManualPage | FileKind::ListOfCopies => self.is_ours(bytes),
            FileKind::Edited => true,
        }
    }

    /// Whether a command of this program wrote such bytes.
    fn is_ours(self, bytes: &[u8]) -> bool {
        match self {
            FileKind::Pdf => self.is(bytes) && crate::reader::making(bytes).is_some_and(|making| making.ours),
            FileKind::Edited => false,
            FileKind::ManualPage => has(&bytes[..bytes.len().min(1024)], b".TH hitchpress"),
            FileKind::ListOfCopies => {
                bytes.strip_prefix(b"# ").is_some_and(|rest| rest.starts_with(LIST_OF_COPIES.as_bytes()))
            }
        }
    }
}

fn has(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|window| window == part)
}

/// Where a file is to lie.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place<'a> {
    /// The path.
    pub(crate) path: &'a Path,
    /// What is written there.
    pub(crate) kind: FileKind,
    /// Whether somebody named this very file, and not the program.
    pub(crate) on_purpose: bool,
    /// What was read to make the file: none of it may be replaced.
    pub(crate) read: &'a Sources,
}

/// What the system says of the file that may be replaced there; `None` where there is none.
///
/// # Errors
/// It may not be replaced.
pub(crate) fn may_write(place: &Place<'_>) -> Result<Option<Metadata>, NotWritten> {
    let Place { path, kind, on_purpose, read } = *place;
    let shown = path.display();
    let refused = |id, message: String, hint: &str| Err(NotWritten::Refused(Diagnostic::fault(id, message).hint(hint)));
    let about = match path.symlink_metadata() {
        Ok(about) => about,
        Err(error) if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => return Ok(None),
        // What cannot be asked for may be there.
        Err(error) => return Err(NotWritten::Failed(failed(path, &error))),
    };
    if !about.is_file() {
        let what = match (about.is_dir(), about.is_symlink()) {
            (true, _) => "a folder",
            (_, true) => "a link to another place",
            _ => "a pipe or a device",
        };
        return refused("not-a-plain-file", format!("`{shown}` is {what}"), "name a plain file in its place");
    }
    if read.paths().any(|input| is_same(input, path)) {
        let message = format!("`{shown}` is one of the files this is made from");
        return refused("would-overwrite", message, "name another file: that one is still needed");
    }
    if about.permissions().readonly() {
        let error = std::io::Error::from(std::io::ErrorKind::PermissionDenied);
        let failure = failed(path, &error).hint("the file is marked as not to be changed");
        return Err(NotWritten::Failed(failure));
    }
    // An empty file is nobody's work.
    if about.len() == 0 {
        return Ok(Some(about));
    }
    let mut there = Sources::new();
    let bytes = match there.read(path, MAX_FILE_BYTES) {
        Ok(id) => there.get(id).bytes(),
        Err(fault) => return Err(NotWritten::Refused(fault)),
    };
    if on_purpose && !kind.is(bytes) {
        let message = format!("`{shown}` is there already and is not {}", kind.named());
        return refused("somebodys-work", message, "name another file; this one is left as it is");
    }
    if !on_purpose && !kind.is_ours(bytes) {
        let message = format!("`{shown}` is there already, and this program did not write it");
        return refused("somebodys-work", message, "move it somewhere else, or name another place with -o");
    }
    Ok(Some(about))
}

/// Whether two paths lead to one file, by whatever names.
#[cfg(unix)]
fn is_same(one: &Path, other: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let of = |path: &Path| std::fs::metadata(path).map(|about| (about.dev(), about.ino()));
    matches!((of(one), of(other)), (Ok(one), Ok(other)) if one == other)
}

#[cfg(not(unix))]
fn is_same(one: &Path, other: &Path) -> bool {
    matches!((one.canonicalize(), other.canonicalize()), (Ok(one), Ok(other)) if one == other)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOREIGN: &[u8] = b"%PDF-1.4\nsomebody else's";

    /// The least of a PDF that says who wrote it.
    fn ours() -> Vec<u8> {
        use lopdf::{Document, Object, dictionary};
        let mut document = Document::with_version("1.7");
        let information = document.add_object(dictionary! { "Producer" => Object::string_literal("Hitchpress") });
        let pages =
            document.add_object(dictionary! { "Type" => "Pages", "Kids" => Vec::<Object>::new(), "Count" => 0 });
        let catalogue = document.add_object(dictionary! { "Type" => "Catalog", "Pages" => pages });
        document.trailer.set("Root", catalogue);
        document.trailer.set("Info", information);
        let mut bytes = Vec::new();
        document.save_to(&mut bytes).expect("written");
        bytes
    }

    #[test]
    fn only_what_is_of_its_kind_or_ours_is_replaced() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = room.path().join("file");
        let (none, ours) = (Sources::new(), ours());
        for (bytes, on_purpose, may) in [
            (ours.as_slice(), true, true),
            (&ours, false, true),
            (FOREIGN, true, true),
            (FOREIGN, false, false),
            (b"title = 1", true, false),
            (b"title = 1", false, false),
            (b"", true, true),
        ] {
            std::fs::write(&path, bytes).expect("a file");
            let place = Place { path: &path, kind: FileKind::Pdf, on_purpose, read: &none };
            assert_eq!(may_write(&place).is_ok(), may, "{} {on_purpose}", String::from_utf8_lossy(bytes));
        }
    }

    #[test]
    fn a_list_of_copies_and_a_page_of_the_manual_are_known() {
        assert!(FileKind::ListOfCopies.is_ours(format!("# {LIST_OF_COPIES}\n").as_bytes()));
        assert!(!FileKind::ListOfCopies.is_ours(b"# What this folder holds, and the SHA-256 of each file.\n"));
        for (name, page) in crate::cli::args::manual() {
            assert!(FileKind::ManualPage.is_ours(&page), "{name}");
        }
        assert!(!FileKind::ManualPage.is_ours(b".TH ls 1"));
    }

    #[test]
    fn an_input_is_never_replaced_whatever_its_name() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = room.path().join("book.pdf");
        std::fs::write(&path, ours()).expect("a file");
        let mut read = Sources::new();
        read.read(&room.path().join("./book.pdf"), 1 << 20).expect("read");
        let place = |path| Place { path, kind: FileKind::Pdf, on_purpose: true, read: &read };
        assert!(matches!(may_write(&place(&path)), Err(NotWritten::Refused(d)) if d.id == "would-overwrite"));
        #[cfg(unix)]
        {
            let (hard, soft) = (room.path().join("hard.pdf"), room.path().join("soft.pdf"));
            std::fs::hard_link(&path, &hard).expect("a link");
            std::os::unix::fs::symlink(&path, &soft).expect("a link");
            assert!(matches!(may_write(&place(&hard)), Err(NotWritten::Refused(d)) if d.id == "would-overwrite"));
            assert!(matches!(may_write(&place(&soft)), Err(NotWritten::Refused(d)) if d.id == "not-a-plain-file"));
        }
    }
}
