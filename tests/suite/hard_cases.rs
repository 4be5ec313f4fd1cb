//! Projects and files that proof, impose and copies once took for broken, for whole, or too long over.

use crate::finished::{finished, made, order, sample};
use crate::support::Room;
use hitchpress::chart::{Chart, YarnId};
use hitchpress::page::TextRun;
use hitchpress::project::{Ink, Project};
use lopdf::content::Content;
use lopdf::{Document, Object, Stream, dictionary};
use std::time::{Duration, Instant};

/// A chart of random knots in the first three yarns, so that its rows tell many stretches.
fn busy(mut project: Project, columns: usize, rows: usize, seed: u64) -> Project {
    let mut random = fastrand::Rng::with_seed(seed);
    project.palette.0.truncate(3);
    let cells = (0..columns * rows).map(|_| Some(YarnId(random.u8(0..3)))).collect();
    project.chart = Chart::new(columns, cells).expect("whole rows");
    project
}

#[test]
fn yarns_of_any_name_are_proofed() {
    let names = ["rust/brown", "moss–sage", "left", "right to left", "soft\u{ad}green", "non\u{2011}stop"];
    for (at, name) in names.into_iter().enumerate() {
        for edition in ["booklet", "chart", "large-print"] {
            let mut project = busy(sample("low-water-heron"), 24, 20, at as u64);
            project.palette.0[1].name = name.to_owned();
            let of = made(project, order(edition, "a4", Ink::Saving), None);
            let report = of.proof(&of.bytes);
            assert!(report.holds(), "`{name}` in {edition}: {:#?}", report.findings);
        }
    }
}

#[test]
fn a_yarn_whose_name_holds_a_number_and_another_yarns_is_proofed() {
    for (one, other) in [("24 cream", "cream"), ("3 cream 2", "cream")] {
        for edition in ["booklet", "chart", "large-print"] {
            let mut project = busy(sample("low-water-heron"), 24, 20, 9);
            project.palette.0[0].name = one.to_owned();
            project.palette.0[1].name = other.to_owned();
            let of = made(project, order(edition, "a4", Ink::Saving), None);
            let report = of.proof(&of.bytes);
            assert!(report.holds(), "`{one}` beside `{other}` in {edition}: {:#?}", report.findings);
        }
    }
}

#[test]
fn charts_of_few_rows_and_many_columns_are_proofed() {
    for (columns, rows) in [(200, 1), (1_041, 1), (1_100, 2), (2_000, 1), (1_300, 3)] {
        let project = busy(sample("low-water-heron"), columns, rows, 5);
        let of = made(project, order("chart", "a4", Ink::Saving), None);
        let report = of.proof(&of.bytes);
        assert!(report.holds(), "{columns} x {rows}: {:#?}", report.findings);
    }
}

/// The content of a page, operator by operator, with one of them taken out.
fn without(bytes: &[u8], page: u32, nth: usize) -> Option<Vec<u8>> {
    let mut document = Document::load_mem(bytes).expect("a PDF");
    let id = document.get_pages()[&page];
    let mut operations = Content::decode(&document.get_page_content(id)).expect("a content").operations;
    let shown: Vec<usize> =
        (0..operations.len()).filter(|at| matches!(operations[*at].operator.as_str(), "TJ" | "Tj")).collect();
    let at = *shown.get(nth)?;
    operations[at].operands = vec![Object::Array(Vec::new())];
    operations[at].operator = "TJ".to_owned();
    document.change_page_content(id, Content { operations }.encode().expect("written")).expect("replaced");
    let mut out = Vec::new();
    document.save_to(&mut out).expect("written");
    Some(out)
}

#[test]
fn a_word_that_is_missing_anywhere_in_the_rows_is_found_by_reading_alone() {
    // All rows are the same, so whatever is missing in one stands in every other, and at the top of the next page.
    let mut project = sample("low-water-heron");
    project.palette.0.truncate(3);
    let cells = (0..24 * 60).map(|at| Some(YarnId((at % 24 / 5 % 3) as u8))).collect();
    project.chart = Chart::new(24, cells).expect("whole rows");
    let of = made(project, order("large-print", "a5", Ink::Saving), None);
    assert!(of.proof(&of.bytes).holds());
    // Pages of rows in words: many counts, and no chart.
    let is_count = |run: &&TextRun| run.text.trim().bytes().all(|byte| byte.is_ascii_digit());
    let is_of_rows =
        |page: &usize| of.runs(*page).filter(is_count).count() > 30 && of.cells(*page).all(|c| c.cells.len() == 1);
    let pages: Vec<usize> = (0..of.booklet.pages.len()).filter(is_of_rows).collect();
    assert!(pages.len() > 2, "rows in words on {pages:?}");
    let mut random = fastrand::Rng::with_seed(118);
    let mut done = 0;
    while done < 24 {
        let page = pages[random.usize(0..pages.len() - 1)];
        let runs: Vec<_> = of.runs(page).collect();
        // The last of the rows on the page, whose end the next page would make good, as often as any other.
        let nth = random.usize(0..runs.len());
        let name = of.prepared.project.palette.iter().any(|(_, yarn)| runs[nth].text.contains(&yarn.name));
        if !name {
            continue;
        }
        let Some(bytes) = without(&of.bytes, page as u32 + 1, nth) else { continue };
        assert!(!of.proof(&bytes).holds(), "page {}: `{}` is missing", page + 1, runs[nth].text);
        done += 1;
    }
}

/// A file of some pages that all draw one form.
fn drawing(form: Stream, pages: usize) -> Vec<u8> {
    let mut document = Document::with_version("1.7");
    let form = document.add_object(form);
    let content = document.add_object(Stream::new(dictionary! {}, b"/F Do ".repeat(40)));
    let tree = document.new_object_id();
    let kids: Vec<Object> = (0..pages)
        .map(|_| {
            let page = dictionary! {
                "Type" => "Page", "Parent" => tree, "Contents" => content,
                "MediaBox" => vec![0.into(), 0.into(), Object::Real(595.2756), Object::Real(841.8898)],
                "Resources" => dictionary! { "XObject" => dictionary! { "F" => form } },
            };
            document.add_object(page).into()
        })
        .collect();
    document.set_object(tree, dictionary! { "Type" => "Pages", "Count" => pages as i64, "Kids" => kids });
    let catalogue = document.add_object(dictionary! { "Type" => "Catalog", "Pages" => tree });
    document.trailer.set("Root", catalogue);
    let mut bytes = Vec::new();
    document.save_to(&mut bytes).expect("written");
    bytes
}

fn form(content: Vec<u8>) -> Stream {
    let dict = dictionary! { "Type" => "XObject", "Subtype" => "Form", "BBox" => vec![0.into(), 0.into(), 9.into(), 9.into()] };
    Stream::new(dict, content)
}

#[test]
fn a_file_that_inflates_is_given_up_soon() {
    let of = finished("two-pears", "chart", "a4", Ink::Saving);
    for content in [b" ".repeat(40 << 20), b"q Q ".repeat(8 << 20)] {
        let mut form = form(content);
        form.compress().expect("packed");
        let bytes = drawing(form, 400);
        assert!(bytes.len() < 1 << 20);
        let began = Instant::now();
        let report = of.proof(&bytes);
        // Half a minute, for this build is not optimised and does not run alone; it was longer than an hour.
        assert!(began.elapsed() < Duration::from_secs(30), "{:?}", began.elapsed());
        let says = |words: &str| report.findings.iter().any(|finding| finding.message.contains(words));
        assert!(says("more than one of its size can need"), "{:#?}", report.findings.first());
    }
}

#[test]
fn nobody_is_sent_to_the_makers_of_a_library() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    let mut odd = form(b"q Q".to_vec());
    odd.dict.set("Filter", "RunLengthDecode");
    room.write("odd.pdf", drawing(odd, 2));
    for typed in [&["proof", "boat", "odd.pdf"][..], &["impose", "odd.pdf", "-o", "sheets.pdf"]] {
        let ran = room.run(typed);
        assert!(
            !ran.err.contains("http") && !ran.err.contains("lopdf") && !ran.err.contains("panicked"),
            "{}",
            ran.err
        );
    }
    let ran = room.run(&["proof", "boat", "odd.pdf"]);
    assert!(ran.err.contains("in a way that is not read here"), "{}", ran.err);
}

#[test]
fn rows_that_nobody_could_read_are_refused_with_the_edition_that_serves() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    let mut random = fastrand::Rng::with_seed(4);
    let mut noise = |columns: usize, rows: usize| -> String {
        (0..rows)
            .map(|_| (0..columns).map(|_| ['C', 'R', 'N'][random.usize(0..3)]).chain(['\n']).collect::<String>())
            .collect()
    };
    room.write("boat/chart.txt", noise(400, 400));
    let began = Instant::now();
    for typed in [
        &["check", "boat"][..],
        &["compose", "boat", "-o", "boat.pdf"],
        &["compose", "boat", "--edition", "large-print", "-o", "boat.pdf"],
    ] {
        let ran = room.run(typed);
        assert_eq!(ran.code, 1, "{typed:?}: {}", ran.err);
        assert!(ran.err.contains("too-much-to-read") && ran.err.contains("--edition chart"), "{typed:?}: {}", ran.err);
    }
    // Nothing is reckoned that is not asked for.
    assert!(began.elapsed() < Duration::from_secs(30), "{:?}", began.elapsed());
    assert!(!room.path().join("boat.pdf").exists());
    // Stretches as few as can be, and a booklet of thousands of pages all the same.
    room.write("boat/chart.txt", format!("{}\n", "C".repeat(1_900)).repeat(1_900));
    let ran = room.run(&["compose", "boat", "-o", "boat.pdf"]);
    assert!(ran.code == 1 && ran.err.contains("of memory") && ran.err.contains("--edition chart"), "{}", ran.err);
    room.write("boat/chart.txt", noise(1_500, 1_500));
    let ran = room.run(&["compose", "boat", "--edition", "chart", "-o", "boat.pdf"]);
    assert!(ran.code == 1 && ran.err.contains("--edition materials"), "{}", ran.err);
    // Few enough stretches, and too many of them on so large a ground to be drawn in a gigabyte.
    let single =
        |row: usize, column: usize| row.is_multiple_of(2) && column.is_multiple_of(2) && (row + column) / 2 % 5 < 2;
    let line = |row: usize| -> String {
        (0..2_000).map(|column| if single(row, column) { 'R' } else { 'N' }).chain(['\n']).collect()
    };
    room.write("boat/chart.txt", (0..2_000).map(line).collect::<String>());
    let ran = room.run(&["compose", "boat", "--edition", "chart", "-o", "boat.pdf"]);
    assert!(ran.code == 1 && ran.err.contains("MB of memory"), "{}", ran.err);
    assert!(ran.err.contains("--edition materials") && !room.path().join("boat.pdf").exists(), "{}", ran.err);
}
