//! fonts/fonts.toml as it is written: role to file.

use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FontsFile {
    /// Role name to a path inside fonts/.
    pub(crate) roles: BTreeMap<String, String>,
}

pub(super) fn read(text: &str) -> Option<FontsFile> {
    toml::from_str(text).ok()
}
