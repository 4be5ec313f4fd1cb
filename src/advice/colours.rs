//! Advice about yarns that are hard to tell apart. Never more than advice: symbols carry the meaning.

use super::phrases::{pair, some_of};
use crate::chart::{Palette, Yarn};
use crate::colour::ColourVision;
use crate::diag::{Diagnostic, Phrase, Report, Value};
use crate::project::Project;
use crate::symbol;
use crate::workings::Workings;

/// CIEDE2000 below this is hard to tell apart, and below twice this takes care: our judgement.
const ALIKE: f64 = 5.0;
/// Yarns whose L* differ by so much must not change places on the chart: our judgement.
pub(super) const APART: f64 = 8.0;
/// Yarns whose L* differ by less run together in grey print: our judgement.
const GREY: f64 = 10.0;

pub(super) fn advise(project: &Project, workings: &Workings, report: &mut Report) {
    advise_yarns(&project.palette, workings, report);
    pinned_symbols(project, report);
}

/// Yarns that are hard to tell apart, of a project or of one of its colourways.
pub(super) fn advise_yarns(palette: &Palette, workings: &Workings, report: &mut Report) {
    let used: Vec<&Yarn> = palette.iter().filter(|(id, _)| workings.tally.of(*id).total() > 0).map(|p| p.1).collect();
    let pairs = used.iter().enumerate().flat_map(|(at, one)| used[at + 1..].iter().map(move |two| (*one, *two)));
    let (mut near, mut grey) = (Vec::new(), Vec::new());
    for (one, two) in pairs {
        let seen = ColourVision::ALL
            .map(|vision| (one.colour.seen_with(vision).difference(two.colour.seen_with(vision)), vision));
        let alike: Vec<Value> = seen.iter().filter(|s| s.0 < ALIKE).map(difference).collect();
        if !alike.is_empty() {
            let message = Phrase::new("yarns-alike", "`{one}` and `{two}` are hard to tell apart: {seen}");
            report.push(
                Diagnostic::advice(message.with("one", &one.name).with("two", &two.name).with("seen", alike)).advise(
                    Phrase::new(
                        "yarns-alike-hint",
                        "choose shades that differ more in lightness, or keep the two from touching",
                    ),
                ),
            );
        } else if let Some(least) = seen.iter().filter(|s| s.0 < 2.0 * ALIKE).min_by(|a, b| a.0.total_cmp(&b.0)) {
            let pair = Phrase::new("pair-with", "`{one}` and `{two}` ({difference})");
            let pair = pair.with("one", &one.name).with("two", &two.name).with("difference", difference(least));
            near.push(pair.into());
        }
        if (one.colour.lab().l - two.colour.lab().l).abs() < GREY {
            grey.push(pair(&one.name, &two.name));
        }
    }
    if !near.is_empty() {
        report.push(
            Diagnostic::advice(
                Phrase::new("yarns-near", "some yarns take care to tell apart: {pairs}").with("pairs", some_of(near)),
            )
            .advise(Phrase::new("yarns-near-hint", "sort them by daylight, and label the balls")),
        );
    }
    if !grey.is_empty() {
        report.push(
            Diagnostic::advice(
                Phrase::new(
                    "yarns-alike-in-grey",
                    "in grey print some yarns look alike, and only their symbols differ: {pairs}",
                )
                .with("pairs", some_of(grey)),
            )
            .advise(Phrase::new(
                "yarns-alike-in-grey-hint",
                "tell buyers to print in colour, or offer `ink = \"symbols-only\"`",
            )),
        );
    }
}

/// Symbols that the maker has pinned, where a darker yarn has a lighter one.
fn pinned_symbols(project: &Project, report: &mut Report) {
    let yarns: Vec<&Yarn> = project.palette.iter().map(|(_, yarn)| yarn).collect();
    if yarns.iter().all(|yarn| yarn.symbol.is_none()) {
        return;
    }
    let cells: Vec<Option<u8>> = project.chart.cells().iter().map(|cell| cell.map(|yarn| yarn.0)).collect();
    let touch = symbol::touches(project.chart.columns(), &cells, yarns.len());
    let pins: Vec<_> = yarns.iter().map(|yarn| (yarn.colour, yarn.symbol.as_deref())).collect();
    let weights: Vec<f64> = symbol::assign(&pins, &touch).iter().filter_map(|name| symbol::weight(name)).collect();
    let mut against = Vec::new();
    for (at, (one, weight)) in yarns.iter().zip(&weights).enumerate().filter(|(_, (yarn, _))| yarn.symbol.is_some()) {
        for (other_at, (two, other)) in yarns.iter().zip(&weights).enumerate() {
            let lighter = one.colour.lab().l - two.colour.lab().l;
            let wrong = (lighter >= APART && weight >= other) || (lighter <= -APART && weight <= other);
            // Of two pinned yarns the pair is named once.
            if wrong && (two.symbol.is_none() || at < other_at) {
                against.push(pair(&one.name, &two.name));
            }
        }
    }
    if !against.is_empty() {
        report.push(
            Diagnostic::advice(
                Phrase::new(
                    "symbol-against-tone",
                    "on the chart the darker of two yarns has the lighter symbol: {pairs}",
                )
                .with("pairs", some_of(against)),
            )
            .advise(Phrase::new(
                "symbol-against-tone-hint",
                "leave `symbol` out, or give darker yarns heavier symbols: the chart then looks like the panel",
            )),
        );
    }
}

/// How different two yarns are, and to whose eyes.
fn difference((difference, vision): &(f64, ColourVision)) -> Value {
    let sight = match vision {
        ColourVision::Normal => Phrase::new("sight-normal", "in plain sight"),
        ColourVision::Protan => Phrase::new("sight-protan", "without red cones"),
        ColourVision::Deutan => Phrase::new("sight-deutan", "without green cones"),
        ColourVision::Tritan => Phrase::new("sight-tritan", "without blue cones"),
    };
    let phrase = Phrase::new("difference", "{difference} {sight}");
    phrase.with("difference", Value::decimals(*difference, 1)).with("sight", sight).into()
}
