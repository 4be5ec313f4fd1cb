//! What is being made for her at this moment. Each job is a run or two of this program beside the board; one that she stops is
//! ended at once, and what it has not finished is cleared away.

use std::collections::BTreeMap;
use std::process::Child;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// A job, with the run that works on it.
#[derive(Debug, Default)]
pub(crate) struct Job(Mutex<State>);

#[derive(Debug, Default)]
struct State {
    is_stopped: bool,
    run: Option<Child>,
}

impl Job {
    fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Hands a run to the job. Where the job was stopped meanwhile, the run ends before it has begun.
    pub(crate) fn begun(&self, mut run: Child) {
        let mut state = self.state();
        if state.is_stopped {
            let _ended = run.kill();
        }
        state.run = Some(run);
    }

    /// Waits until its run has ended: whether it did all it was to do.
    ///
    /// # Errors
    /// The system does not tell.
    pub(crate) fn ended(&self) -> std::io::Result<bool> {
        // A run that is waited for has closed its mouth already, and ends by itself.
        let run = self.state().run.take();
        run.map_or(Ok(false), |mut run| run.wait().map(|status| status.success()))
    }

    pub(super) fn is_stopped(&self) -> bool {
        self.state().is_stopped
    }

    fn stop(&self) {
        let mut state = self.state();
        state.is_stopped = true;
        if let Some(run) = &mut state.run {
            // One that has ended meanwhile has done its work.
            let _ended = run.kill();
        }
    }
}

/// All of them, by the words of the pages that asked for them.
#[derive(Debug, Default)]
pub(super) struct Jobs(Mutex<BTreeMap<String, Arc<Job>>>);

impl Jobs {
    fn all(&self) -> MutexGuard<'_, BTreeMap<String, Arc<Job>>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Does the work of a job, which can be stopped as long as it lasts.
    pub(super) fn during<T>(&self, word: &str, work: impl FnOnce(&Job) -> T) -> T {
        let job = Arc::new(Job::default());
        self.all().insert(word.to_owned(), Arc::clone(&job));
        let done = work(&job);
        self.all().remove(word);
        done
    }

    /// Stops a job; false where it has ended already.
    pub(super) fn stop(&self, word: &str) -> bool {
        let job = self.all().get(word).cloned();
        job.inspect(|job| job.stop()).is_some()
    }
}
