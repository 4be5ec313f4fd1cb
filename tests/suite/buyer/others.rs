//! Panels beside the samples: one with a stepped lower edge, one of an odd number of columns, and a small one.

use super::{BoughtBooklet, Nature, SAMPLES, bought};
use crate::support::{Room, copy, repository};
use std::fmt::Write;
use std::sync::LazyLock;

/// Cord of 3 mm and yarn of 10 wraps per inch, by the model (own computation): no swatch.
const BY_THE_MODEL: Nature = Nature { column: 5.598, row: 3.353, knot: 35.983 };

static OTHERS: LazyLock<Vec<BoughtBooklet>> = LazyLock::new(|| {
    // Each group of columns ends at a row of its own, so that cords of three lengths are cut.
    let ends = [[20; 8], [44; 8], [60; 8], [44; 8], [20; 8]].concat();
    let follows = "edge = \"following\"\n";
    let wood =
        "on = \"branch\"\nmounting = \"strand\"\ndiameter = \"20 mm\"\nfixing = \"staples\"\ndeepest = \"15 mm\"";
    vec![
        changed("stepped", &ends, &[("length = \"60 mm\"\n", &format!("length = \"60 mm\"\n{follows}")), BACKED]),
        changed(
            "odd",
            &[50; 37],
            &[("on = \"dowel\"\nmounting = \"wood\"\ndiameter = \"10 mm\"\nfixing = \"tied\"", wood), BACKED],
        ),
        bought("postcard-boat", &repository("tests/data/postcard-boat"), BY_THE_MODEL),
    ]
});

const BACKED: (&str, &str) = ("backing = \"none\"\nedge-ribbon = false", "backing = \"sewn\"\nedge-ribbon = true");

/// The samples, and then the others.
pub(super) fn all() -> impl Iterator<Item = &'static BoughtBooklet> {
    SAMPLES.iter().chain(OTHERS.iter())
}

/// The small panel with another chart, whose columns end where they are told, and with other words in its project.
fn changed(name: &'static str, ends: &[usize], words: &[(&str, &str)]) -> BoughtBooklet {
    let room = Room::new();
    let folder = room.path().join(name);
    copy(&repository("tests/data/postcard-boat"), &folder);
    let mut text = std::fs::read_to_string(folder.join("project.toml")).expect("a project");
    for (from, to) in words {
        assert!(text.contains(from), "{name}: {from}");
        text = text.replace(from, to);
    }
    std::fs::write(folder.join("project.toml"), text).expect("a project");
    let mut chart = String::new();
    for row in 0..ends.iter().copied().max().expect("columns") {
        let cell = |(column, end): (usize, &usize)| match (row < *end, (column / 5 + row / 7) % 4) {
            (false, _) => '.',
            (true, 0) => 's',
            (true, 1) => 'w',
            (true, 2) => 'm',
            (true, _) => 'h',
        };
        writeln!(chart, "{}", ends.iter().enumerate().map(cell).collect::<String>()).expect("a line");
    }
    std::fs::write(folder.join("chart.txt"), chart).expect("a chart");
    bought(name, &folder, BY_THE_MODEL)
}
