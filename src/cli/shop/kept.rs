//! What a shop folder keeps about itself: the manifest, the record of the edition, and the note of what changed. All of it
//! is read again by the next run.

use super::file::ShopFile;
use super::names::{CHANGES, EARLIER, RECORD, SHOW, is_name};
use crate::cli::manifest::{self, Manifest};
use crate::cli::write::{Folder, NewFileError};
use crate::diag::{Diagnostic, Severity};
use crate::manuscript::changes::{Files, changes, note};
use crate::manuscript::record::Record;
use crate::project::Project;
use crate::source::{Sources, folders, real};
use crate::words::Words;
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Most bytes of a file that is read back: large charts have large PDFs.
const MAX_FILE_BYTES: u64 = 512 << 20;
/// Most bytes of the note of earlier changes that are carried on.
const MAX_NOTE_BYTES: usize = 200_000;

/// The folder for a shop that a file in `folder` belongs to.
pub(crate) fn shop_folder(folder: &Path) -> Option<&Path> {
    let is_one = |folder: &Path, record: &str| folder.join(record).is_file() && folder.join(manifest::NAME).is_file();
    match folder.parent() {
        Some(parent) if is_one(parent, RECORD) => Some(parent),
        _ => (is_one(folder, RECORD) || is_one(folder, EARLIER[0])).then_some(folder),
    }
}

/// The folder of an earlier run of the same pattern under another title: the only folder for a shop beside `target` whose
/// manifest names this project, or, where it lies in the project's own folder, names none.
pub(crate) fn former(target: &Path, project: &Project, claimed: impl Fn(&Path) -> bool) -> Option<PathBuf> {
    if target.symlink_metadata().is_ok() {
        return None;
    }
    let parent = target.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let is_own = real(parent).ok() == real(&project.folder).ok();
    let name = project_name(project);
    let is_former = |folder: &PathBuf| {
        let ends = folder.file_name().is_some_and(|name| name.to_string_lossy().ends_with("-shop"));
        let record = || shop_folder(folder) == Some(folder.as_path());
        ends && record() && !claimed(folder) && {
            let manifest = read(folder, manifest::NAME).ok().flatten().and_then(|bytes| String::from_utf8(bytes).ok());
            let listed = manifest.and_then(|text| toml::from_str::<PreviousManifest>(&text).ok()).unwrap_or_default();
            listed.project.map_or(is_own, |project| Some(&project) == name.as_ref())
        }
    };
    let mut found = folders(parent).into_iter().filter(is_former);
    let first = found.next();
    // Of two nobody can say which was this one's.
    first.filter(|_| found.next().is_none())
}

/// The name of the folder that a project lies in.
fn project_name(project: &Project) -> Option<String> {
    let folder = real(&project.folder).ok()?;
    Some(folder.file_name()?.to_string_lossy().into_owned())
}

/// What the manifest says, as far as the next run asks.
#[derive(Debug, Default, Deserialize)]
struct PreviousManifest {
    /// The name of the folder the project lies in.
    project: Option<String>,
    #[serde(default)]
    file: Vec<ManifestEntry>,
}

#[derive(Debug, Deserialize)]
struct ManifestEntry {
    name: String,
    sha256: String,
}

/// The folder of the last run.
#[derive(Debug, Default)]
pub(crate) struct LastRun {
    /// Its files with their SHA-256, but for the manifest.
    files: BTreeMap<String, String>,
    record: Option<Record>,
    note: String,
}

impl LastRun {
    /// Reads what lies in the folder's place; empty where nothing does.
    ///
    /// # Errors
    /// Something there is not as the last run left it: somebody's work, that must not be replaced. Or something that is there
    /// cannot be read: what it says of earlier editions would be lost.
    pub(crate) fn read(folder: &Folder) -> Result<LastRun, NewFileError> {
        // Names first: nothing is read through a link.
        folder.may_replace(is_name)?;
        let lies = folder.before();
        let text = |name: &str| -> Result<Option<String>, NewFileError> {
            let bytes = read(lies, name).map_err(NewFileError::Failed)?;
            Ok(bytes.and_then(|bytes| String::from_utf8(bytes).ok()))
        };
        let either = |name: &str, earlier: &str| text(name)?.map_or_else(|| text(earlier), |text| Ok(Some(text)));
        let listed =
            text(manifest::NAME)?.and_then(|text| toml::from_str::<PreviousManifest>(&text).ok()).unwrap_or_default();
        let last = LastRun {
            files: listed.file.into_iter().map(|file| (file.name, file.sha256)).collect(),
            record: either(RECORD, EARLIER[0])?.and_then(|text| toml::from_str(&text).ok()),
            note: either(CHANGES, EARLIER[1])?.unwrap_or_default(),
        };
        folder.may_replace(|name| last.is_as_left(lies, name))?;
        Ok(last)
    }

    /// Whether a file is as the last run left it.
    pub(crate) fn is_as_left(&self, folder: &Path, name: &str) -> bool {
        let unchanged =
            |sha: &String| matches!(read(folder, name), Ok(Some(bytes)) if manifest::sha256(&bytes) == *sha);
        name == manifest::NAME || name.ends_with('/') || self.files.get(name).is_some_and(unchanged)
    }

    /// Whether there was a folder.
    pub(crate) fn is_there(&self) -> bool {
        !self.files.is_empty()
    }

    /// What changed since, in sentences; empty when nothing did.
    pub(crate) fn changes(&self, record: &Record, made: &[ShopFile], words: &Words) -> Vec<String> {
        let then = named(self.files.iter().map(|(name, sha)| (name.as_str(), sha.as_str())));
        let now = named(made.iter().map(|file| (file.name.as_str(), file.sha256.as_str())));
        let mut files = Files::default();
        for (name, holds) in &now {
            match then.get(name) {
                Some(before) if before == holds => {}
                Some(_) => files.changed.push((*name).to_owned()),
                None => files.new.push((*name).to_owned()),
            }
        }
        files.gone.extend(then.keys().filter(|name| !now.contains_key(*name)).map(|name| (*name).to_owned()));
        match &self.record {
            Some(before) => changes(before, record, &files, words),
            None => Vec::new(),
        }
    }

    /// Whether the pattern is another one under the number of the old version: buyers could not tell them apart.
    pub(crate) fn same_version(&self, record: &Record) -> bool {
        self.record.as_ref().is_some_and(|before| before.version == record.version)
    }

    /// The note for the new folder. Where nothing changed, the old one stays.
    pub(crate) fn note(&self, project: &Project, record: &Record, said: &[String], words: &Words) -> String {
        if self.record.is_some() && said.is_empty() && !self.note.is_empty() {
            return self.note.clone();
        }
        let mut earlier = self.note.as_str();
        while earlier.len() > MAX_NOTE_BYTES {
            // Whole entries only; the oldest go.
            earlier = earlier.rsplit_once("\n\n").map_or("", |(newer, _)| newer);
        }
        note(&project.about.title, self.record.as_ref(), record, said, earlier, words)
    }
}

/// Files as the note names them, with names and hashes of what they hold: pictures together, and without those that say
/// themselves what changed. The part of the folder that a file lies in is not named: a buyer knows none.
fn named<'a>(files: impl Iterator<Item = (&'a str, &'a str)>) -> BTreeMap<&'a str, BTreeSet<(&'a str, &'a str)>> {
    let mut out: BTreeMap<&str, BTreeSet<_>> = BTreeMap::new();
    for (name, sha) in files {
        let file = name.rsplit_once('/').map_or(name, |(_, file)| file);
        // What is pasted beside the pattern reaches no buyer as a file.
        let is_pasted = name.starts_with(SHOW) && !name.ends_with(".png");
        if !EARLIER.contains(&file) && !is_pasted {
            let shown = if name.ends_with(".png") { "pictures" } else { file };
            out.entry(shown).or_default().insert((file, sha));
        }
    }
    out
}

/// A file of a folder; `None`: there is none that a run could have written.
///
/// # Errors
/// The machine does not give it.
fn read(folder: &Path, name: &str) -> Result<Option<Vec<u8>>, Diagnostic> {
    let mut sources = Sources::new();
    match sources.read(&folder.join(name), MAX_FILE_BYTES) {
        Ok(id) => Ok(Some(sources.get(id).bytes().to_vec())),
        Err(fault) if fault.severity == Severity::Failure => Err(fault),
        Err(_) => Ok(None),
    }
}

/// The manifest of a folder with these files.
pub(crate) fn manifest(project: &Project, made: &[ShopFile]) -> String {
    let about = &project.about;
    let mut out = Manifest::new("What this folder holds, and the SHA-256 of each file.", "file");
    let date = format!("{:04}-{:02}-{:02}", about.date.year, about.date.month, about.date.day);
    out.own().count("format", 1).text("title", &about.title).text("version", &about.version).text("date", &date);
    if let Some(name) = project_name(project) {
        out.own().text("project", &name);
    }
    for file in made {
        let entry = out.entry();
        entry.text("name", &file.name).count("bytes", file.bytes).text("sha256", &file.sha256);
        for (key, value) in &file.about {
            entry.text(key, value);
        }
        if let Some(pages) = file.pages {
            entry.count("pages", pages);
        }
    }
    out.written()
}
