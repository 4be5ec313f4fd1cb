//! The nevers: which room may know which. Reads the `use` lines of the sources.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn sources() -> Vec<(PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut folders = vec![root.clone()];
    let mut out = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let text = std::fs::read_to_string(&path).unwrap();
                out.push((path.strip_prefix(&root).unwrap().to_path_buf(), text));
            }
        }
    }
    out.sort();
    assert!(out.len() > 40, "the sources were not found");
    out
}

/// The room a file belongs to: its first folder, or its own name.
fn room(path: &Path) -> String {
    path.components().next().unwrap().as_os_str().to_string_lossy().trim_end_matches(".rs").to_string()
}

/// Code without tests and comments: tests may look wherever they like.
fn code(text: &str) -> String {
    let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
    text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

fn is_test(path: &Path) -> bool {
    let in_tests = path.components().any(|c| {
        let name = c.as_os_str().to_string_lossy();
        name == "tests" || name == "tests.rs" || name == "sketch.rs"
    });
    // The types it describes are not seen from outside their room.
    in_tests || path.ends_with("edition/schema.rs")
}

/// Rooms of the crate that a file names.
fn named(code: &str) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for (at, _) in code.match_indices("crate::") {
        let after = &code[at + "crate::".len()..];
        if let Some(list) = after.strip_prefix('{') {
            let inside: &str = &list[..list.find("};").unwrap_or(list.len())];
            let mut depth = 0;
            for part in inside.split_inclusive([',', '{', '}']) {
                if depth == 0 {
                    let name: String = part.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                    out.insert(name);
                }
                depth += part.matches('{').count() as i32 - part.matches('}').count() as i32;
            }
        } else {
            out.insert(after.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect());
        }
    }
    out
}

fn never(rooms: &[&str], forbidden: &[&str]) {
    let mut faults = Vec::new();
    let mut seen = 0;
    for (path, text) in sources() {
        if is_test(&path) || !rooms.contains(&room(&path).as_str()) {
            continue;
        }
        seen += 1;
        let names = named(&code(&text));
        for room in forbidden {
            if names.contains(*room) {
                faults.push(format!("{} names crate::{room}", path.display()));
            }
        }
    }
    assert!(seen > 0, "no file of {rooms:?} was read");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// The words that open a crate: `name::` or `use name`.
fn only_in(krate: &str, doors: &[&str]) {
    let mut faults = Vec::new();
    let mut seen = 0;
    for (path, text) in sources() {
        if is_test(&path) {
            continue;
        }
        let code = code(&text);
        let names_it = code.lines().any(|line| {
            line.match_indices(&format!("{krate}::")).any(|(at, _)| {
                let before = line[..at].chars().last();
                before.is_none_or(|c| !c.is_alphanumeric() && c != '_' && c != ':')
            })
        });
        if names_it {
            seen += 1;
            let shown = path.to_string_lossy().replace('\\', "/");
            if !doors.iter().any(|door| shown.starts_with(door) || shown.ends_with(door)) {
                faults.push(format!("{shown} opens {krate}"));
            }
        }
    }
    assert!(seen > 0, "nothing opens {krate}: is its name right?");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Where things get a place on paper, and what reads or drives that.
const PAPER: [&str; 7] = ["cli", "compose", "edition", "font", "page", "pdf", "proof"];

fn with_paper(more: &[&'static str]) -> Vec<&'static str> {
    PAPER.iter().chain(more).copied().collect()
}

#[test]
fn leaves_know_nothing_of_the_rest() {
    let rest = with_paper(&["advice", "chart", "manuscript", "picture", "project", "text", "words", "workings"]);
    never(&["geom", "colour", "cores", "names", "source", "diag"], &rest);
}

#[test]
fn workings_never_hear_of_paper() {
    never(&["workings"], &with_paper(&["manuscript", "source", "text", "words"]));
}

#[test]
fn a_chart_from_a_picture_never_hears_of_paper() {
    never(&["chart_from"], &with_paper(&["manuscript", "press", "source", "text", "words"]));
}

#[test]
fn the_manuscript_knows_no_layout() {
    never(&["manuscript"], &["cli", "compose", "edition", "font", "pdf", "proof", "text"]);
    // Measures it may know, places never.
    for (path, text) in sources().into_iter().filter(|(path, _)| path.starts_with("manuscript") && !is_test(path)) {
        for word in ["geom::Point", "geom::Rect", "Point::", "Rect::"] {
            assert!(!code(&text).contains(word), "{} says {word}", path.display());
        }
    }
}

#[test]
fn compose_knows_neither_the_project_nor_its_words() {
    never(&["compose"], &["cli", "pdf", "project", "proof", "words", "workings"]);
}

#[test]
fn the_page_is_a_narrow_waist() {
    never(
        &["page"],
        &[
            "chart",
            "cli",
            "compose",
            "edition",
            "font",
            "manuscript",
            "pdf",
            "project",
            "proof",
            "text",
            "words",
            "workings",
        ],
    );
    never(&["pdf"], &["chart", "cli", "compose", "edition", "manuscript", "project", "proof", "words", "workings"]);
}

#[test]
fn proof_shares_nothing_with_the_writer() {
    never(&["proof"], &["cli", "compose", "edition", "font", "page", "pdf", "text", "words"]);
}

#[test]
fn every_third_party_crate_has_one_door() {
    only_in("clap", &["cli/args.rs"]);
    only_in("clap_complete", &["cli/args.rs"]);
    only_in("clap_mangen", &["cli/args.rs"]);
    only_in("csv", &["buyers.rs"]);
    only_in("deunicode", &["names.rs"]);
    only_in("image", &["picture.rs"]);
    only_in("hayro", &["preview.rs"]);
    only_in("rayon", &["cores.rs"]);
    only_in("rustix", &["cli/write/folder.rs"]);
    only_in("harfrust", &["font/", "text/"]);
    only_in("moxcms", &["picture.rs", "pdf/ink.rs"]);
    only_in("printpdf", &["pdf/"]);
    only_in("lopdf", &["pdf/", "proof/"]);
    only_in("toml", &["file.rs", "words/", "project/", "edition/check.rs", "cli/"]);
}

#[test]
fn only_the_command_line_prints() {
    let mut faults = Vec::new();
    for (path, text) in sources() {
        // main.rs hands the arguments on, and does nothing else.
        if is_test(&path) || path.starts_with("cli") || path.starts_with("main.rs") {
            continue;
        }
        let code = code(&text);
        for word in ["println!", "eprintln!", "print!(", "fs::write", "File::create", "SystemTime", "std::env::"] {
            if code.contains(word) {
                faults.push(format!("{} says {word}", path.display()));
            }
        }
        if !path.starts_with("source.rs") {
            for word in ["fs::read", "File::open"] {
                if code.contains(word) {
                    faults.push(format!("{} says {word}", path.display()));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
