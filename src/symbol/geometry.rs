//! From discs, boxes and bent edges to outlines and areas, in a box of side one about (0, 0), y downwards.

use crate::geom::Point;
use crate::page::Segment;

/// A piece of a symbol. Inked pieces may touch but never overlap, and a cut lies inside one inked piece, so that the
/// inked share is a plain sum and the winding number is never other than 0 or 1.
#[derive(Clone, Copy)]
pub(super) enum Part {
    /// Filled.
    Ink(PartShape),
    /// Left open inside an inked piece.
    Cut(PartShape),
}

/// The shape of a piece.
#[derive(Clone, Copy)]
pub(super) enum PartShape {
    /// Centre and radius.
    Disc(f64, f64, f64),
    /// Left, top, right, bottom.
    Box(f64, f64, f64, f64),
    /// Edges one after another, closed at the end.
    Bent(&'static [Edge]),
}

/// One edge of a bent piece.
#[derive(Clone, Copy)]
pub(super) enum Edge {
    /// Straight to x, y.
    To(f64, f64),
    /// Straight to the start of an arc and along it: centre, radius, from and to in degrees; angles grow clockwise as
    /// seen, from the right. The way round is that from the first angle to the second.
    Arc(f64, f64, f64, f64, f64),
}

/// One closed outline after another: inked ones run clockwise as seen, cuts the other way round.
pub(super) fn outline(parts: &[Part]) -> Vec<Segment> {
    parts.iter().flat_map(|&part| traced(part).segments()).collect()
}

/// The inked share of the box.
pub(super) fn inked(parts: &[Part]) -> f64 {
    parts.iter().map(|&part| traced(part).area()).sum()
}

/// A closed outline: its start and then cubic curves, `None` for the controls of a straight edge.
struct Trace {
    start: (f64, f64),
    edges: Vec<CurveStep>,
}

/// Two control points (`None`: straight) and the end.
type CurveStep = (Option<[(f64, f64); 2]>, (f64, f64));

/// A part's outline in the direction its kind asks for.
fn traced(part: Part) -> Trace {
    let (form, clockwise) = match part {
        Part::Ink(form) => (form, true),
        Part::Cut(form) => (form, false),
    };
    let trace = match form {
        PartShape::Disc(x, y, r) => bent(&[Edge::Arc(x, y, r, 0.0, 360.0)]),
        PartShape::Box(left, top, right, bottom) => {
            bent(&[Edge::To(left, top), Edge::To(right, top), Edge::To(right, bottom), Edge::To(left, bottom)])
        }
        PartShape::Bent(edges) => bent(edges),
    };
    if (trace.area() > 0.0) == clockwise { trace } else { trace.reversed() }
}

fn bent(edges: &[Edge]) -> Trace {
    let mut start = None;
    let mut steps: Vec<CurveStep> = Vec::new();
    let mut go = |steps: &mut Vec<CurveStep>, to: (f64, f64)| {
        let at = steps.last().map(|step| step.1).or(start);
        match at {
            None => start = Some(to),
            // Where one arc goes on from another there is no edge between them.
            Some(at) if (at.0 - to.0).abs() + (at.1 - to.1).abs() < 1e-6 => {}
            Some(_) => steps.push((None, to)),
        }
    };
    for &edge in edges {
        match edge {
            Edge::To(x, y) => go(&mut steps, (x, y)),
            Edge::Arc(x, y, r, from, to) => {
                let on = |degrees: f64| {
                    let (sin, cos) = libm::sincos(degrees.to_radians());
                    (sin, cos, (x + r * cos, y + r * sin))
                };
                go(&mut steps, on(from).2);
                // A cubic follows a quarter of a circle within 0.03 % of the radius; longer arcs are divided.
                let pieces = ((to - from).abs() / 90.0).ceil().max(1.0);
                let sweep = (to - from) / pieces;
                let handle = 4.0 / 3.0 * libm::tan(sweep.to_radians() / 4.0) * r;
                for piece in 0..pieces as usize {
                    let (s0, c0, p0) = on(from + sweep * piece as f64);
                    let (s1, c1, p1) = on(from + sweep * (piece + 1) as f64);
                    let controls = [(p0.0 - s0 * handle, p0.1 + c0 * handle), (p1.0 + s1 * handle, p1.1 - c1 * handle)];
                    steps.push((Some(controls), p1));
                }
            }
        }
    }
    Trace { start: start.unwrap_or_default(), edges: steps }
}

impl Trace {
    /// Signed area, positive when the outline runs clockwise as seen (y grows downwards).
    fn area(&self) -> f64 {
        let cross = |a: (f64, f64), b: (f64, f64)| a.0 * b.1 - a.1 * b.0;
        let (mut at, mut sum) = (self.start, 0.0);
        for &(controls, to) in &self.edges {
            // Green's theorem; for a cubic the integral of x dy - y dx has this closed form in its control points.
            sum += match controls {
                None => cross(at, to) / 2.0,
                Some([a, b]) => {
                    (6.0 * cross(at, a)
                        + 3.0 * cross(at, b)
                        + cross(at, to)
                        + 3.0 * cross(a, b)
                        + 3.0 * cross(a, to)
                        + 6.0 * cross(b, to))
                        / 20.0
                }
            };
            at = to;
        }
        sum + cross(at, self.start) / 2.0
    }

    fn reversed(self) -> Trace {
        let mut points = vec![self.start];
        points.extend(self.edges.iter().map(|step| step.1));
        let edges = (0..self.edges.len()).rev().map(|i| (self.edges[i].0.map(|[a, b]| [b, a]), points[i])).collect();
        Trace { start: *points.last().unwrap_or(&self.start), edges }
    }

    fn segments(self) -> Vec<Segment> {
        let point = |(x, y): (f64, f64)| Point::pt(x, y);
        let mut out = vec![Segment::Move(point(self.start))];
        out.extend(self.edges.into_iter().map(|(controls, to)| match controls {
            None => Segment::Line(point(to)),
            Some([a, b]) => Segment::Curve(point(a), point(b), point(to)),
        }));
        out.push(Segment::Close);
        out
    }
}
