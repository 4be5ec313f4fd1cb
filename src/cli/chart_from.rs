//! `hitchpress chart-from`: a photograph or drawing becomes a chart and a project that composes at once.

mod pattern;
mod wanted;

use super::args::ChartFrom;
use super::compose::plain_name;
use super::outcome::Outcome;
use super::write::{self, NotFresh};
use super::{load, report};
use crate::chart_from::{self, Drawn, cells, yarns};
use crate::diag::{Diagnostic, Report, Span};
use crate::font::FontBook;
use crate::picture::{self, Seen};
use crate::press;
use crate::project::{Project, schema};
use crate::source::Sources;
use crate::words::Words;
use crate::workings;
use pattern::Pattern;
use std::path::{Path, PathBuf};
use wanted::Wanted;

/// Most bytes of a picture.
const LARGEST_PICTURE: u64 = 200_000_000;

/// Draws the chart, and writes the folder, all of its files or none.
pub fn run(typed: &ChartFrom) -> Outcome {
    let mut sources = Sources::new();
    let mut report = Report::new();
    let Some(made) = make(typed, &mut sources, &mut report) else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    if let Err(error) = std::fs::create_dir_all(&made.folder) {
        report.push(write::failed(&made.folder, &error));
        report::show(&report, &sources);
        return Outcome::MachineFailed;
    }
    let files: Vec<(PathBuf, &[u8])> =
        made.files.iter().map(|(name, bytes)| (made.folder.join(name), bytes.as_slice())).collect();
    match write::fresh(&files) {
        Ok(()) => {
            let shown = made.folder.display();
            report::say(&made.said);
            report::say(&format!("written: {shown}\nnext: hitchpress check {shown}, then hitchpress compose {shown}"));
            Outcome::Done
        }
        Err(NotFresh::Taken(path)) => {
            report::say(&format!(
                "`{}` is there already, and nothing is overwritten; choose another folder with -o",
                path.display()
            ));
            Outcome::WrongUse
        }
        Err(NotFresh::Failed(diagnostic)) => {
            report.push(diagnostic);
            report::show(&report, &sources);
            Outcome::of(&report)
        }
    }
}

/// A project folder that is not written yet.
struct Made {
    folder: PathBuf,
    files: Vec<(&'static str, Vec<u8>)>,
    /// What the maker is told.
    said: String,
}

/// `None`: the report has at least one fault.
fn make(typed: &ChartFrom, sources: &mut Sources, report: &mut Report) -> Option<Made> {
    let wanted = Wanted::read(typed, report);
    let words = language(typed, report);
    let picture = read(&typed.picture, sources, report);
    let like = match &typed.like {
        Some(path) => Some(like(path, sources, report)?),
        None => None,
    };
    let (wanted, words, picture) = (wanted?, words?, picture?);
    let title = typed.title.clone().unwrap_or_else(|| title_of(&typed.picture));
    let mut pattern = Pattern::new(title, &words, like);

    let base = pattern.project(sources, report)?;
    let gauge = workings::gauge(&base);
    let plan = wanted.plan((picture.width, picture.height), gauge.column_mm, gauge.row_mm, report)?;
    let targets = cells::Targets::of(&picture, &plan.view, plan.columns, plan.rows);
    if typed.like.is_none() {
        pattern.set_yarns(&yarns::choose(&targets, wanted.yarns), &words);
    }
    let project = pattern.project(sources, report)?;
    let drawn = chart_from::draw(&targets, &project, wanted.allowance)?;
    let chart = pattern.keep_used(&drawn.chart)?;
    let project = Project { chart, ..pattern.project(sources, report)? };
    report.extend(workings::feasible(&project));
    if report.has_faults() {
        return None;
    }
    let shown = before_and_after(&picture, &plan, &project, sources, report)?;
    let said = said(&project, &drawn);
    let files = vec![
        ("project.toml", pattern.text().into_bytes()),
        ("chart.txt", pattern::grid(&project).into_bytes()),
        (schema::FILE, schema::schema().into_bytes()),
        ("before-and-after.png", shown),
    ];
    let folder = typed.output.clone().unwrap_or_else(|| PathBuf::from(plain_name(&project.about.title)));
    Some(Made { folder, files, said })
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

fn read(path: &Path, sources: &mut Sources, report: &mut Report) -> Option<Seen> {
    let id = sources.read(path, LARGEST_PICTURE).map_err(|fault| report.push(fault)).ok()?;
    picture::seen(sources.get(id).bytes()).map_err(|fault| report.push(fault.at(Span::file(id)))).ok()
}

/// The project whose yarns and ways are taken, and its text.
fn like(path: &Path, sources: &mut Sources, report: &mut Report) -> Option<(Project, String)> {
    let loaded = load::load(path);
    let project = loaded.work.map(|(project, _)| project);
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
    picture: &Seen,
    plan: &wanted::Plan,
    project: &Project,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<Vec<u8>> {
    let (width, height) = plan.view.size(picture.width as f64, picture.height as f64);
    let scale = 900.0 / width.max(height);
    let side = |pixels: f64| ((pixels * scale) as usize).max(1);
    let cut = cells::cut(picture, &plan.view, side(width), side(height));
    press::pictures::before_and_after(project, &cut, &FontBook::shipped(), sources, report)
}

fn said(project: &Project, drawn: &Drawn) -> String {
    let gauge = workings::gauge(project);
    let chart = &project.chart;
    let cm = |knots: usize, mm: f64| (knots as f64 * mm / 10.0).round();
    let (now, nearest) = (drawn.weighed, drawn.nearest);
    format!(
        "{} columns, {} rows, {} yarns; {} x {} cm without header and fringe\n\
         {} threads to start, {} rows of slits to link, {} single knots\n\
         (the nearest yarn for every knot: {} threads, {} rows of slits, {} single knots)",
        chart.columns(),
        chart.rows(),
        project.palette.len(),
        cm(chart.columns(), gauge.column_mm),
        cm(chart.rows(), gauge.row_mm),
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
