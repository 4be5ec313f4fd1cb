//! Lists of sections, `[[yarn]]` first of all: one more, one less, another order. A comment directly above a heading goes with
//! it; what stands above a blank line before that is about the whole list and stays where it is.

use super::json::{elsewhere, no_such_place, value_of};
use crate::diag::Diagnostic;
use serde_json::Value as Json;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, Value};

/// A prefix in two: what stays in place, and what goes with the heading.
fn halves(prefix: &str) -> (&str, &str) {
    match prefix.rfind("\n\n") {
        Some(at) => prefix.split_at(at + 2),
        None if prefix.starts_with('\n') => prefix.split_at(1),
        None => ("", prefix),
    }
}

fn prefix(table: &Table) -> String {
    table.decor().prefix().and_then(|raw| raw.as_str()).unwrap_or_default().to_owned()
}

/// The tables of a list, taken out of the document; `None` where the list is written in one line and stays so.
fn list<'d>(document: &'d mut DocumentMut, section: &str) -> Option<&'d mut Item> {
    document.as_table_mut().get_mut(section)
}

pub(super) fn add(document: &mut DocumentMut, section: &str, values: &[(String, Json)]) -> Result<(), Diagnostic> {
    let unusable = || Diagnostic::fault("unusable-value", format!("`{section}` cannot stand so in a project file"));
    let mut table = Table::new();
    for (key, value) in values.iter().filter(|(_, value)| !value.is_null()) {
        table.insert(key, Item::Value(value_of(value).ok_or_else(unusable)?));
    }
    table.decor_mut().set_prefix("\n");
    match list(document, section) {
        None => {
            let mut new = ArrayOfTables::new();
            new.push(table);
            document.insert(section, Item::ArrayOfTables(new));
        }
        Some(Item::ArrayOfTables(list)) => list.push(table),
        Some(Item::Value(Value::Array(list))) => list.push(table.into_inline_table()),
        Some(_) => return Err(unusable()),
    }
    Ok(())
}

pub(super) fn remove(document: &mut DocumentMut, section: &str, item: usize) -> Result<(), Diagnostic> {
    let empty = match list(document, section) {
        Some(Item::ArrayOfTables(list)) if item < list.len() => {
            let stays = list.get(item).map(prefix).unwrap_or_default();
            let (stays, _) = halves(&stays);
            let stays = stays.to_owned();
            list.remove(item);
            if !stays.trim().is_empty()
                && let Some(next) = list.get_mut(item)
            {
                let own = prefix(next);
                let (_, own) = halves(&own);
                let joined = format!("{stays}{own}");
                next.decor_mut().set_prefix(joined);
            }
            list.is_empty()
        }
        Some(Item::Value(Value::Array(list))) if item < list.len() => {
            list.remove(item);
            list.is_empty()
        }
        _ => return Err(no_such_place(section)),
    };
    if empty {
        document.remove(section);
    }
    Ok(())
}

pub(super) fn order(document: &mut DocumentMut, section: &str, order: &[usize]) -> Result<(), Diagnostic> {
    let mut sorted = order.to_vec();
    sorted.sort_unstable();
    let whole = |len: usize| sorted.iter().copied().eq(0..len);
    match list(document, section) {
        Some(Item::ArrayOfTables(list)) if whole(list.len()) => {
            let tables: Vec<Table> = list.iter().cloned().collect();
            let stays: Vec<String> = tables.iter().map(|table| halves(&prefix(table)).0.to_owned()).collect();
            let places: Vec<Option<isize>> = tables.iter().map(Table::position).collect();
            let mut new = ArrayOfTables::new();
            for (slot, from) in order.iter().enumerate() {
                let mut table = tables[*from].clone();
                let own = prefix(&table);
                let joined = format!("{}{}", stays[slot], halves(&own).1);
                table.decor_mut().set_prefix(joined);
                table.set_position(places[slot]);
                new.push(table);
            }
            *list = new;
            Ok(())
        }
        Some(Item::Value(Value::Array(list))) if whole(list.len()) => {
            let entries: Vec<Value> = list.iter().cloned().collect();
            for (slot, from) in order.iter().enumerate() {
                let mut entry = entries[*from].clone();
                *entry.decor_mut() = entries[slot].decor().clone();
                list.replace_formatted(slot, entry);
            }
            Ok(())
        }
        Some(_) => Err(elsewhere(section, &Json::Null).hint("there are more of them now, or fewer")),
        None => Err(no_such_place(section)),
    }
}
