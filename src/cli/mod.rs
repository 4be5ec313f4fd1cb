//! The program: one file per subcommand. Messages go to standard error, data to standard output; only this room prints and
//! writes files.

mod amounts;
pub(crate) mod args;
mod board;
mod chart_from;
mod check;
mod compose;
mod copies;
mod impose;
mod listing;
mod load;
mod manifest;
mod manual;
mod new;
mod outcome;
mod pictures;
mod print;
mod proof;
pub mod report;
mod shop;
mod today;
pub(crate) mod write;

pub(crate) use outcome::Outcome;

use crate::cores;
use crate::diag::Report;
use crate::source::Sources;
use args::Command;
use std::ffi::OsString;

/// How many threads are asked for besides the command line.
fn threads() -> Option<usize> {
    std::env::var("RAYON_NUM_THREADS").ok()?.trim().parse().ok()
}

/// Does what the command line says.
pub fn run(typed: impl IntoIterator<Item = OsString>) -> Outcome {
    let failed = Outcome::MachineFailed;
    // First of all, for memory may be refused from the first word on.
    if let Err(failure) = write::listen(failed.code()).map_err(cores::refused).and_then(|()| cores::start(threads())) {
        let mut report = Report::new();
        report.push(failure);
        report::show(&report, &Sources::new());
        return failed;
    }
    let arguments = match args::read(typed) {
        Ok(arguments) => arguments,
        Err(outcome) => return outcome,
    };
    match arguments.command {
        Command::Board(board) => board::run(&board),
        Command::New(new) => new::run(&new),
        Command::Check(check) => check::run(&check),
        Command::Compose(compose) => compose::run(&compose),
        Command::Proof(proof) => proof::run(&proof),
        Command::Amounts(amounts) => amounts::run(&amounts),
        Command::Impose(impose) => impose::run(&impose),
        Command::Copies(copies) => copies::run(&copies),
        Command::Shop(shop) => shop::run(&shop),
        Command::Listing(wanted) => listing::run(&wanted),
        Command::Pictures(pictures) => pictures::run(&pictures),
        Command::ChartFrom(wanted) => chart_from::run(&wanted),
        Command::Completions(wanted) => manual::completions(&wanted),
        Command::Manual(wanted) => manual::run(&wanted),
    }
}
