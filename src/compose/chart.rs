//! One chart sheet: title, key with counts, sheet finder, the grid, and beside every row its number, arrow and box.
//!
//! What stands where is the same on every sheet, so that a reader (and `proof`) finds it again.

mod beside;
mod grid;
mod head;
mod key;
mod notes;
mod starts;

use super::setting::{SetLine, Setter};
use super::tile::{Ask, Plan, Room, Sheet, plan};
use super::{Colours, inks};
use crate::edition::Edition;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::ChartBlock;
use crate::page::{CellInk, Cells, NodeId, Placed, Role, Structure};
use beside::Beside;
use head::Head;
use key::KeyPages;
use std::collections::BTreeMap;

const GAP: Length = Length::mm(0.9);
/// Room between numbers and grid for the centre marks.
const CENTRE_MARK: Length = Length::mm(1.7);
/// Every row is numbered where cells are at least this high, every second one below.
const EVERY_ROW: Length = Length::mm(3.99);
/// Run counts may take this share of a sheet's width on each side, never a sheet more.
const COUNTS_SHARE: f64 = 0.2;
/// A key on every sheet may make at most so many sheets of two; else it has a page of its own.
const SHEETS_OF_TWO: usize = 3;

/// Everything the sheets of one chart share.
pub struct ChartSheets<'a> {
    block: &'a ChartBlock,
    edition: &'a Edition,
    colours: Colours,
    ink: inks::ChartInk,
    /// The cut.
    pub plan: Plan,
    head: Head,
    /// `None`: the key stands on every sheet.
    key_pages: Option<KeyPages>,
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
    /// The folio of the first page of the key, where that has pages of its own.
    fn key(&self) -> String;
}

/// How the sheets are cut and what stands on each of them beside its cells.
struct Arranged {
    plan: Plan,
    head: Head,
    note_lines: usize,
    beside: Beside,
}

impl Arranged {
    /// `key_apart`: the key does not stand on the sheets.
    fn of(block: &ChartBlock, edition: &Edition, setter: &Setter, key_apart: bool) -> Arranged {
        let repeat = edition.chart.repeat;
        let arranged = Arranged::showing_again(repeat, block, edition, setter, key_apart);
        // Sheets too small to show anything again need no room to say so.
        let again = arranged.plan.sheets.iter().any(|sheet| sheet.repeated_columns + sheet.repeated_rows > 0);
        match repeat == 0 || again {
            true => arranged,
            false => Arranged::showing_again(0, block, edition, setter, key_apart),
        }
    }

    fn showing_again(
        repeat: usize,
        block: &ChartBlock,
        edition: &Edition,
        setter: &Setter,
        key_apart: bool,
    ) -> Arranged {
        let style = edition.chart;
        let ways = if style.may_turn { vec![false, true] } else { vec![false] };
        let areas: Vec<Rect> = ways.iter().map(|turned| sheet_area(edition, *turned)).collect();
        let note_lines: Vec<usize> = areas
            .iter()
            .map(|area| notes::most_lines(block, edition, setter, area.size.width, (key_apart, repeat > 0)))
            .collect();
        let rest = |lines: usize| setter.style("sheet-note").leading * lines as f64 + strip(setter) * 2.0;
        let head = |(area, lines): (&Rect, &usize)| match key_apart {
            true => Head::without_key(block, setter, area.size.width),
            false => Head::of(block, setter, area.size, rest(*lines), style.least_cell),
        };
        let mut heads: Vec<Head> = areas.iter().zip(&note_lines).map(head).collect();
        let planned = |beside: Beside| {
            let rooms: Vec<Room> = (0..ways.len())
                .map(|i| {
                    let used = heads[i].height + rest(note_lines[i]);
                    Room {
                        width: areas[i].size.width - beside.gutter() * 2.0,
                        height: areas[i].size.height - used,
                        turned: ways[i],
                    }
                })
                .collect();
            let ask = Ask {
                columns: block.columns,
                rows: block.rows.len(),
                aspect: cell_aspect(block, edition),
                least: style.least_cell,
                most: style.most_cell,
                repeat,
            };
            plan(ask, &rooms)
        };
        let mut beside = Beside::of(block, setter);
        let mut plan = planned(beside);
        if style.run_counts {
            let wanted = beside::widest_counts(block, &plan, setter).min(areas[0].size.width * COUNTS_SHARE);
            // Where all figures would cost a sheet, the margins grow less and long rows of figures end in dots.
            let wider = (1..=8).rev().map(|eighths| beside.with_counts(wanted * (f64::from(eighths) / 8.0)));
            let found = wider.map(|wider| (planned(wider), wider)).find(|(p, _)| p.sheets.len() <= plan.sheets.len());
            if let Some((again, wider)) = found {
                (beside, plan) = (wider, again);
            }
        }
        let at = ways.iter().position(|turned| *turned == plan.turned).unwrap_or(0);
        let (head, note_lines) = (heads.swap_remove(at), note_lines[at]);
        Arranged { plan, head, note_lines, beside }
    }
}

/// Width over height of a cell as drawn.
fn cell_aspect(block: &ChartBlock, edition: &Edition) -> f64 {
    if edition.chart.square { 1.0 } else { block.aspect }
}

/// A sheet while it is drawn.
struct OnPage<'p, 's> {
    sheet: &'p Sheet,
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
        ink: inks::ChartInk,
    ) -> Self {
        let mut arranged = Arranged::of(block, edition, setter, false);
        if arranged.plan.sheets.len() > 1 {
            let apart = Arranged::of(block, edition, setter, true);
            if arranged.plan.sheets.len() * 2 > apart.plan.sheets.len() * SHEETS_OF_TWO {
                arranged = apart;
            }
        }
        let Arranged { mut plan, head, note_lines, beside } = arranged;
        drop_blank(&mut plan, block);
        let key_pages = match head.key {
            Some(_) => None,
            None => Some(KeyPages::of(block, setter, sheet_area(edition, plan.turned))),
        };
        let side = head.key.as_ref().map(|key| key.sample).or(key_pages.as_ref().map(KeyPages::sample));
        let side = side.unwrap_or_default();
        let (cell, sample) = (Size::new(plan.cell * cell_aspect(block, edition), plan.cell), Size::new(side, side));
        let ink_of = |size: Size| -> Vec<CellInk> {
            block.yarns.iter().map(|y| inks::cell_ink(y.colour, &y.symbol, ink, size)).collect()
        };
        let size = number_size(cell, setter);
        let figures = (1..=block.columns)
            .map(|column| column.to_string())
            .chain(block.rows.iter().map(|row| row.number.clone()))
            .map(|number| {
                let line = setter.line_in("cell-number", &number, size, colours.text);
                (number, line)
            })
            .collect();
        ChartSheets {
            block,
            edition,
            colours,
            ink,
            note_lines,
            key_inks: ink_of(sample),
            cell_inks: ink_of(cell),
            plan,
            head,
            key_pages,
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

    /// Draws sheet `index`. The structure nodes are added under `section`.
    pub fn draw(
        &self,
        index: usize,
        setter: &Setter,
        folios: &dyn Folios,
        structure: &mut Structure,
        section: NodeId,
    ) -> Vec<Placed> {
        let sheet = &self.plan.sheets[index];
        let (_, area) = self.page();
        let grid = self.grid_area(sheet, area, setter);
        let mut out = Vec::new();
        self.title_and_key(sheet, index, area, setter, structure, section, &mut out);
        self.notes(sheet, area, setter, folios, structure, section, &mut out);
        self.goes_on(sheet, grid, setter, folios, structure, section, &mut out);

        let figure = structure.add(Role::Figure, Some(section));
        structure.get_mut(figure).alt = Some(self.alt(sheet, index, setter));
        let page = OnPage { sheet, grid, setter, section, figure };
        // One kind of thing after another, so that equal ones are drawn together.
        self.bands(&page, &mut out);
        self.cells(&page, &mut out);
        self.lines(&page, &mut out);
        self.starts(&page, &mut out);
        self.centre_marks(&page, &mut out);
        self.column_numbers(&page, &mut out);
        self.row_numbers(&page, &mut out);
        self.run_counts(&page, &mut out);
        self.arrows(&page, &mut out);
        self.boxes(&page, structure, &mut out);
        out
    }

    fn grid_area(&self, sheet: &Sheet, area: Rect, setter: &Setter) -> Rect {
        let size = Size::new(self.cell.width * sheet.columns.len() as f64, self.cell.height * sheet.rows.len() as f64);
        let notes = setter.style("sheet-note").leading * self.note_lines as f64;
        let top = area.top() + self.head.height + notes + strip(setter);
        let left = area.left() + (area.size.width - size.width) / 2.0;
        // Whole thousandths of a point, so that neighbouring cells meet exactly.
        let round = |l: Length| Length::pt((l.to_pt() * 1000.0).round() / 1000.0);
        Rect { origin: Point::new(round(left), round(top)), size }
    }

    /// Words instead of the figure; `setter` knows where the rows in words begin.
    fn alt(&self, sheet: &Sheet, index: usize, setter: &Setter) -> String {
        let [from_column, to_column] = range_words(&sheet.columns);
        let [from_row, to_row] = range_words(&sheet.rows);
        fill(
            &self.block.words.alt,
            &[
                ("sheet", (index + 1).to_string()),
                ("sheets", self.plan.sheets.len().to_string()),
                ("columns", self.block.columns.to_string()),
                ("rows", self.block.rows.len().to_string()),
                ("yarns", self.block.words.yarns.clone()),
                ("page", setter.pages.get("rows-in-words").cloned().unwrap_or_default()),
                ("from_column", from_column.1),
                ("to_column", to_column.1),
                ("from_row", from_row.1),
                ("to_row", to_row.1),
            ],
        )
    }

    /// How cells are inked: for those who read the sheet back.
    pub fn ink(&self) -> inks::ChartInk {
        self.ink
    }
}

/// A stepped or shaped panel may leave a sheet without a single knot: it is not printed. One of each rank stays, so that
/// every row has its box somewhere.
fn drop_blank(plan: &mut Plan, block: &ChartBlock) {
    let knots = |sheet: &Sheet| {
        sheet.own_rows().any(|row| {
            let start = row * block.columns;
            block.cells[start..start + block.columns][sheet.own_columns()].iter().any(|cell| *cell != Cells::BARE)
        })
    };
    let mut kept: Vec<Sheet> = Vec::with_capacity(plan.sheets.len());
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
    CENTRE_MARK + GAP * 2.0 + setter.style("cell-number").size
}

/// Figures are as large as their style says, or as their row allows: they rise by less than seven tenths of their size.
fn number_size(cell: Size, setter: &Setter) -> Length {
    setter.style("cell-number").size.min(cell.height * 0.92)
}

/// The page inside the chart margins, without head and folio.
fn sheet_area(edition: &Edition, turned: bool) -> Rect {
    let paper = &edition.paper;
    let size = if turned { Size::new(paper.size.height, paper.size.width) } else { paper.size };
    let margin = paper.chart_margin;
    // The folio stands below the sheet, inside the margin's upper part.
    let folio = edition.look.style("folio").size * 0.75 + Length::mm(2.0);
    let foot = if edition.folio { folio.max(Length::mm(5.0)) } else { Length::ZERO };
    let head = if edition.running_head { Length::mm(5.0) } else { Length::ZERO };
    Rect::new(margin, margin + head, size.width - margin * 2.0, size.height - margin * 2.0 - foot - head)
}

/// The numbers of the first and the last of a range as printed, for templates with `{from}` and `{to}`.
pub fn range_words(range: &std::ops::Range<usize>) -> [(&'static str, String); 2] {
    [("from", (range.start + 1).to_string()), ("to", range.end.to_string())]
}

/// Puts values into a template's braces.
pub fn fill(template: &str, values: &[(&str, String)]) -> String {
    values.iter().fold(template.to_string(), |text, (name, value)| text.replace(&format!("{{{name}}}"), value))
}
