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
    /// The page number of a section, filled in by make-up and linked to it.
    PageOf(SectionName),
    /// A yarn's symbol by its name, as a small chip, black on white: for the eye alone, the words beside it say the same.
    /// For the ear it is a space.
    Symbol(String),
}

/// Where a link leads, and what is said of it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LinkTarget {
    /// The whole address, with its scheme.
    pub address: String,
    /// What a screen reader says; `None`: the words that are printed.
    pub spoken: Option<String>,
}

impl LinkTarget {
    /// A target whose printed words say enough.
    pub fn to(address: impl Into<String>) -> LinkTarget {
        LinkTarget { address: address.into(), spoken: None }
    }
}

/// A plain stretch as a whole text.
pub fn plain(text: impl Into<String>) -> Text {
    vec![Inline::Plain(text.into())]
}

/// Reads the light mark-up of phrases: `*italic*` and `**strong**`; a backslash keeps the next character as it is.
pub fn marked_up(text: &str) -> Text {
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
            Inline::PageOf(_) => "",
            // It stands in a space.
            Inline::Symbol(_) => "\u{a0}",
        })
        .collect()
}

/// A template with values in its braces. What is filled in is not read again, so that a yarn may be called "{page}"; a name
/// without a value stays as it is.
pub fn filled(template: &str, values: &[(&str, String)]) -> String {
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
    fn what_is_filled_into_a_template_is_not_filled_in_again() {
        let values = [("yarns", "{page} and {yarns}".to_owned()), ("page", "7".to_owned())];
        assert_eq!(filled("{yarns}, page {page}, {other} {", &values), "{page} and {yarns}, page 7, {other} {");
    }
}
