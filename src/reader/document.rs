//! Opens a finished PDF within limits and finds its pages, boxes and resources.
//!
//! Everything a hostile file could blow up is bounded here: bytes that streams unpack to, pages, chains of parents.

use super::matrix::{Bounds, Matrix, PagePoint};
use super::remarks;
use lopdf::{Dictionary, Document, LoadOptions, Object, ObjectId, Stream};
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Bytes one stream may unpack to. The densest chart page we know of unpacks to about 4 MB.
const MAX_BYTES_PER_STREAM: usize = 48 << 20;
/// Bytes all streams of one reading may unpack to, and how many times the file's own size besides. Files of this program
/// unpack to 8 to 11 times their size.
const MAX_BYTES: usize = 96 << 20;
const TIMES_BYTES: usize = 40;
/// Bytes of content that are gone through, however often a form of more than [`SMALL_CONTENT`] is drawn.
const MAX_BYTES_SEEN: usize = 256 << 20;
/// Bytes of a form that is a symbol; what it costs is counted by its operators.
const SMALL_CONTENT: usize = 64 << 10;
/// Drawing operators of a whole file, and how many more for each of its bytes. A chart of 2,000 columns and rows in one yarn
/// packs best and has some 40 million.
const MAX_OPERATORS: usize = 60_000_000;
const TIMES_OPERATORS: usize = 10;
/// Bytes of unpacked forms that are kept for their next use.
const MAX_BYTES_KEPT: usize = 64 << 20;
/// Pages that are looked at.
const MAX_PAGES: usize = 5_000;
/// Steps up a chain of parents.
const MAX_PARENTS: usize = 32;

/// Why a file, or a page of it, could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum ReadError {
    /// It is no PDF at all.
    NotPdf,
    /// It is a PDF whose end is missing.
    CutOff,
    /// It cannot be read; plain words for the maker say why.
    Unreadable(String),
    /// It is locked with a password.
    Locked,
    /// A page is not there or makes no sense; plain words for the maker.
    Page(String),
}

impl std::fmt::Display for ReadError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            ReadError::NotPdf => write!(f, "the file is no PDF"),
            ReadError::CutOff => write!(f, "the file is cut off: its end is missing"),
            ReadError::Unreadable(why) => write!(f, "the file cannot be read as a PDF: {why}"),
            ReadError::Locked => write!(f, "the file is locked with a password"),
            ReadError::Page(why) => write!(f, "{why}"),
        }
    }
}

impl ReadError {
    /// What the maker can do about it.
    pub(crate) fn remedy(&self) -> &'static str {
        match self {
            ReadError::NotPdf => "name a file that `hitchpress compose` wrote",
            ReadError::CutOff => "copy it again, or compose it anew",
            ReadError::Locked => "save it without a password, or compose it anew",
            ReadError::Unreadable(_) | ReadError::Page(_) => {
                "give a PDF that opens in a viewer; compose it anew if it is broken"
            }
        }
    }

    /// Why these bytes could not be parsed. The parser's own words are for those who wrote it.
    fn of(bytes: &[u8]) -> ReadError {
        // ISO 32000-1, 7.5.2 and 7.5.5, as lenient as viewers are: within the first and the last 1,024 bytes.
        const WITHIN: usize = 1_024;
        let holds = |part: &[u8], word: &[u8]| part.windows(word.len()).any(|window| window == word);
        if !holds(&bytes[..bytes.len().min(WITHIN)], b"%PDF-") {
            ReadError::NotPdf
        } else if !holds(&bytes[bytes.len().saturating_sub(WITHIN)..], b"%%EOF") {
            ReadError::CutOff
        } else {
            ReadError::Unreadable("it is damaged".to_owned())
        }
    }
}

/// An opened file.
pub(crate) struct PdfFile {
    pub(crate) document: Document,
    /// Bytes that streams were unpacked to so far.
    unpacked: Cell<usize>,
    /// Bytes of long contents that were gone through so far.
    seen: Cell<usize>,
    /// Drawing operators so far.
    operators: Cell<usize>,
    /// Bytes of the file itself.
    size: usize,
    kept: RefCell<Kept>,
}

/// Streams that are kept for their next use.
#[derive(Default)]
struct Kept {
    streams: BTreeMap<ObjectId, Rc<Vec<u8>>>,
    bytes: usize,
}

/// The boxes of a page as the file states them, points from the file's own origin at the bottom left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PageBoxes {
    /// The sheet: left, bottom, right, top.
    pub(crate) media: [f64; 4],
    /// Trimmed size; the media box where the file has none.
    pub(crate) trim: [f64; 4],
    /// Bleed; the trim box where the file has none.
    pub(crate) bleed: [f64; 4],
    /// What a viewer shows; the media box where the file has none.
    pub(crate) crop: [f64; 4],
    /// Whether the file states a trim box.
    pub(crate) has_trim: bool,
    /// Quarter turns clockwise.
    pub(crate) turned: u8,
}

impl PageBoxes {
    /// From the file's coordinates to ours: y down from the top left of the trimmed page as it is shown.
    pub(crate) fn to_page(self) -> Matrix {
        let [left, bottom, right, top] = self.trim;
        match self.turned {
            1 => Matrix([0.0, 1.0, 1.0, 0.0, -bottom, -left]),
            2 => Matrix([-1.0, 0.0, 0.0, 1.0, right, -bottom]),
            3 => Matrix([0.0, -1.0, -1.0, 0.0, top, right]),
            _ => Matrix([1.0, 0.0, 0.0, -1.0, -left, top]),
        }
    }
    /// Trimmed width and height as shown, points.
    pub(crate) fn size(&self) -> (f64, f64) {
        let (across, down) = (self.trim[2] - self.trim[0], self.trim[3] - self.trim[1]);
        if self.turned % 2 == 1 { (down, across) } else { (across, down) }
    }
}

impl PdfFile {
    /// Parses the file. Fails on files that are no PDF, are locked, or unpack to more than is sensible.
    pub(crate) fn new(bytes: &[u8]) -> Result<PdfFile, ReadError> {
        let unreadable = |why: &str| ReadError::Unreadable(why.to_owned());
        let options = LoadOptions::with_max_decompressed_size(MAX_BYTES_PER_STREAM);
        // The parser is not ours and its promises about damaged files are not either: should it give up in a panic, that
        // is one more way of being unreadable.
        let parsed = std::panic::catch_unwind(|| Document::load_mem_with_options(bytes, options))
            .map_err(|_| unreadable("it is too damaged"))?;
        let mut document = match parsed {
            Err(lopdf::Error::Decryption(_) | lopdf::Error::InvalidPassword) => return Err(ReadError::Locked),
            Err(lopdf::Error::Unimplemented(_)) => {
                return Err(unreadable("it is packed or written in a way that is not read here"));
            }
            Err(_) => return Err(ReadError::of(bytes)),
            Ok(document) => document,
        };
        if document.is_encrypted() || document.was_encrypted() {
            return Err(ReadError::Locked);
        }
        remarks::objects_after_remarks(&mut document, MAX_BYTES_PER_STREAM);
        Ok(PdfFile {
            document,
            unpacked: Cell::new(0),
            seen: Cell::new(0),
            operators: Cell::new(0),
            size: bytes.len(),
            kept: RefCell::default(),
        })
    }

    /// Counts content that is gone through once more; `false`: the file has had more than a file of its size can need.
    pub(crate) fn may_see(&self, content: usize) -> bool {
        let more = if content > SMALL_CONTENT { content } else { 0 };
        self.seen.set(self.seen.get().saturating_add(more));
        self.seen.get() <= MAX_BYTES_SEEN.saturating_add(self.size.saturating_mul(TIMES_BYTES))
    }

    /// Counts drawing operators; `false`: the file has had more than a file of its size can need.
    pub(crate) fn may_draw(&self, operators: usize) -> bool {
        self.operators.set(self.operators.get().saturating_add(operators));
        self.operators.get() <= MAX_OPERATORS.saturating_add(self.size.saturating_mul(TIMES_OPERATORS))
    }

    /// The pages in order.
    pub(crate) fn pages(&self) -> Vec<ObjectId> {
        self.document.page_iter().take(MAX_PAGES).collect()
    }

    /// What a reference leads to, or the object itself.
    pub(crate) fn follow<'a>(&'a self, object: &'a Object) -> Option<&'a Object> {
        self.document.dereference(object).ok().map(|(_, o)| o)
    }

    /// An entry of a dictionary, references followed.
    pub(crate) fn entry<'a>(&'a self, dictionary: &'a Dictionary, key: &[u8]) -> Option<&'a Object> {
        self.follow(dictionary.get(key).ok()?).filter(|o| !o.is_null())
    }

    /// An entry that is a dictionary (or a stream's).
    pub(crate) fn dictionary<'a>(&'a self, dictionary: &'a Dictionary, key: &[u8]) -> Option<&'a Dictionary> {
        match self.entry(dictionary, key)? {
            Object::Dictionary(d) => Some(d),
            Object::Stream(s) => Some(&s.dict),
            _ => None,
        }
    }

    /// An entry that is a list of numbers.
    pub(crate) fn numbers(&self, dictionary: &Dictionary, key: &[u8]) -> Option<Vec<f64>> {
        let list = self.entry(dictionary, key)?.as_array().ok()?;
        list.iter().take(64).map(|o| self.follow(o).and_then(number)).collect()
    }

    /// An entry of a page that may stand with its parents.
    pub(crate) fn inherited<'a>(&'a self, page: &'a Dictionary, key: &[u8]) -> Option<&'a Object> {
        let mut node = page;
        for _ in 0..MAX_PARENTS {
            if let Some(found) = self.entry(node, key) {
                return Some(found);
            }
            node = self.dictionary(node, b"Parent")?;
        }
        None
    }

    /// The boxes of a page; `None` when the page has no sheet size.
    pub(crate) fn boxes(&self, page: &Dictionary) -> Option<PageBoxes> {
        let read = |key: &[u8]| -> Option<[f64; 4]> {
            let list = self.inherited(page, key)?.as_array().ok()?;
            let v: Vec<f64> = list.iter().take(4).filter_map(|o| self.follow(o).and_then(number)).collect();
            let [a, b, c, d] = v.try_into().ok()?;
            Some([a.min(c), b.min(d), a.max(c), b.max(d)])
        };
        let media = read(b"MediaBox")?;
        let crop = read(b"CropBox").unwrap_or(media);
        let trim = read(b"TrimBox");
        let bleed = read(b"BleedBox").or(trim).unwrap_or(crop);
        let turned = self.inherited(page, b"Rotate").and_then(number).unwrap_or(0.0);
        Some(PageBoxes {
            media,
            crop,
            bleed,
            trim: trim.unwrap_or(crop),
            has_trim: trim.is_some(),
            turned: ((turned / 90.0).round() as i64).rem_euclid(4) as u8,
        })
    }

    /// Unpacks a stream. The error says why it could not be.
    pub(crate) fn unpack(&self, stream: &Stream) -> Result<Vec<u8>, String> {
        let most = MAX_BYTES.saturating_add(self.size.saturating_mul(TIMES_BYTES));
        let left = most.saturating_sub(self.unpacked.get()).min(MAX_BYTES_PER_STREAM);
        let out = stream.get_plain_content_with_limit(left).map_err(|error| plain(&error))?;
        self.unpacked.set(self.unpacked.get() + out.len());
        Ok(out)
    }

    /// Unpacks the stream of an object and keeps it for the next time where it is small.
    pub(crate) fn unpack_kept(&self, id: ObjectId) -> Result<Rc<Vec<u8>>, String> {
        let mut kept = self.kept.borrow_mut();
        if let Some(stream) = kept.streams.get(&id) {
            return Ok(Rc::clone(stream));
        }
        let stream = self.document.get_object(id).and_then(Object::as_stream).map_err(|error| plain(&error))?;
        let out = Rc::new(self.unpack(stream)?);
        if kept.bytes + out.len() <= MAX_BYTES_KEPT {
            kept.bytes += out.len();
            kept.streams.insert(id, Rc::clone(&out));
        }
        Ok(out)
    }

    /// The content of a page, all its streams in order with a space between; the words say what is wrong with it.
    pub(crate) fn content(&self, page: &Dictionary) -> Result<Vec<u8>, String> {
        let Some(contents) = self.entry(page, b"Contents") else { return Ok(Vec::new()) };
        let streams: Vec<&Stream> = match contents {
            Object::Stream(one) => vec![one],
            Object::Array(many) => {
                let found = many.iter().take(1_000).filter_map(|o| self.follow(o));
                found.filter_map(|o| o.as_stream().ok()).collect()
            }
            _ => return Err("its content is no stream".to_owned()),
        };
        let mut out = Vec::new();
        for stream in streams {
            out.extend(self.unpack(stream)?);
            out.push(b'\n');
            if out.len() > MAX_BYTES_PER_STREAM {
                return Err("it holds more than a page can".to_owned());
            }
        }
        Ok(out)
    }
}

/// What the parser says is wrong, without the address of those who make it: they can do nothing for a maker.
pub(crate) fn plain(error: &lopdf::Error) -> String {
    match error {
        lopdf::Error::Unimplemented(what) => format!("it is packed or written in a way that is not read here ({what})"),
        error => error.to_string(),
    }
}

/// A number object, whole or not.
pub(crate) fn number(object: &Object) -> Option<f64> {
    match object {
        Object::Integer(i) => Some((*i as f64).clamp(-1e9, 1e9)),
        Object::Real(r) => Some(f64::from(*r)).filter(|r| r.is_finite()).map(|r| r.clamp(-1e9, 1e9)),
        _ => None,
    }
}

/// A text string of the file (UTF-16 with its mark, UTF-8 with its mark, else Latin letters) as text.
pub(crate) fn text(object: &Object) -> Option<String> {
    let bytes = object.as_str().ok()?;
    Some(match bytes {
        [0xfe, 0xff, rest @ ..] => utf16(rest),
        [0xef, 0xbb, 0xbf, rest @ ..] => String::from_utf8_lossy(rest).into_owned(),
        plain => plain.iter().map(|b| char::from(*b)).collect(),
    })
}

/// UTF-16, high byte first.
pub(crate) fn utf16(bytes: &[u8]) -> String {
    let units = bytes.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]]));
    char::decode_utf16(units).map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER)).collect()
}

/// A rectangle of the file in our coordinates.
pub(crate) fn placed_box(corners: [f64; 4], to_page: &Matrix) -> Bounds {
    let mut out = Bounds::EMPTY;
    let spots: [PagePoint; 4] = to_page.apply_box(corners[0], corners[1], corners[2], corners[3]);
    for spot in spots {
        out.take_in(spot);
    }
    out
}
