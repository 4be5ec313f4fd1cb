//! One section of a form: which keys it has, which it lacks, which it does not know, and what sections lie below it.

use super::asked::{AskedKeys, KeyType};
use super::file::{Entry, Form, KeyPlan, TomlTable, Value};
use super::spelling::nearest;
use crate::diag::{Diagnostic, Report, Span};

/// One section of a form, a table between braces, or the keys before the first heading.
#[derive(Clone, Debug)]
pub(crate) struct FormSection<'f> {
    table: &'f TomlTable,
    name: String,
    /// How it is called in messages: ` in [cord]`, ` in [[yarn]]`, nothing for the keys before the first heading.
    wherein: String,
    span: Span,
    plan: &'static KeyPlan,
    asking: &'f AskedKeys,
    known: &'static [&'static str],
    strange: Vec<UnknownKey<'f>>,
    /// Unknown keys beyond those in `strange`.
    more: usize,
    swallowed: bool,
}

/// A key the section does not know, with the known one it was meant to be.
#[derive(Clone, Debug)]
struct UnknownKey<'f> {
    entry: &'f Entry,
    meant: Option<&'static str>,
}

/// Unknown keys of one section that are shown one by one. A file of nothing else would take hours to compare with the
/// known ones, and nobody reads more.
const MAX_SHOWN_KEYS: usize = 20;

impl Form {
    /// The keys before the first heading, with all sections below them.
    pub(crate) fn top(&self) -> FormSection<'_> {
        let start = Span::new(self.source, 0, 0);
        FormSection::new((&self.root, start), String::new(), String::new(), (self.plan, &self.asking), self.swallowed)
    }
}

impl<'f> FormSection<'f> {
    fn new(
        (table, span): (&'f TomlTable, Span),
        name: String,
        wherein: String,
        (plan, asking): (&'static KeyPlan, &'f AskedKeys),
        swallowed: bool,
    ) -> Self {
        let known = known(plan, &name);
        let is_strange = |entry: &&Entry| !known.contains(&entry.key.as_str());
        let absent: Vec<&'static str> = known.iter().copied().filter(|key| table.get(key).is_none()).collect();
        let strange: Vec<UnknownKey<'f>> = table
            .entries
            .iter()
            .filter(is_strange)
            .take(MAX_SHOWN_KEYS)
            .map(|entry| UnknownKey {
                entry,
                // Rather one that is not given yet.
                meant: nearest(&entry.key, absent.iter().copied())
                    .or_else(|| nearest(&entry.key, known.iter().copied())),
            })
            .collect();
        let more = table.entries.iter().filter(is_strange).count() - strange.len();
        FormSection { table, name, wherein, span, plan, asking, known, strange, more, swallowed }
    }

    fn below(&self, key: &str, table: &'f TomlTable, span: Span, one_of_several: bool) -> FormSection<'f> {
        let name = if self.name.is_empty() { key.to_owned() } else { format!("{}.{key}", self.name) };
        let has_heading = self.name.is_empty() || self.plan.iter().any(|(section, _)| *section == group_of(&name));
        let wherein = match (has_heading, one_of_several) {
            (true, true) => format!(" in [[{name}]]"),
            (true, false) => format!(" in [{name}]"),
            (false, _) => format!(" in `{key}`"),
        };
        FormSection::new((table, span), name, wherein, (self.plan, self.asking), self.swallowed)
    }

    /// Where the section's heading stands.
    pub(crate) fn span(&self) -> Span {
        self.span
    }

    /// Whether the key is there, well written or not.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.entry(key).is_some()
    }

    /// Where the key's value stands, if the key is there.
    pub(crate) fn place(&self, key: &str) -> Option<Span> {
        self.entry(key).map(|e| e.node.span)
    }

    /// The entry of a key, and what it is asked for.
    pub(super) fn asked(&self, key: &str, asked: KeyType) -> Option<&'f Entry> {
        self.asking.note(&self.name, key, asked);
        self.entry(key)
    }

    pub(super) fn entry(&self, key: &str) -> Option<&'f Entry> {
        assert!(self.known.contains(&key), "`{key}` is missing from the plan of [{}]", self.name);
        self.table.get(key)
    }

    /// Whether the key is really left out: neither there, nor misspelt, nor lost through a fault of the notation.
    pub(crate) fn misses(&self, key: &str) -> bool {
        let misspelt = || self.strange.iter().any(|strange| strange.meant == Some(key));
        !self.swallowed && !self.has(key) && !misspelt()
    }

    /// Notes that a key must be there, for the schema; its reader says what is wrong where it is not.
    pub(crate) fn needs(&self, key: &str) {
        self.asking.need(&self.name, key);
    }

    /// Puts a fault into the report if the key is left out.
    pub(crate) fn require(&self, key: &str, example: &str, report: &mut Report) {
        self.needs(key);
        if !self.misses(key) {
            return;
        }
        report.push(
            Diagnostic::fault("missing-key", format!("`{key}` is missing{}", self.wherein))
                .at(self.span)
                .hint(format!("write `{key} = {example}`")),
        );
    }

    /// The section under `key`, if it is there.
    pub(crate) fn section(&self, key: &str, report: &mut Report) -> Option<FormSection<'f>> {
        let entry = self.asked(key, KeyType::Section)?;
        match &entry.node.value {
            Value::Table(table) => Some(self.below(key, table, entry.key_span, false)),
            other => {
                let hint = if self.name.is_empty() {
                    format!("write `[{key}]` on a line of its own, and its keys on the lines below")
                } else {
                    format!("write its keys between braces: `{key} = {{ ... }}`")
                };
                wrong_kind(key, other, "a section", &hint, entry.node.span, report);
                None
            }
        }
    }

    /// All sections under `key`, in their order: `[[yarn]]`. A single one with a plain heading is a fault.
    pub(crate) fn sections(&self, key: &str, report: &mut Report) -> Vec<FormSection<'f>> {
        let Some(entry) = self.asked(key, KeyType::Sections) else { return Vec::new() };
        let hint = if self.name.is_empty() {
            format!("write `[[{key}]]`, with doubled brackets, above each one")
        } else {
            format!("write a list: `{key} = [{{ ... }}, {{ ... }}]`")
        };
        let mut found = Vec::new();
        match &entry.node.value {
            Value::List(items) => {
                for item in items {
                    match &item.value {
                        Value::Table(table) => found.push(self.below(key, table, item.span, true)),
                        other => wrong_kind(key, other, "a list of sections", &hint, item.span, report),
                    }
                }
            }
            // The keys are read all the same, so that their faults come to light in this run.
            Value::Table(table) => {
                // With several of them the second heading has been told already.
                if !self.swallowed {
                    wrong_kind(key, &entry.node.value, "a list of sections", &hint, entry.key_span, report);
                }
                found.push(self.below(key, table, entry.key_span, true));
            }
            other => wrong_kind(key, other, "a list of sections", &hint, entry.node.span, report),
        }
        found
    }

    /// Puts a fault into the report for every key the section does not know.
    pub(crate) fn close(&self, report: &mut Report) {
        for UnknownKey { entry, meant } in &self.strange {
            let shown = shortened(&entry.key);
            let fault = Diagnostic::fault("unknown-key", format!("there is no key `{shown}`{}", self.wherein))
                .at(entry.key_span);
            let home = self.plan.iter().find(|(_, keys)| keys.contains(&entry.key.as_str()));
            report.push(match (meant, home) {
                (Some(near), _) => fault.hint(format!("did you mean `{near}`?")),
                // Its own heading is what could not be read.
                (None, Some(_)) if self.swallowed => continue,
                (None, Some(("", _))) => {
                    fault.hint(format!("move `{shown}` up, above the first heading in square brackets"))
                }
                (None, Some((home, _))) => fault.hint(format!("`{shown}` belongs under [{home}]")),
                (None, None) => fault.hint(format!("keys known here are {}", listed(self.known, "and"))),
            });
        }
        if self.more > 0 {
            report.push(
                Diagnostic::fault("unknown-key", format!("{} more keys are unknown{}", self.more, self.wherein))
                    .at(self.strange.last().map_or(self.span, |strange| strange.entry.key_span))
                    .hint("is it the right file?"),
            );
        }
    }
}

/// The keys of a section: of its own name, or of the group that it is one of.
fn known(plan: &'static KeyPlan, name: &str) -> &'static [&'static str] {
    let own = plan.iter().find(|(section, _)| *section == name);
    let found = own.or_else(|| plan.iter().find(|(section, _)| *section == group_of(name)));
    assert!(found.is_some(), "[{name}] is missing from the plan");
    found.map_or(&[], |(_, keys)| keys)
}

/// What the plan calls sections of one kind that lie below one section: "styles.*" for "styles.title".
fn group_of(name: &str) -> String {
    name.rsplit_once('.').map_or_else(|| "*".to_owned(), |(above, _)| format!("{above}.*"))
}

pub(super) fn wrong_kind(key: &str, found: &Value, wanted: &str, hint: &str, span: Span, report: &mut Report) {
    let found = match found {
        Value::Text(_) => "text",
        Value::Whole(_) => "a whole number",
        Value::Number(_) => "a number with decimals",
        Value::YesNo(_) => "true or false",
        Value::Day(_) => "a date or a time",
        Value::List(_) => "a list",
        Value::Table(_) => "a section",
    };
    report.push(
        Diagnostic::fault("wrong-kind", format!("`{key}` wants {wanted}, not {found}"))
            .at(span)
            .label(format!("this is {found}"))
            .hint(hint),
    );
}

/// At most sixty characters of what was typed, on one line.
pub(super) fn shortened(text: &str) -> String {
    let line: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(61).collect();
    if line.chars().count() > 60 { line.chars().take(57).chain("...".chars()).collect() } else { line }
}

/// `a`, `b` and `c`.
pub(super) fn listed(words: &[&str], and: &str) -> String {
    match words {
        [] => "none".to_owned(),
        [one] => format!("`{one}`"),
        [before @ .., last] => {
            let before: Vec<String> = before.iter().map(|w| format!("`{w}`")).collect();
            format!("{} {and} `{last}`", before.join(", "))
        }
    }
}
