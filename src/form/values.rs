//! The readers of single values: text, numbers, colours, days. Each says what is wrong with a value, and answers
//! `None` both for a key that is not there and for one whose fault is now in the report: nothing is composed after a fault,
//! so a default may stand in.
//!
//! Long, and one subject: one reader after another, all of the same shape.

use super::asked::KeyType;
use super::file::{Value, ValueNode};
use super::section::{FormSection, listed, shortened, wrong_kind};
use super::spelling::nearest;
use crate::colour::Colour;
use crate::diag::{Diagnostic, Report, Span};
use crate::source::steers;

/// Longest one-line text, in characters.
const MAX_LINE_LENGTH: usize = 200;
/// Longest text of several paragraphs, in characters.
const MAX_WORDS_LENGTH: usize = 20_000;

/// A value with the place it was read from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spanned<T> {
    /// What was read.
    pub(crate) value: T,
    /// Where.
    pub(crate) span: Span,
}

impl FormSection<'_> {
    /// One line of text, without spaces around it.
    pub(crate) fn text(&self, key: &str, report: &mut Report) -> Option<Spanned<String>> {
        let entry = self.asked(key, KeyType::Text)?;
        line_of(key, &entry.node, report)
    }

    /// Text of one or more paragraphs, lines ended by `\n` alone.
    pub(crate) fn words(&self, key: &str, report: &mut Report) -> Option<Spanned<String>> {
        let entry = self.asked(key, KeyType::Text)?;
        let text = text_of(key, &entry.node, report)?.replace("\r\n", "\n");
        checked_text(key, text.trim(), MAX_WORDS_LENGTH, true, entry.node.span, report)
    }

    /// A list of one-line texts; a single text is taken as a list of one.
    pub(crate) fn texts(&self, key: &str, report: &mut Report) -> Option<Spanned<Vec<String>>> {
        let entry = self.asked(key, KeyType::Texts)?;
        let value = match &entry.node.value {
            Value::List(items) => items.iter().filter_map(|item| line_of(key, item, report)).map(|t| t.value).collect(),
            _ => vec![line_of(key, &entry.node, report)?.value],
        };
        Some(Spanned { value, span: entry.node.span })
    }

    /// One of a few words.
    pub(crate) fn choice<T: Copy>(&self, key: &str, choices: &[(&str, T)], report: &mut Report) -> Option<Spanned<T>> {
        choice_of(key, &self.asked(key, KeyType::Choice(words_of(choices)))?.node, choices, report)
    }

    /// A list of some of a few words, at least one; a single word is taken as a list of one. A word that is repeated counts
    /// once.
    pub(crate) fn choices<T: Copy + PartialEq>(
        &self,
        key: &str,
        choices: &[(&str, T)],
        report: &mut Report,
    ) -> Option<Spanned<Vec<T>>> {
        let entry = self.asked(key, KeyType::Choices(words_of(choices), 1))?;
        let found = chosen(key, &entry.node, choices, report);
        if matches!(&entry.node.value, Value::List(items) if items.is_empty()) {
            let words: Vec<&str> = choices.iter().map(|(word, _)| *word).collect();
            let fault = Diagnostic::fault("empty-list", format!("the list `{key}` is empty")).at(found.span);
            report.push(fault.hint(format!("choose some of {}, or leave the whole line out", listed(&words, "and"))));
        }
        (!found.value.is_empty()).then_some(found)
    }

    /// The same; the list may be empty.
    pub(crate) fn choices_or_none<T: Copy + PartialEq>(
        &self,
        key: &str,
        choices: &[(&str, T)],
        report: &mut Report,
    ) -> Option<Spanned<Vec<T>>> {
        let entry = self.asked(key, KeyType::Choices(words_of(choices), 0))?;
        Some(chosen(key, &entry.node, choices, report))
    }

    /// True or false.
    pub(crate) fn yes_no(&self, key: &str, report: &mut Report) -> Option<Spanned<bool>> {
        let entry = self.asked(key, KeyType::YesNo)?;
        match &entry.node.value {
            Value::YesNo(value) => Some(Spanned { value: *value, span: entry.node.span }),
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
    pub(crate) fn number(&self, key: &str, least: f64, most: f64, report: &mut Report) -> Option<Spanned<f64>> {
        let entry = self.asked(key, KeyType::Number(least, most))?;
        number_of(key, &entry.node, least, most, report)
    }

    /// A number, or a list of numbers, without a unit.
    pub(crate) fn numbers(&self, key: &str, least: f64, most: f64, report: &mut Report) -> Option<Spanned<Vec<f64>>> {
        let entry = self.asked(key, KeyType::Numbers(least, most))?;
        let value = match &entry.node.value {
            Value::List(items) => {
                items.iter().filter_map(|item| number_of(key, item, least, most, report)).map(|n| n.value).collect()
            }
            _ => vec![number_of(key, &entry.node, least, most, report)?.value],
        };
        Some(Spanned { value, span: entry.node.span })
    }

    /// A whole number between two others.
    pub(crate) fn count(&self, key: &str, least: i64, most: i64, report: &mut Report) -> Option<Spanned<i64>> {
        let entry = self.asked(key, KeyType::Count(least, most))?;
        let span = entry.node.span;
        match &entry.node.value {
            Value::Whole(Some(value)) if (least..=most).contains(value) => Some(Spanned { value: *value, span }),
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

    /// A whole number from 0, or one of the names that stand for it, in capitals or small letters.
    pub(crate) fn numbered(&self, key: &str, names: &[&[&str]], report: &mut Report) -> Option<Spanned<usize>> {
        let most = names.len().saturating_sub(1);
        let entry = self.asked(key, KeyType::Numbered(words_of_numbers(names)))?;
        let Value::Text(typed) = &entry.node.value else {
            let number = self.count(key, 0, most as i64, report)?;
            return Some(Spanned { value: usize::try_from(number.value).ok()?, span: number.span });
        };
        let plain = typed.trim().to_lowercase().replace(['-', '_'], " ");
        let found = names.iter().position(|names| names.contains(&plain.as_str()));
        let found = found.or_else(|| plain.parse().ok().filter(|number| *number <= most));
        if found.is_none() {
            let fault = Diagnostic::fault("unknown-choice", format!("`{}` is not a `{key}`", shortened(typed)))
                .at(entry.node.span);
            let firsts: Vec<String> = names
                .iter()
                .enumerate()
                .filter_map(|(number, names)| Some(format!("{number} {}", names.first()?)))
                .collect();
            report.push(fault.hint(format!("write the number, without quotation marks: {}", firsts.join(", "))));
        }
        Some(Spanned { value: found?, span: entry.node.span })
    }

    /// Parts in a hundred (`15`, or `"15 %"`), as a fraction: 0.15.
    pub(crate) fn percent(&self, key: &str, most: f64, report: &mut Report) -> Option<Spanned<f64>> {
        let entry = self.asked(key, KeyType::Percent(most))?;
        let span = entry.node.span;
        let number = match &entry.node.value {
            Value::Text(text) => match text.trim().strip_suffix('%').and_then(|t| t.trim().parse::<f64>().ok()) {
                Some(number) => ValueNode { value: Value::Number(number), span },
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
        Some(Spanned { value: parts / 100.0, span })
    }

    /// A calendar day: year, month, day.
    pub(crate) fn day(&self, key: &str, report: &mut Report) -> Option<Spanned<(u16, u8, u8)>> {
        let entry = self.asked(key, KeyType::Day)?;
        let span = entry.node.span;
        match &entry.node.value {
            Value::Day(Some(day)) if (1900..=2999).contains(&day.0) => Some(Spanned { value: *day, span }),
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
            Value::Text(text) if let Some(day) = written_day(text) => Some(Spanned { value: day, span }),
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

    /// A colour, or one word that stands for none.
    pub(crate) fn colour_or(&self, key: &str, word: &str, report: &mut Report) -> Option<Spanned<Option<Colour>>> {
        let entry = self.asked(key, KeyType::ColourOr(word.to_owned()))?;
        match &entry.node.value {
            Value::Text(typed) if typed.trim() == word => Some(Spanned { value: None, span: entry.node.span }),
            _ => {
                let colour = colour_of(key, &entry.node, Some(word), report)?;
                Some(Spanned { value: Some(colour.value), span: colour.span })
            }
        }
    }

    /// A colour written `#rrggbb`, or by its name in CSS.
    pub(crate) fn colour(&self, key: &str, report: &mut Report) -> Option<Spanned<Colour>> {
        colour_of(key, &self.asked(key, KeyType::Colour)?.node, None, report)
    }
}

fn colour_of(key: &str, node: &ValueNode, word: Option<&str>, report: &mut Report) -> Option<Spanned<Colour>> {
    let typed = text_of(key, node, report)?;
    if let Some(value) = Colour::from_hex(typed.trim()).or_else(|| Colour::from_name(typed.trim())) {
        return Some(Spanned { value, span: node.span });
    }
    let digits = typed.trim().trim_start_matches('#');
    let mut example = match (digits.len(), digits.bytes().all(|b| b.is_ascii_hexdigit())) {
        (6, true) => format!("write `#{digits}`"),
        (3, true) => format!("write `#{}`", digits.chars().flat_map(|c| [c, c]).collect::<String>()),
        _ => "write `#` and six of the digits 0-9 and letters a-f, for example `#8b5a2b`; or a colour's name in CSS, such as `navy`"
            .to_owned(),
    };
    if let Some(word) = word {
        example.push_str(&format!("; or `{word}`"));
    }
    let fault = Diagnostic::fault("not-a-colour", format!("`{}` is not a colour", shortened(&typed)));
    report.push(fault.at(node.span).hint(example));
    None
}

/// Each of the words in a list once; a single word is a list of one.
fn chosen<T: Copy + PartialEq>(
    key: &str,
    node: &ValueNode,
    choices: &[(&str, T)],
    report: &mut Report,
) -> Spanned<Vec<T>> {
    let items = match &node.value {
        Value::List(items) => items.as_slice(),
        _ => std::slice::from_ref(node),
    };
    let mut value = Vec::new();
    for chosen in items.iter().filter_map(|item| choice_of(key, item, choices, report)) {
        if !value.contains(&chosen.value) {
            value.push(chosen.value);
        }
    }
    Spanned { value, span: node.span }
}

/// A day in quotation marks: `2026-11-28`, or `28.11.2026`. With strokes nobody can tell the day from the month.
fn written_day(text: &str) -> Option<(u16, u8, u8)> {
    let text = text.trim();
    let mut parts = text.split(['-', '.']).map(str::trim);
    let (a, b, c) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() {
        return None;
    }
    let (year, month, day) = if text.contains('-') { (a, b, c) } else { (c, b, a) };
    let (year, month, day) = (year.parse().ok()?, month.parse().ok()?, day.parse().ok()?);
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        2 => 28 + u8::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return None,
    };
    ((1900..=2999).contains(&year) && (1..=days).contains(&day)).then_some((year, month, day))
}

fn text_of(key: &str, node: &ValueNode, report: &mut Report) -> Option<String> {
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

fn line_of(key: &str, node: &ValueNode, report: &mut Report) -> Option<Spanned<String>> {
    let text = text_of(key, node, report)?;
    checked_text(key, text.trim(), MAX_LINE_LENGTH, false, node.span, report)
}

/// The words of choices.
fn words_of<T>(choices: &[(&str, T)]) -> Vec<String> {
    choices.iter().map(|(word, _)| (*word).to_owned()).collect()
}

fn words_of_numbers(names: &[&[&str]]) -> Vec<Vec<String>> {
    names.iter().map(|names| names.iter().map(|name| (*name).to_owned()).collect()).collect()
}

fn choice_of<T: Copy>(key: &str, node: &ValueNode, choices: &[(&str, T)], report: &mut Report) -> Option<Spanned<T>> {
    let typed = text_of(key, node, report)?;
    if let Some((_, value)) = choices.iter().find(|(word, _)| *word == typed) {
        return Some(Spanned { value: *value, span: node.span });
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

/// Whether a character has no place in a text; `lines`: the text may have several lines.
fn is_stray(c: char, lines: bool) -> bool {
    c == '\t' || steers(c) || (c == '\n' && !lines)
}

fn checked_text(
    key: &str,
    text: &str,
    longest: usize,
    lines: bool,
    span: Span,
    report: &mut Report,
) -> Option<Spanned<String>> {
    let fault = if text.is_empty() {
        Diagnostic::fault("empty-text", format!("`{key}` is empty"))
            .hint("write something, or leave the whole line out")
    } else if text.chars().count() > longest {
        Diagnostic::fault("too-long", format!("`{key}` is longer than {longest} characters")).hint("shorten it")
    } else if let Some(stray) = text.chars().find(|c| is_stray(*c, lines)) {
        let what = if stray == '\n' {
            "a line break".to_owned()
        } else {
            format!("the character U+{:04X}, which controls how text is shown", stray as u32)
        };
        Diagnostic::fault("control-character", format!("`{key}` holds {what} and cannot be printed"))
            .hint("take it out, or type a space in its place")
    } else {
        return Some(Spanned { value: text.to_owned(), span });
    };
    report.push(fault.at(span));
    None
}

fn number_of(key: &str, node: &ValueNode, least: f64, most: f64, report: &mut Report) -> Option<Spanned<f64>> {
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
        return Some(Spanned { value, span: node.span });
    }
    report.push(
        Diagnostic::fault("out-of-range", format!("`{value}` is out of range for `{key}`"))
            .at(node.span)
            .hint(format!("give a number from {} to {}", neat(least), neat(most))),
    );
    None
}

/// At most three decimals, none of them an idle zero.
pub(super) fn neat(number: f64) -> String {
    let text = format!("{number:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
