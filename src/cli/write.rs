//! The one writer of files. A file appears whole or not at all: it is written beside its place under another name, forced to
//! the disk, and only then renamed. Whatever fails, the file that was there before stays as it was. What lies in a place is
//! replaced only where `place` says that it may be.

mod added;
mod failed;
mod folder;
mod ours;
mod place;
mod strays;
mod unfinished;

pub(crate) use added::{added, taken};
pub(crate) use failed::{NewFileError, NotWritten, failed};
pub(crate) use folder::{Folder, folder};
pub(crate) use place::{FileKind, LIST_OF_COPIES, Place, may_write};
pub(crate) use unfinished::{Way, listen};

use crate::diag::Diagnostic;
use crate::source::Sources;
use std::io::{ErrorKind, Write};
use std::path::Path;
use tempfile::NamedTempFile;
use unfinished::{Unfinished, at_once};

/// How often a part file is begun anew when another run has cleared it away before it was held.
const BEGINNINGS: usize = 5;

/// Writes a file, replacing one of that name only where that does no harm.
///
/// # Errors
/// The place holds something that must not be replaced, or the machine fails.
pub(crate) fn whole(place: &Place<'_>, bytes: &[u8]) -> Result<(), NotWritten> {
    let path = place.path;
    let before = may_write(place)?;
    let wrong = |e: std::io::Error| NotWritten::Failed(failed(path, &e));
    // What cannot be cleared away, or is not ours to clear, harms nothing that is written now.
    let _cleared = strays::clear(parent(path));
    let (file, unfinished) = beside(path, bytes).map_err(wrong)?;
    if let Some(before) = before {
        file.as_file().set_permissions(before.permissions()).map_err(wrong)?;
    }
    at_once(|| file.persist(path)).map_err(|e| wrong(e.error))?;
    drop(unfinished);
    settle(path);
    Ok(())
}

/// Writes a file that somebody edits, in the place of what she opened.
///
/// # Errors
/// What lies there is no plain file, is marked as not to be changed, or the machine fails.
pub(crate) fn edited(path: &Path, bytes: &[u8]) -> Result<(), Diagnostic> {
    let none = Sources::new();
    let place = Place { path, kind: FileKind::Edited, on_purpose: true, read: &none };
    whole(&place, bytes).map_err(NotWritten::into_diagnostic)
}

/// Clears away what runs that were stopped have left in a folder. What cannot be cleared away harms nothing.
pub(crate) fn tidy(folder: &Path) {
    let _cleared = strays::clear(folder);
}

/// Writes a file that must be new.
///
/// # Errors
/// There is something of that name, which is left as it is; or the machine fails.
pub(crate) fn fresh(path: &Path, bytes: &[u8]) -> Result<(), NewFileError> {
    let wrong = |e: std::io::Error| NewFileError::Failed(failed(path, &e));
    let _cleared = strays::clear(parent(path));
    let (file, _unfinished) = beside(path, bytes).map_err(wrong)?;
    at_once(|| file.persist_noclobber(path)).map_err(|e| match e.error.kind() {
        ErrorKind::AlreadyExists => NewFileError::Taken(path.to_path_buf()),
        _ => wrong(e.error),
    })?;
    settle(path);
    Ok(())
}

/// A file beside its place that holds the bytes, forced to the disk, and held so that no other run clears it away.
fn beside(path: &Path, bytes: &[u8]) -> std::io::Result<(NamedTempFile, Unfinished)> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(ours::PREFIX).suffix(ours::SUFFIX).rand_bytes(ours::LETTERS);
    // A temporary file is private by default; what is written here is a file like any other.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    for _ in 0..BEGINNINGS {
        let (mut file, unfinished) = Unfinished::make(|| builder.tempfile_in(parent(path)), NamedTempFile::path)?;
        // Where the system has no locks, two runs in one folder at one moment are in each other's way, and say so.
        let _held = file.as_file().try_lock();
        if file.path().symlink_metadata().is_err() {
            continue;
        }
        file.write_all(bytes)?;
        file.as_file().sync_all()?;
        return Ok((file, unfinished));
    }
    Err(ErrorKind::ResourceBusy.into())
}

/// The folder a file lies in.
fn parent(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Forces the list of the folder a file lies in to the disk as well, where the system can. The file itself is already
/// whole, so a system that cannot is no failure.
fn settle(path: &Path) {
    settle_list(parent(path));
}

fn settle_list(folder: &Path) {
    if let Ok(folder) = std::fs::File::open(folder) {
        let _settled = folder.sync_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    pub(super) fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .expect("a folder")
            .map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    fn on_purpose<'a>(path: &'a Path, read: &'a Sources) -> Place<'a> {
        Place { path, kind: FileKind::Pdf, on_purpose: true, read }
    }

    #[test]
    fn a_file_is_replaced_whole_and_nothing_else_is_left() {
        let (room, none) = (tempfile::tempdir().expect("a temporary folder"), Sources::new());
        let path = room.path().join("out.pdf");
        std::fs::write(room.path().join(".hitchpress-abc123.part"), "of a killed run").expect("a file");
        std::fs::write(room.path().join(".hitchpress-notes.part"), "mine").expect("a file");
        assert!(whole(&on_purpose(&path, &none), b"%PDF-1.7 one").is_ok());
        assert!(whole(&on_purpose(&path, &none), b"%PDF-1.7 two").is_ok());
        assert_eq!(std::fs::read(&path).expect("the file"), b"%PDF-1.7 two");
        assert_eq!(names(room.path()), [".hitchpress-notes.part", "out.pdf"]);
    }

    #[test]
    fn a_failure_names_the_file_and_leaves_the_folder_as_it_was() {
        let (room, none) = (tempfile::tempdir().expect("a temporary folder"), Sources::new());
        let missing = room.path().join("none/out.pdf");
        let Err(NotWritten::Failed(failure)) = whole(&on_purpose(&missing, &none), b"x") else {
            panic!("there is no such folder");
        };
        assert!(failure.message.contains("out.pdf"), "{failure:?}");
        assert!(matches!(whole(&on_purpose(room.path(), &none), b"x"), Err(NotWritten::Refused(_))));
        assert_eq!(names(room.path()), Vec::<String>::new());
    }

    #[cfg(unix)]
    #[test]
    fn a_new_file_can_be_read_like_any_other_and_an_old_one_keeps_its_permissions() {
        use std::os::unix::fs::PermissionsExt;
        let (room, none) = (tempfile::tempdir().expect("a temporary folder"), Sources::new());
        let usual = room.path().join("usual");
        std::fs::write(&usual, b"x").expect("a file");
        let mode = |path: &Path| std::fs::metadata(path).expect("the file").permissions().mode() & 0o777;
        let path = room.path().join("out.pdf");
        assert!(whole(&on_purpose(&path, &none), b"%PDF-1").is_ok());
        assert_eq!(mode(&path), mode(&usual));
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o640)).expect("set");
        assert!(whole(&on_purpose(&path, &none), b"%PDF-2").is_ok());
        assert_eq!(mode(&path), 0o640);
    }
}
