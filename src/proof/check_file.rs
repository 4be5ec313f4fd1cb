//! Holds what concerns the file as a whole: page boxes, fonts, fields.

use super::check_sheet::direction;
use super::expectations::{Expectations, ExpectedRow};
use super::report::{Finding, ProofReport};
use crate::chart::Direction;
use crate::reader::document::{PageBoxes, PdfFile};
use crate::reader::face::PdfFont;
use crate::reader::fields::TickField;
use crate::reader::marks::PageMarks;
use std::collections::{BTreeMap, BTreeSet};

/// Boxes are exact to this, points.
const EXACT: f64 = 0.015;

/// Trim inside bleed inside the sheet, and the right paper; a chart sheet may lie on its side (`may_lie`).
pub(super) fn check_boxes(
    page: usize,
    boxes: &PageBoxes,
    expected: &Expectations,
    first: Option<(f64, f64)>,
    may_lie: bool,
    report: &mut ProofReport,
) {
    let inside = |inner: &[f64; 4], outer: &[f64; 4]| {
        inner[0] >= outer[0] - EXACT
            && inner[1] >= outer[1] - EXACT
            && inner[2] <= outer[2] + EXACT
            && inner[3] <= outer[3] + EXACT
    };
    let nested = [(&boxes.trim, &boxes.bleed, "trim", "bleed"), (&boxes.bleed, &boxes.media, "bleed", "sheet")];
    for (inner, outer, a, b) in nested {
        if !inside(inner, outer) {
            let message = format!("the {a} box does not lie inside the {b} box");
            report.find(Finding::new("page-boxes", message).on(page));
        }
    }
    let margins = (0..4).map(|i| (boxes.trim[i] - boxes.bleed[i]).abs());
    if expected.bleed > 0.0 && margins.into_iter().any(|m| (m - expected.bleed).abs() > EXACT) {
        let message = format!("the bleed is not {:.2} pt on every side", expected.bleed);
        report.find(Finding::new("page-boxes", message).on(page));
    }
    let (width, height) = boxes.size();
    let fits = |w: f64, h: f64| (width - w).abs() <= EXACT && (height - h).abs() <= EXACT;
    if let Some((want_width, want_height)) = expected.paper.or(first)
        && !fits(want_width, want_height)
        && !(may_lie && fits(want_height, want_width))
    {
        let message =
            format!("the page is {width:.2} x {height:.2} pt; it should be {want_width:.2} x {want_height:.2} pt");
        report.find(Finding::new("page-size", message).on(page));
    }
}

/// No glyph that means "missing", and letters for every code.
pub(super) fn check_glyphs(page: usize, drawn: &PageMarks, faces: &[PdfFont], report: &mut ProofReport) {
    let mut missing = BTreeSet::new();
    let mut unknown = BTreeMap::new();
    for glyph in &drawn.glyphs {
        let Some(face) = faces.get(glyph.face) else { continue };
        if face.is_missing(glyph.code) {
            missing.insert(glyph.face);
        } else if drawn.letters_of(glyph).is_empty() || drawn.letters_of(glyph).contains(['\u{fffd}', '\0']) {
            unknown.entry(glyph.face).or_insert(glyph.code);
        }
    }
    for face in missing {
        let message = format!("a letter is drawn that the font `{}` does not have", faces[face].name);
        report.find(Finding::new("missing-glyph", message).on(page));
    }
    for (face, code) in unknown {
        let message = format!("code {code} of the font `{}` stands for no letter", faces[face].name);
        report.find(Finding::new("glyph-without-letter", message).on(page));
    }
    for why in &drawn.unread {
        report.find(Finding::new("unreadable-content", format!("the page cannot be read whole: {why}")).on(page));
    }
}

/// Every font of the file, drawn with or not, embedded and cut down to what is used.
pub(super) fn check_fonts(opened: &PdfFile, report: &mut ProofReport) {
    let fonts: Vec<_> = opened
        .document
        .objects
        .values()
        .filter_map(|o| o.as_dict().ok())
        .filter(|d| {
            let kind = opened.entry(d, b"Subtype").and_then(|o| o.as_name().ok()).unwrap_or(b"");
            d.has_type(b"Font") && !kind.starts_with(b"CIDFont")
        })
        .take(1_000)
        .cloned()
        .collect();
    report.fonts = fonts.len();
    for font in fonts {
        let face = PdfFont::read(opened, &font);
        let mut say = |what: &str| {
            report.find(Finding::new("font", format!("the font `{}` {what}", face.name)));
        };
        if face.drawn {
            say("is drawn by operators instead of a font program");
            continue;
        }
        if !face.embedded {
            say("is not embedded");
        }
        if !face.subset {
            say("is embedded whole or without a subset prefix");
        }
        if !face.to_letters {
            say("does not say which letters its codes stand for");
        }
    }
}

/// Every row has its field, spoken rightly and with looks of its own; print-shop files have none.
pub(super) fn check_fields(ticks: &[(usize, TickField)], expected: &Expectations, report: &mut ProofReport) {
    if !expected.fields {
        if let Some((page, field)) = ticks.first() {
            let message = format!("the field `{}` has no place in this kind of file", field.name);
            report.find(Finding::new("field-in-print-file", message).on(*page));
        }
        return;
    }
    let mut by_name: BTreeMap<&str, Vec<&(usize, TickField)>> = BTreeMap::new();
    for tick in ticks {
        by_name.entry(&tick.1.name).or_default().push(tick);
        if !tick.1.has_looks {
            let message = format!("the field `{}` has no pictures of itself ticked and empty", tick.1.name);
            report.find(Finding::new("field-without-looks", message).on(tick.0));
        }
    }
    for (name, fields) in &by_name {
        let first = &fields[0].1;
        if fields.iter().any(|f| f.1.on_states != first.on_states) {
            let message = format!("the places of the field `{name}` do not agree on what ticked is called");
            report.find(Finding::new("field-states", message).on(fields[0].0));
        }
    }
    if !expected.chart && !expected.written {
        return;
    }
    for (row, want) in expected.rows.iter().enumerate() {
        let Some(fields) = by_name.get(want.field.as_str()) else {
            report.find(Finding::new("no-tick-field", format!("there is no field `{}`", want.field)).row(row));
            continue;
        };
        if !want.in_parts.is_empty() {
            check_parts(fields, expected, row, want, report);
            continue;
        }
        // A row is said once, at its first box.
        let meant = std::iter::once(&want.spoken).chain(std::iter::repeat(&want.again));
        let is_wrong = |(field, meant): &(&&(usize, TickField), &String)| field.1.spoken.as_ref() != Some(*meant);
        if let Some((wrong, meant)) = fields.iter().zip(meant).find(is_wrong) {
            let message = match &wrong.1.spoken {
                Some(words) => format!("its field is spoken as `{words}` instead of `{meant}`"),
                None => "its field has no spoken words".to_owned(),
            };
            report.find(Finding::new("field-words", message).on(wrong.0).row(row));
        }
    }
}

/// A long row is spoken in parts, one at the field of each sheet: one after another in working order they say every run.
fn check_parts(
    fields: &[&(usize, TickField)],
    expected: &Expectations,
    row: usize,
    want: &ExpectedRow,
    report: &mut ProofReport,
) {
    let said = |field: &(usize, TickField)| field.1.spoken.clone().unwrap_or_default();
    if let Some(wrong) = fields.iter().find(|field| !said(field).starts_with(&want.spoken)) {
        let message = format!("its field is spoken as `{}` and does not begin with `{}`", said(wrong), want.spoken);
        report.find(Finding::new("field-words", message).on(wrong.0).row(row));
        return;
    }
    // Sheets stand from left to right.
    let mut all: Vec<String> = fields.iter().map(|field| said(field)).collect();
    if direction(expected, row) == Direction::RightToLeft {
        all.reverse();
    }
    let all = all.join(" ");
    let mut rest = all.as_str();
    for part in &want.in_parts {
        let Some((_, after)) = rest.split_once(part.as_str()) else {
            let message = format!("its fields together do not speak `{part}` where it is to be tied");
            report.find(Finding::new("field-words", message).row(row));
            return;
        };
        rest = after;
    }
}
