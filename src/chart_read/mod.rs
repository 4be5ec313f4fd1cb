//! A picture of a gridded chart is read back into squares: each of them one knot.
//!
//! In: a picture as it is seen, and how many squares there are where the maker says so. Out: a [`Reading`]. The steps:
//! `pencils` finds how the picture was turned and foreshortened, `plane` lays it flat, `lattice` finds the squares'
//! size and where the chart ends, `squares` looks into every square, `grounds` tells their colours apart in uneven
//! light, `symbols` what is drawn in them, and `doubts` says which squares may be read wrongly. Pure and the same every
//! time; knows no files, no project and no words.

mod bend;
mod doubts;
mod edges;
mod grounds;
mod lattice;
mod light;
mod pencils;
mod plane;
mod reading;
pub mod shown;
mod squares;
mod symbols;

use crate::picture::SrgbPicture;
use edges::Edges;
use lattice::Lattice;
use plane::Plane;

pub use reading::{Doubt, Flat, MAX_SIDE, MIN_SIDE, NoChart, Reading, Size, SquareKind};

/// Reads a picture as a chart.
///
/// # Errors
/// What the picture lacks.
pub fn read(picture: &SrgbPicture, size: Size) -> Result<Reading, NoChart> {
    let found = find(picture, size)?;
    let flat =
        Flat { straight: found.lattice.moved.is_empty(), corners: found.lattice.corners(), picture: found.picture };
    Ok(look(flat, &found.lattice))
}

/// Reads a picture that is plainly a chart: of a lattice that is nearly whole, its squares each of one ground. `None`: it
/// may be something else.
pub fn plainly(picture: &SrgbPicture) -> Option<Reading> {
    let found = find(picture, Size::default()).ok()?;
    let lattice = found.lattice;
    let straight = lattice.moved.is_empty();
    let flat = Flat { straight, corners: lattice.corners(), picture: found.picture };
    let even = squares::evenness(&flat, lattice.columns(), lattice.rows());
    (lattice.strength >= 0.55 && even >= 0.75).then(|| look(flat, &lattice))
}

struct Found {
    picture: SrgbPicture,
    lattice: Lattice,
}

fn find(picture: &SrgbPicture, size: Size) -> Result<Found, NoChart> {
    if picture.width < 3 * MIN_SIDE || picture.height < 3 * MIN_SIDE {
        return Err(NoChart::NoGrid);
    }
    let mut best: Option<Found> = None;
    // Straight first, as screens and scanners give it; then, unless that is plain already, as a camera saw it.
    if still(picture) {
        for edges in [Edges::sharp, Edges::packed] {
            let edges = edges(picture);
            let exact = edges.slack == 0;
            let Some(mut lattice) = lattice::find(&edges, size) else { continue };
            if size == Size::default() {
                let flat = Flat { straight: true, corners: lattice.corners(), picture: picture.clone() };
                lattice.without(squares::text_beside(&flat, lattice.columns(), lattice.rows()));
                if exact && !lattice.lined {
                    let flat = Flat { corners: lattice.corners(), ..flat };
                    lattice.without(squares::beside(&flat, lattice.columns(), lattice.rows()));
                }
            }
            if best.as_ref().is_none_or(|best| best.lattice.strength < lattice.strength) {
                best = Some(Found { picture: picture.clone(), lattice });
            }
            if best.as_ref().is_some_and(|best| best.lattice.strength >= 0.75) {
                return finish(best, size);
            }
        }
    }
    let plane = Plane::new(picture, &pencils::find(&Edges::slanting(picture)));
    let flattened = plane.laid_flat(picture);
    let as_it_is = flattened.is_none();
    let laid = flattened.unwrap_or_else(|| picture.clone());
    let soft = Edges { may_be_whole: as_it_is, ..Edges::soft(&laid) };
    if let Some(mut lattice) = lattice::find(&soft, size) {
        if size == Size::default() {
            let flat = Flat { straight: false, corners: lattice.corners(), picture: laid.clone() };
            lattice.without(squares::text_beside(&flat, lattice.columns(), lattice.rows()));
        }
        let lattice = bend::follow(&soft, lattice);
        if best.as_ref().is_none_or(|best| best.lattice.strength < lattice.strength) {
            best = Some(Found { picture: laid, lattice });
        }
    }
    finish(best, size)
}

/// Whether many pixels are exactly their neighbours: a camera's never are.
fn still(picture: &SrgbPicture) -> bool {
    let step = (picture.height / 400).max(1);
    let (mut same, mut all) = (0_usize, 0_usize);
    for line in picture.rgb.chunks_exact(picture.width * 3).step_by(step) {
        let pixels = line.as_chunks::<3>().0;
        all += pixels.len();
        same += pixels.windows(2).filter(|pair| pair[0] == pair[1]).count();
    }
    same * 5 > all
}

fn finish(found: Option<Found>, size: Size) -> Result<Found, NoChart> {
    let found = found.ok_or(NoChart::NoGrid)?;
    let (columns, rows) = (found.lattice.columns(), found.lattice.rows());
    let fits = size.columns.is_none_or(|wanted| wanted == columns) && size.rows.is_none_or(|wanted| wanted == rows);
    if !fits {
        return Err(NoChart::OtherSize(columns, rows));
    }
    let in_range = |count: usize| (MIN_SIDE..=MAX_SIDE).contains(&count);
    if in_range(columns) && in_range(rows) && found.lattice.strength >= 0.3 { Ok(found) } else { Err(NoChart::NoGrid) }
}

fn look(flat: Flat, lattice: &Lattice) -> Reading {
    let (columns, rows) = (lattice.columns(), lattice.rows());
    let looked = squares::look(&flat, columns, rows);
    let grounds = grounds::tell_apart(&looked, columns, rows);
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
