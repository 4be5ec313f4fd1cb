//! Every system call by which a command reads and writes the folder it writes into, refused once: what lies there
//! afterwards is the old or the new, whole; a failure is told; nothing that is somebody's is touched; and the next run brings
//! it to an end and leaves nothing lying about. strace refuses them.
//!
//! `HITCHPRESS_CALLS=all` refuses every single one, as `.ci/full` does; without it one of each kind for every command. A
//! refusal costs two runs of its command: so the booklet has a cover and a chart and nothing else, and refusals are placed on
//! all cores at once, each core in a room of its own.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::{Command, Output};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What lies below the folder, by name, without unfinished work.
type Files = BTreeMap<String, Vec<u8>>;

/// A call, and what it is refused with.
const CALLS: [(&str, &str); 20] = [
    ("openat", "EACCES"),
    ("write", "ENOSPC"),
    ("fsync", "EIO"),
    ("fdatasync", "EIO"),
    ("rename", "EIO"),
    ("renameat", "EIO"),
    ("renameat2", "EIO"),
    ("link", "EIO"),
    ("linkat", "EIO"),
    ("mkdir", "ENOSPC"),
    ("mkdirat", "ENOSPC"),
    ("unlink", "EIO"),
    ("unlinkat", "EIO"),
    ("rmdir", "EIO"),
    ("fchmod", "EPERM"),
    ("ftruncate", "EIO"),
    ("flock", "ENOLCK"),
    ("getdents64", "EIO"),
    ("statx", "EIO"),
    ("newfstatat", "EIO"),
];
/// Calls that clearing up needs: where one of them is refused, something may lie about until the next run.
const CLEARING: [&str; 7] = ["unlink", "unlinkat", "rmdir", "openat", "getdents64", "statx", "newfstatat"];

struct Case {
    typed: &'static [&'static str],
    /// What has written what lies there before.
    earlier: &'static [&'static str],
    /// Whether all of it is there or nothing.
    is_one: bool,
}

const fn case(typed: &'static [&'static str], earlier: &'static [&'static str]) -> Case {
    Case { typed, earlier, is_one: true }
}

const CASES: [Case; 10] = [
    case(&["compose", "boat", "-o", "out/boat.pdf"], &["compose", "boat", "--edition", "chart", "-o", "out/boat.pdf"]),
    case(
        &["impose", "boat.pdf", "-o", "out/sheets.pdf"],
        &["impose", "boat.pdf", "--lay", "flat", "-o", "out/sheets.pdf"],
    ),
    Case { typed: &["copies", "boat.pdf", "--buyers", "list.csv", "-o", "out"], earlier: &[], is_one: false },
    case(
        &["pictures", "boat", "--width", "200", "-o", "out/drawn"],
        &["pictures", "boat", "--width", "220", "-o", "out/drawn"],
    ),
    case(
        &["shop", "boat", "-o", "out", "--edition", "chart", "--paper", "a4", "--width", "200"],
        &["shop", "boat", "-o", "out", "--edition", "chart", "--paper", "a5", "--width", "200"],
    ),
    case(&["new", "out/new"], &[]),
    case(&["new", "out"], &[]),
    case(&["chart-from", "drawing.csv", "-o", "out/drawn"], &[]),
    case(&["chart-from", "drawing.csv", "-o", "out"], &[]),
    Case { typed: &["manual", "out"], earlier: &[], is_one: false },
];

/// Commands that are turned away, for what lies there is somebody's.
const TURNED_AWAY: [(&[&str], &str); 5] = [
    (&["compose", "boat", "-o", "out/notes.txt"], "out/notes.txt"),
    (&["compose", "boat", "-o", "out/chart.txt"], "out/chart.txt"),
    (&["pictures", "boat", "--width", "200", "-o", "out"], "out/notes.txt"),
    (&["new", "out"], "out/chart.txt"),
    (&["copies", "boat.pdf", "--buyers", "list.csv", "-o", "out"], "out/MANIFEST.toml"),
];

struct Room(tempfile::TempDir);

impl Room {
    fn new() -> Room {
        let room = Room(tempfile::tempdir().expect("a folder"));
        super::shop::pattern(room.path(), "NNNNNNNN\nNNCCCNNN\n");
        std::fs::rename(room.path().join("tiny"), room.path().join("boat")).expect("renamed");
        let layout = include_str!("../../layouts/booklet.toml");
        let (head, rest) = layout.split_once("sections = [").expect("sections");
        let (_, rest) = rest.split_once("new-page = [").expect("pages");
        let (_, rest) = rest.split_once(']').expect("an end");
        let short = format!("{head}sections = [\"cover\", \"chart\"]\nnew-page = [\"chart\"]{rest}");
        std::fs::write(room.path().join("boat/layout.toml"), short).expect("a layout");
        let project = room.path().join("boat/project.toml");
        let text = std::fs::read_to_string(&project).expect("a project");
        std::fs::write(project, format!("{text}[print]\nlayout = \"layout.toml\"\n")).expect("a project");
        std::fs::write(room.path().join("list.csv"), "name\nAda Example\nBo Example\n").expect("a list");
        std::fs::write(room.path().join("drawing.csv"), "N,N,C\nN,C,C\n").expect("a drawing");
        let ran = room.run(&["compose", "boat", "--edition", "materials", "--paper", "a5", "-o", "boat.pdf"]);
        assert!(ran.status.success(), "{}", said(&ran));
        room
    }

    fn path(&self) -> &Path {
        self.0.path()
    }

    fn run(&self, typed: &[&str]) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_hitchpress"));
        command.args(typed).current_dir(self.path()).output().expect("the program starts")
    }

    /// Runs a command below strace, and gives what that has written down.
    fn traced(&self, options: &[&str], typed: &[&str]) -> (Output, String) {
        let notes = self.path().join("calls");
        let output = Command::new("strace")
            .args(["-f", "-qq", "-y", "-o"])
            .arg(&notes)
            .args(options)
            .arg(env!("CARGO_BIN_EXE_hitchpress"))
            .args(typed)
            .current_dir(self.path())
            .output()
            .expect("strace runs");
        (output, String::from_utf8_lossy(&std::fs::read(notes).expect("notes")).into_owned())
    }

    /// What lies below `out`, and how much of it is unfinished work.
    fn files(&self) -> (Files, usize) {
        let all = super::shop::all(&self.path().join("out")).into_iter();
        let named = all.map(|(path, bytes)| {
            (path.strip_prefix(self.path()).expect("in the room").to_string_lossy().into_owned(), bytes)
        });
        let (unfinished, files): (Files, Files) = named.partition(|(name, _)| name.contains(".hitchpress-"));
        (files, unfinished.len())
    }

    fn restore(&self, files: &Files) {
        let _none = std::fs::remove_dir_all(self.path().join("out"));
        std::fs::create_dir(self.path().join("out")).expect("a folder");
        for (name, bytes) in files {
            let path = self.path().join(name);
            std::fs::create_dir_all(path.parent().expect("a folder")).expect("folders");
            std::fs::write(path, bytes).expect("a file");
        }
    }

    /// Of each call which ones, counted within their thread, have to do with the folder.
    fn calls(&self, typed: &[&str]) -> BTreeMap<&'static str, Vec<usize>> {
        let names: Vec<&str> = CALLS.iter().map(|(call, _)| *call).collect();
        let (_, notes) = self.traced(&["-e", &format!("trace={}", names.join(","))], typed);
        let shown = self.path().canonicalize().expect("a folder").join("out").display().to_string();
        let mut counts: BTreeMap<(&str, &str), usize> = BTreeMap::new();
        let mut found: BTreeMap<&'static str, BTreeSet<usize>> = BTreeMap::new();
        for line in notes.lines() {
            let Some((thread, rest)) = line.split_once(' ') else { continue };
            let Some((name, arguments)) = rest.trim_start().split_once('(') else { continue };
            let Some((call, _)) = CALLS.iter().find(|(call, _)| *call == name) else { continue };
            let count = counts.entry((thread, call)).or_default();
            *count += 1;
            if arguments.contains(&shown) || arguments.contains("\"out") {
                found.entry(call).or_default().insert(*count);
            }
        }
        found.into_iter().map(|(call, which)| (call, which.into_iter().collect())).collect()
    }
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// All of these, or one.
fn chosen(which: &[usize], random: &mut fastrand::Rng) -> Vec<usize> {
    match std::env::var("HITCHPRESS_CALLS").as_deref() {
        Ok("all") => which.to_vec(),
        _ => which.get(random.usize(0..which.len())).copied().into_iter().collect(),
    }
}

/// A call that is refused.
struct Refusal {
    call: &'static str,
    /// Which one of which command, for whoever reads that it went wrong.
    why: String,
    /// How strace is asked for it.
    inject: String,
}

impl Refusal {
    /// Runs the command with it. The number of a call counts in every thread: where it was also one that brings the program
    /// into memory, before anything of ours runs, nothing is placed.
    fn place(&self, room: &Room, typed: &[&str]) -> Placed {
        let (ran, notes) = room.traced(&["-e", &format!("trace={}", self.call), "-e", &self.inject], typed);
        let is_loaded = ran.status.code() != Some(127);
        let hushed = notes.lines().any(|line| line.contains("write(2<") && line.contains("(INJECTED)"));
        Placed { is_placed: is_loaded && notes.contains("(INJECTED)"), is_loaded, hushed, ran }
    }
}

/// A command that was refused a call.
struct Placed {
    ran: Output,
    is_placed: bool,
    /// Whether the program was brought into memory.
    is_loaded: bool,
    /// Whether what it had to say was refused.
    hushed: bool,
}

/// Tries all refusals, as many at a time as there are cores, each in a room that nobody else is in. Gives how many were
/// placed, and what went wrong.
fn each(all: &[Refusal], try_one: impl Fn(&Room, &Refusal, &mut Vec<String>) -> bool + Sync) -> (usize, Vec<String>) {
    let (next, placed, wrong) = (AtomicUsize::new(0), AtomicUsize::new(0), Mutex::new(Vec::new()));
    let hand = || {
        let room = Room::new();
        while let Some(refusal) = all.get(next.fetch_add(1, Ordering::Relaxed)) {
            let mut found = Vec::new();
            placed.fetch_add(usize::from(try_one(&room, refusal, &mut found)), Ordering::Relaxed);
            wrong.lock().expect("no other panicked").append(&mut found);
        }
    };
    let hands = std::thread::available_parallelism().map_or(1, usize::from).min(all.len());
    std::thread::scope(|scope| (0..hands).for_each(|_| drop(scope.spawn(&hand))));
    (placed.into_inner(), wrong.into_inner().expect("no other panicked"))
}

/// Every refusal for a command.
fn refusals(room: &Room, typed: &[&str], random: &mut fastrand::Rng) -> Vec<Refusal> {
    let calls = room.calls(typed);
    assert!(calls.contains_key("openat"), "{typed:?}: strace sees no call: {calls:?}");
    let mut all = Vec::new();
    for (call, error) in CALLS {
        for which in calls.get(call).map_or_else(Vec::new, |which| chosen(which, random)) {
            let inject = format!("inject={call}:error={error}:when={which}");
            all.push(Refusal { call, why: format!("{typed:?}, {call} {which}"), inject });
        }
    }
    all
}

#[test]
fn whatever_call_is_refused_the_old_or_the_new_is_there_and_the_next_run_clears_up() {
    let mut random = fastrand::Rng::with_seed(20_261_129);
    let (mut placed, mut wrong) = (0, Vec::new());
    for case in CASES {
        let room = Room::new();
        room.restore(&Files::new());
        if !case.earlier.is_empty() {
            let ran = room.run(case.earlier);
            assert!(ran.status.success(), "{:?}: {}", case.earlier, said(&ran));
        }
        let (before, _) = room.files();
        let ran = room.run(case.typed);
        assert!(ran.status.success(), "{:?}: {}", case.typed, said(&ran));
        let (after, _) = room.files();
        room.restore(&before);
        let all = refusals(&room, case.typed, &mut random);
        let (count, found) = each(&all, |room, refusal, wrong| {
            let Refusal { call, why, .. } = refusal;
            room.restore(&before);
            let Placed { ran, is_placed, is_loaded, hushed } = refusal.place(room, case.typed);
            if !is_loaded {
                return false;
            }
            let mut check = |holds: bool, what: &str| {
                if !holds {
                    wrong.push(format!("{why}: {what}; code {:?}, {}", ran.status.code(), said(&ran)));
                }
            };
            let code = ran.status.code();
            check(matches!(code, Some(0..=3)) && !said(&ran).contains("panicked"), "ends otherwise than it should");
            let (found, strays) = room.files();
            let of = |name: &String, bytes: &Vec<u8>| before.get(name) == Some(bytes) || after.get(name) == Some(bytes);
            let is_list = |name: &str| !case.is_one && name.ends_with("MANIFEST.toml");
            check(found.iter().all(|(name, bytes)| is_list(name) || of(name, bytes)), "a file is neither old nor new");
            check(!case.is_one || found == before || found == after, "neither all nor nothing");
            check(code != Some(0) || found == after, "says that it is done");
            check(code == Some(0) || !case.is_one || found == before, "says that it failed, and all is there");
            check(code == Some(0) || hushed || !said(&ran).is_empty(), "says nothing");
            check(strays == 0 || CLEARING.contains(call), "something lies about");
            // What is there already is told as such, and stays.
            let again = room.run(case.typed);
            let (last, strays) = room.files();
            check(strays == 0, "the next run leaves something lying about");
            check(
                found == after || (again.status.success() && last == after),
                "the next run does not bring it to an end",
            );
            is_placed
        });
        placed += count;
        wrong.extend(found);
    }
    println!("{placed} calls refused");
    assert!(placed > 60, "only {placed} calls were refused");
    assert!(wrong.is_empty(), "{} of {placed}:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn whatever_call_is_refused_what_is_somebodys_stays_as_it_is() {
    let mut random = fastrand::Rng::with_seed(20_261_129);
    let (mut placed, mut wrong) = (0, Vec::new());
    for (typed, name) in TURNED_AWAY {
        let room = Room::new();
        let before = Files::from([(name.to_owned(), b"mine\n".to_vec())]);
        room.restore(&before);
        let (count, found) = each(&refusals(&room, typed, &mut random), |room, refusal, wrong| {
            room.restore(&before);
            let Placed { ran, is_placed, .. } = refusal.place(room, typed);
            let (found, _) = room.files();
            if found.get(name) != before.get(name) || ran.status.success() {
                let (why, code) = (&refusal.why, ran.status.code());
                wrong.push(format!("{why}: {name} is touched; code {code:?}, {}", said(&ran)));
            }
            is_placed
        });
        placed += count;
        wrong.extend(found);
    }
    println!("{placed} calls refused");
    assert!(placed > 10 && wrong.is_empty(), "{} of {placed}:\n{}", wrong.len(), wrong.join("\n"));
}
