//! Which of several lattices is that of a chart: the one that explains most of the picture.

use super::explained::{Drawn, Explained};
use super::spread::{BY_MARGIN, Guess, Lattice, PLAIN, SMALLEST, like_a_square};
use crate::chart_read::reading::Size;
use crate::chart_read::window::Window;
use std::rc::Rc;

/// What the better of two lattices has to explain more, of the whole picture.
const MORE: f64 = 0.01;
/// And what it has to where the other's sides are plainly seen.
const PLAINLY_MORE: f64 = 0.08;
/// Whole squares may explain so much less than their halves where they are of half as many kinds.
const LESS: f64 = 0.02;
/// And in a photograph so much less.
const MUCH_LESS: f64 = 0.05;
/// Squares whose lines are all but all seen.
const SETTLED: f64 = 0.9;
/// Squares larger by so much are others, and not the same a little off.
const LARGER: f64 = 1.4;
/// And halves, or quarters, are no smaller than this.
const QUARTERS: f64 = 4.5;
/// Kinds that are so many times fewer are plainly fewer.
const PLAINLY_FEWER: usize = 3;

/// Into so many parts across and down squares are cut, to see whether they are several.
const PARTS: [(f64, f64); 6] = [(1.0, 2.0), (2.0, 1.0), (2.0, 2.0), (1.0, 3.0), (3.0, 1.0), (3.0, 3.0)];

/// A lattice and what it explains.
pub(super) struct Judged<'a> {
    pub(super) drawn: Rc<Drawn<'a>>,
    pub(super) lattice: Lattice,
    explained: Explained,
}

/// The best lattice so far.
#[derive(Default)]
pub(super) struct Chosen<'a> {
    best: Option<Judged<'a>>,
}

/// How a lattice was found.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum How {
    /// By following its lines.
    Followed,
    /// In a photograph, of which every lattice makes another picture.
    Photographed,
    /// By trying sizes and places: heavier lines push the others on, which it does not know.
    Tried,
}

impl<'a> Chosen<'a> {
    /// Whether the best is of so few kinds that it is a chart.
    pub(super) fn is_clear(&self) -> bool {
        self.best.as_ref().is_some_and(|best| best.explained.is_clear())
    }

    /// The same in a photograph, where less is explained.
    pub(super) fn is_settled_in_photograph(&self) -> bool {
        self.best.as_ref().is_some_and(|Judged { lattice, explained, .. }| {
            (lattice.strength >= SETTLED && explained.is_of_few_kinds())
                || (lattice.strength >= PLAIN && explained.is_nearly_all())
        })
    }

    /// The best with its pixels mixed by so many of those of the photograph.
    pub(super) fn mixed(&self, pixels: f64) -> Option<(Drawn<'static>, Lattice)> {
        let Judged { drawn, lattice, .. } = self.best.as_ref()?;
        Some((drawn.mixed(pixels), lattice.clone()))
    }

    /// The shorter side of the best squares, in pixels of the picture as it came.
    pub(super) fn side(&self) -> Option<f64> {
        let (wide, high) = self.best.as_ref().map(|best| best.drawn.side(&best.lattice))?;
        Some(wide.min(high))
    }

    /// Whether no other lattice can be the right one.
    pub(super) fn is_settled(&self) -> bool {
        self.best.as_ref().is_some_and(|best| {
            best.lattice.lined && best.explained.is_plain() && !best.drawn.are_doubles(&best.lattice)
        })
    }

    /// The best squares, as they lie in this window.
    pub(super) fn squares(&self, window: Window) -> Option<Guess> {
        let lattice = &self.best.as_ref()?.lattice;
        let ((wide, high), first) = (lattice.square(), (lattice.xs[0], lattice.ys[0]));
        Some(Guess { window, wide, high, first, seen: lattice.strength, alike: lattice.alike, by_edges: true })
    }

    /// Parts of the best squares where these have no lines, and squares of which one more or less fill the same place.
    pub(super) fn parts(&self, window: Window) -> Vec<Guess> {
        let lattice = self.best.as_ref().map(|best| &best.lattice).filter(|lattice| !lattice.lined);
        let (Some(lattice), Some(whole)) = (lattice, self.squares(window)) else { return Vec::new() };
        let one_off = |count: usize| [1.0 / count as f64, -1.0 / count as f64].map(|by| 1.0 + by);
        let (across, down) = (one_off(lattice.columns()), one_off(lattice.rows()));
        let one_off = across.into_iter().map(|by| (by, 1.0)).chain(down.into_iter().map(|by| (1.0, by)));
        let cut = |(across, down): (f64, f64)| Guess {
            wide: whole.wide / across,
            high: whole.high / down,
            alike: 0.0,
            ..whole
        };
        let is_square = |guess: &Guess| guess.wide.min(guess.high) >= SMALLEST && like_a_square(guess.wide, guess.high);
        PARTS.into_iter().chain(one_off).map(cut).filter(is_square).collect()
    }

    /// Between which places across and down the best squares lie, where they have no lines.
    pub(super) fn bare(&self) -> Option<((f64, f64), (f64, f64))> {
        let lattice = self.best.as_ref().map(|best| &best.lattice).filter(|lattice| !lattice.lined)?;
        let ends = |lines: &[f64]| (lines[0], lines[lines.len() - 1]);
        Some((ends(&lattice.xs), ends(&lattice.ys)))
    }

    /// So many squares in the same place.
    pub(super) fn of(&self, (columns, rows): (usize, usize), window: Window) -> Option<Guess> {
        let (whole, lattice) = (self.squares(window)?, &self.best.as_ref()?.lattice);
        let wide = whole.wide * lattice.columns() as f64 / columns as f64;
        let high = whole.high * lattice.rows() as f64 / rows as f64;
        like_a_square(wide, high).then_some(Guess { wide, high, alike: 0.0, ..whole })
    }

    /// Whether the best is plain by itself, of squares of so many pixels at least.
    pub(super) fn is_plain(&self, pixels: f64) -> bool {
        self.best.as_ref().is_some_and(|best| best.lattice.strength >= PLAIN && best.lattice.square().0 >= pixels)
    }

    /// Takes a lattice if it is better than those before.
    pub(super) fn offer(&mut self, drawn: &Rc<Drawn<'a>>, lattice: Option<Lattice>, how: How) {
        let Some(lattice) = lattice else { return };
        let new = Judged { drawn: Rc::clone(drawn), explained: drawn.by(&lattice), lattice };
        if self.best.as_ref().is_none_or(|best| new.is_better(how, best)) {
            self.best = Some(new);
        }
    }

    /// The best of all. Where its squares are of few kinds, it is plainly a chart.
    pub(super) fn best(self) -> Option<Judged<'a>> {
        let mut best = self.best?;
        if best.explained.is_clear() {
            best.lattice.strength = best.lattice.strength.max(BY_MARGIN);
        }
        Some(best)
    }
}

impl Judged<'_> {
    /// The same, with doubt about how many squares there are unless that was said, or it is certain that they are a chart's and
    /// plain where they end.
    pub(super) fn with_doubt(mut self, size: Size) -> Self {
        if size.columns.is_none() || size.rows.is_none() {
            let ends_plainly = self.drawn.evenly_lit || !self.drawn.may_end_in_paper(&self.lattice);
            self.lattice.size_is_sure &=
                self.explained.is_certain() && ends_plainly && self.drawn.is_bounded(&self.lattice);
        }
        self
    }

    fn is_better(&self, how: How, best: &Judged<'_>) -> bool {
        let area = |judged: &Judged<'_>| {
            let (wide, high) = judged.drawn.side(&judged.lattice);
            wide * high
        };
        let [before, now] = Drawn::by_both((&best.drawn, &best.lattice), (&self.drawn, &self.lattice));
        let larger = area(self) / area(best);
        if how == How::Photographed {
            let plain = |judged: &Judged<'_>| judged.lattice.strength >= PLAIN;
            return is_better_of_photograph((now, plain(self)), (before, plain(best)), larger);
        }
        is_better_on_screen((self.seen(now), how), best.seen(before), larger)
    }

    fn seen(&self, explained: Explained) -> Seen {
        let Lattice { strength, lined, .. } = self.lattice;
        Seen { explained, strength, lined, halved: lined && self.drawn.are_halves(&self.lattice) }
    }
}

/// What squares explain, and how plainly they are seen.
#[derive(Clone, Copy)]
struct Seen {
    explained: Explained,
    strength: f64,
    lined: bool,
    /// Whether every other of their lines is seen less, so that they are halves of squares.
    halved: bool,
}

/// Whether squares are better than others, of which each is so much larger, in a picture as a screen shows it.
fn is_better_on_screen((new, how): (Seen, How), old: Seen, larger: f64) -> bool {
    let (now, before) = (new.explained, old.explained);
    let as_plain = new.strength >= old.strength;
    // Lines that every square has are no halves' sides.
    if old.lined && new.lined && new.halved != old.halved {
        if larger < 1.0 / LARGER && new.halved {
            return false;
        }
        if larger > LARGER && old.halved {
            return now.share > before.share - PLAINLY_MORE;
        }
    }
    if now.share > before.share && now.kinds <= before.kinds && as_plain {
        return true;
    }
    if (1.0 / LARGER..LARGER).contains(&larger) {
        // Of squares of one size those of far fewer kinds lie better, but not beside plain lines.
        if old.lined && old.strength >= PLAIN && !new.lined {
            return now.share > before.share + PLAINLY_MORE;
        }
        if 2 * now.kinds <= before.kinds {
            return now.share > before.share - LESS;
        }
        if 2 * before.kinds <= now.kinds {
            return now.share > before.share + PLAINLY_MORE;
        }
    }
    // Where each square has its lines, several as one have none.
    if larger > LARGER && old.lined && old.strength >= PLAIN && !new.lined && !as_plain {
        return false;
    }
    // Several squares as one are of more kinds than each; halves of squares are of more kinds than the whole.
    if larger > LARGER && now.kinds > before.kinds {
        return false;
    }
    if (LARGER..QUARTERS).contains(&larger) && 2 * now.kinds <= before.kinds && as_plain {
        return now.share > before.share - LESS;
    }
    // Halves are not, unless their sides are seen as plainly and they explain more: then the others are doubles.
    let doubles = new.lined && as_plain && now.share > before.share && now.kinds < 2 * before.kinds;
    if (LARGER..QUARTERS).contains(&larger.recip()) && now.kinds >= before.kinds {
        return doubles;
    }
    let others_plain =
        old.strength >= PLAIN && now.kinds * PLAINLY_FEWER > before.kinds && (how == How::Tried || !as_plain);
    let others_plain = others_plain || larger > QUARTERS;
    now.share > before.share + if others_plain { PLAINLY_MORE } else { MORE }
}

/// Whether squares explain more of a photograph than others, of which each is so much larger; both with whether their sides
/// are plainly seen.
fn is_better_of_photograph(
    (now, is_plain): (Explained, bool),
    (before, was_plain): (Explained, bool),
    larger: f64,
) -> bool {
    if was_plain && !is_plain && now.kinds > before.kinds {
        return false;
    }
    if (1.0 / LARGER..LARGER).contains(&larger) {
        // Of squares of one size those of fewer kinds lie better.
        let half = |a: Explained, b: Explained| 2 * a.kinds <= b.kinds;
        return match (half(now, before), half(before, now)) {
            (true, _) => now.share > before.share - MUCH_LESS,
            (_, true) => now.share > before.share + MUCH_LESS,
            _ => now.share > before.share + MORE,
        };
    }
    let ((large, plain), (small, other_plain)) =
        if larger > 1.0 { ((now, is_plain), (before, was_plain)) } else { ((before, was_plain), (now, is_plain)) };
    // Parts of squares are of more kinds than the whole ones, and several as one as well.
    let far_fewer = 2 * large.kinds <= small.kinds || (plain && !other_plain && large.kinds <= small.kinds);
    let large_is_better = (far_fewer && large.share > small.share - MUCH_LESS)
        || (large.kinds <= small.kinds && large.share > small.share);
    let more = if now.kinds > before.kinds { 2.0 * PLAINLY_MORE } else { MORE };
    if larger > 1.0 { large_is_better } else { !large_is_better && now.share > before.share + more }
}

#[cfg(test)]
mod tests;
