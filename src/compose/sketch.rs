//! Shapes as SVG, for looking at drawings while they are made. Only built for tests.

use crate::colour::Colour;
use crate::geom::{Point, Rect};
use crate::page::{Segment, Shape};
use std::fmt::Write;

/// An SVG picture of `shapes` in points, showing `area`.
pub(super) fn svg(shapes: &[Shape], area: Rect) -> String {
    let (x, y, w, h) = (area.left().to_pt(), area.top().to_pt(), area.size.width.to_pt(), area.size.height.to_pt());
    let mut out =
        format!("<svg xmlns='http://www.w3.org/2000/svg' viewBox='{x} {y} {w} {h}' width='{w}' height='{h}'>");
    let _ = write!(out, "<rect x='{x}' y='{y}' width='{w}' height='{h}' fill='#fff'/>");
    for shape in shapes {
        let _ = write!(
            out,
            "<path d='{}' fill='{}'",
            path(&shape.outline),
            shape.fill.map_or("none".into(), Colour::to_hex)
        );
        if let Some(stroke) = &shape.stroke {
            let _ = write!(out, " stroke='{}' stroke-width='{}'", stroke.colour.to_hex(), stroke.width.to_pt());
            if stroke.round {
                out.push_str(" stroke-linecap='round' stroke-linejoin='round'");
            }
            let dash: Vec<String> = stroke.dash.iter().map(|d| d.to_pt().to_string()).collect();
            let _ = write!(out, " stroke-dasharray='{}'", if dash.is_empty() { "none".into() } else { dash.join(" ") });
        }
        out.push_str("/>\n");
    }
    out + "</svg>"
}

/// Writes a picture into the system's folder for temporary files and says where.
pub(super) fn show(name: &str, shapes: &[Shape], area: Rect) {
    let file = std::env::temp_dir().join(format!("{name}.svg"));
    match std::fs::write(&file, svg(shapes, area)) {
        Ok(()) => println!("{}", file.display()),
        Err(fault) => println!("{}: {fault}", file.display()),
    }
}

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
