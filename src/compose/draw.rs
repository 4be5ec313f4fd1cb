//! Small drawing words shared by everything that is composed: rules, boxes, arrows, marks.

use crate::colour::Colour;
use crate::geom::{Length, Point, Rect};
use crate::page::{Artifact, CellInk, Cells, Drawing, Item, Mark, PlacedItem, Segment, Shape, Stroke};
use std::ops::Range;
use std::sync::Arc;

/// Decoration: rules, grounds, grids.
pub(crate) const LAYOUT: Mark = Mark::Artifact(Artifact::Layout);

/// A shape placed with a role.
pub(crate) fn shape(mark: Mark, shape: Shape) -> PlacedItem {
    PlacedItem { mark, item: Item::Shape(shape) }
}

/// Shapes placed as one, some of which are a picture.
pub(crate) fn drawing(mark: Mark, origin: Point, shapes: Arc<Vec<Shape>>, picture: Range<usize>) -> PlacedItem {
    PlacedItem { mark, item: Item::Drawing(Drawing { origin, shapes, picture }) }
}

/// Shapes placed as one that are a picture, all of them.
pub(crate) fn picture(mark: Mark, origin: Point, shapes: Arc<Vec<Shape>>) -> PlacedItem {
    let all = 0..shapes.len();
    drawing(mark, origin, shapes, all)
}

/// The outline of a box.
pub(crate) fn box_outline(area: Rect) -> Vec<Segment> {
    vec![
        Segment::Move(area.origin),
        Segment::Line(Point::new(area.right(), area.top())),
        Segment::Line(Point::new(area.right(), area.bottom())),
        Segment::Line(Point::new(area.left(), area.bottom())),
        Segment::Close,
    ]
}

/// The borders of boxes that lie side by side, each line once and as long as it goes on: of hundreds of boxes only a few
/// dozen lines.
pub(crate) fn borders(areas: &[Rect]) -> Vec<Segment> {
    // By where they run across, and then from where to where.
    let (mut level, mut upright) = (Vec::new(), Vec::new());
    for area in areas {
        level.extend([area.top(), area.bottom()].map(|y| (y, area.left(), area.right())));
        upright.extend([area.left(), area.right()].map(|x| (x, area.top(), area.bottom())));
    }
    let mut out = Vec::new();
    for (lines, point) in [(level, (|y, x| Point::new(x, y)) as fn(Length, Length) -> Point), (upright, Point::new)] {
        for (across, from, to) in joined(lines) {
            out.extend([Segment::Move(point(across, from)), Segment::Line(point(across, to))]);
        }
    }
    out
}

/// Lines that touch or overlap, made one.
fn joined(mut lines: Vec<(Length, Length, Length)>) -> Vec<(Length, Length, Length)> {
    lines.sort_by(|a, b| {
        let order = |a: Length, b: Length| a.to_pt().total_cmp(&b.to_pt());
        order(a.0, b.0).then_with(|| order(a.1, b.1)).then_with(|| order(a.2, b.2))
    });
    let mut out: Vec<(Length, Length, Length)> = Vec::new();
    for (across, from, to) in lines {
        match out.last_mut() {
            Some(last) if last.0.approx_eq(across) && from.fits(last.2) => last.2 = last.2.max(to),
            Some(_) | None => out.push((across, from, to)),
        }
    }
    out
}

/// A filled box.
pub(crate) fn ground(area: Rect, colour: Colour) -> Shape {
    Shape { outline: box_outline(area), fill: Some(colour), stroke: None }
}

/// A box drawn with a line.
pub(crate) fn frame(area: Rect, colour: Colour, width: Length) -> Shape {
    Shape { outline: box_outline(area), fill: None, stroke: Some(line(colour, width)) }
}

/// A single cell of a chart, as a sample of its yarn, framed.
pub(crate) fn sample(area: Rect, ink: CellInk, frame_colour: Colour) -> [PlacedItem; 2] {
    let cell = Cells { origin: area.origin, cell: area.size, columns: 1, cells: vec![Some(0)], inks: vec![ink] };
    [PlacedItem { mark: LAYOUT, item: Item::Cells(cell) }, shape(LAYOUT, frame(area, frame_colour, Length::pt(0.4)))]
}

/// Width of a patch of a yarn's true colour, as a share of the height of the sample that it stands beside.
pub(crate) const PATCH: f64 = 0.7;

/// A patch of a yarn's true colour, framed.
pub(crate) fn patch(area: Rect, colour: Colour, frame_colour: Colour) -> [PlacedItem; 2] {
    [shape(LAYOUT, ground(area, colour)), shape(LAYOUT, frame(area, frame_colour, Length::pt(0.4)))]
}

/// A full line's look.
pub(crate) fn line(colour: Colour, width: Length) -> Stroke {
    Stroke { colour, width, dash: Vec::new(), round: false }
}

/// A straight rule.
pub(crate) fn rule(from: Point, to: Point, colour: Colour, width: Length) -> Shape {
    Shape { outline: vec![Segment::Move(from), Segment::Line(to)], fill: None, stroke: Some(line(colour, width)) }
}

/// A ruler to check the scale of print with: 50 mm above a line, 2 in below it, both from `left`. The longest strokes are
/// so high.
pub(crate) fn ruler(left: Point, high: Length, mark: Mark, colour: Colour) -> Vec<PlacedItem> {
    let thin = Length::pt(0.5);
    let mut out = Vec::new();
    let mut stroke = |from: Point, to: Point| out.push(shape(mark, rule(from, to, colour, thin)));
    stroke(left, left.moved(Length::inches(2.0).max(Length::mm(50.0)), Length::ZERO));
    let height = |step: usize, whole: usize| match (step.is_multiple_of(whole), step.is_multiple_of(whole / 2)) {
        (true, _) => high,
        (false, true) => high * 0.7,
        (false, false) => high * 0.4,
    };
    for millimetre in 0..=50 {
        let foot = left.moved(Length::mm(millimetre as f64), Length::ZERO);
        stroke(foot.moved(Length::ZERO, -height(millimetre, 10)), foot);
    }
    for eighth in 0..=16 {
        let head = left.moved(Length::inches(eighth as f64 / 8.0), Length::ZERO);
        stroke(head, head.moved(Length::ZERO, height(eighth, 8)));
    }
    out
}

/// A filled triangle.
pub(crate) fn triangle(a: Point, b: Point, c: Point, colour: Colour) -> Shape {
    let outline = vec![Segment::Move(a), Segment::Line(b), Segment::Line(c), Segment::Close];
    Shape { outline, fill: Some(colour), stroke: None }
}

/// A small arrow lying in `area`, pointing right or left, as one filled outline.
pub(crate) fn arrow(area: Rect, to_right: bool, colour: Colour) -> Shape {
    let middle = area.centre().y;
    let (tip, tail) = if to_right { (area.right(), area.left()) } else { (area.left(), area.right()) };
    let way = if to_right { -1.0 } else { 1.0 };
    let head = area.size.height;
    let shaft = area.size.height * 0.12;
    let neck = tip + head * way;
    let at = |x: Length, y: Length| Point::new(x, y);
    let outline = vec![
        Segment::Move(at(tail, middle - shaft)),
        Segment::Line(at(neck, middle - shaft)),
        Segment::Line(at(neck, middle - head / 2.0)),
        Segment::Line(at(tip, middle)),
        Segment::Line(at(neck, middle + head / 2.0)),
        Segment::Line(at(neck, middle + shaft)),
        Segment::Line(at(tail, middle + shaft)),
        Segment::Close,
    ];
    Shape { outline, fill: Some(colour), stroke: None }
}

/// Which way a pointer shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ArrowDirection {
    /// To the left.
    Left,
    /// To the right.
    Right,
    /// Down.
    Down,
}

/// An [`arrow`] lying or standing in `area`.
pub(crate) fn pointer(area: Rect, points: ArrowDirection, colour: Colour) -> Shape {
    match points {
        ArrowDirection::Left => arrow(area, false, colour),
        ArrowDirection::Right => arrow(area, true, colour),
        ArrowDirection::Down => {
            // Drawn lying, then turned about the area's middle.
            let middle = area.centre();
            let (long, thick) = (area.size.height, area.size.width);
            let lying = Rect::new(middle.x - long / 2.0, middle.y - thick / 2.0, long, thick);
            let turned = |p: Point| Point::new(middle.x - (p.y - middle.y), middle.y + (p.x - middle.x));
            let mut shape = arrow(lying, true, colour);
            for segment in &mut shape.outline {
                *segment = match *segment {
                    Segment::Move(p) => Segment::Move(turned(p)),
                    Segment::Line(p) => Segment::Line(turned(p)),
                    Segment::Curve(a, b, p) => Segment::Curve(turned(a), turned(b), turned(p)),
                    Segment::Close => Segment::Close,
                };
            }
            shape
        }
    }
}

/// The outline of a disc.
pub(crate) fn disc_outline(centre: Point, radius: Length) -> Vec<Segment> {
    // Four cubic arcs; 0.5523 keeps them within 0.03 % of a circle.
    let k = radius * 0.552_284_75;
    let p = |dx: Length, dy: Length| centre.moved(dx, dy);
    let (r, z) = (radius, Length::ZERO);
    vec![
        Segment::Move(p(r, z)),
        Segment::Curve(p(r, k), p(k, r), p(z, r)),
        Segment::Curve(p(-k, r), p(-r, k), p(-r, z)),
        Segment::Curve(p(-r, -k), p(-k, -r), p(z, -r)),
        Segment::Curve(p(k, -r), p(r, -k), p(r, z)),
        Segment::Close,
    ]
}

/// A closed outline through points, filled and with a thin line round it.
pub(crate) fn polygon(points: &[Point], fill: Option<Colour>, line: Colour) -> Shape {
    let start = points.iter().take(1).map(|point| Segment::Move(*point));
    let rest = points.iter().skip(1).map(|point| Segment::Line(*point));
    let stroke = Stroke { colour: line, width: Length::pt(0.6), dash: Vec::new(), round: false };
    Shape { outline: start.chain(rest).chain([Segment::Close]).collect(), fill, stroke: Some(stroke) }
}

/// Moves a placed item.
pub(crate) fn shift(placed: &mut PlacedItem, dx: Length, dy: Length) {
    match &mut placed.item {
        Item::Text(run) => run.origin = run.origin.moved(dx, dy),
        Item::Shape(shape) => {
            for segment in &mut shape.outline {
                match segment {
                    Segment::Move(p) | Segment::Line(p) => *p = p.moved(dx, dy),
                    Segment::Curve(a, b, c) => {
                        *a = a.moved(dx, dy);
                        *b = b.moved(dx, dy);
                        *c = c.moved(dx, dy);
                    }
                    Segment::Close => {}
                }
            }
        }
        Item::Drawing(drawing) => drawing.origin = drawing.origin.moved(dx, dy),
        Item::Picture(picture) => {
            picture.area = picture.area.moved(dx, dy);
            picture.clip = picture.clip.moved(dx, dy);
        }
        Item::Cells(cells) => cells.origin = cells.origin.moved(dx, dy),
        Item::Tick(tick) => tick.area = tick.area.moved(dx, dy),
        Item::Blank(blank) => blank.area = blank.area.moved(dx, dy),
        Item::Link(link) => link.area = link.area.moved(dx, dy),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn borders_of_boxes_side_by_side_are_drawn_once_and_in_one_go() {
        let boxes = |places: &[(f64, f64)]| -> Vec<Rect> {
            let at = |&(x, y): &(f64, f64)| Rect::new(Length::pt(x), Length::pt(y), Length::pt(10.0), Length::pt(5.0));
            places.iter().map(at).collect()
        };
        let lines = |places: &[(f64, f64)]| -> Vec<[f64; 4]> {
            let ends: Vec<Point> = borders(&boxes(places)).iter().flat_map(|segment| segment.points()).collect();
            ends.chunks(2).map(|p| [p[0].x.to_pt(), p[0].y.to_pt(), p[1].x.to_pt(), p[1].y.to_pt()]).collect()
        };
        // Two over one: the lower row is shorter, and its right side ends where the upper row begins.
        assert_eq!(
            lines(&[(0.0, 0.0), (10.0, 0.0), (0.0, 5.0)]),
            [
                [0.0, 0.0, 20.0, 0.0],
                [0.0, 5.0, 20.0, 5.0],
                [0.0, 10.0, 10.0, 10.0],
                [0.0, 0.0, 0.0, 10.0],
                [10.0, 0.0, 10.0, 10.0],
                [20.0, 0.0, 20.0, 5.0],
            ]
        );
        // Apart they keep their own sides.
        assert_eq!(lines(&[(0.0, 0.0), (30.0, 0.0)]).len(), 8);
    }
}
