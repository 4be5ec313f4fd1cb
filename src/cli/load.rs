//! From the path that was typed to a clean project, with everything there is to say about it.

use crate::advice;
use crate::diag::{Diagnostic, Report};
use crate::form::nearest;
use crate::project::{self, Project};
use crate::source::Sources;
use crate::workings::{self, Workings};
use std::path::Path;

/// A project with its workings, and what was read and said on the way.
pub struct Loaded {
    /// The project and its workings; `None` when the report has faults.
    pub work: Option<(Project, Workings)>,
    /// What diagnostics quote from.
    pub sources: Sources,
    /// Faults and advice, without the advice the maker has answered.
    pub report: Report,
}

/// Reads a project, works it out, and gathers faults and advice.
pub fn load(path: &Path) -> Loaded {
    let mut sources = Sources::new();
    let mut report = Report::new();
    let work = project::load(path, &mut sources, &mut report).and_then(|project| {
        project.quieten(&mut report);
        let infeasible = workings::feasible(&project);
        if infeasible.has_faults() {
            report.extend(infeasible);
            return None;
        }
        idle_answers(&project, &mut report);
        let workings = workings::work_out(&project);
        report.extend(advice::advise(&project, &workings));
        Some((project, workings))
    });
    Loaded { work, sources, report }
}

/// An answer to advice that does not exist is misspelt, and the advice it was meant for would go on unanswered.
fn idle_answers(project: &Project, report: &mut Report) {
    let known = || advice::IDS.into_iter().chain(project::ADVICE);
    for answer in project.acknowledged.iter().filter(|answer| known().all(|id| id != answer.id)) {
        let idle = Diagnostic::advice("unknown-advice", format!("there is no advice `{}` to answer", answer.id))
            .at(answer.place);
        report.push(match nearest(&answer.id, known()) {
            Some(near) => idle.hint(format!("did you mean `{near}`?")),
            None => idle.hint("write what stands in square brackets after the word advice"),
        });
    }
}
