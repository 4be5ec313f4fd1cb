//! Negative controls: one rule broken in a finished file, and exactly what follows from it is found. Every rule of the walk
//! has one.
//!
//! Long, and one subject: one rule after another, broken once each.

use super::super::pack;
use super::{Options, sample, walk};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, dictionary};
use std::collections::BTreeSet;

/// What is changed, and what the walk must find.
struct Control {
    found: &'static [&'static str],
    change: Change,
}

enum Change {
    /// In the document, which is then saved again.
    Document(fn(&mut Document)),
    /// In the bytes of the document written again.
    Bytes(fn(&mut Vec<u8>)),
}

fn document(found: &'static [&'static str], change: fn(&mut Document)) -> Control {
    Control { found, change: Change::Document(change) }
}

fn bytes(found: &'static [&'static str], change: fn(&mut Vec<u8>)) -> Control {
    Control { found, change: Change::Bytes(change) }
}

/// Written again as our own writer writes, so that nothing but the change is different.
fn saved(mut document: Document) -> Vec<u8> {
    for object in document.objects.values_mut() {
        if let Object::Stream(stream) = object {
            // The packet is to be found without unpacking; nobody tells the library when it loads.
            stream.allows_compression &= !has_name(&stream.dict, b"Type", b"Metadata");
        }
    }
    pack::bytes(document, &pack::WrittenObjects::default()).expect("a changed file")
}

/// The first dictionary, streams' own ones included, for which `wanted` holds.
fn find(document: &Document, wanted: impl Fn(&Dictionary) -> bool) -> ObjectId {
    let found = document.objects.iter().find(|(_, object)| match object {
        Object::Dictionary(dict) => wanted(dict),
        Object::Stream(stream) => wanted(&stream.dict),
        _ => false,
    });
    *found.expect("an object of this kind").0
}

fn has_name(dict: &Dictionary, key: &[u8], value: &[u8]) -> bool {
    dict.get(key).and_then(Object::as_name).is_ok_and(|name| name == value)
}

fn dict(document: &mut Document, id: ObjectId) -> &mut Dictionary {
    match document.get_object_mut(id).expect("an object") {
        Object::Dictionary(dict) => dict,
        Object::Stream(stream) => &mut stream.dict,
        _ => panic!("no dictionary"),
    }
}

/// The first element of a role.
fn element<'d>(document: &'d mut Document, role: &str) -> &'d mut Dictionary {
    let id = find(document, |dict| dict.has(b"P") && has_name(dict, b"S", role.as_bytes()));
    dict(document, id)
}

/// The first object of a subtype.
fn subtype<'d>(document: &'d mut Document, kind: &str) -> &'d mut Dictionary {
    let id = find(document, |dict| has_name(dict, b"Subtype", kind.as_bytes()));
    dict(document, id)
}

fn catalogue(document: &mut Document) -> &mut Dictionary {
    document.catalog_mut().expect("a catalogue")
}

fn page(document: &mut Document) -> &mut Dictionary {
    let id = *document.get_pages().get(&1).expect("a first page");
    dict(document, id)
}

/// The descendant of the first font.
fn descendant(document: &mut Document) -> &mut Dictionary {
    let list = subtype(document, "Type0").get_mut(b"DescendantFonts").and_then(Object::as_array_mut);
    list.expect("descendants")[0].as_dict_mut().expect("a dictionary")
}

/// Changes the text of the first page's content.
fn content(document: &mut Document, from: &str, to: &str) {
    let page = *document.get_pages().get(&1).expect("a first page");
    let text = String::from_utf8(document.get_page_content(page)).expect("content in ASCII");
    assert!(text.contains(from), "`{from}` is not in the content");
    document.change_page_content(page, text.replacen(from, to, 1).into_bytes()).expect("changed content");
}

/// Changes the text of the packet.
fn packet(document: &mut Document, from: &str, to: &str) {
    let id = catalogue(document).get(b"Metadata").and_then(Object::as_reference).expect("a packet");
    let stream = document.get_object_mut(id).and_then(Object::as_stream_mut).expect("a stream");
    let text = String::from_utf8(stream.content.clone()).expect("text");
    assert!(text.contains(from), "`{from}` is not in the packet");
    stream.set_plain_content(text.replacen(from, to, 1).into_bytes());
}

/// Changes what the first code of the first font stands for.
fn meaning(document: &mut Document, to: &str) {
    let table = subtype(document, "Type0").get(b"ToUnicode").and_then(Object::as_reference).expect("a table");
    let stream = document.get_object_mut(table).and_then(Object::as_stream_mut).expect("a stream");
    let text = String::from_utf8(stream.decompressed_content().expect("content")).expect("text");
    let at = text.find("beginbfchar\n<").expect("an entry") + "beginbfchar\n<0001> <".len();
    stream.set_plain_content(format!("{}{to}{}", &text[..at], &text[at + 4..]).into_bytes());
}

/// Changes the first place where `from` stands into `to`, as long.
fn patch(bytes: &mut [u8], from: &[u8], to: &[u8]) {
    assert_eq!(from.len(), to.len());
    let at = bytes.windows(from.len()).position(|window| window == from).expect("bytes to change");
    bytes[at..at + to.len()].copy_from_slice(to);
}

fn file() -> Vec<Control> {
    vec![
        bytes(&["header"], |bytes| patch(bytes, b"%PDF-1.7\n%", b"%PDF-1.7\n ")),
        bytes(&["identifier"], |bytes| {
            // The last one: the library keeps the old trailer among the objects.
            let at = bytes.windows(4).rposition(|window| window == b"/ID[").expect("an identifier");
            bytes[at + 1] = b'J';
        }),
        bytes(&["encrypted"], |bytes| {
            // In the last object, behind which nothing is looked up by its place.
            let at = bytes.windows(10).rposition(|window| window == b"/Type/XRef").expect("a trailer");
            bytes.splice(at..at, *b"/Encrypt null");
        }),
        bytes(&["after-end"], |bytes| bytes.extend(b"more")),
        bytes(&["hex-string"], |bytes| {
            let at = bytes.windows(5).rposition(|window| window == b"/ID[<").expect("an identifier");
            bytes[at + 5] = b' ';
        }),
        bytes(&["object-spacing", "stream-length"], |bytes| patch(bytes, b"\nendstream", b" endstream")),
        document(&["stream-keys"], |document| {
            document.add_object(Stream::new(dictionary! { "F" => Object::string_literal("elsewhere") }, Vec::new()));
        }),
        document(&["filter"], |document| {
            document.add_object(Stream::new(dictionary! { "Filter" => "LZWDecode" }, vec![0x80, 0x0b]));
        }),
        bytes(&["object-spacing"], |bytes| patch(bytes, b" 0 obj\n", b" 0 obj ")),
        document(&["limits"], |document| {
            document.add_object(Object::Integer(2_147_483_648));
        }),
    ]
}

fn whole() -> Vec<Control> {
    vec![
        document(&["mark-info"], |document| {
            catalogue(document).remove(b"MarkInfo");
        }),
        document(&["suspects"], |document| {
            catalogue(document).set("MarkInfo", dictionary! { "Marked" => true, "Suspects" => true });
        }),
        document(&["language"], |document| {
            catalogue(document).remove(b"Lang");
        }),
        document(&["language-tag"], |document| catalogue(document).set("Lang", Object::string_literal("en_GB"))),
        document(&["display-title"], |document| {
            catalogue(document).remove(b"ViewerPreferences");
        }),
        document(&["output-intent"], |document| {
            let list = catalogue(document).get_mut(b"OutputIntents").and_then(Object::as_array_mut).expect("intents");
            list[0].as_dict_mut().expect("an intent").remove(b"OutputConditionIdentifier");
        }),
        document(&["device-colour"], |document| {
            catalogue(document).remove(b"OutputIntents");
        }),
        document(&["action"], |document| {
            let action = dictionary! { "S" => "JavaScript", "JS" => Object::string_literal("0") };
            catalogue(document).set("OpenAction", action);
        }),
        document(&["form"], |document| {
            let id = catalogue(document).get(b"AcroForm").and_then(Object::as_reference).expect("a form");
            dict(document, id).set("NeedAppearances", true);
        }),
        document(&["embedded-file"], |document| {
            document.add_object(dictionary! { "Type" => "Filespec", "EF" => Dictionary::new() });
        }),
        document(&["optional-content"], |document| catalogue(document).set("OCProperties", Dictionary::new())),
        document(&["presentation"], |document| catalogue(document).set("Requirements", Object::Array(Vec::new()))),
        document(&["no-structure", "annotation-owner", "annotation-role"], |document| {
            catalogue(document).remove(b"StructTreeRoot");
        }),
    ]
}

fn words_about() -> Vec<Control> {
    vec![
        document(&["metadata"], |document| {
            catalogue(document).remove(b"Metadata");
        }),
        document(&["xmp"], |document| packet(document, "</dc:format>", "</dc:formal>")),
        document(&["schema"], |document| packet(document, "<dc:title>", "<dc:name/><dc:title>")),
        document(&["extension"], |document| packet(document, ">internal<", ">inside<")),
        document(&["claim"], |document| packet(document, "<pdfuaid:part>1<", "<pdfuaid:part>2<")),
        document(&["claim"], |document| packet(document, "conformance>A<", "conformance>B<")),
        document(&["information", "title"], |document| {
            let title = "<rdf:li xml:lang=\"x-default\">Heron &amp; Reed &lt;two&gt;</rdf:li>";
            packet(document, title, "<rdf:li xml:lang=\"x-default\"> </rdf:li>");
        }),
        document(&["information"], |document| {
            let id = document.trailer.get(b"Info").and_then(Object::as_reference).expect("an information dictionary");
            dict(document, id).set("Title", Object::string_literal("Another title"));
        }),
        document(&["information"], |document| {
            let id = document.trailer.get(b"Info").and_then(Object::as_reference).expect("an information dictionary");
            dict(document, id).set("ModDate", Object::string_literal("D:20260915000000Z"));
        }),
    ]
}

fn streams() -> Vec<Control> {
    const HEAD: &str = "/Artifact <</Type/Pagination/Subtype/Header>> BDC";
    vec![
        document(&["operator"], |document| content(document, HEAD, "/X XX /Artifact <</Type/Pagination>> BDC")),
        document(&["resource"], |document| content(document, HEAD, "/None gs /Artifact <</Type/Pagination>> BDC")),
        document(&["saved-states"], |document| {
            let (open, close) = ("q ".repeat(29), " Q".repeat(29));
            content(document, HEAD, &format!("{open}{close} {HEAD}"));
        }),
        document(&["unmarked"], |document| content(document, HEAD, "/Lost BMC")),
        document(&["nested"], |document| content(document, HEAD, &format!("/Span BMC EMC {HEAD} /Span BMC EMC"))),
        document(&["unbalanced"], |document| content(document, HEAD, &format!("EMC {HEAD}"))),
        document(&["owner", "repeated-id"], |document| content(document, "/MCID 1>>", "/MCID 0>>")),
        document(&["artifact-kind"], |document| content(document, HEAD, "/Artifact BMC")),
        document(&["device-colour"], |document| content(document, HEAD, &format!("0 0 0 1 k {HEAD}"))),
        document(&["profile"], |document| {
            let profile = document.add_object(Stream::new(dictionary! { "N" => 3 }, b"no profile".to_vec()));
            let space = Object::Array(vec!["ICCBased".into(), profile.into()]);
            subtype(document, "Image").set("ColorSpace", space);
        }),
        document(&["graphics-state"], |document| content(document, HEAD, &format!("/Best ri {HEAD}"))),
        document(&["picture"], |document| subtype(document, "Image").set("Interpolate", true)),
        document(&["object-kind"], |document| subtype(document, "Form").set("Ref", Dictionary::new())),
        document(&["marks-in-form"], |document| {
            let id = find(document, |dict| has_name(dict, b"Subtype", b"Form"));
            let form = document.get_object_mut(id).and_then(Object::as_stream_mut).expect("a form");
            form.set_plain_content(b"/P <</MCID 0>> BDC EMC".to_vec());
        }),
        document(&["page-box"], |document| {
            page(document).set("TrimBox", Object::Array([0, 0, 5000, 5000].map(Object::Integer).to_vec()));
        }),
        document(&["tabs"], |document| {
            page(document).remove(b"Tabs");
        }),
    ]
}

fn type_faces() -> Vec<Control> {
    vec![
        document(&["font-dictionary"], |document| {
            descendant(document).remove(b"CIDSystemInfo");
        }),
        document(&["encoding"], |document| subtype(document, "Type0").set("Encoding", "Identity-V")),
        document(&["glyph-map"], |document| {
            descendant(document).remove(b"CIDToGIDMap");
        }),
        document(&["no-glyph", "not-embedded"], |document| {
            let id = find(document, |dict| has_name(dict, b"Type", b"FontDescriptor"));
            dict(document, id).remove(b"FontFile2");
        }),
        document(&["font-names", "not-a-subset"], |document| subtype(document, "Type0").set("BaseFont", "Whole")),
        document(&["glyph-set"], |document| {
            let id = find(document, |dict| has_name(dict, b"Type", b"FontDescriptor"));
            dict(document, id).set("CIDSet", Object::Null);
            let set = document.add_object(Stream::new(Dictionary::new(), vec![0x80]));
            dict(document, id).set("CIDSet", set);
        }),
        document(&["width"], |document| {
            let widths = descendant(document).get_mut(b"W").and_then(Object::as_array_mut).expect("widths");
            let first = widths[1].as_array_mut().expect("an array");
            first[0] = Object::Integer(first[0].as_float().expect("a number") as i64 + 2);
        }),
        document(&["empty-element", "no-font", "resource"], |document| {
            let resources = page(document).get(b"Resources").and_then(Object::as_reference).expect("resources");
            dict(document, resources).set("Font", Dictionary::new());
        }),
        // The first glyph of the first run becomes one that stands in no table.
        document(&["no-glyph", "no-unicode"], |document| content(document, "[<0", "[<7777><0")),
        document(&["no-unicode", "notdef", "width"], |document| content(document, "[<0", "[<0000><0")),
        document(&["bad-unicode"], |document| meaning(document, "FEFF")),
        document(&["private-use"], |document| meaning(document, "E001")),
    ]
}

fn logic() -> Vec<Control> {
    vec![
        document(&["element"], |document| {
            element(document, "P").remove(b"Type");
        }),
        document(&["nesting", "role"], |document| element(document, "Span").set("S", "Strip")),
        document(&["nesting"], |document| element(document, "LBody").set("S", "P")),
        document(&["caption", "nesting"], |document| element(document, "TD").set("S", "Caption")),
        document(&["empty-element", "owner"], |document| {
            element(document, "P").remove(b"K");
        }),
        document(&["figure-words"], |document| {
            element(document, "Figure").remove(b"Alt");
        }),
        document(&["figure-box"], |document| {
            element(document, "Figure").remove(b"A");
        }),
        document(&["formula-words", "nesting", "role"], |document| element(document, "Span").set("S", "Formula")),
        document(&["nesting", "note-id"], |document| element(document, "Span").set("S", "Note")),
        document(&["typing-font"], |document| {
            let id = find(document, |dict| has_name(dict, b"Subtype", b"TrueType"));
            dict(document, id).set("Encoding", "MacRomanEncoding");
        }),
        document(&["reading-order"], |document| {
            let kids = element(document, "L").get_mut(b"K").and_then(Object::as_array_mut);
            kids.expect("entries").reverse();
        }),
        document(&["list-numbering"], |document| {
            element(document, "L").remove(b"A");
        }),
        document(&["heading-skipped"], |document| element(document, "H1").set("S", "H2")),
        document(&["heading-mixed", "role"], |document| element(document, "H1").set("S", "H")),
        document(&["scope", "table-heads"], |document| {
            element(document, "TH").remove(b"A");
        }),
        document(&["table-heads"], |document| element(document, "TH").set("S", "TD")),
        document(&["owner", "table-grid", "table-heads"], |document| {
            let row = element(document, "TR");
            let kids = row.get_mut(b"K").and_then(Object::as_array_mut).expect("cells");
            let last = kids[1].clone();
            kids.push(last);
        }),
        document(&["owner"], |document| {
            let root = catalogue(document).get(b"StructTreeRoot").and_then(Object::as_reference).expect("a tree");
            dict(document, root).set("ParentTreeNextKey", 0);
        }),
    ]
}

fn places() -> Vec<Control> {
    vec![
        document(&["annotation-kind"], |document| subtype(document, "Link").set("Subtype", "Movie")),
        document(&["print-flag"], |document| subtype(document, "Widget").set("F", 0)),
        document(&["appearance"], |document| {
            subtype(document, "Widget").remove(b"AP");
        }),
        document(&["annotation-owner"], |document| {
            subtype(document, "Link").remove(b"StructParent");
        }),
        document(&["annotation-role"], |document| element(document, "Form").set("S", "Span")),
        document(&["field-words"], |document| {
            let id = find(document, |dict| has_name(dict, b"Subtype", b"Widget") && dict.has(b"FT"));
            dict(document, id).remove(b"TU");
        }),
        document(&["link-words"], |document| {
            subtype(document, "Link").remove(b"Contents");
        }),
        document(&["action"], |document| subtype(document, "Widget").set("A", dictionary! { "S" => "ResetForm" })),
        document(&["field-twice"], |document| {
            let id = find(document, |dict| dict.has(b"Kids") && dict.has(b"T"));
            let other = find(document, |dict| has_name(dict, b"Subtype", b"Widget") && dict.has(b"T"));
            let name = dict(document, id).get(b"T").expect("a name").clone();
            dict(document, other).set("T", name);
        }),
    ]
}

#[test]
fn the_sample_as_written_breaks_no_rule() {
    let bytes = sample::booklet().write(Options::default());
    assert_eq!(walk::walk(&bytes).faults, []);
    // Loaded by the library that the other test changes it with, and written again.
    let document = Document::load_mem(&bytes).expect("our own file");
    assert_eq!(walk::walk(&saved(document)).faults, []);
}

#[test]
fn every_rule_that_is_broken_is_found_and_no_other() {
    let original = sample::booklet().write(Options::default());
    let load = || Document::load_mem(&original).expect("our own file");
    let mut proved = BTreeSet::new();
    let mut amiss = Vec::new();
    for control in [file(), whole(), words_about(), streams(), type_faces(), logic(), places()].into_iter().flatten() {
        let mut document = load();
        let changed = match control.change {
            Change::Document(change) => {
                change(&mut document);
                saved(document)
            }
            Change::Bytes(change) => {
                let mut bytes = saved(document);
                change(&mut bytes);
                bytes
            }
        };
        let walked = walk::walk(&changed);
        let wanted: BTreeSet<&str> = control.found.iter().copied().collect();
        if walked.ids() != wanted {
            amiss.push(format!("{wanted:?} was broken, {:?} found", walked.faults));
        }
        proved.extend(wanted);
    }
    assert!(amiss.is_empty(), "{amiss:#?}");
    let unproved: Vec<&str> = walk::RULES.iter().map(|(id, _)| *id).filter(|id| !proved.contains(id)).collect();
    assert_eq!(unproved, [""; 0], "rules that no control breaks");
}
