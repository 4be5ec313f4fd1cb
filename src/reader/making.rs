//! What a file says of itself that no page shows: who wrote it and how it was made, and the colour profile of its inks.

use super::document::{PdfFile, text};
use lopdf::{Dictionary, Object};
use std::collections::BTreeMap;

/// What this program calls itself in a file.
const OURS: &str = "Hitchpress";
/// Entries that are read.
const MAX_ENTRIES: usize = 100;

/// What a file says of itself.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Making {
    /// Whether this program wrote it.
    pub(crate) ours: bool,
    /// What it says of how it was made, by name: the version of the program, and what was chosen. Empty where it does not.
    pub(crate) said: BTreeMap<String, String>,
    /// The profile of the inks it is made for, where it says so.
    pub(crate) profile: Option<Vec<u8>>,
}

/// Reads what a file says of itself. `None`: it cannot be read.
pub(crate) fn making(bytes: &[u8]) -> Option<Making> {
    of(&PdfFile::new(bytes).ok()?)
}

/// The same of a file that is open already.
pub(super) fn of(file: &PdfFile) -> Option<Making> {
    let information = file.entry(&file.document.trailer, b"Info").and_then(|info| info.as_dict().ok());
    let producer = information.and_then(|info| file.entry(info, b"Producer")).and_then(text);
    let catalogue = file.document.catalog().ok()?.clone();
    let said = private(file, &catalogue).map(|private| {
        let entries = private.iter().take(MAX_ENTRIES);
        entries
            .filter_map(|(key, value)| Some((String::from_utf8(key.clone()).ok()?, text(file.follow(value)?)?)))
            .collect()
    });
    let intents = file.entry(&catalogue, b"OutputIntents").and_then(|list| list.as_array().ok());
    let first = intents.and_then(|list| file.follow(list.first()?)).and_then(|intent| intent.as_dict().ok());
    let profile = first.and_then(|intent| file.entry(intent, b"DestOutputProfile"));
    let profile = profile.and_then(|profile| profile.as_stream().ok()).cloned();
    let profile = profile.and_then(|profile| file.unpack(&profile).ok());
    Some(Making { ours: producer.as_deref() == Some(OURS), said: said.unwrap_or_default(), profile })
}

/// This program's own part of the page-piece dictionary (ISO 32000-1, 14.5).
fn private(file: &PdfFile, catalogue: &Dictionary) -> Option<Dictionary> {
    let pieces = file.dictionary(catalogue, b"PieceInfo")?;
    let own = file.dictionary(pieces, OURS.as_bytes())?;
    file.entry(own, b"Private").map(Object::as_dict)?.ok().cloned()
}
