//! Of which squares are the better ones.

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
        halved: false,
    };
    let is_better = |now: Seen, before: Seen, larger: f64| is_better_on_screen((now, How::Followed), before, larger);
    // Of one size.
    let before = of((0.80, 20), 0.8, true);
    assert!(is_better(of((0.79, 10), 0.7, true), before, 1.0) && !is_better(of((0.77, 10), 0.7, true), before, 1.0));
    assert!(is_better(of((0.89, 40), 0.9, true), before, 1.0) && !is_better(of((0.87, 40), 0.9, true), before, 1.0));
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
    assert!(is_better((0.82, 20, true), (0.80, 20, true), 1.0) && !is_better((0.805, 20, true), (0.80, 20, true), 1.0));
    assert!(is_better((0.76, 10, true), (0.80, 20, true), 1.0) && !is_better((0.74, 10, true), (0.80, 20, true), 1.0));
    assert!(!is_better((0.84, 40, true), (0.80, 20, true), 1.0) && is_better((0.86, 40, true), (0.80, 20, true), 1.0));
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
    assert!(!is_better((0.99, 21, false), (0.40, 20, true), 1.0) && is_better((0.99, 21, true), (0.40, 20, true), 1.0));
}

#[test]
fn halves_whose_lines_are_not_all_seen_give_way_to_squares() {
    let of = |(share, kinds): (f64, usize), halved: bool| Seen {
        explained: Explained { share, kinds, squares: 1_000, over: 0.0 },
        strength: 0.9,
        lined: true,
        halved,
    };
    let is_better = |now: Seen, before: Seen, larger: f64| is_better_on_screen((now, How::Followed), before, larger);
    let (squares, halves) = (of((0.80, 20), false), of((0.85, 12), true));
    assert!(is_better(squares, halves, 4.0) && !is_better(halves, squares, 0.25));
    assert!(is_better(of((0.85, 12), false), squares, 0.25) && !is_better(of((0.76, 20), false), halves, 4.0));
    // Of one size, what has no lines gives way to what has.
    let bare = Seen { lined: false, strength: 0.0, ..of((0.85, 5), false) };
    assert!(!is_better(bare, squares, 1.0) && is_better(bare, Seen { strength: 0.5, ..squares }, 1.0));
}
