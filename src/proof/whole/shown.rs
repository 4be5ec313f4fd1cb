//! Values of a file as messages show them.

use lopdf::Object;

/// A short form of a value, for a message.
pub(super) fn shown(object: Option<&Object>) -> String {
    const LONGEST: usize = 60;
    let text = match object {
        None | Some(Object::Null) => return "nothing".to_owned(),
        Some(Object::Boolean(is)) => if *is { "yes" } else { "no" }.to_owned(),
        Some(Object::Integer(number)) => number.to_string(),
        Some(Object::Real(number)) => number.to_string(),
        Some(Object::Name(name)) => String::from_utf8_lossy(name).into_owned(),
        Some(string @ Object::String(..)) => crate::reader::document::text(string).unwrap_or_default(),
        Some(Object::Array(list)) => {
            let parts: Vec<String> = list.iter().take(8).map(|part| shown(Some(part))).collect();
            parts.join(" ")
        }
        Some(Object::Dictionary(_)) => "a group of entries".to_owned(),
        Some(Object::Stream(_)) => "a piece of data".to_owned(),
        Some(Object::Reference(_)) => "another part of the file".to_owned(),
    };
    let mut short: String = text.chars().take(LONGEST).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    format!("`{}`", short.replace('`', "'"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use lopdf::{Dictionary, Stream};

    #[test]
    fn values_are_shown_short_and_in_plain_words() {
        let of = |object: Object| shown(Some(&object));
        assert_eq!((shown(None), of(Object::Null)), ("nothing".to_owned(), "nothing".to_owned()));
        assert_eq!((of(true.into()), of(false.into()), of(7.into())), ("`yes`".into(), "`no`".into(), "`7`".into()));
        assert_eq!((of(Object::Real(0.5)), of("A`b".into())), ("`0.5`".into(), "`A'b`".into()));
        assert_eq!(of(Object::string_literal("words")), "`words`");
        assert_eq!(of((0..20).map(Object::Integer).collect::<Vec<_>>().into()), "`'0' '1' '2' '3' '4' '5' '6' '7'`");
        assert_eq!(of(Dictionary::new().into()), "`a group of entries`");
        assert_eq!(of(Stream::new(Dictionary::new(), Vec::new()).into()), "`a piece of data`");
        assert_eq!(of(Object::Reference((1, 0))), "`another part of the file`");
        // Own computation: sixty letters, and dots where there are more.
        assert_eq!(of(Object::string_literal("x".repeat(60))), format!("`{}`", "x".repeat(60)));
        assert_eq!(of(Object::string_literal("x".repeat(61))), format!("`{}…`", "x".repeat(60)));
    }
}
