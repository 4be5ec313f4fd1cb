//! What was typed. The only file that knows `clap`.

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::ffi::OsString;
use std::path::PathBuf;

use super::outcome::Outcome;

/// Composes print-ready pattern booklets for knotted wall panels.
#[derive(Debug, Parser)]
#[command(
    name = "hitchpress",
    version,
    after_help = "PROJECT is a folder with a project.toml, or the file itself.\n\
                  Exit codes: 0 done, 1 the input has faults, 2 wrong use, 3 the machine failed."
)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The subcommands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Write a commented starter project that composes at once.
    New(New),
    /// Say every fault and every piece of advice, with line and column.
    Check(Check),
}

/// `hitchpress new`.
#[derive(Debug, Args)]
#[command(after_help = "Example: hitchpress new little-boat")]
pub struct New {
    /// The folder to write into; made if it is not there. Nothing in it is ever overwritten.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
}

/// `hitchpress check`.
#[derive(Debug, Args)]
#[command(after_help = "Example: hitchpress check little-boat")]
pub struct Check {
    /// The project.
    #[arg(value_name = "PROJECT")]
    pub project: PathBuf,
    /// For reading, or for a machine: JSON on standard output.
    #[arg(long, value_enum, default_value_t = CheckFormat::Text)]
    pub format: CheckFormat,
}

/// How `check` says what it found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CheckFormat {
    /// Excerpts on standard error.
    Text,
    /// One JSON object on standard output.
    Json,
}

/// Reads the command line. After `--help`, `--version` or wrong use, what there was to say is said, and the outcome stands
/// in the error.
pub fn read(typed: impl IntoIterator<Item = OsString>) -> Result<Arguments, Outcome> {
    Arguments::try_parse_from(typed).map_err(|error| {
        let outcome = if error.use_stderr() { Outcome::WrongUse } else { Outcome::Done };
        // A closed pipe is the only way this fails, and then nobody is listening.
        let _said = error.print();
        outcome
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_put_together_rightly() {
        Arguments::command().debug_assert();
    }
}
