//! What a file says of how it was made, for this program alone: a page-piece dictionary of the catalogue (ISO 32000-1, 14.5).
//! No viewer shows it, and no standard that the files claim forbids it.

use super::PdfError;
use super::metadata::{PRODUCER, text};
use crate::page::AboutBooklet;
use lopdf::{Dictionary, Document, Object, ObjectId, dictionary};

/// The entry of the catalogue.
const PIECES: &[u8] = b"PieceInfo";

/// Adds what a booklet says of its making; nothing where it says nothing.
pub(super) fn add(document: &mut Document, about: &AboutBooklet) -> Result<(), PdfError> {
    if about.made_with.is_empty() {
        return Ok(());
    }
    let (year, month, day) = about.date;
    let mut private = Dictionary::new();
    for (key, value) in &about.made_with {
        private.set(key.as_bytes(), text(value));
    }
    let date = Object::string_literal(format!("D:{year:04}{month:02}{day:02}000000Z"));
    let piece = dictionary! { PRODUCER => dictionary! { "LastModified" => date, "Private" => private } };
    let id = document.add_object(piece);
    document.catalog_mut()?.set(PIECES, id);
    Ok(())
}

/// The dictionary of a finished file, with its number.
pub(super) fn of(document: &Document) -> Option<(ObjectId, Dictionary)> {
    let id = document.catalog().ok()?.get(PIECES).ok()?.as_reference().ok()?;
    Some((id, document.get_dictionary(id).ok()?.clone()))
}

/// The same dictionary with something more that was done.
pub(super) fn noted(mut pieces: Dictionary, more: &[(&str, &str)]) -> Dictionary {
    let private = pieces.get_mut(PRODUCER.as_bytes()).and_then(Object::as_dict_mut);
    let private = private.and_then(|own| own.get_mut(b"Private")).and_then(Object::as_dict_mut);
    if let Ok(private) = private {
        more.iter().for_each(|(key, value)| private.set(key.as_bytes(), text(value)));
    }
    pieces
}

/// Hangs such a dictionary on the catalogue.
pub(super) fn set(document: &mut Document, catalogue: &mut Dictionary, pieces: Dictionary) {
    let id = document.add_object(pieces);
    catalogue.set(PIECES, id);
}
