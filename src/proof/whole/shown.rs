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
