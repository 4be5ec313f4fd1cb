//! One function for each thing a page asks for. Each runs on a thread of its own and holds one panel at a time.

use super::{Asked, Board};
use crate::board::figures;
use crate::board::panel::{Panel, Refused, Sketch, Whole};
use crate::colour::{Colour, ColourVision};
use crate::diag::Diagnostic;
use crate::edit::Grid;
use crate::edit::form::YarnLine;
use crate::words::Words;
use axum::http::{Method, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde_json::{Value as Json, json};
use std::sync::{Mutex, PoisonError};

/// An answer, or why there is none.
type Answer = Result<Json, Diagnostic>;

pub(super) fn answer(board: &Board, asked: &Asked) -> Response {
    let answer = match (&asked.method, asked.path.as_str()) {
        (&Method::GET, "/api/shelf") => shelf(board),
        (&Method::GET, "/api/panel") => with_panel(board, asked, |panel, _| Ok(sketch(&panel.sketch()))),
        (&Method::GET, "/api/figures") => {
            with_panel(board, asked, |panel, asked| Ok(figures::figures(&panel.reckoned(), &words(asked))))
        }
        (&Method::GET, "/api/likeness") => with_panel(board, asked, |panel, _| {
            let sketch = panel.sketch();
            Ok(likeness(sketch.n, &sketch.yarns))
        }),
        (&Method::GET, "/api/steps") => with_panel(board, asked, |panel, _| Ok(steps(panel))),
        (&Method::GET, "/api/earlier") => with_panel(board, asked, earlier),
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

fn shown(status: StatusCode, json: &Json) -> Response {
    (status, [(header::CONTENT_TYPE, "application/json")], json.to_string()).into_response()
}

fn told(status: StatusCode, fault: &Diagnostic) -> Response {
    shown(status, &json!({ "refused": "told", "told": figures::told(fault, None) }))
}

/// The words that figures are written in: those the page asks for.
fn words(asked: &Asked) -> Words {
    let wanted = asked.value("language").and_then(|tag| Words::shipped(&tag));
    // Shipped words are whole: a test reads them all.
    wanted.or_else(|| Words::shipped("en-GB")).unwrap_or_else(|| unreachable!("British English is shipped"))
}

fn locked(panel: &Mutex<Panel>) -> std::sync::MutexGuard<'_, Panel> {
    // Whoever panicked changed nothing half: files are replaced whole, and read anew before each change.
    panel.lock().unwrap_or_else(PoisonError::into_inner)
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
                let mut shown = sketch(&panel.sketch());
                let look = made.work.as_ref().map(|(_, w)| [w.gauge.column_mm, w.gauge.row_mm]);
                let size = made.work.as_ref().map(|(project, w)| {
                    let words = Words::shipped(&project.about.language);
                    let kind = crate::words::measures::MeasureKind::Size;
                    words.map(|words| {
                        let measures = words.measures(project.about.units);
                        measures.across_down(kind, w.size.width_mm, w.size.height_mm)
                    })
                });
                shown["name"] = Json::from(name);
                shown["faults"] = Json::from(faults);
                shown["cell"] = json!(look);
                shown["size"] = json!(size.flatten());
                shown
            }
            Err(fault) => {
                json!({ "name": name, "title": name, "faults": 1, "told": figures::told(&fault, None) })
            }
        };
        panels.push(shown);
    }
    Ok(json!({ "folder": crate::board::panel::name_of(board.shelf.folder()), "panels": panels }))
}

fn yarns(yarns: &[YarnLine]) -> Json {
    let one = |yarn: &YarnLine| json!({ "letter": yarn.letter, "name": yarn.name, "colour": yarn.colour.to_hex() });
    Json::Array(yarns.iter().map(one).collect())
}

fn cells(grid: &Grid) -> String {
    grid.cells().iter().collect()
}

fn sketch(sketch: &Sketch) -> Json {
    json!({
        "n": sketch.n,
        "title": sketch.title,
        "columns": sketch.grid.as_ref().map(Grid::columns),
        "rows": sketch.grid.as_ref().map(Grid::rows),
        "cells": sketch.grid.as_ref().map(cells),
        "yarns": yarns(&sketch.yarns),
        "isPicture": sketch.is_picture,
        "undo": sketch.undo,
        "redo": sketch.redo,
    })
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
