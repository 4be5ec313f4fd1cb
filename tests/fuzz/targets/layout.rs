//! A maker's own layout, and below a line of `=====` her own look: read, checked, and what passes is composed.

#![no_main]

#[path = "small.rs"]
mod small;

use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::press::{self, Prepared, Settled, Wishes};
use hitchpress::source::Sources;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let (layout, look) = text.split_once("=====").unwrap_or((text, ""));
    let mut project = small::panel(small::chart());
    project.print.layout = Some("layout.toml".into());
    let (mut sources, mut report) = (Sources::in_memory(), Report::new());
    sources.lay_over(project.folder.join("layout.toml"), layout.as_bytes().to_vec());
    if !look.is_empty() {
        sources.lay_over(project.folder.join("look.toml"), look.as_bytes().to_vec());
    }
    let settled = Settled::from(&Wishes::default(), &project, &mut sources, &mut report);
    let made = settled.and_then(|Settled { manner, variant }| {
        press::compose(&Prepared::new(project, manner), &variant, &FontBook::shipped(), &mut report)
    });
    assert!(made.is_some() || report.has_faults(), "nothing came of it, and nobody says why");
});
