//! Squares without lines and without grounds: letters or symbols on bare paper, each in the middle of its square.

use super::bounds::{best_box, sized};
use super::regular;
use super::spread::{Guess, Lattice, Part, SMALLEST};
use crate::chart_read::reading::Size;
use crate::picture::SrgbPicture;

/// Pixels that are as unlike the paper, of 255, are drawn.
const DRAWN: i32 = 60;
/// So much of the picture is paper, at least.
const PAPER: f64 = 0.6;
/// A square has a mark where so much of it is drawn.
const MARKED: f64 = 0.015;
/// And where more of it is drawn, in most of the squares that have some, these have grounds.
const GROUND: f64 = 0.6;
/// Squares across and down, at least.
const LEAST: usize = 8;

/// Between marks there is no more ink than so much of what is in their middles.
const BETWEEN: f64 = 0.1;

/// Where something is drawn on bare paper.
pub(super) struct Marks {
    width: usize,
    height: usize,
    drawn: Vec<bool>,
    /// Drawn pixels of each column and of each row.
    across: Vec<f64>,
    down: Vec<f64>,
}

impl Marks {
    /// `None`: there is too much for marks alone.
    pub(super) fn of(picture: &SrgbPicture, paper: [u8; 3]) -> Option<Marks> {
        let SrgbPicture { width, height, .. } = *picture;
        let is_drawn = |at: usize| {
            let rgb = picture.at(at % width, at / width);
            (0..3).any(|c| (i32::from(rgb[c]) - i32::from(paper[c])).abs() > DRAWN)
        };
        let drawn: Vec<bool> = (0..width * height).map(is_drawn).collect();
        let (mut across, mut down) = (vec![0.0; width], vec![0.0; height]);
        for at in (0..drawn.len()).filter(|at| drawn[*at]) {
            across[at % width] += 1.0;
            down[at / width] += 1.0;
        }
        let all: f64 = across.iter().sum();
        (all <= (1.0 - PAPER) * drawn.len() as f64).then_some(Marks { width, height, drawn, across, down })
    }

    /// The squares that are about as large as these, or as half of them where no marks are between halves. `None`: marks do
    /// not lie so.
    pub(super) fn lattice(&self, guess: Guess, size: Size) -> Option<Lattice> {
        let xs = half_or_whole(&self.across, guess.wide)?;
        let ys = half_or_whole(&self.down, guess.high)?;
        let (columns, rows) = (xs.len() - 1, ys.len() - 1);
        let shares: Vec<f64> =
            (0..columns * rows).map(|at| self.share(&xs, &ys, (at / columns, at % columns))).collect();
        let at_least = |least: f64| shares.iter().filter(|share| **share >= least).count();
        if 2 * at_least(GROUND) > at_least(MARKED) {
            return None;
        }
        let whole = Part { left: 0, right: columns, top: 0, bottom: rows };
        let score = |row: usize, column: usize| if shares[row * columns + column] >= MARKED { 1.0 } else { -1.0 };
        let part = best_box((columns, rows), whole, score)?;
        let marked: Vec<bool> = shares.iter().map(|share| *share >= MARKED).collect();
        let (part, told) = sized((columns, rows), part, size, &marked);
        (part.right - part.left >= LEAST && part.bottom - part.top >= LEAST).then(|| Lattice {
            xs: xs[part.left..=part.right].to_vec(),
            ys: ys[part.top..=part.bottom].to_vec(),
            strength: 0.0,
            lined: false,
            size_is_sure: told,
            alike: guess.alike,
        })
    }

    /// How much of a square is drawn.
    fn share(&self, xs: &[f64], ys: &[f64], (row, column): (usize, usize)) -> f64 {
        let pixel = |at: f64, long: usize| (at.round().max(0.0) as usize).min(long);
        let (left, right) = (pixel(xs[column], self.width), pixel(xs[column + 1], self.width));
        let (top, bottom) = (pixel(ys[row], self.height), pixel(ys[row + 1], self.height));
        let count = |y: usize| (left..right).filter(|x| self.drawn[y * self.width + x]).count();
        (top..bottom).map(count).sum::<usize>() as f64 / ((right - left) * (bottom - top)).max(1) as f64
    }
}

fn half_or_whole(ink: &[f64], side: f64) -> Option<Vec<f64>> {
    let at = |place: f64| ink.get(place.max(0.0) as usize).copied().unwrap_or(0.0);
    let are_between = |lines: &Vec<f64>| {
        let between: f64 = lines[1..lines.len() - 1].iter().map(|line| at(*line)).sum();
        let middles: f64 = lines.windows(2).map(|pair| at(0.5 * (pair[0] + pair[1]))).sum();
        between <= BETWEEN * middles
    };
    let half = (0.5 * side >= SMALLEST).then(|| regular::between(ink, 0.5 * side)).flatten().filter(are_between);
    half.or_else(|| regular::between(ink, side))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart_read::window::Window;

    /// Two kinds of marks on white paper, in squares of 12 pixels, every tenth of which are two further on; figures at the left.
    fn picture(columns: usize, rows: usize, ground: [u8; 3]) -> SrgbPicture {
        let place = |nth: usize| 30 + 12 * nth + 2 * (nth / 10);
        let (width, height) = (place(columns) + 30, place(rows) + 30);
        let mut picture = SrgbPicture { width, height, rgb: vec![255; 3 * width * height] };
        let mut fill = |xs: core::ops::Range<usize>, ys: core::ops::Range<usize>, rgb: [u8; 3]| {
            for y in ys {
                for x in xs.clone() {
                    picture.rgb[3 * (y * width + x)..][..3].copy_from_slice(&rgb);
                }
            }
        };
        for row in 0..rows {
            for column in 0..columns {
                let (x, y) = (place(column), place(row));
                fill(x..x + 12, y..y + 12, ground);
                let half = if (column * column + row) % 5 < 2 { 1 } else { 3 };
                fill(x + 6 - half..x + 6 + half, y + 6 - half..y + 6 + half, [20; 3]);
            }
        }
        picture
    }

    fn found(picture: &SrgbPicture, (wide, high): (f64, f64), size: Size) -> Option<(usize, usize, bool)> {
        let window = Window::whole(picture.width, picture.height);
        let guess = Guess { window, wide, high, first: (0.0, 0.0), seen: 0.5, alike: 0.5, by_edges: true };
        let lattice = Marks::of(picture, [255; 3])?.lattice(guess, size)?;
        Some((lattice.columns(), lattice.rows(), lattice.size_is_sure))
    }

    #[test]
    fn marks_on_paper_are_in_the_middle_of_squares_and_of_halves_where_nothing_is_between_these() {
        let marks = picture(24, 30, [255; 3]);
        for squares in [(12.1, 12.1), (24.3, 12.1), (12.1, 24.3), (24.2, 24.2)] {
            assert_eq!(found(&marks, squares, Size::default()), Some((24, 30, false)), "{squares:?}");
        }
        let told = Size { columns: Some(22), rows: Some(30) };
        assert_eq!(found(&marks, (12.1, 12.1), told), Some((22, 30, true)));
        // With grounds, or without paper around them, they are not marks alone.
        assert_eq!(found(&picture(24, 30, [90, 160, 60]), (12.1, 12.1), Size::default()), None);
        assert_eq!(found(&picture(4, 30, [255; 3]), (12.1, 12.1), Size::default()), None);
    }
}
