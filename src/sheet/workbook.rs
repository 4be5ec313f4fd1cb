//! Workbooks in Office Open XML (ECMA-376): the first sheet that is shown, its fills and its words.

use super::cells::{Filled, Found, Range, SheetCell, place};
use super::colours::{colour, theme};
use super::steps::{self, Element, Gathered, Step};
use super::zip::{Archive, broken};
use crate::colour::Colour;
use crate::diag::Diagnostic;
use roxmltree::{Document, Node, ParsingOptions};

/// Most elements of a part that is kept whole: lists of sheets, colours and styles.
const MAX_NODES: u32 = 1_000_000;

fn parsed(text: &str) -> Result<Document<'_>, Diagnostic> {
    let options = ParsingOptions { nodes_limit: MAX_NODES, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|error| match error {
        roxmltree::Error::NodesLimitReached => {
            Diagnostic::fault("chart-too-large", "the sheet has more colours and styles than any chart needs")
                .hint("copy the chart's own cells into a new sheet, and save that")
        }
        _ => broken("a part is no XML"),
    })
}

fn named<'a, 'i>(node: Node<'a, 'i>, name: &'static str) -> impl Iterator<Item = Node<'a, 'i>> {
    node.descendants().filter(move |node| node.tag_name().name() == name)
}

pub(super) fn read(archive: &Archive<'_>) -> Result<Found, Diagnostic> {
    let (path, others) = first_sheet(archive)?;
    let words = match archive.text("xl/sharedStrings.xml")? {
        Some(text) => shared(&text)?,
        None => Vec::new(),
    };
    let theme = theme(archive.text("xl/theme/theme1.xml")?.as_deref());
    let fills = match archive.text("xl/styles.xml")? {
        Some(text) => fills(&parsed(&text)?, &theme),
        None => Vec::new(),
    };
    let text = archive.text(&path)?.ok_or_else(|| broken("it has no sheet"))?;
    let mut sheet = SheetReader { words: &words, fills: &fills, ..SheetReader::default() };
    steps::each(&text, |step| sheet.step(step))?;
    Ok(Found { cells: sheet.cells, merged: sheet.merged, others })
}

/// The path of the first sheet that is not hidden, and how many others there are.
fn first_sheet(archive: &Archive<'_>) -> Result<(String, usize), Diagnostic> {
    let book = archive.text("xl/workbook.xml")?.ok_or_else(|| {
        broken("it is no workbook of Office Open XML")
            .hint("a sheet of another program can be saved as .xlsx, .ods or CSV there")
    })?;
    let book = parsed(&book)?;
    let sheets: Vec<Node<'_, '_>> = named(book.root(), "sheet").collect();
    let shown = sheets.iter().find(|sheet| sheet.attribute("state").is_none_or(|state| state == "visible"));
    let sheet = shown.or(sheets.first()).ok_or_else(|| broken("it has no sheet"))?;
    let id = sheet.attributes().find(|attribute| attribute.name() == "id").map(|attribute| attribute.value());
    let links = archive.text("xl/_rels/workbook.xml.rels")?;
    let target = match (&links, id) {
        (Some(links), Some(id)) => {
            let links = parsed(links)?;
            let own = named(links.root(), "Relationship").find(|link| link.attribute("Id") == Some(id));
            own.and_then(|link| link.attribute("Target")).map(str::to_owned)
        }
        _ => None,
    };
    let target = target.unwrap_or_else(|| "worksheets/sheet1.xml".to_owned());
    let path = if target.starts_with('/') { target } else { format!("xl/{target}") };
    Ok((path, sheets.len() - 1))
}

/// Words that several cells may have, without how they are to be read aloud.
fn shared(text: &str) -> Result<Vec<String>, Diagnostic> {
    let (mut all, mut own) = (Vec::new(), Words::default());
    steps::each(text, |step| {
        own.step(&step);
        if matches!(step, Step::Close("si")) {
            all.push(own.gathered.take());
        }
        Ok(())
    })?;
    Ok(all)
}

/// Gathers what is written, without how it is to be read aloud.
#[derive(Default)]
struct Words {
    gathered: Gathered,
    is_text: bool,
    is_spoken: bool,
}

impl Words {
    fn step(&mut self, step: &Step<'_>) {
        match step {
            Step::Open(element) => self.mark(element.name(), true),
            Step::Close(name) => self.mark(name, false),
            Step::Words(words) if self.is_text && !self.is_spoken => self.gathered.add(words),
            Step::Words(_) => {}
        }
    }

    fn mark(&mut self, name: &str, begins: bool) {
        match name {
            "t" => self.is_text = begins,
            "rPh" => self.is_spoken = begins,
            _ => {}
        }
    }
}

/// The fill of each style of a cell.
fn fills(document: &Document<'_>, theme: &[Colour]) -> Vec<Option<Colour>> {
    let Some(list) = named(document.root(), "fills").next() else { return Vec::new() };
    let fills: Vec<Option<Colour>> = list
        .children()
        .filter(|node| node.tag_name().name() == "fill")
        .map(|fill| {
            let pattern = fill.children().find(|node| node.tag_name().name() == "patternFill")?;
            // Other patterns than a solid one show the paper as well.
            if pattern.attribute("patternType") != Some("solid") {
                return None;
            }
            colour(pattern.children().find(|node| node.tag_name().name() == "fgColor")?, theme)
        })
        .collect();
    let Some(styles) = named(document.root(), "cellXfs").next() else { return Vec::new() };
    styles
        .children()
        .filter(|node| node.tag_name().name() == "xf")
        .map(|style| *fills.get(style.attribute("fillId")?.parse::<usize>().ok()?)?)
        .collect()
}

/// Goes through a sheet, cell by cell.
#[derive(Default)]
struct SheetReader<'a> {
    words: &'a [String],
    fills: &'a [Option<Colour>],
    cells: Filled,
    merged: Vec<Range>,
    /// The row that is gone through, and the column of the last cell in it.
    row: Option<usize>,
    column: Option<usize>,
    /// Style and type of the cell that is gone through.
    style: usize,
    kind: Option<String>,
    is_value: bool,
    value: Gathered,
    inline: Words,
}

impl SheetReader<'_> {
    fn step(&mut self, step: Step<'_>) -> Result<(), Diagnostic> {
        self.inline.step(&step);
        match step {
            Step::Open(element) => self.open(&element),
            Step::Words(words) if self.is_value => self.value.add(words),
            Step::Close("v") => self.is_value = false,
            Step::Close("c") => return self.cell(),
            Step::Words(_) | Step::Close(_) => {}
        }
        Ok(())
    }

    fn open(&mut self, element: &Element<'_>) {
        match element.name() {
            "row" => {
                let said = element.number("r").and_then(|row| row.checked_sub(1));
                self.row = said.or_else(|| Some(self.row.map_or(0, |row| row + 1)));
                self.column = None;
            }
            "c" => {
                let said = element.attribute("r").and_then(|at| place(&at)).map(|(column, _)| column);
                self.column = said.or_else(|| Some(self.column.map_or(0, |column| column + 1)));
                self.style = element.number("s").unwrap_or(0);
                self.kind = element.attribute("t");
            }
            "v" => self.is_value = true,
            "mergeCell" => self.merged.extend(element.attribute("ref").and_then(|all| Range::read(&all))),
            _ => {}
        }
    }

    /// A cell has ended.
    fn cell(&mut self) -> Result<(), Diagnostic> {
        let (value, inline) = (self.value.take(), self.inline.gathered.take());
        let text = match self.kind.as_deref() {
            Some("s") => value.parse::<usize>().ok().and_then(|at| self.words.get(at)).cloned().unwrap_or_default(),
            Some("inlineStr") => inline,
            _ => value,
        };
        let fill = self.fills.get(self.style).copied().flatten();
        let place = (self.row.unwrap_or(0), self.column.unwrap_or(0));
        super::cells::keep(&mut self.cells, place, SheetCell { fill, text })
    }
}
