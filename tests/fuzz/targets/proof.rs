//! A PDF from anywhere, held against the small panel.

#![no_main]

#[path = "small.rs"]
mod small;

use hitchpress::diag::Report;
use hitchpress::press::{self, Order};
use hitchpress::proof::{Expected, prove};
use hitchpress::source::Sources;
use libfuzzer_sys::fuzz_target;
use std::sync::OnceLock;

fuzz_target!(|bytes: &[u8]| {
    // What the panel says is the same for every file; it lives as long as the program.
    static EXPECTED: OnceLock<Expected<'static>> = OnceLock::new();
    let expected = EXPECTED.get_or_init(|| {
        let order = Order { edition: "chart".to_owned(), paper: Some("a5".to_owned()), ..Order::default() };
        let project = Box::leak(Box::new(small::panel(small::chart())));
        let copy = press::write_up(project, &order, &mut Sources::new(), &mut Report::new());
        press::expected(project, Box::leak(Box::new(copy.expect("the panel has no faults"))))
    });
    prove(bytes, expected).diagnostics();
});
