//! A PDF from anywhere, to be folded, laid flat, or given to a shop.

#![no_main]

use hitchpress::geom::Length;
use hitchpress::pdf::impose::{ImposeOptions, Lay, PrintSides, impose};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    for lay in [Lay::Fold, Lay::Flat, Lay::Pages] {
        let imposing = ImposeOptions { lay, sides: PrintSides::Both, sheet: None, thickness: Length::mm(0.1) };
        let made = impose(bytes, imposing);
        assert!(made.is_ok() || made.is_err_and(|report| report.has_faults()), "nobody says why");
    }
});
