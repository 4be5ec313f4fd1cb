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

use crate::diag::{Diagnostic, Phrase, Report, Value};
use crate::project::Project;
use crate::workings::{Workings, feasible, work_out};

/// Every id [`advise`], [`small_cells`] and [`coarse_photograph`] can give, in the order they are given.
pub const IDS: [&str; 31] = [
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
    "backing-in-parts",
    "backing-shows",
    "last-ball",
    "small-cells",
    "coarse-photograph",
];

/// Everything worth knowing, without what is acknowledged.
pub fn advise(project: &Project, workings: &Workings) -> Report {
    let mut report = Report::new();
    if project.about.picture_words.is_none() {
        report.push(
            Diagnostic::advice(Phrase::new(
                "picture-without-words",
                "nothing says what the picture on the panel shows",
            ))
            .advise(Phrase::new(
                "picture-without-words-hint",
                "add `picture-words = \"...\"`, a sentence: it is read aloud to those who cannot see the picture",
            )),
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
pub(crate) fn advise_sizes(project: &Project, first: &Report, report: &mut Report) {
    for (at, size) in project.sizes.iter().enumerate() {
        let Some(own) = &size.project else { continue };
        let mut found = feasible(own);
        if !found.has_faults() {
            found.extend(advise(own, &work_out(own)));
        }
        for diagnostic in found.iter().filter(|d| !first.iter().any(|known| known.message == d.message)).cloned() {
            report.push(diagnostic.put_into(in_size(&size.name)).at(size.place));
        }
        let chart = |of: &Option<Box<Project>>| of.as_ref().map_or(&project.chart, |own| &own.chart).clone();
        if let Some(before) = project.sizes[..at].iter().find(|before| chart(&before.project) == own.chart) {
            let message = Phrase::new("sizes-alike", "the sizes `{one}` and `{two}` have the same chart");
            report.push(
                Diagnostic::advice(message.with("one", &before.name).with("two", &size.name))
                    .at(size.place)
                    .advise(Phrase::new("sizes-alike-hint", "name another file as `chart` of one of them")),
            );
        }
    }
}

/// What is said of one size.
fn in_size(name: &str) -> impl FnOnce(Value) -> Phrase {
    move |what| Phrase::new("in-size", "in the size `{name}` {what}").with("name", name).with("what", what)
}

/// Whether the maker has answered this advice in the project file.
pub(crate) fn is_acknowledged(project: &Project, advice: &Diagnostic) -> bool {
    project.acknowledged.iter().any(|a| a.id == advice.id)
}

/// Cells on paper smaller than this are hard to read at arm's length, millimetres: 20 minutes of arc for the symbol in
/// them at 600 mm (NUREG-0700), rounded up.
pub(crate) const READABLE_CELL_MM: f64 = 3.7;

/// Advice on a chart whose cells come out small on the chosen paper: the one piece that only a page planner can ask for.
pub fn small_cells(cell_mm: f64, paper: &str) -> Option<Diagnostic> {
    (cell_mm < READABLE_CELL_MM).then(|| {
        let message = Phrase::new("small-cells", "on `{paper}` a cell of the chart is only `{cell}` mm wide");
        Diagnostic::advice(message.with("paper", paper).with("cell", Value::decimals(cell_mm, 1)))
            .advise(Phrase::new("small-cells-hint", "choose a larger paper, or the large-print edition"))
    })
}

/// A photograph with fewer pixels an inch looks soft in print (common practice, no source).
pub(crate) const MIN_PPI: f64 = 200.0;

/// Advice on a photograph that is printed with `ppi` pixels an inch.
pub fn coarse_photograph(ppi: f64, paper: &str) -> Option<Diagnostic> {
    (ppi < MIN_PPI).then(|| {
        let message = Phrase::new(
            "coarse-photograph",
            "on `{paper}` the photograph has `{ppi}` pixels an inch; under `{least}` it looks soft",
        );
        let [ppi, least] = [ppi, MIN_PPI].map(|value| Value::decimals(value, 0));
        Diagnostic::advice(message.with("paper", paper).with("ppi", ppi).with("least", least)).advise(Phrase::new(
            "coarse-photograph-hint",
            "use the picture as the camera saved it, not one that was sent or shrunk",
        ))
    })
}
