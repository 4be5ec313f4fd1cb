//! Cuts a content stream (or a character map, which has the same spelling) into operators and their operands.
//!
//! Works through the bytes once, keeps no more than one operator's operands, and never fails: bytes that make no sense
//! are stepped over, as every viewer does.

/// Operands one operator may have; more are dropped. The longest legal list is a TJ array, which counts
/// as one.
const MAX_OPERANDS: usize = 4_096;
/// Entries one array may have.
const MAX_ENTRIES: usize = 65_536;
/// Arrays within arrays.
const MAX_DEPTH: usize = 8;

/// One operand.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Operand {
    /// A number, kept within ±1e9.
    Number(f64),
    /// A name without its slash.
    Name(Vec<u8>),
    /// A string, decoded.
    Text(Vec<u8>),
    /// An array.
    Array(Vec<Operand>),
    /// A dictionary, `true`, `false`, `null`: nothing that is drawn depends on what stands in it.
    Other,
}

impl Operand {
    /// The number, if it is one.
    pub(crate) fn number(&self) -> Option<f64> {
        match self {
            Operand::Number(n) => Some(*n),
            Operand::Name(_) | Operand::Text(_) | Operand::Array(_) | Operand::Other => None,
        }
    }
    /// The name, if it is one.
    pub(crate) fn name(&self) -> Option<&[u8]> {
        match self {
            Operand::Name(n) => Some(n),
            Operand::Number(_) | Operand::Text(_) | Operand::Array(_) | Operand::Other => None,
        }
    }
    /// The string, if it is one.
    pub(crate) fn text(&self) -> Option<&[u8]> {
        match self {
            Operand::Text(t) => Some(t),
            Operand::Number(_) | Operand::Name(_) | Operand::Array(_) | Operand::Other => None,
        }
    }
}

/// Walks through the bytes.
pub(crate) struct Scanner<'a> {
    bytes: &'a [u8],
    head: usize,
}

const SPACE: u8 = 1;
const MARK: u8 = 2;
/// What each byte is: asked of every byte of a file, so looked up.
const KINDS: [u8; 256] = {
    let mut kinds = [0; 256];
    let (spaces, marks) = (b"\0\t\n\x0c\r ", b"()<>[]{}/%");
    let mut at = 0;
    while at < spaces.len() {
        kinds[spaces[at] as usize] = SPACE;
        at += 1;
    }
    at = 0;
    while at < marks.len() {
        kinds[marks[at] as usize] = MARK;
        at += 1;
    }
    kinds
};

fn is_space(b: u8) -> bool {
    KINDS[b as usize] == SPACE
}

fn is_mark(b: u8) -> bool {
    KINDS[b as usize] == MARK
}

impl<'a> Scanner<'a> {
    /// At the first byte.
    pub(crate) fn new(bytes: &'a [u8]) -> Scanner<'a> {
        Scanner { bytes, head: 0 }
    }

    /// Fills `operands` and returns the next operator, `None` at the end. The data of an inline picture is stepped over;
    /// its operator comes back as `EI`.
    pub(crate) fn next_operator(&mut self, operands: &mut Vec<Operand>) -> Option<&'a [u8]> {
        operands.clear();
        loop {
            self.skip_space();
            let start = self.head;
            let first = *self.bytes.get(start)?;
            if !is_mark(first) && !starts_number(first) {
                let word = self.word();
                match word {
                    b"true" | b"false" | b"null" => operands.push(Operand::Other),
                    b"ID" => {
                        self.skip_picture();
                        return Some(b"EI");
                    }
                    _ => return Some(word),
                }
            } else if let Some(operand) = self.operand(0)
                && operands.len() < MAX_OPERANDS
            {
                operands.push(operand);
            }
            // Whatever could not be read as anything must not be met again.
            if self.head == start {
                self.head += 1;
            }
        }
    }

    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.head).copied()
    }

    fn skip_space(&mut self) {
        while let Some(b) = self.peek() {
            if is_space(b) {
                self.head += 1;
            } else if b == b'%' {
                while let Some(b) = self.peek() {
                    if b == b'\n' || b == b'\r' {
                        break;
                    }
                    self.head += 1;
                }
            } else {
                break;
            }
        }
    }

    fn word(&mut self) -> &'a [u8] {
        let rest = &self.bytes[self.head..];
        let length = rest.iter().position(|b| KINDS[*b as usize] != 0).unwrap_or(rest.len());
        self.head += length;
        &rest[..length]
    }

    fn operand(&mut self, depth: usize) -> Option<Operand> {
        match self.peek()? {
            b'/' => {
                self.head += 1;
                Some(Operand::Name(unescaped(self.word())))
            }
            b'(' => Some(Operand::Text(self.literal())),
            b'<' if self.bytes.get(self.head + 1) == Some(&b'<') => {
                self.skip_dictionary();
                Some(Operand::Other)
            }
            b'<' => Some(Operand::Text(self.hexadecimal())),
            b'[' if depth < MAX_DEPTH => {
                self.head += 1;
                let mut entries = Vec::new();
                loop {
                    self.skip_space();
                    let before = self.head;
                    match self.peek() {
                        None => break,
                        Some(b']') => {
                            self.head += 1;
                            break;
                        }
                        Some(b) if is_mark(b) || starts_number(b) => {
                            if let Some(entry) = self.operand(depth + 1)
                                && entries.len() < MAX_ENTRIES
                            {
                                entries.push(entry);
                            }
                        }
                        Some(_) => {
                            self.word();
                        }
                    }
                    if self.head == before {
                        self.head += 1;
                    }
                }
                Some(Operand::Array(entries))
            }
            b if starts_number(b) => Some(Operand::Number(number(self.word()))),
            _ => None,
        }
    }

    fn literal(&mut self) -> Vec<u8> {
        self.head += 1;
        let mut out = Vec::new();
        let mut open = 1_usize;
        while let Some(b) = self.peek() {
            self.head += 1;
            match b {
                b'(' => {
                    open += 1;
                    out.push(b);
                }
                b')' => {
                    open -= 1;
                    if open == 0 {
                        break;
                    }
                    out.push(b);
                }
                b'\\' => {
                    let Some(next) = self.peek() else { break };
                    self.head += 1;
                    match next {
                        b'n' => out.push(b'\n'),
                        b'r' => out.push(b'\r'),
                        b't' => out.push(b'\t'),
                        b'b' => out.push(8),
                        b'f' => out.push(12),
                        b'\r' => {
                            if self.peek() == Some(b'\n') {
                                self.head += 1;
                            }
                        }
                        b'\n' => {}
                        b'0'..=b'7' => {
                            let mut value = u32::from(next - b'0');
                            for _ in 0..2 {
                                let Some(digit @ b'0'..=b'7') = self.peek() else { break };
                                value = value * 8 + u32::from(digit - b'0');
                                self.head += 1;
                            }
                            // High bits beyond a byte are dropped: ISO 32000-1, 7.3.4.2.
                            out.push((value & 0xff) as u8);
                        }
                        other => out.push(other),
                    }
                }
                other => out.push(other),
            }
        }
        out
    }

    fn hexadecimal(&mut self) -> Vec<u8> {
        self.head += 1;
        let mut out = Vec::new();
        let mut half: Option<u8> = None;
        while let Some(b) = self.peek() {
            self.head += 1;
            let digit = match b {
                b'>' => break,
                b'0'..=b'9' => b - b'0',
                b'a'..=b'f' => b - b'a' + 10,
                b'A'..=b'F' => b - b'A' + 10,
                _ => continue,
            };
            match half.take() {
                None => half = Some(digit),
                Some(high) => out.push(high * 16 + digit),
            }
        }
        if let Some(high) = half {
            out.push(high * 16);
        }
        out
    }

    fn skip_dictionary(&mut self) {
        let mut open = 0_usize;
        while let Some(b) = self.peek() {
            let two = self.bytes.get(self.head + 1) == Some(&b);
            match b {
                b'<' if two => {
                    open += 1;
                    self.head += 2;
                }
                b'>' if two => {
                    open = open.saturating_sub(1);
                    self.head += 2;
                    if open == 0 {
                        return;
                    }
                }
                b'(' => {
                    self.literal();
                }
                b'<' => {
                    self.hexadecimal();
                }
                _ => self.head += 1,
            }
        }
    }

    /// From behind `ID` to behind `EI`: the first `EI` that stands alone. Data that holds such a pair by chance would be
    /// cut short; the rest is then stepped over as words that are no operators.
    fn skip_picture(&mut self) {
        self.head = (self.head + 1).min(self.bytes.len());
        while self.head < self.bytes.len() {
            let here = &self.bytes[self.head..];
            let before = self.head == 0 || is_space(self.bytes[self.head - 1]);
            if before && here.starts_with(b"EI") && here.get(2).is_none_or(|b| is_space(*b)) {
                self.head += 2;
                return;
            }
            self.head += 1;
        }
    }
}

fn starts_number(b: u8) -> bool {
    b.is_ascii_digit() || matches!(b, b'+' | b'-' | b'.')
}

fn number(word: &[u8]) -> f64 {
    if let Some(value) = short_number(word) {
        return value.clamp(-1e9, 1e9);
    }
    let text = std::str::from_utf8(word).unwrap_or("0");
    let value = text.parse::<f64>().unwrap_or(0.0);
    if value.is_finite() { value.clamp(-1e9, 1e9) } else { 0.0 }
}

/// A number of up to fifteen digits, as nearly all are. Both the digits and the power of ten are exact, so that their quotient
/// is the nearest number there is.
fn short_number(word: &[u8]) -> Option<f64> {
    const TENS: [f64; 16] = [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];
    let (sign, digits) = match word {
        [b'-', rest @ ..] => (-1.0, rest),
        [b'+', rest @ ..] => (1.0, rest),
        all => (1.0, all),
    };
    let (mut value, mut count, mut after) = (0_u64, 0_usize, None);
    if digits.len() > 16 {
        return None;
    }
    for b in digits {
        match b {
            b'0'..=b'9' => {
                value = value * 10 + u64::from(b - b'0');
                count += 1;
            }
            b'.' if after.is_none() => after = Some(count),
            _ => return None,
        }
    }
    let decimals = count - after.unwrap_or(count);
    (1..=15).contains(&count).then(|| sign * (value as f64 / TENS[decimals]))
}

fn unescaped(word: &[u8]) -> Vec<u8> {
    let hex = |b: Option<&u8>| b.and_then(|b| char::from(*b).to_digit(16));
    let mut out = Vec::with_capacity(word.len());
    let mut at = 0;
    while let Some(&b) = word.get(at) {
        if b == b'#'
            && let (Some(high), Some(low)) = (hex(word.get(at + 1)), hex(word.get(at + 2)))
        {
            out.push((high * 16 + low) as u8);
            at += 3;
        } else {
            out.push(b);
            at += 1;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(bytes: &[u8]) -> Vec<(String, Vec<Operand>)> {
        let mut scanner = Scanner::new(bytes);
        let mut operands = Vec::new();
        let mut out = Vec::new();
        while let Some(op) = scanner.next_operator(&mut operands) {
            out.push((String::from_utf8_lossy(op).into_owned(), operands.clone()));
        }
        out
    }

    #[test]
    fn operators_come_with_their_operands() {
        let got = all(b"q 1 0 0 -1.5 .25 +7 cm /F#31 12 Tf [(a\\)b) -20 <0041>] TJ % note\nQ");
        assert_eq!(got.len(), 5);
        assert_eq!(got[1].0, "cm");
        assert_eq!(got[1].1[3], Operand::Number(-1.5));
        assert_eq!(got[1].1[5], Operand::Number(7.0));
        assert_eq!(got[2].1[0], Operand::Name(b"F1".to_vec()));
        assert_eq!(
            got[3].1[0],
            Operand::Array(vec![Operand::Text(b"a)b".to_vec()), Operand::Number(-20.0), Operand::Text(vec![0, 0x41])])
        );
        assert_eq!(got[4].0, "Q");
    }

    #[test]
    fn dictionaries_and_inline_pictures_are_stepped_over() {
        let got = all(b"/P <</MCID 3 /T (>>) /L <3e3e>>> BDC BI /W 2 /H 1 ID \x00EIx\xff EI f");
        let names: Vec<&str> = got.iter().map(|(n, _)| n.as_str()).collect();
        assert_eq!(names, ["BDC", "BI", "EI", "f"]);
    }

    #[test]
    fn numbers_are_read_as_the_standard_library_reads_them() {
        let mut random = fastrand::Rng::with_seed(20_261_129);
        for _ in 0..20_000 {
            let signs = b"0123456789.-+";
            let word: Vec<u8> = (0..random.usize(0..20)).map(|_| signs[random.usize(0..signs.len() - 2)]).collect();
            let word = [&signs[11..11 + random.usize(0..2)], &word].concat();
            let text = String::from_utf8_lossy(&word);
            let want = text.parse::<f64>().unwrap_or(0.0).clamp(-1e9, 1e9);
            assert_eq!(number(&word).to_bits(), want.to_bits(), "{text}");
        }
    }

    #[test]
    fn octal_and_broken_strings_do_no_harm() {
        assert_eq!(all(b"(\\101\\7z) Tj")[0].1[0], Operand::Text(vec![b'A', 7, b'z']));
        assert!(all(b"(never closed").is_empty());
        assert!(all(b"[[[[[[[[[[[[[[[[").is_empty());
        assert!(all(b">>>>)))]]]}}}").is_empty());
        assert_eq!(all(b"1e400 99999999999999999999 w")[0].1[1], Operand::Number(1e9));
    }
}
