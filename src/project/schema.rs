//! The project file as a JSON Schema, so that an editor completes and checks while the maker types. Nothing of it is written
//! by hand: a form that holds every key is read as any other, and what the checks asked for is the schema; what a key is
//! for is said by the comments of the starter project.

use super::check;
use crate::diag::Report;
use serde_json::Value;
use std::collections::BTreeMap;

/// The commented project that `hitchpress new` writes. `{date}` stands for the day.
pub(crate) const STARTER: &str = include_str!("../cli/starter/project.toml");

/// The name of the schema beside a project file; the first line of the starter project names it.
pub(crate) const FILE: &str = "project.schema.json";

/// Keys that the starter does not show: for those who have read the whole manual.
const MORE: [(&str, &str); 4] = [
    (
        "\n[cord]\n",
        "\n[model]\ncord-under-tension = 0.9\nyarn-under-tension = 0.9\npacking = 1.0\nslack = 1.0\n[cord]\n",
    ),
    ("name = \"cream\"\n", "name = \"cream\"\nsymbol = \"dot\"\ndiameter = \"2 mm\"\n"),
    ("diameter = \"16 mm\" }", "lower-edge = [{ at = \"0 mm\", depth = \"4 mm\" }] }"),
    ("carry-slack = 10", "cord-take-up = 3\ncarry-slack = 10"),
];

/// The schema (JSON Schema draft 2020-12), indented, with a line end.
pub(crate) fn schema() -> String {
    let comments = comments();
    let says = |section: &str, key: &str| comments.get(&(section.to_owned(), key.to_owned())).cloned();
    let mut schema = check::asked_of(&every_key(), &mut Report::new()).schema(&says);
    if let Value::Object(schema) = &mut schema {
        schema.insert("$schema".to_owned(), "https://json-schema.org/draft/2020-12/schema".into());
        schema.insert("title".to_owned(), "A panel for hitchpress".into());
    }
    // Values of our own making always become text.
    let text = serde_json::to_string_pretty(&schema).unwrap_or_default();
    text + "\n"
}

/// The starter with the keys in that it shows as comments.
fn every_key() -> String {
    let awake = |line: &str| -> String {
        let sleeping = line.strip_prefix("# ").filter(|rest| rest.starts_with('[') || key_of(rest).is_some());
        format!("{}\n", sleeping.unwrap_or(line))
    };
    let text: String = STARTER.replace("{date}", "2025-01-01").lines().map(awake).collect();
    MORE.iter().fold(text, |text, (at, with)| text.replacen(at, with, 1))
}

/// The key that a line gives.
fn key_of(line: &str) -> Option<&str> {
    let (key, _) = line.split_once(" = ")?;
    (!key.is_empty() && key.bytes().all(|b| b.is_ascii_lowercase() || b == b'-')).then_some(key)
}

/// What stands behind the keys of the starter, by section and key.
fn comments() -> BTreeMap<(String, String), String> {
    let mut found = BTreeMap::new();
    let mut section = String::new();
    for line in STARTER.lines().map(|line| line.strip_prefix("# ").unwrap_or(line)) {
        if let Some(name) = line.strip_prefix('[') {
            section = name.trim_start_matches('[').split(']').next().unwrap_or_default().to_owned();
        } else if let Some(key) = key_of(line)
            && let Some((_, comment)) = line.split_once("   # ").or_else(|| line.split_once("  # "))
        {
            found.entry((section.clone(), key.to_owned())).or_insert_with(|| comment.trim().to_owned());
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::PLAN;

    /// The section of the schema with this name.
    fn below<'s>(schema: &'s Value, name: &str) -> &'s Value {
        name.split('.').filter(|part| !part.is_empty()).fold(schema, |schema, part| {
            let found = &schema["properties"][part];
            found.get("items").unwrap_or(found)
        })
    }

    #[test]
    fn every_key_of_the_plan_is_in_the_schema_and_no_other() {
        let schema: Value = serde_json::from_str(&schema()).expect("JSON");
        for (section, keys) in PLAN {
            let found = below(&schema, section)["properties"].as_object().expect(section);
            let found: Vec<&str> = found.keys().map(String::as_str).collect();
            let mut wanted = keys.to_vec();
            wanted.sort_unstable();
            assert_eq!(found, wanted, "[{section}]");
        }
    }

    #[test]
    fn choices_bounds_and_comments_are_those_of_the_checks() {
        let schema: Value = serde_json::from_str(&schema()).expect("JSON");
        let key = |section: &str, key: &str| below(&schema, section)["properties"][key].clone();
        assert_eq!(key("", "units")["enum"], serde_json::json!(["metric", "imperial"]));
        assert_eq!(key("working", "legs-per-column")["maximum"], 2);
        assert_eq!(key("yarn", "melts")["type"], "boolean");
        assert_eq!(
            key("yarn", "melts")["description"],
            "acrylic and the like: the backing is then sewn on, not ironed"
        );
        assert_eq!(below(&schema, "yarn")["required"], serde_json::json!(["colour", "key", "name"]));
        assert_eq!(key("yarn", "made-up"), Value::Null);
    }

    #[test]
    fn the_schema_in_the_repository_is_this_one() {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("layouts/schemas").join(FILE);
        if std::env::var_os("RENEW_GOLDEN").is_some() {
            std::fs::write(&path, schema()).expect("written");
            panic!("renewed: read it");
        }
        assert_eq!(std::fs::read_to_string(&path).expect("the schema"), schema());
    }
}
