//! PyPI's `jsonschema` holds our files against the schemas in the repository, as an editor would.

use crate::{Reader, run};
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn held(schema: &str, files: &[PathBuf]) -> String {
    let schema = root().join("layouts/schemas").join(schema).display().to_string();
    let files: Vec<String> = files.iter().map(|file| file.display().to_string()).collect();
    let arguments: Vec<&str> = std::iter::once(schema.as_str()).chain(files.iter().map(String::as_str)).collect();
    let done = Reader("schemas.py").run(&arguments);
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    String::from_utf8_lossy(&done.stdout).into_owned()
}

fn all_fit(schema: &str, files: &[PathBuf]) {
    let said = held(schema, files);
    assert_eq!(said.lines().filter(|line| line.ends_with("\tfits")).count(), files.len(), "{said}");
}

fn files_in(folder: &Path, wanted: &[&str]) -> Vec<PathBuf> {
    wanted.iter().map(|name| folder.join(name)).collect()
}

#[test]
fn our_projects_layouts_and_looks_fit_their_schemas() {
    let room = tempfile::tempdir().expect("a folder");
    let fresh = room.path().join("fresh");
    run(env!("CARGO_BIN_EXE_hitchpress"), &["new", &fresh.display().to_string()]);
    let mut projects = files_in(&root().join("samples"), &["low-water-heron", "two-pears", "harbour-evening"]);
    projects.push(fresh);
    all_fit("project.schema.json", &projects.iter().map(|p| p.join("project.toml")).collect::<Vec<_>>());
    let layouts = ["booklet.toml", "chart.toml", "large-print.toml", "materials.toml"];
    all_fit("layout.schema.json", &files_in(&root().join("layouts"), &layouts));
    let looks = ["quiet.toml", "workshop.toml", "large-print.toml"];
    all_fit("look.schema.json", &files_in(&root().join("layouts/looks"), &looks));
}

#[test]
fn slips_that_the_program_finds_do_not_fit_either() {
    let faults = root().join("tests/faults");
    let slips = [
        "misspelt-key",
        "missing-keys",
        "measure-without-unit",
        "not-a-colour",
        "odd-header-rows",
        "no-measure",
        "number-for-text",
        "misspelt-section",
    ];
    let files: Vec<PathBuf> = slips.iter().map(|slip| faults.join(slip).join("project.toml")).collect();
    let said = held("project.schema.json", &files);
    for slip in slips.iter().filter(|slip| **slip != "odd-header-rows") {
        assert!(said.lines().any(|line| line.contains(slip) && line.ends_with("\todd")), "{slip}: {said}");
    }
    // That a number is even is the program's to say.
    assert!(said.lines().any(|line| line.contains("odd-header-rows") && line.ends_with("\tfits")), "{said}");
}
