//! Pages to bytes: contents are written straight; printpdf makes the document, lopdf finishes it.
//!
//! Comes in: a [`Booklet`] and the faces it was set in. Goes out: a whole PDF file, the same bytes for the same
//! booklet. Knows nothing of charts, patterns or phrases: whatever it must know stands in a role or an item.

mod below;
mod colour_profile;
mod content;
pub mod copies;
mod draw;
mod drawn;
mod error;
mod finish;
mod finisher;
mod fonts;
mod forms;
pub mod impose;
mod ink;
mod licence_line;
mod links;
mod making;
pub(crate) mod marks;
mod metadata;
mod number;
mod options;
mod outline;
mod pack;
mod page_stream;
mod painter;
mod pictures;
mod place;
mod plates;
mod prepress;
mod resources;
mod shapes;
mod tags;
#[cfg(test)]
mod tests;
mod text;
mod typing;

pub(crate) use error::PdfError;
pub use ink::{PrinterProfile, USUAL_INK};
pub use options::Options;
pub use prepress::{CoarsePicture, PrepressFile};

use crate::font::FontBook;
use crate::page::Booklet;
use ink::Inks;

/// Writes a booklet as a PDF 1.7 file.
///
/// # Errors
/// See [`PdfError`].
pub fn write(booklet: &Booklet, fonts: &FontBook, options: Options) -> Result<Vec<u8>, PdfError> {
    if booklet.pages.is_empty() {
        return Err(PdfError::NoPages);
    }
    let resources = resources::gather(booklet, fonts, Inks::Screen)?;
    let drawn = draw::pages(booklet, &resources, options)?;
    finish::document(booklet, resources, drawn, options)
}

/// Writes a booklet as a PDF/X-4 file in the inks of a print shop: without tags, fields, links and outline, with bleed and
/// marks round every page.
///
/// # Errors
/// See [`PdfError`].
pub fn write_prepress(booklet: &Booklet, fonts: &FontBook, profile: &PrinterProfile) -> Result<PrepressFile, PdfError> {
    if booklet.pages.is_empty() {
        return Err(PdfError::NoPages);
    }
    let resources = resources::gather(booklet, fonts, Inks::Prepress(profile))?;
    let pictures = resources.pictures.values().filter_map(|picture| picture.asked);
    let asked = pictures.fold(prepress::asked(booklet, profile), f64::max);
    let options = Options { ticks: false, tagged: false };
    let drawn = draw::pages(booklet, &resources, options)?;
    let bytes = finish::document(booklet, resources, drawn, options)?;
    Ok(PrepressFile { bytes, pages: booklet.pages.len(), asked, coarse: prepress::coarse(booklet) })
}
