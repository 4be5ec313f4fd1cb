//! Finds where the squares of a chart are in a picture: as a screen shows it, or as a camera saw it.

use super::edges::Edges;
use super::lattice::mesh::Seen;
use super::lattice::{self, Guess, Lattice, PLAIN, Photographed};
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
/// In pictures of no more pixels other squares are tried than those that are seen best.
const SMALL: usize = 2_500_000;
/// Pixels of a picture for one of half as many each way.
const HALVED: f64 = 2.0;
/// A quarter of a rough picture's pixels differ by so much from what lies half-way between their neighbours.
const ROUGH: usize = 13;
/// How often squares are laid anew through what is seen in the chart that they were found to be.
const ROUNDS: usize = 1;
/// How far pixels are mixed where nothing is seen without.
const MIXED: [f32; 2] = [1.5, 2.6];
/// Squares of so many pixels are large enough to be read.
const FINE: f64 = 11.0;

/// How squares of a photograph are looked for.
#[derive(Clone, Copy)]
struct Search {
    size: Size,
    /// Also where they are not plain.
    thoroughly: bool,
    /// Whether pixels of a screen may beat with the camera's.
    beats: bool,
}

/// Finds the lattice that is seen best. `thoroughly`: also where squares are not plain in a photograph, or pixels of a screen
/// beat with the camera's, which takes several times as long.
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
    let search = Search { size, thoroughly, beats: is_rough(picture) };
    let mut flat = Photographed::default();
    if picture.width * picture.height > LARGE {
        // Of large squares half as many pixels say all there is to say.
        let half = picture.halved();
        let pencils = pencils::find(&Edges::slanting(&half));
        if !pencils.are_straight() {
            offer_photographed(&mut flat, (&half, HALVED), &pencils, Search { thoroughly: false, ..search });
        }
        if flat.is_plain(FINE) {
            return finish(flat.best(size).map(Found::photographed), size);
        }
        flat = Photographed::default();
    }
    let pencils = pencils::find(&Edges::slanting(picture));
    if pencils.are_straight() && keep(as_on_screen(picture, &Edges::packed(picture), size), &mut best) {
        return finish(best, size);
    }
    offer_photographed(&mut flat, (picture, 1.0), &pencils, search);
    if thoroughly && (search.beats || !(flat.is_clear() || flat.is_plain(0.0))) {
        offer_with_pixels_mixed(&mut flat, picture, search);
    }
    keep(flat.best(size).map(Found::photographed), &mut best);
    finish(best, size)
}

/// Offers what is found where pixels are mixed: pixels of a screen beat with the camera's, in fine stripes that go then.
fn offer_with_pixels_mixed(flat: &mut Photographed, picture: &SrgbPicture, search: Search) {
    let is_fine = flat.side().is_some_and(|side| side < HALVED * FINE);
    let half = (picture.width * picture.height > LARGE && !is_fine).then(|| picture.halved());
    let (picture, pixel) = half.as_ref().map_or((picture, 1.0), |half| (half, HALVED));
    for pixels in MIXED {
        if pixels > MIXED[0] && flat.is_plain(0.0) {
            break;
        }
        flat.mix(pixel * f64::from(pixels));
        if flat.is_settled() {
            break;
        }
        let soft = picture.mixed(pixels);
        let pencils = pencils::find(&Edges::slanting(&soft));
        offer_photographed(flat, (&soft, pixel), &pencils, search);
    }
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
    fn photographed((picture, lattice): (SrgbPicture, Lattice)) -> Found {
        Found { picture, lattice, straight: false }
    }

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

/// Offers what a photograph shows once it is laid flat. `pixel`: pixels of the picture as it came for one of this.
fn offer_photographed(
    best: &mut Photographed,
    (picture, pixel): (&SrgbPicture, f64),
    pencils: &Pencils,
    search: Search,
) {
    let plane = Plane::new(picture, pencils);
    let flat = plane.laid_flat(picture);
    let flat = flat.as_ref().unwrap_or(picture);
    let edges = Edges::soft(flat);
    let turned = edges.turned();
    let from = Seen { picture: flat, edges: &edges, turned: &turned };
    let Some(guess) = lattice::guess(flat, &edges, &turned) else { return };
    offer_even(best, (picture, pixel), &plane, from, guess, search);
    if search.thoroughly && !best.is_plain(0.0) && picture.width * picture.height <= SMALL {
        for guess in lattice::other_guesses(flat, &edges, &turned) {
            if best.is_plain(0.0) {
                break;
            }
            offer_even(best, (picture, pixel), &plane, from, guess, search);
        }
    }
}

/// Offers the picture with its squares all of one size, by this guess at where they are.
fn offer_even(
    best: &mut Photographed,
    (picture, pixel): (&SrgbPicture, f64),
    plane: &Plane,
    from: Seen<'_>,
    guess: Guess,
    search: Search,
) {
    let Some(mut mesh) = lattice::mesh::follow(from, guess) else { return };
    // What is seen in the chart alone says better where it is, and that where it ends.
    let mut even = plane.made_even(picture, &mesh);
    let Some(mut lattice) = lattice::even(&even, &mesh, (search.size, search.beats)) else { return };
    if let Some(guess) = mesh.off(from.picture, mesh.part(&lattice)).and_then(|off| guess.beside(off)) {
        offer_even(best, (picture, pixel), plane, from, guess, search);
    }
    for _ in 0..ROUNDS {
        mesh = mesh.within(from, mesh.part(&lattice), lattice.lined && lattice.alike == 0.0);
        let anew = plane.made_even(picture, &mesh);
        let Some(found) = lattice::even(&anew, &mesh, (search.size, search.beats)) else { break };
        (even, lattice) = (anew, found);
    }
    best.offer(even, (&mesh, pixel), lattice, search.size);
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
