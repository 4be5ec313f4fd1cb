//! Where text stands on a page: the area inside the margins, and its columns.

use crate::catalogue::StyleName;
use crate::edition::Edition;
use crate::geom::{Length, Rect};

/// The size of folios that margins are made for.
const USUAL_FOLIO: Length = Length::pt(9.0);

/// The columns of the text area.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ColumnWidths {
    /// Whole width.
    pub(crate) full: Length,
    /// Left edge of the text column.
    pub(crate) text_left: Length,
    /// Width of the text column.
    pub(crate) text: Length,
    /// Width of the side column; zero where there is none.
    pub(crate) side: Length,
    /// Height of the text area.
    pub(crate) height: Length,
}

/// The text area of an upright right page, or of any where pages do not face each other: the spine at the left.
pub(crate) fn text_area(edition: &Edition) -> Rect {
    let paper = &edition.paper;
    // The foot line must never read as the next line of the text: the larger both are, the farther they stand apart.
    let foot = (edition.look.style(StyleName::Folio).size - USUAL_FOLIO).max(Length::ZERO);
    Rect::new(
        paper.inner,
        paper.top,
        paper.size.width - paper.inner - paper.outer,
        paper.size.height - paper.top - paper.bottom - foot,
    )
}

/// The columns of the text area.
pub(crate) fn columns(edition: &Edition) -> ColumnWidths {
    let area = text_area(edition);
    let side = if edition.look.side_heads { edition.paper.side } else { Length::ZERO };
    let gutter = if side > Length::ZERO { edition.look.gutter } else { Length::ZERO };
    let text_left = side + gutter;
    ColumnWidths {
        full: area.size.width,
        text_left,
        text: (area.size.width - text_left).min(edition.look.measure),
        side,
        height: area.size.height,
    }
}

/// The text area of a page, counted from 0.
pub(crate) fn page_area(edition: &Edition, page: usize) -> Rect {
    let right = text_area(edition);
    match is_left(edition, page) {
        true => right.moved(edition.paper.outer - edition.paper.inner, Length::ZERO),
        false => right,
    }
}

/// Whether a page lies left of the spine.
pub(crate) fn is_left(edition: &Edition, page: usize) -> bool {
    edition.facing && page % 2 == 1
}
