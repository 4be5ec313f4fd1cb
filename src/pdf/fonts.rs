//! Faces in use: which glyphs, what they stand for, and the reduced programs that are embedded.
//!
//! A glyph has one meaning in a font (its entry in ToUnicode). Where a run means something else by it, or several
//! glyphs stand together for one cluster of letters, the run says so itself: see [`GlyphStretch`].

use super::error::PdfError;
use crate::font::{FontBook, subset};
use crate::page::{Booklet, FaceId, Glyph, TextRun};
use sha2::{Digest, Sha256};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

/// One face as it is embedded.
pub(super) struct EmbeddedFace {
    /// Name in the resources: "T" and the number of the face.
    pub(crate) resource: String,
    /// Six letters from the program's hash, a plus sign and the PostScript name.
    pub(crate) base_name: String,
    /// The reduced program as printpdf has read it.
    pub(crate) parsed: printpdf::ParsedFont,
    /// In order of their numbers in the whole face.
    pub(crate) glyphs: Vec<EmbeddedGlyph>,
    /// Where the glyph of a number stands among them; [`EmbeddedFace::NONE`] where it is not embedded.
    places: Vec<u16>,
}

impl EmbeddedFace {
    const NONE: u16 = u16::MAX;

    /// The glyph with this number in the whole face.
    pub(crate) fn glyph(&self, id: u16) -> Option<&EmbeddedGlyph> {
        self.glyphs.get(usize::from(*self.places.get(usize::from(id))?))
    }
}

/// One glyph of an embedded face.
pub(super) struct EmbeddedGlyph {
    /// Glyph id in the reduced program, which is also the code in the page.
    pub(crate) code: u16,
    /// Width in thousandths of the em, as it is written into /W.
    pub(crate) width: f64,
    /// What it stands for.
    pub(crate) meaning: String,
}

/// A stretch of glyphs and how it is to be read.
#[derive(Debug, PartialEq)]
pub(super) struct GlyphStretch {
    /// Glyphs of the run.
    pub(crate) glyphs: Range<usize>,
    /// Words to be put beside them where their meanings do not add up to the text.
    pub(crate) actual: Option<String>,
}

/// Rounds a width as it is written: PDF/A holds /W against the program to one part in a thousand of the em, three
/// decimals are a thousand times finer.
pub(super) fn written_width(units: u16, units_per_em: u16) -> f64 {
    (f64::from(units) * 1000.0 / f64::from(units_per_em.max(1)) * 1000.0).round() / 1000.0
}

/// Consecutive glyphs of one cluster, with the text of the cluster.
fn clusters(run: &TextRun) -> impl Iterator<Item = (Range<usize>, &str)> {
    let mut start = 0;
    std::iter::from_fn(move || {
        let first = run.glyphs.get(start)?;
        let end = run.glyphs[start..]
            .iter()
            .position(|glyph| glyph.cluster != first.cluster)
            .map_or(run.glyphs.len(), |n| start + n);
        let range = start..end;
        start = end;
        Some((range, run.text.get(first.cluster.clone()).unwrap_or_default()))
    })
}

/// What a space means wherever it was a special one in the manuscript: readers search for the plain one.
pub(super) fn plain(text: &str) -> Cow<'_, str> {
    let special = |c: char| matches!(c, '\u{a0}' | '\u{202f}');
    if text.contains(special) { Cow::Owned(text.replace(special, " ")) } else { Cow::Borrowed(text) }
}

/// What each glyph of a cluster would have to mean, if that can be said glyph by glyph.
fn meanings(glyphs: usize, text: &str) -> Option<impl Iterator<Item = Cow<'_, str>>> {
    let letters = text.chars().count();
    if letters == 0 || (glyphs != 1 && letters != glyphs) {
        return None;
    }
    let mut rest = text;
    Some((0..glyphs).map(move |_| {
        let first = if glyphs == 1 { rest.len() } else { rest.chars().next().map_or(0, char::len_utf8) };
        let (meaning, after) = rest.split_at(first);
        rest = after;
        plain(meaning)
    }))
}

fn runs(booklet: &Booklet) -> impl Iterator<Item = &TextRun> {
    let frames = booklet.pages.iter().flat_map(|page| &page.frames);
    frames.flat_map(|frame| &frame.items).filter_map(|placed| placed.item.as_text())
}

/// Whether a character is meaningless outside its face.
fn private(c: char) -> bool {
    matches!(u32::from(c), 0xE000..=0xF8FF | 0xF0000..=0xFFFFD | 0x10_0000..=0x10_FFFD)
}

/// Looks through all runs and embeds every face that one of them uses.
pub(super) fn embed(booklet: &Booklet, faces: &FontBook) -> Result<BTreeMap<FaceId, EmbeddedFace>, PdfError> {
    let mut used: BTreeMap<FaceId, UsedGlyphs> = BTreeMap::new();
    for run in runs(booklet) {
        let used = used.entry(run.face).or_default();
        for (range, text) in clusters(run) {
            if run.glyphs[range.clone()].iter().any(|glyph| glyph.id == 0) {
                return Err(PdfError::MissingGlyph(text.to_owned()));
            }
            if run.actual.is_none() && text.chars().any(private) {
                return Err(PdfError::PrivateUse(text.to_owned()));
            }
            match meanings(range.len(), text) {
                Some(meanings) => {
                    for (glyph, meaning) in run.glyphs[range].iter().zip(meanings) {
                        let votes = used.of(glyph.id);
                        match votes.iter_mut().find(|(known, _)| *known == meaning) {
                            Some((_, count)) => *count += 1,
                            None => votes.push((meaning.into_owned(), 1)),
                        }
                    }
                }
                None => {
                    for glyph in &run.glyphs[range] {
                        used.of(glyph.id);
                    }
                }
            }
        }
    }
    let mut embedded = BTreeMap::new();
    for (face, used) in used {
        if used.0.iter().any(Option::is_some) {
            embedded.insert(face, reduce(face, &used, faces)?);
        }
    }
    Ok(embedded)
}

/// What a glyph was meant to say, and how often.
type Votes = Vec<(String, usize)>;

/// The glyphs of a face that are used, by their numbers.
#[derive(Default)]
struct UsedGlyphs(Vec<Option<Votes>>);

impl UsedGlyphs {
    fn of(&mut self, glyph: u16) -> &mut Votes {
        let at = usize::from(glyph);
        if at >= self.0.len() {
            self.0.resize(at + 1, None);
        }
        self.0[at].get_or_insert_default()
    }
    fn iter(&self) -> impl Iterator<Item = (u16, &Votes)> {
        (0..=u16::MAX).zip(&self.0).filter_map(|(glyph, votes)| Some((glyph, votes.as_ref()?)))
    }
}

fn reduce(face: FaceId, used: &UsedGlyphs, faces: &FontBook) -> Result<EmbeddedFace, PdfError> {
    let program = faces.faces().find(|(id, _)| *id == face).map(|(_, face)| face).ok_or(PdfError::UnknownFace(face))?;
    let failed = |why: &str| PdfError::Face(format!("{}: {why}", program.name));
    let cut = subset(program.bytes(), &used.iter().map(|(glyph, _)| glyph).collect()).map_err(|why| failed(&why))?;
    let mut parsed = printpdf::ParsedFont::from_bytes(&cut.bytes, 0, &mut Vec::new())
        .ok_or_else(|| failed("the reduced program cannot be read back"))?;
    let name: String = program.name.chars().filter(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_')).collect();
    parsed.font_name = Some(name.clone());
    let units_per_em = parsed.units_per_em;
    let mut table = Vec::new();
    let mut places = vec![EmbeddedFace::NONE; used.0.len()];
    for (id, votes) in used.iter() {
        let code = *cut.glyphs.get(&id).ok_or_else(|| failed("a glyph was lost"))?;
        let units = parsed.get_glyph_width(code).ok_or_else(|| failed("a glyph has no width"))?;
        // The meaning most often meant; of several, the first in order of characters, so that it never depends on
        // the order of pages.
        let meaning = votes
            .iter()
            .max_by(|a, b| a.1.cmp(&b.1).then_with(|| b.0.cmp(&a.0)))
            .map_or_else(|| " ".to_owned(), |(meaning, _)| meaning.clone());
        places[usize::from(id)] = table.len() as u16;
        table.push(EmbeddedGlyph { code, width: written_width(units, units_per_em), meaning });
    }
    Ok(EmbeddedFace {
        resource: format!("T{}", face.0),
        base_name: format!("{}+{name}", prefix(&cut.bytes)),
        parsed,
        glyphs: table,
        places,
    })
}

/// Six capitals that differ when the reduced programs differ (ISO 32000-1, 9.6.4).
pub(super) fn prefix(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().take(6).map(|byte| char::from(b'A' + byte % 26)).collect()
}

/// Cuts a run into stretches that read right by the meanings of their glyphs, and those that need words beside them.
pub(super) fn stretches(run: &TextRun, face: &EmbeddedFace) -> Vec<GlyphStretch> {
    let mut out: Vec<GlyphStretch> = Vec::new();
    for (range, text) in clusters(run) {
        let meant = |glyph: &Glyph, meaning: &str| face.glyph(glyph.id).is_some_and(|g| g.meaning == meaning);
        let fits = meanings(range.len(), text).is_some_and(|mut meanings| {
            run.glyphs[range.clone()].iter().zip(&mut meanings).all(|(glyph, meaning)| meant(glyph, &meaning))
        });
        match out.last_mut() {
            Some(last) if fits && last.actual.is_none() => last.glyphs.end = range.end,
            Some(_) | None => {
                out.push(GlyphStretch { glyphs: range, actual: (!fits).then(|| text.to_owned()) });
            }
        }
    }
    out
}
