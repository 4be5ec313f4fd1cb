//! A PDF from anywhere, held against the small panel.

#![no_main]

#[path = "small.rs"]
#[allow(dead_code)]
mod small;

use hitchpress::diag::Report;
use hitchpress::press::{self, Order};
use hitchpress::source::Sources;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let order = Order { edition: "chart".to_owned(), paper: Some("a5".to_owned()), ..Order::default() };
    let project = small::panel(small::chart());
    let found = press::proof(&project, &order, bytes, &mut Sources::new(), &mut Report::new());
    found.expect("the panel has no faults").diagnostics();
});
