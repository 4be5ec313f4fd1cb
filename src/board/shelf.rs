//! The panels of a folder: the folder itself and its subfolders, one level deep, wherever a project file lies. Links to
//! elsewhere are passed over. A panel is known by its folder's name, looked up here and never joined to a path.

use super::means::{Means, inside};
use super::panel::Panel;
use crate::diag::Diagnostic;
use crate::source;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// Panels that one shelf shows; a folder with more is no shelf of one maker.
const MOST: usize = 500;

/// The name of the panel that lies in the folder itself.
pub(super) const HERE: &str = ".";

/// All panels that were opened.
#[derive(Debug)]
pub(super) struct Shelf {
    folder: PathBuf,
    open: Mutex<BTreeMap<String, Arc<Mutex<Panel>>>>,
}

impl Shelf {
    pub(super) fn new(folder: PathBuf) -> Shelf {
        Shelf { folder, open: Mutex::default() }
    }

    /// The folder, as it really is.
    pub(super) fn folder(&self) -> &Path {
        &self.folder
    }

    /// Names of the panels that are there now, with their folders.
    pub(super) fn names(&self) -> Vec<(String, PathBuf)> {
        let is_panel = |folder: &Path| inside(folder, "project.toml").is_ok();
        let mut names = Vec::new();
        if is_panel(&self.folder) {
            names.push((HERE.to_owned(), self.folder.clone()));
        }
        for folder in source::folders(&self.folder) {
            let Some(name) = folder.file_name().and_then(|name| name.to_str()).map(str::to_owned) else { continue };
            if !name.starts_with('.') && is_panel(&folder) {
                names.push((name, folder));
            }
        }
        names.truncate(MOST);
        names
    }

    /// A panel by its name.
    pub(super) fn panel(&self, name: &str, means: &Means) -> Result<Arc<Mutex<Panel>>, Diagnostic> {
        let unknown = || Diagnostic::fault("no-such-panel", format!("there is no panel `{name}` in this folder"));
        let folder = self.names().into_iter().find(|(known, _)| known == name).map(|(_, folder)| folder);
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(folder) = folder else {
            open.remove(name);
            return Err(unknown());
        };
        if let Some(panel) = open.get(name) {
            return Ok(Arc::clone(panel));
        }
        let panel = Arc::new(Mutex::new(Panel::open(&folder, means)?));
        open.insert(name.to_owned(), Arc::clone(&panel));
        Ok(panel)
    }
}
