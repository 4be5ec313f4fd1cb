//! The room that every page of a home file keeps for a line that says whose copy it is: one form, empty until
//! [`super::copies`] fills it, shared by all pages and no part of what is read.

use super::error::PdfError;
use super::finisher::{Finisher, numbers};
use super::number::number;
use crate::page::{Booklet, LicenceLine, Page};
use lopdf::{Dictionary, Object, Stream, dictionary};

/// The form's name in the resources of every page.
pub(super) const RESOURCE: &str = "LicenceLine";

/// What draws the form on a page: nothing, as long as it is empty. It is no content, so a structured file marks it.
pub(super) fn content(line: &LicenceLine, page: &Page, tagged: bool) -> Vec<u8> {
    let mut out = Vec::new();
    if tagged {
        out.extend_from_slice(b"\n/Artifact <</Type/Pagination/Subtype/Footer>> BDC");
    }
    out.extend_from_slice(b"\nq\n1 0 0 1 ");
    number(&mut out, page.bleed.to_pt() + (page.trim.width.to_pt() - line.size.width.to_pt()) / 2.0, 3);
    out.push(b' ');
    number(&mut out, page.bleed.to_pt() + line.foot.to_pt(), 3);
    out.extend_from_slice(format!(" cm\n/{RESOURCE} Do\nQ").as_bytes());
    if tagged {
        out.extend_from_slice(b"\nEMC");
    }
    out
}

/// Adds the form and names it in the resources of every page.
pub(super) fn add(work: &mut Finisher<'_>, booklet: &Booklet) -> Result<(), PdfError> {
    let Some(line) = &booklet.licence_line else { return Ok(()) };
    let dict = dictionary! {
        "Type" => "XObject",
        "Subtype" => "Form",
        "BBox" => numbers([0.0, 0.0, line.size.width.to_pt(), line.size.height.to_pt()]),
        "Resources" => Dictionary::new(),
    };
    let form = work.document.add_object(Stream::new(dict, Vec::new()));
    for page in work.pages.clone() {
        let resources = work.document.get_dictionary(page)?.get(b"Resources")?.as_reference()?;
        match work.document.get_dictionary(resources)?.get(b"XObject") {
            Ok(Object::Reference(objects)) => {
                let objects = *objects;
                work.document.get_dictionary_mut(objects)?.set(RESOURCE, form);
            }
            Ok(_) => {
                let objects = work.document.get_dictionary_mut(resources)?.get_mut(b"XObject")?.as_dict_mut()?;
                objects.set(RESOURCE, form);
            }
            Err(_) => {
                let objects = dictionary! { RESOURCE => form };
                work.document.get_dictionary_mut(resources)?.set("XObject", objects);
            }
        }
    }
    Ok(())
}
