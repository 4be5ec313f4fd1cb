//! A chart as text: read and, where it is not too large for many trials, reckoned.

#![no_main]

#[path = "small.rs"]
#[expect(dead_code, reason = "the panel of this target has charts of its own")]
mod small;

use hitchpress::chart::grid_text;
use hitchpress::diag::{Report, SourceId};
use hitchpress::{advice, workings};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let mut report = Report::new();
    let Some(chart) = grid_text::read(text, SourceId(0), &[Some('A'), Some('B')], &mut report) else {
        assert!(report.has_faults(), "nothing came of it, and nobody says why");
        return;
    };
    if chart.columns() * chart.rows() < 10_000 {
        let project = small::panel(chart);
        advice::advise(&project, &workings::work_out(&project));
    }
});
