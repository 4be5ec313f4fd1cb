//! The colours of one booklet: those of its look, and what follows from its yarns.

use crate::colour::Colour;
use crate::edition::{Edition, Look};
use crate::figure;
use crate::inks;
use crate::manuscript::{Block, Manuscript};

/// The colours of one booklet, settled.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Colours {
    /// Running text.
    pub(crate) text: Colour,
    /// Heads, captions.
    pub(crate) quiet: Colour,
    /// Rules.
    pub(crate) rule: Colour,
    /// Grounds.
    pub(crate) tint: Colour,
    /// Ground of repeated columns and rows.
    pub(crate) shared: Colour,
    /// Accent.
    pub(crate) accent: Colour,
}

impl Colours {
    /// Those of an edition; the accent is taken from the yarns where its look has none, and is as dark as text where
    /// everything but pictures is printed in black.
    pub(super) fn of(edition: &Edition, yarns: &[Colour]) -> Colours {
        let look = &edition.look;
        Colours {
            text: look.text,
            quiet: look.quiet,
            rule: look.rule,
            tint: look.tint,
            shared: look.shared,
            accent: if edition.in_black { look.text } else { accent(look, yarns) },
        }
    }
}

/// The accent of a look, or the yarns' own.
pub(super) fn accent(look: &Look, yarns: &[Colour]) -> Colour {
    look.accent.unwrap_or_else(|| inks::accent(yarns))
}

/// Colours of the yarns, from whatever part of the manuscript shows them.
pub(super) fn yarn_colours(manuscript: &Manuscript) -> Vec<Colour> {
    let blocks = || manuscript.sections.iter().flat_map(|s| &s.blocks);
    // A chart knows all yarns; boxes to tick before it may show the header's alone.
    for block in blocks() {
        if let Block::Chart(chart) = block {
            return chart.yarns.iter().map(|yarn| yarn.colour).collect();
        }
        if let Block::AsKnotted(drawing) = block {
            return drawing.grid.colours.clone();
        }
    }
    for block in blocks() {
        let swatches: Vec<_> = if let Block::Ticks(lines) = block {
            lines.iter().filter_map(|line| line.swatch.as_ref()).collect()
        } else if let Block::Table(table) = block {
            table.rows.iter().flatten().filter_map(|cell| cell.swatch.as_ref()).collect()
        } else {
            continue;
        };
        if !swatches.is_empty() {
            return swatches.iter().map(|swatch| swatch.colour).collect();
        }
    }
    Vec::new()
}

/// Figures take the accent for the working yarn; the second yarn is warm beside a cool accent and cool beside a warm one.
pub(super) fn figure_colours(accent: Colour, in_black: bool) -> figure::FigureColours {
    let cool = Colour::new(0x6f, 0x93, 0xa8);
    let usual = figure::FigureColours::default();
    figure::FigureColours {
        yarn: accent,
        second_yarn: if accent.r > accent.b { cool } else { usual.second_yarn },
        ink: if in_black { usual.ink.grey() } else { usual.ink },
        grey_edges: in_black,
        ..usual
    }
}
