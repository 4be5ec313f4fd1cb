//! What a shop folder is made of.

use crate::cli::manifest;

/// A file that lies in the new folder.
#[derive(Clone, Debug, Default)]
pub(crate) struct ShopFile {
    /// Its name in the folder.
    pub(crate) name: String,
    /// How long it is.
    pub(crate) bytes: usize,
    /// The SHA-256 of what it holds.
    pub(crate) sha256: String,
    /// What else the manifest says of it.
    pub(crate) about: Vec<(&'static str, String)>,
    /// Its pages, where it has some.
    pub(crate) pages: Option<usize>,
}

impl ShopFile {
    /// A file of that name that holds these bytes.
    pub(crate) fn of(name: &str, bytes: &[u8]) -> ShopFile {
        ShopFile { name: name.to_owned(), bytes: bytes.len(), sha256: manifest::sha256(bytes), ..ShopFile::default() }
    }
}
