//! Fonts: dictionaries, the embedded programs, widths, and what codes stand for.

use super::{Walk, name, plain, string};
use hayro_syntax::object::{Array, Dict, Number, Object, Stream};
use std::collections::BTreeMap;
use std::rc::Rc;

/// What codes of a font mean and how wide they are.
pub(super) struct FontTables {
    name: String,
    unicode: BTreeMap<u16, String>,
    widths: BTreeMap<u16, f64>,
    default_width: f64,
    program: Vec<f64>,
}

impl<'a> Walk<'a> {
    /// The tables of a font, read once.
    pub(super) fn font(&mut self, font: &Dict<'a>) -> Option<Rc<FontTables>> {
        let id = super::key(font.obj_id()?);
        if let Some(known) = self.fonts.get(&id) {
            return Some(Rc::clone(known));
        }
        let tables = Rc::new(self.composite(font)?);
        self.fonts.insert(id, Rc::clone(&tables));
        Some(tables)
    }

    fn composite(&mut self, font: &Dict<'a>) -> Option<FontTables> {
        let base = name(font, "BaseFont");
        let typed = name(font, "Type") == "Font" && name(font, "Subtype") == "Type0" && !base.is_empty();
        self.out.check(typed, "font-dictionary", base.clone());
        self.out.check(name(font, "Encoding") == "Identity-H", "encoding", base.clone());
        let list: Vec<Dict<'a>> = font.get::<Array<'a>>("DescendantFonts")?.iter::<Dict<'a>>().collect();
        let [descendant] = list.as_slice() else {
            self.out.fault("font-dictionary", format!("{base}: {} descendants", list.len()));
            return None;
        };
        let kind = name(descendant, "Subtype");
        let typed = name(descendant, "Type") == "Font" && matches!(kind.as_str(), "CIDFontType2" | "CIDFontType0");
        self.out.check(typed, "font-dictionary", format!("{base}: {kind}"));
        let system = descendant.get::<Dict<'a>>("CIDSystemInfo").unwrap_or_default();
        let named = ["Registry", "Ordering"].iter().all(|key| string(&system, key).is_some());
        self.out.check(named && system.contains_key("Supplement"), "font-dictionary", format!("{base}: system"));
        let descriptor = descendant.get::<Dict<'a>>("FontDescriptor").unwrap_or_default();
        let full = ["Flags", "FontBBox", "ItalicAngle", "Ascent", "Descent", "CapHeight", "StemV"];
        let full = name(&descriptor, "Type") == "FontDescriptor" && full.iter().all(|key| descriptor.contains_key(key));
        self.out.check(full, "font-dictionary", format!("{base}: descriptor"));
        // Exactly one of symbolic (4) and non-symbolic (32) (PDF 9.8.2).
        let flags = descriptor.get::<i32>("Flags").unwrap_or_default();
        self.out.check((flags & 4 != 0) != (flags & 32 != 0), "font-dictionary", format!("{base}: flags {flags}"));
        let tag = base.len() > 7 && base.as_bytes()[6] == b'+' && base[..6].bytes().all(|b| b.is_ascii_uppercase());
        self.out.check(tag, "not-a-subset", base.clone());
        let same = base == name(&descriptor, "FontName") && base == name(descendant, "BaseFont");
        self.out.check(same, "font-names", base.clone());
        let (file, map) = match kind.as_str() {
            "CIDFontType2" => ("FontFile2", name(descendant, "CIDToGIDMap") == "Identity"),
            _ => ("FontFile3", true),
        };
        self.out.check(map, "glyph-map", base.clone());
        let program = descriptor.get::<Stream<'a>>(file);
        self.out.check(program.is_some(), "not-embedded", base.clone());
        // Ours never writes one; one that is written would have to list every glyph of the program.
        self.out.check(!descriptor.contains_key("CIDSet"), "glyph-set", base.clone());
        let program = program.as_ref().and_then(plain).unwrap_or_default();
        let unicode = font.get::<Stream<'a>>("ToUnicode").as_ref().and_then(plain);
        let unicode = unicode.map(|table| to_unicode(&String::from_utf8_lossy(&table))).unwrap_or_default();
        for (code, text) in &unicode {
            let bad = text.chars().any(|c| matches!(c, '\0' | '\u{FEFF}' | '\u{FFFE}'));
            self.out.check(!bad, "bad-unicode", format!("{base} {code}"));
        }
        let default_width = descendant.get::<Number>("DW").map_or(1000.0, |width| width.as_f64());
        let widths = widths(descendant);
        Some(FontTables { name: base, unicode, widths, default_width, program: program_widths(&program) })
    }

    /// The characters of a text operator; `words` says whether words stand beside them.
    pub(super) fn show(&mut self, shown: Option<&Object<'_>>, font: Option<&FontTables>, words: bool) -> String {
        let mut codes: Vec<u16> = Vec::new();
        let mut take = |bytes: &[u8]| {
            codes
                .extend(bytes.chunks(2).map(|pair| u16::from(pair[0]) << 8 | pair.get(1).map_or(0, |b| u16::from(*b))));
        };
        match shown {
            Some(Object::Array(array)) => array.iter::<Object<'_>>().for_each(|item| {
                if let Object::String(string) = item {
                    take(string.as_bytes());
                }
            }),
            Some(Object::String(string)) => take(string.as_bytes()),
            _ => {}
        }
        let Some(tables) = font else {
            self.out.fault("no-font", "");
            return String::new();
        };
        let mut text = String::new();
        for code in codes {
            let place = || format!("{} {code}", tables.name);
            if code == 0 {
                self.out.fault("notdef", place());
            }
            match tables.unicode.get(&code) {
                Some(meaning) => {
                    if meaning.chars().any(private) && !words {
                        self.out.fault("private-use", place());
                    }
                    text.push_str(meaning);
                }
                None => self.out.fault("no-unicode", place()),
            }
            let Some(real) = tables.program.get(usize::from(code)) else {
                self.out.fault("no-glyph", place());
                continue;
            };
            // The standard allows one part in a thousand of the em; ours writes three decimals.
            let written = tables.widths.get(&code).copied().unwrap_or(tables.default_width);
            if (written - real).abs() > 0.001 {
                self.out.fault("width", format!("{}: {written} against {real}", place()));
            }
        }
        text
    }
}

/// Whether a character has no meaning outside its face (Unicode, the three private use areas).
fn private(c: char) -> bool {
    matches!(u32::from(c), 0xE000..=0xF8FF | 0xF0000..=0xFFFFD | 0x10_0000..=0x10_FFFD)
}

/// Both forms of /W (PDF 9.7.4.3).
fn widths(descendant: &Dict<'_>) -> BTreeMap<u16, f64> {
    let mut out = BTreeMap::new();
    let mut before: Vec<f64> = Vec::new();
    let Some(list) = descendant.get::<Array<'_>>("W") else { return out };
    for item in list.iter::<Object<'_>>() {
        match item {
            Object::Number(number) => before.push(number.as_f64()),
            Object::Array(list) => {
                let first = before.pop().unwrap_or_default() as u16;
                out.extend((first..).zip(list.iter::<Number>().map(|number| number.as_f64())));
            }
            _ => {}
        }
        if let [first, last, width] = before.as_slice() {
            out.extend((*first as u16..=*last as u16).map(|code| (code, *width)));
            before.clear();
        }
    }
    out
}

/// The table from codes to text, single codes and ranges (PDF 9.10.3).
fn to_unicode(table: &str) -> BTreeMap<u16, String> {
    let units = |text: &str| -> Option<Vec<u16>> {
        let digits = text.strip_prefix('<')?.strip_suffix('>')?;
        (0..digits.len()).step_by(4).map(|at| u16::from_str_radix(digits.get(at..at + 4)?, 16).ok()).collect()
    };
    let block = |from: &str, to: &str| -> Vec<String> {
        let blocks = table.split(from).skip(1).filter_map(|rest| rest.split(to).next());
        blocks.flat_map(str::lines).map(|line| line.trim().to_owned()).filter(|line| line.starts_with('<')).collect()
    };
    let mut out = BTreeMap::new();
    for line in block("beginbfchar", "endbfchar") {
        if let Some((code, text)) = line.split_once(' ')
            && let (Some(code), Some(text)) = (units(code), units(text.trim()))
            && let (Some(code), Ok(text)) = (code.first(), String::from_utf16(&text))
        {
            out.insert(*code, text);
        }
    }
    for line in block("beginbfrange", "endbfrange") {
        let parts: Vec<&str> = line.split_whitespace().collect();
        if let [first, last, text] = parts.as_slice()
            && let (Some(first), Some(last), Some(text)) = (units(first), units(last), units(text))
            && let ([first], [last], [start @ .., end]) = (first.as_slice(), last.as_slice(), text.as_slice())
        {
            for (step, code) in (*first..=*last).enumerate() {
                let all: Vec<u16> = start.iter().copied().chain([end.wrapping_add(step as u16)]).collect();
                out.insert(code, String::from_utf16_lossy(&all));
            }
        }
    }
    out.retain(|_, text| !text.is_empty());
    out
}

/// Advances of an OpenType program in thousandths of the em, straight from its tables (OpenType: head, hhea, hmtx, maxp).
fn program_widths(bytes: &[u8]) -> Vec<f64> {
    let short = |at: usize| Some(u16::from_be_bytes(bytes.get(at..at + 2)?.try_into().ok()?));
    let long = |at: usize| Some(u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?) as usize);
    let read = || -> Option<Vec<f64>> {
        let table = |tag: &[u8]| {
            let at =
                (0..usize::from(short(4)?)).map(|i| 12 + 16 * i).find(|at| bytes.get(*at..*at + 4) == Some(tag))?;
            long(at + 8)
        };
        let (head, hhea, hmtx, maxp) = (table(b"head")?, table(b"hhea")?, table(b"hmtx")?, table(b"maxp")?);
        let units = f64::from(short(head + 18)?);
        let (long_ones, glyphs) = (short(hhea + 34)?, short(maxp + 4)?);
        (0..glyphs)
            .map(|glyph| {
                Some(f64::from(short(hmtx + 4 * usize::from(glyph.min(long_ones.checked_sub(1)?)))?) * 1000.0 / units)
            })
            .collect()
    };
    read().unwrap_or_default()
}

/// The width of a letter in a TrueType program, in thousandths of the em, by its map for Windows and Unicode (OpenType
/// specification, `cmap` format 4, `hmtx`).
pub(super) fn width_by_letter(program: &[u8], letter: char) -> Option<f64> {
    let short =
        |bytes: &[u8], at: usize| Some(usize::from(u16::from_be_bytes(bytes.get(at..at + 2)?.try_into().ok()?)));
    let long = |bytes: &[u8], at: usize| Some(u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?) as usize);
    let table = |tag: &[u8]| {
        let count = short(program, 4)?;
        let entry = (0..count).map(|at| 12 + 16 * at).find(|at| program.get(*at..at + 4) == Some(tag))?;
        program.get(long(program, entry + 8)?..)
    };
    let map = table(b"cmap")?;
    let entry = (0..short(map, 2)?).map(|at| 4 + 8 * at);
    let of_windows = entry.into_iter().find(|at| short(map, *at) == Some(3) && short(map, at + 2) == Some(1))?;
    let map = map.get(long(map, of_windows + 4)?..)?;
    let segments = short(map, 6)? / 2;
    let wanted = u32::from(letter) as usize;
    let at = (0..segments).find(|at| short(map, 14 + 2 * at).is_some_and(|end| end >= wanted))?;
    let from = short(map, 16 + 2 * segments + 2 * at)?;
    let delta = short(map, 16 + 4 * segments + 2 * at)?;
    if from > wanted || short(map, 16 + 6 * segments + 2 * at)? != 0 {
        return None;
    }
    let glyph = (wanted + delta) % 65536;
    let numbers = short(table(b"hhea")?, 34)?;
    let units = short(table(b"hmtx")?, 4 * glyph.min(numbers.checked_sub(1)?))?;
    let em = short(table(b"head")?, 18)?;
    (glyph != 0).then(|| units as f64 * 1000.0 / em as f64)
}
