//! Reads a finished PDF page by page: what is drawn where, its text, its fonts, its fields.
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

pub(crate) use document::ReadError;
pub(crate) use lines::stretches;
pub(crate) use making::{Making, making};
pub(crate) use marks::{PageMarks, PaintKind, Part};
pub(crate) use reading::PdfReader;
