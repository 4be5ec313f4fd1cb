//! The readers of single values: text, measures, numbers, colours, days. Each says what is wrong with a value, and answers
//! `None` both for a key that is not there and for one whose fault is now in the report: nothing is composed after a fault,
//! so a default may stand in.

use super::asked::Asked;
use super::file::{Node, Value};
use super::measure::{self, Unread};
use super::section::{Section, listed, shortened, wrong_kind};
use super::spelling::nearest;
use crate::colour::Colour;
use crate::diag::{Diagnostic, Report, Span};

/// Longest one-line text, in characters.
const LONGEST_LINE: usize = 200;
/// Longest text of several paragraphs, in characters.
const LONGEST_WORDS: usize = 20_000;

/// A value with the place it was read from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Marked<T> {
    /// What was read.
    pub value: T,
    /// Where.
    pub span: Span,
}

/// Between which two measures, both allowed, a measure makes sense; millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Smallest.
    pub least: f64,
    /// Largest.
    pub most: f64,
}

impl Bounds {
    /// From `least` to `most` millimetres.
    pub const fn mm(least: f64, most: f64) -> Bounds {
        Bounds { least, most }
    }
}

impl Section<'_> {
    /// One line of text, without spaces around it.
    pub fn text(&self, key: &str, report: &mut Report) -> Option<Marked<String>> {
        let entry = self.asked(key, Asked::Text)?;
        line_of(key, &entry.node, report)
    }

    /// Text of one or more paragraphs, lines ended by `\n` alone.
    pub fn words(&self, key: &str, report: &mut Report) -> Option<Marked<String>> {
        let entry = self.asked(key, Asked::Text)?;
        let text = text_of(key, &entry.node, report)?.replace("\r\n", "\n");
        checked_text(key, text.trim(), LONGEST_WORDS, true, entry.node.span, report)
    }

    /// A list of one-line texts; a single text is taken as a list of one.
    pub fn texts(&self, key: &str, report: &mut Report) -> Option<Marked<Vec<String>>> {
        let entry = self.asked(key, Asked::Texts)?;
        let value = match &entry.node.value {
            Value::List(items) => items.iter().filter_map(|item| line_of(key, item, report)).map(|t| t.value).collect(),
            _ => vec![line_of(key, &entry.node, report)?.value],
        };
        Some(Marked { value, span: entry.node.span })
    }

    /// One of a few words.
    pub fn choice<T: Copy>(&self, key: &str, choices: &[(&str, T)], report: &mut Report) -> Option<Marked<T>> {
        choice_of(key, &self.asked(key, Asked::Choice(words_of(choices)))?.node, choices, report)
    }

    /// A list of some of a few words, at least one; a single word is taken as a list of one. A word that is repeated counts
    /// once.
    pub fn choices<T: Copy + PartialEq>(
        &self,
        key: &str,
        choices: &[(&str, T)],
        report: &mut Report,
    ) -> Option<Marked<Vec<T>>> {
        let entry = self.asked(key, Asked::Choices(words_of(choices)))?;
        let span = entry.node.span;
        let items = match &entry.node.value {
            Value::List(items) => items.as_slice(),
            _ => std::slice::from_ref(&entry.node),
        };
        let mut value = Vec::new();
        for chosen in items.iter().filter_map(|item| choice_of(key, item, choices, report)) {
            if !value.contains(&chosen.value) {
                value.push(chosen.value);
            }
        }
        if items.is_empty() {
            let words: Vec<&str> = choices.iter().map(|(word, _)| *word).collect();
            let fault = Diagnostic::fault("empty-list", format!("the list `{key}` is empty")).at(span);
            report.push(fault.hint(format!("choose some of {}, or leave the whole line out", listed(&words, "and"))));
        }
        (!value.is_empty()).then_some(Marked { value, span })
    }

    /// True or false.
    pub fn yes_no(&self, key: &str, report: &mut Report) -> Option<Marked<bool>> {
        let entry = self.asked(key, Asked::YesNo)?;
        match &entry.node.value {
            Value::YesNo(value) => Some(Marked { value: *value, span: entry.node.span }),
            other => {
                wrong_kind(
                    key,
                    other,
                    "`true` or `false`",
                    "write `true` or `false`, without quotation marks",
                    entry.node.span,
                    report,
                );
                None
            }
        }
    }

    /// A number without a unit, between two others.
    pub fn number(&self, key: &str, least: f64, most: f64, report: &mut Report) -> Option<Marked<f64>> {
        let entry = self.asked(key, Asked::Number(least, most))?;
        number_of(key, &entry.node, least, most, report)
    }

    /// A number, or a list of numbers, without a unit.
    pub fn numbers(&self, key: &str, least: f64, most: f64, report: &mut Report) -> Option<Marked<Vec<f64>>> {
        let entry = self.asked(key, Asked::Numbers(least, most))?;
        let value = match &entry.node.value {
            Value::List(items) => {
                items.iter().filter_map(|item| number_of(key, item, least, most, report)).map(|n| n.value).collect()
            }
            _ => vec![number_of(key, &entry.node, least, most, report)?.value],
        };
        Some(Marked { value, span: entry.node.span })
    }

    /// A whole number between two others.
    pub fn count(&self, key: &str, least: i64, most: i64, report: &mut Report) -> Option<Marked<i64>> {
        let entry = self.asked(key, Asked::Count(least, most))?;
        let span = entry.node.span;
        match &entry.node.value {
            Value::Whole(Some(value)) if (least..=most).contains(value) => Some(Marked { value: *value, span }),
            Value::Whole(value) => {
                let shown = value.map_or("this number".to_owned(), |v| format!("`{v}`"));
                report.push(
                    Diagnostic::fault("out-of-range", format!("{shown} is out of range for `{key}`"))
                        .at(span)
                        .hint(format!("give a whole number from {least} to {most}")),
                );
                None
            }
            other => {
                wrong_kind(
                    key,
                    other,
                    "a whole number",
                    "write the number without quotation marks or decimals",
                    span,
                    report,
                );
                None
            }
        }
    }

    /// Parts in a hundred (`15`, or `"15 %"`), as a fraction: 0.15.
    pub fn percent(&self, key: &str, most: f64, report: &mut Report) -> Option<Marked<f64>> {
        let entry = self.asked(key, Asked::Percent(most))?;
        let span = entry.node.span;
        let number = match &entry.node.value {
            Value::Text(text) => match text.trim().strip_suffix('%').and_then(|t| t.trim().parse::<f64>().ok()) {
                Some(number) => Node { value: Value::Number(number), span },
                None => entry.node.clone(),
            },
            _ => entry.node.clone(),
        };
        let parts = number_of(key, &number, 0.0, most, report)?.value;
        if parts > 0.0 && parts < 1.0 {
            report.push(
                Diagnostic::fault(
                    "fraction-for-percent",
                    format!("`{key}` counts in hundredths: `{parts}` is less than one in a hundred"),
                )
                .at(span)
                .hint(format!(
                    "write `{}` for {} in a hundred",
                    neat(parts * 100.0),
                    neat(parts * 100.0)
                )),
            );
            return None;
        }
        Some(Marked { value: parts / 100.0, span })
    }

    /// A measure with its unit, in millimetres.
    pub fn measure(&self, key: &str, bounds: Bounds, report: &mut Report) -> Option<Marked<f64>> {
        let entry = self.asked(key, Asked::Measure)?;
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
                    "write the measure with its unit between quotation marks, for example `{key} = \"{shown} mm\"`"
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
        match measure::read(typed) {
            Ok(value) if value >= bounds.least && value <= bounds.most => Some(Marked { value, span }),
            Ok(value) => {
                let how = if value < bounds.least { "small" } else { "large" };
                report.push(
                    Diagnostic::fault("out-of-range", format!("`{}` is too {how} for `{key}`", shortened(typed)))
                        .at(span)
                        .hint(format!("give a measure from {} to {}", shown_mm(bounds.least), shown_mm(bounds.most))),
                );
                None
            }
            Err(why) => {
                report.push(unread(typed, &why).at(span));
                None
            }
        }
    }

    /// A calendar day: year, month, day.
    pub fn day(&self, key: &str, report: &mut Report) -> Option<Marked<(u16, u8, u8)>> {
        let entry = self.asked(key, Asked::Day)?;
        let span = entry.node.span;
        match &entry.node.value {
            Value::Day(Some(day)) if (1900..=2999).contains(&day.0) => Some(Marked { value: *day, span }),
            Value::Day(Some(day)) => {
                report.push(
                    Diagnostic::fault("out-of-range", format!("the year `{}` is out of range for `{key}`", day.0))
                        .at(span)
                        .hint("give a year from 1900 to 2999"),
                );
                None
            }
            Value::Day(None) => {
                report.push(
                    Diagnostic::fault("wrong-kind", format!("`{key}` is a day without a time"))
                        .at(span)
                        .hint("write year, month and day, for example `2025-03-01`"),
                );
                None
            }
            other => {
                wrong_kind(
                    key,
                    other,
                    "a date",
                    "write year, month and day without quotation marks, for example `2025-03-01`",
                    span,
                    report,
                );
                None
            }
        }
    }

    /// A colour written `#rrggbb`.
    pub fn colour(&self, key: &str, report: &mut Report) -> Option<Marked<Colour>> {
        let entry = self.asked(key, Asked::Colour)?;
        let span = entry.node.span;
        let typed = text_of(key, &entry.node, report)?;
        if let Some(value) = Colour::from_hex(typed.trim()) {
            return Some(Marked { value, span });
        }
        let digits = typed.trim().trim_start_matches('#');
        let example = match (digits.len(), digits.bytes().all(|b| b.is_ascii_hexdigit())) {
            (6, true) => format!("write `#{digits}`"),
            (3, true) => format!("write `#{}`", digits.chars().flat_map(|c| [c, c]).collect::<String>()),
            _ => "write `#` and six of the digits 0-9 and letters a-f, for example `#8b5a2b`".to_owned(),
        };
        report.push(
            Diagnostic::fault("not-a-colour", format!("`{}` is not a colour", shortened(&typed)))
                .at(span)
                .hint(example),
        );
        None
    }
}

fn text_of(key: &str, node: &Node, report: &mut Report) -> Option<String> {
    match &node.value {
        Value::Text(text) => Some(text.clone()),
        other => {
            let hint = match other {
                Value::Whole(Some(number)) => format!("write `\"{number}\"`, between quotation marks"),
                Value::Number(number) => format!("write `\"{number:?}\"`, between quotation marks"),
                _ => "write text between quotation marks".to_owned(),
            };
            wrong_kind(key, other, "text", &hint, node.span, report);
            None
        }
    }
}

fn line_of(key: &str, node: &Node, report: &mut Report) -> Option<Marked<String>> {
    let text = text_of(key, node, report)?;
    checked_text(key, text.trim(), LONGEST_LINE, false, node.span, report)
}

/// The words of choices.
fn words_of<T>(choices: &[(&str, T)]) -> Vec<String> {
    choices.iter().map(|(word, _)| (*word).to_owned()).collect()
}

fn choice_of<T: Copy>(key: &str, node: &Node, choices: &[(&str, T)], report: &mut Report) -> Option<Marked<T>> {
    let typed = text_of(key, node, report)?;
    if let Some((_, value)) = choices.iter().find(|(word, _)| *word == typed) {
        return Some(Marked { value: *value, span: node.span });
    }
    let words: Vec<&str> = choices.iter().map(|(word, _)| *word).collect();
    let mut fault = Diagnostic::fault("unknown-choice", format!("`{}` is not a choice for `{key}`", shortened(&typed)))
        .at(node.span);
    if let Some(near) = nearest(&typed, words.iter().copied()) {
        fault = fault.hint(format!("did you mean `{near}`?"));
    }
    report.push(fault.hint(format!("choose {}", listed(&words, "or"))));
    None
}

fn checked_text(
    key: &str,
    text: &str,
    longest: usize,
    lines: bool,
    span: Span,
    report: &mut Report,
) -> Option<Marked<String>> {
    let fault = if text.is_empty() {
        Diagnostic::fault("empty-text", format!("`{key}` is empty"))
            .hint("write something, or leave the whole line out")
    } else if text.chars().count() > longest {
        Diagnostic::fault("too-long", format!("`{key}` is longer than {longest} characters")).hint("shorten it")
    } else if let Some(stray) = text.chars().find(|c| c.is_control() && !(lines && *c == '\n')) {
        let what = if stray == '\n' {
            "a line break".to_owned()
        } else {
            format!("the control character U+{:04X}", stray as u32)
        };
        Diagnostic::fault("control-character", format!("`{key}` holds {what}, which cannot be printed"))
            .hint("take it out, or type a space in its place")
    } else {
        return Some(Marked { value: text.to_owned(), span });
    };
    report.push(fault.at(span));
    None
}

fn number_of(key: &str, node: &Node, least: f64, most: f64, report: &mut Report) -> Option<Marked<f64>> {
    let value = match &node.value {
        Value::Whole(Some(whole)) => *whole as f64,
        Value::Whole(None) => f64::INFINITY,
        Value::Number(number) => *number,
        other => {
            wrong_kind(key, other, "a number", "write the number alone, without quotation marks", node.span, report);
            return None;
        }
    };
    // Written so that what is not a number fails as well.
    if value >= least && value <= most {
        return Some(Marked { value, span: node.span });
    }
    report.push(
        Diagnostic::fault("out-of-range", format!("`{value}` is out of range for `{key}`"))
            .at(node.span)
            .hint(format!("give a number from {} to {}", neat(least), neat(most))),
    );
    None
}

fn unread(typed: &str, why: &Unread) -> Diagnostic {
    let shown = shortened(typed);
    let units = "units are `mm`, `cm`, `m`, `in`, `ft` and `yd`";
    match why {
        Unread::NoUnit => Diagnostic::fault("no-unit", format!("`{shown}` has no unit"))
            .hint(format!("write the unit after the number, for example `\"{shown} mm\"`; {units}")),
        Unread::StrangeUnit(unit) => {
            Diagnostic::fault("unknown-unit", format!("`{unit}` is not a unit of length")).hint(units)
        }
        Unread::NoNumber => Diagnostic::fault("not-a-measure", format!("`{shown}` is not a measure"))
            .hint("write a number and its unit, for example `\"3 mm\"`, `\"1.5 cm\"` or `\"2 1/2 in\"`"),
        Unread::Comma(number) => super::file::decimal_comma(number),
        Unread::Negative => Diagnostic::fault("out-of-range", format!("`{shown}` is less than nothing"))
            .hint("give a measure greater than zero"),
    }
}

fn shown_mm(mm: f64) -> String {
    if mm >= 1000.0 { format!("{} m", neat(mm / 1000.0)) } else { format!("{} mm", neat(mm)) }
}

/// At most three decimals, none of them an idle zero.
fn neat(number: f64) -> String {
    let text = format!("{number:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
