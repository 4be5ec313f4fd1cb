//! Finds the grid of a chart on a page from its thin lines: level and upright ones that cross and are evenly spaced. Lines
//! may be broken, because none are drawn between bare cells.

use super::canvas::Canvas;
use crate::colour::Colour;
use crate::reader::marks::{PageMarks, Paint, PaintKind, PaintedMark};
use crate::reader::matrix::{Bounds, PagePoint};

/// Lines of a grid are no wider than this, points.
const MAX_LINE_WIDTH: f64 = 2.5;
/// A filled box is a line where it is so many times as long as thick; bars of symbols are shorter.
const LONG: f64 = 20.0;
/// Lines nearer than this are one line drawn twice, points.
const TWICE: f64 = 0.4;
/// Lines that end this near each other meet, points.
const MEET: f64 = 0.6;
/// Lines of one direction that are looked at.
const MAX_LINES: usize = 4_000;
/// How far from its even place a line may stand, in cells.
const OFF: f64 = 0.06;
/// Samples of one side of a cell.
pub(super) const SAMPLES: usize = 32;

/// An even grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Lattice {
    /// Its outer edge.
    pub(crate) area: Bounds,
    /// Columns.
    pub(crate) columns: usize,
    /// Rows.
    pub(crate) rows: usize,
}

impl Lattice {
    /// Width of a column, points.
    pub(crate) fn across(&self) -> f64 {
        self.area.width() / self.columns as f64
    }
    /// Height of a row, points.
    pub(crate) fn down(&self) -> f64 {
        self.area.height() / self.rows as f64
    }
    /// The middle of a row.
    pub(crate) fn row_middle(&self, row: usize) -> f64 {
        self.area.top + (row as f64 + 0.5) * self.down()
    }
    /// With more columns on the left and right, more rows above and below.
    pub(super) fn extended(&self, left: usize, right: usize, up: usize, down: usize) -> Lattice {
        let (w, h) = (self.across(), self.down());
        let area = Bounds {
            left: self.area.left - left as f64 * w,
            top: self.area.top - up as f64 * h,
            right: self.area.right + right as f64 * w,
            bottom: self.area.bottom + down as f64 * h,
        };
        Lattice { area, columns: self.columns + left + right, rows: self.rows + up + down }
    }
    /// Where samples stand, [`SAMPLES`] by [`SAMPLES`] a cell, evenly in both directions: a symbol is as wide for its height as
    /// its cell is, and so looks the same in a wide cell as in a square one.
    pub(super) fn samples(&self) -> (Vec<f64>, Vec<f64>) {
        let places = |first: f64, step: f64, count: usize| -> Vec<f64> {
            let middles = (0..count).map(|cell| first + (cell as f64 + 0.5) * step);
            let within =
                |middle: f64| (0..SAMPLES).map(move |i| middle + ((i as f64 + 0.5) / SAMPLES as f64 - 0.5) * step);
            middles.flat_map(within).collect()
        };
        (places(self.area.left, self.across(), self.columns), places(self.area.top, self.down(), self.rows))
    }
    /// Paints everything that touches the grid.
    pub(super) fn sampled(&self, page: &PageMarks) -> Canvas {
        let (xs, ys) = self.samples();
        let mut canvas = Canvas::new(xs, ys);
        page.painted.iter().for_each(|mark| canvas.paint(mark));
        canvas
    }
}

/// One line: where it stands and from where to where it runs.
#[derive(Clone, Copy, Debug)]
struct GridLine {
    at: f64,
    from: f64,
    to: f64,
}

/// All grids of a page, the largest first. They reach as far as their lines do.
pub(super) fn lattices(page: &PageMarks) -> Vec<Lattice> {
    let (level, upright) = lines(page);
    let mut out = Vec::new();
    for (level, upright) in crossing(&level, &upright) {
        let (Some(rows), Some(columns)) = (even(&level), even(&upright)) else { continue };
        let area = Bounds { left: columns.0, top: rows.0, right: columns.1, bottom: rows.1 };
        out.push(Lattice { area, columns: columns.2, rows: rows.2 });
    }
    out.sort_by(|a, b| (b.area.width() * b.area.height()).total_cmp(&(a.area.width() * a.area.height())));
    out
}

/// Level and upright lines, pieces in one line joined, sorted by where they stand.
fn lines(page: &PageMarks) -> (Vec<GridLine>, Vec<GridLine>) {
    let (mut level, mut upright) = (Vec::new(), Vec::new());
    for mark in page.painted.iter().filter(|m| m.paint != Paint::Flat(Colour::WHITE)) {
        match mark.kind {
            PaintKind::Stroke(width) if width <= MAX_LINE_WIDTH => {
                for (a, b) in mark.parts().flat_map(|part| part.sides(part.path.closed)) {
                    note(a, b, &mut level, &mut upright);
                }
            }
            PaintKind::Fill | PaintKind::FillEvenOdd => thin_boxes(mark, &mut level, &mut upright),
            PaintKind::Stroke(_) | PaintKind::Picture => {}
        }
    }
    (joined(level), joined(upright))
}

fn note(a: PagePoint, b: PagePoint, level: &mut Vec<GridLine>, upright: &mut Vec<GridLine>) {
    let (dx, dy) = ((a.x - b.x).abs(), (a.y - b.y).abs());
    if dy < 0.02 && dx > 2.0 {
        level.push(GridLine { at: a.y, from: a.x.min(b.x), to: a.x.max(b.x) });
    } else if dx < 0.02 && dy > 2.0 {
        upright.push(GridLine { at: a.x, from: a.y.min(b.y), to: a.y.max(b.y) });
    }
}

fn thin_boxes(mark: &PaintedMark, level: &mut Vec<GridLine>, upright: &mut Vec<GridLine>) {
    for part in mark.parts().filter(|part| part.path.is_box()) {
        let (area, middle) = (part.bounds(), part.bounds().centre());
        if area.height() <= MAX_LINE_WIDTH && area.width() > LONG * area.height() {
            level.push(GridLine { at: middle.y, from: area.left, to: area.right });
        } else if area.width() <= MAX_LINE_WIDTH && area.height() > LONG * area.width() {
            upright.push(GridLine { at: middle.x, from: area.top, to: area.bottom });
        }
    }
}

/// Pieces that follow each other in one line become one.
fn joined(mut pieces: Vec<GridLine>) -> Vec<GridLine> {
    pieces.sort_by(|a, b| a.at.total_cmp(&b.at));
    let mut out: Vec<GridLine> = Vec::new();
    for same in pieces.chunk_by_mut(|a, b| b.at - a.at < TWICE) {
        same.sort_by(|a, b| a.from.total_cmp(&b.from));
        let first_of_these = out.len();
        for piece in same.iter() {
            match out[first_of_these..].last_mut() {
                Some(line) if piece.from <= line.to + MEET => line.to = line.to.max(piece.to),
                _ => out.push(*piece),
            }
        }
    }
    out.truncate(MAX_LINES);
    out
}

/// Parts the lines into sets that hang together by crossings: where the level and the upright lines of each set stand.
fn crossing(level: &[GridLine], upright: &[GridLine]) -> Vec<(Vec<f64>, Vec<f64>)> {
    let mut set: Vec<usize> = (0..level.len() + upright.len()).collect();
    fn root(set: &mut [usize], mut at: usize) -> usize {
        while set[at] != at {
            set[at] = set[set[at]];
            at = set[at];
        }
        at
    }
    for (i, l) in level.iter().enumerate() {
        let near = upright.partition_point(|u| u.at < l.from - MEET);
        for (j, u) in upright.iter().enumerate().skip(near).take_while(|(_, u)| u.at <= l.to + MEET) {
            if l.at >= u.from - MEET && l.at <= u.to + MEET {
                let (a, b) = (root(&mut set, i), root(&mut set, level.len() + j));
                set[b.max(a)] = a.min(b);
            }
        }
    }
    let mut out: Vec<(Vec<f64>, Vec<f64>)> = vec![Default::default(); set.len()];
    for i in 0..set.len() {
        let home = root(&mut set, i);
        match level.get(i) {
            Some(line) => out[home].0.push(line.at),
            None => out[home].1.extend(upright.get(i - level.len()).map(|u| u.at)),
        }
    }
    out.retain(|(l, u)| l.len() >= 2 && u.len() >= 2);
    out
}

/// First place, last place and number of steps of an even row of places. Some may be missing, a few strangers between them
/// are forgiven.
fn even(places: &[f64]) -> Option<(f64, f64, usize)> {
    let mut places = places.to_vec();
    places.sort_by(f64::total_cmp);
    places.dedup_by(|b, a| *b - *a < TWICE);
    let (first, last) = (*places.first()?, *places.last()?);
    let mut gaps: Vec<f64> = places.windows(2).map(|w| w[1] - w[0]).collect();
    gaps.sort_by(f64::total_cmp);
    let step = *gaps.get(gaps.len() / 2)?;
    let steps = ((last - first) / step).round();
    if !(1.0..=5_000.0).contains(&steps) {
        return None;
    }
    let step = (last - first) / steps;
    let on = places.iter().filter(|p| {
        let at = (**p - first) / step;
        (at - at.round()).abs() < OFF
    });
    (on.count() * 10 >= places.len() * 9).then_some((first, last, steps as usize))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn evenly_spaced_places_are_counted_and_strangers_forgiven() {
        let mut places: Vec<f64> = (0..=30).map(|i| 50.0 + 8.5 * f64::from(i)).collect();
        places.push(92.6);
        places.push(92.5);
        places.remove(20);
        // Own computation: 30 steps of 8.5.
        assert_eq!(even(&places), Some((50.0, 305.0, 30)));
        assert_eq!(even(&[1.0, 5.0, 17.0, 18.0, 29.3]), None);
        assert_eq!(even(&[4.0]), None);
        assert_eq!(even(&[4.0, 9.0]), Some((4.0, 9.0, 1)));
        // Drawn twice, and a little off: a sixteenth of a step is too much.
        assert_eq!(even(&[4.0, 4.39, 9.0, 14.25, 19.0]), Some((4.0, 19.0, 3)));
        assert_eq!(even(&[4.0, 9.0, 14.35, 19.0]), None);
        // Own computation: of eleven places one stranger is less than a tenth, of ten it is a tenth, of nine more.
        for (steps, is_even) in [(9, true), (8, true), (7, false)] {
            let mut places: Vec<f64> = (0..=steps).map(|at| 10.0 * f64::from(at)).collect();
            places.push(34.0);
            assert_eq!(even(&places).is_some(), is_even, "{steps}");
        }
        let long: Vec<f64> = (0..=5_001).map(f64::from).collect();
        assert!(even(&long).is_none() && even(&long[..=5_000]).is_some());
    }

    #[test]
    fn samples_stand_evenly_in_every_cell() {
        let area =
            Bounds { left: 10.0, top: 20.0, right: 10.0 + 2.0 * SAMPLES as f64, bottom: 20.0 + 3.0 * SAMPLES as f64 };
        let (xs, ys) = Lattice { area, columns: 2, rows: 1 }.samples();
        assert_eq!((xs.len(), ys.len()), (2 * SAMPLES, SAMPLES));
        // Own computation: a sample every point across, every three down, each in the middle of its own.
        let is_even = |places: &[f64], first: f64, step: f64| {
            places.iter().enumerate().all(|(at, place)| (place - first - step * at as f64).abs() < 1e-9)
        };
        assert!(is_even(&xs, 10.5, 1.0) && is_even(&ys, 21.5, 3.0), "{:?} {:?}", &xs[..3], &ys[..3]);
    }

    #[test]
    fn boxes_as_thin_as_lines_are_lines() {
        use crate::reader::outline::Outline;
        let lines = |width: f64, height: f64| {
            let mut outline = Outline::new();
            outline.rectangle(&crate::reader::matrix::Matrix::IDENTITY, 10.0, 20.0, width, height);
            let bounds = Bounds { left: 10.0, top: 20.0, right: 10.0 + width, bottom: 20.0 + height };
            let mark = PaintedMark {
                kind: PaintKind::Fill,
                paint: crate::reader::marks::Paint::Other,
                opacity: 1.0,
                shape: std::sync::Arc::new(outline.take()),
                moved: crate::reader::matrix::PagePoint::default(),
                bounds,
                clip: None,
            };
            let (mut level, mut upright) = (Vec::new(), Vec::new());
            thin_boxes(&mark, &mut level, &mut upright);
            let of = |line: &GridLine| (line.at, line.from, line.to);
            (level.iter().map(of).collect::<Vec<_>>(), upright.iter().map(of).collect::<Vec<_>>())
        };
        // Own computation: at most 2.5 points thick, and more than twenty times as long.
        assert_eq!(lines(60.0, 2.0), (vec![(21.0, 10.0, 70.0)], Vec::new()));
        assert_eq!(lines(2.0, 60.0), (Vec::new(), vec![(11.0, 20.0, 80.0)]));
        for (width, height) in [(40.0, 2.0), (2.0, 40.0), (90.0, 3.0), (3.0, 90.0), (2.0, 2.0), (90.0, 90.0)] {
            assert_eq!(lines(width, height), (Vec::new(), Vec::new()), "{width} {height}");
        }
    }

    #[test]
    fn lines_that_do_not_cross_are_sets_of_their_own() {
        let line = |at, from, to| GridLine { at, from, to };
        let level = [line(0.0, 0.0, 10.0), line(5.0, 0.0, 10.0), line(50.0, 0.0, 5.0), line(55.0, 0.0, 5.0)];
        let upright = [line(0.0, 0.0, 5.0), line(0.0, 50.0, 55.0), line(5.0, 50.0, 55.0), line(10.0, 0.0, 5.0)];
        let sets = crossing(&level, &upright);
        assert_eq!(sets, [(vec![0.0, 5.0], vec![0.0, 10.0]), (vec![50.0, 55.0], vec![0.0, 5.0])]);
    }

    #[test]
    fn only_level_and_upright_lines_that_are_thin_and_not_white_are_lines_of_a_grid() {
        use crate::proof::tests::drawn::{mark, outline, page};
        let of = |from: (f64, f64), to: (f64, f64), kind, colour| {
            let mut part = outline(&[from, to]);
            part.closed = false;
            let (level, upright) = lines(&page(vec![mark(kind, colour, vec![part])]));
            let of = |line: &GridLine| (line.at, line.from, line.to);
            (level.iter().map(of).collect::<Vec<_>>(), upright.iter().map(of).collect::<Vec<_>>())
        };
        let (thin, none) = (PaintKind::Stroke(2.5), (Vec::new(), Vec::new()));
        let black = |from, to| of(from, to, thin, Colour::BLACK);
        assert_eq!(black((30.0, 5.0), (10.0, 5.01)), (vec![(5.0, 10.0, 30.0)], Vec::new()));
        assert_eq!(black((5.0, 30.0), (5.01, 10.0)), (Vec::new(), vec![(5.0, 10.0, 30.0)]));
        // Slanted, or too short.
        for to in [(30.0, 5.03), (12.0, 5.0), (10.03, 25.0), (10.0, 7.0), (30.0, 25.0), (10.0, 5.0)] {
            assert_eq!(black((10.0, 5.0), to), none, "{to:?}");
        }
        assert_eq!(of((10.0, 5.0), (30.0, 5.0), PaintKind::Stroke(2.6), Colour::BLACK), none);
        assert_eq!(of((10.0, 5.0), (30.0, 5.0), thin, Colour::WHITE), none);
        assert_eq!(of((10.0, 5.0), (30.0, 5.0), PaintKind::Picture, Colour::BLACK), none);
    }

    #[test]
    fn pieces_in_one_line_are_joined_where_they_meet() {
        let joined = |pieces: &[(f64, f64, f64)]| {
            let pieces = pieces.iter().map(|&(at, from, to)| GridLine { at, from, to }).collect();
            super::joined(pieces).iter().map(|line| (line.at, line.from, line.to)).collect::<Vec<_>>()
        };
        assert_eq!(joined(&[(5.0, 10.0, 20.0), (5.0, 0.0, 10.0)]), [(5.0, 0.0, 20.0)]);
        assert_eq!(joined(&[(5.0, 0.0, 10.0), (5.39, 10.59, 20.0)]), [(5.0, 0.0, 20.0)]);
        assert_eq!(joined(&[(5.0, 0.0, 10.0), (5.0, 10.61, 20.0)]), [(5.0, 0.0, 10.0), (5.0, 10.61, 20.0)]);
        assert_eq!(joined(&[(5.41, 0.0, 10.0), (5.0, 0.0, 10.0)]), [(5.0, 0.0, 10.0), (5.41, 0.0, 10.0)]);
        // One within another ends with the longer one.
        assert_eq!(joined(&[(5.0, 0.0, 30.0), (5.0, 10.0, 20.0)]), [(5.0, 0.0, 30.0)]);
        assert_eq!(joined(&[(5.0, 0.0, 1.0); 3]), [(5.0, 0.0, 1.0)]);
        let many: Vec<_> = (0..MAX_LINES + 5).map(|at| (at as f64, 0.0, 1.0)).collect();
        assert_eq!(joined(&many).len(), MAX_LINES);
    }

    #[test]
    fn lines_cross_that_end_near_each_other() {
        let line = |at, from, to| GridLine { at, from, to };
        // Two level lines from 0 to 10; two upright ones, of which the second begins or ends near them.
        let sets = |x: f64, from: f64, to: f64| {
            let level = [line(0.0, 0.0, 10.0), line(8.0, 0.0, 10.0)];
            let upright = [line(2.0, 0.0, 8.0), line(x, from, to)];
            crossing(&level, &upright).iter().map(|(level, upright)| (level.len(), upright.len())).collect::<Vec<_>>()
        };
        let (one, none) = (vec![(2, 2)], Vec::new());
        assert_eq!((sets(10.59, 0.0, 8.0), sets(10.61, 0.0, 8.0)), (one.clone(), none.clone()));
        assert_eq!((sets(5.0, 8.59, 20.0), sets(5.0, 8.61, 20.0)), (one.clone(), none.clone()));
        assert_eq!((sets(5.0, -20.0, -0.59), sets(5.0, -20.0, -0.61)), (one.clone(), none.clone()));
        let sets = |left: f64| {
            let level = [line(0.0, 0.0, 10.0), line(8.0, 0.0, 10.0)];
            crossing(&level, &[line(left, 0.0, 8.0), line(5.0, 0.0, 8.0)]).len()
        };
        assert_eq!((sets(-0.59), sets(-0.61)), (1, 0));
    }

    #[test]
    fn grids_are_found_the_largest_first_and_grow_by_whole_cells() {
        use crate::proof::tests::drawn::{framed, outline, page};
        let grid = |left: f64, top: f64, step: f64, count: usize| {
            let (right, bottom) = (left + step * count as f64, top + step * count as f64);
            (0..=count).flat_map(move |at| {
                let by = step * at as f64;
                let parts = [[(left, top + by), (right, top + by)], [(left + by, top), (left + by, bottom)]];
                parts.map(|ends| framed(outline(&ends)))
            })
        };
        let found = lattices(&page(grid(10.0, 10.0, 5.0, 3).chain(grid(100.0, 10.0, 9.0, 4)).collect()));
        let areas: Vec<_> = found.iter().map(|it| (it.area.left, it.area.bottom, it.columns, it.rows)).collect();
        assert_eq!(areas, [(100.0, 46.0, 4, 4), (10.0, 25.0, 3, 3)]);
        let grown = found[1].extended(1, 2, 3, 4);
        let area = Bounds { left: 5.0, top: -5.0, right: 35.0, bottom: 45.0 };
        assert_eq!(grown, Lattice { area, columns: 6, rows: 10 });
        assert_eq!((grown.across(), grown.down(), grown.row_middle(2)), (5.0, 5.0, 7.5));
    }
}
