//! The layout files as written: editions, looks and papers. Mirrors the TOML and nothing more; `check.rs` settles it.

use serde::Deserialize;
use std::collections::BTreeMap;
use toml::Spanned;

#[cfg(test)]
use super::schema;

/// `layouts/booklet.toml` and its sisters.
#[derive(Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct EditionFile {
    /// Always 1.
    #[cfg_attr(test, schemars(with = "u32"))]
    pub format: Spanned<u32>,
    /// Name of a look.
    #[cfg_attr(test, schemars(with = "String"))]
    pub look: Spanned<String>,
    /// Section ids in order.
    #[cfg_attr(test, schemars(with = "Vec<schema::SectionName>"))]
    pub sections: Vec<Spanned<String>>,
    /// Sections that start a page.
    #[serde(default)]
    #[cfg_attr(test, schemars(with = "Vec<schema::SectionName>"))]
    pub new_page: Vec<Spanned<String>>,
    /// Pages above which a list of contents is printed.
    pub contents_over: usize,
    /// Whether there is a running head.
    pub running_head: bool,
    /// Whether pages are numbered.
    pub folio: bool,
    /// single, facing; single where it is left out.
    #[cfg_attr(test, schemars(with = "Option<schema::Pages>"))]
    pub pages: Option<Spanned<String>>,
    /// Chart settings.
    pub chart: ChartFile,
}

/// `[chart]`.
#[derive(Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct ChartFile {
    /// A measure.
    #[cfg_attr(test, schemars(with = "schema::Measure"))]
    pub least_cell: Spanned<String>,
    /// A measure.
    #[cfg_attr(test, schemars(with = "schema::Measure"))]
    pub most_cell: Spanned<String>,
    /// square, true.
    #[cfg_attr(test, schemars(with = "schema::Cells"))]
    pub cells: Spanned<String>,
    /// upright, either.
    #[cfg_attr(test, schemars(with = "schema::Orientation"))]
    pub orientation: Spanned<String>,
    /// Columns and rows shown again.
    #[cfg_attr(test, schemars(with = "usize"))]
    pub repeat: Spanned<usize>,
    /// Band every so many rows; 0 for none.
    #[cfg_attr(test, schemars(with = "usize"))]
    pub band_every: Spanned<usize>,
    /// Run counts at the far side.
    pub run_counts: bool,
    /// A dot where a yarn starts; layouts made before there were any have none.
    #[serde(default)]
    pub yarn_starts: bool,
    /// Rows in words after the sheets that show them.
    #[serde(default)]
    pub rows_alongside: bool,
}

/// `layouts/looks/quiet.toml`.
#[derive(Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct LookFile {
    /// Always 1.
    #[cfg_attr(test, schemars(with = "u32"))]
    pub format: Spanned<u32>,
    /// Colours by role.
    pub colours: ColoursFile,
    /// Widest measure of running text.
    #[cfg_attr(test, schemars(with = "schema::Measure"))]
    pub measure: Spanned<String>,
    /// Between side column and text.
    #[cfg_attr(test, schemars(with = "schema::Measure"))]
    pub gutter: Spanned<String>,
    /// Whether heads stand in a column beside the text where the paper has one; they do where this is left out.
    pub side_heads: Option<bool>,
    /// Font files of the maker's own, by role, relative to this file.
    #[serde(default)]
    #[cfg_attr(test, schemars(with = "BTreeMap<String, String>"))]
    pub fonts: BTreeMap<String, Spanned<String>>,
    /// Widths of rules.
    pub rules: RulesFile,
    /// Styles by name.
    pub styles: BTreeMap<String, StyleFile>,
}

/// `[colours]`.
#[derive(Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct ColoursFile {
    /// Running text.
    #[cfg_attr(test, schemars(with = "schema::Paint"))]
    pub text: Spanned<String>,
    /// Running heads, captions.
    #[cfg_attr(test, schemars(with = "schema::Paint"))]
    pub quiet: Spanned<String>,
    /// Rules.
    #[cfg_attr(test, schemars(with = "schema::Paint"))]
    pub rule: Spanned<String>,
    /// Grounds.
    #[cfg_attr(test, schemars(with = "schema::Paint"))]
    pub tint: Spanned<String>,
    /// Ground beside columns and rows that a chart sheet shows again; the three of chart sheets may be left out.
    #[cfg_attr(test, schemars(with = "Option<schema::Paint>"))]
    pub shared: Option<Spanned<String>>,
    /// Lines between the cells of a chart.
    #[cfg_attr(test, schemars(with = "Option<schema::Paint>"))]
    pub grid: Option<Spanned<String>>,
    /// Its lines on tens and round its knots.
    #[cfg_attr(test, schemars(with = "Option<schema::Paint>"))]
    pub tens: Option<Spanned<String>>,
    /// A colour, or "chart".
    #[cfg_attr(test, schemars(with = "schema::Accent"))]
    pub accent: Spanned<String>,
}

/// `[rules]`.
#[derive(Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct RulesFile {
    /// Above a section's title.
    #[cfg_attr(test, schemars(with = "schema::Measure"))]
    pub section: Spanned<String>,
    /// In tables.
    #[cfg_attr(test, schemars(with = "schema::Measure"))]
    pub table: Spanned<String>,
    /// Below a table's head.
    #[cfg_attr(test, schemars(with = "schema::Measure"))]
    pub heavy: Spanned<String>,
}

/// `[styles.*]`.
#[derive(Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct StyleFile {
    /// A role of fonts/fonts.toml.
    #[cfg_attr(test, schemars(with = "schema::Face"))]
    pub face: Spanned<String>,
    /// A measure.
    #[cfg_attr(test, schemars(with = "schema::Measure"))]
    pub size: Spanned<String>,
    /// A measure, baseline to baseline; one and a quarter of the size where it is left out.
    #[cfg_attr(test, schemars(with = "Option<schema::Measure>"))]
    pub leading: Option<Spanned<String>>,
    /// left, justified, centre, right.
    #[cfg_attr(test, schemars(with = "Option<schema::Alignment>"))]
    pub align: Option<Spanned<String>>,
    /// A colour role.
    #[cfg_attr(test, schemars(with = "Option<schema::InkRole>"))]
    pub colour: Option<Spanned<String>>,
    /// Space above.
    #[cfg_attr(test, schemars(with = "Option<schema::Measure>"))]
    pub before: Option<Spanned<String>>,
    /// Space below.
    #[cfg_attr(test, schemars(with = "Option<schema::Measure>"))]
    pub after: Option<Spanned<String>>,
    /// Whether words may be divided.
    #[serde(default)]
    pub hyphenate: bool,
    /// Tabular figures.
    #[serde(default)]
    pub tabular: bool,
}

/// `layouts/papers.toml`.
pub type PapersFile = BTreeMap<String, PaperFile>;

/// One paper.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct PaperFile {
    /// Across.
    pub width: Spanned<String>,
    /// Down.
    pub height: Spanned<String>,
    /// Margin.
    pub top: Spanned<String>,
    /// Margin.
    pub bottom: Spanned<String>,
    /// Margin at the spine.
    pub inner: Spanned<String>,
    /// Margin at the outer edge.
    pub outer: Spanned<String>,
    /// Width of the side column; 0 for none.
    pub side: Spanned<String>,
    /// Margin of chart sheets.
    pub chart_margin: Spanned<String>,
}
