//! One chart sheet: title, key with counts, sheet finder, the grid, and beside every row its number, arrow and box.
//!
//! What stands where is the same on every sheet, so that a reader (and `proof`) finds it again.

mod beside;
mod grid;
mod head;
mod key;
mod legend;
mod marks;
mod notes;

use super::Colours;
use super::setting::{SetLine, Setter};
use super::tile::{Room, SheetCells, SheetPlan, TileRequest, plan};
use crate::catalogue::{SectionName, StyleName};
use crate::edition::{CellShape, Edition};
use crate::geom::{Length, Point, Rect, Size};
use crate::inks;
use crate::manuscript::{ChartBlock, ChartWords, ROWS_IN_STRETCH};
use crate::markup::filled;
use crate::page::{CellInk, NodeId, PlacedItem, Role, Structure};
use beside::Beside;
use head::Head;
use key::SampleLook;
use std::collections::BTreeMap;

const GAP: Length = Length::mm(0.9);
/// Run counts may take this share of a sheet's width on each side, never a sheet more.
const COUNTS_SHARE: f64 = 0.2;
/// Cells in the knots' own proportions may make at most so many sheets of two.
const SHEETS_OF_TWO: usize = 3;
/// Knots this much wider or narrower than high are not called square.
const NEARLY_SQUARE: f64 = 0.05;

/// Everything the sheets of one chart share.
pub struct ChartSheets<'a> {
    block: &'a ChartBlock,
    edition: &'a Edition,
    colours: Colours,
    ink: inks::ChartInk,
    /// Width over height of a cell as drawn.
    aspect: f64,
    /// The cut.
    pub plan: SheetPlan,
    head: Head,
    note_lines: usize,
    beside: Beside,
    key_inks: Vec<CellInk>,
    cell_inks: Vec<CellInk>,
    cell: Size,
    /// Numbers of rows and columns as they are set, each shaped once for all sheets.
    figures: BTreeMap<String, SetLine>,
}

/// A sheet's words that depend on where other sheets came to stand.
pub trait Folios {
    /// The folio of a sheet as printed.
    fn folio(&self, sheet: usize) -> String;
    /// Its page, from 0.
    fn page(&self, sheet: usize) -> usize;
}

/// How the sheets are cut and what stands on each of them beside its cells.
struct SheetLayout {
    plan: SheetPlan,
    head: Head,
    note_lines: usize,
    beside: Beside,
    /// Width over height of a cell.
    aspect: f64,
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
            notes::most_lines(block, edition, setter, width, (self.squared(), repeat > 0)) + self.choice_lines
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
            let wanted = beside::widest_counts(block, &plan, setter).min(areas[0].size.width * COUNTS_SHARE);
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

/// Whether cells of these proportions are square although the knots are not.
fn squared(block: &ChartBlock, aspect: f64) -> bool {
    (aspect - 1.0).abs() < 1e-9 && (block.aspect - 1.0).abs() > NEARLY_SQUARE
}

/// A sheet while it is drawn.
struct SheetOnPage<'p, 's> {
    sheet: &'p SheetCells,
    /// The cells' outer edge.
    grid: Rect,
    setter: &'p Setter<'s>,
    section: NodeId,
    figure: NodeId,
}

impl<'a> ChartSheets<'a> {
    /// Plans the sheets.
    pub fn new(
        block: &'a ChartBlock,
        edition: &'a Edition,
        setter: &Setter,
        colours: Colours,
        palette: &inks::Palette,
    ) -> Self {
        let sheets = |aspect: f64| {
            let sample = SampleLook::of(aspect, palette.shows_true_colours());
            let mut wanted = Wanted { block, edition, setter, aspect, sample, choice_lines: 0 };
            // Which lengths a sheet names is known when it is cut, and their lines take room from its rows.
            loop {
                let arranged = wanted.arranged();
                let width = sheet_area(edition, arranged.plan.turned).size.width / arranged.head.note_scale;
                let lines = |sheet: &SheetCells| notes::choices(block, edition, setter, sheet, width).len();
                let needed = arranged.plan.sheets.iter().map(lines).max().unwrap_or(0);
                if needed <= wanted.choice_lines {
                    return arranged;
                }
                wanted.choice_lines = needed;
            }
        };
        let arranged = match edition.chart.cells {
            CellShape::True => sheets(block.aspect),
            CellShape::Square => sheets(1.0),
            CellShape::Auto => {
                let (own, square) = (sheets(block.aspect), sheets(1.0));
                let (count, of_squares) = (own.plan.sheets.len(), square.plan.sheets.len());
                // Cells smaller than usual are no price for their proportions.
                let small = !edition.chart.least_cell.fits(own.plan.cell * own.aspect.min(1.0));
                if count * 2 > of_squares * SHEETS_OF_TWO || (small && count > of_squares) { square } else { own }
            }
        };
        let SheetLayout { mut plan, head, note_lines, beside, aspect } = arranged;
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
    pub fn page(&self) -> (Size, Rect) {
        let paper = self.edition.paper.size;
        let size = if self.plan.turned { Size::new(paper.height, paper.width) } else { paper };
        (size, sheet_area(self.edition, self.plan.turned))
    }

    /// Draws sheet `index`: its own items, and those that later sheets only show again, all alike. The structure nodes are
    /// added under `section`.
    pub fn draw(
        &self,
        index: usize,
        setter: &Setter,
        folios: &dyn Folios,
        structure: &mut Structure,
        section: NodeId,
    ) -> (Vec<PlacedItem>, Vec<PlacedItem>) {
        let sheet = &self.plan.sheets[index];
        let (_, area) = self.page();
        let grid = self.grid_area(sheet, area, setter);
        let (mut out, mut again) = (Vec::new(), Vec::new());
        self.title_and_range(sheet, index, area, setter, structure, section, &mut out);
        match self.says_key(index) {
            true => self.key_and_legend(area, setter, structure, Some(section), &mut out),
            false => self.key_and_legend(area, setter, structure, None, &mut again),
        }
        self.finder(index, area, setter, &mut out);
        self.notes(sheet, area, setter, folios, structure, section, &mut out);
        self.goes_on(sheet, grid, setter, folios, structure, section, &mut out);

        let figure = structure.add(Role::Figure, Some(section));
        structure.get_mut(figure).alt = Some(self.alt(sheet, index));
        let page = SheetOnPage { sheet, grid, setter, section, figure };
        // One kind of thing after another, so that equal ones are drawn together.
        self.bands(&page, &mut out);
        self.cells(&page, &mut out);
        self.lines(&page, &mut out);
        self.cell_marks(&page, &mut out);
        self.column_numbers(&page, &mut out);
        self.row_numbers(&page, &mut out);
        self.run_counts(&page, &mut out);
        self.arrows(&page, &mut out);
        self.boxes(&page, structure, &mut out);
        (out, again)
    }

    fn grid_area(&self, sheet: &SheetCells, area: Rect, setter: &Setter) -> Rect {
        let size = Size::new(self.cell.width * sheet.columns.len() as f64, self.cell.height * sheet.rows.len() as f64);
        let notes = setter.style(StyleName::SheetNote).leading * (self.note_lines as f64 * self.head.note_scale);
        let top = area.top() + self.head.height + notes + strip(setter);
        let left = area.left() + (area.size.width - size.width) / 2.0;
        // Whole thousandths of a point, so that neighbouring cells meet exactly.
        let round = |l: Length| Length::pt((l.to_pt() * 1000.0).round() / 1000.0);
        Rect { origin: Point::new(round(left), round(top)), size }
    }

    /// Whether the rows stand in words nowhere in this edition: then the boxes beside the chart say them.
    fn boxes_say_rows(&self) -> bool {
        let edition = self.edition;
        !edition.chart.rows_alongside && !edition.sections.contains(&SectionName::RowsInWords)
    }

    /// Whether a row's box says the row on this sheet. A row is said once: on the first sheet that shows it, a long one part
    /// by part on each sheet of its rank. Elsewhere its boxes have its name.
    fn is_said_on(&self, sheet: &SheetCells, row: usize) -> bool {
        let is_first = || self.first_of_rank(sheet.down).is_some_and(|(_, first)| first.across == sheet.across);
        self.boxes_say_rows()
            && sheet.own_rows().contains(&row)
            && (self.block.rows[row].in_parts.is_some() || is_first())
    }

    /// The first sheet of a rank that is printed, and its place among all sheets. These come rank by rank.
    fn first_of_rank(&self, down: usize) -> Option<(usize, &SheetCells)> {
        let sheets = &self.plan.sheets;
        let at = sheets.partition_point(|sheet| sheet.down < down);
        sheets.get(at).filter(|sheet| sheet.down == down).map(|sheet| (at, sheet))
    }

    /// Stretches of twenty rows that boxes say on a sheet, each with its name.
    fn stretches_on(&self, sheet: &SheetCells) -> Vec<(std::ops::Range<usize>, String)> {
        let mut out: Vec<(std::ops::Range<usize>, String)> = Vec::new();
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
    pub fn stretches(&self, index: usize, setter: &Setter) -> Vec<(String, Length)> {
        let sheet = &self.plan.sheets[index];
        if self.first_of_rank(sheet.down).is_none_or(|(first, _)| first != index) {
            return Vec::new();
        }
        let top = self.grid_area(sheet, self.page().1, setter).top();
        let place = |row: usize| top + self.cell.height * (row - sheet.rows.start) as f64;
        self.stretches_on(sheet).into_iter().map(|(rows, title)| (title, place(rows.start))).collect()
    }

    /// Words instead of the figure.
    fn alt(&self, sheet: &SheetCells, index: usize) -> String {
        let [from_column, to_column] = range_words(&sheet.columns);
        let [from_row, to_row] = range_words(&sheet.rows);
        // The rows of a sheet that says none are said on the first one of its rank.
        let is_silent = self.boxes_say_rows() && !sheet.rows.clone().any(|row| self.is_said_on(sheet, row));
        let first = self.first_of_rank(sheet.down).map_or(index, |(first, _)| first);
        filled(
            if is_silent { &self.block.words.alt_again } else { &self.block.words.alt },
            &[
                ("first", (first + 1).to_string()),
                ("sheet", (index + 1).to_string()),
                ("sheets", self.plan.sheets.len().to_string()),
                ("yarns", self.block.words.yarns.clone()),
                // Heard once; the other sheets show more of the same.
                ("picture", if index == 0 { self.block.words.picture.clone() } else { String::new() }),
                ("from_column", from_column.1),
                ("to_column", to_column.1),
                ("from_row", from_row.1),
                ("to_row", to_row.1),
            ],
        )
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

/// Height of the strip with the column numbers.
fn strip(setter: &Setter) -> Length {
    GAP * 2.0 + setter.style(StyleName::CellNumber).size
}

/// Figures are as large as their style says, or as their row allows: they rise by less than seven tenths of their size.
fn number_size(cell: Size, setter: &Setter) -> Length {
    setter.style(StyleName::CellNumber).size.min(cell.height * 0.92)
}

/// The page inside the chart margins, without head and folio.
fn sheet_area(edition: &Edition, turned: bool) -> Rect {
    let paper = &edition.paper;
    let size = if turned { Size::new(paper.size.height, paper.size.width) } else { paper.size };
    let margin = paper.chart_margin;
    // The folio stands below the sheet, inside the margin's upper part.
    let folio = edition.look.style(StyleName::Folio).size * 0.75 + Length::mm(2.0);
    let foot = if edition.folio { folio.max(Length::mm(5.0)) } else { Length::ZERO };
    let head = if edition.running_head { Length::mm(5.0) } else { Length::ZERO };
    Rect::new(margin, margin + head, size.width - margin * 2.0, size.height - margin * 2.0 - foot - head)
}

/// The name of a stretch of rows: "Rows 21 to 40", "Row 21".
pub fn stretch_title(words: &ChartWords, rows: &std::ops::Range<usize>) -> String {
    range_title(&words.rows, &words.one_row, rows)
}

/// The numbers of the first and the last of a range as printed, for templates with `{from}` and `{to}`.
pub fn range_words(range: &std::ops::Range<usize>) -> [(&'static str, String); 2] {
    [("from", (range.start + 1).to_string()), ("to", range.end.to_string())]
}

/// The name of a range of rows or columns, or of one of them alone.
fn range_title(several: &str, alone: &str, range: &std::ops::Range<usize>) -> String {
    filled(if range.len() == 1 { alone } else { several }, &range_words(range))
}
