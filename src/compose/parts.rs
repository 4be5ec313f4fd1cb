//! What the galley needs besides the manuscript: the sheets of its charts, and its drawings, each made once.

use super::chart::ChartSheets;
use crate::as_knotted;
use crate::figure;
use crate::geom::{Point, Rect, Size};
use crate::inks;
use crate::manuscript::Manuscript;
use std::cell::RefCell;
use std::collections::BTreeMap;

/// What the galley needs besides the manuscript.
pub(crate) struct Parts<'a> {
    pub(super) sheets: Vec<ChartSheets<'a>>,
    pub(super) figure_colours: figure::FigureColours,
    pub(super) palette: &'a inks::Palette,
    pub(super) pictures: &'a Manuscript,
    pub(super) drawings: Drawings,
}

/// Drawings that are made already: the galley is set again when page numbers move.
#[derive(Default)]
pub(super) struct Drawings {
    panels: RefCell<BTreeMap<([u64; 2], Vec<[u8; 3]>), as_knotted::KnottedDrawing>>,
}

impl Parts<'_> {
    /// A figure, drawn for this room and these times the usual size of its words. `None`: there is no figure of this name.
    pub(super) fn figure(
        &self,
        shown: figure::Shown,
        room: Size,
        grown: f64,
        mirrored: bool,
    ) -> Option<figure::DrawnFigure> {
        figure::drawn_figure(shown, room, grown, &self.figure_colours, mirrored)
    }

    /// The panel as knotted. A booklet shows one panel, so room and colours say which drawing of it is meant.
    pub(super) fn as_knotted(&self, grid: &crate::manuscript::AsKnottedGrid, room: Size) -> as_knotted::KnottedDrawing {
        let mut made = self.drawings.panels.borrow_mut();
        let area = Rect { origin: Point::default(), size: room };
        let colours = grid.colours.iter().map(|colour| [colour.r, colour.g, colour.b]).collect();
        made.entry((exactly(room), colours)).or_insert_with(|| as_knotted::draw(grid, area)).clone()
    }
}

/// A size as a key: equal only where every bit is.
fn exactly(room: Size) -> [u64; 2] {
    [room.width.to_pt().to_bits(), room.height.to_pt().to_bits()]
}
