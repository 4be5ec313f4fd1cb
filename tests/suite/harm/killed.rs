//! Every writing command killed at random moments: each file is the old one or the new one, whole; what must be whole
//! together is; and the next run leaves nothing lying about.

use super::boat;
use crate::support::Room;
use std::collections::BTreeMap;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// How often each command is killed, unless `HITCHPRESS_KILLS` says otherwise.
const KILLS: usize = 2;

/// What lies in a room, by name; unfinished work is not counted.
type Files = BTreeMap<String, Vec<u8>>;

/// A command that writes, and how what it writes belongs together.
struct Writing {
    /// What is typed.
    typed: &'static [&'static str],
    /// What was typed before: it has written what lies there. Empty: nothing lies there.
    earlier: &'static [&'static str],
    /// Whether all that it writes is there or nothing of it.
    is_one: bool,
}

/// All of it is written below this folder of the room.
const OUT: &str = "out";

/// Every command that writes; the board is killed over its socket, in `board.rs`.
const ALL: [Writing; 10] = [
    Writing {
        typed: &["compose", "boat", "-o", "out/boat.pdf"],
        earlier: &["compose", "boat", "--edition", "materials", "-o", "out/boat.pdf"],
        is_one: true,
    },
    Writing {
        typed: &["impose", "boat.pdf", "-o", "out/sheets.pdf"],
        earlier: &["impose", "boat.pdf", "--lay", "flat", "-o", "out/sheets.pdf"],
        is_one: true,
    },
    Writing { typed: &["copies", "boat.pdf", "--buyers", "list.csv", "-o", "out"], earlier: &[], is_one: false },
    Writing {
        typed: &["pictures", "boat", "--width", "200", "-o", "out/pictures"],
        earlier: &["pictures", "boat", "--width", "220", "-o", "out/pictures"],
        is_one: true,
    },
    Writing {
        typed: &["shop", "boat", "-o", "out", "--edition", "chart", "--paper", "a4", "--width", "200"],
        earlier: &["shop", "boat", "-o", "out", "--edition", "chart", "--paper", "a5", "--width", "200"],
        is_one: true,
    },
    Writing { typed: &["new", "out/new"], earlier: &[], is_one: true },
    Writing { typed: &["new", "out"], earlier: &[], is_one: true },
    Writing { typed: &["chart-from", "sketch.png", "--columns", "9", "-o", "out/sketch"], earlier: &[], is_one: true },
    Writing { typed: &["chart-from", "sketch.png", "--columns", "9", "-o", "out"], earlier: &[], is_one: true },
    Writing { typed: &["manual", "out"], earlier: &[], is_one: false },
];

fn files(room: &Room) -> Files {
    let all = room.files().into_iter();
    let named = all.map(|(path, bytes)| {
        let name = path.strip_prefix(room.path()).expect("in the room").to_string_lossy().into_owned();
        (name, bytes)
    });
    named.filter(|(name, _)| name.starts_with(&format!("{OUT}/")) && !name.contains(".hitchpress-")).collect()
}

fn strays(room: &Room) -> usize {
    room.files().iter().filter(|(path, _)| path.to_string_lossy().contains(".hitchpress-")).count()
}

/// Puts back what was there before.
fn restore(room: &Room, before: &Files) {
    std::fs::remove_dir_all(room.path().join(OUT)).expect("removed");
    std::fs::create_dir(room.path().join(OUT)).expect("a folder");
    before.iter().for_each(|(name, bytes)| drop(room.write(name, bytes)));
}

/// A drawing of a sail in two colours.
fn sketch() -> Vec<u8> {
    let drawn = image::RgbImage::from_fn(90, 60, |x, y| {
        image::Rgb(if x.abs_diff(45) * 2 < y { [239, 230, 210] } else { [35, 58, 92] })
    });
    let mut bytes = std::io::Cursor::new(Vec::new());
    drawn.write_to(&mut bytes, image::ImageFormat::Png).expect("a picture");
    bytes.into_inner()
}

#[test]
#[ignore = "dear: .ci/run runs it with --ignored"]
fn killed_at_any_moment_a_command_leaves_the_old_or_the_new_whole_and_the_next_run_clears_up() {
    let kills = std::env::var("HITCHPRESS_KILLS").ok().map(|n| n.parse().expect("a number")).unwrap_or(KILLS);
    let mut random = fastrand::Rng::with_seed(20_261_128);
    for writing in ALL {
        let room = boat();
        let buyers = (0..30).map(|n| format!("Buyer {n}\n"));
        room.write("list.csv", buyers.fold("name\n".to_owned(), |all, line| all + &line));
        room.write("sketch.png", sketch());
        std::fs::create_dir(room.path().join(OUT)).expect("a folder");
        if !writing.earlier.is_empty() {
            let ran = room.run(writing.earlier);
            assert_eq!(ran.code, 0, "{:?}: {}", writing.earlier, ran.err);
        }
        let before = files(&room);
        let began = Instant::now();
        let ran = room.run(writing.typed);
        assert_eq!(ran.code, 0, "{:?}: {}", writing.typed, ran.err);
        let mut usual = began.elapsed();
        let after = files(&room);
        assert!(before != after, "{:?}: old and new are the same", writing.typed);
        restore(&room, &before);
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
            let why = format!("{:?}, kill {kill}", writing.typed);
            let found = files(&room);
            old_or_new(&room, &writing, [&before, &after, &found], &why);
            // Every second time upon what is left, every second time anew.
            if found == after || (kill % 2 == 0 && before.is_empty()) {
                let _told = room.run(writing.typed);
                assert_eq!(strays(&room), 0, "{why}: left lying about");
                restore(&room, &before);
            }
        }
        let _told = room.run(writing.typed);
        eprintln!("{:?}: {stopped} killed, {left} times something left over", writing.typed);
        assert_eq!(strays(&room), 0, "{:?}: left lying about", writing.typed);
        assert!(files(&room) == after, "{:?}", writing.typed);
        assert!(kills < 10 || stopped * 10 > kills * 9, "{:?}: only {stopped} of {kills}", writing.typed);
    }
}

/// Every file that was found is the old one or the new one, and of what belongs together all is there or nothing.
fn old_or_new(room: &Room, writing: &Writing, [before, after, found]: [&Files; 3], why: &str) {
    for (name, bytes) in found {
        let is_whole = after.get(name) == Some(bytes) || before.get(name) == Some(bytes);
        let is_list = !writing.is_one && name.ends_with("MANIFEST.toml");
        assert!(is_whole || is_list, "{why}: {name} is neither old nor new");
    }
    if writing.is_one {
        // Files that are being moved, which the next run brings to an end.
        let mut entries = room.path().join(OUT).read_dir().expect("a folder").flatten();
        let is_ready = entries.any(|e| e.file_name().to_string_lossy().contains("-ready-"));
        assert!(found == before || found == after || is_ready, "{why}: neither all nor nothing");
    } else if let Some(list) = found.get(&format!("{OUT}/MANIFEST.toml")) {
        let list: toml::Table = String::from_utf8_lossy(list).parse().expect("a list that is whole");
        let listed = list["copy"].as_array().map(Vec::as_slice).unwrap_or_default();
        let is_listed = |name: &str| listed.iter().any(|copy| copy["file"].as_str() == Some(name));
        let copies = found.keys().filter_map(|name| name.strip_prefix("out/")).filter(|n| n.ends_with(".pdf"));
        copies.for_each(|name| assert!(is_listed(name), "{why}: {name} is not in the list"));
    }
}
