//! A picture: as a chart, as a photograph for the cover, and as what a chart is made from.

#![no_main]

use hitchpress::chart::{Colour, grid_picture};
use hitchpress::diag::Report;
use hitchpress::picture;
use hitchpress::source::Sources;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let id = sources.add("chart.png".into(), bytes.to_vec());
    let yarns = [Some(('A', Colour::new(0, 0, 0))), Some(('B', Colour::new(255, 255, 255)))];
    let chart = grid_picture::read(&sources, id, &yarns, &mut report);
    assert!(chart.is_some() || report.has_faults(), "nothing came of it, and nobody says why");
    if let Ok((width, height)) = picture::photograph_size(bytes)
        && u64::from(width) * u64::from(height) < 1_000_000
    {
        let _read = (picture::photograph(bytes), picture::seen(bytes));
    }
});
