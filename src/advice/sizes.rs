//! Advice about the sizes of one design: each by itself, and against the others.

use super::advise;
use crate::diag::{Diagnostic, Report};
use crate::project::Project;
use crate::workings::{feasible, work_out};

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
