//! How large a swatch suits a panel.

use super::context::WriteContext;

/// Swatches, from the largest: a side in columns and rows, and the part of it in the middle that is measured.
const SWATCHES: [(usize, usize); 3] = [(20, 16), (12, 8), (8, 6)];
/// A swatch takes this part of the panel's knots at most.
const MOST_PART: usize = 4;

/// The swatch that suits this panel; `None`: the panel is hardly larger than a swatch itself.
pub(super) fn swatch(context: &WriteContext) -> Option<(usize, usize)> {
    let chart = &context.project.chart;
    SWATCHES.into_iter().find(|(side, _)| *side <= chart.columns() && side * side * MOST_PART <= chart.cells().len())
}
