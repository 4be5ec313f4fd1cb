//! A project opened from the path that was typed, with what was read and said on the way.

use crate::diag::Report;
use crate::press::{self, Prepared, Variant, Wishes};
use crate::source::Sources;
use std::path::Path;

/// A project that was opened.
pub(crate) struct LoadedProject<T> {
    /// The project, reckoned, and what else was settled; `None` when the report has faults.
    pub(crate) work: Option<T>,
    /// What diagnostics quote from.
    pub(crate) sources: Sources,
    /// Faults and advice, without the advice the maker has answered.
    pub(crate) report: Report,
}

/// Opens a project, of which no file is made.
pub(crate) fn load(path: &Path, wishes: &Wishes) -> LoadedProject<Prepared> {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let work = press::open(path, wishes, &mut sources, &mut report, |_, _, _| Some(()));
    LoadedProject { work: work.map(|(prepared, ())| prepared), sources, report }
}

/// Opens a project to make one file of it.
pub(crate) fn load_variant(path: &Path, wishes: &Wishes) -> LoadedProject<(Prepared, Variant)> {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let work = press::open_variant(path, wishes, &mut sources, &mut report);
    LoadedProject { work, sources, report }
}
