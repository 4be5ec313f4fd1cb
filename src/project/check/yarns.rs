//! The yarns, each by itself and against the others.

use super::materials::twenty_knots;
use super::{about, address};
use crate::chart::{Chart, Colour, MAX_YARNS, Palette, Yarn, YarnId};
use crate::diag::{Diagnostic, Phrase, Report, Span, Value};
use crate::form::{FormSection, Limits, Spanned, nearest};
use crate::project::Swatch;
use crate::symbol::SYMBOLS;

/// Wraps per inch assumed for a weight class when the maker has measured nothing: the middle of the range of the
/// Standard Yarn Weight System (Craft Yarn Council), class 7 from memory. A class is a range, so advice goes with it.
const MIDDLE_WRAPS: [f64; 8] = [35.0, 22.0, 15.0, 13.0, 10.5, 7.5, 5.5, 2.5];
/// Least and most wraps per inch of each class, same source.
const WRAPS: [(f64, f64); 8] =
    [(30.0, 60.0), (14.0, 30.0), (12.0, 18.0), (11.0, 15.0), (9.0, 12.0), (6.0, 9.0), (5.0, 6.0), (1.0, 4.0)];
/// The class of worsted yarn, the usual working yarn (common practice, no source).
const WORSTED: u8 = 4;
/// Names of the classes, and of yarns that belong to one class alone (Standard Yarn Weight System, Craft Yarn Council, from
/// memory). "Fingering", "baby" and "roving" are written on yarns of two classes, so they stand in none.
const WEIGHTS: [&[&str]; 8] = [
    &["lace"],
    &["super fine", "superfine", "sock"],
    &["fine", "sport"],
    &["light", "dk", "double knitting", "light worsted"],
    &["medium", "worsted", "afghan", "aran"],
    &["bulky", "chunky", "craft", "rug"],
    &["super bulky", "superbulky"],
    &["jumbo"],
];
/// Fibres that melt or flatten under an iron, as they are written on ball bands.
const MELTING: [&str; 10] = [
    "acrylic",
    "polyacryl",
    "polyester",
    "polyamid",
    "nylon",
    "polypropylene",
    "microfibre",
    "microfiber",
    "acrylique",
    "acrílic",
];

/// What could be made out of the `[[yarn]]` sections, well written or not.
pub(super) struct Yarns {
    entries: Vec<YarnEntry>,
}

struct YarnEntry {
    key: Option<char>,
    colour: Option<Colour>,
    yarn: Option<Yarn>,
    /// Where the key stands, or else the section.
    span: Span,
    price: Option<Span>,
    /// The thickness stands for its class only.
    guessed: bool,
}

pub(super) fn check(top: &FormSection<'_>, report: &mut Report) -> Yarns {
    let sections = top.sections("yarn", report);
    if sections.is_empty() {
        let empty_list = top.place("yarn");
        if top.misses("yarn") || empty_list.is_some() {
            report.push(
                Diagnostic::fault("no-yarn", "the project has no yarn")
                    .at(empty_list.unwrap_or(top.span()))
                    .hint("add a section `[[yarn]]` with `key`, `name` and `colour` for each yarn"),
            );
        }
    }
    if let Some(surplus) = sections.get(MAX_YARNS) {
        report.push(
            Diagnostic::fault("too-many-yarns", format!("the project has {} yarns", sections.len()))
                .at(surplus.span())
                .hint(format!("at most {MAX_YARNS} can be told apart on paper")),
        );
    }
    let entries: Vec<YarnEntry> = sections.iter().take(MAX_YARNS).map(|section| one(section, report)).collect();
    let yarns = Yarns { entries };
    yarns.repeats(report);
    yarns
}

fn one(section: &FormSection<'_>, report: &mut Report) -> YarnEntry {
    section.require("key", "\"A\"", report);
    section.require("name", "\"...\"", report);
    section.require("colour", "\"#8b5a2b\"", report);
    let key = key(section, report);
    let name = section.text("name", report);
    let colour = section.colour("colour", report);
    let weight = section.numbered("weight", &WEIGHTS, report).map(|w| Spanned { value: w.value as u8, span: w.span });
    let (diameter_mm, guessed) = thickness(section, weight, report);
    let plain = |key: &str, report: &mut Report| section.text(key, report).map(|t| t.value);
    let fibre = plain("fibre", report);
    let melts = section.yes_no("melts", report).map_or_else(
        || fibre.as_deref().is_some_and(|f| MELTING.iter().any(|m| f.to_lowercase().contains(m))),
        |m| m.value,
    );
    let knot_mm = section.section("swatch", report).and_then(|swatch| {
        let knot = twenty_knots(&swatch, report);
        swatch.close(report);
        knot
    });
    let yarn = Yarn {
        key: key.map_or('\0', |k| k.value),
        name: name.as_ref().map_or_else(String::new, |n| n.value.clone()),
        colour: colour.map_or(Colour::BLACK, |c| c.value),
        weight: weight.map(|w| w.value),
        diameter_mm,
        knot_mm,
        ball_m: section.number("metres-per-ball", 1.0, 100_000.0, report).map(|n| n.value),
        ball_g: section.number("grams-per-ball", 1.0, 100_000.0, report).map(|n| n.value),
        ball_price: section.number("price", 0.0, 1_000_000.0, report).map(|n| n.value),
        brand: plain("brand", report),
        brand_language: about::brand_language(section, &["brand", "shade"], report),
        shade: plain("shade", report),
        fibre,
        care: plain("care", report),
        link: address::read(section, "link", false, report),
        dye_lot: plain("dye-lot", report),
        symbol: symbol(section, report),
        melts,
    };
    section.close(report);
    YarnEntry {
        key: key.map(|k| k.value),
        colour: colour.map(|c| c.value),
        yarn: (key.is_some() && name.is_some() && colour.is_some()).then_some(yarn),
        span: key.map_or(section.span(), |k| k.span),
        price: section.place("price"),
        guessed: guessed && knot_mm.is_none(),
    }
}

fn symbol(section: &FormSection<'_>, report: &mut Report) -> Option<String> {
    let Spanned { value, span } = section.text("symbol", report)?;
    if !SYMBOLS.contains(&value.as_str()) {
        let fault = Diagnostic::fault("unknown-symbol", format!("there is no symbol `{value}`")).at(span);
        report.push(match nearest(&value, SYMBOLS) {
            Some(near) => fault.hint(format!("did you mean `{near}`?")),
            None => fault.hint(format!("choose one of {}", SYMBOLS.join(", "))),
        });
    }
    Some(value)
}

fn key(section: &FormSection<'_>, report: &mut Report) -> Option<Spanned<char>> {
    let Spanned { value, span } = section.text("key", report)?;
    let mut letters = value.chars();
    if let (Some(letter), None) = (letters.next(), letters.next())
        && letter.is_alphabetic()
    {
        return Some(Spanned { value: letter, span });
    }
    let fault = Diagnostic::fault("not-a-letter", format!("`{value}` cannot stand for a yarn")).at(span);
    report.push(if value == "." {
        fault.hint("the full stop stands for a bare cell; choose a letter")
    } else {
        fault.hint("choose one single letter; capitals and small letters are told apart")
    });
    None
}

/// Relaxed diameter, millimetres, and whether it is only assumed from the weight class.
fn thickness(section: &FormSection<'_>, weight: Option<Spanned<u8>>, report: &mut Report) -> (f64, bool) {
    let diameter = section.measure("diameter", Limits::mm(0.2, 25.4), report);
    let wraps = section.number("wraps-per-inch", 1.0, 100.0, report);
    if let (Some(diameter), Some(_)) = (diameter, wraps) {
        report.push(
            Diagnostic::fault(
                "thickness-given-twice",
                "`diameter` and `wraps-per-inch` both say how thick the yarn is",
            )
            .at(diameter.span)
            .hint("keep the one you measured"),
        );
    }
    let written = section.has("diameter") || section.has("wraps-per-inch");
    let measured = diameter.map(|d| d.value).or(wraps.map(|w| 25.4 / w.value));
    if let (Some(mm), Some(weight)) = (measured, weight) {
        let (least, most) = WRAPS[usize::from(weight.value.min(7))];
        let wraps = 25.4 / mm;
        // A quarter beyond the range is still a matter of how firmly the maker wraps (our judgement).
        if wraps < least / 1.25 || wraps > most * 1.25 {
            let class = usize::from(weight.value);
            let message =
                Phrase::new("weight-and-thickness-differ", "{wraps} wraps per inch is unusual for weight {weight}");
            let hint = Phrase::new(
                "weight-and-thickness-differ-hint",
                "weight {weight} usually wraps {least} to {most} times round an inch; measure again",
            );
            report.push(
                Diagnostic::advice(message.with("wraps", Value::decimals(wraps, 1)).with("weight", class))
                    .at(weight.span)
                    .advise(hint.with("weight", class).with("least", least).with("most", most)),
            );
        }
    }
    let class = weight.map_or(WORSTED, |w| w.value);
    (measured.unwrap_or(25.4 / MIDDLE_WRAPS[usize::from(class.min(7))]), !written)
}

impl Yarns {
    /// The letters a text chart may use; `None` where a yarn's key could not be read.
    pub(super) fn letters(&self) -> Vec<Option<char>> {
        self.entries.iter().map(|e| e.key).collect()
    }

    /// The colours a chart picture may use; `None` where a yarn's colour could not be read.
    pub(super) fn colours(&self) -> Vec<Option<(char, Colour)>> {
        self.entries.iter().map(|e| Some((e.key.unwrap_or('?'), e.colour?))).collect()
    }

    /// Whether a yarn melts under an iron.
    pub(super) fn any_melts(&self) -> bool {
        self.entries.iter().filter_map(|e| e.yarn.as_ref()).any(|y| y.melts)
    }

    /// Where the first price of a yarn stands.
    pub(super) fn first_price(&self) -> Option<Span> {
        self.entries.iter().find_map(|e| e.price)
    }

    /// The palette, if every yarn passed.
    pub(super) fn palette(self) -> Option<Palette> {
        self.entries.into_iter().map(|e| e.yarn).collect::<Option<Vec<Yarn>>>().map(Palette)
    }

    /// Advice for each yarn that is tied nowhere.
    pub(super) fn unused(&self, chart: &Chart, header: Option<YarnId>, report: &mut Report) {
        let mut used = [false; MAX_YARNS];
        for id in chart.cells().iter().flatten().chain(header.iter()) {
            if let Some(slot) = used.get_mut(usize::from(id.0)) {
                *slot = true;
            }
        }
        for (at, (entry, used)) in self.entries.iter().zip(used).enumerate() {
            let Some(yarn) = entry.yarn.as_ref().filter(|_| !used) else { continue };
            // A second yarn of one letter has its fault already; its knots are counted for the first.
            if self.entries[..at].iter().any(|before| before.key == entry.key) {
                continue;
            }
            let message = Phrase::new("unused-yarn", "no knot is tied with yarn `{key}`, {name}");
            report.push(
                Diagnostic::advice(message.with("key", &yarn.key.to_string()).with("name", &yarn.name))
                    .at(entry.span)
                    .advise(Phrase::new(
                        "unused-yarn-hint",
                        "take the yarn out, or check the chart's letters and colours",
                    )),
            );
        }
    }

    /// Advice for each yarn whose thickness is only assumed, where an amount hangs on it.
    pub(super) fn guesses(&self, swatch: &Swatch, report: &mut Report) {
        if swatch.column_mm.is_some() && swatch.row_mm.is_some() && swatch.knot_mm.is_some() {
            return;
        }
        for entry in self.entries.iter().filter(|e| e.guessed) {
            let Some(yarn) = &entry.yarn else { continue };
            let class = yarn.weight.unwrap_or(WORSTED);
            let message = Phrase::new(
                "assumed-thickness",
                "the thickness of yarn `{key}`, {name}, is assumed from weight {weight}",
            );
            let message = message.with("key", &yarn.key.to_string()).with("name", &yarn.name);
            report.push(Diagnostic::advice(message.with("weight", usize::from(class))).at(entry.span).advise(
                Phrase::new(
                    "assumed-thickness-hint",
                    "wrap it round a ruler and add `wraps-per-inch`, or measure a swatch: amounts hang on it",
                ),
            ));
        }
    }

    fn repeats(&self, report: &mut Report) {
        for (at, entry) in self.entries.iter().enumerate() {
            let before = &self.entries[..at];
            if let Some(key) = entry.key
                && let Some(first) = before.iter().find(|e| e.key == Some(key))
            {
                report.push(
                    Diagnostic::fault("repeated-letter", format!("two yarns have the letter `{key}`"))
                        .at(entry.span)
                        .also(first.span, "first given here")
                        .hint("give each yarn a letter of its own"),
                );
            }
            let symbol = |e: &YarnEntry| e.yarn.as_ref().and_then(|y| y.symbol.clone());
            if let Some(own) = symbol(entry)
                && let Some(first) = before.iter().find(|e| symbol(e).as_ref() == Some(&own))
            {
                report.push(
                    Diagnostic::fault("repeated-symbol", format!("two yarns have the symbol `{own}`"))
                        .at(entry.span)
                        .also(first.span, "first given here")
                        .hint("give each yarn a symbol of its own, or none: then one is chosen"),
                );
            }
            let name = |e: &YarnEntry| e.yarn.as_ref().map(|y| y.name.to_lowercase());
            if let Some(own) = name(entry)
                && let Some(first) = before.iter().find(|e| name(e).as_ref() == Some(&own))
            {
                report.push(
                    Diagnostic::fault("repeated-name", format!("two yarns have the name `{own}`"))
                        .at(entry.span)
                        .also(first.span, "first given here")
                        .hint("the rows in words name each yarn: give each a name of its own"),
                );
            }
        }
    }
}
