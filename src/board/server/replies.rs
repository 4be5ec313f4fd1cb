//! What answers are made of: JSON of a panel, of a fault, of a request's body.

use super::asked::Asked;
use crate::board::figures;
use crate::board::panel::{Panel, Sketch};
use crate::diag::Diagnostic;
use crate::edit::Grid;
use crate::edit::form::YarnLine;
use crate::words::Words;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde_json::{Value as Json, json};
use std::sync::{Mutex, PoisonError};

/// An answer, or why there is none.
pub(super) type Answer = Result<Json, Diagnostic>;

pub(super) fn shown(status: StatusCode, json: &Json) -> Response {
    (status, [(header::CONTENT_TYPE, "application/json")], json.to_string()).into_response()
}

pub(super) fn told(status: StatusCode, fault: &Diagnostic) -> Response {
    shown(status, &json!({ "refused": "told", "told": figures::told(fault, None) }))
}

pub(super) fn locked(panel: &Mutex<Panel>) -> std::sync::MutexGuard<'_, Panel> {
    // Whoever panicked changed nothing half: files are replaced whole, and read anew before each change.
    panel.lock().unwrap_or_else(PoisonError::into_inner)
}

pub(super) fn yarns(yarns: &[YarnLine]) -> Json {
    let one = |yarn: &YarnLine| json!({ "letter": yarn.letter, "name": yarn.name, "colour": yarn.colour.to_hex() });
    Json::Array(yarns.iter().map(one).collect())
}

pub(super) fn cells(grid: &Grid) -> String {
    grid.cells().iter().collect()
}

pub(super) fn sketch(sketch: &Sketch) -> Json {
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

pub(super) fn body<T: serde::de::DeserializeOwned>(asked: &Asked) -> Result<T, Diagnostic> {
    serde_json::from_slice(&asked.body)
        .map_err(|error| Diagnostic::fault("unusable-request", format!("what the page asks cannot be read: {error}")))
}

/// The finished size in the panel's own words.
pub(super) fn size(project: &crate::project::Project, workings: &crate::workings::Workings) -> Option<String> {
    let words = Words::shipped(&project.about.language)?;
    let measures = words.measures(project.about.units);
    let kind = crate::words::measures::MeasureKind::Size;
    Some(measures.across_down(kind, workings.size.width_mm, workings.size.height_mm))
}
