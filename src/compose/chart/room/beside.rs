//! What stands beside a row: room for its number, arrow and box, and for its run counts.

use crate::catalogue::StyleName;
use crate::colour::Colour;
use crate::compose::chart::measure::GAP;
use crate::compose::setter::Setter;
use crate::compose::tile::{SheetCells, SheetPlan};
use crate::geom::{Length, Size};
use crate::manuscript::ChartBlock;

/// A box drawn to be ticked is never wider than this beside figures of the usual size.
const BOX: Length = Length::mm(4.2);
/// Least width of a tick target, so that a fingertip hits it.
const TARGET: Length = Length::mm(6.4);
const ARROW: Size = Size::new(Length::mm(3.0), Length::mm(1.4));
/// The size of figures that boxes and arrows were drawn for; beside larger ones they are larger too.
const USUAL_FIGURES: Length = Length::pt(10.0);
/// Run counts are smaller than row numbers.
pub(crate) const COUNT_SIZE: f64 = 0.8;
/// Parts one run count from the next.
pub(crate) const BETWEEN_COUNTS: &str = "·";

/// Measures of what stands beside a row, the same on every sheet of a chart.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Beside {
    /// Room for the widest row number.
    number: Length,
    pub(crate) arrow: Size,
    pub(crate) most_box: Length,
    pub(crate) target: Length,
    /// Room for run counts where a row ends; never less than what stands where it starts leaves anyway.
    counts: Length,
}

impl Beside {
    pub(crate) fn of(block: &ChartBlock, setter: &Setter) -> Beside {
        let ends = block.rows.first().into_iter().chain(block.rows.last());
        let number =
            ends.map(|row| setter.line(StyleName::CellNumber, &row.number).width).fold(Length::ZERO, Length::max);
        let larger = (setter.style(StyleName::CellNumber).size / USUAL_FIGURES).max(1.0);
        // Boxes and arrows grow more slowly than figures: they are seen, not read.
        let grown = 1.0 + (larger - 1.0) * 0.78;
        let most_box = BOX * grown;
        Beside {
            number,
            arrow: Size::new(ARROW.width * grown, ARROW.height * grown),
            most_box,
            target: TARGET.max(most_box),
            counts: Length::ZERO,
        }
    }
    /// The same with at least this much room for run counts.
    pub(crate) fn with_counts(self, counts: Length) -> Beside {
        Beside { counts, ..self }
    }
    /// Width beside the grid, the same at both sides.
    pub(crate) fn gutter(self) -> Length {
        let start = GAP * 3.0 + self.number + self.arrow.width + self.target;
        start.max(GAP * 2.0 + self.counts) + Length::mm(0.6)
    }
    /// Room for run counts.
    pub(crate) fn room_for_counts(self) -> Length {
        self.gutter() - GAP * 2.0 - Length::mm(0.6)
    }
    pub(crate) fn arrow_at(self) -> Length {
        GAP * 2.0 + self.number
    }
    pub(crate) fn box_at(self) -> Length {
        self.arrow_at() + self.arrow.width + GAP
    }
}

/// Knots of one yarn after another in a row's part on a sheet, in the order they are tied; what the sheet shows again is
/// left out, so that a row's figures on all sheets add up to its knots.
pub(crate) fn runs(block: &ChartBlock, sheet: &SheetCells, row: usize) -> Vec<usize> {
    let start = row * block.columns;
    let cells = &block.cells[start..start + block.columns][sheet.own_columns()];
    let stretches = cells.chunk_by(|a, b| a == b).filter(|run| run[0].is_some());
    let mut out: Vec<usize> = stretches.map(<[Option<u8>]>::len).collect();
    if !block.rows[row].left_to_right {
        out.reverse();
    }
    out
}

/// The room that the longest row of run counts on any sheet would take.
pub(crate) fn widest_counts(block: &ChartBlock, plan: &SheetPlan, setter: &Setter) -> Length {
    let size = setter.style(StyleName::CellNumber).size * COUNT_SIZE;
    plan.sheets.iter().map(|sheet| widest_on(block, sheet, setter, size)).fold(Length::ZERO, Length::max)
}

/// The room that the longest row of run counts on a sheet would take.
pub(crate) fn widest_on(block: &ChartBlock, sheet: &SheetCells, setter: &Setter, size: Length) -> Length {
    let width = |text: &str| setter.line_in(StyleName::CellNumber, text, size, Colour::BLACK).width;
    let (digit, between) = (width("0"), width(BETWEEN_COUNTS));
    let of = |counts: Vec<usize>| {
        let digits: usize = counts.iter().map(|count| count.to_string().len()).sum();
        digit * digits as f64 + between * counts.len().saturating_sub(1) as f64
    };
    sheet.rows.clone().map(|row| of(runs(block, sheet, row))).fold(Length::ZERO, Length::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_have_the_room_that_stands_between_two_gaps() {
        let beside =
            Beside { number: Length::mm(4.0), arrow: ARROW, most_box: BOX, target: TARGET, counts: Length::ZERO };
        // What is asked for where that is the most, else what number, arrow and box leave: a gap more than 4 + 3 + 6.4 mm.
        let wide = beside.with_counts(Length::mm(30.0));
        assert!((wide.room_for_counts().to_mm() - 30.0).abs() < 1e-9);
        assert!((wide.gutter().to_mm() - 30.6 - 2.0 * GAP.to_mm()).abs() < 1e-9);
        assert!((beside.room_for_counts().to_mm() - 13.4 - GAP.to_mm()).abs() < 1e-9);
        assert!((beside.arrow_at().to_mm() - 4.0 - 2.0 * GAP.to_mm()).abs() < 1e-9);
        assert!((beside.box_at().to_mm() - 7.0 - 3.0 * GAP.to_mm()).abs() < 1e-9);
    }
}
