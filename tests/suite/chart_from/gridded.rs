//! Known charts made into pictures: enlarged squares, screens with lines, numbers, keys and symbols, scaled by any factor.

use super::letters::{Letters, Mask};
use fastrand::Rng;
use hitchpress::colour::Colour;
use hitchpress::picture::SrgbPicture;

/// A chart: which of its colours each square has.
pub struct Known {
    pub columns: usize,
    pub rows: usize,
    pub cells: Vec<u8>,
    pub colours: Vec<Colour>,
}

/// What stands in each square.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Marks {
    Bare,
    /// Shapes of our own.
    Shapes,
    /// Letters of this face.
    Letters(usize),
}

/// How a chart is drawn.
#[derive(Clone, Debug)]
pub struct Style {
    /// Pixels of a square across and down, its line included.
    pub square: (usize, usize),
    /// Colour of lines one pixel wide; `None`: no lines.
    pub line: Option<&'static str>,
    /// Every so many lines are heavier, by so many pixels.
    pub heavier: (usize, usize),
    /// Whether numbers stand at the sides, a title above, and a key at the right or below.
    pub beside: bool,
    pub marks: Marks,
    /// Whether squares are all of the paper's colour, so that marks alone tell.
    pub marks_only: bool,
    /// Of the paper around, and of squares with marks only.
    pub paper: [u8; 3],
}

impl Style {
    pub const PLAIN: Style = Style {
        square: (10, 10),
        line: None,
        heavier: (10, 1),
        beside: false,
        marks: Marks::Bare,
        marks_only: false,
        paper: [255; 3],
    };
}

/// A motif of patches and single knots on a ground.
pub fn chart(seed: u64, columns: usize, rows: usize, colours: usize) -> Known {
    let mut rng = Rng::with_seed(seed);
    let mut palette: Vec<Colour> = Vec::new();
    let mut apart = 16.0;
    while palette.len() < colours {
        let colour = Colour::new(rng.u8(..), rng.u8(..), rng.u8(..));
        if palette.iter().all(|other| other.difference(colour) >= apart) {
            palette.push(colour);
        } else {
            apart *= 0.999;
        }
    }
    let mut cells = vec![0_u8; columns * rows];
    for i in 0..2 * colours + 8 {
        let colour = (i % colours) as u8;
        let (cx, cy) = (rng.f64() * columns as f64, rng.f64() * rows as f64);
        let (a, b) = (1.0 + rng.f64() * columns as f64 / 5.0, 1.0 + rng.f64() * rows as f64 / 5.0);
        for (at, cell) in cells.iter_mut().enumerate() {
            let (u, v) = (((at % columns) as f64 + 0.5 - cx) / a, ((at / columns) as f64 + 0.5 - cy) / b);
            let inside = if i % 2 == 0 { u * u + v * v <= 1.0 } else { u.abs() + v.abs() <= 1.0 };
            if inside {
                *cell = colour;
            }
        }
    }
    for colour in 0..colours {
        for _ in 0..1 + columns * rows / 60 / colours {
            let at = rng.usize(..cells.len());
            cells[at] = colour as u8;
        }
    }
    Known { columns, rows, cells, colours: palette }
}

/// Shapes of our own, in a square of 1 by 1.
fn shape(kind: usize, x: f64, y: f64) -> bool {
    let (u, v) = (x - 0.5, y - 0.5);
    let r = (u * u + v * v).sqrt();
    match kind % 12 {
        0 => r < 0.14,
        1 => r < 0.3 && r > 0.2,
        2 => u.abs() < 0.05 && v.abs() < 0.32 || v.abs() < 0.05 && u.abs() < 0.32,
        3 => (u - v).abs().min((u + v).abs()) < 0.07 && r < 0.4,
        4 => u.abs() + v.abs() < 0.32,
        5 => u.abs() < 0.25 && v.abs() < 0.25,
        6 => v > -0.25 && v < 0.25 && u.abs() < (v + 0.25) * 0.6,
        7 => v.abs() < 0.06 && u.abs() < 0.34,
        8 => u.abs() < 0.06 && v.abs() < 0.34,
        9 => (u - v).abs() < 0.08 && r < 0.38,
        10 => u.abs().max(v.abs()) < 0.28 && u.abs().max(v.abs()) > 0.18,
        _ => v < 0.25 && v > -0.25 && u.abs() < (0.25 - v) * 0.6,
    }
}

/// Letters for yarns, none much like another.
const LETTERS: [&str; 24] = [
    "A", "B", "X", "o", "+", "T", "K", "S", "V", "Z", "H", "#", "E", "7", "M", "L", "%", "Y", "4", "R", "N", "?", "U",
    "2",
];

struct Canvas(SrgbPicture);

impl Canvas {
    fn fill(&mut self, x: usize, y: usize, wide: usize, high: usize, rgb: [u8; 3]) {
        for v in y..(y + high).min(self.0.height) {
            for u in x..(x + wide).min(self.0.width) {
                let at = (v * self.0.width + u) * 3;
                self.0.rgb[at..at + 3].copy_from_slice(&rgb);
            }
        }
    }
    fn text(&mut self, (x, y): (i64, i64), mask: &Mask, ink: [u8; 3]) {
        for (at, &share) in mask.ink.iter().enumerate() {
            let (u, v) = (x + (at % mask.width) as i64, y + (at / mask.width) as i64);
            if u >= 0 && v >= 0 && (u as usize) < self.0.width && (v as usize) < self.0.height {
                let start = (v as usize * self.0.width + u as usize) * 3;
                for (channel, ink) in self.0.rgb[start..start + 3].iter_mut().zip(ink) {
                    let (old, share) = (u32::from(*channel), u32::from(share));
                    *channel = ((old * (255 - share) + u32::from(ink) * share + 127) / 255) as u8;
                }
            }
        }
    }
}

/// The mark of a kind, cut to its ink.
fn mark(kind: usize, marks: Marks, wide: usize, high: usize) -> Mask {
    match marks {
        Marks::Bare => Mask { width: 0, height: 0, ink: Vec::new() },
        Marks::Letters(face) => Letters::of_face(face).drawn(LETTERS[kind % 24], 0.82 * wide.min(high) as f32),
        Marks::Shapes => {
            let side = wide.min(high);
            let along = |pixel: usize| (pixel as f64 + 0.5) / side as f64;
            let shade = |pixel: usize| if shape(kind, along(pixel % side), along(pixel / side)) { 255 } else { 0 };
            Mask { width: side, height: side, ink: (0..side * side).map(shade).collect() }
        }
    }
}

/// The chart drawn.
pub fn drawn(known: &Known, style: &Style) -> SrgbPicture {
    let (wide, high) = style.square;
    let (every, more) = style.heavier;
    let lined = style.line.is_some();
    // A heavier line takes some pixels more.
    let place = |i: usize, side: usize| i * side + if lined { i.div_ceil(every) * more } else { 0 };
    let margin = if style.beside { 40 } else { 0 };
    let key = if style.beside { 90 } else { 0 };
    let last = if lined { 1 + more } else { 0 };
    let (width, height) =
        (2 * margin + key + place(known.columns, wide) + last, 2 * margin + place(known.rows, high) + last);
    let rgb = (0..width * height).flat_map(|_| style.paper).collect();
    let mut canvas = Canvas(SrgbPicture { width, height, rgb });
    let line = usize::from(lined);
    let marks: Vec<Mask> =
        (0..known.colours.len()).map(|kind| mark(kind, style.marks, wide - line, high - line)).collect();
    let [paper_r, paper_g, paper_b] = style.paper;
    for (at, &kind) in known.cells.iter().enumerate() {
        let (column, row) = (at % known.columns, at / known.columns);
        let colour = known.colours[usize::from(kind)];
        let ground = if style.marks_only { Colour::new(paper_r, paper_g, paper_b) } else { colour };
        let (right, bottom) = (margin + place(column + 1, wide), margin + place(row + 1, high));
        let (x, y) = (margin + place(column, wide), margin + place(row, high));
        canvas.fill(x, y, right - x + line, bottom - y + line, [ground.r, ground.g, ground.b]);
        let ink = if ground.luminance() < 0.2 { [250; 3] } else { [10; 3] };
        let mask = &marks[usize::from(kind)];
        let middle = |end: usize, side: usize, ink: usize| {
            end as i64 - (side - line) as i64 + ((side - line) as i64 - ink as i64) / 2
        };
        canvas.text((middle(right, wide, mask.width), middle(bottom, high, mask.height)), mask, ink);
    }
    if let Some(line) = style.line.and_then(Colour::from_hex) {
        let rgb = [line.r, line.g, line.b];
        let thick = |i: usize| if i.is_multiple_of(every) { 1 + more } else { 1 };
        let start =
            |i: usize, side: usize| margin + place(i, side) - if i.is_multiple_of(every) && i > 0 { more } else { 0 };
        for i in 0..=known.columns {
            canvas.fill(start(i, wide), margin, thick(i), place(known.rows, high) + 1, rgb);
        }
        for i in 0..=known.rows {
            canvas.fill(margin, start(i, high), place(known.columns, wide) + 1, thick(i), rgb);
        }
    }
    if style.beside {
        drawn_beside(&mut canvas, known, style, margin, &place);
    }
    canvas.0
}

/// Numbers at the sides, a title and a key.
fn drawn_beside(
    canvas: &mut Canvas,
    known: &Known,
    style: &Style,
    margin: usize,
    place: &dyn Fn(usize, usize) -> usize,
) {
    let (wide, high) = style.square;
    let face = Letters::of_face(if let Marks::Letters(face) = style.marks { face + 1 } else { known.columns });
    let number = |number: usize, pixels: f32| face.drawn(&number.to_string(), pixels);
    let small = (0.8 * high as f32).clamp(8.0, 12.0);
    let (right, bottom) = (margin + place(known.columns, wide), margin + place(known.rows, high));
    for row in (0..known.rows).filter(|row| high >= 9 || row % 5 == 4) {
        let mask = number(row + 1, small);
        let y = (margin + place(row, high)) as i64 + (high as i64 - mask.height as i64) / 2 + 1;
        canvas.text((margin as i64 - 6 - mask.width as i64, y), &mask, [60; 3]);
        if row % 2 == 0 {
            canvas.text((right as i64 + 6, y), &mask, [60; 3]);
        }
    }
    for column in (4..known.columns).step_by(5) {
        let mask = number(column + 1, 10.0);
        let x = (margin + place(column, wide)) as i64 + (wide as i64 - mask.width as i64) / 2;
        canvas.text((x, margin as i64 - 4 - mask.height as i64), &mask, [60; 3]);
    }
    canvas.text((margin as i64, 6), &face.drawn("Panel", 14.0), [0; 3]);
    for (kind, colour) in known.colours.iter().enumerate() {
        let (x, y) = match known.rows * high > known.colours.len() * 19 {
            true => (right + 40, margin + kind * 19),
            false => (margin + kind * 36, bottom + 12),
        };
        canvas.fill(x, y, 15, 15, [90; 3]);
        canvas.fill(x + 1, y + 1, 13, 13, [colour.r, colour.g, colour.b]);
        canvas.text((x as i64 + 18, y as i64 + 3), &number(kind + 1, 11.0), [20; 3]);
    }
}

/// Scaled by any factor, each pixel the mixture of what it covers.
pub fn scaled(picture: &SrgbPicture, by: f64) -> SrgbPicture {
    const FINE: usize = 3;
    let side = |long: usize| (long as f64 * by).round() as usize;
    let (width, height) = (side(picture.width), side(picture.height));
    let mut rgb = Vec::with_capacity(width * height * 3);
    for at in 0..width * height {
        let mut sum = [0_u32; 3];
        for i in 0..FINE * FINE {
            let from = |pixel: usize, part: usize, count: usize, long: usize| {
                ((pixel as f64 + (part as f64 + 0.5) / FINE as f64) / count as f64 * long as f64) as usize
            };
            let (x, y) =
                (from(at % width, i % FINE, width, picture.width), from(at / width, i / FINE, height, picture.height));
            for (sum, v) in sum.iter_mut().zip(picture.at(x, y)) {
                *sum += u32::from(v);
            }
        }
        rgb.extend(sum.map(|v| (v / (FINE * FINE) as u32) as u8));
    }
    SrgbPicture { width, height, rgb }
}

/// Packed as JPEG of this quality, and unpacked.
pub fn packed(picture: &SrgbPicture, quality: u8) -> SrgbPicture {
    let mut bytes = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, quality)
        .encode(&picture.rgb, picture.width as u32, picture.height as u32, image::ExtendedColorType::Rgb8)
        .expect("a JPEG");
    hitchpress::picture::seen(&bytes).expect("a picture")
}
