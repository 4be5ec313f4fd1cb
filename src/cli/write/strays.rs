//! What runs that were killed have left in a folder, and the clearing of it. Only what bears a name that [`super`] gives to
//! unfinished work is touched, only what holds nothing but files a command of this program writes, and never what another run
//! is at work on.

use super::ours::{LETTERS, PREFIX, READY, SUFFIX, is_given, is_part, names_of_a_project, only_ours};
use std::fs::{File, TryLockError};
use std::path::Path;

/// Clears away what killed runs have left in `folder`, and brings to an end what they had all but done.
pub(super) fn clear(folder: &Path) -> std::io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let (path, kind) = (entry.path(), entry.file_type()?);
        if !is_part(&entry.file_name()) || is_at_work(&path) {
            continue;
        }
        if kind.is_file() {
            // Only folders bear a name of their own between the two ends.
            let alone = PREFIX.len() + LETTERS + SUFFIX.len();
            if entry.file_name().len() == alone {
                std::fs::remove_file(&path)?;
            }
        } else if kind.is_dir() && only_ours(&path, is_given).is_ok() {
            if entry.file_name().as_encoded_bytes().starts_with(READY.as_bytes()) {
                bring_to_an_end(&path, folder)?;
            }
            std::fs::remove_dir_all(&path)?;
        }
    }
    Ok(())
}

/// Moves to their places what a killed run had no time to move. A place that is taken by now is left to whoever took it.
fn bring_to_an_end(ready: &Path, folder: &Path) -> std::io::Result<()> {
    for name in names_of_a_project() {
        let (from, to) = (ready.join(name), folder.join(name));
        if from.symlink_metadata().is_ok() && to.symlink_metadata().is_err() {
            std::fs::rename(from, to)?;
        }
    }
    Ok(())
}

/// Whether another run holds it.
pub(super) fn is_at_work(path: &Path) -> bool {
    let held = File::open(path).map(|file| (file.try_lock(), file));
    matches!(held, Ok((Err(TryLockError::WouldBlock), _)))
}
