//! A finished file, opened by `reader`: its pages as forms that can be placed anywhere, with all they draw on and without
//! tags, fields and links.

use super::untag::untagged;
use crate::diag::{Diagnostic, Report};
use crate::pdf::finisher::numbers;
use crate::pdf::making;
use crate::pdf::pack::deflated;
use crate::reader::ReadError;
use crate::reader::document::{PdfFile, number};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, dictionary};
use std::collections::BTreeMap;

/// Pages of one booklet; nobody staples more.
pub(in crate::pdf) const MAX_PAGES: usize = 2_000;
/// Dictionaries and arrays in one another.
const MAX_DEPTH: usize = 60;

/// A page that can be placed.
pub(in crate::pdf) struct Sheetable {
    /// Its form in the new document: upright, the bottom left corner of its trimmed size at (0, 0).
    pub(crate) form: ObjectId,
    /// Trimmed width, points.
    pub(crate) width: f64,
    /// Trimmed height, points.
    pub(crate) height: f64,
    /// How far it is drawn beyond its trimmed size, points; the least of its four sides.
    pub(crate) bleed: f64,
}

/// What was taken over.
pub(in crate::pdf) struct TakenPages {
    /// The new document, so far without pages.
    pub(crate) document: Document,
    /// The pages in order.
    pub(crate) pages: Vec<Sheetable>,
    /// Whether there were boxes to tick, or links: they stay behind.
    pub(crate) had_annotations: bool,
    /// The title as the old file has it.
    pub(crate) information: Dictionary,
    /// Output intents, taken over as they are.
    pub(crate) intents: Option<Object>,
    /// Layers, taken over as they are.
    pub(crate) layers: Option<Object>,
    /// What the old file says of its making.
    pub(crate) making: Option<Dictionary>,
}

/// Opens a file. The fault says what is wrong with it in plain words.
pub(in crate::pdf) fn open(bytes: &[u8]) -> Result<PdfFile, Diagnostic> {
    PdfFile::new(bytes).map_err(|why| match why {
        ReadError::Locked => Diagnostic::fault("locked-pdf", why.to_string()).hint(why.remedy()),
        ReadError::NotPdf | ReadError::CutOff | ReadError::Unreadable(_) | ReadError::Page(_) => {
            Diagnostic::fault("unreadable-pdf", why.to_string()).hint(why.remedy())
        }
    })
}

/// Takes all pages over.
pub(in crate::pdf) fn take(old: &PdfFile) -> Result<TakenPages, Report> {
    let mut report = Report::new();
    let ids = old.pages();
    if ids.is_empty() {
        report.push(Diagnostic::fault("no-pages", "the file has no pages").hint("is it the right file?"));
    }
    if ids.len() > MAX_PAGES {
        report.push(
            Diagnostic::fault("too-many-pages", format!("the file has more than {MAX_PAGES} pages"))
                .hint("is it the right file?"),
        );
    }
    if report.has_faults() {
        return Err(report);
    }
    let new = Document::with_version("1.7");
    let mut carrier = Carrier { old, new, known: BTreeMap::new(), waiting: Vec::new() };
    let mut pages = Vec::new();
    let mut had_annotations = false;
    for (index, id) in ids.iter().enumerate() {
        let odd = |why: &str| {
            Diagnostic::fault("odd-page", format!("page {} cannot be placed: {why}", index + 1))
                .hint("compose the file anew, or save it anew from a viewer")
        };
        let Ok(page) = old.document.get_dictionary(*id) else {
            report.push(odd("it is no page"));
            continue;
        };
        had_annotations |= old.entry(page, b"Annots").is_some_and(|o| o.as_array().is_ok_and(|list| !list.is_empty()));
        match carrier.page(page) {
            Ok(page) => pages.push(page),
            Err(why) => report.push(odd(&why)),
        }
    }
    if report.has_faults() {
        return Err(report);
    }
    let mut information = Dictionary::new();
    let old_information =
        old.document.trailer.get(b"Info").ok().and_then(|o| old.follow(o)).and_then(|o| o.as_dict().ok());
    for key in [b"Title".as_slice(), b"Author"] {
        let value = old_information.and_then(|info| old.entry(info, key));
        if let Some(Object::String(..)) = value {
            information.set(key, value.cloned().unwrap_or(Object::Null));
        }
    }
    let mut whole = |key: &[u8]| {
        let value = old.document.catalog().ok().and_then(|catalogue| catalogue.get(key).ok())?;
        Some(carrier.carry(value, 0))
    };
    let (intents, layers) = (whole(b"OutputIntents"), whole(b"OCProperties"));
    carrier.bring();
    let making = making::of(&old.document).map(|(_, pieces)| pieces);
    Ok(TakenPages { document: carrier.new, pages, had_annotations, information, intents, layers, making })
}

/// The part of `inner` that lies in `outer`.
fn within(inner: [f64; 4], outer: [f64; 4]) -> [f64; 4] {
    let [l, b, r, t] = inner;
    [l.max(outer[0]), b.max(outer[1]), r.min(outer[2]), t.min(outer[3])]
}

/// Carries objects from the old document into the new one, each once.
struct Carrier<'a> {
    old: &'a PdfFile,
    new: Document,
    known: BTreeMap<ObjectId, ObjectId>,
    /// Old objects that have a new number but have not been brought yet.
    waiting: Vec<(ObjectId, ObjectId)>,
}

impl Carrier<'_> {
    /// A page as a form.
    fn page(&mut self, page: &Dictionary) -> Result<Sheetable, String> {
        let old = self.old;
        let boxes = old.boxes(page).ok_or("it has no size")?;
        let media = boxes.media;
        let crop = within(boxes.crop, media);
        let trim = if boxes.has_trim { within(boxes.trim, media) } else { crop };
        let drawn = within(boxes.bleed, media);
        let (wide, high) = (trim[2] - trim[0], trim[3] - trim[1]);
        if !(wide >= 1.0 && high >= 1.0) {
            return Err("it has no size".to_owned());
        }
        if old.entry(page, b"UserUnit").and_then(number).is_some_and(|unit| (unit - 1.0).abs() > 1e-6) {
            return Err("it has a unit of its own, and would have to be scaled".to_owned());
        }
        let (matrix, width, height) = match boxes.turned {
            1 => ([0.0, -1.0, 1.0, 0.0, -trim[1], trim[2]], high, wide),
            2 => ([-1.0, 0.0, 0.0, -1.0, trim[2], trim[3]], wide, high),
            3 => ([0.0, 1.0, -1.0, 0.0, trim[3], -trim[0]], high, wide),
            _ => ([1.0, 0.0, 0.0, 1.0, -trim[0], -trim[1]], wide, high),
        };
        let clip = [drawn[0].min(trim[0]), drawn[1].min(trim[1]), drawn[2].max(trim[2]), drawn[3].max(trim[3])];
        let bleed = [trim[0] - clip[0], trim[1] - clip[1], clip[2] - trim[2], clip[3] - trim[3]];
        let content = untagged(&old.content(page)?);
        let mut dict = dictionary! {
            "Type" => "XObject",
            "Subtype" => "Form",
            "BBox" => numbers(clip),
            "Matrix" => numbers(matrix),
        };
        let resources = old.inherited(page, b"Resources").cloned();
        let resources = resources.map_or(Object::Dictionary(Dictionary::new()), |found| self.carry(&found, 0));
        dict.set("Resources", resources);
        if let Ok(group) = page.get(b"Group") {
            let group = self.carry(group, 0);
            dict.set("Group", group);
        }
        let stream = deflated(dict, &content).map_err(|error| error.to_string())?;
        let bleed = bleed.into_iter().fold(f64::INFINITY, f64::min).max(0.0);
        Ok(Sheetable { form: self.new.add_object(stream), width, height, bleed })
    }

    /// An object with its references made those of the new document.
    fn carry(&mut self, object: &Object, depth: usize) -> Object {
        if depth > MAX_DEPTH {
            return Object::Null;
        }
        match object {
            Object::Reference(id) => {
                let next = self.known.get(id).copied().unwrap_or_else(|| {
                    let next = self.new.new_object_id();
                    self.known.insert(*id, next);
                    self.waiting.push((*id, next));
                    next
                });
                next.into()
            }
            Object::Array(list) => Object::Array(list.iter().map(|object| self.carry(object, depth + 1)).collect()),
            Object::Dictionary(dict) => Object::Dictionary(self.carry_dictionary(dict, depth)),
            Object::Stream(stream) => {
                let mut copy = Stream::new(self.carry_dictionary(&stream.dict, depth), stream.content.clone());
                copy.allows_compression = stream.allows_compression;
                Object::Stream(copy)
            }
            Object::Null
            | Object::Boolean(_)
            | Object::Integer(_)
            | Object::Real(_)
            | Object::Name(_)
            | Object::String(..) => object.clone(),
        }
    }

    fn carry_dictionary(&mut self, dict: &Dictionary, depth: usize) -> Dictionary {
        let mut copy = Dictionary::new();
        for (key, value) in dict {
            // Ties to the old file's structure and pages: they would lead nowhere, or bring the whole of it along.
            let tie =
                matches!(key.as_slice(), b"StructParent" | b"StructParents" | b"Parent" | b"Metadata" | b"PieceInfo");
            if !tie {
                copy.set(key.clone(), self.carry(value, depth + 1));
            }
        }
        copy
    }

    /// Brings everything that was referred to.
    fn bring(&mut self) {
        while let Some((from, to)) = self.waiting.pop() {
            let found = self.old.document.get_object(from).ok().map(|object| self.carry(object, 0));
            self.new.set_object(to, found.unwrap_or(Object::Null));
        }
    }
}
