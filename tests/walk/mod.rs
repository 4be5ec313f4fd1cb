//! Walks a finished file and names every rule of PDF/UA-1 and PDF/A-2a that it breaks.
//!
//! Comes in: the bytes. Goes out: faults, each with the id of its rule, and what a reader would say. Reads with hayro-syntax,
//! which shares no code with the writer. Used by the unit tests of the writer and by the suite.
//!
//! Sources of the rules, cited in [`RULES`]: ISO 14289-1:2014 (PDF/UA-1), the checkpoints of the Matterhorn Protocol 1.02
//! that a program can decide ("MP"), ISO 19005-2:2011 (PDF/A-2, "A"), ISO 32000-1:2008 ("PDF"). A few rules are stricter
//! than the standards because our writer can keep them; those say "ours".

mod annotations;
mod catalogue;
mod content;
mod file;
mod fonts;
mod metadata;
mod paint;
mod reading;
mod structure;
mod tables;

use fonts::FontTables;
use hayro_syntax::Pdf;
use hayro_syntax::object::{Array, Dict, Name, Object, ObjectIdentifier, Stream, String as PdfString};
use std::collections::{BTreeMap, BTreeSet};

/// Number and generation of an object.
type Id = (i32, i32);

/// Every rule: its id, and where it is written.
pub const RULES: &[(&str, &str)] = &[
    // The file as bytes.
    ("header", "A 6.1.2"),
    ("identifier", "A 6.1.3; PDF 14.4"),
    ("encrypted", "A 6.1.3; MP 26-001, 26-002"),
    ("after-end", "A 6.1.3"),
    ("hex-string", "A 6.1.6"),
    ("stream-length", "A 6.1.7.1"),
    ("stream-keys", "A 6.1.7.1: no F, FFilter, FDecodeParms"),
    ("filter", "A 6.1.7.2"),
    ("object-spacing", "A 6.1.9"),
    ("limits", "A 6.1.13; PDF annex C"),
    // The catalogue.
    ("mark-info", "A 6.7.2.2; UA 6.2"),
    ("suspects", "UA 7.1; MP 01-007"),
    ("language", "A 6.7.4; UA 7.2; MP 11-001 to 11-006"),
    ("language-tag", "A 6.7.4; UA 7.2; PDF 14.9.2"),
    ("display-title", "UA 7.1; MP 07-001, 07-002"),
    ("output-intent", "A 6.2.3"),
    ("action", "A 6.4.1, 6.5.1, 6.5.2"),
    ("form", "A 6.4.1, 6.4.2; UA 7.15; MP 25-001"),
    ("embedded-file", "A 6.8; UA 7.11; MP 21-001 (ours: none at all)"),
    ("optional-content", "A 6.9; UA 7.10; MP 20-001 to 20-003 (ours: none at all)"),
    ("presentation", "A 6.10, 6.11, 6.4.2: AlternatePresentations, PresSteps, Requirements, NeedsRendering"),
    // Metadata.
    ("metadata", "A 6.6.2.1; UA 7.1; MP 06-001"),
    ("xmp", "A 6.6.2.1: a packet without bytes and encoding, well-formed XML, one RDF element"),
    ("schema", "A 6.6.2.3.1: predefined schemas with their value types, or described ones"),
    ("extension", "A 6.6.2.3.3"),
    ("claim", "A 6.6.4; UA 5; MP 06-002"),
    ("title", "UA 7.1; MP 06-003"),
    ("information", "ours (A-1 6.7.3): the information dictionary says the same as the packet"),
    // Content streams and what they use.
    ("operator", "A 6.2.2"),
    ("resource", "A 6.2.2; PDF 7.8.3"),
    ("saved-states", "A 6.1.13; PDF 8.4.2"),
    ("unmarked", "UA 7.1; MP 01-005"),
    ("nested", "UA 7.1; MP 01-003, 01-004 (ours: marked content is never nested)"),
    ("unbalanced", "PDF 14.6.1"),
    ("repeated-id", "PDF 14.7.4.2"),
    ("artifact-kind", "PDF 14.8.2.2.2 (ours: every artifact says its kind)"),
    ("device-colour", "A 6.2.4.3"),
    ("profile", "A 6.2.4.2"),
    ("graphics-state", "A 6.2.5, 6.2.6, 6.2.10"),
    ("picture", "A 6.2.8"),
    ("object-kind", "A 6.2.9; UA 7.20; MP 30-001"),
    ("marks-in-form", "UA 7.20; MP 30-002 (ours: no form holds marked content)"),
    // Fonts.
    ("font-dictionary", "A 6.2.11.2; PDF 9.6, 9.7"),
    ("encoding", "A 6.2.11.3.3; UA 7.21.3; MP 31-001 to 31-003, 31-006 to 31-008"),
    ("glyph-map", "A 6.2.11.3.2; UA 7.21.3.2; MP 31-004, 31-005"),
    ("not-embedded", "A 6.2.11.4.1; UA 7.21.4.1; MP 31-009"),
    ("not-a-subset", "ours; PDF 9.6.4"),
    ("font-names", "PDF 9.8.1"),
    ("glyph-set", "A 6.2.11.4.2; UA 7.21.4.2; MP 31-014, 31-015"),
    ("no-glyph", "A 6.2.11.4.1; UA 7.21.4.1; MP 31-011"),
    ("width", "A 6.2.11.5; UA 7.21.5; MP 31-016"),
    ("no-font", "PDF 9.3.1"),
    ("no-unicode", "A 6.2.11.7.2; UA 7.21.7; MP 10-001, 31-027"),
    ("bad-unicode", "A 6.2.11.7.2; UA 7.21.7; MP 31-028, 31-029"),
    ("private-use", "A 6.2.11.7.3"),
    ("notdef", "A 6.2.11.8; UA 7.21.8; MP 31-030"),
    // Pages.
    ("page-box", "A 6.1.13; PDF 14.11.2"),
    ("tabs", "UA 7.18.3; MP 28-008, 28-009"),
    // Structure.
    ("no-structure", "A 6.7.3.3; UA 7.1"),
    ("element", "A 6.7.3.3; PDF 14.7.2, table 323: Type and parent"),
    ("role", "A 6.7.3.4; UA 7.1; MP 02-001, 02-003, 02-004 (ours: no role map at all)"),
    ("nesting", "UA 7.2; MP 09-004 to 09-006; PDF tables 333, 336, 337"),
    ("caption", "UA 7.3; PDF 14.8.4.3: first or last in a figure or table, first in a list"),
    ("empty-element", "ours: nothing is announced that has nothing to say"),
    ("figure-words", "A 6.7.5; UA 7.3; MP 13-004"),
    ("figure-box", "UA 7.3; PDF table 344"),
    ("formula-words", "UA 7.7; MP 17-002"),
    ("note-id", "UA 7.9; MP 19-003, 19-004; PDF 14.7.2, table 322: each stands in the tree of identifiers, once"),
    ("reading-order", "ours: what is read after another thing is drawn after it, for those who follow the page"),
    ("list-numbering", "UA 7.6; PDF table 347"),
    ("heading-skipped", "UA 7.4.2; MP 14-002, 14-003"),
    ("heading-mixed", "UA 7.4.4; MP 14-006, 14-007"),
    ("scope", "UA 7.5; MP 15-003"),
    ("table-heads", "UA 7.5"),
    ("table-grid", "UA 7.2; MP 09-004; PDF 14.8.4.3.4: rows of one length"),
    ("owner", "PDF 14.7.4.4: content and its elements name each other, once"),
    // Annotations.
    ("annotation-kind", "A 6.3.1; UA 7.18.2, 7.18.8; MP 28-006, 28-007, 28-017 (ours: links and widgets only)"),
    ("print-flag", "A 6.3.2"),
    ("appearance", "A 6.3.3"),
    ("annotation-owner", "UA 7.18.1; MP 28-002; PDF 14.7.4.4"),
    ("annotation-role", "UA 7.18.4, 7.18.5; MP 28-010, 28-011"),
    ("field-words", "UA 7.18.1; MP 28-005"),
    ("link-words", "UA 7.18.5; MP 28-004, 28-012"),
    ("field-twice", "PDF 12.7.3.2"),
    (
        "typing-font",
        "A 6.2.11.4.1, 6.2.11.5, 6.2.11.6; PDF 12.7.3.3: embedded, by WinAnsiEncoding, with the letters of its languages",
    ),
];

/// What was found.
#[derive(Default)]
pub struct Walked {
    /// Id of the rule, and where.
    pub faults: Vec<(&'static str, String)>,
    /// What a reader would say, element by element that holds content.
    pub spoken: Vec<(String, String)>,
    /// Words that are of a language of their own: its tag and the words.
    pub foreign: Vec<(String, String)>,
    /// Everything that is drawn as text, page by page, in drawing order, by the fonts' own tables.
    pub drawn: Vec<String>,
    /// The whole file as a careful reader would say it, line by line.
    pub reading: String,
}

impl Walked {
    /// Ids of the faults, each once.
    pub fn ids(&self) -> BTreeSet<&'static str> {
        self.faults.iter().map(|(id, _)| *id).collect()
    }

    fn fault(&mut self, id: &'static str, place: impl Into<String>) {
        assert!(RULES.iter().any(|(rule, _)| *rule == id), "`{id}` is no rule");
        self.faults.push((id, place.into()));
    }

    fn check(&mut self, holds: bool, id: &'static str, place: impl Into<String>) {
        if !holds {
            self.fault(id, place);
        }
    }
}

/// A walk on its way.
struct Walk<'a> {
    pdf: &'a Pdf,
    catalogue: Dict<'a>,
    out: Walked,
    /// The pages in order.
    pages: Vec<(Id, Dict<'a>)>,
    /// Colour space of the output intent's profile: "RGB ", "GRAY" or "CMYK".
    intent: Option<String>,
    fonts: BTreeMap<Id, std::rc::Rc<FontTables>>,
    /// Forms that were looked into.
    forms: BTreeSet<Id>,
    /// Text by page and marked content id.
    text: BTreeMap<(Id, i32), String>,
    /// Elements by page and marked content id, from the tree downwards.
    owners: BTreeMap<(Id, i32), Id>,
    /// Elements and their roles by annotation.
    referred: BTreeMap<Id, (Id, String)>,
    /// The way back: elements by number in the parent tree.
    parents: BTreeMap<i32, Object<'a>>,
    /// Descriptions of links and fields.
    labels: BTreeMap<Id, String>,
    /// Identifiers that the tree of identifiers has, and those of notes that were met.
    named: BTreeSet<String>,
    notes: BTreeSet<String>,
    /// The content of each page that was read last.
    last_read: BTreeMap<Id, i32>,
}

/// Walks a file.
pub fn walk(bytes: &[u8]) -> Walked {
    let pdf = Pdf::new(bytes.to_vec()).expect("a file that can be read");
    let catalogue: Dict<'_> = pdf.xref().get(pdf.xref().root_id()).expect("a catalogue");
    let pages =
        pdf.pages().iter().map(|page| (key(page.raw().obj_id().expect("pages are objects")), page.raw().clone()));
    let mut walk = Walk {
        pdf: &pdf,
        catalogue,
        out: Walked::default(),
        pages: pages.collect(),
        intent: None,
        fonts: BTreeMap::new(),
        forms: BTreeSet::new(),
        text: BTreeMap::new(),
        owners: BTreeMap::new(),
        referred: BTreeMap::new(),
        parents: BTreeMap::new(),
        labels: BTreeMap::new(),
        named: BTreeSet::new(),
        notes: BTreeSet::new(),
        last_read: BTreeMap::new(),
    };
    file::bytes(bytes, &mut walk.out);
    file::objects(&pdf, &mut walk.out);
    walk.catalogue();
    walk.metadata();
    walk.contents();
    walk.annotation_labels();
    walk.structure();
    walk.annotations();
    walk.fields();
    walk.out
}

/// Number and generation.
fn key(id: ObjectIdentifier) -> Id {
    (id.obj_number as i32, id.gen_number)
}

/// What an entry refers to, if it is a reference.
fn reference(dict: &Dict<'_>, key: &str) -> Option<Id> {
    dict.get_ref(key).map(|to| (to.obj_number as i32, to.gen_number))
}

/// A text string as it is read.
pub fn decoded(string: &PdfString<'_>) -> String {
    let bytes = string.as_bytes();
    match bytes.strip_prefix(&[0xFE, 0xFF]) {
        Some(rest) => {
            let units: Vec<u16> = rest.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
            String::from_utf16_lossy(&units)
        }
        None => bytes.iter().map(|&byte| char::from(byte)).collect(),
    }
}

fn name(dict: &Dict<'_>, key: &str) -> String {
    dict.get::<Name<'_>>(key).map(|name| name.as_str().to_owned()).unwrap_or_default()
}

fn string(dict: &Dict<'_>, key: &str) -> Option<String> {
    dict.get::<PdfString<'_>>(key).map(|string| decoded(&string))
}

fn plain(stream: &Stream<'_>) -> Option<Vec<u8>> {
    stream.decoded().ok().map(std::borrow::Cow::into_owned)
}

/// The kids of an element, one or many.
fn kids<'a>(dict: &Dict<'a>) -> Vec<Object<'a>> {
    kids_of(dict, "K")
}

/// What an entry holds, one or many.
fn kids_of<'a>(dict: &Dict<'a>, key: &str) -> Vec<Object<'a>> {
    match dict.get::<Array<'a>>(key) {
        Some(array) => array.iter::<Object<'a>>().collect(),
        None => dict.get::<Object<'a>>(key).into_iter().collect(),
    }
}
