//! The readers of measures: of a panel in millimetres, and of a page as lengths.

use super::asked::KeyType;
use super::file::{Entry, Value};
use super::measure::{self, MeasureError, Quantity, Unit};
use super::section::{FormSection, shortened, wrong_kind};
use super::values::{Spanned, neat};
use crate::diag::{Diagnostic, Report};
use crate::geom::Length;

/// A point is the 72nd part of an inch of 25.4 mm.
const MM_A_POINT: f64 = 25.4 / 72.0;
/// What may be lost between two units, millimetres.
const SLACK: f64 = 1e-9;

/// Between which two measures, both allowed, a measure makes sense; millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Limits {
    /// Smallest.
    pub(crate) least: f64,
    /// Largest.
    pub(crate) most: f64,
    /// Whether both were meant as points of type, and are told so.
    in_points: bool,
}

impl Limits {
    /// From `least` to `most` millimetres.
    pub(crate) const fn mm(least: f64, most: f64) -> Limits {
        Limits { least, most, in_points: false }
    }

    /// From `least` to `most` points of type.
    pub(crate) const fn pt(least: f64, most: f64) -> Limits {
        Limits { least: least * MM_A_POINT, most: most * MM_A_POINT, in_points: true }
    }

    /// The unit that a number without one is likely to have.
    const fn usual(self) -> &'static str {
        if self.in_points { "pt" } else { "mm" }
    }

    fn shown(self, mm: f64) -> String {
        if self.in_points { format!("{} pt", neat(mm / MM_A_POINT)) } else { shown_mm(mm) }
    }
}

impl FormSection<'_> {
    /// A measure with its unit, in millimetres.
    pub(crate) fn measure(&self, key: &str, bounds: Limits, report: &mut Report) -> Option<Spanned<f64>> {
        let entry = self.asked(key, KeyType::Measure)?;
        let quantity = quantity(key, entry, bounds, Units::Makers, report)?;
        Some(Spanned { value: quantity.value.to_mm(), span: quantity.span })
    }

    /// A length on paper with its unit, which may be points.
    pub(crate) fn length(&self, key: &str, bounds: Limits, report: &mut Report) -> Option<Spanned<Length>> {
        let entry = self.asked(key, KeyType::Length)?;
        let quantity = quantity(key, entry, bounds, Units::Printers, report)?;
        Some(Spanned { value: quantity.value.to_length(), span: quantity.span })
    }
}

/// In which units a measure may be given.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Units {
    /// Those of rulers.
    Makers,
    /// Those of rulers, and points of type.
    Printers,
}

impl Units {
    const fn listed(self) -> &'static str {
        match self {
            Units::Makers => "units are `mm`, `cm`, `m`, `in`, `ft` and `yd`",
            Units::Printers => "units are `pt`, `mm`, `cm` and `in`",
        }
    }

    const fn examples(self) -> &'static str {
        match self {
            Units::Makers => "`\"3 mm\"`, `\"1.5 cm\"` or `\"2 1/2 in\"`",
            Units::Printers => "`\"10.5 pt\"`, `\"4 mm\"` or `\"1/2 in\"`",
        }
    }
}

fn quantity(key: &str, entry: &Entry, bounds: Limits, units: Units, report: &mut Report) -> Option<Spanned<Quantity>> {
    let span = entry.node.span;
    let typed = match &entry.node.value {
        Value::Text(text) => text,
        Value::Whole(_) | Value::Number(_) => {
            let shown = match entry.node.value {
                Value::Whole(Some(number)) => number.to_string(),
                Value::Number(number) => number.to_string(),
                _ => "this number".to_owned(),
            };
            report.push(Diagnostic::fault("no-unit", format!("`{shown}` has no unit")).at(span).hint(format!(
                "write the measure with its unit between quotation marks, for example `{key} = \"{shown} {}\"`",
                bounds.usual()
            )));
            return None;
        }
        other => {
            wrong_kind(
                key,
                other,
                "a measure",
                "write a number and its unit between quotation marks, for example `\"3 mm\"`",
                span,
                report,
            );
            return None;
        }
    };
    let read = measure::quantity_of(typed).and_then(|quantity| match (quantity.unit, units) {
        (Unit::Points, Units::Makers) => Err(MeasureError::StrangeUnit("pt".to_owned())),
        _ => Ok(quantity),
    });
    match read {
        // A point is no whole number of millimetres: at the bound itself a little is lost on the way.
        Ok(value) if value.to_mm() >= bounds.least - SLACK && value.to_mm() <= bounds.most + SLACK => {
            Some(Spanned { value, span })
        }
        Ok(value) => {
            let how = if value.to_mm() < bounds.least { "small" } else { "large" };
            report.push(
                Diagnostic::fault("out-of-range", format!("`{}` is too {how} for `{key}`", shortened(typed)))
                    .at(span)
                    .hint(format!(
                        "give a measure from {} to {}",
                        bounds.shown(bounds.least),
                        bounds.shown(bounds.most)
                    )),
            );
            None
        }
        Err(why) => {
            report.push(unread(typed, &why, units, bounds).at(span));
            None
        }
    }
}

fn unread(typed: &str, why: &MeasureError, units: Units, bounds: Limits) -> Diagnostic {
    let shown = shortened(typed);
    match why {
        MeasureError::NoUnit => Diagnostic::fault("no-unit", format!("`{shown}` has no unit")).hint(format!(
            "write the unit after the number, for example `\"{shown} {}\"`; {}",
            bounds.usual(),
            units.listed()
        )),
        MeasureError::StrangeUnit(unit) => {
            Diagnostic::fault("unknown-unit", format!("`{unit}` is not a unit of length")).hint(units.listed())
        }
        MeasureError::NoNumber => Diagnostic::fault("not-a-measure", format!("`{shown}` is not a measure"))
            .hint(format!("write a number and its unit, for example {}", units.examples())),
        MeasureError::Comma(number) => super::file::decimal_comma(number),
        MeasureError::Negative => Diagnostic::fault("out-of-range", format!("`{shown}` is less than nothing"))
            .hint("give a measure greater than zero"),
    }
}

fn shown_mm(mm: f64) -> String {
    if mm >= 1000.0 { format!("{} m", neat(mm / 1000.0)) } else { format!("{} mm", neat(mm)) }
}
