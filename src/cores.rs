//! The same work on many things at once, on all the cores there are: the only door to `rayon`.
//!
//! Results come in the order of the things, so that nothing on paper depends on the machine.

use crate::diag::Diagnostic;
use rayon::prelude::*;
use std::sync::OnceLock;

/// Starts the workers, as many as there are cores or as `RAYON_NUM_THREADS` says, which is `wanted`. Without it they start by
/// themselves where they are first needed, and a machine that has none for us ends the program in the middle of its work.
///
/// # Errors
/// The machine has no thread for one of them.
pub(crate) fn start(wanted: Option<usize>) -> Result<(), Diagnostic> {
    static STARTED: OnceLock<Result<(), Diagnostic>> = OnceLock::new();
    let start = || match wanted {
        Some(threads) if threads > MAX_THREADS => Err(refused(format_args!("{threads} are asked for"))),
        _ => rayon::ThreadPoolBuilder::new().build_global().map_err(refused),
    };
    STARTED.get_or_init(start).clone()
}

/// More workers than any machine that makes booklets has cores. Where each asks for its stack and its first memory, a machine
/// may refuse the one or the other, and only a refused thread can be told: so nobody is let ask for so many.
const MAX_THREADS: usize = 512;

/// That the machine has no thread for us.
pub(crate) fn refused(error: impl std::fmt::Display) -> Diagnostic {
    Diagnostic::failure("no-thread", format!("the machine gives this program no thread to work with: {error}"))
        .hint("end other programs, or give RAYON_NUM_THREADS a smaller number, or leave it out")
}

/// Does `work`, which can fail, with every one of `things`; the results are in their order.
///
/// # Errors
/// One of the errors of `work`; the rest is then given up.
pub(crate) fn try_each<T: Send, R: Send, E: Send>(
    things: Vec<T>,
    work: impl Fn(T) -> Result<R, E> + Send + Sync,
) -> Result<Vec<R>, E> {
    things.into_par_iter().map(work).collect()
}

/// Bytes of stack for each worker of [`in_turns`]: as much as a program's own thread usually has.
const STACK: usize = 8 << 20;

/// Does `work` with every one of `things`, which are drawn one by one as workers come free: no more of them are there at a
/// time than there are cores, and one. What the work leaves behind is in no order.
pub(crate) fn in_turns<T: Send>(things: impl Iterator<Item = T> + Send, work: impl Fn(T) + Send + Sync) {
    match rayon::ThreadPoolBuilder::new().stack_size(STACK).build() {
        Ok(pool) => pool.install(|| things.par_bridge().for_each(work)),
        // A machine that starts no workers still does the work.
        Err(_) => things.for_each(work),
    }
}
