//! Colour operators: what colour a page description asks for.
//!
//! Managed colours are taken by their number of channels; device CMYK is turned with the plain formula, which is enough
//! because cells are only ever compared with the key on the same page.

use super::marks::Paint;
use crate::colour::Colour;

/// A colour space, as far as it matters here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ColourSpace {
    /// One channel, 0 black.
    Grey,
    /// Three channels.
    Rgb,
    /// Four channels.
    Cmyk,
    /// Patterns, spot colours, palettes.
    Other,
}

impl ColourSpace {
    /// The colour a new space starts with.
    pub(crate) fn first(self) -> Paint {
        match self {
            ColourSpace::Grey | ColourSpace::Rgb | ColourSpace::Cmyk => Paint::Flat(Colour::BLACK),
            ColourSpace::Other => Paint::Other,
        }
    }

    /// The colour of these channels.
    pub(crate) fn paint(self, channels: &[f64]) -> Paint {
        let byte = |v: f64| (v.clamp(0.0, 1.0) * 255.0).round() as u8;
        match (self, channels) {
            (ColourSpace::Grey, [g]) => Paint::Flat(Colour::new(byte(*g), byte(*g), byte(*g))),
            (ColourSpace::Rgb, [r, g, b]) => Paint::Flat(Colour::new(byte(*r), byte(*g), byte(*b))),
            (ColourSpace::Cmyk, [c, m, y, k]) => {
                let mix = |ink: f64| byte((1.0 - ink.clamp(0.0, 1.0)) * (1.0 - k.clamp(0.0, 1.0)));
                Paint::Flat(Colour::new(mix(*c), mix(*m), mix(*y)))
            }
            (ColourSpace::Grey | ColourSpace::Rgb | ColourSpace::Cmyk | ColourSpace::Other, _) => Paint::Other,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn device_colours_become_one_srgb_colour() {
        assert_eq!(ColourSpace::Rgb.paint(&[1.0, 0.5, 0.0]), Paint::Flat(Colour::new(255, 128, 0)));
        assert_eq!(ColourSpace::Grey.paint(&[0.2]), Paint::Flat(Colour::new(51, 51, 51)));
        // Own computation: (1 - 0) x (1 - 0.4) x 255 = 153.
        assert_eq!(ColourSpace::Cmyk.paint(&[0.0, 1.0, 0.5, 0.4]), Paint::Flat(Colour::new(153, 0, 77)));
        assert_eq!(ColourSpace::Other.paint(&[0.5]), Paint::Other);
    }
}
