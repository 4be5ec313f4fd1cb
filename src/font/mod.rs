//! Faces: which there are, what they cover, how they shape a word, and how they are cut down for embedding.
//!
//! A [`FontBook`] holds the faces of one run: those that ship with the program and those a maker adds. Glyph ids and
//! metrics leave this room in font units; sizes, lines and paragraphs are the business of `text`. With `text` this is
//! the only door to harfrust.

mod book;
mod face;
mod features;
mod file;
mod role;
mod shaping;
mod shipped;
mod subset;

pub use book::FontBook;
pub(crate) use face::Face;
pub(crate) use features::Features;
pub(crate) use role::FontRole;
pub(crate) use shaping::RawGlyph;
pub(crate) use subset::subset;

#[cfg(test)]
mod tests;
