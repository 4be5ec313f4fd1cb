//! Outlines as SVG paths, for the picture of the symbols. Only built for tests.

use crate::geom::Point;
use crate::page::Segment;
use std::fmt::Write;

/// The outline as the `d` of a path, in points.
pub(super) fn path(outline: &[Segment]) -> String {
    let mut out = String::new();
    let at = |p: Point| format!("{:.3} {:.3}", p.x.to_pt(), p.y.to_pt());
    for segment in outline {
        let _ = match *segment {
            Segment::Move(p) => write!(out, "M{}", at(p)),
            Segment::Line(p) => write!(out, "L{}", at(p)),
            Segment::Curve(a, b, p) => write!(out, "C{} {} {}", at(a), at(b), at(p)),
            Segment::Close => write!(out, "Z"),
        };
    }
    out
}
