//! What colours become on paper: sRGB as it stands in the home file, or the four inks of a print shop's own profile.
//!
//! With `picture` the only door to `moxcms`. Type is printed with black ink alone, so that it stays sharp where the plates are a little
//! off; grey lines and black areas too. Everything else goes through the profile, and nothing takes more ink than the
//! paper carries.

use super::error::PdfError;
use super::number::{colour_operands, number};
use super::shapes::InkUse;
use crate::colour::Colour;
use crate::diag::Diagnostic;
use crate::geom::Length;
use crate::picture;
use moxcms::{ColorProfile, Layout, RenderingIntent, TransformExecutor, TransformOptions};
use std::sync::Arc;

/// The most ink that coated paper in sheets usually carries, per cent of one ink's solid: common practice, no source; a
/// shop's own figure goes before it.
pub const USUAL_INK: u16 = 300;
/// No line of the print-shop file is thinner: the plate would not hold it (common practice, no source).
const MIN_LINE_WIDTH: Length = Length::pt(0.25);
/// Lines of less colour than this are printed with black ink alone: thin tints of four inks never meet (our judgement).
const GREY_LINE: f64 = 12.0;
/// Areas that are as dark and as grey as this are black, and printed with black ink alone (our judgement).
const BLACK_AREA: (f64, f64) = (25.0, 10.0);
/// A tint of black as dark as this is printed solid: a screen would only fray what is all but black (our judgement).
const SOLID: u16 = 850;
/// Type under this size is printed solid or not at all: a screen of dots would fray it (common practice, no source).
pub(super) const SMALL_TYPE: f64 = 7.0;
/// Small type as light as this shows the paper instead of a tint (our judgement).
const LIGHT: f64 = 90.0;
/// Channels of a grey picture's pixel differ by no more: what a camera's file leaves of a grey (our judgement).
const GREY_PIXEL: u8 = 4;
/// A tint of black fainter than this is all but paper where it stands in a darker ground, in thousandths (our judgement).
const FAINT: u16 = 200;
/// Steps of the ramp of black.
const RAMP: usize = 101;

/// A colour as it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum InkPaint {
    /// Light.
    Rgb(Colour),
    /// Cyan, magenta, yellow and black in thousandths.
    Inks([u16; 4]),
}

impl InkPaint {
    /// Operands and operator.
    pub(crate) fn write(self, out: &mut Vec<u8>, stroked: bool) {
        let operator: &[u8] = match (self, stroked) {
            (InkPaint::Rgb(_), false) => b"rg\n",
            (InkPaint::Rgb(_), true) => b"RG\n",
            (InkPaint::Inks(_), false) => b"k\n",
            (InkPaint::Inks(_), true) => b"K\n",
        };
        match self {
            InkPaint::Rgb(colour) => colour_operands(out, colour),
            InkPaint::Inks(inks) => {
                for ink in inks {
                    number(out, f64::from(ink) / 1000.0, 3);
                    out.push(b' ');
                }
            }
        }
        out.extend_from_slice(operator);
    }

    /// Cyan, magenta and yellow together, in thousandths.
    pub(crate) fn colours(self) -> u16 {
        match self {
            InkPaint::Rgb(_) => 0,
            InkPaint::Inks([c, m, y, _]) => c + m + y,
        }
    }

    /// Black in thousandths.
    pub(crate) fn black(self) -> u16 {
        match self {
            InkPaint::Rgb(_) => 0,
            InkPaint::Inks([.., black]) => black,
        }
    }

    /// The paper instead of a faint tint of black.
    pub(crate) fn unless_faint(self) -> InkPaint {
        if self.is_black_ink() && self.black() < FAINT { InkPaint::Inks([0; 4]) } else { self }
    }

    /// Whether it is solid black ink and nothing else.
    pub(crate) fn is_solid_black(self) -> bool {
        self == InkPaint::Inks([0, 0, 0, 1000])
    }

    /// Whether it is black ink and nothing else: such type is printed over what lies below it.
    pub(crate) fn is_black_ink(self) -> bool {
        matches!(self, InkPaint::Inks([0, 0, 0, black]) if black > 0)
    }
}

/// Where colours go.
#[derive(Clone, Copy)]
pub(super) enum Inks<'p> {
    /// The home file.
    Screen,
    /// The print-shop file.
    Prepress(&'p PrinterProfile),
}

impl<'p> Inks<'p> {
    /// A colour as it is written for a use.
    pub(crate) fn paint(self, colour: Colour, used: InkUse) -> InkPaint {
        match self {
            Inks::Screen => InkPaint::Rgb(colour),
            Inks::Prepress(profile) => InkPaint::Inks(profile.inks(colour, used).1),
        }
    }
    /// A line's width as it is written.
    pub(crate) fn line(self, width: Length) -> Length {
        match self {
            Inks::Screen => width,
            Inks::Prepress(_) => width.max(MIN_LINE_WIDTH),
        }
    }
    /// Whether a mark is printed over its ground, so that no white rim shows where the plates are a little off: one in black
    /// ink that is darker than the ground, as long as both together are not more ink than the paper carries.
    pub(crate) fn prints_over(self, mark: Colour, ground: Option<Colour>) -> bool {
        let Inks::Prepress(profile) = self else { return false };
        let paint = self.paint(mark, InkUse::Type);
        let below = ground.map_or(0, |ground| self.paint(ground, InkUse::Area).colours());
        let darker = ground.is_none_or(|ground| mark.lab().l < ground.lab().l);
        paint.is_black_ink() && darker && profile.carries(below, paint)
    }
    /// The ink of a mark on its ground. Where it takes the ground's place in a faint tint it shows the paper: a tint that is a
    /// little off would part from its ground.
    pub(crate) fn mark(self, mark: Colour, ground: Option<Colour>) -> InkPaint {
        let paint = self.paint(mark, InkUse::Type);
        let takes_its_place = ground.is_some() && !self.prints_over(mark, ground);
        if takes_its_place { paint.unless_faint() } else { paint }
    }
    /// The shop's profile, if it is for one.
    pub(crate) fn profile(self) -> Option<&'p PrinterProfile> {
        match self {
            Inks::Screen => None,
            Inks::Prepress(profile) => Some(profile),
        }
    }
}

/// The profile of a printing press and its paper, as the print shop names it.
pub struct PrinterProfile {
    bytes: Vec<u8>,
    name: String,
    most_ink: u16,
    colours: Arc<dyn TransformExecutor<u16> + Send + Sync>,
    profile: ColorProfile,
    /// Lightness of black ink in steps of a hundredth.
    ramp: Vec<f64>,
}

impl std::fmt::Debug for PrinterProfile {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("PrinterProfile").field("name", &self.name).field("most_ink", &self.most_ink).finish()
    }
}

/// A picture in four inks.
pub(super) struct InkedPicture {
    /// Pixels across and down.
    pub(crate) size: (u32, u32),
    /// Cyan, magenta, yellow, black, one byte each, in reading order.
    pub(crate) inks: Vec<u8>,
    /// The most ink that the profile asked for, per cent.
    pub(crate) asked: f64,
}

fn options() -> TransformOptions {
    // Perceptual: what a screen shows and ink cannot is brought into reach as a whole, instead of being cut off.
    TransformOptions { rendering_intent: RenderingIntent::Perceptual, ..TransformOptions::default() }
}

impl PrinterProfile {
    /// Reads a profile; `most_ink` is the limit of total ink in per cent. The fault says what is wrong with it, and has no
    /// span.
    pub fn read(bytes: &[u8], most_ink: u16) -> Result<PrinterProfile, Diagnostic> {
        let ask = "ask the print shop for the ICC profile it prints this paper with: a CMYK output profile";
        let wrong = |why: &str| Diagnostic::fault("wrong-profile", format!("the profile {why}")).hint(ask);
        let field = |at: usize| bytes.get(at..at + 4).unwrap_or_default();
        // ICC.1:2010, 7.2: size, version, class, colour space, signature.
        if bytes.len() < 132 || field(36) != b"acsp" {
            return Err(wrong("is no ICC profile"));
        }
        if field(0) != u32::try_from(bytes.len()).unwrap_or(0).to_be_bytes() {
            return Err(wrong("is not whole: its length is not what it says"));
        }
        match field(16) {
            b"CMYK" => {}
            b"RGB " => return Err(wrong("is for a screen or camera (RGB), not for printing inks")),
            b"GRAY" => return Err(wrong("is for grey alone, not for four printing inks")),
            _ => return Err(wrong("is not for the four printing inks")),
        }
        if field(12) != b"prtr" {
            return Err(wrong("is not the profile of a printer (its class is not `prtr`)"));
        }
        if !matches!(bytes[8], 2 | 4) {
            return Err(wrong("is of a version that print-shop files may not carry"));
        }
        let unusable = |error: moxcms::CmsError| wrong(&format!("cannot be used: {error}"));
        let profile = ColorProfile::new_from_slice(bytes).map_err(unusable)?;
        let screen = ColorProfile::new_srgb();
        let colours =
            screen.create_transform_16bit(Layout::Rgb, &profile, Layout::Rgba, options()).map_err(unusable)?;
        let back = profile.create_transform_8bit(Layout::Rgba, &screen, Layout::Rgb, options()).map_err(unusable)?;
        let mut ramp = Vec::with_capacity(RAMP);
        for step in 0..RAMP {
            let black = (step as f64 / (RAMP - 1) as f64 * 255.0).round() as u8;
            let mut seen = [0_u8; 3];
            back.transform(&[0, 0, 0, black], &mut seen).map_err(unusable)?;
            let lightness = Colour::new(seen[0], seen[1], seen[2]).lab().l;
            // Measured ramps waver by less than an eye sees; a search needs one that never rises.
            ramp.push(ramp.last().map_or(lightness, |last: &f64| last.min(lightness)));
        }
        if ramp.first().zip(ramp.last()).is_none_or(|(paper, black)| paper - black < 20.0) {
            return Err(wrong("has a black that is no darker than the paper"));
        }
        let name = name_of(bytes).unwrap_or_else(|| "CMYK".to_owned());
        Ok(PrinterProfile { bytes: bytes.to_vec(), name, most_ink, colours, profile, ramp })
    }

    /// The profile's own bytes.
    pub(super) fn bytes(&self) -> &[u8] {
        &self.bytes
    }
    /// What it calls itself.
    pub(crate) fn name(&self) -> &str {
        &self.name
    }
    /// The limit of total ink, per cent.
    pub(crate) fn most_ink(&self) -> u16 {
        self.most_ink
    }

    /// What a colour would take, in per cent of ink, and what it is given in thousandths.
    pub(super) fn inks(&self, colour: Colour, used: InkUse) -> (f64, [u16; 4]) {
        let lab = colour.lab();
        let (dark, grey) = BLACK_AREA;
        let black_alone = match used {
            InkUse::Type | InkUse::SmallType => true,
            InkUse::Line => lab.chroma() < GREY_LINE,
            InkUse::Area => colour.is_grey() || (lab.l < dark && lab.chroma() < grey),
            // White is the paper, whatever a profile makes of it.
            InkUse::Picture => colour == Colour::WHITE,
        };
        if black_alone {
            let tint = self.black(lab.l);
            let black = match used {
                // Light letters stand on a dark ground, and show the paper.
                InkUse::SmallType if lab.l > LIGHT => 0,
                InkUse::SmallType if tint > 0 => 1000,
                InkUse::SmallType | InkUse::Type | InkUse::Line | InkUse::Area | InkUse::Picture => tint,
            };
            return (f64::from(black) / 10.0, [0, 0, 0, black]);
        }
        let wide = [colour.r, colour.g, colour.b].map(|channel| u16::from(channel) * 257);
        let mut inks = [0_u16; 4];
        // One pixel in, one out: the lengths are right, and nothing else can fail.
        let _done = self.colours.transform(&wide, &mut inks);
        let thousandths = inks.map(|ink| f64::from(ink) / 65.535);
        let asked: f64 = thousandths.iter().sum();
        (asked / 10.0, brought_down(thousandths, f64::from(self.most_ink) * 10.0).map(|ink| ink as u16))
    }

    /// Whether the paper carries black ink over these colours, in thousandths.
    pub(super) fn carries(&self, colours: u16, black: InkPaint) -> bool {
        let InkPaint::Inks([_, _, _, black]) = black else { return true };
        u32::from(colours) + u32::from(black) <= u32::from(self.most_ink) * 10
    }

    /// The most black ink that the paper carries over these colours, in thousandths.
    pub(super) fn black_over(&self, colours: u16) -> u16 {
        (self.most_ink * 10).saturating_sub(colours).min(1000)
    }

    /// The tint of black ink that is as light as this, in thousandths, solid where it is all but black.
    fn black(&self, lightness: f64) -> u16 {
        let tint = self.tint(lightness);
        if tint < SOLID { tint } else { 1000 }
    }

    /// The tint of black ink that is as light as this, in thousandths: the lightest that is no lighter.
    fn tint(&self, lightness: f64) -> u16 {
        if lightness >= self.ramp[0] - 0.5 {
            return 0;
        }
        let Some(step) = self.ramp.iter().position(|l| *l <= lightness) else { return 1000 };
        let (above, below) = (self.ramp[step - 1], self.ramp[step]);
        let part = if above > below { (above - lightness) / (above - below) } else { 1.0 };
        ((step as f64 - 1.0 + part) / (RAMP - 1) as f64 * 1000.0).round() as u16
    }

    /// A picture in four inks, every pixel within the limit. What is transparent shows the paper.
    pub(super) fn picture(&self, bytes: &[u8]) -> Result<InkedPicture, PdfError> {
        let pixels = picture::rgb_pixels(bytes).map_err(PdfError::Picture)?;
        if let Some(inks) = self.grey_picture(&pixels.rgb) {
            let asked = inks.iter().copied().max().map_or(0.0, |most| f64::from(most) / 2.55);
            return Ok(InkedPicture { size: pixels.size, inks, asked });
        }
        let embedded = pixels.profile.and_then(|profile| ColorProfile::new_from_slice(&profile).ok());
        let own = embedded.filter(|profile| profile.color_space == moxcms::DataColorSpace::Rgb);
        let to_inks =
            |from: &ColorProfile| from.create_transform_8bit(Layout::Rgb, &self.profile, Layout::Rgba, options());
        let transform = own.as_ref().and_then(|own| to_inks(own).ok());
        let failed = |error: moxcms::CmsError| PdfError::Picture(error.to_string());
        let transform = match transform {
            Some(transform) => transform,
            None => to_inks(&ColorProfile::new_srgb()).map_err(failed)?,
        };
        let mut inks = vec![0_u8; pixels.rgb.len() / 3 * 4];
        transform.transform(&pixels.rgb, &mut inks).map_err(failed)?;
        let limit = f64::from(self.most_ink) / 100.0 * 255.0;
        let mut asked = 0_u32;
        for pixel in inks.chunks_exact_mut(4) {
            let sum: u32 = pixel.iter().map(|ink| u32::from(*ink)).sum();
            asked = asked.max(sum);
            if f64::from(sum) > limit {
                let less = brought_down([pixel[0], pixel[1], pixel[2], pixel[3]].map(f64::from), limit);
                pixel.copy_from_slice(&less.map(|ink| ink as u8));
            }
        }
        Ok(InkedPicture { size: pixels.size, inks, asked: f64::from(asked) / 2.55 })
    }
}

impl PrinterProfile {
    /// A picture without colour in black ink alone: three more plates would only give it a cast. `None`: it has colour.
    fn grey_picture(&self, rgb: &[u8]) -> Option<Vec<u8>> {
        let is_grey = |pixel: &[u8]| {
            let (least, most) = (pixel.iter().min(), pixel.iter().max());
            least.zip(most).is_none_or(|(least, most)| most - least <= GREY_PIXEL)
        };
        if !rgb.chunks_exact(3).all(is_grey) {
            return None;
        }
        let tints: Vec<u8> = (0..=u8::MAX)
            .map(|grey| (f64::from(self.tint(Colour::new(grey, grey, grey).lab().l)) * 0.255).round() as u8)
            .collect();
        // The middle one of three that hardly differ.
        Some(rgb.chunks_exact(3).flat_map(|pixel| [0, 0, 0, tints[usize::from(pixel[1])]]).collect())
    }
}

/// Whole amounts of four inks that together take no more than `most`: the three colours give way alike, black stays.
fn brought_down(inks: [f64; 4], most: f64) -> [f64; 4] {
    let [c, m, y, k] = inks;
    let colours = c + m + y;
    let rounded = inks.map(f64::round);
    if rounded.iter().sum::<f64>() <= most || colours <= 0.0 {
        return rounded;
    }
    let part = ((most - k.round()) / colours).clamp(0.0, 1.0);
    // Rounded down, so that three roundings cannot add up to more.
    [(c * part).floor(), (m * part).floor(), (y * part).floor(), k.round()]
}

/// What a profile calls itself: its description in plain letters (ICC.1:2001-04, 6.5.17; ICC.1:2010, 10.13).
fn name_of(bytes: &[u8]) -> Option<String> {
    let word = |at: usize| -> Option<usize> {
        let four: [u8; 4] = bytes.get(at..at.checked_add(4)?)?.try_into().ok()?;
        usize::try_from(u32::from_be_bytes(four)).ok()
    };
    let count = word(128)?.min(200);
    let entry = (0..count).map(|tag| 132 + 12 * tag).find(|at| bytes.get(*at..at + 4) == Some(b"desc"))?;
    let (start, size) = (word(entry + 4)?, word(entry + 8)?);
    let tag = bytes.get(start..start.checked_add(size)?)?;
    let letters: String = match tag.get(..4)? {
        b"desc" => {
            let length = usize::try_from(u32::from_be_bytes(tag.get(8..12)?.try_into().ok()?)).ok()?;
            tag.get(12..12_usize.checked_add(length)?)?.iter().map(|byte| char::from(*byte)).collect()
        }
        b"mluc" => {
            let part = |at: usize| -> Option<usize> {
                usize::try_from(u32::from_be_bytes(tag.get(at..at + 4)?.try_into().ok()?)).ok()
            };
            let (length, offset) = (part(20)?, part(24)?);
            let utf16 = tag.get(offset..offset.checked_add(length)?)?.chunks_exact(2);
            char::decode_utf16(utf16.map(|pair| u16::from_be_bytes([pair[0], pair[1]]))).map_while(Result::ok).collect()
        }
        _ => return None,
    };
    let name: String = letters.chars().filter(|c| !c.is_control()).take(120).collect();
    let name = name.trim();
    (!name.is_empty()).then(|| name.to_owned())
}
