//! Layout as data: which sections, how they look, on which paper. Comes from `layouts/*.toml`, shipped inside the program;
//! a maker can give a file of her own. Everything here is settled: every style a section needs is there.

mod check;
mod layout;
mod look;
mod paper;
#[cfg(test)]
mod schema;

pub(crate) use check::{Choice, load};

use crate::catalogue::{PaperName, SectionName, StyleName};
use crate::colour::Colour;
use crate::diag::{Diagnostic, Report, Span};
use crate::font::FontRole;
use crate::form::{FormSection, Spanned};
use crate::geom::{Length, Size};
use crate::text::Align;
use std::collections::BTreeMap;

/// An edition on one paper in one look, ready to compose with.
#[derive(Clone, Debug, PartialEq)]
pub struct Edition {
    /// Sections in order.
    pub(crate) sections: Vec<SectionName>,
    /// Sections that start a new page.
    pub(crate) new_page: Vec<SectionName>,
    /// Pages above which a list of contents is printed.
    pub(crate) contents_over: usize,
    /// Whether there is a running head.
    pub(crate) running_head: bool,
    /// Whether pages are numbered.
    pub(crate) folio: bool,
    /// Whether left and right pages mirror each other, as in a stapled booklet. The first page is a right one.
    pub(crate) facing: bool,
    /// Whether note pages fill up to whole folded sheets of four pages. No layout says so: the purpose of the file does.
    pub(crate) in_fours: bool,
    /// Whether everything but pictures and yarns is printed in black: a shop charges such pages as black ones, and its plates
    /// need not meet. The purpose of the file says so.
    pub(crate) in_black: bool,
    /// How far pages are drawn beyond their trim, on every side; zero for home files. The purpose of the file says so too.
    pub(crate) bleed: Length,
    /// Chart settings.
    pub chart: ChartStyle,
    /// Look.
    pub look: Look,
    /// Paper.
    pub(crate) paper: Paper,
}

/// How chart sheets are made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartStyle {
    /// The shorter side of a cell is to be so long.
    pub(crate) least_cell: Length,
    /// Where that saves a column of sheets it may be as short as this.
    pub narrow_cell: Length,
    /// Greatest height of a cell.
    pub(crate) most_cell: Length,
    /// Proportions of the cells.
    pub(crate) cells: CellShape,
    /// Whether a sheet may lie on its side.
    pub(crate) may_turn: bool,
    /// Columns and rows shown again on the next sheet.
    pub(crate) repeat: usize,
    /// A quiet band every so many rows; 0 for none.
    pub(crate) band_every: usize,
    /// The row's run counts at its far side.
    pub(crate) run_counts: bool,
    /// Small marks in the cells where a length starts, is linked, is cut, or is not the one that the rule takes.
    pub(crate) marks: bool,
    /// The rows in words follow the sheets that show them, instead of standing in a section of their own.
    pub(crate) rows_alongside: bool,
}

/// Proportions of a chart's cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum CellShape {
    /// The knots' own, unless that takes more than half again as many sheets as squares do.
    Auto,
    /// The knots' own.
    True,
    /// Square.
    Square,
}

/// Styles, colours, rules.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// Running text.
    pub(crate) text: Colour,
    /// Heads, captions.
    pub(crate) quiet: Colour,
    /// Rules.
    pub(crate) rule: Colour,
    /// Grounds.
    pub tint: Colour,
    /// Ground beside columns and rows that a chart sheet shows again.
    pub(crate) shared: Colour,
    /// Lines between the cells of a chart.
    pub(crate) grid: Colour,
    /// Its lines on tens and round its knots.
    pub(crate) tens: Colour,
    /// `None`: taken from the chart.
    pub(crate) accent: Option<Colour>,
    /// Widest measure of running text.
    pub(crate) measure: Length,
    /// Between side column and text.
    pub(crate) gutter: Length,
    /// Whether heads stand in a column beside the text where the paper has one.
    pub(crate) side_heads: bool,
    /// Font files of the maker's own.
    pub(crate) fonts: Vec<OwnFont>,
    /// Rule above a section's title.
    pub(crate) section_rule: Length,
    /// Rules in tables.
    pub(crate) table_rule: Length,
    /// Rule below a table's head.
    pub(crate) heavy_rule: Length,
    styles: BTreeMap<StyleName, Style>,
}

impl Look {
    /// Its own colours become greys as light as they are; the accent is settled where the yarns are known.
    pub(crate) fn in_greys(&mut self) {
        let own = [&mut self.text, &mut self.quiet, &mut self.rule, &mut self.tint, &mut self.shared];
        for colour in own.into_iter().chain([&mut self.grid, &mut self.tens]) {
            *colour = colour.grey();
        }
    }
    /// A style. A look that was checked has all of them.
    pub fn style(&self, name: StyleName) -> &Style {
        &self.styles[&name]
    }
}

/// A font file that takes a role in the maker's own look.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct OwnFont {
    /// The role.
    pub(crate) role: FontRole,
    /// The path as the maker wrote it.
    pub(crate) name: String,
    /// The file.
    pub(crate) bytes: Vec<u8>,
    /// Where the path is written.
    pub(crate) at: Span,
}

/// How a kind of text is set.
#[derive(Clone, Debug, PartialEq)]
pub struct Style {
    /// Face.
    pub(crate) face: FontRole,
    /// Em.
    pub size: Length,
    /// Baseline to baseline.
    pub(crate) leading: Length,
    /// Alignment.
    pub(crate) align: Align,
    /// Colour role.
    pub(crate) colour: Ink,
    /// Space above.
    pub(crate) before: Length,
    /// Space below.
    pub(crate) after: Length,
    /// Whether words may be divided.
    pub(crate) hyphenate: bool,
    /// Tabular figures.
    pub(crate) tabular: bool,
}

/// Colour roles of a look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ink {
    /// Running text.
    Text,
    /// Quiet text.
    Quiet,
    /// The accent.
    Accent,
}

/// A sheet of paper with its margins.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Paper {
    /// Its name.
    pub(crate) name: PaperName,
    /// Trimmed size, upright.
    pub(crate) size: Size,
    /// Margin at the head.
    pub(crate) top: Length,
    /// Margin at the foot.
    pub(crate) bottom: Length,
    /// Margin at the spine.
    pub(crate) inner: Length,
    /// Margin at the outer edge.
    pub(crate) outer: Length,
    /// Side column; zero for none.
    pub(crate) side: Length,
    /// Margin of chart sheets.
    pub(crate) chart_margin: Length,
}

/// A fault where a file is written in another format than this program reads. `what`: "layout" or "look".
fn format(top: &FormSection<'_>, what: &str, report: &mut Report) {
    top.require("format", "1", report);
    if let Some(Spanned { value, span }) = top.count("format", 1, 1_000_000, report)
        && value != 1
    {
        report.push(
            Diagnostic::fault("unknown-format", format!("this {what} is written in format {value}"))
                .at(span)
                .hint("this version reads `format = 1`; a newer version may read it"),
        );
    }
}
