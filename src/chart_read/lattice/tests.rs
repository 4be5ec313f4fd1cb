//! A chart as a screen shows it, and lattices laid over it, for tests of what is told by them.

use super::Lattice;
use super::screen::in_middle;
use crate::chart_read::edges::Edges;
use crate::chart_read::window::Window;
use crate::picture::SrgbPicture;

/// A picture of squares of 10 pixels on white paper, 20 pixels of it around: three yarns, one of them with a mark.
pub(super) fn chart(columns: usize, rows: usize) -> SrgbPicture {
    let (width, height) = (columns * 10 + 40, rows * 10 + 40);
    let rgb = (0..width * height).flat_map(|at| {
        let (x, y) = (at % width, at / width);
        let inside = (20..width - 20).contains(&x) && (20..height - 20).contains(&y);
        let (column, row) = (x.saturating_sub(20) / 10, y.saturating_sub(20) / 10);
        let (u, v) = (x % 10, y % 10);
        match (column * column + 2 * row * row + column * row / 3) % 3 {
            _ if !inside => [255, 255, 255],
            0 => [180, 40, 60],
            1 if (4..6).contains(&u) && (3..7).contains(&v) => [20, 20, 20],
            1 => [220, 200, 120],
            _ => [40, 90, 160],
        }
    });
    let rgb = rgb.collect();
    SrgbPicture { width, height, rgb }
}

/// Lines so far apart, from the first to the last.
pub(super) fn lattice((left, right): (f64, f64), (top, bottom): (f64, f64), side: f64) -> Lattice {
    let lines = |from: f64, to: f64| (0..=((to - from) / side) as usize).map(|i| from + i as f64 * side).collect();
    Lattice {
        xs: lines(left, right),
        ys: lines(top, bottom),
        strength: 0.0,
        lined: false,
        size_is_sure: false,
        alike: 0.0,
    }
}

#[test]
fn the_middle_of_a_picture_shows_its_squares_where_they_lie_in_the_whole() {
    let picture = chart(50, 40);
    let edges = Edges::packed(&picture);
    let part = edges.part(Window { left: 30, right: 90, top: 50, bottom: 70 });
    assert_eq!((part.width, part.height, part.slack), (60, 20, edges.slack));
    assert_eq!(part.upright[3 * 60 + 10], edges.upright[53 * picture.width + 40]);
    assert_eq!(part.level[19 * 60 + 59], edges.level[69 * picture.width + 89]);
    let found = in_middle(&picture, &edges, 203).expect("squares");
    assert!((found.wide - 10.0).abs() < 0.05 && (found.high - 10.0).abs() < 0.05, "{found:?}");
    let off = |at: f64| (at / 10.0 - (at / 10.0).round()).abs();
    assert!(off(found.first.0) < 0.06 && off(found.first.1) < 0.06, "{found:?}");
}

#[test]
fn a_line_too_many_or_too_few_in_an_even_part_is_put_right_unless_squares_have_lines() {
    let right = lattice((20.0, 200.0), (20.0, 160.0), 10.0);
    let with = |lines: usize, lined: bool| {
        let xs = (0..=lines).map(|i| 20.0 + 180.0 * i as f64 / lines as f64).collect();
        Lattice { xs, lined, ..right.clone() }.evened((10.0, 10.0)).xs
    };
    for lines in [17, 18, 19] {
        assert_eq!(with(lines, false), right.xs);
        assert_eq!(with(lines, true).len(), lines + 1);
    }
    // Where the chart ends half-way in a square, nothing is known.
    let half = Lattice { xs: vec![20.0, 105.0, 195.0], lined: false, ..right };
    assert_eq!(half.clone().evened((10.0, 10.0)).xs, half.xs);
}
