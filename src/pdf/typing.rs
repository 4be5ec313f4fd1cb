//! The face that lines to be typed into are filled with: a simple TrueType font in WinAnsiEncoding (ISO 32000-1, annex D),
//! with every letter of it, as nobody knows what will be typed. Its program gets a character map, which PDF/A asks of such
//! fonts (ISO 19005-2, 6.2.11.6), and which a reduced program has lost.

use super::error::PdfError;
use super::finisher::real;
use super::fonts::{prefix, written_width};
use super::metadata::text;
use super::pack::deflated;
use crate::font::{Face, FontBook, FontRole, subset};
use lopdf::{Dictionary, Document, Object, ObjectId, dictionary};
use std::collections::BTreeMap;

/// Its name in the resources of the form.
pub(super) const NAME: &str = "Typing";
/// The codes of WinAnsiEncoding that this font has.
const FIRST: u8 = 32;
/// Codes 128 to 159 (ISO 32000-1, annex D.2); a bullet where the encoding has no letter, as the annex says.
const HIGH: [char; 32] = [
    '€', '•', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '•', 'Ž', '•', '•', '‘', '’', '“', '”', '•', '–',
    '—', '˜', '™', 'š', '›', 'œ', '•', 'ž', 'Ÿ',
];

/// The letter of a code.
fn letter(code: u8) -> char {
    match code {
        127 => '•',
        128..=159 => HIGH[usize::from(code) - 128],
        // The space that does not break is drawn as a space, the soft hyphen as a hyphen (annex D.2, notes 6 and 5).
        160 => ' ',
        173 => '-',
        _ => char::from(code),
    }
}

/// Adds the font to a document: the face for figures where it has TrueType outlines, else the one that every book has.
pub(super) fn add(document: &mut Document, faces: &FontBook) -> Result<ObjectId, PdfError> {
    let named = |role| faces.face(faces.role(role));
    let fits = |face: &&Face| table(face.bytes(), *b"glyf").is_some();
    let face = Some(named(FontRole::Figures)).filter(fits).unwrap_or_else(|| named(FontRole::Fallback));
    let failed = |why: &str| PdfError::Face(format!("{}: {why}", face.name));
    let mut wanted = BTreeMap::new();
    for code in FIRST..=u8::MAX {
        if let Some(glyph) = face.glyph(letter(code)) {
            wanted.insert(letter(code), glyph);
        }
    }
    let cut = subset(face.bytes(), &wanted.values().copied().collect()).map_err(|why| failed(&why))?;
    let mut map: BTreeMap<u16, u16> = BTreeMap::new();
    for (letter, glyph) in &wanted {
        let new = *cut.glyphs.get(glyph).ok_or_else(|| failed("a glyph was lost"))?;
        map.insert(u16::try_from(u32::from(*letter)).unwrap_or_default(), new);
    }
    let program = with_table(&cut.bytes, *b"cmap", &character_map(&map)).ok_or_else(|| failed("it has no tables"))?;
    let widths: Vec<Object> = (FIRST..=u8::MAX)
        .map(|code| wanted.get(&letter(code)).map_or(0, |glyph| face.advance(*glyph)))
        .map(|units| real(written_width(u16::try_from(units).unwrap_or_default(), face.units_per_em)))
        .collect();
    let name: String = face.name.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
    let name = format!("{}+{name}", prefix(&program));
    let em = |units: i32| real(f64::from(units) * 1000.0 / f64::from(face.units_per_em.max(1)));
    let length = program.len() as i64;
    let file = document.add_object(deflated(dictionary! { "Length1" => length }, &program)?);
    let mut descriptor = dictionary! {
        "Type" => "FontDescriptor",
        "FontName" => Object::Name(name.clone().into_bytes()),
        // Non-symbolic (ISO 32000-1, table 123).
        "Flags" => 32,
        "ItalicAngle" => 0,
        "StemV" => 80,
    };
    descriptor.set("Ascent", em(face.ascender));
    descriptor.set("Descent", em(face.descender));
    descriptor.set("CapHeight", em(face.cap_height));
    descriptor.set("FontBBox", vec![em(0), em(face.descender), em(i32::from(face.units_per_em)), em(face.ascender)]);
    descriptor.set("FontFile2", file);
    let descriptor = document.add_object(descriptor);
    let mut font = Dictionary::new();
    font.set("Type", "Font");
    font.set("Subtype", "TrueType");
    font.set("BaseFont", Object::Name(name.into_bytes()));
    font.set("Encoding", "WinAnsiEncoding");
    font.set("FirstChar", i64::from(FIRST));
    font.set("LastChar", i64::from(u8::MAX));
    font.set("Widths", widths);
    font.set("FontDescriptor", descriptor);
    let meanings = document.add_object(deflated(Dictionary::new(), &to_unicode())?);
    font.set("ToUnicode", meanings);
    Ok(document.add_object(font))
}

/// What the codes stand for, for those who copy what was typed (ISO 32000-1, 9.10.3).
fn to_unicode() -> Vec<u8> {
    let mut out =
        "/CIDInit/ProcSet findresource begin\n12 dict begin\nbegincmap\n/CMapName/WinAnsi def\n/CMapType 2 def\n\
        1 begincodespacerange\n<20><FF>\nendcodespacerange\n"
            .to_owned();
    let codes: Vec<u8> = (FIRST..=u8::MAX).collect();
    // No block may be longer than this.
    for block in codes.chunks(100) {
        out += &format!("{} beginbfchar\n", block.len());
        for code in block {
            let meant = if matches!(code, 160 | 173) { char::from(*code) } else { letter(*code) };
            out += &format!("<{code:02X}><{:04X}>\n", u32::from(meant));
        }
        out += "endbfchar\n";
    }
    out += "endcmap\nCMapName currentdict/CMap defineresource pop\nend\nend";
    out.into_bytes()
}

/// What a line says before anybody has typed: nothing, in this font and size.
pub(super) fn default_appearance(size: f64) -> Object {
    text(&format!("0 g /{NAME} {size:.1} Tf"))
}

fn short(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes(bytes.get(at..at.checked_add(2)?)?.try_into().ok()?))
}

fn long(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at.checked_add(4)?)?.try_into().ok()?))
}

/// The tables of a font file (OpenType specification, table directory).
fn tables(bytes: &[u8]) -> Option<Vec<([u8; 4], &[u8])>> {
    let count = usize::from(short(bytes, 4)?);
    (0..count)
        .map(|entry| {
            let at = 12 + 16 * entry;
            let tag: [u8; 4] = bytes.get(at..at + 4)?.try_into().ok()?;
            let (start, size) = (long(bytes, at + 8)? as usize, long(bytes, at + 12)? as usize);
            Some((tag, bytes.get(start..start.checked_add(size)?)?))
        })
        .collect()
}

fn table(bytes: &[u8], wanted: [u8; 4]) -> Option<&[u8]> {
    tables(bytes)?.into_iter().find(|(tag, _)| *tag == wanted).map(|(_, table)| table)
}

/// The same font file with a table put in, or put in the place of its own.
fn with_table(bytes: &[u8], wanted: [u8; 4], table: &[u8]) -> Option<Vec<u8>> {
    let mut all: BTreeMap<[u8; 4], Vec<u8>> =
        tables(bytes)?.into_iter().map(|(tag, table)| (tag, table.to_vec())).collect();
    all.insert(wanted, table.to_vec());
    // Reckoned anew below.
    all.get_mut(b"head")?.get_mut(8..12)?.fill(0);
    let count = u16::try_from(all.len()).ok()?;
    let power = count.max(1).ilog2() as u16;
    let range = 16 << power;
    let mut out = bytes.get(..4)?.to_vec();
    for value in [count, range, power, count * 16 - range] {
        out.extend(value.to_be_bytes());
    }
    let mut data = Vec::new();
    let start = 12 + 16 * all.len();
    let mut head = 0;
    for (tag, table) in &all {
        if tag == b"head" {
            head = start + data.len();
        }
        out.extend(tag);
        out.extend(checksum(table).to_be_bytes());
        out.extend(u32::try_from(start + data.len()).ok()?.to_be_bytes());
        out.extend(u32::try_from(table.len()).ok()?.to_be_bytes());
        data.extend_from_slice(table);
        data.resize(data.len().next_multiple_of(4), 0);
    }
    out.extend(data);
    let whole = 0xB1B0_AFBA_u32.wrapping_sub(checksum(&out));
    out.get_mut(head + 8..head + 12)?.copy_from_slice(&whole.to_be_bytes());
    Some(out)
}

fn checksum(table: &[u8]) -> u32 {
    table.chunks(4).fold(0, |sum, chunk| {
        let mut four = [0; 4];
        four[..chunk.len()].copy_from_slice(chunk);
        sum.wrapping_add(u32::from_be_bytes(four))
    })
}

/// A character map of format 4 for Windows and Unicode (3, 1), a segment for every letter.
fn character_map(map: &BTreeMap<u16, u16>) -> Vec<u8> {
    let segments: Vec<(u16, u16)> = map.iter().map(|(letter, glyph)| (*letter, *glyph)).collect();
    let count = segments.len() as u16 + 1;
    let power = count.ilog2() as u16;
    let range = 2 << power;
    let mut format = Vec::new();
    let length = 16 + 8 * count;
    for value in [4, length, 0, count * 2, range, power, count * 2 - range] {
        format.extend(u16::to_be_bytes(value));
    }
    let ends = segments.iter().map(|(letter, _)| *letter).chain([0xFFFF]);
    let deltas = segments.iter().map(|(letter, glyph)| glyph.wrapping_sub(*letter)).chain([1]);
    ends.clone().for_each(|value| format.extend(value.to_be_bytes()));
    format.extend([0, 0]);
    ends.for_each(|value| format.extend(value.to_be_bytes()));
    deltas.for_each(|value| format.extend(value.to_be_bytes()));
    (0..count).for_each(|_| format.extend([0, 0]));
    let mut out = Vec::new();
    for value in [0_u16, 1, 3, 1] {
        out.extend(value.to_be_bytes());
    }
    out.extend(12_u32.to_be_bytes());
    out.extend(format);
    out
}
