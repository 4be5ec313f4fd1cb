//! One function for each thing a page asks for. Each runs on a thread of its own and holds one panel at a time.

use super::asked::Asked;
use super::begin;
use super::replies::{Answer, body, cells, locked, shown, size, sketch, told, yarns};
use super::shared::Board;
use crate::board::make::{self, Wanted};
use crate::board::pages::{self, Choices};
use crate::board::panel::{Panel, Reckoned, Refused, Whole};
use crate::board::{advice, figures, panel};
use crate::colour::{Colour, ColourVision};
use crate::diag::Diagnostic;
use crate::edit::form::{self as fields, YarnLine};
use crate::words::Words;
use axum::http::{Method, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde_json::{Value as Json, json};
use std::path::PathBuf;
use std::sync::Arc;

pub(super) fn answer(board: &Board, asked: &Asked) -> Response {
    let answer = match (&asked.method, asked.path.as_str()) {
        (&Method::GET, "/api/shelf") => shelf(board),
        (&Method::GET, "/api/panel") => with_panel(board, asked, |panel, _| Ok(sketch(&panel.sketch()))),
        (&Method::GET, "/api/figures") => {
            with_panel(board, asked, |panel, asked| Ok(figures::figures(&panel.reckoned(), words(asked))))
        }
        (&Method::GET, "/api/likeness") => with_panel(board, asked, |panel, _| {
            let sketch = panel.sketch();
            Ok(likeness(sketch.n, &sketch.yarns))
        }),
        (&Method::GET, "/api/steps") => with_panel(board, asked, |panel, _| Ok(steps(panel))),
        (&Method::GET, "/api/earlier") => with_panel(board, asked, earlier),
        (&Method::GET, "/api/rows") => with_state(board, asked, rows),
        (&Method::GET, "/api/form") => with_panel(board, asked, |panel, _| form(panel)),
        (&Method::GET, "/api/pages") => with_state(board, asked, |board, state, asked| Ok(pages(board, state, asked))),
        (&Method::GET, "/api/page") => return page(board, asked),
        (&Method::POST, "/api/make") => make(board, asked),
        (&Method::POST, "/api/stop") => stop(board, asked),
        (&Method::GET, "/api/finished") => {
            with_panel(board, asked, |panel, _| Ok(json!({ "files": make::all_finished(panel.folder()) })))
        }
        (&Method::GET, "/api/sized") => begin::sized(board, asked),
        (&Method::POST, "/api/picture") => begin::picture(board, asked),
        (&Method::POST, "/api/trial") => begin::trial(board, asked),
        (&Method::GET, "/api/as-read") => return begin::as_read(board, asked),
        (&Method::GET, "/api/made") => return made(board, asked),
        (&Method::POST, "/api/new") => begin::new(board, asked),
        (&Method::POST, "/api/change") => return change(board, asked),
        (&Method::POST, "/again") => {
            return match board.once.fresh() {
                Ok(secret) => secret.into_response(),
                Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
            };
        }
        _ => return StatusCode::NOT_FOUND.into_response(),
    };
    match answer {
        Ok(json) => shown(StatusCode::OK, &json),
        Err(fault) => told(StatusCode::BAD_REQUEST, &fault),
    }
}

/// The words that figures are written in: those the page asks for.
fn words(asked: &Asked) -> &'static Words {
    let wanted = asked.value("language").and_then(|tag| advice::words(&tag));
    // Shipped words are whole: a test reads them all.
    wanted.or_else(|| advice::words("en-GB")).unwrap_or_else(|| unreachable!("British English is shipped"))
}

fn with_panel(board: &Board, asked: &Asked, then: impl Fn(&mut Panel, &Asked) -> Answer) -> Answer {
    let name = asked.value("panel").unwrap_or_default();
    let panel = board.shelf.panel(&name, &board.means)?;
    let mut panel = locked(&panel);
    board.watch_over(panel.folder());
    if panel.refresh(&board.means)? {
        board.events.tell(&json!({ "panel": name, "n": panel.n() }));
    }
    then(&mut panel, asked)
}

fn shelf(board: &Board) -> Answer {
    let mut panels = Vec::new();
    for (name, folder) in board.shelf.names() {
        board.watch_over(&folder);
        let shown = match board.shelf.panel(&name, &board.means) {
            Ok(panel) => {
                let mut panel = locked(&panel);
                let _changed = panel.refresh(&board.means)?;
                let made = panel.reckoned();
                let faults = made.report.iter().filter(|d| d.severity != crate::diag::Severity::Advice).count();
                let look = made.work.as_ref().map(|(_, w)| [w.gauge.column_mm, w.gauge.row_mm]);
                let size = made.work.as_ref().and_then(|(project, workings)| size(project, workings));
                let mut shown = sketch(&panel.sketch());
                shown["name"] = Json::from(name);
                shown["faults"] = Json::from(faults);
                shown["cell"] = json!(look);
                shown["size"] = json!(size);
                shown
            }
            Err(fault) => {
                json!({ "name": name, "title": name, "faults": 1, "told": figures::told(&fault, None) })
            }
        };
        panels.push(shown);
    }
    Ok(json!({ "folder": panel::name_of(board.shelf.folder()), "panels": panels }))
}

fn steps(panel: &Panel) -> Json {
    let (steps, done) = panel.journal().steps();
    let shown: Vec<Json> = steps.iter().map(|step| json!({ "kind": step.kind, "time": step.time })).collect();
    json!({ "n": panel.n(), "done": done, "steps": shown })
}

fn earlier(panel: &mut Panel, asked: &Asked) -> Answer {
    let state = asked.value("steps").and_then(|steps| steps.parse().ok()).and_then(|steps| panel.earlier(steps));
    let (grid, lines) = state
        .ok_or_else(|| Diagnostic::fault("no-such-state", "the panel was never so, or cannot be read any more"))?;
    Ok(json!({ "columns": grid.columns(), "rows": grid.rows(), "cells": cells(&grid), "yarns": yarns(&lines) }))
}

fn change(board: &Board, asked: &Asked) -> Response {
    let whole: Whole = match serde_json::from_slice(&asked.body) {
        Ok(whole) => whole,
        Err(error) => {
            let fault = Diagnostic::fault("unusable-change", format!("the change cannot be read: {error}"));
            return told(StatusCode::BAD_REQUEST, &fault);
        }
    };
    let panel = match board.shelf.panel(&whole.panel, &board.means) {
        Ok(panel) => panel,
        Err(fault) => return told(StatusCode::NOT_FOUND, &fault),
    };
    let mut panel = locked(&panel);
    let before = panel.n();
    let done = panel.change(whole.base, &whole.change, &board.means);
    if panel.n() != before {
        board.events.tell(&json!({ "panel": whole.panel, "n": panel.n() }));
    }
    match done {
        Ok(kept) => shown(StatusCode::OK, &json!({ "n": panel.n(), "kept": kept })),
        Err(Refused::Moved) => shown(StatusCode::CONFLICT, &json!({ "refused": "moved", "n": panel.n() })),
        Err(Refused::Told(fault)) => told(StatusCode::CONFLICT, &fault),
    }
}

/// How the yarns look in grey and to eyes that miss one kind of cone, and how far apart each two of them are.
fn likeness(n: u64, lines: &[YarnLine]) -> Json {
    let visions =
        [("protan", ColourVision::Protan), ("deutan", ColourVision::Deutan), ("tritan", ColourVision::Tritan)];
    let grey = |colour: Colour| colour.lab().with_chroma(0.0).to_colour().to_hex();
    let one = |yarn: &YarnLine| {
        let mut shown = json!({ "letter": yarn.letter, "grey": grey(yarn.colour) });
        for (name, vision) in visions {
            shown[name] = Json::from(yarn.colour.seen_with(vision).to_hex());
        }
        shown
    };
    let mut pairs = Vec::new();
    for (at, a) in lines.iter().enumerate() {
        for b in &lines[at + 1..] {
            let seen = |vision: ColourVision| a.colour.seen_with(vision).difference(b.colour.seen_with(vision));
            let least = visions.map(|(_, vision)| seen(vision)).into_iter().fold(f64::INFINITY, f64::min);
            pairs.push(json!({
                "a": a.letter,
                "b": b.letter,
                "difference": a.colour.difference(b.colour),
                "least": least,
                "lightness": (a.colour.lab().l - b.colour.lab().l).abs(),
            }));
        }
    }
    json!({ "n": n, "yarns": lines.iter().map(one).collect::<Vec<Json>>(), "pairs": pairs })
}

/// A state of a panel that is looked at while the panel itself may go on.
struct State {
    name: String,
    folder: PathBuf,
    made: Arc<Reckoned>,
}

fn state(board: &Board, asked: &Asked) -> Result<State, Diagnostic> {
    let name = asked.value("panel").unwrap_or_default();
    let panel = board.shelf.panel(&name, &board.means)?;
    let mut panel = locked(&panel);
    let _changed = panel.refresh(&board.means)?;
    Ok(State { name, folder: panel.folder().to_path_buf(), made: panel.reckoned() })
}

fn with_state(board: &Board, asked: &Asked, then: impl Fn(&Board, &State, &Asked) -> Answer) -> Answer {
    then(board, &state(board, asked)?, asked)
}

fn all_told(report: &crate::diag::Report) -> Vec<Json> {
    report.iter().map(|diagnostic| figures::told(diagnostic, None)).collect()
}

fn rows(_: &Board, state: &State, asked: &Asked) -> Answer {
    let language = asked.value("language").unwrap_or_default();
    Ok(match pages::rows(&state.made, &language) {
        Ok(rows) => {
            let one = |row: &pages::Row| json!({ "number": row.number, "leftToRight": row.left_to_right, "sentence": row.sentence });
            json!({ "n": state.made.n, "rows": rows.iter().map(one).collect::<Vec<Json>>() })
        }
        Err(report) => json!({ "n": state.made.n, "rows": [], "told": all_told(&report) }),
    })
}

fn choices(asked: &Asked) -> Choices {
    let value = |key: &str| asked.value(key).unwrap_or_default();
    Choices { edition: value("edition"), paper: value("paper"), ink: value("ink"), language: value("language") }
}

fn pages(board: &Board, state: &State, asked: &Asked) -> Json {
    match board.press.composed(&state.name, &state.made, &choices(asked)) {
        Ok(composed) => json!({ "n": state.made.n, "pages": composed.sizes }),
        Err(report) => json!({ "n": state.made.n, "pages": [], "told": all_told(&report) }),
    }
}

fn page(board: &Board, asked: &Asked) -> Response {
    let number = |key: &str| asked.value(key).and_then(|value| value.parse::<usize>().ok());
    let (Some(number), Some(width)) = (number("number"), number("width")) else {
        return StatusCode::BAD_REQUEST.into_response();
    };
    let drawn = state(board, asked).map_err(|_| ()).and_then(|state| {
        let page = board.press.page(&state.name, &state.made, &choices(asked), number, width);
        page.map_err(|_| ())
    });
    match drawn {
        Ok(png) => ([(header::CONTENT_TYPE, "image/png")], png.to_vec()).into_response(),
        Err(()) => StatusCode::NOT_FOUND.into_response(),
    }
}

/// The form with what stands in it, what could, and what is wrong with it, field by field.
fn form(panel: &mut Panel) -> Answer {
    let made = panel.reckoned();
    let faults: Vec<Json> = made
        .report
        .iter()
        .zip(&made.places)
        .filter(|(diagnostic, _)| diagnostic.severity != crate::diag::Severity::Advice)
        .map(|(diagnostic, place)| {
            let mut told = figures::told(diagnostic, place.as_ref());
            let line = place.as_ref().filter(|(path, ..)| path.ends_with("project.toml")).map(|(_, line, _)| *line);
            told["field"] = json!(line.and_then(|line| fields::field_at(panel.text(), line)));
            told
        })
        .collect();
    let schema: Json = serde_json::from_str(&crate::project::schema::schema()).unwrap_or_default();
    Ok(json!({ "n": panel.n(), "values": fields::values(panel.text())?, "schema": schema, "faults": faults }))
}

#[derive(serde::Deserialize)]
struct Order {
    panel: String,
    /// A word of the page's own, which it hears again with every line.
    #[serde(default)]
    job: String,
    #[serde(flatten)]
    wanted: Wanted,
}

fn make(board: &Board, asked: &Asked) -> Answer {
    let order: Order = body(asked)?;
    let folder = locked(&*board.shelf.panel(&order.panel, &board.means)?).folder().to_path_buf();
    let mut hear = |line: &str| board.events.tell(&json!({ "job": order.job, "line": line }));
    let made = board.jobs.during(&order.job, |job| make::make(&folder, &order.wanted, &board.means, job, &mut hear))?;
    Ok(json!({ "done": made.done, "stopped": made.stopped, "said": made.said, "files": made.files }))
}

#[derive(serde::Deserialize)]
struct Stop {
    job: String,
}

fn stop(board: &Board, asked: &Asked) -> Answer {
    let stop: Stop = body(asked)?;
    Ok(json!({ "stopped": board.jobs.stop(&stop.job) }))
}

fn made(board: &Board, asked: &Asked) -> Response {
    let name = asked.value("file").unwrap_or_default();
    let file = state(board, asked).and_then(|state| make::finished(&state.folder, &name));
    match file.and_then(|path| panel::bytes(&path, 1 << 30)) {
        Ok(bytes) => ([(header::CONTENT_TYPE, "application/pdf")], bytes).into_response(),
        Err(fault) => told(StatusCode::NOT_FOUND, &fault),
    }
}
