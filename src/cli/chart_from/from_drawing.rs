//! A drawing becomes a chart in exactly its own colours, or in the yarns of a project.

use super::desk::{Desk, Finished, size_said};
use super::options::ChartPlan;
use crate::chart::{Chart, YarnId};
use crate::chart_from::drawing::{Detail, Drawing};
use crate::cli::report::counted;
use crate::colour::Colour;
use crate::diag::Report;
use crate::project::Project;
use crate::source::Sources;
use crate::workings;

/// `None`: the report has a fault.
pub(crate) fn make(desk: &Desk<'_>, drawing: Drawing, sources: &mut Sources, report: &mut Report) -> Option<Finished> {
    let gauge = workings::gauge(&desk.base);
    let size = (desk.picture.width, desk.picture.height);
    let plan = desk.options.plan(size, gauge.column_mm, gauge.row_mm, report)?;
    draw(desk, drawing, plan, sources, report)
}

fn draw(
    desk: &Desk<'_>,
    mut drawing: Drawing,
    plan: ChartPlan,
    sources: &mut Sources,
    report: &mut Report,
) -> Option<Finished> {
    let found = drawing.colours.len();
    if let Some(most) = desk.options.yarns {
        drawing.keep(most);
    }
    let drawn = drawing.knots(&plan.view, plan.columns, plan.rows, Detail(desk.options.feature));
    let mut pattern = desk.pattern.clone();
    let yarns = if desk.typed.like.is_some() {
        let own: Vec<Colour> = desk.base.palette.iter().map(|(_, yarn)| yarn.colour).collect();
        in_yarns(&drawing.colours, &own)
    } else {
        pattern.set_yarns(&drawing.colours, &desk.words);
        (0..drawing.colours.len()).collect()
    };
    let cells = drawn.cells.iter().map(|&at| Some(YarnId(yarns[usize::from(at)] as u8))).collect();
    let chart = pattern.keep_used(&Chart::new(plan.columns, cells)?)?;
    let project = Project { chart, ..pattern.project(sources, report)? };
    let handling = workings::handling(&project);
    let seen = if desk.typed.kind.is_some() { "" } else { "; `--as photograph` shades it" };
    let kept = drawing.colours.len();
    let fewer = if kept < found { format!(", {kept} of them kept") } else { String::new() };
    let alike = if drawn.symmetrical { "; left and right are alike, in every row" } else { "" };
    let said = format!(
        "seen as a drawing of {}{fewer}{alike}{seen}\n{}\n{} to start, {} of slits to link",
        counted(found, "flat colour", "flat colours"),
        size_said(&project),
        counted(handling.threads, "thread", "threads"),
        counted(handling.slit_rows, "row", "rows"),
    );
    Some(Finished { project, pattern, plan, said, more: Vec::new() })
}

/// For each colour the yarn most like it; where two colours would take one yarn, the smaller takes another that is nearly as
/// like, if there is one.
pub(super) fn in_yarns(colours: &[Colour], yarns: &[Colour]) -> Vec<usize> {
    /// How much less like (CIEDE2000) a yarn may be so that two colours stay two (our judgement).
    const NEARLY: f64 = 12.0;
    let mut taken: Vec<usize> = Vec::new();
    for colour in colours {
        let mut near: Vec<(f64, usize)> = yarns.iter().map(|yarn| yarn.difference(*colour)).zip(0..).collect();
        near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let Some(&(least, nearest)) = near.first() else { break };
        let free = near.iter().find(|(far, yarn)| !taken.contains(yarn) && *far <= least + NEARLY);
        taken.push(free.map_or(nearest, |(_, yarn)| *yarn));
    }
    taken
}
