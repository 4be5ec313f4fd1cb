//! A finished file opened for reading, page by page.

use super::document::{PageBoxes, PdfFile, ReadError};
use super::face::PdfFont;
use super::fields::{TickField, fields};
use super::interpret::{Faces, interpret};
use super::making::{self, Making};
use super::marks::PageMarks;
use lopdf::ObjectId;

/// An opened file.
pub(crate) struct PdfReader {
    opened: PdfFile,
    faces: Faces,
    pages: Vec<ObjectId>,
}

/// One page as it was read.
#[derive(Clone, Debug)]
pub(crate) struct ReadPage {
    /// Its boxes.
    pub(crate) boxes: PageBoxes,
    /// What is drawn on it.
    pub(crate) drawn: PageMarks,
    /// Boxes that can be ticked.
    pub(crate) ticks: Vec<TickField>,
}

impl PdfReader {
    /// Opens a file.
    pub(crate) fn open(bytes: &[u8]) -> Result<PdfReader, ReadError> {
        let opened = PdfFile::new(bytes)?;
        let pages = opened.pages();
        Ok(PdfReader { opened, faces: Faces::default(), pages })
    }

    /// What it says of itself. `None`: it has no catalogue.
    pub(crate) fn making(&self) -> Option<Making> {
        making::of(&self.opened)
    }

    /// How many pages it has.
    pub(crate) fn pages(&self) -> usize {
        self.pages.len()
    }

    /// Fonts met on the pages read so far; glyphs refer to them by index.
    pub(crate) fn faces(&self) -> &[PdfFont] {
        &self.faces.faces
    }

    /// Reads a page, counted from 1.
    pub(crate) fn page(&mut self, number: usize) -> Result<ReadPage, ReadError> {
        let none = || ReadError::Page(format!("there is no page {number}"));
        let id = number.checked_sub(1).and_then(|at| self.pages.get(at)).ok_or_else(none)?;
        let page = self.opened.document.get_dictionary(*id).map_err(|_| none())?.clone();
        let boxes = self
            .opened
            .boxes(&page)
            .ok_or_else(|| ReadError::Page("the page does not say how large it is".to_owned()))?;
        let to_page = boxes.to_page();
        let drawn = interpret(&self.opened, &mut self.faces, &page, to_page);
        let ticks = fields(&self.opened, &page, &to_page);
        Ok(ReadPage { boxes, drawn, ticks })
    }

    pub(crate) fn opened(&self) -> &PdfFile {
        &self.opened
    }
}
