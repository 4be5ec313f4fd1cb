//! `shop` killed at random moments: the old folder or the new one, whole, and nothing left lying about.

use super::pattern::{CHART, QUICK, Shelf, tiny};
use crate::support::Room;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// How often it is killed, unless `HITCHPRESS_KILLS` says otherwise.
const KILLS: usize = 4;

#[test]
#[ignore = "dear: .ci/run runs it with --ignored"]
fn killed_at_any_moment_it_leaves_the_old_folder_or_the_new_one_and_the_next_run_clears_up() {
    let kills = std::env::var("HITCHPRESS_KILLS").ok().map(|n| n.parse().expect("a number")).unwrap_or(KILLS);
    let room = Room::new();
    let project = tiny(&room, "tiny", "Tiny Boat");
    let typed = [&["shop", "tiny", "-o", "shelf"][..], &QUICK].concat();
    let folder = room.path().join("shelf/tiny-boat-shop");
    let charts = [CHART.to_owned(), CHART.replace("CCCCCCCC", "CCCNNCCC")];
    // What each of the two looks like, but for the note, which tells how it came about.
    let of = |shelf: &Shelf| {
        let mut all = shelf.all();
        all.remove("keep/CHANGES.txt");
        all
    };
    let mut wanted = Vec::new();
    let mut whole_run = Duration::ZERO;
    for chart in &charts {
        room.write("tiny/chart.txt", chart);
        let began = Instant::now();
        assert_eq!(room.run(&typed).code, 0);
        whole_run = began.elapsed();
        wanted.push(of(&Shelf::whole(&folder)));
    }
    assert!(wanted[0] != wanted[1], "a change of the chart changes no file");
    let mut random = fastrand::Rng::with_seed(20_261_126);
    // How long a run takes hangs on what else the machine does, so it is followed: runs that end by themselves shorten it.
    let mut usual = whole_run;
    let (mut before, mut stopped, mut strays, mut exchanged) = (1, 0, 0, 0);
    let mut runs = 0;
    while stopped < kills {
        assert!(runs < 3 * kills + 10, "of {runs} runs only {stopped} were killed before they ended");
        let (kill, now) = (runs, runs % 2);
        runs += 1;
        room.write("tiny/chart.txt", &charts[now]);
        let mut run = Command::new(env!("CARGO_BIN_EXE_hitchpress"))
            .args(&typed)
            .current_dir(room.path())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program starts");
        // Every second time near the end, where the folders change places.
        let share = if kill % 4 < 2 { random.f64() * 1.05 } else { 0.85 + random.f64() * 0.2 };
        std::thread::sleep(usual.mul_f64(share));
        run.kill().expect("killed, or gone by itself");
        let in_time = !run.wait().expect("it ends").success();
        usual = usual.mul_f64(if in_time { 1.04 } else { 0.9 });
        stopped += usize::from(in_time);
        let shelf = Shelf::read_whole(&folder).unwrap_or_else(|why| panic!("kill {kill} at {share:.3}: {why}"));
        let found = of(&shelf);
        let is_old = found == wanted[before];
        assert!(in_time || !is_old || before == now, "a run that ended by itself has left the old folder");
        assert!(is_old || found == wanted[now], "kill {kill} at {share:.3}: neither the old folder nor the new one");
        exchanged += usize::from(!is_old);
        before = if is_old { before } else { now };
        strays += usize::from(names(&room).len() > 1);
    }
    eprintln!("{stopped} of {runs} runs killed: {exchanged} new folders, {strays} times something left over");
    assert_eq!(room.run(&typed).code, 0);
    Shelf::whole(&folder);
    assert_eq!(names(&room), ["tiny-boat-shop"]);
    // The project itself is as it was.
    assert!(project.is_file());
    assert_eq!(std::fs::read_dir(room.path().join("tiny")).expect("a folder").count(), 2);
}

/// What lies where the folder lies.
fn names(room: &Room) -> Vec<std::ffi::OsString> {
    let mut names: Vec<_> =
        std::fs::read_dir(room.path().join("shelf")).expect("a folder").flatten().map(|e| e.file_name()).collect();
    names.sort();
    names
}
