//! TOML text to a tree of values with their places. The only file of this room that knows the `toml` crate; its serde
//! side is not used, because that stops at the first fault and the maker is to see all of them at once.

use super::asked::AskedKeys;
use crate::diag::{Diagnostic, Report, SourceId, Span};
use crate::source::steers;
use toml::de::{DeTable, DeValue, Error};

/// Faults of the notation that are shown one by one: the later ones follow from the earlier.
const MAX_SHOWN_FAULTS: usize = 50;

/// Sections and lists within each other; forms have three or four.
const MAX_DEPTH: usize = 16;

/// A value as it was written.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Value {
    /// Text.
    Text(String),
    /// A whole number; `None` when it is too large for any use here.
    Whole(Option<i64>),
    /// A number with a decimal point; may be infinite or not a number.
    Number(f64),
    /// True or false.
    YesNo(bool),
    /// A day: year, month, day, real in the calendar. `None` when a time of day stands there, alone or with a day.
    Day(Option<(u16, u8, u8)>),
    /// A list.
    List(Vec<ValueNode>),
    /// A section, or what stands between braces.
    Table(TomlTable),
}

/// A value and its place.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ValueNode {
    pub(super) value: Value,
    pub(super) span: Span,
}

/// The keys of one section, in the order of the file.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct TomlTable {
    pub(super) entries: Vec<Entry>,
}

/// A key with its value.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Entry {
    pub(super) key: String,
    pub(super) key_span: Span,
    pub(super) node: ValueNode,
}

impl TomlTable {
    pub(super) fn get(&self, key: &str) -> Option<&Entry> {
        self.entries.iter().find(|e| e.key == key)
    }

    /// Puts an entry in the place of the one of its key; the entries of a section one by one.
    fn put(&mut self, entry: &Entry) {
        match self.entries.iter_mut().find(|old| old.key == entry.key) {
            Some(old) => match (&mut old.node.value, &entry.node.value) {
                (Value::Table(old), Value::Table(new)) => new.entries.iter().for_each(|entry| old.put(entry)),
                _ => *old = entry.clone(),
            },
            None => self.entries.push(entry.clone()),
        }
    }
}

/// What may stand in a form: each section's name (`""` for the keys before the first heading, `cord`,
/// `swatch.twenty-knots`) with the keys it knows. `styles.*` stands for every section below `styles`, each of which has a
/// heading of its own.
pub(crate) type KeyPlan = [(&'static str, &'static [&'static str])];

/// A file that was read as TOML, as well as it can be.
#[derive(Debug)]
pub(crate) struct Form {
    pub(super) root: TomlTable,
    pub(super) source: SourceId,
    pub(super) plan: &'static KeyPlan,
    /// Whether a fault of the notation may have swallowed keys: then a missing one is nobody's fault.
    pub(super) swallowed: bool,
    /// Whether a section is there several times: what stands in the later ones is not known.
    pub(crate) repeats_sections: bool,
    /// What it was asked for.
    pub(super) asking: AskedKeys,
}

impl Form {
    /// Reads `text`. Faults of the notation go into `report`; what could be made out beside them is kept, so that the
    /// faults of meaning are found in the same run.
    pub(crate) fn open(text: &str, source: SourceId, plan: &'static KeyPlan, report: &mut Report) -> Form {
        let (table, errors) = DeTable::parse_recoverable(text);
        let mut swallowed = false;
        swallowed |= errors.len() > MAX_SHOWN_FAULTS;
        let mut told: Vec<&str> = Vec::new();
        for error in errors.into_iter().take(MAX_SHOWN_FAULTS) {
            // A section that is there twice is told once, and nothing of its keys: they only follow from it.
            if error.message().starts_with("duplicate key") {
                let at = error.span().map_or(0, |span| span.start);
                let heading = heading_above(text, at).unwrap_or_default();
                let known = told.contains(&heading);
                if is_heading(text, at) {
                    told.push(heading);
                    swallowed = true;
                }
                if known {
                    continue;
                }
            }
            let (diagnostic, swallows) = notation_fault(text, source, &error);
            swallowed |= swallows;
            report.push(diagnostic);
        }
        let root = tree(table.get_ref(), source, 0);
        Form { root, source, plan, swallowed, repeats_sections: !told.is_empty(), asking: AskedKeys::default() }
    }

    /// The form as it reads with some keys of one entry of a list in the place of those above the first heading. Of a section
    /// only the keys that the entry has are exchanged.
    pub(crate) fn with_entry_over(&self, list: &str, item: usize, keys: &[&str]) -> Form {
        let mut root = self.root.clone();
        let entries = match self.root.get(list).map(|entry| &entry.node.value) {
            Some(Value::List(items)) => match items.get(item).map(|item| &item.value) {
                Some(Value::Table(table)) => table.entries.as_slice(),
                _ => &[],
            },
            _ => &[],
        };
        entries.iter().filter(|entry| keys.contains(&entry.key.as_str())).for_each(|entry| root.put(entry));
        Form {
            root,
            source: self.source,
            plan: self.plan,
            swallowed: self.swallowed,
            repeats_sections: self.repeats_sections,
            asking: AskedKeys::default(),
        }
    }

    /// What the form was asked for so far, as a JSON Schema (draft 2020-12); `says` explains a key of a section. Whole only
    /// once a form that has every section was read to its end.
    pub(crate) fn schema(&self, says: &dyn Fn(&str, &str) -> Option<String>) -> serde_json::Value {
        self.asking.schema("", says)
    }
}

fn tree(table: &DeTable<'_>, source: SourceId, depth: usize) -> TomlTable {
    let mut entries: Vec<Entry> = table
        .iter()
        // What could not be read at all has no place in the text; its fault has been told.
        .filter(|(_, value)| value.span() != (0..0))
        .map(|(key, value)| Entry {
            key: key.get_ref().to_string(),
            key_span: Span::new(source, key.span().start, key.span().end),
            node: ValueNode {
                value: settled(value.get_ref(), source, depth),
                span: Span::new(source, value.span().start, value.span().end),
            },
        })
        .collect();
    entries.sort_by_key(|e| e.key_span);
    TomlTable { entries }
}

fn settled(value: &DeValue<'_>, source: SourceId, depth: usize) -> Value {
    match value {
        DeValue::String(text) => Value::Text(text.to_string()),
        DeValue::Integer(whole) => Value::Whole(i64::from_str_radix(whole.as_str(), whole.radix()).ok()),
        DeValue::Float(number) => Value::Number(number.as_str().parse().unwrap_or(f64::NAN)),
        DeValue::Boolean(yes) => Value::YesNo(*yes),
        DeValue::Datetime(moment) => Value::Day(match (moment.date, moment.time) {
            (Some(day), None) => Some((day.year, day.month, day.day)),
            _ => None,
        }),
        // What lies deeper than any form goes is not copied: it may be nested until the stack is full.
        DeValue::Array(_) if depth > MAX_DEPTH => Value::List(Vec::new()),
        DeValue::Table(_) if depth > MAX_DEPTH => Value::Table(TomlTable { entries: Vec::new() }),
        DeValue::Array(list) => Value::List(
            list.iter()
                .map(|item| ValueNode {
                    value: settled(item.get_ref(), source, depth + 1),
                    span: Span::new(source, item.span().start, item.span().end),
                })
                .collect(),
        ),
        DeValue::Table(table) => Value::Table(tree(table, source, depth + 1)),
    }
}

/// Says in plain words what is wrong with the notation, and whether keys may have been lost through it.
fn notation_fault(text: &str, source: SourceId, error: &Error) -> (Diagnostic, bool) {
    let range = error.span().unwrap_or(0..0);
    let span = Span::new(source, range.start, range.end);
    let typed = text.get(range.clone()).unwrap_or_default().trim();
    let message = error.message();
    let (fault, swallows) = if message.starts_with("string values must be quoted") {
        (unquoted(text, range.end, typed), false)
    } else if message.starts_with("duplicate key") && is_heading(text, range.start) {
        let name = typed.trim_matches(['[', ']']);
        let fault = Diagnostic::fault("repeated-key", format!("the section `[{name}]` is there twice"))
            .label("here for the second time")
            .hint(format!(
                "where there are several of a kind, write `[[{name}]]` above each; else keep one of the two"
            ));
        (fault, false)
    } else if value_of_line(text, range.start).is_some_and(|value| value.starts_with('=')) {
        let fault = Diagnostic::fault("broken-notation", "there are two equals signs in a row")
            .hint("write one: `key = value`");
        (fault, true)
    } else if message.starts_with("duplicate key") {
        let fault = Diagnostic::fault("repeated-key", format!("`{typed}` is given twice"))
            .label("here for the second time")
            .hint("keep one of the two");
        (fault, false)
    } else if let Some(day) = day_first(text, range.start) {
        let fault = Diagnostic::fault("day-written-otherwise", "this date is not written year, month, day");
        // With points the day stands first everywhere; with strokes it depends on the country.
        let fault = match day {
            Some((year, month, day)) => fault.hint(format!("write `{year:04}-{month:02}-{day:02}`")),
            None => fault.hint("write year, month and day, for example `2025-03-01`"),
        };
        (fault, false)
    } else if message.starts_with("invalid date") || message.starts_with("invalid time") {
        let fault = Diagnostic::fault("impossible-date", format!("`{typed}` is not a day of the calendar"))
            .hint("write year, month and day, for example `2025-03-01`");
        (fault, false)
    } else if let Some(mended) = value_of_line(text, range.start).and_then(inner_quotes) {
        let fault = Diagnostic::fault("broken-notation", "there are quotation marks inside this text")
            .hint(format!("write a backslash before each of them, `{mended}`, or use curly ones"));
        (fault, true)
    } else if let Some(number) = with_comma(text, range.start) {
        (decimal_comma(number), true)
    } else if let Some(c) = text.get(range.start..).and_then(|rest| rest.chars().next()).filter(|c| steers(*c)) {
        let message = format!("here stands the character U+{:04X}, which controls how text is shown", u32::from(c));
        let fault = Diagnostic::fault("broken-notation", message)
            .hint("take it out: it came along when the text was copied or saved");
        (fault, true)
    } else {
        let fault = Diagnostic::fault("broken-notation", format!("this line cannot be read: {}", in_plain_words(message)))
            .hint("a line is `key = value`; text, measures and colours stand between quotation marks, headings between square brackets");
        (fault, true)
    };
    (fault.at(span), swallows)
}

/// What the reader of the notation says, with its own words for things a maker calls otherwise exchanged; whole words only.
fn in_plain_words(message: &str) -> String {
    let message = message.replace("basic string", "text").replace("literal string", "text");
    let plain = |word: &str| match word {
        "table" => "heading".to_owned(),
        "tables" => "headings".to_owned(),
        "array" => "list".to_owned(),
        "arrays" => "lists".to_owned(),
        _ => word.to_owned(),
    };
    let words = message.split_inclusive(|c: char| !c.is_alphabetic()).map(|word| {
        let letters = word.trim_end_matches(|c: char| !c.is_alphabetic());
        plain(letters) + &word[letters.len()..]
    });
    words.collect::<String>().chars().take(200).collect()
}

/// A text with quotation marks in it as it has to be written; `None` where a value is none.
fn inner_quotes(value: &str) -> Option<String> {
    let inner = value.trim().strip_prefix('"')?.strip_suffix('"')?;
    let is_one = inner.contains('"') && !inner.contains(['\\', '#']) && !inner.starts_with('"');
    is_one.then(|| format!("\"{}\"", inner.replace('"', "\\\"")))
}

/// The line of the heading that a place lies in or below.
fn heading_above(text: &str, at: usize) -> Option<&str> {
    let end = text.get(at..)?.find('\n').map_or(text.len(), |end| at + end);
    text.get(..end)?.lines().rev().map(str::trim).find(|line| line.starts_with('['))
}

/// Whether a place lies in the heading of a section that is there once: `[cord]`.
fn is_heading(text: &str, at: usize) -> bool {
    let start = text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |end| end + 1);
    let line = text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default().trim_start();
    line.starts_with('[') && !line.starts_with("[[")
}

/// A number with a comma where a point belongs.
pub(super) fn decimal_comma(number: &str) -> Diagnostic {
    Diagnostic::fault("decimal-comma", format!("`{number}` is written with a comma"))
        .hint(format!("write a point: `{}`", number.replacen(',', ".", 1)))
}

/// The value of the line round a place, as it is typed, without a comment.
fn value_of_line(text: &str, at: usize) -> Option<&str> {
    let start = text.get(..at)?.rfind('\n').map_or(0, |end| end + 1);
    let (_, value) = text.get(start..)?.lines().next()?.split_once('=')?;
    Some(value.split('#').next()?.trim())
}

/// Whether the value of the line round a place is a date with points or strokes, and which one if that is certain.
fn day_first(text: &str, at: usize) -> Option<Option<(u16, u8, u8)>> {
    let value = value_of_line(text, at)?;
    let mark = ['.', '/'].into_iter().find(|mark| value.matches(*mark).count() == 2)?;
    let numbers: Vec<u16> = value.split(mark).map(|part| part.trim().parse().ok()).collect::<Option<_>>()?;
    let [day, month, year] = numbers.try_into().ok()?;
    if year < 1000 {
        return None;
    }
    let is_certain = mark == '.' && (1..=31).contains(&day) && (1..=12).contains(&month);
    Some(is_certain.then_some((year, month as u8, day as u8)))
}

/// The value of the line round a place, where it is a number with a decimal comma.
fn with_comma(text: &str, at: usize) -> Option<&str> {
    let value = value_of_line(text, at)?;
    let (whole, parts) = value.split_once(',')?;
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    (digits(whole) && digits(parts)).then_some(value)
}

fn unquoted(text: &str, end: usize, typed: &str) -> Diagnostic {
    let rest = text.get(end..).unwrap_or_default().lines().next().unwrap_or_default().trim();
    if typed.is_empty() {
        let fault = Diagnostic::fault("unquoted-text", "nothing stands after the equals sign");
        return if rest.starts_with('#') {
            fault.hint("put the value between quotation marks: without them a `#` starts a comment")
        } else {
            fault.hint("write a value, or leave the whole line out")
        };
    }
    let shown: String = typed.chars().take(60).collect();
    let fault = Diagnostic::fault("unquoted-text", format!("`{shown}` stands without quotation marks"));
    match typed.to_lowercase().as_str() {
        "yes" | "true" | "on" => fault.hint("write `true`, in small letters and without quotation marks"),
        "no" | "false" | "off" => fault.hint("write `false`, in small letters and without quotation marks"),
        _ => {
            // Quotation marks as text programs set them are no quotation marks here.
            let bare =
                shown.trim_matches(['\u{201c}', '\u{201d}', '\u{201e}', '\u{ab}', '\u{bb}', '\u{2018}', '\u{2019}']);
            let straight = if bare == shown { "" } else { ", with straight quotation marks" };
            fault.hint(format!("write `\"{bare}\"`{straight}"))
        }
    }
}
