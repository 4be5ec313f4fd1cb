//! The same work on many things at once, on all the cores there are: the only door to `rayon`.
//!
//! Results come in the order of the things, so that nothing on paper depends on the machine.

use rayon::prelude::*;

/// Does `work` with every one of `things`; the results are in their order.
pub fn each<T: Send, R: Send>(things: Vec<T>, work: impl Fn(T) -> R + Send + Sync) -> Vec<R> {
    things.into_par_iter().map(work).collect()
}

/// As [`each`], for work that can fail.
///
/// # Errors
/// One of the errors of `work`; the rest is then given up.
pub fn try_each<T: Send, R: Send, E: Send>(
    things: Vec<T>,
    work: impl Fn(T) -> Result<R, E> + Send + Sync,
) -> Result<Vec<R>, E> {
    things.into_par_iter().map(work).collect()
}
