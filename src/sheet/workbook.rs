//! Workbooks in Office Open XML (ECMA-376): the first sheet that is shown, its fills and its words.

use super::cells::{Filled, Found, MAX_SIDE, Range, SheetCell, place, too_large};
use super::colours::{colour, theme};
use super::zip::{Archive, broken};
use crate::colour::Colour;
use crate::diag::Diagnostic;
use roxmltree::{Document, Node, ParsingOptions};

/// Most elements of a part: a sheet of a million rows is no chart, and would take all memory.
const MAX_NODES: u32 = 6_000_000;

fn parsed(text: &str) -> Result<Document<'_>, Diagnostic> {
    let options = ParsingOptions { nodes_limit: MAX_NODES, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|error| match error {
        roxmltree::Error::NodesLimitReached => {
            Diagnostic::fault("chart-too-large", "the sheet has more cells than any chart needs")
                .hint("copy the chart's own cells into a new sheet, and save that")
        }
        _ => broken("a part is no XML"),
    })
}

fn named<'a, 'i>(node: Node<'a, 'i>, name: &'static str) -> impl Iterator<Item = Node<'a, 'i>> {
    node.descendants().filter(move |node| node.tag_name().name() == name)
}

pub(super) fn read(bytes: &[u8]) -> Result<Found, Diagnostic> {
    let archive = Archive::open(bytes)?;
    let (path, others) = first_sheet(&archive)?;
    let words = match archive.text("xl/sharedStrings.xml")? {
        Some(text) => shared(&parsed(&text)?),
        None => Vec::new(),
    };
    let theme = theme(archive.text("xl/theme/theme1.xml")?.as_deref());
    let fills = match archive.text("xl/styles.xml")? {
        Some(text) => fills(&parsed(&text)?, &theme),
        None => Vec::new(),
    };
    let text = archive.text(&path)?.ok_or_else(|| broken("it has no sheet"))?;
    let document = parsed(&text)?;
    let cells = cells(&document, &words, &fills)?;
    let merged = named(document.root(), "mergeCell").filter_map(|node| Range::read(node.attribute("ref")?)).collect();
    Ok(Found { cells, merged, others })
}

/// The path of the first sheet that is not hidden, and how many others there are.
fn first_sheet(archive: &Archive<'_>) -> Result<(String, usize), Diagnostic> {
    let book = archive.text("xl/workbook.xml")?.ok_or_else(|| {
        broken("it is no workbook of Office Open XML")
            .hint("a sheet of another program can be saved as .xlsx or CSV there")
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

fn shared(document: &Document<'_>) -> Vec<String> {
    named(document.root(), "si").map(|entry| plain_text(entry)).collect()
}

/// The words of an entry, without how they are to be read aloud.
fn plain_text(entry: Node<'_, '_>) -> String {
    let spoken = |node: &Node<'_, '_>| node.ancestors().any(|above| above.tag_name().name() == "rPh");
    let words: String = named(entry, "t").filter(|t| !spoken(t)).filter_map(|t| t.text()).collect();
    words.trim().chars().take(40).collect()
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

fn cells(document: &Document<'_>, words: &[String], fills: &[Option<Colour>]) -> Result<Filled, Diagnostic> {
    let mut cells = Filled::new();
    let mut row_before: Option<usize> = None;
    for line in named(document.root(), "row") {
        let said = line.attribute("r").and_then(|r| r.parse::<usize>().ok()).and_then(|r| r.checked_sub(1));
        let row = said.unwrap_or_else(|| row_before.map_or(0, |row| row + 1));
        row_before = Some(row);
        let mut column_before: Option<usize> = None;
        for cell in line.children().filter(|node| node.tag_name().name() == "c") {
            let said = cell.attribute("r").and_then(place).map(|(column, _)| column);
            let column = said.unwrap_or_else(|| column_before.map_or(0, |column| column + 1));
            column_before = Some(column);
            let style: usize = cell.attribute("s").and_then(|s| s.parse().ok()).unwrap_or(0);
            let fill = fills.get(style).copied().flatten();
            let text = written(cell, words);
            if fill.is_some() || !text.is_empty() {
                cells.insert((row, column), SheetCell { fill, text });
                if cells.len() > MAX_SIDE * MAX_SIDE {
                    return Err(too_large(column + 1, row + 1));
                }
            }
        }
    }
    Ok(cells)
}

fn written(cell: Node<'_, '_>, words: &[String]) -> String {
    let value = cell.children().find(|node| node.tag_name().name() == "v").and_then(|v| v.text()).unwrap_or("");
    match cell.attribute("t") {
        Some("s") => value.trim().parse::<usize>().ok().and_then(|at| words.get(at)).cloned().unwrap_or_default(),
        Some("inlineStr") => plain_text(cell),
        _ => value.trim().chars().take(40).collect(),
    }
}
