//! `proof` has teeth: one thing is changed in a finished file, by editing the operators that draw it, at random places; it
//! must be found, at its place, and nothing else.

use crate::finished::{Finished, finished};
use hitchpress::page::{CellInk, Item, TextRun};
use hitchpress::project::Ink;
use hitchpress::proof::{Finding, ProofReport};
use lopdf::content::{Content, Operation};
use lopdf::{Document, Object};
use std::collections::BTreeMap;

/// Edits of each kind. Six kinds make 72.
const EACH: usize = 12;

/// One page of a file taken apart.
struct OpenPage {
    document: Document,
    page: lopdf::ObjectId,
    operations: Vec<Operation>,
    height: f64,
}

impl OpenPage {
    fn new(of: &Finished, page: usize) -> OpenPage {
        let document = Document::load_mem(&of.bytes).expect("the file is a PDF");
        let id = document.get_pages()[&(page as u32 + 1)];
        let content = document.get_page_content(id);
        let operations = Content::decode(&content).expect("the content can be taken apart").operations;
        let height = of.booklet.pages[page].trim.height.to_pt();
        OpenPage { document, page: id, operations, height }
    }

    fn put_together(mut self) -> Vec<u8> {
        let content = Content { operations: self.operations }.encode().expect("the content is written");
        self.document.change_page_content(self.page, content).expect("the content is replaced");
        let mut bytes = Vec::new();
        self.document.save_to(&mut bytes).expect("the file is written");
        bytes
    }

    /// The transformation in force before each operation.
    fn matrices(&self) -> Vec<[f64; 6]> {
        let mut now = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
        let mut aside = Vec::new();
        let mut out = Vec::new();
        for operation in &self.operations {
            out.push(now);
            match operation.operator.as_str() {
                "q" => aside.push(now),
                "Q" => now = aside.pop().expect("as many Q as q"),
                "cm" => {
                    let m: Vec<f64> = operation.operands.iter().map(number).collect();
                    let [a, b, c, d, e, f] = now;
                    now = [
                        m[0] * a + m[1] * c,
                        m[0] * b + m[1] * d,
                        m[2] * a + m[3] * c,
                        m[2] * b + m[3] * d,
                        m[4] * a + m[5] * c + e,
                        m[4] * b + m[5] * d + f,
                    ];
                }
                _ => {}
            }
        }
        out
    }

    /// The operation that draws the mark whose middle is at this place of the page.
    fn mark_at(&self, x: f64, y: f64) -> (usize, [f64; 6]) {
        let matrices = self.matrices();
        let here = |at: &usize| {
            let m = matrices[*at];
            self.operations[*at].operator == "Do" && (m[4] - x).abs() < 0.05 && (m[5] - (self.height - y)).abs() < 0.05
        };
        let at = (0..self.operations.len()).find(here).expect("a mark is drawn in the cell");
        (at, matrices[at])
    }

    /// The operation that shows a run of text, with the name of its font.
    fn shown(&self, run: &TextRun) -> (usize, String) {
        let (x, y) = (run.origin.x.to_pt(), self.height - run.origin.y.to_pt());
        let mut font = String::new();
        let mut here = false;
        // Where the text object's line begins: an upright one by steps, a turned one by a matrix of its own.
        let mut line = (0.0, 0.0);
        for (at, operation) in self.operations.iter().enumerate() {
            match operation.operator.as_str() {
                "Tf" => font = String::from_utf8_lossy(operation.operands[0].as_name().expect("a name")).into_owned(),
                "BT" => line = (0.0, 0.0),
                "Tm" | "Td" => {
                    let m: Vec<f64> = operation.operands.iter().map(number).collect();
                    line = match m[..] {
                        [dx, dy] => (line.0 + dx, line.1 + dy),
                        _ => (m[4], m[5]),
                    };
                    here = (line.0 - x).abs() < 0.01 && (line.1 - y).abs() < 0.01;
                }
                "TJ" | "Tj" if here && codes(operation).len() == run.glyphs.len() => return (at, font),
                _ => {}
            }
        }
        panic!("`{}` is not shown at {x}, {y}", run.text);
    }

    /// Codes of letters in the page's fonts, learnt from the runs that show them.
    fn alphabet(&self, of: &Finished, page: usize) -> BTreeMap<(String, char), u16> {
        let mut out = BTreeMap::new();
        for run in of.runs(page).filter(|run| run.turn == 0.0) {
            let (at, font) = self.shown(run);
            for (glyph, code) in run.glyphs.iter().zip(codes(&self.operations[at])) {
                let mut letters = run.text[glyph.cluster.clone()].chars();
                if let (Some(letter), None) = (letters.next(), letters.next()) {
                    out.insert((font.clone(), letter), code);
                }
            }
        }
        out
    }

    /// Puts another digit in the place of the `nth` glyph of a run. `false` when the font shows no other digit.
    fn other_digit(
        &mut self,
        of: &Finished,
        page: usize,
        run: &TextRun,
        nth: usize,
        random: &mut fastrand::Rng,
    ) -> bool {
        let (at, font) = self.shown(run);
        // One digit may have two glyphs, with and without a fixed width: what it says counts, not its code.
        let now = run.text[run.glyphs[nth].cluster.clone()].chars().next();
        let alphabet = self.alphabet(of, page);
        let digits = ('0'..='9').filter(|digit| Some(*digit) != now);
        let others: Vec<u16> = digits.filter_map(|digit| alphabet.get(&(font.clone(), digit)).copied()).collect();
        if others.is_empty() {
            return false;
        }
        set_code(&mut self.operations[at], nth, others[random.usize(0..others.len())]);
        true
    }
}

fn number(object: &Object) -> f64 {
    match object {
        Object::Integer(i) => *i as f64,
        other => f64::from(other.as_float().expect("a number")),
    }
}

fn strings(operation: &mut Operation) -> Vec<&mut Vec<u8>> {
    let mut out = Vec::new();
    for operand in &mut operation.operands {
        match operand {
            Object::String(bytes, _) => out.push(bytes),
            Object::Array(entries) => out.extend(entries.iter_mut().filter_map(|entry| match entry {
                Object::String(bytes, _) => Some(bytes),
                _ => None,
            })),
            _ => {}
        }
    }
    out
}

fn codes(operation: &Operation) -> Vec<u16> {
    let mut operation = operation.clone();
    let strings = strings(&mut operation);
    strings.iter().flat_map(|s| s.chunks_exact(2)).map(|c| u16::from_be_bytes([c[0], c[1]])).collect()
}

fn set_code(operation: &mut Operation, nth: usize, code: u16) {
    let pair = strings(operation).into_iter().flat_map(|s| s.chunks_exact_mut(2)).nth(nth);
    pair.expect("as many codes as glyphs").copy_from_slice(&code.to_be_bytes());
}

fn operation(operator: &str, operands: &[f64]) -> Operation {
    Operation::new(operator, operands.iter().map(|v| Object::Real(*v as f32)).collect())
}

/// Exactly one thing is found, and it is this.
fn only(report: &ProofReport, what: &str) -> Finding {
    let said: Vec<String> = report.findings.iter().map(Finding::sentence).collect();
    assert_eq!(said.len(), 1, "{what}: {said:#?}");
    report.findings[0].clone()
}

/// A random knot on a random sheet: page, row and column on the sheet, row and column of the chart.
fn knot(of: &Finished, random: &mut fastrand::Rng) -> (usize, (usize, usize), (usize, usize)) {
    let sheets = of.sheets();
    loop {
        let (page, first_row, first_column) = sheets[random.usize(0..sheets.len())];
        let grid = of.grid(page).expect("a chart sheet");
        let at = random.usize(0..grid.cells.len());
        if grid.cells[at].is_some() {
            let (row, column) = (at / grid.columns, at % grid.columns);
            return (page, (row, column), (first_row + row, first_column + column));
        }
    }
}

/// Another ink of the sheet that differs from this one as asked.
fn other_ink(
    of: &Finished,
    page: usize,
    at: usize,
    differs: impl Fn(&CellInk, &CellInk) -> bool,
    random: &mut fastrand::Rng,
) -> usize {
    let grid = of.grid(page).expect("a chart sheet");
    let own = &grid.inks[usize::from(grid.cells[at].expect("a knot"))];
    let others: Vec<usize> = grid
        .cells
        .iter()
        .enumerate()
        .filter(|(_, ink)| ink.is_some_and(|ink| differs(own, &grid.inks[usize::from(ink)])))
        .map(|(at, _)| at)
        .collect();
    others[random.usize(0..others.len())]
}

fn middle(of: &Finished, page: usize, row: usize, column: usize) -> (f64, f64) {
    let grid = of.grid(page).expect("a chart sheet");
    (
        grid.origin.x.to_pt() + (column as f64 + 0.5) * grid.cell.width.to_pt(),
        grid.origin.y.to_pt() + (row as f64 + 0.5) * grid.cell.height.to_pt(),
    )
}

#[test]
fn a_changed_ground_is_found_in_its_cell() {
    let files = [
        finished("low-water-heron", "chart", "a4", Ink::Saving),
        finished("harbour-evening", "chart", "a4", Ink::Full),
    ];
    let mut random = fastrand::Rng::with_seed(0x51);
    for round in 0..EACH {
        let of = &files[round % files.len()];
        let (page, (row, column), chart) = knot(of, &mut random);
        let grid = of.grid(page).expect("a chart sheet");
        let other = other_ink(of, page, row * grid.columns + column, |a, b| a.ground != b.ground, &mut random);
        let ground = grid.inks[usize::from(grid.cells[other].expect("a knot"))].ground.expect("this ink has grounds");
        let mut opened = OpenPage::new(of, page);
        let (x, y) = middle(of, page, row, column);
        let (at, [a, b, c, d, e, f]) = opened.mark_at(x, y);
        // Painted just before the symbol, in page coordinates: back through the transformation in force there.
        let det = a * d - b * c;
        let back = [d / det, -b / det, -c / det, a / det, (c * f - d * e) / det, (b * e - a * f) / det];
        let (w, h) = (grid.cell.width.to_pt(), grid.cell.height.to_pt());
        let colour = [ground.r, ground.g, ground.b].map(|v| f64::from(v) / 255.0);
        let patch = [
            operation("q", &[]),
            operation("cm", &back),
            operation("rg", &colour),
            operation("re", &[x - w / 2.0, opened.height - y - h / 2.0, w, h]),
            operation("f", &[]),
            operation("Q", &[]),
        ];
        opened.operations.splice(at..at, patch);
        let found = only(&of.proof(&opened.put_together()), "a ground");
        assert_eq!((found.id, found.page), ("wrong-cell", Some(page + 1)));
        assert_eq!(found.row.zip(found.column).map(|(r, c)| (r.0, c.0)), Some(chart));
    }
}

#[test]
fn a_changed_symbol_is_found_in_its_cell() {
    let files = [
        finished("low-water-heron", "chart", "letter", Ink::Saving),
        finished("two-pears", "chart", "a5", Ink::SymbolsOnly),
        finished("harbour-evening", "chart", "a4", Ink::Full),
    ];
    let mut random = fastrand::Rng::with_seed(0x52);
    for round in 0..EACH {
        let of = &files[round % files.len()];
        let (page, (row, column), chart) = knot(of, &mut random);
        let columns = of.grid(page).expect("a chart sheet").columns;
        let other = other_ink(of, page, row * columns + column, |a, b| a.mark != b.mark, &mut random);
        let mut opened = OpenPage::new(of, page);
        let (x, y) = middle(of, page, row, column);
        let (at, _) = opened.mark_at(x, y);
        let (x, y) = middle(of, page, other / columns, other % columns);
        let (from, _) = opened.mark_at(x, y);
        opened.operations[at].operands = opened.operations[from].operands.clone();
        let found = only(&of.proof(&opened.put_together()), "a symbol");
        assert_eq!((found.id, found.page), ("wrong-cell", Some(page + 1)));
        assert_eq!(found.row.zip(found.column).map(|(r, c)| (r.0, c.0)), Some(chart));
    }
}

#[test]
fn a_changed_row_number_is_found_at_its_row() {
    let files = [
        finished("low-water-heron", "chart", "a4", Ink::Saving),
        finished("harbour-evening", "chart", "letter", Ink::Full),
    ];
    let mut random = fastrand::Rng::with_seed(0x53);
    let mut done = 0;
    while done < EACH {
        let of = &files[done % files.len()];
        let (page, (row, _), (chart_row, _)) = knot(of, &mut random);
        let (_, y) = middle(of, page, row, 0);
        let number = (chart_row + 1).to_string();
        let beside = |run: &&TextRun| run.text == number && (run.origin.y.to_pt() - y).abs() < 6.0;
        let Some(run) = of.runs(page).find(beside) else { continue };
        let mut opened = OpenPage::new(of, page);
        if !opened.other_digit(of, page, run, random.usize(0..run.glyphs.len()), &mut random) {
            continue;
        }
        let found = only(&of.proof(&opened.put_together()), "a row number");
        assert_eq!((found.id, found.page), ("wrong-row-number", Some(page + 1)));
        assert_eq!(found.row.map(|r| r.0), Some(chart_row));
        done += 1;
    }
}

#[test]
fn a_missing_tick_box_is_found_at_its_row() {
    let files = [
        finished("two-pears", "chart", "a4", Ink::Saving),
        finished("harbour-evening", "chart", "a5", Ink::SymbolsOnly),
    ];
    let mut random = fastrand::Rng::with_seed(0x54);
    for round in 0..EACH {
        let of = &files[round % files.len()];
        let (page, (row, _), (chart_row, _)) = knot(of, &mut random);
        let (_, y) = middle(of, page, row, 0);
        let field = of
            .items(page)
            .find_map(|item| match item {
                Item::Tick(tick) if (tick.area.centre().y.to_pt() - y).abs() < 1.0 => Some(tick.area),
                _ => None,
            })
            .expect("every row has a field");
        let mut opened = OpenPage::new(of, page);
        let (x, height) = (field.centre().x.to_pt(), opened.height);
        // The frame is the box of a stroked path that starts within the field; it is taken out.
        let starts = |o: &Operation| {
            let at: Vec<f64> = o.operands.iter().filter_map(|v| v.as_float().ok().map(f64::from)).collect();
            o.operator == "re" && (at[0] - x).abs() < 10.0 && (height - at[1] - y).abs() < 8.0
        };
        let part = (0..opened.operations.len())
            .filter(|at| starts(&opened.operations[*at]))
            .find_map(|at| {
                let of = |i: &usize| opened.operations[*i].operator.as_str();
                let painted = (at..opened.operations.len()).find(|i| matches!(of(i), "S" | "B" | "f" | "n"))?;
                matches!(of(&painted), "S" | "B").then_some(at)
            })
            .expect("the box is stroked");
        opened.operations.remove(part);
        let found = only(&of.proof(&opened.put_together()), "a tick-box");
        assert_eq!((found.id, found.page), ("no-tick-box", Some(page + 1)));
        assert_eq!(found.row.map(|r| r.0), Some(chart_row));
    }
}

#[test]
fn a_changed_count_is_found_beside_its_yarn() {
    let files = [
        finished("low-water-heron", "chart", "a4", Ink::Saving),
        finished("harbour-evening", "chart", "a4", Ink::SymbolsOnly),
    ];
    let mut random = fastrand::Rng::with_seed(0x55);
    let mut done = 0;
    while done < EACH {
        let of = &files[done % files.len()];
        let (page, _, _) = knot(of, &mut random);
        let yarn = random.usize(0..of.prepared.project.palette.len());
        let expected = of.prepared.expected(&of.draft);
        let entry = &expected.key[yarn];
        let name = of.runs(page).find(|run| run.text.trim_end() == entry.name).expect("the name stands in the key");
        let beside = |run: &&TextRun| {
            run.text == entry.count && run.origin.y.approx_eq(name.origin.y) && run.origin.x > name.origin.x
        };
        let count = of.runs(page).find(beside).expect("the count stands beside the name");
        let nth = random.usize(0..count.glyphs.len());
        if !count.text[count.glyphs[nth].cluster.clone()].bytes().all(|b| b.is_ascii_digit()) {
            continue;
        }
        let mut opened = OpenPage::new(of, page);
        if !opened.other_digit(of, page, count, nth, &mut random) {
            continue;
        }
        let found = only(&of.proof(&opened.put_together()), "a count");
        assert_eq!((found.id, found.page), ("wrong-count", Some(page + 1)));
        assert!(found.message.contains(&entry.name), "{}", found.message);
        done += 1;
    }
}

#[test]
fn a_changed_letter_of_a_written_row_is_found_in_its_row() {
    let of = finished("low-water-heron", "booklet", "a4", Ink::Saving);
    let expected = of.prepared.expected(&of.draft);
    let plain = |text: &str| text.split_whitespace().collect::<String>();
    let sentences: Vec<String> = expected.rows.iter().map(|row| plain(&row.sentence)).collect();
    // Runs of the rows that stand whole on a page. Text is drawn in the order in which it is read, counts and names apart;
    // only a row's number comes after the first line that it stands before.
    let mut places = Vec::new();
    for page in 0..of.booklet.pages.len() {
        let mut drawn = String::new();
        let mut ends = Vec::new();
        let all: Vec<&TextRun> = of.runs(page).collect();
        for (at, run) in all.iter().copied().enumerate() {
            let before = at.checked_sub(1).map(|before| all[before].origin);
            if before.is_some_and(|before| before.y.approx_eq(run.origin.y) && before.x > run.origin.x) {
                continue;
            }
            drawn += &plain(&run.text);
            ends.push((drawn.len(), run));
        }
        for (row, sentence) in sentences.iter().enumerate().filter(|(_, sentence)| sentence.len() > 60) {
            if let Some(from) = drawn.find(sentence.as_str()) {
                let within = ends.iter().filter(|(end, _)| *end > from && *end <= from + sentence.len());
                places.extend(within.filter(|(_, run)| run.text.trim().len() > 2).map(|(_, run)| (page, row, *run)));
            }
        }
    }
    assert!(places.len() > 200, "the rows in words are runs of text: {}", places.len());
    let mut random = fastrand::Rng::with_seed(0x56);
    let mut done = 0;
    while done < EACH {
        let (page, row, run) = places[random.usize(0..places.len())];
        let nth = random.usize(0..run.glyphs.len());
        let mut opened = OpenPage::new(&of, page);
        if run.text[run.glyphs[nth].cluster.clone()].bytes().all(|b| b.is_ascii_digit()) {
            if !opened.other_digit(&of, page, run, nth, &mut random) {
                continue;
            }
        } else {
            // Any other letter of the same run; one space for another would be no mistake.
            let (at, _) = opened.shown(run);
            let letters = |glyph: usize| &run.text[run.glyphs[glyph].cluster.clone()];
            let other = |glyph: &usize| letters(*glyph) != letters(nth) && !letters(*glyph).trim().is_empty();
            let all = codes(&opened.operations[at]);
            let others: Vec<u16> = (0..all.len()).filter(other).map(|glyph| all[glyph]).collect();
            set_code(&mut opened.operations[at], nth, others[random.usize(0..others.len())]);
        }
        let found = only(&of.proof(&opened.put_together()), &run.text);
        assert_eq!(found.id, "wrong-written-row");
        assert_eq!(found.row.map(|r| r.0), Some(row), "{}", found.message);
        done += 1;
    }
}
