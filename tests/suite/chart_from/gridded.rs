//! Known charts made into pictures: enlarged squares, screens with lines, numbers, keys and symbols, scaled by any factor.

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

/// How a chart is drawn.
#[derive(Clone)]
pub struct Style {
    /// Pixels of a square, its line included.
    pub square: usize,
    /// Colour of lines one pixel wide, two on tens; `None`: no lines.
    pub line: Option<&'static str>,
    /// Whether numbers stand at the sides, and a key at the right.
    pub beside: bool,
    /// Whether a shape stands in each square.
    pub shapes: bool,
    /// Whether there are only shapes, on white.
    pub shapes_only: bool,
}

impl Style {
    pub const PLAIN: Style = Style { square: 10, line: None, beside: false, shapes: false, shapes_only: false };
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

/// Figures of three by five dots.
const FIGURES: [u16; 10] = [0x7b6f, 0x2c97, 0x73e7, 0x73cf, 0x5bc9, 0x79cf, 0x79ef, 0x7249, 0x7bef, 0x7bcf];

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
    fn number(&mut self, x: usize, y: usize, number: usize) {
        for (place, figure) in number.to_string().bytes().enumerate() {
            let dots = FIGURES[usize::from(figure - b'0')];
            for dot in (0..15).filter(|dot| dots >> (14 - dot) & 1 == 1) {
                self.fill(x + 5 * place + dot % 3, y + dot / 3, 1, 1, [40; 3]);
            }
        }
    }
}

/// The chart drawn.
pub fn drawn(known: &Known, style: &Style) -> SrgbPicture {
    let Style { square, line, .. } = *style;
    // A heavier line takes a pixel more.
    let place = |i: usize| i * square + if line.is_some() { i.div_ceil(10) } else { 0 };
    let margin = if style.beside { 36 } else { 0 };
    let key = if style.beside { 90 } else { 0 };
    let last = if line.is_some() { 2 } else { 0 };
    let (width, height) = (2 * margin + key + place(known.columns) + last, 2 * margin + place(known.rows) + last);
    let mut canvas = Canvas(SrgbPicture { width, height, rgb: vec![255; width * height * 3] });
    for (at, &kind) in known.cells.iter().enumerate() {
        let (column, row) = (at % known.columns, at / known.columns);
        let colour = known.colours[usize::from(kind)];
        let ground = if style.shapes_only { Colour::WHITE } else { colour };
        let (x, y) = (margin + place(column), margin + place(row));
        canvas.fill(x, y, square + 2, square + 2, [ground.r, ground.g, ground.b]);
        if style.shapes {
            let ink = if ground.luminance() < 0.2 { [250; 3] } else { [10; 3] };
            let inner = square - usize::from(line.is_some());
            let (right, bottom) = (margin + place(column + 1), margin + place(row + 1));
            for i in 0..inner * inner {
                let (u, v) = (i % inner, i / inner);
                if shape(kind.into(), (u as f64 + 0.5) / inner as f64, (v as f64 + 0.5) / inner as f64) {
                    canvas.fill(right - inner + u, bottom - inner + v, 1, 1, ink);
                }
            }
        }
    }
    if let Some(line) = line.and_then(Colour::from_hex) {
        let rgb = [line.r, line.g, line.b];
        let wide = |i: usize| if i.is_multiple_of(10) { 2 } else { 1 };
        let start = |i: usize| margin + place(i) - usize::from(i.is_multiple_of(10) && i > 0);
        for i in 0..=known.columns {
            canvas.fill(start(i), margin, wide(i), place(known.rows) + 1, rgb);
        }
        for i in 0..=known.rows {
            canvas.fill(margin, start(i), place(known.columns) + 1, wide(i), rgb);
        }
    }
    if style.beside {
        for row in (0..known.rows).filter(|row| square >= 9 || row % 5 == 4) {
            canvas.number(margin - 20, margin + place(row) + 2, row + 1);
        }
        for column in (4..known.columns).step_by(5) {
            canvas.number(margin + place(column), margin - 9, column + 1);
        }
        for (kind, colour) in known.colours.iter().enumerate() {
            let (x, y) = (2 * margin + place(known.columns), margin + kind * 19);
            canvas.fill(x, y, 15, 15, [90; 3]);
            canvas.fill(x + 1, y + 1, 13, 13, [colour.r, colour.g, colour.b]);
            canvas.number(x + 20, y + 5, kind + 1);
        }
    }
    canvas.0
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

/// How a photograph of a chart is taken.
#[derive(Clone, Copy)]
pub struct Shot {
    /// Pixels of the photograph.
    pub size: (usize, usize),
    /// Degrees that it is turned by, and that the page is tilted by about the level and the upright axis.
    pub degrees: (f64, f64, f64),
    /// Light at the left and at the right, as shares of full light.
    pub light: (f64, f64),
    /// How often each pixel is mixed with those around it.
    pub blur: usize,
}

/// The picture photographed on a table, with grain.
pub fn photographed(picture: &SrgbPicture, shot: Shot) -> SrgbPicture {
    let (width, height) = shot.size;
    let focal = 0.8 * width.max(height) as f64;
    let [(sz, cz), (sx, cx), (sy, cy)] =
        [shot.degrees.0, shot.degrees.1, shot.degrees.2].map(|degrees| degrees.to_radians().sin_cos());
    // Turned in its plane, then tilted about the upright axis, then about the level one: columns are where the page's two
    // directions go.
    let across = [cy * cz, cx * sz + sx * sy * cz, sx * sz - cx * sy * cz];
    let down = [-cy * sz, cx * cz - sx * sy * sz, sx * cz + cx * sy * sz];
    let unit = 0.8 * (width as f64 / picture.width as f64).min(height as f64 / picture.height as f64);
    let place = |x: f64, y: f64| {
        let m = [0, 1].map(|i| {
            let seen = if i == 0 { x } else { y };
            [focal * across[i] - seen * across[2], focal * down[i] - seen * down[2], seen * focal]
        });
        let det = m[0][0] * m[1][1] - m[0][1] * m[1][0];
        let a = (m[0][2] * m[1][1] - m[1][2] * m[0][1]) / det;
        let b = (m[0][0] * m[1][2] - m[1][0] * m[0][2]) / det;
        (a / unit + picture.width as f64 / 2.0, b / unit + picture.height as f64 / 2.0)
    };
    let mut rng = Rng::with_seed(7);
    let mut rgb = Vec::with_capacity(width * height * 3);
    for at in 0..width * height {
        let (x, y) = ((at % width) as f64, (at / width) as f64);
        let light = shot.light.0 + (shot.light.1 - shot.light.0) * x / width as f64;
        let mut sum = [0.0_f64; 3];
        for part in 0..4 {
            let (u, v) = place(
                x + 0.25 + 0.5 * f64::from(part % 2) - width as f64 / 2.0,
                y + 0.25 + 0.5 * f64::from(part / 2) - height as f64 / 2.0,
            );
            let on_page = u >= 0.0 && v >= 0.0 && (u as usize) < picture.width && (v as usize) < picture.height;
            let seen = if on_page { picture.at(u as usize, v as usize) } else { [107, 90, 72] };
            (0..3).for_each(|i| sum[i] += f64::from(seen[i]) / 4.0);
        }
        let grain = 6.0 * (rng.f64() + rng.f64() - 1.0);
        rgb.extend(sum.map(|v| (v * light + grain).clamp(0.0, 255.0) as u8));
    }
    let mut out = SrgbPicture { width, height, rgb };
    (0..shot.blur).for_each(|_| out = blurred(&out));
    out
}

/// Each pixel the mean of itself and its eight neighbours.
fn blurred(picture: &SrgbPicture) -> SrgbPicture {
    let (width, height) = (picture.width, picture.height);
    let pixel = |at: usize| {
        let mut sum = [0_u32; 3];
        for i in 0..9 {
            let x = (at % width + i % 3).saturating_sub(1).min(width - 1);
            let y = (at / width + i / 3).saturating_sub(1).min(height - 1);
            for (sum, v) in sum.iter_mut().zip(picture.at(x, y)) {
                *sum += u32::from(v);
            }
        }
        sum.map(|v| (v / 9) as u8)
    };
    SrgbPicture { width, height, rgb: (0..width * height).flat_map(pixel).collect() }
}

/// Packed as JPEG of this quality, and unpacked.
pub fn packed(picture: &SrgbPicture, quality: u8) -> SrgbPicture {
    let mut bytes = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, quality)
        .encode(&picture.rgb, picture.width as u32, picture.height as u32, image::ExtendedColorType::Rgb8)
        .expect("a JPEG");
    hitchpress::picture::seen(&bytes).expect("a picture")
}
