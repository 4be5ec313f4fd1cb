//! A maker's own layout, and below a line of `=====` her own look: read, checked, and what passes is composed.

#![no_main]

#[path = "small.rs"]
mod small;

use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::press::{self, Order};
use hitchpress::source::Sources;
use libfuzzer_sys::fuzz_target;
use std::sync::OnceLock;

fuzz_target!(|text: &str| {
    static ROOM: OnceLock<tempfile::TempDir> = OnceLock::new();
    let room = ROOM.get_or_init(|| tempfile::tempdir().expect("a folder"));
    let (layout, look) = text.split_once("=====").unwrap_or((text, ""));
    if !look.is_empty() {
        std::fs::write(room.path().join("look.toml"), look).expect("a file");
    }
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let own = sources.add(room.path().join("layout.toml"), layout.as_bytes().to_vec());
    let order = Order { edition: "booklet".to_owned(), own_layout: Some(own), ..Order::default() };
    let project = small::panel(small::chart());
    let made = press::compose(&project, &order, &FontBook::shipped(), &mut sources, &mut report);
    assert!(made.is_some() || report.has_faults(), "nothing came of it, and nobody says why");
});
