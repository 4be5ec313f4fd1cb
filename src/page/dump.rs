//! The display list as stable text, for golden tests: one line an item, points with two decimals.

use super::{Artifact, Booklet, Item, Mark, Role, Segment, Shape, Structure, Target};
use crate::colour::Colour;
use crate::geom::{Length, Point, Rect};
use std::fmt::Write;

fn shape(out: &mut String, mark: &str, shape: &Shape, origin: Point) {
    let fill = shape.fill.map_or("-".to_string(), Colour::to_hex);
    let stroke = shape.stroke.as_ref().map_or("-".to_string(), |s| format!("{} {}", s.colour.to_hex(), n(s.width)));
    let _ = write!(out, "  shape {mark} fill {fill} stroke {stroke}");
    let p = |place: Point| p(place.moved(origin.x, origin.y));
    for segment in &shape.outline {
        let _ = match *segment {
            Segment::Move(a) => write!(out, " M {}", p(a)),
            Segment::Line(a) => write!(out, " L {}", p(a)),
            Segment::Curve(a, b, c) => write!(out, " C {} {} {}", p(a), p(b), p(c)),
            Segment::Close => write!(out, " Z"),
        };
    }
    out.push('\n');
}

/// The whole booklet as text. Equal booklets give equal texts; fonts are named by their number.
pub fn dump(booklet: &Booklet) -> String {
    let mut out = String::new();
    for (number, page) in booklet.pages.iter().enumerate() {
        let size = page.trim;
        let _ = writeln!(out, "page {} \"{}\" {} x {}", number + 1, page.label, n(size.width), n(size.height));
        for frame in &page.frames {
            let _ = writeln!(out, " frame {} {}", frame.name, r(frame.area));
            for placed in &frame.items {
                let mark = mark(placed.mark, &booklet.structure);
                match &placed.item {
                    Item::Text(run) => {
                        let _ = writeln!(
                            out,
                            "  text {mark} {} face {} size {} {} {:?}",
                            p(run.origin),
                            run.face.0,
                            n(run.size),
                            run.colour.to_hex(),
                            run.text
                        );
                    }
                    Item::Shape(shape) => self::shape(&mut out, &mark, shape, Point::default()),
                    Item::Drawing(drawing) => {
                        for shape in drawing.shapes.iter() {
                            self::shape(&mut out, &mark, shape, drawing.origin);
                        }
                    }
                    Item::Picture(picture) => {
                        let _ = writeln!(out, "  picture {mark} {} {}", picture.picture, r(picture.area));
                    }
                    Item::Cells(cells) => {
                        let _ = writeln!(
                            out,
                            "  cells {mark} {} cell {} x {}, {} columns, {} rows",
                            p(cells.origin),
                            n(cells.cell.width),
                            n(cells.cell.height),
                            cells.columns,
                            cells.rows()
                        );
                        for row in cells.cells.chunks(cells.columns.max(1)) {
                            let text: Vec<String> = row
                                .iter()
                                .map(|cell| cell.map_or_else(|| ".".to_string(), |ink| ink.to_string()))
                                .collect();
                            let _ = writeln!(out, "   {}", text.join(" "));
                        }
                    }
                    Item::Tick(tick) => {
                        let _ = writeln!(out, "  tick {mark} {} {:?} {:?}", r(tick.area), tick.field, tick.label);
                    }
                    Item::Blank(blank) => {
                        let _ = writeln!(out, "  blank {mark} {} {:?} {:?}", r(blank.area), blank.field, blank.label);
                    }
                    Item::Link(link) => {
                        let target = match &link.target {
                            Target::Page(page, y) => format!("page {} at {}", page + 1, n(*y)),
                            Target::Section(section) => format!("section {section}"),
                            Target::Address(address) => address.clone(),
                        };
                        let _ = writeln!(out, "  link {mark} {} to {target}", r(link.area));
                    }
                }
            }
        }
    }
    for entry in &booklet.outline {
        let _ = writeln!(out, "outline {} {:?} page {} at {}", entry.level, entry.title, entry.page + 1, n(entry.y));
    }
    out
}

fn n(length: Length) -> String {
    let text = format!("{:.2}", length.to_pt());
    if text == "-0.00" { "0.00".to_string() } else { text }
}

fn p(point: Point) -> String {
    format!("{},{}", n(point.x), n(point.y))
}

fn r(area: Rect) -> String {
    format!("[{} {} {} {}]", n(area.left()), n(area.top()), n(area.size.width), n(area.size.height))
}

fn mark(mark: Mark, structure: &Structure) -> String {
    match mark {
        Mark::Node(id) => format!("#{} {}", id.0, role(structure.get(id).role)),
        Mark::Artifact(Artifact::Header) => "~head".to_string(),
        Mark::Artifact(Artifact::Footer) => "~foot".to_string(),
        Mark::Artifact(Artifact::Layout) => "~".to_string(),
        Mark::Artifact(Artifact::Background) => "~ground".to_string(),
    }
}

fn role(role: Role) -> String {
    format!("{role:?}")
}
