//! A finished file opened for reading, page by page.

use super::document::{Opened, PageBoxes, Unreadable};
use super::face::Face;
use super::fields::{LinkField, TickField, fields};
use super::interpret::{Faces, interpret};
use super::marks::Drawn;
use lopdf::ObjectId;

/// An opened file.
pub struct Reading {
    opened: Opened,
    faces: Faces,
    pages: Vec<ObjectId>,
}

/// One page as it was read.
#[derive(Clone, Debug)]
pub struct PageRead {
    /// Its boxes.
    pub boxes: PageBoxes,
    /// What is drawn on it.
    pub drawn: Drawn,
    /// Boxes that can be ticked.
    pub ticks: Vec<TickField>,
    /// Areas that lead somewhere.
    pub links: Vec<LinkField>,
}

impl Reading {
    /// Opens a file.
    pub fn open(bytes: &[u8]) -> Result<Reading, Unreadable> {
        let opened = Opened::new(bytes)?;
        let pages = opened.pages();
        Ok(Reading { opened, faces: Faces::default(), pages })
    }

    /// How many pages it has.
    pub fn pages(&self) -> usize {
        self.pages.len()
    }

    /// Fonts met on the pages read so far; glyphs refer to them by index.
    pub fn faces(&self) -> &[Face] {
        &self.faces.faces
    }

    /// Reads a page, counted from 1.
    pub fn page(&mut self, number: usize) -> Result<PageRead, Unreadable> {
        let none = || Unreadable(format!("there is no page {number}"));
        let id = number.checked_sub(1).and_then(|at| self.pages.get(at)).ok_or_else(none)?;
        let page = self.opened.document.get_dictionary(*id).map_err(|_| none())?.clone();
        let boxes =
            self.opened.boxes(&page).ok_or_else(|| Unreadable("the page does not say how large it is".to_owned()))?;
        let to_page = boxes.to_page();
        let drawn = interpret(&mut self.opened, &mut self.faces, &page, to_page);
        let (ticks, links) = fields(&self.opened, &page, &to_page);
        Ok(PageRead { boxes, drawn, ticks, links })
    }

    pub(super) fn opened(&mut self) -> &mut Opened {
        &mut self.opened
    }
}
