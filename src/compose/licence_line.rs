//! The line that says whose copy a booklet is: how much room a page keeps for it, and the line itself.

use crate::catalogue::FrameName;
use crate::colour::Colour;
use crate::diag::Diagnostic;
use crate::edition::Edition;
use crate::font::{Features, FontBook, FontRole};
use crate::geom::{Length, Point, Rect, Size};
use crate::page::{Artifact, Booklet, Frame, Item, LicenceLine, Mark, Page, PlacedItem, TextRun};
use crate::text;
use std::sync::Arc;

/// Above the foot of the page: printers cannot reach the last 4 mm.
const FOOT: Length = Length::mm(4.2);
/// Height of the room.
const HEIGHT: Length = Length::mm(2.8);
/// Size of the type, as a share of the room's height.
const TYPE: f64 = 0.85;
/// The baseline above the room's lower edge, as a share of its height.
const BASELINE: f64 = 0.27;
/// A quiet grey that still stands at 7:1 on white.
const GREY: Colour = Colour::new(0x55, 0x55, 0x55);

/// The room that every page of an edition keeps, below the folio even of its chart sheets.
pub(super) fn room(edition: &Edition) -> LicenceLine {
    let paper = &edition.paper;
    let least = paper.chart_margin.min(paper.bottom);
    let width =
        paper.size.width.min(paper.size.height) - (paper.chart_margin + paper.chart_margin).max(Length::mm(8.0));
    LicenceLine { size: Size::new(width, HEIGHT.min(least * 0.55)), foot: FOOT.min(least * 0.12) }
}

/// A booklet of one page of the room's size, with the line in it.
///
/// # Errors
/// Diagnostics without a place: a character that no face has, or a line too long for the room.
pub fn set(words: &str, room: Size, book: &FontBook, language: &str) -> Result<Booklet, Vec<Diagnostic>> {
    let size = room.height * TYPE;
    let shaped = text::shape_line(book, book.role(FontRole::Figures), size, words, Features::default(), language);
    let mut faults: Vec<Diagnostic> = shaped.missing.of_a_name();
    if !shaped.width.fits(room.width) {
        faults.push(
            Diagnostic::fault(
                "line-too-long",
                format!(
                    "the line is `{:.0}` mm long and the page has room for `{:.0}` mm",
                    shaped.width.to_mm(),
                    room.width.to_mm()
                ),
            )
            .hint("shorten the name"),
        );
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut x = (room.width - shaped.width) / 2.0;
    let mut items = Vec::new();
    for piece in shaped.pieces {
        let width: Length = piece.glyphs.iter().map(|glyph| glyph.advance).sum();
        let run = TextRun {
            face: piece.face,
            size,
            colour: GREY,
            origin: Point::new(x, room.height * (1.0 - BASELINE)),
            glyphs: Arc::new(piece.glyphs),
            text: words[piece.range].to_string(),
            actual: None,
            language: None,
            turn: 0.0,
        };
        items.push(PlacedItem { mark: Mark::Artifact(Artifact::Footer), item: Item::Text(run) });
        x += width;
    }
    let area = Rect { origin: Point::default(), size: room };
    let frames = vec![Frame { name: FrameName::LicenceLine, area, items }];
    let page = Page { trim: room, bleed: Length::ZERO, label: String::new(), frames };
    Ok(Booklet { pages: vec![page], ..Booklet::default() })
}
