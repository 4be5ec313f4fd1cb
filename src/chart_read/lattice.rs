//! The lattice of squares: how far apart its lines are, where they lie, and where the chart ends.
//!
//! Squares show in edges that go on for a square's whole side, be they grid lines or only changes of colour; strokes of
//! symbols, figures and letters are shorter. What is drawn in squares comes again with them: `alike` finds at what distance.
//! Where nothing does, `period` and `fold` find the size of squares by their edges alone, in a window of the picture; `phase`
//! says which places in them are their sides. From there `track` follows straight lines to the picture's
//! edges, and `mesh` bent ones: it lays a `sheet` through lines, through `changes` of ground from square to square, and
//! through the middles of symbols (`inks`). `extent` says which squares are the chart, `outside` which are the paper and the
//! table around it, `bounds` where it ends.

mod alike;
mod bounds;
mod changes;
mod extent;
mod fold;
mod inks;
pub(super) mod mesh;
mod outside;
mod period;
mod phase;
mod sheet;
mod sides;
mod spread;
mod track;

use super::edges::Edges;
use super::reading::{MAX_SIDE, Size};
use super::window::Window;
use crate::picture::SrgbPicture;
use alike::Alike;
use extent::Extent;
use fold::{Fold, Points};
use mesh::Mesh;
use period::Runs;
use spread::{Guess, Spread};

/// Where the squares are.
#[derive(Clone, Debug)]
pub(super) struct Lattice {
    /// Places of upright lines, one more than columns.
    pub(super) xs: Vec<f64>,
    /// Places of level lines.
    pub(super) ys: Vec<f64>,
    /// 0 to 1: how much of what is to be seen of a grid is seen.
    pub(super) strength: f64,
    /// Whether squares have lines around them.
    pub(super) lined: bool,
    /// Whether lines or the picture's own edges bound it on all sides.
    pub(super) size_is_sure: bool,
    /// The share of what changes in a square that comes again in the next, of the direction in which it is less.
    pub(super) alike: f64,
    /// How much more is seen on lines than between them, 0 to 1.
    pub(super) quality: f64,
}

impl Lattice {
    pub(super) fn columns(&self) -> usize {
        self.xs.len() - 1
    }
    pub(super) fn rows(&self) -> usize {
        self.ys.len() - 1
    }
    /// Width and height of a square in the mean.
    pub(super) fn square(&self) -> (f64, f64) {
        let mean = |lines: &[f64]| (lines[lines.len() - 1] - lines[0]) / (lines.len() - 1) as f64;
        (mean(&self.xs), mean(&self.ys))
    }
    /// Corners of all squares in reading order.
    pub(super) fn corners(&self) -> Vec<(f64, f64)> {
        self.ys.iter().flat_map(|&y| self.xs.iter().map(move |&x| (x, y))).collect()
    }
}

/// Squares so clear, of the clearest, are about as clear.
const NEARLY: f64 = 0.55;

/// Squares that come again to this share are those of the chart.
const PLAINLY_ALIKE: f64 = 0.12;

/// So many squares show all four sides where a chart plainly has lines.
const PLAINLY_LINED: f64 = 0.85;

/// Squares that come again, whose sides are seen on their lines by so much more than between them, are plain: their strength
/// is this at least.
const MARGIN: f64 = 0.08;
const BY_MARGIN: f64 = 0.7;

/// The squares that are seen best in any window. `None`: there is nothing like a lattice.
pub(super) fn guess(picture: &SrgbPicture, edges: &Edges, turned: &Edges) -> Option<Guess> {
    let guesses = Window::all(edges.width, edges.height)
        .into_iter()
        .filter_map(|window| in_window(picture, edges, turned, window));
    // Of few squares little is known.
    let worth = |guess: &Guess| {
        let squares = guess.window.area() as f64 / guess.wide / guess.high;
        guess.seen * libm::sqrt((squares / 150.0).min(1.0))
    };
    guesses.max_by(|a, b| worth(a).total_cmp(&worth(b)))
}

fn in_window(picture: &SrgbPicture, edges: &Edges, turned: &Edges, window: Window) -> Option<Guess> {
    if window.wide().min(window.turned().wide()) < 40 {
        return None;
    }
    let (across, down) = (Runs::of(edges, window), Runs::of(turned, window.turned()));
    let alike = [alike::find(picture, window, false), alike::find(picture, window, true)];
    let [across_alike, down_alike] = alike.map(|alike| alike.filter(|alike| alike.share >= PLAINLY_ALIKE));
    // Where every fifth or tenth line is heavier and pushes the others on, only those squares come again together.
    let parts = |whole: f64| [1.0, 5.0, 10.0].map(|by| whole / by).into_iter().filter(|part| *part >= 6.0).collect();
    let either =
        |alike: Option<Alike>, runs: &Runs| alike.map_or_else(|| runs.candidates(), |alike| parts(alike.distance));
    let (wide, high) = (either(across_alike, &across), either(down_alike, &down));
    let share = |alike: Option<Alike>| alike.map_or(0.0, |alike| alike.share);
    let comes_again = share(across_alike).min(share(down_alike));
    let alike = comes_again > 0.0;
    let (upright, level) = (Points::of(edges, window), Points::of(turned, window.turned()));
    let folded = |w: f64, h: f64| {
        let x = upright.fold((w, h), across.smeared().min(0.2 * w), alike);
        let y = level.fold((h, w), down.smeared().min(0.2 * h), alike);
        (x, y)
    };
    let clear = |x: &Fold, y: &Fold| libm::sqrt(x.clear().max(0.0) * y.clear().max(0.0));
    let mut tried: Vec<(f64, f64, f64, bool)> = Vec::new();
    for &w in &wide {
        for &h in high.iter().filter(|h| like_a_square(w, **h)) {
            let (x, y) = folded(w, h);
            tried.push((clear(&x, &y), w, h, x.is_single() && y.is_single()));
        }
    }
    // Strokes of letters go on for the side of half a square, and are as good as lines there; of two squares as one,
    // nothing is clear. So the largest of those that are about as clear are the squares.
    let most = tried.iter().map(|(seen, ..)| *seen).fold(0.0, f64::max);
    let good = tried
        .into_iter()
        .filter(|&(seen, .., single)| seen > 0.0 && (seen >= most || (single && seen >= NEARLY * most)));
    let (mut seen, mut wide, mut high, _) = good.max_by(|a, b| (a.1 * a.2).total_cmp(&(b.1 * b.2)))?;
    // Squares that come again with what is in them are no several squares, unless heavier lines alone come again.
    for count in if alike { &[10.0, 5.0][..] } else { &[10.0, 5.0, 3.0, 2.0] } {
        let (x, y) = folded(wide, high);
        let (w, h) = (wide / count, high / count);
        if w.min(h) >= 5.0 && x.is_cut_into(*count as usize) && y.is_cut_into(*count as usize) {
            let (x, y) = folded(w, h);
            (seen, wide, high) = (seen.max(clear(&x, &y)), w, h);
        }
    }
    let (x, y) = folded(wide, high);
    let mut first = (x.first(), y.first());
    if alike && edges.reach == 1 {
        first = phase::sides(picture, window, (wide, high), first).unwrap_or(first);
    }
    Some(Guess { window, wide, high, first, seen, alike: comes_again })
}

/// Squares are about square; charts drawn in the proportion of knots are half as high again as wide, or wide.
fn like_a_square(wide: f64, high: f64) -> bool {
    (0.4..=2.5).contains(&(wide / high))
}

/// The chart's lattice in a picture whose lines are straight.
pub(super) fn straight(
    edges: &Edges,
    turned: &Edges,
    picture: &SrgbPicture,
    guess: Guess,
    size: Size,
) -> Option<Lattice> {
    let smeared = 0.6 + edges.slack as f64 + (edges.reach - 1) as f64;
    let whole = Window::whole(edges.width, edges.height);
    let (middle_x, middle_y) = guess.window.middle();
    // Strokes of symbols are shorter than sides, and are left out where there are symbols.
    let share = if guess.alike > 0.0 { 0.92 } else { 0.55 };
    let least = |side: f64| (share * side).max(3.0) + if guess.alike > 0.0 { (edges.along - 1) as f64 } else { 0.0 };
    let across = Runs::of(edges, whole).profile(least(guess.high));
    let down = Runs::of(turned, whole.turned()).profile(least(guess.wide));
    let spread = Spread {
        xs: track::lines(&across, edges.width, guess.wide, guess.first.0, middle_x, smeared),
        ys: track::lines(&down, edges.height, guess.high, guess.first.1, middle_y, smeared),
        wide: guess.wide,
        high: guess.high,
    };
    let followed = cut(edges, turned, picture, &spread, guess.alike, size);
    let plainly_lined = followed.as_ref().is_some_and(|lattice| lattice.lined && lattice.strength >= PLAINLY_LINED);
    if plainly_lined || guess.alike <= 0.0 || edges.reach > 1 {
        return followed;
    }
    // Without lines of its own a chart has no heavier ones: all squares are of one size.
    let mut ways = vec![spread];
    for off in [0.0, -0.0015, 0.0015] {
        let by = 1.0 + off;
        ways.push(Spread {
            xs: every(edges.width, by * guess.wide, guess.first.0, middle_x),
            ys: every(edges.height, by * guess.high, guess.first.1, middle_y),
            wide: guess.wide,
            high: guess.high,
        });
    }
    // Or it is the whole picture.
    let whole = |long: usize, side: f64| {
        let count = (long as f64 / side).round().max(1.0);
        (0..=count as usize).map(|i| i as f64 * long as f64 / count).collect()
    };
    ways.push(Spread {
        xs: whole(edges.width, guess.wide),
        ys: whole(edges.height, guess.high),
        wide: guess.wide,
        high: guess.high,
    });
    let Some(phase::Way { nth, spread, margin }) = phase::plainest(picture, ways) else { return followed };
    let mut found = if nth == 0 { followed } else { cut(edges, turned, picture, &spread, guess.alike, size) };
    if let Some(lattice) = found.as_mut().filter(|_| margin >= MARGIN) {
        lattice.strength = lattice.strength.max(BY_MARGIN);
    }
    found
}

/// Lines through a whole picture, all as far apart; one of them is at `first`, and the nearest to `from` is exact.
fn every(long: usize, side: f64, first: f64, from: f64) -> Vec<f64> {
    let start = first + ((from - first) / side).round() * side;
    let before = ((start + 0.3 * side) / side).floor();
    let mut at = start - before * side;
    let mut lines = Vec::new();
    while at <= long as f64 + 0.3 * side {
        lines.push(at);
        at += side;
    }
    lines
}

/// The chart's lattice in a picture that was made even: every square so many pixels large, from the first pixel on.
pub(super) fn even(picture: &SrgbPicture, mesh: &Mesh, size: Size) -> Option<Lattice> {
    let edges = Edges { may_be_whole: false, ..Edges::soft(picture) };
    let square = mesh.square;
    let lines = |long: usize| (0..=long / square).map(|i| (i * square) as f64).collect();
    let side = square as f64;
    let spread = Spread { xs: lines(picture.width), ys: lines(picture.height), wide: side, high: side };
    cut(&edges, &edges.turned(), picture, &spread, mesh.alike, size)
}

fn cut(
    edges: &Edges,
    turned: &Edges,
    picture: &SrgbPicture,
    spread: &Spread,
    alike: f64,
    size: Size,
) -> Option<Lattice> {
    if [&spread.xs, &spread.ys].iter().any(|lines| !(3..=4 * MAX_SIDE).contains(&lines.len())) {
        return None;
    }
    let Extent { part, lined, framed, size_is_sure, quality } =
        Extent::of(edges, turned, picture, (spread, alike > 0.0), size)?;
    Some(Lattice {
        xs: spread.xs[part.left..=part.right].to_vec(),
        ys: spread.ys[part.top..=part.bottom].to_vec(),
        // Texture has edges everywhere, on lines and between them.
        strength: match lined {
            true if alike > 0.0 => framed,
            true => framed * (quality / 0.25).min(1.0),
            false => quality,
        },
        lined,
        size_is_sure,
        alike,
        quality,
    })
}
