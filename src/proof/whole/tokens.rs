//! Drawing operators as tokens, so that the same drawing spelled otherwise (other white space, other notation of strings and
//! numbers, remarks) is the same.

/// One token.
#[derive(Clone, Copy, Debug)]
pub(super) enum Token<'a> {
    /// A number.
    Number(f64),
    /// A name as it is spelled, without its slash.
    Name(&'a [u8]),
    /// A string as it is spelled, with its brackets.
    Text(&'a [u8]),
    /// An operator, a key word, or a bracket.
    Word(&'a [u8]),
}

/// Numbers in contents have at most four decimals, so that half of the last one is another spelling of the same number and a
/// whole one is another number.
const NEAR: f64 = 5e-5;

impl Token<'_> {
    /// Whether a reader takes both for the same.
    pub(super) fn is_same(&self, other: &Token<'_>) -> bool {
        match (self, other) {
            // A program that writes six figures is off by more with a large number than with a small one.
            (Token::Number(a), Token::Number(b)) => (a - b).abs() <= NEAR.max(b.abs() * 1e-6),
            (Token::Name(a), Token::Name(b)) => a == b || name(a) == name(b),
            (Token::Text(a), Token::Text(b)) => a == b || string(a) == string(b),
            (Token::Word(a), Token::Word(b)) => a == b,
            (Token::Number(_) | Token::Name(_) | Token::Text(_) | Token::Word(_), _) => false,
        }
    }

    /// Hands over what it means in bytes, the same for tokens that are spelled otherwise.
    pub(super) fn feed(&self, take: &mut impl FnMut(&[u8])) {
        match self {
            // Rounded, for numbers that another program has written are a little off.
            Token::Number(number) => take(&((number * 100.0).round() as i64).to_le_bytes()),
            Token::Name(spelled) => take(&name(spelled)),
            Token::Text(spelled) => take(&string(spelled)),
            Token::Word(word) => take(word),
        }
        take(b"\n");
    }

    /// As it is shown in a message.
    pub(super) fn shown(&self) -> String {
        let text = match self {
            Token::Number(number) => return number.to_string(),
            Token::Name(bytes) | Token::Text(bytes) | Token::Word(bytes) => bytes,
        };
        text.iter().take(24).map(|byte| char::from(*byte)).filter(|c| !c.is_control() && *c != '`').collect()
    }
}

/// The tokens of a content.
pub(super) struct Tokens<'a> {
    bytes: &'a [u8],
    head: usize,
}

impl<'a> Tokens<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Tokens<'a> {
        Tokens { bytes, head: 0 }
    }

    fn skip(&mut self) {
        while let Some(byte) = self.bytes.get(self.head) {
            match byte {
                0 | 9 | 10 | 12 | 13 | 32 => self.head += 1,
                b'%' => {
                    let rest = &self.bytes[self.head..];
                    self.head += rest.iter().position(|byte| matches!(byte, b'\n' | b'\r')).unwrap_or(rest.len());
                }
                _ => break,
            }
        }
    }

    /// The end of a string that begins here, whose brackets may be nested.
    fn end_of_string(&self) -> usize {
        let (mut open, mut at) = (0_usize, self.head);
        while let Some(byte) = self.bytes.get(at) {
            at += 1;
            match byte {
                b'\\' => at += 1,
                b'(' => open += 1,
                b')' => {
                    open -= 1;
                    if open == 0 {
                        break;
                    }
                }
                _ => {}
            }
        }
        at.min(self.bytes.len())
    }

    /// The data of a picture inside the content, up to its end: compared as they are.
    fn end_of_picture(&self) -> usize {
        let rest = &self.bytes[self.head..];
        let end = rest.windows(3).position(|three| matches!(three[0], 9 | 10 | 13 | 32) && &three[1..] == b"EI");
        end.map_or(self.bytes.len(), |at| self.head + at)
    }
}

fn ends_word(byte: u8) -> bool {
    matches!(byte, 0 | 9 | 10 | 12 | 13 | 32 | b'(' | b')' | b'<' | b'>' | b'[' | b']' | b'{' | b'}' | b'/' | b'%')
}

impl<'a> Iterator for Tokens<'a> {
    type Item = Token<'a>;

    fn next(&mut self) -> Option<Token<'a>> {
        self.skip();
        let start = self.head;
        let first = *self.bytes.get(start)?;
        let second = self.bytes.get(start + 1).copied();
        let word_from = |from: usize| {
            let rest = &self.bytes[from..];
            from + rest.iter().position(|byte| ends_word(*byte)).unwrap_or(rest.len())
        };
        let (end, token): (usize, fn(&'a [u8]) -> Token<'a>) = match (first, second) {
            (b'(', _) => (self.end_of_string(), Token::Text),
            (b'<', Some(b'<')) | (b'>', Some(b'>')) => (start + 2, Token::Word),
            (b'<', _) => {
                let rest = &self.bytes[start..];
                (start + rest.iter().position(|byte| *byte == b'>').map_or(rest.len(), |at| at + 1), Token::Text)
            }
            (b'/', _) => (word_from(start + 1), |bytes| Token::Name(&bytes[1..])),
            (byte, _) if ends_word(byte) => (start + 1, Token::Word),
            _ => (word_from(start), Token::Word),
        };
        self.head = end.max(start + 1);
        let bytes = &self.bytes[start..self.head];
        if bytes == b"ID" {
            self.head = self.end_of_picture();
            return Some(Token::Word(&self.bytes[start..self.head]));
        }
        let is_number = matches!(first, b'0'..=b'9' | b'+' | b'-' | b'.');
        let number = is_number.then(|| std::str::from_utf8(bytes).ok()?.parse().ok()).flatten();
        Some(number.map_or_else(|| token(bytes), Token::Number))
    }
}

/// A name without its hexadecimal escapes (ISO 32000-1, 7.3.5).
fn name(spelled: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(spelled.len());
    let mut rest = spelled;
    while let [first, after @ ..] = rest {
        let pair = after.get(..2).and_then(|pair| std::str::from_utf8(pair).ok());
        match pair.and_then(|pair| u8::from_str_radix(pair, 16).ok()).filter(|_| *first == b'#') {
            Some(byte) => {
                out.push(byte);
                rest = &after[2..];
            }
            None => {
                out.push(*first);
                rest = after;
            }
        }
    }
    out
}

/// The bytes of a string in either notation (ISO 32000-1, 7.3.4).
fn string(spelled: &[u8]) -> Vec<u8> {
    if let [b'<', inner @ ..] = spelled {
        let digits: Vec<u8> = inner.iter().filter_map(|byte| char::from(*byte).to_digit(16)).map(|d| d as u8).collect();
        return digits.chunks(2).map(|pair| pair[0] << 4 | pair.get(1).copied().unwrap_or(0)).collect();
    }
    let inner = spelled.strip_prefix(b"(").unwrap_or(spelled);
    let inner = inner.strip_suffix(b")").unwrap_or(inner);
    let mut out = Vec::with_capacity(inner.len());
    let mut at = 0;
    while let Some(&byte) = inner.get(at) {
        at += 1;
        if byte == b'\r' {
            // Every end of a line is a line feed.
            at += usize::from(inner.get(at) == Some(&b'\n'));
            out.push(b'\n');
            continue;
        }
        if byte != b'\\' {
            out.push(byte);
            continue;
        }
        let Some(&escaped) = inner.get(at) else { break };
        at += 1;
        match escaped {
            b'n' => out.push(b'\n'),
            b'r' => out.push(b'\r'),
            b't' => out.push(b'\t'),
            b'b' => out.push(8),
            b'f' => out.push(12),
            b'\n' => {}
            b'\r' => at += usize::from(inner.get(at) == Some(&b'\n')),
            b'0'..=b'7' => {
                let mut value = u32::from(escaped - b'0');
                for _ in 0..2 {
                    let Some(digit @ b'0'..=b'7') = inner.get(at).copied() else { break };
                    value = value * 8 + u32::from(digit - b'0');
                    at += 1;
                }
                out.push(value as u8);
            }
            other => out.push(other),
        }
    }
    out
}

/// Where two contents part: the token of each there, and how many were alike before. `None` where they draw the same.
pub(super) fn difference<'a>(found: &'a [u8], made: &'a [u8]) -> Option<(Option<Token<'a>>, Option<Token<'a>>)> {
    if found == made {
        return None;
    }
    let (mut found, mut made) = (Tokens::new(found), Tokens::new(made));
    loop {
        match (found.next(), made.next()) {
            (None, None) => return None,
            (Some(a), Some(b)) if a.is_same(&b) => {}
            other => return Some(other),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_drawing_spelled_otherwise_is_the_same() {
        let made = b"q 1 0 0 1 5.5 .25 cm\n/F1 12 Tf [(ab\\)\\101) -20 <4142>] TJ /A <</MCID 3>> BDC Q";
        for found in [
            &b"q\n1.0 0 0 1 5.50 0.25 cm % a remark (\n/F#31 12 Tf\n[(ab\\051A)-20(AB)]TJ/A<< /MCID 3 >>BDC\rQ\n"[..],
            b"q 1 0 0 1 5.5 .25 cm /F1 12 Tf [<616229 41> -20 (A\\\nB)] TJ /A <</MCID 3>> BDC Q",
        ] {
            assert!(difference(found, made).is_none(), "{}", String::from_utf8_lossy(found));
        }
        for found in [
            &b"q 1 0 0 1 5.5 .26 cm"[..],
            b"",
            b"q 1 0 0 1 5.5 .25 cm\n/F1 12 Tf [(ab\\)\\101) -20 <4142>] TJ /A <</MCID 4>> BDC Q",
            b"q 1 0 0 1 5.5 .25 cm\n/F1 12 Tf [(ab\\)\\101) -20 <4143>] TJ /A <</MCID 3>> BDC Q",
            b"q 1 0 0 1 5.5 .25 cm\n/F1 12 Tf [(ab\\)\\101) -20 <4142>] TJ /A <</MCID 3>> BDC Q Q",
        ] {
            assert!(difference(found, made).is_some(), "{}", String::from_utf8_lossy(found));
        }
    }

    fn shown(content: &[u8]) -> Vec<String> {
        Tokens::new(content).map(|token| token.shown()).collect()
    }

    #[test]
    fn tokens_begin_and_end_where_the_notation_says() {
        assert_eq!(shown(b"(a(b)c)d"), ["(a(b)c)", "d"]);
        assert_eq!(shown(b"(a\\)b)(c)"), ["(a\\)b)", "(c)"]);
        assert_eq!(shown(b"<41 42>x<</A 1>>"), ["<41 42>", "x", "<<", "A", "1", ">>"]);
        assert_eq!(shown(b"[1 .5]/A/B%no\n2"), ["[", "1", "0.5", "]", "A", "B", "2"]);
        // What has no end goes to the last byte.
        assert_eq!(shown(b"q (ab"), ["q", "(ab"]);
        assert_eq!(shown(b"q <41"), ["q", "<41"]);
        // A picture inside the content is one token up to the blank before its end.
        assert_eq!(shown(b"BI ID a(b xEI EI Q"), ["BI", "ID a(b xEI", "EI", "Q"]);
        assert_eq!(shown(b"ID a(b"), ["ID a(b"]);
    }

    #[test]
    fn numbers_are_the_same_within_half_of_the_last_decimal_or_a_millionth() {
        let differs = |found: &[u8], made: &[u8]| difference(found, made).is_some();
        assert!(!differs(b"1.00004", b"1") && !differs(b"-1.00004", b"-1"));
        assert!(differs(b"1.0001", b"1") && differs(b"1", b"-1"));
        // Own computation: a millionth of 2,000,000 is 2, of 100,000 a tenth.
        assert!(!differs(b"2000001", b"2000000") && differs(b"2000003", b"2000000"));
        assert!(!differs(b"100000.09", b"100000") && differs(b"100000.2", b"100000"));
    }

    #[test]
    fn strings_and_names_are_what_their_escapes_say() {
        // ISO 32000-1, 7.3.4.2: table 3 and the examples below it; 7.3.5.
        assert_eq!(string(b"(\\n\\r\\t\\b\\f\\(\\)\\\\)"), b"\n\r\t\x08\x0c()\\");
        assert_eq!(string(b"(\\101\\7x\\0538)"), b"A\x07x+8");
        assert_eq!(string(b"(a\r\nb\rc\\\r\nd\\\ne)"), b"a\nb\ncde");
        assert_eq!(string(b"<4142 4>"), b"AB@");
        assert_eq!((name(b"A#42"), name(b"A#4"), name(b"#41#G1")), (b"AB".to_vec(), b"A#4".to_vec(), b"A#G1".to_vec()));
    }

    #[test]
    fn what_is_marked_of_a_drawing_is_the_same_however_it_is_spelled() {
        let fed = |content: &[u8]| {
            let mut out = Vec::new();
            Tokens::new(content).for_each(|token| token.feed(&mut |bytes| out.extend_from_slice(bytes)));
            out
        };
        assert_eq!(fed(b"1.0 /F#31 (A\\101) Tj"), fed(b"1   /F1 <4141> Tj"));
        // Own computation: rounded to hundredths.
        assert_eq!(fed(b"1.004 m"), fed(b"1 m"));
        for other in [&b"1.006 m"[..], b"2 m", b"-1 m", b"1 l", b"1 m m", b"0.01 m"] {
            assert_ne!(fed(other), fed(b"1 m"), "{}", String::from_utf8_lossy(other));
        }
        assert_ne!(fed(b"/A m"), fed(b"/B m"));
        assert_ne!(fed(b"(A) m"), fed(b"(B) m"));
        assert_eq!(fed(b"/A"), b"A\n");
        // Nothing of a message is a control sign, or ends its quotation.
        assert_eq!(Token::Text(b"(a`\x07b)").shown(), "(ab)");
        assert_eq!(Token::Word(&[b'x'; 40]).shown().len(), 24);
    }

    #[test]
    fn bytes_of_any_kind_are_read_to_their_end() {
        let mut random = fastrand::Rng::with_seed(7);
        for _ in 0..20_000 {
            let signs = b"()<>[]/%\\ 0a-.#IDE\n\r";
            let bytes: Vec<u8> = (0..random.usize(0..40)).map(|_| signs[random.usize(0..signs.len())]).collect();
            assert!(Tokens::new(&bytes).count() <= bytes.len());
            for token in Tokens::new(&bytes) {
                assert!(token.is_same(&token) || matches!(token, Token::Number(n) if n.is_nan()));
            }
        }
    }
}
