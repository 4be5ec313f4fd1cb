//! What a page shows beside the panel: faults, advice with its places, and every figure, in the words and measures of the
//! maker. From [`Reckoned`] to JSON; nothing is reckoned here.

use super::advice;
use super::panel::Reckoned;
use crate::chart::{Direction, YarnId};
use crate::diag::{Diagnostic, Severity};
use crate::geom::Point;
use crate::page::Segment;
use crate::press;
use crate::project::Project;
use crate::symbol;
use crate::words::Words;
use crate::words::measures::MeasureKind;
use crate::workings::{RowPlace, Run, Workings};
use serde_json::{Value as Json, json};

/// Everything, in the words of a language.
pub(super) fn figures(reckoned: &Reckoned, words: &Words) -> Json {
    let said = |severity: Severity| -> Vec<Json> {
        let all = reckoned.report.iter().zip(&reckoned.places);
        let wanted = all.filter(|(d, _)| (d.severity == Severity::Advice) == (severity == Severity::Advice));
        wanted.map(|(diagnostic, place)| told_in(words, diagnostic, place.as_ref())).collect()
    };
    let mut out = json!({ "n": reckoned.n, "faults": said(Severity::Fault), "advice": said(Severity::Advice) });
    if let (Some((project, workings)), Some(out)) = (&reckoned.work, out.as_object_mut()) {
        out.insert("panel".to_owned(), panel(project, workings, words));
        out.insert("yarns".to_owned(), yarns(project, workings, words));
        out.insert("marks".to_owned(), marks(workings));
        out.insert("look".to_owned(), look(project, workings));
    }
    out
}

/// The same in the words of a language, where it has any: advice has, faults are told in English.
fn told_in(words: &Words, diagnostic: &Diagnostic, place: Option<&(std::path::PathBuf, usize, usize)>) -> Json {
    let mut told = told(diagnostic, place);
    if let Some((message, hints)) = advice::said(words, diagnostic) {
        told["message"] = Json::from(message);
        told["hints"] = Json::from(hints);
        told["lang"] = Json::from(words.language());
    }
    told
}

/// A diagnostic as a page shows it, in English.
pub(super) fn told(diagnostic: &Diagnostic, place: Option<&(std::path::PathBuf, usize, usize)>) -> Json {
    let file = |path: &std::path::Path| path.file_name().map(|name| name.to_string_lossy().into_owned());
    json!({
        "id": diagnostic.id,
        "message": diagnostic.message,
        "hints": diagnostic.hints,
        "lang": "en",
        "file": place.and_then(|(path, _, _)| file(path)),
        "line": place.map(|(_, line, _)| line),
        "column": place.map(|(_, _, column)| column),
        "places": places(&diagnostic.message),
    })
}

/// Places in the chart that a message names: "row 3, column 4", "row 12", "from row 3 to row 9 between columns 4 and 5".
/// Rows and columns from 0; header rows are none.
fn places(message: &str) -> Vec<Json> {
    let mut found: Vec<(usize, Option<usize>)> = Vec::new();
    let words: Vec<&str> = message.split([' ', ',', '`', ';', ':']).filter(|word| !word.is_empty()).collect();
    let number = |at: usize| words.get(at)?.parse::<usize>().ok()?.checked_sub(1);
    for (at, word) in words.iter().enumerate() {
        match *word {
            "row" => found.extend(number(at + 1).map(|row| (row, None))),
            "column" | "columns" => {
                if let (Some(column), Some(last)) = (number(at + 1), found.last_mut()) {
                    last.1 = last.1.or(Some(column));
                }
            }
            _ => {}
        }
    }
    found.into_iter().map(|(row, column)| json!({ "row": row, "column": column })).collect()
}

fn panel(project: &Project, workings: &Workings, words: &Words) -> Json {
    let measures = words.measures(project.about.units);
    let size = &workings.size;
    let amounts = &workings.amounts;
    let waiting = workings.rows.iter().max_by_key(|row| (row.hanging, std::cmp::Reverse(row.place)));
    let prices: Option<f64> = project
        .palette
        .iter()
        .filter(|(id, _)| workings.tally.of(*id).total() > 0)
        .map(|(id, _)| amounts.get(usize::from(id.0)).and_then(|amount| amount.buy.price))
        .sum();
    let hours = |minutes: f64| words.decimal((minutes / 30.0).round() / 2.0, 1);
    json!({
        "size": measures.across_down(MeasureKind::Size, size.width_mm, size.height_mm),
        "fringe": (size.fringe_mm > 0.0).then(|| measures.first(MeasureKind::Size, size.fringe_mm)),
        "columns": project.chart.columns(),
        "rows": project.chart.rows(),
        "headerRows": workings.header.rows,
        "knots": words.whole(project.chart.knots()),
        "headerKnots": words.whole(workings.tally.total - project.chart.knots().min(workings.tally.total)),
        "hours": workings.time.map(|time| [hours(time.least_minutes), hours(time.most_minutes)]),
        "ends": words.whole(amounts.iter().map(|amount| amount.ends).sum()),
        "mostWaiting": waiting.map(|row| json!({
            "lengths": row.hanging,
            "row": match row.place { RowPlace::Chart(row) => Some(row.0), RowPlace::Header(_) => None },
        })),
        "cord": measures.first(MeasureKind::Buy, workings.cords.to_buy_mm),
        "cords": workings.cords.folded.count + usize::from(workings.cords.single.is_some()),
        "cordLength": measures.first(MeasureKind::Cut, workings.cords.folded.exact_mm),
        "spools": workings.cords.spools,
        "yarnPrice": prices.map(|price| words.money(price)),
        "cordPrice": workings.cords.price.map(|price| words.money(price)),
        "currency": project.about.currency,
        "mass": measures.first(MeasureKind::Mass, workings.hanging.panel_g),
    })
}

fn yarns(project: &Project, workings: &Workings, words: &Words) -> Json {
    let measures = words.measures(project.about.units);
    let symbols = press::symbols(project);
    let one = |(id, yarn): (YarnId, &crate::chart::Yarn)| {
        let at = usize::from(id.0);
        let amount = workings.amounts.get(at);
        json!({
            "letter": yarn.key,
            "used": workings.tally.of(id).total() > 0,
            "buy": amount.map(|amount| measures.first(MeasureKind::Buy, amount.buy.yarn_mm)),
            "balls": amount.and_then(|amount| amount.buy.balls),
            "price": amount.and_then(|amount| amount.buy.price).map(|price| words.money(price)),
            "ends": amount.map(|amount| amount.ends),
            "symbol": symbols.get(at).and_then(|name| symbol::outline(name)).map(|outline| path(&outline)),
        })
    };
    Json::Array(project.palette.iter().map(one).collect())
}

/// An outline as the `d` of an SVG path, in a box of side one about (0, 0).
fn path(outline: &[Segment]) -> String {
    let point = |p: &Point| format!("{:.4} {:.4}", p.x.to_pt(), p.y.to_pt());
    let piece = |segment: &Segment| match segment {
        Segment::Move(p) => format!("M{}", point(p)),
        Segment::Line(p) => format!("L{}", point(p)),
        Segment::Curve(a, b, p) => format!("C{} {} {}", point(a), point(b), point(p)),
        Segment::Close => "Z".to_owned(),
    };
    outline.iter().map(piece).collect()
}

/// What happens where in the chart: `[row, column]`, and for what is led behind `[row, first column, last column]`.
fn marks(workings: &Workings) -> Json {
    let sheet = &workings.sheet;
    let row = |run: &Run| match sheet.place(run.row) {
        RowPlace::Chart(row) => Some(row.0),
        RowPlace::Header(_) => None,
    };
    let (mut starts, mut cuts) = (Vec::new(), Vec::new());
    for (run, marks) in sheet.runs.iter().zip(&workings.marks) {
        let Some(row) = row(run) else { continue };
        if marks.start {
            starts.push([row, run.first.0]);
        }
        if marks.cut {
            cuts.push([row, run.last.0]);
        }
    }
    let carries = workings.plans.iter().flat_map(|plan| &plan.steps).filter(|step| step.is_carry);
    let led = carries.filter_map(|step| {
        let (from, to) = (&sheet.runs[step.from], &sheet.runs[step.to]);
        Some([row(to)?, from.last.0, to.first.0])
    });
    json!({ "starts": starts, "cuts": cuts, "led": led.collect::<Vec<_>>() })
}

/// What the drawing needs beside the knots.
fn look(project: &Project, workings: &Workings) -> Json {
    let first = workings.rows.iter().find(|row| !row.place.is_header()).map(|row| row.direction);
    json!({
        "across": workings.gauge.column_mm,
        "down": workings.gauge.row_mm,
        "leftToRight": first != Some(Direction::RightToLeft),
        "headerRows": workings.header.rows,
        "headerLetter": project.palette.get(project.working.header_yarn).key,
        "fringe": workings.size.fringe_mm,
        "cord": project.cord.colour.to_hex(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_found_in_what_advice_says() {
        let found = |message: &str| -> Vec<(u64, Option<u64>)> {
            places(message).iter().map(|p| (p["row"].as_u64().unwrap_or(99), p["column"].as_u64())).collect()
        };
        assert_eq!(
            found("`2` yarns are started for one knot and cut again: oat at row 3, column 4, navy at row 10, column 1"),
            [(2, Some(3)), (9, Some(0))]
        );
        assert_eq!(
            found("`3` slits would gape without links; the longest runs from row 4 to row 9 between columns 7 and 8"),
            [(3, None), (8, Some(6))]
        );
        assert_eq!(
            found("in `5` rows more than 8 yarns wait at once; in row 12 there are `9` at column 30"),
            [(11, Some(29))]
        );
        assert_eq!(found("a carry comes to row H2, column 4"), []);
        assert_eq!(found("a ball has 3 rows"), []);
    }
}
