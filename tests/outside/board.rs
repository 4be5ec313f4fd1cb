//! The board in Chromium: stories of a maker, told from beginning to end on the built program, axe-core on every screen, and
//! TypeScript's compiler on the types of the page's scripts. `HITCHPRESS_NODE` is a folder with node_modules.

use std::path::{Path, PathBuf};
use std::process::Command;

fn modules() -> PathBuf {
    let node = std::env::var("HITCHPRESS_NODE").unwrap_or_else(|_| ".".to_owned());
    Path::new(&node).join("node_modules")
}

#[test]
fn every_story_of_a_maker_is_told_to_its_end() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let done = Command::new("node")
        .arg(root.join("tests/outside/board/stories.mjs"))
        .env("HITCHPRESS_PROGRAM", env!("CARGO_BIN_EXE_hitchpress"))
        .env("HITCHPRESS_SAMPLES", root.join("samples"))
        .output()
        .expect("node runs");
    let said = String::from_utf8_lossy(&done.stdout);
    assert!(done.status.success(), "{said}{}", String::from_utf8_lossy(&done.stderr));
    assert!(said.lines().filter(|line| line.starts_with("told ")).count() >= 30, "{said}");
    println!("{said}");
}

#[test]
fn the_types_of_the_page_hold() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let done = Command::new("node")
        .arg(modules().join("typescript/bin/tsc"))
        .arg("-p")
        .arg(root.join("tests/outside/board/tsconfig.json"))
        .output()
        .expect("node runs");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stdout));
}
