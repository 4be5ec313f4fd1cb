//! Colours of what is drawn: from the few that a booklet gives to the tones of a body, its shade, marks and edge.

use crate::colour::Colour;

/// The colours a booklet gives to its figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FigureColours {
    /// Filler cord.
    pub(crate) cord: Colour,
    /// The working yarn: the booklet's accent.
    pub(crate) yarn: Colour,
    /// A second yarn.
    pub(crate) second_yarn: Colour,
    /// Wood.
    pub(crate) wood: Colour,
    /// The mounting strand.
    pub(crate) strand: Colour,
    /// The paper, for the gap that shows a cord to dip below another.
    pub(crate) paper: Colour,
    /// Lines, arrows and leaders.
    pub(crate) ink: Colour,
    /// Whether outlines are grey, whatever the colour of what they go round: then a press needs one ink for them.
    pub(crate) grey_edges: bool,
}

impl Default for FigureColours {
    fn default() -> FigureColours {
        FigureColours {
            cord: Colour::new(0xe6, 0xd6, 0xb8),
            yarn: Colour::new(0x2f, 0x5d, 0x7c),
            second_yarn: Colour::new(0xc9, 0x8a, 0x3c),
            wood: Colour::new(0xb0, 0x8a, 0x62),
            strand: Colour::new(0xcf, 0xc2, 0xad),
            paper: Colour::WHITE,
            ink: Colour::new(0x33, 0x30, 0x2c),
            grey_edges: false,
        }
    }
}

/// Tones of one thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Tones {
    /// The lit body.
    pub(crate) body: Colour,
    /// Its side away from the light.
    pub(crate) shade: Colour,
    /// Lines on it: twist, grain.
    pub(crate) mark: Colour,
    /// Its outline.
    pub(crate) edge: Colour,
}

/// `share` of the way from `a` to `b`, channel by channel.
pub(crate) fn mixed(a: Colour, b: Colour, share: f64) -> Colour {
    let channel = |a: u8, b: u8| {
        let value = f64::from(a) + (f64::from(b) - f64::from(a)) * share.clamp(0.0, 1.0);
        // In range: both ends are bytes.
        value.round() as u8
    };
    Colour::new(channel(a.r, b.r), channel(a.g, b.g), channel(a.b, b.b))
}

/// How light a colour looks on paper, 0 to 1: the weights of the video luma (Rec. 709) on the coded channels, near
/// enough to choose tints by.
pub(crate) fn lightness(colour: Colour) -> f64 {
    (0.2126 * f64::from(colour.r) + 0.7152 * f64::from(colour.g) + 0.0722 * f64::from(colour.b)) / 255.0
}

/// A colour brought to a wanted lightness by mixing it with white or black; hue stays.
pub(crate) fn at_lightness(colour: Colour, wanted: f64) -> Colour {
    let now = lightness(colour);
    if now < wanted {
        mixed(colour, Colour::WHITE, (wanted - now) / (1.0 - now).max(1e-6))
    } else {
        mixed(colour, Colour::BLACK, (now - wanted) / now.max(1e-6))
    }
}
