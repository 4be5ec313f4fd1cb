//! Outlines while they are being drawn: parts, curves flattened, in page coordinates.

use super::marks::Subpath;
use super::matrix::{Bounds, Matrix, PagePoint};

/// Collects the parts of the path under construction.
pub(crate) struct Outline {
    parts: Vec<Subpath>,
    now: Vec<PagePoint>,
    /// Corners so far, for limits.
    spots: usize,
}

impl Outline {
    /// Nothing drawn yet.
    pub(crate) fn new() -> Outline {
        Outline { parts: Vec::new(), now: Vec::new(), spots: 0 }
    }

    /// Corners of the path under construction.
    pub(crate) fn spots(&self) -> usize {
        self.spots
    }

    /// Hands over what was drawn and starts afresh.
    pub(crate) fn take(&mut self) -> Vec<Subpath> {
        self.finish(false);
        self.spots = 0;
        std::mem::take(&mut self.parts)
    }

    /// A new part from here.
    pub(crate) fn start(&mut self, ctm: &Matrix, x: f64, y: f64) {
        self.finish(false);
        self.add(ctm.apply(x, y));
    }

    /// Straight to.
    pub(crate) fn line(&mut self, ctm: &Matrix, x: f64, y: f64) {
        self.add(ctm.apply(x, y));
    }

    /// A curve with two control points to its end.
    pub(crate) fn curve(&mut self, ctm: &Matrix, v: [f64; 6]) {
        let (b, c, d) = (ctm.apply(v[0], v[1]), ctm.apply(v[2], v[3]), ctm.apply(v[4], v[5]));
        self.flatten(b, c, d);
    }

    /// A curve whose first control point is where it starts.
    pub(crate) fn curve_from_here(&mut self, ctm: &Matrix, v: [f64; 4]) {
        let (c, d) = (ctm.apply(v[0], v[1]), ctm.apply(v[2], v[3]));
        let b = self.now.last().copied().unwrap_or(c);
        self.flatten(b, c, d);
    }

    /// Back to the part's start.
    pub(crate) fn close(&mut self) {
        let first = self.now.first().copied();
        self.finish(true);
        // The current point after closing is the part's start; a line without a new start goes on from there.
        if let Some(first) = first {
            self.now.push(first);
        }
    }

    /// A rectangle as a part of its own.
    pub(crate) fn rectangle(&mut self, ctm: &Matrix, x: f64, y: f64, width: f64, height: f64) {
        self.finish(false);
        self.now.extend(ctm.apply_box(x, y, x + width, y + height));
        self.spots += 4;
        self.close();
    }

    fn add(&mut self, spot: PagePoint) {
        self.spots += 1;
        self.now.push(spot);
    }

    fn flatten(&mut self, b: PagePoint, c: PagePoint, d: PagePoint) {
        let a = self.now.last().copied().unwrap_or(b);
        let length = gap(a, b) + gap(b, c) + gap(c, d);
        // A chord for each point and a half keeps within a fiftieth of a point at the size of a symbol.
        let steps = (length / 1.5).ceil().clamp(4.0, 48.0) as usize;
        for step in 1..=steps {
            let t = step as f64 / steps as f64;
            let u = 1.0 - t;
            let (wa, wb, wc, wd) = (u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t);
            self.add(PagePoint {
                x: wa * a.x + wb * b.x + wc * c.x + wd * d.x,
                y: wa * a.y + wb * b.y + wc * c.y + wd * d.y,
            });
        }
    }

    fn finish(&mut self, closed: bool) {
        let spots = std::mem::take(&mut self.now);
        // A single point draws nothing that could be read.
        if spots.len() < 2 {
            return;
        }
        let mut bounds = Bounds::EMPTY;
        for spot in &spots {
            bounds.take_in(*spot);
        }
        self.parts.push(Subpath { spots, closed, bounds });
    }
}

fn gap(a: PagePoint, b: PagePoint) -> f64 {
    libm::hypot(a.x - b.x, a.y - b.y)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rectangle_and_a_line_are_two_parts() {
        let mut outline = Outline::new();
        outline.rectangle(&Matrix::IDENTITY, 10.0, 20.0, 30.0, 5.0);
        outline.start(&Matrix::IDENTITY, 0.0, 0.0);
        outline.line(&Matrix::IDENTITY, 7.0, 0.0);
        let parts = outline.take();
        assert_eq!(parts.len(), 2);
        assert!(parts[0].is_box() && parts[0].closed);
        assert_eq!(parts[0].bounds, Bounds { left: 10.0, top: 20.0, right: 40.0, bottom: 25.0 });
        assert!(!parts[1].closed);
        assert_eq!(outline.take(), Vec::new());
    }

    #[test]
    fn a_flattened_circle_keeps_its_size() {
        // The usual four-curve circle; its control distance 0.5523 is from memory.
        let k = 0.5523 * 3.0;
        let mut outline = Outline::new();
        let m = Matrix::IDENTITY;
        outline.start(&m, 3.0, 0.0);
        outline.curve(&m, [3.0, k, k, 3.0, 0.0, 3.0]);
        outline.curve(&m, [-k, 3.0, -3.0, k, -3.0, 0.0]);
        outline.curve(&m, [-3.0, -k, -k, -3.0, 0.0, -3.0]);
        outline.curve(&m, [k, -3.0, 3.0, -k, 3.0, 0.0]);
        outline.close();
        let parts = outline.take();
        for spot in &parts[0].spots {
            assert!((gap(*spot, PagePoint { x: 0.0, y: 0.0 }) - 3.0).abs() < 0.02);
        }
    }
}
