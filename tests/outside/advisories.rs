//! No crate that is built with the program, its tests and its tools has a published advisory against it. What was published is
//! read from `tests/data/advisories.tsv`, which says when it was taken from the RustSec advisory database (rustsec.org): what
//! came to light after that day is not known here. A crate that is new has to be looked up there and added.

use semver::{Version, VersionReq};
use std::collections::{BTreeMap, BTreeSet};

/// An advisory, with the versions that it does not speak of.
struct Advisory {
    id: String,
    good: Vec<VersionReq>,
}

impl Advisory {
    /// From a line of the table, after the crate's name.
    fn read(of: &[&str]) -> Advisory {
        let [id, _date, _of, fixed, never] = *of else { panic!("{of:?}") };
        let requirement = |text: &str| text.parse().unwrap_or_else(|e| panic!("{id}: {text}: {e}"));
        let good = fixed.split(';').chain(never.split(';')).map(str::trim);
        Advisory { id: id.into(), good: good.filter(|text| !text.is_empty()).map(requirement).collect() }
    }

    fn speaks_of(&self, version: &Version) -> bool {
        !self.good.iter().any(|good| good.matches(version))
    }
}

/// Crates that were looked up, each with its advisories.
fn looked_up() -> BTreeMap<String, Vec<Advisory>> {
    let mut all = BTreeMap::<String, Vec<Advisory>>::new();
    for line in include_str!("../data/advisories.tsv").lines().filter(|line| !line.starts_with('#')) {
        let of: Vec<&str> = line.split('\t').collect();
        let advisories = all.entry(of[0].into()).or_default();
        if of.len() > 1 {
            advisories.push(Advisory::read(&of[1..]));
        }
    }
    all
}

/// Crates and versions of a lock file that came from elsewhere.
fn locked(path: &str) -> BTreeSet<(String, Version)> {
    let text = std::fs::read_to_string(format!("{}/{path}", env!("CARGO_MANIFEST_DIR"))).expect("a lock file");
    let lock: toml::Table = text.parse().expect("TOML");
    let packages = lock["package"].as_array().expect("packages");
    let others = packages.iter().filter(|package| package.get("source").is_some());
    let word = |of: &toml::Value, key: &str| of[key].as_str().expect("a text").to_string();
    others.map(|of| (word(of, "name"), word(of, "version").parse().expect("a version"))).collect()
}

#[test]
fn no_crate_has_an_advisory_against_it() {
    let looked_up = looked_up();
    for path in ["Cargo.lock", "tests/bench/Cargo.lock", "tests/fuzz/Cargo.lock"] {
        let crates = locked(path);
        assert!(crates.len() > 100, "{path} names only {} crates", crates.len());
        let told = crates.iter().flat_map(|(name, version)| match looked_up.get(name) {
            None => vec![format!("{name} has not been looked up")],
            Some(advisories) => {
                let speaking = advisories.iter().filter(|advisory| advisory.speaks_of(version));
                speaking.map(|advisory| format!("{name} {version}: {}", advisory.id)).collect()
            }
        });
        let told: Vec<String> = told.collect();
        assert!(told.is_empty(), "{path}: {told:#?}");
    }
}

/// Versions on both sides of a fix, as the advisories themselves name them.
#[test]
fn advisories_speak_of_the_versions_before_a_fix() {
    let looked_up = looked_up();
    for (name, version, speaks) in [
        ("quick-xml", "0.40.0", true),
        ("quick-xml", "0.41.0", false),
        ("lopdf", "0.41.9", true),
        ("bytes", "1.11.0", true),
        ("bytes", "1.2.0", false),
        ("arrayref", "0.3.10", true),
        ("arrayref", "0.3.9", false),
    ] {
        let version = version.parse().expect("a version");
        let told = looked_up[name].iter().any(|advisory| advisory.speaks_of(&version));
        assert_eq!(told, speaks, "{name} {version}");
    }
}
