//! Cutting a face down to the glyphs a booklet uses.

use std::collections::{BTreeMap, BTreeSet};

/// A face cut down for embedding as a CID font: new glyph ids are CIDs, and the file has no character map of its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Subset {
    /// The font file.
    pub(crate) bytes: Vec<u8>,
    /// Old glyph id to new; holds every glyph asked for and 0, the missing glyph, which every font must have.
    pub(crate) glyphs: BTreeMap<u16, u16>,
}

/// Cuts the font file `bytes` (the first face of a collection) down to `glyphs` and what they are made of. The same
/// input gives the same bytes.
///
/// # Errors
/// Words for people, when the tables needed are broken or of a kind that cannot be cut down (CFF2).
pub(crate) fn subset(bytes: &[u8], glyphs: &BTreeSet<u16>) -> Result<Subset, String> {
    let sorted: Vec<u16> = glyphs.iter().copied().collect();
    let remapper = subsetter::GlyphRemapper::new_from_glyphs_sorted(&sorted);
    let cut = subsetter::subset(bytes, 0, &remapper).map_err(|error| error.to_string())?;
    let glyphs = remapper.remapped_gids().filter_map(|old| Some((old, remapper.get(old)?))).collect();
    Ok(Subset { bytes: cut, glyphs })
}
