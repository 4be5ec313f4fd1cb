//! The inks a chart is printed in: what a whole cell looks like, and the accent that headings take from the palette.
//!
//! Comes from a yarn's colour and its symbol's name; knows nothing of where cells stand.

use super::symbol;
use crate::colour::{Colour, Lab};
use crate::geom::{Length, Size};
use crate::page::CellInk;
use std::sync::Arc;

/// How much ink a chart takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ChartInk {
    /// Pale tints of the yarns' own hues under black symbols.
    Saving,
    /// The yarns' own colours.
    Full,
    /// Black symbols on white.
    SymbolsOnly,
}

/// The symbol's box as a share of a cell's smaller side. At least 0.70 for reading (character heights of NUREG-0700
/// applied to cells of 2.7 mm); the rest keeps neighbouring symbols from running together.
pub const MARK_SHARE: f64 = 0.78;

/// Luminance above which black contrasts more than white: where (Y + 0.05) / 0.05 equals 1.05 / (Y + 0.05).
const BLACK_ABOVE: f64 = 0.17913;

/// The look of one yarn's cells of size `cell`. A name that is no symbol's leaves the mark empty.
pub fn cell_ink(colour: Colour, symbol: &str, ink: ChartInk, cell: Size) -> CellInk {
    let ground = ground(colour, ink);
    CellInk { ground, mark: mark(symbol, cell), colour: on(ground.unwrap_or(Colour::WHITE)) }
}

/// A symbol's outline to scale for cells of size `cell`, centred on (0, 0).
pub fn mark(symbol: &str, cell: Size) -> Arc<Vec<crate::page::Segment>> {
    let side: Length = cell.width.min(cell.height) * MARK_SHARE;
    Arc::new(symbol::scaled(symbol, side).unwrap_or_default())
}

/// What lies under a yarn's symbols; `None`: the paper.
pub fn ground(colour: Colour, ink: ChartInk) -> Option<Colour> {
    match ink {
        ChartInk::Saving => Some(tint(colour)),
        ChartInk::Full => Some(colour),
        ChartInk::SymbolsOnly => None,
    }
}

/// Black or white, whichever contrasts more with what it stands on; one of them always passes 4.5:1.
pub fn over(ground: Colour) -> Colour {
    if ground.luminance() > BLACK_ABOVE { Colour::BLACK } else { Colour::WHITE }
}

/// Contrast of a symbol with a dark ground: text needs 4.5:1 (WCAG 2.2, level AA), and ink spreads on plain paper.
const ON_DARK: f64 = 5.5;

/// The colour of a symbol on its ground: black on a light one. On a dark one the darkest tint of the same hue that stands
/// out: in white, the heavy symbols of dark yarns would make them the lightest of the picture.
pub fn on(ground: Colour) -> Colour {
    match over(ground) {
        Colour::BLACK => Colour::BLACK,
        lightest => shaded(ground, ground, ON_DARK, 0.5).unwrap_or(lightest),
    }
}

/// The first colour of the same hue, lightened or darkened step by step, that contrasts enough.
fn shaded(colour: Colour, against: Colour, contrast: f64, step: f64) -> Option<Colour> {
    let mut lab = colour.lab();
    let mut now = colour;
    while now.contrast(against) < contrast {
        lab.l += step;
        if !(0.0..=100.0).contains(&lab.l) {
            return None;
        }
        now = lab.to_colour();
    }
    Some(now)
}

/// A pale tint of the same hue, L* 80 or more, on which black stands at 12:1 or better. Darker yarns stay a little darker
/// and dull ones duller, so that tints differ as far as so pale ones can.
pub fn tint(colour: Colour) -> Colour {
    let own = colour.lab();
    let pale = Lab { l: 82.0 + 0.145 * own.l, ..own };
    pale.with_chroma((own.chroma() * 0.62).min(38.0)).to_colour()
}

/// Contrast that text needs on white (WCAG 2.2, level AA).
const TEXT_CONTRAST: f64 = 4.5;
/// Chroma under which a colour reads as grey in a heading. Our judgement.
const LEAST_CHROMA: f64 = 12.0;
/// The accent of a palette of greys: a deep blue-black ink.
const DEEP_INK: Colour = Colour::new(0x2f, 0x43, 0x58);

/// One accent for headings out of a chart's own colours: the liveliest that is, or once darkened in its own hue becomes,
/// readable on white at 4.5:1. The first of equals; a deep ink where all are grey.
pub fn accent(colours: &[Colour]) -> Colour {
    let mut best: Option<(f64, Colour)> = None;
    for &colour in colours {
        let own = colour.lab();
        // The colour itself where it is readable on white, else the lightest of its hue that is.
        let ready = shaded(colour, Colour::WHITE, TEXT_CONTRAST, -0.5).unwrap_or(Colour::BLACK);
        // Much darkening makes another colour of it (yellow turns olive), so it counts against.
        let lively = ready.lab().chroma() - 0.8 * (own.l - ready.lab().l);
        if ready.lab().chroma() >= LEAST_CHROMA && best.is_none_or(|(most, _)| lively > most) {
            best = Some((lively, ready));
        }
    }
    best.map_or(DEEP_INK, |(_, colour)| colour)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::Segment;

    /// Sixteen steps of each channel, both ends included.
    fn sampled() -> impl Iterator<Item = Colour> {
        let steps = || (0..=255_u8).step_by(17);
        steps().flat_map(move |r| steps().flat_map(move |g| steps().map(move |b| Colour::new(r, g, b))))
    }

    #[test]
    fn black_stands_at_twelve_to_one_on_every_tint_and_the_tint_keeps_its_hue() {
        for colour in sampled() {
            let tint = tint(colour);
            // Our judgement: a black symbol and a highlighter must both stand out.
            assert!(
                tint.lab().l >= 80.0 && tint.contrast(Colour::BLACK) >= 12.0,
                "{} {}",
                colour.to_hex(),
                tint.to_hex()
            );
            assert_eq!(over(tint), Colour::BLACK);
            // Where both are more than nearly grey the hue may turn by the rounding to eight bits only.
            let (own, pale) = (colour.lab(), tint.lab());
            if own.chroma() > 12.0 && pale.chroma() > 6.0 {
                let along = (own.a * pale.a + own.b * pale.b) / (own.chroma() * pale.chroma());
                assert!(along > 0.985, "{} {}: {along}", colour.to_hex(), tint.to_hex());
            }
        }
    }

    #[test]
    fn the_symbol_passes_text_contrast_on_every_colour_in_every_ink() {
        for colour in sampled() {
            for ink in [ChartInk::Saving, ChartInk::Full, ChartInk::SymbolsOnly] {
                let cell = cell_ink(colour, "disc", ink, Size::new(Length::mm(4.0), Length::mm(4.0)));
                let ground = cell.ground.unwrap_or(Colour::WHITE);
                // WCAG 2.2, level AA.
                assert!(cell.colour.contrast(ground) >= 4.5, "{} on {}", cell.colour.to_hex(), ground.to_hex());
                assert!(cell.colour == Colour::BLACK || over(ground) == Colour::WHITE);
            }
        }
    }

    #[test]
    fn a_dark_yarn_stays_darker_than_a_light_one_in_full_ink_however_heavy_its_symbol() {
        // Half the cell under the symbol, the heaviest share there is; the light yarn as little as a fifth.
        let mean = |hex: &str, share: f64| {
            let ground = Colour::from_hex(hex).expect("a colour");
            on(ground).luminance() * share + ground.luminance() * (1.0 - share)
        };
        for dark in ["#1f3350", "#2b2b2b", "#4a2c1a", "#123d2c", "#5a1020"] {
            for light in ["#efe3c2", "#ffffff", "#f2c9b0", "#c9d8e8"] {
                assert!(mean(dark, 0.5) < mean(light, 0.2) * 0.6, "{dark} {light}");
            }
        }
    }

    #[test]
    fn hues_that_differ_still_differ_once_pale() {
        // Common practice, no source: a dozen yarns of one invented palette; 3 is a just clearly visible difference.
        let yarns = ["#3f5680", "#2b7482", "#8e86b4", "#eba58e", "#f5eddc", "#b23a2e", "#c77b45", "#f7c54e", "#3f5446"];
        let tints: Vec<Lab> = yarns.iter().filter_map(|hex| Colour::from_hex(hex)).map(|c| tint(c).lab()).collect();
        assert_eq!(tints.len(), yarns.len());
        for (i, a) in tints.iter().enumerate() {
            for (j, b) in tints.iter().enumerate().take(i) {
                let apart = libm::hypot(libm::hypot(a.a - b.a, a.b - b.b), a.l - b.l);
                assert!(apart > 3.0, "{} {}: {apart}", yarns[i], yarns[j]);
            }
        }
    }

    #[test]
    fn the_mark_is_drawn_to_the_smaller_side_of_the_cell() {
        let mark = mark("block", Size::new(Length::mm(5.0), Length::mm(3.0)));
        let right = mark.iter().filter_map(|segment| match *segment {
            Segment::Move(p) | Segment::Line(p) | Segment::Curve(_, _, p) => Some(p.x.to_mm()),
            Segment::Close => None,
        });
        assert!((right.fold(0.0, f64::max) - 1.5 * MARK_SHARE).abs() < 1e-9);
    }

    #[test]
    fn the_accent_is_readable_and_of_a_hue_of_the_palette() {
        for colour in sampled() {
            assert!(accent(&[colour, Colour::new(128, 128, 128)]).contrast(Colour::WHITE) >= 4.5);
        }
        let teal = Colour::new(0x22, 0x70, 0x7b);
        assert_eq!(accent(&[Colour::new(0xef, 0xe3, 0xcb), teal]), teal);
        assert_eq!(accent(&[Colour::new(40, 40, 40), Colour::WHITE]), DEEP_INK);
        assert_eq!(accent(&[]), DEEP_INK);
    }
}
