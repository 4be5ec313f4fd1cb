//! New files that belong together, all of them or none. A folder that is not there yet is written whole. In one that is there
//! they are first written into an unfinished folder, which then gets the name "ready"; from then on whoever comes next moves
//! them to their places, should the run be killed before it has.

use super::unfinished::{Unfinished, at_once};
use super::{Folder, NewFileError, Way, failed, ours, parent, settle_list, strays};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Writes files that must all be new into a folder, which is made if it is not there. If one of the names is taken, or
/// anything fails, none of them is left behind; the error then holds the name that is taken.
pub(crate) fn added(folder: &Path, files: &[(&str, &[u8])]) -> Result<(), NewFileError> {
    if folder.symlink_metadata().is_err() && folder.file_name().is_some() {
        return alone(folder, files);
    }
    let wrong = |e: std::io::Error| NewFileError::Failed(failed(folder, &e));
    if folder.is_dir() {
        let _cleared = strays::clear(folder);
    }
    if let Some(path) = taken(folder, files.iter().map(|(name, _)| *name)) {
        return Err(NewFileError::Taken(path));
    }
    let mut builder = tempfile::Builder::new();
    builder.prefix(ours::PREFIX).suffix(ours::SUFFIX).rand_bytes(ours::LETTERS);
    let (made, unfinished) = Unfinished::make(|| builder.tempdir_in(folder), tempfile::TempDir::path).map_err(wrong)?;
    let held = std::fs::File::open(made.path()).ok().filter(|folder| folder.try_lock().is_ok());
    for (name, bytes) in files {
        put(&made.path().join(name), bytes).map_err(|e| NewFileError::Failed(failed(&folder.join(name), &e)))?;
    }
    settle_list(made.path());
    let letters = made.path().file_name().map(|name| name.to_string_lossy().replace(ours::PREFIX, ours::READY));
    let ready = folder.join(letters.unwrap_or_default());
    let moved = at_once(|| {
        std::fs::rename(made.path(), &ready).map_err(wrong)?;
        // It has another name now, and is taken away by that one.
        let _moved = made.keep();
        let moved = all_or_none(&ready, folder, files);
        let _removed = std::fs::remove_dir_all(&ready);
        moved
    });
    drop((held, unfinished));
    settle_list(folder);
    moved
}

/// The first place of files with these names in this folder in which something lies. `None`: all of them are free by now.
pub(crate) fn taken<'n>(folder: &Path, mut names: impl Iterator<Item = &'n str>) -> Option<PathBuf> {
    folder.symlink_metadata().ok()?;
    if !folder.is_dir() {
        return Some(folder.to_path_buf());
    }
    names.find(|name| folder.join(name).symlink_metadata().is_ok()).map(|name| folder.join(name))
}

/// Moves all files to their places; where one is taken by now, takes the others back.
fn all_or_none(ready: &Path, folder: &Path, files: &[(&str, &[u8])]) -> Result<(), NewFileError> {
    let mut done: Vec<&str> = Vec::new();
    for (name, _) in files {
        let place = folder.join(name);
        let error = match place.symlink_metadata() {
            Ok(_) => NewFileError::Taken(place),
            // What cannot be asked for may be there.
            Err(error) if error.kind() != ErrorKind::NotFound => NewFileError::Failed(failed(&place, &error)),
            Err(_) => match std::fs::rename(ready.join(name), &place) {
                Ok(()) => {
                    done.push(name);
                    continue;
                }
                Err(error) => NewFileError::Failed(failed(&place, &error)),
            },
        };
        for name in done {
            let _back = std::fs::rename(folder.join(name), ready.join(name));
        }
        return Err(error);
    }
    Ok(())
}

/// A folder of its own.
fn alone(folder: &Path, files: &[(&str, &[u8])]) -> Result<(), NewFileError> {
    let way = Way::to(parent(folder)).map_err(|e| NewFileError::Failed(failed(folder, &e)))?;
    let none_is = |_: &str| false;
    let made = Folder::begin(folder, none_is)?;
    for (name, bytes) in files {
        made.put(name, bytes)?;
    }
    // Nothing that came there in the meantime is replaced.
    made.finish(none_is)?;
    drop(way);
    Ok(())
}

fn put(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = std::fs::File::create_new(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

#[cfg(test)]
mod tests {
    use super::super::tests::names;
    use super::*;

    const FILES: [(&str, &[u8]); 2] = [("project.toml", b"p"), ("chart.txt", b"c")];

    #[test]
    fn new_files_are_written_all_or_none() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let chart = room.path().join("chart.txt");
        std::fs::write(&chart, b"mine").expect("a file");
        assert!(matches!(added(room.path(), &FILES), Err(NewFileError::Taken(path)) if path == chart));
        assert_eq!(names(room.path()), ["chart.txt"]);
        std::fs::remove_file(&chart).expect("removed");
        assert!(added(room.path(), &FILES).is_ok());
        assert_eq!(names(room.path()), ["chart.txt", "project.toml"]);
        let new = room.path().join("a/b");
        assert!(added(&new, &FILES).is_ok());
        assert_eq!(names(&new), ["chart.txt", "project.toml"]);
        assert!(matches!(added(&chart, &FILES), Err(NewFileError::Taken(path)) if path == chart));
        assert!(matches!(added(&chart.join("x"), &FILES), Err(NewFileError::Failed(_))));
        assert_eq!(names(room.path()), ["a", "chart.txt", "project.toml"]);
    }

    #[test]
    fn files_that_were_being_moved_when_the_run_was_killed_are_moved_by_the_next() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let ready = room.path().join(".hitchpress-ready-abc123.part");
        std::fs::create_dir(&ready).expect("a folder");
        std::fs::write(ready.join("chart.txt"), "new").expect("a file");
        std::fs::write(ready.join("project.toml"), "new").expect("a file");
        std::fs::write(room.path().join("project.toml"), "mine").expect("a file");
        let unready = room.path().join(".hitchpress-abc123.part");
        std::fs::create_dir(&unready).expect("a folder");
        std::fs::write(unready.join("chart.txt"), "half").expect("a file");
        assert!(strays::clear(room.path()).is_ok());
        assert_eq!(names(room.path()), ["chart.txt", "project.toml"]);
        assert_eq!(std::fs::read(room.path().join("chart.txt")).expect("a file"), b"new");
        assert_eq!(std::fs::read(room.path().join("project.toml")).expect("a file"), b"mine");
    }
}
