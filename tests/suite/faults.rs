//! Every folder of `tests/faults` is a project with something wrong, and an `expected.txt` that says what: one line for each
//! diagnostic, `fault` or `advice`, its id, the file, line and column (`-` where there is none).

use crate::support::{Room, copy, repository};
use hitchpress::diag::{Report, Severity};
use hitchpress::project::{self, Project};
use hitchpress::source::Sources;
use std::path::{Path, PathBuf};

fn cases() -> Vec<PathBuf> {
    let mut cases: Vec<PathBuf> = std::fs::read_dir(repository("tests/faults"))
        .expect("the folder of cases")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.is_dir())
        .collect();
    cases.sort();
    cases
}

fn load(folder: &Path) -> (Option<Project>, Report, Sources) {
    let mut sources = Sources::new();
    let mut report = Report::new();
    let project = project::load(folder, &mut sources, &mut report);
    (project, report, sources)
}

/// What was found, in the form of `expected.txt`.
fn told(folder: &Path, report: &Report, sources: &Sources) -> String {
    let mut text = String::new();
    for diagnostic in report.iter() {
        let severity = match diagnostic.severity {
            Severity::Fault => "fault",
            Severity::Advice => "advice",
            Severity::Failure => "failure",
        };
        let span = diagnostic.span.expect("every fault of a project has a place");
        let path = sources.get(span.source).path();
        let file = path.strip_prefix(folder).expect("a file of the project").display().to_string();
        let (line, column) = match sources.line_column(span) {
            Some((line, column)) => (line.to_string(), column.to_string()),
            None => ("-".to_owned(), "-".to_owned()),
        };
        text.push_str(&format!("{severity} {} {file} {line} {column}\n", diagnostic.id));
    }
    text
}

#[test]
fn every_faulty_project_is_told_what_is_wrong_and_where() {
    let cases = cases();
    assert!(cases.len() >= 70, "{} cases", cases.len());
    let mut wrong = String::new();
    for case in cases {
        let expected = std::fs::read_to_string(case.join("expected.txt")).expect("expected.txt");
        let (project, report, sources) = load(&case);
        let found = told(&case, &report, &sources);
        if found != expected {
            wrong.push_str(&format!("{}\nexpected\n{expected}found\n{found}\n", case.display()));
        }
        assert_eq!(project.is_some(), !expected.contains("fault "), "{}", case.display());
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn every_fault_says_what_to_do_in_the_house_style() {
    for case in cases() {
        let (_, report, _) = load(&case);
        for diagnostic in report.iter() {
            let message = &diagnostic.message;
            assert!(!diagnostic.hints.is_empty(), "{}: {message}", case.display());
            assert!(!message.ends_with('.') && !message.contains('\n'), "{message}");
            assert!(!message.starts_with(char::is_uppercase), "{message}");
            assert!(message.matches('`').count().is_multiple_of(2), "{message}");
            assert!(diagnostic.id.bytes().all(|b| b.is_ascii_lowercase() || b == b'-' || b.is_ascii_digit()));
        }
    }
}

#[test]
fn five_faults_of_one_file_are_shown_in_one_run() {
    let room = Room::new();
    copy(&repository("tests/faults/five-faults-at-once"), &room.path().join("panel"));
    let ran = room.run(&["check", "panel"]);
    assert_eq!((ran.code, ran.out.as_str()), (1, ""));
    // The places of expected.txt, as they are shown.
    for place in [
        "panel/project.toml:2:9",
        "panel/project.toml:3:1",
        "panel/project.toml:4:8",
        "panel/project.toml:16:10",
        "panel/project.toml:20:12",
        "panel/chart.txt:1:4",
        "panel/chart.txt:2:4",
    ] {
        assert!(ran.err.contains(place), "{place} in\n{}", ran.err);
    }
    assert!(ran.err.contains("did you mean `maker`?"), "{}", ran.err);
    assert!(ran.err.ends_with("7 faults\n"), "{}", ran.err);
}

#[test]
fn machines_get_the_same_as_json_on_standard_output() {
    let room = Room::new();
    copy(&repository("tests/faults/five-faults-at-once"), &room.path().join("panel"));
    let ran = room.run(&["check", "panel/project.toml", "--format", "json"]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(json["faults"], 7);
    let first = &json["diagnostics"][0];
    assert_eq!(first["id"], "wrong-kind");
    assert_eq!(first["severity"], "fault");
    assert_eq!(first["file"], "panel/project.toml");
    assert_eq!((&first["line"], &first["column"]), (&2.into(), &9.into()));
}

#[test]
fn nothing_is_written_when_a_project_is_checked() {
    for case in ["five-faults-at-once", "unused-yarn"] {
        let room = Room::new();
        copy(&repository("tests/faults").join(case), &room.path().join("panel"));
        let before = room.files();
        let _ran = room.run(&["check", "panel"]);
        assert_eq!(room.files(), before);
    }
}

#[test]
fn advice_alone_ends_well_and_an_answered_one_stays_quiet() {
    let room = Room::new();
    copy(&repository("tests/faults/unused-yarn"), &room.path().join("panel"));
    let ran = room.run(&["check", "panel"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("advice[unused-yarn]"), "{}", ran.err);
    let path = room.path().join("panel/project.toml");
    let text = std::fs::read_to_string(&path).expect("the project");
    let answer = |id: &str| format!("{text}[[acknowledge]]\nadvice = \"{id}\"\nreason = \"kept for a sister panel\"\n");
    room.write("panel/project.toml", answer("unused-yarn"));
    let ran = room.run(&["check", "panel"]);
    assert!(ran.code == 0 && !ran.err.contains("unused-yarn") && !ran.err.contains("unknown-advice"), "{}", ran.err);
    room.write("panel/project.toml", answer("unused-yarns"));
    let ran = room.run(&["check", "panel"]);
    assert!(ran.err.contains("advice[unused-yarn]") && ran.err.contains("did you mean `unused-yarn`?"), "{}", ran.err);
}

#[test]
fn a_path_that_leads_nowhere_is_a_fault_and_without_one_the_folder_one_is_in_is_meant() {
    let room = Room::new();
    let ran = room.run(&["check", "nowhere"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("there is no file `nowhere`"), "{}", ran.err);
    let here = room.run(&["check"]);
    assert!(here.code == 1 && here.err.contains("hitchpress new"), "{}", here.err);
    copy(&repository("tests/faults/unused-yarn"), room.path());
    assert_eq!(room.run(&["check"]).code, 0);
    assert_eq!(room.run(&["compose", "--paper", "A4", "-o", "here.pdf"]).code, 0);
    assert_eq!(room.run(&["copies"]).code, 2);
    assert_eq!(room.run(&["chekc", "x"]).code, 2);
    assert_eq!(room.run(&["--help"]).code, 0);
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_out_of_the_folder_is_not_followed() {
    let room = Room::new();
    copy(&repository("tests/faults/five-faults-at-once"), &room.path().join("panel"));
    let secret = room.write("secret.txt", "AABB\n");
    std::fs::remove_file(room.path().join("panel/chart.txt")).expect("removed");
    std::os::unix::fs::symlink(secret, room.path().join("panel/chart.txt")).expect("a link");
    let (_, report, _) = load(&room.path().join("panel"));
    assert!(report.iter().any(|d| d.id == "path-leaves-folder"));
}

#[test]
fn a_large_file_of_nonsense_is_answered_at_once_and_in_short() {
    let room = Room::new();
    room.write("chart.txt", "A\n");
    let keys: String = (0..60_000).map(|at| format!("k{at:x} = 1\n")).collect();
    let sections = "[[acknowledge]]\n".repeat(50_000);
    let equals = "=\n".repeat(300_000);
    for text in [keys, sections, equals, "[".repeat(500_000), "a.".repeat(300_000)] {
        room.write("project.toml", text);
        let begun = std::time::Instant::now();
        let (project, report, _) = load(room.path());
        assert!(project.is_none() && (1..=501).contains(&report.len()), "{}", report.len());
        // Comparing everything with everything would take hours; this allows for a busy machine.
        assert!(begun.elapsed().as_secs() < 60);
    }
}

#[test]
fn sections_nested_without_end_are_a_fault_and_no_crash() {
    let room = Room::new();
    room.write("chart.txt", "A\n");
    let path = "a.".repeat(78);
    let nested = format!("{}{}{}", format!("{path}a = {{ ").repeat(78), "b = 1", " }".repeat(78));
    for text in [format!("[{path}a]\n{nested}\n"), format!("a = {}1{}\n", "[".repeat(78), "]".repeat(78))] {
        room.write("project.toml", text);
        let ran = room.run(&["check", "."]);
        assert_eq!(ran.code, 1, "{}", ran.err);
    }
}
