//! What a careful maker would want to know before selling this: advice, never a fault.
//!
//! In come the project and its workings; out comes a report in which every piece of advice names the place and what to do.
//! What the maker has acknowledged in the project file stays quiet. Rows and columns are named from 1, as on paper.

mod colours;
mod colourways;
mod knotting;
mod making_up;
mod phrases;
mod round_shapes;

use crate::diag::{Diagnostic, Report};
use crate::project::Project;
use crate::workings::{Workings, feasible, work_out};

/// Every id [`advise`], [`small_cells`] and [`coarse_photograph`] can give, in the order they are given.
pub const IDS: [&str; 29] = [
    "picture-without-words",
    "no-swatch",
    "gauge-implausible",
    "carry-near-limit",
    "lone-knot",
    "slit",
    "many-waiting",
    "other-method",
    "loose-knots",
    "drawn-on-squares",
    "yarns-alike",
    "yarns-near",
    "yarns-alike-in-grey",
    "symbol-against-tone",
    "colourway-turns",
    "colourways-alike",
    "sizes-alike",
    "odd-columns",
    "short-wood",
    "thin-wood",
    "edge-not-measured",
    "edge-past-panel",
    "straight-edge-measured",
    "shallow-header",
    "melting-yarn",
    "small-fleece",
    "last-ball",
    "small-cells",
    "coarse-photograph",
];

/// Everything worth knowing, without what is acknowledged.
pub fn advise(project: &Project, workings: &Workings) -> Report {
    let mut report = Report::new();
    if project.about.picture_words.is_none() {
        report.push(
            Diagnostic::advice("picture-without-words", "nothing says what the picture on the panel shows").hint(
                "add `picture-words = \"...\"`, a sentence: it is read aloud to those who cannot see the picture",
            ),
        );
    }
    knotting::advise(project, workings, &mut report);
    round_shapes::advise(project, workings, &mut report);
    colours::advise(project, workings, &mut report);
    colourways::advise(project, workings, &mut report);
    making_up::advise(project, workings, &mut report);
    report.retain(|d| !is_acknowledged(project, d));
    report
}

/// What is wrong with the other sizes, and what is worth knowing of them beyond what `first` says already.
pub fn advise_sizes(project: &Project, first: &Report, report: &mut Report) {
    for (at, size) in project.sizes.iter().enumerate() {
        let Some(own) = &size.project else { continue };
        let mut found = feasible(own);
        if !found.has_faults() {
            found.extend(advise(own, &work_out(own)));
        }
        for mut diagnostic in found.iter().filter(|d| !first.iter().any(|known| known.message == d.message)).cloned() {
            diagnostic.message = format!("in the size `{}` {}", size.name, diagnostic.message);
            report.push(diagnostic.at(size.place));
        }
        let chart = |of: &Option<Box<Project>>| of.as_ref().map_or(&project.chart, |own| &own.chart).clone();
        if let Some(before) = project.sizes[..at].iter().find(|before| chart(&before.project) == own.chart) {
            let message = format!("the sizes `{}` and `{}` have the same chart", before.name, size.name);
            report.push(
                Diagnostic::advice("sizes-alike", message)
                    .at(size.place)
                    .hint("name another file as `chart` of one of them"),
            );
        }
    }
}

/// Whether the maker has answered this advice in the project file.
pub fn is_acknowledged(project: &Project, advice: &Diagnostic) -> bool {
    project.acknowledged.iter().any(|a| a.id == advice.id)
}

/// Cells on paper smaller than this are hard to read at arm's length, millimetres: 20 minutes of arc for the symbol in
/// them at 600 mm (NUREG-0700), rounded up.
pub const READABLE_CELL_MM: f64 = 3.7;

/// Advice on a chart whose cells come out small on the chosen paper: the one piece that only a page planner can ask for.
pub fn small_cells(cell_mm: f64, paper: &str) -> Option<Diagnostic> {
    (cell_mm < READABLE_CELL_MM).then(|| {
        Diagnostic::advice("small-cells", format!("on `{paper}` a cell of the chart is only `{cell_mm:.1}` mm wide"))
            .hint("choose a larger paper, or the large-print edition")
    })
}

/// A photograph with fewer pixels an inch looks soft in print (common practice, no source).
pub const MIN_PPI: f64 = 200.0;

/// Advice on a photograph that is printed with `ppi` pixels an inch.
pub fn coarse_photograph(ppi: f64, paper: &str) -> Option<Diagnostic> {
    (ppi < MIN_PPI).then(|| {
        Diagnostic::advice(
            "coarse-photograph",
            format!("on `{paper}` the photograph has `{ppi:.0}` pixels an inch; under `{MIN_PPI:.0}` it looks soft"),
        )
        .hint("use the picture as the camera saved it, not one that was sent or shrunk")
    })
}
