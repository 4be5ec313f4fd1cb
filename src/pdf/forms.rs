//! Boxes to tick on a screen: fields with appearances of their own, without scripts or actions.
//!
//! The empty box is content of the page. A field draws only the tick, and nothing while it is off; fields of one name
//! are one field with a widget at each place.

use super::content::{colour_operands, number};
use super::draw::DrawnPage;
use super::finish::{Annotation, AnnotationKind, numbers};
use super::links::PRINT;
use super::metadata::text;
use super::{PdfError, Place};
use crate::colour::Colour;
use crate::page::{Booklet, Mark, Tick};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, dictionary};
use std::collections::BTreeMap;

/// The name of the state in which a box is ticked; the same at all places of a field.
const ON: &str = "Yes";
/// The other state, whose name is fixed (ISO 32000-1, 12.7.4.2.3).
const OFF: &str = "Off";

/// Appearance streams by size and colour.
#[derive(Default)]
struct Appearances {
    on: BTreeMap<(i64, i64, Colour), ObjectId>,
    off: BTreeMap<(i64, i64), ObjectId>,
}

/// Adds all fields.
pub(super) fn add(
    document: &mut Document,
    booklet: &Booklet,
    drawn: &[DrawnPage<'_>],
    pages: &[ObjectId],
) -> Result<Vec<Annotation>, PdfError> {
    // Fields in the order in which they first appear; each with its places.
    let mut order: Vec<&str> = Vec::new();
    let mut places: BTreeMap<&str, Vec<(usize, Mark, &Tick)>> = BTreeMap::new();
    for (page, drawn) in drawn.iter().enumerate() {
        for &(mark, tick) in &drawn.ticks {
            if tick.field.is_empty() || tick.field.contains('.') {
                return Err(PdfError::FieldName(tick.field.clone()));
            }
            let list = places.entry(tick.field.as_str()).or_default();
            if list.is_empty() {
                order.push(tick.field.as_str());
            }
            list.push((page, mark, tick));
        }
    }
    let mut appearances = Appearances::default();
    let mut added: Vec<Annotation> = Vec::new();
    let mut fields: Vec<Object> = Vec::new();
    for name in order {
        let Some(list) = places.get(name) else { continue };
        let Some((_, _, first)) = list.first() else { continue };
        let field = dictionary! { "FT" => "Btn", "T" => text(name), "TU" => text(&first.label), "V" => OFF };
        if let [(page, mark, tick)] = list.as_slice() {
            let mut dict = widget(document, &mut appearances, booklet, pages, *page, tick)?;
            dict.extend(&field);
            let id = document.add_object(dict);
            fields.push(id.into());
            added.push(Annotation { page: *page, id, mark: *mark, kind: AnnotationKind::Field });
            continue;
        }
        let parent = document.new_object_id();
        let mut kids: Vec<Object> = Vec::new();
        for (page, mark, tick) in list {
            let mut dict = widget(document, &mut appearances, booklet, pages, *page, tick)?;
            dict.set("Parent", parent);
            // The field's own description is the one that counts; some readers look at the widget alone.
            dict.set("TU", text(&tick.label));
            let id = document.add_object(dict);
            kids.push(id.into());
            added.push(Annotation { page: *page, id, mark: *mark, kind: AnnotationKind::Field });
        }
        let mut field = field;
        field.set("Kids", kids);
        document.set_object(parent, field);
        fields.push(parent.into());
    }
    if !fields.is_empty() {
        let form = document.add_object(dictionary! { "Fields" => fields });
        document.catalog_mut()?.set("AcroForm", form);
    }
    // A field's places follow one another here; on each page its boxes come in the order of their fields.
    added.sort_by_key(|annotation| annotation.page);
    Ok(added)
}

/// One widget, without what belongs to its field.
fn widget(
    document: &mut Document,
    appearances: &mut Appearances,
    booklet: &Booklet,
    pages: &[ObjectId],
    page: usize,
    tick: &Tick,
) -> Result<Dictionary, PdfError> {
    let (Some(layout), Some(&id)) = (booklet.pages.get(page), pages.get(page)) else {
        return Err(PdfError::UnknownPage(page));
    };
    let (width, height) = (tick.area.size.width.to_pt(), tick.area.size.height.to_pt());
    let (on, off) = appearances.get(document, width, height, tick.colour);
    let states = dictionary! { ON => on, OFF => off };
    Ok(dictionary! {
        "Type" => "Annot",
        "Subtype" => "Widget",
        "Rect" => numbers(Place::on(layout).rect(tick.area)),
        "F" => PRINT,
        "P" => id,
        "AP" => dictionary! { "N" => states },
        "AS" => OFF,
    })
}

impl Appearances {
    fn get(&mut self, document: &mut Document, width: f64, height: f64, colour: Colour) -> (ObjectId, ObjectId) {
        let (w, h) = ((width * 1000.0).round() as i64, (height * 1000.0).round() as i64);
        let mut form = |content: Vec<u8>| {
            let dict = dictionary! {
                "Type" => "XObject",
                "Subtype" => "Form",
                "BBox" => numbers([0.0, 0.0, width, height]),
                "Resources" => Dictionary::new(),
            };
            document.add_object(Stream::new(dict, content))
        };
        let on = *self.on.entry((w, h, colour)).or_insert_with(|| form(tick_mark(width, height, colour)));
        let off = *self.off.entry((w, h)).or_insert_with(|| form(Vec::new()));
        (on, off)
    }
}

/// A tick inside a box of this size: a short stroke down, a long one up, with round ends.
fn tick_mark(width: f64, height: f64, colour: Colour) -> Vec<u8> {
    let mut out = b"q\n".to_vec();
    colour_operands(&mut out, colour);
    out.extend_from_slice(b"RG\n");
    number(&mut out, width.min(height) * 0.14, 3);
    out.extend_from_slice(b" w\n1 J\n1 j\n");
    for (x, y, key) in [(0.20, 0.50, b'm'), (0.42, 0.24, b'l'), (0.82, 0.78, b'l')] {
        number(&mut out, width * x, 3);
        out.push(b' ');
        number(&mut out, height * y, 3);
        out.extend([b' ', key, b'\n']);
    }
    out.extend_from_slice(b"S\nQ");
    out
}
