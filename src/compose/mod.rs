//! Manuscript to pages: galley, make-up, tables, chart sheets, figures, furniture. Holds no phrases.

pub mod blank_grid;
pub mod chart;
pub mod draw;
mod evenly;
mod fit;
pub mod galley;
pub mod licence_line;
pub mod makeup;
pub mod notes;
pub mod setting;
pub mod shop;
pub mod table;
pub mod tile;

use crate::as_knotted;
use crate::catalogue::SectionName;
use crate::colour::Colour;
use crate::diag::Report;
use crate::edition::{Edition, Look};
use crate::figure;
use crate::font::FontBook;
use crate::geom::{Length, Point, Rect, Size};
use crate::inks;
use crate::manuscript::{Block, Manuscript};
use crate::markup::{Inline, Text};
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
    /// Those of an edition; the accent is taken from the yarns where its look has none, and is as dark as text where
    /// everything but pictures is printed in black.
    fn of(edition: &Edition, yarns: &[Colour]) -> Colours {
        let look = &edition.look;
        Colours {
            text: look.text,
            quiet: look.quiet,
            rule: look.rule,
            tint: look.tint,
            shared: look.shared,
            accent: if edition.in_black { look.text } else { accent(look, yarns) },
        }
    }
}

/// The accent of a look, or the yarns' own.
fn accent(look: &Look, yarns: &[Colour]) -> Colour {
    look.accent.unwrap_or_else(|| inks::accent(yarns))
}

/// What the galley needs besides the manuscript.
pub struct Parts<'a> {
    sheets: Vec<ChartSheets<'a>>,
    figures: &'a figure::Figures,
    figure_colours: figure::FigureColours,
    palette: &'a inks::Palette,
    pictures: &'a Manuscript,
    drawings: Drawings,
}

/// Drawings that are made already: the galley is set again when page numbers move, and drawing takes longer than setting.
#[derive(Default)]
struct Drawings {
    figures: RefCell<BTreeMap<(StagesOf, bool, [u64; 3]), figure::DrawnFigure>>,
    rows: RefCell<BTreeMap<(StagesOf, [u64; 3]), usize>>,
    /// The figure that was read last: what is asked of one figure is asked in a row.
    last: RefCell<Option<(StagesOf, Rc<figure::Figure>)>>,
    panels: RefCell<BTreeMap<([u64; 2], Vec<[u8; 3]>), as_knotted::KnottedDrawing>>,
}

/// A figure by its name, with those of its stages that are shown; none named: all.
type Shown<'a> = (&'a str, &'a [usize]);
/// The same as a key.
type StagesOf = (String, Vec<usize>);

fn owned((name, stages): Shown) -> StagesOf {
    (name.to_owned(), stages.to_vec())
}

impl Parts<'_> {
    /// A figure, drawn for this room and these times the usual size of its words. `None`: there is no figure of this name.
    fn figure(&self, shown: Shown, room: Size, grown: f64, mirrored: bool) -> Option<figure::DrawnFigure> {
        let [width, height] = exactly(room);
        let key = (owned(shown), mirrored, [width, height, grown.to_bits()]);
        if let Some(made) = self.drawings.figures.borrow().get(&key) {
            return Some(made.clone());
        }
        let drawn = self.read_figure(shown)?.draw(room, grown, &self.figure_colours, mirrored);
        self.drawings.figures.borrow_mut().insert(key, drawn.clone());
        Some(drawn)
    }

    /// A figure with the stages that are shown, ready to be drawn.
    fn read_figure(&self, shown: Shown) -> Option<Rc<figure::Figure>> {
        let mut last = self.drawings.last.borrow_mut();
        match last.as_ref() {
            Some((of, figure)) if *of == owned(shown) => Some(Rc::clone(figure)),
            Some(_) | None => {
                let mut figure = self.figures.get(shown.0)?;
                if !shown.1.is_empty() {
                    let mut at = 0..;
                    figure.panels.retain(|_| at.next().is_some_and(|at| shown.1.contains(&at)));
                    figure.numbered &= figure.panels.len() > 1;
                }
                let figure = Rc::new(figure);
                *last = Some((owned(shown), Rc::clone(&figure)));
                Some(figure)
            }
        }
    }

    /// In how many rows the stages of a figure stand in this room; none where there is no such figure.
    fn rows_of_figure(&self, shown: Shown, room: Size, grown: f64) -> usize {
        let [width, height] = exactly(room);
        let key = (owned(shown), [width, height, grown.to_bits()]);
        if let Some(rows) = self.drawings.rows.borrow().get(&key) {
            return *rows;
        }
        let rows = self.read_figure(shown).map_or(0, |figure| figure.row_count(room, grown));
        self.drawings.rows.borrow_mut().insert(key, rows);
        rows
    }

    /// The panel as knotted. A booklet shows one panel, so room and colours say which drawing of it is meant.
    fn as_knotted(&self, grid: &crate::manuscript::AsKnottedGrid, room: Size) -> as_knotted::KnottedDrawing {
        let mut made = self.drawings.panels.borrow_mut();
        let area = Rect { origin: Point::default(), size: room };
        let colours = grid.colours.iter().map(|colour| [colour.r, colour.g, colour.b]).collect();
        made.entry((exactly(room), colours)).or_insert_with(|| as_knotted::draw(grid, area)).clone()
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
        let blocks = manuscript.sections.iter().flat_map(|s| &s.blocks);
        blocks.filter_map(|block| if let Block::Chart(chart) = block { Some(chart.as_ref()) } else { None })
    };
    let yarns = yarn_colours(manuscript);
    let look = &edition.look;
    let colours = Colours::of(edition, &yarns);
    let mut setter = Setter::new(book, edition, colours, &manuscript.about.language);
    let palette = palette(manuscript, ink);
    let figures = figure::Figures::shipped();
    let parts = Parts {
        sheets: charts().map(|c| ChartSheets::new(c, edition, &setter, colours, &palette)).collect(),
        figures: &figures,
        // Figures are pictures: their yarns keep their colour.
        figure_colours: figure_colours(accent(look, &yarns), edition.in_black),
        palette: &palette,
        pictures: manuscript,
        drawings: Drawings::default(),
    };
    let columns = makeup::columns(edition);
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

/// Colours of the yarns, from whatever part of the manuscript shows them.
fn yarn_colours(manuscript: &Manuscript) -> Vec<Colour> {
    let blocks = || manuscript.sections.iter().flat_map(|s| &s.blocks);
    // A chart knows all yarns; boxes to tick before it may show the header's alone.
    for block in blocks() {
        if let Block::Chart(chart) = block {
            return chart.yarns.iter().map(|yarn| yarn.colour).collect();
        }
        if let Block::AsKnotted(drawing) = block {
            return drawing.grid.colours.clone();
        }
    }
    for block in blocks() {
        let swatches: Vec<_> = if let Block::Ticks(lines) = block {
            lines.iter().filter_map(|line| line.swatch.as_ref()).collect()
        } else if let Block::Table(table) = block {
            table.rows.iter().flatten().filter_map(|cell| cell.swatch.as_ref()).collect()
        } else {
            continue;
        };
        if !swatches.is_empty() {
            return swatches.iter().map(|swatch| swatch.colour).collect();
        }
    }
    Vec::new()
}

/// Figures take the accent for the working yarn; the second yarn is warm beside a cool accent and cool beside a warm one.
fn figure_colours(accent: Colour, in_black: bool) -> figure::FigureColours {
    let cool = Colour::new(0x6f, 0x93, 0xa8);
    let usual = figure::FigureColours::default();
    figure::FigureColours {
        yarn: accent,
        second_yarn: if accent.r > accent.b { cool } else { usual.second_yarn },
        ink: if in_black { usual.ink.grey() } else { usual.ink },
        grey_edges: in_black,
        ..usual
    }
}
