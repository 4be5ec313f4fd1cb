//! Sheets of small charts, each drawn by itself, and what is found on them.

use super::*;
use crate::compose::setter::Landmark;
use crate::geom::{Point, Rect};
use crate::inks::{ChartInk, Palette};
use crate::page::{Item, Link, Mark, Segment, Shape, TextRun, Tick};
use std::collections::BTreeMap;

/// The first sheet is the forty-first page of the file and has the folio "p1", and so on.
struct Pages;

impl Folios for Pages {
    fn folio(&self, sheet: usize) -> String {
        format!("p{}", sheet + 1)
    }
    fn page(&self, sheet: usize) -> usize {
        sheet + 40
    }
}

/// A drawn sheet.
pub(super) struct Drawn {
    pub(super) area: Rect,
    pub(super) grid: Rect,
    pub(super) cell: Size,
    pub(super) sheet: SheetCells,
    pub(super) items: Vec<PlacedItem>,
    pub(super) again: Vec<PlacedItem>,
    pub(super) structure: Structure,
    pub(super) section: NodeId,
}

/// Draws a sheet of a chart in the yarns' own colours and does something with it.
pub(super) fn sheet<T>(
    block: &ChartBlock,
    edition: &Edition,
    index: usize,
    run: impl FnOnce(&Drawn, &ChartSheets, &Setter) -> T,
) -> T {
    sheet_after(block, edition, index, (BTreeMap::new(), &[]), run)
}

/// The same where these folios are known and the section already has nodes of these roles.
pub(super) fn sheet_after<T>(
    block: &ChartBlock,
    edition: &Edition,
    index: usize,
    (pages, said): (BTreeMap<Landmark, String>, &[Role]),
    run: impl FnOnce(&Drawn, &ChartSheets, &Setter) -> T,
) -> T {
    let book = FontBook::shipped();
    let colours = Colours::of(edition, &[]);
    let mut setter = Setter::new(&book, edition, colours, "en-GB");
    setter.again(pages);
    let palette = Palette::new(block.yarns.iter().map(|yarn| (yarn.colour, yarn.symbol.as_str())), ChartInk::Full);
    let sheets = ChartSheets::new(block, edition, &setter, colours, &palette);
    let mut structure = Structure::default();
    let root = structure.add(Role::Document, None);
    let section = structure.add(Role::Section, Some(root));
    for role in said {
        structure.add(*role, Some(section));
    }
    let (items, again) = draw(&sheets, index, &setter, &Pages, &mut structure, section);
    let area = sheets.page().1;
    let sheet = sheets.plan.sheets[index].clone();
    let grid = sheets.grid_area(&sheet, area, &setter);
    let drawn = Drawn { area, grid, cell: sheets.cell, sheet, items, again, structure, section };
    run(&drawn, &sheets, &setter)
}

/// How many sheets there are.
pub(super) fn count(block: &ChartBlock, edition: &Edition) -> usize {
    arrange(block, edition).plan.sheets.len()
}

/// An edition whose sheets have paper of this size in millimetres, cells of just this height, and nothing else that is not
/// asked for: nothing is shown again, no sheet lies on its side, no counts, no marks.
pub(super) fn plain(width: f64, height: f64, cell: f64, change: impl FnOnce(&mut Edition)) -> Edition {
    edition(|edition| {
        edition.paper.size = Size::new(Length::mm(width), Length::mm(height));
        let side = Length::mm(cell);
        (edition.chart.least_cell, edition.chart.narrow_cell, edition.chart.most_cell) = (side, side, side);
        (edition.chart.repeat, edition.chart.may_turn) = (0, false);
        (edition.chart.run_counts, edition.chart.marks) = (false, false);
        change(edition);
    })
}

/// The large print, changed in this way.
pub(super) fn large(change: impl FnOnce(&mut Edition)) -> Edition {
    let choice = Choice { edition: EditionName::LargePrint, own: None, look: None, paper: PaperName::A4 };
    let mut edition =
        load(choice, &mut Sources::in_memory(), &mut Report::new()).expect("it travels inside the program");
    change(&mut edition);
    edition
}

/// Equal to within a thousandth of a point.
#[track_caller]
pub(super) fn assert_near(found: Length, wanted: Length) {
    assert!((found - wanted).to_pt().abs() < 2e-3, "{} pt where {} were wanted", found.to_pt(), wanted.to_pt());
}

#[track_caller]
pub(super) fn assert_rect(found: Rect, wanted: Rect) {
    let sides = |area: Rect| [area.left(), area.top(), area.right(), area.bottom()].map(Length::to_pt);
    let far = sides(found).into_iter().zip(sides(wanted)).any(|(a, b)| (a - b).abs() > 2e-3);
    assert!(!far, "{:?} where {:?} were wanted", sides(found), sides(wanted));
}

/// What an outline takes up.
pub(super) fn bounds(outline: &[Segment]) -> Rect {
    let points = || outline.iter().copied().flat_map(Segment::points);
    let least = |of: fn(Point) -> Length| points().map(of).reduce(Length::min).expect("it has points");
    let most = |of: fn(Point) -> Length| points().map(of).reduce(Length::max).expect("it has points");
    let (left, top) = (least(|point| point.x), least(|point| point.y));
    Rect::new(left, top, most(|point| point.x) - left, most(|point| point.y) - top)
}

/// The parts of an outline.
pub(super) fn parts(outline: &[Segment]) -> Vec<&[Segment]> {
    let starts: Vec<usize> = (0..outline.len()).filter(|at| matches!(outline[*at], Segment::Move(_))).collect();
    let ends = starts.iter().copied().skip(1).chain([outline.len()]);
    starts.iter().copied().zip(ends).map(|(from, to)| &outline[from..to]).collect()
}

impl Drawn {
    pub(super) fn texts(&self) -> Vec<&TextRun> {
        self.items.iter().filter_map(|placed| placed.item.as_text()).collect()
    }
    /// All that stand on the paper with just these words.
    pub(super) fn all_of(&self, words: &str) -> Vec<&TextRun> {
        self.texts().into_iter().filter(|run| run.text.trim_end() == words).collect()
    }
    /// The only one with these words.
    #[track_caller]
    pub(super) fn text(&self, words: &str) -> &TextRun {
        let found = self.all_of(words);
        assert_eq!(found.len(), 1, "{words} among {:?}", self.words());
        found[0]
    }
    /// All words in the order in which they are drawn.
    pub(super) fn words(&self) -> Vec<&str> {
        self.texts().into_iter().map(|run| run.text.trim_end()).collect()
    }
    pub(super) fn links(&self) -> Vec<&Link> {
        self.items.iter().filter_map(|it| if let Item::Link(link) = &it.item { Some(link) } else { None }).collect()
    }
    pub(super) fn ticks(&self) -> Vec<&Tick> {
        self.items.iter().filter_map(|it| if let Item::Tick(tick) = &it.item { Some(tick) } else { None }).collect()
    }
    pub(super) fn shapes(&self) -> Vec<&Shape> {
        self.items.iter().filter_map(|it| if let Item::Shape(shape) = &it.item { Some(shape) } else { None }).collect()
    }
    /// The parts of all that is filled with this colour.
    pub(super) fn filled(&self, colour: Colour) -> Vec<Rect> {
        let filled = self.shapes().into_iter().filter(|shape| shape.fill == Some(colour));
        filled.flat_map(|shape| parts(&shape.outline)).map(bounds).collect()
    }
    /// The node that words belong to; none where they are only for the eye.
    #[track_caller]
    pub(super) fn node_of(&self, words: &str) -> Option<NodeId> {
        let is_it = |placed: &&PlacedItem| placed.item.as_text().is_some_and(|run| run.text.trim_end() == words);
        match self.items.iter().find(is_it).expect("it is drawn").mark {
            Mark::Node(node) => Some(node),
            Mark::Artifact(_) => None,
        }
    }
    pub(super) fn role_of(&self, words: &str) -> Option<Role> {
        self.node_of(words).map(|node| self.structure.get(node).role)
    }
    /// The roles of what stands directly in the section, in reading order.
    pub(super) fn roles(&self) -> Vec<Role> {
        let children = &self.structure.get(self.section).children;
        children.iter().map(|child| self.structure.get(*child).role).collect()
    }
    /// Where a thing that is centred on a cell's column or row has its middle.
    pub(super) fn middle(&self, column: usize, row: usize) -> Point {
        let x = self.grid.left() + self.cell.width * (column as f64 + 0.5);
        Point::new(x, self.grid.top() + self.cell.height * (row as f64 + 0.5))
    }
}

/// How far a run of text reaches.
pub(super) fn width(run: &TextRun) -> Length {
    run.glyphs.iter().fold(Length::ZERO, |sum, glyph| sum + glyph.advance)
}
