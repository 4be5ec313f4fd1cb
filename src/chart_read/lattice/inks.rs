//! Middles of what is drawn in squares: symbols stand in the middle of theirs (common practice, no source).

use super::sheet::{Place, Sheet, some_squares};
use crate::chart_read::margins::middle;
use crate::picture::SrgbPicture;

/// So much of a square around its middle is looked at.
const AROUND: f64 = 0.84;
/// Channels that differ by so much from the ground are ink.
const INK: i32 = 30;
/// Ink is so much of what is looked at, at least and at most.
const LEAST: f64 = 0.02;
const MOST: f64 = 0.45;
/// Turns in which the middle is moved to where the ink is.
const TURNS: usize = 3;

/// Middles of symbols across and down.
pub(super) fn places(
    picture: &SrgbPicture,
    sheet: &Sheet,
    columns: (i64, i64),
    rows: (i64, i64),
    weight: f64,
) -> (Vec<Place>, Vec<Place>) {
    let (mut across, mut down) = (Vec::new(), Vec::new());
    for (column, row) in some_squares(columns, rows) {
        let (i, j) = (column as f64 + 0.5, row as f64 + 0.5);
        if let Some((x, y)) = middle_of_ink(picture, sheet, (i, j)) {
            across.push(Place { i, j, at: x, weight });
            down.push(Place { i, j, at: y, weight });
        }
    }
    (across, down)
}

/// `None`: nothing stands alone in the square.
fn middle_of_ink(picture: &SrgbPicture, sheet: &Sheet, (i, j): (f64, f64)) -> Option<(f64, f64)> {
    let (mut x, mut y) = sheet.at(i, j);
    let half = |a: (f64, f64), b: (f64, f64)| (b.0 - a.0).hypot(b.1 - a.1) / 2.0 * AROUND;
    let wide = half(sheet.at(i - 0.5, j), sheet.at(i + 0.5, j));
    let high = half(sheet.at(i, j - 0.5), sheet.at(i, j + 0.5));
    for turn in 0..TURNS {
        let (left, top) = ((x - wide).round(), (y - high).round());
        let (right, bottom) = ((x + wide).round(), (y + high).round());
        if left < 0.0 || top < 0.0 || right > picture.width as f64 || bottom > picture.height as f64 {
            return None;
        }
        let (left, top, right, bottom) = (left as usize, top as usize, right as usize, bottom as usize);
        let all: Vec<[u8; 3]> =
            (top..bottom).flat_map(|y| (left..right).map(move |x| (x, y))).map(|(x, y)| picture.at(x, y)).collect();
        if all.len() < 16 {
            return None;
        }
        let ground = middle(&all);
        let is_ink =
            |pixel: &[u8; 3]| (0..3).map(|c| (i32::from(pixel[c]) - i32::from(ground[c])).abs()).max() >= Some(INK);
        let wide = right - left;
        let mut bounds: Option<(usize, usize, usize, usize)> = None;
        let mut count = 0;
        for (at, _) in all.iter().enumerate().filter(|(_, pixel)| is_ink(pixel)) {
            let (x, y) = (at % wide, at / wide);
            let (l, r, t, b) = bounds.unwrap_or((x, x, y, y));
            bounds = Some((l.min(x), r.max(x), t.min(y), b.max(y)));
            count += 1;
        }
        let (l, r, t, b) = bounds?;
        let share = count as f64 / all.len() as f64;
        // What reaches the sides may be a line, or belong to the next square.
        let touches = l == 0 || t == 0 || r + 1 == wide || b + 1 == bottom - top;
        if !(LEAST..MOST).contains(&share) || (touches && turn + 1 == TURNS) {
            return None;
        }
        x = left as f64 + (l + r + 1) as f64 / 2.0;
        y = top as f64 + (t + b + 1) as f64 / 2.0;
    }
    Some((x, y))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn middles_of_symbols_are_found_and_lines_are_none() {
        // Squares of 20 pixels from (10, 10) on, a cross of 9 pixels in the middle of each; a line through the third row.
        let (width, height) = (180, 180);
        let rgb = (0..width * height)
            .flat_map(|at| {
                let (x, y) = (at % width, at / width);
                let (u, v) = ((x + 10) % 20, (y + 10) % 20);
                let cross = (u == 10 && (6..15).contains(&v)) || (v == 10 && (6..15).contains(&u));
                if (cross && x >= 10 && y >= 10) || (58..62).contains(&y) { [20; 3] } else { [200; 3] }
            })
            .collect();
        let picture = SrgbPicture { width, height, rgb };
        // Laid three pixels off.
        let sheet = Sheet::even((13.0, 8.0), (20.0, 20.0));
        let (across, down) = places(&picture, &sheet, (0, 8), (0, 8), 1.0);
        assert_eq!((across.len(), down.len()), (56, 56));
        assert!(across.iter().all(|place| (place.at - (10.5 + 20.0 * place.i)).abs() < 0.01), "{across:?}");
        assert!(down.iter().all(|place| (place.at - (10.5 + 20.0 * place.j)).abs() < 0.01), "{down:?}");
        assert!(down.iter().all(|place| place.j != 2.5));
    }
}
