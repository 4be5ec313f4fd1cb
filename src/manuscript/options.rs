//! What an edition asks of the manuscript.

use crate::page::PictureFile;

/// What an edition asks for.
#[derive(Clone, Debug, Default)]
pub struct WriteOptions<'a> {
    /// Names of sections in the edition's order. A name that stands for no section is passed over: the edition's check
    /// has named it.
    pub sections: &'a [String],
    /// Name of each yarn's symbol, in the palette's order.
    pub symbols: &'a [String],
    /// Whether the rows in words go with the chart's sheets.
    pub rows_alongside: bool,
    /// Students of a class: adds totals to the materials edition.
    pub students: Option<usize>,
    /// The maker's photograph for the cover, read and ready; `None`: the panel is drawn.
    pub photograph: Option<PictureFile>,
}
