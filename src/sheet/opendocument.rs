//! Spreadsheets in OpenDocument (ISO/IEC 26300-1): the first sheet that is shown, its fills and its words.

use super::cells::{Filled, Found, MAX_SIDE, Range, SheetCell, keep};
use super::steps::{self, Element, Gathered, Step};
use super::zip::{Archive, broken};
use crate::colour::Colour;
use crate::diag::Diagnostic;
use std::collections::BTreeMap;

/// The part that makes an archive such a document.
pub(super) const CONTENT: &str = "content.xml";
/// So many cells or rows alike that reach to the sheet's end are a ground behind the chart and no part of it.
const MIN_GROUND: usize = 500;
/// Columns and rows of the sheets that programs make.
const ENDS: [usize; 4] = [1_024, 16_384, 65_536, 1_048_576];

/// Reads it. `range`: cells outside it are not kept.
pub(super) fn read(archive: &Archive<'_>, range: Option<Range>) -> Result<Found, Diagnostic> {
    let mut styles = Styles::default();
    for part in ["styles.xml", CONTENT] {
        if let Some(text) = archive.text(part)? {
            steps::each(&text, |step| {
                styles.step(&step);
                Ok(())
            })?;
        }
    }
    let text = archive.text(CONTENT)?.ok_or_else(|| broken("it has no sheet"))?;
    let mut tables = Vec::new();
    steps::each(&text, |step| {
        if let Step::Open(element) = step
            && element.name() == "table"
        {
            let style = element.attribute("style-name").unwrap_or_default();
            tables.push(styles.0.get(&style).is_none_or(|style| !style.is_hidden));
        }
        Ok(())
    })?;
    let wanted = tables.iter().position(|shown| *shown).unwrap_or(0);
    let mut sheet = SheetReader::new(&styles, wanted, range);
    steps::each(&text, |step| sheet.step(step))?;
    match tables.len() {
        0 => Err(broken("it has no sheet")),
        count => Ok(Found { cells: sheet.cells, merged: sheet.merged, others: count - 1 }),
    }
}

#[derive(Default)]
struct Style {
    parent: Option<String>,
    /// `Some(None)`: said to be without one.
    fill: Option<Option<Colour>>,
    is_hidden: bool,
}

/// Styles by their names.
#[derive(Default)]
struct Styles(BTreeMap<String, Style>, Option<String>);

impl Styles {
    fn step(&mut self, step: &Step<'_>) {
        let Styles(all, open) = self;
        match step {
            Step::Open(element) => match element.name() {
                "style" => {
                    let name = element.attribute("name").unwrap_or_default();
                    let style = Style { parent: element.attribute("parent-style-name"), ..Style::default() };
                    all.insert(name.clone(), style);
                    *open = Some(name);
                }
                "table-cell-properties" => {
                    let own = open.as_ref().and_then(|name| all.get_mut(name));
                    if let (Some(style), Some(said)) = (own, element.attribute("background-color")) {
                        style.fill = Some(Colour::from_hex(&said));
                    }
                }
                "table-properties" => {
                    if let Some(style) = open.as_ref().and_then(|name| all.get_mut(name)) {
                        style.is_hidden = element.attribute("display").as_deref() == Some("false");
                    }
                }
                _ => {}
            },
            Step::Close("style") => *open = None,
            Step::Close(_) | Step::Words(_) => {}
        }
    }

    fn fill(&self, name: &str) -> Option<Colour> {
        // A style that is its own parent has none.
        let mut style = self.0.get(name);
        for _ in 0..20 {
            if let Some(fill) = style?.fill {
                return fill;
            }
            style = self.0.get(style?.parent.as_deref()?);
        }
        None
    }
}

/// Goes through a document, cell by cell.
struct SheetReader<'a> {
    styles: &'a Styles,
    /// Which table is read, counted from 0, and how many have begun.
    wanted: usize,
    tables: usize,
    range: Option<Range>,
    /// Fills of columns and how many columns have each.
    columns: Vec<(usize, Option<Colour>)>,
    /// The row that is gone through, how often it is repeated, its own fill, and its cells: where each begins.
    row: usize,
    rows: usize,
    row_fill: Option<Option<Colour>>,
    line: Vec<(usize, usize, SheetCell)>,
    column: usize,
    cell: Option<OpenCell>,
    text: Gathered,
    cells: Filled,
    merged: Vec<Range>,
}

/// A cell that has begun.
struct OpenCell {
    columns: usize,
    fill: Option<Colour>,
    /// Columns and rows that it is merged from.
    spans: (usize, usize),
    /// Elements inside that have begun.
    depth: usize,
    is_text: bool,
}

impl<'a> SheetReader<'a> {
    fn new(styles: &'a Styles, wanted: usize, range: Option<Range>) -> SheetReader<'a> {
        SheetReader {
            styles,
            wanted,
            tables: 0,
            range,
            columns: Vec::new(),
            row: 0,
            rows: 1,
            row_fill: None,
            line: Vec::new(),
            column: 0,
            cell: None,
            text: Gathered::default(),
            cells: Filled::new(),
            merged: Vec::new(),
        }
    }

    fn step(&mut self, step: Step<'_>) -> Result<(), Diagnostic> {
        match &step {
            Step::Open(element) if element.name() == "table" => self.tables += 1,
            Step::Open(element) if self.is_wanted() => self.open(element),
            Step::Words(words) if self.cell.as_ref().is_some_and(|cell| cell.is_text) => self.text.add(words),
            Step::Close(name) if self.is_wanted() => return self.close(name),
            Step::Open(_) | Step::Words(_) | Step::Close(_) => {}
        }
        Ok(())
    }

    fn is_wanted(&self) -> bool {
        self.tables == self.wanted + 1
    }

    fn open(&mut self, element: &Element<'_>) {
        let fill = |name: &str| element.attribute(name).map(|style| self.styles.fill(&style));
        let count = |name: &str| element.number(name).unwrap_or(1).clamp(1, MAX_PLACE);
        if let Some(cell) = &mut self.cell {
            // Words of a comment or a drawing stand deeper.
            cell.depth += 1;
            cell.is_text |= cell.depth == 1 && element.name() == "p";
            return;
        }
        match element.name() {
            // Each is looked for anew in every row.
            "table-column" if self.columns.len() < MAX_SIDE => {
                self.columns.push((count("number-columns-repeated"), fill("default-cell-style-name").flatten()));
            }
            "table-row" => {
                (self.rows, self.row_fill) = (count("number-rows-repeated"), fill("default-cell-style-name"));
                (self.column, self.line) = (0, Vec::new());
            }
            "table-cell" | "covered-table-cell" => {
                let own = fill("style-name").or(self.row_fill);
                self.cell = Some(OpenCell {
                    columns: count("number-columns-repeated"),
                    fill: own.unwrap_or_else(|| self.fill_of_column(self.column)),
                    spans: (count("number-columns-spanned"), count("number-rows-spanned")),
                    depth: 0,
                    is_text: false,
                });
            }
            _ => {}
        }
    }

    fn close(&mut self, name: &str) -> Result<(), Diagnostic> {
        match (&mut self.cell, name) {
            (Some(cell), _) if cell.depth > 0 => {
                cell.depth -= 1;
                cell.is_text &= cell.depth > 0;
                Ok(())
            }
            (Some(_), _) => self.end_of_cell(),
            (None, "table-row") => self.end_of_row(),
            (None, _) => Ok(()),
        }
    }

    fn end_of_cell(&mut self) -> Result<(), Diagnostic> {
        let text = self.text.take();
        let Some(OpenCell { columns, fill, spans: (wide, high), .. }) = self.cell.take() else { return Ok(()) };
        if (wide, high) != (1, 1) {
            let (left, top) = (self.column, self.row);
            let (right, bottom) = ((left + wide - 1).min(MAX_PLACE), (top + high - 1).min(MAX_PLACE));
            let merged = Range { left, top, right, bottom };
            // What it is merged into may lie in the range where it begins outside.
            if self.range.is_some_and(|part| merged.meets(part)) {
                keep(&mut self.cells, (top, left), SheetCell { fill, text: text.clone() })?;
            }
            self.merged.push(merged);
        }
        if self.column < MAX_PLACE && (fill.is_some() || !text.is_empty()) {
            self.line.push((self.column, columns, SheetCell { fill, text }));
        }
        self.column = (self.column + columns).min(MAX_PLACE);
        Ok(())
    }

    fn end_of_row(&mut self) -> Result<(), Diagnostic> {
        let line = core::mem::take(&mut self.line);
        let (top, bottom) = (self.row, self.row + self.rows);
        self.row = bottom.min(MAX_PLACE);
        if is_ground(top, bottom) && line.iter().all(|(.., cell)| cell.text.is_empty()) {
            return Ok(());
        }
        let part = self.range.unwrap_or(Range { left: 0, top: 0, right: MAX_PLACE, bottom: MAX_PLACE });
        let is_kept = |(left, columns, cell): &&(usize, usize, SheetCell)| {
            let is_inside = *left <= part.right && left + columns > part.left;
            is_inside && !(cell.text.is_empty() && is_ground(*left, left + columns))
        };
        let kept: Vec<&(usize, usize, SheetCell)> = line.iter().filter(is_kept).collect();
        if kept.is_empty() {
            return Ok(());
        }
        for row in top.max(part.top)..bottom.min(part.bottom + 1) {
            for (left, columns, cell) in &kept {
                for column in (*left).max(part.left)..(left + columns).min(part.right + 1) {
                    keep(&mut self.cells, (row, column), cell.clone())?;
                }
            }
        }
        Ok(())
    }

    fn fill_of_column(&self, column: usize) -> Option<Colour> {
        let mut first = 0;
        let own = self.columns.iter().find(|(count, _)| {
            first += count;
            column < first
        });
        own.and_then(|(_, fill)| *fill)
    }
}

/// Whether cells or rows from one place to before another are so many that are alike to the sheet's end.
fn is_ground(first: usize, end: usize) -> bool {
    end - first >= MIN_GROUND && ENDS.contains(&end)
}

/// Sheets have no more rows or columns.
const MAX_PLACE: usize = 10_000_000;
