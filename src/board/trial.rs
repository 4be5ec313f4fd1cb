//! A new panel from a picture, as it would become: the picture is kept for a while, each trial is a whole panel made by this
//! program's own `chart-from` in a folder that the shelf does not show, and what she saw is what she gets when she takes it.

use super::jobs::Job;
use super::journal::FOLDER;
use super::means::Means;
use super::panel::{Panel, Reckoned, Sketch, bytes};
use crate::diag::Diagnostic;
use serde::Deserialize;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use tempfile::TempDir;

/// Folders of trials begin so; those of a board that was killed are cleared away by the next one.
const PREFIX: &str = "trial-";
/// Pictures and trials that are kept: of two pages at once.
const MOST: usize = 4;
/// Most bytes of a list of doubtful squares.
const LARGEST_LIST: u64 = 20_000_000;

/// Pictures and trials, the last ones of each, by number.
pub(super) struct Trials {
    shelf: PathBuf,
    kept: Mutex<Kept>,
}

#[derive(Default)]
struct Kept {
    last: u64,
    pictures: Vec<(u64, Arc<Picture>)>,
    trials: Vec<(u64, Arc<TempDir>)>,
}

/// A picture on the disk, as long as somebody holds it.
struct Picture {
    _room: TempDir,
    path: PathBuf,
}

/// What is wanted of a picture; an empty word is as the program finds best.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Wanted {
    picture: u64,
    /// `photograph`, `drawing` or `chart`.
    kind: String,
    columns: String,
    rows: String,
    /// Finished measures: "40 cm".
    width: String,
    height: String,
    yarns: String,
    /// `much`, `usual` or `little`.
    detail: String,
    /// `squares` or `knots`.
    fit: String,
    /// Left, top, right and bottom edge in parts of a hundred.
    crop: Option<[f64; 4]>,
    /// Degrees, clockwise.
    straighten: f64,
    language: String,
}

/// A square that may be read wrongly.
pub(super) struct Doubt {
    /// Its place in reading order.
    pub(crate) at: usize,
    /// Letters of the yarns that it may be, the read one first.
    pub(crate) letters: Vec<char>,
}

/// What came of a trial.
pub(super) struct Tried {
    /// Its number.
    pub(crate) trial: u64,
    /// The panel.
    pub(crate) sketch: Sketch,
    /// What is reckoned of it.
    pub(crate) reckoned: Arc<Reckoned>,
    /// Squares in doubt.
    pub(crate) doubts: Vec<Doubt>,
    /// What the program said of it, line by line, in English.
    pub(crate) said: Vec<String>,
}

impl Trials {
    pub(super) fn new(shelf: &Path) -> Trials {
        for folder in crate::source::folders(&shelf.join(FOLDER)) {
            let name = folder.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
            if name.starts_with(PREFIX) {
                // What cannot be cleared away now is tried again at the next start.
                let _cleared = std::fs::remove_dir_all(&folder);
            }
        }
        Trials { shelf: shelf.to_path_buf(), kept: Mutex::default() }
    }

    fn kept(&self) -> std::sync::MutexGuard<'_, Kept> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn room(&self, means: &Means) -> Result<TempDir, Diagnostic> {
        let inner = self.shelf.join(FOLDER);
        let failed = |error: std::io::Error| (means.failed)(&inner, &error);
        if inner.symlink_metadata().is_err() {
            std::fs::create_dir(&inner).map_err(failed)?;
        }
        if !inner.symlink_metadata().is_ok_and(|about| about.is_dir()) {
            return Err(Diagnostic::fault(
                "no-room",
                format!("`{}` is no folder of this program's own", inner.display()),
            ));
        }
        tempfile::Builder::new().prefix(PREFIX).tempdir_in(&inner).map_err(failed)
    }

    /// Keeps a picture; the ending of its name says what kind of file it is.
    pub(super) fn keep(&self, name: &str, picture: &[u8], means: &Means) -> Result<u64, Diagnostic> {
        let ending: String = name.rsplit_once('.').map(|(_, ending)| ending).unwrap_or_default().to_lowercase();
        let plain = (1..=5).contains(&ending.len()) && ending.bytes().all(|b| b.is_ascii_alphanumeric());
        let room = self.room(means)?;
        let path = room.path().join(format!("picture.{}", if plain { ending.as_str() } else { "png" }));
        (means.write)(&path, picture)?;
        let mut kept = self.kept();
        kept.last += 1;
        let number = kept.last;
        kept.pictures.push((number, Arc::new(Picture { _room: room, path })));
        let more = kept.pictures.len().saturating_sub(MOST);
        kept.pictures.drain(..more);
        Ok(number)
    }

    /// Makes a panel of a picture. The lines say why there is none.
    pub(super) fn make(
        &self,
        wanted: &Wanted,
        like: Option<&Path>,
        means: &Means,
    ) -> Result<Result<Tried, Vec<String>>, Diagnostic> {
        let picture = self.kept().pictures.iter().find(|(n, _)| *n == wanted.picture).map(|(_, p)| Arc::clone(p));
        let picture = picture.ok_or_else(|| {
            Diagnostic::fault("no-such-picture", "the picture is not here any more").hint("choose it once more")
        })?;
        let room = self.room(means)?;
        let place = room.path().join("panel");
        let (done, said) = (means.run)(&typed(wanted, like, &picture.path, &place), &Job::default(), &mut |_| {})
            .map_err(|error| {
                Diagnostic::failure("cannot-run", format!("the program cannot be started a second time: {error}"))
            })?;
        // Where the panel lies for now, and how the command line would go on, mean nothing to her.
        let told =
            |line: &&str| !line.starts_with("written: ") && !line.starts_with("next: ") && !line.trim().is_empty();
        let said: Vec<String> = said.lines().filter(told).map(str::to_owned).collect();
        if !done {
            return Ok(Err(said));
        }
        let mut panel = Panel::open(&place, means)?;
        let sketch = panel.sketch();
        let list = bytes(&place.join("doubtful.txt"), LARGEST_LIST).ok();
        let list = list.and_then(|list| String::from_utf8(list).ok()).unwrap_or_default();
        let doubts = list.lines().filter_map(|line| doubt(line, &sketch)).collect();
        let reckoned = panel.reckoned();
        let mut kept = self.kept();
        kept.last += 1;
        let trial = kept.last;
        kept.trials.push((trial, Arc::new(room)));
        let more = kept.trials.len().saturating_sub(MOST);
        kept.trials.drain(..more);
        Ok(Ok(Tried { trial, sketch, reckoned, doubts, said }))
    }

    /// A trial's folder, held as long as it is used.
    pub(super) fn find(&self, trial: u64) -> Result<(Arc<TempDir>, PathBuf), Diagnostic> {
        let found = self.kept().trials.iter().find(|(n, _)| *n == trial).map(|(_, room)| Arc::clone(room));
        let room = found.ok_or_else(|| {
            Diagnostic::fault("no-such-trial", "this trial is not here any more").hint("try the picture once more")
        })?;
        let folder = room.path().join("panel");
        Ok((room, folder))
    }
}

/// The words of the command line.
fn typed(wanted: &Wanted, like: Option<&Path>, picture: &Path, place: &Path) -> Vec<OsString> {
    let mut typed: Vec<OsString> = vec!["chart-from".into(), picture.into(), "-o".into(), place.into()];
    let mut say = |name: &str, value: &str| {
        if !value.is_empty() {
            // One word: a value that begins with a hyphen stays a value.
            typed.push(format!("--{name}={value}").into());
        }
    };
    say("as", &wanted.kind);
    say("columns", &wanted.columns);
    say("rows", &wanted.rows);
    say("width", &wanted.width);
    say("height", &wanted.height);
    say("detail", &wanted.detail);
    say("fit", &wanted.fit);
    say("language", &wanted.language);
    if like.is_none() {
        say("yarns", &wanted.yarns);
    }
    if let Some(edges) = wanted.crop.filter(|edges| *edges != [0.0, 0.0, 100.0, 100.0]) {
        say("crop", &edges.map(|edge| format!("{edge:.2}")).join(","));
    }
    if wanted.straighten != 0.0 {
        say("straighten", &format!("{:.2}", wanted.straighten));
    }
    if let Some(like) = like {
        typed.extend(["--like".into(), like.into()]);
    }
    typed
}

/// "row 3, column 4: read as #112233, may be #445566". `None`: one of the colours is no yarn's.
fn doubt(line: &str, sketch: &Sketch) -> Option<Doubt> {
    let (place, colours) = line.split_once(": read as ")?;
    let (row, column) = place.strip_prefix("row ")?.split_once(", column ")?;
    let (row, column) = (row.parse::<usize>().ok()?.checked_sub(1)?, column.parse::<usize>().ok()?.checked_sub(1)?);
    let grid = sketch.grid.as_ref()?;
    let at = row.checked_mul(grid.columns())?.checked_add(column)?;
    let read = *grid.cells().get(at)?;
    let (_, other) = colours.split_once(", may be ")?;
    let other = sketch.yarns.iter().find(|yarn| yarn.colour.to_hex() == other.trim()).map(|yarn| yarn.letter);
    let letters = [Some(read), other.filter(|other| *other != read)].into_iter().flatten().collect();
    Some(Doubt { at, letters })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_wanted_becomes_words_that_no_value_can_leave() {
        let wanted = Wanted {
            columns: "--help".to_owned(),
            crop: Some([10.0, 0.0, 90.0, 100.0]),
            straighten: -2.5,
            yarns: "5".to_owned(),
            ..Wanted::default()
        };
        let typed = typed(&wanted, None, Path::new("/a/picture.png"), Path::new("/b/panel"));
        let words: Vec<&str> = typed.iter().filter_map(|word| word.to_str()).collect();
        assert_eq!(
            words,
            [
                "chart-from",
                "/a/picture.png",
                "-o",
                "/b/panel",
                "--columns=--help",
                "--yarns=5",
                "--crop=10.00,0.00,90.00,100.00",
                "--straighten=-2.50"
            ]
        );
    }
}
