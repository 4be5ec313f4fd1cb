//! Areas that lead to a page or an address, as link annotations.

use super::drawn::DrawnPage;
use super::error::PdfError;
use super::finisher::{Annotation, AnnotationKind, Finisher, destination, numbers};
use super::metadata::spoken;
use super::place::PagePlace;
use crate::page::{Booklet, Target};
use lopdf::{Object, StringFormat, dictionary};

/// Annotation flag "print": PDF/A wants it set (ISO 19005-2, 6.3.2).
pub(super) const PRINT: i64 = 4;

/// Adds all links.
pub(super) fn add<'a>(work: &mut Finisher<'a>, booklet: &Booklet, drawn: &[DrawnPage<'a>]) -> Result<(), PdfError> {
    for (index, (page, drawn)) in booklet.pages.iter().zip(drawn).enumerate() {
        for (mark, link) in &drawn.links {
            let mut dict = dictionary! {
                "Type" => "Annot",
                "Subtype" => "Link",
                "Rect" => numbers(PagePlace::on(page).rect(link.area)),
                "F" => PRINT,
                "Border" => numbers([0.0, 0.0, 0.0]),
                "Contents" => spoken(&link.label),
            };
            match &link.target {
                Target::Page(page, y) => dict.set("Dest", destination(booklet, &work.pages, *page, *y)?),
                Target::Section(section) => return Err(PdfError::UnknownSection(*section)),
                Target::Address(address) => {
                    let address = Object::String(ascii(address), StringFormat::Literal);
                    dict.set("A", dictionary! { "Type" => "Action", "S" => "URI", "URI" => address });
                }
            }
            if let Some(key) = work.next_key() {
                dict.set("StructParent", key);
            }
            let id = work.document.add_object(dict);
            let (kind, label) = (AnnotationKind::Link, link.label.as_str());
            work.annotations.push(Annotation { page: index, id, mark: *mark, kind, label });
        }
    }
    Ok(())
}

/// An address in seven-bit ASCII (ISO 32000-1, 12.6.4.7): everything else as the percent signs of its UTF-8 bytes.
fn ascii(address: &str) -> Vec<u8> {
    let mut out = Vec::with_capacity(address.len());
    for byte in address.bytes() {
        if (0x21..0x7F).contains(&byte) {
            out.push(byte);
        } else {
            out.extend(format!("%{byte:02X}").into_bytes());
        }
    }
    out
}
