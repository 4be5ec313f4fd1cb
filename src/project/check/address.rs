//! Addresses of pages that the maker names.

use crate::diag::{Diagnostic, Report};
use crate::form::FormSection;
use crate::matrix_code;
use crate::web_address;

/// Where an address leads: with its scheme, `https` where none is written, and in the letters that its standards allow.
pub(crate) fn target(address: &str) -> String {
    let whole = if scheme(address).is_some() {
        address.to_owned()
    } else if address.contains('@') {
        format!("mailto:{address}")
    } else {
        format!("https://{address}")
    };
    web_address::ascii(&whole)
}

/// An address as a reader types it: without `https://` and without a stroke at the end.
pub(crate) fn shown(address: &str) -> &str {
    let plain = address.strip_prefix("https://").or_else(|| address.strip_prefix("http://")).unwrap_or(address);
    plain.strip_prefix("mailto:").unwrap_or(plain).trim_end_matches('/')
}

/// A longer address than this is not typed by anybody.
const LONGEST_SHOWN: usize = 44;

/// An address as it stands short and readable on paper: the host alone where the whole is too long to be typed.
pub(crate) fn short(address: &str) -> String {
    let shown = shown(address);
    let shown = shown.strip_prefix("www.").unwrap_or(shown);
    match shown.split_once(['/', '?', '#']) {
        Some((host, _)) if shown.chars().count() > LONGEST_SHOWN => format!("{host}/…"),
        _ => shown.to_owned(),
    }
}

/// What stands before the colon, if that is a scheme (RFC 3986, 3.1) and not a port of a host.
fn scheme(address: &str) -> Option<&str> {
    let (scheme, rest) = address.split_once(':')?;
    let is_scheme = scheme.starts_with(|c: char| c.is_ascii_alphabetic())
        && scheme.chars().all(|c| c.is_ascii_alphanumeric() || "+-.".contains(c));
    let is_port =
        rest.split('/').next().is_some_and(|port| !port.is_empty() && port.bytes().all(|b| b.is_ascii_digit()));
    (is_scheme && !is_port).then_some(scheme)
}

/// Whether an address leads to a page or a mailbox: nothing else is printed as a link.
pub(super) fn is_followed(address: &str) -> bool {
    ["https", "http", "mailto"].contains(&scheme(&target(address)).unwrap_or_default())
}

/// Reads an address under `key`. Where it is also printed as a code for a phone's camera it must be short enough for one.
pub(super) fn read(section: &FormSection<'_>, key: &str, is_code: bool, report: &mut Report) -> Option<String> {
    let address = section.text(key, report)?;
    let whole = target(&address.value);
    let fault = if address.value.contains(char::is_whitespace) {
        Diagnostic::fault("not-an-address", format!("`{key}` is no address: it has a space in it"))
            .hint("copy the address from the browser, for example `https://example.org/little-boat`")
    } else if !is_followed(&whole) {
        other(&format!("`{key}` leads"))
    } else if is_code && whole.len() > matrix_code::MAX_BYTES {
        Diagnostic::fault("too-long", format!("`{key}` is too long for a code that a telephone reads"))
            .hint(format!("give an address of at most {} letters and signs", matrix_code::MAX_BYTES))
    } else {
        return Some(address.value);
    };
    report.push(fault.at(address.span));
    None
}

/// The fault of an address that is neither a page's nor a mailbox's.
pub(super) fn other(what: &str) -> Diagnostic {
    Diagnostic::fault("other-address", format!("{what} to something else than a page or a mailbox"))
        .hint("only addresses that begin with `https://`, `http://` or `mailto:` are printed and followed")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_leads_where_a_browser_would_go() {
        assert_eq!(target("example.org/boat"), "https://example.org/boat");
        assert_eq!(target("example.org:8080/boat"), "https://example.org:8080/boat");
        assert_eq!(target("ada@example.org"), "mailto:ada@example.org");
        assert_eq!(target("http://example.org"), "http://example.org");
        assert_eq!(target("bücher.example.org/é"), "https://xn--bcher-kva.example.org/%C3%A9");
        assert_eq!(shown("https://example.org/boat/"), "example.org/boat");
        assert_eq!(short("https://www.example.org/boat/"), "example.org/boat");
        assert_eq!(short("https://example.org/yarns/wool/oat?size=50&colour=oat&from=pattern"), "example.org/…");
    }
}
