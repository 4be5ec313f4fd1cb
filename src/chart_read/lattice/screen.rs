//! The lattice of a chart that a screen shows: the squares that are seen best, and others where these are not plain.

use super::choice::{Chosen, How};
use super::counts;
use super::explained::Drawn;
use super::marks::Marks;
use super::period::Runs;
use super::spread::{Guess, Lattice};
use super::straight;
use super::uniform;
use super::windows;
use crate::chart_read::edges::Edges;
use crate::chart_read::reading::Size;
use crate::chart_read::window::Window;
use crate::picture::SrgbPicture;
use std::rc::Rc;

/// Edges of bare squares are so many pixels long, at least.
const LEAST_RUN: f64 = 4.0;

/// Of pictures with more pixels a side only the middle, of so many, is looked at in every way.
const LARGE: usize = 1_600;
const MIDDLE: usize = 1_000;

/// The lattice of a chart that a screen shows. `None`: there is nothing like a lattice.
pub(in crate::chart_read) fn on_screen(picture: &SrgbPicture, edges: &Edges, size: Size) -> Option<Lattice> {
    let turned = edges.turned();
    let drawn = Rc::new(Drawn::of(picture));
    let mut chosen = plainest(&drawn, (edges, &turned), size);
    if !chosen.is_settled() {
        if edges.slack > 0 && picture.width.max(picture.height) > LARGE {
            if let Some(guess) = in_middle(picture, edges, MIDDLE) {
                chosen.offer(&drawn, straight::uniform(edges, &turned, picture, guess, size), How::Tried);
                follow(&mut chosen, &drawn, (edges, &turned), guess, size);
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
    if let Some(guess) = windows::guess(picture, edges, turned) {
        follow(&mut chosen, drawn, (edges, turned), guess, size);
    }
    chosen
}

/// Offers squares whose lines are followed, and the same with lines as they are drawn where these wander.
fn follow<'a>(
    chosen: &mut Chosen<'a>,
    drawn: &Rc<Drawn<'a>>,
    (edges, turned): (&Edges, &Edges),
    guess: Guess,
    size: Size,
) {
    let picture = &*drawn.picture;
    let Some(followed) = straight::followed(edges, turned, picture, guess, size) else { return };
    chosen.offer(drawn, Some(followed.clone()), How::Followed);
    if !chosen.is_settled() {
        // Paper around a chart fills the picture too, but nothing is drawn in it.
        let filling = straight::filling(edges, guess, size).filter(|lattice| drawn.are_outermost_marked(lattice));
        chosen.offer(drawn, filling, How::Followed);
        chosen.offer(drawn, straight::regular((edges, turned), picture, (guess, &followed), size), How::Followed);
    }
}

/// Offers other squares than those that are seen best.
fn offer_others<'a>(chosen: &mut Chosen<'a>, drawn: &Rc<Drawn<'a>>, (edges, turned): (&Edges, &Edges), size: Size) {
    let picture = &*drawn.picture;
    offer_counted(chosen, drawn, (edges, turned), size);
    let of_one_size = uniform::find(drawn, edges, turned);
    for &guess in &of_one_size {
        chosen.offer(drawn, straight::uniform(edges, turned, picture, guess, size), How::Tried);
    }
    let marks = drawn.sheet().and_then(|paper| Marks::of(picture, paper));
    for guess in of_one_size.into_iter().chain(windows::in_any_window(picture, edges, turned)) {
        follow(chosen, drawn, (edges, turned), guess, size);
        chosen.offer(drawn, marks.as_ref().and_then(|marks| marks.lattice(guess, size)), How::Followed);
    }
    offer_counted(chosen, drawn, (edges, turned), size);
    // Of bare squares little is seen: several of one yarn may be taken for one, or one more or less fill the same place.
    for guess in chosen.parts(Window::whole(edges.width, edges.height)) {
        chosen.offer(drawn, straight::uniform(edges, turned, picture, guess, size), How::Tried);
    }
}

/// Offers as many bare squares as may lie where the best ones do.
fn offer_counted<'a>(chosen: &mut Chosen<'a>, drawn: &Rc<Drawn<'a>>, (edges, turned): (&Edges, &Edges), size: Size) {
    let Some((xs, ys)) = chosen.bare() else { return };
    let whole = Window::whole(edges.width, edges.height);
    let Some(inside) = whole.within(xs, ys) else { return };
    let counts = |edges: &Edges, inside: Window, (first, last): (f64, f64)| {
        let from = inside.left as f64;
        counts::find(&Runs::of(edges, inside).profile(LEAST_RUN), (first - from, last - from))
    };
    let (columns, rows) = (counts(edges, inside, xs), counts(turned, inside.turned(), ys));
    let both = columns.iter().flat_map(|columns| rows.iter().map(|rows| (*columns, *rows)));
    for guess in both.filter_map(|counts| chosen.of(counts, whole)).collect::<Vec<_>>() {
        chosen.offer(drawn, straight::uniform(edges, turned, &drawn.picture, guess, size), How::Tried);
    }
}

/// The best squares of a picture's middle of at most so many pixels a side, which shows enough to tell which are the right ones.
pub(super) fn in_middle(picture: &SrgbPicture, edges: &Edges, most: usize) -> Option<Guess> {
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
