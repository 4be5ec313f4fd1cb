//! Names that this program gives to what it writes, and how its own work is told from everybody else's.

use super::failed::{NewFileError, failed};
use crate::cli::shop::is_name;
use crate::press::pictures;
use crate::project::schema;
use std::ffi::OsStr;
use std::path::Path;

/// What file managers put into folders unasked; nobody's work.
const LEFT_BY_SYSTEMS: [&str; 3] = [".DS_Store", "Thumbs.db", "desktop.ini"];
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

/// Names of the files of a new project.
pub(crate) fn names_of_a_project() -> impl Iterator<Item = &'static str> {
    ["project.toml", "chart.txt", schema::FILE, "before-and-after.png"].into_iter()
}

/// Whether any command gives such a name to a file inside a folder that it writes.
pub(super) fn is_given(name: &str) -> bool {
    is_name(name) || pictures::is_name(name) || names_of_a_project().any(|known| known == name)
}

/// Whether a folder holds only files whose names `ours` knows, in itself and in folders inside it that hold some. Links are
/// never followed, and never ours.
pub(super) fn only_ours(path: &Path, ours: impl Fn(&str) -> bool) -> Result<(), NewFileError> {
    if !path.symlink_metadata().is_ok_and(|about| about.is_dir()) {
        return Err(NewFileError::Taken(path.to_path_buf()));
    }
    let mut folders = vec![(path.to_path_buf(), String::new())];
    while let Some((folder, within)) = folders.pop() {
        let unread = |e: std::io::Error| NewFileError::Failed(failed(&folder, &e));
        for entry in std::fs::read_dir(&folder).map_err(unread)? {
            let entry = entry.map_err(unread)?;
            let kind = entry.file_type().map_err(unread)?;
            let taken = || NewFileError::Taken(entry.path());
            let name = format!("{within}{}", entry.file_name().to_str().ok_or_else(taken)?);
            let by_systems = kind.is_file() && LEFT_BY_SYSTEMS.iter().any(|known| entry.file_name() == *known);
            // One folder inside is enough; "pictures/" asks whether there is one of this name.
            match (kind.is_dir(), kind.is_file()) {
                (true, _) if within.is_empty() && ours(&format!("{name}/")) => {
                    folders.push((entry.path(), format!("{name}/")));
                }
                (_, true) if by_systems || ours(&name) => {}
                _ => return Err(taken()),
            }
        }
    }
    Ok(())
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
