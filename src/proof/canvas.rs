//! Paints marks into a grid of samples, in drawing order: what an eye would see at each sample, without any blurring.
//!
//! This is how cells are read: however a colour or a symbol was drawn, only what is left on top counts.

use crate::reader::marks::{Paint, PaintKind, PaintedMark, Part, Subpath};
use crate::reader::matrix::{Bounds, PagePoint};
use std::ops::Range;

/// A sample that is covered by something other than a plain colour.
pub(super) const OTHER: u32 = 0x0100_0000;
/// The paper.
pub(super) const PAPER: u32 = 0x00ff_ffff;

/// Samples of a page, row by row; colours as 0xRRGGBB.
pub(super) struct Canvas {
    /// Where the columns of samples stand, left to right.
    xs: Vec<f64>,
    /// Where the rows of samples stand, top to bottom.
    ys: Vec<f64>,
    area: Bounds,
    samples: Vec<u32>,
    crossings: Vec<Vec<(f64, i32)>>,
}

impl Canvas {
    /// White paper with samples in these columns and rows, both in rising order.
    pub(crate) fn new(xs: Vec<f64>, ys: Vec<f64>) -> Canvas {
        Canvas {
            area: around(&xs, &ys),
            samples: vec![PAPER; xs.len() * ys.len()],
            crossings: vec![Vec::new(); ys.len()],
            xs,
            ys,
        }
    }

    /// A sample's colour; paper outside.
    #[cfg(test)]
    fn at(&self, x: usize, y: usize) -> u32 {
        if x < self.xs.len() { self.samples.get(y * self.xs.len() + x).copied().unwrap_or(PAPER) } else { PAPER }
    }

    /// Samples of one row from a column on; empty where they would reach beyond the canvas.
    pub(crate) fn line(&self, y: usize, from: usize, count: usize) -> &[u32] {
        let start = y * self.xs.len() + from;
        if from + count <= self.xs.len() { self.samples.get(start..start + count).unwrap_or(&[]) } else { &[] }
    }

    /// White paper again.
    pub(crate) fn clear(&mut self) {
        self.samples.fill(PAPER);
    }

    /// The same samples in other places, as many of them; what was painted stays.
    pub(crate) fn move_to(&mut self, xs: Vec<f64>, ys: Vec<f64>) {
        assert_eq!((xs.len(), ys.len()), (self.xs.len(), self.ys.len()));
        self.area = around(&xs, &ys);
        (self.xs, self.ys) = (xs, ys);
    }

    /// Paints all samples of these rows and columns.
    pub(crate) fn fill_box(&mut self, rows: Range<usize>, columns: Range<usize>, colour: u32, opacity: f64) {
        for row in rows {
            self.fill_line(row, columns.clone(), colour, opacity);
        }
    }

    /// Paints one mark over what is there.
    pub(crate) fn paint(&mut self, mark: &PaintedMark) {
        let clip = mark.clip.map_or(self.area, |clip| clip.shared(&self.area));
        if clip.is_empty() || !mark.bounds.grown(reach_of(mark)).meets(&clip) {
            return;
        }
        let colour = colour_of(mark);
        match mark.kind {
            PaintKind::Fill | PaintKind::Picture => self.fill(mark.parts(), false, &clip, colour, mark.opacity),
            PaintKind::FillEvenOdd => self.fill(mark.parts(), true, &clip, colour, mark.opacity),
            PaintKind::Stroke(width) => {
                for part in mark.parts().filter(|part| part.bounds().grown(width / 2.0).meets(&clip)) {
                    for corners in stroke_sides(part, width) {
                        let mut bounds = Bounds::EMPTY;
                        corners.iter().for_each(|spot| bounds.take_in(*spot));
                        if bounds.meets(&clip) {
                            let path = Subpath { spots: corners.to_vec(), closed: true, bounds };
                            let part = Part { path: &path, moved: PagePoint::default() };
                            self.fill(std::iter::once(part), false, &clip, colour, mark.opacity);
                        }
                    }
                }
            }
        }
    }

    /// Scan lines through the samples' centres: where the outline is crossed, and how often it winds round.
    fn fill<'p>(
        &mut self,
        parts: impl Iterator<Item = Part<'p>>,
        even_odd: bool,
        clip: &Bounds,
        colour: u32,
        opacity: f64,
    ) {
        let row_of = |y: f64| first_from(&self.ys, y);
        // The clip's own edges count as inside, so that a mark is not cut where the samples end.
        let (top, bottom) = (row_of(clip.top), self.ys.partition_point(|row| *row <= clip.bottom));
        let (left, right) = (first_from(&self.xs, clip.left), self.xs.partition_point(|column| *column <= clip.right));
        let (mut first, mut last) = (usize::MAX, 0);
        // A part that lies wholly beside the clip crosses every scan line in pairs that cancel out.
        for part in parts.filter(|part| part.bounds().meets(clip)) {
            for (a, b) in part.sides(true) {
                if a.y == b.y {
                    continue;
                }
                let (upper, lower, turn) = if a.y < b.y { (a, b, 1) } else { (b, a, -1) };
                let slope = (lower.x - upper.x) / (lower.y - upper.y);
                for row in row_of(upper.y).max(top)..row_of(lower.y).min(bottom) {
                    if let (Some(y), Some(list)) = (self.ys.get(row), self.crossings.get_mut(row)) {
                        list.push((upper.x + (*y - upper.y) * slope, turn));
                        first = first.min(row);
                        last = last.max(row + 1);
                    }
                }
            }
        }
        for row in first.min(last)..last {
            let mut list = std::mem::take(&mut self.crossings[row]);
            list.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut winding = 0_i32;
            for pair in list.windows(2) {
                winding = winding.wrapping_add(pair[0].1);
                let inside = if even_odd { winding % 2 != 0 } else { winding != 0 };
                if inside {
                    let (from, to) =
                        (first_from(&self.xs, pair[0].0).max(left), first_from(&self.xs, pair[1].0).min(right));
                    self.fill_line(row, from..to, colour, opacity);
                }
            }
            list.clear();
            self.crossings[row] = list;
        }
    }

    fn fill_line(&mut self, row: usize, columns: Range<usize>, colour: u32, opacity: f64) {
        let start = row * self.xs.len();
        if let Some(samples) = self.samples.get_mut(start + columns.start..start + columns.end.max(columns.start)) {
            if opacity >= OPAQUE {
                samples.fill(colour);
            } else {
                samples.iter_mut().for_each(|under| *under = over(*under, colour, opacity));
            }
        }
    }
}

/// From this on nothing shines through.
pub(super) const OPAQUE: f64 = 0.999;

/// From the first to the last of these places.
fn around(xs: &[f64], ys: &[f64]) -> Bounds {
    let ends = |v: &[f64]| v.first().copied().zip(v.last().copied()).unwrap_or((0.0, 0.0));
    let ((left, right), (top, bottom)) = (ends(xs), ends(ys));
    Bounds { left, top, right, bottom }
}

/// How far a mark reaches beyond its outline.
pub(super) fn reach_of(mark: &PaintedMark) -> f64 {
    match mark.kind {
        PaintKind::Stroke(width) => width / 2.0,
        PaintKind::Fill | PaintKind::FillEvenOdd | PaintKind::Picture => 0.0,
    }
}

/// What it leaves on a sample.
pub(super) fn colour_of(mark: &PaintedMark) -> u32 {
    match mark.paint {
        Paint::Flat(c) => u32::from(c.r) << 16 | u32::from(c.g) << 8 | u32::from(c.b),
        Paint::Other => OTHER,
    }
}

/// The corners of each straight piece of a stroke as a band of the line's width; corners and ends are cut square.
pub(super) fn stroke_sides(part: Part<'_>, width: f64) -> impl Iterator<Item = [PagePoint; 4]> {
    part.sides(part.path.closed).filter_map(move |(a, b)| {
        let length = libm::hypot(b.x - a.x, b.y - a.y);
        let (nx, ny) = ((a.y - b.y) / length * width / 2.0, (b.x - a.x) / length * width / 2.0);
        let beside = |spot: PagePoint, side: f64| PagePoint { x: spot.x + side * nx, y: spot.y + side * ny };
        (length >= 1e-9).then(|| [beside(a, 1.0), beside(b, 1.0), beside(b, -1.0), beside(a, -1.0)])
    })
}

/// The first of these places, which rise, that is not left of (or above) `at`. They are nearly even, so it is guessed and
/// then put right.
pub(super) fn first_from(places: &[f64], at: f64) -> usize {
    let (Some(first), Some(last)) = (places.first(), places.last()) else { return 0 };
    let guess = ((at - first) / (last - first) * (places.len() - 1) as f64).ceil();
    // What is no number becomes 0.
    let mut found = (guess as usize).min(places.len());
    while places.get(found).is_some_and(|place| *place < at) {
        found += 1;
    }
    while found > 0 && places[found - 1] >= at {
        found -= 1;
    }
    found
}

/// A colour laid over another.
fn over(under: u32, colour: u32, opacity: f64) -> u32 {
    if under == OTHER || colour == OTHER {
        return OTHER;
    }
    let mix = |shift: u32| {
        let (a, b) = (f64::from(under >> shift & 255), f64::from(colour >> shift & 255));
        ((a + (b - a) * opacity).round() as u32) << shift
    };
    mix(16) | mix(8) | mix(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Colour;
    use crate::reader::matrix::Matrix;
    use crate::reader::outline::Outline;
    use std::sync::Arc;

    fn mark(kind: PaintKind, hex: &str, draw: impl FnOnce(&mut Outline)) -> PaintedMark {
        let mut outline = Outline::new();
        draw(&mut outline);
        let shape = outline.take();
        let mut bounds = Bounds::EMPTY;
        shape.iter().flat_map(|part| &part.spots).for_each(|spot| bounds.take_in(*spot));
        let paint = Paint::Flat(Colour::from_hex(hex).unwrap_or_default());
        PaintedMark {
            kind,
            paint,
            opacity: 1.0,
            shape: Arc::new(shape),
            moved: PagePoint::default(),
            bounds,
            clip: None,
        }
    }

    fn ten() -> Canvas {
        let middles = || (0..10).map(|i| f64::from(i) + 0.5).collect();
        Canvas::new(middles(), middles())
    }

    #[test]
    fn a_place_is_found_wherever_it_is_asked_for() {
        let mut random = fastrand::Rng::with_seed(20_261_128);
        for _ in 0..2_000 {
            let mut places: Vec<f64> = (0..random.usize(0..40)).map(|_| random.f64() * 9.0).collect();
            places.sort_by(f64::total_cmp);
            for at in
                [random.f64() * 12.0 - 2.0, f64::INFINITY, f64::NEG_INFINITY, places.first().copied().unwrap_or(1.0)]
            {
                assert_eq!(first_from(&places, at), places.partition_point(|place| *place < at), "{at} in {places:?}");
            }
        }
        assert_eq!(first_from(&[1.0, 2.0], f64::NAN), 0);
    }

    #[test]
    fn later_marks_lie_over_earlier_ones() {
        let mut canvas = ten();
        let m = Matrix::IDENTITY;
        canvas.paint(&mark(PaintKind::Fill, "#ff0000", |o| o.rectangle(&m, -5.0, -5.0, 100.0, 9.0)));
        canvas.paint(&mark(PaintKind::Fill, "#0000ff", |o| o.rectangle(&m, 2.0, 2.0, 3.0, 30.0)));
        assert_eq!(canvas.at(0, 0), 0xff0000);
        assert_eq!(canvas.at(0, 3), 0xff0000);
        assert_eq!(canvas.at(0, 4), PAPER);
        assert_eq!(canvas.at(2, 2), 0x0000ff);
        assert_eq!(canvas.at(4, 9), 0x0000ff);
        assert_eq!(canvas.at(5, 9), PAPER);
    }

    #[test]
    fn winding_decides_whether_a_hole_is_open() {
        let m = Matrix::IDENTITY;
        let ring = |o: &mut Outline| {
            o.rectangle(&m, 0.0, 0.0, 10.0, 10.0);
            o.rectangle(&m, 3.0, 3.0, 4.0, 4.0);
        };
        let mut canvas = ten();
        canvas.paint(&mark(PaintKind::Fill, "#000000", ring));
        assert_eq!(canvas.at(5, 5), 0);
        let mut canvas = ten();
        canvas.paint(&mark(PaintKind::FillEvenOdd, "#000000", ring));
        assert_eq!((canvas.at(5, 5), canvas.at(1, 5)), (PAPER, 0));
    }

    #[test]
    fn between_two_boxes_of_one_path_nothing_is_painted() {
        let m = Matrix::IDENTITY;
        for kind in [PaintKind::Fill, PaintKind::FillEvenOdd] {
            let mut canvas = ten();
            canvas.paint(&mark(kind, "#000000", |o| {
                o.rectangle(&m, 1.0, 1.0, 2.0, 8.0);
                o.rectangle(&m, 6.0, 1.0, 2.0, 8.0);
            }));
            let line: Vec<bool> = (0..10).map(|x| canvas.at(x, 5) == 0).collect();
            assert_eq!(line, [false, true, true, false, false, false, true, true, false, false]);
        }
    }

    #[test]
    fn lines_have_their_width_and_clips_cut() {
        let mut canvas = ten();
        let mut line = mark(PaintKind::Stroke(2.0), "#00ff00", |o| {
            o.start(&Matrix::IDENTITY, 0.0, 5.0);
            o.line(&Matrix::IDENTITY, 10.0, 5.0);
        });
        line.clip = Some(Bounds { left: 0.0, top: 0.0, right: 4.0, bottom: 10.0 });
        canvas.paint(&line);
        let column: Vec<bool> = (0..10).map(|y| canvas.at(1, y) == 0x00ff00).collect();
        assert_eq!(column.iter().filter(|g| **g).count(), 2);
        assert_eq!(canvas.at(8, 5), PAPER);
    }

    #[test]
    fn a_see_through_mark_is_mixed_with_what_lies_under_it() {
        let mut canvas = ten();
        let mut veil = mark(PaintKind::Fill, "#000000", |o| o.rectangle(&Matrix::IDENTITY, 0.0, 0.0, 10.0, 10.0));
        veil.opacity = 0.2;
        canvas.paint(&veil);
        // Own computation: 255 x 0.8 = 204.
        assert_eq!(canvas.at(5, 5), 0xcccccc);
    }

    #[test]
    fn a_line_covers_its_width_along_its_length_whichever_way_it_runs() {
        let count = |from: (f64, f64), to: (f64, f64), width: f64| {
            let mut canvas = ten();
            canvas.paint(&mark(PaintKind::Stroke(width), "#00ff00", |o| {
                o.start(&Matrix::IDENTITY, from.0, from.1);
                o.line(&Matrix::IDENTITY, to.0, to.1);
            }));
            let all = (0..100).filter(|at| canvas.at(at % 10, at / 10) == 0x00ff00);
            all.map(|at| (at % 10, at / 10)).collect::<Vec<_>>()
        };
        let columns = |line: Vec<(usize, usize)>| line.iter().map(|(x, _)| *x).collect::<Vec<_>>();
        let rows = |line: Vec<(usize, usize)>| line.iter().map(|(_, y)| *y).collect::<Vec<_>>();
        assert_eq!(columns(count((5.0, 3.0), (5.0, 4.0), 4.0)), [3, 4, 5, 6]);
        assert_eq!(rows(count((3.0, 5.0), (4.0, 5.0), 6.0)), [2, 3, 4, 5, 6, 7]);
        // Own computation: on the diagonal two points wide, samples up to the root of two beside the middle.
        let slanted = count((0.0, 0.0), (10.0, 10.0), 2.0);
        assert!(slanted.iter().all(|(x, y)| x.abs_diff(*y) < 2), "{slanted:?}");
        assert_eq!(slanted.len(), 28);
        // A point has no direction, and is no line.
        assert_eq!(count((5.0, 5.0), (5.0, 5.0), 4.0), []);
    }

    #[test]
    fn what_lies_outside_is_not_painted_and_lines_of_samples_end_with_the_canvas() {
        let mut canvas = ten();
        let m = Matrix::IDENTITY;
        canvas.paint(&mark(PaintKind::Fill, "#ff0000", |o| o.rectangle(&m, 12.0, 0.0, 5.0, 10.0)));
        assert_eq!(canvas.line(0, 0, 10), [PAPER; 10]);
        // A wide line beside the canvas reaches into it.
        canvas.paint(&mark(PaintKind::Stroke(8.0), "#ff0000", |o| {
            o.start(&m, 12.0, 0.0);
            o.line(&m, 12.0, 10.0);
        }));
        assert_eq!(canvas.line(3, 7, 3), [PAPER, 0xff0000, 0xff0000]);
        let none: [u32; 0] = [];
        assert_eq!((canvas.line(3, 7, 4), canvas.line(10, 0, 10)), (&none[..], &none[..]));
        assert_eq!(canvas.line(9, 0, 10).len(), 10);
        canvas.clear();
        assert_eq!(canvas.line(3, 7, 3), [PAPER; 3]);
        // The same samples elsewhere.
        canvas.move_to((20..30).map(f64::from).collect(), (0..10).map(f64::from).collect());
        canvas.paint(&mark(PaintKind::Fill, "#ff0000", |o| o.rectangle(&m, 22.5, 1.5, 2.0, 2.0)));
        assert_eq!(
            (canvas.line(2, 2, 4), canvas.line(1, 3, 1)),
            (&[PAPER, 0xff0000, 0xff0000, PAPER][..], &[PAPER][..])
        );
        canvas.fill_box(4..6, 1..3, 0x00ff00, 1.0);
        assert_eq!(
            (canvas.line(5, 0, 4), canvas.line(6, 1, 1)),
            (&[PAPER, 0x00ff00, 0x00ff00, PAPER][..], &[PAPER][..])
        );
    }

    #[test]
    fn colours_are_mixed_channel_by_channel() {
        // Own computation: a quarter of the way.
        assert_eq!(over(0x000000, 0xff8040, 0.25), 0x402010);
        assert_eq!(over(0x804020, 0x000000, 0.5), 0x402010);
        assert_eq!((over(OTHER, 0, 0.5), over(0, OTHER, 0.5)), (OTHER, OTHER));
        let plain = mark(PaintKind::Stroke(3.0), "#123456", |_| {});
        assert_eq!((colour_of(&plain), reach_of(&plain)), (0x123456, 1.5));
        let pattern = PaintedMark { paint: Paint::Other, kind: PaintKind::Fill, ..plain };
        assert_eq!((colour_of(&pattern), reach_of(&pattern)), (OTHER, 0.0));
        // What is all but opaque hides what lies under it.
        let mut canvas = ten();
        canvas.fill_box(0..1, 0..1, 0xff0000, 1.0);
        canvas.fill_box(0..1, 0..1, 0x000000, OPAQUE);
        assert_eq!(canvas.at(0, 0), 0);
    }
}
