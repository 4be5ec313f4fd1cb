//! Measures in both systems, the maker's first: "33.6 cm (13¼ in)". Millimetres and grams come in.
//!
//! What is bought or cut is rounded up in each system from the exact figure, so that neither figure leaves a reader short.

use super::Words;
pub(crate) use super::system::MeasureKind;
use super::system::{NumberForm, System, Unit};
use crate::units::Units;

impl Words {
    /// Measures in both systems, the given one first.
    pub(crate) fn measures(&self, units: Units) -> Measures<'_> {
        Measures { words: self, units }
    }
}

/// Writes measures, the maker's system first.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Measures<'a> {
    words: &'a Words,
    units: Units,
}

impl<'a> Measures<'a> {
    fn systems(&self) -> (&'a System, &'a System) {
        match self.units {
            Units::Metric => (&self.words.metric, &self.words.imperial),
            Units::Imperial => (&self.words.imperial, &self.words.metric),
        }
    }

    /// One amount in both systems: "33.6 cm (13¼ in)".
    pub(crate) fn both(&self, kind: MeasureKind, amount: f64) -> String {
        self.both_of(kind, amount, amount)
    }

    /// Both systems from a figure of their own, each in millimetres, where they have been rounded apart.
    pub(crate) fn both_of(&self, kind: MeasureKind, metric: f64, imperial: f64) -> String {
        let metric = self.in_system(&self.words.metric, kind, &[metric]);
        let imperial = self.in_system(&self.words.imperial, kind, &[imperial]);
        let (first, second) = match self.units {
            Units::Metric => (metric, imperial),
            Units::Imperial => (imperial, metric),
        };
        self.words.say("measures.both", &[("first", &first), ("second", &second)])
    }

    /// Two amounts across and down: "33.6 × 26.8 cm (13¼ × 10½ in)".
    pub(crate) fn across_down(&self, kind: MeasureKind, across: f64, down: f64) -> String {
        let first = self.in_system(self.systems().0, kind, &[across, down]);
        let second = self.in_system(self.systems().1, kind, &[across, down]);
        self.words.say("measures.both", &[("first", &first), ("second", &second)])
    }

    /// In one system only, for table columns that name it.
    pub(crate) fn only(&self, units: Units, kind: MeasureKind, amount: f64) -> String {
        let system = match units {
            Units::Metric => &self.words.metric,
            Units::Imperial => &self.words.imperial,
        };
        self.in_system(system, kind, &[amount])
    }

    /// In the maker's system only, for places where both would crowd.
    pub(crate) fn first(&self, kind: MeasureKind, amount: f64) -> String {
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
