//! What lies over a page: boxes to tick, links, and whatever else somebody has laid there.

use super::super::report::Finding;
use super::values::{Pair, Place, keys};
use crate::reader::document::{number, text};
use lopdf::{Dictionary, Document, Object, ObjectId};
use std::collections::BTreeMap;

/// Annotations of one page that are looked at.
const MAX_ANNOTATIONS: usize = 20_000;

/// One of them, with its object if it is one of its own.
struct Annotation {
    id: Option<ObjectId>,
    entries: Dictionary,
}

/// Compares what lies over two pages. Nobody sees in which order they are listed, but a keyboard goes through them in it.
pub(super) fn compare(pair: &mut Pair<'_>, place: Place, found: &Dictionary, made: &Dictionary) {
    let (found, made) = (listed(pair.found, found), listed(pair.made, made));
    let named = |document, list: &[Annotation]| -> Vec<String> { list.iter().map(|it| name(document, it)).collect() };
    let (names_found, names_made) = (named(pair.found, &found), named(pair.made, &made));
    if names_found != names_made {
        let mut counts: BTreeMap<&str, i64> = BTreeMap::new();
        names_found.iter().for_each(|name| *counts.entry(name).or_default() += 1);
        names_made.iter().for_each(|name| *counts.entry(name).or_default() -= 1);
        let mut is_told = false;
        for (name, count) in counts.into_iter().filter(|(_, count)| *count != 0) {
            is_told = true;
            let (id, says) = if count > 0 {
                ("something-added", "should not be there")
            } else {
                ("something-missing", "is missing")
            };
            pair.note(Finding::new(id, format!("{name} {says}")).on(place.page.unwrap_or(1)));
        }
        if !is_told {
            pair.differs(place, "they come in another order");
        }
        return;
    }
    for ((one, other), name) in found.iter().zip(&made).zip(names_made) {
        if let (Some(one), Some(other)) = (one.id, other.id) {
            pair.is_met(one, other);
        }
        for key in keys(&one.entries, &other.entries, &[]) {
            let (has, should) = (one.entries.get(&key).ok(), other.entries.get(&key).ok());
            let before = pair.findings.len();
            pair.values(has, should, place, &format!("{} of {name}", says(&key)), 0);
            if pair.findings.len() > before {
                break;
            }
        }
    }
}

/// What an entry is called to a maker.
fn says(key: &[u8]) -> String {
    match key {
        b"V" | b"AS" | b"DV" => "the state, ticked or not,".to_owned(),
        b"F" => "whether it shows and prints,".to_owned(),
        b"TU" => "what is read aloud".to_owned(),
        b"A" | b"Dest" | b"AA" | b"PA" => "where it leads or what it does".to_owned(),
        b"AP" | b"MK" | b"Border" | b"BS" | b"C" => "the look".to_owned(),
        b"Rect" | b"QuadPoints" => "the place".to_owned(),
        other => format!("`{}`", String::from_utf8_lossy(other)),
    }
}

fn listed(document: &Document, page: &Dictionary) -> Vec<Annotation> {
    let list = page.get(b"Annots").ok().and_then(|list| document.dereference(list).ok()).map(|(_, list)| list);
    let list = list.and_then(|list| list.as_array().ok()).map_or(&[][..], Vec::as_slice);
    let open = |object: &Object| {
        let (id, entries) = document.dereference(object).ok()?;
        Some(Annotation { id, entries: entries.as_dict().ok()?.clone() })
    };
    list.iter().take(MAX_ANNOTATIONS).filter_map(open).collect()
}

/// What it is and where: "a box `row-12`", "a link at 72, 700".
fn name(document: &Document, annotation: &Annotation) -> String {
    let entry = |key: &[u8]| {
        let (_, object) = document.dereference(annotation.entries.get(key).ok()?).ok()?;
        Some(object)
    };
    let kind = entry(b"Subtype").and_then(|kind| kind.as_name().ok()).unwrap_or(b"");
    let corner: Vec<String> = entry(b"Rect")
        .and_then(|list| list.as_array().ok())
        .map(|list| list.iter().take(2).filter_map(number).map(|v| (v.round() as i64).to_string()).collect())
        .unwrap_or_default();
    let at = corner.join(", ");
    match kind {
        b"Widget" => match entry(b"T").and_then(text) {
            Some(name) => format!("a box `{}`", name.replace('`', "'")),
            None => format!("a box at {at}"),
        },
        b"Link" => format!("a link at {at}"),
        b"Stamp" => format!("a stamp at {at}"),
        other => format!("something of the kind `{}` at {at}", String::from_utf8_lossy(other)),
    }
}

#[cfg(test)]
mod tests {
    use super::super::words::Area;
    use super::*;
    use lopdf::dictionary;

    /// A link to this address, as high as is said.
    fn link(address: &str, high: i64) -> Object {
        let action = dictionary! { "S" => "URI", "URI" => Object::string_literal(address) };
        let area: Vec<Object> = [10, 10, 60, 10 + high].map(Object::Integer).to_vec();
        dictionary! { "Type" => "Annot", "Subtype" => "Link", "Rect" => area, "A" => action }.into()
    }

    /// What is told of two pages with these annotations.
    fn told(found: &[Object], made: &[Object]) -> Vec<String> {
        let empty = Document::new();
        let mut pair = Pair::new(&empty, &empty);
        let page = |list: &[Object]| dictionary! { "Annots" => list.to_vec() };
        compare(&mut pair, Place { page: Some(2), area: Area::Information }, &page(found), &page(made));
        pair.findings.iter().map(|finding| format!("{} {}", finding.id, finding.sentence())).collect()
    }

    #[test]
    fn what_lies_over_a_page_is_missed_where_it_is_not_and_told_where_it_should_not_be() {
        let (one, two) = (link("https://example.org/a", 12), link("https://example.org/b", 12));
        assert_eq!(told(&[one.clone(), two.clone()], &[one.clone(), two.clone()]), Vec::<String>::new());
        assert_eq!(told(&[], &[]), Vec::<String>::new());
        let missing = told(std::slice::from_ref(&one), &[one.clone(), one.clone()]);
        assert!(missing.len() == 1 && missing[0].starts_with("something-missing page 2: "), "{missing:?}");
        let added = told(&[one.clone(), one.clone()], std::slice::from_ref(&one));
        assert!(added.len() == 1 && added[0].starts_with("something-added page 2: "), "{added:?}");
        // The same one, moved.
        assert_eq!(told(&[link("https://example.org/a", 13)], std::slice::from_ref(&one)).len(), 1);
    }
}
