//! The board in Chromium: stories of a maker, told from beginning to end on the built program, axe-core on every screen, and
//! TypeScript's compiler on the types of the page's scripts. `HITCHPRESS_NODE` is a folder with node_modules.

#[path = "../suite/board/client.rs"]
mod client;

use super::shop::Mounted;
use client::{Running, chart, killed_again_and_again, panel};
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
    assert!(said.lines().filter(|line| line.starts_with("told ")).count() >= 40, "{said}");
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

#[test]
fn killed_two_hundred_times_it_keeps_every_change_that_was_answered() {
    let room = tempfile::tempdir().expect("a folder");
    killed_again_and_again(room.path(), 200);
}

#[test]
fn on_a_full_disk_a_change_is_refused_and_nothing_is_lost() {
    let room = tempfile::tempdir().expect("a folder");
    let disk = Mounted::new(room.path().join("disk"), &["-t", "tmpfs", "-o", "size=1m", "tmpfs"]);
    panel(&disk.0);
    let board = Running::start(&disk.0);
    assert_eq!(board.knot(0, 'N', 'C').expect("an answer").status, 200);
    let before = chart(&disk.0);
    // Filled to the last block.
    let filler = std::fs::File::create(disk.0.join("holidays")).expect("a file");
    while std::io::Write::write_all(&mut &filler, &[7; 4096]).is_ok() {}
    // A file that is still open keeps its room after it is removed.
    drop(filler);
    let answer = board.knot(1, 'N', 'C').expect("an answer");
    assert_eq!(answer.status, 409, "{answer:?}");
    assert!(answer.body.contains("full"), "{answer:?}");
    assert_eq!(chart(&disk.0), before);
    std::fs::remove_file(disk.0.join("holidays")).expect("removed");
    assert_eq!(board.knot(1, 'N', 'C').expect("an answer").status, 200);
    assert!(chart(&disk.0).starts_with("CCN"));
    let undo = board.own("POST", "/api/change", r#"{"panel": ".", "base": 0, "change": {"kind": "undo"}}"#);
    assert_eq!(undo.expect("an answer").status, 200);
    assert_eq!(chart(&disk.0), before);
}

#[test]
fn in_a_read_only_folder_the_panel_is_shown_and_a_change_is_refused() {
    let room = tempfile::tempdir().expect("a folder");
    let open = room.path().join("open");
    panel(&open);
    let closed = Mounted::new(room.path().join("closed"), &["--bind", &open.display().to_string()]);
    super::run("mount", &["-o", "remount,ro,bind", &closed.0.display().to_string()]);
    let board = Running::start(&closed.0);
    let shown = board.own("GET", "/api/panel?panel=.", "").expect("an answer");
    assert!(shown.status == 200 && shown.body.contains("NNNN"), "{shown:?}");
    let answer = board.knot(0, 'N', 'C').expect("an answer");
    assert_eq!(answer.status, 409, "{answer:?}");
    assert!(answer.body.contains("read-only"), "{answer:?}");
    assert_eq!(chart(&open), "NNNNNNNN\n".repeat(6));
}
