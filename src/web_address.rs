//! Addresses of pages and mailboxes in the letters that their standards allow: hosts as IDNA writes them, everything else as
//! percent signs. A leaf: it knows no file format.

use std::fmt::Write;

/// An address in ASCII: a host's other letters by punycode (RFC 3492 and RFC 5890), those of a path, a query or a mailbox
/// as the percent signs of their UTF-8 bytes (RFC 3986, 2.5; RFC 6068, 2). Letters are small in a host, and otherwise
/// taken as they are written: nothing is composed or decomposed.
pub(crate) fn ascii(address: &str) -> String {
    if let Some((scheme, rest)) = address.split_once("://") {
        let (authority, path) = rest.split_at(rest.find(['/', '?', '#']).unwrap_or(rest.len()));
        let (user, host) = match authority.rsplit_once('@') {
            Some((user, host)) => (format!("{}@", percent(user)), host),
            None => (String::new(), authority),
        };
        let (host, port) = host.split_at(host.rfind(':').filter(|_| !host.ends_with(']')).unwrap_or(host.len()));
        return format!("{scheme}://{user}{}{port}{}", ascii_host(host), percent(path));
    }
    if let Some(rest) = address.strip_prefix("mailto:") {
        let (boxes, query) = rest.split_at(rest.find('?').unwrap_or(rest.len()));
        let mailbox = |text: &str| match text.rsplit_once('@') {
            Some((name, host)) => format!("{}@{}", percent(name), ascii_host(host)),
            None => percent(text),
        };
        let boxes: Vec<String> = boxes.split(',').map(mailbox).collect();
        return format!("mailto:{}{}", boxes.join(","), percent(query));
    }
    percent(address)
}

/// What no address may hold, as the percent signs of its UTF-8 bytes.
fn percent(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for byte in text.bytes() {
        if (0x21..0x7F).contains(&byte) {
            out.push(char::from(byte));
        } else {
            // Writing to a string cannot fail.
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}

/// A host, label by label; a label that has no punycode, as a very long one, is written in percent signs.
fn ascii_host(host: &str) -> String {
    let label = |label: &str| {
        if label.is_ascii() {
            return percent(label);
        }
        let small = label.to_lowercase();
        punycode(&small).map_or_else(|| percent(label), |code| format!("xn--{code}"))
    };
    host.split(['.', '\u{3002}']).map(label).collect::<Vec<_>>().join(".")
}

/// The numbers of RFC 3492, section 5.
const BASE: u32 = 36;
const T_MIN: u32 = 1;
const T_MAX: u32 = 26;
const SKEW: u32 = 38;
const DAMP: u32 = 700;
const FIRST_BIAS: u32 = 72;
const FIRST_CODE: u32 = 128;

/// A label in the letters, digits and hyphens of RFC 3492, section 6.3; `None` where the numbers overflow.
fn punycode(label: &str) -> Option<String> {
    let mut out: String = label.chars().filter(char::is_ascii).collect();
    let plain = u32::try_from(out.len()).ok()?;
    let count = u32::try_from(label.chars().count()).ok()?;
    if plain > 0 {
        out.push('-');
    }
    let (mut code, mut delta, mut bias, mut done) = (FIRST_CODE, 0_u32, FIRST_BIAS, plain);
    while done < count {
        let next = label.chars().map(u32::from).filter(|c| *c >= code).min()?;
        delta = delta.checked_add((next - code).checked_mul(done + 1)?)?;
        code = next;
        for letter in label.chars().map(u32::from) {
            if letter < code {
                delta = delta.checked_add(1)?;
            }
            if letter == code {
                variable_length(delta, bias, &mut out);
                bias = adapted(delta, done + 1, done == plain);
                delta = 0;
                done += 1;
            }
        }
        delta = delta.checked_add(1)?;
        code += 1;
    }
    Some(out)
}

/// A number in digits that say by their size which is the last.
fn variable_length(mut number: u32, bias: u32, out: &mut String) {
    let digit = |value: u32| char::from_digit(value, BASE).map_or('a', |c| c);
    // RFC 3492 counts letters first, and digits from 26 on.
    let digit = |value: u32| if value < 26 { digit(value + 10) } else { digit(value - 26) };
    let mut position = BASE;
    loop {
        let threshold = position.saturating_sub(bias).clamp(T_MIN, T_MAX);
        if number < threshold {
            out.push(digit(number));
            return;
        }
        out.push(digit(threshold + (number - threshold) % (BASE - threshold)));
        number = (number - threshold) / (BASE - threshold);
        position += BASE;
    }
}

/// The bias for the next number (RFC 3492, section 6.1).
fn adapted(delta: u32, points: u32, first: bool) -> u32 {
    let mut delta = delta / if first { DAMP } else { 2 };
    delta += delta / points;
    let mut bias = 0;
    while delta > (BASE - T_MIN) * T_MAX / 2 {
        delta /= BASE - T_MIN;
        bias += BASE;
    }
    bias + (BASE - T_MIN + 1) * delta / (delta + SKEW)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_coded_as_the_standard_codes_them() {
        // RFC 3492, section 7.1: (A) Arabic, (D) Czech, (L) Japanese.
        for (label, code) in [
            (
                "\u{644}\u{64A}\u{647}\u{645}\u{627}\u{628}\u{62A}\u{643}\u{644}\u{645}\u{648}\u{634}\u{639}\u{631}\u{628}\u{64A}\u{61F}",
                "egbpdaj6bu4bxfgehfvwxn",
            ),
            ("Pro\u{10D}prost\u{11B}nemluv\u{ED}\u{10D}esky", "Proprostnemluvesky-uyb24dma41a"),
            ("3\u{5E74}B\u{7D44}\u{91D1}\u{516B}\u{5148}\u{751F}", "3B-ww4c5e180e575a65lsy2b"),
        ] {
            assert_eq!(punycode(label).as_deref(), Some(code), "{label}");
        }
        // Nobody's name, and it ends.
        assert_eq!(punycode(&"\u{10FFFF}".repeat(9)).map(|code| code.is_ascii()), Some(true));
    }

    #[test]
    fn an_address_is_written_part_by_part_as_its_standards_say() {
        for (address, written) in [
            ("https://example.org/boat?a=b#c", "https://example.org/boat?a=b#c"),
            // RFC 3986, 2.5: the letters of a path are the percent signs of their UTF-8 bytes.
            ("https://example.org/Größe?farbe=grün", "https://example.org/Gr%C3%B6%C3%9Fe?farbe=gr%C3%BCn"),
            // By Python's own encoder ("bücher" and "münchen").
            ("https://Bücher.example.org:8080/", "https://xn--bcher-kva.example.org:8080/"),
            (
                "mailto:jürgen@münchen.example.org?subject=ä",
                "mailto:j%C3%BCrgen@xn--mnchen-3ya.example.org?subject=%C3%A4",
            ),
            ("https://[::1]:80/é", "https://[::1]:80/%C3%A9"),
            ("https://ada@example.org/%20", "https://ada@example.org/%20"),
        ] {
            assert_eq!(ascii(address), written);
        }
    }
}
