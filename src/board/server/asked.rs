//! What a request asks for.

use axum::body::Bytes;
use axum::http::{HeaderMap, Method};

/// What a request asks for, as far as it matters here.
pub(super) struct Asked {
    pub(super) method: Method,
    pub(super) path: String,
    pub(super) query: String,
    pub(super) headers: HeaderMap,
    pub(super) body: Bytes,
}

impl Asked {
    /// A value of the address, without its percent signs.
    pub(super) fn value(&self, key: &str) -> Option<String> {
        let pairs = self.query.split('&').filter_map(|pair| pair.split_once('='));
        pairs.into_iter().find(|(name, _)| *name == key).and_then(|(_, value)| decoded(value))
    }
}

fn decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::new();
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'+' => b' ',
            b'%' => {
                let digit = |byte: Option<u8>| char::from(byte?).to_digit(16);
                (digit(rest.next())? * 16 + digit(rest.next())?) as u8
            }
            other => other,
        });
    }
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_of_an_address_are_decoded_or_refused() {
        let asked = |query: &str| Asked {
            method: Method::GET,
            path: String::new(),
            query: query.to_owned(),
            headers: HeaderMap::new(),
            body: Bytes::new(),
        };
        assert_eq!(asked("panel=little%20boat&x=1").value("panel").as_deref(), Some("little boat"));
        assert_eq!(asked("a=1&panel=%C3%A9t%c3%a9").value("panel").as_deref(), Some("été"));
        for query in ["", "panel", "panel=%", "panel=%zz", "panel=%ff", "xpanel=1"] {
            assert_eq!(asked(query).value("panel"), None, "{query}");
        }
    }
}
