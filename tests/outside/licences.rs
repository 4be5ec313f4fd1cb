//! Every crate that is built with the program, its tests and its tools may be passed on as this repository is: cargo itself
//! names the licences (SPDX expressions, as crates.io asks for them).

use crate::run;

/// Licences that ask for no more than to be named. Their names are SPDX's.
const GOOD: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "NCSA",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Whether an expression can be met with good licences alone. Older crates write a stroke for `OR`; `AND` binds tighter.
fn is_good(expression: &str) -> bool {
    let text = expression.replace('/', " OR ");
    let (mut depth, mut parts, mut from) = (0i32, Vec::new(), 0);
    for (at, c) in text.char_indices() {
        match c {
            '(' => depth += 1,
            ')' => depth -= 1,
            _ => {}
        }
        for word in [" OR ", " AND "] {
            if depth == 0 && text[at..].starts_with(word) {
                parts.push((text[from..at].trim(), word));
                from = at + word.len();
            }
        }
    }
    let last = text[from..].trim();
    if parts.is_empty() {
        return match last.strip_prefix('(').and_then(|inner| inner.strip_suffix(')')) {
            Some(inner) => is_good(inner),
            None => GOOD.contains(&last),
        };
    }
    parts.push((last, " OR "));
    // Parts joined by AND stand or fall together.
    parts.split_inclusive(|(_, joined)| *joined == " OR ").any(|all| all.iter().all(|(part, _)| is_good(part)))
}

#[test]
fn every_crate_may_be_passed_on() {
    for (expression, good) in [
        ("MIT", true),
        ("MIT/Apache-2.0", true),
        ("MIT OR GPL-3.0-only", true),
        ("(MIT OR Apache-2.0) AND Unicode-3.0", true),
        ("GPL-3.0-only AND MIT OR ISC", true),
        ("GPL-3.0-only", false),
        ("MIT AND GPL-3.0-only", false),
        ("(MIT OR Apache-2.0) AND LGPL-2.1-only", false),
        ("", false),
    ] {
        assert_eq!(is_good(expression), good, "{expression}");
    }
    for manifest in ["Cargo.toml", "tests/bench/Cargo.toml", "tests/fuzz/Cargo.toml"] {
        let path = format!("{}/{manifest}", env!("CARGO_MANIFEST_DIR"));
        let all = run("cargo", &["metadata", "--format-version", "1", "--locked", "--manifest-path", &path]);
        let all: serde_json::Value = serde_json::from_str(&all).expect("JSON");
        let packages = all["packages"].as_array().expect("packages");
        assert!(packages.len() > 100, "{manifest} needs only {} crates", packages.len());
        let others = packages.iter().filter(|package| !package["source"].is_null());
        let bad: Vec<String> = others
            .filter(|package| !is_good(package["license"].as_str().unwrap_or_default()))
            .map(|package| format!("{} {}", package["name"], package["license"]))
            .collect();
        assert!(bad.is_empty(), "{manifest}: {bad:#?}");
    }
}

/// Whoever composes a sample first and runs the tests then builds every crate once: the tests' own crates ask for no feature
/// of a crate of the program that the program does not ask for itself.
#[test]
fn program_and_tests_share_one_build() {
    let features = |edges: &str| -> std::collections::BTreeSet<String> {
        let tree = run("cargo", &["tree", "--locked", "--edges", edges, "--prefix", "none", "--format", "{p} {f}"]);
        tree.lines().map(|line| line.trim_end_matches(" (*)").to_string()).collect()
    };
    let (program, with_tests) = (features("normal,build"), features("normal,build,dev"));
    assert!(program.len() > 100, "the program needs only {} crates", program.len());
    let twice: Vec<&String> = program.difference(&with_tests).collect();
    assert!(twice.is_empty(), "built once more for the tests: {twice:#?}");
}
