//! The lattice of squares: how far apart its lines are, where they lie, and where the chart ends.
//!
//! Squares show in edges that go on for a square's whole side, be they grid lines or only changes of colour; strokes of
//! symbols, figures and letters are shorter. What is drawn in squares comes again with them: `alike` finds at what distance.
//! Where nothing does, `period` and `fold` find the size of squares by their edges alone, in a window of the picture; `phase`
//! says which places in them are their sides; `uniform` tries sizes and places where neither is plain. From there `track`
//! follows straight lines to the picture's edges, and `mesh` bent ones: it lays a `sheet` through lines, through `changes` of
//! ground from square to square, and through the middles of symbols (`inks`). `extent` says which squares are the chart,
//! `outside` which are the paper and the table around it, `bounds` where it ends. `choice` takes, of several lattices, the one
//! by which most of the picture is `explained`; `outermost` holds its outermost squares against all others, and in a
//! photograph `paper` takes away what has none of the chart's lines or symbols.

mod alike;
mod bounds;
mod changes;
mod choice;
mod explained;
mod extent;
mod fold;
mod inks;
pub(super) mod mesh;
mod outermost;
mod outside;
mod paper;
mod period;
mod phase;
mod sheet;
mod sides;
mod spread;
#[cfg(test)]
mod tests;
mod track;
mod uniform;

use super::edges::Edges;
use super::reading::{MAX_SIDE, Size};
use super::window::Window;
use crate::picture::SrgbPicture;
use alike::Alike;
use choice::{Chosen, How, Judged};
use explained::Drawn;
use extent::Extent;
use fold::{Fold, Points};
use mesh::Mesh;
use period::Runs;
pub(super) use spread::Guess;
use spread::{BY_MARGIN, SMALLEST, Spread, like_a_square};
pub(super) use spread::{Lattice, PLAIN};
use std::rc::Rc;

/// Squares so clear, of the clearest, are about as clear.
const NEARLY: f64 = 0.55;

/// Guesses of other windows that are followed, at most.
const MAX_OTHERS: usize = 5;

/// Guesses by what explains most of a photograph that are followed, at most.
const MAX_EXPLAINING: usize = 3;

/// Of pictures with more pixels a side only the middle, of so many, is looked at in every way.
const LARGE: usize = 1_600;
const MIDDLE: usize = 1_000;

/// Squares that come again to this share are those of the chart.
const PLAINLY_ALIKE: f64 = 0.12;

/// So many squares show all four sides where a chart plainly has lines.
const PLAINLY_LINED: f64 = 0.85;

/// Squares that come again, whose sides are seen on their lines by so much more than between them, are plain.
const MARGIN: f64 = 0.08;

/// The squares that are seen best in any window. `None`: there is nothing like a lattice.
pub(super) fn guess(picture: &SrgbPicture, edges: &Edges, turned: &Edges) -> Option<Guess> {
    let guesses = Window::all(edges.width, edges.height)
        .into_iter()
        .filter_map(|window| in_window(picture, edges, turned, window, PLAINLY_ALIKE));
    guesses.max_by(|a, b| a.worth().total_cmp(&b.worth()))
}

/// The lattice of a chart that a screen shows. `None`: there is nothing like a lattice.
pub(super) fn on_screen(picture: &SrgbPicture, edges: &Edges, size: Size) -> Option<Lattice> {
    let turned = edges.turned();
    let drawn = Rc::new(Drawn::of(picture));
    let mut chosen = plainest(&drawn, (edges, &turned), size);
    if !chosen.is_settled() {
        if edges.slack > 0 && picture.width.max(picture.height) > LARGE {
            if let Some(guess) = in_middle(picture, edges, MIDDLE) {
                chosen.offer(&drawn, uniform(edges, &turned, picture, guess, size), How::Tried);
                chosen.offer(&drawn, straight(edges, &turned, picture, guess, size), How::Followed);
            }
        } else {
            offer_others(&mut chosen, &drawn, (edges, &turned), size);
        }
    }
    let mut best = chosen.best()?;
    if size == Size::default() {
        drawn.bound(&mut best.lattice);
    }
    Some(best.with_doubt(size).lattice)
}

/// The squares that are seen best, where there are any.
fn plainest<'a>(drawn: &Rc<Drawn<'a>>, (edges, turned): (&Edges, &Edges), size: Size) -> Chosen<'a> {
    let picture = &*drawn.picture;
    let mut chosen = Chosen::default();
    if let Some(guess) = guess(picture, edges, turned) {
        chosen.offer(drawn, straight(edges, turned, picture, guess, size), How::Followed);
    }
    chosen
}

/// Offers other squares than those that are seen best.
fn offer_others<'a>(chosen: &mut Chosen<'a>, drawn: &Rc<Drawn<'a>>, (edges, turned): (&Edges, &Edges), size: Size) {
    let picture = &*drawn.picture;
    let of_one_size = uniform::find(drawn, edges, turned);
    for &guess in &of_one_size {
        chosen.offer(drawn, uniform(edges, turned, picture, guess, size), How::Tried);
    }
    for guess in of_one_size.into_iter().chain(in_any_window(picture, edges, turned)) {
        chosen.offer(drawn, straight(edges, turned, picture, guess, size), How::Followed);
    }
    // Of bare squares little is seen: several of one yarn may be taken for one, or one more or less fill the same place.
    for guess in chosen.parts(Window::whole(edges.width, edges.height)) {
        chosen.offer(drawn, uniform(edges, turned, picture, guess, size), How::Tried);
    }
}

/// The best squares of a picture's middle of at most so many pixels a side, which shows enough to tell which are the right ones.
fn in_middle(picture: &SrgbPicture, edges: &Edges, most: usize) -> Option<Guess> {
    let window = Window::middle_of((picture.width, picture.height), most);
    let part = picture.part(window.left, window.top, window.wide(), window.turned().wide());
    let (edges, drawn) = (edges.part(window), Rc::new(Drawn::of(&part)));
    let turned = edges.turned();
    let mut chosen = plainest(&drawn, (&edges, &turned), Size::default());
    if !chosen.is_settled() {
        offer_others(&mut chosen, &drawn, (&edges, &turned), Size::default());
    }
    let found = chosen.squares(window)?;
    let (x, y) = found.first;
    Some(Guess { first: (x + window.left as f64, y + window.top as f64), ..found })
}

/// Other squares than those that are seen best, of a photograph that was laid flat: by what explains most of its middle, and
/// as they are seen in any window.
pub(super) fn other_guesses(picture: &SrgbPicture, edges: &Edges, turned: &Edges) -> Vec<Guess> {
    let explaining = uniform::find(&Drawn::laid_flat(picture), edges, turned);
    let explaining = explaining.into_iter().take(MAX_EXPLAINING).map(|guess| Guess { by_edges: false, ..guess });
    let mut others: Vec<Guess> = Vec::new();
    for guess in explaining.chain(in_any_window(picture, edges, turned)).filter(Guess::is_legible) {
        if !others.iter().any(|other| other.is_like(&guess)) {
            others.push(guess);
        }
    }
    others
}

/// Squares that are seen in any window, by their edges alone and by what comes again, the likeliest first.
fn in_any_window(picture: &SrgbPicture, edges: &Edges, turned: &Edges) -> Vec<Guess> {
    let windows = Window::all(edges.width, edges.height);
    let mut found: Vec<Guess> = [f64::INFINITY, PLAINLY_ALIKE]
        .into_iter()
        .flat_map(|least| windows.iter().filter_map(move |&window| in_window(picture, edges, turned, window, least)))
        .collect();
    found.sort_by(|a, b| b.worth().total_cmp(&a.worth()));
    found.truncate(MAX_OTHERS);
    found
}

/// `least`: squares are known by what comes again in them where so much does.
fn in_window(picture: &SrgbPicture, edges: &Edges, turned: &Edges, window: Window, least: f64) -> Option<Guess> {
    if window.wide().min(window.turned().wide()) < 40 {
        return None;
    }
    let (across, down) = (Runs::of(edges, window), Runs::of(turned, window.turned()));
    let alike = [alike::find(picture, window, false), alike::find(picture, window, true)];
    let [across_alike, down_alike] = alike.map(|alike| alike.filter(|alike| alike.share >= least));
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
        if w.min(h) >= SMALLEST && x.is_cut_into(*count as usize) && y.is_cut_into(*count as usize) {
            let (x, y) = folded(w, h);
            (seen, wide, high) = (seen.max(clear(&x, &y)), w, h);
        }
    }
    let (x, y) = folded(wide, high);
    let mut first = (x.first(), y.first());
    if alike && edges.reach == 1 {
        first = phase::sides(picture, window, (wide, high), first).unwrap_or(first);
    }
    Some(Guess { window, wide, high, first, seen, alike: comes_again, by_edges: true })
}

/// The chart's lattice in a picture whose lines are straight.
fn straight(edges: &Edges, turned: &Edges, picture: &SrgbPicture, guess: Guess, size: Size) -> Option<Lattice> {
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
    let followed =
        cut(edges, turned, picture, &spread, guess.alike, size).map(|found| found.evened((guess.wide, guess.high)));
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

/// The lattice of squares that are all of one size.
fn uniform(edges: &Edges, turned: &Edges, picture: &SrgbPicture, guess: Guess, size: Size) -> Option<Lattice> {
    let (x, y) = guess.window.middle();
    let xs = every(edges.width, guess.wide, guess.first.0, x);
    let ys = every(edges.height, guess.high, guess.first.1, y);
    cut(edges, turned, picture, &Spread { xs, ys, wide: guess.wide, high: guess.high }, guess.alike, size)
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
    })
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
