//! The words of one language: whole sentences with names in braces, plurals, numbers and measures.
//!
//! Comes from `layouts/words/*.toml` and `layouts/units/*.toml`. No phrase that appears on paper stands in `src/`.
//! A phrase that is missing or left with an unfilled name never stops the press: its key is printed between « and »,
//! and tests see to it that none ever is.

mod colours;
pub(crate) mod measures;
pub(crate) mod number;
pub(crate) mod plural;
mod shipped;
mod system;

use crate::markup::{Inline, Text, marked_up, unmarked};
use crate::units::Date;
use number::NumberStyle;
use plural::{Category, PluralRule};
use std::collections::BTreeMap;
use std::fmt::Display;
use system::System;

/// Names and what is put in their place.
pub(crate) type Names<'a> = &'a [(&'a str, &'a dyn Display)];

/// One phrase of a words file.
#[derive(Clone, Debug, PartialEq)]
enum Phrase {
    /// The same whatever the number.
    Single(String),
    /// One form for each plural category the language has.
    Counted(BTreeMap<Category, String>),
}

/// The words of a language with both systems of measures.
#[derive(Clone, Debug)]
pub struct Words {
    phrases: BTreeMap<String, Phrase>,
    plural: PluralRule,
    numbers: NumberStyle,
    metric: System,
    imperial: System,
}

impl Words {
    /// Reads a words file and the two files of units. The error says what is amiss in plain words.
    pub(crate) fn parse(words: &str, metric: &str, imperial: &str) -> Result<Words, String> {
        let table: toml::Table = words.parse().map_err(|e: toml::de::Error| e.to_string())?;
        let mut phrases = BTreeMap::new();
        gather("", &table, &mut phrases)?;
        let must = |key: &str| match phrases.get(key) {
            Some(Phrase::Single(text)) => Ok(text.clone()),
            Some(Phrase::Counted(_)) | None => Err(format!("`{key}` is missing or is not a plain phrase")),
        };
        let plural = must("language.plurals")?;
        let plural = PluralRule::named(&plural).ok_or_else(|| format!("there is no plural rule `{plural}`"))?;
        let from = must("numbers.group-from")?;
        let numbers = NumberStyle {
            decimal: must("numbers.decimal")?,
            group: must("numbers.group")?,
            group_from: from
                .parse()
                .map_err(|_| format!("`numbers.group-from` is not a count of figures: `{from}`"))?,
        };
        for key in ["lists.two", "lists.middle", "lists.last", "measures.both", "measures.across-down"] {
            must(key)?;
        }
        Ok(Words { plural, numbers, metric: System::parse(metric)?, imperial: System::parse(imperial)?, phrases })
    }

    /// Adds the phrases of another file, their keys below a heading. The error says what is amiss in plain words.
    pub(crate) fn add(&mut self, heading: &str, file: &str) -> Result<(), String> {
        let table: toml::Table = file.parse().map_err(|e: toml::de::Error| e.to_string())?;
        gather(heading, &table, &mut self.phrases)
    }

    /// Whether a phrase has a form for each number.
    #[cfg(test)]
    pub(crate) fn is_counted(&self, key: &str) -> bool {
        matches!(self.phrases.get(key), Some(Phrase::Counted(_)))
    }

    /// The language tag: "en-GB".
    pub(crate) fn language(&self) -> &str {
        match self.phrases.get("language.tag") {
            Some(Phrase::Single(tag)) => tag,
            Some(Phrase::Counted(_)) | None => "und",
        }
    }

    /// Whether a key has words.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.phrases.contains_key(key)
    }

    /// All keys, in order.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.phrases.keys().map(String::as_str)
    }

    /// Every form of a phrase as it stands in the file: one, or one for each plural category.
    pub fn forms(&self, key: &str) -> Vec<&str> {
        match self.phrases.get(key) {
            Some(Phrase::Single(text)) => vec![text],
            Some(Phrase::Counted(forms)) => forms.values().map(String::as_str).collect(),
            None => Vec::new(),
        }
    }

    /// The line at the foot of a copy that says whose it is.
    pub(crate) fn licence_line(&self, buyer: &str, order: Option<&str>) -> String {
        match order {
            Some(order) => self.say("licence-line.order", &[("buyer", &buyer), ("order", &order)]),
            None => self.say("licence-line.buyer", &[("buyer", &buyer)]),
        }
    }

    /// A phrase without mark-up, its names filled in.
    pub fn say(&self, key: &str, names: Names) -> String {
        unmarked(&self.text(key, names))
    }

    /// A phrase with its mark-up, its names filled in.
    pub(crate) fn text(&self, key: &str, names: Names) -> Text {
        match self.phrases.get(key) {
            Some(Phrase::Single(form)) => filled(key, form, names),
            Some(Phrase::Counted(_)) | None => unsaid(key),
        }
    }

    /// The form of a phrase that goes with `n`; `{n}` is filled in with the number.
    pub(crate) fn count(&self, key: &str, n: usize, names: Names) -> String {
        unmarked(&self.count_text(key, n, names))
    }

    /// The same with its mark-up.
    pub(crate) fn count_text(&self, key: &str, n: usize, names: Names) -> Text {
        self.counted(key, self.plural.category(n), &self.whole(n), names)
    }

    /// The form that goes with a number that need not be whole: "1 hour", "1.5 hours".
    pub(crate) fn count_decimal(&self, key: &str, n: f64, places: usize) -> String {
        unmarked(&self.counted(key, self.plural.category_of_decimal(n), &self.decimal(n, places), &[]))
    }

    fn counted(&self, key: &str, category: Category, number: &dyn Display, names: Names) -> Text {
        let Some(Phrase::Counted(forms)) = self.phrases.get(key) else { return unsaid(key) };
        let Some(form) = forms.get(&category).or_else(|| forms.get(&Category::Other)) else { return unsaid(key) };
        let mut all: Vec<(&str, &dyn Display)> = vec![("n", number)];
        all.extend_from_slice(names);
        filled(key, form, &all)
    }

    /// A phrase whose names are left for make-up to fill in: "continues on page {page}".
    pub(crate) fn template(&self, key: &str) -> String {
        match self.phrases.get(key) {
            Some(Phrase::Single(form)) => form.clone(),
            Some(Phrase::Counted(_)) | None => unmarked(&unsaid(key)),
        }
    }

    /// A whole number, grouped as the language does.
    pub(crate) fn whole(&self, n: usize) -> String {
        self.numbers.whole(n)
    }

    /// A number with at most `places` decimals; zeros at the end are left away.
    pub(crate) fn decimal(&self, value: f64, places: usize) -> String {
        self.numbers.decimal(value, places)
    }

    /// An amount of money with two decimals, always both.
    pub(crate) fn money(&self, value: f64) -> String {
        self.numbers.fixed(value, 2)
    }

    /// "cream", "cream and navy", "cream, navy and rust".
    pub(crate) fn list(&self, entries: &[String]) -> String {
        match entries {
            [] => String::new(),
            [one] => one.clone(),
            [a, b] if self.changes_and(b) => self.say("lists.two-before", &[("a", a), ("b", b)]),
            [a, b] => self.say("lists.two", &[("a", a), ("b", b)]),
            [first, middle @ .., last] => {
                let begun = middle
                    .iter()
                    .fold(first.clone(), |before, next| self.say("lists.middle", &[("a", &before), ("b", next)]));
                let key = if self.changes_and(last) { "lists.last-before" } else { "lists.last" };
                self.say(key, &[("a", &begun), ("b", last)])
            }
        }
    }

    /// Whether "and" takes its other form before this word, by the beginnings that the language's file lists: Spanish says
    /// "e" for "y" before the sound i.
    fn changes_and(&self, word: &str) -> bool {
        let word = word.to_lowercase();
        let begins = |key: &str| self.say(key, &[]).split_whitespace().any(|beginning| word.starts_with(beginning));
        begins("lists.before") && !begins("lists.not-before")
    }

    /// A day in full: "25 November 2026".
    pub(crate) fn date(&self, date: Date) -> String {
        const MONTHS: [&str; 12] = [
            "month.january",
            "month.february",
            "month.march",
            "month.april",
            "month.may",
            "month.june",
            "month.july",
            "month.august",
            "month.september",
            "month.october",
            "month.november",
            "month.december",
        ];
        let month = MONTHS.get(usize::from(date.month).wrapping_sub(1)).map_or(String::new(), |key| self.say(key, &[]));
        let key = if date.day == 1 { "date.first" } else { "date.long" };
        self.say(key, &[("day", &date.day), ("month", &month), ("year", &date.year)])
    }
}

/// Reads tables into dotted keys; a table whose keys are plural categories is one phrase.
fn gather(prefix: &str, table: &toml::Table, phrases: &mut BTreeMap<String, Phrase>) -> Result<(), String> {
    for (name, value) in table {
        let key = if prefix.is_empty() { name.clone() } else { format!("{prefix}.{name}") };
        match value {
            toml::Value::String(text) => {
                phrases.insert(key, Phrase::Single(text.clone()));
            }
            toml::Value::Table(inner) => {
                let categories: Option<Vec<Category>> = inner.keys().map(|name| Category::named(name)).collect();
                match categories {
                    Some(categories) if !categories.is_empty() => {
                        let mut forms = BTreeMap::new();
                        for (category, form) in categories.into_iter().zip(inner.values()) {
                            let Some(form) = form.as_str() else {
                                return Err(format!("a form of `{key}` is not a text"));
                            };
                            forms.insert(category, form.to_string());
                        }
                        if !forms.contains_key(&Category::Other) {
                            return Err(format!("`{key}` has no form `other`"));
                        }
                        phrases.insert(key, Phrase::Counted(forms));
                    }
                    Some(_) | None => gather(&key, inner, phrases)?,
                }
            }
            toml::Value::Integer(_)
            | toml::Value::Float(_)
            | toml::Value::Boolean(_)
            | toml::Value::Datetime(_)
            | toml::Value::Array(_) => return Err(format!("`{key}` is not a text")),
        }
    }
    Ok(())
}

/// The key in the place of words.
fn unsaid(key: &str) -> Text {
    vec![Inline::Plain(format!("«{key}»"))]
}

/// A form with its names filled in. What is filled in is never read as mark-up: a yarn may be called "A*".
fn filled(key: &str, form: &str, names: Names) -> Text {
    let mut out = String::with_capacity(form.len() + 32);
    let mut rest = form;
    while let Some(at) = rest.find('{') {
        let (before, from) = rest.split_at(at);
        let Some(end) = from.find('}') else { return unsaid(key) };
        let Some((_, value)) = names.iter().find(|(name, _)| *name == &from[1..end]) else { return unsaid(key) };
        out.push_str(before);
        for c in value.to_string().chars() {
            if matches!(c, '*' | '\\') {
                out.push('\\');
            }
            out.push(c);
        }
        rest = &from[end + 1..];
    }
    out.push_str(rest);
    marked_up(&out)
}

#[cfg(test)]
mod tests;
