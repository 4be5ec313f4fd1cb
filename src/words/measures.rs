//! Measures in both systems, the maker's first: "33.6 cm (13¼ in)". Millimetres and grams come in.
//!
//! What is bought or cut is rounded up in each system from the exact figure, so that neither figure leaves a reader short.

use super::Words;
use crate::units::Units;
use serde::Deserialize;
use std::collections::BTreeMap;

/// What a measure is for; the units files say how each is rounded and shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MeasureKind {
    /// Finished sizes.
    Size,
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
pub struct Rule {
    /// Its unit.
    pub unit: Unit,
    /// Millimetres or grams in one unit.
    pub of: f64,
    /// Rounded to this many units.
    pub step: f64,
    /// Which way.
    pub round: Rounding,
    /// In what form.
    pub show: NumberForm,
    /// How smaller amounts are printed; `None`: no other way.
    #[serde(default)]
    pub small: Option<SmallRule>,
}

/// How a kind is printed below a bound: what is small is measured more finely.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct SmallRule {
    /// Amounts below this, in millimetres or grams.
    pub below: f64,
    /// Their unit.
    pub unit: Unit,
    /// Millimetres or grams in one unit.
    pub of: f64,
    /// Rounded to this many units.
    pub step: f64,
}

/// Units that measures are printed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unit {
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
    fn key(self) -> &'static str {
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
pub enum Rounding {
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
pub enum NumberForm {
    /// With a decimal sign.
    Decimal,
    /// With real fractions.
    Fraction,
}

/// One system of measures.
#[derive(Clone, Debug, PartialEq)]
pub struct System {
    rules: BTreeMap<MeasureKind, Rule>,
}

const KINDS: [MeasureKind; 13] = [
    MeasureKind::Size,
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
    pub fn parse(text: &str) -> Result<System, String> {
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
    fn rounded(&self, kind: MeasureKind, amount: f64, largest: f64) -> Option<(f64, Unit, NumberForm)> {
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

/// Writes measures, the maker's system first.
#[derive(Clone, Copy, Debug)]
pub struct Measures<'a> {
    words: &'a Words,
    units: Units,
}

impl<'a> Measures<'a> {
    pub(super) fn new(words: &'a Words, units: Units) -> Measures<'a> {
        Measures { words, units }
    }

    fn systems(&self) -> (&'a System, &'a System) {
        match self.units {
            Units::Metric => (&self.words.metric, &self.words.imperial),
            Units::Imperial => (&self.words.imperial, &self.words.metric),
        }
    }

    /// One amount in both systems: "33.6 cm (13¼ in)".
    pub fn both(&self, kind: MeasureKind, amount: f64) -> String {
        self.both_of(kind, amount, amount)
    }

    /// Both systems from a figure of their own, each in millimetres, where they have been rounded apart.
    pub fn both_of(&self, kind: MeasureKind, metric: f64, imperial: f64) -> String {
        let metric = self.in_system(&self.words.metric, kind, &[metric]);
        let imperial = self.in_system(&self.words.imperial, kind, &[imperial]);
        let (first, second) = match self.units {
            Units::Metric => (metric, imperial),
            Units::Imperial => (imperial, metric),
        };
        self.words.say("measures.both", &[("first", &first), ("second", &second)])
    }

    /// Two amounts across and down: "33.6 × 26.8 cm (13¼ × 10½ in)".
    pub fn across_down(&self, kind: MeasureKind, across: f64, down: f64) -> String {
        let first = self.in_system(self.systems().0, kind, &[across, down]);
        let second = self.in_system(self.systems().1, kind, &[across, down]);
        self.words.say("measures.both", &[("first", &first), ("second", &second)])
    }

    /// In one system only, for table columns that name it.
    pub fn only(&self, units: Units, kind: MeasureKind, amount: f64) -> String {
        let system = match units {
            Units::Metric => &self.words.metric,
            Units::Imperial => &self.words.imperial,
        };
        self.in_system(system, kind, &[amount])
    }

    /// In the maker's system only, for places where both would crowd.
    pub fn first(&self, kind: MeasureKind, amount: f64) -> String {
        self.in_system(self.systems().0, kind, &[amount])
    }

    fn in_system(&self, system: &System, kind: MeasureKind, amounts: &[f64]) -> String {
        let mut unit = Unit::Mm;
        let largest = amounts.iter().copied().fold(0.0, f64::max);
        let figures: Vec<String> = amounts
            .iter()
            .filter_map(|amount| system.rounded(kind, *amount, largest))
            .map(|(value, of, show)| {
                unit = of;
                match show {
                    NumberForm::Fraction => self.words.numbers.fraction(value),
                    NumberForm::Decimal => self.words.numbers.decimal(value, 3),
                }
            })
            .collect();
        let figure = match figures.as_slice() {
            [across, down] => self.words.say("measures.across-down", &[("across", across), ("down", down)]),
            other => other.concat(),
        };
        self.words.say(unit.key(), &[("n", &figure)])
    }
}
