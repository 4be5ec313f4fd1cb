//! `hitchpress new`: a commented starter project.

use super::args::New;
use super::outcome::Outcome;
use super::report;
use super::today::today;
use super::write::{self, NewFileError};
use crate::catalogue::EditionName;
use crate::chart::{Chart, YarnId};
use crate::compose::blank_grid::BlankGrid;
use crate::diag::{Diagnostic, Report};
use crate::edit::form::{self, Change, Place};
use crate::font::FontBook;
use crate::geom::{Length, Size};
use crate::press::pictures::EmptyGrid;
use crate::press::{self, Settled, Wishes};
use crate::project::schema::{self, STARTER};
use crate::project::{self, PLACEHOLDER_TITLE};
use crate::source::{self, Sources, steers};
use crate::words::Words;
use crate::workings;
use std::path::Path;

/// The letter of the starter's first yarn: an empty chart is all of it.
const GROUND: &str = "C";
const GRID_TO_PRINT: &str = "grid.pdf";
const GRID_TO_DRAW_ON: &str = "grid.png";
/// Columns and rows of an empty chart, at least and at most.
const MIN_SIDE: usize = 1;
const MAX_SIDE: usize = 600;

const CHART: &str = include_str!("starter/chart.txt");

/// Writes the starter project into a folder where nothing of its name lies yet.
pub(crate) fn run(new: &New) -> Outcome {
    let mut report = Report::new();
    let Some(files) = files(new, &mut report) else {
        report::show(&report, &Sources::new());
        return Outcome::of(&report);
    };
    let drawn = new.columns.is_some();
    let files: Vec<(&str, &[u8])> = files.iter().map(|(name, bytes)| (*name, bytes.as_slice())).collect();
    match write::added(&new.folder, &files) {
        Ok(()) => {
            let pasted = report::pasted(&new.folder);
            let mut said = format!(
                "written: {} and {}\n",
                new.folder.join("project.toml").display(),
                new.folder.join("chart.txt").display(),
            );
            if drawn {
                said.push_str(&format!(
                    "with a grid to draw on, of the knots' proportions: {} to print and colour by hand, {} for a drawing \
                     program\nfrom either, `hitchpress chart-from` with a picture of it makes the chart\n",
                    new.folder.join(GRID_TO_PRINT).display(),
                    new.folder.join(GRID_TO_DRAW_ON).display()
                ));
            }
            report::say(&format!("{said}next:\n  hitchpress check {pasted}\n  hitchpress compose {pasted}"));
            Outcome::Done
        }
        Err(NewFileError::Taken(path)) => {
            report::say(&format!(
                "`{}` is there already, and nothing is overwritten; choose another folder",
                path.display()
            ));
            Outcome::WrongUse
        }
        Err(NewFileError::Failed(diagnostic)) => {
            show(diagnostic);
            Outcome::MachineFailed
        }
    }
}

fn show(fault: Diagnostic) {
    let mut report = Report::new();
    report.push(fault);
    report::show(&report, &Sources::new());
}

type NewFile = (&'static str, Vec<u8>);

/// All files of the folder. `None`: the report has at least one fault.
fn files(new: &New, report: &mut Report) -> Option<Vec<NewFile>> {
    let size = size(new).map_err(|fault| report.push(fault));
    let text = project(new).map_err(|fault| report.push(fault));
    let (size, text) = (size.ok()?, text.ok()?);
    let mut files = Vec::new();
    let mut chart = CHART.to_owned();
    if let Some((columns, rows)) = size {
        chart = format!("{}\n", GROUND.repeat(columns)).repeat(rows);
        let grid = grid(new, &text, (columns, rows), report)?;
        files.extend([(GRID_TO_PRINT, grid.pdf), (GRID_TO_DRAW_ON, grid.png)]);
    }
    let project = [("project.toml", text.into_bytes()), ("chart.txt", chart.into_bytes())];
    files.splice(0..0, project.into_iter().chain([(schema::FILE, schema::schema().into_bytes())]));
    Some(files)
}

/// The empty chart's size, where one is asked for.
fn size(new: &New) -> Result<Option<(usize, usize)>, Diagnostic> {
    let odd = |words: String| Diagnostic::fault("odd-size", words).typed();
    match (new.columns, new.rows) {
        (None, None) => Ok(None),
        (Some(columns), Some(rows)) => {
            match [columns, rows].into_iter().find(|side| !(MIN_SIDE..=MAX_SIDE).contains(side)) {
                Some(side) => Err(odd(format!("an empty chart cannot have `{side}` columns or rows"))
                    .hint(format!("give numbers from {MIN_SIDE} to {MAX_SIDE}; 20 to 100 are usual"))),
                None => Ok(Some((columns, rows))),
            }
        }
        _ => Err(odd("an empty chart needs both of its sides".to_owned()).hint("give both: --columns 22 --rows 30")),
    }
}

/// The grid to draw on, in the proportions of the new project's knots.
fn grid(new: &New, text: &str, (columns, rows): (usize, usize), report: &mut Report) -> Option<EmptyGrid> {
    let mut sources = Sources::in_memory();
    let chart = Chart::new(1, vec![Some(YarnId(0))])?;
    let project = project::draft(text, chart, &mut sources, report)?;
    let words = Words::shipped(new.language.as_deref().unwrap_or("en-GB"))?;
    let gauge = workings::gauge(&project);
    let wishes = Wishes { edition: Some(EditionName::Chart), ..Wishes::default() };
    let Settled { variant, .. } = Settled::from(&wishes, &project, &mut sources, report)?;
    let paper = if words.language() == "en-US" {
        Size { width: Length::inches(8.5), height: Length::inches(11.0) }
    } else {
        Size { width: Length::mm(210.0), height: Length::mm(297.0) }
    };
    let grid = BlankGrid {
        columns,
        rows,
        proportion: gauge.row_mm / gauge.column_mm,
        paper,
        title: &project.about.title,
        lead: &words.say("blank-grid.lead", &[("columns", &columns), ("rows", &rows)]),
        language: words.language(),
    };
    press::pictures::empty_grid(&grid, &variant, &FontBook::shipped(), report)
}

/// The starter with all in it that can be known.
fn project(new: &New) -> Result<String, Diagnostic> {
    let tag = new.language.as_deref().unwrap_or("en-GB");
    let Some(words) = Words::shipped(tag) else {
        let fault =
            Diagnostic::fault("unknown-language", format!("there are no words in the language `{tag}`")).typed();
        return Err(fault.hint(Words::language_hint(tag)));
    };
    let title = new.title.clone().or_else(|| title_of(&new.folder));
    let units = if words.language() == "en-US" { "imperial" } else { "metric" };
    let known = [
        ("title", Some(title.unwrap_or_else(|| PLACEHOLDER_TITLE.to_owned()))),
        ("maker", new.maker.clone()),
        ("language", Some(words.language().to_owned())),
        ("units", Some(units.to_owned())),
    ];
    let mut text = STARTER.replace("{date}", &today());
    let values = form::values(&text)?;
    for (key, value) in known {
        let Some(value) = value else { continue };
        let place = Place { section: String::new(), item: None, key: key.to_owned() };
        text = form::apply(&text, &Change::Set { place, from: values[key].clone(), to: value.into() })?;
    }
    Ok(text)
}

/// The title that the name of a folder gives: "little-boat" is "Little Boat", and what has capitals or spaces already stays as
/// it is typed. `None` where the name says nothing.
fn title_of(folder: &Path) -> Option<String> {
    let real = source::real(folder).ok();
    let name = folder.file_name().or_else(|| real.as_deref().and_then(Path::file_name))?.to_string_lossy();
    let name = name.replace('_', " ").replace(steers, " ");
    let is_typed = name.contains(' ') || name.chars().any(char::is_uppercase);
    let name = if is_typed { name } else { name.replace('-', " ") };
    let words: Vec<String> = name
        .split_whitespace()
        .map(|word| {
            let mut letters = word.chars();
            match letters.next() {
                Some(first) if !name.chars().any(char::is_uppercase) => first.to_uppercase().chain(letters).collect(),
                _ => word.to_owned(),
            }
        })
        .collect();
    let title = words.join(" ");
    title.chars().any(char::is_alphanumeric).then_some(title)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_name_of_a_folder_is_a_title() {
        for (name, title) in [
            ("little-boat", "Little Boat"),
            ("panels/Little Fox", "Little Fox"),
            ("panels/little fox/", "Little Fox"),
            ("Half-Timbered", "Half-Timbered"),
            ("two_pears", "Two Pears"),
            ("été-à-la-mer", "Été À La Mer"),
            ("say \"hush\"", "Say \"hush\""),
        ] {
            assert_eq!(title_of(Path::new(name)).as_deref(), Some(title), "{name}");
        }
        assert_eq!(title_of(Path::new("/")), None);
        assert_eq!(title_of(Path::new("---")), None);
    }
}
