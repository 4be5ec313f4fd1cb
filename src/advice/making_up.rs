//! Advice about cords, wood, header, backing and balls.

use super::phrases::some_of;
use crate::diag::{Diagnostic, Phrase, Report, Value};
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

/// Whole millimetres.
fn mm(length: f64) -> Value {
    Value::decimals(length, 0)
}

fn cords(workings: &Workings, report: &mut Report) {
    if workings.cords.single.is_some() {
        report.push(
            Diagnostic::advice(
                Phrase::new("odd-columns", "`{legs}` cords hang down, an odd count: the last one hangs single")
                    .with("legs", workings.cords.legs),
            )
            .advise(Phrase::new(
                "odd-columns-hint",
                "add or drop a column, or keep the single cord that the cutting list gives",
            )),
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
                Phrase::new(
                    "short-wood",
                    "the wood is `{length}` mm long, but the panel with an inch each side is `{least}` mm",
                )
                .with("length", mm(length))
                .with("least", mm(hanging.wood_least_mm)),
            )
            .advise(Phrase::new("short-wood-hint", "take longer wood, or fewer columns")),
        );
    }
    if let Some(staples) = hanging.staples
        && project.hanging.diameter_mm < staples.wood_least_mm
    {
        report.push(
            Diagnostic::advice(
                Phrase::new(
                    "thin-wood",
                    "staples would come near the other side: the wood is `{thick}` mm thick and should be `{least}` mm at \
                     least",
                )
                .with("thick", project.hanging.diameter_mm)
                .with("least", staples.wood_least_mm),
            )
            .advise(Phrase::new("thin-wood-hint", "take thicker wood, or tie the panel on")),
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
                Phrase::new(
                    "edge-not-measured",
                    "the wood's lower edge is measured from `{from}` to `{to}` mm, but the panel is `{width}` mm wide",
                )
                .with("from", mm(first.at_mm))
                .with("to", mm(last.at_mm))
                .with("width", mm(width)),
            )
            .advise(Phrase::new(
                "edge-not-measured-hint",
                "measure the lower edge along the whole panel: the deepest point sets the header",
            )),
        );
    }
    if let Some(point) = points.iter().find(|p| p.at_mm > width + slop) {
        report.push(
            Diagnostic::advice(
                Phrase::new(
                    "edge-past-panel",
                    "the wood's lower edge is measured at `{at}` mm, past the panel's right edge at `{width}` mm",
                )
                .with("at", mm(point.at_mm))
                .with("width", mm(width)),
            )
            .advise(Phrase::new(
                "edge-past-panel-hint",
                "measure from the panel's left edge, and only as far as the panel goes",
            )),
        );
    }
    if project.hanging.wood == Wood::Dowel && points.len() > 1 {
        report.push(
            Diagnostic::advice(Phrase::new(
                "straight-edge-measured",
                "a dowel is straight, yet its lower edge is measured point by point",
            ))
            .advise(Phrase::new("straight-edge-measured-hint", "write `on = \"branch\"`, or leave the lower edge out")),
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
                Phrase::new(
                    "shallow-header",
                    "`{rows}` header rows end above the wood's lower edge with its clearance; it asks for `{wanted}`",
                )
                .with("rows", workings.header.rows)
                .with("wanted", wanted),
            )
            .advise(
                Phrase::new("shallow-header-hint", "write `header-rows = {wanted}`, or leave it out")
                    .with("wanted", wanted),
            ),
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
        (Some(width), Some(height)) => {
            Phrase::new("fleece-both", "`{width}` x `{height}` mm").with("width", mm(width)).with("height", mm(height))
        }
        (Some(side), None) | (None, Some(side)) => {
            Phrase::new("fleece-wide", "`{side}` mm wide").with("side", mm(side))
        }
        (None, None) => return,
    };
    report.push(
        Diagnostic::advice(
            Phrase::new(
                "small-fleece",
                "the fleece is {given}, but the backing of this panel is `{width}` x `{height}` mm",
            )
            .with("given", given)
            .with("width", mm(backed.width_mm))
            .with("height", mm(backed.height_mm)),
        )
        .advise(Phrase::new(
            "small-fleece-hint",
            "take a larger piece, or say in your notes where two pieces meet edge to edge",
        )),
    );
}

fn backing(project: &Project, workings: &Workings, report: &mut Report) {
    if project.finishing.backing != Backing::Fused {
        return;
    }
    let melting: Vec<Value> = project
        .palette
        .iter()
        .filter(|(id, yarn)| yarn.melts && workings.tally.of(*id).total() > 0)
        .map(|(_, yarn)| Value::quoted(&yarn.name))
        .collect();
    if !melting.is_empty() {
        report.push(
            Diagnostic::advice(
                Phrase::new("melting-yarn", "the backing is ironed on, which melts or flattens {yarns}")
                    .with("yarns", some_of(melting)),
            )
            .advise(Phrase::new("melting-yarn-hint", "write `backing = \"sewn\"`")),
        );
    }
}

fn balls(project: &Project, workings: &Workings, report: &mut Report) {
    let last: Vec<Value> = workings
        .amounts
        .iter()
        .filter(|a| a.buy.balls_without_margin < a.buy.balls)
        .map(|a| Value::quoted(&project.palette.get(a.yarn).name))
        .collect();
    if !last.is_empty() {
        report.push(
            Diagnostic::advice(
                Phrase::new(
                    "last-ball",
                    "the last ball is bought for the margin alone, and without it the yarn may run out: {yarns}",
                )
                .with("yarns", some_of(last)),
            )
            .advise(Phrase::new("last-ball-hint", "say so to buyers, who may prefer to borrow a few metres")),
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
                Phrase::new(
                    "backing-in-parts",
                    "the knots leave no room for a backing in one piece: it falls into `{parts}` parts",
                )
                .with("parts", parts),
            )
            .advise(Phrase::new(
                "backing-in-parts-hint",
                "join the parts of the panel by a few rows over its whole width, or leave the backing out",
            )),
        );
    }
    if workings.edge.has_holes {
        report.push(
            Diagnostic::advice(Phrase::new(
                "backing-shows",
                "the backing shows where cells are bare above other knots",
            ))
            .advise(Phrase::new(
                "backing-shows-hint",
                "leave the backing out, or take fleece in the colour of the cord",
            )),
        );
    }
}
