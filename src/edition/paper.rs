//! Papers and their margins, from `layouts/papers.toml`.

use super::Paper;
use crate::catalogue::PaperName;
use crate::diag::{Report, SourceId};
use crate::form::{Form, KeyPlan, Limits};
use crate::geom::{Length, Size};

/// The file.
pub(super) const PAPERS: &str = include_str!("../../layouts/papers.toml");

const PLAN: &KeyPlan =
    &[("", PaperName::WORDS), ("*", &["width", "height", "top", "bottom", "inner", "outer", "side", "chart-margin"])];

/// Checks one paper of the file. `None`: the report has at least one fault.
pub(super) fn check(source: SourceId, name: PaperName, report: &mut Report) -> Option<Paper> {
    let form = Form::open(PAPERS, source, PLAN, report);
    let section = form.top().section(name.name(), report)?;
    let mut length = |key: &str, least: f64| -> Option<Length> {
        section.require(key, "\"12 mm\"", report);
        section.length(key, Limits::mm(least, 2_000.0), report).map(|length| length.value)
    };
    let (width, height) = (length("width", 1.0), length("height", 1.0));
    let [top, bottom, inner, outer, side, chart_margin] =
        ["top", "bottom", "inner", "outer", "side", "chart-margin"].map(|key| length(key, 0.0));
    Some(Paper {
        name,
        size: Size::new(width?, height?),
        top: top?,
        bottom: bottom?,
        inner: inner?,
        outer: outer?,
        side: side?,
        chart_margin: chart_margin?,
    })
}
