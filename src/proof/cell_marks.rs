//! Small marks at the edges of cells, found by their shape and place: a dot, a lozenge, a dash, a bar.

use super::lattice::Lattice;
use crate::reader::{PageMarks, PaintKind, Part};
use std::collections::BTreeSet;

/// What a mark says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum CellMarkKind {
    /// A dot in an upper corner: a length starts.
    Start,
    /// A lozenge in a lower corner: a certain length is taken up.
    Choice,
    /// A dash across an edge: two yarns are linked.
    Link,
    /// A bar at an edge: the length is cut.
    Cut,
}

/// A mark: its row, its column and whether it stands at the left of its cell. A dash stands at the left of the cell right of
/// it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct CellMark {
    /// Row, from 0.
    pub(crate) row: usize,
    /// Column, from 0.
    pub(crate) column: usize,
    /// What it says.
    pub(crate) kind: CellMarkKind,
    /// At the left of the cell, or at its right.
    pub(crate) at_left: bool,
}

/// Measures of the marks and their distance from a cell's sides, as shares of its shorter side: those that the layouts'
/// guide names.
const DOT: f64 = 0.18;
const LOZENGE: f64 = 0.23;
const CORNER: f64 = 0.11;
const DASH: (f64, f64) = (0.22, 0.085);
const DASH_AT: f64 = 0.3;
const BAR: (f64, f64) = (0.085, 0.3);
const BAR_INWARD: f64 = 0.0725;
/// A measure may be off by so much of the shorter side: rounding in the file, never a rim.
const OFF: f64 = 0.02;

/// All marks in a grid.
pub(super) fn cell_marks(page: &PageMarks, lattice: &Lattice) -> BTreeSet<CellMark> {
    let fills = page.painted.iter().filter(|m| matches!(m.kind, PaintKind::Fill | PaintKind::FillEvenOdd));
    fills.flat_map(|mark| mark.parts()).filter_map(|part| cell_mark(part, lattice)).collect()
}

fn cell_mark(part: Part<'_>, lattice: &Lattice) -> Option<CellMark> {
    let (across, down) = (lattice.across(), lattice.down());
    let side = across.min(down);
    let bounds = part.bounds();
    // No mark is longer than a bar.
    if bounds.width().max(bounds.height()) > (BAR.1 + OFF) * side {
        return None;
    }
    let near = |a: f64, b: f64| (a - b).abs() <= OFF * side;
    let size = |(w, h): (f64, f64)| near(bounds.width(), w * side) && near(bounds.height(), h * side);
    let centre = bounds.centre();
    let (x, y) = (centre.x - lattice.area.left, centre.y - lattice.area.top);
    if y < 0.0 || y >= lattice.area.height() {
        return None;
    }
    let row = (y / down) as usize;
    let from_top = y - row as f64 * down;
    let is_box = part.path.is_box();
    if is_box && size(DASH) {
        let edge = (x / across).round();
        let column = edge as usize;
        let on_edge =
            edge >= 0.0 && column <= lattice.columns && near(x, edge * across) && near(from_top, down * DASH_AT);
        return on_edge.then_some(CellMark { row, column, kind: CellMarkKind::Link, at_left: true });
    }
    if x < 0.0 || x >= lattice.area.width() {
        return None;
    }
    let column = (x / across) as usize;
    let from_left = x - column as f64 * across;
    let at = |inward: f64| {
        if near(from_left, inward * side) {
            Some(true)
        } else {
            near(from_left, across - inward * side).then_some(false)
        }
    };
    let found = |kind, at_left| Some(CellMark { row, column, kind, at_left });
    if is_box {
        let at_left = at(BAR_INWARD).filter(|_| size(BAR) && near(from_top, down / 2.0))?;
        return found(CellMarkKind::Cut, at_left);
    }
    // Curves come as many short edges.
    let round = part.path.spots.len() > 8;
    let at_left = at(CORNER)?;
    if round && size((DOT, DOT)) && near(from_top, CORNER * side) {
        return found(CellMarkKind::Start, at_left);
    }
    let lower = near(from_top, down - CORNER * side);
    if !round && size((LOZENGE, LOZENGE)) && lower { found(CellMarkKind::Choice, at_left) } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reader::marks::Subpath;
    use crate::reader::matrix::{Bounds, PagePoint};

    fn part(corners: &[(f64, f64)]) -> Subpath {
        let spots: Vec<PagePoint> = corners.iter().map(|&(x, y)| PagePoint { x, y }).collect();
        let mut bounds = Bounds::EMPTY;
        spots.iter().for_each(|spot| bounds.take_in(*spot));
        Subpath { spots, closed: true, bounds }
    }

    fn disc(x: f64, y: f64, r: f64) -> Subpath {
        let on = |i: i32| (f64::from(i) * 15.0).to_radians();
        part(&(0..24).map(|i| (x + r * on(i).cos(), y + r * on(i).sin())).collect::<Vec<_>>())
    }

    fn upright(x: f64, y: f64, w: f64, h: f64) -> Subpath {
        part(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
    }

    #[test]
    fn marks_are_known_by_shape_and_place_and_nothing_else_is() {
        // Cells of 20 by 10 points from (100, 50).
        let area = Bounds { left: 100.0, top: 50.0, right: 300.0, bottom: 150.0 };
        let lattice = Lattice { area, columns: 10, rows: 10 };
        let read = |path: &Subpath| cell_mark(Part { path, moved: PagePoint::default() }, &lattice);
        let mark = |row, column, kind, at_left| Some(CellMark { row, column, kind, at_left });
        assert_eq!(read(&disc(121.1, 61.1, 0.9)), mark(1, 1, CellMarkKind::Start, true));
        assert_eq!(read(&disc(138.9, 61.1, 0.9)), mark(1, 1, CellMarkKind::Start, false));
        assert_eq!(read(&upright(118.9, 52.575, 2.2, 0.85)), mark(0, 1, CellMarkKind::Link, true));
        assert_eq!(read(&upright(118.85, 53.5, 0.85, 3.0)), mark(0, 0, CellMarkKind::Cut, false));
        let lozenge = part(&[(101.1, 57.75), (102.25, 58.9), (101.1, 60.05), (99.95, 58.9)]);
        assert_eq!(read(&lozenge), mark(0, 0, CellMarkKind::Choice, true));
        // A rim, a dot in the middle, a bar in the middle, a box in the corner.
        for other in [
            disc(121.1, 61.1, 1.25),
            disc(130.0, 65.0, 0.9),
            upright(129.6, 53.5, 0.85, 3.0),
            upright(120.2, 60.2, 1.8, 1.8),
        ] {
            assert_eq!(read(&other), None);
        }
    }

    #[test]
    fn a_mark_may_be_off_by_a_fiftieth_of_the_shorter_side_and_no_more() {
        // Cells of 20 by 10 points from (100, 50): a fiftieth is a fifth of a point.
        let area = Bounds { left: 100.0, top: 50.0, right: 300.0, bottom: 150.0 };
        let lattice = Lattice { area, columns: 10, rows: 10 };
        let kind =
            |path: Subpath| cell_mark(Part { path: &path, moved: PagePoint::default() }, &lattice).map(|it| it.kind);
        let lozenge = |x: f64, y: f64, w: f64, h: f64| {
            part(&[(x, y - h / 2.0), (x + w / 2.0, y), (x, y + h / 2.0), (x - w / 2.0, y)])
        };
        let around = |x: f64, y: f64, w: f64, h: f64| upright(x - w / 2.0, y - h / 2.0, w, h);
        let draws: [(CellMarkKind, [f64; 4], &dyn Fn(f64, f64, f64, f64) -> Subpath); 4] = [
            (CellMarkKind::Choice, [121.1, 68.9, 2.3, 2.3], &lozenge),
            (CellMarkKind::Link, [120.0, 63.0, 2.2, 0.85], &around),
            (CellMarkKind::Cut, [120.725, 65.0, 0.85, 3.0], &around),
            (CellMarkKind::Start, [121.1, 61.1, 1.8, 1.8], &|x, y, w, h| {
                let on = |i: i32| (f64::from(i) * 15.0).to_radians();
                let spot = |i: i32| (x + w / 2.0 * on(i).cos(), y + h / 2.0 * on(i).sin());
                part(&(0..24).map(spot).collect::<Vec<_>>())
            }),
        ];
        for (what, at, draw) in draws {
            let of = |[x, y, w, h]: [f64; 4]| kind(draw(x, y, w, h));
            assert_eq!(of(at), Some(what));
            for measure in 0..4 {
                for (off, is_mark) in [(0.19, true), (-0.19, true), (0.21, false), (-0.21, false)] {
                    let mut measures = at;
                    measures[measure] += off;
                    assert_eq!(of(measures) == Some(what), is_mark, "{what:?} {measure} {off}");
                }
            }
        }
    }

    #[test]
    fn marks_stand_in_the_grid_and_dashes_on_its_edges_too() {
        let area = Bounds { left: 100.0, top: 50.0, right: 300.0, bottom: 150.0 };
        let lattice = Lattice { area, columns: 10, rows: 10 };
        let read = |path: Subpath| cell_mark(Part { path: &path, moved: PagePoint::default() }, &lattice);
        let dash = |x: f64, y: f64| read(upright(x - 1.1, y - 0.425, 2.2, 0.85)).map(|mark| (mark.row, mark.column));
        assert_eq!((dash(100.0, 53.0), dash(300.0, 143.0)), (Some((0, 0)), Some((9, 10))));
        assert_eq!((dash(80.0, 53.0), dash(320.0, 53.0)), (None, None));
        assert_eq!((dash(120.0, 43.0), dash(120.0, 153.0), dash(130.0, 53.0)), (None, None, None));
        let dot = |x: f64, y: f64| read(disc(x, y, 0.9)).map(|mark| (mark.row, mark.column, mark.at_left));
        assert_eq!((dot(101.1, 51.1), dot(298.9, 141.1)), (Some((0, 0, true)), Some((9, 9, false))));
        assert_eq!((dot(98.9, 51.1), dot(301.1, 51.1), dot(101.1, 151.1), dot(101.1, 41.1)), (None, None, None, None));
        // What is drawn over a whole page, in its order.
        let page = |kind| {
            let drawn = |path: Subpath| crate::proof::tests::drawn::mark(kind, Default::default(), vec![path]);
            PageMarks {
                painted: vec![drawn(disc(101.1, 51.1, 0.9)), drawn(disc(121.1, 61.1, 0.9))],
                ..PageMarks::default()
            }
        };
        let count = |kind| cell_marks(&page(kind), &lattice).len();
        assert_eq!((count(PaintKind::Fill), count(PaintKind::FillEvenOdd), count(PaintKind::Stroke(1.0))), (2, 2, 0));
    }
}
