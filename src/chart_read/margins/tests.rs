use super::Margins;
use crate::picture::SrgbPicture;

const SQUARE: usize = 12;
const COLUMNS: usize = 20;

/// A chart of ten rows in three colours; `drawn` says what is drawn over a pixel of it.
fn chart(drawn: impl Fn(usize, usize) -> Option<[u8; 3]>) -> SrgbPicture {
    let grounds = [[200, 40, 40], [30, 160, 70], [250, 220, 90]];
    let (width, height) = (COLUMNS * SQUARE + 1, 10 * SQUARE + 1);
    let pixel = |i: usize| {
        let (x, y) = (i % width, i / width);
        drawn(x, y).unwrap_or(grounds[(x / SQUARE * 7 + y / SQUARE * 5) / 3 % 3])
    };
    SrgbPicture { width, height, rgb: (0..width * height).flat_map(pixel).collect() }
}

fn corners() -> Vec<(f64, f64)> {
    let at = |i: usize| (i * SQUARE) as f64;
    (0..=10).flat_map(|row| (0..=COLUMNS).map(move |column| (at(column), at(row)))).collect()
}

fn margins(drawn: impl Fn(usize, usize) -> Option<[u8; 3]>) -> Margins {
    Margins::of(&chart(drawn), &corners(), COLUMNS)
}

fn near(found: [f64; 4], expected: [f64; 4]) -> bool {
    found.iter().zip(expected).all(|(found, expected)| (12.0 * (found - expected)).abs() < 0.6)
}

#[test]
fn a_line_takes_its_pixel_of_the_squares_that_begin_with_it() {
    let margins = margins(|x, y| (x % SQUARE == 0 || y % SQUARE == 0).then_some([0; 3]));
    for cell in [0, 21, 105] {
        assert!(near(margins.at(cell), [1.0 / 12.0, 0.0, 1.0 / 12.0, 0.0]), "{:?}", margins.at(cell));
    }
}

#[test]
fn a_heavier_line_takes_of_both_squares_beside_it() {
    let heavy = |v: usize| (57..=63).contains(&v) || v.is_multiple_of(SQUARE);
    let margins = margins(|x, y| (heavy(x) || heavy(y)).then_some([255; 3]));
    // Before the sixth line, and after it.
    assert!(near(margins.at(4), [1.0 / 12.0, 3.0 / 12.0, 1.0 / 12.0, 0.0]), "{:?}", margins.at(4));
    assert!(near(margins.at(5), [4.0 / 12.0, 0.0, 1.0 / 12.0, 0.0]), "{:?}", margins.at(5));
    assert!(near(margins.at(4 * COLUMNS), [1.0 / 12.0, 0.0, 1.0 / 12.0, 3.0 / 12.0]), "{:?}", margins.at(4 * COLUMNS));
}

#[test]
fn without_lines_nothing_is_taken_even_where_a_column_has_one_ground() {
    let plain = margins(|x, _| (x < SQUARE).then_some([90, 90, 200]));
    // A stroke through the middle of every square is no line.
    let stroked = margins(|x, y| ((4..8).contains(&(x % SQUARE)) && (2..10).contains(&(y % SQUARE))).then_some([0; 3]));
    for cell in [0, 3, 57] {
        assert!(near(plain.at(cell), [0.0; 4]), "{:?}", plain.at(cell));
        assert!(near(stroked.at(cell), [0.0; 4]), "{:?}", stroked.at(cell));
    }
}

#[test]
fn something_is_left_of_a_square_however_heavy_its_lines_are() {
    let heavy = |v: usize| !(5..7).contains(&(v % SQUARE));
    let margins = margins(|x, y| (heavy(x) || heavy(y)).then_some([0; 3]));
    let [left, right, top, bottom] = margins.at(33);
    assert!(left + right <= 0.86 && top + bottom <= 0.86, "{left} {right} {top} {bottom}");
}

#[test]
fn a_line_of_a_grey_that_grounds_have_on_the_mean_alone_is_still_a_line() {
    // Half of all channels are light and half are dark, so the middle of each is grey.
    let drawn = |x: usize, y: usize| {
        let grounds = [[250, 120, 10], [10, 250, 130], [130, 10, 250]];
        let line = x.is_multiple_of(SQUARE) || y.is_multiple_of(SQUARE);
        Some(if line { [128; 3] } else { grounds[(x / SQUARE + y / SQUARE) % 3] })
    };
    let margins = margins(drawn);
    assert!(near(margins.at(25), [1.0 / 12.0, 0.0, 1.0 / 12.0, 0.0]), "{:?}", margins.at(25));
}
