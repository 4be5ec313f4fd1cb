//! What colour every knot should have: the picture cut to size, turned, and averaged over each cell in amounts of light.

use crate::colour::{Colour, Oklab, light};
use crate::picture::SrgbPicture;

/// The part of a picture that becomes the chart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// By how many degrees the picture is turned clockwise, about its middle, before it is cut.
    pub turn: f64,
    /// Left, top, right and bottom edge of what is kept, as shares of the picture's width and height, 0 to 1.
    pub crop: [f64; 4],
}

impl View {
    /// All of a picture as it is.
    pub const WHOLE: View = View { turn: 0.0, crop: [0.0, 0.0, 1.0, 1.0] };

    /// Width and height of what is kept of a picture of that size.
    pub fn size(&self, width: f64, height: f64) -> (f64, f64) {
        let [left, top, right, bottom] = self.crop;
        ((right - left) * width, (bottom - top) * height)
    }

    /// The same view with as little as possible cut off at two opposite sides, so that its width over its height is
    /// `proportion`.
    pub fn of_proportion(self, width: f64, height: f64, proportion: f64) -> View {
        let (width, height) = self.size(width, height);
        let [left, top, right, bottom] = self.crop;
        let keep_x = (proportion * height / width).min(1.0) * (right - left);
        let keep_y = (width / (proportion * height)).min(1.0) * (bottom - top);
        let (x, y) = ((left + right - keep_x) / 2.0, (top + bottom - keep_y) / 2.0);
        View { crop: [x, y, x + keep_x, y + keep_y], ..self }
    }

    /// The largest cut of the picture's own proportion that shows nothing beyond its edges when it is turned.
    pub fn straightened(w: f64, h: f64, degrees: f64) -> View {
        let turn = degrees.to_radians();
        let (sin, cos) = (libm::sin(turn).abs(), libm::cos(turn).abs());
        // The corners of a box of share s, turned, must lie inside: s (w cos + h sin) <= w and s (w sin + h cos) <= h.
        let share = (w / (w * cos + h * sin)).min(h / (w * sin + h * cos)).min(1.0);
        let edge = (1.0 - share) / 2.0;
        View { turn: degrees, crop: [edge, edge, 1.0 - edge, 1.0 - edge] }
    }
}

/// The colours aimed at.
#[derive(Clone, Debug, PartialEq)]
pub struct Targets {
    /// Across.
    pub columns: usize,
    /// Down.
    pub rows: usize,
    /// In reading order.
    pub cells: Vec<Oklab>,
}

/// Points looked at across a cell, at least: enough that a picture of few pixels is cut smoothly.
const MIN_POINTS: usize = 3;
/// Points looked at across a cell, at most: more change nothing that is seen.
const MAX_POINTS: usize = 48;

impl Targets {
    /// Averages the part of `picture` that `view` keeps over `columns` x `rows` cells.
    pub fn of(picture: &SrgbPicture, view: &View, columns: usize, rows: usize) -> Targets {
        let cells = averages(picture, view, columns, rows).map(Oklab::from_linear).collect();
        Targets { columns, rows, cells }
    }
}

/// The part of a picture that `view` keeps, `width` x `height` pixels large.
pub fn cut(picture: &SrgbPicture, view: &View, width: usize, height: usize) -> SrgbPicture {
    let pixel = |light| {
        let colour = Colour::from_linear(light);
        [colour.r, colour.g, colour.b]
    };
    SrgbPicture { width, height, rgb: averages(picture, view, width, height).flat_map(pixel).collect() }
}

/// The mean amounts of light in each of `columns` x `rows` cells laid over what `view` keeps, in reading order.
fn averages(picture: &SrgbPicture, view: &View, columns: usize, rows: usize) -> impl Iterator<Item = [f64; 3]> {
    let lights: [f64; 256] = core::array::from_fn(|channel| light(channel as u8));
    let places = Places::new(picture, view, columns, rows);
    (0..columns * rows).map(move |at| {
        let mut sum = [0.0_f64; 3];
        places.each(at / columns, at % columns, |x, y| {
            for (sum, channel) in sum.iter_mut().zip(picture.at(x, y)) {
                *sum += lights[usize::from(channel)];
            }
        });
        let points = (places.across * places.down) as f64;
        sum.map(|v| v / points)
    })
}

/// Where the points of each cell lie in the picture.
pub(super) struct Places {
    width: usize,
    height: usize,
    /// Picture coordinates of the view's top left corner.
    origin: (f64, f64),
    /// One point to the right, and one down, in picture coordinates.
    right: (f64, f64),
    below: (f64, f64),
    /// Points across and down a cell.
    across: usize,
    down: usize,
}

impl Places {
    fn new(picture: &SrgbPicture, view: &View, columns: usize, rows: usize) -> Places {
        let (w, h) = (picture.width as f64, picture.height as f64);
        let (kept_w, kept_h) = view.size(w, h);
        let points = |kept: f64, cells: usize| (libm::ceil(kept / cells as f64) as usize).clamp(MIN_POINTS, MAX_POINTS);
        let points = (points(kept_w, columns), points(kept_h, rows));
        Places::with_points((picture.width, picture.height), view, (columns, rows), points)
    }

    /// So many points across and down each of `columns` x `rows` cells, laid on a picture of `size`.
    pub(super) fn with_points(
        size: (usize, usize),
        view: &View,
        (columns, rows): (usize, usize),
        (across, down): (usize, usize),
    ) -> Places {
        let (w, h) = (size.0 as f64, size.1 as f64);
        let (kept_w, kept_h) = view.size(w, h);
        let step = (kept_w / (columns * across) as f64, kept_h / (rows * down) as f64);
        // A point of the turned picture lies in the picture itself where it is turned back about the middle.
        let turn = view.turn.to_radians();
        let (sin, cos) = (libm::sin(turn), libm::cos(turn));
        let (dx, dy) = (view.crop[0] * w - w / 2.0, view.crop[1] * h - h / 2.0);
        Places {
            width: size.0,
            height: size.1,
            origin: (w / 2.0 + dx * cos + dy * sin, h / 2.0 - dx * sin + dy * cos),
            right: (step.0 * cos, -step.0 * sin),
            below: (step.1 * sin, step.1 * cos),
            across,
            down,
        }
    }

    fn each(&self, row: usize, column: usize, mut see: impl FnMut(usize, usize)) {
        for i in 0..self.down {
            for j in 0..self.across {
                let (x, y) = self.point(row * self.down + i, column * self.across + j);
                see(x, y);
            }
        }
    }

    /// The pixel under a point, counted over all cells; what lies outside has the nearest pixel's colour.
    pub(super) fn point(&self, down: usize, across: usize) -> (usize, usize) {
        let (down, across) = (down as f64 + 0.5, across as f64 + 0.5);
        let x = self.origin.0 + down * self.below.0 + across * self.right.0;
        let y = self.origin.1 + down * self.below.1 + across * self.right.1;
        // A cast cuts below zero off.
        ((x as usize).min(self.width - 1), (y as usize).min(self.height - 1))
    }
}
