//! Finds where the squares of a chart are in a picture: as a screen shows it, or as a camera saw it.

use super::edges::Edges;
use super::lattice::{self, Lattice, PLAIN};
use super::pencils::{self, Pencils};
use super::plane::Plane;
use super::reading::{MAX_SIDE, MIN_SIDE, NoChart, Size};
use crate::picture::SrgbPicture;

pub(super) struct Found {
    pub(super) picture: SrgbPicture,
    pub(super) lattice: Lattice,
    /// Whether the picture is as it came.
    pub(super) straight: bool,
}

/// Pictures of more pixels are looked at with half as many each way first.
const LARGE: usize = 6_000_000;
/// A lattice this strong is not looked for with pixels mixed.
const ENOUGH: f64 = 0.5;
/// A quarter of a rough picture's pixels differ by so much from what lies half-way between their neighbours.
const ROUGH: usize = 13;
/// How often squares are laid anew through what is seen in the chart that they were found to be.
const ROUNDS: usize = 1;
/// Lines have to be clearer by so much with pixels mixed.
const CLEARER: f64 = 0.08;
/// How far pixels are mixed where nothing is seen without.
const MIXED: [f32; 2] = [1.5, 2.6];
/// Squares of so many pixels are large enough to be read.
const FINE: f64 = 11.0;

/// Finds the lattice that is seen best. `thoroughly`: also where pixels of a screen beat with a camera's, which takes three
/// times as long.
pub(super) fn find(picture: &SrgbPicture, size: Size, thoroughly: bool) -> Result<Found, NoChart> {
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
        let half = picture.halved();
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
    let rough = thoroughly && is_rough(picture);
    let is_plain = keep(as_photographed(picture, &pencils, size), &mut best);
    let enough = best.as_ref().is_some_and(|best| best.lattice.strength >= ENOUGH);
    if !thoroughly || (!rough && (is_plain || enough)) {
        return finish(best, size);
    }
    finish(with_pixels_mixed(picture, best, size), size)
}

/// What is found where pixels are mixed, if it is clearer than what was found without: pixels of a screen beat with the
/// camera's, in fine stripes that go then.
fn with_pixels_mixed(picture: &SrgbPicture, mut best: Option<Found>, size: Size) -> Option<Found> {
    let half = (picture.width * picture.height > LARGE).then(|| picture.halved());
    for pixels in MIXED {
        let soft = half.as_ref().unwrap_or(picture).mixed(pixels);
        let pencils = pencils::find(&Edges::slanting(&soft));
        let found = as_photographed(&soft, &pencils, size);
        if let Some(found) = found
            && best.as_ref().is_none_or(|best| best.lattice.quality + CLEARER < found.lattice.quality)
        {
            best = Some(found);
        }
        if best.as_ref().is_some_and(|best| best.lattice.strength >= ENOUGH) {
            break;
        }
    }
    best
}

/// Whether pixels differ from both of their neighbours as they do where a screen's beat with a camera's.
fn is_rough(picture: &SrgbPicture) -> bool {
    let mut counts = [[0_usize; 256]; 2];
    for y in (1..picture.height - 1).step_by(3) {
        for x in (1..picture.width - 1).step_by(3) {
            let bend = |a: [u8; 3], b: [u8; 3], c: [u8; 3]| {
                let one = |i: usize| (i32::from(a[i]) - 2 * i32::from(b[i]) + i32::from(c[i])).unsigned_abs();
                one(0).max(one(1)).max(one(2)).min(255) as usize
            };
            let here = picture.at(x, y);
            counts[0][bend(picture.at(x - 1, y), here, picture.at(x + 1, y))] += 1;
            counts[1][bend(picture.at(x, y - 1), here, picture.at(x, y + 1))] += 1;
        }
    }
    counts.iter().any(|counts| {
        let all: usize = counts.iter().sum();
        4 * counts[ROUGH..].iter().sum::<usize>() >= all
    })
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
    let lattice = lattice::on_screen(picture, edges, size)?;
    Some(Found { picture: picture.clone(), lattice, straight: true })
}

fn as_photographed(picture: &SrgbPicture, pencils: &Pencils, size: Size) -> Option<Found> {
    let plane = Plane::new(picture, pencils);
    let flat = plane.laid_flat(picture);
    let flat = flat.as_ref().unwrap_or(picture);
    let edges = Edges::soft(flat);
    let turned = edges.turned();
    let guess = lattice::guess(flat, &edges, &turned)?;
    let from = lattice::mesh::Seen { picture: flat, edges: &edges, turned: &turned };
    let mut mesh = lattice::mesh::follow(from, guess)?;
    // What is seen in the chart alone says better where it is, and that where it ends.
    let mut even = plane.made_even(picture, &mesh);
    let mut lattice = lattice::even(&even, &mesh, size)?;
    for _ in 0..ROUNDS {
        let part = |lines: &[f64]| {
            let place = |at: f64| (at / mesh.square as f64).round() as usize;
            (place(lines[0]).saturating_sub(1), place(lines[lines.len() - 1]) + 1)
        };
        mesh = mesh.within(from, (part(&lattice.xs), part(&lattice.ys)), lattice.lined && lattice.alike == 0.0);
        let anew = plane.made_even(picture, &mesh);
        let Some(found) = lattice::even(&anew, &mesh, size) else { break };
        (even, lattice) = (anew, found);
    }
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
