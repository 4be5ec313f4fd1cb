use super::stand_apart;
use crate::chart_read::margins::Margins;
use crate::chart_read::means::cut::{Cut, Moves, Source};
use crate::chart_read::means::mean::{Mean, Noise};
use crate::chart_read::squares::Grid;
use crate::picture::SrgbPicture;

const COLUMNS: usize = 24;
const ROWS: usize = 20;

/// Squares of so many pixels, each with a disc of ink in its middle and with as much more light at a place as `more` says of
/// a square and a place in it (0 to 1); whether two parts of them are groups.
fn are_groups(pixels: f64, more: &dyn Fn(usize, f64, f64) -> f64, is_second: &dyn Fn(usize) -> bool) -> bool {
    const FINE: usize = 4;
    let (width, height) = ((COLUMNS as f64 * pixels).ceil() as usize, (ROWS as f64 * pixels).ceil() as usize);
    let ink = |x: f64, y: f64| {
        let (column, row) = ((x / pixels) as usize, (y / pixels) as usize);
        let (s, t) = (x / pixels - column as f64, y / pixels - row as f64);
        let is_ink = libm::hypot(s - 0.5, t - 0.5) < 0.22;
        let cell = row.min(ROWS - 1) * COLUMNS + column.min(COLUMNS - 1);
        if is_ink { 40.0 } else { 200.0 + more(cell, s, t) }
    };
    let pixel = |at: usize| {
        let part = |i: usize| (i as f64 + 0.5) / FINE as f64;
        let points =
            (0..FINE * FINE).map(|i| ink((at % width) as f64 + part(i % FINE), (at / width) as f64 + part(i / FINE)));
        // Some levels more or less, as packing leaves them.
        let grain = (at * 37 + at / width * 11) % 9;
        [(points.sum::<f64>() / (FINE * FINE) as f64) as u8 + grain as u8; 3]
    };
    let picture = SrgbPicture { width, height, rgb: (0..width * height).flat_map(pixel).collect() };
    let corners: Vec<(f64, f64)> = (0..=ROWS)
        .flat_map(|row| (0..=COLUMNS).map(move |column| (column as f64 * pixels, row as f64 * pixels)))
        .collect();
    let margins = Margins::of(&picture, &corners, COLUMNS);
    let grid = Grid { picture: &picture, corners: &corners, columns: COLUMNS, margins: Some(&margins) };
    let source = Source { are_small_marks: true, ..Source::new(grid, &margins, &[]) };
    let cut = Cut::of(source, &Moves { columns: vec![0.0; COLUMNS], rows: vec![0.0; ROWS] });
    let of: Vec<u8> = (0..COLUMNS * ROWS).map(|cell| u8::from(is_second(cell))).collect();
    let cells = [0, 1].map(|group| (0..of.len()).filter(|&cell| of[cell] == group).collect::<Vec<usize>>());
    let means = [Mean::of(&cut, &cells[0]), Mean::of(&cut, &cells[1])];
    let noise = Noise::of(&cut, &of, &means);
    stand_apart(&cut, &noise, [&cells[0], &cells[1]], [&means[0], &means[1]])
}

/// Squares here and there.
fn scattered(cell: usize) -> bool {
    cell * 7 % 11 < 4
}

#[test]
fn marks_that_differ_by_little_at_many_places_are_two() {
    // Twenty levels less light at the left of the one: less than one place has to differ by where marks are large.
    let more = |cell: usize, s: f64, _: f64| if scattered(cell) && s < 0.4 { -20.0 } else { 0.0 };
    assert!(are_groups(9.0, &more, &scattered));
}

#[test]
fn a_few_squares_of_their_own_are_a_group_and_a_few_of_the_others_are_none() {
    let few = |cell: usize| cell % 97 == 5;
    let more = |cell: usize, s: f64, _: f64| if few(cell) && s < 0.4 { -30.0 } else { 0.0 };
    assert!(are_groups(9.0, &more, &few));
    assert!(!are_groups(9.0, &|_, _, _| 0.0, &few));
}

#[test]
fn one_mark_is_not_two_by_its_grain_or_by_where_it_lies() {
    assert!(!are_groups(9.0, &|_, _, _| 0.0, &scattered));
    // Columns lie on pixels and half-way between them by turns.
    assert!(!are_groups(8.5, &|_, _, _| 0.0, &|cell| cell % COLUMNS % 2 == 1));
    // As every second column is packed in blocks of eight with its right-hand edge.
    let packed = |cell: usize, s: f64, _: f64| if cell % COLUMNS % 2 == 1 && s > 0.6 { -30.0 } else { 0.0 };
    assert!(!are_groups(12.0, &packed, &|cell| cell % COLUMNS % 2 == 1));
}
