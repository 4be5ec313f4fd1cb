//! Flat drawings of our own, made of shapes in a square of 1 by 1, with edges smoothed as drawing programs smooth them.

use hitchpress::colour::Colour;
use hitchpress::picture::SrgbPicture;

/// A shape; everything in parts of the drawing's width, y downwards.
#[derive(Clone)]
pub enum Shape {
    /// Middle and both half axes.
    Oval(f64, f64, f64, f64),
    /// Corners in order.
    Poly(Vec<(f64, f64)>),
    /// A line through points, and how wide it is.
    Line(Vec<(f64, f64)>, f64),
}

impl Shape {
    fn has(&self, x: f64, y: f64) -> bool {
        match self {
            Shape::Oval(cx, cy, a, b) => {
                let (u, v) = ((x - cx) / a, (y - cy) / b);
                u * u + v * v <= 1.0
            }
            Shape::Poly(corners) => {
                let next = corners.iter().cycle().skip(1);
                let crossed = corners
                    .iter()
                    .zip(next)
                    .filter(|((x0, y0), (x1, y1))| (y0 > &y) != (y1 > &y) && x < (x1 - x0) * (y - y0) / (y1 - y0) + x0);
                crossed.count() % 2 == 1
            }
            Shape::Line(points, width) => points.windows(2).any(|ends| {
                let ((x0, y0), (x1, y1)) = (ends[0], ends[1]);
                let (dx, dy) = (x1 - x0, y1 - y0);
                let t = (((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
                let (u, v) = (x - x0 - t * dx, y - y0 - t * dy);
                u * u + v * v <= width * width / 4.0
            }),
        }
    }

    fn mirrored(&self) -> Shape {
        let over = |points: &Vec<(f64, f64)>| points.iter().map(|(x, y)| (1.0 - x, *y)).collect();
        match self {
            Shape::Oval(x, y, a, b) => Shape::Oval(1.0 - x, *y, *a, *b),
            Shape::Poly(points) => Shape::Poly(over(points)),
            Shape::Line(points, width) => Shape::Line(over(points), *width),
        }
    }
}

/// A drawing, its shapes from the back to the front.
pub struct Sketch {
    pub name: &'static str,
    pub ground: Colour,
    pub shapes: Vec<(Shape, Colour)>,
    pub symmetrical: bool,
    /// Height over width.
    pub high: f64,
    /// Small things that must not go: where, and of what colour.
    pub features: Vec<(f64, f64, Colour)>,
}

pub fn hex(text: &str) -> Colour {
    Colour::from_hex(text).expect("a colour")
}

impl Sketch {
    pub fn new(name: &'static str, ground: &str) -> Sketch {
        let ground = hex(ground);
        Sketch { name, ground, shapes: Vec::new(), symmetrical: false, high: 1.0, features: Vec::new() }
    }
    pub fn high(mut self, high: f64) -> Sketch {
        self.high = high;
        self
    }
    pub fn symmetrical(mut self) -> Sketch {
        self.symmetrical = true;
        self
    }
    pub fn oval(self, colour: &str, x: f64, y: f64, a: f64, b: f64) -> Sketch {
        self.with(colour, Shape::Oval(x, y, a, b))
    }
    pub fn poly(self, colour: &str, points: &[(f64, f64)]) -> Sketch {
        self.with(colour, Shape::Poly(points.to_vec()))
    }
    pub fn line(self, colour: &str, points: &[(f64, f64)], width: f64) -> Sketch {
        self.with(colour, Shape::Line(points.to_vec(), width))
    }
    pub fn with(mut self, colour: &str, shape: Shape) -> Sketch {
        self.shapes.push((shape, hex(colour)));
        self
    }
    /// The last shape once more, mirrored.
    pub fn twice(mut self) -> Sketch {
        let (shape, colour) = self.shapes.last().cloned().expect("a shape");
        self.shapes.push((shape.mirrored(), colour));
        self
    }
    /// The last shape's colour must be found here.
    pub fn feature(mut self, x: f64, y: f64) -> Sketch {
        let colour = self.shapes.last().expect("a shape").1;
        self.features.push((x, y, colour));
        self
    }

    pub fn colour_at(&self, x: f64, y: f64) -> Colour {
        let front = self.shapes.iter().rev().find(|(shape, _)| shape.has(x, y));
        front.map_or(self.ground, |(_, colour)| *colour)
    }

    /// The share of the area that a colour has, by points.
    pub fn share(&self, colour: Colour) -> f64 {
        const POINTS: usize = 400;
        let at = |i: usize, long: f64| (i as f64 + 0.5) / POINTS as f64 * long;
        let has = (0..POINTS * POINTS)
            .filter(|i| self.colour_at(at(i % POINTS, 1.0), at(i / POINTS, self.high)) == colour)
            .count();
        has as f64 / (POINTS * POINTS) as f64
    }

    /// Every colour of the drawing.
    pub fn colours(&self) -> Vec<Colour> {
        let mut colours = vec![self.ground];
        for (_, colour) in &self.shapes {
            if !colours.contains(colour) {
                colours.push(*colour);
            }
        }
        colours
    }

    /// The drawing, `width` pixels wide; each pixel the mean of `smooth` x `smooth` points.
    pub fn drawn(&self, width: usize, smooth: usize) -> SrgbPicture {
        let height = (width as f64 * self.high).round() as usize;
        let mut rgb = Vec::with_capacity(width * height * 3);
        for y in 0..height {
            for x in 0..width {
                let mut sum = [0_u32; 3];
                for i in 0..smooth * smooth {
                    let at =
                        |pixel: usize, part: usize| (pixel as f64 + (part as f64 + 0.5) / smooth as f64) / width as f64;
                    let colour = self.colour_at(at(x, i % smooth), at(y, i / smooth));
                    for (sum, v) in sum.iter_mut().zip([colour.r, colour.g, colour.b]) {
                        *sum += u32::from(v);
                    }
                }
                let points = (smooth * smooth) as u32;
                rgb.extend(sum.map(|v| ((v + points / 2) / points) as u8));
            }
        }
        SrgbPicture { width, height, rgb }
    }
}

fn star(points: usize, x: f64, y: f64, outer: f64, inner: f64) -> Vec<(f64, f64)> {
    (0..2 * points)
        .map(|i| {
            let turn = core::f64::consts::PI * i as f64 / points as f64;
            let long = if i % 2 == 0 { outer } else { inner };
            (x + long * turn.sin(), y - long * turn.cos())
        })
        .collect()
}

/// Twenty drawings: animals, faces, lettering, stars, stripes, emblems.
pub fn all() -> Vec<Sketch> {
    [animals(), faces(), signs()].into_iter().flatten().collect()
}

#[expect(clippy::too_many_lines, reason = "a list of drawings")]
fn animals() -> Vec<Sketch> {
    vec![
        Sketch::new("fox", "#8fb8a8")
            .symmetrical()
            .poly("#c8561e", &[(0.16, 0.08), (0.44, 0.3), (0.14, 0.52)])
            .twice()
            .poly("#2b2622", &[(0.2, 0.17), (0.31, 0.28), (0.2, 0.36)])
            .twice()
            .oval("#c8561e", 0.5, 0.52, 0.36, 0.3)
            .poly("#f4e6cc", &[(0.5, 0.5), (0.3, 0.62), (0.5, 0.86), (0.7, 0.62)])
            .oval("#f4e6cc", 0.3, 0.62, 0.12, 0.1)
            .twice()
            .oval("#2b2622", 0.36, 0.47, 0.035, 0.045)
            .feature(0.36, 0.47)
            .twice()
            .feature(0.64, 0.47)
            .oval("#2b2622", 0.5, 0.8, 0.05, 0.04)
            .feature(0.5, 0.8)
            .oval("#ffffff", 0.372, 0.458, 0.013, 0.013)
            .feature(0.372, 0.458)
            .twice(),
        Sketch::new("owl", "#20304e")
            .symmetrical()
            .high(1.2)
            .oval("#7a5636", 0.5, 0.66, 0.3, 0.42)
            .oval("#d9b67c", 0.5, 0.78, 0.19, 0.28)
            .oval("#f2ead8", 0.38, 0.42, 0.12, 0.12)
            .twice()
            .oval("#e8a21c", 0.38, 0.42, 0.07, 0.07)
            .twice()
            .oval("#14161c", 0.38, 0.42, 0.035, 0.035)
            .feature(0.38, 0.42)
            .twice()
            .feature(0.62, 0.42)
            .poly("#e8a21c", &[(0.46, 0.49), (0.54, 0.49), (0.5, 0.57)])
            .feature(0.5, 0.52)
            .line("#7a5636", &[(0.36, 0.7), (0.5, 0.74), (0.64, 0.7)], 0.012)
            .feature(0.5, 0.735)
            .line("#7a5636", &[(0.36, 0.82), (0.5, 0.86), (0.64, 0.82)], 0.012),
        Sketch::new("fish", "#bfe3ea")
            .high(0.7)
            .oval("#f07b2a", 0.46, 0.35, 0.28, 0.17)
            .poly("#f07b2a", &[(0.7, 0.35), (0.92, 0.16), (0.86, 0.35), (0.92, 0.54)])
            .line("#ffffff", &[(0.4, 0.19), (0.38, 0.35), (0.4, 0.51)], 0.04)
            .feature(0.38, 0.35)
            .line("#ffffff", &[(0.56, 0.2), (0.55, 0.35), (0.56, 0.5)], 0.03)
            .oval("#ffffff", 0.28, 0.31, 0.035, 0.035)
            .oval("#101820", 0.275, 0.31, 0.016, 0.016)
            .feature(0.275, 0.31)
            .line("#101820", &[(0.19, 0.4), (0.25, 0.415)], 0.01)
            .feature(0.22, 0.408),
        Sketch::new("bird", "#f6f1e4")
            .oval("#c23b2e", 0.45, 0.5, 0.26, 0.22)
            .oval("#c23b2e", 0.66, 0.32, 0.14, 0.13)
            .poly("#e9b93a", &[(0.79, 0.29), (0.9, 0.33), (0.79, 0.36)])
            .feature(0.82, 0.33)
            .oval("#1d1d1f", 0.69, 0.29, 0.02, 0.02)
            .feature(0.69, 0.29)
            .poly("#7f231a", &[(0.3, 0.45), (0.58, 0.5), (0.3, 0.64)])
            .poly("#c23b2e", &[(0.24, 0.46), (0.05, 0.36), (0.06, 0.56), (0.25, 0.58)])
            .line("#1d1d1f", &[(0.44, 0.71), (0.44, 0.9), (0.5, 0.92)], 0.014)
            .feature(0.44, 0.8)
            .line("#1d1d1f", &[(0.52, 0.71), (0.52, 0.9), (0.58, 0.92)], 0.014)
            .feature(0.52, 0.8),
        Sketch::new("snail", "#dfe8c8")
            .high(0.8)
            .oval("#a9794a", 0.42, 0.6, 0.34, 0.08)
            .oval("#6f4a2b", 0.46, 0.4, 0.22, 0.22)
            .oval("#d8a868", 0.46, 0.4, 0.15, 0.15)
            .oval("#6f4a2b", 0.47, 0.41, 0.085, 0.085)
            .oval("#d8a868", 0.475, 0.415, 0.035, 0.035)
            .feature(0.475, 0.415)
            .line("#a9794a", &[(0.14, 0.56), (0.08, 0.34)], 0.018)
            .feature(0.11, 0.45)
            .line("#a9794a", &[(0.18, 0.56), (0.17, 0.33)], 0.018)
            .feature(0.175, 0.44),
        Sketch::new("butterfly", "#fbf7ec")
            .symmetrical()
            .oval("#3d6fb4", 0.3, 0.36, 0.2, 0.22)
            .twice()
            .oval("#3d6fb4", 0.33, 0.68, 0.14, 0.15)
            .twice()
            .oval("#f2c84b", 0.28, 0.34, 0.07, 0.08)
            .twice()
            .oval("#c2452d", 0.33, 0.69, 0.03, 0.03)
            .feature(0.33, 0.69)
            .twice()
            .feature(0.67, 0.69)
            .oval("#26262b", 0.5, 0.5, 0.035, 0.28)
            .line("#26262b", &[(0.5, 0.24), (0.4, 0.08)], 0.012)
            .feature(0.45, 0.16)
            .twice()
            .feature(0.55, 0.16),
        Sketch::new("cat", "#e7d7e0")
            .symmetrical()
            .poly("#4a4a55", &[(0.2, 0.1), (0.44, 0.3), (0.2, 0.48)])
            .twice()
            .oval("#4a4a55", 0.5, 0.54, 0.34, 0.3)
            .oval("#b7d96a", 0.37, 0.48, 0.06, 0.045)
            .twice()
            .oval("#15151a", 0.37, 0.48, 0.016, 0.04)
            .feature(0.37, 0.48)
            .twice()
            .feature(0.63, 0.48)
            .poly("#f2a7b5", &[(0.46, 0.6), (0.54, 0.6), (0.5, 0.65)])
            .feature(0.5, 0.62)
            .line("#ffffff", &[(0.4, 0.66), (0.08, 0.6)], 0.008)
            .feature(0.25, 0.632)
            .twice()
            .feature(0.75, 0.632)
            .line("#ffffff", &[(0.4, 0.7), (0.08, 0.74)], 0.008)
            .feature(0.25, 0.719)
            .twice(),
    ]
}

fn faces() -> Vec<Sketch> {
    let face = |name| Sketch::new(name, "#cfe0ea").oval("#f0c9a0", 0.5, 0.52, 0.3, 0.36);
    vec![
        face("smile")
            .symmetrical()
            .oval("#3a2a1c", 0.39, 0.44, 0.03, 0.04)
            .feature(0.39, 0.44)
            .twice()
            .feature(0.61, 0.44)
            .line("#b0392f", &[(0.36, 0.64), (0.42, 0.7), (0.5, 0.72), (0.58, 0.7), (0.64, 0.64)], 0.016)
            .feature(0.5, 0.72)
            .oval("#e79a8a", 0.3, 0.58, 0.05, 0.04)
            .twice(),
        face("wink")
            .oval("#3a2a1c", 0.39, 0.44, 0.03, 0.04)
            .feature(0.39, 0.44)
            .line("#3a2a1c", &[(0.56, 0.45), (0.61, 0.43), (0.66, 0.45)], 0.014)
            .feature(0.61, 0.43)
            .line("#b0392f", &[(0.38, 0.66), (0.5, 0.71), (0.62, 0.66)], 0.02),
        face("plaits")
            .symmetrical()
            .high(1.1)
            .poly(
                "#6b3a1e",
                &[(0.2, 0.5), (0.24, 0.2), (0.5, 0.12), (0.76, 0.2), (0.8, 0.5), (0.68, 0.36), (0.32, 0.36)],
            )
            .line("#6b3a1e", &[(0.22, 0.46), (0.16, 0.96)], 0.07)
            .twice()
            .oval("#c4312f", 0.165, 0.9, 0.045, 0.02)
            .feature(0.165, 0.9)
            .twice()
            .feature(0.835, 0.9)
            .oval("#2d4f7a", 0.4, 0.5, 0.025, 0.03)
            .feature(0.4, 0.5)
            .twice()
            .line("#c4312f", &[(0.43, 0.71), (0.5, 0.735), (0.57, 0.71)], 0.014)
            .feature(0.5, 0.735),
        Sketch::new("moon", "#182038")
            .oval("#f3e3a4", 0.48, 0.5, 0.34, 0.34)
            .oval("#182038", 0.62, 0.44, 0.28, 0.28)
            .oval("#182038", 0.27, 0.5, 0.018, 0.018)
            .feature(0.27, 0.5)
            .poly("#f3e3a4", &star(5, 0.78, 0.2, 0.05, 0.02))
            .feature(0.78, 0.2)
            .poly("#f3e3a4", &star(5, 0.86, 0.7, 0.035, 0.014))
            .feature(0.86, 0.7),
    ]
}

#[expect(clippy::too_many_lines, reason = "a list of drawings")]
fn signs() -> Vec<Sketch> {
    vec![
        Sketch::new("letter A", "#ffffff")
            .symmetrical()
            .high(1.2)
            .line("#123f6e", &[(0.18, 1.08), (0.5, 0.12), (0.82, 1.08)], 0.09)
            .line("#123f6e", &[(0.3, 0.78), (0.7, 0.78)], 0.05)
            .feature(0.5, 0.78)
            .line("#d8a02c", &[(0.08, 1.14), (0.92, 1.14)], 0.014)
            .feature(0.5, 1.14),
        Sketch::new("letters", "#f1ece2")
            .high(0.6)
            .line("#3c6b3f", &[(0.1, 0.1), (0.1, 0.5)], 0.05)
            .line("#3c6b3f", &[(0.1, 0.3), (0.3, 0.3)], 0.03)
            .feature(0.2, 0.3)
            .line("#3c6b3f", &[(0.3, 0.1), (0.3, 0.5)], 0.05)
            .line(
                "#a23b57",
                &[(0.62, 0.14), (0.5, 0.12), (0.44, 0.2), (0.52, 0.29), (0.62, 0.36), (0.58, 0.46), (0.44, 0.46)],
                0.035,
            )
            .feature(0.52, 0.29)
            .line("#2b3a67", &[(0.74, 0.1), (0.84, 0.3), (0.94, 0.1)], 0.025)
            .feature(0.79, 0.2)
            .line("#2b3a67", &[(0.84, 0.3), (0.84, 0.5)], 0.025)
            .feature(0.84, 0.45),
        Sketch::new("star of five", "#1f3a5f")
            .symmetrical()
            .poly("#f2c14e", &star(5, 0.5, 0.52, 0.42, 0.17))
            .oval("#c8443a", 0.5, 0.52, 0.06, 0.06)
            .feature(0.5, 0.52),
        Sketch::new("star of eight", "#efe6d5")
            .symmetrical()
            .poly("#8c2f39", &star(8, 0.5, 0.5, 0.46, 0.2))
            .poly("#e0a458", &star(8, 0.5, 0.5, 0.24, 0.1))
            .oval("#2d4739", 0.5, 0.5, 0.05, 0.05)
            .feature(0.5, 0.5),
        Sketch::new("stripes", "#f4f1de")
            .symmetrical()
            .line("#e07a5f", &[(-0.1, 0.16), (1.1, 0.16)], 0.12)
            .line("#3d405b", &[(-0.1, 0.36), (1.1, 0.36)], 0.05)
            .line("#81b29a", &[(-0.1, 0.55), (1.1, 0.55)], 0.14)
            .line("#f2cc8f", &[(-0.1, 0.74), (1.1, 0.74)], 0.012)
            .feature(0.3, 0.74)
            .line("#3d405b", &[(-0.1, 0.88), (1.1, 0.88)], 0.08),
        Sketch::new("slanting stripes", "#264653")
            .line("#2a9d8f", &[(-0.2, 0.5), (0.5, -0.2)], 0.12)
            .line("#e9c46a", &[(-0.2, 1.0), (1.0, -0.2)], 0.05)
            .line("#f4a261", &[(0.0, 1.2), (1.2, 0.0)], 0.16)
            .line("#e76f51", &[(0.4, 1.2), (1.2, 0.4)], 0.02)
            .feature(0.8, 0.8),
        Sketch::new("shield", "#fafafa")
            .symmetrical()
            .high(1.15)
            .poly(
                "#20365c",
                &[(0.12, 0.1), (0.88, 0.1), (0.88, 0.6), (0.72, 0.88), (0.5, 1.06), (0.28, 0.88), (0.12, 0.6)],
            )
            .line("#d9a441", &[(0.5, 0.1), (0.5, 1.06)], 0.1)
            .line("#d9a441", &[(0.12, 0.46), (0.88, 0.46)], 0.1)
            .oval("#b23a48", 0.3, 0.27, 0.05, 0.05)
            .feature(0.3, 0.27)
            .twice()
            .feature(0.7, 0.27)
            .oval("#ffffff", 0.3, 0.27, 0.02, 0.02)
            .twice(),
        Sketch::new("anchor", "#dfeaf0")
            .symmetrical()
            .oval("#27374d", 0.5, 0.17, 0.09, 0.09)
            .oval("#dfeaf0", 0.5, 0.17, 0.05, 0.05)
            .feature(0.5, 0.17)
            .line("#27374d", &[(0.5, 0.25), (0.5, 0.88)], 0.05)
            .line("#27374d", &[(0.32, 0.36), (0.68, 0.36)], 0.045)
            .line(
                "#27374d",
                &[(0.16, 0.6), (0.22, 0.76), (0.36, 0.87), (0.5, 0.9), (0.64, 0.87), (0.78, 0.76), (0.84, 0.6)],
                0.05,
            ),
        Sketch::new("boat", "#cfe6f2")
            .poly("#7a3b2e", &[(0.18, 0.7), (0.86, 0.7), (0.74, 0.84), (0.3, 0.84)])
            .line("#3b2a20", &[(0.5, 0.7), (0.5, 0.14)], 0.016)
            .feature(0.5, 0.3)
            .poly("#f7f3e8", &[(0.53, 0.16), (0.82, 0.62), (0.53, 0.62)])
            .poly("#d1493f", &[(0.47, 0.24), (0.47, 0.62), (0.24, 0.62)])
            .poly("#f0b429", &[(0.5, 0.1), (0.5, 0.15), (0.41, 0.125)])
            .feature(0.47, 0.126)
            .line("#2f6f94", &[(-0.1, 0.9), (1.1, 0.9)], 0.13),
    ]
}
