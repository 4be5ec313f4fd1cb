use super::*;

fn files(pairs: &[(&str, &str)]) -> Files {
    pairs.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())).collect()
}

fn opened(folder: &Path, disk: &Files) -> Journal {
    Journal::open(folder, std::fs::read(Journal::path_in(folder)).ok(), disk)
}

fn random_files(random: &mut fastrand::Rng) -> Files {
    let mut all = Files::new();
    for name in ["chart.png", "project.toml"] {
        if random.u8(0..8) > 0 {
            let bytes = (0..random.usize(0..12)).map(|_| *random.choice(&[b'A', b'B', 0, 0xc3, 0xff]).expect("one"));
            all.insert(name.to_owned(), bytes.collect());
        }
    }
    all
}

#[test]
fn steps_are_undone_and_done_again_after_any_restart() {
    let mut random = fastrand::Rng::with_seed(5);
    for _ in 0..30 {
        let room = tempfile::tempdir().expect("a folder");
        let first = random_files(&mut random);
        let mut journal = opened(room.path(), &first);
        let mut model = vec![first.clone()];
        let mut at = 0;
        for turn in 0..40 {
            match random.u8(0..4) {
                0 | 1 => {
                    let next = random_files(&mut random);
                    journal.record("knots", false, turn, &next).expect("recorded");
                    model.truncate(at + 1);
                    model.push(next);
                    at += 1;
                }
                2 => {
                    let done = journal.step(true).expect("noted");
                    assert_eq!(done.is_some(), at > 0);
                    at = at.saturating_sub(1);
                }
                _ => {
                    let done = journal.step(false).expect("noted");
                    assert_eq!(done.is_some(), at + 1 < model.len());
                    at = (at + 1).min(model.len() - 1);
                }
            }
            assert_eq!(journal.files(), &model[at]);
            if random.u8(0..5) == 0 {
                let n = journal.n();
                journal = opened(room.path(), &model[at]);
                if n > 0 {
                    assert_eq!((journal.n(), journal.files()), (n, &model[at]));
                }
            }
        }
        for (count, state) in model.iter().enumerate() {
            assert_eq!(journal.state(count).as_ref(), Some(state));
        }
        assert_eq!(journal.state(model.len()), None);
    }
}

#[test]
fn a_journal_cut_off_anywhere_opens_at_its_last_whole_line() {
    let room = tempfile::tempdir().expect("a folder");
    let states: Vec<Files> = (0..6).map(|n| files(&[("chart.txt", &"A".repeat(n + 1))])).collect();
    let mut journal = opened(room.path(), &states[0]);
    for state in &states[1..] {
        journal.record("knots", false, 0, state).expect("recorded");
    }
    let whole = std::fs::read(Journal::path_in(room.path())).expect("a journal");
    for cut in 0..=whole.len() {
        let lines = whole[..cut].iter().filter(|b| **b == b'\n').count();
        let journal = Journal::open(room.path(), Some(whole[..cut].to_vec()), &states[5]);
        let wanted = if lines == 0 { &states[5] } else { &states[lines - 1] };
        assert_eq!(journal.files(), wanted, "{cut}");
    }
    // What was torn is written over by the next line.
    std::fs::write(Journal::path_in(room.path()), &whole[..whole.len() - 3]).expect("torn");
    let mut journal = opened(room.path(), &states[4]);
    journal.record("knots", false, 0, &states[0]).expect("recorded");
    assert_eq!(opened(room.path(), &states[0]).files(), &states[0]);
}

#[test]
fn strange_bytes_are_no_journal_and_do_no_harm() {
    let now = files(&[("chart.txt", "A")]);
    for bytes in [&b""[..], b"{}\n", b"\xff\xff\n", b"{\"undo\":{\"moved\":false}}\n", b"[[[[\n"] {
        let room = tempfile::tempdir().expect("a folder");
        let mut journal = Journal::open(room.path(), Some(bytes.to_vec()), &now);
        assert_eq!(journal.files(), &now);
        journal.record("knots", false, 0, &files(&[("chart.txt", "B")])).expect("recorded");
        assert!(journal.step(true).expect("noted").is_some());
        assert_eq!(journal.files(), &now);
    }
}

#[test]
fn a_step_between_two_files_is_seen_as_half_done() {
    let room = tempfile::tempdir().expect("a folder");
    let (old, new) = (files(&[("a", "1"), ("b", "1")]), files(&[("a", "2"), ("b", "2")]));
    let mut journal = opened(room.path(), &old);
    journal.record("form", false, 0, &new).expect("recorded");
    assert!(journal.is_half_done(&files(&[("a", "2"), ("b", "1")])));
    for disk in [old, new, files(&[("a", "2"), ("b", "3")]), files(&[("a", "1")])] {
        assert!(!journal.is_half_done(&disk), "{disk:?}");
    }
}

#[cfg(unix)]
#[test]
fn no_journal_is_written_through_a_link() {
    let room = tempfile::tempdir().expect("a folder");
    let (inside, outside) = (room.path().join("panel"), room.path().join("elsewhere"));
    for folder in [&inside, &outside] {
        std::fs::create_dir(folder).expect("a folder");
    }
    std::os::unix::fs::symlink(&outside, inside.join(FOLDER)).expect("a link");
    let mut journal = opened(&inside, &Files::new());
    journal.record("knots", false, 0, &files(&[("chart.txt", "B")])).expect("kept in memory");
    assert!(journal.step(true).expect("noted").is_some());
    assert_eq!(std::fs::read_dir(&outside).expect("listed").count(), 0);
}

#[test]
fn a_line_taken_back_was_never_there() {
    let room = tempfile::tempdir().expect("a folder");
    let (old, new) = (files(&[("a", "1")]), files(&[("a", "2")]));
    let mut journal = opened(room.path(), &old);
    journal.record("knots", false, 0, &new).expect("recorded");
    let mark = journal.mark();
    assert!(journal.step(true).expect("noted").is_some());
    journal.take_back(&mark);
    assert_eq!(journal.files(), &new);
    let again = opened(room.path(), &new);
    assert_eq!((again.files(), again.n()), (&new, 1));
}
