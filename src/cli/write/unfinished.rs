//! What is being written at this moment, so that an interrupt clears it away. The only door to `signal-hook`.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Files and folders that are not whole yet. An interrupt comes from outside and knows nothing else of the run.
static UNFINISHED: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());
/// Held while names change: an interrupt waits until all of them have.
static NAMES: Mutex<()> = Mutex::new(());

/// How often something unfinished is tried to be cleared away, 5 ms apart.
const TRIES: usize = 100;

fn held<T>(lock: &'static Mutex<T>) -> MutexGuard<'static, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Changes names of files; no interrupt comes between two steps of `change`.
pub(super) fn at_once<T>(change: impl FnOnce() -> T) -> T {
    let _names = held(&NAMES);
    change()
}

/// Something that an interrupt clears away, until this is dropped.
#[derive(Debug)]
pub(super) struct Unfinished(PathBuf);

impl Unfinished {
    /// Makes something and takes it down. No interrupt comes between the two: what is made would stay.
    pub(super) fn make<T>(
        make: impl FnOnce() -> std::io::Result<T>,
        path: impl FnOnce(&T) -> &Path,
    ) -> std::io::Result<(T, Unfinished)> {
        let mut all = held(&UNFINISHED);
        let made = make()?;
        let path = path(&made);
        // The program's own folder never changes, but a path that holds wherever it is used costs nothing.
        let path = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
        all.insert(path.clone());
        Ok((made, Unfinished(path)))
    }
}

impl Drop for Unfinished {
    fn drop(&mut self) {
        held(&UNFINISHED).remove(&self.0);
    }
}

/// Folders that were made because something is to be written into them. Those that stay empty are taken away again.
#[derive(Debug)]
pub(crate) struct Way {
    /// The outermost first.
    made: Vec<(PathBuf, Unfinished)>,
}

impl Way {
    /// Makes a folder and those above it that are not there.
    ///
    /// # Errors
    /// The machine fails; nothing is left then.
    pub(crate) fn to(folder: &Path) -> std::io::Result<Way> {
        let above = folder.ancestors().filter(|path| !path.as_os_str().is_empty());
        let mut missing: Vec<&Path> = above.take_while(|path| path.symlink_metadata().is_err()).collect();
        missing.reverse();
        let mut way = Way { made: Vec::new() };
        for path in missing {
            let made = Unfinished::make(|| std::fs::create_dir(path).map(|()| path.to_path_buf()), PathBuf::as_path)?;
            way.made.push(made);
        }
        // Where the path leads to a file, this says so.
        std::fs::create_dir_all(folder)?;
        Ok(way)
    }
}

impl Drop for Way {
    fn drop(&mut self) {
        while let Some((path, _unfinished)) = self.made.pop() {
            // Fails for a folder that holds something, which is then to stay.
            let _removed = std::fs::remove_dir(path);
        }
    }
}

/// From now on an interrupt clears away what is not whole, and a refusal of memory ends the run with `refused` as its exit
/// code after the system has named it, instead of as a crash.
///
/// # Errors
/// The machine has no thread for it.
#[cfg(unix)]
pub(crate) fn listen(refused: u8) -> std::io::Result<()> {
    use signal_hook::consts::{SIGABRT, SIGINT, SIGTERM};
    use std::sync::Arc;
    use std::sync::atomic::AtomicBool;
    signal_hook::flag::register_conditional_shutdown(SIGABRT, refused.into(), Arc::new(AtomicBool::new(true)))?;
    let mut signals = signal_hook::iterator::Signals::new([SIGINT, SIGTERM])?;
    std::thread::Builder::new().name("interrupts".to_owned()).spawn(move || {
        if let Some(signal) = signals.forever().next() {
            // Never let go again: nothing changes its name from here on.
            let _names = held(&NAMES);
            clear_away(&held(&UNFINISHED));
            // What a shell says of a program that a signal ended (POSIX, Shell Command Language, 2.8.2).
            std::process::exit(128 + signal);
        }
    })?;
    Ok(())
}

/// Other systems end the run as they do; the next one clears up.
#[cfg(not(unix))]
pub(crate) fn listen(_refused: u8) -> std::io::Result<()> {
    Ok(())
}

fn clear_away(paths: &BTreeSet<PathBuf>) {
    // What lies inside comes after what it lies in.
    for path in paths.iter().rev() {
        let is_part = path.file_name().is_some_and(super::ours::is_part);
        // Threads that still write may put a file into a folder that is being emptied.
        for _ in 0..TRIES {
            let removed = match (is_part, path.is_dir()) {
                (true, true) => std::fs::remove_dir_all(path),
                (true, false) => std::fs::remove_file(path),
                // A folder on the way stays where it holds something.
                (false, _) => std::fs::remove_dir(path),
            };
            if !is_part || removed.is_ok() || path.symlink_metadata().is_err() {
                break;
            }
            std::thread::sleep(std::time::Duration::from_millis(5));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::names;
    use super::*;

    #[test]
    fn folders_on_the_way_stay_only_if_something_lies_in_them() {
        let room = tempfile::tempdir().expect("a temporary folder");
        drop(Way::to(&room.path().join("a/b/c")).expect("made"));
        assert_eq!(names(room.path()), Vec::<String>::new());
        let way = Way::to(&room.path().join("a/b/c")).expect("made");
        std::fs::write(room.path().join("a/b/file"), "x").expect("a file");
        drop(way);
        assert_eq!(names(&room.path().join("a/b")), ["file"]);
        assert!(Way::to(&room.path().join("a/b/file/c")).is_err());
        assert!(Way::to(&room.path().join("a/b/file")).is_err());
    }

    #[test]
    fn an_interrupt_takes_away_what_is_not_whole_and_nothing_else() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = |name: &str| room.path().join(name);
        for folder in ["new", "full", ".hitchpress-x-abc123.part"] {
            std::fs::create_dir(path(folder)).expect("a folder");
        }
        for file in
            ["full/mine", ".hitchpress-x-abc123.part/a", ".hitchpress-abc123.part", "new/.hitchpress-abc124.part"]
        {
            std::fs::write(path(file), "x").expect("a file");
        }
        let unfinished =
            ["new", "full", ".hitchpress-x-abc123.part", ".hitchpress-abc123.part", "new/.hitchpress-abc124.part"];
        clear_away(&unfinished.iter().map(|name| path(name)).collect());
        assert_eq!(names(room.path()), ["full"]);
        assert_eq!(names(&path("full")), ["mine"]);
    }
}
