//! Where grounds of neighbouring squares change: the plainest sides there are, whatever is drawn in the squares.

use super::sheet::{Place, Sheet, some_squares};
use crate::chart_read::margins::middle;
use crate::picture::SrgbPicture;

/// Channels of two grounds that differ by less say nothing of where one begins.
const LEAST: i32 = 22;
/// Steps from the middle of a square to that of the next.
const STEPS: usize = 24;
/// Places along a side at which the change is looked for, and the share of the side that they lie in.
const ALONG: usize = 9;
const INNER: f64 = 0.7;

/// Places of upright and of level sides between squares of different grounds, in columns and rows from first to one past the
/// last.
pub(super) fn places(
    picture: &SrgbPicture,
    sheet: &Sheet,
    columns: (i64, i64),
    rows: (i64, i64),
) -> (Vec<Place>, Vec<Place>) {
    let (mut upright, mut level) = (Vec::new(), Vec::new());
    for (column, row) in some_squares(columns, rows) {
        let (i, j) = (column as f64, row as f64);
        let Some(own) = ground(picture, sheet, (i, j)) else { continue };
        if let Some(next) = ground(picture, sheet, (i + 1.0, j)).filter(|_| column + 1 < columns.1) {
            let along = |s: f64, t: f64| sheet.at(i + 1.0 + s, j + 0.5 + t);
            if let Some((by, weight)) = change(picture, along, own, next) {
                let (i, j) = (i + 1.0, j + 0.5);
                upright.push(Place { i, j, at: sheet.at(i + by, j).0, weight });
            }
        }
        if let Some(next) = ground(picture, sheet, (i, j + 1.0)).filter(|_| row + 1 < rows.1) {
            let along = |s: f64, t: f64| sheet.at(i + 0.5 + t, j + 1.0 + s);
            if let Some((by, weight)) = change(picture, along, own, next) {
                let (i, j) = (i + 0.5, j + 1.0);
                level.push(Place { i, j, at: sheet.at(i, j + by).1, weight });
            }
        }
    }
    (upright, level)
}

/// The usual colour of a square. `None`: it is not all in the picture.
fn ground(picture: &SrgbPicture, sheet: &Sheet, (i, j): (f64, f64)) -> Option<[u8; 3]> {
    const SIDE: usize = 7;
    let inside = |(u, v): (f64, f64)| {
        (u >= 0.0 && v >= 0.0 && u < picture.width as f64 && v < picture.height as f64)
            .then_some((u as usize, v as usize))
    };
    let (first, last) = (sheet.at(i, j), sheet.at(i + 1.0, j + 1.0));
    inside(first).and(inside(last))?;
    let share = |nth: usize| 0.15 + 0.7 * (nth as f64 + 0.5) / SIDE as f64;
    let points: Option<Vec<[u8; 3]>> = (0..SIDE * SIDE)
        .map(|nth| {
            // Within one square the sheet is as good as even.
            let (s, t) = (share(nth % SIDE), share(nth / SIDE));
            let (u, v) = inside((first.0 + s * (last.0 - first.0), first.1 + t * (last.1 - first.1)))?;
            Some(picture.at(u, v))
        })
        .collect();
    points.map(|points| middle(&points))
}

/// How far from the side between two squares one ground gives way to the other, in squares, and how plainly, 0 to 1.
/// `along`: the place so far from the side, and so far along it from its middle.
fn change(
    picture: &SrgbPicture,
    along: impl Fn(f64, f64) -> (f64, f64),
    from: [u8; 3],
    to: [u8; 3],
) -> Option<(f64, f64)> {
    let way: [i32; 3] = core::array::from_fn(|c| i32::from(to[c]) - i32::from(from[c]));
    let most = way.into_iter().map(i32::abs).max().unwrap_or(0);
    if most < LEAST {
        return None;
    }
    let far = way.into_iter().map(|v| v * v).sum::<i32>() as f32;
    let within = |v: f64, long: usize| (v >= 0.0 && v < long as f64).then_some(v as usize);
    // How far every step is on the way from one ground to the other: the middle of what is seen along the side.
    let mut shares = [0.0_f32; STEPS];
    for (step, share) in shares.iter_mut().enumerate() {
        let s = (step as f64 + 0.5) / STEPS as f64 - 0.5;
        let mut seen = [0.0_f32; ALONG];
        for (nth, seen) in seen.iter_mut().enumerate() {
            let t = INNER * ((nth as f64 + 0.5) / ALONG as f64 - 0.5);
            let (u, v) = along(s, t);
            let rgb = picture.at(within(u, picture.width)?, within(v, picture.height)?);
            let on: i32 = (0..3).map(|c| (i32::from(rgb[c]) - i32::from(from[c])) * way[c]).sum();
            *seen = (on as f32 / far).clamp(0.0, 1.0);
        }
        seen.sort_by(f32::total_cmp);
        *share = seen[ALONG / 2];
    }
    // Where all before is most like the one and all after most like the other.
    let mut off: f32 = shares.iter().map(|share| 1.0 - share).sum();
    let (mut least, mut best) = (off, 0);
    for (step, share) in shares.iter().enumerate() {
        off += 2.0 * share - 1.0;
        if off < least {
            (least, best) = (off, step + 1);
        }
    }
    let clear = 1.0 - 4.0 * f64::from(least) / STEPS as f64;
    let inside = (2..=STEPS - 2).contains(&best);
    (inside && clear > 0.0).then(|| (best as f64 / STEPS as f64 - 0.5, clear * f64::from(most.min(100)) / 100.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Eight by eight squares of 16 pixels from (11, 7) on, every other one dark, each with a stroke in its middle.
    fn board() -> SrgbPicture {
        let (width, height) = (160, 150);
        let rgb = (0..width * height)
            .flat_map(|at| {
                let (x, y) = (at % width + 16 - 11, at / width + 16 - 7);
                let stroke = x % 16 == 8 && (4..12).contains(&(y % 16));
                if stroke {
                    [250, 250, 250]
                } else if (x / 16 + y / 16) % 2 == 0 {
                    [40, 60, 120]
                } else {
                    [180, 160, 90]
                }
            })
            .collect();
        SrgbPicture { width, height, rgb }
    }

    #[test]
    fn sides_are_where_grounds_change_whatever_is_drawn_on_them() {
        let picture = board();
        // Laid four pixels too far right and three too far up.
        let sheet = Sheet::even((15.0, 4.0), (16.0, 16.0));
        let (upright, level) = places(&picture, &sheet, (0, 8), (1, 8));
        assert_eq!((upright.len(), level.len()), (49, 48));
        for place in &upright {
            let own = 11.0 + 16.0 * place.i;
            assert!((place.at - own).abs() <= 1.0, "{place:?} {own}");
        }
        for place in &level {
            let own = 7.0 + 16.0 * place.j;
            assert!((place.at - own).abs() <= 1.0, "{place:?} {own}");
        }
    }

    #[test]
    fn squares_of_one_ground_say_nothing() {
        let picture = SrgbPicture { width: 200, height: 200, rgb: vec![90; 200 * 200 * 3] };
        let (upright, level) = places(&picture, &Sheet::even((10.0, 10.0), (15.0, 15.0)), (0, 10), (0, 10));
        assert!(upright.is_empty() && level.is_empty());
    }
}
