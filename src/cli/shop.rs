//! `hitchpress shop`: everything a shop needs, one folder for each project. The work is cut into pieces that the processors
//! take in turns; what a piece makes does not hang on which of them makes it, or when.
//!
//! Long, and one subject: one folder, piece by piece.

mod file;
mod jobs;
mod kept;
mod names;
mod work;

use super::args::{ListingPart, Shop};
use super::compose::advice_counted;
use super::listing;
use super::outcome::Outcome;
use super::print;
use super::report::{self, counted};
use super::write::{self, Folder, NewFileError, Way};
use crate::catalogue::{EditionName, PaperName};
use crate::cores;
use crate::diag::{Diagnostic, Report, Severity};
use crate::font::FontBook;
use crate::manuscript::listing::{ListedFile, ListingLimits};
use crate::manuscript::pasted::PasteFormat;
use crate::press::{self, Prepared, Wishes, pictures};
use crate::project::{PLACEHOLDER, Project};
use crate::source::{Sources, real, unsteered};
use file::ShopFile;
use jobs::{Beside, Job};
use kept::LastRun;
pub(crate) use kept::shop_folder;
pub(crate) use names::is_name;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use work::{Done, ShopContext};

/// Makes every folder, each whole or not at all. A project that cannot be made stops no other.
pub(crate) fn run(typed: &Shop) -> Outcome {
    let mut sources = Sources::new();
    let wrong = jobs::faults(typed, &mut sources);
    if wrong.has_faults() {
        report::show(&wrong, &sources);
        return if wrong.machine_failed() { Outcome::MachineFailed } else { Outcome::WrongUse };
    }
    let _way = match typed.output.as_deref().map(|folder| (folder, Way::to(folder))) {
        Some((folder, Err(error))) => {
            let mut wrong = Report::new();
            wrong.push(write::failed(folder, &error));
            report::show(&wrong, &sources);
            return Outcome::MachineFailed;
        }
        Some((_, Ok(way))) => Some(way),
        None => None,
    };
    let floor = Floor { typed, book: FontBook::shipped(), ends: Mutex::default(), progress: Mutex::default() };
    let tasks = Tasks { floor: &floor, next: 0, open: None, folders: BTreeMap::new() };
    cores::in_turns(tasks, |(open, piece)| {
        open.work(piece, &floor);
        if open.left.fetch_sub(1, Ordering::AcqRel) == 1 {
            floor.ends(open.at, open.close(&floor));
        }
    });
    report::progress("");
    let ends = held(&floor.ends);
    ends.values().for_each(|end| report::say_rendered(&end.said));
    let failed = ends.values().filter(|end| end.outcome != Outcome::Done).count();
    if ends.len() > 1 {
        report::say(&match failed {
            0 => format!("{} shop folders, all whole", ends.len()),
            n => format!("{} shop folders, {n} of them not made; what was there before is as it was", ends.len()),
        });
        let names = ends.iter().filter(|(_, end)| end.outcome != Outcome::Done);
        names.for_each(|(at, _)| report::say(&format!("not made: {}", typed.projects[*at].display())));
    }
    ends.values().map(|end| end.outcome).max_by_key(|outcome| gravity(*outcome)).unwrap_or(Outcome::Done)
}

/// The gravest outcome is the whole run's.
fn gravity(outcome: Outcome) -> u8 {
    match outcome {
        Outcome::Done => 0,
        Outcome::WrongUse => 1,
        Outcome::Faults => 2,
        Outcome::MachineFailed => 3,
    }
}

/// What all projects of a run share.
struct Floor<'a> {
    typed: &'a Shop,
    book: FontBook,
    /// How each project ended, by its place on the command line.
    ends: Mutex<BTreeMap<usize, End>>,
    progress: Mutex<Progress>,
}

/// How a project ended.
struct End {
    outcome: Outcome,
    said: String,
}

#[derive(Default)]
struct Progress {
    pieces: usize,
    patterns: usize,
    failed: usize,
}

impl Floor<'_> {
    fn ends(&self, at: usize, end: End) {
        let failed = end.outcome != Outcome::Done;
        held(&self.ends).insert(at, end);
        self.tell(|progress| {
            progress.patterns += 1;
            progress.failed += usize::from(failed);
        });
    }

    /// Says how far the run is, to somebody who watches.
    fn tell(&self, step: impl FnOnce(&mut Progress)) {
        let mut progress = held(&self.progress);
        step(&mut progress);
        let failed = match progress.failed {
            0 => String::new(),
            n => format!(", {n} failed"),
        };
        let (done, all) = (progress.patterns, counted(self.typed.projects.len(), "pattern", "patterns"));
        let pieces = counted(progress.pieces, "piece", "pieces");
        report::progress(&format!("{done} of {all}{failed}; {pieces} of work done"));
    }
}

/// A lock whose holder has panicked is still of use: what it guards is whole after every step.
fn held<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

/// All pieces of work of a run, one project after another. A project is opened when its first piece is taken, so that only
/// as many lie open as there are workers, and one more.
struct Tasks<'a> {
    floor: &'a Floor<'a>,
    next: usize,
    /// The project whose pieces are being handed out, and how many have been.
    open: Option<(Arc<OpenProject>, usize)>,
    /// Folders that this run makes, and the project each is for.
    folders: BTreeMap<PathBuf, usize>,
}

impl Iterator for Tasks<'_> {
    type Item = (Arc<OpenProject>, usize);

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            if let Some((open, given)) = &mut self.open
                && *given < open.jobs.len()
            {
                *given += 1;
                // The last ones take longest, pictures above all: they come first.
                return Some((Arc::clone(open), open.jobs.len() - *given));
            }
            self.open = None;
            let (at, path) = (self.next, self.floor.typed.projects.get(self.next)?);
            self.next += 1;
            match OpenProject::begin(at, path, self.floor, &mut self.folders) {
                Ok(open) => self.open = Some((Arc::new(open), 0)),
                Err(end) => self.floor.ends(at, end),
            }
        }
    }
}

/// A project at work.
struct OpenProject {
    at: usize,
    /// The versions of the project that are made; the first one stands for it where only one can.
    versions: Vec<Prepared>,
    /// Pieces of work with the version that each is for.
    jobs: Vec<(usize, Job)>,
    pictures: pictures::PicturesOptions,
    last: LastRun,
    /// The new folder; taken out when all is in it.
    folder: Mutex<Option<Arc<Folder>>>,
    /// What came of each piece, in the order of `jobs`.
    done: Mutex<Vec<Done>>,
    /// Everything that was found, each thing once.
    found: Mutex<MessageSet>,
    /// Whether the machine failed: no other piece would fare better.
    stopped: AtomicBool,
    /// Pieces that are still to be done.
    left: AtomicUsize,
}

/// What was found on the way, as it is shown. Sources of one piece are gone when the next is done, so it is kept as text; a
/// set, because many pieces find the same, and in another order every time.
#[derive(Default)]
struct MessageSet {
    /// By the piece that found it first.
    all: BTreeMap<String, (usize, usize, Severity)>,
    /// Whether something of it lies in what was typed.
    is_wrong_use: bool,
}

impl MessageSet {
    fn take(&mut self, piece: usize, report: &Report, sources: &Sources) {
        self.is_wrong_use |= report.is_wrong_use();
        for (at, (severity, text)) in report::each(report, sources).into_iter().enumerate() {
            let place = (piece, at, severity);
            self.all.entry(text).and_modify(|old| *old = (*old).min(place)).or_insert(place);
        }
    }

    fn has_faults(&self) -> bool {
        self.all.values().any(|(_, _, severity)| *severity != Severity::Advice)
    }

    fn machine_failed(&self) -> bool {
        self.all.values().any(|(_, _, severity)| *severity == Severity::Failure)
    }

    fn advice(&self) -> usize {
        self.all.values().filter(|(_, _, severity)| *severity == Severity::Advice).count()
    }

    /// The faults as they are shown, in the order of the pieces.
    fn faults(&self) -> String {
        let faults = self.all.iter().filter(|(_, (_, _, severity))| *severity != Severity::Advice);
        let sorted: BTreeSet<_> = faults.map(|(text, place)| (place, text.as_str())).collect();
        sorted.into_iter().map(|(_, text)| format!("{text}\n\n")).collect()
    }

    fn outcome(&self) -> Outcome {
        if self.machine_failed() {
            Outcome::MachineFailed
        } else if self.is_wrong_use {
            Outcome::WrongUse
        } else if self.has_faults() {
            Outcome::Faults
        } else {
            Outcome::Done
        }
    }
}

impl OpenProject {
    /// Opens a project: checks it, sees what lies in its folder's place, and begins the new one.
    fn begin(
        at: usize,
        path: &Path,
        floor: &Floor,
        folders: &mut BTreeMap<PathBuf, usize>,
    ) -> Result<OpenProject, End> {
        let typed = floor.typed;
        let (mut sources, mut report, mut found) = (Sources::new(), Report::new(), MessageSet::default());
        let settle = |project: &Project, _: &mut Sources, report: &mut Report| {
            // Worth knowing while she works; nothing unfinished is sold.
            report.retain(|found| found.id != PLACEHOLDER);
            project.placeholders.iter().for_each(|placeholder| report.push(placeholder.fault()));
            let parent = match typed.output.as_deref().unwrap_or(&project.folder) {
                here if here.as_os_str().is_empty() => Path::new("."),
                parent => parent,
            };
            let target = parent.join(format!("{}-shop", project.folder_stem));
            let real = parent.canonicalize().unwrap_or_else(|_| parent.to_path_buf()).join(target.file_name()?);
            if let Some(other) = folders.insert(real, at) {
                let message = format!(
                    "`{}` is the folder of `{}` as well, which has the same title",
                    target.display(),
                    typed.projects[other].display()
                );
                report.push(
                    Diagnostic::fault("same-folder", message)
                        .hint("give one of them another title, or make them one after the other into several folders"),
                );
            }
            Some((jobs::versions(typed, project), target))
        };
        let opened = press::open(path, &print::manner(&typed.manner), &mut sources, &mut report, settle);
        found.take(0, &report, &sources);
        let opened = opened.and_then(|(_, (wished, target))| {
            let versions = versions(path, typed, &wished, &mut found)?;
            Some((versions, target))
        });
        let Some(((versions, jobs), target)) = opened else {
            return Err(End { outcome: found.outcome(), said: told_faults(path, &found) });
        };
        let claimed = |folder: &Path| real(folder).is_ok_and(|folder| folders.contains_key(&folder));
        let begun = Folder::begin(&target, names::is_name).and_then(|folder| {
            let folder = folder.in_place_of(kept::former(&target, &versions[0].project, claimed));
            Ok((LastRun::read(&folder)?, folder))
        });
        let (last, folder) = begun.map_err(|error| not_fresh(path, error))?;
        let shop = &versions[0].project.shop;
        let width = typed.width.unwrap_or(shop.picture_width);
        let watermark = typed.watermark.clone().or_else(|| shop.watermark.clone());
        // Each worker reads the file for itself; where there are other projects to be made, that would be for nothing.
        let hands = if typed.projects.len() == 1 { pictures::all_hands() } else { 1 };
        let left = AtomicUsize::new(jobs.len());
        Ok(OpenProject {
            at,
            pictures: pictures::PicturesOptions { width: usize::from(width), watermark, hands },
            done: Mutex::new(jobs.iter().map(|_| Done::default()).collect()),
            versions,
            jobs,
            last,
            folder: Mutex::new(Some(Arc::new(folder))),
            found: Mutex::new(found),
            stopped: AtomicBool::new(false),
            left,
        })
    }

    /// Does one piece of the work.
    fn work(&self, piece: usize, floor: &Floor) {
        let Some(folder) = held(&self.folder).clone().filter(|_| !self.stopped.load(Ordering::Acquire)) else {
            return;
        };
        let (version, job) = &self.jobs[piece];
        let (prepared, pictures) = (&self.versions[*version], &self.pictures);
        let bench = ShopContext { prepared, book: &floor.book, pictures, folder: &folder };
        let mut report = Report::new();
        let done = bench.make(job, &mut report);
        if report.machine_failed() {
            self.stopped.store(true, Ordering::Release);
        }
        // What a piece finds lies in no file of the maker's.
        held(&self.found).take(piece + 1, &report, &Sources::new());
        held(&self.done)[piece] = done;
        floor.tell(|progress| progress.pieces += 1);
    }

    /// What is pasted beside the pattern in each of its languages, with the pages that its files have.
    fn pasted(&self, made: &[ShopFile]) -> Vec<(String, String)> {
        let mut languages: Vec<&str> = Vec::new();
        let mut all = Vec::new();
        for prepared in &self.versions {
            let language = prepared.words.language();
            if languages.contains(&language) {
                continue;
            }
            languages.push(language);
            let listing = listing::of(prepared, &listed(made, language), ListingLimits::default());
            let part = |part, format| listing::written(&listing, Some(part), format);
            let titles = part(ListingPart::Titles, PasteFormat::Plain);
            let tags = part(ListingPart::Tags, PasteFormat::Plain);
            let texts = [
                format!("{titles}\n{tags}"),
                part(ListingPart::Description, PasteFormat::Plain),
                part(ListingPart::Materials, PasteFormat::Plain),
                part(ListingPart::Materials, PasteFormat::Markdown),
            ];
            let other = if languages.len() == 1 { String::new() } else { format!("-{language}") };
            let names = names::PASTED.map(|(stem, ending)| format!("{}{stem}{other}{ending}", names::SHOW));
            all.extend(names.into_iter().zip(texts));
        }
        all
    }

    /// Puts the folder in its place, when all of it is made; says how it went.
    fn close(&self, floor: &Floor) -> End {
        let path = &floor.typed.projects[self.at];
        let found = held(&self.found);
        let folder = held(&self.folder).take().and_then(Arc::into_inner);
        let done = std::mem::take(&mut *held(&self.done));
        let record = done.iter().find_map(|done| done.record.clone());
        let (Some(folder), Some(record), false) = (folder, record, found.has_faults()) else {
            return End { outcome: found.outcome(), said: told_faults(path, &found) };
        };
        let notes: Vec<String> = done.iter().filter_map(|done| done.told.clone()).collect();
        let mut made: Vec<ShopFile> = done.into_iter().flat_map(|done| done.made).collect();
        let pasted = self.pasted(&made);
        made.extend(pasted.iter().map(|(name, text)| ShopFile::of(name, text.as_bytes())));
        let Prepared { project, words, .. } = &self.versions[0];
        let said = self.last.changes(&record, &made, words);
        let note = self.last.note(project, &record, &said, words);
        let (target, before) = (folder.path().to_path_buf(), folder.before().to_path_buf());
        let finished = folder.put(names::CHANGES, note.as_bytes()).and_then(|()| {
            made.push(ShopFile::of(names::CHANGES, note.as_bytes()));
            for (name, text) in &pasted {
                folder.put(name, text.as_bytes())?;
            }
            folder.put(super::manifest::NAME, kept::manifest(project, &made).as_bytes())?;
            folder.finish(|name| self.last.is_as_left(&before, name))
        });
        if let Err(error) = finished {
            return not_fresh(path, error);
        }
        let (files, pdfs) = (made.len() + 1, made.iter().filter(|file| file.pages.is_some()).count());
        let pdfs = counted(pdfs, "PDF", "PDFs");
        let mut lines = vec![format!("written: {} ({files} files; {pdfs}, proofed)", target.display())];
        lines.push(match (self.last.is_there(), said.len()) {
            (false, _) => "the first folder of this pattern; the next run says what changed".to_owned(),
            (true, 0) => "nothing changed since the last folder".to_owned(),
            (true, 1) => format!("1 change since the last folder: {} has the draft of an errata note", names::CHANGES),
            (true, n) => {
                format!("{n} changes since the last folder: {} has the draft of an errata note", names::CHANGES)
            }
        });
        if !said.is_empty() && self.last.same_version(&record) {
            let advice = "the version is still {}: raise it in the project file, so that buyers can tell them apart";
            lines.push(advice.replace("{}", &record.version));
        }
        let alone = floor.typed.projects.len() == 1;
        if alone {
            lines.extend(notes);
        }
        lines.extend(advice_counted(found.advice(), path));
        // Of many patterns each has one line.
        End { outcome: Outcome::Done, said: lines.join(if alone { "\n" } else { "; " }) }
    }
}

/// The editions that a buyer gets in this language, with their papers and pages.
fn listed(made: &[ShopFile], language: &str) -> Vec<ListedFile> {
    let mut files: Vec<ListedFile> = Vec::new();
    for file in made.iter().filter(|file| file.name.starts_with(names::UPLOAD)) {
        let about = |key: &str| file.about.iter().find(|(name, _)| *name == key).map(|(_, value)| value.as_str());
        let edition = about("edition").and_then(EditionName::named);
        let paper = about("paper").and_then(PaperName::named);
        let (Some(edition), Some(paper), None, Some(pages)) = (edition, paper, about("sheet"), file.pages) else {
            continue;
        };
        if about("language") != Some(language) {
            continue;
        }
        match files.iter_mut().find(|file| file.edition == edition) {
            Some(listed) if listed.papers.contains(&paper) => {}
            Some(listed) => listed.papers.push(paper),
            None => files.push(ListedFile { edition, papers: vec![paper], pages }),
        }
    }
    files
}

/// Every version of a project that is wished, reckoned, and the work for each. `None`: one of them has faults.
fn versions(
    path: &Path,
    typed: &Shop,
    wished: &[Wishes],
    found: &mut MessageSet,
) -> Option<(Vec<Prepared>, Vec<(usize, Job)>)> {
    let (mut versions, mut all) = (Vec::new(), Vec::new());
    for (at, wishes) in wished.iter().enumerate() {
        let (mut sources, mut report) = (Sources::new(), Report::new());
        let settle = |project: &Project, sources: &mut Sources, report: &mut Report| {
            let pictures = press::read_pictures(project, sources, report);
            let before = || wished[..at].iter();
            let beside = if at == 0 {
                Beside::All
            } else if before().all(|before| before.size != wishes.size) {
                Beside::Amounts
            } else if before().all(|before| before.language != wishes.language) {
                Beside::Licence
            } else {
                Beside::Nothing
            };
            Some((pictures, jobs::jobs(typed, wishes, beside, project, sources, report)))
        };
        let opened = press::open(path, wishes, &mut sources, &mut report, settle);
        found.take(0, &report, &sources);
        if let Some((prepared, (pictures, jobs))) = opened {
            versions.push(prepared.with_pictures(pictures));
            all.extend(jobs.into_iter().map(|job| (at, job)));
        }
    }
    (versions.len() == wished.len() && !versions.is_empty()).then_some((versions, all))
}

/// Why a project's folder was not made, from its faults.
fn told_faults(path: &Path, found: &MessageSet) -> String {
    format!(
        "{}not made: the shop folder of `{}`; what was there before is as it was",
        found.faults(),
        unsteered(&path.display().to_string())
    )
}

/// Why a folder was not written.
fn not_fresh(path: &Path, error: NewFileError) -> End {
    let mut found = MessageSet::default();
    let mut report = Report::new();
    let outcome = match error {
        NewFileError::Taken(path) => {
            let message =
                format!("`{}` is not as this command left it, and nothing of yours is replaced", path.display());
            let hint = "move it somewhere else, or choose another folder with -o";
            report.push(Diagnostic::fault("somebodys-work", message).hint(hint));
            Outcome::WrongUse
        }
        NewFileError::Failed(failure) => {
            report.push(failure);
            Outcome::MachineFailed
        }
    };
    found.take(0, &report, &Sources::new());
    End { outcome, said: told_faults(path, &found) }
}
