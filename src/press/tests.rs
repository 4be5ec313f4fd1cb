//! A panel that is on no disk, from its text to a picture of a page.

use super::*;
use crate::catalogue::{EditionName, PaperName};
use std::path::PathBuf;

mod chart_sheets;

const CHART: &str = "CCRR\nCRRC\nNRCC\n";

fn laid_over(project: &str, chart: &str) -> (PathBuf, Sources) {
    let (folder, mut sources) = (PathBuf::from("nowhere"), Sources::in_memory());
    sources.lay_over(folder.join("project.toml"), project.as_bytes().to_vec());
    sources.lay_over(folder.join("chart.txt"), chart.as_bytes().to_vec());
    (folder, sources)
}

fn starter() -> String {
    project::schema::STARTER.replace("{date}", "2025-03-01")
}

#[test]
fn text_in_memory_becomes_pages_and_pictures_and_the_disk_is_never_asked() {
    let (folder, mut sources) = laid_over(&starter(), CHART);
    let mut report = Report::new();
    let wishes = Wishes { edition: Some(EditionName::Chart), paper: Some(PaperName::A5), ..Wishes::default() };
    let (prepared, variant) = open_variant(&folder, &wishes, &mut sources, &mut report).expect("it opens");
    assert_eq!((prepared.project.chart.columns(), prepared.workings.tally.yarns.len()), (4, 3));
    let book = FontBook::shipped();
    let booklet = lay_out(&prepared, &prepared.write(&variant), &book, &mut report).expect("it is laid out");
    let picture = pictures::page(&booklet, variant.faces(&book), 0, 300).expect("a picture");
    // A5 is 148 x 210 mm (ISO 216).
    assert_eq!((picture.width, picture.height), (300, 425));
    assert!(picture.rgb.iter().any(|channel| *channel < 128), "something is drawn");
    assert!(pictures::page(&booklet, &book, 99, 300).is_err());
    // Another variant of the same project needs no other reckoning.
    let wishes = Wishes { edition: Some(EditionName::Materials), ..Wishes::default() };
    let variant = Variant::from(&wishes, &prepared.project, &mut sources, &mut report).expect("it is settled");
    let draft = prepared.write(&variant);
    let bytes = file(&draft.lay_out(&book).expect("pages"), &book, &mut report).expect("a file");
    assert!(prepared.proof(&draft, &bytes).holds());
}

#[test]
fn faults_of_text_in_memory_have_their_places() {
    let (folder, mut sources) = laid_over(&starter().replace("units =", "unit ="), "CCRR\nCXRC\n");
    let mut report = Report::new();
    assert!(open_variant(&folder, &Wishes::default(), &mut sources, &mut report).is_none());
    let places: Vec<_> = report
        .iter()
        .filter_map(|it| Some((it.id, sources.get(it.span?.source).path().to_owned(), sources.line_column(it.span?)?)))
        .collect();
    assert!(places.iter().any(|(id, path, _)| *id == "unknown-key" && path.ends_with("project.toml")), "{places:?}");
    assert!(places.contains(&("unknown-letter", folder.join("chart.txt"), (2, 2))), "{places:?}");
}

#[test]
fn faults_of_all_that_is_settled_are_told_in_one_run() {
    let (folder, mut sources) =
        laid_over(&starter().replace("# layout = \"my-layout.toml\"", "layout = \"mine.toml\""), CHART);
    sources.lay_over(folder.join("mine.toml"), b"format = 2".to_vec());
    let mut report = Report::new();
    let wishes = Wishes { language: Some("xx".to_owned()), ..Wishes::default() };
    assert!(open_variant(&folder, &wishes, &mut sources, &mut report).is_none());
    let ids: Vec<&str> = report.iter().map(|it| it.id).collect();
    assert!(ids.contains(&"unknown-language"), "{ids:?}");
    assert!(report.iter().any(|it| it.span.is_some_and(|span| sources.get(span.source).path().ends_with("mine.toml"))));
}

/// Where all on the chart sheets stands, in points.
fn sheets(chart: &str, paper: PaperName) -> String {
    let (folder, mut sources) = laid_over(&starter(), chart);
    let mut report = Report::new();
    let wishes = Wishes { edition: Some(EditionName::Chart), paper: Some(paper), ..Wishes::default() };
    let (prepared, variant) = open_variant(&folder, &wishes, &mut sources, &mut report).expect("it opens");
    let mut booklet = lay_out(&prepared, &prepared.write(&variant), &FontBook::shipped(), &mut report).expect("pages");
    let is_sheet = |page: &crate::page::Page| {
        let mut items = page.frames.iter().flat_map(|frame| &frame.items);
        items.any(|placed| matches!(&placed.item, Item::Cells(cells) if cells.cells.len() > 1))
    };
    booklet.pages.retain(is_sheet);
    crate::page::dump::dump(&booklet)
}

/// Sheets side by side and below one another, with columns and rows shown again, a bare corner, counts, marks and links.
/// `RENEW_GOLDEN=1 cargo test --lib press` writes the file anew; that run fails, so that somebody looks at the pages first.
#[test]
fn the_sheets_of_two_small_charts_are_drawn_as_they_were() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/sheets.txt");
    let starter = include_str!("../cli/starter/chart.txt");
    let bare = |(row, line): (usize, &str)| match row {
        7.. => format!("...{}{line}\n", &line[3..]),
        _ => format!("{line}{line}\n"),
    };
    let wide: String = starter.lines().skip(8).take(10).enumerate().map(bare).collect();
    let high: String = starter.lines().chain(starter.lines()).map(|line| format!("{}\n", &line[9..18])).collect();
    let now = sheets(&wide, PaperName::SmallScreen) + &sheets(&high, PaperName::A5);
    if std::env::var_os("RENEW_GOLDEN").is_some() {
        std::fs::write(&path, &now).expect("the file can be written");
        panic!("written anew: look at the sheets and read {}", path.display());
    }
    let then = std::fs::read_to_string(&path).expect("the golden file is there");
    for (line, (now, then)) in now.lines().zip(then.lines()).enumerate() {
        assert_eq!(now, then, "line {}", line + 1);
    }
    assert_eq!(now.lines().count(), then.lines().count());
}
