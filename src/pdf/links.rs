//! Areas that lead to a page or an address, as link annotations.

use super::drawn::DrawnPage;
use super::error::PdfError;
use super::finisher::{Annotation, AnnotationKind, Finisher, destination, numbers};
use super::metadata::spoken;
use super::place::PagePlace;
use crate::page::{Booklet, Target};
use crate::web_address;
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
                // Seven-bit ASCII (ISO 32000-1, 12.6.4.7).
                Target::Address(address) => {
                    let address = Object::String(web_address::ascii(address).into_bytes(), StringFormat::Literal);
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
