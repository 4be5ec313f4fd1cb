//! Manuscript to pages: galley, make-up, tables, chart sheets, figures, furniture. Holds no phrases.

pub mod as_knotted;
pub mod chart;
pub mod draw;
pub mod figure;
pub mod galley;
pub mod hung_panel;
pub mod inks;
pub mod licence_line;
pub mod makeup;
pub mod notes;
pub mod setting;
pub mod shop;
pub mod symbol;
pub mod table;
pub mod tile;

#[cfg(test)]
mod sketch;

use crate::colour::Colour;
use crate::diag::Report;
use crate::edition::Edition;
use crate::font::FontBook;
use crate::geom::{Point, Rect, Size};
use crate::manuscript::{Block, Manuscript};
use crate::page::{Booklet, Item, Role, Structure, Target};
use chart::ChartSheets;
use setting::Setter;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

/// The colours of one booklet, settled.
#[derive(Clone, Copy, Debug)]
pub struct Colours {
    /// Running text.
    pub text: Colour,
    /// Heads, captions.
    pub quiet: Colour,
    /// Rules.
    pub rule: Colour,
    /// Grounds.
    pub tint: Colour,
    /// Ground of repeated columns and rows.
    pub shared: Colour,
    /// Accent.
    pub accent: Colour,
}

impl Colours {
    /// Those of a look; the accent is taken from the yarns where the look has none.
    fn of(look: &crate::edition::Look, yarns: &[Colour]) -> Colours {
        Colours {
            text: look.text,
            quiet: look.quiet,
            rule: look.rule,
            tint: look.tint,
            shared: look.shared,
            accent: look.accent.unwrap_or_else(|| inks::accent(yarns)),
        }
    }
}

/// What the galley needs besides the manuscript.
pub struct Parts<'a> {
    sheets: Vec<ChartSheets<'a>>,
    figures: &'a figure::Figures,
    figure_colours: figure::FigureColours,
    ink: inks::ChartInk,
    pictures: &'a Manuscript,
    drawings: Drawings,
}

/// The size of the words in drawings that the room kept for them is made for.
const USUAL_LABEL: crate::geom::Length = crate::geom::Length::pt(7.5);

/// Drawings that are made already: the galley is set again when page numbers move, and drawing takes longer than setting.
#[derive(Default)]
struct Drawings {
    figures: RefCell<BTreeMap<(String, bool, [u64; 3]), figure::Drawn>>,
    rows: RefCell<BTreeMap<(String, [u64; 3]), usize>>,
    /// The figure that was read last: what is asked of one figure is asked in a row.
    last: RefCell<Option<Rc<figure::Figure>>>,
    panels: RefCell<BTreeMap<[u64; 2], as_knotted::Drawing>>,
}

impl Parts<'_> {
    /// A figure, drawn for this room and these times the usual size of its words. `None`: there is no figure of this name.
    fn figure(&self, name: &str, room: Size, grown: f64, mirrored: bool) -> Option<figure::Drawn> {
        let [width, height] = exactly(room);
        let key = (name.to_owned(), mirrored, [width, height, grown.to_bits()]);
        if let Some(made) = self.drawings.figures.borrow().get(&key) {
            return Some(made.clone());
        }
        let drawn = self.read_figure(name)?.draw(room, grown, &self.figure_colours, mirrored);
        self.drawings.figures.borrow_mut().insert(key, drawn.clone());
        Some(drawn)
    }

    /// A figure, ready to be drawn.
    fn read_figure(&self, name: &str) -> Option<Rc<figure::Figure>> {
        let mut last = self.drawings.last.borrow_mut();
        match last.as_ref() {
            Some(figure) if figure.name == name => Some(Rc::clone(figure)),
            Some(_) | None => {
                let figure = Rc::new(self.figures.get(name)?);
                *last = Some(Rc::clone(&figure));
                Some(figure)
            }
        }
    }

    /// In how many rows the stages of a figure stand in this room; none where there is no such figure.
    fn rows_of_figure(&self, name: &str, room: Size, grown: f64) -> usize {
        let [width, height] = exactly(room);
        let key = (name.to_owned(), [width, height, grown.to_bits()]);
        if let Some(rows) = self.drawings.rows.borrow().get(&key) {
            return *rows;
        }
        let rows = self.read_figure(name).map_or(0, |figure| figure.row_count(room, grown));
        self.drawings.rows.borrow_mut().insert(key, rows);
        rows
    }

    /// The panel as knotted. A booklet shows one panel, so the room says which drawing of it is meant.
    fn as_knotted(&self, grid: &crate::manuscript::AsKnottedGrid, room: Size) -> as_knotted::Drawing {
        let mut made = self.drawings.panels.borrow_mut();
        let area = Rect { origin: Point::default(), size: room };
        made.entry(exactly(room)).or_insert_with(|| as_knotted::draw(grid, area)).clone()
    }
}

/// A size as a key: equal only where every bit is.
fn exactly(room: Size) -> [u64; 2] {
    [room.width.to_pt().to_bits(), room.height.to_pt().to_bits()]
}

/// Composes a manuscript in an edition.
///
/// # Errors
/// A report with every character that no face has.
pub fn compose(
    manuscript: &Manuscript,
    edition: &Edition,
    book: &FontBook,
    ink: inks::ChartInk,
) -> Result<Booklet, Report> {
    let charts = || {
        manuscript.sections.iter().flat_map(|s| &s.blocks).filter_map(|b| match b {
            Block::Chart(chart) => Some(chart.as_ref()),
            _ => None,
        })
    };
    let yarns = yarn_colours(manuscript);
    let look = &edition.look;
    let colours = Colours::of(look, &yarns);
    let mut setter = Setter::new(book, edition, colours, &manuscript.about.language);
    let figures = figure::Figures::shipped();
    let parts = Parts {
        sheets: charts().map(|c| ChartSheets::new(c, edition, &setter, colours, ink)).collect(),
        figures: &figures,
        figure_colours: figure_colours(colours.accent),
        ink,
        pictures: manuscript,
        drawings: Drawings::default(),
    };
    let columns = makeup::columns(edition);
    let asks_for_pages = manuscript.sections.iter().any(|s| s.id == "contents")
        || manuscript.sections.iter().flat_map(|s| &s.blocks).any(asks_for_page)
        || charts().any(|chart| !chart.alongside.is_empty() || chart.words.alt.contains("{page}"))
        || parts.sheets.iter().any(|sheets| sheets.key_pages() > 0);
    // Page numbers stand in the text, so the text is set again until they no longer move; they hardly ever move twice.
    // Many sections are rarely few pages; a wrong guess costs a round.
    let mut with_contents = manuscript.sections.len() > edition.contents_over;
    let mut rounds = 0;
    loop {
        let mut structure = Structure::default();
        let document = structure.add(Role::Document, None);
        let setting = galley::Setting::new(&setter, edition, colours, columns, &parts, &mut structure);
        let galley = setting.set(manuscript, document, with_contents);
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
    let sections = manuscript.sections.iter().filter(|s| s.id != "contents" || with_contents);
    sections
        .zip(&structure.get(document).children)
        .flat_map(|(section, node)| section.blocks.iter().filter(|b| matches!(b, Block::Chart(_))).map(move |_| *node))
        .collect()
}

fn asks_for_page(block: &Block) -> bool {
    use crate::manuscript::Inline;
    let asks = |text: &crate::manuscript::Text| text.iter().any(|i| matches!(i, Inline::PageOf(_)));
    match block {
        Block::Paragraph(_, text) => asks(text),
        Block::Steps(steps) => steps.iter().any(|s| asks(&s.text)),
        Block::Bullets(entries) => entries.iter().any(asks),
        Block::Facts(facts) => facts.iter().any(|(a, b)| asks(a) || asks(b)),
        Block::Caution(caution) => asks(&caution.text),
        Block::Table(table) => table.rows.iter().flatten().any(|e| asks(&e.text)),
        Block::Contents => true,
        _ => false,
    }
}

/// Links to sections learn their page.
fn lead_links(booklet: &mut Booklet, places: &std::collections::BTreeMap<String, (usize, crate::geom::Length)>) {
    for page in &mut booklet.pages {
        for frame in &mut page.frames {
            frame.items.retain_mut(|placed| {
                let Item::Link(link) = &mut placed.item else { return true };
                let Target::Address(address) = &link.target else { return true };
                let Some(section) = address.strip_prefix("section:") else { return true };
                match places.get(section) {
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
}

/// Colours of the yarns, from whatever part of the manuscript shows them.
fn yarn_colours(manuscript: &Manuscript) -> Vec<Colour> {
    let blocks = || manuscript.sections.iter().flat_map(|s| &s.blocks);
    // A chart knows all yarns; boxes to tick before it may show the header's alone.
    for block in blocks() {
        match block {
            Block::Chart(chart) => return chart.yarns.iter().map(|y| y.colour).collect(),
            Block::AsKnotted(drawing) => return drawing.grid.colours.clone(),
            _ => {}
        }
    }
    for block in blocks() {
        match block {
            Block::Ticks(lines) if lines.iter().any(|l| l.swatch.is_some()) => {
                return lines.iter().filter_map(|l| l.swatch.as_ref().map(|s| s.colour)).collect();
            }
            Block::Table(table) => {
                let found: Vec<Colour> =
                    table.rows.iter().flatten().filter_map(|e| e.swatch.as_ref().map(|s| s.colour)).collect();
                if !found.is_empty() {
                    return found;
                }
            }
            _ => {}
        }
    }
    Vec::new()
}

/// Figures take the accent for the working yarn; the second yarn is warm beside a cool accent and cool beside a warm one.
fn figure_colours(accent: Colour) -> figure::FigureColours {
    let cool = Colour::new(0x6f, 0x93, 0xa8);
    let usual = figure::FigureColours::default();
    figure::FigureColours {
        yarn: accent,
        second_yarn: if accent.r > accent.b { cool } else { usual.second_yarn },
        ..usual
    }
}
