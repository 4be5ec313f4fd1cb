//! How one cell looks: its ground, and the shape of what stands on it.

use super::canvas::{Canvas, OTHER, PAPER};
use super::lattice::SAMPLES;
use std::collections::BTreeMap;

/// Samples left out at each side of a cell, so that the grid's own lines are not read as part of a symbol.
const RIM: usize = 4;
/// Where the ring runs that shows the ground: a twelfth of the cell from its edge, inside the widest line and outside the
/// largest symbol.
const RING: usize = 2;
/// Samples across what is read of a cell.
pub(super) const WINDOW: usize = SAMPLES - 2 * RIM;
/// Two symbols are the same when no more than this share of the window differs. The shipped symbols differ by 15 % of their
/// box or more after blurring, and on pale tints that box is smaller; rounding in the file moves an outline by less than 1 %.
const SAME: f64 = 0.06;
/// Colours are the same when no channel differs by more than this, of 255: rounding only.
const SAME_COLOUR: u32 = 3;

/// What is read of one cell.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct CellLook {
    /// Colour of the ground, 0xRRGGBB.
    pub(crate) ground: u32,
    /// Colour of the symbol; `None` when nothing stands on the ground.
    pub(crate) ink: Option<u32>,
    mask: [u32; WINDOW],
}

impl CellLook {
    /// Reads the cell in this row and column of a canvas that has [`SAMPLES`] a side for each cell.
    pub(crate) fn read(canvas: &Canvas, row: usize, column: usize) -> CellLook {
        let line = |y: usize| canvas.line(row * SAMPLES + y, column * SAMPLES, SAMPLES);
        // The ground is what most of the ring just inside the grid's lines shows: no symbol reaches that far all round.
        let mut ring = Tally::default();
        let (near, far) = (RING, SAMPLES - 1 - RING);
        for y in near..=far {
            let Some(inner) = line(y).get(near..=far) else { continue };
            if y == near || y == far {
                ring.add_all(inner);
            }
            ring.add(inner[0], 1);
            ring.add(inner[inner.len() - 1], 1);
        }
        let ground = ring.most_common().unwrap_or(PAPER);
        let mut mask = [0_u32; WINDOW];
        let mut inks = Tally::default();
        for (y, bits) in mask.iter_mut().enumerate() {
            let mut x = 0;
            for run in line(y + RIM).get(RIM..RIM + WINDOW).unwrap_or(&[]).chunk_by(|a, b| a == b) {
                if !same_colour(run[0], ground) {
                    *bits |= ((1 << run.len()) - 1) << x;
                    inks.add(run[0], run.len());
                }
                x += run.len();
            }
        }
        CellLook { ground, ink: inks.most_common(), mask }
    }

    /// Whether nothing stands on the ground; a speck is forgiven.
    pub(crate) fn is_plain(&self) -> bool {
        let covered: u32 = self.mask.iter().map(|bits| bits.count_ones()).sum();
        f64::from(covered) < 0.02 * (WINDOW * WINDOW) as f64
    }

    /// Share of the window in which two symbols differ, after moving one by two samples at most.
    pub(crate) fn difference(&self, other: &CellLook) -> f64 {
        let mut best = u32::MAX;
        for down in -2..=2_i32 {
            for right in -2..=2_i32 {
                let mut differing = 0;
                for y in 0..WINDOW as i32 {
                    let row = usize::try_from(y + down).ok().and_then(|y| other.mask.get(y)).copied().unwrap_or(0);
                    let row = if right >= 0 { row >> right } else { row << -right & ((1 << WINDOW) - 1) };
                    differing += (self.mask[y as usize] ^ row).count_ones();
                }
                best = best.min(differing);
            }
        }
        f64::from(best) / (WINDOW * WINDOW) as f64
    }

    /// Whether both symbols have the same shape, whatever their ink.
    pub(crate) fn same_shape(&self, other: &CellLook) -> bool {
        self.difference(other) <= SAME
    }

    /// Whether both show the same symbol in the same ink.
    pub(crate) fn same_symbol(&self, other: &CellLook) -> bool {
        let ink = match (self.ink, other.ink) {
            (Some(a), Some(b)) => same_colour(a, b),
            (None, None) => true,
            (Some(_), None) | (None, Some(_)) => false,
        };
        ink && self.difference(other) <= SAME
    }

    /// Whether both stand on the same ground.
    pub(crate) fn same_ground(&self, other: &CellLook) -> bool {
        same_colour(self.ground, other.ground)
    }
}

/// How often each colour was met. Nearly all cells have few, which need no tree.
#[derive(Default)]
struct Tally {
    few: [(u32, usize); 4],
    count: usize,
    more: BTreeMap<u32, usize>,
}

impl Tally {
    fn add(&mut self, colour: u32, times: usize) {
        if let Some((_, met)) = self.few[..self.count].iter_mut().find(|(known, _)| *known == colour) {
            *met += times;
        } else if let Some(free) = self.few.get_mut(self.count) {
            *free = (colour, times);
            self.count += 1;
        } else {
            *self.more.entry(colour).or_default() += times;
        }
    }

    fn add_all(&mut self, colours: &[u32]) {
        colours.chunk_by(|a, b| a == b).for_each(|run| self.add(run[0], run.len()));
    }

    /// Of two that were met as often the one with the higher number.
    fn most_common(&self) -> Option<u32> {
        let few = self.few[..self.count].iter().copied();
        let all = few.chain(self.more.iter().map(|(colour, met)| (*colour, *met)));
        all.max_by_key(|(colour, met)| (*met, *colour)).map(|(colour, _)| colour)
    }
}

/// Equal to within rounding.
pub(super) fn same_colour(a: u32, b: u32) -> bool {
    if a == b {
        return true;
    }
    if a == OTHER || b == OTHER {
        return false;
    }
    [16, 8, 0].iter().all(|shift| (a >> shift & 255).abs_diff(b >> shift & 255) <= SAME_COLOUR)
}

/// A colour in words for messages: `#rrggbb`.
pub(super) fn colour_words(colour: u32) -> String {
    if colour == OTHER { "a picture or pattern".to_owned() } else { format!("#{colour:06x}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_speck_is_forgiven_and_no_more() {
        let covered = |samples: usize| {
            let mut look = CellLook { ground: PAPER, ink: None, mask: [0; WINDOW] };
            (0..samples).for_each(|at| look.mask[at % WINDOW] |= 1 << (at / WINDOW));
            look.is_plain()
        };
        // Own computation: a fiftieth of 24 x 24 samples is 11.52.
        assert!(covered(0) && covered(11) && !covered(12) && !covered(WINDOW * 3));
    }

    #[test]
    fn symbols_that_are_moved_by_two_samples_are_the_same() {
        let bar = |from: usize, down: usize| {
            let mut look = CellLook { ground: PAPER, ink: Some(0), mask: [0; WINDOW] };
            (down..down + 10).for_each(|row| look.mask[row] = 0b1111 << from);
            look
        };
        let all = (WINDOW * WINDOW) as f64;
        assert_eq!(bar(8, 5).difference(&bar(8, 5)), 0.0);
        for moved in [bar(10, 5), bar(6, 5), bar(8, 7), bar(8, 3), bar(10, 3)] {
            assert_eq!(bar(8, 5).difference(&moved), 0.0);
        }
        // Own computation: moved by one more, a column of ten on either side, or a row of four.
        assert_eq!(bar(8, 5).difference(&bar(11, 5)), 20.0 / all);
        assert_eq!(bar(8, 5).difference(&bar(8, 8)), 8.0 / all);
    }

    /// A cell of paper with these boxes in it: rows, columns, colour.
    fn cell(boxes: &[(std::ops::Range<usize>, std::ops::Range<usize>, u32)]) -> CellLook {
        let places = || (0..2 * SAMPLES).map(|at| at as f64).collect();
        let mut canvas = Canvas::new(places(), places());
        for (rows, columns, colour) in boxes {
            let moved = |range: &std::ops::Range<usize>| range.start + SAMPLES..range.end + SAMPLES;
            canvas.fill_box(moved(rows), moved(columns), *colour, 1.0);
        }
        CellLook::read(&canvas, 1, 1)
    }

    #[test]
    fn a_symbol_that_fills_all_within_the_edge_is_no_ground() {
        let within = RING + 1..SAMPLES - 1 - RING;
        let look = cell(&[(within.clone(), within, 0x0033_6699)]);
        assert_eq!((look.ground, look.ink), (PAPER, Some(0x0033_6699)));
    }

    #[test]
    fn a_look_is_the_ground_by_its_edge_the_commonest_ink_and_what_it_covers() {
        let all = 0..SAMPLES;
        assert_eq!(cell(&[]), CellLook { ground: PAPER, ink: None, mask: [0; WINDOW] });
        let look = cell(&[(all.clone(), all.clone(), 0xe0d0c0), (10..20, 12..14, 0), (20..23, 12..14, 0x303030)]);
        assert_eq!((look.ground, look.ink), (0xe0d0c0, Some(0)));
        for (row, bits) in look.mask.iter().enumerate() {
            assert_eq!(*bits, if (10..23).contains(&(row + RIM)) { 0b11 << (12 - RIM) } else { 0 }, "{row}");
        }
        // Lines at the cell's edge are no ground and no ink.
        let lines = [(0..RING, all.clone(), 0), (all.clone(), 0..RING, 0), (all.clone(), SAMPLES - RING..SAMPLES, 0)];
        assert_eq!(cell(&lines), cell(&[]));
        // Own computation: the ring has 28 samples a side; what covers two sides and a little is less than half of it.
        assert_eq!(cell(&[(0..14, all.clone(), 0x808080)]).ground, PAPER);
        assert_eq!(cell(&[(0..18, all.clone(), 0x808080)]).ground, 0x808080);
        assert_eq!(cell(&[(all.clone(), 0..14, 0x808080)]).ground, PAPER);
        assert_eq!(cell(&[(all, 0..18, 0x808080)]).ground, 0x808080);
    }

    #[test]
    fn colours_are_the_same_within_three_steps_of_every_channel() {
        for step in [0x010000, 0x000100, 0x000001] {
            assert!(same_colour(0x808080, 0x808080 + 3 * step) && same_colour(0x808080 + 3 * step, 0x808080));
            assert!(!same_colour(0x808080, 0x808080 + 4 * step) && !same_colour(0x808080 + 4 * step, 0x808080));
        }
        assert!(same_colour(OTHER, OTHER) && !same_colour(OTHER, 0) && !same_colour(0, OTHER));
        assert_eq!(
            (colour_words(0x0a0b0c), colour_words(OTHER)),
            ("#0a0b0c".to_owned(), "a picture or pattern".to_owned())
        );
        let with = |ink| CellLook { ground: PAPER, ink, mask: [0; WINDOW] };
        assert!(with(Some(0)).same_symbol(&with(Some(0x030303))) && with(None).same_symbol(&with(None)));
        assert!(!with(Some(0)).same_symbol(&with(Some(4))) && !with(Some(0)).same_symbol(&with(None)));
        assert!(!with(None).same_symbol(&with(Some(0))));
        let ground = |ground| CellLook { ground, ..with(None) };
        assert!(ground(PAPER).same_ground(&ground(0xfcfcfc)) && !ground(PAPER).same_ground(&ground(0xfbffff)));
    }

    #[test]
    fn symbols_are_the_same_up_to_six_hundredths_of_the_window() {
        // Own computation: of 24 x 24 samples 34.56. They stand where no move of two samples takes them out of the window.
        let look = |samples: usize| {
            let mut look = CellLook { ground: PAPER, ink: Some(0), mask: [0; WINDOW] };
            (0..samples).for_each(|at| look.mask[2 + at % 20] |= 1 << (10 + at / 20));
            look
        };
        assert!(look(0).same_shape(&look(34)) && !look(0).same_shape(&look(35)));
        assert!(look(0).same_symbol(&look(34)) && !look(0).same_symbol(&look(35)));
    }

    #[test]
    fn of_many_colours_the_one_that_was_met_most_often_is_found() {
        let most = |met: &[(u32, usize)]| {
            let mut tally = Tally::default();
            met.iter().for_each(|(colour, times)| tally.add(*colour, *times));
            tally.most_common()
        };
        assert_eq!((most(&[]), most(&[(7, 1)])), (None, Some(7)));
        assert_eq!(most(&[(1, 2), (2, 3), (1, 2)]), Some(1));
        let six = [(1, 2), (2, 2), (3, 2), (4, 2), (5, 2), (6, 1)];
        assert_eq!(most(&six), Some(5));
        assert_eq!(most(&[&six[..], &[(6, 2)]].concat()), Some(6));
        assert_eq!(most(&[&six[..], &[(2, 2)]].concat()), Some(2));
        let mut tally = Tally::default();
        tally.add_all(&[1, 2, 2, 1, 1, 2, 3]);
        assert_eq!((&tally.few[..3], tally.count), (&[(1, 3), (2, 3), (3, 1)][..], 3));
    }
}
