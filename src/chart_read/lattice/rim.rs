//! Where a chart on coloured grounds ends in a photograph of a screen: pixels that beat draw stripes and lines on bare paper
//! as well, but in the mean it stays as pale as nothing inside.

use super::explained::in_light;
use super::spread::Lattice;
use crate::picture::SrgbPicture;

/// What is left out at each side of a square.
const INSET: f64 = 0.14;
/// Paper is paler by so much than what lies before it, in so many places of its line.
const PALER: i32 = 18;
const USUALLY: f64 = 0.8;
/// Squares of one paper beside each other are as pale to this, and most are.
const AS_PALE: i32 = 24;
const MOSTLY: f64 = 0.7;
/// Inside hardly any square is as pale as paper, to this.
const NEARLY: i32 = 12;
const HARDLY: f64 = 0.1;
/// A lattice of fewer squares across or down is left as it is.
const LEAST: usize = 8;

/// Takes outermost lines of squares away that are paper by how pale they are. Whether there were any.
pub(super) fn cut(picture: &SrgbPicture, lattice: &mut Lattice) -> bool {
    let mut found = false;
    // Without some columns rows look otherwise.
    for turned in [false, true, false, true] {
        for last in [false, true] {
            let beyond = beyond(&paleness(picture, lattice, turned), last);
            let lines = if turned { &mut lattice.ys } else { &mut lattice.xs };
            if last {
                lines.truncate(lines.len() - beyond);
            } else {
                lines.drain(..beyond);
            }
            found |= beyond > 0;
        }
    }
    found
}

/// How pale squares are, column by column (`turned`: row by row): light and without colour.
fn paleness(picture: &SrgbPicture, lattice: &Lattice, turned: bool) -> Vec<Vec<i32>> {
    let (lines, along) = if turned { (&lattice.ys, &lattice.xs) } else { (&lattice.xs, &lattice.ys) };
    let inside = |pair: &[f64]| {
        let inset = INSET * (pair[1] - pair[0]);
        (pair[0] + inset).max(0.0) as usize..(pair[1] - inset).max(0.0) as usize
    };
    let one = |across: &[f64], along: &[f64]| {
        let (mut sum, mut count) = ([0_i32; 3], 0);
        for a in inside(across) {
            for b in inside(along) {
                let (x, y) = if turned { (b, a) } else { (a, b) };
                if x < picture.width && y < picture.height {
                    let rgb = picture.at(x, y);
                    (0..3).for_each(|c| sum[c] += i32::from(rgb[c]));
                    count += 1;
                }
            }
        }
        let [light, blue, red] = in_light(sum.map(|v| v / count.max(1))).map(i32::from);
        light - 2 * (blue.abs() + red.abs())
    };
    lines.windows(2).map(|across| along.windows(2).map(|along| one(across, along)).collect()).collect()
}

/// How many of the first (`last`: of the last) lines of squares are paper.
fn beyond(pale: &[Vec<i32>], last: bool) -> usize {
    let (count, long) = (pale.len(), pale.first().map_or(0, Vec::len));
    if count < LEAST || long < LEAST {
        return 0;
    }
    let line = |nth: usize| &pale[if last { count - 1 - nth } else { nth }];
    let core = |all: usize| all / 4..all - all / 4;
    let is_paper = |nth: usize| {
        let (own, next) = (line(nth), line(nth + 1));
        let share = |seen: usize, of: usize| seen as f64 / of as f64;
        let paler = own.iter().zip(next).filter(|(own, next)| *own - *next > PALER).count();
        let even = own.windows(2).filter(|pair| (pair[0] - pair[1]).abs() <= AS_PALE).count();
        let inside = || core(count).flat_map(|at| core(long).map(move |i| (pale[at][i], own[i])));
        let as_pale = inside().filter(|(inner, own)| *inner >= own - NEARLY).count();
        share(paler, long) >= USUALLY && share(even, long - 1) >= MOSTLY && share(as_pale, inside().count()) <= HARDLY
    };
    (0..count / 4).rev().find(|nth| is_paper(*nth)).map_or(0, |nth| nth + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Squares of 10 pixels of two yarns, with paper of two squares around; stripes over all of it.
    fn picture(yarns: [[u8; 3]; 2]) -> SrgbPicture {
        let (width, height) = (200, 180);
        let pixel = |at: usize| {
            let (x, y) = (at % width, at / width);
            let inside = (20..width - 20).contains(&x) && (20..height - 20).contains(&y);
            let rgb = if inside { yarns[usize::from((x / 10 * 7 + y / 10 * 3) % 5 < 2)] } else { [235, 232, 225] };
            if (x + y) % 4 < 2 { rgb } else { rgb.map(|v| v - v / 4) }
        };
        SrgbPicture { width, height, rgb: (0..width * height).flat_map(pixel).collect() }
    }

    fn whole() -> Lattice {
        super::super::tests::lattice((0.0, 200.0), (0.0, 180.0), 10.0)
    }

    #[test]
    fn paper_around_coloured_grounds_is_taken_away_under_stripes() {
        let mut lattice = whole();
        assert!(cut(&picture([[60, 140, 60], [150, 60, 90]]), &mut lattice));
        assert_eq!((lattice.xs[0], lattice.columns()), (20.0, 16));
        assert_eq!((lattice.ys[0], lattice.rows()), (20.0, 14));
    }

    #[test]
    fn where_yarns_are_as_pale_as_paper_nothing_is_taken_away() {
        let mut lattice = whole();
        assert!(!cut(&picture([[60, 140, 60], [235, 232, 225]]), &mut lattice));
        assert_eq!((lattice.columns(), lattice.rows()), (20, 18));
    }
}
