//! Advice about cords, wood, header, backing and balls.

use super::phrases::some_of;
use crate::diag::{Diagnostic, Report};
use crate::project::{Backing, Mounting, Project, Wood};
use crate::workings::{HeaderFrom, Workings, header_rows_for};

pub(super) fn advise(project: &Project, workings: &Workings, report: &mut Report) {
    cords(workings, report);
    wood(project, workings, report);
    edge(project, workings, report);
    header(project, workings, report);
    backing(project, workings, report);
    fleece(project, workings, report);
    shape(workings, report);
    balls(project, workings, report);
}

fn cords(workings: &Workings, report: &mut Report) {
    if workings.cords.single.is_some() {
        report.push(
            Diagnostic::advice(
                "odd-columns",
                format!("`{}` cords hang down, an odd count: the last one hangs single", workings.cords.legs),
            )
            .hint("add or drop a column, or keep the single cord that the cutting list gives"),
        );
    }
}

fn wood(project: &Project, workings: &Workings, report: &mut Report) {
    let hanging = &workings.hanging;
    if let Some(length) = project.hanging.length_mm
        && length < hanging.wood_least_mm
    {
        report.push(
            Diagnostic::advice(
                "short-wood",
                format!(
                    "the wood is `{length:.0}` mm long, but the panel with an inch each side is `{:.0}` mm",
                    hanging.wood_least_mm
                ),
            )
            .hint("take longer wood, or fewer columns"),
        );
    }
    if let Some(staples) = hanging.staples
        && project.hanging.diameter_mm < staples.wood_least_mm
    {
        report.push(
            Diagnostic::advice(
                "thin-wood",
                format!(
                    "staples would come near the other side: the wood is `{}` mm thick and should be `{}` mm at least",
                    project.hanging.diameter_mm, staples.wood_least_mm
                ),
            )
            .hint("take thicker wood, or tie the panel on"),
        );
    }
}

fn edge(project: &Project, workings: &Workings, report: &mut Report) {
    let points = &project.hanging.lower_edge;
    let width = workings.size.width_mm;
    // A tenth of the panel unmeasured at either side may hide the deepest point.
    let slop = width / 10.0;
    if let [first, .., last] = points.as_slice()
        && (first.at_mm > slop || last.at_mm < width - slop)
    {
        report.push(
            Diagnostic::advice(
                "edge-not-measured",
                format!(
                    "the wood's lower edge is measured from `{:.0}` to `{:.0}` mm, but the panel is `{width:.0}` mm wide",
                    first.at_mm, last.at_mm
                ),
            )
            .hint("measure the lower edge along the whole panel: the deepest point sets the header"),
        );
    }
    if let Some(point) = points.iter().find(|p| p.at_mm > width + slop) {
        report.push(
            Diagnostic::advice(
                "edge-past-panel",
                format!(
                    "the wood's lower edge is measured at `{:.0}` mm, past the panel's right edge at `{width:.0}` mm",
                    point.at_mm
                ),
            )
            .hint("measure from the panel's left edge, and only as far as the panel goes"),
        );
    }
    if project.hanging.wood == Wood::Dowel && points.len() > 1 {
        report.push(
            Diagnostic::advice(
                "straight-edge-measured",
                "a dowel is straight, yet its lower edge is measured point by point",
            )
            .hint("write `on = \"branch\"`, or leave the lower edge out"),
        );
    }
}

fn header(project: &Project, workings: &Workings, report: &mut Report) {
    let wanted = header_rows_for(workings.header.depth_mm, workings.gauge.row_mm);
    if workings.header.from == HeaderFrom::Maker
        && project.hanging.mounting == Mounting::OnAStrand
        && workings.header.rows < wanted
    {
        report.push(
            Diagnostic::advice(
                "shallow-header",
                format!(
                    "`{}` header rows end above the wood's lower edge with its clearance; it asks for `{wanted}`",
                    workings.header.rows
                ),
            )
            .hint(format!("write `header-rows = {wanted}`, or leave it out")),
        );
    }
}

/// Fleece may be turned; a roll is as long as anybody asks for.
fn fleece(project: &Project, workings: &Workings, report: &mut Report) {
    let Some(backed) = &workings.hanging.backing else { return };
    let (width, height) = (project.finishing.fleece_width_mm, project.finishing.fleece_height_mm);
    let sides = [width.unwrap_or(f64::INFINITY), height.unwrap_or(f64::INFINITY)];
    let holds = |across: f64, down: f64| across >= backed.width_mm && down >= backed.height_mm;
    if holds(sides[0], sides[1]) || holds(sides[1], sides[0]) {
        return;
    }
    let given = match (width, height) {
        (Some(width), Some(height)) => format!("`{width:.0}` x `{height:.0}` mm"),
        (Some(side), None) | (None, Some(side)) => format!("`{side:.0}` mm wide"),
        (None, None) => return,
    };
    report.push(
        Diagnostic::advice(
            "small-fleece",
            format!(
                "the fleece is {given}, but the backing of this panel is `{:.0}` x `{:.0}` mm",
                backed.width_mm, backed.height_mm
            ),
        )
        .hint("take a larger piece, or say in your notes where two pieces meet edge to edge"),
    );
}

fn backing(project: &Project, workings: &Workings, report: &mut Report) {
    if project.finishing.backing != Backing::Fused {
        return;
    }
    let melting: Vec<String> = project
        .palette
        .iter()
        .filter(|(id, yarn)| yarn.melts && workings.tally.of(*id).total() > 0)
        .map(|(_, yarn)| format!("`{}`", yarn.name))
        .collect();
    if !melting.is_empty() {
        report.push(
            Diagnostic::advice(
                "melting-yarn",
                format!("the backing is ironed on, which melts or flattens {}", some_of(&melting)),
            )
            .hint("write `backing = \"sewn\"`"),
        );
    }
}

fn balls(project: &Project, workings: &Workings, report: &mut Report) {
    let last: Vec<String> = workings
        .amounts
        .iter()
        .filter(|a| a.buy.balls_without_margin < a.buy.balls)
        .map(|a| format!("`{}`", project.palette.get(a.yarn).name))
        .collect();
    if !last.is_empty() {
        report.push(
            Diagnostic::advice(
                "last-ball",
                format!(
                    "the last ball is bought for the margin alone, and without it the yarn may run out: {}",
                    some_of(&last)
                ),
            )
            .hint("say so to buyers, who may prefer to borrow a few metres"),
        );
    }
}

/// A fleece that falls into parts, or that shows through bare cells.
fn shape(workings: &Workings, report: &mut Report) {
    let Some(backing) = &workings.hanging.backing else { return };
    let parts = backing.steps.split(|step| step.height_mm <= 0.0).filter(|part| !part.is_empty()).count();
    if parts > 1 {
        report.push(
            Diagnostic::advice(
                "backing-in-parts",
                format!("the knots leave no room for a backing in one piece: it falls into `{parts}` parts"),
            )
            .hint("join the parts of the panel by a few rows over its whole width, or leave the backing out"),
        );
    }
    if workings.edge.has_holes {
        report.push(
            Diagnostic::advice("backing-shows", "the backing shows where cells are bare above other knots")
                .hint("leave the backing out, or take fleece in the colour of the cord"),
        );
    }
}
