//! The inks a chart is printed in: what a whole cell looks like, and the accent that headings take from the palette.
//!
//! The chart is the picture, so in each of them the mean lightness of a cell, with all that is drawn on it, rises with the
//! lightness of its yarn. Comes from the yarns' colours and the names of their symbols; knows nothing of where cells stand.

mod cell;
mod tones;

use crate::colour::{Colour, Lab};
use crate::geom::{Length, Size};
use crate::page::{CellInk, Segment};
use crate::symbol;
use cell::{TEXT_CONTRAST, Tone, black};
use std::sync::Arc;

pub(crate) use cell::MARK_SHARE;

/// How much ink a chart takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum ChartInk {
    /// Pale tints of the yarns' own hues under black symbols.
    Saving,
    /// The yarns' own colours.
    Full,
    /// Black symbols on white.
    SymbolsOnly,
}

/// In pale tints a symbol need not carry the whole tone. Up to this weight it is drawn as large as on white, and of what it
/// weighs more only this part is drawn: it is smaller.
const WHOLE_UP_TO: f64 = 0.1;
const OF_THE_REST: f64 = 0.3;

/// The cells of a palette in one ink.
#[derive(Clone, Debug)]
pub(crate) struct Palette {
    ink: ChartInk,
    yarns: Vec<(Colour, String, Tone)>,
}

impl Palette {
    /// Of yarns with the names of their symbols.
    pub(crate) fn new<'a>(yarns: impl IntoIterator<Item = (Colour, &'a str)>, ink: ChartInk) -> Palette {
        let yarns: Vec<(Colour, &str)> = yarns.into_iter().collect();
        let tones: Vec<Tone> = match ink {
            ChartInk::Saving => yarns.iter().map(|(colour, symbol)| pale(*colour, symbol)).collect(),
            ChartInk::Full => tones::full(&yarns),
            ChartInk::SymbolsOnly => yarns.iter().map(|_| black(None, MARK_SHARE)).collect(),
        };
        let named = yarns.into_iter().zip(tones).map(|((colour, symbol), tone)| (colour, symbol.to_owned(), tone));
        Palette { ink, yarns: named.collect() }
    }

    /// The look of one yarn's cells of this size. A name that is no symbol's leaves the mark empty.
    pub(crate) fn cell(&self, colour: Colour, symbol: &str, size: Size) -> CellInk {
        let known = self.yarns.iter().find(|(of, named, _)| *of == colour && named == symbol);
        match known {
            Some((.., tone)) => tone.cell(symbol, size),
            None => cell_ink(colour, symbol, self.ink, size),
        }
    }

    /// Whether a yarn's true colour is printed beside its symbol in lists and keys.
    pub(crate) fn shows_true_colours(&self) -> bool {
        match self.ink {
            ChartInk::Saving | ChartInk::Full => true,
            ChartInk::SymbolsOnly => false,
        }
    }

    /// How cells are inked.
    pub(crate) fn ink(&self) -> ChartInk {
        self.ink
    }
}

/// The look of cells of size `cell` of a yarn by itself.
pub(crate) fn cell_ink(colour: Colour, symbol: &str, ink: ChartInk, cell: Size) -> CellInk {
    let alone = Palette::new([(colour, symbol)], ink);
    alone.yarns[0].2.cell(symbol, cell)
}

/// A symbol's outline to scale for cells of size `cell`, centred on (0, 0), as it is drawn in black on white.
pub(crate) fn mark(symbol: &str, cell: Size) -> Arc<Vec<Segment>> {
    black(None, MARK_SHARE).cell(symbol, cell).mark
}

/// Colours and widths of the lines between cells and of those on tens, from a look's own colours. Grey lines would lighten
/// the grounds of dark yarns, so on the yarns' own colours they are darker, and thinner.
pub(crate) fn lines(ink: ChartInk, grid: Colour, tens: Colour) -> [(Colour, Length); 2] {
    match ink {
        ChartInk::Saving => [(grid, Length::pt(0.22)), (tens, Length::pt(0.55))],
        // On white the lines are most of what the lightest yarn's cells have in ink.
        ChartInk::SymbolsOnly => [(lighter(grid), Length::pt(0.22)), (tens, Length::pt(0.5))],
        ChartInk::Full => [(tones::LINE, Length::pt(0.2)), (tones::TENS_LINE, Length::pt(0.55))],
    }
}

/// A third of the way to white.
fn lighter(colour: Colour) -> Colour {
    let [r, g, b] = [colour.r, colour.g, colour.b].map(|channel| channel + (255 - channel) / 3);
    Colour::new(r, g, b)
}

/// Black on a pale tint.
fn pale(colour: Colour, symbol: &str) -> Tone {
    let weight = symbol::weight(symbol).unwrap_or(1.0);
    let drawn = weight.min(WHOLE_UP_TO) + (weight - WHOLE_UP_TO).max(0.0) * OF_THE_REST;
    black(Some(tint(colour)), MARK_SHARE * libm::sqrt(drawn / weight))
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

/// Highlighters that are laid over rows: a yellow and a pink one.
const MARKERS: [Colour; 2] = [Colour::new(255, 240, 0), Colour::new(255, 130, 190)];
/// A ground under a see-through marker.
fn under(ground: Colour, marker: Colour) -> Colour {
    let through = |a: u8, b: u8| (f64::from(a) * f64::from(b) / 255.0).round() as u8;
    Colour::new(through(ground.r, marker.r), through(ground.g, marker.g), through(ground.b, marker.b))
}

/// A pale tint of the same hue, L* 80 or more, on which black stands out under a marker too. Darker yarns stay a little
/// darker and dull ones duller, so that tints differ as far as so pale ones can.
pub(crate) fn tint(colour: Colour) -> Colour {
    let own = colour.lab();
    let pale = Lab { l: 81.0 + 0.16 * own.l, ..own };
    let mut chroma = (own.chroma() * 0.62).min(38.0);
    loop {
        let tint = pale.with_chroma(chroma).to_colour();
        let readable = |marker: &Colour| under(tint, *marker).contrast(Colour::BLACK) >= TEXT_CONTRAST;
        if MARKERS.iter().all(readable) || chroma < 1.0 {
            return tint;
        }
        chroma *= 0.85;
    }
}

/// Chroma under which a colour reads as grey in a heading. Our judgement.
const MIN_CHROMA: f64 = 12.0;
/// The accent of a palette of greys: a deep blue-black ink.
const DEEP_INK: Colour = Colour::new(0x2f, 0x43, 0x58);

/// One accent for headings out of a chart's own colours: the liveliest that is, or once darkened in its own hue becomes,
/// readable on white at 4.5:1. The first of equals; a deep ink where all are grey.
pub(crate) fn accent(colours: &[Colour]) -> Colour {
    let mut best: Option<(f64, Colour)> = None;
    for &colour in colours {
        let own = colour.lab();
        // The colour itself where it is readable on white, else the lightest of its hue that is.
        let ready = shaded(colour, Colour::WHITE, TEXT_CONTRAST, -0.5).unwrap_or(Colour::BLACK);
        // Much darkening makes another colour of it (yellow turns olive), so it counts against.
        let lively = ready.lab().chroma() - 0.8 * (own.l - ready.lab().l);
        if ready.lab().chroma() >= MIN_CHROMA && best.is_none_or(|(most, _)| lively > most) {
            best = Some((lively, ready));
        }
    }
    best.map_or(DEEP_INK, |(_, colour)| colour)
}

#[cfg(test)]
mod tests;
