//! What follows from a panel's files, each stage kept by what it depends on: the project from the files, the workings from
//! what the reckoning looks at (a new title reckons nothing anew), advice from both.

use crate::advice;
use crate::diag::{Diagnostic, Report};
use crate::project::{self, Project};
use crate::source::Sources;
use crate::workings::{self, Workings};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// One state of a panel, reckoned.
#[derive(Debug)]
pub(crate) struct Reckoned {
    /// The number of the state.
    pub(crate) n: u64,
    /// The project and its workings; `None` where there are faults.
    pub(crate) work: Option<(Arc<Project>, Arc<Workings>)>,
    /// Faults and advice, the answered ones left out.
    pub(crate) report: Report,
    /// Each diagnostic's file, line and column from 1, where it has a place.
    pub(crate) places: Vec<Option<(PathBuf, usize, usize)>>,
}

impl Reckoned {
    pub(super) fn of(folder: &Path, n: u64, before: Option<&Reckoned>) -> Reckoned {
        let mut sources = Sources::new();
        let mut report = Report::new();
        let before = before.and_then(|before| before.work.as_ref());
        let work = project::load(folder, &mut sources, &mut report).and_then(|project| {
            project.quieten(&mut report);
            let kept = before.filter(|(old, _)| works_alike(old, &project)).map(|(_, workings)| Arc::clone(workings));
            let workings = match kept {
                Some(workings) => workings,
                None => {
                    let infeasible = workings::feasible(&project);
                    if infeasible.has_faults() {
                        report.extend(infeasible);
                        return None;
                    }
                    Arc::new(workings::work_out(&project))
                }
            };
            report.extend(advice::advise(&project, &workings));
            Some((Arc::new(project), workings))
        });
        let place = |diagnostic: &Diagnostic| {
            let span = diagnostic.span?;
            let (line, column) = sources.line_column(span)?;
            Some((sources.get(span.source).path().to_path_buf(), line, column))
        };
        let places = report.iter().map(place).collect();
        Reckoned { n, work, report, places }
    }
}

/// Whether the reckoning of one project is that of the other: what only the paper shows may differ.
fn works_alike(old: &Project, new: &Project) -> bool {
    let plain = |project: &Project| Project {
        about: old.about.clone(),
        licence: old.licence.clone(),
        print: old.print.clone(),
        shop: old.shop.clone(),
        own_words: Vec::new(),
        acknowledged: Vec::new(),
        translations: Vec::new(),
        colourways: Vec::new(),
        sizes: Vec::new(),
        folder_stem: String::new(),
        file_stem: String::new(),
        ..project.clone()
    };
    plain(old) == plain(new)
}
