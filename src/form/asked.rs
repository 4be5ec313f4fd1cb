//! What a form is asked for while it is read: kinds, choices and bounds of its keys, as the checks themselves have them. A
//! description of the form that is made from this cannot say anything else than the checks do.

use serde_json::{Map, Value, json};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// What one key is asked for.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum KeyType {
    /// Text of one line, or of several.
    Text,
    /// A list of one-line texts, or one of them.
    Texts,
    /// One of a few words.
    Choice(Vec<String>),
    /// A list of some of a few words, at least so many, or one of them.
    Choices(Vec<String>, usize),
    /// True or false.
    YesNo,
    /// A number between two others.
    Number(f64, f64),
    /// A list of such numbers, or one of them.
    Numbers(f64, f64),
    /// A whole number between two others.
    Count(i64, i64),
    /// A whole number from 0, or one of the names that stand for it.
    Numbered(Vec<Vec<String>>),
    /// Parts in a hundred, up to so many.
    Percent(f64),
    /// A measure with its unit.
    Measure,
    /// The same, in points too.
    Length,
    /// A calendar day.
    Day,
    /// A colour.
    Colour,
    /// A colour, or one word.
    ColourOr(String),
    /// A section of its own.
    Section,
    /// A list of sections.
    Sections,
}

/// Everything that was asked for, by section and key.
#[derive(Debug, Default)]
pub(super) struct AskedKeys {
    asked: RefCell<BTreeMap<(String, String), KeyType>>,
    required: RefCell<BTreeSet<(String, String)>>,
}

impl AskedKeys {
    pub(super) fn note(&self, section: &str, key: &str, asked: KeyType) {
        self.asked.borrow_mut().entry((section.to_owned(), key.to_owned())).or_insert(asked);
    }

    pub(super) fn need(&self, section: &str, key: &str) {
        self.required.borrow_mut().insert((section.to_owned(), key.to_owned()));
    }

    /// The JSON Schema of a section, with those below it. `says` explains a key of a section.
    pub(super) fn schema(&self, section: &str, says: &dyn Fn(&str, &str) -> Option<String>) -> Value {
        let asked = self.asked.borrow();
        let mut properties = Map::new();
        for ((_, key), asked) in asked.iter().filter(|((of, _), _)| of == section) {
            let below = || {
                let name = if section.is_empty() { key.clone() } else { format!("{section}.{key}") };
                self.schema(&name, says)
            };
            let mut value = match asked {
                KeyType::Section => below(),
                KeyType::Sections => json!({ "type": "array", "items": below() }),
                plain => plain.schema(),
            };
            if let (Some(words), Value::Object(value)) = (says(section, key), &mut value) {
                value.insert("description".to_owned(), words.into());
            }
            properties.insert(key.clone(), value);
        }
        let required: Vec<String> = self
            .required
            .borrow()
            .iter()
            .filter(|(of, key)| of == section && properties.contains_key(key))
            .map(|(_, key)| key.clone())
            .collect();
        let mut schema = json!({ "type": "object", "properties": properties, "additionalProperties": false });
        if let (false, Value::Object(schema)) = (required.is_empty(), &mut schema) {
            schema.insert("required".to_owned(), required.into());
        }
        schema
    }
}

impl KeyType {
    fn schema(&self) -> Value {
        let number = |least: f64, most: f64| json!({ "type": "number", "minimum": least, "maximum": most });
        match self {
            KeyType::Text => json!({ "type": "string", "minLength": 1 }),
            KeyType::Texts => {
                json!({ "anyOf": [{ "type": "string" }, { "type": "array", "items": { "type": "string" } }] })
            }
            KeyType::Choice(words) => json!({ "type": "string", "enum": words }),
            KeyType::Choices(words, least) => {
                let word = json!({ "type": "string", "enum": words });
                json!({ "anyOf": [word, { "type": "array", "items": word, "minItems": least }] })
            }
            KeyType::YesNo => json!({ "type": "boolean" }),
            KeyType::Number(least, most) => number(*least, *most),
            KeyType::Numbers(least, most) => {
                json!({ "anyOf": [number(*least, *most), { "type": "array", "items": number(*least, *most) }] })
            }
            KeyType::Count(least, most) => json!({ "type": "integer", "minimum": least, "maximum": most }),
            KeyType::Numbered(names) => {
                let number = json!({ "type": "integer", "minimum": 0, "maximum": names.len().saturating_sub(1) });
                let names: Vec<&String> = names.iter().flatten().collect();
                json!({ "anyOf": [number, { "type": "string", "examples": names }] })
            }
            KeyType::Percent(most) => {
                json!({ "anyOf": [number(0.0, *most), { "type": "string", "pattern": "^ *[0-9.]+ *%$" }] })
            }
            // A number, a fraction or both, then the unit; `form::measure` reads it.
            KeyType::Measure => {
                json!({ "type": "string", "pattern": "^ *[0-9][0-9 ./½¼¾⅓⅔⅛⅜⅝⅞]* *(mm|cm|m|in|inch|inches|\"|″|ft|foot|feet|yd|yard|yards) *$" })
            }
            KeyType::Length => {
                json!({ "type": "string", "pattern": "^ *[0-9][0-9 ./½¼¾⅓⅔⅛⅜⅝⅞]* *(pt|mm|cm|m|in|inch|inches|\"|″|ft|foot|feet|yd|yard|yards) *$" })
            }
            // How editors hand a date of TOML to a schema.
            KeyType::Day => json!({ "type": "string", "format": "date" }),
            KeyType::Colour => json!({ "type": "string", "pattern": "^(#[0-9a-fA-F]{6}|[A-Za-z]+)$" }),
            KeyType::ColourOr(word) => {
                json!({ "type": "string", "pattern": format!("^({word}|#[0-9a-fA-F]{{6}}|[A-Za-z]+)$") })
            }
            KeyType::Section | KeyType::Sections => json!({}),
        }
    }
}
