//! What a shop folder keeps about itself: the manifest, the record of the edition, and the note of what changed. All of it
//! is read again by the next run.

use super::file::ShopFile;
use crate::cli::manifest::{self, Manifest};
use crate::cli::write::{Folder, NewFileError};
use crate::manuscript::changes::{Files, changes, note};
use crate::manuscript::record::Record;
use crate::press::pictures;
use crate::project::Project;
use crate::source::Sources;
use crate::words::Words;
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The record of the edition.
pub const RECORD: &str = "pattern.toml";
/// The note of what changed.
pub const CHANGES: &str = "CHANGES.txt";
/// The folder of pictures inside.
pub const PICTURES: &str = "pictures/";
/// Most bytes of a file that is read back: large charts have large PDFs.
const MAX_FILE_BYTES: u64 = 512 << 20;
/// Most bytes of the note of earlier changes that are carried on.
const MAX_NOTE_BYTES: usize = 200_000;

/// Whether a file of a shop folder may have this name; a folder's name ends in a slash.
pub fn is_name(name: &str) -> bool {
    match name.strip_prefix(PICTURES) {
        Some("") => true,
        Some(picture) => pictures::is_name(picture),
        None => {
            let fixed = [manifest::NAME, RECORD, CHANGES, "amounts.csv", "amounts.json", "licence.txt"];
            let is_licence = name.strip_prefix("licence-").and_then(|rest| rest.strip_suffix(".txt"));
            let is_licence = is_licence.is_some_and(|tag| Words::languages().any(|known| known == tag));
            let is_amounts = name.starts_with("amounts-")
                && (name.ends_with(".csv") || name.ends_with(".json"))
                && !name.contains('/');
            fixed.contains(&name) || is_licence || is_amounts || (name.ends_with(".pdf") && !name.contains('/'))
        }
    }
}

/// What the manifest says, as far as the next run asks.
#[derive(Debug, Default, Deserialize)]
struct PreviousManifest {
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
pub struct LastRun {
    /// Its files with their SHA-256, but for the manifest.
    files: BTreeMap<String, String>,
    record: Option<Record>,
    note: String,
}

impl LastRun {
    /// Reads what lies in the folder's place; empty where nothing does.
    ///
    /// # Errors
    /// Something there is not as the last run left it: somebody's work, that must not be replaced.
    pub fn read(folder: &Folder) -> Result<LastRun, NewFileError> {
        // Names first: nothing is read through a link.
        folder.may_replace(is_name)?;
        let text = |name: &str| read(folder.path(), name).and_then(|bytes| String::from_utf8(bytes).ok());
        let listed =
            text(manifest::NAME).and_then(|text| toml::from_str::<PreviousManifest>(&text).ok()).unwrap_or_default();
        let last = LastRun {
            files: listed.file.into_iter().map(|file| (file.name, file.sha256)).collect(),
            record: text(RECORD).and_then(|text| toml::from_str(&text).ok()),
            note: text(CHANGES).unwrap_or_default(),
        };
        folder.may_replace(|name| last.is_as_left(folder.path(), name))?;
        Ok(last)
    }

    /// Whether a file is as the last run left it.
    pub fn is_as_left(&self, folder: &Path, name: &str) -> bool {
        let unchanged = |sha: &String| read(folder, name).is_some_and(|bytes| manifest::sha256(&bytes) == *sha);
        name == manifest::NAME || name == PICTURES || self.files.get(name).is_some_and(unchanged)
    }

    /// Whether there was a folder.
    pub fn is_there(&self) -> bool {
        !self.files.is_empty()
    }

    /// What changed since, in sentences; empty when nothing did.
    pub fn changes(&self, record: &Record, made: &[ShopFile], words: &Words) -> Vec<String> {
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
    pub fn same_version(&self, record: &Record) -> bool {
        self.record.as_ref().is_some_and(|before| before.version == record.version)
    }

    /// The note for the new folder. Where nothing changed, the old one stays.
    pub fn note(&self, project: &Project, record: &Record, said: &[String], words: &Words) -> String {
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
/// themselves what changed.
fn named<'a>(files: impl Iterator<Item = (&'a str, &'a str)>) -> BTreeMap<&'a str, BTreeSet<(&'a str, &'a str)>> {
    let mut out: BTreeMap<&str, BTreeSet<_>> = BTreeMap::new();
    for (name, sha) in files.filter(|(name, _)| ![RECORD, CHANGES].contains(name)) {
        let shown = if name.starts_with(PICTURES) { PICTURES } else { name };
        out.entry(shown).or_default().insert((name, sha));
    }
    out
}

fn read(folder: &Path, name: &str) -> Option<Vec<u8>> {
    let mut sources = Sources::new();
    let id = sources.read(&folder.join(name), MAX_FILE_BYTES).ok()?;
    Some(sources.get(id).bytes().to_vec())
}

/// The manifest of a folder with these files.
pub fn manifest(project: &Project, made: &[ShopFile]) -> String {
    let about = &project.about;
    let mut out = Manifest::new("What this folder holds, and the SHA-256 of each file.", "file");
    let date = format!("{:04}-{:02}-{:02}", about.date.year, about.date.month, about.date.day);
    out.own().count("format", 1).text("title", &about.title).text("version", &about.version).text("date", &date);
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
