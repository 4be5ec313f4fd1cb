//! The list of what lies in a folder that this program wrote, as TOML.

use serde::ser::{Serialize, SerializeMap, Serializer};
use sha2::{Digest, Sha256};

/// The file's name.
pub(crate) const NAME: &str = "MANIFEST.toml";

/// A manifest that is being written: keys of its own, then entries of one kind, `[[file]]`.
#[derive(Debug)]
pub(crate) struct Manifest {
    says: String,
    own: Fields,
    /// What an entry is called, and the entries.
    table: &'static str,
    entries: Vec<Fields>,
}

/// Keys with their values, in the order of writing.
#[derive(Debug, Default)]
pub(crate) struct Fields(Vec<(&'static str, toml::Value)>);

impl Fields {
    /// A key with words.
    pub(crate) fn text(&mut self, key: &'static str, words: &str) -> &mut Fields {
        self.0.push((key, words.into()));
        self
    }

    /// A key with a number.
    pub(crate) fn count(&mut self, key: &'static str, n: usize) -> &mut Fields {
        // No folder holds so much.
        self.0.push((key, i64::try_from(n).unwrap_or(i64::MAX).into()));
        self
    }
}

impl Manifest {
    /// An empty one, with a line that says what it is, and what its entries are called.
    pub(crate) fn new(says: &str, table: &'static str) -> Manifest {
        Manifest { says: says.to_owned(), own: Fields::default(), table, entries: Vec::new() }
    }

    /// Its own keys.
    pub(crate) fn own(&mut self) -> &mut Fields {
        &mut self.own
    }

    /// Begins an entry.
    pub(crate) fn entry(&mut self) -> &mut Fields {
        self.entries.push(Fields::default());
        let last = self.entries.len() - 1;
        &mut self.entries[last]
    }

    /// The whole file.
    pub(crate) fn written(self) -> String {
        // Texts and numbers under plain keys always become TOML.
        format!("# {}\n{}", self.says, toml::to_string(&self).unwrap_or_default())
    }
}

impl Serialize for Fields {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(key, value)| (key, value)))
    }
}

impl Serialize for Manifest {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        for (key, value) in &self.own.0 {
            map.serialize_entry(key, value)?;
        }
        map.serialize_entry(self.table, &self.entries)?;
        map.end()
    }
}

/// The SHA-256 of a file, in hexadecimal figures.
pub(crate) fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_manifest_is_read_as_it_was_written() {
        let mut manifest = Manifest::new("What this folder holds.", "file");
        manifest.own().count("format", 1).text("title", "Low \"Water\"\nHeron");
        manifest.entry().text("name", "a.pdf").count("bytes", 7);
        manifest.entry().text("name", "b.pdf").count("bytes", 8);
        let written = manifest.written();
        assert!(written.starts_with("# What this folder holds.\nformat = 1\ntitle = "), "{written}");
        assert!(written.ends_with("\n\n[[file]]\nname = \"b.pdf\"\nbytes = 8\n"), "{written}");
        let read: toml::Table = written.parse().expect("TOML");
        assert_eq!(read["title"].as_str(), Some("Low \"Water\"\nHeron"));
        assert_eq!(read["file"].as_array().map(Vec::len), Some(2));
    }
}
