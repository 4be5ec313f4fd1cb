//! From the project file to the clean [`Project`]. Gathers every fault it can find in one run; answers `None` only after
//! putting at least one into the report. Defaults stand beside the keys they belong to.

mod about;
pub(crate) mod address;
mod colourways;
mod making;
mod materials;
pub(crate) mod own_words;
pub(crate) mod placeholders;
pub(crate) mod shop;
mod sizes;
pub(crate) mod step_pictures;
pub(crate) mod tools;
mod translation;
mod working;
mod yarns;

use super::Project;
use super::plan::PLAN;
use crate::chart::{Chart, Row, grid_picture, grid_sheet, grid_text};
use crate::commonmark;
use crate::diag::{Diagnostic, Phrase, Report, SourceId, Span};
use crate::form::{Form, FormSection, in_order};
use crate::sheet;
use crate::source::Sources;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use yarns::Yarns;

/// Every id of advice that [`load`] can give.
/// `no-such-step` waits until it is known what the booklet says.
pub(crate) const ADVICE: [&str; 10] = [
    "assumed-thickness",
    "no-such-step",
    "photograph-without-words",
    "picture-without-words",
    placeholders::ID,
    "unmeasured-branch",
    "unprinted-mark-up",
    "untranslated",
    "unused-yarn",
    "weight-and-thickness-differ",
];

/// Most bytes of a project file: far more than any maker writes.
const MAX_PROJECT_BYTES: u64 = 1_000_000;
/// Most bytes of a chart: 2,000 x 2,000 cells of four bytes each, as text or as an unpacked picture, and room to spare.
const MAX_CHART_BYTES: u64 = 20_000_000;
/// Most bytes of a photograph.
pub(crate) const MAX_PHOTOGRAPH_BYTES: u64 = 100_000_000;

/// Reads the project in `path`, a folder with a `project.toml` or the file itself. Every file it reads is kept in
/// `sources`, every fault and piece of advice goes into `report`, in the order of the files. `None` means that the report
/// now has faults.
pub fn load(path: &Path, sources: &mut Sources, report: &mut Report) -> Option<Project> {
    let mut found = Report::new();
    let project = read(path, sources, &mut found);
    let faulty = found.has_faults();
    report.extend(in_order(found, sources));
    project.filter(|_| !faulty)
}

/// A project from text that is not on the disk yet, with a chart at hand in the place of the file it names. Photographs
/// that it names are not read. `None` means that the report now has faults.
pub fn draft(text: &str, chart: Chart, sources: &mut Sources, report: &mut Report) -> Option<Project> {
    let id = sources.add(PathBuf::from("project.toml"), text.as_bytes().to_vec());
    settle(text, id, PathBuf::from("."), ChartOrigin::AtHand(chart), sources, report)
}

/// Where the chart of a project comes from.
enum ChartOrigin {
    /// From the file that the project names, in its folder.
    Named,
    /// From here.
    AtHand(Chart),
    /// Only the form counts.
    Nowhere,
}

/// Whether what is named as a project is by its ending a chart, a picture or a finished file: read as a project, every line of it
/// would be a fault.
fn is_another_kind(file: &Path) -> bool {
    let endings = ["txt", "csv", "tsv", "xlsx", "ods", "pdf", "png", "jpg", "jpeg", "gif", "bmp", "webp", "svg", "zip"];
    let ending = file.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    ending.is_some_and(|ending| endings.contains(&ending.as_str()))
}

fn read(path: &Path, sources: &mut Sources, report: &mut Report) -> Option<Project> {
    let file = if sources.is_folder(path) { path.join("project.toml") } else { path.to_path_buf() };
    if is_another_kind(&file) {
        let fault = Diagnostic::fault("no-project", format!("`{}` is no project", file.display())).typed();
        report.push(fault.hint("name the folder that has the `project.toml`, or that file itself"));
        return None;
    }
    let folder = file.parent().map_or_else(|| PathBuf::from("."), Path::to_path_buf);
    let id = match sources.read(&file, MAX_PROJECT_BYTES) {
        Ok(id) => id,
        Err(fault) => {
            let starter = fault.id == "no-such-file" && sources.is_folder(path);
            report.push(if starter { fault.hint("`hitchpress new` writes a project to start from") } else { fault });
            return None;
        }
    };
    let text = sources.text_of(id, report).map(str::to_owned)?;
    settle(&text, id, folder, ChartOrigin::Named, sources, report)
}

fn settle(
    text: &str,
    id: SourceId,
    folder: PathBuf,
    charted: ChartOrigin,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<Project> {
    let form = Form::open(text, id, PLAN, report);
    let is_named = matches!(charted, ChartOrigin::Named);
    let project = settle_form(&form, folder.clone(), charted, sources, report);
    // A chart at hand is of the first size alone.
    let project = match is_named {
        true => sizes::settled(&form, project, report, |form, report| {
            settle_form(form, folder.clone(), ChartOrigin::Named, sources, report)
        }),
        false => project,
    };
    let project = project?;
    translation::check(&project, report);
    (!report.has_faults()).then_some(project)
}

/// What reading a project with this text asks for: see [`Form::schema`].
pub(super) fn asked_of(text: &str, report: &mut Report) -> Form {
    let mut sources = Sources::new();
    let id = sources.add(PathBuf::from("project.toml"), text.as_bytes().to_vec());
    let form = Form::open(text, id, PLAN, report);
    let _settled = settle_form(&form, PathBuf::from("."), ChartOrigin::Nowhere, &mut sources, report);
    let _sizes = sizes::read(&form.top(), report);
    form
}

fn settle_form(
    form: &Form,
    folder: PathBuf,
    charted: ChartOrigin,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<Project> {
    let top = form.top();
    let about = about::check(&top, report);
    let yarns = yarns::check(&top, report);
    let colourways = colourways::read(&top, &yarns, report);
    let cord = materials::cord(&top, report);
    let swatch = materials::swatch(&top, report);
    let model = materials::model(&top, cord.as_ref().map(|c| c.construction), report);
    let working = working::check(&top, &yarns, about.as_ref().map(|a| a.level), report);
    let hanging = making::hanging(&top, report);
    let bottom = making::bottom(&top, report);
    let finishing = making::finishing(&top, yarns.any_melts(), report);
    let pace = making::pace(&top, report);
    let licence = making::licence(&top, report);
    let units = about.as_ref().map(|a| a.units);
    let print = making::print(&top, &folder, units, sources, report);
    let shop = shop::check(&top, &folder, print.ink, sources, report);
    let class = making::class(&top, report);
    let own_words = own_words::check(&top, report);
    let translations = translation::read(&top, report);
    let acknowledged = making::acknowledged(&top, report);
    let (tools, step_pictures) = (tools::check(&top, report), step_pictures::check(&top, report));
    let placeholders = placeholders::check(&top, report);
    top.close(report);

    prices(&top, &yarns, report);
    let chart = match charted {
        ChartOrigin::Named => {
            photograph(&top, &folder, sources, report);
            pictures(&top, &folder, sources, report);
            if form.repeats_sections {
                // Letters of yarns that could not be read are no fault of the chart.
                return None;
            }
            chart(&top, &folder, &yarns, sources, report)?
        }
        ChartOrigin::AtHand(chart) => chart,
        ChartOrigin::Nowhere => {
            let _named = (top.text("chart", report), top.text("photograph", report), top.text("logo", report));
            top.require("chart", "\"chart.txt\"", report);
            return None;
        }
    };
    let header_yarn = working.header_yarn.or_else(|| most_in_top_row(&chart));
    yarns.unused(&chart, header_yarn, report);
    yarns.guesses(&swatch, report);
    if report.has_faults() {
        return None;
    }
    let palette = yarns.palette()?;
    let colourways = colourways::settled(colourways, &palette, report);
    let about = about?;
    Some(Project {
        folder,
        folder_stem: stem(&about.title),
        file_stem: stem(&about.title),
        about,
        palette,
        chart,
        cord: cord?,
        swatch,
        model,
        working: working.settled(header_yarn?),
        hanging,
        bottom,
        finishing,
        pace,
        licence,
        print,
        shop,
        own_words,
        acknowledged,
        tools,
        step_pictures,
        placeholders,
        class,
        translations,
        translated: None,
        colourways,
        colourway: None,
        sizes: Vec::new(),
        size: None,
    })
}

/// A title as names of files have it.
fn stem(title: &str) -> String {
    crate::names::slugify(title).unwrap_or_else(|| "pattern".to_owned())
}

/// The yarn of most knots in the first row that has any; of equals the first in the palette. The header carries the
/// picture's upper edge, so it is quietest in that colour.
fn most_in_top_row(chart: &Chart) -> Option<crate::chart::YarnId> {
    let row = (0..chart.rows()).map(Row).find(|row| chart.row(*row).iter().any(Option::is_some))?;
    let mut knots = BTreeMap::new();
    for yarn in chart.row(row).iter().flatten() {
        *knots.entry(*yarn).or_insert(0usize) += 1;
    }
    let most = *knots.values().max()?;
    knots.into_iter().find(|(_, count)| *count == most).map(|(yarn, _)| yarn)
}

fn chart(
    top: &FormSection<'_>,
    folder: &Path,
    yarns: &Yarns,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<Chart> {
    top.require("chart", "\"chart.txt\"", report);
    let named = top.text("chart", report)?;
    let id = file_of_project(folder, &named.value, named.span, MAX_CHART_BYTES, sources, report)?;
    let looks_like_picture = crate::picture::is_picture(sources.get(id).bytes())
        || crate::picture::EXTENSIONS.iter().any(|e| named.value.to_lowercase().ends_with(e));
    if looks_like_picture {
        grid_picture::read(sources, id, &yarns.colours(), report)
    } else if sheet::is_sheet(&named.value, sources.get(id).bytes()) {
        grid_sheet::read(sources, id, &yarns.letters(), &yarns.colours(), report)
    } else {
        let text = sources.text_of(id, report)?;
        grid_text::read(text, id, &yarns.letters(), report)
    }
}

fn photograph(top: &FormSection<'_>, folder: &Path, sources: &mut Sources, report: &mut Report) {
    // Read again here only for its place: `about` has already said what is wrong with the text itself.
    let mut said = Report::new();
    let Some(named) = top.text("photograph", &mut said) else { return };
    let Some(id) = file_of_project(folder, &named.value, named.span, MAX_PHOTOGRAPH_BYTES, sources, report) else {
        return;
    };
    if let Err(fault) = crate::picture::photograph_size(sources.get(id).bytes()) {
        report.push(fault.at(named.span));
    }
    if !top.has("photograph-words") {
        report.push(
            Diagnostic::advice(Phrase::new("photograph-without-words", "nothing says what the photograph shows"))
                .at(named.span)
                .advise(Phrase::new(
                    "photograph-without-words-hint",
                    "add `photograph-words = \"...\"`: it is read aloud to those who cannot see the picture",
                )),
        );
    }
}

/// The logo, photographs of steps, and pictures in the maker's own words.
fn pictures(top: &FormSection<'_>, folder: &Path, sources: &mut Sources, report: &mut Report) {
    // The sections' own checks have said what is wrong with the texts.
    let mut quiet = Report::new();
    let mut named: Vec<(String, Span)> = Vec::new();
    let steps = top.sections("step-picture", &mut quiet);
    let logo = top.text("logo", &mut quiet).into_iter();
    let steps = steps.iter().filter_map(|entry| entry.text("picture", &mut Report::new()));
    named.extend(logo.chain(steps).map(|name| (name.value, name.span)));
    let mut texts: Vec<_> =
        ["introduction", "notes"].iter().filter_map(|key| top.words(key, &mut Report::new())).collect();
    texts.extend(top.section("licence", &mut quiet).and_then(|licence| licence.words("words", &mut Report::new())));
    let own = top.sections("own-words", &mut quiet);
    texts.extend(own.iter().filter_map(|entry| entry.words("words", &mut Report::new())));
    for text in texts {
        for picture in commonmark::read(&text.value).pictures() {
            if picture.alt.trim().is_empty() {
                let message = Phrase::new("picture-without-words-file", "nothing says what `{file}` shows");
                report.push(
                    Diagnostic::advice(message.with("file", &picture.file))
                        .called("picture-without-words")
                        .at(text.span)
                        .advise(Phrase::new(
                            "picture-without-words-file-hint",
                            "write `![what it shows](file.jpg)`: it is read aloud to those who cannot see the picture",
                        )),
                );
            }
            named.push((picture.file.clone(), text.span));
        }
    }
    for (name, span) in named {
        if let Some(id) = file_of_project(folder, &name, span, MAX_PHOTOGRAPH_BYTES, sources, report)
            && let Err(fault) = crate::picture::photograph_size(sources.get(id).bytes())
        {
            report.push(fault.at(span));
        }
    }
}

/// Reads a file that the project names. It must lie in the project's folder: a project that was sent by somebody else
/// must not be able to print what lies elsewhere on this machine.
fn file_of_project(
    folder: &Path,
    named: &str,
    span: Span,
    most: u64,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<SourceId> {
    let read = sources.inside(folder, named).and_then(|path| sources.read(&path, most));
    read.map_err(|fault| report.push(fault.at(span))).ok()
}

fn prices(top: &FormSection<'_>, yarns: &Yarns, report: &mut Report) {
    if top.has("currency") {
        return;
    }
    let mut quiet = Report::new();
    let cord = top.section("cord", &mut quiet).and_then(|cord| cord.place("price"));
    if let Some(span) = yarns.first_price().or(cord) {
        report.push(
            Diagnostic::fault("price-without-currency", "a price is given, but no `currency`")
                .at(span)
                .hint("add `currency = \"GBP\"`, or another three-letter code, above the first heading"),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::PaperName;
    use crate::chart::YarnId;
    use crate::project::trial::TWO_STRIPES;
    use crate::project::{Date, Hanging, Side, Wood};

    fn loaded(project: &str, chart: &str) -> (Option<Project>, Vec<String>) {
        let room = tempfile::tempdir().expect("a temporary folder");
        std::fs::write(room.path().join("project.toml"), project).expect("a project");
        std::fs::write(room.path().join("chart.txt"), chart).expect("a chart");
        let mut report = Report::new();
        let project = load(room.path(), &mut Sources::new(), &mut report);
        (project, report.iter().map(|d| format!("{}: {}", d.id, d.message)).collect())
    }

    #[test]
    fn the_starter_project_wants_its_makers_own_words_and_nothing_else() {
        let starter = crate::project::schema::STARTER.replace("{date}", "2025-03-01");
        let (project, said) = loaded(&starter, include_str!("../cli/starter/chart.txt"));
        let own = ["subtitle", "maker", "picture-words", "introduction"];
        assert_eq!(said, own.map(|key| format!("placeholder: `{key}` is still as the new project had it")));
        let project = project.expect("a clean project");
        assert_eq!((project.chart.columns(), project.chart.rows(), project.palette.len()), (24, 28, 3));
        assert_eq!(project.about.date, Date { year: 2025, month: 3, day: 1 });
    }

    #[test]
    fn the_starter_project_shows_every_key_but_the_experts_ones() {
        let starter = crate::project::schema::STARTER;
        for (_, keys) in PLAN {
            for key in *keys {
                // Factors of the model and pinned symbols are for those who have read the whole manual.
                let expert =
                    ["model", "cord-under-tension", "yarn-under-tension", "packing", "slack", "symbol", "cord-take-up"];
                let shown = starter.contains(&format!("{key} =")) || starter.contains(&format!("[{key}]"));
                assert!(shown || expert.contains(key), "{key}");
            }
        }
    }

    #[test]
    fn a_short_project_gets_the_defaults_of_the_trade() {
        let (project, said) = loaded(TWO_STRIPES, "ABB\nAAB\n");
        assert_eq!(said, Vec::<String>::new());
        let project = project.expect("a clean project");
        // Common practice, no source: 60 in lengths, 3 in tails, 15 % margin. Our judgement: carries of 60 mm at most.
        assert_eq!(project.working.length_mm, 1524.0);
        assert_eq!(project.working.tail_mm, 76.2);
        assert_eq!(project.working.longest_carry_mm, 60.0);
        assert_eq!(project.working.yarn_margin, 0.15);
        assert_eq!(project.working.first_row_from, Side::Left);
        // Own computation: the top row has one A and two B.
        assert_eq!(project.working.header_yarn, YarnId(1));
        // 10 wraps per inch: 25.4 / 10 (definition of the measure).
        assert!((project.palette.get(YarnId(0)).diameter_mm - 2.54).abs() < 1e-12);
        assert!(matches!(project.hanging, Hanging { wood: Wood::Dowel, .. }));
        assert_eq!(project.print.paper, PaperName::A4);
    }

    #[test]
    fn a_swatch_is_divided_by_its_columns_rows_and_knots() {
        let swatch = r##"
[swatch]
columns = "91.2 mm"
rows = "54.4 mm"
twenty-knots = { start = "1 m", left-over = "23 cm", tail = "74 mm" }
"##;
        let (project, said) = loaded(&format!("{TWO_STRIPES}{swatch}"), "ABB\nAAB\n");
        assert_eq!(said, Vec::<String>::new());
        let swatch = project.expect("a clean project").swatch;
        // Own computation: 91.2 / 16, 54.4 / 16, (1000 - 230 - 74) / 20.
        for (found, wanted) in [(swatch.column_mm, 5.7), (swatch.row_mm, 3.4), (swatch.knot_mm, 34.8)] {
            assert!(found.is_some_and(|f| (f - wanted).abs() < 1e-9), "{found:?} {wanted}");
        }
    }

    #[test]
    fn colours_weights_and_days_are_read_as_makers_write_them() {
        let written = TWO_STRIPES
            .replace("date = 2025-03-01", "date = \"28.11.2026\"")
            .replace("colour = \"#d8b26e\"", "colour = \"PeachPuff\"\nweight = \"Worsted\"")
            .replace("colour = \"#336699\"", "colour = \"navy\"\nweight = \"DK\"")
            .replace("wraps-per-inch = 10\n[[", "[[");
        let (project, _) = loaded(&written, "ABB\nAAB\n");
        let project = project.expect("a clean project");
        assert_eq!(project.about.date, Date { year: 2026, month: 11, day: 28 });
        // CSS Color Module Level 4, section 6.1: peachpuff is #ffdab9, navy #000080.
        let yarns: Vec<_> = project.palette.iter().map(|(_, yarn)| (yarn.colour.to_hex(), yarn.weight)).collect();
        assert_eq!(yarns, [("#ffdab9".to_owned(), Some(4)), ("#000080".to_owned(), Some(3))]);
    }

    #[test]
    fn an_unreadable_yarn_does_not_make_its_letter_a_second_fault() {
        let (project, said) = loaded(&TWO_STRIPES.replace("key = \"B\"", "key = \"BB\""), "ABB\nAAB\n");
        assert!(project.is_none());
        assert_eq!(said, ["not-a-letter: `BB` cannot stand for a yarn"]);
    }
}
