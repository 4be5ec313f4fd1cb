//! The sheets of one chart: what they share, and what each of them says.

use super::arrange::{SheetLayout, arranged};
use super::measure::{number_size, sheet_area, strip};
use super::ranges::stretch_title;
use super::room::beside::Beside;
use super::room::head::Head;
use crate::catalogue::{SectionName, StyleName};
use crate::compose::colours::Colours;
use crate::compose::setter::{SetLine, Setter};
use crate::compose::tile::{SheetCells, SheetPlan};
use crate::edition::Edition;
use crate::geom::{Length, Point, Rect, Size};
use crate::inks;
use crate::manuscript::{ChartBlock, ROWS_IN_STRETCH};
use crate::markup::filled;
use crate::page::{CellInk, NodeId};
use std::collections::BTreeMap;
use std::ops::Range;

/// Everything the sheets of one chart share.
pub(crate) struct ChartSheets<'a> {
    pub(super) block: &'a ChartBlock,
    pub(super) edition: &'a Edition,
    pub(super) colours: Colours,
    pub(super) ink: inks::ChartInk,
    /// Width over height of a cell as drawn.
    pub(super) aspect: f64,
    /// The cut.
    pub(crate) plan: SheetPlan,
    pub(super) head: Head,
    pub(super) note_lines: usize,
    pub(super) beside: Beside,
    pub(super) key_inks: Vec<CellInk>,
    pub(super) cell_inks: Vec<CellInk>,
    pub(super) cell: Size,
    /// Numbers of rows and columns as they are set, each shaped once for all sheets.
    pub(super) figures: BTreeMap<String, SetLine>,
}

/// A sheet's words that depend on where other sheets came to stand.
pub(crate) trait Folios {
    /// The folio of a sheet as printed.
    fn folio(&self, sheet: usize) -> String;
    /// Its page, from 0.
    fn page(&self, sheet: usize) -> usize;
}

/// A sheet while it is drawn.
pub(super) struct SheetOnPage<'p, 's> {
    pub(super) sheet: &'p SheetCells,
    /// The cells' outer edge.
    pub(super) grid: Rect,
    pub(super) setter: &'p Setter<'s>,
    pub(super) section: NodeId,
    pub(super) figure: NodeId,
}

impl<'a> ChartSheets<'a> {
    /// Plans the sheets.
    pub(crate) fn new(
        block: &'a ChartBlock,
        edition: &'a Edition,
        setter: &Setter,
        colours: Colours,
        palette: &inks::Palette,
    ) -> Self {
        let SheetLayout { mut plan, head, note_lines, beside, aspect } =
            arranged(block, edition, setter, palette.shows_true_colours());
        drop_blank(&mut plan, block);
        let cell = Size::new(plan.cell * aspect, plan.cell);
        let ink_of = |size: Size| -> Vec<CellInk> {
            block.yarns.iter().map(|y| palette.cell(y.colour, &y.symbol, size)).collect()
        };
        let size = number_size(cell, setter);
        let figures = (1..=block.columns)
            .map(|column| column.to_string())
            .chain(block.rows.iter().map(|row| row.number.clone()))
            .map(|number| {
                let line = setter.line_in(StyleName::CellNumber, &number, size, colours.text);
                (number, line)
            })
            .collect();
        ChartSheets {
            block,
            edition,
            colours,
            ink: palette.ink(),
            aspect,
            note_lines,
            key_inks: ink_of(head.key.sample),
            cell_inks: ink_of(cell),
            plan,
            head,
            beside,
            cell,
            figures,
        }
    }

    /// The area of a sheet inside the chart margins, and the page's size.
    pub(crate) fn page(&self) -> (Size, Rect) {
        let paper = self.edition.paper.size;
        let size = if self.plan.turned { Size::new(paper.height, paper.width) } else { paper };
        (size, sheet_area(self.edition, self.plan.turned))
    }

    /// The title of a sheet: "Sheet 2 of 6".
    pub(crate) fn title(&self, index: usize) -> String {
        let values = [("sheet", (index + 1).to_string()), ("sheets", self.plan.sheets.len().to_string())];
        filled(&self.block.words.sheet, &values)
    }

    pub(super) fn grid_area(&self, sheet: &SheetCells, area: Rect, setter: &Setter) -> Rect {
        let size = Size::new(self.cell.width * sheet.columns.len() as f64, self.cell.height * sheet.rows.len() as f64);
        let notes = setter.style(StyleName::SheetNote).leading * (self.note_lines as f64 * self.head.note_scale);
        let top = area.top() + self.head.height + notes + strip(setter);
        let left = area.left() + (area.size.width - size.width) / 2.0;
        // Whole thousandths of a point, so that neighbouring cells meet exactly.
        let round = |l: Length| Length::pt((l.to_pt() * 1000.0).round() / 1000.0);
        Rect { origin: Point::new(round(left), round(top)), size }
    }

    /// Whether the rows stand in words nowhere in this edition: then the boxes beside the chart say them.
    pub(super) fn boxes_say_rows(&self) -> bool {
        let edition = self.edition;
        !edition.chart.rows_alongside && !edition.sections.contains(&SectionName::RowsInWords)
    }

    /// Whether a row's box says the row on this sheet. A row is said once: on the first sheet that shows it, a long one part
    /// by part on each sheet of its rank. Elsewhere its boxes have its name.
    pub(super) fn is_said_on(&self, sheet: &SheetCells, row: usize) -> bool {
        let is_first = || self.first_of_rank(sheet.down).is_some_and(|(_, first)| first.across == sheet.across);
        self.boxes_say_rows()
            && sheet.own_rows().contains(&row)
            && (self.block.rows[row].in_parts.is_some() || is_first())
    }

    /// The first sheet of a rank that is printed, and its place among all sheets. These come rank by rank.
    pub(super) fn first_of_rank(&self, down: usize) -> Option<(usize, &SheetCells)> {
        let sheets = &self.plan.sheets;
        let at = sheets.partition_point(|sheet| sheet.down < down);
        sheets.get(at).filter(|sheet| sheet.down == down).map(|sheet| (at, sheet))
    }

    /// Stretches of twenty rows that boxes say on a sheet, each with its name.
    pub(super) fn stretches_on(&self, sheet: &SheetCells) -> Vec<(Range<usize>, String)> {
        let mut out: Vec<(Range<usize>, String)> = Vec::new();
        for row in sheet.rows.clone().filter(|row| self.is_said_on(sheet, *row)) {
            if out.last().is_some_and(|(rows, _)| rows.contains(&row)) {
                continue;
            }
            let end = (row / ROWS_IN_STRETCH + 1) * ROWS_IN_STRETCH;
            let rows = row..end.min(sheet.rows.end);
            let title = stretch_title(&self.block.words, &rows);
            out.push((rows, title));
        }
        out
    }

    /// The stretches that a sheet is the first to show, for the outline: the name of each, and how far down it begins.
    pub(crate) fn stretches(&self, index: usize, setter: &Setter) -> Vec<(String, Length)> {
        let sheet = &self.plan.sheets[index];
        if self.first_of_rank(sheet.down).is_none_or(|(first, _)| first != index) {
            return Vec::new();
        }
        let top = self.grid_area(sheet, self.page().1, setter).top();
        let place = |row: usize| top + self.cell.height * (row - sheet.rows.start) as f64;
        self.stretches_on(sheet).into_iter().map(|(rows, title)| (title, place(rows.start))).collect()
    }
}

/// A stepped or shaped panel may leave a sheet without a single knot: it is not printed. One of each rank stays, so that
/// every row has its box somewhere.
fn drop_blank(plan: &mut SheetPlan, block: &ChartBlock) {
    let knots = |sheet: &SheetCells| {
        sheet.own_rows().any(|row| {
            let start = row * block.columns;
            block.cells[start..start + block.columns][sheet.own_columns()].iter().any(Option::is_some)
        })
    };
    let mut kept: Vec<SheetCells> = Vec::with_capacity(plan.sheets.len());
    for rank in plan.sheets.chunk_by(|a, b| a.down == b.down) {
        let before = kept.len();
        kept.extend(rank.iter().filter(|sheet| knots(sheet)).cloned());
        if kept.len() == before {
            kept.extend(rank.first().cloned());
        }
    }
    plan.sheets = kept;
}
