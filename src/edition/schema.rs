//! Layouts and looks as JSON Schemas, for editors that complete and check. Made as a project's is: from what the checks ask a
//! form for; what a key is for is said by the tables of `layouts/README.md`.

use super::check::{layout_of, text_of};
use super::{layout, look};
use crate::catalogue::{EditionName, LookName};
use crate::diag::{Report, SourceId};
use crate::form::{Form, KeyPlan};
use std::collections::BTreeMap;

const README: &str = include_str!("../../layouts/README.md");

/// A form with every section of a plan and no key.
fn headings(plan: &KeyPlan) -> String {
    let keys = |name: &str| plan.iter().find(|(section, _)| *section == name).map_or(&[][..], |(_, keys)| keys);
    let mut text = String::new();
    for (section, _) in plan.iter().filter(|(section, _)| !section.is_empty()) {
        match section.strip_suffix(".*") {
            Some(above) => keys(above).iter().for_each(|key| text.push_str(&format!("[{above}.{key}]\n"))),
            None => text.push_str(&format!("[{section}]\n")),
        }
    }
    text
}

/// What a table of the README says of keys, by section and key: `chart.repeat`, or `.tens` after `colours.grid`.
fn explained(table: &str) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    for line in table.lines().filter_map(|line| line.strip_prefix("| `")) {
        let Some((keys, words)) = line.trim_end_matches(" |").split_once(" | ") else { continue };
        let mut section = String::new();
        for key in keys.split(", ").map(|key| key.trim_matches('`')) {
            let key = if key.starts_with('.') { format!("{section}{key}") } else { key.to_owned() };
            section = key.rsplit_once('.').map_or_else(String::new, |(section, _)| section.to_owned());
            found.insert(key, words.replace('`', ""));
        }
    }
    found
}

fn schema(title: &str, form: &Form, table: &str) -> String {
    let explained = explained(table);
    let says = |section: &str, key: &str| {
        let name = if section.is_empty() { key.to_owned() } else { format!("{section}.{key}") };
        explained.get(&name).or_else(|| explained.get(&format!("{section}.ROLE"))).cloned()
    };
    let mut schema = form.schema(&says);
    let object = schema.as_object_mut().expect("a section is an object");
    object.insert("$schema".to_owned(), "https://json-schema.org/draft/2020-12/schema".into());
    object.insert("title".to_owned(), title.into());
    serde_json::to_string_pretty(&schema).expect("a schema is JSON") + "\n"
}

fn tables() -> (&'static str, &'static str) {
    let (_, both) = README.split_once("## An edition").expect("the table of layouts");
    both.split_once("## A look").expect("the table of looks")
}

fn layout_schema() -> String {
    let form = Form::open(&headings(layout::PLAN), SourceId(0), layout::PLAN, &mut Report::new());
    layout::checked(&form, &mut Report::new());
    schema("A layout for hitchpress", &form, tables().0)
}

fn look_schema() -> String {
    let form = Form::open(&headings(look::PLAN), SourceId(0), look::PLAN, &mut Report::new());
    let _nothing = look::checked(&form, &mut Report::new());
    schema("A look for hitchpress", &form, tables().1)
}

fn held(name: &str, schema: &str) {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("layouts/schemas").join(name);
    if std::env::var_os("RENEW_GOLDEN").is_some() {
        std::fs::write(&path, schema).expect("written");
        panic!("renewed: read it");
    }
    assert!(std::fs::read_to_string(&path).expect(name) == schema, "{name}: renew and read it");
}

#[test]
fn the_schema_of_layouts_in_the_repository_is_this_one() {
    held("layout.schema.json", &layout_schema());
}

#[test]
fn the_schema_of_looks_in_the_repository_is_this_one() {
    held("look.schema.json", &look_schema());
}

#[test]
fn every_key_of_a_layout_and_of_a_look_is_explained() {
    for (plan, table) in [(layout::PLAN, tables().0), (look::PLAN, tables().1)] {
        let explained = explained(table);
        for (section, keys) in plan.iter().filter(|(section, _)| !["fonts", "styles", "styles.*"].contains(section)) {
            for key in keys.iter().filter(|key| plan.iter().all(|(section, _)| section != *key)) {
                let name = if section.is_empty() { (*key).to_owned() } else { format!("{section}.{key}") };
                assert!(explained.contains_key(&name), "{name}");
            }
        }
    }
}

/// Whether a value is of the kind that its schema says: types, choices and patterns.
fn fits(value: &toml::Value, schema: &serde_json::Value) -> Result<(), String> {
    if let Some(ways) = schema["anyOf"].as_array() {
        return ways.iter().any(|way| fits(value, way).is_ok()).then_some(()).ok_or(format!("{value} in {schema}"));
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
    if !types.contains(&kind) {
        return Err(format!("{value} is no {types:?}"));
    }
    if let toml::Value::Array(list) = value {
        return list.iter().try_for_each(|value| fits(value, &schema["items"]));
    }
    let toml::Value::Table(table) = value else { return Ok(()) };
    for (key, value) in table {
        let below = schema["properties"].get(key).or(schema.get("additionalProperties"));
        match below {
            Some(below) if below.is_object() => fits(value, below).map_err(|why| format!("{key}: {why}"))?,
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
    let (layout, look) = (of(layout_schema()), of(look_schema()));
    let layouts = EditionName::ALL.iter().map(|it| (it.name(), layout_of(*it), &layout));
    let looks = LookName::ALL.iter().map(|it| (it.name(), text_of(*it), &look));
    for (name, text, schema) in layouts.chain(looks) {
        let mut file: toml::Value = toml::from_str(text).expect(name);
        assert_eq!(fits(&file, schema), Ok(()), "{name}");
        file.as_table_mut().expect(name).insert("colour".to_owned(), 1.into());
        assert!(fits(&file, schema).is_err(), "{name}");
    }
    let slips =
        [("cells = \"auto\"", "cells = \"round\""), ("look = \"quiet\"", "look = 1"), ("repeat = ", "repeated = ")];
    for (right, wrong) in slips {
        let text = layout_of(EditionName::Booklet);
        assert!(text.contains(right), "{right}");
        let file: toml::Value = toml::from_str(&text.replacen(right, wrong, 1)).expect("TOML");
        assert!(fits(&file, &layout).is_err(), "{wrong}");
    }
}
