//! Content without its tags: marked content goes, what it draws stays, byte for byte. Words that stand beside glyphs which
//! cannot speak for themselves (ActualText) are kept, so that the sheets can still be searched.

/// A piece of a content stream.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum TokenKind {
    /// A number, string, name, or the signs that open and close arrays and dictionaries.
    Operand,
    /// `<<`.
    Open,
    /// `>>`.
    Shut,
    /// An operator, or `true`, `false` and `null`.
    Word,
}

/// A piece and where it stands.
#[derive(Clone, Copy, Debug)]
struct ContentToken {
    kind: TokenKind,
    start: usize,
    end: usize,
}

fn is_space(byte: u8) -> bool {
    matches!(byte, 0 | b'\t' | b'\n' | 0x0C | b'\r' | b' ')
}

fn is_delimiter(byte: u8) -> bool {
    matches!(byte, b'(' | b')' | b'<' | b'>' | b'[' | b']' | b'{' | b'}' | b'/' | b'%')
}

fn is_regular(byte: u8) -> bool {
    !is_space(byte) && !is_delimiter(byte)
}

/// The first place from `at` on where `stop` holds.
fn until(bytes: &[u8], at: usize, stop: impl Fn(u8) -> bool) -> usize {
    bytes.get(at..).and_then(|rest| rest.iter().position(|&b| stop(b))).map_or(bytes.len(), |n| at + n)
}

/// The next piece from `at` on, past spaces and comments (ISO 32000-1, 7.2).
fn token(bytes: &[u8], mut at: usize) -> Option<ContentToken> {
    loop {
        at = until(bytes, at, |b| !is_space(b));
        if bytes.get(at)? != &b'%' {
            break;
        }
        at = until(bytes, at, |b| b == b'\n' || b == b'\r');
    }
    let start = at;
    let next = bytes.get(at + 1);
    let (kind, end) = match bytes[at] {
        b'(' => (TokenKind::Operand, past_string(bytes, at)),
        b'<' if next == Some(&b'<') => (TokenKind::Open, at + 2),
        b'>' if next == Some(&b'>') => (TokenKind::Shut, at + 2),
        b'<' => (TokenKind::Operand, (until(bytes, at, |b| b == b'>') + 1).min(bytes.len())),
        b'/' => (TokenKind::Operand, until(bytes, at + 1, |b| !is_regular(b))),
        byte if is_delimiter(byte) => (TokenKind::Operand, at + 1),
        byte => {
            let end = until(bytes, at, |b| !is_regular(b));
            let number = byte.is_ascii_digit() || matches!(byte, b'+' | b'-' | b'.');
            (if number { TokenKind::Operand } else { TokenKind::Word }, end)
        }
    };
    Some(ContentToken { kind, start, end })
}

/// Past a string in brackets, which may hold more of them.
fn past_string(bytes: &[u8], start: usize) -> usize {
    let (mut at, mut depth) = (start, 0_usize);
    while let Some(byte) = bytes.get(at) {
        match byte {
            b'\\' => at += 1,
            b'(' => depth += 1,
            b')' => {
                depth -= 1;
                if depth == 0 {
                    return at + 1;
                }
            }
            _ => {}
        }
        at += 1;
    }
    bytes.len()
}

/// Past the data of a picture in the content: `EI` on its own, after which the stream goes on as text.
fn past_picture(bytes: &[u8], data: usize) -> usize {
    let mut at = data;
    while let Some(found) = bytes.get(at..).and_then(|rest| rest.windows(2).position(|pair| pair == b"EI")) {
        let (start, end) = (at + found, at + found + 2);
        let before = start == 0 || is_space(bytes[start - 1]);
        let after = bytes.get(end..bytes.len().min(end + 12)).unwrap_or_default();
        let text = after.first().is_none_or(|&b| is_space(b))
            && after.iter().all(|&b| is_space(b) || (b' '..=b'~').contains(&b));
        if before && text {
            return end;
        }
        at = end;
    }
    bytes.len()
}

/// The raw value of ActualText in a property list that stands in the content.
fn actual_text<'a>(bytes: &'a [u8], operands: &[ContentToken]) -> Option<&'a [u8]> {
    if operands.get(1)?.kind != TokenKind::Open {
        return None;
    }
    let mut depth = 0_usize;
    let mut pairs = operands.windows(2);
    pairs.find_map(|pair| {
        match pair[0].kind {
            TokenKind::Open => depth += 1,
            TokenKind::Shut => depth = depth.saturating_sub(1),
            TokenKind::Operand | TokenKind::Word => {}
        }
        let value = &bytes[pair[1].start..pair[1].end];
        let string = value.starts_with(b"(") || (value.starts_with(b"<") && !value.starts_with(b"<<"));
        let key = &bytes[pair[0].start..pair[0].end];
        (depth == 1 && key == b"/ActualText" && string).then_some(value)
    })
}

/// The content without marked content. Where marks are not closed as they were opened, everything stays as it is: better
/// a mark too many than a line too few.
pub(super) fn untagged(bytes: &[u8]) -> Vec<u8> {
    stripped(bytes).unwrap_or_else(|| bytes.to_vec())
}

fn stripped(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(bytes.len());
    let mut kept = 0;
    let mut operands: Vec<ContentToken> = Vec::new();
    // For each mark that is open: whether it is kept.
    let mut open: Vec<bool> = Vec::new();
    let mut at = 0;
    while let Some(token) = token(bytes, at) {
        at = token.end;
        if token.kind != TokenKind::Word {
            operands.push(token);
            continue;
        }
        let start = operands.first().map_or(token.start, |first| first.start);
        let mut cut = |instead: &[u8], end: usize| {
            out.extend_from_slice(&bytes[kept..start]);
            out.extend_from_slice(instead);
            kept = end;
        };
        match &bytes[token.start..token.end] {
            // These stand inside property lists; they end nothing.
            b"true" | b"false" | b"null" => {
                operands.push(token);
                continue;
            }
            b"BMC" => {
                cut(b"", token.end);
                open.push(false);
            }
            b"BDC" => {
                let tag = operands.first().map(|tag| &bytes[tag.start..tag.end]);
                if tag == Some(b"/OC") {
                    // Layers that can be hidden are no tags.
                    open.push(true);
                } else if let Some(words) = actual_text(bytes, &operands) {
                    cut(&[b"/Span<</ActualText", words, b">>BDC"].concat(), token.end);
                    open.push(true);
                } else {
                    cut(b"", token.end);
                    open.push(false);
                }
            }
            b"EMC" => match open.pop()? {
                true => {}
                false => cut(b"", token.end),
            },
            b"MP" | b"DP" => cut(b"", token.end),
            b"ID" => at = past_picture(bytes, token.end),
            _ => {}
        }
        operands.clear();
    }
    out.extend_from_slice(&bytes[kept..]);
    open.is_empty().then_some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(content: &str) -> String {
        let bare = untagged(content.as_bytes());
        String::from_utf8(bare).expect("text").split_whitespace().collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn marks_go_and_what_they_hold_stays() {
        assert_eq!(of("q /P <</MCID 0>> BDC BT (a) Tj ET EMC Q"), "q BT (a) Tj ET Q");
        assert_eq!(of("/Artifact BMC 0 0 1 1 re f EMC"), "0 0 1 1 re f");
        assert_eq!(of("/Artifact /Pr0 BDC f EMC /Here MP /There <</A [1 true]>> DP S"), "f S");
        assert_eq!(of("/A BMC /B BMC 1 w EMC S EMC"), "1 w S");
    }

    #[test]
    fn words_beside_glyphs_and_layers_stay() {
        let span = "/Span <</MCID 3/ActualText (fi \\) /x BDC)/Sub <</ActualText (no)>> >> BDC <01> Tj EMC";
        assert_eq!(of(span), "/Span<</ActualText(fi \\) /x BDC)>>BDC <01> Tj EMC");
        assert_eq!(of("/OC /L1 BDC f EMC"), "/OC /L1 BDC f EMC");
    }

    #[test]
    fn strings_comments_and_pictures_are_not_mistaken_for_marks() {
        for same in ["(EMC (BMC) \\( ) Tj", "[(a) -20 <45 4D 43>] TJ", "BI /W 1 /H 1 ID \u{1}EMC x EI Q"] {
            assert_eq!(of(same), same);
        }
        assert_eq!(untagged(b"f % EMC\nS"), b"f % EMC\nS");
    }

    #[test]
    fn unbalanced_marks_leave_everything_as_it_is() {
        for odd in ["EMC f", "/P BMC f", "f (never ends", "<</A", ">>BDC EMC EMC", "BI ID", "/"] {
            assert_eq!(of(odd), odd);
        }
    }
}
