//! `hitchpress chart-from`: a photograph or drawing becomes a chart and a project that composes at once.

mod desk;
mod from_drawing;
mod options;
mod pattern;
mod squares;

use super::args::{ChartFrom, KindChoice};
use super::compose::title_slug;
use super::outcome::Outcome;
use super::report::counted;
use super::write::{self, NewFileError};
use super::{load, report};
use crate::catalogue::EditionName;
use crate::chart_from::drawing::Drawing;
use crate::chart_from::{self, JudgedChart, cells, yarns};
use crate::chart_read::{self, NoChart, Reading, Size};
use crate::diag::{Diagnostic, Report, Span};
use crate::font::FontBook;
use crate::picture::{self, SrgbPicture};
use crate::press::{self, Prepared, Settled, Variant, Wishes};
use crate::project::{Project, schema};
use crate::sheet;
use crate::source::Sources;
use crate::words::Words;
use crate::workings;
use desk::{Desk, Finished, size_said};
use options::ChartFromOptions;
use pattern::Pattern;
use squares::Squares;
use std::path::{Path, PathBuf};

/// Most bytes of a picture.
const MAX_PICTURE_BYTES: u64 = 200_000_000;
/// The files that are always written.
const FILES: [&str; 4] = ["project.toml", "chart.txt", schema::FILE, "before-and-after.png"];

/// Draws the chart, and writes the folder, all of its files or none.
pub(crate) fn run(typed: &ChartFrom) -> Outcome {
    let mut sources = Sources::new();
    let mut report = Report::new();
    // Before the picture is read, which may take a while.
    if let Some(path) = write::taken(&folder(typed), FILES.into_iter()) {
        return say_taken(&path);
    }
    let Some(made) = make(typed, &mut sources, &mut report) else {
        report::show(&report, &sources);
        return Outcome::of(&report);
    };
    let files: Vec<(&str, &[u8])> = made.files.iter().map(|(name, bytes)| (*name, bytes.as_slice())).collect();
    match write::added(&made.folder, &files) {
        Ok(()) => {
            let (shown, pasted) = (made.folder.display(), report::pasted(&made.folder));
            report::say(&made.said);
            report::say(&format!(
                "written: {shown}\nnext:\n  hitchpress check {pasted}\n  hitchpress compose {pasted}"
            ));
            Outcome::Done
        }
        Err(NewFileError::Taken(path)) => say_taken(&path),
        Err(NewFileError::Failed(diagnostic)) => {
            report.push(diagnostic);
            report::show(&report, &sources);
            Outcome::of(&report)
        }
    }
}

fn say_taken(path: &Path) -> Outcome {
    report::say(&format!(
        "`{}` is there already, and nothing is overwritten; choose another folder with -o",
        path.display()
    ));
    Outcome::WrongUse
}

/// The folder that is written.
fn folder(typed: &ChartFrom) -> PathBuf {
    typed.output.clone().unwrap_or_else(|| PathBuf::from(title_slug(&title(typed))))
}

fn title(typed: &ChartFrom) -> String {
    typed.title.clone().unwrap_or_else(|| title_of(&typed.picture))
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
    let input = read(typed, sources, report);
    let like = match &typed.like {
        Some(path) => Some(like(path, sources, report)?),
        None => None,
    };
    let (options, words, input) = (options?, words?, input?);
    let pattern = Pattern::new(title(typed), &words, like);
    let base = pattern.project(sources, report)?;
    let (picture, sheet) = match input {
        Input::Picture(picture) => (picture, None),
        Input::Sheet(sheet) => {
            let squares = Squares::of_sheet(&sheet);
            (squares.drawn(), Some(squares))
        }
    };
    let desk = Desk { typed, options, words, picture, pattern, base };
    if let Some(squares) = sheet {
        return pack(&desk, squares::make(&desk, squares, sources, report)?, sources, report);
    }
    let finished = match typed.kind {
        Some(KindChoice::Photograph) => from_photograph(&desk, sources, report)?,
        Some(KindChoice::Drawing) => {
            let drawing = Drawing::forced(&desk.picture).or_else(|| no_drawing(report))?;
            from_drawing::make(&desk, drawing, sources, report)?
        }
        Some(KindChoice::Chart) => squares::make(&desk, as_chart(&desk, report)?, sources, report)?,
        None => match found_chart(&desk, report) {
            Some(squares) => squares::make(&desk, squares, sources, report)?,
            None => match Drawing::find(&desk.picture) {
                Some(drawing) => from_drawing::make(&desk, drawing, sources, report)?,
                None => from_photograph(&desk, sources, report)?,
            },
        },
    };
    pack(&desk, finished, sources, report)
}

/// A chart, where the picture is plainly one and nothing that was typed speaks against it.
fn found_chart(desk: &Desk<'_>, report: &mut Report) -> Option<Squares> {
    let typed = desk.typed;
    let as_it_is =
        typed.width.is_none() && typed.height.is_none() && typed.crop.is_none() && typed.straighten.is_none();
    let fits = |columns: usize, rows: usize| {
        typed.columns.is_none_or(|wanted| wanted == columns) && typed.rows.is_none_or(|wanted| wanted == rows)
    };
    if !as_it_is {
        return None;
    }
    if typed.yarns.is_none()
        && fits(desk.picture.width, desk.picture.height)
        && let Some(squares) = Squares::of_pixels(&desk.picture)
    {
        return Some(squares);
    }
    let mut reading = chart_read::plainly(&desk.picture).filter(|reading| fits(reading.columns, reading.rows))?;
    reading.size_is_sure |= typed.columns.is_some() && typed.rows.is_some();
    squares_of(desk, &reading, report)
}

fn squares_of(desk: &Desk<'_>, reading: &Reading, report: &mut Report) -> Option<Squares> {
    let name = |number: usize| desk.words.say("colour.symbol", &[("n", &number)]);
    Squares::of_reading(reading, name, report)
}

/// A picture that is said to be a chart.
fn as_chart(desk: &Desk<'_>, report: &mut Report) -> Option<Squares> {
    let size = Size { columns: desk.typed.columns, rows: desk.typed.rows };
    match chart_read::read(&desk.picture, size) {
        Ok(reading) => squares_of(desk, &reading, report),
        Err(NoChart::OtherSize(columns, rows)) => {
            report.push(
                Diagnostic::fault(
                    "other-size",
                    format!(
                        "the grid in this picture has {columns} columns and {rows} rows, and cannot have what was typed"
                    ),
                )
                .hint("count once more, or leave out --columns and --rows"),
            );
            None
        }
        Err(NoChart::NoGrid) => match Squares::of_pixels(&desk.picture) {
            Some(squares) => Some(squares),
            None => {
                report.push(
                    Diagnostic::fault("no-grid", "no grid of equal squares was found in this picture")
                        .hint("take a picture of the chart alone, straight from above and evenly lit, or a copy of the screen")
                        .hint("say how many squares there are with --columns and --rows, or use `--as drawing`"),
                );
                None
            }
        },
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
    Some(Finished { project, pattern, plan, said, more: Vec::new() })
}

fn pack(desk: &Desk<'_>, finished: Finished, sources: &mut Sources, report: &mut Report) -> Option<NewProject> {
    let Finished { project, pattern, plan, said, more } = finished;
    report.extend(workings::feasible(&project));
    if report.has_faults() {
        return None;
    }
    let wishes = Wishes { edition: Some(EditionName::Chart), ..Wishes::default() };
    let Settled { manner, variant } = Settled::from(&wishes, &project, sources, report)?;
    let prepared = Prepared::new(project, manner);
    let shown = before_and_after(&desk.picture, &plan, &prepared, &variant, report)?;
    let Prepared { project, .. } = prepared;
    let own = [pattern.text().into_bytes(), pattern::grid(&project).into_bytes(), schema::schema().into_bytes(), shown];
    let files = FILES.into_iter().zip(own).chain(more).collect();
    Some(NewProject { folder: folder(desk.typed), files, said })
}

fn language(typed: &ChartFrom, report: &mut Report) -> Option<Words> {
    let tag = typed.language.as_deref().unwrap_or("en-GB");
    let words = Words::shipped(tag);
    if words.is_none() {
        report.push(
            Diagnostic::fault("unknown-language", format!("there are no words in the language `{tag}`"))
                .typed()
                .hint(Words::language_hint(tag)),
        );
    }
    words
}

/// What the chart is made from.
enum Input {
    Picture(SrgbPicture),
    Sheet(sheet::Sheet),
}

fn read(typed: &ChartFrom, sources: &mut Sources, report: &mut Report) -> Option<Input> {
    let range = match typed.range.as_deref().map(|text| (text, sheet::Range::read(text))) {
        Some((text, None)) => {
            report.push(
                Diagnostic::fault("odd-range", format!("`--range {text}` names no cells"))
                    .typed()
                    .hint("write the first and the last cell with a colon between them: --range B2:AO60"),
            );
            None
        }
        Some((_, range)) => range,
        None => None,
    };
    let path = &typed.picture;
    let id = sources.read(path, MAX_PICTURE_BYTES).map_err(|fault| report.push(fault)).ok()?;
    let bytes = sources.get(id).bytes();
    let at = Span::file(id);
    if sheet::is_sheet(&path.to_string_lossy(), bytes) {
        return sheet::read(bytes, range).map(Input::Sheet).map_err(|fault| report.push(fault.at(at))).ok();
    }
    if typed.range.is_some() {
        report
            .push(Diagnostic::fault("odd-range", "a picture has no cells, so `--range` means nothing").typed().at(at));
    }
    picture::seen(bytes).map(Input::Picture).map_err(|fault| report.push(fault.at(at))).ok()
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
    let threads = |threads| counted(threads, "thread", "threads");
    let slits = |rows| counted(rows, "row of slits", "rows of slits");
    let singles = |knots| counted(knots, "single knot", "single knots");
    format!(
        "{} to start, {} to link, {}\n(the nearest yarn for every knot: {}, {}, {})",
        threads(now.handling.threads),
        slits(now.handling.slit_rows),
        singles(now.singles),
        threads(nearest.handling.threads),
        slits(nearest.handling.slit_rows),
        singles(nearest.singles),
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
