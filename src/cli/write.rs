//! The one writer of files. A file appears whole or not at all: it is written beside its place under another name, forced to
//! the disk, and only then renamed. Whatever fails, the file that was there before stays as it was.

mod folder;

pub use folder::{Folder, folder};

use crate::diag::Diagnostic;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// Writes a file, replacing one of that name. The diagnostic says what could not be written, and why.
pub fn whole(path: &Path, bytes: &[u8]) -> Result<(), Diagnostic> {
    if path.is_dir() {
        return Err(Diagnostic::failure("cannot-write", format!("`{}` is a folder", path.display()))
            .hint("name a file in its place"));
    }
    let file = beside(path, bytes).map_err(|e| failed(path, &e))?;
    if let Ok(before) = std::fs::metadata(path) {
        file.as_file().set_permissions(before.permissions()).map_err(|e| failed(path, &e))?;
    }
    file.persist(path).map_err(|e| failed(path, &e.error))?;
    settle(path);
    Ok(())
}

/// Writes files that must all be new. If one of the names is taken, or anything fails, none of them is left behind; the
/// error then holds the name that is taken.
pub fn fresh(files: &[(PathBuf, &[u8])]) -> Result<(), NotFresh> {
    if let Some((path, _)) = files.iter().find(|(path, _)| path.symlink_metadata().is_ok()) {
        return Err(NotFresh::Taken(path.clone()));
    }
    let mut written: Vec<&Path> = Vec::new();
    for (path, bytes) in files {
        let done = beside(path, bytes).map_err(|e| NotFresh::Failed(failed(path, &e))).and_then(|file| {
            file.persist_noclobber(path).map_err(|e| match e.error.kind() {
                ErrorKind::AlreadyExists => NotFresh::Taken(path.clone()),
                _ => NotFresh::Failed(failed(path, &e.error)),
            })
        });
        if let Err(error) = done {
            for path in written {
                // Written by us a moment ago; if it cannot be removed, the first error is still the one to tell.
                let _removed = std::fs::remove_file(path);
            }
            return Err(error);
        }
        written.push(path);
        settle(path);
    }
    Ok(())
}

/// Why new files could not be written.
#[derive(Debug)]
pub enum NotFresh {
    /// There is something of that name already.
    Taken(PathBuf),
    /// The machine failed.
    Failed(Diagnostic),
}

fn beside(path: &Path, bytes: &[u8]) -> std::io::Result<NamedTempFile> {
    let folder = parent(path);
    let mut builder = tempfile::Builder::new();
    builder.prefix(".hitchpress-").suffix(".part");
    // A temporary file is private by default; what is written here is a file like any other.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
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

/// The failure to write `path`, in plain words.
pub fn failed(path: &Path, error: &std::io::Error) -> Diagnostic {
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
        _ => (error.to_string(), "what was there before is untouched"),
    };
    Diagnostic::failure("cannot-write", format!("`{shown}` cannot be written: {why}")).hint(hint)
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

    #[test]
    fn a_file_is_replaced_whole_and_nothing_else_is_left() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = room.path().join("out.pdf");
        assert!(whole(&path, b"one").is_ok());
        assert!(whole(&path, b"two").is_ok());
        assert_eq!(std::fs::read(&path).expect("the file"), b"two");
        assert_eq!(names(room.path()), ["out.pdf"]);
    }

    #[test]
    fn a_failure_names_the_file_and_leaves_the_folder_as_it_was() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let missing = room.path().join("none/out.pdf");
        let failure = whole(&missing, b"x").expect_err("no such folder");
        assert!(failure.message.contains("out.pdf"), "{failure:?}");
        let failure = whole(room.path(), b"x").expect_err("a folder");
        assert_eq!(failure.id, "cannot-write");
        assert_eq!(names(room.path()), Vec::<String>::new());
    }

    #[test]
    fn new_files_are_written_all_or_none() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let (one, two) = (room.path().join("one"), room.path().join("two"));
        std::fs::write(&two, b"mine").expect("a file");
        let files = [(one.clone(), &b"1"[..]), (two.clone(), &b"2"[..])];
        assert!(matches!(fresh(&files), Err(NotFresh::Taken(path)) if path == two));
        assert_eq!(names(room.path()), ["two"]);
        std::fs::remove_file(&two).expect("removed");
        assert!(fresh(&files).is_ok());
        assert_eq!(names(room.path()), ["one", "two"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_new_file_can_be_read_like_any_other_and_an_old_one_keeps_its_permissions() {
        use std::os::unix::fs::PermissionsExt;
        let room = tempfile::tempdir().expect("a temporary folder");
        let usual = room.path().join("usual");
        std::fs::write(&usual, b"x").expect("a file");
        let mode = |path: &Path| std::fs::metadata(path).expect("the file").permissions().mode() & 0o777;
        let path = room.path().join("out.pdf");
        assert!(whole(&path, b"one").is_ok());
        assert_eq!(mode(&path), mode(&usual));
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o640)).expect("set");
        assert!(whole(&path, b"two").is_ok());
        assert_eq!(mode(&path), 0o640);
    }
}
