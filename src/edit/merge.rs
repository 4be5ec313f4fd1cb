//! Knots that were painted on an older state, put into the newer one knot by knot. Whoever painted says what she saw; where
//! something else stands there now, it stays, and she is told.

use super::Grid;

/// One knot as she changed it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Knot {
    /// Its place in reading order.
    pub(crate) at: usize,
    /// What she saw.
    pub(crate) from: char,
    /// What it is to be.
    pub(crate) to: char,
}

/// What came of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Merged {
    /// The grid with every knot that could be put in.
    pub(crate) grid: Grid,
    /// Places, in reading order, where something else stood than she saw and than she wanted: they are as they were.
    pub(crate) kept: Vec<usize>,
}

/// Puts knots in. `None` where a place lies outside of the grid: the knots belong to another size.
pub(crate) fn knots(grid: &Grid, knots: &[Knot]) -> Option<Merged> {
    let mut merged = Merged { grid: grid.clone(), kept: Vec::new() };
    for knot in knots {
        let now = *grid.cells().get(knot.at)?;
        if now == knot.from {
            merged.grid.set(knot.at, knot.to);
        } else if now != knot.to {
            merged.kept.push(knot.at);
        }
    }
    merged.kept.sort_unstable();
    merged.kept.dedup();
    Some(merged)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three-way: a common state, two painters. Every knot is one painter's, the common one's, or both wanted the same;
    /// where both wanted something else, the first one's stays and the second is told.
    #[test]
    fn no_knot_of_the_first_painter_is_painted_over() {
        let mut random = fastrand::Rng::with_seed(22);
        for _ in 0..500 {
            let size = random.usize(1..40);
            let letters = |random: &mut fastrand::Rng| (0..size).map(|_| random.char('A'..='C')).collect::<Vec<char>>();
            let common = letters(&mut random);
            let mut first = Grid::new(size, common.clone()).expect("a grid");
            for (at, letter) in letters(&mut random).into_iter().enumerate() {
                if random.bool() {
                    first.set(at, letter);
                }
            }
            let second: Vec<Knot> = letters(&mut random)
                .into_iter()
                .enumerate()
                .filter(|_| random.bool())
                .map(|(at, to)| Knot { at, from: common[at], to })
                .collect();
            let merged = knots(&first, &second).expect("the same size");
            for (at, was) in common.iter().copied().enumerate() {
                let (theirs, now) = (first.cells()[at], merged.grid.cells()[at]);
                match second.iter().find(|knot| knot.at == at) {
                    None => assert_eq!(now, theirs),
                    Some(mine) if theirs == was => assert_eq!(now, mine.to),
                    Some(mine) => {
                        assert_eq!(now, theirs);
                        assert_eq!(merged.kept.contains(&at), mine.to != theirs);
                    }
                }
            }
            // Handed over a second time, as after a torn line, it changes nothing more.
            assert_eq!(knots(&merged.grid, &second).expect("the same size").grid, merged.grid);
        }
    }

    #[test]
    fn knots_of_another_size_are_refused() {
        let grid = Grid::new(2, vec!['A'; 4]).expect("a grid");
        assert_eq!(knots(&grid, &[Knot { at: 4, from: 'A', to: 'B' }]), None);
    }
}
