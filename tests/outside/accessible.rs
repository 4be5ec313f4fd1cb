//! PyPI's `pdfua` and `outloud` read our files: no error, and no rule of theirs that crashed. `HITCHPRESS_PYTHON` names the
//! python that has them.

use crate::{pairs, run};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn check(files: &[PathBuf]) -> Output {
    let python = std::env::var("HITCHPRESS_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/accessible.py");
    Command::new(&python).arg(script).args(files).output().unwrap_or_else(|e| panic!("{python} cannot run: {e}"))
}

/// A file of a sample, not proofed.
fn composed(room: &Path, [sample, edition, language, paper, look]: [&str; 5]) -> PathBuf {
    let project = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample).display().to_string();
    let file = room.join(format!("{sample}-{edition}-{language}-{paper}-{look}.pdf"));
    let name = file.display().to_string();
    let options = ["--edition", edition, "--language", language, "--paper", paper, "--look", look];
    run(env!("CARGO_BIN_EXE_hitchpress"), &[&["compose", &project, "-o", &name], &options[..]].concat());
    file
}

/// What is checked: every edition in every language, samples taking turns; with `HITCHPRESS_ALL` every sample on every paper.
/// Neither ink nor measures change what is tagged, and looks take turns.
fn wanted() -> Vec<[&'static str; 5]> {
    let [samples, editions, looks, papers, _, languages, _] = &pairs::choices()[..] else { panic!("other choices") };
    let all = crate::every_nth();
    let mut out = Vec::new();
    for (e, edition) in editions.iter().enumerate() {
        for (l, language) in languages.iter().enumerate() {
            for (s, sample) in
                samples.iter().enumerate().filter(|(s, _)| all.is_some() || *s == (e + l) % samples.len())
            {
                for (p, paper) in papers.iter().enumerate().filter(|(p, _)| all.is_some() || *p == 0) {
                    out.push([*sample, *edition, *language, *paper, looks[(e + l + s + p) % looks.len()]]);
                }
            }
        }
    }
    out.into_iter().step_by(all.unwrap_or(1)).collect()
}

#[test]
fn two_checkers_of_accessibility_find_no_error() {
    let room = tempfile::tempdir().expect("a folder");
    let files: Vec<PathBuf> = wanted().into_iter().map(|file| composed(room.path(), file)).collect();
    let done = check(&files);
    let said = String::from_utf8_lossy(&done.stdout);
    let unread = String::from_utf8_lossy(&done.stderr);
    assert!(done.status.success(), "{said}{unread}");
    assert_eq!(said.lines().filter(|line| line.ends_with("\tchecked")).count(), files.len(), "{said}{unread}");
    println!("{said}");
}

#[test]
fn the_checkers_find_what_is_broken() {
    let room = tempfile::tempdir().expect("a folder");
    let whole = composed(room.path(), ["two-pears", "materials", "en-GB", "a4", "quiet"]);
    let mut document = lopdf::Document::load(&whole).expect("our own file");
    document.catalog_mut().expect("a catalogue").remove(b"Lang");
    let broken = room.path().join("broken.pdf");
    document.save(&broken).expect("a changed file");
    let done = check(&[broken]);
    let said = String::from_utf8_lossy(&done.stdout);
    assert_eq!(done.status.code(), Some(1), "{said}");
    assert!(said.contains("pdfua\tUA-06-001") && said.contains("outloud\tDOC-013"), "{said}");
}
