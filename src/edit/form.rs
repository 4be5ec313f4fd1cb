//! `project.toml`: one key, one yarn or one section changes, every other byte stays. The only door to `toml_edit`.
//!
//! Values come and go as JSON: text, numbers, yes or no, lists, and a day as `{"day": "2026-09-14"}`.

mod json;
mod lists;

use crate::colour::Colour;
use crate::diag::Diagnostic;
use json::{elsewhere, item_json, no_such_place, table_json, value_of};
use serde::{Deserialize, Serialize};
use serde_json::Value as Json;
use toml_edit::{DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// A key of the form.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, Serialize)]
pub(crate) struct Place {
    /// Name of its section: `""` above the first heading, `cord`, `swatch.twenty-knots`.
    #[serde(default)]
    pub(crate) section: String,
    /// Which of several: of the yarns, of the maker's own words. `None` where there is only one.
    #[serde(default)]
    pub(crate) item: Option<usize>,
    /// Its name.
    pub(crate) key: String,
}

/// A change of the form.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "kebab-case", tag = "do")]
pub(crate) enum Change {
    /// A key gets a value, or loses it (`null`).
    Set {
        /// Which.
        #[serde(flatten)]
        place: Place,
        /// What she saw there; `null` where there was none.
        #[serde(default)]
        from: Json,
        /// What it is to be.
        to: Json,
    },
    /// One more of a list of sections, behind the others.
    Add {
        /// The list: `yarn`.
        section: String,
        /// Keys with values, in the order in which they are written.
        values: Vec<(String, Json)>,
    },
    /// One of a list of sections is taken out.
    Remove {
        /// The list.
        section: String,
        /// Which.
        item: usize,
    },
    /// A list of sections in another order.
    Order {
        /// The list.
        section: String,
        /// For each new place, where it stands now; every one once.
        order: Vec<usize>,
    },
}

/// A yarn as the form names it, as far as it can be read.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct YarnLine {
    /// Its letter.
    pub(crate) letter: char,
    /// Its name.
    pub(crate) name: String,
    /// Its colour.
    pub(crate) colour: Colour,
}

/// The file after a change.
///
/// # Errors
/// A fault where the file cannot be read as TOML, where there is no such place, or where something else stands there than
/// she saw: then nothing is changed.
pub(crate) fn apply(text: &str, change: &Change) -> Result<String, Diagnostic> {
    let mut form = Text::read(text)?;
    match change {
        Change::Set { place, from, to } => set(&mut form.document, place, from, to)?,
        Change::Add { section, values } => lists::add(&mut form.document, section, values)?,
        Change::Remove { section, item } => lists::remove(&mut form.document, section, *item)?,
        Change::Order { section, order } => lists::order(&mut form.document, section, order)?,
    }
    Ok(form.written())
}

/// The whole form as JSON. Faults as in [`apply`].
///
/// # Errors
/// As [`apply`].
pub(crate) fn values(text: &str) -> Result<Json, Diagnostic> {
    let form = Text::read(text)?;
    Ok(table_json(form.document.as_table()))
}

/// Text of a key above the first heading.
pub(crate) fn top(text: &str, key: &str) -> Option<String> {
    values(text).ok()?.get(key)?.as_str().map(str::to_owned)
}

/// The yarns of the form, in its order. `None` where one has no letter or colour that can be read: then the form is mended
/// first.
pub(crate) fn yarns(text: &str) -> Option<Vec<YarnLine>> {
    let values = values(text).ok()?;
    let yarns = values.get("yarn")?.as_array()?;
    yarns
        .iter()
        .map(|yarn| {
            let text = |key: &str| yarn.get(key).and_then(Json::as_str);
            let mut letters = text("key")?.chars();
            let letter = letters.next().filter(|_| letters.as_str().is_empty())?;
            Some(YarnLine {
                letter,
                name: text("name").unwrap_or_default().to_owned(),
                colour: Colour::from_hex(text("colour")?)?,
            })
        })
        .collect()
}

/// The field that a line of the form is about, counted from 1: its section, which of several, and its key; for a heading the
/// key is empty. `None` where the file cannot be read or the line holds none.
pub(crate) fn field_at(text: &str, line: usize) -> Option<Place> {
    let mut place = Place { section: String::new(), item: None, key: String::new() };
    let mut counts: std::collections::BTreeMap<String, usize> = std::collections::BTreeMap::new();
    for shown in text.lines().take(line) {
        let shown = shown.trim();
        if let Some(name) = shown.strip_prefix("[[").and_then(|rest| rest.split_once("]]")).map(|(name, _)| name.trim())
        {
            let count = counts.entry(name.to_owned()).or_default();
            place = Place { section: name.to_owned(), item: Some(*count), key: String::new() };
            *count += 1;
        } else if let Some((name, _)) = shown.strip_prefix('[').and_then(|rest| rest.split_once(']')) {
            let name = name.trim();
            let first = name.split('.').next().unwrap_or_default();
            let item = counts.get(first).and_then(|count| count.checked_sub(1));
            place = Place { section: name.to_owned(), item, key: String::new() };
        } else if let Some((key, _)) = shown.split_once('=') {
            let key = key.trim();
            if !key.is_empty() && key.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_') {
                place.key = key.to_owned();
            }
        }
    }
    (!place.key.is_empty() || !place.section.is_empty()).then_some(place)
}

/// A file as it was read, with what the notation would not keep.
struct Text {
    document: DocumentMut,
    mark: bool,
    windows: bool,
}

impl Text {
    fn read(text: &str) -> Result<Text, Diagnostic> {
        let (mark, body) = match text.strip_prefix('\u{feff}') {
            Some(body) => (true, body),
            None => (false, text),
        };
        let windows = body.matches("\r\n").count() * 2 > body.matches('\n').count();
        let document = body.replace("\r\n", "\n").parse::<DocumentMut>().map_err(|error| {
            let why: String = error.message().chars().take(200).collect();
            Diagnostic::fault("broken-notation", format!("the project file cannot be read: {why}"))
                .hint("mend it in a text editor; `hitchpress check` says in which line")
        })?;
        Ok(Text { document, mark, windows })
    }

    fn written(&self) -> String {
        let text = self.document.to_string();
        let text = if self.windows { text.replace('\n', "\r\n") } else { text };
        if self.mark { format!("\u{feff}{text}") } else { text }
    }
}

fn set(document: &mut DocumentMut, place: &Place, from: &Json, to: &Json) -> Result<(), Diagnostic> {
    let make = !to.is_null();
    let Some(table) = section(document.as_table_mut(), &place.section, place.item, make) else {
        return if make { Err(no_such_place(&place.section)) } else { Ok(()) };
    };
    let now = table.get(&place.key).map(item_json).unwrap_or_default();
    if now == *to {
        return Ok(());
    }
    if now != *from {
        return Err(elsewhere(&place.key, &now));
    }
    if to.is_null() {
        table.remove(&place.key);
        return Ok(());
    }
    let mut value = value_of(to).ok_or_else(|| {
        Diagnostic::fault("unusable-value", format!("`{}` cannot stand in a project file", place.key))
    })?;
    match table.get_mut(&place.key) {
        Some(item) => {
            // The comment behind the old value stays behind the new one.
            if let Some(old) = item.as_value() {
                *value.decor_mut() = old.decor().clone();
            }
            *item = Item::Value(value);
        }
        None => {
            table.insert(&place.key, Item::Value(value));
        }
    }
    Ok(())
}

/// The table of a section; with `make`, one is written where there is none yet.
fn section<'d>(root: &'d mut Table, name: &str, item: Option<usize>, make: bool) -> Option<&'d mut dyn TableLike> {
    let mut table: &mut dyn TableLike = root;
    for (depth, part) in name.split('.').filter(|part| !part.is_empty()).enumerate() {
        if !table.contains_key(part) {
            if !make || item.is_some() && depth == 0 {
                return None;
            }
            // Below a heading, and in a list's entry, what is new stands between braces.
            let new = match depth {
                0 => Item::Table(spaced_table()),
                _ => Item::Value(Value::InlineTable(InlineTable::new())),
            };
            table.insert(part, new);
        }
        table = match table.get_mut(part)? {
            Item::ArrayOfTables(list) => list.get_mut(item?)?,
            Item::Value(Value::Array(list)) => match list.get_mut(item?)? {
                Value::InlineTable(inline) => inline,
                _ => return None,
            },
            other => other.as_table_like_mut()?,
        };
    }
    Some(table)
}

fn spaced_table() -> Table {
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n");
    table
}

#[cfg(test)]
mod tests;
