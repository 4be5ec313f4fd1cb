//! Boxes of pages, fields and their words, and sheets that carry a booklet's pages.

use super::super::check_file::{check_boxes, check_fields};
use super::super::{Expectations, Finding, ProofReport, prove_sheets};
use super::{Slip, Trial, one_page};
use crate::project::Side;
use crate::reader::document::PageBoxes;
use crate::reader::fields::TickField;
use crate::reader::matrix::{Bounds, PagePoint};
use lopdf::{Dictionary, Document, Object, dictionary};

/// What is told of a page of 300 by 400 points with so much bleed, whose boxes are changed in this way.
fn of_boxes(expected: &Expectations, change: impl Fn(&mut PageBoxes)) -> Vec<String> {
    let bleed = expected.bleed;
    let trim = [20.0, 20.0, 320.0, 420.0];
    let grown = [trim[0] - bleed, trim[1] - bleed, trim[2] + bleed, trim[3] + bleed];
    let media = [0.0, 0.0, 340.0, 440.0];
    let mut boxes = PageBoxes { media, trim, bleed: grown, crop: media, has_trim: true, turned: 0 };
    change(&mut boxes);
    let mut report = ProofReport::default();
    check_boxes(4, &boxes, expected, Some((300.0, 400.0)), true, &mut report);
    report.findings.iter().map(Finding::sentence).collect()
}

#[test]
fn a_pages_boxes_lie_one_in_another_and_the_bleed_is_as_wide_on_every_side() {
    let trial = Trial::new(Slip::None);
    let home = Expectations { paper: Some((300.0, 400.0)), ..trial.expected() };
    let shop = Expectations { bleed: 9.0, ..home.clone() };
    for expected in [&home, &shop] {
        assert_eq!(of_boxes(expected, |_| {}), Vec::<String>::new());
        // Rounding in a file is forgiven: less than two hundredths of a point.
        assert_eq!(of_boxes(expected, |boxes| boxes.trim = [19.995, 19.995, 320.005, 420.005]), Vec::<String>::new());
    }
    let outside = ["the trim box does not lie inside the bleed box", "the bleed box does not lie inside the sheet box"];
    for side in 0..4 {
        let out = if side < 2 { -30.0 } else { 30.0 };
        let trim = of_boxes(&home, |boxes| boxes.bleed[side] -= out * 0.1);
        assert!(trim.len() == 1 && trim[0] == format!("page 4: {}", outside[0]), "{side}: {trim:?}");
        let bleed = of_boxes(&home, |boxes| boxes.bleed[side] += out);
        assert!(bleed.len() == 1 && bleed[0] == format!("page 4: {}", outside[1]), "{side}: {bleed:?}");
        let narrow = of_boxes(&shop, |boxes| boxes.bleed[side] -= out * 0.1);
        assert_eq!(narrow, ["page 4: the bleed is not 9.00 pt on every side"], "{side}");
        let exact = of_boxes(&shop, |boxes| boxes.bleed[side] += 0.01);
        assert_eq!(exact, Vec::<String>::new(), "{side}");
    }
}

#[test]
fn a_page_has_the_size_of_its_paper_and_only_a_chart_sheet_may_lie_on_its_side() {
    let trial = Trial::new(Slip::None);
    let expected = |paper| Expectations { paper, ..trial.expected() };
    let told = |expected: &Expectations, (width, height): (f64, f64), first, may_lie| {
        let sheet = [0.0, 0.0, width, height];
        let boxes = PageBoxes { media: sheet, trim: sheet, bleed: sheet, crop: sheet, has_trim: false, turned: 0 };
        let mut report = ProofReport::default();
        check_boxes(2, &boxes, expected, first, may_lie, &mut report);
        report.findings.iter().map(|finding| finding.id).collect::<Vec<_>>()
    };
    let (asked, any) = (expected(Some((300.0, 400.0))), expected(None));
    let none: [&str; 0] = [];
    assert_eq!(told(&asked, (300.01, 399.99), None, false), none);
    for size in [(300.03, 400.0), (299.97, 400.0), (300.0, 400.03), (300.0, 399.97), (400.0, 300.0)] {
        assert_eq!(told(&asked, size, None, false), ["page-size"], "{size:?}");
    }
    assert_eq!(told(&asked, (400.0, 300.0), None, true), none);
    for size in [(400.0, 301.0), (401.0, 300.0), (400.0, 400.0)] {
        assert_eq!(told(&asked, size, None, true), ["page-size"], "{size:?}");
    }
    // Where no paper was asked for, all pages are as large as the first.
    assert_eq!(told(&any, (123.0, 45.0), None, false), none);
    assert_eq!(told(&any, (123.0, 45.0), Some((123.0, 45.0)), false), none);
    assert_eq!(told(&any, (123.0, 45.0), Some((123.0, 46.0)), false), ["page-size"]);
}

/// The field of a row on a page, which is spoken so.
fn tick(page: usize, row: usize, spoken: &str) -> (usize, TickField) {
    let area = Bounds::of(PagePoint { x: 0.0, y: 0.0 }, PagePoint { x: 20.0, y: 20.0 });
    let spoken = Some(spoken.to_owned());
    (page, TickField { area, name: format!("row.{row}"), spoken, on_states: vec!["Done".to_owned()], has_looks: true })
}

fn of_fields(expected: &Expectations, ticks: &[(usize, TickField)]) -> Vec<String> {
    let mut report = ProofReport::default();
    check_fields(ticks, expected, &mut report);
    report.findings.iter().map(Finding::sentence).collect()
}

#[test]
fn fields_have_pictures_agree_on_their_states_and_are_spoken_as_their_rows_are() {
    let trial = Trial::new(Slip::None);
    let mut expected = trial.expected();
    expected.rows.truncate(2);
    let words: Vec<String> = expected.rows.iter().map(|row| row.spoken.clone()).collect();
    expected.rows.iter_mut().for_each(|row| row.again = format!("Row {}", row.number));
    let right = [tick(1, 1, &words[0]), tick(2, 1, "Row 1"), tick(3, 1, "Row 1"), tick(1, 2, &words[1])];
    assert_eq!(of_fields(&expected, &right), Vec::<String>::new());
    let changed = |at: usize, change: &dyn Fn(&mut TickField)| {
        let mut ticks = right.clone();
        change(&mut ticks[at].1);
        of_fields(&expected, &ticks)
    };
    let looks = changed(1, &|field| field.has_looks = false);
    assert_eq!(looks, ["page 2: the field `row.1` has no pictures of itself ticked and empty"]);
    let states = changed(2, &|field| field.on_states = vec!["Yes".to_owned()]);
    assert_eq!(states, ["page 1: the places of the field `row.1` do not agree on what ticked is called"]);
    let silent = changed(3, &|field| field.spoken = None);
    assert_eq!(silent, ["page 1, row 2: its field has no spoken words"]);
    let other = changed(2, &|field| field.spoken = Some("Row 2".to_owned()));
    assert_eq!(other, ["page 3, row 1: its field is spoken as `Row 2` instead of `Row 1`"]);
    assert_eq!(of_fields(&expected, &right[..3]), ["row 2: there is no field `row.2`"]);
    // An edition that shows no rows, neither drawn nor written, needs no fields of them.
    let none = Expectations { chart: false, written: false, ..expected.clone() };
    assert_eq!(of_fields(&none, &right[..3]), Vec::<String>::new());
    for (chart, written) in [(true, false), (false, true)] {
        let one = Expectations { chart, written, ..expected.clone() };
        assert_eq!(of_fields(&one, &right[..3]).len(), 1);
    }
}

#[test]
fn a_long_row_is_spoken_part_by_part_in_the_order_in_which_it_is_tied() {
    let mut trial = Trial::new(Slip::None);
    trial.project.working.first_row_from = Side::Left;
    let mut expected = trial.expected();
    expected.rows.truncate(2);
    for row in &mut expected.rows {
        row.spoken = format!("Row {}.", row.number);
        row.in_parts = ["8 navy", "2 cream", "4 navy"].map(str::to_owned).to_vec();
    }
    // Sheets stand from left to right, and row 2 is tied from the right.
    let first = [tick(1, 1, "Row 1. 8 navy, 2 cream"), tick(2, 1, "Row 1. 4 navy")];
    let second = [tick(1, 2, "Row 2. 2 cream, 4 navy"), tick(2, 2, "Row 2. 8 navy")];
    let all = |rows: [&[(usize, TickField)]; 2]| of_fields(&expected, &rows.concat());
    assert_eq!(all([&first, &second]), Vec::<String>::new());
    let turned: Vec<_> = second.iter().rev().cloned().collect();
    let wrong = "row 2: its fields together do not speak `2 cream` where it is to be tied";
    assert_eq!(all([&first, &turned]), [wrong]);
    let turned: Vec<_> = first.iter().rev().cloned().collect();
    assert_eq!(all([&turned, &second]), [wrong.replace("row 2", "row 1").replace("2 cream", "4 navy")]);
    // Each field says first which row it is of.
    let nameless = [first[0].clone(), tick(2, 1, "4 navy")];
    assert_eq!(
        all([&nameless, &second]),
        ["page 2, row 1: its field is spoken as `4 navy` and does not begin with `Row 1.`"]
    );
}

/// A file of so many pages, on each of which these words stand.
fn written(pages: usize, words: &str) -> Vec<u8> {
    let codes: String = words.encode_utf16().map(|unit| format!("{unit:04x}")).collect();
    let content = format!("BT /F 9 Tf 10 50 Td <{codes}> Tj ET");
    let bytes = one_page(content.into_bytes(), |document| {
        let map = "/CIDInit /ProcSet findresource begin begincmap 1 begincodespacerange <0000> <ffff> \
                   endcodespacerange 1 beginbfrange <0000> <ffff> <0000> endbfrange endcmap";
        let map = document.add_object(lopdf::Stream::new(Dictionary::new(), map.into()));
        let below = document.add_object(dictionary! {
            "Type" => "Font", "Subtype" => "CIDFontType2", "BaseFont" => "ABCDEF+Trial", "DW" => 500,
        });
        let font = document.add_object(dictionary! {
            "Type" => "Font", "Subtype" => "Type0", "BaseFont" => "ABCDEF+Trial", "Encoding" => "Identity-H",
            "DescendantFonts" => vec![below.into()], "ToUnicode" => map,
        });
        dictionary! { "Font" => dictionary! { "F" => font } }
    });
    let mut document = Document::load_mem(&bytes).expect("the file is read");
    let page = document.page_iter().next().expect("a page");
    let tree = document.catalog().and_then(|catalog| catalog.get(b"Pages")).and_then(Object::as_reference);
    let tree = document.get_dictionary_mut(tree.expect("a tree of pages")).expect("a tree of pages");
    tree.set("Kids", vec![Object::Reference(page); pages]);
    tree.set("Count", pages as i64);
    let mut out = Vec::new();
    document.save_to(&mut out).expect("the file is written");
    out
}

#[test]
fn sheets_have_every_letter_of_the_booklet_and_room_for_all_of_its_pages() {
    let told = |sheets: &[u8], booklet: &[u8], faces: usize| {
        let report = prove_sheets(sheets, booklet, faces);
        report.findings.iter().map(Finding::sentence).collect::<Vec<_>>()
    };
    let booklet = written(4, "ab a");
    assert_eq!(told(&written(2, "abab aa"), &booklet, 2), Vec::<String>::new());
    assert_eq!(prove_sheets(&written(2, "abab aa"), &booklet, 2).pages, 2);
    assert_eq!(told(&written(2, "abab aa"), &booklet, 4), ["the sheets have 2 sides for 4 pages, not 4"]);
    assert_eq!(told(&written(1, "aaaaaaaabbbb"), &booklet, 1), ["the sheets have 1 sides for 4 pages, not 1"]);
    assert_eq!(
        told(&written(2, "abcab a"), &booklet, 2),
        [
            "`a` stands 8 times in the booklet and 6 times on the sheets",
            "`c` stands 0 times in the booklet and 2 times on the sheets"
        ]
    );
    // Of a wholly other booklet ten letters are enough.
    assert_eq!(told(&written(2, "cdefghijklmnop"), &booklet, 2).len(), 10);
    assert!(told(b"", &booklet, 2)[0].contains("the sheets: "));
    assert!(told(&booklet, b"", 2)[0].contains("the booklet: "));
}
