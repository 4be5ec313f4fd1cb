//! Settles layout files: every fault at once, then a clean [`Edition`].

use super::file::{EditionFile, LookFile, PapersFile};
use super::{ChartStyle, Edition, Ink, Look, OwnFont, Paper, Style};
use crate::colour::Colour;
use crate::diag::{Diagnostic, Report, SourceId, Span};
use crate::geom::{Length, Size};
use crate::manuscript::write::SECTIONS;
use crate::source::Sources;
use crate::text::Align;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use toml::Spanned;

/// Shipped editions: name and file.
pub const EDITIONS: [(&str, &str); 4] = [
    ("booklet", include_str!("../../layouts/booklet.toml")),
    ("chart", include_str!("../../layouts/chart.toml")),
    ("large-print", include_str!("../../layouts/large-print.toml")),
    ("materials", include_str!("../../layouts/materials.toml")),
];

/// Shipped looks: name and file.
pub const LOOKS: [(&str, &str); 3] = [
    ("quiet", include_str!("../../layouts/looks/quiet.toml")),
    ("workshop", include_str!("../../layouts/looks/workshop.toml")),
    ("large-print", include_str!("../../layouts/looks/large-print.toml")),
];

/// Colours of chart sheets for looks that do not give them: warm greys, lines clearly weaker than symbols.
const USUAL_SHARED: Colour = Colour::new(0xd8, 0xd2, 0xc9);
const USUAL_GRID: Colour = Colour::new(0xc4, 0xbd, 0xb3);
const USUAL_TENS: Colour = Colour::new(0x86, 0x7f, 0x76);

const PAPERS: &str = include_str!("../../layouts/papers.toml");

/// Styles that every look must give.
pub const STYLES: [&str; 28] = [
    "title",
    "subtitle",
    "maker",
    "lead",
    "body",
    "note",
    "small",
    "heading-1",
    "heading-2",
    "heading-3",
    "step",
    "tick",
    "caution",
    "table",
    "table-head",
    "table-tight",
    "table-head-tight",
    "caption",
    "label",
    "rows",
    "row-number",
    "contents",
    "head",
    "folio",
    "sheet-title",
    "sheet-note",
    "key",
    "cell-number",
];

/// Roles of faces that a style can name and a maker's own font can take.
pub(super) const FACES: [&str; 5] = ["text", "text-italic", "text-strong", "figures", "figures-strong"];

/// Which files an edition is made from.
#[derive(Clone, Copy, Debug)]
pub struct Choice<'a> {
    /// Shipped edition.
    pub edition: &'a str,
    /// The maker's own edition file, already read, instead of the shipped one.
    pub own: Option<SourceId>,
    /// Shipped look instead of the edition's.
    pub look: Option<&'a str>,
    /// Paper.
    pub paper: &'a str,
}

/// Names of the papers.
pub fn papers() -> Vec<String> {
    toml::from_str::<PapersFile>(PAPERS).map(|p| p.into_keys().collect()).unwrap_or_default()
}

/// Reads and settles an edition. `None` means the report has at least one fault.
pub fn load(choice: Choice, sources: &mut Sources, report: &mut Report) -> Option<Edition> {
    let source = match choice.own {
        Some(source) => source,
        None => shipped(&EDITIONS, "layout", choice.edition, sources, report)?,
    };
    let file: EditionFile = parse(source, sources, report)?;
    let look_source = match (choice.look, choice.own) {
        (None, Some(_)) if file.look.get_ref().ends_with(".toml") => beside(source, &file.look, sources, report)?,
        (look, _) => {
            let look_name = look.unwrap_or(file.look.get_ref());
            shipped(&LOOKS, "look", look_name, sources, report).or_else(|| {
                if look.is_none() {
                    let fault = Diagnostic::fault("unknown-look", "the layout names this look");
                    report.push(fault.at(span(source, &file.look)));
                }
                None
            })?
        }
    };
    let look_file: LookFile = parse(look_source, sources, report)?;
    let papers_source = sources.add(PathBuf::from("layouts/papers.toml"), PAPERS.as_bytes().to_vec());
    let papers: PapersFile = parse(papers_source, sources, report)?;

    let before = report.len();
    let mut look = settle_look(look_source, &look_file, report);
    for (role, path) in &look_file.fonts {
        if !FACES.contains(&role.as_str()) {
            report.push(
                Diagnostic::fault("unknown-face", format!("there is no face `{role}`"))
                    .at(span(look_source, path))
                    .hint(format!("faces are: {}", FACES.join(", "))),
            );
        } else if let Some(font) = beside(look_source, path, sources, report) {
            look.fonts.push(OwnFont {
                role: role.clone(),
                name: path.get_ref().clone(),
                bytes: sources.get(font).bytes().to_vec(),
                at: span(look_source, path),
            });
        }
    }
    let paper = settle_paper(papers_source, &papers, choice.paper, report);
    let chart = settle_chart(source, &file, report);
    if *file.format.get_ref() != 1 {
        report.push(
            Diagnostic::fault("unknown-format", format!("layout format `{}` is not known", file.format.get_ref()))
                .at(span(source, &file.format))
                .hint("write `format = 1`"),
        );
    }
    if *look_file.format.get_ref() != 1 {
        report.push(
            Diagnostic::fault("unknown-format", format!("look format `{}` is not known", look_file.format.get_ref()))
                .at(span(look_source, &look_file.format))
                .hint("write `format = 1`"),
        );
    }
    for section in file.sections.iter().chain(&file.new_page) {
        if !SECTIONS.contains(&section.get_ref().as_str()) {
            report.push(
                Diagnostic::fault("unknown-section", format!("there is no section `{}`", section.get_ref()))
                    .at(span(source, section))
                    .hint(format!("sections are: {}", SECTIONS.join(", "))),
            );
        }
    }
    if file.sections.is_empty() {
        report.push(Diagnostic::fault("no-sections", "the layout has no sections").at(Span::file(source)));
    }
    if report.len() > before && report.has_faults() {
        return None;
    }
    Some(Edition {
        sections: file.sections.into_iter().map(Spanned::into_inner).collect(),
        new_page: file.new_page.into_iter().map(Spanned::into_inner).collect(),
        contents_over: file.contents_over,
        running_head: file.running_head,
        folio: file.folio,
        facing: file
            .pages
            .as_ref()
            .is_some_and(|pages| one_of(source, pages, &[("single", false), ("facing", true)], report)),
        in_fours: false,
        bleed: Length::ZERO,
        chart,
        look,
        paper: paper?,
    })
}

fn shipped(
    list: &[(&str, &str)],
    what: &str,
    name: &str,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<SourceId> {
    let Some((name, text)) = list.iter().find(|(n, _)| *n == name) else {
        let names: Vec<&str> = list.iter().map(|(n, _)| *n).collect();
        report.push(
            Diagnostic::fault("unknown-layout", format!("there is no {what} `{name}`"))
                .hint(format!("choose one of: {}", names.join(", "))),
        );
        return None;
    };
    let folder = if what == "look" { "layouts/looks" } else { "layouts" };
    Some(sources.add(PathBuf::from(format!("{folder}/{name}.toml")), text.as_bytes().to_vec()))
}

/// Most bytes of a file that a layout or a look names.
const MOST_BYTES: u64 = 64 << 20;

/// A file that the maker's own layout or look names, relative to that file and never outside its folder.
fn beside(source: SourceId, named: &Spanned<String>, sources: &mut Sources, report: &mut Report) -> Option<SourceId> {
    let folder = sources.get(source).path().parent().map(Path::to_path_buf).unwrap_or_default();
    let read = crate::source::inside(&folder, named.get_ref()).and_then(|path| sources.read(&path, MOST_BYTES));
    match read {
        Ok(id) => Some(id),
        Err(fault) => {
            report.push(fault.at(span(source, named)));
            None
        }
    }
}

fn parse<T: serde::de::DeserializeOwned>(source: SourceId, sources: &Sources, report: &mut Report) -> Option<T> {
    let Some(text) = sources.get(source).text() else {
        report.push(Diagnostic::fault("not-text", "the layout file is not UTF-8 text").at(Span::file(source)));
        return None;
    };
    match toml::from_str(text) {
        Ok(value) => Some(value),
        Err(error) => {
            let at = error.span().unwrap_or(0..0);
            report.push(
                Diagnostic::fault("layout-syntax", error.message().trim_end_matches('.').to_lowercase())
                    .at(Span::new(source, at.start, at.end))
                    .hint("compare with the shipped layout of the same kind"),
            );
            None
        }
    }
}

fn span<T>(source: SourceId, value: &Spanned<T>) -> Span {
    Span::new(source, value.span().start, value.span().end)
}

/// A measure of layout: a number with `pt`, `mm`, `cm` or `in`.
fn measure(source: SourceId, value: &Spanned<String>, report: &mut Report) -> Length {
    let text = value.get_ref().trim();
    let unit_at = text.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(text.len());
    let (number, unit) = text.split_at(unit_at);
    let length =
        number.trim().parse::<f64>().ok().filter(|n| n.is_finite() && (0.0..=5_000.0).contains(n)).and_then(|number| {
            match unit {
                "pt" => Some(Length::pt(number)),
                "mm" => Some(Length::mm(number)),
                "cm" => Some(Length::mm(number * 10.0)),
                "in" => Some(Length::inches(number)),
                _ => None,
            }
        });
    length.unwrap_or_else(|| {
        report.push(
            Diagnostic::fault("bad-measure", format!("`{text}` is not a measure"))
                .at(span(source, value))
                .hint("write a number and a unit: `10.5 pt`, `4 mm`, `0.5 in`"),
        );
        Length::mm(10.0)
    })
}

fn above_zero(source: SourceId, value: &Spanned<String>, report: &mut Report) -> Length {
    let length = measure(source, value, report);
    if length.fits(Length::ZERO) {
        report.push(
            Diagnostic::fault("bad-measure", format!("`{}` must be more than nothing", value.get_ref()))
                .at(span(source, value)),
        );
        return Length::mm(10.0);
    }
    length
}

fn one_of<T: Copy>(source: SourceId, value: &Spanned<String>, choices: &[(&str, T)], report: &mut Report) -> T {
    if let Some((_, choice)) = choices.iter().find(|(name, _)| name == value.get_ref()) {
        return *choice;
    }
    let names: Vec<&str> = choices.iter().map(|(n, _)| *n).collect();
    report.push(
        Diagnostic::fault("unknown-choice", format!("`{}` is not a choice here", value.get_ref()))
            .at(span(source, value))
            .hint(format!("choose one of: {}", names.join(", "))),
    );
    choices[0].1
}

fn colour(source: SourceId, value: &Spanned<String>, report: &mut Report) -> Colour {
    Colour::from_hex(value.get_ref()).unwrap_or_else(|| {
        report.push(
            Diagnostic::fault("bad-colour", format!("`{}` is not a colour", value.get_ref()))
                .at(span(source, value))
                .hint("write it as `#rrggbb`"),
        );
        Colour::BLACK
    })
}

fn settle_look(source: SourceId, file: &LookFile, report: &mut Report) -> Look {
    let mut styles = BTreeMap::new();
    for (name, style) in &file.styles {
        let optional = |value: &Option<Spanned<String>>, report: &mut Report| {
            value.as_ref().map_or(Length::ZERO, |v| measure(source, v, report))
        };
        let size = above_zero(source, &style.size, report);
        let settled = Style {
            face: style.face.get_ref().clone(),
            size,
            leading: style.leading.as_ref().map_or(size * 1.25, |leading| above_zero(source, leading, report)),
            align: style.align.as_ref().map_or(Align::Left, |value| {
                let choices = [
                    ("left", Align::Left),
                    ("justified", Align::Justified),
                    ("centre", Align::Centre),
                    ("right", Align::Right),
                ];
                one_of(source, value, &choices, report)
            }),
            colour: style.colour.as_ref().map_or(Ink::Text, |value| {
                one_of(source, value, &[("text", Ink::Text), ("quiet", Ink::Quiet), ("accent", Ink::Accent)], report)
            }),
            before: optional(&style.before, report),
            after: optional(&style.after, report),
            hyphenate: style.hyphenate,
            tabular: style.tabular,
        };
        if !FACES.contains(&settled.face.as_str()) {
            report.push(
                Diagnostic::fault("unknown-face", format!("there is no face `{}`", settled.face))
                    .at(span(source, &style.face))
                    .hint(format!("faces are: {}", FACES.join(", "))),
            );
        }
        styles.insert(name.clone(), settled);
    }
    for name in STYLES {
        if !styles.contains_key(name) {
            report.push(
                Diagnostic::fault("missing-style", format!("the look has no `[styles.{name}]`"))
                    .at(Span::file(source))
                    .hint("copy it from the look `quiet`"),
            );
        }
    }
    let accent = &file.colours.accent;
    let or_usual = |value: &Option<Spanned<String>>, usual: Colour, report: &mut Report| {
        value.as_ref().map_or(usual, |value| colour(source, value, report))
    };
    Look {
        text: colour(source, &file.colours.text, report),
        quiet: colour(source, &file.colours.quiet, report),
        rule: colour(source, &file.colours.rule, report),
        tint: colour(source, &file.colours.tint, report),
        shared: or_usual(&file.colours.shared, USUAL_SHARED, report),
        grid: or_usual(&file.colours.grid, USUAL_GRID, report),
        tens: or_usual(&file.colours.tens, USUAL_TENS, report),
        accent: (accent.get_ref() != "chart").then(|| colour(source, accent, report)),
        measure: above_zero(source, &file.measure, report),
        gutter: measure(source, &file.gutter, report),
        side_heads: file.side_heads.unwrap_or(true),
        fonts: Vec::new(),
        section_rule: measure(source, &file.rules.section, report),
        table_rule: measure(source, &file.rules.table, report),
        heavy_rule: measure(source, &file.rules.heavy, report),
        styles,
    }
}

fn settle_paper(source: SourceId, papers: &PapersFile, name: &str, report: &mut Report) -> Option<Paper> {
    let Some(file) = papers.get(name) else {
        let names: Vec<&str> = papers.keys().map(String::as_str).collect();
        report.push(
            Diagnostic::fault("unknown-paper", format!("there is no paper `{name}`"))
                .hint(format!("choose one of: {}", names.join(", "))),
        );
        return None;
    };
    Some(Paper {
        name: name.to_string(),
        size: Size::new(above_zero(source, &file.width, report), above_zero(source, &file.height, report)),
        top: measure(source, &file.top, report),
        bottom: measure(source, &file.bottom, report),
        inner: measure(source, &file.inner, report),
        outer: measure(source, &file.outer, report),
        side: measure(source, &file.side, report),
        chart_margin: measure(source, &file.chart_margin, report),
    })
}

fn settle_chart(source: SourceId, file: &EditionFile, report: &mut Report) -> ChartStyle {
    let chart = &file.chart;
    let least_cell = above_zero(source, &chart.least_cell, report);
    let most_cell = above_zero(source, &chart.most_cell, report);
    // Character height 15 arc-minutes at 600 mm (NUREG-0700) needs 2.6 mm; rounded up for print.
    if !Length::mm(2.7).fits(least_cell) {
        report.push(
            Diagnostic::fault("cells-too-small", format!("cells of `{}` cannot be read", chart.least_cell.get_ref()))
                .at(span(source, &chart.least_cell))
                .hint("make them 2.7 mm at least, better 4 mm"),
        );
    }
    if !least_cell.fits(most_cell) {
        report.push(
            Diagnostic::fault("cells-out-of-order", "`most-cell` is smaller than `least-cell`")
                .at(span(source, &chart.most_cell)),
        );
    }
    if *chart.repeat.get_ref() > 10 {
        report.push(
            Diagnostic::fault("too-much-repeated", "more than ten columns and rows would be shown again")
                .at(span(source, &chart.repeat))
                .hint("two are enough to find the place"),
        );
    }
    ChartStyle {
        least_cell,
        most_cell,
        square: one_of(source, &chart.cells, &[("square", true), ("true", false)], report),
        may_turn: one_of(source, &chart.orientation, &[("upright", false), ("either", true)], report),
        repeat: *chart.repeat.get_ref(),
        band_every: *chart.band_every.get_ref(),
        run_counts: chart.run_counts,
        yarn_starts: chart.yarn_starts,
        rows_alongside: chart.rows_alongside,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_in_a_shipped_file_names_the_place_where_it_lies() {
        for (list, what) in [(&EDITIONS[..], "layout"), (&LOOKS[..], "look")] {
            for (name, text) in list {
                let mut sources = Sources::new();
                let id = shipped(list, what, name, &mut sources, &mut Report::new()).expect("it is shipped");
                let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(sources.get(id).path());
                assert_eq!(std::fs::read_to_string(file).ok().as_deref(), Some(*text), "{name}");
            }
        }
    }
}
