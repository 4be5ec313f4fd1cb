//! Two files held against each other, page by page and object by object.

use super::super::{Finding, compare};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, dictionary};

/// A file of pages with this content each.
struct Pages {
    document: Document,
    tree: ObjectId,
    pages: Vec<ObjectId>,
}

fn pages(contents: &[&str]) -> Pages {
    let mut document = Document::with_version("1.7");
    let tree = document.new_object_id();
    let mut pages = Vec::new();
    for content in contents {
        let content = document.add_object(Stream::new(Dictionary::new(), content.as_bytes().to_vec()));
        pages.push(document.add_object(dictionary! { "Type" => "Page", "Parent" => tree, "Contents" => content }));
    }
    let kids: Vec<Object> = pages.iter().map(|id| Object::Reference(*id)).collect();
    let count = kids.len() as i64;
    let media: Vec<Object> = [0, 0, 100, 100].map(Object::Integer).to_vec();
    let root = dictionary! { "Type" => "Pages", "Kids" => kids, "Count" => count, "MediaBox" => media };
    document.set_object(tree, root);
    let catalogue = document.add_object(dictionary! { "Type" => "Catalog", "Pages" => tree, "Lang" => "en-GB" });
    document.trailer.set("Root", catalogue);
    Pages { document, tree, pages }
}

impl Pages {
    fn with(mut self, change: impl FnOnce(&mut Pages)) -> Pages {
        change(&mut self);
        self
    }
    fn set(&mut self, page: usize, key: &str, value: impl Into<Object>) {
        let id = self.pages[page];
        self.document.get_dictionary_mut(id).expect("a page").set(key, value);
    }
    fn catalogue(&mut self, key: &str, value: impl Into<Object>) {
        self.document.catalog_mut().expect("a catalogue").set(key, value);
    }
    fn bytes(mut self) -> Vec<u8> {
        let mut bytes = Vec::new();
        self.document.save_to(&mut bytes).expect("the file is written");
        bytes
    }
}

fn told(found: Pages, made: Pages) -> Vec<String> {
    let comparison = compare(&found.bytes(), &made.bytes());
    assert_eq!(comparison.holds(), comparison.findings.is_empty());
    comparison.findings.iter().map(Finding::sentence).collect()
}

const NONE: [String; 0] = [];
const THREE: [&str; 3] = ["1 0 0 RG", "0 1 0 RG", "0 0 1 RG"];

#[test]
fn pages_that_were_moved_doubled_added_or_left_out_are_told_by_their_numbers() {
    let [a, b, c] = THREE;
    let of = |found: &[&str]| told(pages(found), pages(&[a, b, c]));
    assert_eq!(of(&[a, b, c]), NONE);
    assert_eq!(of(&[a, "0 1.0 0  RG", c]), NONE);
    assert_eq!(of(&[a, c]), ["what should be page 2 is missing"]);
    assert_eq!(of(&[b, c]), ["what should be page 1 is missing"]);
    assert_eq!(of(&[a, b]), ["what should be page 3 is missing"]);
    assert_eq!(of(&[a, b, b, c]), ["page 3: page 2 stands here once more"]);
    assert_eq!(of(&[a, b, "1 1 1 RG", c]), ["page 3: the page has no place in the file"]);
    assert_eq!(of(&[b, c, a]), ["page 3: what should be page 1 stands here"]);
    assert_eq!(of(&[c, a, b]), ["page 1: what should be page 3 stands here"]);
    let other = "the first difference is `7` instead of `1`";
    assert_eq!(of(&[a, "0 7 0 RG", c]), [format!("page 2: something is drawn otherwise: {other}")]);
    // Two that have changed stand between the same neighbours as before.
    assert_eq!(of(&["7 0 0 RG", b, "0 0 7 RG"]).len(), 2);
    assert_eq!(of(&[]), ["the file has no pages"]);
    let miscounted = pages(&THREE).with(|file| {
        let tree = file.tree;
        file.document.get_dictionary_mut(tree).expect("a tree").set("Count", 5);
    });
    assert_eq!(told(miscounted, pages(&THREE)), ["the file says that it has 5 pages, and has 3"]);
}

#[test]
fn what_a_page_has_from_above_is_its_own() {
    let media = |right: i64| [0, 0, right, 100].map(Object::Integer).to_vec();
    let own = pages(&THREE).with(|file| (0..3).for_each(|page| file.set(page, "MediaBox", media(100))));
    assert_eq!(told(own, pages(&THREE)), NONE);
    let other = pages(&THREE).with(|file| file.set(1, "MediaBox", media(101)));
    let told = told(other, pages(&THREE));
    assert_eq!(told, ["page 2: size, cut or turn of the page are others: `MediaBox` is `101` instead of `100`"]);
}

#[test]
fn resources_annotations_and_entries_of_the_file_are_told_as_what_they_are() {
    let resource = |width: i64| {
        let font = dictionary! { "Type" => "Font", "Widths" => vec![Object::Integer(width)] };
        dictionary! { "Font" => dictionary! { "F" => font }, "ProcSet" => vec![Object::Integer(width)] }
    };
    let with = |width: i64| pages(&THREE).with(|file| file.set(2, "Resources", resource(width)));
    assert_eq!(told(with(500), with(500)), NONE);
    let other = told(with(501), with(500));
    assert!(other.len() == 1 && other[0].starts_with("page 3: a font is another"), "{other:?}");
    let proc_set = pages(&THREE).with(|file| file.set(2, "Resources", dictionary! { "ProcSet" => "A" }));
    assert_eq!(told(proc_set, pages(&THREE)), NONE);
    let language = pages(&THREE).with(|file| file.catalogue("Lang", "de-DE"));
    assert_eq!(
        told(language, pages(&THREE)),
        ["the language of the file is another: `Lang` is `de-DE` instead of `en-GB`"]
    );
    let noted = |file: &mut Pages| file.document.trailer.set("Info", dictionary! { "Title" => "another" });
    let title = told(pages(&THREE).with(noted), pages(&THREE));
    assert_eq!(title, ["title, maker or dates are others: `Title` is `another` instead of nothing"]);
    // Both at the end, after what has a page.
    let both = pages(&THREE).with(|file| {
        file.catalogue("Lang", "de-DE");
        file.set(0, "Rotate", 90);
    });
    assert!(told(both, pages(&THREE))[1].starts_with("page 1: size, cut or turn"));
}

#[test]
fn what_leads_to_a_page_leads_to_the_same_one() {
    let leading = |to: usize| {
        pages(&THREE).with(|file| {
            let page = Object::Reference(file.pages[to]);
            file.catalogue("OpenAction", vec![page, "Fit".into()]);
        })
    };
    assert_eq!(told(leading(1), leading(1)), NONE);
    let other = told(leading(2), leading(1));
    assert!(other.len() == 1 && other[0].ends_with("`OpenAction` leads to another page"), "{other:?}");
    // What is no page of the file, though it looks like one, is no page either.
    let astray = pages(&THREE).with(|file| {
        let page = file.document.get_dictionary(file.pages[1]).expect("a page").clone();
        let page = Object::Reference(file.document.add_object(page));
        file.catalogue("OpenAction", vec![page, "Fit".into()]);
    });
    let other = told(astray, leading(1));
    assert!(other.len() == 1 && other[0].ends_with("`OpenAction` leads to another page"), "{other:?}");
    // Objects are followed and counted once, however often they are met.
    let shared = |title: &str| {
        pages(&THREE).with(|file| {
            let entry = file.document.add_object(dictionary! { "Title" => title });
            let list = vec![Object::Reference(entry), Object::Reference(entry)];
            let outer = file.document.add_object(dictionary! { "First" => list });
            file.catalogue("Outlines", Object::Reference(outer));
        })
    };
    let other = told(shared("Rows"), shared("Key"));
    assert_eq!(other, ["bookmarks are others: `Title` is `Rows` instead of `Key`"]);
    let same = compare(&shared("Rows").with(|file| file.catalogue("X", Object::Null)).bytes(), &shared("Rows").bytes());
    assert_eq!((same.holds(), same.same_bytes, same.objects), (true, false, 2));
}

#[test]
fn what_lies_over_a_page_is_named_by_its_kind_and_place() {
    let annotation = |kind: &str, left: i64, more: Dictionary| -> Object {
        let area: Vec<Object> = [left, 20, left + 30, 40].map(Object::Integer).to_vec();
        let mut entries = dictionary! { "Type" => "Annot", "Subtype" => kind, "Rect" => area };
        entries.extend(&more);
        entries.into()
    };
    let with = |list: Vec<Object>| pages(&THREE).with(|file| file.set(0, "Annots", list));
    let none = || Vec::new();
    for (kind, more, name) in [
        ("Widget", dictionary! { "T" => Object::string_literal("row.`1") }, "a box `row.'1`"),
        ("Widget", Dictionary::new(), "a box at 10, 20"),
        ("Link", Dictionary::new(), "a link at 10, 20"),
        ("Stamp", Dictionary::new(), "a stamp at 10, 20"),
        ("Ink", Dictionary::new(), "something of the kind `Ink` at 10, 20"),
    ] {
        let one = || vec![annotation(kind, 10, more.clone())];
        assert_eq!(told(with(one()), with(one())), NONE);
        assert_eq!(told(with(one()), with(none())), [format!("page 1: {name} should not be there")]);
        assert_eq!(told(with(none()), with(one())), [format!("page 1: {name} is missing")]);
    }
    let (one, two) = (annotation("Link", 10, Dictionary::new()), annotation("Link", 60, Dictionary::new()));
    let turned = told(with(vec![two.clone(), one.clone()]), with(vec![one, two]));
    assert!(turned.len() == 1 && turned[0].ends_with("they come in another order"), "{turned:?}");
    // Of each only what comes first is told, in the maker's words.
    for (key, says) in [
        ("V", "the state, ticked or not,"),
        ("F", "whether it shows and prints,"),
        ("TU", "what is read aloud"),
        ("A", "where it leads or what it does"),
        ("AP", "the look"),
        ("QuadPoints", "the place"),
        ("Xyz", "`Xyz`"),
    ] {
        let changed = |value: i64| with(vec![annotation("Link", 10, dictionary! { key => value, "Zz" => value })]);
        let other = told(changed(5), changed(6));
        assert_eq!(other.len(), 1);
        assert!(other[0].contains(&format!("`{says} of a link at 10, 20` is `5` instead of `6`")), "{other:?}");
    }
}

#[test]
fn of_very_many_differences_the_first_are_told_and_the_rest_counted() {
    let of = |count: usize, red: &str| {
        let contents: Vec<String> =
            (0..70).map(|at| format!("{} {at} 0 RG", if at < count { red } else { "0" })).collect();
        pages(&contents.iter().map(String::as_str).collect::<Vec<_>>()).bytes()
    };
    let told = |count: usize| {
        let report = compare(&of(count, "1"), &of(count, "2")).diagnostics();
        let hints = report.iter().filter(|it| !it.hints.is_empty()).count();
        (report.len(), hints, report.iter().last().map(|it| it.message.clone()).unwrap_or_default())
    };
    assert_eq!(told(0), (0, 0, String::new()));
    assert_eq!((told(1).0, told(1).1, told(60).0), (1, 1, 60));
    assert_eq!(told(70), (61, 60, "and 10 more differences".to_owned()));
}

#[test]
fn every_kind_of_difference_has_a_name_of_its_own() {
    let named = |change: &dyn Fn(&mut Pages)| {
        let other = pages(&THREE).with(|file| change(file));
        compare(&other.bytes(), &pages(&THREE).bytes()).findings.iter().map(|finding| finding.id).collect::<Vec<_>>()
    };
    assert_eq!(named(&|file| file.set(0, "Rotate", 90)), ["other-page-boxes"]);
    assert_eq!(named(&|file| file.catalogue("Lang", "de")), ["other-language"]);
    let drawn = compare(&pages(&["1 0 0 RG"]).bytes(), &pages(&["0 1 0 RG"]).bytes());
    assert_eq!(drawn.findings.iter().map(|finding| finding.id).collect::<Vec<_>>(), ["other-drawing"]);
}
