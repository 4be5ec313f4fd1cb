//! `hitchpress new`: a commented starter project.

use super::args::New;
use super::outcome::Outcome;
use super::report;
use super::today::today;
use super::write::{self, NotFresh};
use crate::diag::Report;
use crate::project::schema::{self, STARTER};
use crate::source::Sources;

const CHART: &str = include_str!("starter/chart.txt");

/// Writes the starter project into a folder where nothing of its name lies yet.
pub fn run(new: &New) -> Outcome {
    let project = STARTER.replace("{date}", &today());
    if let Err(error) = std::fs::create_dir_all(&new.folder) {
        let mut failure = Report::new();
        failure.push(write::failed(&new.folder, &error));
        report::show(&failure, &Sources::new());
        return Outcome::MachineFailed;
    }
    let schema = schema::schema();
    let files = [
        (new.folder.join("project.toml"), project.as_bytes()),
        (new.folder.join("chart.txt"), CHART.as_bytes()),
        (new.folder.join(schema::FILE), schema.as_bytes()),
    ];
    match write::fresh(&files) {
        Ok(()) => {
            let shown = new.folder.display();
            report::say(&format!(
                "written: {} and {}\nnext: hitchpress check {shown}, then hitchpress compose {shown}",
                files[0].0.display(),
                files[1].0.display(),
            ));
            Outcome::Done
        }
        Err(NotFresh::Taken(path)) => {
            report::say(&format!(
                "`{}` is there already, and nothing is overwritten; choose another folder",
                path.display()
            ));
            Outcome::WrongUse
        }
        Err(NotFresh::Failed(diagnostic)) => {
            let mut failure = Report::new();
            failure.push(diagnostic);
            report::show(&failure, &Sources::new());
            Outcome::MachineFailed
        }
    }
}
