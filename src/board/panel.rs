//! One panel of the folder: its files, its journal, and what is known of it. Every change goes through [`Panel::change`]:
//! the files are read again first, so what another program did in the meantime is a step of its own and is never lost.

mod apply;
mod change;
mod files;
mod reckoned;

use files::{PROJECT, chart, grid, letters, project_text, size};

pub(super) use change::{Change, Refused, Whole};
pub(super) use files::{blank, bytes};
pub(super) use reckoned::Reckoned;

use super::journal::{Files, Journal};
use super::means::{Means, inside};
use crate::diag::Diagnostic;
use crate::edit::form::{self, YarnLine};
use crate::edit::{Grid, chart_picture, chart_text};
use crate::picture;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// The kind of a step by another program.
const ELSEWHERE: &str = "elsewhere";
/// Seconds in which changes by other programs count as one.
const MOMENT: u64 = 2;
/// How often, and after what time, files that cannot be read any more are looked at again: for a second in all, as machines
/// that are busy let an editor wait between emptying a file and filling it.
const PATIENCE: usize = 25;
/// See [`PATIENCE`].
const LOOK_AGAIN: Duration = Duration::from_millis(40);
/// Most bytes of a project file, of a chart and of a journal.
const LARGEST: [u64; 3] = [1_000_000, 20_000_000, 200 << 20];

/// One panel.
#[derive(Debug)]
pub(super) struct Panel {
    folder: PathBuf,
    journal: Journal,
    reckoned: Option<Arc<Reckoned>>,
    /// Why the project file cannot be read from the disk, where it cannot.
    unreadable: Option<Diagnostic>,
}

/// What a page shows of a panel before anything is reckoned.
#[derive(Debug)]
pub(super) struct Sketch {
    /// The number of this state.
    pub(crate) n: u64,
    /// Title of the pattern, or the folder's name.
    pub(crate) title: String,
    /// The chart; `None` where it cannot be read: then faults say why.
    pub(crate) grid: Option<Grid>,
    /// The yarns.
    pub(crate) yarns: Vec<YarnLine>,
    /// Whether the chart is a picture.
    pub(crate) is_picture: bool,
    /// Kinds of the steps that can be undone and done again.
    pub(crate) undo: Option<String>,
    /// See `undo`.
    pub(crate) redo: Option<String>,
}

impl Panel {
    /// The panel in a folder. Its journal is read, and a step that was cut off between two files is finished.
    pub(super) fn open(folder: &Path, means: &Means) -> Result<Panel, Diagnostic> {
        let disk = settled(folder, true)?;
        let noted = Journal::place(folder).and_then(|path| bytes(&path, LARGEST[2]).ok());
        let journal = Journal::open(folder, noted, &disk);
        let mut panel = Panel { folder: folder.to_path_buf(), journal, reckoned: None, unreadable: None };
        if panel.journal.is_half_done(&disk) {
            let files = panel.journal.files().clone();
            panel.write(&disk, &files, means)?;
        } else {
            panel.adopt(&disk, means)?;
        }
        Ok(panel)
    }

    /// The folder.
    pub(super) fn folder(&self) -> &Path {
        &self.folder
    }

    /// The number of the present state.
    pub(super) fn n(&self) -> u64 {
        self.journal.n()
    }

    /// Steps so far, and how many of them are done.
    pub(super) fn journal(&self) -> &Journal {
        &self.journal
    }

    /// Looks whether another program changed the files. Answers whether they did.
    ///
    /// # Errors
    /// A failure where the journal cannot be written.
    pub(super) fn refresh(&mut self, means: &Means) -> Result<bool, Diagnostic> {
        match settled(&self.folder, size(self.journal.files()).is_some()) {
            Ok(disk) => {
                let was = self.unreadable.take().is_some();
                Ok(self.adopt(&disk, means)? || was)
            }
            Err(fault) => {
                let new = self.unreadable.as_ref() != Some(&fault);
                self.unreadable = Some(fault);
                Ok(new)
            }
        }
    }

    fn adopt(&mut self, disk: &Files, means: &Means) -> Result<bool, Diagnostic> {
        if disk == self.journal.files() {
            return Ok(false);
        }
        let time = (means.clock)();
        let noted = self.one_step_of_several(time).and_then(|()| {
            let before = self.journal.files();
            let moved = size(before) != size(disk);
            if disk == before { Ok(()) } else { self.journal.record(ELSEWHERE, moved, time, disk) }
        });
        noted.map_err(|error| (means.failed)(&Journal::path_in(&self.folder), &error))?;
        Ok(true)
    }

    /// Programs empty a file and fill it again, or write one file after the other: what they do within a moment is one step.
    fn one_step_of_several(&mut self, time: u64) -> std::io::Result<()> {
        let (steps, done) = self.journal.steps();
        let last = steps.last().filter(|_| done == steps.len());
        if last.is_some_and(|last| last.kind == ELSEWHERE && time.saturating_sub(last.time) <= MOMENT) {
            self.journal.step(true)?;
        }
        Ok(())
    }

    /// What a page shows at once.
    pub(super) fn sketch(&self) -> Sketch {
        let files = self.journal.files();
        let text = project_text(files);
        let yarns = form::yarns(text).unwrap_or_default();
        let (steps, done) = self.journal.steps();
        let title = form::top(text, "title").filter(|title| !title.trim().is_empty());
        Sketch {
            n: self.journal.n(),
            title: title.unwrap_or_else(|| name_of(&self.folder)),
            grid: grid(files, &yarns),
            is_picture: chart(files).is_some_and(|(_, bytes)| picture::is_picture(bytes)),
            yarns,
            undo: done.checked_sub(1).and_then(|at| steps.get(at)).map(|step| step.kind.clone()),
            redo: steps.get(done).map(|step| step.kind.clone()),
        }
    }

    /// The chart after the first `count` steps of the journal; `None` where it cannot be read.
    pub(super) fn earlier(&self, count: usize) -> Option<(Grid, Vec<YarnLine>)> {
        let files = self.journal.state(count)?;
        let yarns = form::yarns(project_text(&files))?;
        Some((grid(&files, &yarns)?, yarns))
    }

    /// Everything that follows from the files, reckoned once for each state.
    pub(super) fn reckoned(&mut self) -> Arc<Reckoned> {
        let n = self.journal.n();
        let made = match self.reckoned.take().filter(|_| self.unreadable.is_none()) {
            Some(made) if made.n == n => made,
            before => Arc::new(Reckoned::of(&self.folder, n, before.as_deref())),
        };
        self.reckoned = Some(Arc::clone(&made));
        made
    }

    /// The project file as it is now.
    pub(super) fn text(&self) -> &str {
        project_text(self.journal.files())
    }

    /// The files of a new panel with these yarns and ways: with another title, and with this chart or a plain one of `size`.
    pub(super) fn copy(&self, title: &str, size: Option<[usize; 2]>) -> Result<Vec<(String, Vec<u8>)>, Diagnostic> {
        let text = self.text();
        let from = form::values(text)?["title"].clone();
        let place = form::Place { section: String::new(), item: None, key: "title".to_owned() };
        let change = form::Change::Set { place, from, to: serde_json::Value::from(title) };
        let mut files = self.journal.files().clone();
        let yarns = form::yarns(text).unwrap_or_default();
        if let Some([columns, rows]) = size {
            let letter = yarns.first().map_or('A', |yarn| yarn.letter);
            let plain = blank(columns, rows, letter)?;
            let (name, bytes) = chart(&files).ok_or_else(|| Diagnostic::fault("no-chart", "the panel has no chart"))?;
            let packed = match picture::is_picture(bytes) {
                true => chart_picture::write(Some(bytes), &plain, &letters(&yarns))?,
                false => chart_text::fresh(&plain).into_bytes(),
            };
            let name = name.clone();
            files.insert(name, packed);
        }
        files.insert(PROJECT.to_owned(), form::apply(text, &change)?.into_bytes());
        Ok(files.into_iter().collect())
    }

    /// Applies a change that a page made on the state `base`. The answer is where something else stood than the page saw.
    pub(super) fn change(&mut self, base: u64, change: &Change, means: &Means) -> Result<Vec<usize>, Refused> {
        self.refresh(means).map_err(Refused::Told)?;
        if let Some(fault) = &self.unreadable {
            return Err(Refused::Told(fault.clone()));
        }
        if change.is_about_places() && self.journal.moved_since(base) {
            return Err(Refused::Moved);
        }
        let before = self.journal.files().clone();
        let mark = self.journal.mark();
        let journal_failed =
            |error: std::io::Error| Refused::Told((means.failed)(&Journal::path_in(&self.folder), &error));
        let mut kept = Vec::new();
        match change {
            Change::Undo | Change::Redo => {
                let back = matches!(change, Change::Undo);
                if self.journal.step(back).map_err(journal_failed)?.is_none() {
                    return Ok(kept);
                }
            }
            other => {
                let (after, left) = match other {
                    Change::Restore { steps } => (self.journal.state(*steps).ok_or(Refused::Moved)?, Vec::new()),
                    other => apply::apply(&before, other)?,
                };
                kept = left;
                if after == before {
                    return Ok(kept);
                }
                let moved = other.moves() || size(&before) != size(&after);
                self.journal.record(other.kind(), moved, (means.clock)(), &after).map_err(journal_failed)?;
            }
        }
        let after = self.journal.files().clone();
        if let Err(failure) = self.write(&before, &after, means) {
            self.journal.take_back(&mark);
            return Err(Refused::Told(failure));
        }
        Ok(kept)
    }

    /// Writes what differs. Where one file fails, those before it are put back.
    fn write(&self, before: &Files, after: &Files, means: &Means) -> Result<(), Diagnostic> {
        let mut written: Vec<&String> = Vec::new();
        for (name, bytes) in after.iter().filter(|(name, bytes)| before.get(*name) != Some(bytes)) {
            // A name that the project gives may have become a link to elsewhere since it was read.
            let done = place(&self.folder, name).and_then(|path| (means.write)(&path, bytes));
            if let Err(failure) = done {
                for name in written {
                    if let Some(old) = before.get(name) {
                        let _put_back = (means.write)(&self.folder.join(name), old);
                    }
                }
                return Err(failure);
            }
            written.push(name);
        }
        Ok(())
    }
}

/// The path of a file that may be written: one that is there must lie inside the folder.
fn place(folder: &Path, name: &str) -> Result<PathBuf, Diagnostic> {
    match inside(folder, name) {
        Err(fault) if fault.id == "no-such-file" => Ok(folder.join(name)),
        other => other,
    }
}

/// The files, once whoever is writing them has written them: editors empty a file and fill it again, and what is seen in
/// between is no state of the panel. A chart that could not be read before is not waited for.
fn settled(folder: &Path, was_readable: bool) -> Result<Files, Diagnostic> {
    let mut disk = read(folder)?;
    for _ in 0..PATIENCE {
        if !was_readable || size(&disk).is_some() {
            break;
        }
        std::thread::sleep(LOOK_AGAIN);
        disk = read(folder)?;
    }
    Ok(disk)
}

/// The files of a panel as they are on the disk: the project file, and its chart where it can be read.
fn read(folder: &Path) -> Result<Files, Diagnostic> {
    let project = bytes(&inside(folder, PROJECT)?, LARGEST[0])?;
    let mut files = Files::from([(PROJECT.to_owned(), project)]);
    if let Some(name) = form::top(project_text(&files), "chart")
        && let Some(bytes) = inside(folder, &name).ok().and_then(|path| bytes(&path, LARGEST[1]).ok())
    {
        files.insert(name, bytes);
    }
    Ok(files)
}

/// The name of a folder, for panels without a title.
pub(super) fn name_of(folder: &Path) -> String {
    folder.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}
