//! Which of several lattices is that of a chart on a screen: the one that explains most of the picture.

use super::explained::{Drawn, Explained};
use super::spread::{BY_MARGIN, Lattice, PLAIN};

/// What the better of two lattices has to explain more, of the whole picture.
const MORE: f64 = 0.01;
/// And what it has to where the other's sides are plainly seen.
const PLAINLY_MORE: f64 = 0.08;
/// Whole squares may explain so much less than their halves where they are of half as many kinds.
const LESS: f64 = 0.02;
/// Squares larger by so much are others, and not the same a little off.
const LARGER: f64 = 1.4;
/// And halves, or quarters, are no smaller than this.
const QUARTERS: f64 = 4.5;
/// Kinds that are so many times fewer are plainly fewer.
const PLAINLY_FEWER: usize = 3;

/// A lattice and what it explains.
pub(super) struct Chosen<'a> {
    drawn: &'a Drawn<'a>,
    best: Option<(Explained, Lattice)>,
}

/// How a lattice was found.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum How {
    /// By following its lines.
    Followed,
    /// By trying sizes and places: heavier lines push the others on, which it does not know.
    Tried,
}

impl<'a> Chosen<'a> {
    pub(super) fn new(drawn: &'a Drawn<'a>) -> Chosen<'a> {
        Chosen { drawn, best: None }
    }

    /// Whether no other lattice can be the right one.
    pub(super) fn is_settled(&self) -> bool {
        self.best.as_ref().is_some_and(|(explained, lattice)| lattice.lined && explained.is_plain())
    }

    /// Takes a lattice if it is better than those before.
    pub(super) fn offer(&mut self, lattice: Option<Lattice>, how: How) {
        let Some(lattice) = lattice else { return };
        let explained = self.drawn.by(&lattice);
        if self.best.as_ref().is_none_or(|best| self.is_better((&explained, &lattice), how, best)) {
            self.best = Some((explained, lattice));
        }
    }

    fn is_better(&self, new: (&Explained, &Lattice), how: How, best: &(Explained, Lattice)) -> bool {
        let area = |lattice: &Lattice| lattice.square().0 * lattice.square().1;
        let ((own, lattice), (best_own, best)) = (new, best);
        let [before, now] = self.drawn.by_both(best, lattice);
        let larger = area(lattice) / area(best);
        // Several squares as one are of more kinds than each; halves of squares are of more kinds than the whole.
        if larger > LARGER && now.kinds > before.kinds {
            return false;
        }
        if (LARGER..QUARTERS).contains(&larger) && 2 * now.kinds <= before.kinds && lattice.strength >= best.strength {
            return now.share > before.share - LESS;
        }
        if (LARGER..QUARTERS).contains(&larger.recip()) && own.kinds >= best_own.kinds {
            return false;
        }
        let others_plain = best.strength >= PLAIN
            && now.kinds * PLAINLY_FEWER > before.kinds
            && (how == How::Tried || lattice.strength < best.strength);
        let others_plain = others_plain || larger > QUARTERS;
        now.share > before.share + if others_plain { PLAINLY_MORE } else { MORE }
    }

    /// The best of all. Where its squares are of few kinds, it is plainly a chart.
    pub(super) fn best(self) -> Option<Lattice> {
        let (explained, mut lattice) = self.best?;
        if explained.is_clear() {
            lattice.strength = lattice.strength.max(BY_MARGIN);
        }
        Some(lattice)
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{chart, lattice};
    use super::*;

    /// The place of the first line, and the squares across, of the best of several lattices.
    fn best(offered: &[Lattice], how: How) -> (f64, usize, f64) {
        let picture = chart(18, 14);
        let drawn = Drawn::of(&picture);
        let mut chosen = Chosen::new(&drawn);
        offered.iter().for_each(|lattice| chosen.offer(Some(lattice.clone()), how));
        chosen.offer(None, how);
        let best = chosen.best().expect("a lattice");
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
        assert_eq!(best(&[unseen, right], How::Tried).1, 18);
    }

    #[test]
    fn few_kinds_of_many_squares_settle_it_where_squares_have_lines() {
        let picture = chart(18, 14);
        let drawn = Drawn::of(&picture);
        for (lined, settled) in [(true, true), (false, false)] {
            let mut chosen = Chosen::new(&drawn);
            assert!(!chosen.is_settled());
            chosen.offer(Some(Lattice { lined, ..lattice((20.0, 200.0), (20.0, 160.0), 10.0) }), How::Followed);
            assert_eq!(chosen.is_settled(), settled);
        }
    }
}
