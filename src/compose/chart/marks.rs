//! Small marks in the cells for what the rule of carrying does not say: where a length starts, which one is taken up, where
//! two yarns are linked, where one is cut.
//!
//! Each stands at the edge where it is done: a dot in the upper corner where a run begins, a lozenge in the lower one, a dash
//! across the edge between two runs, an upright bar at the edge where a run ends. They lie outside of most of what symbols
//! fill, and a rim in the ground's colour parts them from the rest, so that none is taken for a part of a symbol. Comes from
//! cells with their inks; knows nothing of yarns.

use crate::colour::Colour;
use crate::compose::draw::{box_outline, disc_outline};
use crate::compose::tile::SheetCells;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::{ChartBlock, ChartMark, ChartMarkKind};
use crate::page::{CellInk, Segment, Shape};

/// Measures as shares of a cell's shorter side. The dot's radius, half the lozenge, and their distance from the cell's sides.
const DOT: f64 = 0.09;
const LOZENGE: f64 = 0.115;
const INWARD: f64 = 0.11;
/// Half the dash's length, and its thickness.
const DASH: f64 = 0.11;
const DASH_THICK: f64 = 0.085;
/// How far down the edge it lies: above the middle, where parts of symbols reach near the edge.
const DASH_AT: f64 = 0.3;
/// Height and thickness of the bar, and how far from the edge it stands.
const BAR: f64 = 0.3;
const BAR_THICK: f64 = 0.085;
const BAR_INWARD: f64 = 0.03;
/// Width of the rim.
const RIM: f64 = 0.035;
/// Contrast of a mark to its ground (WCAG 2.2, level AA, for text).
const CONTRAST: f64 = 4.5;

/// The marks in the cells of a sheet.
pub(super) fn on<'a>(block: &'a ChartBlock, sheet: &'a SheetCells) -> impl Iterator<Item = &'a ChartMark> {
    // They are in reading order, so the sheet's rows lie together.
    let at = |row: usize| block.marks.partition_point(|mark| mark.cell < row * block.columns);
    let of_rows = &block.marks[at(sheet.rows.start)..at(sheet.rows.end)];
    of_rows.iter().filter(|mark| sheet.columns.contains(&(mark.cell % block.columns)))
}

/// A marked cell.
pub(super) struct MarkedCell<'a> {
    /// The cell.
    pub(crate) area: Rect,
    /// What is marked.
    pub(crate) kind: &'a ChartMarkKind,
    /// Whether its row is worked from left to right.
    pub(crate) left_to_right: bool,
    /// How the cell is inked.
    pub(crate) ink: &'a CellInk,
}

/// All marks: first the rims, then the marks, each colour one shape.
pub(super) fn shapes<'a>(cells: impl Iterator<Item = MarkedCell<'a>>) -> Vec<Shape> {
    let (mut rims, mut marks) = (Vec::new(), Vec::new());
    for cell in cells {
        let side = cell.area.size.width.min(cell.area.size.height);
        let ground = cell.ink.ground.unwrap_or(Colour::WHITE);
        let colour = standing_out(ground);
        add(&mut rims, ground, outline(&cell, side * RIM));
        add(&mut marks, colour, outline(&cell, Length::ZERO));
    }
    rims.into_iter().chain(marks).map(|(colour, outline)| Shape { outline, fill: Some(colour), stroke: None }).collect()
}

/// Black where it stands out. Else the darkest grey that does: white would make the marked cells of a dark yarn look lighter
/// than those of a lighter one.
fn standing_out(ground: Colour) -> Colour {
    if Colour::BLACK.contrast(ground) >= CONTRAST {
        return Colour::BLACK;
    }
    let greys = (0..=u8::MAX).map(|grey| Colour::new(grey, grey, grey));
    let mut lighter = greys.skip_while(|grey| grey.luminance() <= ground.luminance());
    lighter.find(|grey| grey.contrast(ground) >= CONTRAST).unwrap_or(Colour::WHITE)
}

/// A mark's outline, grown on all sides.
fn outline(cell: &MarkedCell, grown: Length) -> Vec<Segment> {
    let area = cell.area;
    let side = area.size.width.min(area.size.height);
    // From the side where the run begins.
    let inside = |by: Length, from_begin: bool| {
        if cell.left_to_right == from_begin { area.left() + by } else { area.right() - by }
    };
    let around = |middle: Point, size: Size| {
        let (w, h) = (size.width + grown * 2.0, size.height + grown * 2.0);
        box_outline(Rect::new(middle.x - w / 2.0, middle.y - h / 2.0, w, h))
    };
    match cell.kind {
        ChartMarkKind::Start => {
            let middle = Point::new(inside(side * INWARD, true), area.top() + side * INWARD);
            disc_outline(middle, side * DOT + grown)
        }
        ChartMarkKind::Choice { .. } => {
            let middle = Point::new(inside(side * INWARD, true), area.bottom() - side * INWARD);
            let reach = side * LOZENGE + grown * 1.4;
            vec![
                Segment::Move(middle.moved(Length::ZERO, -reach)),
                Segment::Line(middle.moved(reach, Length::ZERO)),
                Segment::Line(middle.moved(Length::ZERO, reach)),
                Segment::Line(middle.moved(-reach, Length::ZERO)),
                Segment::Close,
            ]
        }
        ChartMarkKind::Link => {
            let middle = Point::new(inside(Length::ZERO, true), area.top() + area.size.height * DASH_AT);
            around(middle, Size::new(side * (2.0 * DASH), side * DASH_THICK))
        }
        ChartMarkKind::Cut => {
            let middle = Point::new(inside(side * (BAR_INWARD + BAR_THICK / 2.0), false), area.centre().y);
            around(middle, Size::new(side * BAR_THICK, side * BAR))
        }
    }
}

fn add(shapes: &mut Vec<(Colour, Vec<Segment>)>, colour: Colour, outline: Vec<Segment>) {
    match shapes.iter_mut().find(|(of, _)| *of == colour) {
        Some((_, all)) => all.extend(outline),
        None => shapes.push((colour, outline)),
    }
}
