//! Every writing command killed at random moments: each file is the old one or the new one, whole; what must be whole
//! together is; and the next run leaves nothing lying about.

use super::boat;
use crate::support::Room;
use std::collections::BTreeMap;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// How often each command is killed, unless `HITCHPRESS_KILLS` says otherwise.
const KILLS: usize = 3;

/// What lies in a room, by name; unfinished work is not counted.
type Files = BTreeMap<String, Vec<u8>>;

/// A command that writes, and how what it writes belongs together.
struct Writing {
    /// What is typed.
    typed: &'static [&'static str],
    /// The folder that holds all it writes, from the room.
    out: &'static str,
    /// Whether that is there whole or not at all.
    is_one: bool,
}

const ALL: [Writing; 7] = [
    Writing { typed: &["compose", "boat", "-o", "out/boat.pdf"], out: "out", is_one: true },
    Writing { typed: &["impose", "boat.pdf", "-o", "out/sheets.pdf"], out: "out", is_one: true },
    Writing { typed: &["copies", "boat.pdf", "--buyers", "list.csv", "-o", "out"], out: "out", is_one: false },
    Writing { typed: &["pictures", "boat", "--width", "200", "-o", "out/pictures"], out: "out", is_one: true },
    Writing { typed: &["new", "out/new"], out: "out", is_one: true },
    Writing { typed: &["new", "out"], out: "out", is_one: true },
    Writing { typed: &["manual", "out"], out: "out", is_one: false },
];

fn files(room: &Room, out: &str) -> Files {
    let all = room.files().into_iter();
    let named = all.map(|(path, bytes)| {
        let name = path.strip_prefix(room.path()).expect("in the room").to_string_lossy().into_owned();
        (name, bytes)
    });
    named.filter(|(name, _)| name.starts_with(&format!("{out}/")) && !name.contains(".hitchpress-")).collect()
}

fn strays(room: &Room) -> usize {
    room.files().iter().filter(|(path, _)| path.to_string_lossy().contains(".hitchpress-")).count()
}

fn fresh(room: &Room, out: &str) {
    std::fs::remove_dir_all(room.path().join(out)).expect("removed");
    std::fs::create_dir(room.path().join(out)).expect("a folder");
}

#[test]
fn killed_at_any_moment_a_command_leaves_the_old_or_the_new_whole_and_the_next_run_clears_up() {
    let kills = std::env::var("HITCHPRESS_KILLS").ok().map(|n| n.parse().expect("a number")).unwrap_or(KILLS);
    let mut random = fastrand::Rng::with_seed(20_261_128);
    for writing in ALL {
        let room = boat();
        room.write(
            "list.csv",
            (0..30).map(|n| format!("Buyer {n}\n")).fold("name\n".to_owned(), |all, line| all + &line),
        );
        std::fs::create_dir(room.path().join(writing.out)).expect("a folder");
        let before = files(&room, writing.out);
        let began = Instant::now();
        let ran = room.run(writing.typed);
        assert_eq!(ran.code, 0, "{:?}: {}", writing.typed, ran.err);
        let mut usual = began.elapsed();
        let after = files(&room, writing.out);
        fresh(&room, writing.out);
        let (mut stopped, mut left) = (0, 0);
        for kill in 0..4 * kills + 8 {
            if stopped == kills {
                break;
            }
            let mut run = Command::new(env!("CARGO_BIN_EXE_hitchpress"))
                .args(writing.typed)
                .current_dir(room.path())
                .stderr(Stdio::null())
                .spawn()
                .expect("the program starts");
            std::thread::sleep(usual.mul_f64(0.4 + random.f64() * 0.65).max(Duration::from_micros(200)));
            run.kill().expect("killed, or gone by itself");
            let in_time = !run.wait().expect("it ends").success();
            stopped += usize::from(in_time);
            usual = usual.mul_f64(if in_time { 1.05 } else { 0.9 });
            left += strays(&room);
            let found = files(&room, writing.out);
            let why = format!("{:?}, kill {kill}", writing.typed);
            for (name, bytes) in &found {
                let is_whole = after.get(name) == Some(bytes) || name.ends_with("MANIFEST.toml");
                assert!(is_whole, "{why}: {name} is neither old nor new");
            }
            if writing.is_one {
                let is_ready = room.path().join(writing.out).read_dir().expect("a folder").flatten();
                // Files that are being moved, which the next run brings to an end.
                let is_ready = is_ready.filter(|e| e.file_name().to_string_lossy().contains("-ready-")).count() > 0;
                assert!(found == before || found == after || is_ready, "{why}: neither all nor nothing");
            }
            if let Some(list) = found.get(&format!("{}/MANIFEST.toml", writing.out)) {
                let list: toml::Table = String::from_utf8_lossy(list).parse().expect("a list that is whole");
                let listed = list["copy"].as_array().map(Vec::as_slice).unwrap_or_default();
                let is_listed = |name: &str| listed.iter().any(|copy| copy["file"].as_str() == Some(name));
                let copies = found.keys().filter_map(|name| name.strip_prefix("out/")).filter(|n| n.ends_with(".pdf"));
                copies.for_each(|name| assert!(is_listed(name), "{why}: {name} is not in the list"));
            }
            // Every second time upon what is left, every second time anew.
            if found == after || (kill % 2 == 0 && writing.typed[0] == "new") {
                let _told = room.run(writing.typed);
                assert_eq!(strays(&room), 0, "{why}: left lying about");
                fresh(&room, writing.out);
            }
        }
        let _told = room.run(writing.typed);
        eprintln!("{:?}: {stopped} killed, {left} times something left over", writing.typed);
        assert_eq!(strays(&room), 0, "{:?}: left lying about", writing.typed);
        assert!(files(&room, writing.out) == after, "{:?}", writing.typed);
    }
}
