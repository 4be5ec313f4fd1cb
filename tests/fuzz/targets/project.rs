//! A project file: read, checked, reckoned and said.

#![no_main]

#[path = "small.rs"]
#[expect(dead_code, reason = "this target makes projects of its own")]
mod small;

use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::press::{self, Order};
use hitchpress::project;
use hitchpress::source::Sources;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let Some(project) = project::draft(text, small::chart(), &mut sources, &mut report) else {
        assert!(report.has_faults(), "nothing came of it, and nobody says why");
        return;
    };
    for edition in ["materials", "chart"] {
        let order = Order { edition: edition.to_owned(), ..Order::default() };
        press::look_over(&project, &order, &FontBook::shipped(), &mut sources, &mut report);
    }
});
