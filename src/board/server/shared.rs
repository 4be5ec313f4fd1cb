//! What all requests share: the shelf, the guard at the door, the events, and who watches the folders.

use super::events::Events;
use crate::board::door::Once;
use crate::board::guard::Guard;
use crate::board::jobs::Jobs;
use crate::board::means::Means;
use crate::board::pages::Press;
use crate::board::shelf::Shelf;
use crate::board::trial::Trials;
use crate::board::watch::Watch;
use serde_json::json;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

/// Everything that requests share.
pub(in crate::board) struct Board {
    pub(super) shelf: Shelf,
    pub(super) guard: Guard,
    pub(super) once: Once,
    pub(super) means: Means,
    pub(super) events: Events,
    pub(super) watch: Mutex<Option<Watch>>,
    pub(super) press: Press,
    pub(super) trials: Trials,
    pub(super) jobs: Jobs,
}

impl Board {
    /// Tells pages what other programs change.
    pub(super) fn listen(self: &Arc<Board>) {
        let board = Arc::downgrade(self);
        let watch = Watch::new(move |folder| {
            if let Some(board) = board.upgrade() {
                board.heard(folder);
            }
        });
        *self.watch.lock().unwrap_or_else(PoisonError::into_inner) = Some(watch);
        self.watch_over(self.shelf.folder());
    }

    pub(super) fn watch_over(&self, folder: &Path) {
        if let Some(watch) = &mut *self.watch.lock().unwrap_or_else(PoisonError::into_inner) {
            watch.add(folder);
        }
    }

    fn heard(&self, folder: &Path) {
        let Some((name, _)) = self.shelf.names().into_iter().find(|(_, known)| known == folder) else { return };
        let Ok(panel) = self.shelf.panel(&name, &self.means) else { return };
        let mut panel = panel.lock().unwrap_or_else(PoisonError::into_inner);
        if panel.refresh(&self.means).unwrap_or(false) {
            self.events.tell(&json!({ "panel": name, "n": panel.n() }));
        }
    }
}
