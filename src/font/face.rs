//! One face: its bytes, its measures, its coverage. Bad bytes end here as a diagnostic.

use super::Features;
use super::shaping::{RawGlyph, WordCache};
use crate::diag::Diagnostic;
use harfrust::font::name::NameId;
use harfrust::{Font, GlyphId};
use std::sync::{Arc, Mutex, PoisonError};

/// One face, ready to shape and to embed. All measures are in font units.
pub(crate) struct Face {
    /// PostScript name: what a PDF calls the face.
    pub(crate) name: String,
    /// Font units in one em.
    pub(crate) units_per_em: u16,
    /// Height of a line above the baseline, by the face's own line metrics.
    pub(crate) ascender: i32,
    /// Depth of a line below the baseline: negative.
    pub(crate) descender: i32,
    /// Height of capitals, from OS/2, else measured on `H`.
    pub(crate) cap_height: i32,
    bytes: Bytes,
    font: Font,
    words: Mutex<WordCache>,
}

enum Bytes {
    Embedded(&'static [u8]),
    Own(Arc<Vec<u8>>),
}

impl Face {
    /// A face of the program itself. `None` would be a fault of the program, found by a test.
    pub(super) fn embedded(bytes: &'static [u8]) -> Option<Face> {
        Face::measured(Bytes::Embedded(bytes), Font::new(bytes, 0)?)
    }

    /// A face from a maker's file; see [`super::FontBook::add`].
    pub(super) fn from_bytes(name: &str, bytes: Vec<u8>) -> Result<Face, Diagnostic> {
        if bytes.starts_with(b"wOFF") || bytes.starts_with(b"wOF2") {
            return Err(Diagnostic::fault("font-packed", format!("`{name}` is a font packed for the web"))
                .hint("use the .ttf or .otf file of the same face"));
        }
        let unreadable = || {
            Diagnostic::fault("font-unreadable", format!("`{name}` cannot be read as a TrueType or OpenType font"))
                .hint("use a .ttf or .otf file that opens in other programs")
        };
        let bytes = Arc::new(bytes);
        let shared: Arc<dyn AsRef<[u8]> + Send + Sync> = bytes.clone();
        let face = Font::new(shared, 0)
            .and_then(|font| Face::measured(Bytes::Own(bytes), font))
            .filter(|face| face.glyph('a').is_some() || face.font.charmap().has_unicode())
            // Where the file itself says no units, others are assumed here, and other readers assume others again.
            .filter(|face| {
                let said = face.table("head").and_then(|head| head.get(18..20));
                said == Some(&face.units_per_em.to_be_bytes()[..])
            })
            .ok_or_else(unreadable)?;
        if !["glyf", "CFF ", "CFF2"].iter().any(|tag| face.table(tag).is_some()) {
            return Err(Diagnostic::fault(
                "font-without-outlines",
                format!("`{name}` has no outlines, only pictures of letters"),
            )
            .hint("use a face that is drawn with outlines: pictures of letters do not print at every size"));
        }
        if face.forbids_embedding() {
            return Err(Diagnostic::fault(
                "font-forbids-embedding",
                format!("the settings inside `{name}` forbid putting a part of it into a PDF"),
            )
            .hint("use another face, or ask its publisher for a file that may be embedded"));
        }
        // A font that cannot be cut down cannot be embedded either: better said now than on the last page.
        let first_letters = "ax0 ".chars().filter_map(|c| face.glyph(c)).collect();
        super::subset(face.bytes(), &first_letters).map_err(|_| unreadable())?;
        Ok(face)
    }

    fn measured(bytes: Bytes, font: Font) -> Option<Face> {
        let metrics = font.metrics();
        let line = metrics.h_line()?;
        let units_per_em = font.units_per_em();
        // The OpenType specification, `head`, allows these and no others.
        if !(16..=16_384).contains(&units_per_em) {
            return None;
        }
        let height_of = |c: char| {
            let extents = font.glyph_metrics().extents_exact(font.charmap().map_unicode(c)?)?;
            Some(extents.y_bearing.to_i32())
        };
        let em = i32::from(units_per_em);
        // Last resort for a face without the letter: seven tenths of the em, common practice, no source.
        let cap_height = metrics.cap_height.map(|h| h.to_i32()).filter(|h| *h > 0).or_else(|| height_of('H'));
        let name = font.names().get(NameId::POSTSCRIPT_NAME).and_then(|name| name.english_or_first());
        let name: String =
            name.map(|name| name.name().chars().filter(char::is_ascii_graphic).collect()).unwrap_or_default();
        Some(Face {
            name: if name.is_empty() { "Unnamed".to_owned() } else { name },
            units_per_em,
            ascender: line.ascender.to_i32(),
            descender: line.descender.to_i32(),
            cap_height: cap_height.unwrap_or(em * 7 / 10),
            bytes,
            words: Mutex::new(WordCache::default()),
            font,
        })
    }

    /// The whole font file.
    pub(crate) fn bytes(&self) -> &[u8] {
        match &self.bytes {
            Bytes::Embedded(bytes) => bytes,
            Bytes::Own(bytes) => bytes,
        }
    }

    /// The glyph for a character by itself; `None` where the face has none.
    pub(crate) fn glyph(&self, c: char) -> Option<u16> {
        let id = self.font.charmap().map_unicode(c)?;
        u16::try_from(id.to_u32()).ok().filter(|id| *id != 0)
    }

    /// Whether the face has a glyph for this character by itself.
    pub(crate) fn covers(&self, c: char) -> bool {
        self.glyph(c).is_some()
    }

    /// How far the pen moves after a glyph, in font units, without kerning.
    pub(crate) fn advance(&self, glyph: u16) -> i32 {
        self.font.glyph_metrics().h_advance_exact(GlyphId::new(u32::from(glyph))).to_i32()
    }

    /// How many glyphs there are.
    #[cfg(test)]
    pub(crate) fn glyph_count(&self) -> u32 {
        self.font.num_glyphs()
    }

    /// Shapes a stretch of text from left to right as one piece. Clusters are whole grapheme clusters at least and
    /// cover the text without gaps; a character without a visible form may have no glyph, its bytes then belong to the
    /// cluster before.
    pub(crate) fn shape(&self, text: &str, features: Features, language: &str) -> Arc<[RawGlyph]> {
        self.words.lock().unwrap_or_else(PoisonError::into_inner).shape(&self.font, text, features, language)
    }

    /// OS/2 `fsType`: bit 1 restricted licence, bit 8 no cutting down, bit 9 bitmaps only (OpenType specification).
    fn forbids_embedding(&self) -> bool {
        const FORBIDDING: u16 = 0x0002 | 0x0100 | 0x0200;
        // Of the first four bits the least restrictive counts where an old font sets several.
        const LESS_RESTRICTIVE: u16 = 0x0004 | 0x0008;
        self.fs_type().is_some_and(|bits| {
            let restricted = bits & 0x0002 != 0 && bits & LESS_RESTRICTIVE == 0;
            restricted || bits & FORBIDDING & !0x0002 != 0
        })
    }

    fn fs_type(&self) -> Option<u16> {
        let table = self.table("OS/2")?;
        Some(u16::from_be_bytes(table.get(8..10)?.try_into().ok()?))
    }

    /// A table of the font and what follows it.
    fn table(&self, tag: &str) -> Option<&[u8]> {
        let bytes = self.bytes();
        let u16_at = |at: usize| Some(u16::from_be_bytes(bytes.get(at..at + 2)?.try_into().ok()?));
        let u32_at = |at: usize| Some(u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?) as usize);
        let start = if bytes.starts_with(b"ttcf") { u32_at(12)? } else { 0 };
        let record = (0..usize::from(u16_at(start + 4)?))
            .map(|i| start + 12 + 16 * i)
            .find(|at| bytes.get(*at..*at + 4) == Some(tag.as_bytes()))?;
        bytes.get(u32_at(record + 8)?..)
    }
}
