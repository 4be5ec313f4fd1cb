//! Manuscript to pages: galley, make-up, tables, chart sheets, figures, furniture. Holds no phrases.

pub(crate) mod blank_grid;
mod chart;
mod colours;
mod draw;
mod evenly;
mod fit;
mod galley;
pub mod licence_line;
mod makeup;
mod note_pages;
mod parts;
mod piece;
mod running_heads;
mod setter;
pub(crate) mod shop;
mod text_area;
mod tile;

use crate::catalogue::SectionName;
use crate::colour::Colour;
use crate::diag::Report;
use crate::edition::Edition;
use crate::font::FontBook;
use crate::geom::Length;
use crate::inks;
use crate::manuscript::{Block, Manuscript};
use crate::markup::{Inline, Text};
use crate::page::{Booklet, Item, Role, Structure, Target};
use chart::ChartSheets;
use colours::{Colours, accent, figure_colours, yarn_colours};
use parts::{Drawings, Parts};
use setter::Setter;
use std::collections::BTreeMap;

/// Composes a manuscript in an edition.
///
/// # Errors
/// A report with every character that no face has.
pub(crate) fn compose(
    manuscript: &Manuscript,
    edition: &Edition,
    book: &FontBook,
    ink: inks::ChartInk,
) -> Result<Booklet, Report> {
    let charts = || {
        let blocks = manuscript.sections.iter().flat_map(|s| &s.blocks);
        blocks.filter_map(|block| if let Block::Chart(chart) = block { Some(chart.as_ref()) } else { None })
    };
    let yarns = yarn_colours(manuscript);
    let look = &edition.look;
    let colours = Colours::of(edition, &yarns);
    let mut setter = Setter::new(book, edition, colours, &manuscript.about.language);
    let palette = palette(manuscript, ink);
    let parts = Parts {
        sheets: charts().map(|c| ChartSheets::new(c, edition, &setter, colours, &palette)).collect(),
        // Figures are pictures: their yarns keep their colour.
        figure_colours: figure_colours(accent(look, &yarns), edition.in_black),
        palette: &palette,
        pictures: manuscript,
        drawings: Drawings::default(),
    };
    let columns = text_area::columns(edition);
    let asks_for_pages = manuscript.sections.iter().any(|s| s.id == SectionName::Contents)
        || manuscript.sections.iter().flat_map(|s| &s.blocks).any(asks_for_page)
        || charts().any(|chart| !chart.alongside.is_empty() || !chart.words.rows_begin.is_empty());
    // Page numbers stand in the text, so the text is set again until they no longer move; they hardly ever move twice.
    // Many sections are rarely few pages; a wrong guess costs a round.
    let mut with_contents = manuscript.sections.len() > edition.contents_over;
    let mut rounds = 0;
    loop {
        let mut structure = Structure::default();
        let document = structure.add(Role::Document, None);
        let setting = galley::Setting::new(&setter, edition, colours, columns, &parts, &mut structure);
        let galley = galley::set(setting, manuscript, document, with_contents);
        let chart_nodes = chart_sections(manuscript, &structure, document, with_contents);
        let made = makeup::make_up(
            galley,
            &parts.sheets,
            edition,
            &setter,
            &mut structure,
            &chart_nodes,
            (&manuscript.furniture, colours),
        );
        let wants_contents = made.pages.len() > edition.contents_over;
        let settled = made.folios == setter.pages && wants_contents == with_contents;
        rounds += 1;
        if settled || !asks_for_pages || rounds >= 4 {
            let report = setter.report();
            if report.has_faults() {
                return Err(report);
            }
            let mut booklet = Booklet {
                about: manuscript.about.clone(),
                pages: made.pages,
                outline: made.outline,
                structure,
                pictures: manuscript.pictures.clone(),
                licence_line: Some(licence_line::room(edition)),
            };
            lead_links(&mut booklet, &made.places);
            return Ok(booklet);
        }
        with_contents = wants_contents;
        setter.again(made.folios);
    }
}

/// The structure node of every section that holds a chart, once for each chart.
fn chart_sections(
    manuscript: &Manuscript,
    structure: &Structure,
    document: crate::page::NodeId,
    with_contents: bool,
) -> Vec<crate::page::NodeId> {
    let sections = manuscript.sections.iter().filter(|s| s.id != SectionName::Contents || with_contents);
    sections
        .zip(&structure.get(document).children)
        .flat_map(|(section, node)| section.blocks.iter().filter(|b| matches!(b, Block::Chart(_))).map(move |_| *node))
        .collect()
}

/// Whether words of a block hold the page number of a section.
fn asks_for_page(block: &Block) -> bool {
    let asks = |text: &Text| text.iter().any(|inline| matches!(inline, Inline::PageOf(_)));
    let caption = |caption: &Option<Text>| caption.as_ref().is_some_and(asks);
    match block {
        Block::Heading(_, text) | Block::Paragraph(_, text) | Block::Ruler { caption: text, .. } => asks(text),
        Block::Steps(steps) => {
            steps.iter().any(|step| asks(&step.text) || step.cautions.iter().any(|caution| asks(&caution.text)))
        }
        Block::Bullets(entries) => entries.iter().any(asks),
        Block::Ticks(lines) => lines.iter().any(|line| asks(&line.text)),
        Block::Facts(pairs) | Block::FillIn(pairs) => pairs.iter().any(|(a, b)| asks(a) || asks(b)),
        Block::Caution(caution) => asks(&caution.text),
        Block::Table(table) => {
            caption(&table.caption) || caption(&table.note) || table.rows.iter().flatten().any(|cell| asks(&cell.text))
        }
        Block::Figure(figure) => caption(&figure.caption),
        Block::HungPanel(drawing) => caption(&drawing.caption),
        Block::Fleece(drawing) => caption(&drawing.caption),
        Block::AsKnotted(drawing) => caption(&drawing.caption),
        Block::Picture(picture) => caption(&picture.caption),
        Block::Panels(panels) => panels.iter().any(|drawing| caption(&drawing.caption)),
        Block::Rows(rows) => rows.iter().any(|row| asks(&row.sentence)),
        Block::InLanguage(_, blocks) => blocks.iter().any(asks_for_page),
        Block::Codes(codes) => codes.iter().any(|code| asks(&code.words)),
        Block::Contents => true,
        // A chart is asked by its template and its rows.
        Block::Chart(_) | Block::Stretch(_) | Block::Snips(_) | Block::NewPage => false,
    }
}

/// Links to sections get the page that they lead to.
fn lead_links(booklet: &mut Booklet, places: &BTreeMap<SectionName, (usize, Length)>) {
    let last = booklet.pages.len().saturating_sub(1);
    for frame in booklet.pages.iter_mut().flat_map(|page| &mut page.frames) {
        frame.items.retain_mut(|placed| {
            let Item::Link(link) = &mut placed.item else { return true };
            let section = match &mut link.target {
                Target::Section(section) => *section,
                Target::Page(page, _) => {
                    // Sheets that were moved by the last round may have been named by the one before.
                    *page = (*page).min(last);
                    return true;
                }
                Target::Address(_) => return true,
            };
            match places.get(&section) {
                Some((page, y)) => {
                    link.target = Target::Page(*page, *y);
                    true
                }
                // The section is not in this edition: the words stay, the link goes.
                None => false,
            }
        });
    }
}

/// The yarns with their symbols, from whatever part of the manuscript shows them, in one ink.
fn palette(manuscript: &Manuscript, ink: inks::ChartInk) -> inks::Palette {
    let mut yarns: Vec<(Colour, &str)> = Vec::new();
    for block in manuscript.sections.iter().flat_map(|s| &s.blocks) {
        match block {
            Block::Chart(chart) => {
                return inks::Palette::new(chart.yarns.iter().map(|y| (y.colour, y.symbol.as_str())), ink);
            }
            Block::Ticks(lines) => yarns.extend(lines.iter().filter_map(|l| l.swatch.as_ref()).map(of_swatch)),
            Block::Table(table) => {
                yarns.extend(table.rows.iter().flatten().filter_map(|e| e.swatch.as_ref()).map(of_swatch));
            }
            Block::Snips(snips) => yarns.extend(snips.iter().map(|snip| of_swatch(&snip.swatch))),
            _ => {}
        }
    }
    yarns.sort_unstable();
    yarns.dedup();
    inks::Palette::new(yarns, ink)
}

fn of_swatch(swatch: &crate::manuscript::Swatch) -> (Colour, &str) {
    (swatch.colour, swatch.symbol.as_str())
}
