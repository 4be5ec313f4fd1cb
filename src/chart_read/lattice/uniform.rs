//! Squares all of one size where neither their lines nor what comes again in them says plainly what that is: sizes and places
//! are tried, and those that explain most are taken.

use super::alike::distances;
use super::explained::Drawn;
use super::period::Runs;
use super::spread::{Guess, SMALLEST, like_a_square};
use crate::chart_read::edges::Edges;
use crate::chart_read::window::Window;
use crate::picture::SrgbPicture;

/// Squares that are looked at, across and down, around the middle of the picture.
const SQUARES: f64 = 18.0;
/// Least squares, of a direction.
const LEAST: usize = 4;
/// Sizes that are tried, of a direction.
const MAX_SIZES: usize = 8;
/// Places of a size that are tried first, of a direction.
const PLACES: f64 = 6.0;
/// Sizes whose places are then looked for to the pixel.
const BEST: usize = 5;
/// Places explain about as much where the shares differ by no more.
const AS_MUCH: f64 = 0.02;

/// A size of squares and where one of them begins.
#[derive(Clone, Copy)]
struct Tried {
    share: f64,
    wide: f64,
    high: f64,
    first: (f64, f64),
}

/// The squares that explain most of the picture's middle, best first.
pub(super) fn find(drawn: &Drawn<'_>, edges: &Edges, turned: &Edges) -> Vec<Guess> {
    let picture = &*drawn.picture;
    let (across, down) = (sizes(picture, edges, false), sizes(picture, turned, true));
    let mut tried: Vec<Tried> = Vec::new();
    for &wide in &across {
        for &high in down.iter().filter(|high| like_a_square(wide, **high)) {
            let (x, y) = ((wide / PLACES).max(1.0), (high / PLACES).max(1.0));
            tried.extend(best_place(drawn, (wide, high), (0.0, wide, x), (0.0, high, y)));
        }
    }
    tried.sort_by(|a, b| b.share.total_cmp(&a.share));
    let window = Window::whole(picture.width, picture.height);
    let finer = |one: Tried| {
        let (x, y) = ((one.wide / PLACES).max(1.0), (one.high / PLACES).max(1.0));
        let around = |at: f64, step: f64| (at - step, at + 1.01 * step, (step / 3.0).max(0.5));
        let found = best_place(drawn, (one.wide, one.high), around(one.first.0, x), around(one.first.1, y));
        let Tried { share, wide, high, first } = found.unwrap_or(one);
        Guess { window, wide, high, first, seen: share, alike: share.max(0.01), by_edges: true }
    };
    let mut found: Vec<Guess> = tried.into_iter().take(BEST).map(finer).collect();
    found.sort_by(|a, b| b.seen.total_cmp(&a.seen));
    found
}

/// Distances at which something comes again.
fn sizes(picture: &SrgbPicture, edges: &Edges, turned: bool) -> Vec<f64> {
    let window = Window::whole(picture.width, picture.height);
    let along = if turned { window.turned() } else { window };
    let runs = Runs::of(edges, along).candidates();
    let again = distances(picture, window, turned);
    let mut sizes: Vec<f64> = Vec::new();
    // Now one, now the other: of bare squares nothing comes again, and of symbols without lines too many edges do.
    let mut again = again.into_iter();
    let mut runs = runs.into_iter();
    let turns = core::iter::from_fn(|| Some([again.next(), runs.next()])).take_while(|turn| *turn != [None, None]);
    for size in turns.flatten().flatten() {
        let new = sizes.iter().all(|known| (known / size - 1.0).abs() > 0.01);
        if new && size >= SMALLEST && sizes.len() < MAX_SIZES {
            sizes.push(size);
        }
    }
    sizes
}

/// The place at which squares of a size explain most, of places from, to, and in steps.
fn best_place(
    drawn: &Drawn<'_>,
    (wide, high): (f64, f64),
    across: (f64, f64, f64),
    down: (f64, f64, f64),
) -> Option<Tried> {
    let places = |(from, to, step): (f64, f64, f64)| {
        core::iter::successors(Some(from), move |at| Some(at + step)).take_while(move |at| *at < to)
    };
    let mut tried: Vec<Tried> = Vec::new();
    for x in places(across) {
        for y in places(down) {
            let (xs, ys) = (middle(x, wide, drawn.picture.width), middle(y, high, drawn.picture.height));
            if xs.len() <= LEAST || ys.len() <= LEAST {
                continue;
            }
            let share = drawn.between(&xs, &ys).share;
            tried.push(Tried { share, wide, high, first: (x, y) });
        }
    }
    // Of places that explain about as much, that at which least is drawn over the sides.
    let most = tried.iter().map(|tried| tried.share).max_by(f64::total_cmp)?;
    let over = |tried: &Tried| {
        let xs = middle(tried.first.0, wide, drawn.picture.width);
        drawn.over_sides(&xs, &middle(tried.first.1, high, drawn.picture.height))
    };
    let near = tried.into_iter().filter(|tried| tried.share >= most - AS_MUCH).map(|tried| (over(&tried), tried));
    near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, tried)| tried)
}

/// Lines around the middle of a picture.
fn middle(first: f64, side: f64, long: usize) -> Vec<f64> {
    let long = long as f64;
    let from = (long / 2.0 - SQUARES / 2.0 * side).max(-0.3);
    let to = (from + SQUARES * side).min(long + 0.3);
    let start = from + (first - from).rem_euclid(side);
    core::iter::successors(Some(start), |at| Some(at + side)).take_while(|at| *at <= to).collect()
}
