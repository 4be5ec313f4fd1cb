//! Licensed copies: every one proves, qpdf finds nothing amiss, and poppler reads its own line on every page and no other's.
//! `HITCHPRESS_COPIES` says how many; a dozen unless told otherwise.

use crate::{is_sound, run};
use std::fmt::Write;
use std::path::Path;

#[test]
fn copies_are_read_by_qpdf_and_poppler() {
    let count: usize = std::env::var("HITCHPRESS_COPIES").ok().and_then(|n| n.parse().ok()).unwrap_or(12);
    let room = tempfile::tempdir().expect("a folder");
    let at = |name: &str| room.path().join(name).display().to_string();
    let project = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/low-water-heron").display().to_string();
    let program = env!("CARGO_BIN_EXE_hitchpress");
    let names = ["Ada Fernley", "Änne Öhlers", "Пётр Иванов", "Ελένη Παππά", "Siân D’Arcy"];
    let mut list = String::from("name,order\n");
    for order in 0..count {
        writeln!(list, "{},{}", names[order % names.len()], 1000 + order).expect("a string");
    }
    std::fs::write(room.path().join("buyers.csv"), list).expect("a list");
    run(program, &["compose", &project, "-o", &at("booklet.pdf")]);
    run(program, &["copies", &at("booklet.pdf"), "--buyers", &at("buyers.csv"), "-o", &at("copies")]);
    let manifest: toml::Table =
        std::fs::read_to_string(room.path().join("copies/MANIFEST.toml")).expect("a manifest").parse().expect("TOML");
    let copies = manifest["copy"].as_array().expect("copies");
    assert_eq!(copies.len(), count);
    for copy in copies {
        let of = |key: &str| copy[key].as_str().expect(key);
        let file = room.path().join("copies").join(of("file")).display().to_string();
        run(program, &["proof", &project, &file]);
        is_sound(Path::new(&file));
        let pages: usize = run("qpdf", &["--show-npages", &file]).trim().parse().expect("a number");
        let text = run("pdftotext", &[&file, "-"]);
        let lines: Vec<&str> = text.lines().filter(|line| line.starts_with("Licensed to")).collect();
        let own = format!("Licensed to {}, order {}. Please do not pass this copy on.", of("name"), of("order"));
        assert_eq!(lines, vec![own.as_str(); pages], "{file}");
    }
}
