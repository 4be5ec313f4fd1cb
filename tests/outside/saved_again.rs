//! A file that another program has saved again says the same, and is proofed as the same: qpdf and mupdf (whose saving is that
//! of `mutool clean`), in all of their ways, for four editions, a licensed copy, and sheets. Without `HITCHPRESS_ALL`, as `.ci/full` sets it, all ways
//! are tried with the edition that is soon proofed, and one of each program with the others.

use super::{Reader, run};
use std::path::{Path, PathBuf};
use std::process::Command;

const QPDF: [&[&str]; 9] = [
    &["--linearize"],
    &["--object-streams=generate"],
    &["--object-streams=disable"],
    &["--stream-data=uncompress"],
    &["--qdf"],
    &["--recompress-flate", "--compression-level=9"],
    &["--coalesce-contents", "--normalize-content=y"],
    &["--remove-unreferenced-resources=yes"],
    &["--newline-before-endstream", "--preserve-unreferenced", "--force-version=2.0"],
];
const MUPDF: [&str; 7] = [
    "as it is",
    "clean",
    "clean, doubles merged",
    "compressed",
    "decompressed",
    "objects in streams",
    "laid out to be read",
];

/// What is wrong with what is said of a file that was saved again.
fn alarm(project: &str, file: &Path, how: &str) -> Option<String> {
    let typed = ["proof", project, &file.display().to_string()];
    let ran = Command::new(env!("CARGO_BIN_EXE_hitchpress")).args(typed).output().expect("the program starts");
    let said = String::from_utf8_lossy(&ran.stderr).into_owned();
    let is_same = said.contains("saved again by another program") && said.contains("nothing is different");
    (!ran.status.success() || !is_same).then(|| format!("{how}: {}", said.chars().take(600).collect::<String>()))
}

#[test]
fn a_file_that_was_saved_again_is_no_false_alarm() {
    let room = tempfile::tempdir().expect("a folder");
    let program = env!("CARGO_BIN_EXE_hitchpress");
    let project = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/two-pears").display().to_string();
    let place = |name: &str| room.path().join(name).display().to_string();
    for edition in ["booklet", "chart", "large-print", "materials"] {
        run(program, &["compose", &project, "--edition", edition, "-o", &place(&format!("{edition}.pdf"))]);
    }
    std::fs::write(room.path().join("list.csv"), "name,order\nAda Fernley & Söhne,17\n").expect("a list");
    run(program, &["copies", &place("booklet.pdf"), "--buyers", &place("list.csv"), "-o", &place("copies")]);
    let copy = "copies/booklet-ada-fernley-sohne-17.pdf";
    run(program, &["impose", &place("booklet.pdf"), "--lay", "flat", "--sheet", "tabloid", "-o", &place("sheets.pdf")]);
    let mut wrong = Vec::new();
    for name in ["booklet.pdf", "chart.pdf", "large-print.pdf", "materials.pdf", copy, "sheets.pdf"] {
        let (file, again) = (place(name), place("again.pdf"));
        let saved = |again: &str| std::fs::read(again).expect("a file") != std::fs::read(&file).expect("a file");
        let every = super::every_nth().is_some() || name == "materials.pdf";
        let (qpdf, mupdf) = if every { (&QPDF[..], &MUPDF[..]) } else { (&QPDF[4..5], &MUPDF[2..3]) };
        for options in qpdf {
            run("qpdf", &[*options, &[&file, &again]].concat());
            assert!(saved(&again), "{options:?} changes nothing");
            wrong.extend(alarm(&project, &PathBuf::from(&again), &format!("{name}, qpdf {options:?}")));
        }
        for how in mupdf {
            let done = Reader("save_again.py").run(&[&file, &again, how]);
            assert!(done.status.success(), "{how}: {}", String::from_utf8_lossy(&done.stderr));
            wrong.extend(alarm(&project, &PathBuf::from(&again), &format!("{name}, mupdf {how}")));
        }
    }
    assert!(wrong.is_empty(), "{} false alarms:\n{}", wrong.len(), wrong.join("\n"));
}
