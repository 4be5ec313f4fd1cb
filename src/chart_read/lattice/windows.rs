//! Squares as they are seen in windows of a picture: how large they are, and where one of them begins.

use super::alike::{self, Alike};
use super::fold::{Fold, Points};
use super::period::Runs;
use super::phase;
use super::spread::{Guess, SMALLEST, like_a_square};
use crate::chart_read::edges::Edges;
use crate::chart_read::window::Window;
use crate::picture::SrgbPicture;

/// Squares so clear, of the clearest, are about as clear.
const NEARLY: f64 = 0.55;

/// Guesses of other windows that are followed, at most.
const MAX_OTHERS: usize = 5;

/// Squares that come again to this share are those of the chart.
const PLAINLY_ALIKE: f64 = 0.12;

/// The squares that are seen best in any window. `None`: there is nothing like a lattice.
pub(in crate::chart_read) fn guess(picture: &SrgbPicture, edges: &Edges, turned: &Edges) -> Option<Guess> {
    let guesses = Window::all(edges.width, edges.height)
        .into_iter()
        .filter_map(|window| in_window(picture, edges, turned, window, PLAINLY_ALIKE));
    guesses.max_by(|a, b| a.worth().total_cmp(&b.worth()))
}

/// Squares that are seen in any window, by their edges alone and by what comes again, the likeliest first.
pub(super) fn in_any_window(picture: &SrgbPicture, edges: &Edges, turned: &Edges) -> Vec<Guess> {
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
