//! What drawn lines take of squares in a picture as a screen shows it: heavier lines take much of a small square, and two
//! that cross nearly all of it.

use crate::picture::SrgbPicture;

/// The share of each column's width, and of each row's height, that lines take at its two sides.
pub(super) struct Margins {
    columns: Vec<[f64; 2]>,
    rows: Vec<[f64; 2]>,
}

/// So many of a hundred points along a line have its colour, whatever the squares beside it have.
const ALONG: usize = 92;
/// Channels this near to a line's are the line.
const ALIKE: i32 = 30;
/// Where so many of a hundred points differ from those further in, the line smears.
const MIXED: usize = 60;
/// Most that lines take at one side.
const MOST: f64 = 0.55;
/// What they leave of a square at least.
const LEFT: f64 = 0.15;
/// Places along the side of each square at which a line is looked at.
const PLACES: [f64; 4] = [0.2, 0.4, 0.6, 0.8];

/// Places across a square at which its ground is likely to be seen.
const INNER: [f64; 5] = [0.25, 0.35, 0.5, 0.65, 0.75];

impl Margins {
    /// `corners`: of squares, as of [`super::Flat`], in a picture whose lines are straight.
    pub(super) fn of(picture: &SrgbPicture, corners: &[(f64, f64)], columns: usize) -> Margins {
        let xs: Vec<f64> = corners[..=columns].iter().map(|corner| corner.0).collect();
        let ys: Vec<f64> = corners.iter().step_by(columns + 1).map(|corner| corner.1).collect();
        let at = |x: f64, y: f64| {
            let inside = |v: f64, count: usize| (v.max(0.0) as usize).min(count - 1);
            picture.at(inside(x, picture.width), inside(y, picture.height))
        };
        Margins { columns: taken(&xs, &ys, at), rows: taken(&ys, &xs, |y, x| at(x, y)) }
    }

    /// What lines take of a square at the left, the right, the top and the bottom.
    pub(super) fn at(&self, cell: usize) -> [f64; 4] {
        let ([left, right], [top, bottom]) =
            (self.columns[cell % self.columns.len()], self.rows[cell / self.columns.len()]);
        [left, right, top, bottom]
    }
}

/// For lines across `xs`: what they take of each space between two of them.
fn taken(xs: &[f64], ys: &[f64], at: impl Fn(f64, f64) -> [u8; 3]) -> Vec<[f64; 2]> {
    let step = (ys.len() / 60).max(1);
    let along: Vec<f64> = ys
        .windows(2)
        .step_by(step)
        .flat_map(|side| PLACES.map(|place| side[0] + place * (side[1] - side[0])))
        .collect();
    let crosses = |x: f64, y: f64, usual: [u8; 3]| [-1.0, 0.0].iter().all(|by| is_alike(at(x, y + by), usual));
    let column = |x: f64| -> Vec<[u8; 3]> { along.iter().map(|&y| at(x, y)).collect() };
    xs.windows(2)
        .map(|sides| {
            let wide = sides[1] - sides[0];
            let inner = INNER.map(|share| column(sides[0] + share * wide));
            let is_line = |x: f64| {
                let points = column(x);
                let usual = middle(&points);
                let alike = |points: &[[u8; 3]]| points.iter().filter(|point| is_alike(**point, usual)).count();
                // A line crosses those of the other direction; what is beside a symbol is of the ground.
                let crossing = ys.iter().step_by(step).filter(|y| crosses(x, **y, usual)).count() * step;
                let ground = inner.iter().filter(|inner| 2 * alike(inner) > points.len()).count();
                alike(&points) * 100 >= ALONG * points.len() && 2 * crossing >= ys.len() && 2 * ground <= INNER.len()
            };
            let most = (MOST * wide) as usize + 1;
            // Pixel by pixel from the one at the border inwards; a line may begin beside it.
            let taken = |border: f64, first: f64, by: f64| {
                let place = |i: usize| first + by * i as f64 + 0.5;
                let lines: Vec<bool> = (0..=most).map(|i| is_line(place(i))).collect();
                let from = usize::from(!lines[0]);
                let count = lines[from..].iter().take_while(|line| **line).count();
                if count == 0 {
                    return 0.0;
                }
                let (edge, next) = (column(place(from + count)), column(place(from + count + 1)));
                let mixed = edge.iter().zip(&next).filter(|(edge, next)| !is_alike(**edge, **next)).count();
                let smeared = usize::from(mixed * 100 >= MIXED * edge.len());
                let end = place(from + count + smeared) - 0.5 * by;
                (by * (end - border) / wide).clamp(0.0, MOST)
            };
            let low = taken(sides[0], libm::floor(sides[0] + 0.01), 1.0);
            let high = taken(sides[1], libm::ceil(sides[1] - 0.01) - 1.0, -1.0);
            let share = ((1.0 - LEFT) / (low + high).max(0.01)).min(1.0);
            [share * low, share * high]
        })
        .collect()
}

/// The middle value of each channel.
pub(super) fn middle(of: &[[u8; 3]]) -> [u8; 3] {
    core::array::from_fn(|i| {
        let mut values: Vec<u8> = of.iter().map(|point| point[i]).collect();
        let half = values.len() / 2;
        *values.select_nth_unstable(half).1
    })
}

fn is_alike(a: [u8; 3], b: [u8; 3]) -> bool {
    (0..3).all(|i| (i32::from(a[i]) - i32::from(b[i])).abs() <= ALIKE)
}

#[cfg(test)]
mod tests;
