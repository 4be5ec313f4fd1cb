//! Arguments in, exit code out.

use std::process::ExitCode;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    hitchpress::cli::run(std::env::args_os()).into()
}
