//! Measures in both systems, the maker's first: "33.6 cm (13¼ in)". Millimetres and grams come in.
//!
//! What is bought or cut is rounded up in each system from the exact figure, so that neither figure leaves a reader short.

use super::Words;
use crate::project::Units;
use serde::Deserialize;
use std::collections::BTreeMap;

/// What a measure is for; the units files say how each is rounded and shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
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
    pub round: Round,
    /// In what form.
    pub show: Show,
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
pub enum Round {
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
pub enum Show {
    /// With a decimal sign.
    Decimal,
    /// With real fractions.
    Fraction,
}

/// One system of measures.
#[derive(Clone, Debug, PartialEq)]
pub struct System {
    rules: BTreeMap<Kind, Rule>,
}

const KINDS: [Kind; 13] = [
    Kind::Size,
    Kind::Cut,
    Kind::Buy,
    Kind::Left,
    Kind::Fine,
    Kind::Gap,
    Kind::Least,
    Kind::Short,
    Kind::Reach,
    Kind::Room,
    Kind::Mass,
    Kind::Load,
    Kind::Spare,
];

impl System {
    /// Reads a units file: a rule for every kind, each with a positive unit and step.
    pub fn parse(text: &str) -> Result<System, String> {
        let rules: BTreeMap<Kind, Rule> = toml::from_str(text).map_err(|e| e.to_string())?;
        for kind in KINDS {
            let rule = rules.get(&kind).ok_or_else(|| format!("there is no rule for {kind:?}"))?;
            if !(rule.of > 0.0 && rule.step > 0.0) {
                return Err(format!("the rule for {kind:?} has no positive unit and step"));
            }
        }
        Ok(System { rules })
    }

    /// The rounded figure, in units, and its rule.
    fn rounded(&self, kind: Kind, amount: f64) -> Option<(f64, &Rule)> {
        let rule = self.rules.get(&kind)?;
        let steps = amount / rule.of / rule.step;
        let steps = match rule.round {
            Round::Nearest => (steps + 1e-9).round(),
            // A millionth of a step is forgiven: 1070 mm held as 1070.0000001 is not 1080.
            Round::Up => (steps - 1e-6).ceil(),
            Round::Down => (steps + 1e-6).floor(),
        };
        Some((steps.max(0.0) * rule.step, rule))
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
    pub fn both(&self, kind: Kind, amount: f64) -> String {
        self.both_of(kind, amount, amount)
    }

    /// Both systems from a figure of their own, each in millimetres, where they have been rounded apart.
    pub fn both_of(&self, kind: Kind, metric: f64, imperial: f64) -> String {
        let metric = self.in_system(&self.words.metric, kind, &[metric]);
        let imperial = self.in_system(&self.words.imperial, kind, &[imperial]);
        let (first, second) = match self.units {
            Units::Metric => (metric, imperial),
            Units::Imperial => (imperial, metric),
        };
        self.words.say("measures.both", &[("first", &first), ("second", &second)])
    }

    /// Two amounts across and down: "33.6 × 26.8 cm (13¼ × 10½ in)".
    pub fn across_down(&self, kind: Kind, across: f64, down: f64) -> String {
        let first = self.in_system(self.systems().0, kind, &[across, down]);
        let second = self.in_system(self.systems().1, kind, &[across, down]);
        self.words.say("measures.both", &[("first", &first), ("second", &second)])
    }

    /// In one system only, for table columns that name it.
    pub fn only(&self, units: Units, kind: Kind, amount: f64) -> String {
        let system = match units {
            Units::Metric => &self.words.metric,
            Units::Imperial => &self.words.imperial,
        };
        self.in_system(system, kind, &[amount])
    }

    /// In the maker's system only, for places where both would crowd.
    pub fn first(&self, kind: Kind, amount: f64) -> String {
        self.in_system(self.systems().0, kind, &[amount])
    }

    fn in_system(&self, system: &System, kind: Kind, amounts: &[f64]) -> String {
        let mut unit = Unit::Mm;
        let figures: Vec<String> = amounts
            .iter()
            .filter_map(|amount| system.rounded(kind, *amount))
            .map(|(value, rule)| {
                unit = rule.unit;
                match rule.show {
                    Show::Fraction => self.words.numbers.fraction(value),
                    Show::Decimal => self.words.numbers.decimal(value, 3),
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
