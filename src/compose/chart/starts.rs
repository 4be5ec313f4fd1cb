//! A small dot in the corner of every square in which a yarn starts, at the side from which the row is worked.
//!
//! It stands outside of what the symbol fills, so that it is not taken for a part of it. Comes from squares with their
//! inks; knows nothing of yarns.

use crate::colour::Colour;
use crate::compose::draw::disc_outline;
use crate::geom::{Length, Point, Rect, Size};
use crate::page::{CellInk, Segment, Shape};

/// The dot's radius and its distance from the square's two sides, as shares of the square's smaller side. It reaches only
/// a little into the middle three quarters of the square, which are the symbol's.
const RADIUS: f64 = 0.09;
const INWARD: f64 = 0.105;
/// A rim in the ground's colour parts the dot from a symbol that reaches into the corner.
const RIM: Length = Length::pt(0.25);

/// A square in which a yarn starts.
pub(super) struct Start<'a> {
    /// Row and column on the sheet, from 0.
    pub row: usize,
    pub column: usize,
    /// Whether its row is worked from left to right.
    pub left_to_right: bool,
    /// How the square is inked.
    pub ink: &'a CellInk,
}

/// All dots of a sheet: first the rims, then the dots, each colour one shape.
pub(super) fn dots<'a>(grid: Rect, cell: Size, starts: impl Iterator<Item = Start<'a>>) -> Vec<Shape> {
    let side = cell.width.min(cell.height);
    let (mut rims, mut dots) = (Vec::new(), Vec::new());
    for start in starts {
        let left = grid.left() + cell.width * start.column as f64;
        let x = if start.left_to_right { left + side * INWARD } else { left + cell.width - side * INWARD };
        let centre = Point::new(x, grid.top() + cell.height * start.row as f64 + side * INWARD);
        let ground = start.ink.ground.unwrap_or(Colour::WHITE);
        add(&mut rims, ground, disc_outline(centre, side * RADIUS + RIM));
        add(&mut dots, start.ink.colour, disc_outline(centre, side * RADIUS));
    }
    rims.into_iter().chain(dots).map(|(colour, outline)| Shape { outline, fill: Some(colour), stroke: None }).collect()
}

fn add(shapes: &mut Vec<(Colour, Vec<Segment>)>, colour: Colour, outline: Vec<Segment>) {
    match shapes.iter_mut().find(|(of, _)| *of == colour) {
        Some((_, all)) => all.extend(outline),
        None => shapes.push((colour, outline)),
    }
}
