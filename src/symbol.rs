//! The symbols of chart cells: plain geometry of our own, drawn as vectors and told apart at print size in black and white.
//!
//! In comes a symbol's name, out goes its outline in a box of side one about (0, 0), y downwards. Which yarn gets which
//! symbol is settled in [`assign()`]; what a whole cell looks like, in [`crate::inks`].

mod assign;
mod geometry;
mod likeness;
mod set;
#[cfg(test)]
mod sketch;

pub(crate) use assign::{assign, touches};

use crate::geom::{Point, Size};
use crate::page::Segment;
use set::SET;

/// Names of all symbols, the lightest first.
pub(crate) const SYMBOLS: [&str; SET.len()] = {
    let mut names = [""; SET.len()];
    let mut at = 0;
    while at < SET.len() {
        names[at] = SET[at].name;
        at += 1;
    }
    names
};

/// The outline in a box of side one point centred on (0, 0), to be filled by the non-zero winding rule. `None`: no symbol
/// of that name.
pub(crate) fn outline(name: &str) -> Option<Vec<Segment>> {
    find(name).map(|at| geometry::outline(SET[at].parts))
}

/// The outline in a box of this size centred on (0, 0). `None`: no symbol of that name.
pub(crate) fn stretched(name: &str, size: Size) -> Option<Vec<Segment>> {
    Some(stretch(outline(name)?, size))
}

/// The same of the symbol's figure: what is cut out of it where it is a block with something cut out, else the symbol.
pub(crate) fn stretched_figure(name: &str, size: Size) -> Option<Vec<Segment>> {
    find(name).map(|at| stretch(geometry::outline(figure(at)), size))
}

fn stretch(outline: Vec<Segment>, size: Size) -> Vec<Segment> {
    let (across, down) = (size.width.to_pt(), size.height.to_pt());
    let grown = |p: Point| Point::new(p.x * across, p.y * down);
    outline
        .into_iter()
        .map(|segment| match segment {
            Segment::Move(p) => Segment::Move(grown(p)),
            Segment::Line(p) => Segment::Line(grown(p)),
            Segment::Curve(a, b, p) => Segment::Curve(grown(a), grown(b), grown(p)),
            Segment::Close => Segment::Close,
        })
        .collect()
}

fn figure(at: usize) -> &'static [geometry::Part] {
    SET[at].opening.unwrap_or(SET[at].parts)
}

/// Visual weight: the share of the box that is inked, 0 to 1. `None`: no symbol of that name.
pub fn weight(name: &str) -> Option<f64> {
    find(name).map(|at| geometry::inked(SET[at].parts))
}

/// The same of its figure.
pub(crate) fn figure_weight(name: &str) -> Option<f64> {
    find(name).map(|at| geometry::inked(figure(at)))
}

/// Place in [`SYMBOLS`].
fn find(name: &str) -> Option<usize> {
    SET.iter().position(|symbol| symbol.name == name)
}

#[cfg(test)]
mod tests;
