//! Shop folders on disks that are full or may not be written, and made by one processor or by all. Mounting needs leave,
//! which CI has; without it these fail.

use super::run;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// What makes a folder quickly.
const QUICK: [&str; 6] = ["--edition", "chart", "--paper", "a4", "--width", "200"];

/// Something that is mounted as long as this lives.
pub(super) struct Mounted(pub PathBuf);

impl Mounted {
    pub fn new(place: PathBuf, how: &[&str]) -> Mounted {
        std::fs::create_dir_all(&place).expect("a folder");
        let shown = place.display().to_string();
        run("mount", &[how, &[&shown]].concat());
        Mounted(place)
    }
}

impl Drop for Mounted {
    fn drop(&mut self) {
        let _gone = Command::new("umount").arg(&self.0).status();
    }
}

/// A small project in a folder of that name.
pub(super) fn pattern(room: &Path, rows: &str) -> String {
    let folder = room.join("tiny");
    std::fs::create_dir_all(&folder).expect("a folder");
    let project = "format = 1\ntitle = \"Tiny Boat\"\nmaker = \"Ada Example\"\ndate = 2026-03-01\nchart = \"chart.txt\"\n\
        cord = { diameter = \"3 mm\" }\n\
        [[yarn]]\nkey = \"N\"\nname = \"navy\"\ncolour = \"#233a5c\"\nwraps-per-inch = 10\n\
        [[yarn]]\nkey = \"C\"\nname = \"cream\"\ncolour = \"#efe6d2\"\nwraps-per-inch = 10\n";
    std::fs::write(folder.join("project.toml"), project).expect("a project");
    std::fs::write(folder.join("chart.txt"), rows).expect("a chart");
    folder.display().to_string()
}

fn shop(project: &str, output: &Path) -> Output {
    let output = output.display().to_string();
    let typed = [&["shop", project, "-o", &output][..], &QUICK].concat();
    Command::new(env!("CARGO_BIN_EXE_hitchpress")).args(typed).output().expect("the program starts")
}

/// Every file below a folder with what it holds.
pub(super) fn all(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let bytes = std::fs::read(&path).expect("a file");
                found.push((path, bytes));
            }
        }
    }
    found.sort();
    found
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[test]
fn on_a_full_disk_it_says_what_and_where_and_nothing_is_lost() {
    let room = tempfile::tempdir().expect("a folder");
    let disk = Mounted::new(room.path().join("disk"), &["-t", "tmpfs", "-o", "size=4m", "tmpfs"]);
    let project = pattern(room.path(), "NNNNNNNN\nNNCCCNNN\n");
    let ran = shop(&project, &disk.0);
    assert_eq!(ran.status.code(), Some(0), "{}", said(&ran));
    // Room for half of the new folder.
    let before: usize = all(&disk.0).iter().map(|(_, bytes)| bytes.len()).sum();
    std::fs::write(disk.0.join("holidays"), vec![7; (4 << 20) - before - before / 2]).expect("nearly full");
    let kept = all(&disk.0);
    pattern(room.path(), "NNNNNNNN\nNNNNCCNN\n");
    let ran = shop(&project, &disk.0);
    let words = said(&ran);
    assert_eq!(ran.status.code(), Some(3), "{words}");
    assert!(words.contains("the disk is full") && words.contains("disk/tiny-boat-shop/"), "{words}");
    assert!(all(&disk.0) == kept, "something is lost, or left over");
    std::fs::remove_file(disk.0.join("holidays")).expect("removed");
    let ran = shop(&project, &disk.0);
    assert_eq!(ran.status.code(), Some(0), "{}", said(&ran));
    assert!(said(&ran).contains("since the last folder: keep/CHANGES.txt"), "{}", said(&ran));
}

#[test]
fn in_a_read_only_folder_it_says_what_and_where_and_nothing_is_lost() {
    let room = tempfile::tempdir().expect("a folder");
    let open = room.path().join("open");
    let project = pattern(room.path(), "NNNNNNNN\nNNCCCNNN\n");
    let ran = shop(&project, &open);
    assert_eq!(ran.status.code(), Some(0), "{}", said(&ran));
    let shown = open.display().to_string();
    let closed = Mounted::new(room.path().join("closed"), &["--bind", &shown]);
    run("mount", &["-o", "remount,ro,bind", &closed.0.display().to_string()]);
    let kept = all(&closed.0);
    pattern(room.path(), "NNNNNNNN\nNNNNCCNN\n");
    let ran = shop(&project, &closed.0);
    let words = said(&ran);
    assert_eq!(ran.status.code(), Some(3), "{words}");
    assert!(words.contains("the disk is read-only") && words.contains("closed/tiny-boat-shop"), "{words}");
    // Where the folder itself would have to be made first, too.
    let ran = shop(&project, &closed.0.join("new"));
    assert_eq!(ran.status.code(), Some(3), "{}", said(&ran));
    assert!(all(&closed.0) == kept, "something is lost, or left over");
}

#[test]
fn one_processor_makes_the_same_folders_as_all_of_them() {
    let room = tempfile::tempdir().expect("a folder");
    let one = pattern(room.path(), "NNNNNNNN\nNNCCCNNN\n");
    let two = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/two-pears").display().to_string();
    let (all_of_them, alone) =
        (room.path().join("all").display().to_string(), room.path().join("one").display().to_string());
    let program = env!("CARGO_BIN_EXE_hitchpress");
    let typed = |output: &str| {
        let typed = ["shop", &one, &two, "--edition", "chart,materials", "--width", "240", "-o", output];
        typed.map(str::to_owned)
    };
    run(program, &typed(&all_of_them).each_ref().map(String::as_str));
    let bound = typed(&alone);
    run("taskset", &[&["-c", "0", program][..], &bound.each_ref().map(String::as_str)].concat());
    let inner = |folder: &str| -> Vec<(PathBuf, Vec<u8>)> {
        let files = all(Path::new(folder)).into_iter();
        files.map(|(path, bytes)| (path.strip_prefix(folder).expect("within").to_path_buf(), bytes)).collect()
    };
    let (one, other) = (inner(&alone), inner(&all_of_them));
    assert!(one.len() > 40, "{} files", one.len());
    assert!(one == other, "files are not the same");
}
