//! What the galley is made of: pieces that are never cut, with what is said of them when pages are made up.

use crate::catalogue::SectionName;
use crate::geom::Length;
use crate::page::{NodeId, PlacedItem};

/// What is never cut.
#[derive(Debug, Default)]
pub(crate) struct Piece {
    /// Height in the text column.
    pub(crate) height: Length,
    /// Height in the side column, where something hangs there; 0 otherwise.
    pub(crate) side: Length,
    /// What hangs in the side column leaves room for the heading there by itself.
    pub(crate) below_heading: bool,
    /// Whether it runs over the side column too and must clear what hangs there.
    pub(crate) wide: bool,
    /// Space above; dropped at the head of a page.
    pub(crate) before: Length,
    /// Space below; dropped at the foot of a page.
    pub(crate) after: Length,
    /// Never parted from the next piece.
    pub(crate) keep: bool,
    /// It keeps with the next piece for looks alone, and is parted from it where much of a page would stay white.
    pub(crate) soft: bool,
    /// A line in the middle of a row: it becomes `soft` where that saves a page.
    pub(crate) may_part: bool,
    /// A line that would leave another one alone, or a sentence of instruction cut: the next stays with it even where all
    /// that keeps together is higher than a page.
    pub(crate) tight: bool,
    /// A title or heading: two lines of what follows stay with it.
    pub(crate) heading: bool,
    /// Where a numbered step begins.
    pub(crate) step: bool,
    /// Items from the left edge of the text area and the piece's top.
    pub(crate) items: Vec<PlacedItem>,
    /// What is drawn again above the first piece on a new page: the head of a table.
    pub(crate) head: Option<usize>,
    /// Where a section or heading begins.
    pub(crate) anchors: Vec<Anchor>,
    /// What kind it is.
    pub(crate) kind: PieceKind,
}

/// Kinds of piece.
#[derive(Debug, Default, PartialEq, Eq, Clone, Copy)]
pub(crate) enum PieceKind {
    /// Stands in the text column.
    #[default]
    Flow,
    /// What follows starts a new page.
    NewPage,
    /// Chart sheet: number of the chart, number of the sheet.
    Sheet(usize, usize),
    /// Stands at the foot of its page, whatever room is left.
    Foot,
}

/// The beginning of something that can be led to.
#[derive(Debug, Clone)]
pub(crate) struct Anchor {
    /// The section, for its title.
    pub(crate) section: Option<SectionName>,
    /// Outline level and words; `None`: not in the outline.
    pub(crate) outline: Option<(u8, String)>,
}

/// A head that is drawn again.
#[derive(Debug, Clone)]
pub(crate) struct RepeatedHead {
    /// Height.
    pub(crate) height: Length,
    /// Items, none of them content: what they say was said where the head stands first.
    pub(crate) items: Vec<PlacedItem>,
}

/// The whole galley.
#[derive(Debug, Default)]
pub(crate) struct Galley {
    /// Pieces in order.
    pub(crate) pieces: Vec<Piece>,
    /// Heads drawn again.
    pub(crate) heads: Vec<RepeatedHead>,
    /// Drawings that may stand at either end of their section.
    pub(crate) drawings: Vec<MovableDrawing>,
}

/// A drawing that may also stand after all else that its section says.
#[derive(Debug, Clone)]
pub(crate) struct MovableDrawing {
    /// The first of its pieces.
    pub(crate) from: usize,
    /// The first piece after it.
    pub(crate) to: usize,
    /// The first piece after its section.
    pub(crate) end: usize,
    /// Its place in the structure.
    pub(crate) node: NodeId,
}

/// Keeps pieces with those after them for looks alone.
pub(crate) fn keep_softly(pieces: &mut [Piece]) {
    for piece in pieces.iter_mut().filter(|piece| !piece.keep) {
        (piece.keep, piece.soft) = (true, true);
    }
}

/// How the lines of a text hold together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Keep {
    /// May be cut, but never with one line alone.
    Loose,
    /// Never cut.
    Whole,
    /// Never cut, nor parted from what follows.
    WholeAndNext,
}
