//! Negative controls: one rule broken in a finished file, one fault found.

use super::{Options, sample, walk};
use lopdf::{Dictionary, Document, Object, ObjectId};

/// Writes the sample, changes it, and returns what the walk finds.
fn faults(change: impl FnOnce(&mut Document)) -> Vec<&'static str> {
    let bytes = sample::booklet().write(Options::default());
    let mut document = Document::load_mem(&bytes).expect("our own file");
    change(&mut document);
    let mut changed = Vec::new();
    document.save_to(&mut changed).expect("a changed file");
    walk::walk(&changed).ids().into_iter().collect()
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

fn element(document: &mut Document, role: &[u8]) -> ObjectId {
    find(document, |dict| dict.has(b"P") && has_name(dict, b"S", role))
}

fn dict(document: &mut Document, id: ObjectId) -> &mut Dictionary {
    document.get_dictionary_mut(id).expect("a dictionary")
}

/// Changes the text of the first page's content.
fn content(document: &mut Document, from: &str, to: &str) {
    let page = *document.get_pages().get(&1).expect("a first page");
    let text = String::from_utf8(document.get_page_content(page)).expect("content in ASCII");
    assert!(text.contains(from), "`{from}` is not in the content");
    document.change_page_content(page, text.replacen(from, to, 1).into_bytes()).expect("changed content");
}

#[test]
fn the_sample_as_written_breaks_no_rule() {
    let bytes = sample::booklet().write(Options::default());
    assert_eq!(walk::walk(&bytes).faults, []);
    // Saved again by the library that the other tests change it with.
    assert_eq!(faults(|_| {}), ["header"; 0]);
}

#[test]
fn a_figure_without_words_is_found() {
    let found = faults(|document| {
        let id = element(document, b"Figure");
        dict(document, id).remove(b"Alt");
    });
    assert_eq!(found, ["figure-words"]);
}

#[test]
fn a_document_without_language_is_found() {
    let found = faults(|document| {
        document.catalog_mut().expect("a catalogue").remove(b"Lang");
    });
    assert_eq!(found, ["language"]);
}

#[test]
fn content_that_is_neither_artifact_nor_tagged_is_found() {
    let found = faults(|document| content(document, "/Artifact <</Subtype/Header/Type/Pagination>> BDC", "/Lost BMC"));
    assert_eq!(found, ["unmarked"]);
}

#[test]
fn a_header_cell_without_scope_is_found() {
    let found = faults(|document| {
        let id = element(document, b"TH");
        dict(document, id).remove(b"A");
    });
    assert_eq!(found, ["scope"]);
}

#[test]
fn a_tag_taken_out_of_the_tree_is_found() {
    let found = faults(|document| {
        let id = element(document, b"P");
        let kids = dict(document, id).remove(b"K").expect("content");
        let _ = kids;
    });
    assert_eq!(found, ["owner"]);
}

#[test]
fn a_link_without_words_is_found() {
    let found = faults(|document| {
        let id = find(document, |dict| has_name(dict, b"Subtype", b"Link"));
        dict(document, id).remove(b"Contents");
    });
    assert_eq!(found, ["link-words"]);
}

#[test]
fn a_heading_level_that_is_skipped_is_found() {
    let found = faults(|document| {
        let id = element(document, b"H1");
        dict(document, id).set("S", "H2");
    });
    assert_eq!(found, ["heading-skipped"]);
}

#[test]
fn device_colour_without_output_intent_is_found() {
    let found = faults(|document| {
        document.catalog_mut().expect("a catalogue").remove(b"OutputIntents");
    });
    assert_eq!(found, ["output-intent"]);
}

#[test]
fn a_field_without_appearance_is_found() {
    let found = faults(|document| {
        let id = find(document, |dict| has_name(dict, b"Subtype", b"Widget"));
        dict(document, id).remove(b"AP");
    });
    assert_eq!(found, ["appearance"]);
}

#[test]
fn a_field_that_is_not_printed_is_found() {
    let found = faults(|document| {
        let id = find(document, |dict| has_name(dict, b"Subtype", b"Widget"));
        dict(document, id).set("F", 0);
    });
    assert_eq!(found, ["print-flag"]);
}

#[test]
fn a_field_without_words_is_found() {
    let found = faults(|document| {
        let id = find(document, |dict| has_name(dict, b"Subtype", b"Widget") && dict.has(b"FT"));
        dict(document, id).remove(b"TU");
    });
    assert_eq!(found, ["field-words"]);
}

#[test]
fn metadata_unlike_the_information_dictionary_is_found() {
    let found = faults(|document| {
        let id = document.trailer.get(b"Info").and_then(Object::as_reference).expect("an information dictionary");
        dict(document, id).set("Title", Object::string_literal("Another title"));
    });
    assert_eq!(found, ["information"]);
}

#[test]
fn a_width_unlike_the_font_program_is_found() {
    let found = faults(|document| {
        let id = find(document, |dict| has_name(dict, b"Subtype", b"Type0"));
        let list = dict(document, id).get_mut(b"DescendantFonts").and_then(Object::as_array_mut).expect("descendants");
        let widths = list[0].as_dict_mut().and_then(|dict| dict.get_mut(b"W")).and_then(Object::as_array_mut);
        let first = widths.expect("widths")[1].as_array_mut().expect("an array");
        first[0] = Object::Integer(first[0].as_float().expect("a number") as i64 + 2);
    });
    assert_eq!(found, ["width"]);
}

#[test]
fn a_missing_glyph_is_found() {
    // The first glyph of the first run becomes glyph 0, which stands in no table either.
    let found = faults(|document| content(document, "[<0", "[<0000><0"));
    assert_eq!(found, ["no-unicode", "notdef", "width"]);
}

#[test]
fn text_of_private_meaning_is_found() {
    let found = faults(|document| {
        let id = find(document, |dict| has_name(dict, b"Subtype", b"Type0"));
        let table = dict(document, id).get(b"ToUnicode").and_then(Object::as_reference).expect("a table");
        let stream = document.get_object_mut(table).and_then(Object::as_stream_mut).expect("a stream");
        let text = String::from_utf8(stream.decompressed_content().expect("content")).expect("text");
        let at = text.find("beginbfchar\n<").expect("an entry") + "beginbfchar\n<0001> <".len();
        stream.set_plain_content(format!("{}E001{}", &text[..at], &text[at + 4..]).into_bytes());
    });
    assert_eq!(found, ["private-use"]);
}

#[test]
fn an_action_is_found() {
    let found = faults(|document| {
        let mut action = Dictionary::new();
        action.set("S", "JavaScript");
        action.set("JS", Object::string_literal("0"));
        document.catalog_mut().expect("a catalogue").set("OpenAction", action);
    });
    assert_eq!(found, ["action"]);
}

#[test]
fn a_font_that_is_not_embedded_is_found() {
    let found = faults(|document| {
        let id = find(document, |dict| has_name(dict, b"Type", b"FontDescriptor"));
        dict(document, id).remove(b"FontFile2");
    });
    assert_eq!(found, ["not-embedded", "width"]);
}

#[test]
fn an_annotation_outside_the_structure_is_found() {
    let found = faults(|document| {
        let id = find(document, |dict| has_name(dict, b"Subtype", b"Link"));
        dict(document, id).remove(b"StructParent");
    });
    assert_eq!(found, ["annotation-owner"]);
}
