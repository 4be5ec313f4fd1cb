//! Lighter and darker tones of one colour, so that knots and wood read as rounded.

use crate::colour::{Colour, Lab};

/// Darker by `by` in L*, and with a little more chroma, as shadows of a colour have.
pub(super) fn shaded(colour: Colour, by: f64) -> Colour {
    let own = colour.lab();
    // Near black there is little left to darken: the shadow then keeps a fifth of the lightness.
    let deep = Lab { l: (own.l - by).max(own.l * 0.2), ..own };
    deep.with_chroma(own.chroma() * 1.05).to_colour()
}

/// Lighter by `by` in L*; very light colours move less.
pub(super) fn lit(colour: Colour, by: f64) -> Colour {
    let own = colour.lab();
    let light = Lab { l: own.l + by.min((100.0 - own.l) * 0.6), ..own };
    light.with_chroma(own.chroma() * 0.92).to_colour()
}
