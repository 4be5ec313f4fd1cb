//! What is made of a panel: files, proofs, folders for a shop, copies, and new panels. Each is a run of this program beside
//! the board, so that a long one holds nothing up; the page hears when it has ended.

use super::jobs::Job;
use super::means::{Means, inside};
use super::panel::{Panel, blank};
use crate::diag::Diagnostic;
use crate::form::measure;
use crate::names;
use crate::project::{self, Project, schema};
use crate::source::{self, Sources};
use serde::Deserialize;
use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// What is wanted.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub(super) enum Wanted {
    /// A file, and its proof.
    Compose(Print),
    /// The folder for a shop.
    Shop,
    /// Copies of a finished file: `buyers` is a table with commas, its first line `name,order`.
    Copies {
        /// A finished file of the panel's folder.
        file: String,
        /// The table.
        buyers: String,
    },
}

/// How a file is composed; an empty word is as the project says.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Print {
    edition: String,
    paper: String,
    ink: String,
    language: String,
}

/// What came of it.
#[derive(Debug, Default)]
pub(super) struct Made {
    /// Whether all of it was made.
    pub(crate) done: bool,
    /// Whether she stopped it before all of it was made.
    pub(crate) stopped: bool,
    /// What the program said, line by line, in English.
    pub(crate) said: Vec<String>,
    /// Names of the finished files and folders, below the panel's folder.
    pub(crate) files: Vec<String>,
}

/// A new panel.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct New {
    /// Its title; the folder is named after it.
    title: String,
    /// Columns and rows; `None`: as the panel that is copied has them.
    size: Option<[usize; 2]>,
    /// The panel whose yarns and ways are taken; `None`: the starter's.
    like: Option<String>,
    /// Whether its chart is taken too.
    #[serde(default)]
    copied: bool,
    /// The trial of a picture that becomes the panel.
    #[serde(default)]
    pub(crate) trial: Option<u64>,
}

impl New {
    /// The panel that is taken as a model.
    pub(super) fn like(&self) -> Option<&str> {
        self.like.as_deref()
    }
}

/// Most characters of a title.
const LONGEST_TITLE: usize = 200;

fn option(name: &str, value: &str) -> Option<OsString> {
    // One word of the command line: a value that begins with a hyphen stays a value.
    (!value.is_empty()).then(|| format!("--{name}={value}").into())
}

/// Makes it; takes as long as it takes.
pub(super) fn make(
    folder: &Path,
    wanted: &Wanted,
    means: &Means,
    job: &Job,
    hear: &mut dyn FnMut(&str),
) -> Result<Made, Diagnostic> {
    let mut run = |typed: &[OsString]| run(typed, folder, means, job, hear);
    let place = folder.as_os_str().to_owned();
    match wanted {
        Wanted::Compose(print) => {
            let options: Vec<OsString> = [
                option("edition", &print.edition),
                option("paper", &print.paper),
                option("ink", &print.ink),
                option("language", &print.language),
            ]
            .into_iter()
            .flatten()
            .collect();
            let typed = [vec!["compose".into(), place.clone()], options.clone()].concat();
            let mut made = run(&typed)?;
            let Some(file) = made.files.first().filter(|_| made.done).cloned() else { return Ok(made) };
            let typed = [vec!["proof".into(), place, folder.join(&file).into_os_string()], options].concat();
            let proof = run(&typed)?;
            (made.done, made.stopped) = (proof.done, proof.stopped);
            made.said.extend(proof.said);
            Ok(made)
        }
        Wanted::Shop => run(&["shop".into(), place]),
        Wanted::Copies { file, buyers } => {
            let file = finished(folder, file)?;
            let failed = |error: std::io::Error| (means.failed)(folder, &error);
            let mut builder = tempfile::Builder::new();
            let mut list = builder.prefix("buyers-").suffix(".csv").tempfile().map_err(failed)?;
            std::io::Write::write_all(&mut list, buyers.as_bytes()).map_err(failed)?;
            let stem = file.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
            let copies = folder.join(format!("{stem}-copies"));
            let [list, into] = [list.path(), &copies].map(|path| path.as_os_str().to_owned());
            let typed = ["copies".into(), file.into_os_string(), "--buyers".into(), list, "-o".into(), into];
            let mut made = run(&typed)?;
            made.files = below(folder, &copies);
            Ok(made)
        }
    }
}

/// A finished file of a panel: a PDF that lies in its folder.
pub(super) fn finished(folder: &Path, name: &str) -> Result<PathBuf, Diagnostic> {
    let path = inside(folder, name)?;
    if is_pdf(&path) {
        return Ok(path);
    }
    Err(Diagnostic::fault("not-a-pdf", format!("`{name}` is no finished file")))
}

/// Finished files of a panel: those that lie in its folder, and in the folders that were made for a shop or for buyers.
pub(super) fn all_finished(folder: &Path) -> Vec<String> {
    let inner = source::folders(folder).into_iter().filter(|inner| {
        let name = inner.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        !name.starts_with('.')
    });
    // A folder for a shop has parts.
    let inner = inner.flat_map(|inner| {
        let parts = source::folders(&inner);
        std::iter::once(inner).chain(parts)
    });
    let all = std::iter::once(folder.to_path_buf()).chain(inner);
    all.flat_map(|one| below(folder, &one)).filter(|name| is_pdf(Path::new(name))).collect()
}

/// Names of the files in a folder below the panel's.
fn below(folder: &Path, inner: &Path) -> Vec<String> {
    let files = source::files(inner);
    let named = files.iter().filter_map(|path| path.strip_prefix(folder).ok()?.to_str());
    // As addresses write it, on every system.
    named.map(|name| name.replace('\\', "/")).collect()
}

fn is_pdf(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("pdf"))
}

fn run(
    typed: &[OsString],
    folder: &Path,
    means: &Means,
    job: &Job,
    hear: &mut dyn FnMut(&str),
) -> Result<Made, Diagnostic> {
    let (done, said) = (means.run)(typed, job, hear).map_err(|error| {
        Diagnostic::failure("cannot-run", format!("the program cannot be started a second time: {error}"))
    })?;
    let stopped = job.is_stopped() && !done;
    if stopped {
        (means.tidy)(folder);
    }
    let said: Vec<String> = said.lines().map(str::to_owned).collect();
    let written = said.iter().filter_map(|line| line.strip_prefix("written: "));
    let paths = written.map(|path| Path::new(path.trim_end_matches('/')));
    let files = paths.filter(|path| path.starts_with(folder)).flat_map(|path| match Sources::new().is_folder(path) {
        true => {
            let parts = source::folders(path);
            std::iter::once(path.to_path_buf())
                .chain(parts)
                .flat_map(|part| below(folder, &part))
                .collect::<Vec<String>>()
        }
        false => path.strip_prefix(folder).ok().and_then(Path::to_str).map(str::to_owned).into_iter().collect(),
    });
    let files = files.collect();
    Ok(Made { done, stopped, said, files })
}

/// A title without what a folder's name or a file of text could not hold.
fn title(typed: &str) -> Result<String, Diagnostic> {
    let title: String = typed.trim().chars().filter(|c| !c.is_control()).take(LONGEST_TITLE).collect();
    if title.is_empty() {
        return Err(Diagnostic::fault("no-title", "a panel needs a title"));
    }
    Ok(title)
}

/// A name for the folder of a new panel that nothing in `shelf` has yet.
fn free(shelf: &Path, title: &str) -> Result<(String, PathBuf), Diagnostic> {
    let name = names::slugify(title).unwrap_or_else(|| "panel".to_owned());
    let tries = std::iter::once(name.clone()).chain((2..100).map(|n| format!("{name}-{n}")));
    for name in tries {
        let folder = shelf.join(&name);
        if folder.symlink_metadata().is_err() {
            return Ok((name, folder));
        }
    }
    Err(Diagnostic::fault("name-taken", format!("there are a hundred panels called `{title}` already")))
}

/// Writes the folder of a new panel, and answers with its name on the shelf.
pub(super) fn new(shelf: &Path, new: &New, like: Option<&Panel>, means: &Means) -> Result<String, Diagnostic> {
    let title = title(&new.title)?;
    let (name, folder) = free(shelf, &title)?;
    let files = match like {
        Some(panel) => panel.copy(&title, new.size.filter(|_| !new.copied))?,
        None => starter(&title, new.size.unwrap_or([24, 28]), means)?,
    };
    let failed = |error: std::io::Error| (means.failed)(&folder, &error);
    // All of it, or nothing: the folder gets its name when its files are whole.
    let mut builder = tempfile::Builder::new();
    let room = builder.prefix(".hitchpress-").tempdir_in(shelf).map_err(failed)?;
    for (name, bytes) in &files {
        (means.write)(&room.path().join(name), bytes)?;
    }
    let made = room.keep();
    open_to_all(&made);
    std::fs::rename(&made, &folder).map_err(failed)?;
    Ok(name)
}

/// A trial of a picture becomes a panel of the shelf, and gets its title.
pub(super) fn take(shelf: &Path, new: &New, trial: &Path, means: &Means) -> Result<String, Diagnostic> {
    let title = title(&new.title)?;
    let (name, folder) = free(shelf, &title)?;
    let files = Panel::open(trial, means)?.copy(&title, None)?;
    for (name, bytes) in files.iter().filter(|(name, _)| name == "project.toml") {
        (means.write)(&trial.join(name), bytes)?;
    }
    open_to_all(trial);
    std::fs::rename(trial, &folder).map_err(|error| (means.failed)(&folder, &error))?;
    Ok(name)
}

/// Columns and rows for a finished size in millimetres, and the size of so many knots: in the gauge of a project.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sized {
    /// Columns, rows.
    pub(crate) knots: [usize; 2],
    /// Width, height.
    pub(crate) mm: [f64; 2],
}

/// The least of a side: fewer knots show nothing.
const LEAST: f64 = 1.0;

/// `given` is, across and down, a measure as she writes it or a number of knots.
pub(super) fn sized(gauge: [f64; 2], given: [&str; 2]) -> Result<Sized, Diagnostic> {
    let mut knots = [0; 2];
    for ((given, pitch), knots) in given.into_iter().zip(gauge).zip(&mut knots) {
        let wanted = match given.trim().parse::<u32>() {
            Ok(number) => f64::from(number),
            Err(_) => {
                let mm = measure::read(given).map_err(|_| {
                    Diagnostic::fault("unusable-measure", format!("`{}` is no measure", given.trim()))
                        .hint("write a number and its unit: 40 cm, 16 in")
                })?;
                (mm / pitch).round()
            }
        };
        *knots = wanted.clamp(LEAST, crate::chart::MAX_SIDE as f64) as usize;
    }
    Ok(Sized { knots, mm: [knots[0] as f64 * gauge[0], knots[1] as f64 * gauge[1]] })
}

/// The starter, for its gauge.
pub(super) fn starter_project(means: &Means) -> Option<Project> {
    let folder = Path::new("starter");
    let mut sources = Sources::in_memory();
    for (name, bytes) in starter("Starter", [24, 28], means).ok()? {
        sources.lay_over(folder.join(name), bytes);
    }
    project::load(folder, &mut sources, &mut crate::diag::Report::new())
}

/// A temporary folder is private by default; a panel is a folder like any other.
fn open_to_all(folder: &Path) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let _opened = std::fs::set_permissions(folder, std::fs::Permissions::from_mode(0o755));
    }
    #[cfg(not(unix))]
    let _folder = folder;
}

/// The starter with a plain chart of that size, and without the words that speak of its own picture.
fn starter(title: &str, [columns, rows]: [usize; 2], means: &Means) -> Result<Vec<(String, Vec<u8>)>, Diagnostic> {
    use crate::edit::form::{self, Change, Place};
    let grid = blank(columns, rows, 'C')?;
    let mut text = schema::STARTER.replace("{date}", &(means.today)());
    let place = |key: &str| Place { section: String::new(), item: None, key: key.to_owned() };
    let values = form::values(&text)?;
    for (key, to) in [
        ("title", serde_json::json!(title)),
        ("subtitle", serde_json::Value::Null),
        ("picture-words", serde_json::Value::Null),
        ("introduction", serde_json::Value::Null),
    ] {
        text = form::apply(&text, &Change::Set { place: place(key), from: values[key].clone(), to })?;
    }
    Ok(vec![
        ("project.toml".to_owned(), text.into_bytes()),
        ("chart.txt".to_owned(), crate::edit::chart_text::fresh(&grid).into_bytes()),
        (schema::FILE.to_owned(), schema::schema().into_bytes()),
    ])
}
