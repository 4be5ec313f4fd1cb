//! A page's content as the stream it is written as.
//!
//! It is deflated as soon as the page is drawn: until the file is whole, the content of thousands of pages is held.

use super::error::PdfError;
use super::options::Options;
use super::pack::{self, deflated};
use super::{licence_line, prepress};
use crate::page::{Booklet, Item};
use lopdf::{Dictionary, Stream};

/// A file of more pages is worth a longer search on each of them.
const LONG: usize = 200;

/// The stream of page `index`: what was drawn on it, and what every page has besides.
pub(super) fn page_stream(
    booklet: &Booklet,
    index: usize,
    mut content: Vec<u8>,
    in_inks: bool,
    options: Options,
) -> Result<Stream, PdfError> {
    let page = &booklet.pages[index];
    content.extend(match (&booklet.licence_line, in_inks) {
        // A shop prints no copy for one buyer.
        (_, true) => prepress::page_marks(index, page),
        (Some(line), false) => licence_line::content(line, page, options.tagged),
        (None, false) => Vec::new(),
    });
    let mut items = page.frames.iter().flat_map(|frame| &frame.items);
    let has_grid = items.any(|placed| matches!(&placed.item, Item::Cells(cells) if cells.cells.len() > 1));
    let deflate = match booklet.pages.len() > LONG {
        true => pack::deflated_long,
        false if has_grid => deflated,
        false => pack::deflated_plainly,
    };
    deflate(Dictionary::new(), &content)
}
