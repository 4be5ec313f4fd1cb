//! A layout as it is written, `layouts/booklet.toml` and its sisters, and its check.

use super::{CellShape, ChartStyle};
use crate::catalogue::SectionName;
use crate::diag::{Diagnostic, Report, SourceId};
use crate::form::{Form, FormSection, KeyPlan, Limits, Spanned};
use crate::geom::Length;

/// Every key of a layout; `layouts/README.md` explains them.
pub(super) const PLAN: &KeyPlan = &[
    ("", &["format", "look", "sections", "new-page", "contents-over", "running-head", "folio", "pages", "chart"]),
    (
        "chart",
        &[
            "least-cell",
            "most-cell",
            "cells",
            "orientation",
            "repeat",
            "band-every",
            "run-counts",
            "marks",
            "rows-alongside",
        ],
    ),
];

/// The shorter side of a cell that is preferred, and what it may shrink to where that saves a column of sheets.
const PREFERRED_CELL: Length = Length::mm(4.0);
const NARROW_CELL: Length = Length::mm(3.2);
/// Character height 15 arc-minutes at 600 mm (NUREG-0700) needs 2.6 mm; rounded up for print.
const MIN_CELL: Length = Length::mm(2.7);
/// More columns and rows shown again would take the place of new ones.
const MAX_REPEAT: usize = 10;

/// What could be made out of a layout. `None`: the report says why.
pub(super) struct Layout {
    /// The look's name, or a file beside the layout.
    pub(crate) look: Option<Spanned<String>>,
    /// Sections in their order.
    pub(crate) sections: Vec<SectionName>,
    /// Sections that start a page.
    pub(crate) new_page: Vec<SectionName>,
    /// Pages above which a list of contents is printed.
    pub(crate) contents_over: Option<usize>,
    /// Whether there is a running head.
    pub(crate) running_head: Option<bool>,
    /// Whether pages are numbered.
    pub(crate) folio: Option<bool>,
    /// Whether left and right pages mirror each other.
    pub(crate) facing: bool,
    /// Chart settings.
    pub(crate) chart: Option<ChartStyle>,
}

/// Checks a layout.
pub(super) fn check(text: &str, source: SourceId, report: &mut Report) -> Layout {
    checked(&Form::open(text, source, PLAN, report), report)
}

pub(super) fn checked(form: &Form, report: &mut Report) -> Layout {
    let top = form.top();
    super::format(&top, "layout", report);
    for (key, example) in [
        ("look", "\"quiet\""),
        ("sections", "[\"cover\", \"chart\"]"),
        ("contents-over", "8"),
        ("running-head", "true"),
        ("folio", "true"),
    ] {
        top.require(key, example, report);
    }
    if top.misses("chart") {
        let fault = Diagnostic::fault("missing-key", "the layout has no section [chart]").at(top.span());
        report.push(fault.hint("copy it from the layout `booklet`"));
    }
    top.needs("chart");
    let names = SectionName::choices();
    let layout = Layout {
        look: top.text("look", report),
        sections: top.choices("sections", &names, report).map_or_else(Vec::new, |sections| sections.value),
        new_page: top.choices_or_none("new-page", &names, report).map_or_else(Vec::new, |sections| sections.value),
        contents_over: top.count("contents-over", 0, 100_000, report).map(|pages| pages.value as usize),
        running_head: top.yes_no("running-head", report).map(|yes| yes.value),
        folio: top.yes_no("folio", report).map(|yes| yes.value),
        facing: top.choice("pages", &[("single", false), ("facing", true)], report).is_some_and(|pages| pages.value),
        chart: top.section("chart", report).and_then(|section| chart(&section, report)),
    };
    top.close(report);
    layout
}

fn chart(section: &FormSection<'_>, report: &mut Report) -> Option<ChartStyle> {
    for (key, example) in [
        ("least-cell", "\"4 mm\""),
        ("most-cell", "\"6 mm\""),
        ("cells", "\"auto\""),
        ("orientation", "\"upright\""),
        ("repeat", "2"),
        ("band-every", "2"),
        ("run-counts", "true"),
        ("marks", "true"),
    ] {
        section.require(key, example, report);
    }
    let cell = Limits::mm(0.1, 500.0);
    let (least, most) = (section.length("least-cell", cell, report), section.length("most-cell", cell, report));
    if let Some(least) = least.filter(|least| !MIN_CELL.fits(least.value)) {
        report.push(
            Diagnostic::fault("cells-too-small", "squares as small as this cannot be read")
                .at(least.span)
                .hint("make them 2.7 mm at least, better 4 mm"),
        );
    }
    if let (Some(least), Some(most)) = (least, most)
        && !least.value.fits(most.value)
    {
        report.push(
            Diagnostic::fault("cells-out-of-order", "`most-cell` is smaller than `least-cell`")
                .at(most.span)
                .hint("make `most-cell` as large as `least-cell`, or larger"),
        );
    }
    let shapes = [("auto", CellShape::Auto), ("true", CellShape::True), ("square", CellShape::Square)];
    let cells = section.choice("cells", &shapes, report);
    let may_turn = section.choice("orientation", &[("upright", false), ("either", true)], report);
    let repeat = section.count("repeat", 0, MAX_REPEAT as i64, report);
    let band_every = section.count("band-every", 0, 1_000, report);
    let run_counts = section.yes_no("run-counts", report);
    let marks = section.yes_no("marks", report);
    let rows_alongside = section.yes_no("rows-alongside", report).is_some_and(|yes| yes.value);
    section.close(report);
    Some(ChartStyle {
        least_cell: least?.value,
        // Who asks for larger cells than usual, or for smaller ones, gets what was asked for.
        narrow_cell: if least?.value.approx_eq(PREFERRED_CELL) { NARROW_CELL } else { least?.value },
        most_cell: most?.value,
        cells: cells?.value,
        may_turn: may_turn?.value,
        repeat: repeat?.value as usize,
        band_every: band_every?.value as usize,
        run_counts: run_counts?.value,
        marks: marks?.value,
        rows_alongside,
    })
}
