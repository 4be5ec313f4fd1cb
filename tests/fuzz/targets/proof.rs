//! A PDF from anywhere, held against the small panel.

#![no_main]

#[path = "small.rs"]
mod small;

use hitchpress::catalogue::{EditionName, PaperName};
use hitchpress::diag::Report;
use hitchpress::press::{Prepared, Settled, Wishes};
use hitchpress::proof::{Expectations, prove};
use hitchpress::source::Sources;
use libfuzzer_sys::fuzz_target;
use std::sync::OnceLock;

fuzz_target!(|bytes: &[u8]| {
    // What the panel says is the same for every file; it lives as long as the program.
    static EXPECTED: OnceLock<Expectations<'static>> = OnceLock::new();
    let expected = EXPECTED.get_or_init(|| {
        let wishes =
            Wishes { edition: Some(EditionName::Chart), paper: Some(PaperName::A5), ..Wishes::default() };
        let project = small::panel(small::chart());
        let settled = Settled::from(&wishes, &project, &mut Sources::new(), &mut Report::new());
        let Settled { manner, variant } = settled.expect("the panel has no faults");
        let prepared: &'static Prepared = Box::leak(Box::new(Prepared::new(project, manner)));
        prepared.expected(&prepared.write(&variant))
    });
    prove(bytes, expected).diagnostics();
});
