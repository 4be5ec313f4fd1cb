//! Hears when another program changes a file of the folder. The only door to `notify`. Whoever hears nothing, on a disk of
//! the network for instance, still sees every change before the next one is made.

use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How long a program may take to write a file in several goes.
const PATIENCE: Duration = Duration::from_millis(60);

/// Listens until it is dropped.
pub(super) struct Watch {
    watcher: Option<RecommendedWatcher>,
    watched: Vec<PathBuf>,
}

impl Watch {
    /// `heard` gets the folder in which something changed, on a thread of its own.
    pub(super) fn new(heard: impl Fn(&Path) + Send + 'static) -> Watch {
        let watcher = notify::recommended_watcher(move |event: notify::Result<Event>| {
            let Ok(event) = event else { return };
            if matches!(event.kind, EventKind::Access(_)) {
                return;
            }
            // Whoever writes is given time to finish.
            std::thread::sleep(PATIENCE);
            for path in &event.paths {
                if let Some(folder) = path.parent() {
                    heard(folder);
                }
            }
        });
        Watch { watcher: watcher.ok(), watched: Vec::new() }
    }

    /// Listens at one more folder, not at those inside it.
    pub(super) fn add(&mut self, folder: &Path) {
        if self.watched.iter().any(|known| known == folder) {
            return;
        }
        if let Some(watcher) = &mut self.watcher
            && watcher.watch(folder, RecursiveMode::NonRecursive).is_ok()
        {
            self.watched.push(folder.to_path_buf());
        }
    }
}
