//! Running text with emphasis and links, and its plain words. A leaf: it knows no font and no page.

use crate::catalogue::SectionName;

/// Running text: stretches one after another.
pub type Text = Vec<Inline>;

/// A stretch of text.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Inline {
    /// As it is.
    Plain(String),
    /// Stronger.
    Strong(String),
    /// Italic.
    Italic(String),
    /// Leads to an address.
    Address(String, LinkTarget),
    /// A name in the language of whoever gave it, which is not the booklet's: a yarn, a brand.
    Foreign(ForeignName),
    /// The page number of a section, filled in by make-up and linked to it.
    PageOf(SectionName),
    /// A yarn's symbol by its name, as a small chip, black on white: for the eye alone, the words beside it say the same.
    /// For the ear it is a space.
    Symbol(String),
}

/// A name in another language.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ForeignName {
    /// The name.
    pub words: String,
    /// Its language tag.
    pub(crate) language: String,
    /// Whether it is stronger than the text round it.
    pub(crate) strong: bool,
}

/// Where a link leads, and what is said of it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LinkTarget {
    /// The whole address, with its scheme.
    pub(crate) address: String,
    /// What a screen reader says; `None`: the words that are printed.
    pub(crate) spoken: Option<String>,
}

impl LinkTarget {
    /// A target whose printed words say enough.
    pub(crate) fn to(address: impl Into<String>) -> LinkTarget {
        LinkTarget { address: address.into(), spoken: None }
    }
}

/// A plain stretch as a whole text.
pub(crate) fn plain(text: impl Into<String>) -> Text {
    vec![Inline::Plain(text.into())]
}

/// Reads the light mark-up of phrases: `*italic*` and `**strong**`; a backslash keeps the next character as it is.
pub(crate) fn marked_up(text: &str) -> Text {
    let mut out: Text = Vec::new();
    let mut now = String::new();
    let (mut strong, mut italic) = (false, false);
    let mut flush = |now: &mut String, strong: bool, italic: bool| {
        if !now.is_empty() {
            let text = std::mem::take(now);
            out.push(match (strong, italic) {
                (true, _) => Inline::Strong(text),
                (false, true) => Inline::Italic(text),
                (false, false) => Inline::Plain(text),
            });
        }
    };
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '\\' => now.extend(chars.next()),
            '*' if chars.peek() == Some(&'*') => {
                chars.next();
                flush(&mut now, strong, italic);
                strong = !strong;
            }
            '*' => {
                flush(&mut now, strong, italic);
                italic = !italic;
            }
            c => now.push(c),
        }
    }
    flush(&mut now, strong, italic);
    out
}

/// The words of a text without its styles. A page number is filled in only when the pages are made up; it is none
/// of them, and neither is a symbol.
pub fn unmarked(text: &[Inline]) -> String {
    text.iter()
        .map(|inline| match inline {
            Inline::Plain(words) | Inline::Strong(words) | Inline::Italic(words) | Inline::Address(words, _) => {
                words.as_str()
            }
            Inline::Foreign(name) => name.words.as_str(),
            Inline::PageOf(_) => "",
            // It stands in a space.
            Inline::Symbol(_) => "\u{a0}",
        })
        .collect()
}

/// The same text with the first place of each name marked with its language. A name that is only a part of a word is none.
pub(crate) fn with_foreign(text: Text, names: &[(String, String)]) -> Text {
    let mut out = text;
    for (name, language) in names.iter().filter(|(name, _)| !name.trim().is_empty()) {
        let found = out.iter().enumerate().find_map(|(at, inline)| match inline {
            Inline::Plain(words) => Some((at, place_of(words, name)?, false)),
            Inline::Strong(words) => Some((at, place_of(words, name)?, true)),
            Inline::Italic(_) | Inline::Address(..) | Inline::Foreign(_) | Inline::PageOf(_) | Inline::Symbol(_) => {
                None
            }
        });
        let Some((at, place, strong)) = found else { continue };
        let words = unmarked(&out[at..=at]);
        let part = |words: &str| match strong {
            true => Inline::Strong(words.to_owned()),
            false => Inline::Plain(words.to_owned()),
        };
        let foreign = ForeignName { words: name.clone(), language: language.clone(), strong };
        let (before, after) = (&words[..place], &words[place + name.len()..]);
        let parts = [Some(part(before)).filter(|_| !before.is_empty()), Some(Inline::Foreign(foreign))];
        let parts = parts.into_iter().chain([Some(part(after)).filter(|_| !after.is_empty())]).flatten();
        out.splice(at..=at, parts);
    }
    out
}

/// Where a name stands as words of its own.
fn place_of(words: &str, name: &str) -> Option<usize> {
    words.match_indices(name).map(|(at, _)| at).find(|at| {
        let before = words[..*at].chars().next_back();
        let after = words[at + name.len()..].chars().next();
        [before, after].into_iter().flatten().all(|c| !c.is_alphanumeric())
    })
}

/// A template with values in its braces. What is filled in is not read again, so that a yarn may be called "{page}"; a name
/// without a value stays as it is.
pub(crate) fn filled(template: &str, values: &[(&str, String)]) -> String {
    let mut out = String::with_capacity(template.len() + 16);
    let mut rest = template;
    while let Some((before, from)) = rest.split_once('{') {
        out.push_str(before);
        let value = from.split_once('}').and_then(|(name, after)| {
            let (_, value) = values.iter().find(|(known, _)| *known == name)?;
            Some((value, after))
        });
        match value {
            Some((value, after)) => {
                out.push_str(value);
                rest = after;
            }
            None => {
                out.push('{');
                rest = from;
            }
        }
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stars_are_emphasis_and_a_backslash_keeps_one() {
        let plain = |words: &str| Inline::Plain(words.to_owned());
        let found = marked_up("a *b* **c** \\*d");
        let (italic, strong) = (Inline::Italic("b".to_owned()), Inline::Strong("c".to_owned()));
        assert_eq!(found, [plain("a "), italic, plain(" "), strong, plain(" *d")]);
        assert_eq!(unmarked(&found), "a b c *d");
    }

    #[test]
    fn a_name_is_marked_where_it_is_words_of_its_own() {
        let plain = |words: &str| Inline::Plain(words.to_owned());
        let foreign = |words: &str, strong| {
            Inline::Foreign(ForeignName { words: words.to_owned(), language: "fr-FR".to_owned(), strong })
        };
        let name = |words: &str| (words.to_owned(), "fr-FR".to_owned());
        let found = with_foreign(marked_up("for a cord, or (start)"), &[name("or")]);
        assert_eq!(found, [plain("for a cord, "), foreign("or", false), plain(" (start)")]);
        let found =
            with_foreign(marked_up("**or:** Laine du Nord, wool"), &[name("or"), name("Laine du Nord"), name("x")]);
        let strong = |words: &str| Inline::Strong(words.to_owned());
        let rest = [plain(" "), foreign("Laine du Nord", false), plain(", wool")];
        assert_eq!(found, [vec![foreign("or", true), strong(":")], rest.to_vec()].concat());
        assert_eq!(unmarked(&found), "or: Laine du Nord, wool");
    }

    #[test]
    fn what_is_filled_into_a_template_is_not_filled_in_again() {
        let values = [("yarns", "{page} and {yarns}".to_owned()), ("page", "7".to_owned())];
        assert_eq!(filled("{yarns}, page {page}, {other} {", &values), "{page} and {yarns}, page 7, {other} {");
    }
}
