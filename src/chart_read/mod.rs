//! A picture of a gridded chart is read back into squares: each of them one knot.
//!
//! In: a picture as it is seen, and how many squares there are where the maker says so. Out: a [`Reading`]. The steps:
//! `find` tries a picture as a screen shows it and as a camera saw it: `pencils` finds how it was turned and foreshortened,
//! `plane` lays it flat, `lattice` finds the squares' size and where the chart ends. `squares` looks into every square,
//! `grounds` tells their colours apart in uneven light, `symbols` what is drawn in them, and `doubts` says which squares may
//! be read wrongly. Pure and the same every time; knows no files, no project and no words.

mod doubts;
mod edges;
mod find;
mod grounds;
mod lattice;
mod light;
mod pencils;
mod plane;
mod reading;
pub mod shown;
mod squares;
mod symbols;
mod window;

use crate::picture::SrgbPicture;
use lattice::{Lattice, PLAIN};

pub use reading::{Doubt, Flat, MAX_SIDE, MIN_SIDE, NoChart, Reading, Size, SquareKind};

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
    let looked = squares::look(&flat, columns, rows);
    let grounds = grounds::tell_apart(&looked, columns, rows, flat.straight);
    let told = symbols::tell_apart(&looked, &grounds, reading::MAX_KINDS);
    let doubtful = doubts::list(&looked, &grounds, &told, columns, rows);
    let (cells, kinds, doubtful) = in_order(told, doubtful);
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
fn in_order(told: symbols::Told, doubtful: Vec<Doubt>) -> (Vec<u8>, Vec<SquareKind>, Vec<Doubt>) {
    let mut order: Vec<usize> = (0..told.kinds.len()).filter(|&kind| told.kinds[kind].count > 0).collect();
    order.sort_by_key(|&kind| (core::cmp::Reverse(told.kinds[kind].count), kind));
    let mut place = vec![0_u8; told.kinds.len()];
    for (new, &old) in order.iter().enumerate() {
        place[old] = new as u8;
    }
    let cells = told.cells.iter().map(|&kind| place[usize::from(kind)]).collect();
    let kinds = order.into_iter().map(|kind| told.kinds[kind].clone()).collect();
    let doubtful = doubtful.into_iter().map(|doubt| Doubt { or: place[usize::from(doubt.or)], ..doubt }).collect();
    (cells, kinds, doubtful)
}
