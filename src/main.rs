//! Arguments in, exit code out.

use std::process::ExitCode;

fn main() -> ExitCode {
    hitchpress::cli::run(std::env::args_os()).into()
}
