//! Systems of measures: how each kind of measure is rounded and shown, from `layouts/units/*.toml`.

use serde::Deserialize;
use std::collections::BTreeMap;

/// What a measure is for; the units files say how each is rounded and shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum MeasureKind {
    /// Finished sizes.
    Size,
    /// What somebody's own measure may come up to, rounded up.
    Most,
    /// Pieces to cut, rounded up.
    Cut,
    /// Lengths to buy, rounded up.
    Buy,
    /// What is left over, rounded down.
    Left,
    /// Diameters, pitches, yarn for one knot.
    Fine,
    /// Short distances in a step.
    Gap,
    /// Short distances, rounded up.
    Least,
    /// Short distances that must not come out larger than they are.
    Short,
    /// About an arm's length.
    Reach,
    /// Across a room.
    Room,
    /// Mass in grams, rounded up.
    Mass,
    /// What a fixing must carry, in grams: rounded up as far as packets are marked.
    Load,
    /// What is spared of a piece to cut, rounded down.
    Spare,
}

/// How one kind is printed in one system.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct Rule {
    /// Its unit.
    pub(super) unit: Unit,
    /// Millimetres or grams in one unit.
    pub(super) of: f64,
    /// Rounded to this many units.
    pub(super) step: f64,
    /// Which way.
    pub(super) round: Rounding,
    /// In what form.
    pub(super) show: NumberForm,
    /// How smaller amounts are printed; `None`: no other way.
    #[serde(default)]
    pub(super) small: Option<SmallRule>,
}

/// How a kind is printed below a bound: what is small is measured more finely.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct SmallRule {
    /// Amounts below this, in millimetres or grams.
    below: f64,
    /// Their unit.
    unit: Unit,
    /// Millimetres or grams in one unit.
    of: f64,
    /// Rounded to this many units.
    step: f64,
}

/// Units that measures are printed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Unit {
    /// Millimetres.
    Mm,
    /// Centimetres.
    Cm,
    /// Metres.
    M,
    /// Grams.
    G,
    /// Kilograms.
    Kg,
    /// Inches.
    In,
    /// Feet.
    Ft,
    /// Yards.
    Yd,
    /// Ounces.
    Oz,
    /// Pounds.
    Lb,
}

impl Unit {
    /// Its phrase, with the figure as `{n}`.
    pub(super) fn key(self) -> &'static str {
        match self {
            Unit::Mm => "unit.mm",
            Unit::Cm => "unit.cm",
            Unit::M => "unit.m",
            Unit::G => "unit.g",
            Unit::Kg => "unit.kg",
            Unit::In => "unit.in",
            Unit::Ft => "unit.ft",
            Unit::Yd => "unit.yd",
            Unit::Oz => "unit.oz",
            Unit::Lb => "unit.lb",
        }
    }
}

/// Which way a measure is rounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Rounding {
    /// To the nearest step.
    Nearest,
    /// To the next step up.
    Up,
    /// To the step below.
    Down,
}

/// In what form a measure is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum NumberForm {
    /// With a decimal sign.
    Decimal,
    /// With real fractions.
    Fraction,
}

/// One system of measures.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct System {
    rules: BTreeMap<MeasureKind, Rule>,
}

const KINDS: [MeasureKind; 14] = [
    MeasureKind::Size,
    MeasureKind::Most,
    MeasureKind::Cut,
    MeasureKind::Buy,
    MeasureKind::Left,
    MeasureKind::Fine,
    MeasureKind::Gap,
    MeasureKind::Least,
    MeasureKind::Short,
    MeasureKind::Reach,
    MeasureKind::Room,
    MeasureKind::Mass,
    MeasureKind::Load,
    MeasureKind::Spare,
];

impl System {
    /// Reads a units file: a rule for every kind, each with a positive unit and step.
    pub(crate) fn parse(text: &str) -> Result<System, String> {
        let rules: BTreeMap<MeasureKind, Rule> = toml::from_str(text).map_err(|e| e.to_string())?;
        for kind in KINDS {
            let rule = rules.get(&kind).ok_or_else(|| format!("there is no rule for {kind:?}"))?;
            let small = rule.small.as_ref().is_none_or(|small| small.of > 0.0 && small.step > 0.0);
            if !(rule.of > 0.0 && rule.step > 0.0 && small) {
                return Err(format!("the rule for {kind:?} has no positive unit and step"));
            }
        }
        Ok(System { rules })
    }

    /// The rounded figure with its unit and form. `largest` is the largest of the amounts that share the unit.
    pub(super) fn rounded(&self, kind: MeasureKind, amount: f64, largest: f64) -> Option<(f64, Unit, NumberForm)> {
        let rule = self.rules.get(&kind)?;
        let (unit, of, step) = match rule.small.as_ref().filter(|small| largest < small.below) {
            Some(small) => (small.unit, small.of, small.step),
            None => (rule.unit, rule.of, rule.step),
        };
        let steps = amount / of / step;
        let steps = match rule.round {
            Rounding::Nearest => (steps + 1e-9).round(),
            // A millionth of a step is forgiven: 1070 mm held as 1070.0000001 is not 1080.
            Rounding::Up => (steps - 1e-6).ceil(),
            Rounding::Down => (steps + 1e-6).floor(),
        };
        Some((steps.max(0.0) * step, unit, rule.show))
    }
}
