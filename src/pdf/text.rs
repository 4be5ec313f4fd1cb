//! Runs of glyphs as text objects: each glyph where the layout put it, kerning as offsets against the widths that the
//! file really holds, words beside glyphs that cannot speak for themselves.

use super::fonts::{self, EmbeddedFace};
use super::number::{SIZE_DECIMALS, hexadecimal, number, written};
use super::painter::PagePainter;
use super::place::union;
use crate::page::{Glyph, Mark, TextRun};

/// Offsets under this many thousandths of the em are not written; what is left out is made good by the next one.
const MIN_OFFSET: f64 = 0.05;
/// Decimals of an offset.
const OFFSET_DECIMALS: u32 = 1;

/// Draws a run. Returns the box round it.
pub(super) fn run<'r>(
    painter: &mut PagePainter<'_, 'r>,
    run: &TextRun,
    face: &'r EmbeddedFace,
    mark: Mark,
) -> [f64; 4] {
    let (x, y) = painter.place.point(run.origin);
    let size = run.size.to_pt();
    let advance: f64 = run.glyphs.iter().map(|glyph| glyph.advance.to_pt()).sum();
    let (sin, cos) = direction(run.turn);
    if run.glyphs.is_empty() || size <= 0.0 {
        return [x, y, x, y];
    }
    let mut line = RunState { face, size, x, y, sin, cos, layout_at: 0.0 };
    match &run.actual {
        Some(words) => line.object(painter, &run.glyphs, run, mark, Some(words)),
        None => {
            for stretch in fonts::stretches(run, face) {
                line.object(painter, &run.glyphs[stretch.glyphs], run, mark, stretch.actual.as_deref());
            }
        }
    }
    extent(x, y, size, advance, sin, cos)
}

/// A run while it is drawn.
struct RunState<'f> {
    face: &'f EmbeddedFace,
    size: f64,
    x: f64,
    y: f64,
    sin: f64,
    cos: f64,
    /// Where the layout has the pen, in thousandths of the em.
    layout_at: f64,
}

impl<'f> RunState<'f> {
    /// A text object of some of the run's glyphs, with the words to be read instead of them, if any.
    fn object(
        &mut self,
        painter: &mut PagePainter<'_, 'f>,
        glyphs: &[Glyph],
        run: &TextRun,
        mark: Mark,
        words: Option<&str>,
    ) {
        let spanning = painter.span(mark, words, run.language.as_deref());
        painter.fill_type(run.colour, self.size);
        painter.face(&self.face.resource, written(self.size, SIZE_DECIMALS));
        // Reckoned in thousandths of the em, by the size that is written.
        let em = written(self.size, SIZE_DECIMALS) / 1000.0;
        let start = self.layout_at;
        let at = (self.x + start * em * self.cos, self.y + start * em * self.sin);
        painter.text_at(at, (self.sin, self.cos));
        let out = &mut painter.drawn.content;
        let mut pen_at = start;
        let mut rise = 0.0;
        let mut shown = ArrayState::Nothing;
        for glyph in glyphs {
            let Some(embedded) = self.face.glyph(glyph.id) else { continue };
            let up = written(glyph.dy.to_pt(), 3);
            if up != rise {
                shown.finish(out);
                number(out, up, 3);
                out.extend_from_slice(b" Ts\n");
                rise = up;
            }
            let offset = pen_at - (self.layout_at + glyph.dx.to_pt() / em);
            if offset.abs() >= MIN_OFFSET {
                shown.offset(out, offset);
                pen_at -= written(offset, OFFSET_DECIMALS);
            }
            shown.glyph(out, embedded.code);
            pen_at += embedded.width;
            self.layout_at += glyph.advance.to_pt() / em;
        }
        shown.finish(out);
        if rise != 0.0 {
            out.extend_from_slice(b"0 Ts\n");
        }
        if spanning {
            painter.close();
        }
    }
}

/// How far the operand of the operator that shows glyphs has been written.
#[derive(Clone, Copy, PartialEq, Eq)]
enum ArrayState {
    Nothing,
    /// The last thing in the array is an offset.
    Offset,
    /// The last thing in the array is a string that can take more.
    Glyphs,
}

impl ArrayState {
    fn glyph(&mut self, out: &mut Vec<u8>, code: u16) {
        match self {
            ArrayState::Nothing => out.extend_from_slice(b"[<"),
            ArrayState::Offset => out.push(b'<'),
            ArrayState::Glyphs => {}
        }
        hexadecimal(out, code);
        *self = ArrayState::Glyphs;
    }

    /// Back by so many thousandths of the em.
    fn offset(&mut self, out: &mut Vec<u8>, offset: f64) {
        out.push(if *self == ArrayState::Nothing { b'[' } else { b'>' });
        number(out, offset, OFFSET_DECIMALS);
        *self = ArrayState::Offset;
    }

    fn finish(&mut self, out: &mut Vec<u8>) {
        match std::mem::replace(self, ArrayState::Nothing) {
            ArrayState::Nothing => {}
            ArrayState::Offset => out.extend_from_slice(b"]TJ\n"),
            ArrayState::Glyphs => out.extend_from_slice(b">]TJ\n"),
        }
    }
}

/// Sine and cosine, exact for quarter turns.
fn direction(degrees: f64) -> (f64, f64) {
    let quarter = degrees.rem_euclid(360.0);
    if quarter == 0.0 {
        (0.0, 1.0)
    } else if quarter == 90.0 {
        (1.0, 0.0)
    } else if quarter == 180.0 {
        (0.0, -1.0)
    } else if quarter == 270.0 {
        (-1.0, 0.0)
    } else {
        let radians = quarter.to_radians();
        (libm::sin(radians), libm::cos(radians))
    }
}

/// The box round a turned line of type that rises by its size and falls by a quarter of it.
fn extent(x: f64, y: f64, size: f64, advance: f64, sin: f64, cos: f64) -> [f64; 4] {
    [(0.0, -size / 4.0), (advance, -size / 4.0), (0.0, size), (advance, size)]
        .map(|(along, up)| {
            let (px, py) = (x + along * cos - up * sin, y + along * sin + up * cos);
            [px, py, px, py]
        })
        .into_iter()
        .fold([x, y, x, y], union)
}
