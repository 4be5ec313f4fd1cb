//! What one yarn's cells look like, whatever their size.

use crate::colour::Colour;
use crate::geom::Size;
use crate::page::CellInk;
use crate::symbol;
use std::sync::Arc;

/// The box of the heaviest symbols as a share of a cell's sides. The rest keeps neighbouring symbols from running together
/// and has room for small marks at the edges.
pub(crate) const MARK_SHARE: f64 = 0.83;
/// Contrast that text needs (WCAG 2.2, level AA).
pub(super) const TEXT_CONTRAST: f64 = 4.5;

/// What one yarn's cells look like, whatever their size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tone {
    /// `None`: the paper.
    pub(crate) ground: Option<Colour>,
    pub(crate) colour: Colour,
    /// The symbol's box as a share of the cell's sides.
    pub(crate) share: f64,
    /// Whether the symbol's figure is drawn instead of it.
    pub(crate) figure: bool,
}

impl Tone {
    /// The look of cells of this size.
    pub(crate) fn cell(self, symbol: &str, size: Size) -> CellInk {
        let area = Size::new(size.width * self.share, size.height * self.share);
        let mark = match self.figure {
            true => symbol::stretched_figure(symbol, area),
            false => symbol::stretched(symbol, area),
        };
        CellInk { ground: self.ground, mark: Arc::new(mark.unwrap_or_default()), colour: self.colour }
    }
}

/// A black symbol on a ground, or on the paper.
pub(super) fn black(ground: Option<Colour>, share: f64) -> Tone {
    Tone { ground, colour: Colour::BLACK, share, figure: false }
}
