//! A picture of a gridded chart is read back into squares: each of them one knot.
//!
//! In: a picture as it is seen, and how many squares there are where the maker says so. Out: a [`Reading`]. The steps:
//! `find` tries a picture as a screen shows it and as a camera saw it: `pencils` finds how it was turned and foreshortened,
//! `plane` lays it flat, `lattice` finds the squares' size and where the chart ends. `margins` measures what lines take of
//! squares, `squares` looks into every one, `grounds` tells their colours apart in uneven light, and `symbols` what is drawn in
//! them. `means` holds every square against the mean of each kind, and says which squares may be read wrongly. Pure and the
//! same every time; knows no files, no project and no words.

mod edges;
mod find;
mod grounds;
mod lattice;
mod light;
mod margins;
mod means;
mod pencils;
mod plane;
mod reading;
pub mod shown;
mod squares;
mod symbols;
mod window;

use crate::picture::SrgbPicture;
use lattice::{Lattice, PLAIN};
use margins::Margins;

pub use reading::{Doubt, Flat, MAX_SIDE, MAX_TOLD, MIN_SIDE, NoChart, Reading, Size, SquareKind};

/// Reads a picture as a chart.
///
/// # Errors
/// What the picture lacks.
pub fn read(picture: &SrgbPicture, size: Size) -> Result<Reading, NoChart> {
    let found = find::find(picture, size, true)?;
    let flat = Flat { straight: found.straight, corners: found.lattice.corners(), picture: found.picture };
    Ok(look(flat, &found.lattice))
}

/// Reads a picture that is plainly a chart: of a lattice that is nearly whole, its squares each of one ground. `None`: it
/// may be something else.
pub fn plainly(picture: &SrgbPicture) -> Option<Reading> {
    let found = find::find(picture, Size::default(), false).ok()?;
    let lattice = found.lattice;
    let flat = Flat { straight: found.straight, corners: lattice.corners(), picture: found.picture };
    let even = squares::evenness(&flat, lattice.columns(), lattice.rows());
    let (strong, most) = if lattice.lined { (0.55, 0.75) } else { (0.8, 0.9) };
    // Squares with symbols are not even, but nothing else comes again so exactly, side by side and row by row.
    let comes_again = flat.straight && lattice.alike >= COMES_AGAIN && lattice.strength >= PLAIN;
    (comes_again || (lattice.strength >= strong && even >= most)).then(|| look(flat, &lattice))
}

/// So much of a square of a plain chart comes again in the next.
const COMES_AGAIN: f64 = 0.35;

fn look(flat: Flat, lattice: &Lattice) -> Reading {
    let (columns, rows) = (lattice.columns(), lattice.rows());
    let margins = Margins::of(&flat.picture, &flat.corners, columns);
    let grid = flat.grid(columns, flat.straight.then_some(&margins));
    let looked = squares::look(&flat, grid, rows);
    let grounds = grounds::tell_apart(&looked, columns, rows, flat.straight);
    let told = symbols::tell_apart(&looked, &grounds, reading::MAX_KINDS);
    let source = means::Source::new(flat.grid(columns, Some(&margins)), &margins, &grounds.light);
    let (cells, kinds, doubtful) = in_order(means::settle(source, &told));
    let (width, height) = lattice.square();
    Reading {
        columns,
        rows,
        cells,
        kinds,
        doubtful,
        size_is_sure: lattice.size_is_sure,
        proportion: height / width,
        pixels: width,
        flat,
    }
}

/// Kinds in the order of their number; those of no square are dropped.
fn in_order(
    (cells, kinds, doubtful): (Vec<u8>, Vec<SquareKind>, Vec<Doubt>),
) -> (Vec<u8>, Vec<SquareKind>, Vec<Doubt>) {
    let mut order: Vec<usize> = (0..kinds.len()).filter(|&kind| kinds[kind].count > 0).collect();
    order.sort_by_key(|&kind| (core::cmp::Reverse(kinds[kind].count), kind));
    let mut place = vec![0_u8; kinds.len()];
    for (new, &old) in order.iter().enumerate() {
        place[old] = new as u8;
    }
    let cells = cells.iter().map(|&kind| place[usize::from(kind)]).collect();
    let kinds = order.into_iter().map(|kind| kinds[kind].clone()).collect();
    let doubtful = doubtful.into_iter().map(|doubt| Doubt { or: place[usize::from(doubt.or)], ..doubt }).collect();
    (cells, kinds, doubtful)
}
