//! `hitchpress new`: a commented starter project.

use super::args::New;
use super::outcome::Outcome;
use super::report;
use super::today::today;
use super::write::{self, NewFileError};
use crate::diag::Report;
use crate::project::schema::{self, STARTER};
use crate::source::Sources;

const CHART: &str = include_str!("starter/chart.txt");

/// Writes the starter project into a folder where nothing of its name lies yet.
pub fn run(new: &New) -> Outcome {
    let project = STARTER.replace("{date}", &today());
    let schema = schema::schema();
    let files =
        [("project.toml", project.as_bytes()), ("chart.txt", CHART.as_bytes()), (schema::FILE, schema.as_bytes())];
    match write::added(&new.folder, &files) {
        Ok(()) => {
            let shown = new.folder.display();
            report::say(&format!(
                "written: {} and {}\nnext: hitchpress check {shown}, then hitchpress compose {shown}",
                new.folder.join("project.toml").display(),
                new.folder.join("chart.txt").display(),
            ));
            Outcome::Done
        }
        Err(NewFileError::Taken(path)) => {
            report::say(&format!(
                "`{}` is there already, and nothing is overwritten; choose another folder",
                path.display()
            ));
            Outcome::WrongUse
        }
        Err(NewFileError::Failed(diagnostic)) => {
            let mut failure = Report::new();
            failure.push(diagnostic);
            report::show(&failure, &Sources::new());
            Outcome::MachineFailed
        }
    }
}
