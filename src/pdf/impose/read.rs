//! A finished file, read within limits: its pages as forms that can be placed anywhere, with all they draw on and without
//! tags, fields and links.

use super::untag::untagged;
use crate::diag::{Diagnostic, Report};
use crate::pdf::finish::numbers;
use crate::pdf::pack::deflated;
use lopdf::{Dictionary, Document, LoadOptions, Object, ObjectId, Stream, dictionary};
use std::collections::BTreeMap;

/// Bytes one stream may unpack to. The densest chart page we know of unpacks to about 4 MB.
const MOST_BYTES_A_STREAM: usize = 48 << 20;
/// Bytes that the content of all pages may unpack to.
const MOST_BYTES: usize = 768 << 20;
/// Pages of one booklet; nobody staples more.
pub(in crate::pdf) const MOST_PAGES: usize = 2_000;
/// Steps up a chain of parents.
const MOST_PARENTS: usize = 32;
/// Dictionaries and arrays in one another.
const DEEPEST: usize = 60;

/// A page that can be placed.
pub(in crate::pdf) struct Sheetable {
    /// Its form in the new document: upright, the bottom left corner of its trimmed size at (0, 0).
    pub form: ObjectId,
    /// Trimmed width, points.
    pub width: f64,
    /// Trimmed height, points.
    pub height: f64,
    /// How far it is drawn beyond its trimmed size, points; the least of its four sides.
    pub bleed: f64,
}

/// What was taken over.
pub(in crate::pdf) struct Taken {
    /// The new document, so far without pages.
    pub document: Document,
    /// The pages in order.
    pub pages: Vec<Sheetable>,
    /// Whether there were boxes to tick, or links: they stay behind.
    pub had_annotations: bool,
    /// The title as the old file has it.
    pub information: Dictionary,
    /// Output intents, taken over as they are.
    pub intents: Option<Object>,
    /// Layers, taken over as they are.
    pub layers: Option<Object>,
}

/// Opens a file. The fault says what is wrong with it in plain words.
pub(in crate::pdf) fn open(bytes: &[u8]) -> Result<Document, Diagnostic> {
    let unreadable = |why: String| {
        Diagnostic::fault("unreadable-pdf", format!("the file cannot be read as a PDF: {why}"))
            .hint("give a PDF that opens in a viewer; compose it anew if it is broken")
    };
    let options = LoadOptions::with_max_decompressed_size(MOST_BYTES_A_STREAM);
    // The parser is not ours and its promises about damaged files are not either: should it give up in a panic, that is
    // one more way of being unreadable.
    let parsed = std::panic::catch_unwind(|| Document::load_mem_with_options(bytes, options))
        .map_err(|_| unreadable("it is too damaged".to_owned()))?;
    let locked = || {
        Diagnostic::fault("locked-pdf", "the file is locked with a password")
            .hint("save it without a password, or compose it anew")
    };
    let document = match parsed {
        Err(lopdf::Error::Decryption(_) | lopdf::Error::InvalidPassword) => return Err(locked()),
        Err(error) => return Err(unreadable(error.to_string())),
        Ok(document) => document,
    };
    if document.is_encrypted() || document.was_encrypted() { Err(locked()) } else { Ok(document) }
}

/// Takes all pages over.
pub(in crate::pdf) fn take(old: &Document) -> Result<Taken, Report> {
    let mut report = Report::new();
    let ids: Vec<ObjectId> = old.page_iter().take(MOST_PAGES + 1).collect();
    if ids.is_empty() {
        report.push(Diagnostic::fault("no-pages", "the file has no pages").hint("is it the right file?"));
    }
    if ids.len() > MOST_PAGES {
        report.push(
            Diagnostic::fault("too-many-pages", format!("the file has more than {MOST_PAGES} pages"))
                .hint("is it the right file?"),
        );
    }
    if report.has_faults() {
        return Err(report);
    }
    let new = Document::with_version("1.7");
    let mut carrier = Carrier { old, new, known: BTreeMap::new(), waiting: Vec::new(), left: MOST_BYTES };
    let mut pages = Vec::new();
    let mut had_annotations = false;
    for (index, id) in ids.iter().enumerate() {
        let odd = |why: &str| {
            Diagnostic::fault("odd-page", format!("page {} cannot be placed: {why}", index + 1))
                .hint("compose the file anew, or save it anew from a viewer")
        };
        let Ok(page) = old.get_dictionary(*id) else {
            report.push(odd("it is no page"));
            continue;
        };
        had_annotations |= entry(old, page, b"Annots").is_some_and(|o| o.as_array().is_ok_and(|list| !list.is_empty()));
        match carrier.page(page) {
            Ok(page) => pages.push(page),
            Err(why) => report.push(odd(&why)),
        }
    }
    if report.has_faults() {
        return Err(report);
    }
    let mut information = Dictionary::new();
    let old_information = old.trailer.get(b"Info").ok().and_then(|o| follow(old, o)).and_then(|o| o.as_dict().ok());
    for key in [b"Title".as_slice(), b"Author"] {
        let value = old_information.and_then(|info| entry(old, info, key));
        if let Some(Object::String(..)) = value {
            information.set(key, value.cloned().unwrap_or(Object::Null));
        }
    }
    let mut whole = |key: &[u8]| {
        let value = old.catalog().ok().and_then(|catalogue| catalogue.get(key).ok())?;
        Some(carrier.carry(value, 0))
    };
    let (intents, layers) = (whole(b"OutputIntents"), whole(b"OCProperties"));
    carrier.bring();
    Ok(Taken { document: carrier.new, pages, had_annotations, information, intents, layers })
}

/// What a reference leads to, or the object itself.
fn follow<'a>(document: &'a Document, object: &'a Object) -> Option<&'a Object> {
    document.dereference(object).ok().map(|(_, found)| found)
}

/// An entry of a dictionary, references followed.
fn entry<'a>(document: &'a Document, dictionary: &'a Dictionary, key: &[u8]) -> Option<&'a Object> {
    follow(document, dictionary.get(key).ok()?).filter(|object| !object.is_null())
}

fn as_dictionary(object: &Object) -> Option<&Dictionary> {
    match object {
        Object::Dictionary(dictionary) => Some(dictionary),
        Object::Stream(stream) => Some(&stream.dict),
        _ => None,
    }
}

fn number(object: &Object) -> Option<f64> {
    match object {
        Object::Integer(value) => Some(*value as f64),
        Object::Real(value) => Some(f64::from(*value)),
        _ => None,
    }
    .filter(|value| value.is_finite() && value.abs() < 1e6)
}

/// An entry of a page that may stand with its parents.
fn inherited<'a>(document: &'a Document, page: &'a Dictionary, key: &[u8]) -> Option<&'a Object> {
    let mut node = page;
    for _ in 0..MOST_PARENTS {
        if let Some(found) = entry(document, node, key) {
            return Some(found);
        }
        node = as_dictionary(entry(document, node, b"Parent")?)?;
    }
    None
}

/// A box of a page: left, bottom, right, top.
fn page_box(document: &Document, page: &Dictionary, key: &[u8]) -> Option<[f64; 4]> {
    let list = inherited(document, page, key)?.as_array().ok()?;
    let values: Option<Vec<f64>> = list.iter().take(4).map(|o| follow(document, o).and_then(number)).collect();
    let [a, b, c, d] = values?.try_into().ok()?;
    Some([a.min(c), b.min(d), a.max(c), b.max(d)])
}

/// The part of `inner` that lies in `outer`.
fn within(inner: [f64; 4], outer: [f64; 4]) -> [f64; 4] {
    let [l, b, r, t] = inner;
    [l.max(outer[0]), b.max(outer[1]), r.min(outer[2]), t.min(outer[3])]
}

/// Carries objects from the old document into the new one, each once.
struct Carrier<'a> {
    old: &'a Document,
    new: Document,
    known: BTreeMap<ObjectId, ObjectId>,
    /// Old objects that have a new number but have not been brought yet.
    waiting: Vec<(ObjectId, ObjectId)>,
    /// Bytes that content may still unpack to.
    left: usize,
}

impl Carrier<'_> {
    /// A page as a form.
    fn page(&mut self, page: &Dictionary) -> Result<Sheetable, String> {
        let old = self.old;
        let media = page_box(old, page, b"MediaBox").ok_or("it has no size")?;
        let crop = within(page_box(old, page, b"CropBox").unwrap_or(media), media);
        let trim = within(page_box(old, page, b"TrimBox").unwrap_or(crop), media);
        let drawn = within(page_box(old, page, b"BleedBox").unwrap_or(trim), media);
        let (wide, high) = (trim[2] - trim[0], trim[3] - trim[1]);
        if !(wide >= 1.0 && high >= 1.0) {
            return Err("it has no size".to_owned());
        }
        if entry(old, page, b"UserUnit").and_then(number).is_some_and(|unit| (unit - 1.0).abs() > 1e-6) {
            return Err("it has a unit of its own, and would have to be scaled".to_owned());
        }
        let turned = inherited(old, page, b"Rotate").and_then(number).unwrap_or(0.0);
        let quarters = ((turned / 90.0).round() as i64).rem_euclid(4);
        let (matrix, width, height) = match quarters {
            1 => ([0.0, -1.0, 1.0, 0.0, -trim[1], trim[2]], high, wide),
            2 => ([-1.0, 0.0, 0.0, -1.0, trim[2], trim[3]], wide, high),
            3 => ([0.0, 1.0, -1.0, 0.0, trim[3], -trim[0]], high, wide),
            _ => ([1.0, 0.0, 0.0, 1.0, -trim[0], -trim[1]], wide, high),
        };
        let clip = [drawn[0].min(trim[0]), drawn[1].min(trim[1]), drawn[2].max(trim[2]), drawn[3].max(trim[3])];
        let bleed = [trim[0] - clip[0], trim[1] - clip[1], clip[2] - trim[2], clip[3] - trim[3]];
        let content = untagged(&self.content(page)?);
        let mut dict = dictionary! {
            "Type" => "XObject",
            "Subtype" => "Form",
            "BBox" => numbers(clip),
            "Matrix" => numbers(matrix),
        };
        let resources = inherited(old, page, b"Resources").cloned();
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

    /// The content of a page, all its streams in order with a line end between.
    fn content(&mut self, page: &Dictionary) -> Result<Vec<u8>, String> {
        let Some(contents) = entry(self.old, page, b"Contents") else { return Ok(Vec::new()) };
        let streams: Vec<&Stream> = match contents {
            Object::Stream(one) => vec![one],
            Object::Array(many) => {
                let found = many.iter().filter_map(|object| follow(self.old, object));
                found.filter_map(|object| object.as_stream().ok()).collect()
            }
            _ => return Err("its content is no stream".to_owned()),
        };
        let mut out = Vec::new();
        for stream in streams {
            let left = MOST_BYTES_A_STREAM.saturating_sub(out.len()).min(self.left);
            out.extend(stream.get_plain_content_with_limit(left).map_err(|error| error.to_string())?);
            out.push(b'\n');
        }
        self.left = self.left.saturating_sub(out.len());
        Ok(out)
    }

    /// An object with its references made those of the new document.
    fn carry(&mut self, object: &Object, depth: usize) -> Object {
        if depth > DEEPEST {
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
            let found = self.old.get_object(from).ok().map(|object| self.carry(object, 0));
            self.new.set_object(to, found.unwrap_or(Object::Null));
        }
    }
}
