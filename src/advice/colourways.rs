//! Advice about the colourways of one design, each by itself and against the first.

use super::colours::{APART, advise_yarns};
use super::phrases::{pair, some_of};
use crate::chart::YarnId;
use crate::diag::{Diagnostic, Phrase, Report};
use crate::project::{Colourway, Project};
use crate::workings::Workings;

pub(super) fn advise(project: &Project, workings: &Workings, report: &mut Report) {
    let Some((first, others)) = project.colourways.split_first() else { return };
    for (at, colourway) in others.iter().enumerate() {
        let mut own = Report::new();
        advise_yarns(&colourway.palette, workings, &mut own);
        for advice in own.iter().cloned() {
            let of = Phrase::new("in-colourway", "in the colourway `{name}` {what}").with("name", &colourway.name);
            report.push(advice.put_into(|what| of.with("what", what)).at(colourway.place));
        }
        turned(first, colourway, workings, report);
        let before = project.colourways[..=at].iter().find(|before| look_alike(before, colourway));
        if let Some(before) = before {
            let message = Phrase::new("colourways-alike", "the colourways `{one}` and `{two}` have the same colours");
            report.push(
                Diagnostic::advice(message.with("one", &before.name).with("two", &colourway.name))
                    .at(colourway.place)
                    .advise(Phrase::new("colourways-alike-hint", "give one of them other colours, or take it out")),
            );
        }
    }
}

/// Whether two colourways cannot be told apart.
fn look_alike(one: &Colourway, two: &Colourway) -> bool {
    one.palette.0.iter().zip(&two.palette.0).all(|(a, b)| a.colour.difference(b.colour) < 1.0)
}

/// Yarns of which the darker one is the lighter one in the first colourway, which drawings and symbols follow.
fn turned(first: &Colourway, colourway: &Colourway, workings: &Workings, report: &mut Report) {
    let used: Vec<YarnId> =
        first.palette.iter().map(|(id, _)| id).filter(|id| workings.tally.of(*id).total() > 0).collect();
    let lighter = |of: &Colourway, one, two| of.palette.get(one).colour.lab().l - of.palette.get(two).colour.lab().l;
    let mut pairs = Vec::new();
    for (at, one) in used.iter().enumerate() {
        for two in &used[at + 1..] {
            let (then, now) = (lighter(first, *one, *two), lighter(colourway, *one, *two));
            if then.abs() >= APART && now.abs() >= APART && then.is_sign_positive() != now.is_sign_positive() {
                let name = |id: YarnId| &colourway.palette.get(id).name;
                pairs.push(pair(name(*one), name(*two)));
            }
        }
    }
    if !pairs.is_empty() {
        let message = Phrase::new(
            "colourway-turns",
            "in the colourway `{name}` light and dark turn against `{first}`, which the chart of a booklet for all \
             follows: {pairs}",
        );
        let message = message.with("name", &colourway.name).with("first", &first.name).with("pairs", some_of(pairs));
        report.push(Diagnostic::advice(message).at(colourway.place).advise(Phrase::new(
            "colourway-turns-hint",
            "sell it as a file of its own, with symbols of its own: `--colourway`, or `colourways = \"each\"` under [shop]",
        )));
    }
}
