//! The outline that readers show beside the pages, and the folios as page labels.

use super::error::PdfError;
use super::finisher::destination;
use super::metadata::text;
use crate::page::Booklet;
use lopdf::{Dictionary, Document, Object, ObjectId, dictionary};

/// An entry while the tree is built.
struct OutlineNode {
    id: ObjectId,
    dict: Dictionary,
    parent: Option<usize>,
    children: Vec<usize>,
}

/// Adds the outline, if the booklet has one.
pub(super) fn add(document: &mut Document, booklet: &Booklet, pages: &[ObjectId]) -> Result<(), PdfError> {
    if booklet.outline.is_empty() {
        return Ok(());
    }
    let root = document.new_object_id();
    let mut entries: Vec<OutlineNode> = Vec::new();
    let mut top: Vec<usize> = Vec::new();
    // The entries that are open at each level, outermost first.
    let mut open: Vec<(u8, usize)> = Vec::new();
    for item in &booklet.outline {
        while open.last().is_some_and(|(level, _)| *level >= item.level) {
            open.pop();
        }
        let index = entries.len();
        let parent = open.last().map(|(_, parent)| *parent);
        match parent {
            Some(parent) => entries[parent].children.push(index),
            None => top.push(index),
        }
        let dict = dictionary! {
            "Title" => text(&item.title),
            "Dest" => destination(booklet, pages, item.page, item.y)?,
        };
        entries.push(OutlineNode { id: document.new_object_id(), dict, parent, children: Vec::new() });
        open.push((item.level, index));
    }
    let ids: Vec<ObjectId> = entries.iter().map(|entry| entry.id).collect();
    let family: Vec<(Option<usize>, Vec<usize>)> =
        entries.iter().map(|entry| (entry.parent, entry.children.clone())).collect();
    let siblings = |parent: Option<usize>| parent.map_or(top.as_slice(), |parent| family[parent].1.as_slice());
    for (index, mut entry) in entries.into_iter().enumerate() {
        let (parent, children) = &family[index];
        entry.dict.set("Parent", parent.map_or(root, |parent| ids[parent]));
        let around = siblings(*parent);
        let at = around.iter().position(|&other| other == index).unwrap_or_default();
        if let Some(previous) = at.checked_sub(1).and_then(|at| around.get(at)) {
            entry.dict.set("Prev", ids[*previous]);
        }
        if let Some(next) = around.get(at + 1) {
            entry.dict.set("Next", ids[*next]);
        }
        if let (Some(first), Some(last)) = (children.first(), children.last()) {
            entry.dict.set("First", ids[*first]);
            entry.dict.set("Last", ids[*last]);
            // Negative: the entry is closed at first (ISO 32000-1, table 153).
            entry.dict.set("Count", -(children.len() as i64));
        }
        document.set_object(entry.id, entry.dict);
    }
    let mut dict = dictionary! { "Type" => "Outlines", "Count" => top.len() as i64 };
    if let (Some(first), Some(last)) = (top.first(), top.last()) {
        dict.set("First", ids[*first]);
        dict.set("Last", ids[*last]);
    }
    document.set_object(root, dict);
    document.catalog_mut()?.set("Outlines", root);
    Ok(())
}

/// How a folio is counted.
#[derive(PartialEq)]
enum Folio {
    /// One number after the other.
    Number(u32),
    /// As it stands.
    Words(String),
}

/// The folios as a number tree; `None` where no page has one.
pub(super) fn page_labels(booklet: &Booklet) -> Option<Object> {
    if booklet.pages.iter().all(|page| page.label.is_empty()) {
        return None;
    }
    let mut numbers: Vec<Object> = Vec::new();
    let mut expected: Option<u32> = None;
    for (index, page) in booklet.pages.iter().enumerate() {
        // "07" is no plain number: it would come back as "7".
        let folio = match page.label.parse::<u32>() {
            Ok(number) if number > 0 && number.to_string() == page.label => Folio::Number(number),
            Ok(_) | Err(_) => Folio::Words(page.label.clone()),
        };
        let label = match &folio {
            Folio::Number(number) if expected == Some(*number) => None,
            Folio::Number(number) => Some(dictionary! { "S" => "D", "St" => i64::from(*number) }),
            Folio::Words(words) if words.is_empty() => Some(Dictionary::new()),
            Folio::Words(words) => Some(dictionary! { "P" => text(words) }),
        };
        expected = match folio {
            Folio::Number(number) => number.checked_add(1),
            Folio::Words(_) => None,
        };
        if let Some(label) = label {
            numbers.push(Object::Integer(index as i64));
            numbers.push(Object::Dictionary(label));
        }
    }
    Some(Object::Dictionary(dictionary! { "Nums" => numbers }))
}
