//! What runs that were killed have left in a folder, and the clearing of it. Only what bears a name that [`super`] gives to
//! unfinished work is touched, only what holds nothing but files a command of this program writes, and never what another run
//! is at work on.

use super::folder::only_ours;
use crate::cli::shop;
use crate::press::pictures;
use std::ffi::OsStr;
use std::fs::{File, TryLockError};
use std::path::Path;

/// How the name of unfinished work begins.
pub(super) const PREFIX: &str = ".hitchpress-";
/// How it ends.
pub(super) const SUFFIX: &str = ".part";
/// Letters by which one piece of unfinished work differs from the next.
pub(super) const LETTERS: usize = 6;
/// Begins the name of a folder whose files are all there and are moved to their places one by one.
pub(super) const READY: &str = ".hitchpress-ready-";

/// Whether a name is that of unfinished work.
pub(super) fn is_part(name: &OsStr) -> bool {
    let inner = name.as_encoded_bytes().strip_prefix(PREFIX.as_bytes());
    let inner = inner.and_then(|inner| inner.strip_suffix(SUFFIX.as_bytes()));
    let letters = inner.map(|inner| inner.rsplit(|byte| *byte == b'-').next().unwrap_or(inner));
    letters.is_some_and(|letters| letters.len() == LETTERS && letters.iter().all(u8::is_ascii_alphanumeric))
}

/// Whether any command gives such a name to a file inside a folder that it writes.
fn is_given(name: &str) -> bool {
    shop::is_name(name) || pictures::is_name(name) || super::names_of_a_project().any(|known| known == name)
}

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
                super::added::bring_to_an_end(&path, folder)?;
            }
            std::fs::remove_dir_all(&path)?;
        }
    }
    Ok(())
}

/// Whether another run holds it.
pub(super) fn is_at_work(path: &Path) -> bool {
    let held = File::open(path).map(|file| (file.try_lock(), file));
    matches!(held, Ok((Err(TryLockError::WouldBlock), _)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unfinished_work_is_known_by_its_name() {
        for name in [".hitchpress-abc123.part", ".hitchpress-out-of-hand-Abc123.part", ".hitchpress-ready-abc123.part"]
        {
            assert!(is_part(OsStr::new(name)), "{name}");
        }
        for name in ["abc123.part", ".hitchpress-notes.part", ".hitchpress-abc-12.part", ".hitchpress-abc123", "x"] {
            assert!(!is_part(OsStr::new(name)), "{name}");
        }
    }
}
