//! A work directory for each test, and the program run in it.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A folder of its own for one test; gone when the test ends.
pub struct Room {
    folder: tempfile::TempDir,
}

impl Room {
    /// An empty one.
    pub fn new() -> Room {
        Room { folder: tempfile::tempdir().expect("a temporary folder") }
    }
    /// Where it lies.
    pub fn path(&self) -> &Path {
        self.folder.path()
    }
    /// Writes a file, with the folders above it.
    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path().join(name);
        std::fs::create_dir_all(path.parent().expect("a folder above")).expect("folders");
        std::fs::write(&path, bytes).expect("a file");
        path
    }
    /// Runs `hitchpress` in the folder, without colour.
    pub fn run(&self, typed: &[&str]) -> Ran {
        self.run_with(typed, &[])
    }
    /// The same with variables of the environment.
    pub fn run_with(&self, typed: &[&str], variables: &[(&str, &str)]) -> Ran {
        let output = Command::new(env!("CARGO_BIN_EXE_hitchpress"))
            .args(typed)
            .current_dir(self.path())
            .env("NO_COLOR", "1")
            .envs(variables.iter().copied())
            .output()
            .expect("the program starts");
        Ran::from(output)
    }
    /// Makes a new project one that can be sold: a maker's own words stand in the place of the starter's.
    pub fn finish(&self, folder: &str) {
        let path = self.path().join(folder).join("project.toml");
        let text = std::fs::read_to_string(&path).expect("a project");
        let text = text
            .replace("Your name or your studio", "Ada Fernley")
            .replace("A knotted wall panel for a first evening", "For a rainy evening")
            .replace("A boat under full sail on a calm sea.", "A small boat under sail.")
            .replace("A boat under full sail, knotted in three colours. It is small", "A small boat. It is small");
        std::fs::write(path, text).expect("written");
    }
    /// Every file in the folder with what it holds, in the order of the names.
    pub fn files(&self) -> Vec<(PathBuf, Vec<u8>)> {
        let mut found = Vec::new();
        let mut folders = vec![self.path().to_path_buf()];
        while let Some(folder) = folders.pop() {
            for entry in std::fs::read_dir(folder).expect("a folder") {
                let path = entry.expect("an entry").path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    found.push((path.clone(), std::fs::read(&path).expect("a file")));
                }
            }
        }
        found.sort();
        found
    }
}

/// How a run ended.
#[derive(Debug)]
pub struct Ran {
    /// The exit code.
    pub code: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl From<Output> for Ran {
    fn from(output: Output) -> Ran {
        Ran {
            code: output.status.code().expect("an exit code and no signal"),
            out: String::from_utf8(output.stdout).expect("UTF-8"),
            err: String::from_utf8(output.stderr).expect("UTF-8"),
        }
    }
}

/// Whether a combination is tried. The usual run takes every `nth`, counted by the sum of its choices, so that every two choices
/// still come together where each has at most `nth`; `HITCHPRESS_ALL` asks for all.
pub fn is_tried(sum: usize, nth: usize) -> bool {
    sum.is_multiple_of(nth) || std::env::var_os("HITCHPRESS_ALL").is_some()
}

/// A folder of the repository.
pub fn repository(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

/// Copies a folder with all that is in it.
pub fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder") {
        let path = entry.expect("an entry").path();
        let target = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copy(&path, &target);
        } else {
            std::fs::copy(&path, &target).expect("a copy");
        }
    }
}
