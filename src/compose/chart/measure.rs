//! Measures that sheets have in common: the area inside their margins, strips and sizes of numbers.

use crate::catalogue::StyleName;
use crate::compose::setter::Setter;
use crate::edition::Edition;
use crate::geom::{Length, Rect, Size};
use crate::manuscript::ChartBlock;

/// Between the grid and what stands beside it.
pub(crate) const GAP: Length = Length::mm(0.9);
/// Knots this much wider or narrower than high are not called square.
const NEARLY_SQUARE: f64 = 0.05;

/// Whether cells of these proportions are square although the knots are not.
pub(crate) fn squared(block: &ChartBlock, aspect: f64) -> bool {
    (aspect - 1.0).abs() < 1e-9 && (block.aspect - 1.0).abs() > NEARLY_SQUARE
}

/// Height of the strip with the column numbers.
pub(crate) fn strip(setter: &Setter) -> Length {
    GAP * 2.0 + setter.style(StyleName::CellNumber).size
}

/// Figures are as large as their style says, or as their row allows: they rise by less than seven tenths of their size.
pub(crate) fn number_size(cell: Size, setter: &Setter) -> Length {
    setter.style(StyleName::CellNumber).size.min(cell.height * 0.92)
}

/// The page inside the chart margins, without head and folio.
pub(crate) fn sheet_area(edition: &Edition, turned: bool) -> Rect {
    let paper = &edition.paper;
    let size = if turned { Size::new(paper.size.height, paper.size.width) } else { paper.size };
    let margin = paper.chart_margin;
    // The folio stands below the sheet, inside the margin's upper part.
    let folio = edition.look.style(StyleName::Folio).size * 0.75 + Length::mm(2.0);
    let foot = if edition.folio { folio.max(Length::mm(5.0)) } else { Length::ZERO };
    let head = if edition.running_head { Length::mm(5.0) } else { Length::ZERO };
    Rect::new(margin, margin + head, size.width - margin * 2.0, size.height - margin * 2.0 - foot - head)
}
