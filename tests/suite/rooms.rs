//! The nevers: which room and which file may know which. Reads the `use` lines and the paths of the sources.

#[path = "rooms/paths.rs"]
mod paths;

use paths::{circles, modules, room as room_of};
use std::collections::{BTreeMap, BTreeSet};
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
    // Only tests make that schema.
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

/// Where things get a place on paper, and what reads or drives that.
const PAPER: [&str; 7] = ["cli", "compose", "edition", "font", "page", "pdf", "proof"];

fn with_paper(more: &[&'static str]) -> Vec<&'static str> {
    PAPER.iter().chain(more).copied().collect()
}

#[test]
fn leaves_know_nothing_of_the_rest() {
    let rest = with_paper(&["advice", "chart", "manuscript", "picture", "project", "text", "words", "workings"]);
    never(&["catalogue", "colour", "diag", "geom", "markup", "names", "source", "units"], &rest);
}

#[test]
fn workings_never_hear_of_paper() {
    never(&["workings"], &with_paper(&["manuscript", "source", "text", "words"]));
}

#[test]
fn a_chart_from_a_picture_never_hears_of_paper() {
    never(&["chart_from"], &with_paper(&["manuscript", "press", "source", "text", "words"]));
    never(&["chart_read"], &with_paper(&["chart_from", "manuscript", "press", "project", "source", "text", "words"]));
    never(&["sheet"], &with_paper(&["chart", "manuscript", "picture", "press", "project", "text", "words"]));
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
fn changes_of_files_are_pure_and_nothing_knows_the_board() {
    never(&["edit"], &with_paper(&["advice", "board", "manuscript", "press", "project", "text", "words", "workings"]));
    never(&["board"], &["cli"]);
    let mut knows = BTreeSet::new();
    for (path, text) in sources().into_iter().filter(|(path, _)| !is_test(path)) {
        if named(&code(&text)).contains("board") {
            knows.insert(room(&path));
        }
    }
    assert_eq!(knows.into_iter().collect::<Vec<_>>(), ["board", "cli"]);
}

/// Every crate of `Cargo.toml`, with the files and folders that may open it.
const DOORS: &[(&str, &[&str])] = &[
    ("annotate_snippets", &["cli/report.rs"]),
    ("axum", &["board/server", "board/guard.rs"]),
    ("clap", &["cli/args.rs"]),
    ("clap_complete", &["cli/args.rs"]),
    ("clap_mangen", &["cli/args.rs"]),
    ("csv", &["buyers.rs", "cli/amounts/sheet.rs", "sheet/csv_list.rs"]),
    ("deunicode", &["names.rs"]),
    ("flate2", &["pdf/pack.rs", "sheet/zip.rs"]),
    ("futures_core", &["board/server"]),
    ("getrandom", &["board/door.rs"]),
    ("harfrust", &["font/", "text/"]),
    ("hayro", &["preview.rs"]),
    ("hypher", &["text/breakpoints.rs"]),
    ("image", &["picture.rs", "picture/smaller.rs"]),
    ("jiff", &["cli/today.rs"]),
    // The same sums on every machine: wherever there is a root or an angle.
    ("libm", &[""]),
    ("lopdf", &["pdf/", "proof/whole", "reader/"]),
    ("mimalloc", &["main.rs"]),
    ("moxcms", &["picture.rs", "pdf/ink.rs"]),
    ("notify", &["board/watch.rs"]),
    ("open", &["board/mod.rs"]),
    ("palette", &["colour.rs"]),
    ("png", &["picture/smaller.rs"]),
    ("printpdf", &["pdf/"]),
    ("pulldown_cmark", &["commonmark"]),
    ("qrcodegen", &["matrix_code.rs"]),
    ("quick_xml", &["sheet/steps.rs"]),
    ("rayon", &["cores.rs"]),
    ("resvg", &["picture/"]),
    ("roxmltree", &["picture/", "sheet/"]),
    ("rustix", &["cli/write/folder.rs"]),
    ("serde", &["board/", "cli/", "edit/", "figure/", "font/file.rs", "manuscript/record.rs", "words/"]),
    ("serde_json", &["board/", "cli/", "edit/", "edition/schema.rs", "form/", "project/schema.rs"]),
    ("sha2", &["cli/manifest.rs", "pdf/", "proof/whole/pages.rs"]),
    ("signal_hook", &["cli/write/unfinished.rs"]),
    ("strsim", &["form/spelling.rs"]),
    ("subsetter", &["font/subset.rs"]),
    ("tempfile", &["board/", "cli/write"]),
    ("tokio", &["board/server"]),
    ("toml", &["cli/", "edition/schema.rs", "figure/file.rs", "font/file.rs", "form/file.rs", "words/"]),
    ("toml_edit", &["edit/form"]),
    ("unicode_linebreak", &["text/collect.rs"]),
];

#[test]
fn every_third_party_crate_has_its_doors() {
    let manifest = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.toml")).unwrap();
    let manifest: toml::Table = manifest.parse().unwrap();
    let mut crates: BTreeSet<String> = BTreeSet::new();
    let mut take = |table: Option<&toml::Value>| {
        let names = table.and_then(toml::Value::as_table).into_iter().flat_map(toml::Table::keys);
        crates.extend(names.map(|name| name.replace('-', "_")));
    };
    take(manifest.get("dependencies"));
    for of in manifest.get("target").and_then(toml::Value::as_table).into_iter().flat_map(toml::Table::values) {
        take(of.get("dependencies"));
    }
    crates.retain(|name| !UNOPENED.contains(&name.as_str()));
    let doors: BTreeMap<&str, &[&str]> = DOORS.iter().copied().collect();
    let named: BTreeSet<String> = doors.keys().map(ToString::to_string).collect();
    assert_eq!(crates, named, "each crate of Cargo.toml needs a door here, and no other has one");
    let mut faults = Vec::new();
    let mut opened = BTreeSet::new();
    for module in modules() {
        for name in module.outside.iter().filter(|name| crates.contains(*name)) {
            opened.insert(name.clone());
            if !doors[name.as_str()].iter().any(|door| module.file.starts_with(door)) {
                faults.push(format!("{} opens {name}", module.file));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert_eq!(opened, crates, "a crate that nothing opens can go");
}

/// Crates that stand in Cargo.toml for their features alone, so that program and tests share one build.
const UNOPENED: [&str; 1] = ["hashbrown"];

/// The rooms from the ground up: each may know those on lower floors, and none on its own.
const FLOORS: &[&[&str]] = &[
    &["catalogue", "colour", "diag", "geom", "matrix_code", "web_address", "names", "units"],
    &["cores", "markup", "page", "picture", "reader", "sheet", "source"],
    &["buyers", "chart", "chart_read", "commonmark", "figure", "font", "form", "preview", "symbol"],
    &["edit", "inks", "pdf", "text", "words"],
    &["edition", "project"],
    &["workings"],
    &["advice", "chart_from", "manuscript"],
    &["as_knotted", "proof"],
    &["hung_panel"],
    &["compose"],
    &["press"],
    &["board"],
    &["cli"],
    &["main"],
];

#[test]
fn no_arrow_runs_up_between_rooms() {
    let floor = |room: &str| FLOORS.iter().position(|rooms| rooms.contains(&room));
    let mut faults = Vec::new();
    let mut found = BTreeSet::new();
    for module in modules() {
        let own = module.room().to_owned();
        let Some(at) = floor(&own) else {
            faults.push(format!("`{own}` stands on no floor"));
            continue;
        };
        for (to, path) in &module.knows {
            let to = room_of(to);
            if to != own && floor(to).is_none_or(|below| below >= at) {
                faults.push(format!("{} knows `{to}`, which is no lower than `{own}`: {path}", module.file));
            }
        }
        found.insert(own);
    }
    let listed: BTreeSet<String> = FLOORS.iter().flat_map(|rooms| rooms.iter()).map(ToString::to_string).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert_eq!(found, listed, "every room of the house has its floor");
}

#[test]
fn no_files_lead_to_one_another_in_a_circle() {
    let modules = modules();
    let knows: BTreeMap<String, BTreeSet<String>> =
        modules.iter().map(|module| (module.file.clone(), module.knows.keys().cloned().collect())).collect();
    let edges: usize = knows.values().map(BTreeSet::len).sum();
    assert!(edges > 800, "only {edges} arrows were found");
    let found = circles(&knows);
    assert!(found.is_empty(), "these files lead to one another: {found:?}");
}

#[test]
fn circles_and_paths_are_found() {
    let knows = |arrows: &[(&str, &str)]| {
        let mut out: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for (from, to) in arrows {
            out.entry((*from).to_owned()).or_default().insert((*to).to_owned());
        }
        out
    };
    assert_eq!(circles(&knows(&[("a", "b"), ("b", "c"), ("c", "b"), ("c", "d")])), [["b", "c"]]);
    assert!(circles(&knows(&[("a", "b"), ("b", "c"), ("a", "c")])).is_empty());
}

/// Lines of a file that may stand without a word on why they stand together.
const MAX_LINES: usize = 400;

#[test]
fn long_files_say_that_they_are_about_one_subject() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/board/assets");
    let scripts = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let scripts = scripts.filter(|path| path.extension().is_some_and(|ending| ending == "js"));
    let scripts = scripts.map(|path| (path.clone(), std::fs::read_to_string(path).unwrap()));
    let long = sources().into_iter().chain(scripts).filter(|(_, text)| {
        text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default().lines().count() > MAX_LINES
    });
    let silent = long.filter(|(_, text)| !text.lines().take(12).any(|line| line.contains("Long, and one subject")));
    let silent: Vec<PathBuf> = silent.map(|(path, _)| path).collect();
    assert!(silent.is_empty(), "over {MAX_LINES} lines, and none on top says why: {silent:?}");
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
