//! The pages of two files: which is which, and each with its boxes, contents, resources and what lies over it.

use super::super::report::Finding;
use super::annotations;
use super::order::{Moved, order};
use super::tokens;
use super::values::{Pair, Place, keys, parted, unpacked};
use super::words::Area;
use lopdf::{Dictionary, Document, Object, ObjectId, Stream};
use sha2::{Digest, Sha256};

/// Entries that a page may have from those above it (ISO 32000-1, 7.7.3.4).
const INHERITED: [&[u8]; 4] = [b"Resources", b"MediaBox", b"CropBox", b"Rotate"];
/// Steps up from a page.
const MAX_PARENTS: usize = 32;
/// Bytes that the contents of a page may unpack to.
const MAX_CONTENT: usize = 128 << 20;
/// Pages of a file that are looked at.
const MAX_PAGES: usize = 60_000;

/// A page with what it has from those above, and its contents unpacked.
struct OpenPage {
    id: ObjectId,
    entries: Dictionary,
}

/// Pairs the pages and compares them.
pub(super) fn compare(pair: &mut Pair<'_>) {
    let open = |document: &Document| -> Vec<OpenPage> {
        document.page_iter().take(MAX_PAGES).map(|id| OpenPage { id, entries: whole(document, id) }).collect()
    };
    let (found, made) = (open(pair.found), open(pair.made));
    if found.is_empty() {
        pair.note(Finding::new("no-pages", "the file has no pages"));
        return;
    }
    let marks = |document: &Document, pages: &[OpenPage]| -> Vec<[u8; 32]> {
        pages.iter().map(|page| mark(document, &page.entries)).collect()
    };
    let order = order(&marks(pair.found, &found), &marks(pair.made, &made));
    for page in &found {
        pair.pages.insert(page.id, None);
    }
    for (f, m) in &order.pairs {
        pair.pages.insert(found[*f].id, Some(made[*m].id));
    }
    for moved in &order.moved {
        pair.note(told(moved));
    }
    if let Some((count, pages)) = count(pair.found)
        && count != pages as i64
    {
        pair.note(Finding::new(
            "wrong-page-count",
            format!("the file says that it has {count} pages, and has {pages}"),
        ));
    }
    for (f, m) in order.pairs {
        compare_page(pair, f + 1, &found[f].entries, &made[m].entries);
    }
}

fn told(moved: &Moved) -> Finding {
    match *moved {
        Moved::Elsewhere(found, made) => {
            Finding::new("page-moved", format!("what should be page {} stands here", made + 1)).on(found + 1)
        }
        Moved::Again(found, made) => {
            Finding::new("page-twice", format!("page {} stands here once more", made + 1)).on(found + 1)
        }
        Moved::Added(found) => Finding::new("page-added", "the page has no place in the file").on(found + 1),
        Moved::Missing(made) => Finding::new("page-missing", format!("what should be page {} is missing", made + 1)),
    }
}

/// How many pages the file says that it has, and how many were met.
fn count(document: &Document) -> Option<(i64, usize)> {
    let root = document.catalog().ok()?.get(b"Pages").ok()?;
    let (_, root) = document.dereference(root).ok()?;
    let count = root.as_dict().ok()?.get(b"Count").ok()?.as_i64().ok()?;
    Some((count, document.page_iter().take(MAX_PAGES).count()))
}

/// A page with what it has from those above it.
fn whole(document: &Document, id: ObjectId) -> Dictionary {
    let mut entries = document.get_dictionary(id).cloned().unwrap_or_default();
    let mut above = entries.get(b"Parent").and_then(Object::as_reference).ok();
    for _ in 0..MAX_PARENTS {
        let Some(parent) = above.and_then(|id| document.get_dictionary(id).ok()) else { break };
        for key in INHERITED {
            if let (false, Ok(value)) = (entries.has(key), parent.get(key)) {
                entries.set(key, value.clone());
            }
        }
        above = parent.get(b"Parent").and_then(Object::as_reference).ok();
    }
    entries.remove(b"Parent");
    entries
}

/// A mark of what is drawn on a page, whatever its spelling: its operators without their numbers' notation.
fn mark(document: &Document, page: &Dictionary) -> [u8; 32] {
    let mut hash = Sha256::new();
    // What cannot be unpacked is told of where the page is compared.
    let content = content(document, page, MAX_CONTENT).unwrap_or_default();
    for token in tokens::Tokens::new(&content) {
        token.feed(&mut |bytes| hash.update(bytes));
    }
    hash.finalize().into()
}

/// The contents of a page, all its streams in order with an end of line between.
fn content(document: &Document, page: &Dictionary, most: usize) -> Result<Vec<u8>, String> {
    let Ok(contents) = page.get(b"Contents") else { return Ok(Vec::new()) };
    let follow = |object| document.dereference(object).ok().map(|(_, object)| object);
    let streams: Vec<&Stream> = match follow(contents) {
        Some(Object::Stream(one)) => vec![one],
        Some(Object::Array(many)) => many.iter().filter_map(follow).filter_map(|o| o.as_stream().ok()).collect(),
        _ => return Ok(Vec::new()),
    };
    let mut out = Vec::new();
    for stream in streams {
        out.extend(unpacked(stream, most.saturating_sub(out.len()))?);
        out.push(b'\n');
    }
    Ok(out)
}

fn compare_page(pair: &mut Pair<'_>, number: usize, found: &Dictionary, made: &Dictionary) {
    let place = |area| Place { page: Some(number), area };
    let (shown, wanted) = (content(pair.found, found, MAX_CONTENT), content(pair.made, made, MAX_CONTENT));
    match (shown, wanted) {
        (Ok(shown), Ok(wanted)) => {
            if let Some((found, made)) = tokens::difference(&shown, &wanted) {
                pair.differs(place(Area::Drawn), &parted(found, made));
            }
        }
        (Err(why), _) | (_, Err(why)) => {
            pair.differs(place(Area::Drawn), &format!("it cannot be unpacked: {why}"));
        }
    }
    for key in keys(found, made, &[b"Type", b"Contents", b"Resources", b"Annots"]) {
        pair.entries(found, made, &key, place(Area::of_page(&key)), 0);
    }
    let resources = |document: &Document, page: &Dictionary| {
        let entry = page.get(b"Resources").ok()?;
        document.dereference(entry).ok()?.1.as_dict().ok().cloned()
    };
    let of_found = resources(pair.found, found).unwrap_or_default();
    let of_made = resources(pair.made, made).unwrap_or_default();
    for key in keys(&of_found, &of_made, &[b"ProcSet"]) {
        pair.entries(&of_found, &of_made, &key, place(Area::of_resources(&key)), 0);
    }
    annotations::compare(pair, place(Area::Over), found, made);
}
