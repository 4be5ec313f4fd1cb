//! Runs of glyphs as text objects: each glyph where the layout put it, kerning as offsets against the widths that the
//! file really holds, words beside glyphs that cannot speak for themselves.

use super::draw::{Pen, milli};
use super::fonts::{self, EmbeddedFace};
use crate::page::TextRun;
use printpdf::{Codepoint, DictItem, Op, PdfFontHandle, Pt, TextItem, TextMatrix};
use std::collections::BTreeMap;

/// Offsets under this many thousandths of the em are not written; what is left out is made good by the next one.
const LEAST_OFFSET: f64 = 0.05;

/// Draws a run; `content` says that it is no artifact, so that its words matter. Returns the box round it.
pub(super) fn run(pen: &mut Pen<'_, '_>, run: &TextRun, face: &EmbeddedFace, content: bool) -> [f64; 4] {
    let (x, y) = pen.place.point(run.origin);
    let size = run.size.to_pt();
    let advance: f64 = run.glyphs.iter().map(|glyph| glyph.advance.to_pt()).sum();
    let (sin, cos) = direction(run.turn);
    if run.glyphs.is_empty() || size <= 0.0 {
        return [x, y, x, y];
    }
    let ops = &mut pen.drawn.ops;
    let whole = content.then_some(run.actual.as_deref()).flatten();
    if let Some(words) = whole {
        ops.push(span(words));
    }
    ops.push(Op::StartTextSection);
    ops.push(Op::SetFont {
        font: PdfFontHandle::External(printpdf::FontId(face.resource.clone())),
        size: Pt(milli(size)),
    });
    let turn = |value: f64| ((value * 1e6).round() / 1e6) as f32;
    let matrix = [turn(cos), turn(sin), turn(-sin), turn(cos), milli(x), milli(y)];
    ops.push(Op::SetTextMatrix { matrix: TextMatrix::Raw(matrix) });
    // Thousandths of the em, by the size that is written: where the pen is, and where the layout has it.
    let em = f64::from(milli(size)) / 1000.0;
    let mut pen_at = 0.0_f64;
    let mut layout_at = 0.0_f64;
    let mut rise = 0.0_f32;
    for stretch in fonts::stretches(run, face) {
        let words = if content && whole.is_none() { stretch.actual.as_deref() } else { None };
        if let Some(words) = words {
            ops.push(span(words));
        }
        let mut items: Vec<TextItem> = Vec::new();
        for glyph in &run.glyphs[stretch.glyphs] {
            let Some(embedded) = face.glyphs.get(&glyph.id) else { continue };
            let up = milli(glyph.dy.to_pt());
            if up != rise {
                if !items.is_empty() {
                    ops.push(Op::ShowText { items: std::mem::take(&mut items) });
                }
                ops.push(Op::SetLineOffset { multiplier: up });
                rise = up;
            }
            let offset = pen_at - (layout_at + glyph.dx.to_pt() / em);
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
            layout_at += glyph.advance.to_pt() / em;
        }
        if !items.is_empty() {
            ops.push(Op::ShowText { items });
        }
        if words.is_some() {
            ops.push(Op::EndMarkedContent);
        }
    }
    if rise != 0.0 {
        ops.push(Op::SetLineOffset { multiplier: 0.0 });
    }
    ops.push(Op::EndTextSection);
    if whole.is_some() {
        ops.push(Op::EndMarkedContent);
    }
    extent(x, y, size, advance, sin, cos)
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

/// Opens a span whose words replace what is drawn.
fn span(words: &str) -> Op {
    let map = BTreeMap::from([("ActualText".to_owned(), DictItem::String { data: utf16(words), literal: false })]);
    Op::BeginMarkedContentWithProperties { tag: "Span".to_owned(), properties: DictItem::Dict { map } }
}

/// UTF-16BE with its byte order mark (ISO 32000-1, 7.9.2.2).
fn utf16(text: &str) -> Vec<u8> {
    let mut out = vec![0xFE, 0xFF];
    out.extend(text.encode_utf16().flat_map(u16::to_be_bytes));
    out
}
