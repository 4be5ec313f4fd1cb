//! Photograph and panel side by side, blurred by one knot. Shares nothing with the program but the chart's own type.

use hitchpress::chart::{Chart, Column, Row, YarnId};
use hitchpress::project::Project;
use palette::color_difference::Ciede2000;
use palette::white_point::D65;
use palette::{IntoColor, Lab, LinSrgb, Srgb};
use std::path::Path;

/// Samples of a knot, across and down.
const FINE: usize = 4;

type Light = [f64; 3];

/// The part of a photograph that a chart covers, in amounts of light, `FINE` samples a knot each way.
pub struct Photograph {
    columns: usize,
    rows: usize,
    samples: Vec<Light>,
}

impl Photograph {
    /// Cuts as little as need be off two sides, so that width over height is `proportion`, and averages what is left.
    pub fn read(path: &Path, columns: usize, rows: usize, proportion: f64) -> Photograph {
        let picture = image::open(path).expect("a picture").into_rgb8();
        let (w, h) = (f64::from(picture.width()), f64::from(picture.height()));
        let (kept_w, kept_h) = (w.min(h * proportion), h.min(w / proportion));
        let (left, top) = ((w - kept_w) / 2.0, (h - kept_h) / 2.0);
        let (across, down) = (columns * FINE, rows * FINE);
        let mut samples = Vec::with_capacity(across * down);
        for y in 0..down {
            for x in 0..across {
                let edges = |at: usize, count: usize, from: f64, kept: f64| {
                    (from + kept * at as f64 / count as f64, from + kept * (at + 1) as f64 / count as f64)
                };
                let (x0, x1) = edges(x, across, left, kept_w);
                let (y0, y1) = edges(y, down, top, kept_h);
                samples.push(mean(&picture, (x0, x1), (y0, y1)));
            }
        }
        Photograph { columns, rows, samples }
    }

    /// The chart of nearest yarns: every knot takes the yarn that differs least from the mean of its samples.
    pub fn nearest(&self, project: &Project) -> Chart {
        let yarns: Vec<Lab<D65, f64>> = lights(project).into_iter().map(lab).collect();
        let mut cells = Vec::new();
        for row in 0..self.rows {
            for column in 0..self.columns {
                let mut sum = [0.0; 3];
                for y in 0..FINE {
                    for x in 0..FINE {
                        let sample = self.samples[(row * FINE + y) * self.columns * FINE + column * FINE + x];
                        (0..3).for_each(|i| sum[i] += sample[i] / (FINE * FINE) as f64);
                    }
                }
                let wanted = lab(sum);
                let differs = |yarn: &usize| yarns[*yarn].difference(wanted);
                let nearest = (0..yarns.len()).min_by(|a, b| differs(a).total_cmp(&differs(b))).expect("a yarn");
                cells.push(Some(YarnId(nearest as u8)));
            }
        }
        Chart::new(self.columns, cells).expect("whole rows")
    }

    /// Mean CIEDE2000 between this and a project's panel, both blurred by one knot.
    pub fn distance(&self, project: &Project) -> f64 {
        let yarns = lights(project);
        let mut panel = Vec::with_capacity(self.samples.len());
        for y in 0..self.rows * FINE {
            for x in 0..self.columns * FINE {
                let yarn = project.chart.cell(Row(y / FINE), Column(x / FINE)).expect("a knot");
                panel.push(yarns[usize::from(yarn.0)]);
            }
        }
        let (one, other) = (self.blurred(&self.samples), self.blurred(&panel));
        let sum: f64 = one.iter().zip(&other).map(|(a, b)| lab(*a).difference(lab(*b))).sum();
        sum / one.len() as f64
    }

    /// A bell of one knot, across and down; at the edges the picture goes on as it ends.
    fn blurred(&self, samples: &[Light]) -> Vec<Light> {
        let (across, down) = (self.columns * FINE, self.rows * FINE);
        let reach = 3 * FINE as i64;
        let bell: Vec<f64> =
            (-reach..=reach).map(|d| (-((d * d) as f64) / (2.0 * (FINE * FINE) as f64)).exp()).collect();
        let sum: f64 = bell.iter().sum();
        let pass = |from: &[Light], x_step: i64, y_step: i64| -> Vec<Light> {
            let mut out = Vec::with_capacity(from.len());
            for y in 0..down as i64 {
                for x in 0..across as i64 {
                    let mut light = [0.0; 3];
                    for (d, weight) in (-reach..=reach).zip(&bell) {
                        let px = (x + d * x_step).clamp(0, across as i64 - 1) as usize;
                        let py = (y + d * y_step).clamp(0, down as i64 - 1) as usize;
                        (0..3).for_each(|i| light[i] += from[py * across + px][i] * weight / sum);
                    }
                    out.push(light);
                }
            }
            out
        };
        pass(&pass(samples, 1, 0), 0, 1)
    }
}

/// Knots without a knot of their yarn above, below, left or right.
pub fn singles(chart: &Chart) -> usize {
    let (columns, rows) = (chart.columns() as i64, chart.rows() as i64);
    let at = |row: i64, column: i64| {
        let inside = (0..rows).contains(&row) && (0..columns).contains(&column);
        inside.then(|| chart.cell(Row(row as usize), Column(column as usize)))
    };
    let alone = |row: i64, column: i64| {
        let around = [(row - 1, column), (row + 1, column), (row, column - 1), (row, column + 1)];
        around.iter().all(|&(r, c)| at(r, c) != at(row, column))
    };
    (0..rows).map(|row| (0..columns).filter(|&column| alone(row, column)).count()).sum()
}

fn mean(picture: &image::RgbImage, (x0, x1): (f64, f64), (y0, y1): (f64, f64)) -> Light {
    let (mut sum, mut area) = ([0.0; 3], 0.0);
    let last = |end: f64, size: u32| (end.ceil() as u32).min(size);
    for y in y0 as u32..last(y1, picture.height()) {
        for x in x0 as u32..last(x1, picture.width()) {
            let share = |at: u32, from: f64, to: f64| (to.min(f64::from(at) + 1.0) - from.max(f64::from(at))).max(0.0);
            let weight = share(x, x0, x1) * share(y, y0, y1);
            let [r, g, b] = picture.get_pixel(x, y).0;
            let light: LinSrgb<f64> = Srgb::new(r, g, b).into_format::<f64>().into_linear();
            for (sum, v) in sum.iter_mut().zip([light.red, light.green, light.blue]) {
                *sum += weight * v;
            }
            area += weight;
        }
    }
    sum.map(|v| v / area)
}

fn lights(project: &Project) -> Vec<Light> {
    let light = |colour: hitchpress::colour::Colour| {
        let light: LinSrgb<f64> = Srgb::new(colour.r, colour.g, colour.b).into_format::<f64>().into_linear();
        [light.red, light.green, light.blue]
    };
    project.palette.iter().map(|(_, yarn)| light(yarn.colour)).collect()
}

fn lab([r, g, b]: Light) -> Lab<D65, f64> {
    LinSrgb::new(r, g, b).into_color()
}
