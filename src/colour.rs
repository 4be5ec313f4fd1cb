//! sRGB colours and what can be reckoned from them: luminance, contrast, Lab, difference, how others see them.
//!
//! A leaf. The difference is CIEDE2000 as the `palette` crate reckons it; the rest is short enough to stand here.

/// An sRGB colour, eight bits a channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Colour {
    /// Red.
    pub r: u8,
    /// Green.
    pub g: u8,
    /// Blue.
    pub b: u8,
}

impl Colour {
    /// Black.
    pub(crate) const BLACK: Colour = Colour::new(0, 0, 0);
    /// White.
    pub const WHITE: Colour = Colour::new(255, 255, 255);
    /// From three channels.
    pub const fn new(r: u8, g: u8, b: u8) -> Colour {
        Colour { r, g, b }
    }
    /// From `#rrggbb`.
    pub fn from_hex(text: &str) -> Option<Colour> {
        let digits = text.strip_prefix('#')?;
        if digits.len() != 6 || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
            return None;
        }
        let channel = |at: usize| u8::from_str_radix(&digits[at..at + 2], 16).ok();
        Some(Colour::new(channel(0)?, channel(2)?, channel(4)?))
    }
    /// From a colour's name in CSS (CSS Color Module Level 4, section 6.1), in capitals or small letters.
    pub(crate) fn from_name(name: &str) -> Option<Colour> {
        let named = palette::named::from_str(&name.to_lowercase())?;
        Some(Colour::new(named.red, named.green, named.blue))
    }
    /// As `#rrggbb`.
    pub fn to_hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.r, self.g, self.b)
    }
    /// Relative luminance, 0 for black to 1 for white (WCAG 2.2, from IEC 61966-2-1).
    pub fn luminance(self) -> f64 {
        let [r, g, b] = self.linear();
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }
    /// Contrast ratio of the two, 1 to 21, whichever is lighter (WCAG 2.2). Never rounded.
    pub fn contrast(self, other: Colour) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }
    /// In CIE Lab for the white of sRGB (D65), with the matrix of four decimals.
    pub fn lab(self) -> Lab {
        let [r, g, b] = self.linear();
        let [x, y, z] = TO_XYZ.map(|row| row[0] * r + row[1] * g + row[2] * b);
        let bent = |t: f64| if t > LAB_KNEE { libm::cbrt(t) } else { (LAB_SLOPE * t + 16.0) / 116.0 };
        let [fx, fy, fz] = [bent(x / WHITE_XYZ[0]), bent(y / WHITE_XYZ[1]), bent(z / WHITE_XYZ[2])];
        Lab { l: 116.0 * fy - 16.0, a: 500.0 * (fx - fy), b: 200.0 * (fy - fz) }
    }
    /// The grey that is as light as it.
    pub(crate) fn grey(self) -> Colour {
        let wanted = self.lab().l;
        let off = |grey: u8| (Colour::new(grey, grey, grey).lab().l - wanted).abs();
        let grey = (0..=u8::MAX).min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap_or_default();
        Colour::new(grey, grey, grey)
    }
    /// Whether it is a grey, black or white.
    pub fn is_grey(self) -> bool {
        self.r == self.g && self.g == self.b
    }
    /// How far apart the two look: CIEDE2000.
    pub fn difference(self, other: Colour) -> f64 {
        self.lab().difference(other.lab())
    }
    /// As it is seen by someone of that colour vision.
    pub fn seen_with(self, vision: ColourVision) -> Colour {
        let Some(matrix) = vision.matrix() else { return self };
        let [r, g, b] = self.linear();
        let [r, g, b] = matrix.map(|row| encoded(row[0] * r + row[1] * g + row[2] * b));
        Colour::new(r, g, b)
    }
    /// Channels as amounts of light, 0 to 1.
    pub(crate) fn linear(self) -> [f64; 3] {
        [self.r, self.g, self.b].map(light)
    }
    /// From amounts of light, 0 to 1; what lies outside is cut off.
    pub(crate) fn from_linear([r, g, b]: [f64; 3]) -> Colour {
        Colour::new(encoded(r), encoded(g), encoded(b))
    }
}

/// The amount of light, 0 to 1, of a channel of sRGB (IEC 61966-2-1).
pub fn light(channel: u8) -> f64 {
    let v = f64::from(channel) / 255.0;
    if v <= 0.04045 { v / 12.92 } else { libm::pow((v + 0.055) / 1.055, 2.4) }
}

/// A colour in Oklab (Ottosson 2020), its axes stretched so that straight distances follow what is seen: lightness runs
/// from 0 to 100, and the two others weigh twice what they do in Oklab (the second form of the colour difference in the
/// draft of CSS Color 4).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Oklab(pub [f64; 3]);

impl Oklab {
    /// From amounts of light.
    pub(crate) fn from_linear([r, g, b]: [f64; 3]) -> Oklab {
        // Matrices as published (B. Ottosson, "A perceptual color space for image processing", 2020).
        let [l, m, s] = [
            0.412_221_470_8 * r + 0.536_332_536_3 * g + 0.051_445_992_9 * b,
            0.211_903_498_2 * r + 0.680_699_545_1 * g + 0.107_396_956_6 * b,
            0.088_302_461_9 * r + 0.281_718_837_6 * g + 0.629_978_700_5 * b,
        ]
        .map(libm::cbrt);
        Oklab([
            100.0 * (0.210_454_255_3 * l + 0.793_617_785_0 * m - 0.004_072_046_8 * s),
            200.0 * (1.977_998_495_1 * l - 2.428_592_205_0 * m + 0.450_593_709_9 * s),
            200.0 * (0.025_904_037_1 * l + 0.782_771_766_2 * m - 0.808_675_766_0 * s),
        ])
    }
    /// The sRGB colour, what lies outside of sRGB cut off channel by channel.
    pub(crate) fn to_colour(self) -> Colour {
        let [l, a, b] = [self.0[0] / 100.0, self.0[1] / 200.0, self.0[2] / 200.0];
        let [l, m, s] = [
            l + 0.396_337_777_4 * a + 0.215_803_757_3 * b,
            l - 0.105_561_345_8 * a - 0.063_854_172_8 * b,
            l - 0.089_484_177_5 * a - 1.291_485_548_0 * b,
        ]
        .map(|v| v * v * v);
        Colour::from_linear([
            4.076_741_662_1 * l - 3.307_711_591_3 * m + 0.230_969_929_2 * s,
            -1.268_438_004_6 * l + 2.609_757_401_1 * m - 0.341_319_396_5 * s,
            -0.004_196_086_3 * l - 0.703_418_614_7 * m + 1.707_614_701_0 * s,
        ])
    }
    /// How far apart the two look, squared: about 2 squared where a difference is just noticed.
    pub(crate) fn distance_squared(self, other: Oklab) -> f64 {
        let d = |i: usize| self.0[i] - other.0[i];
        d(0) * d(0) + d(1) * d(1) + d(2) * d(2)
    }
}

/// A channel of sRGB from an amount of light, cut off at 0 and 1 (IEC 61966-2-1).
fn encoded(light: f64) -> u8 {
    let v = if light <= 0.0031308 { 12.92 * light } else { 1.055 * libm::pow(light, 1.0 / 2.4) - 0.055 };
    libm::round(255.0 * v.clamp(0.0, 1.0)) as u8
}

/// Kinds of colour vision.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ColourVision {
    /// Most people's.
    Normal,
    /// No long-wave cones: reds are dark.
    Protan,
    /// No middle-wave cones: reds and greens run together.
    Deutan,
    /// No short-wave cones: blues and greens run together.
    Tritan,
}

impl ColourVision {
    /// All of them, normal first.
    pub(crate) const ALL: [ColourVision; 4] =
        [ColourVision::Normal, ColourVision::Protan, ColourVision::Deutan, ColourVision::Tritan];

    /// Acts on linear sRGB; severity 1.0 of Machado, Oliveira and Fernandes (2009), IEEE TVCG 15(6). `None`: as it is.
    pub fn matrix(self) -> Option<[[f64; 3]; 3]> {
        match self {
            ColourVision::Normal => None,
            ColourVision::Protan => Some([
                [0.152286, 1.052583, -0.204868],
                [0.114503, 0.786281, 0.099216],
                [-0.003882, -0.048116, 1.051998],
            ]),
            ColourVision::Deutan => {
                Some([[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]])
            }
            ColourVision::Tritan => Some([
                [1.255528, -0.076749, -0.178779],
                [-0.078411, 0.930809, 0.147602],
                [0.004733, 0.691367, 0.303900],
            ]),
        }
    }
}

/// From linear sRGB to XYZ (IEC 61966-2-1).
const TO_XYZ: [[f64; 3]; 3] = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];
/// The inverse of [`TO_XYZ`], to eight decimals.
const FROM_XYZ: [[f64; 3]; 3] = [
    [3.24062548, -1.53720797, -0.49862860],
    [-0.96893071, 1.87575606, 0.04151752],
    [0.05571012, -0.20402105, 1.05699594],
];
/// White: the sums of the rows of [`TO_XYZ`], so that greys have no chroma at all.
const WHITE_XYZ: [f64; 3] = [0.9505, 1.0, 1.0890];
/// Where the cube root of CIE Lab gives way to a straight line: (6 / 29) cubed (CIE 15).
const LAB_KNEE: f64 = 216.0 / 24389.0;
/// The slope of that line: (29 / 3) cubed (CIE 15).
const LAB_SLOPE: f64 = 24389.0 / 27.0;

/// A colour in CIE Lab, D65.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lab {
    /// Lightness L*, 0 to 100.
    pub l: f64,
    /// From green to red.
    pub a: f64,
    /// From blue to yellow.
    pub b: f64,
}

impl Lab {
    /// CIEDE2000 with all three weights 1: a just noticeable difference is about 1.
    pub fn difference(self, other: Lab) -> f64 {
        use palette::color_difference::Ciede2000;
        let [one, two] =
            [self, other].map(|lab| palette::Lab::<palette::white_point::D65, f64>::new(lab.l, lab.a, lab.b));
        one.difference(two)
    }
    /// Chroma: distance from grey.
    pub(crate) fn chroma(self) -> f64 {
        libm::hypot(self.a, self.b)
    }
    /// The same hue and lightness with another chroma; a grey stays grey.
    pub(crate) fn with_chroma(self, chroma: f64) -> Lab {
        let now = self.chroma();
        let by = if now > 0.0 { chroma / now } else { 0.0 };
        Lab { l: self.l, a: self.a * by, b: self.b * by }
    }
    /// The sRGB colour of this hue and lightness, with as much of the chroma as sRGB has.
    pub(crate) fn to_colour(self) -> Colour {
        if let Some(colour) = self.exact() {
            return colour;
        }
        let (mut inside, mut outside) = (0.0, 1.0);
        // 20 halvings settle the chroma far below one step of a channel.
        for _ in 0..20 {
            let share = (inside + outside) / 2.0;
            match self.with_chroma(self.chroma() * share).exact() {
                Some(_) => inside = share,
                None => outside = share,
            }
        }
        let grey = Lab { l: self.l.clamp(0.0, 100.0), a: 0.0, b: 0.0 };
        self.with_chroma(self.chroma() * inside).exact().or_else(|| grey.exact()).unwrap_or(Colour::BLACK)
    }
    /// The sRGB colour, `None` outside of sRGB.
    fn exact(self) -> Option<Colour> {
        let fy = (self.l + 16.0) / 116.0;
        let straight = |f: f64| {
            let cube = f * f * f;
            if cube > LAB_KNEE { cube } else { (116.0 * f - 16.0) / LAB_SLOPE }
        };
        let xyz = [
            straight(fy + self.a / 500.0) * WHITE_XYZ[0],
            straight(fy) * WHITE_XYZ[1],
            straight(fy - self.b / 200.0) * WHITE_XYZ[2],
        ];
        let mut channels = [0_u8; 3];
        for (channel, row) in channels.iter_mut().zip(FROM_XYZ) {
            let light = row[0] * xyz[0] + row[1] * xyz[1] + row[2] * xyz[2];
            // Half a step of a channel counts as inside, else white itself would not be.
            let v =
                255.0 * if light <= 0.0031308 { 12.92 * light } else { 1.055 * libm::pow(light, 1.0 / 2.4) - 0.055 };
            if !(-0.5..=255.5).contains(&v) {
                return None;
            }
            *channel = v.round() as u8;
        }
        Some(Colour::new(channels[0], channels[1], channels[2]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn luminance_and_contrast_of_two_greys_agree_with_the_published_ones() {
        // Own computation with WCAG 2.2's formulas.
        assert!((Colour::new(0x76, 0x76, 0x76).luminance() - 0.181164).abs() < 5e-7);
        assert!((Colour::new(0x76, 0x76, 0x76).contrast(Colour::WHITE) - 4.5422).abs() < 5e-5);
        assert!((Colour::WHITE.contrast(Colour::new(0x77, 0x77, 0x77)) - 4.4781).abs() < 5e-5);
    }

    #[test]
    fn every_sampled_colour_comes_back_from_lab_as_it_went() {
        for r in (0..=255).step_by(15) {
            for g in (0..=255).step_by(15) {
                for b in (0..=255).step_by(15) {
                    let colour = Colour::new(r, g, b);
                    assert_eq!(colour.lab().to_colour(), colour);
                }
            }
        }
    }

    #[test]
    fn oklab_has_the_published_values_and_leads_back() {
        // B. Ottosson 2020: white is L 1, a 0, b 0. Red of sRGB is L 0.628, a 0.225, b 0.126 (CSS Color 4, sample code).
        let near = |a: Oklab, b: [f64; 3]| a.0.iter().zip(b).all(|(a, b)| (a - b).abs() < 0.03);
        assert!(near(Oklab::from_linear([1.0; 3]), [100.0, 0.0, 0.0]));
        assert!(near(Oklab::from_linear([1.0, 0.0, 0.0]), [62.796, 44.97, 25.17]));
        for colour in [Colour::new(12, 200, 97), Colour::new(250, 4, 130), Colour::BLACK, Colour::WHITE] {
            assert_eq!(Oklab::from_linear(colour.linear()).to_colour(), colour);
        }
    }

    #[test]
    fn red_of_srgb_has_the_lab_values_of_the_standard_matrix() {
        // Own computation: IEC 61966-2-1 matrix, CIE 15 formulas, D65.
        let lab = Colour::new(255, 0, 0).lab();
        assert!((lab.l - 53.233).abs() < 1e-3 && (lab.a - 80.105).abs() < 1e-3 && (lab.b - 67.223).abs() < 1e-3);
    }

    #[test]
    fn a_colour_outside_srgb_keeps_lightness_and_hue() {
        let wanted = Lab { l: 60.0, a: -90.0, b: -60.0 };
        let got = wanted.to_colour().lab();
        let turn = |lab: Lab| libm::atan2(lab.b, lab.a).to_degrees();
        assert!((got.l - wanted.l).abs() < 0.5 && (turn(got) - turn(wanted)).abs() < 1.5, "{got:?}");
        assert!(got.chroma() > 20.0);
    }
}
