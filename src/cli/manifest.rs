//! The list of what lies in a folder that this program wrote, as TOML.

use sha2::{Digest, Sha256};
use std::fmt::Write;

/// The file's name.
pub const NAME: &str = "MANIFEST.toml";

/// A manifest that is being written.
#[derive(Debug)]
pub struct Manifest(String);

impl Manifest {
    /// An empty one, with a line that says what it is.
    pub fn new(says: &str) -> Manifest {
        Manifest(format!("# {says}\n"))
    }

    /// Begins an entry: `[[file]]`.
    pub fn entry(&mut self, table: &str) -> &mut Manifest {
        // Writing into a string never fails.
        let _written = write!(self.0, "\n[[{table}]]\n");
        self
    }

    /// A key with words.
    pub fn text(&mut self, key: &str, words: &str) -> &mut Manifest {
        let words = toml::Value::String(words.to_owned());
        let _written = writeln!(self.0, "{key} = {words}");
        self
    }

    /// A key with a number.
    pub fn count(&mut self, key: &str, n: usize) -> &mut Manifest {
        let _written = writeln!(self.0, "{key} = {n}");
        self
    }

    /// The whole file.
    pub fn written(self) -> String {
        self.0
    }
}

/// The SHA-256 of a file, in hexadecimal figures.
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}
