//! What lies over a page without being drawn on it: boxes that can be ticked.

use super::document::{PdfFile, placed_box, text};
use super::matrix::{Bounds, Matrix};
use lopdf::{Dictionary, Object};

/// Annotations of one page that are looked at.
const MAX_ANNOTATIONS: usize = 20_000;
/// Steps up from a box to the field it belongs to.
const MAX_PARENTS: usize = 16;

/// A box that can be ticked on a screen.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TickField {
    /// Where, page coordinates.
    pub(crate) area: Bounds,
    /// The field's whole name, its parts joined by full stops.
    pub(crate) name: String,
    /// What a screen reader says.
    pub(crate) spoken: Option<String>,
    /// Names of the states it can be in besides `Off`.
    pub(crate) on_states: Vec<String>,
    /// Whether pictures of itself ticked and empty are in the file.
    pub(crate) has_looks: bool,
}

/// Reads the annotations of a page.
pub(crate) fn fields(opened: &PdfFile, page: &Dictionary, to_page: &Matrix) -> Vec<TickField> {
    let mut ticks = Vec::new();
    let listed = opened.entry(page, b"Annots").and_then(|o| o.as_array().ok());
    for object in listed.map_or(&[][..], Vec::as_slice).iter().take(MAX_ANNOTATIONS) {
        let Some(annotation) = opened.follow(object).and_then(|o| o.as_dict().ok()) else { continue };
        let corners = opened.numbers(annotation, b"Rect").and_then(|v| <[f64; 4]>::try_from(v).ok());
        let Some(corners) = corners else { continue };
        let area = placed_box(corners, to_page);
        if opened.entry(annotation, b"Subtype").and_then(|o| o.as_name().ok()) == Some(b"Widget") {
            ticks.extend(tick(opened, annotation, area));
        }
    }
    ticks
}

/// A checkbox; `None` for fields of another kind.
fn tick(opened: &PdfFile, widget: &Dictionary, area: Bounds) -> Option<TickField> {
    let mut chain = vec![widget];
    while let Some(parent) = chain.last().and_then(|d| opened.dictionary(d, b"Parent")) {
        if chain.len() == MAX_PARENTS {
            break;
        }
        chain.push(parent);
    }
    let first = |key: &[u8]| chain.iter().find_map(|d| opened.entry(d, key));
    if first(b"FT").and_then(|o| o.as_name().ok()) != Some(b"Btn") {
        return None;
    }
    let parts: Vec<String> = chain.iter().rev().filter_map(|d| opened.entry(d, b"T").and_then(text)).collect();
    let looks = opened.dictionary(widget, b"AP").and_then(|ap| opened.entry(ap, b"N"));
    let looks = looks.and_then(|n| n.as_dict().ok());
    let drawn = |o: &Object| opened.follow(o).is_some_and(|o| o.as_stream().is_ok());
    let on_states: Vec<String> = looks.map_or_else(Vec::new, |states| {
        states
            .iter()
            .filter(|(name, look)| name.as_slice() != b"Off" && drawn(look))
            .map(|(name, _)| String::from_utf8_lossy(name).into_owned())
            .collect()
    });
    Some(TickField {
        area,
        name: parts.join("."),
        spoken: first(b"TU").and_then(text),
        has_looks: looks.is_some_and(|states| states.get(b"Off").is_ok_and(drawn)) && !on_states.is_empty(),
        on_states,
    })
}
