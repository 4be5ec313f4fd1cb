//! No command harms what it did not write: inputs, somebody's files, pipes and devices stay; what cannot be finished leaves
//! nothing; and a machine that refuses something is told of, with the exit code for it.

mod killed;

use crate::shop::pattern::tiny;
use crate::support::{Ran, Room};
use std::path::Path;
use std::process::{Command, Stdio};

/// A small project and its booklet.
pub fn boat() -> Room {
    let room = Room::new();
    tiny(&room, "boat", "Boat");
    let ran = room.run(&["compose", "boat", "--edition", "materials", "--paper", "a5", "-o", "boat.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    room
}

/// The command ends with this code, says this, and nothing in the room is another than before.
fn harmless(room: &Room, typed: &[&str], code: i32, says: &str) {
    let before = room.files();
    let ran = room.run(typed);
    assert_eq!(ran.code, code, "{typed:?}: {}", ran.err);
    assert!(ran.err.contains(says), "{typed:?}: {}", ran.err);
    assert!(room.files() == before, "{typed:?} changed something");
}

#[test]
fn a_file_that_is_named_on_purpose_is_replaced_only_if_it_is_of_the_kind() {
    let room = boat();
    room.write("notes.txt", "mine");
    room.write("foreign.pdf", "%PDF-1.4 somebody's");
    room.write("empty.pdf", "");
    let compose = |to| ["compose", "boat", "--edition", "materials", "-o", to];
    harmless(&room, &compose("boat/project.toml"), 2, "would-overwrite");
    harmless(&room, &compose("boat/chart.txt"), 2, "would-overwrite");
    harmless(&room, &compose("notes.txt"), 2, "is not a PDF file");
    harmless(&room, &compose("boat"), 2, "is a folder");
    harmless(&room, &["impose", "boat.pdf", "-o", "boat.pdf"], 2, "would-overwrite");
    harmless(&room, &["impose", "boat.pdf", "-o", "boat/../boat.pdf"], 2, "would-overwrite");
    for to in ["foreign.pdf", "empty.pdf", "boat.pdf"] {
        let ran = room.run(&compose(to));
        assert_eq!(ran.code, 0, "{to}: {}", ran.err);
    }
}

#[cfg(unix)]
#[test]
fn links_pipes_devices_and_files_that_must_not_change_stay_as_they_are() {
    let room = boat();
    let is_made = Command::new("mkfifo").arg(room.path().join("pipe")).status().expect("mkfifo").success();
    assert!(is_made);
    std::os::unix::fs::symlink("boat.pdf", room.path().join("link.pdf")).expect("a link");
    let kept = room.write("kept.pdf", "%PDF-1.4 old");
    let mut permissions = std::fs::metadata(&kept).expect("a file").permissions();
    permissions.set_readonly(true);
    std::fs::set_permissions(&kept, permissions).expect("set");
    for (to, code, says) in [
        ("pipe", 2, "is a pipe or a device"),
        ("link.pdf", 2, "is a link"),
        ("/dev/null", 2, "is a pipe or a device"),
        ("kept.pdf", 3, "permission is denied"),
    ] {
        let ran = room.run(&["compose", "boat", "--edition", "materials", "-o", to]);
        assert_eq!(ran.code, code, "{to}: {}", ran.err);
        assert!(ran.err.contains(says), "{to}: {}", ran.err);
    }
    use std::os::unix::fs::FileTypeExt;
    assert!(std::fs::symlink_metadata(room.path().join("pipe")).expect("a pipe").file_type().is_fifo());
    assert!(std::fs::symlink_metadata("/dev/null").expect("a device").file_type().is_char_device());
    assert!(room.path().join("link.pdf").is_symlink());
    assert_eq!(std::fs::read(kept).expect("a file"), b"%PDF-1.4 old");
}

#[test]
fn a_name_that_the_program_gives_is_left_to_whoever_had_it_first() {
    let room = boat();
    room.write("boat/boat-materials-a4.pdf", "%PDF-1.4 somebody's");
    harmless(&room, &["compose", "boat", "--edition", "materials"], 2, "did not write it");
    room.write("boat-side-by-side.pdf", "%PDF-1.4 somebody's");
    harmless(&room, &["impose", "boat.pdf", "--lay", "flat"], 2, "did not write it");
    room.write("boat/boat-pictures/panel.png", "somebody's");
    harmless(&room, &["pictures", "boat", "--width", "300"], 2, "was not written by this command");
    room.write("man/hitchpress-check.1", "somebody's");
    harmless(&room, &["manual", "man"], 2, "did not write it");
    // What a command wrote, the same command replaces.
    for typed in [
        &["compose", "boat", "--edition", "chart"][..],
        &["impose", "boat.pdf", "--lay", "pages"],
        &["pictures", "boat", "--width", "300", "-o", "drawn"],
        &["manual", "pages"],
    ] {
        for _ in 0..2 {
            let ran = room.run(typed);
            assert_eq!(ran.code, 0, "{typed:?}: {}", ran.err);
        }
    }
}

#[test]
fn copies_replace_neither_the_booklet_nor_what_is_not_in_their_list() {
    let room = boat();
    // The room for the line is in every edition; a name of signs alone leaves no letters for a file's name.
    room.write("list.csv", "name\n&\nAnn Example\n");
    let booklet = std::fs::read(room.path().join("boat.pdf")).expect("the booklet");
    let typed = ["copies", "boat.pdf", "--buyers", "list.csv", "-o", "."];
    let ran = room.run(&typed);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(std::fs::read(room.path().join("boat.pdf")).expect("the booklet") == booklet);
    let list = std::fs::read_to_string(room.path().join("MANIFEST.toml")).expect("the list");
    assert!(list.contains("file = \"boat-2.pdf\"") && list.contains("file = \"boat-ann-example.pdf\""), "{list}");
    // Once more, with another list: what was made before stays listed.
    room.write("list.csv", "name\nAnn Example\nBo Example\n");
    assert_eq!(room.run(&typed).code, 0);
    let list = std::fs::read_to_string(room.path().join("MANIFEST.toml")).expect("the list");
    assert_eq!(list.matches("[[copy]]").count(), 3, "{list}");
    // Somebody's file under a copy's name, in the list or not, is left alone, and the others are made.
    for name in ["boat-ann-example.pdf", "boat-cy-example.pdf"] {
        room.write(name, "%PDF-1.4 somebody's");
    }
    room.write("list.csv", "name\nAnn Example\nCy Example\nDi Example\n");
    let ran = room.run(&typed);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert_eq!(ran.err.matches("somebodys-work").count(), 2, "{}", ran.err);
    assert!(ran.err.contains("written: 1 of 3 copies") && ran.err.contains("list.csv:3"), "{}", ran.err);
    for name in ["boat-ann-example.pdf", "boat-cy-example.pdf"] {
        assert_eq!(std::fs::read(room.path().join(name)).expect("a file"), b"%PDF-1.4 somebody's");
    }
}

#[test]
fn a_list_that_is_somebodys_stops_all_copies_and_failed_ones_leave_nothing() {
    let room = boat();
    room.write("list.csv", "name\nAnn Example\n");
    room.write("shelf/MANIFEST.toml", "mine = 1\n");
    harmless(&room, &["copies", "boat.pdf", "--buyers", "list.csv", "-o", "shelf"], 2, "did not write it");
    room.write("shelf/MANIFEST.toml", "# One licensed copy for each buyer, and the SHA-256 of its file.\nbroken");
    harmless(&room, &["copies", "boat.pdf", "--buyers", "list.csv", "-o", "shelf"], 2, "not as this command left it");
    // No shipped face has this letter, so there is no copy: no folder either, and no list.
    room.write("list.csv", "name\n東京\n");
    let ran = room.run(&["copies", "boat.pdf", "--buyers", "list.csv", "-o", "out/deep"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("no copy was made") && !room.path().join("out").exists(), "{}", ran.err);
}

#[test]
fn a_project_that_cannot_be_begun_leaves_nothing() {
    let room = Room::new();
    room.write("taken/chart.txt", "AB\n");
    harmless(&room, &["new", "taken"], 2, "is there already");
    harmless(&room, &["new", "taken/chart.txt"], 2, "is there already");
    harmless(&room, &["new", "taken/chart.txt/deeper"], 3, "cannot be written");
    assert_eq!(room.run(&["new", "a/b/c"]).code, 0);
    std::fs::create_dir(room.path().join("empty")).expect("a folder");
    assert_eq!(room.run(&["new", "empty"]).code, 0);
    assert_eq!(room.run(&["check", "empty"]).code, 0);
}

/// Runs the program in a shell with a limit.
#[cfg(target_os = "linux")]
fn limited(room: &Room, limit: &str, typed: &str) -> Ran {
    let program = env!("CARGO_BIN_EXE_hitchpress");
    let output = Command::new("sh")
        .args(["-c", &format!("{limit} exec '{program}' {typed}")])
        .current_dir(room.path())
        .env("NO_COLOR", "1")
        .output()
        .expect("a shell");
    Ran::from(output)
}

#[cfg(target_os = "linux")]
#[test]
fn threads_and_memory_that_are_refused_are_told_and_end_with_the_code_for_it() {
    let room = boat();
    let refused = |ran: &Ran, why: &str| {
        assert_eq!(ran.code, 3, "{why}: {}", ran.err);
        assert!(ran.err.contains("memory") || ran.err.contains("no-thread"), "{why}: {}", ran.err);
        assert!(!ran.err.contains("panicked"), "{why}: {}", ran.err);
    };
    // Their stacks alone would take 10 GB of the address space; those of 500 take 1 GB.
    let ran = limited(&room, "ulimit -v 4000000; RAYON_NUM_THREADS=5000", "check boat");
    refused(&ran, "5000 threads");
    assert!(ran.err.contains("no-thread") && ran.err.contains("RAYON_NUM_THREADS"), "{}", ran.err);
    refused(&limited(&room, "ulimit -v 900000; RAYON_NUM_THREADS=500", "check boat"), "500 threads");
    // How much is enough hangs on how many threads take memory at one moment: whatever the limit, the file is whole or the
    // refusal is told, and nothing lies about.
    let good = room.run(&["compose", "boat", "-o", "good.pdf"]);
    assert_eq!(good.code, 0, "{}", good.err);
    let good = std::fs::read(room.path().join("good.pdf")).expect("a file");
    let before = room.files();
    for kilobytes in [100_000, 200_000, 300_000, 450_000, 600_000, 800_000, 1_000_000, 1_100_000, 1_200_000, 1_400_000]
    {
        let ran = limited(&room, &format!("ulimit -v {kilobytes};"), "compose boat -o refused.pdf");
        let made = std::fs::read(room.path().join("refused.pdf"));
        if ran.code == 0 {
            assert!(kilobytes > 100_000 && made.is_ok_and(|made| made == good), "{kilobytes}: {}", ran.err);
            std::fs::remove_file(room.path().join("refused.pdf")).expect("removed");
        } else {
            refused(&ran, &kilobytes.to_string());
        }
        assert!(room.files() == before, "{kilobytes}: something lies about");
    }
}

#[cfg(unix)]
#[test]
fn an_interrupt_clears_up() {
    let room = boat();
    for signal in ["-INT", "-TERM"] {
        let mut run = Command::new(env!("CARGO_BIN_EXE_hitchpress"))
            .args(["shop", "boat", "-o", "shelf/deep", "--width", "1200"])
            .current_dir(room.path())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program starts");
        let begun = |shelf: &Path| std::fs::read_dir(shelf).is_ok_and(|mut shelf| shelf.next().is_some());
        for _ in 0..2_000 {
            if begun(&room.path().join("shelf/deep")) {
                break;
            }
            std::thread::sleep(std::time::Duration::from_millis(5));
        }
        assert!(begun(&room.path().join("shelf/deep")), "it never began");
        assert!(Command::new("kill").args([signal, &run.id().to_string()]).status().expect("kill").success());
        let code = run.wait().expect("it ends").code();
        // 128 and the number of the signal (POSIX, Shell Command Language, 2.8.2).
        assert_eq!(code, Some(if signal == "-INT" { 130 } else { 143 }));
        assert!(!room.path().join("shelf").exists());
    }
}
