//! From the path that was typed to a clean project, with everything there is to say about it.

use crate::diag::Report;
use crate::project::{self, Project};
use crate::source::Sources;
use std::path::Path;

/// A project with what was read and said on the way.
pub struct Loaded {
    /// The project; `None` when the report has faults.
    pub project: Option<Project>,
    /// What diagnostics quote from.
    pub sources: Sources,
    /// Faults and advice, without the advice the maker has answered.
    pub report: Report,
}

/// Reads a project and gathers faults and advice.
pub fn load(path: &Path) -> Loaded {
    let mut sources = Sources::new();
    let mut report = Report::new();
    let project = project::load(path, &mut sources, &mut report);
    if let Some(project) = &project {
        project.quieten(&mut report);
    }
    Loaded { project, sources, report }
}
