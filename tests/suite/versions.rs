//! Versions of one project: another language, other colours, another size.

mod colourways;
mod languages;
mod sizes;

use crate::shop::pattern::tiny;
use crate::support::{Room, copy, repository};
use hitchpress::diag::Report;
use hitchpress::project::{Project, load};
use hitchpress::source::Sources;
use lopdf::{Document, Object};
use std::path::Path;

/// A small project with more lines at its end; gives the room it lies in.
fn panel(more: &str) -> Room {
    let room = Room::new();
    let file = tiny(&room, "boat", "Tiny Boat");
    let text = std::fs::read_to_string(&file).expect("the project");
    std::fs::write(&file, format!("{text}{more}")).expect("written");
    room
}

/// A room with the lantern, which has everything.
fn lantern() -> Room {
    let room = Room::new();
    copy(&repository("tests/data/paper-lantern"), &room.path().join("lantern"));
    room
}

/// A project that is sound.
fn loaded(folder: &Path) -> Project {
    load(folder, &mut Sources::new(), &mut Report::new()).expect("a sound project")
}

/// All words of a finished file, page by page, as a reader of PDF that is not ours gives them.
fn words(file: &Path) -> String {
    let document = Document::load(file).expect("a PDF");
    let pages: Vec<u32> = document.get_pages().keys().copied().collect();
    document.extract_text(&pages).expect("text").replace('\u{a0}', " ")
}

/// Every language that some part of a file is marked with.
fn marked(file: &Path) -> Vec<String> {
    let document = Document::load(file).expect("a PDF");
    let tags = document.objects.values().filter_map(|object| object.as_dict().ok());
    let mut found: Vec<String> = tags
        .filter(|tag| tag.has(b"S"))
        .filter_map(|tag| match tag.get(b"Lang") {
            Ok(Object::String(bytes, _)) => Some(String::from_utf8_lossy(bytes).into_owned()),
            _ => None,
        })
        .collect();
    found.sort();
    found.dedup();
    found
}
