//! One thing changed in a file, at a random place, each kind by a function that says whether the file has such a thing.

use fastrand::Rng;
use lopdf::content::Content;
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, StringFormat, dictionary};

type Corrupt = fn(&mut Document, &mut Rng) -> bool;

pub const ALL: [(&str, Corrupt); 56] = [
    ("a page deleted", |d, r| pages_changed(d, r, |kids, at| drop(kids.remove(at)))),
    ("a page twice", |d, r| pages_changed(d, r, |kids, at| kids.insert(at, kids[at].clone()))),
    ("two pages exchanged", |d, r| {
        pages_changed(d, r, |kids, at| {
            let next = (at + 1) % kids.len();
            kids.swap(at, next);
        })
    }),
    ("pages reversed", |d, r| pages_changed(d, r, |kids, _| kids.reverse())),
    ("a blank page", blank_page),
    ("another number of pages", |d, _| on_tree(d, |tree| tree.set("Count", 99))),
    ("media box", |d, r| boxed(d, r, "MediaBox")),
    ("crop box", |d, r| boxed(d, r, "CropBox")),
    ("trim box", |d, r| boxed(d, r, "TrimBox")),
    ("a page turned", |d, r| on_page(d, r, |page| page.set("Rotate", 90))),
    ("a page scaled", |d, r| on_page(d, r, |page| page.set("UserUnit", 2))),
    ("a drawing scaled", |d, r| content(d, r, |c, _| prefixed(c, b"0.99 0 0 0.99 0 0 cm "))),
    ("a drawing moved", |d, r| content(d, r, |c, _| prefixed(c, b"1 0 0 1 0.5 0 cm "))),
    ("white over a page", |d, r| content(d, r, |c, _| suffixed(c, b" 1 g 100 100 60 12 re f "))),
    ("white letters", |d, r| content(d, r, |c, _| replaced(c, b"BT", b"BT 1 g "))),
    ("an operator left out", operator_left_out),
    ("an operand changed", operand_changed),
    ("a letter changed", letter_changed),
    ("a mark left out", mark_left_out),
    ("no content", |d, r| content(d, r, |_, _| Some(Vec::new()))),
    ("a font's program", |d, r| stream_byte(d, r, |d, id| has_key_of(d, id, b"FontFile2", b"FontFile3"))),
    ("a font's widths", |d, r| entry_of(d, r, b"Font", b"W")),
    ("a font's name", |d, r| entry_of(d, r, b"FontDescriptor", b"FontName")),
    ("a font's measures", |d, r| entry_of(d, r, b"FontDescriptor", b"Ascent")),
    ("what letters mean", |d, r| stream_byte(d, r, |d, id| has_key_of(d, id, b"ToUnicode", b"ToUnicode"))),
    ("two fonts exchanged", two_fonts),
    ("a symbol's drawing", |d, r| stream_byte(d, r, is_named_form)),
    ("a symbol's bounds", |d, r| entry_of(d, r, b"XObject", b"BBox")),
    ("a box ticked", |d, r| {
        widget(d, r, |w| {
            w.set("AS", "Yes");
            true
        })
    }),
    ("a box with a value", |d, r| {
        widget(d, r, |w| {
            w.set("V", "Yes");
            true
        })
    }),
    ("a box hidden", |d, r| {
        widget(d, r, |w| {
            w.set("F", 2);
            true
        })
    }),
    ("a box moved", |d, r| widget(d, r, |w| w.get_mut(b"Rect").is_ok_and(|rect| leaf(rect, 0)))),
    ("a box spoken otherwise", |d, r| {
        widget(d, r, |w| {
            w.set("TU", Object::string_literal("another row"));
            true
        })
    }),
    ("a box named otherwise", |d, r| {
        widget(d, r, |w| {
            w.set("T", Object::string_literal("other"));
            true
        })
    }),
    ("a box without looks", |d, r| widget(d, r, |w| w.remove(b"AP").is_some())),
    ("something left out that lay over", |d, r| annots(d, r, |list| list.pop().is_some())),
    ("a stamp laid over", stamp),
    ("a link that leads elsewhere", link),
    ("another language", |d, _| catalogue(d, |c| c.set("Lang", Object::string_literal("xx")))),
    ("a script on opening", |d, _| catalogue(d, |c| c.set("OpenAction", script()))),
    ("an action on closing", |d, _| catalogue(d, |c| c.set("AA", dictionary! { "WC" => script() }))),
    ("a script by name", |d, _| {
        catalogue(d, |c| {
            c.set(
                "Names",
                dictionary! { "JavaScript" => dictionary! {
                "Names" => vec![Object::string_literal("x"), script().into()] } },
            );
        })
    }),
    ("an attachment", attachment),
    ("a program started", |d, r| {
        on_page(d, r, |page| {
            page.set(
                "AA",
                dictionary! { "O" => dictionary! {
                "S" => "Launch", "F" => Object::string_literal("x.exe") } },
            );
        })
    }),
    ("another view", |d, _| catalogue(d, |c| c.set("PageLayout", "TwoPageLeft"))),
    ("no wish for printing", |d, _| catalogue(d, |c| drop(c.remove(b"ViewerPreferences")))),
    ("no colour profile", |d, _| catalogue(d, |c| drop(c.remove(b"OutputIntents")))),
    ("other page labels", |d, _| {
        catalogue(d, |c| {
            c.set("PageLabels", dictionary! { "Nums" => vec![Object::Integer(0), dictionary! { "S" => "R" }.into()] });
        })
    }),
    ("a bookmark's title", |d, r| keyed(d, r, b"Dest", b"Title")),
    ("a bookmark's place", |d, r| keyed(d, r, b"Title", b"Dest")),
    ("a tag's kind", |d, r| keyed(d, r, b"S", b"S")),
    ("what is read instead of a figure", |d, r| keyed(d, r, b"Alt", b"Alt")),
    ("no tags", |d, _| catalogue(d, |c| drop(c.remove(b"StructTreeRoot")))),
    ("metadata", |d, r| {
        stream_byte(d, r, |d, id| {
            d.catalog().ok().and_then(|c| c.get(b"Metadata").ok()?.as_reference().ok()) == Some(id)
        })
    }),
    ("another title", |d, _| information(d, |info| info.set("Title", Object::string_literal("Another")))),
    ("another date", |d, _| {
        information(d, |info| info.set("CreationDate", Object::string_literal("D:19990101000000Z")))
    }),
];

fn any<T: Copy>(list: &[T], random: &mut Rng) -> Option<T> {
    (!list.is_empty()).then(|| list[random.usize(0..list.len())])
}

fn page(document: &Document, random: &mut Rng) -> ObjectId {
    let pages: Vec<ObjectId> = document.page_iter().collect();
    any(&pages, random).expect("a page")
}

fn on_tree(document: &mut Document, change: impl FnOnce(&mut Dictionary)) -> bool {
    let tree = document.catalog().expect("a catalogue").get(b"Pages").expect("pages").as_reference().expect("pages");
    change(document.get_dictionary_mut(tree).expect("a tree"));
    true
}

fn pages_changed(document: &mut Document, random: &mut Rng, change: fn(&mut Vec<Object>, usize)) -> bool {
    on_tree(document, |tree| {
        let kids = tree.get_mut(b"Kids").expect("kids").as_array_mut().expect("a list");
        // The file says how many it has; that is changed too, for whoever takes a page out does so.
        change(kids, random.usize(0..kids.len()));
        let count = kids.len() as i64;
        tree.set("Count", count);
    })
}

fn blank_page(document: &mut Document, random: &mut Rng) -> bool {
    let like = page(document, random);
    let mut blank = document.get_dictionary(like).expect("a page").clone();
    for key in [b"Contents".as_slice(), b"Annots", b"StructParents"] {
        blank.remove(key);
    }
    let id = document.add_object(blank);
    on_tree(document, |tree| {
        let kids = tree.get_mut(b"Kids").expect("kids").as_array_mut().expect("a list");
        kids.insert(random.usize(0..=kids.len()), id.into());
        let count = kids.len() as i64;
        tree.set("Count", count);
    })
}

fn on_page(document: &mut Document, random: &mut Rng, change: impl FnOnce(&mut Dictionary)) -> bool {
    let id = page(document, random);
    change(document.get_dictionary_mut(id).expect("a page"));
    true
}

/// Changes the first number or text inside; `false` where there is none.
fn leaf(object: &mut Object, depth: usize) -> bool {
    match object {
        Object::Integer(number) => *number += 1,
        Object::Real(number) => *number += 0.5,
        Object::Boolean(is) => *is = !*is,
        Object::Name(name) => name.push(b'X'),
        Object::String(text, _) => text.push(b'X'),
        Object::Array(list) => return depth < 5 && list.iter_mut().any(|part| leaf(part, depth + 1)),
        _ => return false,
    }
    true
}

fn boxed(document: &mut Document, random: &mut Rng, key: &str) -> bool {
    let (id, at) = (page(document, random), random.usize(0..4));
    let Ok(Object::Array(list)) = document.get_dictionary_mut(id).expect("a page").get_mut(key.as_bytes()) else {
        return false;
    };
    leaf(&mut list[at], 0)
}

/// Changes the content of a page; the function gives `None` where there is nothing to change.
fn content(document: &mut Document, random: &mut Rng, change: fn(Vec<u8>, &mut Rng) -> Option<Vec<u8>>) -> bool {
    let id = page(document, random);
    let before = document.get_page_content(id);
    if before.is_empty() {
        return false;
    }
    let Some(after) = change(before, random) else { return false };
    document.change_page_content(id, after).expect("a content");
    true
}

fn prefixed(content: Vec<u8>, by: &[u8]) -> Option<Vec<u8>> {
    Some([by, &content].concat())
}

fn suffixed(content: Vec<u8>, by: &[u8]) -> Option<Vec<u8>> {
    Some([&content, by].concat())
}

fn replaced(content: Vec<u8>, what: &[u8], by: &[u8]) -> Option<Vec<u8>> {
    let at = content.windows(what.len()).position(|here| here == what)?;
    Some([&content[..at], by, &content[at + what.len()..]].concat())
}

fn operations(content: &[u8]) -> Content {
    Content::decode(content).expect("operators")
}

fn operator_left_out(document: &mut Document, random: &mut Rng) -> bool {
    content(document, random, |bytes, random| {
        let mut all = operations(&bytes);
        all.operations.remove(random.usize(0..all.operations.len()));
        all.encode().ok()
    })
}

fn operand_changed(document: &mut Document, random: &mut Rng) -> bool {
    content(document, random, |bytes, random| {
        let mut all = operations(&bytes);
        let start = random.usize(0..all.operations.len());
        let changed = all.operations[start..].iter_mut().any(|one| one.operands.iter_mut().any(|part| leaf(part, 0)));
        changed.then(|| all.encode().ok())?
    })
}

fn letter_changed(document: &mut Document, random: &mut Rng) -> bool {
    content(document, random, |bytes, random| {
        let mut all = operations(&bytes);
        let start = random.usize(0..all.operations.len());
        let shown = all.operations[start..].iter_mut().find(|one| matches!(one.operator.as_str(), "TJ" | "Tj"))?;
        let text = shown.operands.iter_mut().find_map(|part| match part {
            Object::Array(list) => list.iter_mut().find(|it| matches!(it, Object::String(..))),
            other => Some(other),
        })?;
        if let Object::String(bytes, _) = text {
            *bytes.last_mut()? ^= 1;
        }
        all.encode().ok()
    })
}

fn mark_left_out(document: &mut Document, random: &mut Rng) -> bool {
    content(document, random, |bytes, _| {
        let mut all = operations(&bytes);
        let at = all.operations.iter().position(|one| one.operator == "Do")?;
        all.operations.remove(at);
        all.encode().ok()
    })
}

/// Changes one byte of what a stream holds; `which` says of what streams.
fn stream_byte(document: &mut Document, random: &mut Rng, which: fn(&Document, ObjectId) -> bool) -> bool {
    let streams: Vec<ObjectId> =
        document.objects.iter().filter(|(_, o)| o.as_stream().is_ok()).map(|(id, _)| *id).collect();
    let fit: Vec<ObjectId> = streams.into_iter().filter(|id| which(document, *id)).collect();
    let Some(id) = any(&fit, random) else { return false };
    let stream = document.get_object(id).expect("an object").as_stream().expect("a stream");
    let mut bytes = stream.get_plain_content().unwrap_or_else(|_| stream.content.clone());
    if bytes.is_empty() {
        return false;
    }
    // A letter or a figure, so that something else is said by it.
    let letters: Vec<usize> = (0..bytes.len()).filter(|at| bytes[*at].is_ascii_alphanumeric()).collect();
    let at = any(&letters, random).unwrap_or(0);
    bytes[at] = if bytes[at] == b'7' { b'3' } else { b'7' };
    let mut dict = stream.dict.clone();
    dict.remove(b"Filter");
    dict.remove(b"DecodeParms");
    document.objects.insert(id, Stream::new(dict, bytes).into());
    true
}

/// Whether some dictionary names the stream under one of these keys.
fn has_key_of(document: &Document, id: ObjectId, one: &[u8], other: &[u8]) -> bool {
    document.objects.values().filter_map(|o| o.as_dict().ok()).any(|dict| {
        [one, other].iter().any(|key| dict.get(key).and_then(Object::as_reference).is_ok_and(|to| to == id))
    })
}

/// A form that every page could draw, and some page does.
fn is_named_form(document: &Document, id: ObjectId) -> bool {
    let is_form = document
        .get_object(id)
        .and_then(Object::as_stream)
        .is_ok_and(|s| s.dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|kind| kind == b"Form"));
    let is_named = |dict: &Dictionary| {
        dict.iter().any(|(name, to)| {
            !matches!(name.as_slice(), b"N" | b"Off" | b"Yes" | b"D") && to.as_reference().is_ok_and(|to| to == id)
        })
    };
    is_form && document.objects.values().filter_map(|o| o.as_dict().ok()).any(is_named)
}

fn is_of(dict: &Dictionary, kind: &[u8]) -> bool {
    dict.get(b"Type").and_then(Object::as_name).is_ok_and(|it| it == kind)
}

/// Changes an entry of some object of a type.
fn entry_of(document: &mut Document, random: &mut Rng, kind: &[u8], key: &[u8]) -> bool {
    let fit: Vec<ObjectId> = document
        .objects
        .iter()
        .filter(|(_, object)| {
            let dict = match object {
                Object::Dictionary(dict) => dict,
                Object::Stream(stream) => &stream.dict,
                _ => return false,
            };
            is_of(dict, kind) && (dict.has(key) || dict.has(b"DescendantFonts"))
        })
        .map(|(id, _)| *id)
        .collect();
    let Some(id) = any(&fit, random) else { return false };
    let dict = match document.objects.get_mut(&id) {
        Some(Object::Dictionary(dict)) => dict,
        Some(Object::Stream(stream)) => &mut stream.dict,
        _ => return false,
    };
    let held = match dict.get_mut(b"DescendantFonts") {
        Ok(Object::Array(list)) => match list.first_mut() {
            Some(Object::Dictionary(inner)) => inner,
            _ => return false,
        },
        _ => dict,
    };
    held.get_mut(key).is_ok_and(|value| leaf(value, 0))
}

/// Changes an entry of some object that has two entries.
fn keyed(document: &mut Document, random: &mut Rng, has: &[u8], key: &[u8]) -> bool {
    let fits = |dict: &Dictionary| dict.has(has) && dict.has(key) && !dict.has(b"Subtype") && !dict.has(b"URI");
    let is_tag = has == b"S" || has == b"Alt";
    let fit: Vec<ObjectId> = document
        .objects
        .iter()
        .filter(|(_, o)| o.as_dict().is_ok_and(|dict| fits(dict) && is_tag == dict.has(b"P") && !dict.has(b"Registry")))
        .map(|(id, _)| *id)
        .collect();
    let Some(id) = any(&fit, random) else { return false };
    let dict = document.get_dictionary_mut(id).expect("a dictionary");
    dict.get_mut(key).is_ok_and(|value| match value {
        // The first part of a place is the page.
        Object::Array(list) => list.iter_mut().skip(2).any(|part| leaf(part, 0)),
        other => leaf(other, 0),
    })
}

fn two_fonts(document: &mut Document, _: &mut Rng) -> bool {
    let fonts = document.objects.iter().find_map(|(id, object)| {
        let dict = object.as_dict().ok()?;
        let all: Vec<ObjectId> = dict.iter().filter_map(|(_, to)| to.as_reference().ok()).collect();
        let are_fonts = all.len() > 1
            && all.len() == dict.len()
            && all.iter().all(|id| document.get_dictionary(*id).is_ok_and(|font| is_of(font, b"Font")));
        are_fonts.then_some(*id)
    });
    let Some(id) = fonts else { return false };
    let dict = document.get_dictionary_mut(id).expect("fonts");
    let names: Vec<Vec<u8>> = dict.iter().map(|(name, _)| name.clone()).collect();
    let (one, other) = (dict.get(&names[0]).expect("one").clone(), dict.get(&names[1]).expect("two").clone());
    dict.set(names[0].clone(), other);
    dict.set(names[1].clone(), one);
    true
}

fn lists(document: &Document) -> Vec<(ObjectId, Vec<Object>)> {
    let of = |id: ObjectId| {
        let list = document.get_dictionary(id).ok()?.get(b"Annots").ok()?;
        let list = document.dereference(list).ok()?.1.as_array().ok()?;
        (!list.is_empty()).then(|| (id, list.clone()))
    };
    document.page_iter().filter_map(of).collect()
}

fn annots(document: &mut Document, random: &mut Rng, change: fn(&mut Vec<Object>) -> bool) -> bool {
    let all = lists(document);
    if all.is_empty() {
        return false;
    }
    let (id, mut list) = all[random.usize(0..all.len())].clone();
    let changed = change(&mut list);
    document.get_dictionary_mut(id).expect("a page").set("Annots", list);
    changed
}

fn of_kind(document: &Document, kind: &[u8]) -> Vec<ObjectId> {
    let all = lists(document).into_iter().flat_map(|(_, list)| list).filter_map(|it| it.as_reference().ok());
    all.filter(|id| {
        let dict = document.get_dictionary(*id);
        dict.is_ok_and(|dict| dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|it| it == kind))
    })
    .collect()
}

fn widget(document: &mut Document, random: &mut Rng, change: fn(&mut Dictionary) -> bool) -> bool {
    let Some(id) = any(&of_kind(document, b"Widget"), random) else { return false };
    change(document.get_dictionary_mut(id).expect("a box"))
}

fn stamp(document: &mut Document, random: &mut Rng) -> bool {
    let stamp = dictionary! {
        "Type" => "Annot", "Subtype" => "Stamp",
        "Rect" => vec![100.into(), 100.into(), 300.into(), 200.into()],
    };
    let id = document.add_object(stamp);
    let page = page(document, random);
    let before = document.get_dictionary(page).ok().and_then(|page| page.get(b"Annots").ok()).cloned();
    let mut list = before
        .and_then(|list| document.dereference(&list).ok().and_then(|(_, list)| list.as_array().ok().cloned()))
        .unwrap_or_default();
    list.push(id.into());
    document.get_dictionary_mut(page).expect("a page").set("Annots", list);
    true
}

fn link(document: &mut Document, random: &mut Rng) -> bool {
    let Some(id) = any(&of_kind(document, b"Link"), random) else { return false };
    let link = document.get_dictionary_mut(id).expect("a link");
    link.remove(b"Dest");
    link.set("A", dictionary! { "S" => "URI", "URI" => Object::string_literal("https://elsewhere.example.org") });
    true
}

fn catalogue(document: &mut Document, change: impl FnOnce(&mut Dictionary)) -> bool {
    let before = document.catalog().expect("a catalogue").clone();
    let catalogue = document.catalog_mut().expect("a catalogue");
    change(catalogue);
    *catalogue != before
}

fn script() -> Dictionary {
    dictionary! { "S" => "JavaScript", "JS" => Object::string_literal("app.alert(1)") }
}

fn attachment(document: &mut Document, _: &mut Rng) -> bool {
    let file = document.add_object(Stream::new(dictionary! { "Type" => "EmbeddedFile" }, b"x".to_vec()));
    let spec = dictionary! { "Type" => "Filespec", "F" => Object::string_literal("x.txt"), "EF" => dictionary! { "F" => file } };
    catalogue(document, |c| {
        c.set("Names", dictionary! { "EmbeddedFiles" => dictionary! { "Names" => vec![Object::string_literal("x"), spec.into()] } });
    })
}

fn information(document: &mut Document, change: impl FnOnce(&mut Dictionary)) -> bool {
    let Ok(id) = document.trailer.get(b"Info").and_then(Object::as_reference) else { return false };
    change(document.get_dictionary_mut(id).expect("information"));
    true
}

fn said(document: &mut Document) -> Option<&mut Dictionary> {
    let id = document.catalog().ok()?.get(b"PieceInfo").ok()?.as_reference().ok()?;
    let own = document.get_dictionary_mut(id).ok()?.get_mut(b"Hitchpress").ok()?.as_dict_mut().ok()?;
    own.get_mut(b"Private").ok()?.as_dict_mut().ok()
}

/// The file says that another version made it.
pub fn another_version(document: &mut Document) -> bool {
    said(document).map(|said| said.set("version", Object::string_literal("0.0.1"))).is_some()
}

/// The file says that it is somebody else's copy.
pub fn another_line(document: &mut Document) -> bool {
    let line = Object::String(b"Licensed to Bo Example.".to_vec(), StringFormat::Literal);
    said(document).map(|said| said.set("licence-line", line)).is_some()
}
