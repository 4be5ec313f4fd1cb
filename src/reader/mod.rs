//! Reads a finished PDF page by page: what is drawn where, its text, its fonts, its fields and links.
//!
//! Shares no code with the writer, and judges nothing: names of resources, drawing order, marked content and metadata carry
//! no meaning here.

pub(crate) mod colour_space;
pub(crate) mod document;
pub(crate) mod face;
pub(crate) mod fields;
pub(crate) mod interpret;
pub(crate) mod lines;
pub(crate) mod making;
pub(crate) mod marks;
pub(crate) mod matrix;
pub(crate) mod outline;
pub(crate) mod reading;
mod remarks;
pub(crate) mod scan;
mod state;

pub use document::{PageBoxes, ReadError};
pub use face::PdfFont;
pub use fields::{LinkField, TickField};
pub use lines::{Stretch, Word, stretches};
pub use making::{Making, making};
pub use marks::{PageGlyph, PageMarks, Paint, PaintKind, PaintedMark, Part, Subpath};
pub use matrix::{Bounds, PagePoint};
pub use reading::{PdfReader, ReadPage};
