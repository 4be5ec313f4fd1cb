//! Runs of glyphs as text objects: each glyph where the layout put it, kerning as offsets against the widths that the
//! file really holds, words beside glyphs that cannot speak for themselves.

use super::draw::{Pen, milli};
use super::fonts::{self, EmbeddedFace};
use crate::page::{Glyph, Mark, TextRun};
use printpdf::{Codepoint, Op, PdfFontHandle, Pt, TextItem, TextMatrix};

/// Offsets under this many thousandths of the em are not written; what is left out is made good by the next one.
const LEAST_OFFSET: f64 = 0.05;

/// Draws a run. Returns the box round it.
pub(super) fn run(pen: &mut Pen<'_, '_>, run: &TextRun, face: &EmbeddedFace, mark: Mark) -> [f64; 4] {
    let (x, y) = pen.place.point(run.origin);
    let size = run.size.to_pt();
    let advance: f64 = run.glyphs.iter().map(|glyph| glyph.advance.to_pt()).sum();
    let (sin, cos) = direction(run.turn);
    if run.glyphs.is_empty() || size <= 0.0 {
        return [x, y, x, y];
    }
    let mut line = Line { face, size, x, y, sin, cos, layout_at: 0.0 };
    match &run.actual {
        Some(words) => line.object(pen, &run.glyphs, run, mark, Some(words)),
        None => {
            for stretch in fonts::stretches(run, face) {
                line.object(pen, &run.glyphs[stretch.glyphs], run, mark, stretch.actual.as_deref());
            }
        }
    }
    extent(x, y, size, advance, sin, cos)
}

/// A run while it is drawn.
struct Line<'f> {
    face: &'f EmbeddedFace,
    size: f64,
    x: f64,
    y: f64,
    sin: f64,
    cos: f64,
    /// Where the layout has the pen, in thousandths of the em.
    layout_at: f64,
}

impl Line<'_> {
    /// A text object of some of the run's glyphs, with the words to be read instead of them, if any.
    fn object(&mut self, pen: &mut Pen<'_, '_>, glyphs: &[Glyph], run: &TextRun, mark: Mark, words: Option<&str>) {
        match words {
            Some(words) => pen.span(mark, words),
            None => pen.mark(mark),
        }
        pen.fill_type(run.colour);
        let ops = &mut pen.drawn.ops;
        ops.push(Op::StartTextSection);
        let font = PdfFontHandle::External(printpdf::FontId(self.face.resource.clone()));
        ops.push(Op::SetFont { font, size: Pt(milli(self.size)) });
        // Reckoned in thousandths of the em, by the size that is written.
        let em = f64::from(milli(self.size)) / 1000.0;
        let start = self.layout_at;
        let (x, y) = (self.x + start * em * self.cos, self.y + start * em * self.sin);
        let turn = |value: f64| ((value * 1e6).round() / 1e6) as f32;
        let matrix = [turn(self.cos), turn(self.sin), turn(-self.sin), turn(self.cos), milli(x), milli(y)];
        ops.push(Op::SetTextMatrix { matrix: TextMatrix::Raw(matrix) });
        let mut pen_at = start;
        let mut rise = 0.0_f32;
        let mut items: Vec<TextItem> = Vec::new();
        for glyph in glyphs {
            let Some(embedded) = self.face.glyphs.get(&glyph.id) else { continue };
            let up = milli(glyph.dy.to_pt());
            if up != rise {
                if !items.is_empty() {
                    ops.push(Op::ShowText { items: std::mem::take(&mut items) });
                }
                ops.push(Op::SetLineOffset { multiplier: up });
                rise = up;
            }
            let offset = pen_at - (self.layout_at + glyph.dx.to_pt() / em);
            if offset.abs() >= LEAST_OFFSET {
                let offset = (offset * 100.0).round() / 100.0;
                items.push(TextItem::Offset(offset as f32));
                pen_at -= offset;
            }
            let codepoint = Codepoint::with_cid(embedded.code, 0.0, embedded.meaning.clone());
            match items.last_mut() {
                Some(TextItem::GlyphIds(list)) => list.push(codepoint),
                Some(_) | None => items.push(TextItem::GlyphIds(vec![codepoint])),
            }
            pen_at += embedded.width;
            self.layout_at += glyph.advance.to_pt() / em;
        }
        if !items.is_empty() {
            ops.push(Op::ShowText { items });
        }
        if rise != 0.0 {
            ops.push(Op::SetLineOffset { multiplier: 0.0 });
        }
        ops.push(Op::EndTextSection);
        if words.is_some() {
            pen.close();
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
        .fold([x, y, x, y], super::tags::union)
}
