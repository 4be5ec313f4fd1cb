//! The file as bytes, object after object as they lie, and what all objects must keep to.

use super::Walked;
use hayro_syntax::Pdf;
use hayro_syntax::object::{Dict, Name, Object};

/// Longest string and longest name, and the range of whole numbers (A 6.1.13).
const MAX_STRING_LENGTH: usize = 32_767;
const MAX_NAME_LENGTH: usize = 127;
const WHOLE: std::ops::RangeInclusive<i64> = -2_147_483_648..=2_147_483_647;
/// Most indirect objects (A 6.1.13).
const MAX_OBJECTS: usize = 8_388_607;

/// Walks the bytes from the header to the end.
pub fn bytes(bytes: &[u8], out: &mut Walked) {
    let digit = bytes.get(7).is_some_and(|byte| (b'0'..=b'7').contains(byte));
    let head = bytes.starts_with(b"%PDF-1.") && digit && bytes.get(8) == Some(&b'\n');
    let comment = bytes.get(9) == Some(&b'%') && bytes.get(10..14).is_some_and(|four| four.iter().all(|b| *b > 127));
    out.check(head && comment, "header", "");
    let end = bytes.strip_suffix(b"\n").unwrap_or(bytes);
    let end = end.strip_suffix(b"\r").unwrap_or(end);
    out.check(end.ends_with(b"%%EOF"), "after-end", "");
    let mut at = line_end(bytes, 9);
    while bytes.get(at).is_some_and(u8::is_ascii_digit) {
        match object(bytes, at, out) {
            Some(next) => at = next,
            None => return out.fault("object-spacing", format!("byte {at}")),
        }
    }
    trailer(bytes, at, out);
}

fn line_end(bytes: &[u8], from: usize) -> usize {
    bytes.iter().skip(from).position(|&byte| byte == b'\n').map_or(bytes.len(), |length| from + length + 1)
}

/// One indirect object. Returns where the next begins; `None`: its spacing is not as it must be.
fn object(bytes: &[u8], at: usize, out: &mut Walked) -> Option<usize> {
    let rest = bytes.get(at..)?;
    let digits = |from: usize| rest.iter().skip(from).take_while(|byte| byte.is_ascii_digit()).count();
    let number = digits(0);
    let generation = digits(number + 1);
    let head = number + 1 + generation;
    let spaced = rest.get(number) == Some(&b' ') && generation > 0;
    if !spaced || rest.get(head..head + 5) != Some(b" obj\n") {
        return None;
    }
    let mut tokens = Tokens { bytes, at: at + head + 5 };
    let mut length = None;
    let mut last = Vec::new();
    let mut depth = 0;
    loop {
        let from = tokens.at;
        let token = tokens.next(out)?;
        match token.as_slice() {
            b"<<" => depth += 1,
            b">>" => depth -= 1,
            b"endobj" => {
                let ends = bytes.get(from - 1) == Some(&b'\n') && bytes.get(tokens.at) == Some(&b'\n');
                return ends.then_some(tokens.at + 1);
            }
            b"stream" => {
                let start = tokens.at + 1;
                let length: usize = length?;
                let right = bytes.get(tokens.at) == Some(&b'\n')
                    && bytes.get(start + length..start + length + 18) == Some(b"\nendstream\nendobj\n");
                out.check(right, "stream-length", format!("byte {at}"));
                return if right { Some(start + length + 18) } else { None };
            }
            number if last == b"/Length" && depth == 1 => {
                length = std::str::from_utf8(number).ok().and_then(|text| text.parse().ok());
            }
            _ => {}
        }
        last = token;
    }
}

/// The trailer: that of a table, or the dictionary of a stream.
fn trailer(bytes: &[u8], after: usize, out: &mut Walked) {
    let text = String::from_utf8_lossy(bytes);
    let dictionary = match text.rfind("trailer") {
        Some(at) => text[at..].to_owned(),
        None => {
            // The last object is the cross-reference stream; its dictionary ends before the stream.
            let body = String::from_utf8_lossy(&bytes[..after]);
            let from = body.rfind("/Type/XRef").map_or(0, |at| body[..at].rfind(" obj\n").unwrap_or(0));
            body[from..].split("\nstream\n").next().unwrap_or_default().to_owned()
        }
    };
    out.check(!dictionary.contains("/Encrypt"), "encrypted", "");
    let parts: Vec<&str> = match dictionary.split_once("/ID") {
        Some((_, rest)) => rest.split(']').next().unwrap_or_default().split(['<', '>', '(', ')', '[']).collect(),
        None => Vec::new(),
    };
    let full = parts.iter().filter(|part| !part.trim().is_empty()).count();
    out.check(full == 2, "identifier", format!("{full} parts"));
}

/// A scanner of objects, which checks strings, names and numbers as it goes.
struct Tokens<'b> {
    bytes: &'b [u8],
    at: usize,
}

impl Tokens<'_> {
    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn next(&mut self, out: &mut Walked) -> Option<Vec<u8>> {
        while self.peek()?.is_ascii_whitespace() || self.peek()? == 0 {
            self.at += 1;
        }
        let start = self.at;
        match self.peek()? {
            b'<' | b'>' if self.bytes.get(start + 1) == self.bytes.get(start) => self.at += 2,
            b'<' => {
                while self.peek()? != b'>' {
                    self.at += 1;
                }
                self.at += 1;
                let digits: Vec<u8> =
                    self.bytes[start + 1..self.at - 1].iter().copied().filter(|b| !b.is_ascii_whitespace()).collect();
                let good = digits.len().is_multiple_of(2) && digits.iter().all(u8::is_ascii_hexdigit);
                out.check(good, "hex-string", format!("byte {start}"));
                out.check(digits.len() / 2 <= MAX_STRING_LENGTH, "limits", format!("a string at byte {start}"));
            }
            b'(' => {
                let mut depth = 0;
                loop {
                    match self.peek()? {
                        b'\\' => self.at += 1,
                        b'(' => depth += 1,
                        b')' => depth -= 1,
                        _ => {}
                    }
                    self.at += 1;
                    if depth == 0 {
                        break;
                    }
                }
                out.check(self.at - start <= MAX_STRING_LENGTH, "limits", format!("a string at byte {start}"));
            }
            b'[' | b']' | b'{' | b'}' => self.at += 1,
            first => {
                self.at += 1;
                while self.peek().is_some_and(|byte| !byte.is_ascii_whitespace() && !b"()<>[]{}/%".contains(&byte)) {
                    self.at += 1;
                }
                let token = &self.bytes[start..self.at];
                if first == b'/' {
                    out.check(token.len() - 1 <= MAX_NAME_LENGTH, "limits", format!("a name at byte {start}"));
                } else if let Ok(Ok(number)) = std::str::from_utf8(token).map(str::parse::<i64>) {
                    out.check(WHOLE.contains(&number), "limits", format!("a number at byte {start}"));
                }
            }
        }
        Some(self.bytes[start..self.at].to_vec())
    }
}

/// What every object must keep to, those in object streams too.
pub fn objects(pdf: &Pdf, out: &mut Walked) {
    let mut count = 0;
    for object in pdf.objects() {
        count += 1;
        if let Object::Stream(stream) = &object {
            if super::name(stream.dict(), "Type") == "ObjStm" {
                let mut tokens = stream.decoded().map(std::borrow::Cow::into_owned).unwrap_or_default();
                tokens.push(b'\n');
                let mut tokens = Tokens { bytes: &tokens, at: 0 };
                while tokens.next(out).is_some() {}
            }
            let dict = stream.dict();
            for key in ["F", "FFilter", "FDecodeParms"] {
                out.check(!dict.contains_key(key), "stream-keys", key);
            }
            filters(dict, out);
        }
        dictionaries(&object, 0, out);
    }
    out.check(count <= MAX_OBJECTS, "limits", "objects");
}

fn filters(dict: &Dict<'_>, out: &mut Walked) {
    let named: Vec<String> = match dict.get::<Object<'_>>("Filter") {
        Some(Object::Name(name)) => vec![name.as_str().to_owned()],
        Some(Object::Array(list)) => list.iter::<Name<'_>>().map(|name| name.as_str().to_owned()).collect(),
        _ => Vec::new(),
    };
    for filter in named {
        let listed = [
            "ASCIIHexDecode",
            "ASCII85Decode",
            "FlateDecode",
            "RunLengthDecode",
            "CCITTFaxDecode",
            "JBIG2Decode",
            "DCTDecode",
            "JPXDecode",
        ];
        out.check(listed.contains(&filter.as_str()), "filter", filter.clone());
    }
}

/// Dictionaries wherever they stand: actions, file specifications.
fn dictionaries(object: &Object<'_>, depth: usize, out: &mut Walked) {
    if depth > 12 {
        return;
    }
    let dict = match object {
        Object::Dict(dict) => dict,
        Object::Stream(stream) => stream.dict(),
        Object::Array(list) => {
            // References are followed where they are objects of their own.
            for item in list.raw_iter() {
                if let hayro_syntax::object::MaybeRef::NotRef(item) = item {
                    dictionaries(&item, depth + 1, out);
                }
            }
            return;
        }
        _ => return,
    };
    out.check(!dict.contains_key("EF"), "embedded-file", "");
    let action = super::name(dict, "Type") == "Action" || dict.contains_key("JS");
    if action {
        out.check(super::name(dict, "S") == "URI", "action", super::name(dict, "S"));
    }
    out.check(!dict.contains_key("AA"), "action", "AA");
    for (_, value) in dict.entries() {
        if let hayro_syntax::object::MaybeRef::NotRef(value) = value {
            dictionaries(&value, depth + 1, out);
        }
    }
}
