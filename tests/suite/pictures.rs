//! `hitchpress pictures`: what it writes, what it never shows, what it never touches.

use crate::support::{Room, repository};
use hitchpress::page::Item;
use hitchpress::picture::{SrgbPicture, seen};
use hitchpress::preview;
use std::path::Path;
use std::sync::LazyLock;

fn sample() -> String {
    repository("samples/two-pears").display().to_string()
}

fn picture(path: &Path) -> SrgbPicture {
    seen(&std::fs::read(path).expect("a picture")).expect("a PNG")
}

/// The width of the pictures that are looked into.
const WIDTH: usize = 900;

/// The sample's pictures without a watermark, the pages themselves from the finished file, and the names of the files.
struct Drawn {
    pictures: Vec<SrgbPicture>,
    pages: Vec<SrgbPicture>,
    names: Vec<String>,
}

/// Drawn once for all tests that look into them.
static DRAWN: LazyLock<Drawn> = LazyLock::new(|| {
    let room = Room::new();
    let width = WIDTH;
    let ran = room.run(&["pictures", &sample(), "--width", &width.to_string(), "--watermark", "", "-o", "out"]);
    assert_eq!((ran.code, ran.out.as_str()), (0, ""), "{}", ran.err);
    assert_eq!(room.run(&["compose", &sample(), "-o", "pears.pdf"]).code, 0);
    let bytes = std::fs::read(room.path().join("pears.pdf")).expect("the booklet");
    let mut pages = Vec::new();
    preview::each(&bytes, |_| Some(width), |_, page| pages.push(page)).expect("our own file");
    let page = |n: usize| picture(&room.path().join(format!("out/page-{n:02}.png")));
    let pictures = (1..=pages.len()).map(page).collect();
    let names = std::fs::read_dir(room.path().join("out")).expect("a folder").flatten();
    let mut names: Vec<String> = names.map(|e| e.file_name().into_string().expect("UTF-8")).collect();
    names.sort();
    Drawn { pictures, pages, names }
});

/// How much neighbouring pixels differ: what letters and squares are made of.
fn sharpness(of: &SrgbPicture) -> f64 {
    let step = |row: &[u8]| row.windows(4).step_by(3).map(|w| f64::from(w[0].abs_diff(w[3]))).sum::<f64>();
    of.rgb.chunks(of.width * 3).map(step).sum()
}

#[test]
fn pages_are_shown_but_for_those_one_could_work_from() {
    let Drawn { pictures, pages, names } = &*DRAWN;
    assert_eq!(names.len(), pages.len() + 3);
    assert!(["inside.png", "pages.png", "panel.png"].iter().all(|name| names.contains(&(*name).to_owned())));
    let mut hidden = 0;
    for (number, (picture, page)) in pictures.iter().zip(pages).enumerate() {
        assert_eq!((picture.width, picture.height.abs_diff(page.height) <= 1), (WIDTH, true), "page {}", number + 1);
        let share = sharpness(picture) / sharpness(page);
        if share < 0.99 {
            hidden += 1;
            assert!(share < 0.2, "page {} can still be made out: {share:.2}", number + 1);
        }
    }
    // The chart on its sheets and the rows in words, each on one page at least; never the whole booklet.
    assert!((2..pages.len() / 2 + 2).contains(&hidden), "{hidden} of {}", pages.len());
}

#[test]
fn a_page_with_the_chart_is_hidden_and_so_is_a_page_with_rows_in_words() {
    let Drawn { pictures, pages, .. } = &*DRAWN;
    let finished = crate::finished::finished("two-pears", "booklet", "letter", hitchpress::project::Ink::Saving);
    let expected = finished.prepared.expected(&finished.draft);
    let fields: Vec<&str> = expected.rows.iter().map(|row| row.field.as_str()).collect();
    let (mut charts, mut rows) = (0, 0);
    for (number, page) in finished.booklet.pages.iter().enumerate() {
        let items = || page.frames.iter().flat_map(|f| &f.items);
        let chart = items().any(|p| matches!(&p.item, Item::Cells(cells) if cells.cells.len() > 1));
        // A row's own box stands on the chart's sheets and beside its sentence, nowhere else.
        let row = items().any(|p| matches!(&p.item, Item::Tick(tick) if fields.contains(&tick.field.as_str())));
        charts += usize::from(chart);
        rows += usize::from(row && !chart);
        if chart || row {
            let share = sharpness(&pictures[number]) / sharpness(&pages[number]);
            assert!(share < 0.2, "page {}: {share:.2}", number + 1);
        }
    }
    assert!(charts > 0 && rows > 1, "{charts} pages with the chart, {rows} with rows in words");
}

#[test]
fn the_same_project_gives_the_same_pictures_and_a_watermark_lies_over_each() {
    let room = Room::new();
    for (folder, mark) in [("one", "Sample"), ("two", "Sample"), ("bare", "")] {
        let ran = room.run(&["pictures", &sample(), "--width", "320", "--watermark", mark, "-o", folder]);
        assert_eq!((ran.code, ran.out.as_str()), (0, ""), "{}", ran.err);
    }
    let read = |folder: &str| {
        let mut files: Vec<_> = std::fs::read_dir(room.path().join(folder)).expect("a folder").flatten().collect();
        files.sort_by_key(std::fs::DirEntry::file_name);
        files.iter().map(|e| (e.file_name(), std::fs::read(e.path()).expect("a file"))).collect::<Vec<_>>()
    };
    let (one, bare) = (read("one"), read("bare"));
    assert!(one == read("two"), "the same project gave other bytes");
    assert_eq!(one.len(), bare.len());
    for ((name, marked), (_, bare)) in one.iter().zip(&bare) {
        let (marked, bare) = (seen(marked).expect("a PNG"), seen(bare).expect("a PNG"));
        let changed = marked.rgb.iter().zip(&bare.rgb).filter(|(a, b)| a.abs_diff(**b) > 8).count();
        let share = changed as f64 / bare.rgb.len() as f64;
        assert!((0.01..0.4).contains(&share), "{name:?}: {share:.3}");
    }
}

#[test]
fn the_panels_colours_are_those_of_its_yarns() {
    let room = Room::new();
    assert_eq!(room.run(&["pictures", &sample(), "--width", "400", "--watermark", "", "-o", "out"]).code, 0);
    let picture = picture(&room.path().join("out/panel.png"));
    assert_eq!((picture.width, picture.height), (400, 500));
    let mut sources = hitchpress::source::Sources::new();
    let mut report = hitchpress::diag::Report::new();
    let project = hitchpress::project::load(sample().as_ref(), &mut sources, &mut report).expect("a sample");
    for (_, yarn) in project.palette.iter() {
        let own = [yarn.colour.r, yarn.colour.g, yarn.colour.b];
        let near = |a: [u8; 3]| a.iter().zip(own).all(|(a, b)| a.abs_diff(b) <= 2);
        let seen = picture.rgb.chunks(3).filter(|p| near([p[0], p[1], p[2]])).count();
        assert!(seen > 20, "{}: {seen} pixels", yarn.name);
    }
}

#[test]
fn a_folder_with_files_of_the_makers_own_is_left_as_it_is() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    let typed = ["pictures", "boat", "--width", "200", "-o", "out"];
    assert_eq!(room.run(&typed).code, 0);
    assert_eq!(room.run(&typed).code, 0);
    room.write("out/holiday.png", "mine");
    let before = room.files();
    let ran = room.run(&typed);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("holiday.png"), "{}", ran.err);
    assert_eq!(room.files(), before);
}
