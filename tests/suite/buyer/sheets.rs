//! A buyer who has the chart edition alone: she reads the cells of the sheets by the key, the small marks by where they stand
//! in their cells, and the names of lengths from the notes, and makes of them what a row's line would have told her.

use super::ink::{self, Extent, Fill, Page, Stamp, Word};
use super::sentence::{Doing, Knots, RowInstruction, YarnName, understood};
use std::collections::{BTreeMap, BTreeSet};

/// What the marks in the cells say, by row and column from 1.
#[derive(Debug, Default)]
struct Marks {
    starts: BTreeSet<(usize, usize)>,
    chosen: BTreeSet<(usize, usize)>,
    cuts: BTreeSet<(usize, usize)>,
    /// The column right of the line that the dash lies on.
    links: BTreeSet<(usize, usize)>,
}

/// All that the sheets of a chart say.
#[derive(Debug, Default)]
struct Chart {
    cells: BTreeMap<(usize, usize), YarnName>,
    rightwards: BTreeMap<usize, bool>,
    columns: usize,
    marks: Marks,
    /// The lengths that lozenges ask for: the row as it is numbered, and the column of the knot each tied last.
    choices: BTreeMap<(usize, usize), (String, usize)>,
}

/// Columns and rows of a sheet by their places.
struct Places {
    left: f64,
    wide: f64,
    first: usize,
    rows: BTreeMap<usize, f64>,
    high: f64,
}

/// The rows of a chart edition, header rows first, and its number of columns. `names` are the yarns she knows.
pub fn read(bytes: &[u8], names: &[String]) -> (usize, Vec<RowInstruction>) {
    let mut chart = Chart::default();
    let mut rows = Vec::new();
    for page in ink::pages(bytes) {
        let header = header_rows(&page, names);
        // Boxes of header rows have samples too, on a page of words about sheets.
        let is_sheet = header.is_empty() && page.words.iter().any(|word| word.text.eq_ignore_ascii_case("sheet"));
        if is_sheet && page.stamps.len() > names.len() {
            chart.sheet(&page, names);
        }
        rows.extend(header);
    }
    let chart_rows = chart.rightwards.keys().copied().collect::<Vec<_>>();
    rows.extend(chart_rows.into_iter().map(|row| chart.told(row)));
    (chart.columns, rows)
}

/// "Header row 1, left to right: 60 oat (start).", one line each.
fn header_rows(page: &Page, names: &[String]) -> Vec<RowInstruction> {
    let lines = page.words.chunk_by(|a, b| a.base == b.base);
    let said = lines.map(|line| line.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(" "));
    said.filter_map(|line| {
        let (head, told) = line.split_once(": ")?;
        let (number, way) = head.strip_prefix("Header row ")?.split_once(", ")?;
        let doings = understood(told, names).unwrap_or_else(|e| panic!("header row {number}: {e}"));
        Some(RowInstruction { number: format!("H{number}"), rightwards: way == "left to right", doings })
    })
    .collect()
}

/// A sample of the key: the yarn, the drawing in it, and the size of its square.
struct Sample<'a> {
    yarn: YarnName,
    stamp: &'a Stamp,
    size: (f64, f64),
}

fn holds(frame: &Extent, (x, y): (f64, f64)) -> bool {
    frame[0] < x && x < frame[2] && frame[1] < y && y < frame[3]
}

/// The samples of the key: each stands in a frame, with the yarn's name at its right.
fn key<'a>(page: &'a Page, names: &[String]) -> Vec<Sample<'a>> {
    let framed = page.stamps.iter().filter_map(|stamp| Some((stamp, page.frames.iter().find(|f| holds(f, stamp.at))?)));
    framed
        .map(|(stamp, frame)| {
            let on_line =
                |word: &&Word| word.left > frame[2] && frame[1] < word.base && word.base < frame[3] + word.size;
            let beside = |name: &str| {
                let first = name.split(' ').next().unwrap_or_default();
                let words = page.words.iter().filter(on_line).filter(|word| word.text == first);
                words.map(|word| word.left - frame[2]).fold(f64::MAX, f64::min)
            };
            // The nearest name; of two that begin alike the longer one that stands there.
            let whole = |name: &str| {
                let words: Vec<&Word> =
                    page.words.iter().filter(on_line).filter(|w| w.left < frame[2] + 150.0).collect();
                let said = words.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(" ");
                said.contains(name)
            };
            let all = names.iter().enumerate().filter(|(_, name)| whole(name));
            let near = |a: &&String, b: &&String| beside(a).total_cmp(&beside(b)).then(b.len().cmp(&a.len()));
            let (yarn, _) = all.min_by(|a, b| near(&a.1, &b.1)).expect("a name beside the sample");
            Sample { yarn, stamp, size: (frame[2] - frame[0], frame[3] - frame[1]) }
        })
        .collect()
}

/// How far two drawings are apart, as shares of their squares; `None`: they are of other steps.
fn apart(a: (&Stamp, (f64, f64)), b: (&Stamp, (f64, f64))) -> Option<f64> {
    let ((a, a_size), (b, b_size)) = (a, b);
    let alike = a.steps.len() == b.steps.len()
        && a.steps.iter().zip(b.steps.iter()).all(|(a, b)| a.0 == b.0 && a.1.len() == b.1.len());
    let numbers = a.steps.iter().zip(b.steps.iter()).flat_map(|(a, b)| a.1.iter().zip(&b.1).enumerate());
    let off = numbers.map(|(at, (a, b))| match at % 2 {
        0 => (a / a_size.0 - b / b_size.0).abs(),
        _ => (a / a_size.1 - b / b_size.1).abs(),
    });
    alike.then(|| off.fold(0.0, f64::max))
}

impl Chart {
    fn sheet(&mut self, page: &Page, names: &[String]) {
        let key = key(page, names);
        assert_eq!(key.len(), names.len(), "every yarn has a sample on the sheet");
        let places = self.places(page);
        let size = (places.wide, places.high);
        for stamp in page.stamps.iter().filter(|stamp| !page.frames.iter().any(|frame| holds(frame, stamp.at))) {
            let near = |sample: &&Sample| apart((stamp, size), (sample.stamp, sample.size)).unwrap_or(f64::MAX);
            let sample = key.iter().min_by(|a, b| near(a).total_cmp(&near(b))).expect("a key");
            assert!(near(&sample) < 0.01, "a drawing that is not in the key at {:?}", stamp.at);
            let at = places.cell(stamp.at).expect("a cell");
            let before = self.cells.insert(at, sample.yarn);
            assert!(before.is_none_or(|yarn| yarn == sample.yarn), "sheets differ at {at:?}");
        }
        for fill in &page.fills {
            self.mark(fill, &places);
        }
        self.notes(page);
    }

    /// Rows by their numbers and arrows, columns by the numbers above the chart.
    fn places(&mut self, page: &Page) -> Places {
        let number = |word: &Word| word.text.parse::<usize>().ok();
        let mut rows = BTreeMap::new();
        let (mut from, mut to) = (f64::MIN, f64::MAX);
        for arrow in &page.arrows {
            let beside = page.words.iter().filter(|word| (word.base - word.size * 0.35 - arrow.base).abs() < 2.0);
            let near = |word: &&Word| if arrow.rightwards { word.left - arrow.right } else { arrow.left - word.right };
            let beside = beside.filter(|word| number(word).is_some() && near(word) > -1.0);
            let Some(word) = beside.min_by(|a, b| near(a).total_cmp(&near(b))) else { continue };
            let row = number(word).expect("a number");
            rows.insert(row, arrow.base);
            if arrow.rightwards {
                from = arrow.right.max(from);
            } else {
                to = arrow.left.min(to);
            }
            self.rightwards.insert(row, arrow.rightwards);
        }
        let (top, bottom) = (rows.first_key_value().expect("rows"), rows.last_key_value().expect("rows"));
        let high = (bottom.1 - top.1) / (bottom.0 - top.0) as f64;
        // Column numbers stand on one line above the first row.
        let above = page.words.iter().filter(|word| word.base < *top.1 && word.base > top.1 - 2.0 * high - 12.0);
        // Between the arrows of rows to the right and rows to the left: page numbers of neighbours stand further out.
        let above = above.filter(|word| from < word.left && word.right < to);
        let mut lines: BTreeMap<i64, Vec<&Word>> = BTreeMap::new();
        above
            .filter(|word| number(word).is_some())
            .for_each(|w| lines.entry((w.base * 4.0) as i64).or_default().push(w));
        let middle = |word: &Word| f64::midpoint(word.left, word.right);
        // Notes may have numbers too; those of columns stand as far apart as they count.
        let counts = |line: &Vec<&Word>| {
            let step = |pair: &[&Word]| {
                let counted = number(pair[1]).expect("a number") as f64 - number(pair[0]).expect("a number") as f64;
                (middle(pair[1]) - middle(pair[0])) / counted
            };
            line.len() > 1
                && line.windows(2).all(|pair| step(pair) > 0.0 && (step(pair) / step(&line[..2]) - 1.0).abs() < 0.03)
        };
        let line = lines.into_values().filter(counts).max_by_key(Vec::len).expect("column numbers");
        let (first, last) = (line[0], line[line.len() - 1]);
        let (from, to) = (number(first).expect("a number"), number(last).expect("a number"));
        let wide = (middle(last) - middle(first)) / (to - from) as f64;
        self.columns = self.columns.max(to);
        Places { left: middle(first) - wide / 2.0, wide, first: from, rows, high }
    }

    fn mark(&mut self, fill: &Fill, places: &Places) {
        let [left, top, right, bottom] = fill.extent;
        let (x, y) = (f64::midpoint(left, right), f64::midpoint(top, bottom));
        let side = places.wide.min(places.high);
        let (wide, high) = ((right - left) / side, (bottom - top) / side);
        let Some((row, column)) = places.cell((x, y)) else { return };
        // From the cell's own corner, in sides.
        let across = (x - places.left) / places.wide - (column - places.first) as f64;
        let down = (y - places.rows[&row]) / places.high + 0.5;
        let at_edge = |share: f64| !(0.25..=0.75).contains(&share);
        let near = |a: f64, b: f64| (a - b).abs() < 0.02;
        if fill.is_box && near(wide, 0.22) && near(high, 0.085) {
            let right_of = if across < 0.5 { column } else { column + 1 };
            self.marks.links.insert((row, right_of));
        } else if fill.is_box && near(wide, 0.085) && near(high, 0.3) && at_edge(across) {
            self.marks.cuts.insert((row, column));
        } else if fill.curved && near(wide, 0.18) && near(high, 0.18) && at_edge(across) && down < 0.3 {
            self.marks.starts.insert((row, column));
        } else if !fill.is_box && !fill.curved && near(wide, 0.23) && near(high, 0.23) && at_edge(across) && down > 0.7
        {
            self.marks.chosen.insert((row, column));
        }
    }

    /// "Lozenges, by row and column, and the knot that each length tied last: 15, 16 <- 15, 9 · 16, 26 <- 14, 17".
    fn notes(&mut self, page: &Page) {
        let all = page.words.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(" ");
        let Some((_, said)) = all.split_once("length tied last: ") else { return };
        for (at, part) in said.split('←').collect::<Vec<_>>().windows(2).enumerate() {
            let words = |text: &str| -> Vec<String> {
                text.split([' ', '·', ',', '\u{a0}']).filter(|word| !word.is_empty()).map(str::to_owned).collect()
            };
            let (before, after) = (words(part[0]), words(part[1]));
            let numbers = |words: &[String]| -> Vec<usize> { words.iter().filter_map(|w| w.parse().ok()).collect() };
            let place = numbers(&before);
            let [.., row, column] = place[..] else { panic!("no place before the arrow {at}: {before:?}") };
            let named = &after[..];
            let choice = match named {
                [row, column, ..] if row.parse::<usize>().is_ok() => (row.clone(), column.parse().expect("a column")),
                _ => {
                    let row = named.iter().position(|word| word == "row").expect("a row of the header") + 1;
                    (named[row].clone(), named[row + 2].parse().expect("a column"))
                }
            };
            self.choices.insert((row, column), choice);
        }
    }

    /// What a row's line would have told her.
    fn told(&self, row: usize) -> RowInstruction {
        let rightwards = self.rightwards[&row];
        let mut columns: Vec<usize> = (1..=self.columns).collect();
        if !rightwards {
            columns.reverse();
        }
        let mut doings: Vec<Doing> = Vec::new();
        for run in columns.chunk_by(|a, b| self.cells.get(&(row, *a)) == self.cells.get(&(row, *b))) {
            let (first, last) = (run[0], run[run.len() - 1]);
            let Some(yarn) = self.cells.get(&(row, first)) else {
                doings.push(Doing::Bare(run.len()));
                continue;
            };
            let edge = if rightwards { first } else { first + 1 };
            let choice = self.marks.chosen.contains(&(row, first)).then(|| self.choices[&(row, first)].clone());
            doings.push(Doing::Knots(Knots {
                count: run.len(),
                yarn: *yarn,
                start: self.marks.starts.contains(&(row, first)),
                choice,
                link: self.marks.links.contains(&(row, edge)),
                cut: self.marks.cuts.contains(&(row, last)),
            }));
        }
        RowInstruction { number: row.to_string(), rightwards, doings }
    }
}

impl Places {
    fn cell(&self, (x, y): (f64, f64)) -> Option<(usize, usize)> {
        let row = self.rows.iter().find(|row| (y - row.1).abs() <= self.high / 2.0)?;
        let column = (x - self.left) / self.wide;
        (column >= 0.0).then(|| (*row.0, self.first + column as usize))
    }
}
