//! A small booklet made by hand with lopdf, for the tests of this room: two chart sheets that overlap, a key on each, and
//! the rows in words. Every kind of mistake can be put into the file.
//!
//! Long, and one subject: one small file, and every mistake it can have.

use super::expectations::{ExpectedRow, ExpectedYarn, SheetWords};
use super::{Expectations, Finding, ProofReport, prove};
use crate::chart::{Chart, Column, Row, YarnId};
use crate::diag::Report;
use crate::project::Project;
use crate::source::Sources;
use lopdf::{Dictionary, Document, Object, Stream, dictionary};
use std::fmt::Write;
use std::path::Path;

pub(super) mod drawn;
mod expected;
mod file;
mod sheets;
mod whole;
mod words;

/// A4 in points, from millimetres: own computation, 210 / 25.4 x 72 and 297 / 25.4 x 72.
const PAPER: (f64, f64) = (595.2756, 841.8898);
const CELL: f64 = 14.0;

/// What to do wrong, and where (row and column of the chart from 0).
#[derive(Clone, Copy, Debug, PartialEq)]
enum Slip {
    None,
    Ground(usize, usize),
    Symbol(usize, usize),
    NoSymbol(usize, usize),
    RowNumber(usize),
    NoRowNumber(usize),
    ColumnNumber(usize),
    TickBox(usize),
    Arrow(usize),
    TickField(usize),
    TwoBoxes(usize),
    BoxTwice(usize),
    SmallBox(usize),
    LowBox(usize),
    NoField(usize),
    SmallField(usize),
    TwoFields(usize),
    NoColumnNumber(usize),
    ColumnNumberAside(usize),
    KeyCount(usize),
    KeyTwins,
    Sentence(usize),
    SheetWords,
}

/// How much colour the trial carries.
#[derive(Clone, Copy, Debug, PartialEq)]
enum TrialInk {
    Pale,
    Dark,
    None,
}

struct Trial {
    project: Project,
    slip: Slip,
    ink: TrialInk,
    fonts_embedded: bool,
    fields: bool,
    /// Width of a cell over its height.
    wide: f64,
    /// Whether the key stands on every sheet.
    keyed: bool,
}

const NAMES: [&str; 3] = ["navy", "navy blue", "cream"];

impl Trial {
    fn new(slip: Slip) -> Trial {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/low-water-heron");
        let mut project =
            crate::project::load(&folder, &mut Sources::new(), &mut Report::new()).expect("the sample loads");
        project.palette.0.truncate(3);
        for (yarn, name) in project.palette.0.iter_mut().zip(NAMES) {
            yarn.name = name.to_owned();
        }
        let mut random = fastrand::Rng::with_seed(7);
        let cells = (0..22 * 15).map(|at| match at {
            // A corner, the last column and the last row are bare.
            _ if at % 22 == 21 || at >= 14 * 22 || (at > 250 && at % 22 < 3) => None,
            _ => Some(YarnId(random.u8(0..3))),
        });
        project.chart = Chart::new(22, cells.collect()).expect("22 by 15 cells");
        Trial { project, slip, ink: TrialInk::Pale, fonts_embedded: true, fields: true, wide: 1.0, keyed: true }
    }

    fn counts(&self) -> Vec<usize> {
        (0..3).map(|y| self.project.chart.cells().iter().filter(|c| **c == Some(YarnId(y))).count()).collect()
    }

    fn sentence(&self, row: usize) -> String {
        let mut cells = self.project.chart.row(Row(row)).to_vec();
        if row % 2 == 1 {
            cells.reverse();
        }
        let runs = cells.chunk_by(|a, b| a == b).filter_map(|run| run[0].map(|y| (run.len(), NAMES[usize::from(y.0)])));
        let runs: Vec<String> = runs.map(|(n, name)| format!("{n} {name}")).collect();
        let way = if row.is_multiple_of(2) { "left to right" } else { "right to left" };
        let runs = if runs.is_empty() { "No knots".to_owned() } else { runs.join("; ") };
        format!("Row {}, {way}. {runs}.", row + 1)
    }

    fn expected(&self) -> Expectations<'_> {
        let row = |r: usize| ExpectedRow {
            number: (r + 1).to_string(),
            field: format!("row.{}", r + 1),
            sentence: self.sentence(r),
            spoken: self.sentence(r),
            again: self.sentence(r),
            in_parts: Vec::new(),
        };
        Expectations {
            run_counts: false,
            marks: None,
            project: &self.project,
            paper: Some(PAPER),
            bleed: 0.0,
            chart: true,
            fields: self.fields,
            rows: (0..self.project.chart.rows()).map(row).collect(),
            header_rows: Vec::new(),
            written: true,
            key: NAMES
                .iter()
                .zip(self.counts())
                .map(|(name, n)| ExpectedYarn { name: (*name).to_owned(), count: format!("{n} knots") })
                .collect(),
            sheet: SheetWords { columns: "Columns {from} to {to}".to_owned(), ..SheetWords::default() },
            lines: Vec::new(),
        }
    }

    /// A cell, or a sample of the key, `height` points high.
    fn cell(
        &self,
        out: &mut String,
        (x, y): (f64, f64),
        (width, height): (f64, f64),
        ground: usize,
        symbol: Option<usize>,
    ) {
        let grounds = match self.ink {
            TrialInk::Pale => ["0.7 0.8 1", "0.9 0.8 0.9", "1 0.95 0.8"],
            TrialInk::Dark => ["0.1 0.1 0.3", "0.3 0.1 0.1", "0 0.2 0.1"],
            TrialInk::None => ["", "", ""],
        };
        if self.ink != TrialInk::None {
            let _ = writeln!(out, "{} rg {x} {y} {width} {height} re f", grounds[ground]);
        }
        // A square, four corners, and a ring, in a cell of 14 by 14.
        let symbol = match symbol {
            Some(0) => "-3.5 -3.5 7 7 re f",
            Some(1) => "-5 -5 m -1 -5 l -5 -1 l h 5 -5 m 5 -1 l 1 -5 l h 5 5 m 1 5 l 5 1 l h -5 5 m -5 1 l -1 5 l h f",
            Some(_) => {
                "5 0 m 5 2.76 2.76 5 0 5 c -2.76 5 -5 2.76 -5 0 c -5 -2.76 -2.76 -5 0 -5 c 2.76 -5 5 -2.76 5 0 c h \
                 -2 -2 4 4 re f*"
            }
            None => return,
        };
        let (cx, cy, across, down) = (x + width / 2.0, y + height / 2.0, width / CELL, height / CELL);
        let grey = if self.ink == TrialInk::Dark { 1 } else { 0 };
        let _ = writeln!(out, "{grey} g q {across} 0 0 {down} {cx} {cy} cm {symbol} Q");
    }

    fn tick_box(&self, out: &mut String, row: usize, (box_at, y): (f64, f64)) {
        let side = if self.slip == Slip::SmallBox(row) { 8.0 } else { 12.0 };
        let up = if self.slip == Slip::LowBox(row) { -3.0 } else { 1.0 };
        if self.slip != Slip::TickBox(row) {
            let _ = writeln!(out, "0.5 w 0 G {box_at} {} 18.2 {side} re S", y + up + (12.0 - side) / 2.0);
        }
        match self.slip {
            Slip::TwoBoxes(r) if r == row => {
                let _ = writeln!(out, "0.5 w 0 G {} {} 12 12 re S", box_at - 20.0, y + 1.0);
            }
            Slip::BoxTwice(r) if r == row => {
                let _ = writeln!(out, "0.5 w 0 G {} {} 16.2 10 re S", box_at + 1.0, y + 2.0);
            }
            _ => {}
        }
    }

    fn fields_of(&self, row: usize, (box_at, y): (f64, f64), fields: &mut Vec<Object>) {
        let name = if self.slip == Slip::TickField(row) { row + 2 } else { row + 1 };
        let narrow = if self.slip == Slip::SmallField(row) { 0.6 } else { 0.0 };
        let area = [box_at + narrow, y + 1.0, box_at + 18.2, y + 13.0];
        if self.slip != Slip::NoField(row) {
            fields.push(field(name, &self.sentence(row), area));
        }
        if self.slip == Slip::TwoFields(row) {
            fields.push(field(name, &self.sentence(row), area));
        }
    }

    fn sheet(&self, first: usize, columns: usize) -> (String, Vec<Object>) {
        let (left, top, wide) = (120.0, 700.0, CELL * self.wide);
        let rows = self.project.chart.rows();
        let mut out = String::new();
        let mut fields = Vec::new();
        let from = if self.slip == Slip::SheetWords { first } else { first + 1 };
        text(&mut out, left, 760.0, 9.0, &format!("Columns {from} to {}", first + columns));
        for row in 0..rows {
            let y = top - (row + 1) as f64 * CELL;
            for column in 0..columns {
                let here = (row, first + column);
                let Some(yarn) = self.project.chart.cell(Row(here.0), Column(here.1)) else { continue };
                let yarn = usize::from(yarn.0);
                let other = (yarn + 1) % 3;
                let ground = if self.slip == Slip::Ground(here.0, here.1) { other } else { yarn };
                let symbol = match self.slip {
                    Slip::Symbol(r, c) if here == (r, c) => Some(other),
                    Slip::NoSymbol(r, c) if here == (r, c) => None,
                    _ => Some(yarn),
                };
                self.cell(&mut out, (left + column as f64 * wide, y), (wide, CELL), ground, symbol);
            }
            let right = left + columns as f64 * wide;
            let number = if self.slip == Slip::RowNumber(row) { row + 2 } else { row + 1 };
            let (text_at, box_at) = if row % 2 == 0 { (left - 18.0, left - 60.0) } else { (right + 6.0, right + 30.0) };
            if self.slip != Slip::NoRowNumber(row) {
                text(&mut out, text_at, y + 4.5, 7.0, &number.to_string());
            }
            self.tick_box(&mut out, row, (box_at, y));
            let (tail, tip) = if row % 2 == 0 { (left - 30.0, left - 24.0) } else { (right + 28.0, right + 22.0) };
            let (tail, tip) = if self.slip == Slip::Arrow(row) { (tip, tail) } else { (tail, tip) };
            let _ = writeln!(out, "0.3 g {tail} {} m {tail} {} l {tip} {} l f", y + 5.0, y + 9.0, y + 7.0);
            if self.fields {
                self.fields_of(row, (box_at, y), &mut fields);
            }
        }
        let bottom = top - rows as f64 * CELL;
        for column in 0..columns {
            let number = first + column + 1;
            if number.is_multiple_of(5) || column == 0 || column + 1 == columns {
                let shown = if self.slip == Slip::ColumnNumber(first + column) { number + 1 } else { number };
                let half = 1.375 * shown.to_string().len() as f64;
                let aside = if self.slip == Slip::ColumnNumberAside(first + column) { 0.4 * wide } else { 0.0 };
                let x = left + (column as f64 + 0.5) * wide - half + aside;
                if self.slip == Slip::NoColumnNumber(first + column) {
                    continue;
                }
                text(&mut out, x, top + 4.0, 5.5, &shown.to_string());
                text(&mut out, x, bottom - 10.0, 5.5, &number.to_string());
            }
        }
        // Lines only where a knot is on one side at least, each cell's for itself.
        let knot = |row: usize, column: usize| {
            row < rows && column < columns && self.project.chart.cell(Row(row), Column(first + column)).is_some()
        };
        for row in 0..=rows {
            for column in 0..=columns {
                let (x, y) = (left + column as f64 * wide, top - row as f64 * CELL);
                let broad = if (first + column).is_multiple_of(10) { 0.8 } else { 0.25 };
                if knot(row, column) || (column > 0 && knot(row, column - 1)) {
                    let _ = writeln!(out, "0.6 G {broad} w {x} {y} m {x} {} l S", y - CELL);
                }
                if knot(row, column) || (row > 0 && knot(row - 1, column)) {
                    let _ = writeln!(out, "0.6 G 0.25 w {x} {y} m {} {y} l S", x + wide);
                }
            }
        }
        if self.keyed {
            self.key(&mut out);
        }
        (out, fields)
    }

    fn key(&self, out: &mut String) {
        for (at, name) in NAMES.iter().enumerate() {
            let x = 60.0 + 170.0 * at as f64;
            let symbol = if self.slip == Slip::KeyTwins && at == 2 { 1 } else { at };
            self.cell(out, (x, 420.0), (11.0, 11.0), at, Some(symbol));
            let _ = writeln!(out, "0.5 G 0.4 w {x} 420 11 11 re S");
            let count = self.counts()[at] + usize::from(self.slip == Slip::KeyCount(at));
            text(out, x + 22.0, 423.0, 9.0, &format!("{name}  {count} knots"));
        }
    }

    fn pdf(&self) -> Vec<u8> {
        let mut document = Document::with_version("1.7");
        let map = "/CIDInit /ProcSet findresource begin begincmap 1 begincodespacerange <0000> <ffff> \
                   endcodespacerange 1 beginbfrange <0000> <ffff> <0000> endbfrange endcmap";
        let map = document.add_object(Stream::new(Dictionary::new(), map.into()));
        let program = document.add_object(Stream::new(Dictionary::new(), vec![0; 16]));
        let mut descriptor = dictionary! { "Type" => "FontDescriptor", "FontName" => "ABCDEF+Trial" };
        if self.fonts_embedded {
            descriptor.set("FontFile2", program);
        }
        let descriptor = document.add_object(descriptor);
        let below = document.add_object(dictionary! {
            "Type" => "Font", "Subtype" => "CIDFontType2", "BaseFont" => "ABCDEF+Trial", "DW" => 500,
            "FontDescriptor" => descriptor,
        });
        let font = document.add_object(dictionary! {
            "Type" => "Font", "Subtype" => "Type0", "BaseFont" => "ABCDEF+Trial", "Encoding" => "Identity-H",
            "DescendantFonts" => vec![below.into()], "ToUnicode" => map,
        });
        let (first, first_fields) = self.sheet(0, 12);
        let (second, second_fields) = self.sheet(10, 12);
        let mut words = String::new();
        let mut y = 780.0;
        for row in 0..15 {
            let mut sentence = self.sentence(row);
            if self.slip == Slip::Sentence(row) {
                sentence = sentence.replacen(". 1 ", ". 2 ", 1).replacen(". 3 ", ". 4 ", 1);
                sentence = sentence.replacen("; 2 ", "; 5 ", 1);
            }
            let all: Vec<&str> = sentence.split(' ').collect();
            for line in all.chunks(11) {
                text(&mut words, 80.0, y, 9.0, &line.join(" "));
                y -= 12.0;
            }
            y -= 4.0;
        }
        let pages_id = document.new_object_id();
        let mut kids: Vec<Object> = Vec::new();
        let all = vec![(first, first_fields), (second, second_fields), (words, Vec::new())];
        for (content, fields) in all {
            let mut content = Stream::new(Dictionary::new(), content.into_bytes());
            content.compress().expect("the content is compressed");
            let content = document.add_object(content);
            let fields: Vec<Object> = fields
                .into_iter()
                .map(|mut f| {
                    if let Ok(d) = f.as_dict_mut() {
                        let look = document.add_object(Stream::new(Dictionary::new(), Vec::new()));
                        let off = document.add_object(Stream::new(Dictionary::new(), Vec::new()));
                        d.set("AP", dictionary! { "N" => dictionary! { "Done" => look, "Off" => off } });
                    }
                    document.add_object(f).into()
                })
                .collect();
            let page = dictionary! {
                "Type" => "Page", "Parent" => pages_id, "Contents" => content, "Annots" => fields,
                "MediaBox" => vec![0.into(), 0.into(), Object::Real(PAPER.0 as f32), Object::Real(PAPER.1 as f32)],
                "Resources" => dictionary! { "Font" => dictionary! { "F" => font } },
            };
            kids.push(document.add_object(page).into());
        }
        let count = kids.len() as i64;
        document.set_object(pages_id, dictionary! { "Type" => "Pages", "Kids" => kids, "Count" => count });
        let catalog = document.add_object(dictionary! { "Type" => "Catalog", "Pages" => pages_id });
        document.trailer.set("Root", catalog);
        let mut bytes = Vec::new();
        document.save_to(&mut bytes).expect("the trial file is written");
        bytes
    }

    fn report(&self) -> ProofReport {
        prove(&self.pdf(), &self.expected())
    }
}

fn text(out: &mut String, x: f64, y: f64, size: f64, words: &str) {
    let codes: String = words.encode_utf16().map(|u| format!("{u:04x}")).collect();
    let _ = writeln!(out, "BT 0 g /F {size} Tf {x} {y} Td <{codes}> Tj ET");
}

fn field(row: usize, spoken: &str, area: [f64; 4]) -> Object {
    let rect: Vec<Object> = area.iter().map(|v| Object::Real(*v as f32)).collect();
    dictionary! {
        "Type" => "Annot", "Subtype" => "Widget", "FT" => "Btn", "Rect" => rect,
        "T" => Object::string_literal(format!("row.{row}")), "TU" => Object::string_literal(spoken),
    }
    .into()
}

fn sentences(report: &ProofReport) -> Vec<String> {
    report.findings.iter().map(Finding::sentence).collect()
}

#[test]
fn a_right_file_passes_and_everything_in_it_was_read() {
    let report = Trial::new(Slip::None).report();
    assert_eq!(sentences(&report), Vec::<String>::new());
    assert_eq!((report.pages, report.sheets, report.fonts), (3, 2, 1));
    // Own computation: two sheets of 12 columns by 15 rows; 15 boxes on each.
    assert_eq!((report.cells, report.tick_boxes, report.written_rows), (360, 30, 15));
}

#[test]
fn a_file_without_colours_is_read_by_its_symbols() {
    let trial = Trial { ink: TrialInk::None, ..Trial::new(Slip::None) };
    assert_eq!(sentences(&trial.report()), Vec::<String>::new());
    let trial = Trial { ink: TrialInk::None, ..Trial::new(Slip::Symbol(4, 7)) };
    let report = trial.report();
    assert_eq!(report.findings.len(), 1);
    assert!(sentences(&report)[0].starts_with("page 1, row 5, column 8: "));
}

#[test]
fn white_symbols_on_dark_grounds_are_read() {
    let trial = Trial { ink: TrialInk::Dark, ..Trial::new(Slip::None) };
    assert_eq!(sentences(&trial.report()), Vec::<String>::new());
    let trial = Trial { ink: TrialInk::Dark, ..Trial::new(Slip::Symbol(2, 3)) };
    assert_eq!(trial.report().findings.len(), 1);
}

#[test]
fn symbols_as_wide_as_their_cells_are_those_of_the_square_samples() {
    let trial = Trial { wide: 1.5, ..Trial::new(Slip::None) };
    assert_eq!(sentences(&trial.report()), Vec::<String>::new());
}

#[test]
fn every_slip_is_found_where_it_is() {
    let slips = [
        (Slip::Ground(3, 5), "page 1, row 4, column 6: "),
        (Slip::Ground(13, 20), "page 2, row 14, column 21: "),
        (Slip::Symbol(0, 0), "page 1, row 1, column 1: "),
        (Slip::NoSymbol(7, 15), "page 2, row 8, column 16: "),
        (Slip::RowNumber(4), "page 1, row 5: the number 6 stands"),
        (Slip::NoRowNumber(9), "page 1, row 10: no number"),
        (Slip::ColumnNumber(4), "page 1, column 5: the number 6 stands above"),
        (Slip::TickBox(3), "page 1, row 4: no box"),
        (Slip::Arrow(12), "page 1, row 13: its arrow points"),
        (Slip::TickField(11), "page 1, row 12: its box ticks the field `row.13`"),
        (Slip::TwoBoxes(5), "page 1, row 6: more than one box to tick stands at its right end"),
        (Slip::SmallBox(8), "page 1, row 9: its box to tick is"),
        (Slip::LowBox(2), "page 1, row 3: its box to tick stands beside the middle of no row"),
        (Slip::NoField(1), "page 1, row 2: its box cannot be ticked on a screen"),
        // Own computation: 17.6 points are 6.2 mm.
        (Slip::SmallField(10), "page 1, row 11: its field is only 6.2 mm wide"),
        (Slip::TwoFields(6), "page 1, row 7: more than one field lies over its box"),
        (Slip::NoColumnNumber(19), "page 2, column 20: no number stands above it"),
        (Slip::NoColumnNumber(9), "page 1, column 10: no number stands above it"),
        (Slip::NoColumnNumber(0), "page 1, column 1: no number stands above it"),
        (Slip::NoColumnNumber(11), "page 1, column 12: no number stands above it"),
        // What stands over the side of a column numbers none.
        (Slip::ColumnNumberAside(9), "page 1, column 10: no number stands above it"),
        (Slip::KeyCount(2), "page 1: the key gives"),
        (Slip::KeyTwins, "page 1: navy blue and cream have the same symbol"),
        (Slip::Sentence(6), "page 3, row 7: after"),
        (Slip::SheetWords, "page 1: the sheet does not say `Columns 1 to 12`"),
    ];
    for (slip, start) in slips {
        let found = sentences(&Trial::new(slip).report());
        assert!(found.iter().any(|f| f.starts_with(start)), "{slip:?}: {found:#?}");
    }
}

#[test]
fn what_may_be_so_is_no_slip() {
    // A frame inside the box, and a five that has no number.
    for slip in [Slip::BoxTwice(5), Slip::NoColumnNumber(4)] {
        assert_eq!(sentences(&Trial::new(slip).report()), Vec::<String>::new(), "{slip:?}");
    }
    // Own computation: two columns of 9.8 points beside the last number leave less than 20, two of 14 leave more.
    let narrow = Trial { wide: 0.7, ..Trial::new(Slip::NoColumnNumber(9)) };
    assert_eq!(sentences(&narrow.report()), Vec::<String>::new());
}

#[test]
fn a_sheet_without_a_key_is_named() {
    let found = sentences(&Trial { keyed: false, ..Trial::new(Slip::None) }.report());
    for page in [1, 2] {
        let missing = format!("page {page}: the key has no sample beside the name `navy`");
        assert!(found.contains(&missing), "{found:#?}");
    }
}

#[test]
fn a_cell_in_an_overlap_must_be_right_on_both_sheets() {
    // Column 11 stands on both sheets; the slip is on both, so both are named.
    let found = sentences(&Trial::new(Slip::Ground(2, 10)).report());
    assert_eq!(found.iter().filter(|f| f.contains("row 3, column 11: ")).count(), 2);
}

#[test]
fn fonts_that_are_not_in_the_file_are_named() {
    let trial = Trial { fonts_embedded: false, ..Trial::new(Slip::None) };
    assert_eq!(sentences(&trial.report()), ["the font `ABCDEF+Trial` is not embedded"]);
}

#[test]
fn the_figures_where_rows_end_are_those_of_the_rows_knots() {
    let trial = Trial::new(Slip::None);
    let expected = Expectations { run_counts: true, ..trial.expected() };
    // None stands there, so every row with knots is told of on the first sheet, and what it should be.
    let report = prove(&trial.pdf(), &expected);
    let told: Vec<String> = sentences(&report).into_iter().filter(|it| it.contains("the figures at its")).collect();
    let runs = |row: usize, shown: std::ops::Range<usize>| {
        let mut cells = trial.project.chart.row(Row(row))[shown].to_vec();
        if row % 2 == 1 {
            cells.reverse();
        }
        let runs = cells.chunk_by(|a, b| a == b).filter(|run| run[0].is_some());
        runs.map(|run| run.len().to_string()).collect::<Vec<_>>().join(", ")
    };
    // Own computation: a row from the left ends at the right, the next one at the left; the second sheet says only what the
    // first one has not.
    for (row, side) in [(0, "right"), (1, "left")] {
        let first = format!(
            "page 1, row {}: the figures at its {side} end say ``; its knots are {}",
            row + 1,
            runs(row, 0..12)
        );
        assert!(told.contains(&first), "{first}\n{told:#?}");
    }
    let second = format!("page 2, row 1: the figures at its right end say ``; its knots are {}", runs(0, 12..22));
    assert!(told.contains(&second), "{second}\n{told:#?}");
}

#[test]
fn header_rows_are_read_in_words_too() {
    let trial = Trial::new(Slip::None);
    let mut expected = trial.expected();
    expected.header_rows = trial.expected().rows.drain(..2).collect();
    let report = prove(&trial.pdf(), &expected);
    // Fifteen rows of the chart, and two that are taken for a header.
    assert_eq!((sentences(&report), report.written_rows), (Vec::new(), 17));
    expected.header_rows[1].sentence = expected.header_rows[1].sentence.replace("Row 2,", "Row 2 begins");
    let report = prove(&trial.pdf(), &expected);
    assert_eq!((report.findings.len(), report.written_rows), (1, 16));
    assert!(sentences(&report)[0].contains("header row 2: "), "{:?}", sentences(&report));
}

#[test]
fn a_row_that_is_said_twice_is_named() {
    let trial = Trial::new(Slip::None);
    let mut expected = trial.expected();
    expected.rows.iter_mut().for_each(|row| row.again = format!("Row {}", row.number));
    let found = sentences(&prove(&trial.pdf(), &expected));
    assert_eq!(found.len(), 15);
    assert!(found[3].starts_with("page 2, row 4: its field is spoken as `"), "{}", found[3]);
    assert!(found[3].ends_with("instead of `Row 4`"), "{}", found[3]);
}

#[test]
fn print_files_must_not_have_fields() {
    let trial = Trial::new(Slip::None);
    let expected = Expectations { fields: false, ..trial.expected() };
    let report = prove(&trial.pdf(), &expected);
    assert_eq!(sentences(&report), ["page 1: the field `row.1` has no place in this kind of file"]);
    let trial = Trial { fields: false, ..trial };
    assert!(trial.report().holds());
}

#[test]
fn another_chart_is_not_taken_for_this_one() {
    let trial = Trial::new(Slip::None);
    let mut other = Trial::new(Slip::None);
    let cells: Vec<_> = trial.project.chart.cells().iter().rev().copied().collect();
    other.project.chart = Chart::new(22, cells).expect("22 by 15 cells");
    let report = prove(&trial.pdf(), &other.expected());
    assert!(report.findings.iter().any(|f| f.id == "wrong-cell"));
    assert!(report.left_out > 0);
}

#[test]
fn damaged_files_are_refused_and_never_break_the_reader() {
    let trial = Trial::new(Slip::None);
    let whole = trial.pdf();
    let expected = trial.expected();
    let mut random = fastrand::Rng::with_seed(20_260_914);
    for round in 0..60 {
        let mut bytes = whole.clone();
        match round % 3 {
            0 => bytes.truncate(random.usize(0..bytes.len())),
            _ => {
                for _ in 0..random.usize(1..40) {
                    let at = random.usize(0..bytes.len());
                    bytes[at] = random.u8(..);
                }
            }
        }
        // What is found in a damaged file does not matter; that there is an answer does.
        let _ = prove(&bytes, &expected);
    }
    assert_eq!(prove(b"", &expected).findings[0].id, "unreadable-file");
    assert_eq!(prove(b"%PDF-1.7 and nothing else", &expected).findings[0].id, "unreadable-file");
}

/// A file of one page with this content and these resources.
fn one_page(content: Vec<u8>, add: impl FnOnce(&mut Document) -> Dictionary) -> Vec<u8> {
    let mut document = Document::with_version("1.7");
    let resources = add(&mut document);
    let mut content = Stream::new(Dictionary::new(), content);
    content.compress().expect("the content is compressed");
    let content = document.add_object(content);
    let pages = document.new_object_id();
    let page = document.add_object(dictionary! {
        "Type" => "Page", "Parent" => pages, "Contents" => content, "Resources" => resources,
        "MediaBox" => vec![0.into(), 0.into(), 100.into(), 100.into()],
    });
    document.set_object(pages, dictionary! { "Type" => "Pages", "Kids" => vec![page.into()], "Count" => 1 });
    let catalog = document.add_object(dictionary! { "Type" => "Catalog", "Pages" => pages });
    document.trailer.set("Root", catalog);
    let mut bytes = Vec::new();
    document.save_to(&mut bytes).expect("the file is written");
    bytes
}

fn unread(bytes: &[u8]) -> Vec<String> {
    let page = super::PdfReader::open(bytes).and_then(|mut reading| reading.page(1)).expect("the page is read");
    page.drawn.unread
}

#[test]
fn a_form_that_draws_itself_comes_to_an_end() {
    let bytes = one_page(b"/A Do".to_vec(), |document| {
        let id = document.new_object_id();
        let form = dictionary! {
            "Type" => "XObject", "Subtype" => "Form", "BBox" => vec![0.into(), 0.into(), 9.into(), 9.into()],
            "Resources" => dictionary! { "XObject" => dictionary! { "A" => id } },
        };
        document.set_object(id, Stream::new(form, b"/A Do /A Do /A Do /A Do".to_vec()));
        dictionary! { "XObject" => dictionary! { "A" => id } }
    });
    assert_eq!(unread(&bytes), ["its forms are nested too deeply"]);
}

#[test]
fn content_that_unpacks_without_end_is_not_unpacked() {
    let bytes = one_page(vec![b' '; 49 << 20], |_| Dictionary::new());
    assert!(bytes.len() < 200_000, "the file itself is small");
    assert_eq!(unread(&bytes).len(), 1);
}

#[test]
fn states_put_aside_without_end_are_refused() {
    let bytes = one_page(b"q ".repeat(100_000), |_| Dictionary::new());
    assert_eq!(unread(&bytes), ["its graphics states are nested too deeply"]);
}
