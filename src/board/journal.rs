//! What was done to a panel's files, step by step, so that it can be undone after a reload, a restart or a power cut.
//!
//! One file of JSON lines in the panel's own folder: a start with whole files, then a line for each step, undo and redo. A
//! step holds what was cut and what was put in its place. The line is on the disk before the files are, so a step that was
//! cut off in the middle of two files is finished when the folder is opened again. Whoever deletes the journal loses the
//! undo and nothing else.
//!
//! Long, and one subject: one file, how it is written and how it is read again.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Files of a panel by name; one that is not there has no entry.
pub(super) type Files = BTreeMap<String, Vec<u8>>;

/// The folder inside a panel's folder that holds the journal.
pub(super) const FOLDER: &str = ".hitchpress";
const FILE: &str = "journal.jsonl";
/// A longer journal is begun anew from the older half of its steps on.
const LONGEST: u64 = 64 << 20;

/// What a step was, in a word that the page has phrases for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Step {
    /// `knots`, `put-in`, `form`, `elsewhere` ...
    pub(crate) kind: String,
    /// When, in seconds since 1970.
    pub(crate) time: u64,
    /// Whether rows or columns moved.
    pub(crate) moved: bool,
    files: Vec<Cut>,
}

/// What is different in one file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Cut {
    file: String,
    at: usize,
    cut: Bytes,
    put: Bytes,
    /// Whether the file was there before.
    was: bool,
    /// Whether it is there after.
    is: bool,
}

/// Bytes as text where they are text, else as figures of sixteen.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
enum Bytes {
    Text(String),
    Hex { hex: String },
}

impl Bytes {
    fn of(bytes: &[u8]) -> Bytes {
        match std::str::from_utf8(bytes) {
            Ok(text) => Bytes::Text(text.to_owned()),
            Err(_) => Bytes::Hex { hex: bytes.iter().map(|b| format!("{b:02x}")).collect() },
        }
    }
    fn bytes(&self) -> Option<Vec<u8>> {
        match self {
            Bytes::Text(text) => Some(text.clone().into_bytes()),
            Bytes::Hex { hex } => {
                let digits = hex.as_bytes();
                let pair = |pair: &[u8]| u8::from_str_radix(std::str::from_utf8(pair).ok()?, 16).ok();
                digits.len().is_multiple_of(2).then(|| digits.chunks_exact(2).map(pair).collect()).flatten()
            }
        }
    }
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Line {
    Start { note: String, n: u64, files: BTreeMap<String, Bytes> },
    Step(Step),
    Undo { moved: bool },
    Redo { moved: bool },
}

const NOTE: &str = "Steps of `hitchpress board`, for undo. This file may be deleted: only the undo is lost.";

/// The journal of one panel.
#[derive(Debug)]
pub(super) struct Journal {
    /// `None` where there is no place for one: then it is kept in memory only.
    path: Option<PathBuf>,
    length: u64,
    steps: Vec<Step>,
    done: usize,
    n: u64,
    moved: u64,
    now: Files,
    before_last: Files,
}

impl Journal {
    /// The journal of the panel in `folder`; a new one begins with `files`, as they are on the disk. `bytes` is what the
    /// journal's file holds, if there is one.
    pub(super) fn open(folder: &Path, bytes: Option<Vec<u8>>, files: &Files) -> Journal {
        let mut journal = Journal {
            path: Journal::place(folder),
            length: 0,
            steps: Vec::new(),
            done: 0,
            n: 0,
            moved: 0,
            now: files.clone(),
            before_last: files.clone(),
        };
        if let Some(bytes) = bytes
            && journal.replay(&bytes).is_none()
        {
            journal = Journal { steps: Vec::new(), done: 0, length: 0, n: journal.n, now: files.clone(), ..journal };
        }
        journal
    }

    /// The path of the journal below a panel's folder.
    pub(super) fn path_in(folder: &Path) -> PathBuf {
        folder.join(FOLDER).join(FILE)
    }

    /// Where the journal may be: a real folder and a real file, never through a link to elsewhere.
    pub(super) fn place(folder: &Path) -> Option<PathBuf> {
        let inner = folder.join(FOLDER);
        let is_ours = |path: &Path, wanted: fn(&std::fs::Metadata) -> bool| match path.symlink_metadata() {
            Ok(about) => wanted(&about),
            Err(error) => error.kind() == std::io::ErrorKind::NotFound,
        };
        let path = inner.join(FILE);
        (is_ours(&inner, std::fs::Metadata::is_dir) && is_ours(&path, std::fs::Metadata::is_file)).then_some(path)
    }

    /// `None`: the bytes are no journal from their first line on.
    fn replay(&mut self, bytes: &[u8]) -> Option<()> {
        let mut started = false;
        let mut at = 0;
        while at < bytes.len() {
            // A line without an end was cut off by a power cut, and never counted.
            let Some(end) = bytes[at..].iter().position(|b| *b == b'\n').map(|end| at + end) else { break };
            let Ok(line) = serde_json::from_slice::<Line>(&bytes[at..end]) else { break };
            if self.follow(&line, started).is_none() {
                break;
            }
            started = true;
            at = end + 1;
            self.length = at as u64;
        }
        started.then_some(())
    }

    fn follow(&mut self, line: &Line, started: bool) -> Option<()> {
        let before = self.now.clone();
        match line {
            Line::Start { n, files, .. } => {
                let files: Option<Files> = files.iter().map(|(name, b)| Some((name.clone(), b.bytes()?))).collect();
                self.now = files?;
                (self.n, self.moved) = (*n, *n);
                self.steps.clear();
                self.done = 0;
            }
            _ if !started => return None,
            Line::Step(step) => {
                self.now = step.over(&self.now, false)?;
                self.take(step.clone());
            }
            Line::Undo { moved } => {
                let at = self.done.checked_sub(1)?;
                self.now = self.steps.get(at)?.over(&self.now, true)?;
                self.count(*moved);
                self.done = at;
            }
            Line::Redo { moved } => {
                self.now = self.steps.get(self.done)?.over(&self.now, false)?;
                self.count(*moved);
                self.done += 1;
            }
        }
        self.before_last = before;
        Some(())
    }

    fn take(&mut self, step: Step) {
        self.count(step.moved);
        self.steps.truncate(self.done);
        self.steps.push(step);
        self.done = self.steps.len();
    }

    fn count(&mut self, moved: bool) {
        self.n += 1;
        if moved {
            self.moved = self.n;
        }
    }

    /// The number of the state, which only grows.
    pub(super) fn n(&self) -> u64 {
        self.n
    }
    /// The files as they should be.
    pub(super) fn files(&self) -> &Files {
        &self.now
    }
    /// Whether rows or columns moved after the state `base`.
    pub(super) fn moved_since(&self, base: u64) -> bool {
        self.moved > base
    }
    /// All steps, and how many of them are done.
    pub(super) fn steps(&self) -> (&[Step], usize) {
        (&self.steps, self.done)
    }
    /// The files after the first `count` steps. `None` where there are not so many.
    pub(super) fn state(&self, count: usize) -> Option<Files> {
        let mut files = self.now.clone();
        if count > self.steps.len() {
            return None;
        }
        for step in self.steps.get(count..self.done).unwrap_or_default().iter().rev() {
            files = step.over(&files, true)?;
        }
        for step in self.steps.get(self.done..count).unwrap_or_default() {
            files = step.over(&files, false)?;
        }
        Some(files)
    }
    /// Whether `disk` is the last line cut off between two files: some as after it, the others still as before it.
    pub(super) fn is_half_done(&self, disk: &Files) -> bool {
        let names = || self.now.keys().chain(self.before_last.keys());
        let differs = |name: &&String| self.now.get(*name) != self.before_last.get(*name);
        let changed: Vec<&String> = names().filter(differs).collect();
        let new = changed.iter().any(|name| disk.get(*name) == self.now.get(*name));
        let old = changed.iter().any(|name| disk.get(*name) == self.before_last.get(*name));
        let known = names().all(|n| disk.get(n) == self.now.get(n) || disk.get(n) == self.before_last.get(n));
        new && old && known
    }

    /// Notes a step from the present files to `after`. It is on the disk when this returns.
    ///
    /// # Errors
    /// The machine's error; nothing is noted then.
    pub(super) fn record(&mut self, kind: &str, moved: bool, time: u64, after: &Files) -> std::io::Result<()> {
        let step = Step { kind: kind.to_owned(), time, moved, files: cuts(&self.now, after) };
        self.append(&Line::Step(step.clone()))?;
        self.before_last = std::mem::replace(&mut self.now, after.clone());
        self.take(step);
        Ok(())
    }

    /// Notes that the last step is undone, or the next one done again. `None` where there is none.
    ///
    /// # Errors
    /// The machine's error; nothing is noted then.
    pub(super) fn step(&mut self, back: bool) -> std::io::Result<Option<()>> {
        let at = if back { self.done.checked_sub(1) } else { Some(self.done) };
        let Some((at, step)) = at.and_then(|at| Some((at, self.steps.get(at)?.clone()))) else { return Ok(None) };
        let Some(after) = step.over(&self.now, back) else { return Ok(None) };
        let moved = step.moved;
        self.append(&if back { Line::Undo { moved } } else { Line::Redo { moved } })?;
        self.before_last = std::mem::replace(&mut self.now, after);
        self.count(moved);
        self.done = if back { at } else { at + 1 };
        Ok(Some(()))
    }

    /// Takes the last line back, because the files could not be written. `before` is what they were.
    pub(super) fn take_back(&mut self, before: &Mark) {
        self.now = before.files.clone();
        self.done = before.done;
        self.n = before.n;
        self.moved = before.moved;
        self.steps.truncate(before.steps.len().max(before.done));
        self.steps = before.steps.clone();
        self.length = before.length;
        if let Some(path) = &self.path {
            // If it cannot be shortened, the next line is written over it; a torn end is not read.
            let _shorter = std::fs::OpenOptions::new().write(true).open(path).and_then(|f| f.set_len(self.length));
        }
    }

    /// Where the journal stands, to come back to.
    pub(super) fn mark(&self) -> Mark {
        Mark {
            files: self.now.clone(),
            steps: self.steps.clone(),
            done: self.done,
            n: self.n,
            moved: self.moved,
            length: self.length,
        }
    }

    fn append(&mut self, line: &Line) -> std::io::Result<()> {
        let Some(path) = self.path.clone() else { return Ok(()) };
        let mut text = Vec::new();
        if self.length > LONGEST {
            self.shorten()?;
        }
        if self.length == 0 {
            let files = self.now.iter().map(|(name, bytes)| (name.clone(), Bytes::of(bytes))).collect();
            let start = Line::Start { note: NOTE.to_owned(), n: self.n, files };
            text.extend(serde_json::to_vec(&start)?);
            text.push(b'\n');
        }
        text.extend(serde_json::to_vec(line)?);
        text.push(b'\n');
        if let Some(folder) = path.parent()
            && !folder.is_dir()
        {
            std::fs::create_dir(folder)?;
            self.length = 0;
        }
        let mut file = std::fs::OpenOptions::new().create(true).truncate(false).write(true).open(&path)?;
        // What lies behind is a line that was cut off, or a journal that could not be read.
        file.set_len(self.length)?;
        std::io::Seek::seek(&mut file, std::io::SeekFrom::Start(self.length))?;
        file.write_all(&text).and_then(|()| file.sync_data()).inspect_err(|_| {
            let _shorter = file.set_len(self.length);
        })?;
        self.length += text.len() as u64;
        Ok(())
    }

    /// Forgets the older half of the steps.
    fn shorten(&mut self) -> std::io::Result<()> {
        let half = self.done / 2;
        let Some(first) = self.state(half) else { return Ok(()) };
        let now = std::mem::replace(&mut self.now, first);
        let rest = self.steps.split_off(half);
        let (done, n) = (self.done - half, self.n);
        (self.length, self.n) = (0, n - done as u64);
        self.steps = Vec::new();
        self.done = 0;
        for step in &rest {
            let Some(after) = step.over(&self.now, false) else { break };
            self.append(&Line::Step(step.clone()))?;
            self.now = after;
            self.take(step.clone());
        }
        for _ in done..rest.len() {
            self.step(true)?;
        }
        (self.now, self.n) = (now, self.n.max(n));
        Ok(())
    }
}

/// A place in a journal.
#[derive(Debug)]
pub(super) struct Mark {
    files: Files,
    steps: Vec<Step>,
    done: usize,
    n: u64,
    moved: u64,
    length: u64,
}

impl Step {
    /// The files after this step, or before it with `back`. `None` where they are not those it was made from.
    fn over(&self, files: &Files, back: bool) -> Option<Files> {
        let mut files = files.clone();
        for cut in &self.files {
            let (from, to) = if back { (&cut.put, &cut.cut) } else { (&cut.cut, &cut.put) };
            let (was, is) = if back { (cut.is, cut.was) } else { (cut.was, cut.is) };
            if files.contains_key(&cut.file) != was {
                return None;
            }
            let mut bytes = files.remove(&cut.file).unwrap_or_default();
            let (from, to) = (from.bytes()?, to.bytes()?);
            let end = cut.at.checked_add(from.len())?;
            if bytes.get(cut.at..end)? != from {
                return None;
            }
            bytes.splice(cut.at..end, to);
            if is {
                files.insert(cut.file.clone(), bytes);
            }
        }
        Some(files)
    }
}

fn cuts(before: &Files, after: &Files) -> Vec<Cut> {
    let mut names: Vec<&String> = before.keys().chain(after.keys()).collect();
    names.sort();
    names.dedup();
    let empty = Vec::new();
    names
        .into_iter()
        .filter(|name| before.get(*name) != after.get(*name))
        .map(|name| {
            let (a, b) = (before.get(name).unwrap_or(&empty), after.get(name).unwrap_or(&empty));
            let head = a.iter().zip(b).take_while(|(a, b)| a == b).count();
            let tail = a[head..].iter().rev().zip(b[head..].iter().rev()).take_while(|(a, b)| a == b).count();
            Cut {
                file: name.clone(),
                at: head,
                cut: Bytes::of(&a[head..a.len() - tail]),
                put: Bytes::of(&b[head..b.len() - tail]),
                was: before.contains_key(name),
                is: after.contains_key(name),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests;
