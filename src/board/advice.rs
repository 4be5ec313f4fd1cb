//! Advice in the language of the page. In come phrases as data; their words are `layouts/board/advice`. British English is
//! the program's own, and American English has only what is spelled otherwise.

use crate::diag::{Diagnostic, Phrase, Value};
use crate::words::{Names, Words};
use std::fmt::Display;
use std::sync::OnceLock;

/// Words of advice by language.
const FILES: [(&str, &str); 5] = [
    ("en-GB", ""),
    ("en-US", include_str!("../../layouts/board/advice/en-US.toml")),
    ("de-DE", include_str!("../../layouts/board/advice/de-DE.toml")),
    ("fr-FR", include_str!("../../layouts/board/advice/fr-FR.toml")),
    ("es-ES", include_str!("../../layouts/board/advice/es-ES.toml")),
];
/// What was read of them: a page asks with each stroke.
static READ: [OnceLock<Option<Words>>; FILES.len()] = [const { OnceLock::new() }; FILES.len()];

/// Stands before the keys of advice among all other words.
const HEADING: &str = "advice";

/// The words of a language with those of advice; `None` when there are none.
pub(super) fn words(language: &str) -> Option<&'static Words> {
    let tag = Words::tag(language)?;
    let (at, (_, file)) = FILES.iter().enumerate().find(|(_, (known, _))| *known == tag)?;
    let read = || {
        let mut words = Words::shipped(tag)?;
        words.add(HEADING, file).ok().map(|()| words)
    };
    READ[at].get_or_init(read).as_ref()
}

/// Message and hints in the words of a language; `None` for what is said in English alone.
pub(super) fn said(words: &Words, diagnostic: &Diagnostic) -> Option<(String, Vec<String>)> {
    let (message, hints) = diagnostic.phrases.split_first()?;
    let whole = hints.len() == diagnostic.hints.len();
    whole.then(|| (phrase(words, message), hints.iter().map(|hint| phrase(words, hint)).collect()))
}

fn phrase(words: &Words, of: &Phrase) -> String {
    let key = format!("{HEADING}.{}", of.key);
    if !words.has(&key) {
        return of.to_string();
    }
    let filled: Vec<(&str, String)> = of.values.iter().map(|(name, of)| (*name, value(words, of))).collect();
    let names: Vec<(&str, &dyn Display)> = filled.iter().map(|(name, value)| (*name, value as &dyn Display)).collect();
    let names: Names = &names;
    let counted = of.values.iter().find_map(|(_, value)| match value {
        Value::Counted(n, ..) => Some(*n),
        Value::Name(_) | Value::Whole(_) | Value::Number(..) | Value::Phrase(_) | Value::List(_) => None,
    });
    match counted {
        Some(n) => words.count(&key, n, names),
        None => words.say(&key, names),
    }
}

fn value(words: &Words, of: &Value) -> String {
    match of {
        Value::Name(name) => name.clone(),
        // Rows and columns have no groups of figures.
        Value::Whole(number) => number.to_string(),
        Value::Number(number, places) => words.decimal(*number, places.unwrap_or(2)),
        Value::Counted(n, ..) => words.whole(*n),
        Value::Phrase(of) => phrase(words, of),
        Value::List(all) => all.iter().map(|of| value(words, of)).collect::<Vec<_>>().join(", "),
    }
}

#[cfg(test)]
mod tests;
