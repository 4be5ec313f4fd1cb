//! Puts outlines in a panel's millimetres on paper as shapes.

use super::curve::{Cubic, StagePoint, TRUE_TO, is_straight, smoothed};
use crate::colour::Colour;
use crate::geom::{Length, Point};
use crate::page::{Segment, Shape, Stroke};

/// No line of a figure is thinner, however small the figure: thinner ones break up in print.
pub(crate) const MIN_LINE_WIDTH: Length = Length::pt(0.25);

/// A line's look in the panel's millimetres.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LineStyle {
    /// Colour.
    pub(crate) colour: Colour,
    /// Width, millimetres; never drawn thinner than [`MIN_LINE_WIDTH`].
    pub(crate) width: f64,
    /// Dash and gap, millimetres.
    pub(crate) dash: Option<[f64; 2]>,
}

impl LineStyle {
    /// A full line.
    pub(crate) fn full(colour: Colour, width: f64) -> LineStyle {
        LineStyle { colour, width, dash: None }
    }
}

/// How a line ends.
#[derive(Clone, Copy, Debug)]
pub(crate) enum LineEnds {
    /// In a round.
    Round,
    /// Straight; the thing goes on to these places, where there are any, before the line and after it.
    Straight([Option<StagePoint>; 2]),
}

/// Collects shapes; knows where a panel's corner lies and how many times its true size it is drawn.
#[derive(Debug)]
pub(crate) struct ShapeBuilder {
    origin: Point,
    scale: f64,
    /// What was drawn so far, from the bottom up.
    pub(crate) shapes: Vec<Shape>,
}

impl ShapeBuilder {
    /// A pen at the top left corner of the figure.
    pub(crate) fn new(scale: f64) -> ShapeBuilder {
        ShapeBuilder { origin: Point::default(), scale, shapes: Vec::new() }
    }
    /// Moves to a panel's corner.
    pub(crate) fn start(&mut self, origin: Point) {
        self.origin = origin;
    }
    /// A place on paper.
    pub(crate) fn place(&self, spot: StagePoint) -> Point {
        self.origin.moved(Length::mm(spot[0] * self.scale), Length::mm(spot[1] * self.scale))
    }
    /// A length on paper.
    pub(crate) fn length(&self, millimetres: f64) -> Length {
        Length::mm(millimetres * self.scale)
    }
    /// A smooth line on paper, to be drawn once or several times; empty where it has no length.
    pub(crate) fn trail(&self, spots: &[StagePoint]) -> Vec<Segment> {
        let mut outline = Vec::new();
        if spots.len() > 1 {
            outline.push(Segment::Move(self.place(spots[0])));
            self.follow(spots, TRUE_TO, &mut outline);
        }
        outline
    }
    /// Fills the area between two lines that run side by side.
    pub(crate) fn fill_between(&mut self, left: &[Segment], right: &[Segment], colour: Colour) {
        let mut outline = Vec::with_capacity(left.len() + right.len() + 1);
        outline.extend_from_slice(left);
        backwards(right, &mut outline);
        if outline.len() > 1 {
            outline.push(Segment::Close);
            self.shapes.push(Shape { outline, fill: Some(colour), stroke: None });
        }
    }
    /// Strokes one smooth line twice, in the second colour and width upon the first. Where it does not end in a round, the
    /// second goes on a little, so that no trace of the first shows where two stretches meet.
    pub(crate) fn stroke_twice(&mut self, spots: &[StagePoint], [below, above]: [(Colour, f64); 2], beyond: LineEnds) {
        let outline = self.trail(spots);
        if outline.is_empty() {
            return;
        }
        let mut longer = outline.clone();
        let round = match beyond {
            LineEnds::Round => true,
            LineEnds::Straight([before, after]) => {
                if let Some(before) = before {
                    longer[0] = Segment::Line(self.place(spots[0]));
                    longer.insert(0, Segment::Move(self.place(before)));
                }
                longer.extend(after.map(|after| Segment::Line(self.place(after))));
                false
            }
        };
        for (outline, (colour, width)) in [(outline, below), (longer, above)] {
            let stroke = Stroke { round, ..self.stroke(LineStyle::full(colour, width)) };
            self.shapes.push(Shape { outline, fill: None, stroke: Some(stroke) });
        }
    }
    /// Strokes lines, each on its own, as one shape.
    pub(crate) fn stroke_trails(&mut self, lines: &[Vec<Segment>], line: LineStyle) {
        let outline = lines.concat();
        if !outline.is_empty() {
            let stroke = Some(self.stroke(line));
            self.shapes.push(Shape { outline, fill: None, stroke });
        }
    }
    /// Fills the area between smooth lines joined end to end.
    pub(crate) fn fill(&mut self, lines: &[&[StagePoint]], colour: Colour) {
        self.fill_true_to(lines, colour, TRUE_TO);
    }
    /// The same for an area without a sharp edge to the eye.
    pub(crate) fn fill_roughly(&mut self, lines: &[&[StagePoint]], colour: Colour) {
        self.fill_true_to(lines, colour, TRUE_TO * 2.5);
    }
    fn fill_true_to(&mut self, lines: &[&[StagePoint]], colour: Colour, true_to: f64) {
        let outline = self.ring(lines, true_to);
        if !outline.is_empty() {
            self.shapes.push(Shape { outline, fill: Some(colour), stroke: None });
        }
    }
    /// Fills and strokes the area between smooth lines joined end to end.
    pub(crate) fn fill_and_stroke(&mut self, lines: &[&[StagePoint]], colour: Colour, line: LineStyle) {
        let outline = self.ring(lines, TRUE_TO);
        if !outline.is_empty() {
            let stroke = Some(self.stroke(line));
            self.shapes.push(Shape { outline, fill: Some(colour), stroke });
        }
    }
    /// Strokes smooth lines, each on its own, as one shape.
    pub(crate) fn stroke_lines(&mut self, lines: &[Vec<StagePoint>], line: LineStyle) {
        let mut outline = Vec::new();
        for spots in lines.iter().filter(|l| l.len() > 1) {
            outline.push(Segment::Move(self.place(spots[0])));
            self.follow(spots, TRUE_TO, &mut outline);
        }
        if !outline.is_empty() {
            let stroke = Some(self.stroke(line));
            self.shapes.push(Shape { outline, fill: None, stroke });
        }
    }

    /// Strokes separate cubics, each from its first place, as one shape.
    pub(crate) fn stroke_cubics(&mut self, cubics: &[(StagePoint, Cubic)], line: LineStyle) {
        let mut outline = Vec::with_capacity(cubics.len() * 2);
        for &(start, [a, b, end]) in cubics {
            outline.push(Segment::Move(self.place(start)));
            outline.push(if is_straight(start, &[a, b, end]) {
                Segment::Line(self.place(end))
            } else {
                Segment::Curve(self.place(a), self.place(b), self.place(end))
            });
        }
        if !outline.is_empty() {
            let stroke = Some(self.stroke(line));
            self.shapes.push(Shape { outline, fill: None, stroke });
        }
    }

    fn ring(&self, lines: &[&[StagePoint]], true_to: f64) -> Vec<Segment> {
        let mut outline = Vec::new();
        for spots in lines.iter().filter(|l| !l.is_empty()) {
            let start = self.place(spots[0]);
            outline.push(if outline.is_empty() { Segment::Move(start) } else { Segment::Line(start) });
            self.follow(spots, true_to, &mut outline);
        }
        if outline.len() > 1 {
            outline.push(Segment::Close);
        } else {
            outline.clear();
        }
        outline
    }

    fn follow(&self, spots: &[StagePoint], true_to: f64, outline: &mut Vec<Segment>) {
        let mut from = spots[0];
        let cubics = smoothed(spots, true_to);
        outline.reserve(cubics.len() + 1);
        for cubic in cubics {
            let [a, b, end] = cubic;
            outline.push(if is_straight(from, &cubic) {
                Segment::Line(self.place(end))
            } else {
                Segment::Curve(self.place(a), self.place(b), self.place(end))
            });
            from = end;
        }
    }

    fn stroke(&self, line: LineStyle) -> Stroke {
        Stroke {
            colour: line.colour,
            width: self.length(line.width).max(MIN_LINE_WIDTH),
            dash: line.dash.map(|d| d.iter().map(|&part| self.length(part)).collect()).unwrap_or_default(),
            round: line.dash.is_none(),
        }
    }
}

/// Adds a line from its end to its start.
fn backwards(line: &[Segment], outline: &mut Vec<Segment>) {
    let end = |segment: Segment| segment.points().last();
    if let Some(last) = line.last().copied().and_then(end) {
        outline.push(if outline.is_empty() { Segment::Move(last) } else { Segment::Line(last) });
    }
    for pair in line.windows(2).rev() {
        let Some(to) = end(pair[0]) else { continue };
        outline.push(match pair[1] {
            Segment::Curve(a, b, _) => Segment::Curve(b, a, to),
            Segment::Move(_) | Segment::Line(_) | Segment::Close => Segment::Line(to),
        });
    }
}
