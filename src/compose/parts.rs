//! What the galley needs besides the manuscript: the sheets of its charts, and its drawings, each made once.

use super::chart::ChartSheets;
use crate::as_knotted;
use crate::figure;
use crate::geom::{Point, Rect, Size};
use crate::inks;
use crate::manuscript::Manuscript;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

/// What the galley needs besides the manuscript.
pub struct Parts<'a> {
    pub(super) sheets: Vec<ChartSheets<'a>>,
    pub(super) figures: &'a figure::Figures,
    pub(super) figure_colours: figure::FigureColours,
    pub(super) palette: &'a inks::Palette,
    pub(super) pictures: &'a Manuscript,
    pub(super) drawings: Drawings,
}

/// Drawings that are made already: the galley is set again when page numbers move, and drawing takes longer than setting.
#[derive(Default)]
pub(super) struct Drawings {
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
    pub(super) fn figure(&self, shown: Shown, room: Size, grown: f64, mirrored: bool) -> Option<figure::DrawnFigure> {
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
    pub(super) fn rows_of_figure(&self, shown: Shown, room: Size, grown: f64) -> usize {
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
    pub(super) fn as_knotted(&self, grid: &crate::manuscript::AsKnottedGrid, room: Size) -> as_knotted::KnottedDrawing {
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
