//! How a new panel is begun: by knots or by its finished size, after another, or from a picture that was tried first.

use super::asked::Asked;
use super::replies::{Answer, body, locked, size, sketch, told};
use super::shared::Board;
use crate::board::make::{self, New};
use crate::board::{panel, trial};
use crate::diag::Diagnostic;
use crate::project::{Project, Units};
use crate::words::Words;
use crate::words::measures::MeasureKind;
use crate::workings::{self, Gauge};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde_json::{Value as Json, json};

/// The pitches of a panel, or of the starter where none is named, and the words that its measures are written in.
fn gauge(board: &Board, like: &str) -> Result<([f64; 2], Words, Units), Diagnostic> {
    let no_gauge =
        || Diagnostic::fault("no-gauge", "this panel has faults, so its gauge is not known").hint("mend them first");
    let of = |project: &Project, gauge: &Gauge| {
        let words = Words::shipped(&project.about.language)?;
        Some(([gauge.column_mm, gauge.row_mm], words, project.about.units))
    };
    let known = if like.is_empty() {
        let project = make::starter_project(&board.means).ok_or_else(no_gauge)?;
        of(&project, &workings::gauge(&project))
    } else {
        let panel = board.shelf.panel(like, &board.means)?;
        let made = locked(&panel).reckoned();
        made.work.as_ref().and_then(|(project, workings)| of(project, &workings.gauge))
    };
    known.ok_or_else(no_gauge)
}

pub(super) fn sized(board: &Board, asked: &Asked) -> Answer {
    let value = |key: &str| asked.value(key).unwrap_or_default();
    let (gauge, words, units) = gauge(board, &value("like"))?;
    let sized = make::sized(gauge, [&value("across"), &value("down")])?;
    let measures = words.measures(units);
    let size = measures.across_down(MeasureKind::Size, sized.mm[0], sized.mm[1]);
    Ok(json!({ "columns": sized.knots[0], "rows": sized.knots[1], "size": size }))
}

pub(super) fn picture(board: &Board, asked: &Asked) -> Answer {
    let name = asked.value("name").unwrap_or_default();
    Ok(json!({ "picture": board.trials.keep(&name, &asked.body, &board.means)? }))
}

#[derive(serde::Deserialize)]
struct Try {
    /// The panel whose yarns and ways are taken.
    #[serde(default)]
    like: Option<String>,
    #[serde(flatten)]
    wanted: trial::Wanted,
}

pub(super) fn trial(board: &Board, asked: &Asked) -> Answer {
    let Try { like, wanted } = body(asked)?;
    let like = match like.filter(|name| !name.is_empty()) {
        Some(name) => Some(locked(&*board.shelf.panel(&name, &board.means)?).folder().to_path_buf()),
        None => None,
    };
    let tried = match board.trials.make(&wanted, like.as_deref(), &board.means)? {
        Ok(tried) => tried,
        Err(said) => return Ok(json!({ "said": said })),
    };
    let mut shown = sketch(&tried.sketch);
    let doubt = |doubt: &trial::Doubt| json!({ "at": doubt.at, "letters": doubt.letters });
    shown["trial"] = Json::from(tried.trial);
    shown["said"] = json!(tried.said);
    shown["doubts"] = tried.doubts.iter().map(doubt).collect();
    if let Some((project, workings)) = &tried.reckoned.work {
        shown["cell"] = json!([workings.gauge.column_mm, workings.gauge.row_mm]);
        shown["size"] = json!(size(project, workings));
    }
    Ok(shown)
}

pub(super) fn as_read(board: &Board, asked: &Asked) -> Response {
    let trial = asked.value("trial").and_then(|value| value.parse().ok()).unwrap_or_default();
    let found = board.trials.find(trial).and_then(|(_room, folder)| panel::bytes(&folder.join("as-read.png"), 1 << 28));
    match found {
        Ok(png) => ([(header::CONTENT_TYPE, "image/png")], png).into_response(),
        Err(fault) => told(StatusCode::NOT_FOUND, &fault),
    }
}

pub(super) fn new(board: &Board, asked: &Asked) -> Answer {
    let wanted: New = body(asked)?;
    if let Some(trial) = wanted.trial {
        let (_room, folder) = board.trials.find(trial)?;
        let name = make::take(board.shelf.folder(), &wanted, &folder, &board.means)?;
        board.events.tell(&json!({ "panel": name, "n": 0 }));
        return Ok(json!({ "name": name }));
    }
    let like = match wanted.like() {
        Some(name) => Some(board.shelf.panel(name, &board.means)?),
        None => None,
    };
    let like = like.as_deref().map(locked);
    let name = make::new(board.shelf.folder(), &wanted, like.as_deref(), &board.means)?;
    board.events.tell(&json!({ "panel": name, "n": 0 }));
    Ok(json!({ "name": name }))
}
