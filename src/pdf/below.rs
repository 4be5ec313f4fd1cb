//! What lies where on a page for a print shop, so that black is printed over it wherever that can be: a black plate that is a
//! little off then shows no white rim.

use super::ink::{InkPaint, Inks, PrinterProfile};
use super::place::union;
use super::shapes::InkUse;
use crate::geom::{Length, Point, Rect};
use crate::page::{Cells, Segment};
use std::ops::Range;

/// Black this much stronger than that of its ground shows on it, in thousandths (our judgement).
const SHOWS: u16 = 150;
/// Neighbours that a stretch only touches with its ends are not what it lies on, points.
const TOUCH: f64 = 0.02;

/// Left, top, right, bottom of something on a page, points from its top left corner.
pub(super) type Extent = [f64; 4];

/// Everything drawn on a page so far.
#[derive(Default)]
pub(super) struct Below<'a> {
    grids: Vec<Grid<'a>>,
    areas: Vec<(Extent, Ground)>,
    /// Where the last drawing is measured from, and which of the areas it is.
    drawing: Option<((f64, f64), usize)>,
}

/// A grid of cells with what each of its inks puts on paper.
struct Grid<'a> {
    cells: &'a Cells,
    inked: Vec<Ground>,
}

/// What lies below something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Ground {
    /// The most cyan, magenta and yellow together, in thousandths.
    pub(crate) colours: u16,
    /// The least black, in thousandths.
    pub(crate) black: u16,
    /// Lightness of the lightest part.
    pub(crate) lightness: f64,
}

/// How black is put on its ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Black {
    /// Over it, as strong as this, in thousandths.
    Over(u16),
    /// In its place.
    Instead,
}

impl Ground {
    /// Nothing but paper.
    pub(crate) const PAPER: Ground = Ground { colours: 0, black: 0, lightness: 100.0 };
    /// A picture: nobody knows what lies where.
    pub(crate) const PICTURE: Ground = Ground { colours: u16::MAX, black: 0, lightness: 100.0 };

    fn of(paint: InkPaint, lightness: f64) -> Ground {
        Ground { colours: paint.colours(), black: paint.black(), lightness }
    }

    fn with(self, other: Ground) -> Ground {
        Ground {
            colours: self.colours.max(other.colours),
            black: self.black.min(other.black),
            lightness: self.lightness.max(other.lightness),
        }
    }

    /// How a line of this much black goes on it. Where the ground's own black is as strong, black over it would not show: there
    /// the line takes its place, and the ground's black closes up to it.
    pub(crate) fn takes_line(self, black: u16, profile: &PrinterProfile) -> Black {
        let carried = profile.black_over(self.colours).min(black);
        let shows = self.black == 0 || carried >= self.black.saturating_add(SHOWS);
        // Less than half as black as it is meant, and it is another line.
        if shows && carried >= black / 2 { Black::Over(carried) } else { Black::Instead }
    }

    /// How a mark of this much black and this lightness goes on it: one that is lighter than its ground takes its place.
    pub(crate) fn takes_mark(self, black: u16, lightness: f64, profile: &PrinterProfile) -> Black {
        if lightness < self.lightness { self.takes_line(black, profile) } else { Black::Instead }
    }
}

impl<'a> Below<'a> {
    /// A grid of cells.
    pub(crate) fn add_grid(&mut self, cells: &'a Cells, inks: Inks<'_>) {
        let inked = cells.inks.iter().map(|ink| match ink.ground {
            Some(ground) => Ground::of(inks.paint(ground, InkUse::Area), ground.lab().l),
            None => Ground::PAPER,
        });
        self.grids.push(Grid { cells, inked: inked.collect() });
    }

    /// An area of one colour.
    pub(crate) fn add_area(&mut self, extent: Extent, paint: InkPaint, lightness: f64) {
        self.areas.push((extent, Ground::of(paint, lightness)));
    }

    /// A picture.
    pub(crate) fn add_picture(&mut self, extent: Extent) {
        self.areas.push((extent, Ground::PICTURE));
    }

    /// A part of a drawing that is measured from `origin`. Those that carry black anywhere count as one area.
    pub(crate) fn add_part(&mut self, origin: Point, extent: Extent, colours: u16, profile: &PrinterProfile) {
        let ground = Ground { colours, ..Ground::PAPER };
        if profile.black_over(colours) < 1000 {
            self.areas.push((extent, ground));
            return;
        }
        let from = (origin.x.to_pt(), origin.y.to_pt());
        let last = self.drawing.filter(|(of, _)| *of == from).and_then(|(_, at)| self.areas.get_mut(at));
        match last {
            Some((known, of)) => {
                *known = union(*known, extent);
                *of = of.with(ground);
            }
            None => {
                self.drawing = Some((from, self.areas.len()));
                self.areas.push((extent, ground));
            }
        }
    }

    /// What lies below something.
    pub(crate) fn under(&self, extent: Extent) -> Ground {
        let touches = |other: &Extent| {
            extent[0] < other[2] && other[0] < extent[2] && extent[1] < other[3] && other[1] < extent[3]
        };
        let areas = self.areas.iter().filter(|(other, _)| touches(other)).map(|(_, ground)| *ground);
        let cells = self.grids.iter().flat_map(|grid| grid.under(extent));
        areas.chain(cells).reduce(Ground::with).unwrap_or(Ground::PAPER)
    }

    /// The parts of a straight line, cut wherever it comes from one cell of a grid to the next.
    pub(crate) fn stretches(&self, from: Point, to: Point, width: Length) -> Vec<(Point, Point)> {
        let upright = from.x.approx_eq(to.x);
        if !upright && !from.y.approx_eq(to.y) {
            return vec![(from, to)];
        }
        let along = |p: Point| if upright { p.y.to_pt() } else { p.x.to_pt() };
        let (start, end) = (along(from), along(to));
        let extent = line_extent(from, to, width);
        let mut cuts: Vec<f64> = self.grids.iter().flat_map(|grid| grid.edges(upright, extent)).collect();
        cuts.retain(|at| *at > start.min(end) + TOUCH && *at < start.max(end) - TOUCH);
        cuts.sort_by(f64::total_cmp);
        cuts.dedup_by(|a, b| (*a - *b).abs() < TOUCH);
        if end < start {
            cuts.reverse();
        }
        let at = |place: f64| match upright {
            true => Point::new(from.x, Length::pt(place)),
            false => Point::new(Length::pt(place), from.y),
        };
        let places: Vec<Point> = [from].into_iter().chain(cuts.into_iter().map(at)).chain([to]).collect();
        places.windows(2).map(|pair| (pair[0], pair[1])).collect()
    }
}

impl Grid<'_> {
    fn top_left(&self) -> (f64, f64) {
        (self.cells.origin.x.to_pt(), self.cells.origin.y.to_pt())
    }

    fn cell(&self) -> (f64, f64) {
        (self.cells.cell.width.to_pt(), self.cells.cell.height.to_pt())
    }

    /// Columns and rows that lie below something.
    fn touched(&self, extent: Extent) -> (Range<usize>, Range<usize>) {
        let ((left, top), (width, height)) = (self.top_left(), self.cell());
        let range = |from: f64, to: f64, start: f64, step: f64, count: usize| {
            let place = |at: f64| ((at - start) / step).clamp(0.0, count as f64);
            place(from).floor() as usize..place(to).ceil() as usize
        };
        let columns = range(extent[0], extent[2], left, width, self.cells.columns);
        (columns, range(extent[1], extent[3], top, height, self.cells.rows()))
    }

    fn under(&self, extent: Extent) -> Option<Ground> {
        let (columns, rows) = self.touched(extent);
        let cells = rows.flat_map(|row| {
            let start = row * self.cells.columns;
            self.cells.cells.get(start + columns.start..start + columns.end).unwrap_or_default()
        });
        let ground =
            |ink: &Option<u8>| ink.and_then(|ink| self.inked.get(usize::from(ink)).copied()).unwrap_or(Ground::PAPER);
        cells.map(ground).reduce(Ground::with)
    }

    /// Where cells meet along an upright or a level line.
    fn edges(&self, upright: bool, extent: Extent) -> Vec<f64> {
        let (columns, rows) = self.touched(extent);
        if columns.is_empty() || rows.is_empty() {
            return Vec::new();
        }
        let ((left, top), (width, height)) = (self.top_left(), self.cell());
        match upright {
            true => (rows.start..=rows.end).map(|row| top + height * row as f64).collect(),
            false => (columns.start..=columns.end).map(|column| left + width * column as f64).collect(),
        }
    }
}

/// What a stretch of a straight line covers, without what lies beyond its ends.
pub(super) fn line_extent(from: Point, to: Point, width: Length) -> Extent {
    let half = width.to_pt() / 2.0;
    let [x0, x1] = [from.x.min(to.x).to_pt(), from.x.max(to.x).to_pt()];
    let [y0, y1] = [from.y.min(to.y).to_pt(), from.y.max(to.y).to_pt()];
    match from.x.approx_eq(to.x) {
        true => [x0 - half, y0 + TOUCH, x1 + half, y1 - TOUCH],
        false => [x0 + TOUCH, y0 - half, x1 - TOUCH, y1 + half],
    }
}

/// What a box covers.
pub(super) fn extent_of_box(area: Rect) -> Extent {
    [area.left(), area.top(), area.right(), area.bottom()].map(Length::to_pt)
}

/// What an outline covers, with half the width of its line round it.
pub(super) fn extent_of(outline: &[Segment], origin: Point, width: Length) -> Option<Extent> {
    let half = width.to_pt() / 2.0;
    let points = outline.iter().flat_map(|segment| segment.points()).map(|p| p.moved(origin.x, origin.y));
    let around = points.map(|p| {
        let (x, y) = (p.x.to_pt(), p.y.to_pt());
        [x - half, y - half, x + half, y + half]
    });
    around.reduce(union)
}
