//! A picture of a gridded chart is read back into squares: each of them one knot.
//!
//! In: a picture as it is seen, and how many squares there are where the maker says so. Out: a [`Reading`]. The steps:
//! `pencils` finds how the picture was turned and foreshortened, `plane` lays it flat, `lattice` finds the squares'
//! size and where the chart ends, `squares` looks into every square, `grounds` tells their colours apart in uneven
//! light, `symbols` what is drawn in them, and `doubts` says which squares may be read wrongly. Pure and the same every
//! time; knows no files, no project and no words.

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
mod window;

use crate::picture::SrgbPicture;
use edges::Edges;
use lattice::Lattice;
use pencils::Pencils;
use plane::Plane;

pub use reading::{Doubt, Flat, MAX_SIDE, MIN_SIDE, NoChart, Reading, Size, SquareKind};

/// Reads a picture as a chart.
///
/// # Errors
/// What the picture lacks.
pub fn read(picture: &SrgbPicture, size: Size) -> Result<Reading, NoChart> {
    let found = find(picture, size)?;
    let flat = Flat { straight: found.straight, corners: found.lattice.corners(), picture: found.picture };
    Ok(look(flat, &found.lattice))
}

/// Reads a picture that is plainly a chart: of a lattice that is nearly whole, its squares each of one ground. `None`: it
/// may be something else.
pub fn plainly(picture: &SrgbPicture) -> Option<Reading> {
    let found = find(picture, Size::default()).ok()?;
    let lattice = found.lattice;
    let flat = Flat { straight: found.straight, corners: lattice.corners(), picture: found.picture };
    let even = squares::evenness(&flat, lattice.columns(), lattice.rows());
    let (strong, most) = if lattice.lined { (0.55, 0.75) } else { (0.8, 0.9) };
    // Squares with symbols are not even, but nothing else comes again so exactly, side by side and row by row.
    let comes_again = flat.straight && lattice.alike >= COMES_AGAIN && lattice.strength >= PLAIN;
    (comes_again || (lattice.strength >= strong && even >= most)).then(|| look(flat, &lattice))
}

struct Found {
    picture: SrgbPicture,
    lattice: Lattice,
    /// Whether the picture is as it came.
    straight: bool,
}

/// So much of a square of a plain chart comes again in the next.
const COMES_AGAIN: f64 = 0.35;
/// A lattice this strong is looked for no further.
const PLAIN: f64 = 0.65;

/// Pictures of more pixels are looked at with half as many each way first.
const LARGE: usize = 6_000_000;
/// Squares of so many pixels are large enough to be read.
const FINE: f64 = 11.0;

fn find(picture: &SrgbPicture, size: Size) -> Result<Found, NoChart> {
    if picture.width < 3 * MIN_SIDE || picture.height < 3 * MIN_SIDE {
        return Err(NoChart::NoGrid);
    }
    let mut best: Option<Found> = None;
    let keep = |found: Option<Found>, best: &mut Option<Found>| {
        if let Some(found) = found
            && best.as_ref().is_none_or(|best| best.worth() < found.worth())
        {
            *best = Some(found);
        }
        best.as_ref().is_some_and(|best| best.lattice.strength >= PLAIN)
    };
    // Straight first, as screens and scanners give it; then, unless that is plain already, as a camera saw it.
    if still(picture) && keep(as_on_screen(picture, &Edges::sharp(picture), size), &mut best) {
        return finish(best, size);
    }
    if picture.width * picture.height > LARGE {
        // Of large squares half as many pixels say all there is to say.
        let half = halved(picture);
        let pencils = pencils::find(&Edges::slanting(&half));
        let found = if pencils.are_straight() { None } else { as_photographed(&half, &pencils, size) };
        let is_plain = |found: &Found| found.lattice.strength >= PLAIN && found.lattice.square().0 >= FINE;
        if let Some(found) = found.filter(is_plain) {
            return finish(Some(found), size);
        }
    }
    let pencils = pencils::find(&Edges::slanting(picture));
    if pencils.are_straight() && keep(as_on_screen(picture, &Edges::packed(picture), size), &mut best) {
        return finish(best, size);
    }
    keep(as_photographed(picture, &pencils, size), &mut best);
    finish(best, size)
}

/// Each pixel the mixture of four.
fn halved(picture: &SrgbPicture) -> SrgbPicture {
    let (width, height) = (picture.width / 2, picture.height / 2);
    let mut rgb = Vec::with_capacity(width * height * 3);
    for y in 0..height {
        for x in 0..width {
            let four = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(dx, dy)| picture.at(2 * x + dx, 2 * y + dy));
            rgb.extend((0..3).map(|i| (four.iter().map(|pixel| u16::from(pixel[i])).sum::<u16>().div_ceil(4)) as u8));
        }
    }
    SrgbPicture { width, height, rgb }
}

impl Found {
    /// How much speaks for it: what is seen of a grid, and how much of the picture it explains.
    fn worth(&self) -> f64 {
        let (wide, high) = self.lattice.square();
        let pixels = wide * high * (self.lattice.columns() * self.lattice.rows()) as f64;
        self.lattice.strength * libm::sqrt(pixels / (self.picture.width * self.picture.height) as f64)
    }
}

fn as_on_screen(picture: &SrgbPicture, edges: &Edges, size: Size) -> Option<Found> {
    let turned = edges.turned();
    let guess = lattice::guess(picture, edges, &turned)?;
    let lattice = lattice::straight(edges, &turned, picture, guess, size)?;
    Some(Found { picture: picture.clone(), lattice, straight: true })
}

fn as_photographed(picture: &SrgbPicture, pencils: &Pencils, size: Size) -> Option<Found> {
    let plane = Plane::new(picture, pencils);
    let mesh = {
        let flat = plane.laid_flat(picture);
        let flat = flat.as_ref().unwrap_or(picture);
        let edges = Edges::soft(flat);
        let turned = edges.turned();
        let guess = lattice::guess(flat, &edges, &turned)?;
        lattice::mesh::follow(&edges, &turned, guess)?
    };
    let even = plane.made_even(picture, &mesh);
    let edges = Edges { may_be_whole: false, ..Edges::soft(&even) };
    let lattice = lattice::even(&edges, &edges.turned(), &even, &mesh, size)?;
    Some(Found { picture: even, lattice, straight: false })
}

/// Whether many pixels are exactly their neighbours, as a camera's never are, and the others are plainly not: packing with
/// loss leaves faint steps beside every edge.
fn still(picture: &SrgbPicture) -> bool {
    let step = (picture.height / 400).max(1);
    let (mut same, mut faint, mut all) = (0_usize, 0_usize, 0_usize);
    for line in picture.rgb.chunks_exact(picture.width * 3).step_by(step) {
        let pixels = line.as_chunks::<3>().0;
        all += pixels.len();
        for pair in pixels.windows(2) {
            let most = (0..3).map(|i| pair[0][i].abs_diff(pair[1][i])).max().unwrap_or(0);
            same += usize::from(most == 0);
            faint += usize::from((1..=8).contains(&most));
        }
    }
    same * 5 > all && faint * 10 < all - same
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
