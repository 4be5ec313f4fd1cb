//! Fonts as the file carries them: how codes become letters, how far the pen moves, and whether the font is really there.

use super::document::{PdfFile, number, utf16};
use super::scan::{Operand, Scanner};
use lopdf::{Dictionary, Object};
use std::collections::BTreeMap;

/// Entries a character map or a list of widths may have.
const MAX_ENTRIES: usize = 70_000;
/// Ranges up to this long become single entries; the few longer ones are searched one by one.
const SHORT_RANGE: u32 = 256;
/// Longer ranges that are kept.
const MAX_RANGES: usize = 256;

/// A font that was met while reading.
#[derive(Clone, Debug, Default)]
pub(crate) struct PdfFont {
    /// The name in the file, with its subset prefix.
    pub(crate) name: String,
    /// Whether a font program is embedded.
    pub(crate) embedded: bool,
    /// Whether the name carries a subset prefix: six capitals and a plus sign.
    pub(crate) subset: bool,
    /// Whether the file says which letters its codes stand for.
    pub(crate) to_letters: bool,
    /// Whether its glyphs are drawn by content streams instead of a font program.
    pub(crate) drawn: bool,
    composite: bool,
    letters: BTreeMap<u32, String>,
    ranges: Vec<(u32, u32, Vec<u16>)>,
    widths: BTreeMap<u32, f64>,
    width_ranges: Vec<(u32, u32, f64)>,
    usual_width: f64,
    /// Glyph units to text units: a thousandth, except in fonts that are drawn.
    unit: f64,
}

impl PdfFont {
    /// Reads a font dictionary.
    pub(crate) fn read(opened: &PdfFile, font: &Dictionary) -> PdfFont {
        let kind = opened.entry(font, b"Subtype").and_then(|o| o.as_name().ok()).unwrap_or(b"").to_vec();
        let name = opened
            .entry(font, b"BaseFont")
            .and_then(|o| o.as_name().ok())
            .map_or_else(|| "a font without a name".to_owned(), |n| String::from_utf8_lossy(n).into_owned());
        let mut face = PdfFont {
            subset: has_prefix(&name),
            name,
            composite: kind == b"Type0",
            drawn: kind == b"Type3",
            unit: 0.001,
            ..PdfFont::default()
        };
        let below = opened
            .entry(font, b"DescendantFonts")
            .and_then(|o| o.as_array().ok())
            .and_then(|list| list.first())
            .and_then(|o| opened.follow(o))
            .and_then(|o| o.as_dict().ok())
            .cloned();
        let program_of = below.as_ref().unwrap_or(font);
        if let Some(descriptor) = opened.dictionary(program_of, b"FontDescriptor") {
            face.embedded = [&b"FontFile"[..], b"FontFile2", b"FontFile3"]
                .iter()
                .any(|key| opened.entry(descriptor, key).is_some_and(|o| o.as_stream().is_ok()));
            face.usual_width = opened.entry(descriptor, b"MissingWidth").and_then(number).unwrap_or(0.0);
        }
        match &below {
            Some(below) => face.read_composite_widths(opened, below),
            None => face.read_simple_widths(opened, font),
        }
        if let Some(Object::Stream(map)) = opened.entry(font, b"ToUnicode").cloned()
            && let Ok(bytes) = opened.unpack(&map)
        {
            face.to_letters = true;
            face.read_letters(&bytes);
        }
        face
    }

    /// Bytes of one code.
    pub(crate) fn code_length(&self) -> usize {
        if self.composite { 2 } else { 1 }
    }

    /// How far the pen moves for a code, in units of the font size.
    pub(crate) fn width(&self, code: u32) -> f64 {
        let listed = self.widths.get(&code).copied();
        let ranged = || self.width_ranges.iter().find(|(from, to, _)| (*from..=*to).contains(&code)).map(|r| r.2);
        listed.or_else(ranged).unwrap_or(self.usual_width) * self.unit
    }

    /// The letters a code stands for; `None` when the file does not say.
    pub(crate) fn letters(&self, code: u32) -> Option<String> {
        if let Some(letters) = self.letters.get(&code) {
            return Some(letters.clone());
        }
        if let Some((from, _, base)) = self.ranges.iter().find(|(from, to, _)| (*from..=*to).contains(&code)) {
            let mut units = base.clone();
            let last = units.last_mut()?;
            *last = last.wrapping_add((code - from) as u16);
            return Some(String::from_utf16_lossy(&units));
        }
        if self.composite || self.to_letters {
            return None;
        }
        // A simple font without a map: its codes are Latin letters as a rule.
        char::from_u32(code).map(String::from)
    }

    /// Whether a code draws the glyph that means "not in this font". Codes of composite fonts are glyph numbers here.
    pub(crate) fn is_missing(&self, code: u32) -> bool {
        self.composite && code == 0
    }

    fn read_composite_widths(&mut self, opened: &PdfFile, below: &Dictionary) {
        self.usual_width = opened.entry(below, b"DW").and_then(number).unwrap_or(1000.0);
        let Some(list) = opened.entry(below, b"W").and_then(|o| o.as_array().ok()) else { return };
        let mut list = list.iter().filter_map(|o| opened.follow(o));
        while let (Some(first), Some(second)) = (list.next().and_then(number), list.next()) {
            if self.widths.len() + self.width_ranges.len() > MAX_ENTRIES {
                return;
            }
            let first = first.max(0.0) as u32;
            if let Ok(each) = second.as_array() {
                for (i, width) in each.iter().take(MAX_ENTRIES).enumerate() {
                    if let Some(width) = opened.follow(width).and_then(number) {
                        self.widths.insert(first.saturating_add(i as u32), width);
                    }
                }
            } else if let (Some(last), Some(width)) = (number(second), list.next().and_then(number)) {
                let last = last.max(0.0) as u32;
                if last.saturating_sub(first) <= SHORT_RANGE {
                    self.widths.extend((first..=last).map(|code| (code, width)));
                } else if self.width_ranges.len() < MAX_RANGES {
                    self.width_ranges.push((first, last, width));
                }
            }
        }
    }

    fn read_simple_widths(&mut self, opened: &PdfFile, font: &Dictionary) {
        let first = opened.entry(font, b"FirstChar").and_then(number).unwrap_or(0.0).clamp(0.0, 255.0) as u32;
        if let Some(list) = opened.entry(font, b"Widths").and_then(|o| o.as_array().ok()) {
            for (i, width) in list.iter().take(256).enumerate() {
                if let Some(width) = opened.follow(width).and_then(number) {
                    self.widths.insert(first + i as u32, width);
                }
            }
        }
        if self.drawn
            && let Some([a, ..]) = opened.numbers(font, b"FontMatrix").as_deref()
        {
            self.unit = *a;
        }
    }

    fn take_range(&mut self, from: u32, to: u32, base: Vec<u16>) {
        if to.saturating_sub(from) > SHORT_RANGE {
            if self.ranges.len() < MAX_RANGES {
                self.ranges.push((from, to, base));
            }
            return;
        }
        for code in from..=to {
            let mut units = base.clone();
            if let Some(last) = units.last_mut() {
                *last = last.wrapping_add((code - from) as u16);
            }
            self.letters.insert(code, String::from_utf16_lossy(&units));
        }
    }

    fn read_letters(&mut self, map: &[u8]) {
        let mut scanner = Scanner::new(map);
        let mut operands = Vec::new();
        while let Some(operator) = scanner.next_operator(&mut operands) {
            if self.letters.len() + self.ranges.len() > MAX_ENTRIES {
                return;
            }
            match operator {
                b"endbfchar" => {
                    for pair in operands.chunks_exact(2) {
                        if let (Some(code), Some(letters)) = (pair[0].text(), pair[1].text()) {
                            self.letters.insert(code_of(code), utf16(letters));
                        }
                    }
                }
                b"endbfrange" => {
                    for three in operands.chunks_exact(3) {
                        let (Some(from), Some(to)) = (three[0].text(), three[1].text()) else { continue };
                        let (from, to) = (code_of(from), code_of(to));
                        match &three[2] {
                            Operand::Text(base) => {
                                let units: Vec<u16> =
                                    base.chunks_exact(2).map(|p| u16::from_be_bytes([p[0], p[1]])).collect();
                                self.take_range(from, to, units);
                            }
                            Operand::Array(each) => {
                                for (i, letters) in each.iter().enumerate() {
                                    if let Some(letters) = letters.text() {
                                        self.letters.insert(from.saturating_add(i as u32), utf16(letters));
                                    }
                                }
                            }
                            Operand::Number(_) | Operand::Name(_) | Operand::Other => {}
                        }
                    }
                }
                _ => {}
            }
        }
    }
}

fn code_of(bytes: &[u8]) -> u32 {
    bytes.iter().take(4).fold(0, |code, b| code << 8 | u32::from(*b))
}

fn has_prefix(name: &str) -> bool {
    let bytes = name.as_bytes();
    bytes.len() > 7 && bytes[6] == b'+' && bytes[..6].iter().all(u8::is_ascii_uppercase)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_character_map_gives_letters_for_single_codes_and_ranges() {
        let mut face = PdfFont { composite: true, to_letters: true, ..PdfFont::default() };
        face.read_letters(
            b"begincmap 1 begincodespacerange <0000> <ffff> endcodespacerange
              2 beginbfchar <0003> <0066006C> <0004> <D83DDE00> endbfchar
              2 beginbfrange <0010> <0012> <0041> <0020> <0021> [<0078> <0079>] endbfrange endcmap",
        );
        assert_eq!(face.letters(3).as_deref(), Some("fl"));
        assert_eq!(face.letters(4).as_deref(), Some("\u{1f600}"));
        assert_eq!(face.letters(0x12).as_deref(), Some("C"));
        assert_eq!(face.letters(0x21).as_deref(), Some("y"));
        assert_eq!(face.letters(0x30), None);
    }

    #[test]
    fn a_subset_name_starts_with_six_capitals_and_a_plus() {
        assert!(has_prefix("ABCDEF+Reed"));
        assert!(!has_prefix("ABCDE+Reeds"));
        assert!(!has_prefix("ABCDEF+"));
    }
}
