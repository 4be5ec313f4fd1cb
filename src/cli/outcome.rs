//! How a command ended: exit codes as a type.

use crate::diag::Report;
use std::process::ExitCode;

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Everything asked for is done.
    Done,
    /// The input has faults, or a proof failed.
    Faults,
    /// The command line asks for something that does not go.
    WrongUse,
    /// The machine failed: disk full, no permission.
    MachineFailed,
}

impl Outcome {
    /// What a report amounts to: advice alone is no reason to stop.
    pub(crate) fn of(report: &Report) -> Outcome {
        if report.machine_failed() {
            Outcome::MachineFailed
        } else if report.is_wrong_use() {
            Outcome::WrongUse
        } else if report.has_faults() {
            Outcome::Faults
        } else {
            Outcome::Done
        }
    }

    /// The code the shell sees.
    pub(crate) fn code(self) -> u8 {
        match self {
            Outcome::Done => 0,
            Outcome::Faults => 1,
            Outcome::WrongUse => 2,
            Outcome::MachineFailed => 3,
        }
    }
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> ExitCode {
        ExitCode::from(outcome.code())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Diagnostic, Phrase};

    #[test]
    fn advice_alone_ends_well_and_a_failing_machine_outweighs_faults() {
        let mut report = Report::new();
        report.push(Diagnostic::advice(Phrase::new("unused-yarn", "x")));
        assert_eq!(Outcome::of(&report), Outcome::Done);
        report.push(Diagnostic::fault("ragged-row", "x"));
        assert_eq!(Outcome::of(&report), Outcome::Faults);
        report.push(Diagnostic::fault("unknown-language", "x").typed());
        assert_eq!(Outcome::of(&report), Outcome::WrongUse);
        report.push(Diagnostic::failure("unreadable-file", "x"));
        assert_eq!(Outcome::of(&report), Outcome::MachineFailed);
    }
}
