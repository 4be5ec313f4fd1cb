//! What is different in a file for a print shop: PDF/X-4 (ISO 15930-7:2010) instead of the home file's standards, boxes with
//! bleed and marks, the shop's profile as output intent, nothing for the screen.

use super::error::PdfError;
use super::ink::PrinterProfile;
use super::marks::{self, MARGIN};
use super::metadata::{self, text};
use super::pack::deflated;
use super::place::PagePlace;
use super::shapes::{self, InkUse, ShapesOf};
use crate::colour::Colour;
use crate::page::{Booklet, Item, Page, Shape};
use lopdf::{Dictionary, Document, Stream, dictionary};
use sha2::{Digest, Sha256};

/// Name of the state in which what is drawn is printed over what lies below it.
pub(super) const OVER: &str = "Over";
/// Name of the state in which it takes its place.
pub(super) const INSTEAD: &str = "Instead";
/// Pictures with fewer pixels an inch look coarse in print; 300 are usual (common practice, no source).
const COARSE: f64 = 200.0;

/// A file for a print shop, and what its maker should know of it.
#[derive(Clone, Debug)]
pub struct PrepressFile {
    /// The file.
    pub bytes: Vec<u8>,
    /// Its pages.
    pub pages: usize,
    /// The most ink any colour or pixel would have taken, per cent; what is above the limit was brought down to it.
    pub asked: f64,
    /// Pictures that are too coarse.
    pub coarse: Vec<CoarsePicture>,
}

/// A picture with too few pixels for its size on paper.
#[derive(Clone, Debug, PartialEq)]
pub struct CoarsePicture {
    /// The page, from 0.
    pub page: usize,
    /// Pixels an inch, the fewer of across and down.
    pub per_inch: f64,
    /// Pixels across that would be enough.
    pub enough: u32,
}

/// Where a page's own coordinates lie: marks stand round its bleed.
pub(super) fn place(page: &Page) -> PagePlace {
    PagePlace { left: MARGIN.to_pt(), top: MARGIN.to_pt() + page.trim.height.to_pt() }
}

/// The boxes of a page: media, bleed, trim.
pub(super) fn boxes(page: &Page) -> [(&'static str, [f64; 4]); 3] {
    let (width, height, margin) = (page.trim.width.to_pt(), page.trim.height.to_pt(), MARGIN.to_pt());
    let around = |by: f64| [margin - by, margin - by, margin + width + by, margin + height + by];
    [("MediaBox", around(margin)), ("BleedBox", around(page.bleed.to_pt())), ("TrimBox", around(0.0))]
}

/// The two states, for the resources.
pub(super) fn states() -> Dictionary {
    // OPM 1: an ink that a colour does not have leaves the one below it alone (ISO 32000-1, 8.6.7).
    dictionary! {
        OVER => dictionary! { "Type" => "ExtGState", "OP" => true, "op" => true, "OPM" => 1 },
        INSTEAD => dictionary! { "Type" => "ExtGState", "OP" => false, "op" => false, "OPM" => 0 },
    }
}

/// Crop and fold marks of a page.
pub(super) fn page_marks(index: usize, page: &Page) -> Vec<u8> {
    let mut out = b"\n".to_vec();
    marks::of_page(&mut out, index, (page.trim.width.to_pt(), page.trim.height.to_pt()), true);
    out
}

/// Output intent, metadata, and how the file wants to be printed.
pub(super) fn finish_catalogue(
    document: &mut Document,
    booklet: &Booklet,
    profile: &PrinterProfile,
) -> Result<(), PdfError> {
    let icc = deflated(dictionary! { "N" => 4, "Alternate" => "DeviceCMYK" }, profile.bytes())?;
    let icc = document.add_object(icc);
    // The condition is the maker's shop's own, in no registry: then the standard wants it described in Info
    // (ISO 15930-7 on output intents, from memory), and no RegistryName.
    let intent = dictionary! {
        "Type" => "OutputIntent",
        "S" => "GTS_PDFX",
        "OutputConditionIdentifier" => text(profile.name()),
        "OutputCondition" => text(profile.name()),
        "Info" => text(profile.name()),
        "DestOutputProfile" => icc,
    };
    let identity = Sha256::digest(contents(document));
    let packet = packet(booklet, &identity);
    let stream = Stream::new(dictionary! { "Type" => "Metadata", "Subtype" => "XML" }, packet.into_bytes());
    let packet = document.add_object(stream.with_compression(false));
    if !booklet.about.made_with.is_empty() {
        let mut about = booklet.about.clone();
        about.made_with.push(("most-ink".to_owned(), profile.most_ink().to_string()));
        super::making::add(document, &about)?;
    }
    let catalogue = document.catalog_mut()?;
    for key in [b"PageLayout".as_slice(), b"Outlines", b"Version"] {
        catalogue.remove(key);
    }
    catalogue.set("Metadata", packet);
    catalogue.set("OutputIntents", vec![lopdf::Object::Dictionary(intent)]);
    catalogue.set("PageMode", "UseNone");
    catalogue.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true, "PrintScaling" => "None" });
    if !booklet.about.language.is_empty() {
        catalogue.set("Lang", text(&booklet.about.language));
    }
    let info = document.trailer.get(b"Info")?.as_reference()?;
    let mut information = metadata::information(booklet);
    information.set("Trapped", "False");
    if booklet.about.title.is_empty() {
        information.set("Title", text(UNTITLED));
    }
    document.set_object(info, information);
    document.version = "1.6".to_owned();
    Ok(())
}

/// A title must be there (ISO 15930-7 on metadata, from memory).
const UNTITLED: &str = "Untitled";

/// All streams, one after the other: what the file's identity is made from.
fn contents(document: &Document) -> Vec<u8> {
    let streams = document.objects.values().filter_map(|object| object.as_stream().ok());
    streams.flat_map(|stream| stream.content.iter().copied()).collect()
}

/// The home file's packet without its claims, and with those of PDF/X-4 (ISO 15930-7 on metadata, from memory: GTS_PDFXVersion, Trapped,
/// DocumentID, RenditionClass and VersionID).
fn packet(booklet: &Booklet, identity: &[u8]) -> String {
    let about = &booklet.about;
    let plain = metadata::packet(booklet, false);
    let hex: String = identity.iter().take(16).map(|byte| format!("{byte:02x}")).collect();
    let id = format!("{}-{}-{}-{}-{}", &hex[..8], &hex[8..12], &hex[12..16], &hex[16..20], &hex[20..32]);
    let mut more = String::new();
    let mut add = |name: &str, value: &str| {
        if !plain.contains(&format!("<{name}>")) {
            more += &format!("<{name}>{value}</{name}>\n");
        }
    };
    add("pdfxid:GTS_PDFXVersion", "PDF/X-4");
    add("pdf:Trapped", "False");
    add("xmpMM:DocumentID", &format!("uuid:{id}"));
    add("xmpMM:RenditionClass", "default");
    add("xmpMM:VersionID", "1");
    if about.title.is_empty() {
        add("dc:title", &format!("<rdf:Alt><rdf:li xml:lang=\"x-default\">{UNTITLED}</rdf:li></rdf:Alt>"));
    }
    let description = format!(
        "<rdf:Description rdf:about=\"\"\n\
         xmlns:pdfxid=\"http://www.npes.org/pdfx/ns/id/\"\n\
         xmlns:dc=\"http://purl.org/dc/elements/1.1/\"\n\
         xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\"\n\
         xmlns:xmpMM=\"http://ns.adobe.com/xap/1.0/mm/\">\n{more}</rdf:Description>\n</rdf:RDF>"
    );
    plain.replacen("</rdf:RDF>", &description, 1)
}

/// The most ink that a colour of the display list would take, per cent.
pub(super) fn asked(booklet: &Booklet, profile: &PrinterProfile) -> f64 {
    let shape = |shape: &Shape, of: ShapesOf, take: &mut dyn FnMut(Colour, InkUse)| {
        if let Some(colour) = shape.fill {
            take(colour, of.area());
        }
        if let Some(stroke) = &shape.stroke {
            take(stroke.colour, of.line());
        }
    };
    let mut most = 0.0_f64;
    let mut take = |colour: Colour, used: InkUse| most = most.max(profile.inks(colour, used).0);
    for placed in booklet.pages.iter().flat_map(|page| &page.frames).flat_map(|frame| &frame.items) {
        match &placed.item {
            Item::Text(run) => take(run.colour, InkUse::Type),
            Item::Shape(of) => shape(of, ShapesOf::Ornament, &mut take),
            Item::Drawing(drawing) => {
                let picture = shapes::in_colours(drawing);
                for (at, of) in drawing.shapes.iter().enumerate() {
                    shape(of, ShapesOf::drawing(&picture, at), &mut take);
                }
            }
            Item::Cells(cells) => {
                for ink in &cells.inks {
                    take(ink.colour, InkUse::Type);
                    if let Some(ground) = ink.ground {
                        take(ground, InkUse::Area);
                    }
                }
            }
            // Pixels are counted where they are turned into ink; ticks and links are not printed.
            Item::Picture(_) | Item::Tick(_) | Item::Blank(_) | Item::Link(_) => {}
        }
    }
    most
}

/// Pictures that have too few pixels for the size they are printed in.
pub(super) fn coarse(booklet: &Booklet) -> Vec<CoarsePicture> {
    let mut out = Vec::new();
    for (page, layout) in booklet.pages.iter().enumerate() {
        for placed in layout.frames.iter().flat_map(|frame| &frame.items) {
            let Item::Picture(picture) = &placed.item else { continue };
            let Some(file) = booklet.pictures.get(picture.picture) else { continue };
            let size = picture.area.size;
            let across = f64::from(file.pixels.0) / size.width.to_inches();
            let down = f64::from(file.pixels.1) / size.height.to_inches();
            let per_inch = across.min(down);
            if per_inch < COARSE {
                let enough = (size.width.to_inches() * COARSE).ceil() as u32;
                out.push(CoarsePicture { page, per_inch, enough });
            }
        }
    }
    out
}
