//! Files that come off the printer in their true size: boxes as large as the paper, a viewer that is told not to scale, and a
//! ruler to check it with.

use crate::finished::{finished, order};
use hitchpress::project::Ink;
use hitchpress::words::Words;
use lopdf::{Document, Object};

fn number(object: &Object) -> f64 {
    match object {
        Object::Integer(value) => *value as f64,
        Object::Real(value) => f64::from(*value),
        _ => panic!("{object:?} is no number"),
    }
}

/// Straight lines of a page as they are drawn: from and to, points from the bottom left.
fn lines(document: &Document, page: lopdf::ObjectId) -> Vec<[f64; 4]> {
    let content = document.get_page_content(page);
    let mut operators = hayro_syntax::content::UntypedIter::new(&content);
    let (mut out, mut at) = (Vec::new(), (0.0, 0.0));
    while let Some(instruction) = operators.next() {
        let numbers: Vec<f64> = instruction
            .operands()
            .filter_map(|operand| match operand {
                hayro_syntax::object::Object::Number(number) => Some(number.as_f64()),
                _ => None,
            })
            .collect();
        let operator: &[u8] = instruction.operator;
        match (operator, numbers.as_slice()) {
            (b"m", [x, y]) => at = (*x, *y),
            (b"l", [x, y]) => {
                out.push([at.0, at.1, *x, *y]);
                at = (*x, *y);
            }
            _ => {}
        }
    }
    out
}

/// Whether there is a ruler among the lines: 2 in long, with a stroke above it at exactly 50 mm and one below it at 2 in.
fn has_ruler(lines: &[[f64; 4]]) -> bool {
    // Coordinates are written with two decimals.
    let near = |a: f64, b: f64| (a - b).abs() <= 0.0101;
    let bars = lines.iter().filter(|[x1, y1, x2, y2]| near(*y1, *y2) && near(x2 - x1, 144.0));
    bars.into_iter().any(|[left, y, _, _]| {
        let stroke = |at: f64, above: bool| {
            lines.iter().any(|[x1, y1, x2, y2]| {
                let (low, high) = (y1.min(*y2), y1.max(*y2));
                let reaches = if above { near(low, *y) && high > *y + 5.0 } else { near(high, *y) && low < *y - 5.0 };
                near(*x1, left + at) && near(*x2, left + at) && reaches
            })
        };
        // 50 mm in points: 50 / 25.4 x 72 (own computation).
        stroke(0.0, true) && stroke(141.7323, true) && stroke(0.0, false) && stroke(144.0, false)
    })
}

#[test]
fn booklets_and_charts_have_a_ruler_of_exactly_50_millimetres_and_2_inches() {
    for (sample, edition, paper, on_sheets) in [
        ("low-water-heron", "booklet", "a4", false),
        ("two-pears", "booklet", "a5", false),
        ("low-water-heron", "chart", "a4", true),
        ("low-water-heron", "chart", "letter", true),
        ("two-pears", "chart", "a5", true),
        ("harbour-evening", "chart", "half-letter", true),
        ("two-pears", "large-print", "a4", true),
    ] {
        let made = finished(sample, edition, paper, Ink::Saving);
        let document = Document::load_mem(&made.bytes).expect("it opens");
        let sheets: Vec<usize> = made.sheets().into_iter().map(|(page, _, _)| page).collect();
        let pages = document.page_iter().enumerate();
        let with: Vec<usize> = pages.filter(|(_, id)| has_ruler(&lines(&document, *id))).map(|(at, _)| at).collect();
        match on_sheets {
            true => assert_eq!(with, sheets, "{sample} {edition} {paper}: one on every chart sheet"),
            false => assert_eq!(with.len(), 1, "{sample} {edition} {paper}: {with:?}"),
        }
    }
}

#[test]
fn the_ruler_of_a_chart_is_there_in_every_language() {
    for language in Words::languages() {
        let order =
            hitchpress::press::Wishes { language: Some(language.to_owned()), ..order("chart", "a5", Ink::Saving) };
        let made = crate::finished::finished_to("two-pears", order);
        let document = Document::load_mem(&made.bytes).expect("it opens");
        let sheets: Vec<usize> = made.sheets().into_iter().map(|(page, _, _)| page).collect();
        let pages = document.page_iter().enumerate();
        let with: Vec<usize> = pages.filter(|(_, id)| has_ruler(&lines(&document, *id))).map(|(at, _)| at).collect();
        assert_eq!(with, sheets, "{language}");
    }
}

#[test]
fn boxes_are_exactly_the_paper_and_viewers_are_told_not_to_scale() {
    // ISO 216 and ANSI/ASME Y14.1, millimetres; the last is the project's own.
    for (paper, width, height) in [
        ("a4", 210.0, 297.0),
        ("letter", 215.9, 279.4),
        ("a5", 148.0, 210.0),
        ("half-letter", 139.7, 215.9),
        ("a3", 297.0, 420.0),
        ("tabloid", 279.4, 431.8),
        ("small-screen", 90.0, 160.0),
    ] {
        for edition in ["materials", "chart"] {
            let made = finished("two-pears", edition, paper, Ink::SymbolsOnly);
            let document = Document::load_mem(&made.bytes).expect("it opens");
            for page in document.page_iter() {
                let page = document.get_dictionary(page).expect("a page");
                for key in ["MediaBox", "CropBox", "TrimBox"] {
                    let found = page.get(key.as_bytes()).and_then(Object::as_array).expect("a box");
                    let found: Vec<f64> = found.iter().map(number).collect();
                    let points = |mm: f64| mm / 25.4 * 72.0;
                    let upright = [0.0, 0.0, points(width), points(height)];
                    let lying = [0.0, 0.0, points(height), points(width)];
                    let exact = |wanted: &[f64]| found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 0.01);
                    assert!(exact(&upright) || (edition == "chart" && exact(&lying)), "{paper} {key}: {found:?}");
                }
            }
            let shown = document.catalog().and_then(|c| c.get(b"ViewerPreferences")).and_then(Object::as_dict);
            let scaling = shown.and_then(|shown| shown.get(b"PrintScaling")).and_then(Object::as_name);
            assert_eq!(scaling.expect("it says so"), b"None", "{paper} {edition}");
        }
    }
}
