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

    /// Whether no other lattice can be the right one.
    pub(super) fn is_settled(&self) -> bool {
        self.best.as_ref().is_some_and(|best| best.lattice.lined && best.explained.is_plain())
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
            self.lattice.size_is_sure &= self.explained.is_certain() && self.drawn.is_bounded(&self.lattice);
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
        let (lattice, best) = (&self.lattice, &best.lattice);
        if how == How::Photographed {
            let (now, before) = ((now, lattice.strength >= PLAIN), (before, best.strength >= PLAIN));
            return is_better_of_photograph(now, before, larger);
        }
        let seen = |lattice: &Lattice, explained| Seen { explained, strength: lattice.strength, lined: lattice.lined };
        is_better_on_screen((seen(lattice, now), how), seen(best, before), larger)
    }
}

/// What squares explain, and how plainly they are seen.
#[derive(Clone, Copy)]
struct Seen {
    explained: Explained,
    strength: f64,
    lined: bool,
}

/// Whether squares are better than others, of which each is so much larger, in a picture as a screen shows it.
fn is_better_on_screen((new, how): (Seen, How), old: Seen, larger: f64) -> bool {
    let (now, before) = (new.explained, old.explained);
    let as_plain = new.strength >= old.strength;
    if now.share > before.share && now.kinds <= before.kinds && as_plain {
        return true;
    }
    if (1.0 / LARGER..LARGER).contains(&larger) {
        // Of squares of one size those of far fewer kinds lie better.
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
mod tests {
    use super::super::tests::{chart, lattice};
    use super::*;
    use crate::picture::SrgbPicture;

    /// The place of the first line, and the squares across, of the best of several lattices.
    fn best(offered: &[Lattice], how: How) -> (f64, usize, f64) {
        let picture = chart(18, 14);
        let drawn = Rc::new(Drawn::of(&picture));
        let mut chosen = Chosen::default();
        offered.iter().for_each(|lattice| chosen.offer(&drawn, Some(lattice.clone()), how));
        chosen.offer(&drawn, None, how);
        let best = chosen.best().expect("a lattice").lattice;
        (best.xs[0], best.columns(), best.strength)
    }

    #[test]
    fn the_lattice_that_explains_most_is_taken_whatever_came_before() {
        let right = lattice((20.0, 200.0), (20.0, 160.0), 10.0);
        let others = [
            lattice((20.0, 200.0), (20.0, 160.0), 5.0),
            lattice((20.0, 200.0), (20.0, 160.0), 20.0),
            lattice((25.0, 195.0), (25.0, 155.0), 10.0),
        ];
        for other in others {
            for offered in [[right.clone(), other.clone()], [other, right.clone()]] {
                assert_eq!(best(&offered, How::Followed), (20.0, 18, BY_MARGIN));
            }
        }
    }

    #[test]
    fn sides_that_are_plainly_seen_give_way_only_to_what_explains_plainly_more() {
        // A column less explains a little less, and half a square off far less.
        let seen = |left: f64| Lattice { strength: 0.9, ..lattice((left, left + 170.0), (20.0, 160.0), 10.0) };
        let right = lattice((20.0, 200.0), (20.0, 160.0), 10.0);
        assert_eq!(best(&[seen(20.0), right.clone()], How::Tried).1, 17);
        assert_eq!(best(&[seen(25.0), right.clone()], How::Tried).1, 18);
        let unseen = Lattice { strength: 0.0, ..seen(20.0) };
        assert_eq!(best(&[unseen, right.clone()], How::Tried).1, 18);
        // Unless its own are seen as well, and it is of no more kinds.
        let plainer = Lattice { strength: 1.0, ..right };
        assert_eq!(best(&[seen(20.0), plainer], How::Tried).1, 18);
    }

    #[test]
    fn two_squares_as_one_give_way_to_each_where_its_sides_are_seen_as_plainly() {
        let of = |side: f64| {
            let (wide, high) = (10.0, side);
            let mut lattice = Lattice { lined: true, strength: 0.9, ..lattice((20.0, 200.0), (20.0, 160.0), wide) };
            lattice.ys = (0..=(140.0 / high) as usize).map(|i| 20.0 + i as f64 * high).collect();
            lattice
        };
        // All of one yarn: so are two of them as one.
        let (width, height) = (220, 180);
        let pixel = |at: usize| {
            let (x, y) = (at % width, at / width);
            let (u, v) = (x % 10, y % 10);
            match (20..201).contains(&x) && (20..161).contains(&y) {
                true if u == 0 || v == 0 => [90; 3],
                true if (4..6).contains(&u) && (3..7).contains(&v) => [20; 3],
                true => [220, 200, 120],
                false => [255; 3],
            }
        };
        let picture = SrgbPicture { width, height, rgb: (0..width * height).flat_map(pixel).collect() };
        for offered in [[of(20.0), of(10.0)], [of(10.0), of(20.0)]] {
            let drawn = Rc::new(Drawn::of(&picture));
            let mut chosen = Chosen::default();
            offered.into_iter().for_each(|lattice| chosen.offer(&drawn, Some(lattice), How::Followed));
            assert_eq!(chosen.best().expect("a lattice").lattice.rows(), 14);
        }
    }

    #[test]
    fn two_squares_as_one_give_way_to_squares_of_half_as_many_kinds() {
        // One yarn, and a square of another here and there.
        let (width, height) = (220, 180);
        let pixel = |at: usize| {
            let (x, y) = (at % width, at / width);
            let (column, row) = ((x / 10).wrapping_sub(2), (y / 10).wrapping_sub(2));
            match column < 18 && row < 14 {
                true if (column * 5 + row * 7) % 11 == 0 => [60, 90, 160],
                true => [220, 150, 90],
                false => [255; 3],
            }
        };
        let picture = SrgbPicture { width, height, rgb: (0..width * height).flat_map(pixel).collect() };
        let drawn = Rc::new(Drawn::of(&picture));
        let right = Lattice { strength: 1.0, ..lattice((20.0, 200.0), (20.0, 160.0), 10.0) };
        let ys = (0..=7).map(|i| 20.0 + f64::from(i) * 20.0).collect();
        let double = Lattice { ys, strength: 0.9, ..right.clone() };
        for offered in [[right.clone(), double.clone()], [double, right]] {
            let mut chosen = Chosen::default();
            offered.into_iter().for_each(|lattice| chosen.offer(&drawn, Some(lattice), How::Tried));
            assert_eq!(chosen.best().expect("a lattice").lattice.rows(), 14);
        }
    }

    #[test]
    fn on_a_screen_squares_of_one_size_lie_better_with_half_the_kinds_and_lined_ones_give_way_to_no_doubles() {
        let of = |(share, kinds): (f64, usize), strength: f64, lined: bool| Seen {
            explained: Explained { share, kinds, squares: 1_000, over: 0.0 },
            strength,
            lined,
        };
        let is_better =
            |now: Seen, before: Seen, larger: f64| is_better_on_screen((now, How::Followed), before, larger);
        // Of one size.
        let before = of((0.80, 20), 0.8, true);
        assert!(
            is_better(of((0.79, 10), 0.7, true), before, 1.0) && !is_better(of((0.77, 10), 0.7, true), before, 1.0)
        );
        assert!(
            is_better(of((0.89, 40), 0.9, true), before, 1.0) && !is_better(of((0.87, 40), 0.9, true), before, 1.0)
        );
        assert!(is_better(of((0.82, 39), 0.9, true), before, 1.0));
        // Two as one, without lines.
        let before = of((0.40, 120), 0.76, true);
        assert!(!is_better(of((0.90, 30), 0.0, false), before, 2.0));
        assert!(is_better(of((0.90, 30), 0.7, true), before, 2.0));
        assert!(is_better(of((0.90, 30), 0.0, false), of((0.40, 120), 0.6, true), 2.0));
        assert!(is_better(of((0.90, 30), 0.0, false), of((0.40, 120), 0.76, false), 2.0));
    }

    #[test]
    fn parts_of_squares_without_lines_are_offered_and_as_many_one_more_or_less() {
        let picture = chart(18, 14);
        let drawn = Rc::new(Drawn::of(&picture));
        let parts = |lattice: Lattice| {
            let mut chosen = Chosen::default();
            assert_eq!(chosen.parts(Window::whole(220, 180)).len(), 0);
            chosen.offer(&drawn, Some(lattice), How::Followed);
            let sides = |guess: Guess| ((guess.wide * 10.0).round() as i32, (guess.high * 10.0).round() as i32);
            chosen.parts(Window::whole(220, 180)).into_iter().map(sides).collect::<Vec<_>>()
        };
        let double = lattice((20.0, 200.0), (20.0, 160.0), 20.0);
        // Nine across are ten or eight, seven down are eight or six; thirds of squares across and halves of them are too flat.
        let one_off = [(180, 200), (225, 200), (200, 175), (200, 233)];
        let cut = [(200, 100), (100, 200), (100, 100), (67, 67)];
        assert_eq!(parts(double.clone()), [cut.to_vec(), one_off.to_vec()].concat());
        assert_eq!(parts(Lattice { lined: true, ..double }), []);
    }

    #[test]
    fn few_kinds_of_many_squares_settle_it_where_squares_have_lines() {
        let picture = chart(18, 14);
        let drawn = Rc::new(Drawn::of(&picture));
        for (lined, settled) in [(true, true), (false, false)] {
            let mut chosen = Chosen::default();
            assert!(!chosen.is_settled());
            chosen.offer(&drawn, Some(Lattice { lined, ..lattice((20.0, 200.0), (20.0, 160.0), 10.0) }), How::Followed);
            assert_eq!(chosen.is_settled(), settled);
        }
    }

    #[test]
    fn in_a_photograph_squares_of_fewer_kinds_lie_better_and_parts_of_squares_are_of_more() {
        let of = |share: f64, kinds: usize| Explained { share, kinds, squares: 1_000, over: 0.0 };
        let is_better = |now: (f64, usize, bool), before: (f64, usize, bool), larger: f64| {
            is_better_of_photograph((of(now.0, now.1), now.2), (of(before.0, before.1), before.2), larger)
        };
        // Of one size.
        assert!(
            is_better((0.82, 20, true), (0.80, 20, true), 1.0) && !is_better((0.805, 20, true), (0.80, 20, true), 1.0)
        );
        assert!(
            is_better((0.76, 10, true), (0.80, 20, true), 1.0) && !is_better((0.74, 10, true), (0.80, 20, true), 1.0)
        );
        assert!(
            !is_better((0.84, 40, true), (0.80, 20, true), 1.0) && is_better((0.86, 40, true), (0.80, 20, true), 1.0)
        );
        // Larger ones: with half as many kinds, or with no more of them and more explained, or plain where others are not.
        assert!(is_better((0.76, 10, false), (0.80, 20, false), 4.0));
        assert!(!is_better((0.76, 11, false), (0.80, 20, false), 4.0));
        assert!(is_better((0.81, 20, false), (0.80, 20, false), 4.0));
        assert!(is_better((0.76, 20, true), (0.80, 20, false), 4.0));
        assert!(!is_better((0.90, 21, true), (0.80, 20, false), 4.0));
        // Smaller ones are held against the same.
        assert!(!is_better((0.84, 20, false), (0.80, 10, false), 0.25));
        assert!(is_better((0.82, 20, false), (0.80, 25, false), 0.25));
        assert!(!is_better((0.95, 30, false), (0.80, 25, false), 0.25));
        assert!(is_better((0.97, 30, false), (0.80, 25, false), 0.25));
        // What is plainly seen does not give way to more kinds of what is not.
        assert!(
            !is_better((0.99, 21, false), (0.40, 20, true), 1.0) && is_better((0.99, 21, true), (0.40, 20, true), 1.0)
        );
    }
}
