//! The folder of licensed copies and its list. Some copies at a time are listed and then written, so that every copy that is
//! there is in the list, whenever the run ends. What an earlier run listed and this one does not make again stays listed.

use crate::cli::manifest::{self, Manifest};
use crate::cli::write::{self, FileKind, LIST_OF_COPIES, NotWritten, Place};
use crate::diag::Diagnostic;
use crate::source::Sources;
use serde::Deserialize;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Copies that are listed at once.
const AT_ONCE: usize = 25;
/// Bytes of them that are held in memory; more are written sooner.
const BYTES_AT_ONCE: usize = 64 << 20;
/// Most bytes of a copy, and of a list.
const MAX_FILE_BYTES: u64 = 512 << 20;

/// A copy in the list.
#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Entry {
    /// The file's name.
    pub(crate) file: String,
    /// The buyer's.
    pub(crate) name: String,
    /// The buyer's order.
    pub(crate) order: Option<String>,
    /// The SHA-256 of the file.
    pub(crate) sha256: String,
}

#[derive(Debug, Default, Deserialize)]
struct Listed {
    #[serde(default)]
    copy: Vec<Entry>,
}

/// The folder.
pub(crate) struct Shelf<'a> {
    folder: &'a Path,
    /// What the copies are made from.
    read: &'a Sources,
    list: PathBuf,
    earlier: Vec<Entry>,
    /// The files of `earlier`.
    known: BTreeSet<String>,
    done: Vec<Entry>,
    /// Copies that are to be written; no bytes where the file is there already and is the same.
    waiting: Vec<(Entry, Option<Vec<u8>>)>,
    /// How many copies are there.
    pub(crate) made: usize,
}

impl Shelf<'_> {
    /// Reads the list of an earlier run.
    ///
    /// # Errors
    /// The list there is somebody's work, or the machine fails.
    pub(crate) fn open<'a>(folder: &'a Path, read: &'a Sources) -> Result<Shelf<'a>, NotWritten> {
        let list = folder.join(manifest::NAME);
        let (earlier, done, waiting) = (Vec::new(), Vec::new(), Vec::new());
        let shelf = Shelf { folder, read, earlier, known: BTreeSet::new(), done, waiting, made: 0, list };
        if write::may_write(&shelf.place_of_list())?.is_none() {
            return Ok(shelf);
        }
        let mut sources = Sources::new();
        let id = sources.read(&shelf.list, MAX_FILE_BYTES).map_err(NotWritten::Failed)?;
        let listed = sources.get(id).text().and_then(|text| toml::from_str::<Listed>(text).ok());
        let Some(listed) = listed else {
            let message = format!("`{}` is not as this command left it", shelf.list.display());
            let hint = "move it somewhere else, or choose another folder with -o";
            return Err(NotWritten::Refused(Diagnostic::fault("somebodys-work", message).hint(hint)));
        };
        let known = listed.copy.iter().map(|entry| entry.file.clone()).collect();
        Ok(Shelf { earlier: listed.copy, known, ..shelf })
    }

    /// Takes a copy that is to be written.
    ///
    /// # Errors
    /// Something of its name lies there that no run of this command has listed, or that is no copy.
    pub(crate) fn take(&mut self, entry: Entry, bytes: Vec<u8>) -> Result<(), NotWritten> {
        let path = self.folder.join(&entry.file);
        let is_there = path.symlink_metadata().is_ok();
        if is_there && self.is_same(&path, &bytes) {
            self.waiting.push((entry, None));
            return Ok(());
        }
        if is_there && !self.known.contains(&entry.file) {
            let message = format!("`{}` is there already, and the list of copies does not know it", path.display());
            let hint = "move it somewhere else, or choose another folder with -o";
            return Err(NotWritten::Refused(Diagnostic::fault("somebodys-work", message).hint(hint)));
        }
        write::may_write(&self.place(&path))?;
        self.waiting.push((entry, Some(bytes)));
        Ok(())
    }

    /// Whether it is time to write what waits.
    pub(crate) fn is_full(&self) -> bool {
        let bytes: usize = self.waiting.iter().filter_map(|(_, bytes)| bytes.as_ref()).map(Vec::len).sum();
        self.waiting.len() >= AT_ONCE || bytes >= BYTES_AT_ONCE
    }

    /// Lists what waits, and writes it.
    ///
    /// # Errors
    /// The machine fails; then only what was written is listed.
    pub(crate) fn put_down(&mut self) -> Result<(), NotWritten> {
        let waiting = std::mem::take(&mut self.waiting);
        if waiting.is_empty() {
            return Ok(());
        }
        let done = self.done.len();
        self.done.extend(waiting.iter().map(|(entry, _)| entry.clone()));
        let mut result = self.write_list();
        let mut written = 0;
        for (entry, bytes) in waiting {
            let path = self.folder.join(&entry.file);
            result = result.and_then(|()| bytes.map_or(Ok(()), |bytes| write::whole(&self.place(&path), &bytes)));
            written += usize::from(result.is_ok());
        }
        self.made += written;
        if result.is_err() {
            self.done.truncate(done + written);
            // The first failure is the one to tell.
            let _listed = if self.done.is_empty() && self.earlier.is_empty() {
                std::fs::remove_file(&self.list).map_err(|e| NotWritten::Failed(write::failed(&self.list, &e)))
            } else {
                self.write_list()
            };
        }
        result
    }

    fn write_list(&self) -> Result<(), NotWritten> {
        let mut list = Manifest::new(LIST_OF_COPIES, "copy");
        let made_again: BTreeSet<&str> = self.done.iter().map(|done| done.file.as_str()).collect();
        let is_there = |entry: &Entry| self.folder.join(&entry.file).is_file();
        let earlier = self.earlier.iter().filter(|entry| !made_again.contains(entry.file.as_str()) && is_there(entry));
        for entry in earlier.chain(&self.done) {
            let fields = list.entry();
            fields.text("file", &entry.file).text("name", &entry.name);
            if let Some(order) = &entry.order {
                fields.text("order", order);
            }
            fields.text("sha256", &entry.sha256);
        }
        write::whole(&self.place_of_list(), list.written().as_bytes())
    }

    fn place_of_list(&self) -> Place<'_> {
        Place { path: &self.list, kind: FileKind::ListOfCopies, on_purpose: false, read: self.read }
    }

    fn place<'p>(&'p self, path: &'p Path) -> Place<'p> {
        Place { path, kind: FileKind::Pdf, on_purpose: false, read: self.read }
    }

    fn is_same(&self, path: &Path, bytes: &[u8]) -> bool {
        let mut sources = Sources::new();
        let is_plain = path.symlink_metadata().is_ok_and(|about| about.is_file());
        is_plain && sources.read(path, MAX_FILE_BYTES).is_ok_and(|id| sources.get(id).bytes() == bytes)
    }
}
