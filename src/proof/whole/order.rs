//! Which page of one file is which of the other. Pages are known by what is drawn on them; those that are in the same order in
//! both are found as the longest row of such, and the rest is moved, doubled, missing, added, or another.

use std::collections::{BTreeMap, BTreeSet};

/// Pages between the first and the last that differ, up to which the longest row is sought; of more, pages are paired by
/// what they are alone.
const MAX_SOUGHT: usize = 2_500;

/// What became of a page of the made file, or of one found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Moved {
    /// The found page (from 0) is the made one (from 0) at another place.
    Elsewhere(usize, usize),
    /// The found page is the made one once more.
    Again(usize, usize),
    /// The found page is in no place of the made file.
    Added(usize),
    /// The made page is missing.
    Missing(usize),
}

/// The pairing of pages.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Order {
    /// Pages that are to be compared: found, made, both from 0.
    pub(crate) pairs: Vec<(usize, usize)>,
    /// What else there is.
    pub(crate) moved: Vec<Moved>,
}

/// Pairs pages by marks of what is on them.
pub(super) fn order(found: &[[u8; 32]], made: &[[u8; 32]]) -> Order {
    let head = found.iter().zip(made).take_while(|(a, b)| a == b).count();
    let rest = found.len().min(made.len()) - head;
    let tail = found.iter().rev().zip(made.iter().rev()).take(rest).take_while(|(a, b)| a == b).count();
    let (middle_found, middle_made) = (&found[head..found.len() - tail], &made[head..made.len() - tail]);
    let mut alike: Vec<(usize, usize)> = (0..head).map(|at| (at, at)).collect();
    alike.extend(row(middle_found, middle_made).into_iter().map(|(f, m)| (f + head, m + head)));
    alike.extend((0..tail).rev().map(|at| (found.len() - 1 - at, made.len() - 1 - at)));
    rest_of(found, made, alike)
}

/// The longest row of pages that are in the same order in both.
fn row(found: &[[u8; 32]], made: &[[u8; 32]]) -> Vec<(usize, usize)> {
    if found.len().max(made.len()) > MAX_SOUGHT {
        return found.iter().zip(made).enumerate().filter(|(_, (a, b))| a == b).map(|(at, _)| (at, at)).collect();
    }
    let width = made.len() + 1;
    let mut longest = vec![0_u16; (found.len() + 1) * width];
    for f in (0..found.len()).rev() {
        for m in (0..made.len()).rev() {
            longest[f * width + m] = if found[f] == made[m] {
                longest[(f + 1) * width + m + 1] + 1
            } else {
                longest[(f + 1) * width + m].max(longest[f * width + m + 1])
            };
        }
    }
    let (mut f, mut m, mut out) = (0, 0, Vec::new());
    while f < found.len() && m < made.len() {
        if found[f] == made[m] {
            out.push((f, m));
            (f, m) = (f + 1, m + 1);
        } else if longest[(f + 1) * width + m] >= longest[f * width + m + 1] {
            f += 1;
        } else {
            m += 1;
        }
    }
    out
}

fn rest_of(found: &[[u8; 32]], made: &[[u8; 32]], alike: Vec<(usize, usize)>) -> Order {
    let (used_found, used_made): (BTreeSet<usize>, BTreeSet<usize>) = alike.iter().copied().unzip();
    let mut left_made: BTreeMap<[u8; 32], Vec<usize>> = BTreeMap::new();
    for m in (0..made.len()).rev().filter(|m| !used_made.contains(m)) {
        left_made.entry(made[m]).or_default().push(m);
    }
    let first_made: BTreeMap<[u8; 32], usize> = made.iter().enumerate().rev().map(|(at, mark)| (*mark, at)).collect();
    let mut order = Order { pairs: alike, moved: Vec::new() };
    let mut unknown = Vec::new();
    for f in (0..found.len()).filter(|f| !used_found.contains(f)) {
        if let Some(m) = left_made.get_mut(&found[f]).and_then(Vec::pop) {
            order.pairs.push((f, m));
            order.moved.push(Moved::Elsewhere(f, m));
        } else if let Some(m) = first_made.get(&found[f]) {
            order.moved.push(Moved::Again(f, *m));
        } else {
            unknown.push(f);
        }
    }
    let mut left: Vec<usize> = left_made.into_values().flatten().collect();
    left.sort_unstable();
    // A page that has changed stands between the same neighbours as before: it comes after as many pages that are alike.
    let before = |at: usize, of: fn(&(usize, usize)) -> usize, pairs: &[(usize, usize)]| {
        pairs.iter().filter(|pair| of(pair) < at).count()
    };
    let row: Vec<(usize, usize)> = order.pairs.clone();
    let mut gaps: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for m in left.into_iter().rev() {
        gaps.entry(before(m, |pair| pair.1, &row)).or_default().push(m);
    }
    for f in unknown {
        match gaps.get_mut(&before(f, |pair| pair.0, &row)).and_then(Vec::pop) {
            Some(m) => order.pairs.push((f, m)),
            None => order.moved.push(Moved::Added(f)),
        }
    }
    order.moved.extend(gaps.into_values().flatten().map(Moved::Missing));
    order.pairs.sort_unstable();
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    fn marks(pages: &str) -> Vec<[u8; 32]> {
        pages.bytes().map(|page| [page; 32]).collect()
    }

    fn of(found: &str, made: &str) -> Order {
        order(&marks(found), &marks(made))
    }

    #[test]
    fn pages_are_known_again_wherever_they_stand() {
        assert_eq!(of("abc", "abc").moved, []);
        assert_eq!(of("abxd", "abcd").moved, []);
        assert_eq!(of("abxd", "abcd").pairs, [(0, 0), (1, 1), (2, 2), (3, 3)]);
        assert_eq!(of("abd", "abcd").moved, [Moved::Missing(2)]);
        assert_eq!(of("abccd", "abcd").moved, [Moved::Again(3, 2)]);
        assert_eq!(of("abc?d", "abcd").moved, [Moved::Added(3)]);
        assert_eq!(of("acbd", "abcd").moved.len(), 1);
        assert!(matches!(of("acbd", "abcd").moved[0], Moved::Elsewhere(..)));
        assert_eq!(of("dcba", "abcd").moved.len(), 3);
        assert_eq!(of("", "ab").moved.len(), 2);
        assert_eq!(of("xyz", "ab").moved, [Moved::Added(2)]);
    }

    #[test]
    fn the_longest_row_that_is_alike_stays_and_the_rest_is_told() {
        let pairs = |found: &str, made: &str| row(&marks(found), &marks(made));
        assert_eq!(pairs("xabcy", "abcx"), [(1, 0), (2, 1), (3, 2)]);
        assert_eq!(pairs("abcx", "xabcy"), [(0, 1), (1, 2), (2, 3)]);
        assert_eq!(pairs("acbd", "abcd"), [(0, 0), (2, 1), (3, 3)]);
        assert_eq!(pairs("cdab", "abxcdy").len(), 2);
        assert_eq!((pairs("", "ab"), pairs("ab", ""), pairs("ab", "cd")), (vec![], vec![], vec![]));
        // One that was moved is that page, one that stands once more is another.
        assert_eq!(of("cab", "abc").moved, [Moved::Elsewhere(0, 2)]);
        assert_eq!(of("bca", "abc").moved, [Moved::Elsewhere(2, 0)]);
        assert_eq!(of("bca", "abc").pairs, [(0, 1), (1, 2), (2, 0)]);
        assert_eq!(of("aaba", "aba").moved, [Moved::Again(1, 0)]);
        // Changed pages are held against those between the same neighbours.
        assert_eq!(of("a1b2c", "axbyc").pairs, [(0, 0), (1, 1), (2, 2), (3, 3), (4, 4)]);
        let order = of("a12bc", "abxyc");
        assert_eq!((order.pairs, order.moved.len()), (vec![(0, 0), (3, 1), (4, 4)], 4));
        let order = of("a1b", "axyb");
        assert_eq!((order.pairs, order.moved), (vec![(0, 0), (1, 1), (2, 3)], vec![Moved::Missing(2)]));
        let order = of("a12b", "axb");
        assert_eq!((order.pairs, order.moved), (vec![(0, 0), (1, 1), (3, 2)], vec![Moved::Added(2)]));
    }

    #[test]
    fn of_very_many_pages_those_in_the_same_place_are_the_same() {
        let many = |shift: usize| -> Vec<[u8; 32]> {
            (0..MAX_SOUGHT + 1).map(|at| [((at + shift) % 251) as u8; 32]).collect()
        };
        assert_eq!(row(&many(0), &many(0)).len(), MAX_SOUGHT + 1);
        assert_eq!(row(&many(0), &many(1)).len(), 0);
        assert_eq!(row(&many(0)[..20], &many(1)[..20]).len(), 19);
    }

    /// Own computation, slow and plain: how long the longest row that is in the same order in both is.
    fn longest(found: &[u8], made: &[u8]) -> usize {
        match (found, made) {
            ([], _) | (_, []) => 0,
            ([f, found @ ..], [m, made @ ..]) if f == m => 1 + longest(found, made),
            ([_, fewer @ ..], [_, less @ ..]) => longest(fewer, made).max(longest(found, less)),
        }
    }

    #[test]
    fn no_row_is_longer_than_the_one_that_is_taken() {
        let mut random = fastrand::Rng::with_seed(5);
        let mut pages =
            || -> String { (0..random.usize(..9)).map(|_| char::from(b"abcd"[random.usize(..4)])).collect() };
        for _ in 0..400 {
            let (found, made) = (pages(), pages());
            let pairs = row(&marks(&found), &marks(&made));
            assert_eq!(pairs.len(), longest(found.as_bytes(), made.as_bytes()), "{found} {made}");
            assert!(pairs.windows(2).all(|pair| pair[0].0 < pair[1].0 && pair[0].1 < pair[1].1), "{found} {made}");
            assert!(pairs.iter().all(|(f, m)| found.as_bytes()[*f] == made.as_bytes()[*m]), "{found} {made}");
        }
    }
}
