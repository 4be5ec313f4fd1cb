//! Layouts and looks as JSON Schemas, made from the types they are read into, for editors that complete and check.

use super::check::{EDITIONS, FACES, LOOKS, STYLES};
use super::file::{EditionFile, LookFile};
use crate::manuscript::write::SECTIONS;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use std::borrow::Cow;

/// A kind of text in a layout: its name, and its schema.
macro_rules! kind {
    ($name:ident, $schema:tt) => {
        pub struct $name;

        impl JsonSchema for $name {
            fn inline_schema() -> bool {
                true
            }
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }
            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!($schema)
            }
        }
    };
}

kind!(Measure, { "type": "string", "pattern": "^ *[0-9.]+ *(pt|mm|cm|in) *$" });
kind!(Paint, { "type": "string", "pattern": "^#[0-9a-fA-F]{6}$" });
kind!(Accent, { "type": "string", "pattern": "^(chart|#[0-9a-fA-F]{6})$" });
kind!(Cells, { "type": "string", "enum": ["square", "true"] });
kind!(Orientation, { "type": "string", "enum": ["upright", "either"] });
kind!(Pages, { "type": "string", "enum": ["single", "facing"] });
kind!(Alignment, { "type": "string", "enum": ["left", "justified", "centre", "right"] });
kind!(InkRole, { "type": "string", "enum": ["text", "quiet", "accent"] });
kind!(Face, { "type": "string", "enum": FACES });
kind!(SectionName, { "type": "string", "enum": SECTIONS });

fn schema<T: JsonSchema>(title: &str) -> String {
    let mut schema = schemars::schema_for!(T);
    schema.insert("title".to_owned(), title.into());
    serde_json::to_string_pretty(&schema).expect("a schema is JSON") + "\n"
}

fn held(name: &str, schema: &str) {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("layouts/schemas").join(name);
    if std::env::var_os("RENEW_GOLDEN").is_some() {
        std::fs::write(&path, schema).expect("written");
        panic!("renewed: read it");
    }
    assert_eq!(std::fs::read_to_string(&path).expect(name), schema, "{name}");
}

#[test]
fn the_schema_of_layouts_in_the_repository_is_this_one() {
    held("layout.schema.json", &schema::<EditionFile>("A layout for hitchpress"));
}

#[test]
fn the_schema_of_looks_in_the_repository_is_this_one() {
    held("look.schema.json", &schema::<LookFile>("A look for hitchpress"));
}

/// Whether a value is of the kind that its schema says: types, choices and patterns.
fn fits(value: &toml::Value, schema: &serde_json::Value, root: &serde_json::Value) -> Result<(), String> {
    if let Some(of) = schema["$ref"].as_str() {
        let of = of.trim_start_matches("#/$defs/");
        return fits(value, &root["$defs"][of], root);
    }
    if let Some(choices) = schema["enum"].as_array() {
        let word = value.as_str().unwrap_or_default();
        return choices.iter().any(|c| c == word).then_some(()).ok_or(format!("{value} in {schema}"));
    }
    let types: Vec<&str> = match &schema["type"] {
        serde_json::Value::Array(types) => types.iter().filter_map(|t| t.as_str()).collect(),
        plain => plain.as_str().into_iter().collect(),
    };
    let kind = match value {
        toml::Value::String(_) => "string",
        toml::Value::Integer(_) => "integer",
        toml::Value::Boolean(_) => "boolean",
        toml::Value::Array(_) => "array",
        toml::Value::Table(_) => "object",
        _ => "number",
    };
    if !types.contains(&kind) && schema.get("anyOf").is_none() {
        return Err(format!("{value} is no {types:?}"));
    }
    if let toml::Value::Array(list) = value {
        return list.iter().try_for_each(|value| fits(value, &schema["items"], root));
    }
    let toml::Value::Table(table) = value else { return Ok(()) };
    for (key, value) in table {
        let below = schema["properties"].get(key).or(schema.get("additionalProperties"));
        match below {
            Some(below) if below.is_object() => fits(value, below, root).map_err(|why| format!("{key}: {why}"))?,
            _ => return Err(format!("`{key}` is unknown")),
        }
    }
    let missing = |key: &&serde_json::Value| !table.contains_key(key.as_str().unwrap_or_default());
    match schema["required"].as_array().and_then(|keys| keys.iter().find(missing)) {
        Some(key) => Err(format!("{key} is missing")),
        None => Ok(()),
    }
}

#[test]
fn the_schemas_take_every_shipped_file_and_refuse_a_slip() {
    let of = |schema: String| -> serde_json::Value { serde_json::from_str(&schema).expect("JSON") };
    let (layout, look) = (of(schema::<EditionFile>("")), of(schema::<LookFile>("")));
    for (files, schema) in [(&EDITIONS[..], &layout), (&LOOKS[..], &look)] {
        for (name, text) in files {
            let mut file: toml::Value = toml::from_str(text).expect(name);
            assert_eq!(fits(&file, schema, schema), Ok(()), "{name}");
            file.as_table_mut().expect(name).insert("colour".to_owned(), 1.into());
            assert!(fits(&file, schema, schema).is_err(), "{name}");
        }
    }
    let slips =
        [("cells = \"square\"", "cells = \"round\""), ("look = \"quiet\"", "look = 1"), ("repeat = ", "repeated = ")];
    for (right, wrong) in slips {
        let text = EDITIONS[0].1;
        assert!(text.contains(right), "{right}");
        let file: toml::Value = toml::from_str(&text.replacen(right, wrong, 1)).expect("TOML");
        assert!(fits(&file, &layout, &layout).is_err(), "{wrong}");
    }
    assert!(STYLES.len() > 20, "styles are by name, and the check knows which");
}
