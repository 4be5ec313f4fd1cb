//! Licensed copies of a finished booklet: one line at the foot of every page, and in the metadata, that says whose copy it
//! is. Nothing is composed again, and nothing is appended: a copy is a whole new file.
//!
//! A home file keeps an empty form for the line on every page (`licence_line`). Here that one form is filled.

use super::impose::read::{open, take};
use super::licence_line::RESOURCE;
use super::{Options, PdfError, making, pack, write};
use crate::diag::Diagnostic;
use crate::font::FontBook;
use crate::geom::{Length, Size};
use crate::page::Booklet;
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, dictionary};
use std::collections::BTreeMap;

/// What a copy says of its making: the words of its line.
pub(crate) const LICENCE_LINE: &str = "licence-line";

/// A finished booklet, opened once for all its copies.
pub struct Master {
    /// Everything that all copies have in common.
    begun: pack::PartialFile,
    trailer: Dictionary,
    /// The objects that no copy shares with another: these two, and `making`.
    form: (ObjectId, Dictionary),
    metadata: (ObjectId, Stream),
    /// What the booklet says of its making, where it says something.
    making: Option<(ObjectId, Dictionary)>,
    language: Option<String>,
    room: Size,
}

impl Master {
    /// Opens a finished booklet. The fault says in plain words why no copies can be made of a file.
    pub fn open(bytes: &[u8]) -> Result<Master, Diagnostic> {
        let mut document = open(bytes)?.document;
        // What they held lies in the document by now.
        document.objects.retain(|_, object| {
            let of_type = |kind: &[u8]| {
                object.as_stream().is_ok_and(|s| s.dict.get(b"Type").and_then(|t| t.as_name()).is_ok_and(|t| t == kind))
            };
            !of_type(b"ObjStm") && !of_type(b"XRef")
        });
        let found = reserved(&document);
        let (Some((form, room)), true) = (found, document.trailer.has(b"Info")) else {
            return Err(Diagnostic::fault("no-licence-line", "the file keeps no room for a line that says whose copy it is")
                .hint("compose the booklet anew with this program, and give that file: not sheets, and not a file that another program has saved"));
        };
        let odd = |error: PdfError| Diagnostic::fault("odd-booklet", format!("the booklet cannot be copied: {error}"));
        let (metadata, catalogue) = metadata_of(&document).map_err(odd)?;
        let language = catalogue.get(b"Lang").ok().and_then(|tag| tag.as_str().ok());
        let language = language.map(|tag| String::from_utf8_lossy(tag).into_owned());
        let mut kept =
            document.get_object(form).and_then(Object::as_stream).map(|form| form.dict.clone()).unwrap_or_default();
        kept.remove(b"Filter");
        let making = making::of(&document);
        let own: Vec<ObjectId> = [form, metadata.0].into_iter().chain(making.as_ref().map(|(id, _)| *id)).collect();
        let begun = pack::PartialFile::without(&document, &own).map_err(odd)?;
        Ok(Master { begun, trailer: document.trailer, form: (form, kept), metadata, making, language, room })
    }

    /// The room for the line on every page.
    pub fn room(&self) -> Size {
        self.room
    }

    /// The language of the file's words, if it names one.
    pub(crate) fn language(&self) -> Option<String> {
        self.language.clone()
    }

    /// One copy. `line` is a booklet of one page of the room's size with the line set in it; `words` is the same as text,
    /// for the metadata.
    ///
    /// # Errors
    /// See [`PdfError`].
    pub fn copy(&self, line: &Booklet, fonts: &FontBook, words: &str) -> Result<Vec<u8>, PdfError> {
        let odd = |_| PdfError::Writing("the line cannot be placed".to_owned());
        let set = write(line, fonts, Options { ticks: false, tagged: false })?;
        let small = open(&set).map_err(odd)?;
        let taken = take(&small).map_err(|_| PdfError::Writing("the line cannot be placed".to_owned()))?;
        let page = taken.pages.first().ok_or(PdfError::NoPages)?.form;
        let offset = self.begun.last_number();
        let mut own = Vec::with_capacity(taken.document.objects.len() + 2);
        for (id, mut object) in taken.document.objects {
            shift(&mut object, offset, 0)?;
            own.push(((id.0 + offset, 0), object));
        }
        let (form, mut dict) = self.form.clone();
        dict.set(
            "Resources",
            dictionary! { "XObject" => dictionary! { "Line" => Object::Reference((page.0 + offset, 0)) } },
        );
        own.push((form, Stream::new(dict, b"/Line Do".to_vec()).into()));
        own.push((self.metadata.0, noted_stream(&self.metadata.1, words)?.into()));
        if let Some((id, pieces)) = &self.making {
            own.push((*id, making::noted(pieces.clone(), &[(LICENCE_LINE, words)]).into()));
        }
        let mut begun = self.begun.clone();
        begun.add(own, &pack::WrittenObjects::default())?;
        begun.finish(&self.trailer)
    }
}

/// The metadata packet with its number, and the catalogue that names it.
fn metadata_of(document: &Document) -> Result<((ObjectId, Stream), Dictionary), PdfError> {
    let catalogue = document.catalog()?;
    let id = catalogue.get(b"Metadata")?.as_reference()?;
    let mut stream = document.get_object(id)?.as_stream()?.clone();
    if stream.dict.has(b"Filter") {
        stream.content = stream.decompressed_content()?;
        stream.dict.remove(b"Filter");
    }
    Ok(((id, stream.with_compression(false)), catalogue.clone()))
}

/// The form that the pages keep, and its size: found under its name in the resources of the first page.
fn reserved(document: &Document) -> Option<(ObjectId, Size)> {
    let page = document.page_iter().next()?;
    let below = |dict: &Dictionary, key: &[u8]| {
        let (_, found) = document.dereference(dict.get(key).ok()?).ok()?;
        found.as_dict().ok().cloned()
    };
    let objects = below(&below(document.get_dictionary(page).ok()?, b"Resources")?, b"XObject")?;
    let form = objects.get(RESOURCE.as_bytes()).ok()?.as_reference().ok()?;
    let bounds = document.get_object(form).ok()?.as_stream().ok()?.dict.get(b"BBox").ok()?.as_array().ok()?;
    let [_, _, width, height] = bounds.as_slice() else { return None };
    let points = |object: &Object| object.as_float().ok().map(|value| Length::pt(f64::from(value)));
    Some((form, Size::new(points(width)?, points(height)?)))
}

/// Counts references on by `offset`.
fn shift(object: &mut Object, offset: u32, depth: usize) -> Result<(), PdfError> {
    /// Far deeper than anything this program writes.
    const MAX_DEPTH: usize = 40;
    if depth > MAX_DEPTH {
        return Err(PdfError::Writing("the line cannot be placed".to_owned()));
    }
    match object {
        Object::Reference(id) => id.0 += offset,
        Object::Array(list) => list.iter_mut().try_for_each(|object| shift(object, offset, depth + 1))?,
        Object::Dictionary(dict) => dict.iter_mut().try_for_each(|(_, object)| shift(object, offset, depth + 1))?,
        Object::Stream(Stream { dict, .. }) => {
            dict.iter_mut().try_for_each(|(_, object)| shift(object, offset, depth + 1))?;
        }
        _ => {}
    }
    Ok(())
}

/// The metadata with the words in their rights, after those of the maker (Dublin Core `rights`).
fn noted_stream(metadata: &Stream, words: &str) -> Result<Stream, PdfError> {
    let packet =
        str::from_utf8(&metadata.content).map_err(|_| PdfError::Writing("the metadata are no text".to_owned()))?;
    Ok(Stream::new(metadata.dict.clone(), noted(packet, words)?.into_bytes()).with_compression(false))
}

fn noted(packet: &str, words: &str) -> Result<String, PdfError> {
    let words = super::metadata::escaped(words);
    if let Some(rights) = packet.find("<dc:rights>")
        && let Some(end) = packet[rights..].find("</rdf:li>")
    {
        let (before, after) = packet.split_at(rights + end);
        return Ok(format!("{before} {words}{after}"));
    }
    let title = packet.find("</dc:title>").ok_or_else(|| PdfError::Writing("the metadata have no title".to_owned()))?;
    let (before, after) = packet.split_at(title + "</dc:title>".len());
    let rights = format!("<dc:rights><rdf:Alt><rdf:li xml:lang=\"x-default\">{words}</rdf:li></rdf:Alt></dc:rights>");
    Ok(format!("{before}{rights}{after}"))
}

/// The name of a copy's file, unlike all in `taken`: two names for one file would overwrite each other. `taken` holds the
/// names given so far, each with how many asked for it.
pub fn file_name(stem: &str, parts: &[&str], taken: &mut BTreeMap<String, usize>) -> String {
    let words = std::iter::once(&stem).chain(parts).copied().collect::<Vec<_>>().join(" ");
    let name = crate::names::slugify(&words).unwrap_or_else(|| "copy".to_owned());
    let mut count = taken.get(&name).copied().unwrap_or(0);
    let given = loop {
        count += 1;
        let given = if count == 1 { name.clone() } else { format!("{name}-{count}") };
        if !taken.contains_key(&given) {
            break given;
        }
    };
    taken.insert(name, count);
    taken.entry(given.clone()).or_insert(1);
    format!("{given}.pdf")
}
