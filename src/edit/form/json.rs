//! Values of the project file as JSON and back, and what is said where a place is another than it was.

use crate::diag::Diagnostic;
use serde_json::Value as Json;
use toml_edit::{Array, InlineTable, Item, TableLike, Value};

pub(super) fn no_such_place(section: &str) -> Diagnostic {
    Diagnostic::fault("no-such-place", format!("the project file has no `{section}` of that number"))
        .hint("it was changed elsewhere meanwhile; look again")
}

pub(super) fn elsewhere(key: &str, now: &Json) -> Diagnostic {
    let shown = match now {
        Json::Null => "nothing".to_owned(),
        Json::String(text) => format!("`{text}`"),
        other => format!("`{other}`"),
    };
    Diagnostic::fault("changed-elsewhere", format!("`{key}` was changed elsewhere meanwhile and is now {shown}"))
        .hint("look at it, and change it again if you still want to")
}

pub(super) fn value_of(json: &Json) -> Option<Value> {
    Some(match json {
        Json::Null => return None,
        Json::Bool(yes) => Value::from(*yes),
        Json::Number(number) => match number.as_i64() {
            Some(whole) => Value::from(whole),
            None => Value::from(number.as_f64().filter(|n| n.is_finite())?),
        },
        Json::String(text) => Value::from(text.as_str()),
        Json::Array(list) => {
            let mut array = Array::new();
            for value in list {
                array.push(value_of(value)?);
            }
            Value::from(array)
        }
        Json::Object(fields) => match fields.get("day").and_then(Json::as_str).filter(|_| fields.len() == 1) {
            Some(day) => Value::from(day.parse::<toml_edit::Datetime>().ok()?),
            None => {
                let mut inline = InlineTable::new();
                for (key, value) in fields {
                    inline.insert(key, value_of(value)?);
                }
                Value::from(inline)
            }
        },
    })
}

pub(super) fn table_json(table: &dyn TableLike) -> Json {
    Json::Object(table.iter().map(|(key, item)| (key.to_owned(), item_json(item))).collect())
}

pub(super) fn item_json(item: &Item) -> Json {
    match item {
        Item::None => Json::Null,
        Item::Value(value) => value_json(value),
        Item::Table(table) => table_json(table),
        Item::ArrayOfTables(list) => Json::Array(list.iter().map(|table| table_json(table)).collect()),
    }
}

fn value_json(value: &Value) -> Json {
    match value {
        Value::String(text) => Json::from(text.value().as_str()),
        Value::Integer(whole) => Json::from(*whole.value()),
        Value::Float(number) => Json::from(*number.value()),
        Value::Boolean(yes) => Json::from(*yes.value()),
        Value::Datetime(day) => serde_json::json!({ "day": day.value().to_string() }),
        Value::Array(list) => Json::Array(list.iter().map(value_json).collect()),
        Value::InlineTable(table) => table_json(table),
    }
}
