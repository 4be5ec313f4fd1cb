//! Lattices of straight lines: followed one by one, looked for all together, or all as far apart; each cut to what is the chart.

use super::extent::Extent;
use super::period::Runs;
use super::phase;
use super::regular;
use super::spread::{BY_MARGIN, Guess, Lattice, Spread};
use super::track;
use crate::chart_read::edges::Edges;
use crate::chart_read::reading::{MAX_SIDE, MIN_SIDE, Size};
use crate::chart_read::window::Window;
use crate::picture::SrgbPicture;

/// So many squares show all four sides where a chart plainly has lines.
const PLAINLY_LINED: f64 = 0.85;

/// Squares that come again, whose sides are seen on their lines by so much more than between them, are plain.
const MARGIN: f64 = 0.08;

/// Squares fill a picture where their number is so nearly a whole one.
const FITS: f64 = 0.15;

/// How much of lines of squares is seen at each place across and down.
fn profiles(edges: &Edges, turned: &Edges, guess: Guess) -> (Vec<f64>, Vec<f64>) {
    let whole = Window::whole(edges.width, edges.height);
    // Strokes of symbols are shorter than sides, and are left out where there are symbols.
    let share = if guess.alike > 0.0 { 0.92 } else { 0.55 };
    let least = |side: f64| (share * side).max(3.0) + if guess.alike > 0.0 { (edges.along - 1) as f64 } else { 0.0 };
    (Runs::of(edges, whole).profile(least(guess.high)), Runs::of(turned, whole.turned()).profile(least(guess.wide)))
}

/// The chart's lattice in a picture whose lines are straight.
pub(super) fn followed(
    edges: &Edges,
    turned: &Edges,
    picture: &SrgbPicture,
    guess: Guess,
    size: Size,
) -> Option<Lattice> {
    let smeared = 0.6 + edges.slack as f64 + (edges.reach - 1) as f64;
    let (middle_x, middle_y) = guess.window.middle();
    let (across, down) = profiles(edges, turned, guess);
    let spread = Spread {
        xs: track::lines(&across, edges.width, guess.wide, guess.first.0, middle_x, smeared),
        ys: track::lines(&down, edges.height, guess.high, guess.first.1, middle_y, smeared),
        wide: guess.wide,
        high: guess.high,
    };
    let followed =
        cut(edges, turned, picture, &spread, guess.alike, size).map(|found| found.evened((guess.wide, guess.high)));
    let plainly_lined = followed.as_ref().is_some_and(|lattice| lattice.lined && lattice.strength >= PLAINLY_LINED);
    if plainly_lined || guess.alike <= 0.0 || edges.reach > 1 {
        return followed;
    }
    // Without lines of its own a chart has no heavier ones: all squares are of one size.
    let mut ways = vec![spread];
    for off in [0.0, -0.0015, 0.0015] {
        let by = 1.0 + off;
        ways.push(Spread {
            xs: every(edges.width, by * guess.wide, guess.first.0, middle_x),
            ys: every(edges.height, by * guess.high, guess.first.1, middle_y),
            wide: guess.wide,
            high: guess.high,
        });
    }
    // Or it is the whole picture.
    let whole = |long: usize, side: f64| {
        let count = (long as f64 / side).round().max(1.0);
        (0..=count as usize).map(|i| i as f64 * long as f64 / count).collect()
    };
    ways.push(Spread {
        xs: whole(edges.width, guess.wide),
        ys: whole(edges.height, guess.high),
        wide: guess.wide,
        high: guess.high,
    });
    let Some(phase::Way { nth, spread, margin }) = phase::plainest(picture, ways) else { return followed };
    let mut found = if nth == 0 { followed } else { cut(edges, turned, picture, &spread, guess.alike, size) };
    if let Some(lattice) = found.as_mut().filter(|_| margin >= MARGIN) {
        lattice.strength = lattice.strength.max(BY_MARGIN);
    }
    found
}

/// The chart's lattice of lines that are looked for all together, near those that were followed.
pub(super) fn regular(
    (edges, turned): (&Edges, &Edges),
    picture: &SrgbPicture,
    (guess, followed): (Guess, &Lattice),
    size: Size,
) -> Option<Lattice> {
    let (across, down) = profiles(edges, turned, guess);
    let xs = regular::lines(&across, guess.wide, &followed.xs)?;
    let ys = regular::lines(&down, guess.high, &followed.ys)?;
    cut(edges, turned, picture, &Spread { xs, ys, wide: guess.wide, high: guess.high }, guess.alike, size)
}

/// The lattice of squares that are all of one size.
pub(super) fn uniform(
    edges: &Edges,
    turned: &Edges,
    picture: &SrgbPicture,
    guess: Guess,
    size: Size,
) -> Option<Lattice> {
    let (x, y) = guess.window.middle();
    let xs = every(edges.width, guess.wide, guess.first.0, x);
    let ys = every(edges.height, guess.high, guess.first.1, y);
    cut(edges, turned, picture, &Spread { xs, ys, wide: guess.wide, high: guess.high }, guess.alike, size)
}

/// The lattice of squares that fill the whole picture, if these do.
pub(super) fn filling(edges: &Edges, guess: Guess, size: Size) -> Option<Lattice> {
    let lines = |long: usize, side: f64, told: Option<usize>| -> Option<Vec<f64>> {
        let count = (long as f64 / side).round();
        let fits = (MIN_SIDE as f64..=MAX_SIDE as f64).contains(&count) && (long as f64 / side - count).abs() <= FITS;
        let fits = fits && told.is_none_or(|told| told as f64 == count);
        fits.then(|| (0..=count as usize).map(|i| i as f64 * long as f64 / count).collect())
    };
    let (xs, ys) = (lines(edges.width, guess.wide, size.columns)?, lines(edges.height, guess.high, size.rows)?);
    Some(Lattice { xs, ys, strength: 0.0, lined: false, size_is_sure: true, alike: guess.alike })
}

/// Lines through a whole picture, all as far apart; one of them is at `first`, and the nearest to `from` is exact.
fn every(long: usize, side: f64, first: f64, from: f64) -> Vec<f64> {
    let start = first + ((from - first) / side).round() * side;
    let before = ((start + 0.3 * side) / side).floor();
    let mut at = start - before * side;
    let mut lines = Vec::new();
    while at <= long as f64 + 0.3 * side {
        lines.push(at);
        at += side;
    }
    lines
}

pub(super) fn cut(
    edges: &Edges,
    turned: &Edges,
    picture: &SrgbPicture,
    spread: &Spread,
    alike: f64,
    size: Size,
) -> Option<Lattice> {
    if [&spread.xs, &spread.ys].iter().any(|lines| !(3..=4 * MAX_SIDE).contains(&lines.len())) {
        return None;
    }
    let Extent { part, lined, framed, size_is_sure, quality } =
        Extent::of(edges, turned, picture, (spread, alike > 0.0), size)?;
    Some(Lattice {
        xs: spread.xs[part.left..=part.right].to_vec(),
        ys: spread.ys[part.top..=part.bottom].to_vec(),
        // Texture has edges everywhere, on lines and between them.
        strength: match lined {
            true if alike > 0.0 => framed,
            true => framed * (quality / 0.25).min(1.0),
            false => quality,
        },
        lined,
        size_is_sure,
        alike,
    })
}

#[cfg(test)]
mod tests {
    use super::super::tests::chart;
    use super::*;

    #[test]
    fn squares_fill_a_picture_where_their_number_is_whole_and_as_was_said() {
        let edges = Edges::sharp(&chart(18, 14));
        let window = Window::whole(edges.width, edges.height);
        let filled = |side: f64, size: Size| {
            let (wide, high) = (side, side);
            let guess = Guess { window, wide, high, first: (0.0, 0.0), seen: 0.5, alike: 0.5, by_edges: true };
            filling(&edges, guess, size).map(|lattice| (lattice.columns(), lattice.rows()))
        };
        // 220 by 180 pixels.
        assert_eq!(filled(10.0, Size::default()), Some((22, 18)));
        assert_eq!(filled(10.04, Size::default()), Some((22, 18)));
        assert_eq!(filled(10.2, Size::default()), None);
        assert_eq!(filled(10.0, Size { columns: Some(22), rows: None }), Some((22, 18)));
        assert_eq!(filled(10.0, Size { columns: None, rows: Some(17) }), None);
    }
}
