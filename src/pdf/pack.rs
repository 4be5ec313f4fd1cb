//! A finished document as bytes: objects packed into object streams, an xref stream, the identifier.
//!
//! lopdf can do this too, but copies every object, writes each three times and leaves the xref stream unpacked, which takes
//! long in a document with thousands of fields.

use super::error::PdfError;
use crate::cores;
use flate2::{Compress, Compression, FlushCompress, Status};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, StringFormat};
use sha2::{Digest, Sha256};
use std::cell::RefCell;
use std::collections::BTreeMap;

/// Objects in one object stream. More in one stream deflate better; readers unpack a whole stream to get at one object.
const OBJECTS_IN_STREAM: usize = 1000;
/// The level at which streams are deflated: above it, time grows much faster than files shrink.
const DEFLATE_LEVEL: u32 = 5;
/// The same for a page of a long file, where it adds up.
const LONG_LEVEL: u32 = 6;
/// The same for drawings and text, which gain less from a longer search than grids do.
const PLAIN_LEVEL: u32 = 2;
/// The same for object streams: thousands of objects that look all alike shrink nearly as far at a quick level.
const OBJECTS_LEVEL: u32 = 3;
/// From so many object streams on it is worth a longer search.
const MANY_STREAMS: usize = 8;

/// Objects that were written before the document is finished. Thousands of fields and their elements all look alike;
/// as lopdf's dictionaries they would take a dozen allocations each.
#[derive(Default)]
pub(super) struct WrittenObjects {
    bytes: Vec<u8>,
    /// Number and end of each object; it begins where the one before ends.
    ends: Vec<(u32, usize)>,
}

impl WrittenObjects {
    /// Adds an object under a number of its own.
    pub(crate) fn add(&mut self, id: ObjectId, write: impl FnOnce(&mut Vec<u8>)) {
        write(&mut self.bytes);
        self.ends.push((id.0, self.bytes.len()));
    }
    /// All of them.
    fn iter(&self) -> impl Iterator<Item = (u32, &[u8])> {
        let starts = std::iter::once(0).chain(self.ends.iter().map(|(_, end)| *end));
        starts.zip(&self.ends).map(|(start, (number, end))| (*number, &self.bytes[start..*end]))
    }
}

/// Bytes of an entry in the xref stream: its kind, and two numbers.
const ENTRY: usize = 7;
/// Before a row that is written as its difference from the one above.
const UP: u8 = 2;

/// An object on its way into an object stream.
enum StreamObject<'a> {
    Object(Object),
    Written(&'a [u8]),
}

/// Where an object lies.
#[derive(Clone, Copy)]
enum XrefEntry {
    /// Number of nothing.
    Free,
    /// Bytes from the beginning of the file.
    Offset(usize),
    /// Object stream, and place in it.
    Packed(u32, usize),
}

/// Deflates, and says so in the dictionary.
pub(super) fn deflated(dict: Dictionary, bytes: &[u8]) -> Result<Stream, PdfError> {
    deflated_at(DEFLATE_LEVEL, dict, bytes)
}

/// The same, with a longer search, for pages of a file that has very many.
pub(super) fn deflated_long(dict: Dictionary, bytes: &[u8]) -> Result<Stream, PdfError> {
    deflated_at(LONG_LEVEL, dict, bytes)
}

/// The same, quicker, for contents that hold no grid.
pub(super) fn deflated_plainly(dict: Dictionary, bytes: &[u8]) -> Result<Stream, PdfError> {
    deflated_at(PLAIN_LEVEL, dict, bytes)
}

fn deflated_at(level: u32, mut dict: Dictionary, bytes: &[u8]) -> Result<Stream, PdfError> {
    dict.set("Filter", "FlateDecode");
    Ok(Stream::new(dict, at_level(level, bytes)?).with_compression(false))
}

/// The bytes, deflated.
pub(super) fn deflate(bytes: &[u8]) -> Result<Vec<u8>, PdfError> {
    at_level(DEFLATE_LEVEL, bytes)
}

thread_local! {
    /// What deflates at each level: its tables are large, and most streams are small.
    static DEFLATERS: RefCell<BTreeMap<u32, Compress>> = const { RefCell::new(BTreeMap::new()) };
}

fn at_level(level: u32, bytes: &[u8]) -> Result<Vec<u8>, PdfError> {
    DEFLATERS.with_borrow_mut(|deflaters| {
        let deflater = deflaters.entry(level).or_insert_with(|| Compress::new(Compression::new(level), true));
        deflater.reset();
        let mut out = Vec::with_capacity(bytes.len() / 3 + 64);
        loop {
            let rest = bytes.get(deflater.total_in() as usize..).unwrap_or_default();
            match deflater.compress_vec(rest, &mut out, FlushCompress::Finish) {
                Ok(Status::StreamEnd) => return Ok(out),
                Ok(Status::Ok | Status::BufError) => out.reserve(out.capacity() / 2 + 64),
                Err(error) => return Err(PdfError::Writing(error.to_string())),
            }
        }
    })
}

/// Writes the document. Every object is of generation 0.
pub(super) fn bytes(document: Document, written: &WrittenObjects) -> Result<Vec<u8>, PdfError> {
    let mut begun = PartialFile::new(&document.version, document.max_id);
    begun.add(document.objects, written)?;
    begun.finish(&document.trailer)
}

/// A file without its end: what many files have in common can be written once for all of them.
#[derive(Clone)]
pub(super) struct PartialFile {
    out: Vec<u8>,
    entries: Vec<XrefEntry>,
    /// Of so many bytes of `out`.
    hash: Sha256,
    hashed: usize,
}

impl PartialFile {
    /// A file whose objects have numbers up to `last`.
    fn new(version: &str, last: u32) -> PartialFile {
        let mut out = format!("%PDF-{version}\n").into_bytes();
        out.extend_from_slice(b"%\xE2\xE3\xCF\xD3\n");
        PartialFile { out, entries: vec![XrefEntry::Free; last as usize + 1], hash: Sha256::new(), hashed: 0 }
    }

    /// The objects of a document but for those in `later`, which are still to be added under their numbers.
    pub(crate) fn without(document: &Document, later: &[ObjectId]) -> Result<PartialFile, PdfError> {
        let objects = document.objects.iter().filter(|(id, _)| !later.contains(id));
        let mut begun = PartialFile::new(&document.version, document.max_id);
        begun.add(objects.map(|(id, object)| (*id, object.clone())), &WrittenObjects::default())?;
        begun.hash.update(&begun.out);
        begun.hashed = begun.out.len();
        Ok(begun)
    }

    /// The last number that an object has so far.
    pub(crate) fn last_number(&self) -> u32 {
        self.entries.len().saturating_sub(1) as u32
    }

    /// Adds objects, those that are no streams in object streams of up to [`OBJECTS_IN_STREAM`].
    pub(crate) fn add(
        &mut self,
        objects: impl IntoIterator<Item = (ObjectId, Object)>,
        written: &WrittenObjects,
    ) -> Result<(), PdfError> {
        let mut packed: Vec<(u32, StreamObject<'_>)> =
            written.iter().map(|(number, bytes)| (number, StreamObject::Written(bytes))).collect();
        for (id, object) in objects {
            match object {
                Object::Stream(stream) => {
                    self.enter(id.0, XrefEntry::Offset(self.out.len()));
                    indirect(&mut self.out, id.0, stream)?;
                }
                other => packed.push((id.0, StreamObject::Object(other))),
            }
        }
        packed.sort_by_key(|(number, _)| *number);
        let most = packed.last().map_or(0, |(number, _)| *number as usize);
        if most >= self.entries.len() {
            self.entries.resize(most + 1, XrefEntry::Free);
        }
        let first = next_number(&self.entries)?;
        let chunks: Vec<&[(u32, StreamObject<'_>)]> = packed.chunks(OBJECTS_IN_STREAM).collect();
        for (chunk, number) in chunks.iter().zip(first..) {
            for (place, (id, _)) in chunk.iter().enumerate() {
                self.enter(*id, XrefEntry::Packed(number, place));
            }
        }
        let level = if chunks.len() < MANY_STREAMS { OBJECTS_LEVEL } else { DEFLATE_LEVEL };
        let streams = cores::try_each(chunks, |chunk| object_stream(chunk, level))?;
        for (stream, number) in streams.into_iter().zip(first..) {
            self.enter(number, XrefEntry::Offset(self.out.len()));
            indirect(&mut self.out, number, stream)?;
        }
        Ok(())
    }

    fn enter(&mut self, number: u32, entry: XrefEntry) {
        let at = number as usize;
        if at >= self.entries.len() {
            self.entries.resize(at + 1, XrefEntry::Free);
        }
        self.entries[at] = entry;
    }

    /// The whole file.
    pub(crate) fn finish(mut self, trailer: &Dictionary) -> Result<Vec<u8>, PdfError> {
        self.hash.update(&self.out[self.hashed..]);
        let hash = self.hash.finalize().iter().take(16).copied().collect();
        cross_references(self.out, self.entries, trailer, hash)
    }
}

/// Objects of one object stream (ISO 32000-1, 7.5.7).
fn object_stream(chunk: &[(u32, StreamObject<'_>)], level: u32) -> Result<Stream, PdfError> {
    let mut index = Vec::new();
    let mut content = Vec::new();
    for (id, object) in chunk {
        for value in [i64::from(*id), content.len() as i64] {
            integer(&mut index, value);
            index.push(b' ');
        }
        match object {
            StreamObject::Object(object) => write(&mut content, object),
            StreamObject::Written(bytes) => content.extend_from_slice(bytes),
        }
        content.push(b'\n');
    }
    let mut dict = Dictionary::new();
    dict.set("Type", "ObjStm");
    dict.set("N", chunk.len() as i64);
    dict.set("First", index.len() as i64);
    index.append(&mut content);
    deflated_at(level, dict, &index)
}

fn next_number(entries: &[XrefEntry]) -> Result<u32, PdfError> {
    u32::try_from(entries.len()).map_err(|_| PdfError::Writing("too many objects".to_owned()))
}

/// The xref stream, which is the trailer too, and the file's end. The identifier is the hash of everything before it, or
/// the first half of that.
fn cross_references(
    mut out: Vec<u8>,
    mut entries: Vec<XrefEntry>,
    trailer: &Dictionary,
    hash: Vec<u8>,
) -> Result<Vec<u8>, PdfError> {
    let start = out.len();
    let number = next_number(&entries)?;
    entries.push(XrefEntry::Offset(start));
    // Each row as its difference from the one above (the predictor Up, ISO 32000-1, 7.4.4.4): objects of one object stream
    // follow one another, so most rows are then alike.
    let mut table = Vec::with_capacity(entries.len() * (1 + ENTRY));
    let mut above = [0_u8; ENTRY];
    for (number, entry) in entries.iter().enumerate() {
        let (kind, first, second) = match *entry {
            // The first free number is the head of the list of free ones, which is empty.
            XrefEntry::Free => (0_u8, 0, if number == 0 { 65_535 } else { 0 }),
            XrefEntry::Offset(offset) => (1, offset, 0),
            XrefEntry::Packed(stream, place) => (2, stream as usize, place),
        };
        let long = u32::try_from(first).map_err(|_| PdfError::Writing("the file is too large".to_owned()))?;
        let ([a, b, c, d], [e, f]) = (long.to_be_bytes(), (second as u16).to_be_bytes());
        let row = [kind, a, b, c, d, e, f];
        table.push(UP);
        table.extend(row.iter().zip(above).map(|(byte, above)| byte.wrapping_sub(above)));
        above = row;
    }
    let hash = Object::String(hash, StringFormat::Hexadecimal);
    let mut dict = Dictionary::new();
    dict.set("Type", "XRef");
    dict.set("Size", entries.len() as i64);
    dict.set("W", vec![Object::Integer(1), Object::Integer(4), Object::Integer(2)]);
    dict.set("DecodeParms", lopdf::dictionary! { "Predictor" => 12, "Columns" => ENTRY as i64 });
    for key in [b"Root".as_slice(), b"Info"] {
        dict.set(key, trailer.get(key)?.clone());
    }
    dict.set("ID", vec![hash.clone(), hash]);
    indirect(&mut out, number, deflated(dict, &table)?)?;
    out.extend_from_slice(format!("startxref\n{start}\n%%EOF\n").as_bytes());
    Ok(out)
}

/// A stream as an indirect object; deflated here if nobody has done it yet.
fn indirect(out: &mut Vec<u8>, number: u32, stream: Stream) -> Result<(), PdfError> {
    let mut stream = stream;
    if stream.allows_compression && !stream.dict.has(b"Filter") {
        stream = deflated(std::mem::take(&mut stream.dict), &stream.content)?;
    }
    stream.dict.set("Length", stream.content.len() as i64);
    out.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
    dictionary(out, &stream.dict);
    out.extend_from_slice(b"\nstream\n");
    out.extend_from_slice(&stream.content);
    out.extend_from_slice(b"\nendstream\nendobj\n");
    Ok(())
}

/// Writes an object. Numbers and references begin with a space, so that nothing runs together.
pub(super) fn write(out: &mut Vec<u8>, object: &Object) {
    match object {
        Object::Null => out.extend_from_slice(b" null"),
        Object::Boolean(true) => out.extend_from_slice(b" true"),
        Object::Boolean(false) => out.extend_from_slice(b" false"),
        Object::Integer(value) => {
            out.push(b' ');
            integer(out, *value);
        }
        Object::Real(value) => out.extend_from_slice(format!(" {value}").as_bytes()),
        Object::Name(value) => name(out, value),
        Object::String(value, StringFormat::Literal) => literal(out, value),
        Object::String(value, StringFormat::Hexadecimal) => {
            const DIGITS: &[u8; 16] = b"0123456789ABCDEF";
            out.push(b'<');
            for byte in value {
                out.extend([DIGITS[usize::from(byte >> 4)], DIGITS[usize::from(byte & 15)]]);
            }
            out.push(b'>');
        }
        Object::Array(values) => {
            out.push(b'[');
            values.iter().for_each(|value| write(out, value));
            out.push(b']');
        }
        Object::Dictionary(dict) => dictionary(out, dict),
        // A stream inside another object would be an error; only its dictionary could stand here.
        Object::Stream(stream) => dictionary(out, &stream.dict),
        Object::Reference(id) => reference(out, *id),
    }
}

fn dictionary(out: &mut Vec<u8>, dict: &Dictionary) {
    out.extend_from_slice(b"<<");
    for (key, value) in dict {
        name(out, key);
        write(out, value);
    }
    out.extend_from_slice(b">>");
}

/// A reference, with a space before it.
pub(super) fn reference(out: &mut Vec<u8>, id: ObjectId) {
    out.push(b' ');
    integer(out, i64::from(id.0));
    out.extend_from_slice(b" 0 R");
}

pub(super) fn integer(out: &mut Vec<u8>, value: i64) {
    let mut digits = [0_u8; 20];
    let mut at = digits.len();
    let mut rest = value.unsigned_abs();
    loop {
        at -= 1;
        digits[at] = b'0' + (rest % 10) as u8;
        rest /= 10;
        if rest == 0 {
            break;
        }
    }
    if value < 0 {
        out.push(b'-');
    }
    out.extend_from_slice(&digits[at..]);
}

/// A name; whatever is not a regular printable character as its number (ISO 32000-1, 7.3.5).
fn name(out: &mut Vec<u8>, value: &[u8]) {
    out.push(b'/');
    for &byte in value {
        if (b'!'..=b'~').contains(&byte) && !b"()<>[]{}/%#".contains(&byte) {
            out.push(byte);
        } else {
            out.extend_from_slice(format!("#{byte:02X}").as_bytes());
        }
    }
}

/// A string in brackets; brackets and line ends of its own are escaped (ISO 32000-1, 7.3.4.2).
fn literal(out: &mut Vec<u8>, value: &[u8]) {
    out.push(b'(');
    for &byte in value {
        match byte {
            b'(' | b')' | b'\\' => out.extend([b'\\', byte]),
            b'\r' => out.extend_from_slice(b"\\r"),
            b'\n' => out.extend_from_slice(b"\\n"),
            _ => out.push(byte),
        }
    }
    out.push(b')');
}
