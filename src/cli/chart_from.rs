//! `hitchpress chart-from`: a photograph or drawing becomes a chart and a project that composes at once.

mod desk;
mod from_drawing;
mod options;
mod pattern;

use super::args::{ChartFrom, KindChoice};
use super::compose::title_slug;
use super::outcome::Outcome;
use super::write::{self, NewFileError};
use super::{load, report};
use crate::catalogue::EditionName;
use crate::chart_from::drawing::Drawing;
use crate::chart_from::{self, JudgedChart, cells, yarns};
use crate::diag::{Diagnostic, Report, Span};
use crate::font::FontBook;
use crate::picture::{self, SrgbPicture};
use crate::press::{self, Prepared, Settled, Variant, Wishes};
use crate::project::{Project, schema};
use crate::source::Sources;
use crate::words::Words;
use crate::workings;
use desk::{Desk, Finished, size_said};
use options::ChartFromOptions;
use pattern::Pattern;
use std::path::{Path, PathBuf};

/// Most bytes of a picture.
const MAX_PICTURE_BYTES: u64 = 200_000_000;

/// Draws the chart, and writes the folder, all of its files or none.
pub fn run(typed: &ChartFrom) -> Outcome {
    let mut sources = Sources::new();
    let mut report = Report::new();
    let Some(made) = make(typed, &mut sources, &mut report) else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    let files: Vec<(&str, &[u8])> = made.files.iter().map(|(name, bytes)| (*name, bytes.as_slice())).collect();
    match write::added(&made.folder, &files) {
        Ok(()) => {
            let shown = made.folder.display();
            report::say(&made.said);
            report::say(&format!("written: {shown}\nnext: hitchpress check {shown}, then hitchpress compose {shown}"));
            Outcome::Done
        }
        Err(NewFileError::Taken(path)) => {
            report::say(&format!(
                "`{}` is there already, and nothing is overwritten; choose another folder with -o",
                path.display()
            ));
            Outcome::WrongUse
        }
        Err(NewFileError::Failed(diagnostic)) => {
            report.push(diagnostic);
            report::show(&report, &sources);
            Outcome::of(&report)
        }
    }
}

/// A project folder that is not written yet.
struct NewProject {
    folder: PathBuf,
    files: Vec<(&'static str, Vec<u8>)>,
    /// What the maker is told.
    said: String,
}

/// `None`: the report has at least one fault.
fn make(typed: &ChartFrom, sources: &mut Sources, report: &mut Report) -> Option<NewProject> {
    let options = ChartFromOptions::read(typed, report);
    let words = language(typed, report);
    let picture = read(&typed.picture, sources, report);
    let like = match &typed.like {
        Some(path) => Some(like(path, sources, report)?),
        None => None,
    };
    let (options, words, picture) = (options?, words?, picture?);
    let title = typed.title.clone().unwrap_or_else(|| title_of(&typed.picture));
    let pattern = Pattern::new(title, &words, like);
    let base = pattern.project(sources, report)?;
    let desk = Desk { typed, options, words, picture, pattern, base };
    let drawing = match typed.kind {
        Some(KindChoice::Photograph) => None,
        Some(KindChoice::Drawing) => Some(Drawing::forced(&desk.picture).or_else(|| no_drawing(report))?),
        None => Drawing::find(&desk.picture),
    };
    match drawing {
        Some(drawing) => pack(&desk, from_drawing::make(&desk, drawing, sources, report)?, sources, report),
        None => pack(&desk, from_photograph(&desk, sources, report)?, sources, report),
    }
}

fn no_drawing(report: &mut Report) -> Option<Drawing> {
    report.push(
        Diagnostic::fault("no-flat-colour", "nothing in this picture is of one colour, so it is no drawing")
            .hint("leave out `--as drawing`"),
    );
    None
}

fn from_photograph(desk: &Desk<'_>, sources: &mut Sources, report: &mut Report) -> Option<Finished> {
    let Desk { typed, options, words, picture, base, .. } = desk;
    let mut pattern = desk.pattern.clone();
    let gauge = workings::gauge(base);
    let plan = options.plan((picture.width, picture.height), gauge.column_mm, gauge.row_mm, report)?;
    let targets = cells::Targets::of(picture, &plan.view, plan.columns, plan.rows);
    if typed.like.is_none() {
        pattern.set_yarns(&yarns::choose(&targets, options.most_yarns()), words);
    }
    let project = pattern.project(sources, report)?;
    let drawn = chart_from::draw(&targets, &project, options.allowance)?;
    let chart = pattern.keep_used(&drawn.chart)?;
    let project = Project { chart, ..pattern.project(sources, report)? };
    let seen =
        if typed.kind.is_some() { "" } else { "seen as a photograph; `--as drawing` keeps flat colours as they are\n" };
    let said = format!("{seen}{}\n{}", size_said(&project), said(&drawn));
    Some(Finished { project, pattern, plan, said })
}

fn pack(desk: &Desk<'_>, finished: Finished, sources: &mut Sources, report: &mut Report) -> Option<NewProject> {
    let Finished { project, pattern, plan, said } = finished;
    report.extend(workings::feasible(&project));
    if report.has_faults() {
        return None;
    }
    let wishes = Wishes { edition: Some(EditionName::Chart), ..Wishes::default() };
    let Settled { manner, variant } = Settled::from(&wishes, &project, sources, report)?;
    let prepared = Prepared::new(project, manner);
    let shown = before_and_after(&desk.picture, &plan, &prepared, &variant, report)?;
    let Prepared { project, .. } = prepared;
    let files = vec![
        ("project.toml", pattern.text().into_bytes()),
        ("chart.txt", pattern::grid(&project).into_bytes()),
        (schema::FILE, schema::schema().into_bytes()),
        ("before-and-after.png", shown),
    ];
    let folder = desk.typed.output.clone().unwrap_or_else(|| PathBuf::from(title_slug(&project.about.title)));
    Some(NewProject { folder, files, said })
}

fn language(typed: &ChartFrom, report: &mut Report) -> Option<Words> {
    let tag = typed.language.as_deref().unwrap_or("en-GB");
    let words = Words::shipped(tag);
    if words.is_none() {
        report.push(
            Diagnostic::fault("unknown-language", format!("there are no words in the language `{tag}`"))
                .hint(Words::language_hint(tag)),
        );
    }
    words
}

fn read(path: &Path, sources: &mut Sources, report: &mut Report) -> Option<SrgbPicture> {
    let id = sources.read(path, MAX_PICTURE_BYTES).map_err(|fault| report.push(fault)).ok()?;
    picture::seen(sources.get(id).bytes()).map_err(|fault| report.push(fault.at(Span::file(id)))).ok()
}

/// The project whose yarns and ways are taken, and its text.
fn like(path: &Path, sources: &mut Sources, report: &mut Report) -> Option<(Project, String)> {
    let loaded = load::load(path, &Wishes::default());
    let project = loaded.work.map(|prepared| prepared.project);
    let file = if path.is_dir() { path.join("project.toml") } else { path.to_path_buf() };
    if project.is_none() {
        report::show(&loaded.report, &loaded.sources);
        report.push(
            Diagnostic::fault("faulty-project", format!("`{}` has faults, so its yarns are not taken", path.display()))
                .hint("mend what is said above, or give --yarns in place of --like"),
        );
    }
    let project = project?;
    let id = sources.read(&file, 1_000_000).map_err(|fault| report.push(fault)).ok()?;
    let text = sources.text_of(id, report)?.to_owned();
    Some((project, text))
}

/// "red-boat_2.jpg" is "Red boat 2".
fn title_of(picture: &Path) -> String {
    let stem = picture.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let spaced: String = stem.chars().map(|c| if matches!(c, '-' | '_') || c.is_control() { ' ' } else { c }).collect();
    let mut letters = spaced.trim().chars().take(60);
    let title: String = letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default();
    if title.is_empty() { "Panel".to_owned() } else { title }
}

fn before_and_after(
    picture: &SrgbPicture,
    plan: &options::ChartPlan,
    prepared: &Prepared,
    variant: &Variant,
    report: &mut Report,
) -> Option<Vec<u8>> {
    let (width, height) = plan.view.size(picture.width as f64, picture.height as f64);
    let scale = 900.0 / width.max(height);
    let side = |pixels: f64| ((pixels * scale) as usize).max(1);
    let cut = cells::cut(picture, &plan.view, side(width), side(height));
    press::pictures::before_and_after(prepared, variant, &cut, &FontBook::shipped(), report)
}

fn said(drawn: &JudgedChart) -> String {
    let (now, nearest) = (drawn.weighed, drawn.nearest);
    format!(
        "{} threads to start, {} rows of slits to link, {} single knots\n\
         (the nearest yarn for every knot: {} threads, {} rows of slits, {} single knots)",
        now.handling.threads,
        now.handling.slit_rows,
        now.singles,
        nearest.handling.threads,
        nearest.handling.slit_rows,
        nearest.singles,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_lends_its_name() {
        for (path, title) in [
            ("photos/red-boat_2.jpg", "Red boat 2"),
            ("IMG.JPG", "IMG"),
            ("été.png", "Été"),
            ("..", "Panel"),
            ("-.png", "Panel"),
        ] {
            assert_eq!(title_of(Path::new(path)), title, "{path}");
        }
    }
}
