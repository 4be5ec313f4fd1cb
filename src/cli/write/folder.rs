//! Folders that are written whole. The new one grows beside its place under another name; what is there under its name
//! stays until the new one is whole, and the two change places in one step where the system has one, in two that the next
//! run mends elsewhere. What a run that was killed has left is cleared away by the next one.

use super::ours::{LETTERS, PREFIX, SUFFIX, only_ours};
use super::strays::{self, is_at_work};
use super::unfinished::{Unfinished, at_once};
use super::{NewFileError, failed, parent, settle, settle_list};
use crate::source::Sources;
use std::ffi::{OsStr, OsString};
use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Writes a folder of files. One that is there already is replaced once the new one is whole, and only if all that lies in
/// it are files that `ours` says were written by this program; anything else is somebody's work, and is named in the error.
/// `named_by_us` is as for [`Folder::begin`].
pub(crate) fn folder(
    path: &Path,
    files: &[(String, Vec<u8>)],
    named_by_us: impl Fn(&str) -> bool,
    ours: impl Fn(&str) -> bool,
) -> Result<(), NewFileError> {
    let made = Folder::begin(path, named_by_us)?;
    made.may_replace(&ours)?;
    for (name, bytes) in files {
        made.put(name, bytes)?;
    }
    made.finish(&ours)
}

/// A folder that is being written. Let go before it is finished, it is as if it had never been begun.
#[derive(Debug)]
pub(crate) struct Folder {
    path: PathBuf,
    /// Where the folder lies that it takes the place of, if that is elsewhere.
    before: Option<PathBuf>,
    aside: PathBuf,
    made: TempDir,
    /// Says to other runs that this one is still at work on it.
    _held: Option<File>,
    /// An interrupt clears it away.
    _unfinished: Unfinished,
}

impl Folder {
    /// Begins the folder of that path: mends and clears away what a killed run has left there, then makes the place for the
    /// new one. `named_by_us` says whether this program gives such a name to its files ("pictures/panel.png"); a folder that
    /// is left over is removed only if it holds nothing else.
    ///
    /// # Errors
    /// The machine fails, or the path has no name that could be taken.
    pub(crate) fn begin(path: &Path, named_by_us: impl Fn(&str) -> bool) -> Result<Folder, NewFileError> {
        let Some(name) = path.file_name() else {
            return Err(NewFileError::Taken(path.to_path_buf()));
        };
        let parent = parent(path);
        let mut aside = OsString::from(".hitchpress-before-");
        aside.push(name);
        let aside = parent.join(aside);
        let failed = |e: std::io::Error| NewFileError::Failed(failed(path, &e));
        mend(path, &aside, &named_by_us).map_err(failed)?;
        clear(parent, name, &named_by_us).map_err(failed)?;
        // What is not of this name harms nothing here.
        let _cleared = strays::clear(parent);
        let mut prefix = OsString::from(PREFIX);
        prefix.push(name);
        prefix.push("-");
        let mut builder = tempfile::Builder::new();
        builder.prefix(&prefix).suffix(SUFFIX).rand_bytes(LETTERS);
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o777));
        for _ in 0..super::BEGINNINGS {
            let (made, unfinished) = Unfinished::make(|| builder.tempdir_in(parent), TempDir::path).map_err(failed)?;
            let held = File::open(made.path()).ok().filter(|folder| folder.try_lock().is_ok());
            // Another run may have cleared it away before it was held.
            if made.path().is_dir() {
                return Ok(Folder {
                    path: path.to_path_buf(),
                    before: None,
                    aside,
                    made,
                    _held: held,
                    _unfinished: unfinished,
                });
            }
        }
        Err(failed(std::io::ErrorKind::ResourceBusy.into()))
    }

    /// Where the folder will lie.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// The same, in the place of a folder that lies there under another name so far; `None`: there is none.
    pub(crate) fn in_place_of(self, before: Option<PathBuf>) -> Folder {
        Folder { before, ..self }
    }

    /// Where what it takes the place of lies, if there is something.
    pub(crate) fn before(&self) -> &Path {
        self.before.as_deref().unwrap_or(&self.path)
    }

    /// Whether what lies there now may be replaced.
    ///
    /// # Errors
    /// It holds something that `ours` does not know, which is named; or it cannot be read.
    pub(crate) fn may_replace(&self, ours: impl Fn(&str) -> bool) -> Result<(), NewFileError> {
        match self.before().symlink_metadata() {
            Ok(_) => only_ours(self.before(), ours),
            Err(_) => Ok(()),
        }
    }

    /// Writes a file of the new folder and forces it to the disk; "pictures/panel.png" lies in a folder inside it.
    pub(crate) fn put(&self, name: &str, bytes: &[u8]) -> Result<(), NewFileError> {
        let target = self.made.path().join(name);
        let written = std::fs::create_dir_all(parent(&target)).and_then(|()| {
            let mut file = File::create_new(&target)?;
            file.write_all(bytes)?;
            file.sync_all()
        });
        written.map_err(|e| NewFileError::Failed(failed(&self.path.join(name), &e)))
    }

    /// Whether a file of the new folder reads as it was written.
    pub(crate) fn holds(&self, name: &str, bytes: &[u8]) -> bool {
        let mut sources = Sources::new();
        let read = sources.read(&self.made.path().join(name), bytes.len() as u64);
        read.is_ok_and(|id| sources.get(id).bytes() == bytes)
    }

    /// Puts the new folder in its place, and removes what was there before.
    ///
    /// # Errors
    /// What lies there may not be replaced, or the machine fails; then it still lies there.
    pub(crate) fn finish(self, ours: impl Fn(&str) -> bool) -> Result<(), NewFileError> {
        self.may_replace(ours)?;
        self.change_places(exchange)
    }

    /// `in_one` exchanges two folders in one step, or fails and changes nothing.
    fn change_places(self, in_one: impl Fn(&Path, &Path) -> std::io::Result<()>) -> Result<(), NewFileError> {
        at_once(|| self.renamed(in_one))
    }

    fn renamed(self, in_one: impl Fn(&Path, &Path) -> std::io::Result<()>) -> Result<(), NewFileError> {
        let Folder { path, before, aside, made, _held, _unfinished } = self;
        let wrong = |e: std::io::Error| NewFileError::Failed(failed(&path, &e));
        std::fs::read_dir(made.path()).into_iter().flatten().flatten().for_each(|entry| settle_list(&entry.path()));
        settle_list(made.path());
        // What lay under another name takes this one first: whatever happens then, one whole folder lies here.
        if let Some(before) = before.filter(|_| path.symlink_metadata().is_err()) {
            std::fs::rename(&before, &path).map_err(wrong)?;
        }
        if path.symlink_metadata().is_err() {
            std::fs::rename(made.path(), &path).map_err(wrong)?;
            // It lies under its own name now.
            let _moved = made.keep();
        } else if in_one(made.path(), &path).is_err() {
            // Two steps; `mend` puts right what a stop between them leaves.
            std::fs::rename(&path, &aside).map_err(wrong)?;
            if let Err(error) = std::fs::rename(made.path(), &path) {
                let _back = std::fs::rename(&aside, &path);
                return Err(wrong(error));
            }
            let _moved = made.keep();
            settle(&path);
            // The new one is in its place; what is left of the old one the next run clears away.
            let _removed = std::fs::remove_dir_all(&aside);
        }
        // Else what is dropped here with its name is the old one.
        settle(&path);
        Ok(())
    }
}

/// Mends what an earlier run left when it was stopped between its two steps.
fn mend(path: &Path, aside: &Path, named_by_us: impl Fn(&str) -> bool) -> std::io::Result<()> {
    if only_ours(aside, named_by_us).is_err() {
        return Ok(());
    }
    match path.symlink_metadata() {
        Ok(_) => std::fs::remove_dir_all(aside),
        Err(_) => std::fs::rename(aside, path),
    }
}

/// Clears away unfinished folders of this name, but for those that another run is still at work on.
fn clear(parent: &Path, name: &OsStr, named_by_us: impl Fn(&str) -> bool) -> std::io::Result<()> {
    for entry in std::fs::read_dir(parent)? {
        let entry = entry?;
        let path = entry.path();
        if !is_unfinished(&entry.file_name(), name) || only_ours(&path, &named_by_us).is_err() {
            continue;
        }
        if is_at_work(&path) {
            continue;
        }
        std::fs::remove_dir_all(&path)?;
    }
    Ok(())
}

/// Whether `found` is what [`Folder::begin`] calls an unfinished folder for `name`.
fn is_unfinished(found: &OsStr, name: &OsStr) -> bool {
    let rest = found.as_encoded_bytes().strip_prefix(PREFIX.as_bytes());
    let rest = rest.and_then(|rest| rest.strip_prefix(name.as_encoded_bytes()));
    let letters = rest.and_then(|rest| rest.strip_prefix(b"-")).and_then(|rest| rest.strip_suffix(b".part"));
    letters.is_some_and(|letters| letters.len() == LETTERS && letters.iter().all(u8::is_ascii_alphanumeric))
}

/// Exchanges two folders in one step.
#[cfg(target_os = "linux")]
fn exchange(one: &Path, other: &Path) -> std::io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE).map_err(std::io::Error::from)
}

#[cfg(not(target_os = "linux"))]
fn exchange(_: &Path, _: &Path) -> std::io::Result<()> {
    Err(std::io::ErrorKind::Unsupported.into())
}

#[cfg(test)]
mod tests {
    use super::super::tests::names;
    use super::folder as written;
    use super::*;

    fn is_png(name: &str) -> bool {
        name.ends_with(".png") || name == "inner/"
    }

    fn files(name: &str) -> Vec<(String, Vec<u8>)> {
        vec![(name.to_owned(), name.as_bytes().to_vec())]
    }

    /// Files that are known by their names alone.
    fn folder(path: &Path, files: &[(String, Vec<u8>)], ours: fn(&str) -> bool) -> Result<(), NewFileError> {
        written(path, files, ours, ours)
    }

    fn taken(result: Result<(), NewFileError>) -> PathBuf {
        match result {
            Err(NewFileError::Taken(path)) => path,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_folder_is_replaced_whole_and_only_where_all_of_it_is_ours() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = room.path().join("out");
        assert!(folder(&path, &files("a.png"), is_png).is_ok());
        assert!(folder(&path, &files("inner/b.png"), is_png).is_ok());
        assert_eq!((names(&path), names(&path.join("inner"))), (vec!["inner".to_owned()], vec!["b.png".to_owned()]));
        std::fs::write(path.join(".DS_Store"), "x").expect("a file");
        assert!(folder(&path, &files("b.png"), is_png).is_ok());
        assert_eq!(names(&path), ["b.png"]);
        std::fs::write(path.join("notes.txt"), "mine").expect("a file");
        assert_eq!(taken(folder(&path, &files("c.png"), is_png)), path.join("notes.txt"));
        assert_eq!(names(&path), ["b.png", "notes.txt"]);
        assert_eq!(names(room.path()), ["out"]);
        assert!(matches!(folder(&room.path().join("none/out"), &files("a.png"), is_png), Err(NewFileError::Failed(_))));
        assert_eq!(taken(folder(&path.join("b.png"), &files("a.png"), is_png)), path.join("b.png"));
        assert_eq!(taken(folder(Path::new(".."), &files("a.png"), is_png)), Path::new(".."));
    }

    #[test]
    fn folders_inside_that_are_not_ours_are_somebodys_work() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = room.path().join("out");
        for inside in ["mine", "inner/deeper"] {
            std::fs::create_dir_all(path.join(inside)).expect("folders");
            assert_eq!(taken(folder(&path, &files("a.png"), is_png)), path.join(inside));
            std::fs::remove_dir_all(&path).expect("removed");
        }
    }

    #[cfg(unix)]
    #[test]
    fn no_link_is_followed_out_of_the_folder() {
        use std::os::unix::fs::symlink;
        let room = tempfile::tempdir().expect("a temporary folder");
        let (path, elsewhere) = (room.path().join("out"), room.path().join("elsewhere"));
        std::fs::create_dir(&elsewhere).expect("a folder");
        std::fs::write(elsewhere.join("a.png"), "mine").expect("a file");
        // In the place of the folder, of a folder in it, of a file, and of what a killed run leaves.
        symlink(&elsewhere, &path).expect("a link");
        assert_eq!(taken(folder(&path, &files("b.png"), is_png)), path);
        std::fs::remove_file(&path).expect("removed");
        std::fs::create_dir(&path).expect("a folder");
        for name in ["inner", "c.png"] {
            symlink(&elsewhere, path.join(name)).expect("a link");
            assert_eq!(taken(folder(&path, &files("b.png"), is_png)), path.join(name));
            std::fs::remove_file(path.join(name)).expect("removed");
        }
        let unfinished = room.path().join(".hitchpress-out-abc123.part");
        symlink(&elsewhere, &unfinished).expect("a link");
        symlink(&elsewhere, room.path().join(".hitchpress-before-out")).expect("a link");
        assert!(folder(&path, &files("b.png"), is_png).is_ok());
        assert!(unfinished.symlink_metadata().is_ok());
        assert_eq!(std::fs::read(elsewhere.join("a.png")).expect("still there"), b"mine");
    }

    #[test]
    fn a_folder_that_was_being_replaced_when_the_machine_stopped_is_mended() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let (path, aside) = (room.path().join("out"), room.path().join(".hitchpress-before-out"));
        std::fs::create_dir(&aside).expect("a folder");
        std::fs::write(aside.join("a.png"), "old").expect("a file");
        assert!(mend(&path, &aside, is_png).is_ok());
        assert_eq!((names(&path), names(room.path())), (vec!["a.png".to_owned()], vec!["out".to_owned()]));
        std::fs::create_dir(&aside).expect("a folder");
        assert!(mend(&path, &aside, is_png).is_ok());
        assert_eq!(names(room.path()), ["out"]);
        // What is not ours stays.
        std::fs::create_dir(&aside).expect("a folder");
        std::fs::write(aside.join("notes.txt"), "mine").expect("a file");
        assert!(mend(&path, &aside, is_png).is_ok());
        assert_eq!(names(&aside), ["notes.txt"]);
    }

    #[test]
    fn where_the_system_cannot_exchange_folders_two_steps_do() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = room.path().join("out");
        assert!(folder(&path, &files("a.png"), is_png).is_ok());
        let made = Folder::begin(&path, is_png).expect("begun");
        assert!(made.put("b.png", b"new").is_ok());
        assert!(made.change_places(|_, _| Err(std::io::ErrorKind::Unsupported.into())).is_ok());
        assert_eq!((names(&path), names(room.path())), (vec!["b.png".to_owned()], vec!["out".to_owned()]));
    }

    #[test]
    fn what_a_killed_run_has_left_is_cleared_away_and_nothing_else() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = room.path().join("out");
        let kept = [
            // Of another folder, by somebody else, and with somebody's work in it.
            ".hitchpress-out-of-hand-abc123.part",
            ".hitchpress-out-abc.part",
            ".hitchpress-out-abc456.part",
        ];
        for name in kept.iter().chain(&[".hitchpress-out-abc123.part"]) {
            std::fs::create_dir(room.path().join(name)).expect("a folder");
            std::fs::write(room.path().join(name).join("a.png"), "x").expect("a file");
        }
        std::fs::write(room.path().join(kept[2]).join("notes.txt"), "mine").expect("a file");
        std::fs::write(room.path().join(".hitchpress-out-xyz123.part"), "a file").expect("a file");
        assert!(folder(&path, &files("a.png"), is_png).is_ok());
        let mut left: Vec<String> = kept.iter().map(|name| (*name).to_owned()).collect();
        left.extend([".hitchpress-out-xyz123.part".to_owned(), "out".to_owned()]);
        left.sort();
        assert_eq!(names(room.path()), left);
    }

    #[cfg(unix)]
    #[test]
    fn what_another_run_is_at_work_on_is_left_alone() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = room.path().join("out");
        let one = Folder::begin(&path, is_png).expect("begun");
        let other = Folder::begin(&path, is_png).expect("begun");
        assert!(one.put("a.png", b"one").is_ok() && other.put("b.png", b"other").is_ok());
        assert!(one.finish(is_png).is_ok() && other.finish(is_png).is_ok());
        assert_eq!((names(&path), names(room.path())), (vec!["b.png".to_owned()], vec!["out".to_owned()]));
        // One that is let go leaves nothing.
        drop(Folder::begin(&path, is_png).expect("begun"));
        assert_eq!(names(room.path()), ["out"]);
    }
}
