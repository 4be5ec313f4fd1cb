//! The cord, the swatch and the factors of the model.

use super::{about, address};
use crate::colour::Colour;
use crate::diag::{Diagnostic, Report};
use crate::form::{FormSection, Limits, Spanned};
use crate::project::{Construction, Cord, Model, Swatch};

/// Columns and rows measured in the middle of the swatch.
const MEASURED: f64 = 16.0;
/// Knots tied from one measured piece.
const TIED: f64 = 20.0;
/// Undyed cotton, for drawings of a cord whose colour is not given (our judgement).
const NATURAL: Colour = Colour::new(0xed, 0xe4, 0xd3);

pub(super) fn cord(top: &FormSection<'_>, report: &mut Report) -> Option<Cord> {
    top.require("cord", "{ diameter = \"3 mm\" }", report);
    let cord = top.section("cord", report)?;
    cord.require("diameter", "\"3 mm\"", report);
    let diameter = cord.measure("diameter", Limits::mm(0.5, 20.0), report);
    let construction = cord.choice(
        "construction",
        &[
            ("single-strand", Construction::SingleStrand),
            ("three-ply", Construction::ThreePly),
            ("braided", Construction::Braided),
        ],
        report,
    );
    let plain = |key: &str, report: &mut Report| cord.text(key, report).map(|t| t.value);
    let checked = Cord {
        diameter_mm: diameter.map_or(0.0, |d| d.value),
        construction: construction.map_or(Construction::SingleStrand, |c| c.value),
        spool_m: cord.number("metres-per-spool", 1.0, 100_000.0, report).map(|n| n.value),
        spool_g: cord.number("grams-per-spool", 1.0, 100_000.0, report).map(|n| n.value),
        spool_price: cord.number("price", 0.0, 1_000_000.0, report).map(|n| n.value),
        colour: cord.colour("colour", report).map_or(NATURAL, |c| c.value),
        colour_name: plain("colour-name", report),
        fibre: plain("fibre", report),
        brand: plain("brand", report),
        brand_language: about::brand_language(&cord, &["brand"], report),
        link: address::read(&cord, "link", false, report),
    };
    cord.close(report);
    Some(checked)
}

pub(super) fn swatch(top: &FormSection<'_>, report: &mut Report) -> Swatch {
    let Some(swatch) = top.section("swatch", report) else { return Swatch::default() };
    // Sixteen knots of the finest cord and of the thickest rope (our judgement).
    let bounds = Limits::mm(8.0, 2_000.0);
    let checked = Swatch {
        column_mm: swatch.measure("columns", bounds, report).map(|m| m.value / MEASURED),
        row_mm: swatch.measure("rows", bounds, report).map(|m| m.value / MEASURED),
        knot_mm: twenty_knots(&swatch, report),
    };
    swatch.close(report);
    checked
}

/// Yarn per knot from a piece that was measured before and after tying twenty knots, in millimetres.
pub(super) fn twenty_knots(swatch: &FormSection<'_>, report: &mut Report) -> Option<f64> {
    let tied = swatch.section("twenty-knots", report)?;
    tied.require("start", "\"100 cm\"", report);
    tied.require("left-over", "\"23 cm\"", report);
    let start = tied.measure("start", Limits::mm(50.0, 50_000.0), report);
    let left_over = tied.measure("left-over", Limits::mm(0.0, 50_000.0), report);
    let tail = tied.measure("tail", Limits::mm(0.0, 50_000.0), report);
    tied.close(report);
    let (start, left_over) = (start?, left_over?);
    let used = start.value - left_over.value - tail.map_or(0.0, |t| t.value);
    // Less than a millimetre a knot cannot go round any cord.
    if used < TIED {
        report.push(
            Diagnostic::fault(
                "swatch-uses-no-yarn",
                "what is left over and the tail are together as long as the piece was",
            )
            .at(left_over.span)
            .hint(
                "`start` is the piece before tying, `left-over` the long end after twenty knots, `tail` the short end",
            ),
        );
        return None;
    }
    Some(used / TIED)
}

pub(super) fn model(top: &FormSection<'_>, construction: Option<Construction>, report: &mut Report) -> Model {
    // Cord flattens under tension: 0.85 for single-strand cotton, not at all when braided (our judgement); three-ply
    // lies between the two (our judgement).
    let cord_under_tension = match construction.unwrap_or(Construction::SingleStrand) {
        Construction::SingleStrand => 0.85,
        Construction::ThreePly => 0.92,
        Construction::Braided => 1.0,
    };
    let usual = Model { cord_under_tension, yarn_under_tension: 0.60, packing: 2.2, slack: 1.0 };
    let Some(model) = top.section("model", report) else { return usual };
    let factor = |key: &str, least: f64, most: f64, usual: f64, report: &mut Report| {
        model.number(key, least, most, report).map_or(usual, |Spanned { value, .. }| value)
    };
    let checked = Model {
        cord_under_tension: factor("cord-under-tension", 0.3, 1.5, usual.cord_under_tension, report),
        yarn_under_tension: factor("yarn-under-tension", 0.3, 1.5, usual.yarn_under_tension, report),
        packing: factor("packing", 1.0, 5.0, usual.packing, report),
        slack: factor("slack", 0.5, 2.0, usual.slack, report),
    };
    model.close(report);
    checked
}
