//! Letters as a screen draws them: the outlines of real faces, smoothed.

use crate::support::repository;
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, MetadataProvider};

/// A face that letters are drawn in.
pub struct Letters(Vec<u8>);

/// Faces that travel inside the program.
pub const FACES: [&str; 5] = [
    "source-sans/SourceSans3-Regular.ttf",
    "source-serif/SourceSerif4-Regular.ttf",
    "dejavu/DejaVuSans.ttf",
    "source-sans/SourceSans3-Semibold.ttf",
    "source-serif/SourceSerif4-It.ttf",
];

/// Grey values of a drawn text: 255 where all of a pixel is ink.
pub struct Mask {
    pub width: usize,
    pub height: usize,
    pub ink: Vec<u8>,
}

impl Letters {
    pub fn of_face(number: usize) -> Letters {
        let path = repository("fonts").join(FACES[number % FACES.len()]);
        Letters(std::fs::read(path).expect("a face"))
    }

    /// A text of this height of the face, cut to its ink. Nothing where the face has none of it.
    pub fn drawn(&self, text: &str, pixels: f32) -> Mask {
        let font = FontRef::new(&self.0).expect("a font");
        let (charmap, outlines) = (font.charmap(), font.outline_glyphs());
        let metrics = font.glyph_metrics(Size::new(pixels), LocationRef::default());
        let mut pen = Pen::default();
        for c in text.chars() {
            let Some(glyph) = charmap.map(c) else { continue };
            if let Some(outline) = outlines.get(glyph) {
                outline
                    .draw(DrawSettings::unhinted(Size::new(pixels), LocationRef::default()), &mut pen)
                    .expect("drawn");
            }
            pen.left += metrics.advance_width(glyph).unwrap_or(0.0);
        }
        pen.filled()
    }
}

/// Gathers an outline as straight pieces.
#[derive(Default)]
struct Pen {
    left: f32,
    at: (f32, f32),
    start: (f32, f32),
    pieces: Vec<((f32, f32), (f32, f32))>,
}

impl Pen {
    fn to(&mut self, to: (f32, f32)) {
        self.pieces.push((self.at, to));
        self.at = to;
    }

    /// Four by four points a pixel, inside where the outline winds around them.
    fn filled(&self) -> Mask {
        const FINE: usize = 4;
        let ends = || self.pieces.iter().flat_map(|(a, b)| [a, b]);
        let least = ends().fold((f32::MAX, f32::MAX), |m, p| (m.0.min(p.0), m.1.min(p.1)));
        let most = ends().fold((f32::MIN, f32::MIN), |m, p| (m.0.max(p.0), m.1.max(p.1)));
        if self.pieces.is_empty() {
            return Mask { width: 0, height: 0, ink: Vec::new() };
        }
        let (left, top) = (least.0.floor(), most.1.ceil());
        let (width, height) = ((most.0.ceil() - left) as usize, (top - least.1.floor()) as usize);
        let inside = |x: f32, y: f32| {
            let mut wound = 0;
            for &((ax, ay), (bx, by)) in &self.pieces {
                let across = (ay <= y) != (by <= y);
                if across && ax + (y - ay) / (by - ay) * (bx - ax) > x {
                    wound += if by > ay { 1 } else { -1 };
                }
            }
            wound != 0
        };
        let shade = |pixel: usize| {
            let count = (0..FINE * FINE).filter(|part| {
                let x = left + (pixel % width) as f32 + ((part % FINE) as f32 + 0.5) / FINE as f32;
                let y = top - (pixel / width) as f32 - ((part / FINE) as f32 + 0.5) / FINE as f32;
                inside(x, y)
            });
            (count.count() * 255 / (FINE * FINE)) as u8
        };
        Mask { width, height, ink: (0..width * height).map(shade).collect() }
    }
}

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.at = (x + self.left, y);
        self.start = self.at;
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.to((x + self.left, y));
    }
    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        let (from, control, end) = (self.at, (cx + self.left, cy), (x + self.left, y));
        for i in 1..=8 {
            let (t, u) = (i as f32 / 8.0, 1.0 - i as f32 / 8.0);
            let mix = |a: f32, b: f32, c: f32| u * u * a + 2.0 * u * t * b + t * t * c;
            self.to((mix(from.0, control.0, end.0), mix(from.1, control.1, end.1)));
        }
    }
    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        let (from, a, b, end) = (self.at, (ax + self.left, ay), (bx + self.left, by), (x + self.left, y));
        for i in 1..=10 {
            let (t, u) = (i as f32 / 10.0, 1.0 - i as f32 / 10.0);
            let mix = |p: f32, q: f32, r: f32, s: f32| {
                u * u * u * p + 3.0 * u * u * t * q + 3.0 * u * t * t * r + t * t * t * s
            };
            self.to((mix(from.0, a.0, b.0, end.0), mix(from.1, a.1, b.1, end.1)));
        }
    }
    fn close(&mut self) {
        let start = self.start;
        self.to(start);
    }
}
