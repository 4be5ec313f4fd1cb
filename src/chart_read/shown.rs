//! The picture beside the chart as it was read, with doubtful squares framed in both.

use super::reading::Reading;
use crate::colour::Colour;
use crate::picture::SrgbPicture;

/// Pixels of a square, at least and at most.
const SQUARE: (usize, usize) = (8, 24);
/// Most pixels of a side of one of the two.
const SIDE: usize = 1_600;
/// Between the two.
const GAP: usize = 24;
/// Frames stand out from every yarn: white in black.
const FRAME: [[u8; 3]; 2] = [[0, 0, 0], [255, 64, 180]];

/// Draws both. `colours` are those of the kinds.
pub fn beside(reading: &Reading, colours: &[Colour]) -> SrgbPicture {
    let (columns, rows) = (reading.columns, reading.rows);
    let wide = (SIDE / columns.max(rows)).clamp(SQUARE.0, SQUARE.1);
    let high = ((wide as f64 * reading.proportion.clamp(0.4, 2.5)).round() as usize).max(4);
    let (across, down) = (columns * wide, rows * high);
    let mut out = SrgbPicture { width: 2 * across + GAP, height: down, rgb: vec![255; (2 * across + GAP) * down * 3] };
    let stride = columns + 1;
    for y in 0..down {
        for x in 0..across {
            let (column, row) = (x / wide, y / high);
            let corners = &reading.flat.corners;
            let [a, b] = [corners[row * stride + column], corners[row * stride + column + 1]];
            let [c, d] = [corners[(row + 1) * stride + column], corners[(row + 1) * stride + column + 1]];
            let s = ((x % wide) as f64 + 0.5) / wide as f64;
            let t = ((y % high) as f64 + 0.5) / high as f64;
            let mix =
                |a: f64, b: f64, c: f64, d: f64| (1.0 - t) * ((1.0 - s) * a + s * b) + t * ((1.0 - s) * c + s * d);
            let (u, v) = (mix(a.0, b.0, c.0, d.0).max(0.0) as usize, mix(a.1, b.1, c.1, d.1).max(0.0) as usize);
            let picture = &reading.flat.picture;
            put(&mut out, x, y, picture.at(u.min(picture.width - 1), v.min(picture.height - 1)));
            let colour = colours[usize::from(reading.cells[row * columns + column])];
            put(&mut out, across + GAP + x, y, [colour.r, colour.g, colour.b]);
        }
    }
    for doubt in &reading.doubtful {
        let (column, row) = (doubt.cell % columns, doubt.cell / columns);
        for left in [column * wide, across + GAP + column * wide] {
            frame(&mut out, left, row * high, wide, high);
        }
    }
    out
}

fn put(out: &mut SrgbPicture, x: usize, y: usize, rgb: [u8; 3]) {
    let at = (y * out.width + x) * 3;
    out.rgb[at..at + 3].copy_from_slice(&rgb);
}

fn frame(out: &mut SrgbPicture, left: usize, top: usize, wide: usize, high: usize) {
    for (inset, rgb) in FRAME.into_iter().enumerate() {
        for y in inset..high - inset {
            for x in inset..wide - inset {
                if x == inset || y == inset || x + 1 + inset == wide || y + 1 + inset == high {
                    put(out, left + x, top + y, rgb);
                }
            }
        }
    }
}

/// One square as it lies in the picture, large: to show what a symbol looks like.
pub fn square(reading: &Reading, cell: usize, pixels: usize) -> SrgbPicture {
    let stride = reading.columns + 1;
    let corner = cell / reading.columns * stride + cell % reading.columns;
    let corners = &reading.flat.corners;
    let [a, d] = [corners[corner], corners[corner + stride + 1]];
    let picture = &reading.flat.picture;
    let mut out = SrgbPicture { width: pixels, height: pixels, rgb: vec![255; pixels * pixels * 3] };
    for y in 0..pixels {
        for x in 0..pixels {
            let at = |i: usize, from: f64, to: f64| from + (to - from) * (i as f64 + 0.5) / pixels as f64;
            let (u, v) = (at(x, a.0, d.0).max(0.0) as usize, at(y, a.1, d.1).max(0.0) as usize);
            put(&mut out, x, y, picture.at(u.min(picture.width - 1), v.min(picture.height - 1)));
        }
    }
    out
}
