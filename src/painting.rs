//! Drawn shapes as pixels: for pictures of drawings, where there is no page to be printed.
//!
//! Comes in: filled and stroked outlines and the part of the plane that is shown. Goes out: eight bits of red, green and
//! blue for every pixel. Where an outline covers a pixel in part, colours are mixed by the share. Corners of stroked lines
//! are always rounded; their ends as the stroke says.

mod outline;

use crate::colour::Colour;
use crate::geom::Rect;
use crate::page::Shape;
use outline::{Edge, filled, stroked};

/// Lines in one row of pixels that are looked at. Across, coverage is exact.
const LINES: usize = 5;

/// Pixels in reading order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Painting {
    /// Across.
    pub width: usize,
    /// Down.
    pub height: usize,
    /// Red, green and blue of each.
    pub rgb: Vec<u8>,
}

/// Paints shapes one over the other on a ground, `width` pixels wide; the height follows from what is shown.
pub fn paint(shapes: &[Shape], shown: Rect, width: usize, ground: Colour) -> Painting {
    let width = width.max(1);
    let scale = width as f64 / shown.size.width.to_pt().max(1e-6);
    let height = ((shown.size.height.to_pt() * scale).round() as usize).max(1);
    let rgb = [ground.r, ground.g, ground.b].repeat(width * height);
    let mut painting = Painting { width, height, rgb };
    let place = |x: f64, y: f64| ((x - shown.left().to_pt()) * scale, (y - shown.top().to_pt()) * scale);
    for shape in shapes {
        if let Some(colour) = shape.fill {
            painting.cover(&filled(&shape.outline, &place), colour);
        }
        if let Some(stroke) = &shape.stroke {
            painting.cover(&stroked(&shape.outline, stroke, scale, &place), stroke.colour);
        }
    }
    painting
}

impl Painting {
    /// Covers all that lies inside the edges (non-zero winding).
    fn cover(&mut self, edges: &[Edge], colour: Colour) {
        let lines = self.height * LINES;
        // What crosses each line: where, and whether downwards.
        let mut crossings: Vec<Vec<(f64, i32)>> = vec![Vec::new(); lines];
        for &(a, b) in edges {
            let ((x0, y0), (x1, y1), way) = if a.1 <= b.1 { (a, b, 1) } else { (b, a, -1) };
            let line_at = |y: f64| (y * LINES as f64 - 0.5).ceil().clamp(0.0, lines as f64) as usize;
            for (line, crossed) in crossings.iter_mut().enumerate().take(line_at(y1)).skip(line_at(y0)) {
                let y = (line as f64 + 0.5) / LINES as f64;
                crossed.push((x0 + (x1 - x0) * (y - y0) / (y1 - y0), way));
            }
        }
        let mut covered = vec![0.0; self.width];
        for (row, group) in crossings.chunks_mut(LINES).enumerate() {
            covered.fill(0.0);
            for crossed in group.iter_mut() {
                crossed.sort_by(|a, b| a.0.total_cmp(&b.0));
                let mut winding = 0;
                for pair in crossed.windows(2) {
                    winding += pair[0].1;
                    if winding != 0 {
                        spread(&mut covered, pair[0].0, pair[1].0);
                    }
                }
            }
            let start = row * self.width * 3;
            let pixels = self.rgb[start..start + self.width * 3].chunks_exact_mut(3);
            for (pixel, share) in pixels.zip(&covered).filter(|(_, share)| **share > 0.0) {
                let share = (share / LINES as f64).min(1.0);
                for (channel, over) in pixel.iter_mut().zip([colour.r, colour.g, colour.b]) {
                    let under = f64::from(*channel);
                    *channel = (under + (f64::from(over) - under) * share).round() as u8;
                }
            }
        }
    }
}

/// Adds the share of each pixel that lies between two places of a line.
fn spread(covered: &mut [f64], from: f64, to: f64) {
    let width = covered.len() as f64;
    let (from, to) = (from.clamp(0.0, width), to.clamp(0.0, width));
    if to <= from {
        return;
    }
    let last = (to.ceil() as usize).min(covered.len());
    for (x, share) in covered.iter_mut().enumerate().take(last).skip(from as usize) {
        *share += (to.min(x as f64 + 1.0) - from.max(x as f64)).max(0.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Length, Point};
    use crate::page::{Segment, Stroke};

    fn corner(points: &[(f64, f64)]) -> Vec<Segment> {
        let mut out: Vec<Segment> = points.iter().map(|&(x, y)| Segment::Line(Point::pt(x, y))).collect();
        out[0] = Segment::Move(Point::pt(points[0].0, points[0].1));
        out
    }

    fn square(from: f64, to: f64) -> Vec<Segment> {
        let mut out = corner(&[(from, from), (to, from), (to, to), (from, to)]);
        out.push(Segment::Close);
        out
    }

    fn painted(shape: Shape) -> Painting {
        paint(&[shape], Rect::new(Length::ZERO, Length::ZERO, Length::pt(10.0), Length::pt(10.0)), 20, Colour::WHITE)
    }

    /// Ink in square points: a whole black pixel is a quarter of one.
    fn ink(painting: &Painting) -> f64 {
        painting.rgb.iter().map(|v| 1.0 - f64::from(*v) / 255.0).sum::<f64>() / 3.0 / 4.0
    }

    #[test]
    fn a_filled_outline_covers_its_area_to_parts_of_a_pixel() {
        let mut shape = Shape { outline: square(2.1, 6.3), fill: Some(Colour::BLACK), stroke: None };
        let painting = painted(shape.clone());
        assert_eq!((painting.width, painting.height), (20, 20));
        // Own computation: 4.2 squared.
        assert!((ink(&painting) - 17.64).abs() < 0.1, "{}", ink(&painting));
        // A second outline the other way round inside it is a hole.
        let mut hole = corner(&[(3.0, 3.0), (3.0, 5.0), (5.0, 5.0), (5.0, 3.0)]);
        hole.push(Segment::Close);
        shape.outline.extend(hole);
        assert!((ink(&painted(shape)) - 13.64).abs() < 0.1);
    }

    #[test]
    fn a_stroke_covers_its_width_with_round_or_square_ends() {
        let stroke = |round| Stroke { colour: Colour::BLACK, width: Length::pt(2.0), dash: Vec::new(), round };
        let line = |round| Shape { outline: corner(&[(2.0, 5.0), (8.0, 5.0)]), fill: None, stroke: Some(stroke(round)) };
        assert!((ink(&painted(line(false))) - 12.0).abs() < 0.05);
        // Two half discs of radius 1 more.
        assert!((ink(&painted(line(true))) - 12.0 - std::f64::consts::PI).abs() < 0.15);
        let mut dashed = line(false);
        if let Some(stroke) = &mut dashed.stroke {
            stroke.dash = vec![Length::pt(1.0), Length::pt(2.0)];
        }
        // On for 2 to 3 and 5 to 6.
        assert!((ink(&painted(dashed)) - 4.0).abs() < 0.05);
    }

    #[test]
    fn what_lies_outside_is_left_out_and_colours_are_kept() {
        let red = Colour::new(200, 30, 40);
        let painting = painted(Shape { outline: square(-20.0, 30.0), fill: Some(red), stroke: None });
        assert!(painting.rgb.chunks(3).all(|p| p == [200, 30, 40]));
    }
}
