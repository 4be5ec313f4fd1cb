//! What an edition asks of the manuscript.

use crate::catalogue::{EditionName, SectionName};
use crate::page::PictureFile;
use std::path::PathBuf;

/// What an edition asks for.
#[derive(Clone, Debug, Default)]
pub(crate) struct WriteOptions<'a> {
    /// Which edition it is.
    pub(crate) edition: EditionName,
    /// Sections in the edition's order.
    pub(crate) sections: &'a [SectionName],
    /// Name of each yarn's symbol, in the palette's order.
    pub(crate) symbols: &'a [String],
    /// Whether the rows in words go with the chart's sheets.
    pub(crate) rows_alongside: bool,
    /// Students of a class: adds totals to the materials edition.
    pub(crate) students: Option<usize>,
    /// The maker's pictures, read and ready, by the names that the project has for them.
    pub(crate) pictures: &'a [(PathBuf, PictureFile)],
}
