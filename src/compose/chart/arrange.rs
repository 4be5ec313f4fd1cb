//! Arranges the sheets of a chart: how they are cut, how large cells are, and how much room everything else has.

use super::measure::{sheet_area, squared, strip};
use super::room::beside::{Beside, widest_counts};
use super::room::head::Head;
use super::room::key::SampleLook;
use super::room::notes::{choices, most_lines};
use crate::catalogue::StyleName;
use crate::compose::setter::Setter;
use crate::compose::tile::{Room, SheetCells, SheetPlan, TileRequest, plan};
use crate::edition::{CellShape, Edition};
use crate::geom::{Length, Rect};
use crate::manuscript::ChartBlock;

/// Run counts may take this share of a sheet's width on each side, never a sheet more.
const COUNTS_SHARE: f64 = 0.2;
/// Cells in the knots' own proportions may make at most so many sheets of two.
const SHEETS_OF_TWO: usize = 3;

/// How the sheets are cut and what stands on each of them beside its cells.
pub(crate) struct SheetLayout {
    pub(crate) plan: SheetPlan,
    pub(crate) head: Head,
    pub(crate) note_lines: usize,
    pub(crate) beside: Beside,
    /// Width over height of a cell.
    pub(crate) aspect: f64,
}

/// What sheets are arranged for.
#[derive(Clone, Copy)]
struct Wanted<'a, 's> {
    block: &'a ChartBlock,
    edition: &'a Edition,
    setter: &'a Setter<'s>,
    /// Width over height of a cell.
    aspect: f64,
    sample: SampleLook,
    /// Lines kept on every sheet for the lengths that its lozenges name.
    choice_lines: usize,
}

impl Wanted<'_, '_> {
    /// Whether cells are square although the knots are not.
    fn squared(&self) -> bool {
        squared(self.block, self.aspect)
    }

    fn arranged(self) -> SheetLayout {
        let repeat = self.edition.chart.repeat;
        let arranged = self.showing_again(repeat);
        // Sheets too small to show anything again need no room to say so.
        let again = arranged.plan.sheets.iter().any(|sheet| sheet.repeated_columns + sheet.repeated_rows > 0);
        match repeat == 0 || again {
            true => arranged,
            false => self.showing_again(0),
        }
    }

    fn showing_again(self, repeat: usize) -> SheetLayout {
        let Wanted { block, edition, setter, .. } = self;
        let style = edition.chart;
        let ways = if style.may_turn { vec![false, true] } else { vec![false] };
        let areas: Vec<Rect> = ways.iter().map(|turned| sheet_area(edition, *turned)).collect();
        let lines = |area: &Rect, scale: f64| {
            let width = area.size.width / scale;
            most_lines(block, edition, setter, width, (self.squared(), repeat > 0)) + self.choice_lines
        };
        let leading = setter.style(StyleName::SheetNote).leading;
        let rest = |lines: usize, scale: f64| leading * (lines as f64 * scale) + strip(setter) * 2.0;
        let mut heads: Vec<Head> = areas
            .iter()
            .map(|area| {
                let rest = |scale| rest(lines(area, scale), scale);
                Head::of(block, setter, area.size, rest, (style.least_cell, self.sample, style.marks))
            })
            .collect();
        let note_lines: Vec<usize> =
            areas.iter().zip(&heads).map(|(area, head)| lines(area, head.note_scale)).collect();
        // Sides are of the shorter side of a cell; the planner asks for heights.
        let height = |side: Length| side / self.aspect.min(1.0);
        let planned = |beside: Beside, least: Length| {
            let rooms: Vec<Room> = (0..ways.len())
                .map(|i| {
                    let used = heads[i].height + rest(note_lines[i], heads[i].note_scale);
                    Room {
                        width: areas[i].size.width - beside.gutter() * 2.0,
                        height: areas[i].size.height - used,
                        turned: ways[i],
                    }
                })
                .collect();
            let ask = TileRequest {
                columns: block.columns,
                rows: block.rows.len(),
                aspect: self.aspect,
                least: height(least),
                most: height(style.most_cell),
                repeat,
            };
            plan(ask, &rooms)
        };
        let mut beside = Beside::of(block, setter);
        let mut plan = planned(beside, style.least_cell);
        let mut least = style.least_cell;
        // Smaller cells only where they save a whole column of sheets.
        if !style.least_cell.fits(style.narrow_cell) {
            let narrow = planned(beside, style.narrow_cell);
            if narrow.across < plan.across && narrow.sheets.len() < plan.sheets.len() {
                (plan, least) = (narrow, style.narrow_cell);
            }
        }
        if style.run_counts {
            let wanted = widest_counts(block, &plan, setter).min(areas[0].size.width * COUNTS_SHARE);
            // Where all figures would cost a sheet, the margins grow less and long rows of figures end in dots.
            let wider = (1..=8).rev().map(|eighths| beside.with_counts(wanted * (f64::from(eighths) / 8.0)));
            let found =
                wider.map(|wider| (planned(wider, least), wider)).find(|(p, _)| p.sheets.len() <= plan.sheets.len());
            if let Some((again, wider)) = found {
                (beside, plan) = (wider, again);
            }
        }
        let at = ways.iter().position(|turned| *turned == plan.turned).unwrap_or(0);
        let (head, note_lines) = (heads.swap_remove(at), note_lines[at]);
        SheetLayout { plan, head, note_lines, beside, aspect: self.aspect }
    }
}

/// In cells of the shape that the edition asks for. `coloured`: the yarns' true colours stand beside their symbols.
pub(crate) fn arranged(block: &ChartBlock, edition: &Edition, setter: &Setter, coloured: bool) -> SheetLayout {
    let sheets = |aspect: f64| {
        let sample = SampleLook::of(aspect, coloured);
        let mut wanted = Wanted { block, edition, setter, aspect, sample, choice_lines: 0 };
        // Which lengths a sheet names is known when it is cut, and their lines take room from its rows.
        loop {
            let arranged = wanted.arranged();
            let width = sheet_area(edition, arranged.plan.turned).size.width / arranged.head.note_scale;
            let lines = |sheet: &SheetCells| choices(block, edition, setter, sheet, width).len();
            let needed = arranged.plan.sheets.iter().map(lines).max().unwrap_or(0);
            if needed <= wanted.choice_lines {
                return arranged;
            }
            wanted.choice_lines = needed;
        }
    };
    match edition.chart.cells {
        CellShape::True => sheets(block.aspect),
        CellShape::Square => sheets(1.0),
        CellShape::Auto => {
            let (own, square) = (sheets(block.aspect), sheets(1.0));
            let (count, of_squares) = (own.plan.sheets.len(), square.plan.sheets.len());
            // Cells smaller than usual are no price for their proportions.
            let small = !edition.chart.least_cell.fits(own.plan.cell * own.aspect.min(1.0));
            if count * 2 > of_squares * SHEETS_OF_TWO || (small && count > of_squares) { square } else { own }
        }
    }
}
