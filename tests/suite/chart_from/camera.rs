//! Charts as a camera sees them: turned, tilted, bent by the lens and the paper, in uneven light, off a screen, with blur,
//! grain and packing.

use super::gridded::packed;
use fastrand::Rng;
use hitchpress::picture::SrgbPicture;

/// How a photograph of a chart is taken.
#[derive(Clone, Debug)]
pub struct Shot {
    /// Pixels of the photograph.
    pub size: (usize, usize),
    /// Degrees that it is turned by, and that the page is tilted by about the level and the upright axis.
    pub degrees: (f64, f64, f64),
    /// The share of the light that is lost from the brightest corner to the darkest.
    pub shade: f64,
    /// Where the light comes from, in degrees.
    pub from: f64,
    /// How much of red, green and blue the light has.
    pub cast: [f64; 3],
    /// Blur of the lens: pixels of the standard deviation.
    pub blur: f64,
    /// How far the corners are drawn in by the lens, as a share.
    pub barrel: f64,
    /// How far the paper waves, as a share of its height.
    pub wave: f64,
    /// Whether it shows a screen, whose pixels beat with the camera's.
    pub screen: bool,
    /// Grain in steps of a channel.
    pub grain: f64,
    pub quality: u8,
    pub seed: u64,
}

impl Shot {
    pub const PLAIN: Shot = Shot {
        size: (1300, 1500),
        degrees: (0.0, 0.0, 0.0),
        shade: 0.3,
        from: 20.0,
        cast: [1.0; 3],
        blur: 0.7,
        barrel: 0.0,
        wave: 0.0,
        screen: false,
        grain: 5.0,
        quality: 88,
        seed: 7,
    };
}

/// The picture photographed on a table.
pub fn photographed(picture: &SrgbPicture, shot: &Shot) -> SrgbPicture {
    const FINE: usize = 3;
    let (width, height) = shot.size;
    let place = placed(picture, shot);
    let mut rng = Rng::with_seed(shot.seed);
    let (sin, cos) = shot.from.to_radians().sin_cos();
    let mut light = vec![[0.0_f32; 3]; width * height];
    for (at, out) in light.iter_mut().enumerate() {
        let (x, y) = ((at % width) as f64, (at / width) as f64);
        let mut sum = [0.0_f64; 3];
        for part in 0..FINE * FINE {
            let (u, v) = place(
                x + ((part % FINE) as f64 + 0.5) / FINE as f64 - width as f64 / 2.0,
                y + ((part / FINE) as f64 + 0.5) / FINE as f64 - height as f64 / 2.0,
            );
            let on_page = u >= 0.0 && v >= 0.0 && (u as usize) < picture.width && (v as usize) < picture.height;
            let seen = if on_page { picture.at(u as usize, v as usize) } else { [107, 90, 72] };
            for (channel, sum) in sum.iter_mut().enumerate() {
                *sum += linear(seen[channel]) * if shot.screen && on_page { lit(u, v, channel) } else { 1.0 };
            }
        }
        // Brightest at one corner, and a little darker towards all corners.
        let (s, t) = (x / width as f64 - 0.5, y / height as f64 - 0.5);
        let lost =
            shot.shade * (0.5 + (s * cos + t * sin) / (cos.abs() + sin.abs())) + 0.25 * shot.shade * (s * s + t * t);
        for channel in 0..3 {
            out[channel] = (sum[channel] / (FINE * FINE) as f64 * (1.0 - lost) * shot.cast[channel]) as f32;
        }
    }
    let light = blurred(&light, width, height, shot.blur);
    let mut rgb = Vec::with_capacity(width * height * 3);
    for light in light {
        let grain = shot.grain * (rng.f64() + rng.f64() - 1.0);
        for channel in light {
            rgb.push(
                (f64::from(encoded(channel)) + grain + shot.grain * 0.5 * (rng.f64() - 0.5)).clamp(0.0, 255.0) as u8
            );
        }
    }
    packed(&SrgbPicture { width, height, rgb }, shot.quality)
}

/// Where on the page each place of the photograph is, both from their middles.
fn placed(picture: &SrgbPicture, shot: &Shot) -> impl Fn(f64, f64) -> (f64, f64) {
    let (width, height) = shot.size;
    let (wide, high) = (picture.width as f64, picture.height as f64);
    let focal = 0.8 * width.max(height) as f64;
    let [(sz, cz), (sx, cx), (sy, cy)] =
        [shot.degrees.0, shot.degrees.1, shot.degrees.2].map(|degrees| degrees.to_radians().sin_cos());
    // Turned in its plane, then tilted about the upright axis, then about the level one: columns are where the page's two
    // directions go.
    let across = [cy * cz, cx * sz + sx * sy * cz, sx * sz - cx * sy * cz];
    let down = [-cy * sz, cx * cz - sx * sy * sz, sx * cz + cx * sy * sz];
    let unit = 0.8 * (width as f64 / wide).min(height as f64 / high);
    let (barrel, wave) = (shot.barrel, shot.wave);
    let half = (width as f64 / 2.0).hypot(height as f64 / 2.0);
    move |x: f64, y: f64| {
        let far = (x * x + y * y) / (half * half);
        let (x, y) = (x * (1.0 + barrel * far), y * (1.0 + barrel * far));
        let m = [0, 1].map(|i| {
            let seen = if i == 0 { x } else { y };
            [focal * across[i] - seen * across[2], focal * down[i] - seen * down[2], seen * focal]
        });
        let det = m[0][0] * m[1][1] - m[0][1] * m[1][0];
        let a = (m[0][2] * m[1][1] - m[1][2] * m[0][1]) / det / unit;
        let b = (m[0][0] * m[1][2] - m[1][0] * m[0][2]) / det / unit;
        (a + wide / 2.0, b + wave * high * (3.0 * a / wide).sin() + high / 2.0)
    }
}

/// How much of its light a screen gives at this place: each of its pixels is three stripes with dark between.
fn lit(u: f64, v: f64, channel: usize) -> f64 {
    let (x, y) = (u.fract() * 3.0, v.fract());
    let own = x as usize == channel && x.fract() < 0.85 && y < 0.88;
    if own { 3.0 / (0.85 * 0.88) } else { 0.0 }
}

fn linear(channel: u8) -> f64 {
    let v = f64::from(channel) / 255.0;
    if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
}

fn encoded(light: f32) -> f32 {
    let v = light.clamp(0.0, 1.0);
    255.0 * if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 }
}

/// Smeared by a bell of this standard deviation, in light.
fn blurred(light: &[[f32; 3]], width: usize, height: usize, sigma: f64) -> Vec<[f32; 3]> {
    let reach = (2.5 * sigma).ceil() as usize;
    let bell: Vec<f32> =
        (0..=2 * reach).map(|i| (-0.5 * ((i as f64 - reach as f64) / sigma.max(0.05)).powi(2)).exp() as f32).collect();
    let all: f32 = bell.iter().sum();
    let along = |from: &[[f32; 3]], place: &dyn Fn(usize, usize) -> usize, limit: &dyn Fn(usize) -> (usize, usize)| {
        (0..from.len())
            .map(|at| {
                let (here, most) = limit(at);
                let mut sum = [0.0; 3];
                for (i, share) in bell.iter().enumerate() {
                    let there = (here + i).saturating_sub(reach).min(most);
                    let pixel = from[place(at, there)];
                    (0..3).for_each(|c| sum[c] += share * pixel[c]);
                }
                sum.map(|v| v / all)
            })
            .collect::<Vec<_>>()
    };
    let once = along(light, &|at, x| at / width * width + x, &|at| (at % width, width - 1));
    along(&once, &|at, y| y * width + at % width, &|at| (at / width, height - 1))
}
