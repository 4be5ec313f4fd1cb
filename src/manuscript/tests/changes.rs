//! What is said of two editions that were made different by hand.

use super::{chart, small, yarn};
use crate::chart::Palette;
use crate::manuscript::changes::{Files, changes, note};
use crate::manuscript::record::Record;
use crate::project::{Project, Side};
use crate::words::Words;
use crate::workings::work_out;

fn words() -> Words {
    Words::shipped("en-GB").expect("English words")
}

fn record(project: &Project) -> Record {
    Record::new(project, &work_out(project), &words())
}

/// What is said of a small project and the same one changed.
fn told(change: impl Fn(&mut Project)) -> Vec<String> {
    let (before, mut now) = (small(), small());
    change(&mut now);
    changes(&record(&before), &record(&now), &Files::default(), &words())
}

/// Rows of the chart as letters.
fn rows(project: &Project) -> Vec<String> {
    record(project).rows
}

/// The small project with these rows.
fn with_rows(project: &mut Project, rows: &[String]) {
    let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
    project.chart = chart(&project.palette, &rows);
}

fn of_rows(told: &[String]) -> Vec<&str> {
    let is_of_rows =
        |line: &&str| line.starts_with("Row") || line.starts_with("The former") || line.starts_with("The rows");
    told.iter().map(String::as_str).filter(is_of_rows).collect()
}

#[test]
fn of_the_same_edition_nothing_is_said() {
    assert_eq!(told(|_| {}), Vec::<String>::new());
    let words = words();
    let one = record(&small());
    let files = Files { changed: vec!["small-boat-booklet-a4.pdf".to_owned()], ..Files::default() };
    let said = changes(&one, &one, &files, &words);
    let wanted =
        ["Chart, yarns and amounts are as they were.", "Files with other contents: small-boat-booklet-a4.pdf."];
    assert_eq!(said, wanted);
}

#[test]
fn a_row_is_told_in_the_order_it_is_tied_and_only_where_it_differs() {
    // Own reading of the small boat: row 6 is NNNNNRNNNNNN and worked from the right, row 7 NNRRRRRRRRNN from the left.
    let said = told(|project| {
        let mut rows = rows(project);
        rows[5] = "NNNNRRNNNNNN".to_owned();
        rows[6] = "NNNRRRRRRRNN".to_owned();
        with_rows(project, &rows);
    });
    assert_eq!(
        of_rows(&said),
        [
            "Row 6, right to left, from column 6: 2 rust, 4 navy; was 1 rust, 5 navy.",
            "Row 7, left to right, from column 1: 3 navy, 7 rust; was 2 navy, 8 rust."
        ]
    );
    // Left-handed, the same row begins at the other side.
    let (mut before, mut now) = (small(), small());
    for project in [&mut before, &mut now] {
        project.working.first_row_from = Side::Right;
    }
    let mut changed = rows(&now);
    changed[6] = "NNNRRRRRRRNN".to_owned();
    with_rows(&mut now, &changed);
    let said = changes(&record(&before), &record(&now), &Files::default(), &words());
    assert_eq!(of_rows(&said), ["Row 7, right to left, from column 10: 7 rust, 3 navy; was 8 rust, 2 navy."]);
}

#[test]
fn bare_cells_are_empty_squares() {
    let said = told(|project| {
        let mut rows = rows(project);
        rows[10] = "..NNNNNNNNN.".to_owned();
        with_rows(project, &rows);
    });
    let wanted = "Row 11, left to right, from column 1: 2 empty squares, 9 navy; was 1 empty square, 10 navy.";
    assert_eq!(of_rows(&said), [wanted]);
}

#[test]
fn rows_put_in_and_taken_out_are_named_and_the_others_keep_their_place() {
    let said = told(|project| {
        let mut rows = rows(project);
        rows.insert(4, "NNNNNRRRRNNN".to_owned());
        // A change below the new row is still found, under its new number.
        rows[9] = "CCCCCCCCCCRC".to_owned();
        with_rows(project, &rows);
    });
    assert_eq!(
        of_rows(&said),
        [
            "Row 5 is new.",
            "The rows below have new numbers and are worked the other way round; their knots are the same.",
            "Row 10, right to left, from column 12: 1 cream, 1 rust, 10 cream; was 12 cream."
        ]
    );
    let said = told(|project| {
        let mut rows = rows(project);
        rows.drain(1..3);
        with_rows(project, &rows);
    });
    let wanted = ["The former rows 2 to 3 are gone.", "The rows below have new numbers; their knots are the same."];
    assert_eq!(of_rows(&said), wanted);
    let said = told(|project| {
        let mut rows = rows(project);
        rows.push("....NNNN....".to_owned());
        with_rows(project, &rows);
    });
    assert_eq!(of_rows(&said), ["Row 13 is new."]);
}

#[test]
fn another_width_makes_every_row_new() {
    let said = told(|project| {
        let rows: Vec<String> = rows(project).iter().map(|row| format!("{row}N")).collect();
        with_rows(project, &rows);
    });
    assert_eq!(said[0], "The chart has another width: every row is new.");
    let size = "Chart: 13 columns across, 12 rows down, and ";
    assert!(said.iter().any(|line| line.starts_with(size)), "{said:?}");
}

#[test]
fn yarns_are_told_by_their_names_and_their_letters_do_not_matter() {
    let said = told(|project| {
        let rows: Vec<String> = rows(project).iter().map(|row| row.replace('N', "X")).collect();
        project.palette.0[0].key = 'X';
        with_rows(project, &rows);
    });
    assert_eq!(said, Vec::<String>::new());
    let said = told(|project| {
        project.palette.0[0].name = "midnight".to_owned();
        project.palette.0[2].colour = crate::colour::Colour::new(0xff, 0, 0);
    });
    assert_eq!(said[0], "The yarn navy is now called midnight.");
    assert_eq!(said[1], "The color in which rust is drawn: #ff0000; was #a4502c.".replace("color", "colour"));
    assert_eq!(of_rows(&said), Vec::<&str>::new());
    // Rust is knotted in a new yarn, and gone itself.
    let said = told(|project| {
        let rows: Vec<String> = rows(project).iter().map(|row| row.replace('R', "M")).collect();
        let mut palette = project.palette.0.clone();
        palette[2] = yarn('M', "moss", "#55642f");
        project.palette = Palette(palette);
        with_rows(project, &rows);
    });
    assert_eq!(said[..2], ["moss is a new yarn.", "The yarn rust is no longer used."]);
    assert!(of_rows(&said).contains(&"Row 7, left to right, from column 3: 8 moss; was 8 rust."), "{said:?}");
    assert!(said.iter().any(|line| line.starts_with("New: moss, ")), "{said:?}");
    assert!(said.iter().any(|line| line.starts_with("No longer: rust, ")), "{said:?}");
}

#[test]
fn amounts_are_told_as_the_booklet_gives_them() {
    let said = told(|project| project.working.yarn_margin = 0.9);
    assert!(said.iter().any(|line| line.starts_with("navy, To buy: ")), "{said:?}");
    let said = told(|project| project.hanging.length_mm = Some(300.0));
    let wood = "a branch or a piece of driftwood, about 22 mm (⅞ in) thick and at least 30 cm (11¾ in) long; was ";
    assert!(said.iter().any(|line| line.starts_with(wood)), "{said:?}");
    let said = told(|project| project.working.first_row_from = Side::Right);
    assert_eq!(said[0], "Row 1 now starts at the right; every row is worked the other way round.");
}

#[test]
fn another_chart_altogether_is_not_told_row_by_row_for_ever() {
    let (mut before, mut now) = (small(), small());
    let many = |letter: char| vec![letter.to_string().repeat(12); 100];
    with_rows(&mut before, &many('N'));
    with_rows(&mut now, &many('C'));
    let said = changes(&record(&before), &record(&now), &Files::default(), &words());
    assert_eq!(of_rows(&said).len(), 60);
    assert!(said.contains(&"40 more rows are different.".to_owned()), "{said:?}");
}

#[test]
fn the_note_puts_the_newest_first_and_keeps_what_was_said_before() {
    let words = words();
    let one = record(&small());
    let mut project = small();
    project.about.version = "1.1".to_owned();
    let two = record(&project);
    let first = note("Small Boat", None, &one, &[], "", &words);
    let second = note("Small Boat", Some(&one), &two, &["Row 1: x.".to_owned()], &first, &words);
    let head = "Small Boat: what has changed\nDraft of an errata note, newest first. ";
    assert!(first.starts_with(head) && second.starts_with(head));
    let tail = "\n\nVersion 1.1, 5 November 2026; was Version 1.0, 5 November 2026\n- Row 1: x.\n\n\
        Version 1.0, 5 November 2026\n- The first edition: there is nothing to compare it with.\n";
    assert!(second.ends_with(tail), "{second}");
}
