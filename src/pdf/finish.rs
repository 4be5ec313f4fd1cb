//! The document as printpdf makes it, with its pages, fonts and objects, taken over as a lopdf document and finished: exact
//! boxes, contents as they were drawn, fonts named and measured, annotations, structure, outline, metadata, identifier,
//! compact writing.

use super::drawn::DrawnPage;
use super::error::PdfError;
use super::finisher::{Finisher, numbers, real};
use super::fonts::EmbeddedFace;
use super::ink::Inks;
use super::metadata::text;
use super::options::Options;
use super::pack::{self, deflated};
use super::resources::Resources;
use super::{colour_profile, forms, licence_line, links, making, metadata, outline, prepress, tags};
use crate::page::{Booklet, Page};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, dictionary};
use printpdf::{
    Codepoint, DictItem, ExternalStream, ExternalXObject, Op, PdfDocument, PdfFontHandle, PdfPage, PdfSaveOptions, Pt,
    TextItem, XObject, XObjectId,
};
use std::collections::BTreeMap;

/// Finishes the document and returns its bytes.
pub(super) fn document(
    booklet: &Booklet,
    resources: Resources<'_>,
    mut drawn: Vec<DrawnPage<'_>>,
    options: Options,
) -> Result<Vec<u8>, PdfError> {
    let document = print(booklet, &resources)?;
    let pages = page_ids(&document)?;
    // Pages with content come first in the parent tree, then annotations.
    let first_key = options.tagged.then(|| drawn.iter().filter(|page| !page.marked.is_empty()).count());
    let mut work =
        Finisher { document, written: pack::WrittenObjects::default(), pages, annotations: Vec::new(), first_key };
    let prepress = resources.inks.profile().is_some();
    finish_contents(&mut work, &mut drawn)?;
    for (page, id) in booklet.pages.iter().zip(work.pages.clone()) {
        finish_page(&mut work.document, id, page, prepress)?;
    }
    if resources.inks.profile().is_none() {
        licence_line::add(&mut work, booklet)?;
    }
    finish_fonts(&mut work.document, &resources)?;
    finish_pictures(&mut work.document, &resources)?;
    if let Inks::Prepress(profile) = resources.inks {
        prepress::finish_catalogue(&mut work.document, booklet, profile)?;
        return pack::bytes(work.document, &work.written);
    }
    links::add(&mut work, booklet, &drawn)?;
    forms::add(&mut work, booklet, &drawn, resources.book)?;
    attach(&mut work)?;
    if options.tagged {
        tags::add(&mut work, booklet, &drawn)?;
    }
    outline::add(&mut work.document, booklet, &work.pages)?;
    finish_catalogue(&mut work.document, booklet, options)?;
    pack::bytes(work.document, &work.written)
}

/// Has printpdf make the document, and takes it over: pages that are still empty, fonts, pictures, marks.
fn print(booklet: &Booklet, resources: &Resources<'_>) -> Result<Document, PdfError> {
    let mut document = PdfDocument::new(&booklet.about.title);
    for face in resources.faces.values() {
        let font = printpdf::PdfFont::new(face.parsed.clone());
        document.resources.fonts.map.insert(printpdf::FontId(face.resource.clone()), font);
    }
    let objects = &mut document.resources.xobjects.map;
    for picture in resources.pictures.values() {
        objects.insert(XObjectId(picture.resource.clone()), picture.object.clone());
    }
    for mark in resources.marks.iter() {
        let name = |text: &str| DictItem::Name(text.as_bytes().to_vec());
        let bounds =
            mark.bounds.iter().map(|&value| DictItem::Real(((value * 1000.0).round() / 1000.0) as f32)).collect();
        let dict = BTreeMap::from([
            ("Type".to_owned(), name("XObject")),
            ("Subtype".to_owned(), name("Form")),
            ("BBox".to_owned(), DictItem::Array(bounds)),
            ("Filter".to_owned(), name("FlateDecode")),
            ("Resources".to_owned(), DictItem::Dict { map: BTreeMap::new() }),
        ]);
        let stream = ExternalStream { dict, content: pack::deflate(&mark.content)?, compress: false };
        let object = XObject::External(ExternalXObject { stream, width: None, height: None, dpi: None });
        objects.insert(XObjectId(mark.resource.clone()), object);
    }
    // printpdf embeds what the pages show, so the first one shows every glyph; `finish_contents` puts the real content in
    // its place.
    let mut shown = resources.faces.values().flat_map(every_glyph).collect();
    document.pages = booklet
        .pages
        .iter()
        .map(|page| {
            // The boxes are written exactly by `finish_page`; here they only have to be there.
            let size = |length: crate::geom::Length| printpdf::Mm(length.to_mm() as f32);
            PdfPage::new(size(page.trim.width), size(page.trim.height), std::mem::take(&mut shown))
        })
        .collect();
    let options = PdfSaveOptions {
        optimize: false,
        subset_fonts: false,
        secure: false,
        image_optimization: Some(printpdf::ImageOptimizationOptions {
            quality: None,
            max_image_size: None,
            dither_greyscale: None,
            convert_to_greyscale: Some(false),
            auto_optimize: Some(false),
            format: Some(printpdf::ImageCompression::Flate),
        }),
    };
    let mut warnings = Vec::new();
    let printed = document.to_lopdf_document(&options, &mut warnings);
    match warnings.into_iter().find(|warning| warning.severity == printpdf::PdfParseErrorSeverity::Error) {
        Some(warning) => Err(PdfError::Drawing(warning.msg)),
        None => Ok(printed),
    }
}

/// Shows each glyph of a face once, with its meaning.
fn every_glyph(face: &EmbeddedFace) -> [Op; 4] {
    let font = PdfFontHandle::External(printpdf::FontId(face.resource.clone()));
    let glyphs = face.glyphs.iter().map(|glyph| Codepoint::with_cid(glyph.code, 0.0, glyph.meaning.clone()));
    [
        Op::StartTextSection,
        Op::SetFont { font, size: Pt(1.0) },
        Op::ShowText { items: vec![TextItem::GlyphIds(glyphs.collect())] },
        Op::EndTextSection,
    ]
}

/// The pages in order.
fn page_ids(document: &Document) -> Result<Vec<ObjectId>, PdfError> {
    let pages = document.catalog()?.get(b"Pages")?.as_reference()?;
    let kids = document.get_dictionary(pages)?.get(b"Kids")?.as_array()?;
    kids.iter().map(|kid| Ok(kid.as_reference()?)).collect()
}

/// Content of all pages.
fn finish_contents(work: &mut Finisher<'_>, drawn: &mut [DrawnPage<'_>]) -> Result<(), PdfError> {
    let again = write_again(work, drawn)?;
    for (drawn, page) in drawn.iter_mut().zip(work.pages.clone()) {
        let dict = work.document.get_dictionary_mut(page)?;
        let id = dict.get(b"Contents")?.as_reference()?;
        if let Some(shared) = again.get(&drawn.again) {
            dict.set("Contents", vec![Object::Reference(*shared), Object::Reference(id)]);
        }
        work.document.set_object(id, std::mem::replace(&mut drawn.stream, Stream::new(Dictionary::new(), Vec::new())));
    }
    Ok(())
}

/// Writes what is drawn on many pages in the same way, each once: the objects by what they draw.
fn write_again(work: &mut Finisher<'_>, drawn: &[DrawnPage<'_>]) -> Result<BTreeMap<Vec<u8>, ObjectId>, PdfError> {
    let mut written = BTreeMap::new();
    for page in drawn.iter().filter(|page| !page.again.is_empty()) {
        if !written.contains_key(&page.again) {
            let id = work.document.add_object(deflated(Dictionary::new(), &page.again)?);
            written.insert(page.again.clone(), id);
        }
    }
    Ok(written)
}

/// Boxes and resources.
fn finish_page(document: &mut Document, id: ObjectId, page: &Page, prepress: bool) -> Result<(), PdfError> {
    let resources = document.get_dictionary(id)?.get(b"Resources")?.as_reference()?;
    // Always empty here, and shared by all pages.
    for key in [b"ExtGState".as_slice(), b"Shading"] {
        if let Some(Object::Reference(empty)) = document.get_dictionary_mut(resources)?.remove(key) {
            document.objects.remove(&empty);
        }
    }
    if prepress {
        document.get_dictionary_mut(resources)?.set("ExtGState", prepress::states());
        let dict = document.get_dictionary_mut(id)?;
        dict.remove(b"CropBox");
        for (key, value) in prepress::boxes(page) {
            dict.set(key, numbers(value));
        }
        dict.remove(b"Annots");
        return Ok(());
    }
    let bleed = page.bleed.to_pt();
    let (width, height) = (page.trim.width.to_pt(), page.trim.height.to_pt());
    let media = [0.0, 0.0, width + 2.0 * bleed, height + 2.0 * bleed];
    let trim = [bleed, bleed, bleed + width, bleed + height];
    let dict = document.get_dictionary_mut(id)?;
    dict.set("MediaBox", numbers(media));
    dict.set("CropBox", numbers(media));
    if bleed > 0.0 {
        dict.set("BleedBox", numbers(media));
    }
    dict.set("TrimBox", numbers(trim));
    dict.remove(b"Annots");
    Ok(())
}

/// Names with the subset's prefix, and widths as they stand in the programs.
fn finish_fonts(document: &mut Document, resources: &Resources<'_>) -> Result<(), PdfError> {
    let mut found: BTreeMap<Vec<u8>, ObjectId> = BTreeMap::new();
    for object in document.objects.values() {
        let Ok(dict) = object.as_dict() else { continue };
        let Ok(Object::Reference(fonts)) = dict.get(b"Font") else { continue };
        for (name, font) in document.get_dictionary(*fonts)? {
            found.insert(name.clone(), font.as_reference()?);
        }
    }
    for face in resources.faces.values() {
        let Some(&id) = found.get(face.resource.as_bytes()) else { continue };
        let name = Object::Name(face.base_name.clone().into_bytes());
        let font = document.get_dictionary_mut(id)?;
        font.set("BaseFont", name.clone());
        let descendant = font
            .get_mut(b"DescendantFonts")?
            .as_array_mut()?
            .first_mut()
            .ok_or_else(|| PdfError::Writing("a font without a descendant".to_owned()))?
            .as_dict_mut()?;
        descendant.set("BaseFont", name.clone());
        descendant.set("W", widths(face));
        let descriptor = descendant.get(b"FontDescriptor")?.as_reference()?;
        document.get_dictionary_mut(descriptor)?.set("FontName", name);
    }
    Ok(())
}

/// The widths of all codes in use, neighbours in one array.
fn widths(face: &EmbeddedFace) -> Object {
    let by_code: BTreeMap<u16, f64> = face.glyphs.iter().map(|glyph| (glyph.code, glyph.width)).collect();
    let mut out: Vec<Object> = Vec::new();
    let mut next = None;
    for (code, width) in by_code {
        match out.last_mut() {
            Some(Object::Array(list)) if next == Some(code) => list.push(real(width)),
            Some(_) | None => {
                out.push(Object::Integer(i64::from(code)));
                out.push(Object::Array(vec![real(width)]));
            }
        }
        next = code.checked_add(1);
    }
    Object::Array(out)
}

/// Profiles that pictures bring along.
fn finish_pictures(document: &mut Document, resources: &Resources<'_>) -> Result<(), PdfError> {
    for picture in resources.pictures.values() {
        let Some(profile) = &picture.profile else { continue };
        let objects = document.objects.values().find_map(|object| {
            let Ok(Object::Reference(id)) = object.as_dict().ok()?.get(b"XObject") else { return None };
            document.get_dictionary(*id).ok()?.get(picture.resource.as_bytes()).ok()?.as_reference().ok()
        });
        let Some(id) = objects else { continue };
        let grey = profile.get(16..20) == Some(b"GRAY");
        let (count, space) = if grey { (1, "DeviceGray") } else { (3, "DeviceRGB") };
        let profile = document.add_object(deflated(dictionary! { "N" => count, "Alternate" => space }, profile)?);
        let space = Object::Array(vec!["ICCBased".into(), profile.into()]);
        document.get_object_mut(id)?.as_stream_mut()?.dict.set("ColorSpace", space);
    }
    Ok(())
}

/// Hangs annotations on their pages.
fn attach(work: &mut Finisher<'_>) -> Result<(), PdfError> {
    let mut by_page: BTreeMap<usize, Vec<Object>> = BTreeMap::new();
    for annotation in &work.annotations {
        by_page.entry(annotation.page).or_default().push(annotation.id.into());
    }
    for (page, list) in by_page {
        let id = *work.pages.get(page).ok_or(PdfError::UnknownPage(page))?;
        work.document.get_dictionary_mut(id)?.set("Annots", list);
    }
    Ok(())
}

/// Language, output intent, metadata, labels, and how the file wants to be shown and printed.
fn finish_catalogue(document: &mut Document, booklet: &Booklet, options: Options) -> Result<(), PdfError> {
    let profile = document.add_object(deflated(dictionary! { "N" => 3 }, &colour_profile::srgb())?);
    let intent = dictionary! {
        "Type" => "OutputIntent",
        "S" => "GTS_PDFA1",
        "OutputConditionIdentifier" => text(colour_profile::NAME),
        "RegistryName" => text("http://www.color.org"),
        "Info" => text(colour_profile::NAME),
        "DestOutputProfile" => profile,
    };
    let packet = metadata::add(document, booklet, options.tagged);
    making::add(document, &booklet.about)?;
    let labels = outline::page_labels(booklet);
    let catalogue = document.catalog_mut()?;
    catalogue.remove(b"PageLayout");
    catalogue.set("Version", "1.7");
    catalogue.set("Metadata", packet);
    catalogue.set("OutputIntents", vec![Object::Dictionary(intent)]);
    if !booklet.about.language.is_empty() {
        catalogue.set("Lang", text(&booklet.about.language));
    }
    catalogue.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true, "PrintScaling" => "None" });
    catalogue.set("PageMode", if booklet.outline.is_empty() { "UseNone" } else { "UseOutlines" });
    if let Some(labels) = labels {
        catalogue.set("PageLabels", labels);
    }
    let info = document.trailer.get(b"Info")?.as_reference()?;
    document.set_object(info, metadata::information(booklet));
    document.version = "1.7".to_owned();
    Ok(())
}
