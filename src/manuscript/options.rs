//! What an edition asks of the manuscript.

use crate::catalogue::{EditionName, SectionName};
use crate::page::PictureFile;
use std::path::PathBuf;

/// What an edition asks for.
#[derive(Clone, Debug, Default)]
pub struct WriteOptions<'a> {
    /// Which edition it is.
    pub edition: EditionName,
    /// Sections in the edition's order.
    pub sections: &'a [SectionName],
    /// Name of each yarn's symbol, in the palette's order.
    pub symbols: &'a [String],
    /// Whether the rows in words go with the chart's sheets.
    pub rows_alongside: bool,
    /// Students of a class: adds totals to the materials edition.
    pub students: Option<usize>,
    /// The maker's pictures, read and ready, by the names that the project has for them.
    pub pictures: &'a [(PathBuf, PictureFile)],
}
