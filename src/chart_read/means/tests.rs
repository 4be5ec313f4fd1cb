use super::{Source, settle};
use crate::chart_read::margins::Margins;
use crate::chart_read::reading::{Doubt, SquareKind};
use crate::chart_read::squares::Grid;
use crate::chart_read::symbols::Told;
use crate::colour::Colour;
use crate::picture::SrgbPicture;

const SQUARE: usize = 14;
const COLUMNS: usize = 20;
const ROWS: usize = 12;

/// What a pixel of a square is, by the square and the place in it.
type Draw<'a> = &'a dyn Fn(usize, usize, usize) -> [u8; 3];

fn settled(draw: Draw<'_>, told: &Told, light: &[[f64; 3]]) -> (Vec<u8>, Vec<SquareKind>, Vec<Doubt>) {
    let (width, height) = (COLUMNS * SQUARE, ROWS * SQUARE);
    let pixel = |i: usize| {
        let (x, y) = (i % width, i / width);
        draw(y / SQUARE * COLUMNS + x / SQUARE, x % SQUARE, y % SQUARE)
    };
    let picture = SrgbPicture { width, height, rgb: (0..width * height).flat_map(pixel).collect() };
    let at = |i: usize| (i * SQUARE) as f64;
    let corners: Vec<(f64, f64)> =
        (0..=ROWS).flat_map(|row| (0..=COLUMNS).map(move |column| (at(column), at(row)))).collect();
    let margins = Margins::of(&picture, &corners, COLUMNS);
    let grid = Grid { picture: &picture, corners: &corners, columns: COLUMNS, margins: Some(&margins) };
    settle(Source::new(grid, &margins, light), told)
}

fn told(cells: impl Fn(usize) -> u8, colours: usize) -> Told {
    Told { cells: (0..COLUMNS * ROWS).map(cells).collect(), colours: vec![Colour::new(240, 240, 230); colours] }
}

/// Which of two yarns a square has.
fn yarn(cell: usize) -> usize {
    usize::from(cell * 7 % 11 < 4)
}

/// One letter or the other: an upright stroke with a bar at its foot, or at its head.
fn letter(cell: usize, x: usize, y: usize) -> [u8; 3] {
    let bar = if yarn(cell) == 0 { 10..12 } else { 2..4 };
    let ink = ((4..6).contains(&x) && (2..12).contains(&y)) || ((4..11).contains(&x) && bar.contains(&y));
    // Packing leaves some levels more or less.
    let more = (cell * 31 + x * 17 + y * 23) % 13;
    [if ink { 20 } else { 230 } + more as u8; 3]
}

/// Squares that are not of the kind of the first square of their yarn, and those of a kind that both yarns have.
fn wrong(cells: &[u8]) -> usize {
    let first = |own: usize| (0..cells.len()).find(|&cell| yarn(cell) == own).map(|cell| cells[cell]);
    let is_wrong = |&cell: &usize| Some(cells[cell]) != first(yarn(cell)) || Some(cells[cell]) == first(1 - yarn(cell));
    (0..cells.len()).filter(is_wrong).count()
}

#[test]
fn letters_that_were_mixed_up_are_parted() {
    let (cells, kinds, doubts) = settled(&letter, &told(|_| 0, 1), &[]);
    assert_eq!((wrong(&cells), kinds.len(), doubts.len()), (0, 2, 0));
    assert!(kinds.iter().all(|kind| kind.by_symbol), "one ground, two letters");
    assert!(kinds.iter().all(|kind| kind.count == cells.iter().filter(|of| cells[kind.example] == **of).count()));
}

#[test]
fn one_letter_that_was_taken_for_several_is_one_kind() {
    let (cells, kinds, _) = settled(&letter, &told(|cell| (cell % 3) as u8, 3), &[]);
    assert_eq!((wrong(&cells), kinds.len()), (0, 2));
}

#[test]
fn a_letter_that_lies_a_pixel_beside_in_one_column_is_no_other() {
    let moved = |cell: usize, x: usize, y: usize| {
        if cell % COLUMNS == 9 { letter(cell, x.saturating_sub(1), y) } else { letter(cell, x, y) }
    };
    let (cells, kinds, _) = settled(&moved, &told(|_| 0, 1), &[]);
    assert_eq!((wrong(&cells), kinds.len()), (0, 2));
}

#[test]
fn a_square_that_is_like_no_kind_is_doubtful() {
    let blot =
        |cell: usize, x: usize, y: usize| if cell == 101 && x + y > 10 { [120, 20, 20] } else { letter(cell, x, y) };
    let (_, _, doubts) = settled(&blot, &told(|_| 0, 1), &[]);
    let cells: Vec<usize> = doubts.iter().map(|doubt| doubt.cell).collect();
    assert_eq!(cells, [101]);
}

#[test]
fn two_near_grounds_of_a_clean_picture_stay_two() {
    let near = |cell: usize, _: usize, _: usize| if yarn(cell) == 0 { [120, 80, 60] } else { [126, 84, 60] };
    let (cells, kinds, doubts) = settled(&near, &told(|cell| yarn(cell) as u8, 2), &[]);
    assert_eq!((wrong(&cells), kinds.len(), doubts.len()), (0, 2, 0));
}

#[test]
fn squares_in_the_shade_are_of_their_own_yarn() {
    // The light of the last columns is half that of the first: so are their channels, to the power 1 / 2.2.
    let light = |cell: usize| 1.0 - 0.5 * (cell % COLUMNS) as f64 / COLUMNS as f64;
    let shaded = |cell: usize, _: usize, _: usize| {
        let own = if yarn(cell) == 0 { [200.0, 160.0, 120.0] } else { [150.0, 120.0, 90.0] };
        own.map(|v: f64| (v * light(cell).powf(1.0 / 2.2)).round() as u8)
    };
    let gains: Vec<[f64; 3]> = (0..COLUMNS * ROWS).map(|cell| [1.0 / light(cell); 3]).collect();
    let (cells, kinds, _) = settled(&shaded, &told(|cell| yarn(cell) as u8, 2), &gains);
    assert_eq!((wrong(&cells), kinds.len()), (0, 2));
}

#[test]
fn what_cannot_be_told_apart_is_not_made_one_in_silence() {
    // Specks as strong as a letter, at places of their own in every square.
    let speck = |cell: usize, x: usize, y: usize| {
        let mut seed = ((cell * SQUARE + y) * SQUARE + x) as u64;
        for _ in 0..3 {
            seed = (seed ^ (seed >> 29)).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        }
        [60 + (seed >> 33) as u8 % 190; 3]
    };
    let (cells, kinds, doubts) = settled(&speck, &told(|cell| yarn(cell) as u8, 2), &[]);
    assert_eq!(kinds.len(), 2);
    assert!(2 * doubts.len() > cells.len(), "{} of {} are doubtful", doubts.len(), cells.len());
}

#[test]
fn the_only_square_with_something_in_it_is_doubtful_and_the_only_one_of_its_ground_is_not() {
    let grounds = [[32, 80, 140], [240, 230, 200]];
    let smudged = |cell: usize, x: usize, _: usize| match cell {
        101 if x < SQUARE / 2 => grounds[0],
        101 => grounds[1],
        150 => [160, 30, 30],
        _ => grounds[yarn(cell)],
    };
    let own = |cell: usize| match cell {
        101 => 2,
        150 => 3,
        _ => yarn(cell) as u8,
    };
    let (cells, kinds, doubts) = settled(&smudged, &told(own, 4), &[]);
    assert_eq!(kinds.len(), 4);
    let found = doubts.iter().map(|doubt| (doubt.cell, doubt.or)).collect::<Vec<_>>();
    assert!(found == [(101, cells[0])] || found == [(101, cells[1])], "{found:?}");
}

/// Two letters that differ at one spot alone: a serif.
fn nearly(cell: usize, x: usize, y: usize) -> [u8; 3] {
    let serif = yarn(cell) == 1 && (6..8).contains(&x) && y == 7;
    let ink = (4..6).contains(&x) && (2..12).contains(&y);
    [if ink || serif { 20 } else { 230 }; 3]
}

#[test]
fn on_a_screen_squares_that_differ_by_a_spot_are_two_kinds_and_in_a_packed_picture_they_are_not() {
    let (cells, kinds, doubts) = settled(&nearly, &told(|_| 0, 1), &[]);
    assert_eq!((wrong(&cells), kinds.len(), doubts.len()), (0, 2, 0));
    let packed = |cell: usize, x: usize, y: usize| {
        let more = ((cell * 31 + x * 17 + y * 23) % 13) as u8;
        nearly(cell, x, y).map(|v| v + more)
    };
    assert_eq!(settled(&packed, &told(|_| 0, 1), &[]).1.len(), 1);
}

#[test]
fn what_lies_a_pixel_beside_between_heavier_lines_is_no_other_kind() {
    // Every tenth column has lost a pixel at its right to a heavier line, and letters stand a pixel further left or not.
    for moved in [0, 1] {
        let drawn = |cell: usize, x: usize, y: usize| match (x, cell % 10) {
            (0 | 13, _) | (12, 9) => [90; 3],
            (_, 9) => nearly(cell, x + moved, y),
            _ => nearly(cell, x, y),
        };
        let (cells, kinds, _) = settled(&drawn, &told(|_| 0, 1), &[]);
        assert_eq!((wrong(&cells), kinds.len()), (0, 2), "moved by {moved}");
    }
}

#[test]
fn squares_packed_with_little_loss_are_of_few_kinds() {
    // Three levels of one ground, each of many squares.
    let drawn = |cell: usize, _: usize, _: usize| [200, 150, [90, 60][yarn(cell)]].map(|v| v + (cell / 3 % 3) as u8);
    let (cells, kinds, _) = settled(&drawn, &told(|cell| yarn(cell) as u8, 2), &[]);
    assert_eq!((wrong(&cells), kinds.len()), (0, 2));
}

#[test]
fn kinds_that_hardly_any_square_is_of_are_given_away_where_there_are_more_than_yarns() {
    // Thirty kinds of seven squares or eight, and five of one square each.
    let kind = |cell: usize| if cell < 5 { 30 + cell } else { cell % 30 };
    let ground = |cell: usize, _: usize, _: usize| [(kind(cell) % 6 * 45) as u8, (kind(cell) / 6 * 40) as u8, 128];
    let packed = |cell: usize, x: usize, y: usize| {
        let more = ((cell * 31 + x * 17 + y * 23) % 7) as u8;
        ground(cell, x, y).map(|v| v + more)
    };
    let (of, kinds, doubts) = settled(&packed, &told(|cell| kind(cell) as u8, 35), &[]);
    assert_eq!(kinds.iter().filter(|kind| kind.count > 0).count(), 32);
    let doubtful: Vec<usize> = doubts.iter().map(|doubt| doubt.cell).collect();
    assert!(doubtful.len() == 3 && doubtful.iter().all(|cell| *cell < 5), "{doubtful:?}");
    let is_right =
        |&cell: &usize| (0..of.len()).all(|o| doubtful.contains(&o) || (of[o] == of[cell]) == (kind(o) == kind(cell)));
    assert!((5..of.len()).all(|cell| is_right(&cell)));
}

#[test]
fn letters_that_are_hardly_seen_are_all_doubtful() {
    for (ink, doubtful) in [(20, 0), (190, COLUMNS * ROWS)] {
        let faint =
            |cell: usize, x: usize, y: usize| letter(cell, x, y).map(|v| if v < 100 { v - 20 + ink } else { v });
        let (_, kinds, doubts) = settled(&faint, &told(|cell| yarn(cell) as u8, 2), &[]);
        assert_eq!((kinds.len(), doubts.len()), (2, doubtful), "ink of {ink}");
    }
}
