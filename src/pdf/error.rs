//! Why a booklet could not be written.

use crate::catalogue::SectionName;
use crate::page::FaceId;

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
    /// A link leads to a section whose page nobody found.
    UnknownSection(SectionName),
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
            PdfError::UnknownSection(section) => write!(f, "no page for the section `{section}`"),
            PdfError::FieldName(name) => write!(f, "`{name}` cannot be the name of a field"),
            PdfError::Unreachable(label) => write!(f, "`{label}` is marked as an artifact but must be reached"),
            PdfError::NoPages => write!(f, "there are no pages"),
            PdfError::Drawing(why) => write!(f, "the page could not be drawn: {why}"),
            PdfError::Writing(why) => write!(f, "the file could not be put together: {why}"),
        }
    }
}

impl std::error::Error for PdfError {}

impl From<lopdf::Error> for PdfError {
    fn from(error: lopdf::Error) -> PdfError {
        PdfError::Writing(crate::reader::document::plain(&error))
    }
}
