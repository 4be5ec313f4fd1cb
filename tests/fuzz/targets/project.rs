//! A project file: read, checked, reckoned and said.

#![no_main]

#[path = "small.rs"]
#[expect(dead_code, reason = "this target makes projects of its own")]
mod small;

use hitchpress::catalogue::EditionName;
use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::press::{self, Manner, Prepared, Variant, Wishes};
use hitchpress::project;
use hitchpress::source::Sources;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let Some(project) = project::draft(text, small::chart(), &mut sources, &mut report) else {
        assert!(report.has_faults(), "nothing came of it, and nobody says why");
        return;
    };
    let Some(manner) = Manner::from(&Wishes::default(), &project, &mut report) else { return };
    let prepared = Prepared::new(project, manner);
    for edition in [EditionName::Materials, EditionName::Chart] {
        let wishes = Wishes { edition: Some(edition), ..Wishes::default() };
        let Some(variant) = Variant::from(&wishes, &prepared.project, &mut sources, &mut report) else { continue };
        press::lay_out(&prepared, &prepared.write(&variant), &FontBook::shipped(), &mut report);
    }
});
