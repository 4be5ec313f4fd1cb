//! Boxes to tick and lines to type into on a screen: fields with appearances of their own, without scripts or actions.
//!
//! The empty box is content of the page. A field draws only the tick, and nothing while it is off; fields of one name
//! are one field with a widget at each place.

use super::drawn::DrawnPage;
use super::error::PdfError;
use super::finisher::{Annotation, AnnotationKind, Finisher, numbers};
use super::links::PRINT;
use super::metadata::{spoken, text};
use super::number::{colour_operands, number};
use super::pack;
use super::place::PagePlace;
use super::typing;
use crate::colour::Colour;
use crate::font::FontBook;
use crate::page::{Blank, Booklet, Mark, Tick};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, dictionary};
use std::collections::BTreeMap;

/// The name of the state in which a box is ticked; the same at all places of a field.
const ON: &str = "Yes";
/// The other state, whose name is fixed (ISO 32000-1, 12.7.4.2.3).
const OFF: &str = "Off";

/// Size of what is typed where a field says nothing of its own, points.
const SIZE_OF_FORM: f64 = 10.0;

/// Appearance streams by size and colour.
#[derive(Default)]
struct Appearances {
    on: BTreeMap<(i64, i64, Colour), ObjectId>,
    off: BTreeMap<(i64, i64), ObjectId>,
}

/// Where a field appears.
struct Appearance<'a> {
    page: usize,
    mark: Mark,
    tick: &'a Tick,
}

/// Adds all fields.
pub(super) fn add<'a>(
    work: &mut Finisher<'a>,
    booklet: &Booklet,
    drawn: &[DrawnPage<'a>],
    faces: &FontBook,
) -> Result<(), PdfError> {
    // Fields in the order in which they first appear; each with its places.
    let mut order: Vec<&str> = Vec::new();
    let mut places: BTreeMap<&str, Vec<Appearance<'a>>> = BTreeMap::new();
    for (page, drawn) in drawn.iter().enumerate() {
        for &(mark, tick) in &drawn.ticks {
            if tick.field.is_empty() || tick.field.contains('.') {
                return Err(PdfError::FieldName(tick.field.clone()));
            }
            let list = places.entry(tick.field.as_str()).or_default();
            if list.is_empty() {
                order.push(tick.field.as_str());
            }
            list.push(Appearance { page, mark, tick });
        }
    }
    let mut appearances = Appearances::default();
    let mut fields: Vec<Object> = Vec::new();
    for name in order {
        let Some(list) = places.get(name) else { continue };
        if let [only] = list.as_slice() {
            let id = work.document.new_object_id();
            widget(work, &mut appearances, booklet, id, only, None, |out| {
                out.extend_from_slice(b"/FT/Btn/V/Off/T");
                pack::write(out, &text(name));
            })?;
            fields.push(id.into());
            continue;
        }
        let Some(first) = list.first() else { continue };
        let field = work.document.new_object_id();
        // The sentence of a row is said at all its boxes and written once.
        let label = work.document.add_object(spoken(&first.tick.label));
        let mut kids: Vec<Object> = Vec::new();
        for place in list {
            let id = work.document.new_object_id();
            let shared = (place.tick.label == first.tick.label).then_some(label);
            widget(work, &mut appearances, booklet, id, place, shared, |out| {
                out.extend_from_slice(b"/Parent");
                pack::reference(out, field);
            })?;
            kids.push(id.into());
        }
        let dict = dictionary! {
            "FT" => "Btn",
            "T" => text(name),
            "TU" => label,
            "V" => OFF,
            "Kids" => kids,
        };
        work.document.set_object(field, dict);
        fields.push(field.into());
    }
    let before = fields.len();
    for (page, drawn) in drawn.iter().enumerate() {
        for &(mark, blank) in &drawn.blanks {
            if blank.field.is_empty() || blank.field.contains('.') || places.contains_key(blank.field.as_str()) {
                return Err(PdfError::FieldName(blank.field.clone()));
            }
            fields.push(line(work, booklet, page, mark, blank)?.into());
        }
    }
    let has_lines = fields.len() > before;
    if !fields.is_empty() {
        let mut form = dictionary! { "Fields" => fields };
        if has_lines {
            let font = typing::add(&mut work.document, faces)?;
            form.set("DR", dictionary! { "Font" => dictionary! { typing::NAME => font } });
            form.set("DA", typing::default_appearance(SIZE_OF_FORM));
        }
        let form = work.document.add_object(form);
        work.document.catalog_mut()?.set("AcroForm", form);
    }
    Ok(())
}

/// Writes one widget, with its words or the object that holds them; `field` adds what ties it to its field. The words stand at each widget too: the field's own
/// description is the one that counts, but some readers look at the widget alone.
fn widget<'a>(
    work: &mut Finisher<'a>,
    appearances: &mut Appearances,
    booklet: &Booklet,
    id: ObjectId,
    place: &Appearance<'a>,
    label: Option<ObjectId>,
    field: impl FnOnce(&mut Vec<u8>),
) -> Result<(), PdfError> {
    let (page, tick) = (place.page, place.tick);
    let (Some(layout), Some(&page_id)) = (booklet.pages.get(page), work.pages.get(page)) else {
        return Err(PdfError::UnknownPage(page));
    };
    let (width, height) = (tick.area.size.width.to_pt(), tick.area.size.height.to_pt());
    let (on, off) = appearances.get(&mut work.document, width, height, tick.colour);
    let key = work.next_key();
    work.written.add(id, |out| {
        out.extend_from_slice(b"<</Type/Annot/Subtype/Widget/F");
        pack::write(out, &Object::Integer(PRINT));
        out.extend_from_slice(b"/P");
        pack::reference(out, page_id);
        out.extend_from_slice(format!("/AS/{OFF}/AP<</N<</{ON}").as_bytes());
        pack::reference(out, on);
        out.extend_from_slice(format!("/{OFF}").as_bytes());
        pack::reference(out, off);
        out.extend_from_slice(b">>>>");
        field(out);
        out.extend_from_slice(b"/TU");
        match label {
            Some(shared) => pack::reference(out, shared),
            None => pack::write(out, &spoken(&tick.label)),
        }
        out.extend_from_slice(b"/Rect[");
        for value in PagePlace::on(layout).rect(tick.area) {
            number(out, value, 3);
            out.push(b' ');
        }
        out.push(b']');
        if let Some(key) = key {
            out.extend_from_slice(b"/StructParent ");
            pack::integer(out, key);
        }
        out.extend_from_slice(b">>");
    });
    let (kind, label) = (AnnotationKind::Field, &*tick.label);
    work.annotations.push(Annotation { page, id, mark: place.mark, kind, label });
    Ok(())
}

/// Adds a line to type into: a field with one widget, which draws nothing as long as nothing is typed.
fn line<'a>(
    work: &mut Finisher<'a>,
    booklet: &Booklet,
    page: usize,
    mark: Mark,
    blank: &'a Blank,
) -> Result<ObjectId, PdfError> {
    let (Some(layout), Some(&page_id)) = (booklet.pages.get(page), work.pages.get(page)) else {
        return Err(PdfError::UnknownPage(page));
    };
    let (width, height) = (blank.area.size.width.to_pt(), blank.area.size.height.to_pt());
    let empty = dictionary! {
        "Type" => "XObject",
        "Subtype" => "Form",
        "BBox" => numbers([0.0, 0.0, width, height]),
        "Resources" => Dictionary::new(),
    };
    let empty = work.document.add_object(Stream::new(empty, Vec::new()));
    let mut dict = dictionary! {
        "Type" => "Annot",
        "Subtype" => "Widget",
        "FT" => "Tx",
        "T" => text(&blank.field),
        "TU" => spoken(&blank.label),
        "V" => text(""),
        "DA" => typing::default_appearance(blank.size.to_pt()),
        "F" => PRINT,
        "P" => page_id,
        "Rect" => numbers(PagePlace::on(layout).rect(blank.area)),
        "AP" => dictionary! { "N" => empty },
    };
    if let Some(key) = work.next_key() {
        dict.set("StructParent", key);
    }
    let id = work.document.add_object(dict);
    work.annotations.push(Annotation { page, id, mark, kind: AnnotationKind::Field, label: &blank.label });
    Ok(id)
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
