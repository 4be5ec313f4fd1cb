//! Pages to bytes: contents are written straight; printpdf makes the document, lopdf finishes it.
//!
//! Comes in: a [`Booklet`] and the faces it was set in. Goes out: a whole PDF file, the same bytes for the same
//! booklet. Knows nothing of charts, patterns or phrases: whatever it must know stands in a role or an item.

mod colour_profile;
mod content;
pub mod copies;
mod draw;
mod finish;
mod fonts;
mod forms;
pub mod impose;
mod ink;
mod licence_line;
mod links;
pub mod marks;
mod metadata;
mod outline;
mod pack;
mod pictures;
mod resources;
mod shop;
mod tags;
#[cfg(test)]
mod tests;
mod text;

pub use ink::{PrinterProfile, USUAL_INK};
pub use shop::{CoarsePicture, ForShop};

use crate::font::FontBook;
use crate::geom::{Length, Point, Rect};
use crate::page::{Booklet, FaceId, Page};
use ink::Inks;

/// What the file is to be able to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Whether [`crate::page::Item::Tick`] becomes a field that can be ticked on a screen.
    pub ticks: bool,
    /// Whether the file carries its logical structure and claims PDF/UA-1 and PDF/A-2a. Without it, it claims
    /// PDF/A-2b-like care but nothing in its metadata: for sheets that are imposed, and for measuring.
    pub tagged: bool,
}

impl Default for Options {
    fn default() -> Options {
        Options { ticks: true, tagged: true }
    }
}

/// Why a booklet could not be written. All of these are faults of what came in, never of its look.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PdfError {
    /// A run names a face that the font book does not have.
    UnknownFace(FaceId),
    /// A face could not be reduced to the glyphs in use; the text says why.
    Face(String),
    /// A run holds the glyph for "no such character"; the text is what it stands for.
    MissingGlyph(String),
    /// A run of text in the private use area has no words to be spoken instead.
    PrivateUse(String),
    /// A picture is neither a JPEG nor a PNG file that can be read; the text says why.
    Picture(String),
    /// An item names a picture that the booklet does not have.
    UnknownPicture(usize),
    /// A field or link leads to a page that the booklet does not have.
    UnknownPage(usize),
    /// A field's name is empty or holds a full stop, which would make it a name of several parts.
    FieldName(String),
    /// A field or link is marked as an artifact, so that nobody could reach it with a screen reader.
    Unreachable(String),
    /// A booklet without pages.
    NoPages,
    /// The drawing library complained.
    Drawing(String),
    /// The file could not be put together.
    Writing(String),
}

impl std::fmt::Display for PdfError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            PdfError::UnknownFace(face) => write!(f, "no face with number {}", face.0),
            PdfError::Face(why) => write!(f, "a face cannot be embedded: {why}"),
            PdfError::MissingGlyph(text) => write!(f, "no glyph for `{text}`"),
            PdfError::PrivateUse(text) => {
                write!(f, "`{}` has no meaning outside its face", text.escape_unicode())
            }
            PdfError::Picture(why) => write!(f, "a picture cannot be embedded: {why}"),
            PdfError::UnknownPicture(index) => write!(f, "no picture with number {index}"),
            PdfError::UnknownPage(index) => write!(f, "no page with number {index}"),
            PdfError::FieldName(name) => write!(f, "`{name}` cannot be the name of a field"),
            PdfError::Unreachable(label) => write!(f, "`{label}` is marked as an artifact but must be reached"),
            PdfError::NoPages => write!(f, "there are no pages"),
            PdfError::Drawing(why) => write!(f, "the page could not be drawn: {why}"),
            PdfError::Writing(why) => write!(f, "the file could not be put together: {why}"),
        }
    }
}

impl std::error::Error for PdfError {}

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
pub fn write_for_shop(booklet: &Booklet, fonts: &FontBook, profile: &PrinterProfile) -> Result<ForShop, PdfError> {
    if booklet.pages.is_empty() {
        return Err(PdfError::NoPages);
    }
    let resources = resources::gather(booklet, fonts, Inks::Shop(profile))?;
    let pictures = resources.pictures.values().filter_map(|picture| picture.asked);
    let asked = pictures.fold(shop::asked(booklet, profile), f64::max);
    let options = Options { ticks: false, tagged: false };
    let drawn = draw::pages(booklet, &resources, options)?;
    let bytes = finish::document(booklet, resources, drawn, options)?;
    Ok(ForShop { bytes, pages: booklet.pages.len(), asked, coarse: shop::coarse(booklet) })
}

/// Where a page's own coordinates lie in PDF's: from the bottom left of the media, y upwards.
#[derive(Clone, Copy, Debug)]
struct Place {
    /// Left edge of the trim.
    left: f64,
    /// Top edge of the trim.
    top: f64,
}

impl Place {
    /// For one page.
    fn on(page: &Page) -> Place {
        Place { left: page.bleed.to_pt(), top: page.bleed.to_pt() + page.trim.height.to_pt() }
    }
    /// A point.
    fn point(self, p: Point) -> (f64, f64) {
        (self.left + p.x.to_pt(), self.top - p.y.to_pt())
    }
    /// A height.
    fn height(self, y: Length) -> f64 {
        self.top - y.to_pt()
    }
    /// A box: left, bottom, right, top.
    fn rect(self, r: Rect) -> [f64; 4] {
        let (left, top) = self.point(r.origin);
        [left, top - r.size.height.to_pt(), left + r.size.width.to_pt(), top]
    }
}
