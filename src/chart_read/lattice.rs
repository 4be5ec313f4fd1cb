//! The lattice of squares: how far apart its lines are, where they lie, and where the chart ends.
//!
//! Squares show in edges that go on for a square's whole side, be they grid lines or only changes of colour; strokes of
//! symbols, figures and letters are shorter. What is drawn in squares comes again with them: `alike` finds at what distance.
//! Where nothing does, `period` and `fold` find the size of squares by their edges alone, in a window of the picture; `phase`
//! says which places in them are their sides (`windows` has it all); `uniform` tries sizes and places where neither is plain,
//! `counts` as many bare squares as put a side at every change, and `marks` squares around what stands on bare paper. From
//! there `track` follows straight lines to the picture's edges, `regular` looks for all of them together (`straight`), and
//! `mesh` follows bent ones: it lays a `sheet` through lines, through `changes` of ground from square to square, and through
//! the middles of symbols (`inks`). `extent` says which squares are the chart, `outside` which are the paper and the table
//! around it, `bounds` where it ends. `choice` takes, of several lattices, the one by which most of the picture is `explained`
//! (`screen` offers them where a screen shows it), with `parts` for halves and doubles; `outermost` holds its outermost squares
//! against all others, and in a photograph `paper` takes away what has none of the chart's lines or symbols, and `rim`, of a
//! screen, what is paler than all inside.

mod alike;
mod bounds;
mod changes;
mod choice;
mod counts;
mod explained;
mod extent;
mod fold;
mod inks;
mod marks;
pub(super) mod mesh;
mod outermost;
mod outside;
mod paper;
mod parts;
mod period;
mod phase;
mod regular;
mod rim;
mod screen;
mod sheet;
mod sides;
mod spread;
mod straight;
#[cfg(test)]
mod tests;
mod track;
mod uniform;
mod windows;

use super::edges::Edges;
use super::reading::Size;
use crate::picture::SrgbPicture;
use choice::{Chosen, How, Judged};
use explained::Drawn;
use mesh::Mesh;
pub(super) use screen::on_screen;
use spread::Spread;
pub(super) use spread::{Guess, Lattice, PLAIN};
use std::rc::Rc;
pub(super) use windows::guess;

/// Guesses by what explains most of a photograph that are followed, at most.
const MAX_EXPLAINING: usize = 3;

/// Other squares than those that are seen best, of a photograph that was laid flat: by what explains most of its middle, and
/// as they are seen in any window.
pub(super) fn other_guesses(picture: &SrgbPicture, edges: &Edges, turned: &Edges) -> Vec<Guess> {
    let explaining = uniform::find(&Drawn::laid_flat(picture), edges, turned);
    let explaining = explaining.into_iter().take(MAX_EXPLAINING).map(|guess| Guess { by_edges: false, ..guess });
    let mut others: Vec<Guess> = Vec::new();
    for guess in explaining.chain(windows::in_any_window(picture, edges, turned)).filter(Guess::is_legible) {
        if !others.iter().any(|other| other.is_like(&guess)) {
            others.push(guess);
        }
    }
    others
}

/// The chart's lattice in a picture that was made even: every square so many pixels large, from the first pixel on.
/// `beats`: pixels of a screen may beat with the camera's.
pub(super) fn even(picture: &SrgbPicture, mesh: &Mesh, (size, beats): (Size, bool)) -> Option<Lattice> {
    let edges = Edges { may_be_whole: false, ..Edges::soft(picture) };
    let square = mesh.square;
    let lines = |long: usize| (0..=long / square).map(|i| (i * square) as f64).collect();
    let side = square as f64;
    let spread = Spread { xs: lines(picture.width), ys: lines(picture.height), wide: side, high: side };
    let mut lattice = straight::cut(&edges, &edges.turned(), picture, &spread, mesh.alike, size)?;
    if beats && mesh.is_legible() && size == Size::default() && rim::cut(picture, &mut lattice) {
        lattice.size_is_sure = false;
    }
    Some(lattice)
}

/// The lattices of a photograph's squares, each of the photograph made even by it: the one that explains most is taken.
#[derive(Default)]
pub(super) struct Photographed {
    chosen: Chosen<'static>,
}

impl Photographed {
    /// Takes the squares of a photograph that was made even by them if they are better than those before.
    /// `pixel`: pixels of the photograph as it came for one of that in which the mesh lies.
    pub(super) fn offer(&mut self, even: SrgbPicture, (mesh, pixel): (&Mesh, f64), mut lattice: Lattice, size: Size) {
        let (wide, high) = mesh.pixel();
        let drawn = Rc::new(Drawn::made_even(even, (pixel * wide, pixel * high)));
        // Unless it was said how many squares there are.
        if size == Size::default() {
            drawn.without_paper(&mut lattice);
            drawn.bound(&mut lattice);
            drawn.without_paper(&mut lattice);
        }
        self.chosen.offer(&drawn, Some(lattice), How::Photographed);
    }

    /// Offers the best once more with its pixels mixed by so many of the photograph's, as others will be.
    pub(super) fn mix(&mut self, pixels: f64) {
        let Some((drawn, lattice)) = self.chosen.mixed(pixels) else { return };
        self.chosen.offer(&Rc::new(drawn), Some(lattice), How::Photographed);
    }

    /// Pixels of the photograph to a side of the best squares, the shorter.
    pub(super) fn side(&self) -> Option<f64> {
        self.chosen.side()
    }

    /// Whether no other squares can be the right ones.
    pub(super) fn is_settled(&self) -> bool {
        self.chosen.is_settled_in_photograph()
    }

    /// Whether they are of so few kinds that they are a chart.
    pub(super) fn is_clear(&self) -> bool {
        self.chosen.is_clear()
    }

    /// Whether they are plain, and have so many pixels a side.
    pub(super) fn is_plain(&self, pixels: f64) -> bool {
        self.chosen.is_plain(pixels)
    }

    /// The best of all, and the photograph made even by them.
    pub(super) fn best(self, size: Size) -> Option<(SrgbPicture, Lattice)> {
        let Judged { drawn, lattice, .. } = self.chosen.best()?.with_doubt(size);
        Some((Rc::into_inner(drawn)?.picture.into_owned(), lattice))
    }
}
