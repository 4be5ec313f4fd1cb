//! Advice about the knotting: gauge, carries, lone knots, slits, lengths that hang, the way of working, loose knots.

use super::phrases::some_of;
use crate::chart::{Chart, Row};
use crate::diag::{Diagnostic, Phrase, Report, Value};
use crate::project::Project;
use crate::workings::{GaugeFrom, RowPlace, RunId, Workings, method_figures};

/// A carry longer than this part of the longest one is near the limit.
const NEAR_LIMIT: f64 = 0.9;
/// More yarns than this waiting at once in a row are a tangle.
const MAX_WAITING: usize = 8;

pub(super) fn advise(project: &Project, workings: &Workings, report: &mut Report) {
    gauge(project, workings, report);
    carries(project, workings, report);
    lone_knots(project, workings, report);
    slits(workings, report);
    waiting(workings, report);
    other_method(project, workings, report);
    loose_knots(&project.chart, report);
}

fn row_name(place: RowPlace) -> Phrase {
    let phrase = match place {
        RowPlace::Header(_) => Phrase::new("header-row", "row H{number}"),
        RowPlace::Chart(_) => Phrase::new("row", "row {number}"),
    };
    phrase.with("number", place.number())
}

fn place(row: RowPlace, column: usize) -> Value {
    Phrase::new("place", "{row}, column {column}").with("row", row_name(row)).with("column", column + 1).into()
}

fn place_of(workings: &Workings, run: RunId) -> Value {
    let run = &workings.sheet.runs[run];
    place(workings.sheet.place(run.row), run.first.0)
}

fn gauge(project: &Project, workings: &Workings, report: &mut Report) {
    let gauge = &workings.gauge;
    let used = |at: usize| workings.tally.yarns.get(at).is_some_and(|t| t.total() > 0);
    let is_modelled = gauge.yarns.iter().enumerate().any(|(at, y)| used(at) && y.from == GaugeFrom::Model);
    if is_modelled || gauge.column_from == GaugeFrom::Model || gauge.row_from == GaugeFrom::Model {
        report.push(
            Diagnostic::advice(Phrase::new(
                "no-swatch",
                "some of the gauge is reckoned from diameters, which is right to 20 % at best",
            ))
            .advise(Phrase::new(
                "no-swatch-hint",
                "knot a swatch of 20 columns and 20 rows, and 20 knots from a measured length, and write what they \
                 measure under `[swatch]`",
            )),
        );
    }
    let aspect = gauge.aspect();
    if !(0.9..=2.5).contains(&aspect) {
        report.push(
            Diagnostic::advice(
                Phrase::new("gauge-implausible", "a cell `{aspect}` times as wide as high is outside of 0.9 to 2.5")
                    .with("aspect", Value::decimals(aspect, 2)),
            )
            .advise(Phrase::new(
                "gauge-implausible-hint",
                "measure the middle 16 columns and rows of the swatch again, not stretched",
            )),
        );
    }
    for (at, (own, (_, yarn))) in gauge.yarns.iter().zip(project.palette.iter()).enumerate() {
        let share = own.knot_mm / gauge.column_mm;
        if used(at) && !(4.0..=9.0).contains(&share) {
            let message = Phrase::new(
                "gauge-implausible-knot",
                "a knot of `{yarn}` takes `{share}` times a column's width; 4 to 9 times is usual",
            );
            report.push(
                Diagnostic::advice(message.with("yarn", &yarn.name).with("share", Value::decimals(share, 1)))
                    .called("gauge-implausible")
                    .advise(Phrase::new("gauge-implausible-knot-hint", "tie 20 knots from a measured length again")),
            );
        }
    }
}

fn carries(project: &Project, workings: &Workings, report: &mut Report) {
    let slack = 1.0 + project.working.carry_slack;
    let limit = project.working.longest_carry_mm * NEAR_LIMIT;
    let near: Vec<_> = workings
        .plans
        .iter()
        .flat_map(|p| &p.steps)
        .filter(|s| s.is_carry && s.micrometres as f64 / 1000.0 / slack > limit)
        .collect();
    // The first of the longest.
    let Some(longest) = near.iter().rev().max_by_key(|s| s.micrometres) else { return };
    let bare = longest.micrometres as f64 / 1000.0 / slack;
    let message = Phrase::new(
        "carry-near-limit",
        "{n} near the limit of `{limit}` mm; the longest, `{bare}` mm, comes to {place}",
    )
    .counted(near.len(), "carry is", "carries are")
    .with("limit", project.working.longest_carry_mm)
    .with("bare", Value::decimals(bare, 1))
    .with("place", place_of(workings, longest.to));
    report.push(
        Diagnostic::advice(message).advise(Phrase::new(
            "carry-near-limit-hint",
            "tell makers to lead them loosely, or shorten `longest-carry`",
        )),
    );
}

fn lone_knots(project: &Project, workings: &Workings, report: &mut Report) {
    let mut places = Vec::new();
    for plan in &workings.plans {
        let name = &project.palette.get(plan.yarn).name;
        for thread in plan.threads() {
            if let [run] = *thread.runs
                && workings.sheet.runs[run].knots() == 1
            {
                places.push((run, name));
            }
        }
    }
    places.sort_by_key(|p| p.0);
    if !places.is_empty() {
        let at = |(run, name): &(RunId, &String)| {
            Phrase::new("yarn-at", "{yarn} at {place}")
                .with("yarn", *name)
                .with("place", place_of(workings, *run))
                .into()
        };
        report.push(
            Diagnostic::advice(
                Phrase::new("lone-knot", "{n} for one knot and cut again: {places}")
                    .counted(places.len(), "yarn is started", "yarns are started")
                    .with("places", some_of(places.iter().map(at).collect())),
            )
            .advise(Phrase::new(
                "lone-knot-hint",
                "give such a cell a neighbour's yarn, or set it beside another of its own",
            )),
        );
    }
}

fn slits(workings: &Workings, report: &mut Report) {
    let Some(longest) = workings.slits.iter().rev().max_by_key(|s| s.rows()) else { return };
    let message = Phrase::new(
        "slit",
        "{n} would gape without links; the longest runs from row {first} to row {last} between columns {left} and {right}",
    )
    .counted(workings.slits.len(), "slit", "slits")
    .with("first", longest.first.0 + 1)
    .with("last", longest.last.0 + 1)
    .with("left", longest.left.0 + 1)
    .with("right", longest.left.0 + 2);
    report.push(Diagnostic::advice(message).advise(Phrase::new(
        "slit-hint",
        "the row sentences link there in every second row; a boundary that steps sideways needs none",
    )));
}

fn waiting(workings: &Workings, report: &mut Report) {
    let rows: Vec<_> = workings.rows.iter().filter(|r| r.hanging > MAX_WAITING).collect();
    let Some(worst) = rows.iter().rev().max_by_key(|r| r.hanging) else { return };
    let message = Phrase::new(
        "many-waiting",
        "at the end of {n} more than {most} lengths hang at once; after {row} there are `{lengths}`",
    )
    .counted(rows.len(), "row", "rows")
    .with("most", MAX_WAITING)
    .with("row", row_name(worst.place))
    .with("lengths", worst.hanging);
    report.push(Diagnostic::advice(message).advise(Phrase::new(
        "many-waiting-hint",
        "cut more: shorten `longest-carry` or lower `most-rows-waiting`, or join small areas in the chart",
    )));
}

/// What the other way of working would take and save. Nothing where it comes to about the same.
fn other_method(project: &Project, workings: &Workings, report: &mut Report) {
    let method = project.working.method.other();
    let other = method_figures(project, method);
    let used_um: i64 = workings.amounts.iter().map(|of| (of.used_mm * 1000.0).round() as i64).sum();
    let hanging = workings.rows.iter().map(|row| row.hanging).max().unwrap_or(0);
    // Whole metres: hands differ by more than the rest.
    let metres = ((other.used_um - used_um) as f64 / 1e6).round() as i64;
    if metres == 0 && other.most_hanging == hanging {
        return;
    }
    let yarn = match metres {
        0 => Phrase::new("yarn-same", "as much yarn"),
        ..0 => Phrase::new("yarn-less", "`{metres}` m less yarn"),
        1.. => Phrase::new("yarn-more", "`{metres}` m more yarn"),
    };
    let yarn = yarn.with("metres", Value::Name(metres.abs().to_string()));
    let lengths = Phrase::new("lengths", "{n}").counted(other.most_hanging, "length", "lengths");
    let name = method.name();
    let message = Phrase::new("other-method", "`{name}`: {yarn}, {lengths} at once instead of `{hanging}`");
    let hint = Phrase::new("other-method-hint", "write `method = \"{name}\"` under `[working]` if you prefer that");
    report.push(
        Diagnostic::advice(
            message.with("name", name).with("yarn", yarn).with("lengths", lengths).with("hanging", hanging),
        )
        .advise(hint.with("name", name)),
    );
}

/// Knots below bare cells slide up unless a neighbour in their row hangs on something: a stretch of knots with nothing
/// above any of them is loose.
fn loose_knots(chart: &Chart, report: &mut Report) {
    let mut places = Vec::new();
    // Above the first row is the header, or what the cords hang on.
    for row in 1..chart.rows() {
        let (above, cells) = (chart.row(Row(row - 1)), chart.row(Row(row)));
        let mut column = 0;
        while column < cells.len() {
            let length = cells[column..].iter().take_while(|c| c.is_some()).count();
            if length > 0 && above[column..column + length].iter().all(Option::is_none) {
                places.push(place(RowPlace::Chart(Row(row)), column));
            }
            column += length.max(1);
        }
    }
    if !places.is_empty() {
        report.push(
            Diagnostic::advice(
                Phrase::new("loose-knots", "{n} below bare cord can slide up, as nothing holds it: {places}")
                    .counted(places.len(), "stretch of knots", "stretches of knots")
                    .with("places", some_of(places)),
            )
            .advise(Phrase::new("loose-knots-hint", "let the stretch touch a column that is knotted above it")),
        );
    }
}
