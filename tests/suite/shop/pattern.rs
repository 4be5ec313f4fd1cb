//! A tiny pattern to make shop folders of, and a shop folder read through.

use crate::support::Room;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The chart of [`tiny`].
pub const CHART: &str = "NNNNNNNN\nNNCCCNNN\nNNCCCCNN\nCCCCCCCC\n";
/// What makes a folder quickly.
pub const QUICK: [&str; 6] = ["--edition", "chart", "--paper", "a4", "--width", "200"];

/// Writes a small project; gives its file.
pub fn tiny(room: &Room, name: &str, title: &str) -> PathBuf {
    room.write(&format!("{name}/chart.txt"), CHART);
    let project = format!(
        "format = 1\ntitle = \"{title}\"\nmaker = \"Ada Example\"\ndate = 2026-03-01\nchart = \"chart.txt\"\n\
        cord = {{ diameter = \"3 mm\" }}\nlicence = {{ sell-panels = \"yes\" }}\n\
        [[yarn]]\nkey = \"N\"\nname = \"navy\"\ncolour = \"#233a5c\"\nwraps-per-inch = 10\n\
        [[yarn]]\nkey = \"C\"\nname = \"cream\"\ncolour = \"#efe6d2\"\nwraps-per-inch = 10\n"
    );
    room.write(&format!("{name}/project.toml"), project)
}

/// A shop folder that is what its manifest says.
pub struct Shelf {
    folder: PathBuf,
    manifest: toml::Table,
}

impl Shelf {
    /// Reads a folder; fails the test unless every file is in the manifest with its length and hash, and every file of the
    /// manifest is there.
    pub fn whole(folder: &Path) -> Shelf {
        Shelf::read_whole(folder).unwrap_or_else(|why| panic!("{}: {why}", folder.display()))
    }

    /// The same; the error says what is amiss.
    pub fn read_whole(folder: &Path) -> Result<Shelf, String> {
        let read = |name: &str| std::fs::read(folder.join(name)).map_err(|e| format!("{name}: {e}"));
        let text = String::from_utf8(read("MANIFEST.toml")?).map_err(|e| e.to_string())?;
        let manifest: toml::Table = text.parse().map_err(|e: toml::de::Error| e.to_string())?;
        let shelf = Shelf { folder: folder.to_path_buf(), manifest };
        let mut there = vec!["MANIFEST.toml".to_owned()];
        for name in shelf.names() {
            let bytes = read(name)?;
            let sha256: String = Sha256::digest(&bytes).iter().map(|byte| format!("{byte:02x}")).collect();
            if shelf.says(name, "sha256") != Some(sha256) || shelf.says(name, "bytes") != Some(bytes.len().to_string())
            {
                return Err(format!("{name} is not what the manifest says"));
            }
            there.push(name.to_owned());
        }
        there.sort();
        let found = found(folder, "").map_err(|e| e.to_string())?;
        if found == there { Ok(shelf) } else { Err(format!("there is {found:?}, and the manifest says {there:?}")) }
    }

    fn files(&self) -> impl Iterator<Item = &toml::Table> {
        let files = self.manifest.get("file").and_then(|files| files.as_array());
        files.into_iter().flatten().filter_map(|file| file.as_table())
    }

    /// The files, in the manifest's order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.files().filter_map(|file| file.get("name")?.as_str())
    }

    /// What the manifest says of a file.
    pub fn says(&self, name: &str, key: &str) -> Option<String> {
        let file = self.files().find(|file| file.get("name").and_then(|it| it.as_str()) == Some(name))?;
        let value = file.get(key)?;
        Some(value.as_str().map_or_else(|| value.to_string(), str::to_owned))
    }

    /// What a file holds.
    pub fn read(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.folder.join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    /// The same as text.
    pub fn text(&self, name: &str) -> String {
        String::from_utf8(self.read(name)).expect("UTF-8")
    }

    /// Every file with its hash, as the manifest says.
    pub fn all(&self) -> BTreeMap<String, Option<String>> {
        self.names().map(|name| (name.to_owned(), self.says(name, "sha256"))).collect()
    }
}

/// Every file in a folder by its name within it, sorted.
fn found(folder: &Path, within: &str) -> std::io::Result<Vec<String>> {
    let mut names = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let name = format!("{within}{}", entry.file_name().to_string_lossy());
        if entry.file_type()?.is_dir() {
            names.extend(found(&entry.path(), &format!("{name}/"))?);
        } else {
            names.push(name);
        }
    }
    names.sort();
    Ok(names)
}
