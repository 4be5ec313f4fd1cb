//! The languages that travel inside the program, and how one is found by what was typed.

use super::Words;
use crate::form::nearest;
use std::sync::OnceLock;

/// A language: its tag, its English name for messages, its file.
struct Language {
    tag: &'static str,
    name: &'static str,
    file: &'static str,
    /// What stands in the file, read when it is first asked for: the board asks with each stroke.
    words: OnceLock<Option<Words>>,
}

impl Language {
    const fn new(tag: &'static str, name: &'static str, file: &'static str) -> Language {
        Language { tag, name, file, words: OnceLock::new() }
    }
}

pub(super) const METRIC: &str = include_str!("../../layouts/units/metric.toml");
pub(super) const IMPERIAL: &str = include_str!("../../layouts/units/imperial.toml");

/// All of them; of two with one main language the first is meant where only that is given ("en").
static SHIPPED: [Language; 5] = [
    Language::new("en-GB", "British English", include_str!("../../layouts/words/en-GB.toml")),
    Language::new("en-US", "American English", include_str!("../../layouts/words/en-US.toml")),
    Language::new("de-DE", "German", include_str!("../../layouts/words/de-DE.toml")),
    Language::new("fr-FR", "French", include_str!("../../layouts/words/fr-FR.toml")),
    Language::new("es-ES", "Spanish", include_str!("../../layouts/words/es-ES.toml")),
];

/// The part of a tag before its country.
fn main_part(tag: &str) -> &str {
    tag.split(['-', '_']).next().unwrap_or_default()
}

fn known(typed: &str) -> Option<&'static Language> {
    SHIPPED
        .iter()
        .find(|language| language.tag.eq_ignore_ascii_case(typed))
        .or_else(|| SHIPPED.iter().find(|language| main_part(language.tag).eq_ignore_ascii_case(typed)))
}

impl Words {
    /// The shipped words of a language tag, or of a language without a country, compared without regard to case; `None`
    /// when there are none. No language stands in for another, and none for a country it was not written for.
    pub fn shipped(language: &str) -> Option<Words> {
        let known = known(language)?;
        known.words.get_or_init(|| Words::parse(known.file, METRIC, IMPERIAL).ok()).clone()
    }

    /// Whether there are words for what was typed as a language.
    pub(crate) fn are_shipped(language: &str) -> bool {
        known(language).is_some()
    }

    /// The tag of the words that are meant by what was typed as a language.
    pub(crate) fn tag(language: &str) -> Option<&'static str> {
        known(language).map(|known| known.tag)
    }

    /// Tags of the shipped languages.
    pub fn languages() -> impl Iterator<Item = &'static str> {
        SHIPPED.iter().map(|language| language.tag)
    }

    /// Files of the shipped languages with their tags.
    #[cfg(test)]
    pub(super) fn files() -> impl Iterator<Item = (&'static str, &'static str)> {
        SHIPPED.iter().map(|language| (language.tag, language.file))
    }

    /// The tag that was probably meant: of the same main language ("de-AT"), named in English ("German"), or a slip away.
    pub(crate) fn nearest_language(typed: &str) -> Option<&'static str> {
        let main = main_part(typed);
        let same = || SHIPPED.iter().find(|language| main_part(language.tag).eq_ignore_ascii_case(main));
        let named = || {
            let names = SHIPPED.iter().map(|language| language.name).chain(["English"]);
            let lower: Vec<String> = names.map(str::to_lowercase).collect();
            let near = nearest(typed, lower.iter().map(String::as_str))?;
            SHIPPED.iter().find(|language| language.name.to_lowercase().contains(near))
        };
        let slip = || {
            let lower: Vec<String> = SHIPPED.iter().map(|language| language.tag.to_lowercase()).collect();
            let near = nearest(typed, lower.iter().map(String::as_str))?;
            SHIPPED.iter().find(|language| language.tag.eq_ignore_ascii_case(near))
        };
        same().or_else(named).or_else(slip).map(|language| language.tag)
    }

    /// What to do about a language that has no words, as an instruction.
    pub(crate) fn language_hint(typed: &str) -> String {
        let all = Words::languages().collect::<Vec<_>>().join(", ");
        match Words::nearest_language(typed) {
            Some(near) => format!("did you mean `{near}`? choose one of: {all}"),
            None => format!("choose one of: {all}"),
        }
    }
}
