//! Holds one chart sheet against the chart: every cell, the key, the numbers and the boxes.
//!
//! Long, and one subject: one sheet, held against the chart thing by thing.

use super::cell_marks::{CellMark, CellMarkKind};
use super::expectations::Expectations;
use super::flow::Flow;
use super::look::{CellLook, colour_words};
use super::report::{Finding, ProofReport};
use super::sheet::{ArrowDirection, DrawnSheet, EndMarks, votes};
use crate::chart::{Chart, Column, Direction, Row, YarnId};
use crate::geom::Length;
use crate::project::Side;
use crate::reader::fields::TickField;
use crate::reader::lines::whole_number;
use std::collections::{BTreeMap, BTreeSet};

/// Least width of what can be ticked on a screen, for a fingertip: 6.4 mm, less a little for rounding.
fn wide_enough() -> f64 {
    Length::mm(6.4).to_pt() - 0.1
}

/// Least side of a drawn box, for a pencil: 4 mm, or most of a lower row.
fn box_enough(row: f64) -> f64 {
    (Length::mm(4.0).to_pt() - 0.1).min(0.6 * row)
}

/// What a cell was read as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum CellRead {
    Bare,
    Yarn(YarnId),
    /// Neither bare nor any entry of the key: what its ground and its symbol by themselves would be.
    Odd(Option<YarnId>, Option<YarnId>),
}

/// The way a row of the chart is worked.
pub(super) fn direction(expected: &Expectations, row: usize) -> Direction {
    let first = match expected.project.working.first_row_from {
        Side::Left => Direction::LeftToRight,
        Side::Right => Direction::RightToLeft,
    };
    if row.is_multiple_of(2) { first } else { first.turned() }
}

/// How many knots of each yarn the chart has, palette order.
pub(super) fn tally(expected: &Expectations) -> Vec<usize> {
    let mut out = vec![0; expected.project.palette.len()];
    for yarn in expected.project.chart.cells().iter().flatten() {
        if let Some(count) = out.get_mut(usize::from(yarn.0)) {
            *count += 1;
        }
    }
    out
}

/// One sheet on its page.
pub(super) struct SheetOnPage<'a> {
    pub(crate) number: usize,
    pub(crate) sheet: &'a DrawnSheet,
    pub(crate) ticks: &'a [TickField],
    pub(crate) flow: &'a Flow,
    /// Knots of each yarn in the whole chart, palette order.
    pub(crate) tally: &'a [usize],
}

/// Holds a sheet against the chart; marks the cells it covers.
pub(super) fn check_sheet(page: &SheetOnPage, expected: &Expectations, covered: &mut [bool], report: &mut ProofReport) {
    let chart = &expected.project.chart;
    check_key(page, expected, report);
    // Nearly all cells of a sheet look like one of few, so each look is told apart only once.
    let mut known: BTreeMap<&CellLook, CellRead> = BTreeMap::new();
    let looks = &page.sheet.cells.looks;
    let told: Vec<CellRead> =
        looks.iter().map(|look| *known.entry(look).or_insert_with(|| identify(look, page.sheet))).collect();
    let read: Vec<CellRead> = page.sheet.cells.of.iter().map(|look| told[*look as usize]).collect();
    let Some((first_row, first_column)) = anchor(page.sheet, chart, &read) else {
        let message = "the numbers beside this sheet fit no place of the chart; it cannot be read";
        report.find(Finding::new("sheet-without-place", message).on(page.number));
        return;
    };
    if expected.run_counts {
        check_run_counts(page, expected, (first_row, first_column), covered, report);
    }
    check_cells(page, expected, (first_row, first_column), &read, covered, report);
    check_cell_marks(page, expected, (first_row, first_column), report);
    check_row_ends(page, expected, first_row, report);
    check_column_numbers(page, first_column, report);
    check_words(page, expected, (first_row, first_column), report);
}

fn check_words(page: &SheetOnPage, expected: &Expectations, first: (usize, usize), report: &mut ProofReport) {
    let lattice = &page.sheet.lattice;
    let says = |several: &str, alone: &str, from: usize, count: usize| {
        let template = if count == 1 { alone } else { several };
        template.replace("{from}", &(from + 1).to_string()).replace("{to}", &(from + count).to_string())
    };
    let sheet = &expected.sheet;
    let rows = says(&sheet.rows, &sheet.one_row, first.0, lattice.rows);
    let columns = says(&sheet.columns, &sheet.one_column, first.1, lattice.columns);
    for words in [rows, columns].iter().filter(|w| !w.is_empty()) {
        if !page.flow.says_on(page.number, words) {
            let message = format!("the sheet does not say `{words}`, which is what it shows");
            report.find(Finding::new("wrong-sheet-words", message).on(page.number));
        }
    }
}

fn check_key(page: &SheetOnPage, expected: &Expectations, report: &mut ProofReport) {
    let (key, number) = (&page.sheet.key, page.number);
    for (at, yarn) in expected.key.iter().enumerate() {
        let Some(entry) = key.iter().find(|e| usize::from(e.yarn.0) == at) else {
            let message = format!("the key has no sample beside the name `{}`", yarn.name);
            report.find(Finding::new("yarn-not-in-key", message).on(number));
            continue;
        };
        let want: Vec<&str> = yarn.count.split_whitespace().collect();
        let words: Vec<&str> = entry.after.iter().map(String::as_str).collect();
        let said = !want.is_empty() && words.windows(want.len()).any(|w| w == want);
        let counted = leading_number(&words);
        let knots = page.tally.get(at).copied().unwrap_or(0);
        if !said || counted != Some(knots) {
            let message = format!(
                "the key gives `{}` for {}; the chart has {knots} knots of it, printed `{}`",
                words.iter().take(want.len().max(1)).copied().collect::<Vec<_>>().join(" "),
                yarn.name,
                yarn.count,
            );
            report.find(Finding::new("wrong-count", message).on(number));
        }
        if entry.look.ink.is_none() || entry.look.is_plain() {
            let message = format!("the key shows no symbol for {}", yarn.name);
            report.find(Finding::new("no-symbol-in-key", message).on(number));
        }
    }
    for (i, a) in key.iter().enumerate() {
        for b in key.iter().skip(i + 1).filter(|b| b.yarn != a.yarn) {
            if !a.look.is_plain() && a.look.same_shape(&b.look) {
                let message = format!(
                    "{} and {} have the same symbol in the key",
                    name(expected, a.yarn),
                    name(expected, b.yarn)
                );
                report.find(Finding::new("symbols-alike", message).on(number));
            }
        }
    }
}

/// The first number in these words; a space between thousands is bridged.
fn leading_number(words: &[&str]) -> Option<usize> {
    let bare = |w: &&str| w.trim_end_matches([',', ';', '.', ')']).trim_start_matches('(').to_owned();
    let start = words.iter().position(|w| whole_number(&bare(w)).is_some())?;
    let mut digits = bare(&words[start]);
    for next in &words[start + 1..] {
        if next.len() == 3 && next.bytes().all(|b| b.is_ascii_digit()) {
            digits.push_str(next);
        } else {
            break;
        }
    }
    whole_number(&digits)
}

fn identify(look: &CellLook, sheet: &DrawnSheet) -> CellRead {
    let by_symbol = |grounded: bool| {
        let fits = sheet.key.iter().filter(|e| look.same_symbol(&e.look) && (!grounded || look.same_ground(&e.look)));
        let near = fits.min_by(|a, b| look.difference(&a.look).total_cmp(&look.difference(&b.look)));
        near.map(|e| e.yarn)
    };
    if look.is_plain() {
        if look.ground == super::canvas::PAPER {
            return CellRead::Bare;
        }
        let ground = sheet.key.iter().find(|e| look.same_ground(&e.look)).map(|e| e.yarn);
        return CellRead::Odd(ground, None);
    }
    match by_symbol(true) {
        Some(yarn) => CellRead::Yarn(yarn),
        None => {
            let ground = sheet.key.iter().find(|e| look.same_ground(&e.look)).map(|e| e.yarn);
            CellRead::Odd(ground, by_symbol(false))
        }
    }
}

/// Where on the chart the sheet stands: the place its numbers speak for; between places with votes, the one whose cells fit
/// better, so that one wrong number cannot move a narrow sheet.
fn anchor(sheet: &DrawnSheet, chart: &Chart, read: &[CellRead]) -> Option<(usize, usize)> {
    let lattice = &sheet.lattice;
    let rows = votes(&sheet.row_ends, chart.rows().checked_sub(lattice.rows)?);
    let columns = votes(&sheet.column_ends, chart.columns().checked_sub(lattice.columns)?);
    let mut best: Option<(usize, usize, (usize, usize))> = None;
    for (row, row_votes) in rows.iter().take(4) {
        for (column, column_votes) in columns.iter().take(4) {
            let fitting = fitting(sheet, chart, read, (*row, *column));
            let candidate = (fitting, row_votes + column_votes, (*row, *column));
            if best.is_none_or(|b| (candidate.0, candidate.1) > (b.0, b.1)) {
                best = Some(candidate);
            }
        }
    }
    best.map(|b| b.2)
}

fn fitting(sheet: &DrawnSheet, chart: &Chart, read: &[CellRead], first: (usize, usize)) -> usize {
    let columns = sheet.lattice.columns;
    let fits = |(at, cell): &(usize, &CellRead)| {
        let want = chart.cell(Row(first.0 + at / columns), Column(first.1 + at % columns));
        **cell == want.map_or(CellRead::Bare, CellRead::Yarn)
    };
    read.iter().enumerate().filter(fits).count()
}

fn check_cells(
    page: &SheetOnPage,
    expected: &Expectations,
    first: (usize, usize),
    read: &[CellRead],
    covered: &mut [bool],
    report: &mut ProofReport,
) {
    let chart = &expected.project.chart;
    let across = page.sheet.lattice.columns;
    for (at, (cell, look)) in read.iter().zip(page.sheet.cells.iter()).enumerate() {
        let (row, column) = (first.0 + at / across, first.1 + at % across);
        let want = chart.cell(Row(row), Column(column));
        report.cells += 1;
        if let Some(seen) = covered.get_mut(row * chart.columns() + column) {
            *seen = true;
        }
        if *cell == want.map_or(CellRead::Bare, CellRead::Yarn) {
            continue;
        }
        let wanted = want.map_or("a bare cell".to_owned(), |yarn| name(expected, yarn).to_owned());
        let found = match cell {
            CellRead::Bare => "a bare cell".to_owned(),
            CellRead::Yarn(yarn) => name(expected, *yarn).to_owned(),
            CellRead::Odd(ground, symbol) => odd(expected, look, *ground, *symbol),
        };
        let message = format!("the sheet shows {found}; the chart has {wanted}");
        report.find(Finding::new("wrong-cell", message).on(page.number).row(row).column(column));
    }
}

/// The small marks of the cells: all that are meant, no others, and the lengths that lozenges name.
fn check_cell_marks(page: &SheetOnPage, expected: &Expectations, first: (usize, usize), report: &mut ProofReport) {
    let Some(marks) = &expected.marks else { return };
    let lattice = &page.sheet.lattice;
    let columns = expected.project.chart.columns();
    let in_row = |row: usize| {
        let place = |column: usize| marks.partition_point(|mark| mark.cell < row * columns + column.min(columns));
        &marks[place(first.1)..place(first.1 + lattice.columns)]
    };
    let said = |kind| match kind {
        CellMarkKind::Start => "starts a length",
        CellMarkKind::Choice => "names a length",
        CellMarkKind::Link => "links two yarns",
        CellMarkKind::Cut => "cuts the yarn",
    };
    let here = |id, message: String, mark: &CellMark| {
        Finding::new(id, message).on(page.number).row(mark.row).column(mark.column)
    };
    let moved = |mark: &CellMark| CellMark { row: mark.row + first.0, column: mark.column + first.1, ..*mark };
    let mut drawn: BTreeSet<CellMark> = page.sheet.marks.iter().map(moved).collect();
    for wanted in (first.0..first.0 + lattice.rows).flat_map(in_row) {
        if !drawn.remove(&wanted.mark) {
            let message = format!("no mark {} there", said(wanted.mark.kind));
            report.find(here("no-cell-mark", message, &wanted.mark));
        }
        if !wanted.words.is_empty() && !page.flow.says_on(page.number, &wanted.words) {
            let message = format!("the sheet does not say `{}`", wanted.words);
            report.find(here("length-not-named", message, &wanted.mark));
        }
    }
    for mark in &drawn {
        report.find(here("mark-not-meant", format!("a mark {} there, which the rows do not", said(mark.kind)), mark));
    }
}

fn odd(expected: &Expectations, look: &CellLook, ground: Option<YarnId>, symbol: Option<YarnId>) -> String {
    let ground = match ground {
        Some(yarn) => format!("the ground of {}", name(expected, yarn)),
        None => format!("a ground of {}, which is not in the key,", colour_words(look.ground)),
    };
    let symbol = match symbol {
        Some(yarn) => format!("the symbol of {}", name(expected, yarn)),
        None if look.is_plain() => "no symbol".to_owned(),
        None => "a symbol that is not in the key".to_owned(),
    };
    format!("{ground} with {symbol}")
}

fn name<'a>(expected: &'a Expectations, yarn: YarnId) -> &'a str {
    expected.project.palette.0.get(usize::from(yarn.0)).map_or("an unknown yarn", |y| y.name.as_str())
}

fn side_of(direction: Direction) -> (usize, &'static str) {
    match direction {
        Direction::LeftToRight => (0, "left"),
        Direction::RightToLeft => (1, "right"),
    }
}

fn check_row_ends(page: &SheetOnPage, expected: &Expectations, first_row: usize, report: &mut ProofReport) {
    for (at, ends) in page.sheet.row_ends.iter().enumerate() {
        let row = first_row + at;
        let (side, side_name) = side_of(direction(expected, row));
        let want = row + 1;
        let end = &ends[side];
        let here = |id, message: String| Finding::new(id, message).on(page.number).row(row);
        match end.numbers.iter().find(|n| n.value == want).or(end.numbers.first()) {
            Some(number) if number.value != want => {
                let message = format!("the number {} stands at its {side_name} end instead of {want}", number.value);
                report.find(here("wrong-row-number", message));
            }
            Some(number) if number.off > 0.3 => {
                let message = format!("its number {want} stands beside the middle of no row");
                report.find(here("row-number-out-of-place", message));
            }
            Some(_) => {}
            None => {
                let message = format!("no number stands at its {side_name} end, where it starts");
                report.find(here("no-row-number", message));
            }
        }
        let forward = match direction(expected, row) {
            Direction::LeftToRight => ArrowDirection::Right,
            Direction::RightToLeft => ArrowDirection::Left,
        };
        if end.arrows.is_empty() {
            report.find(here("no-arrow", format!("no arrow stands at its {side_name} end")));
        } else if end.arrows.iter().any(|a| *a != forward) {
            report.find(here("wrong-arrow", "its arrow points the wrong way".to_owned()));
        }
        check_tick(page, expected, (row, at), end, side_name, report);
    }
}

/// The figures where rows end: the knots of each yarn in turn, of those columns that no sheet before this one has shown.
/// Where they end in dots, the first of them.
fn check_run_counts(
    page: &SheetOnPage,
    expected: &Expectations,
    first: (usize, usize),
    covered: &[bool],
    report: &mut ProofReport,
) {
    let chart = &expected.project.chart;
    let across = page.sheet.lattice.columns;
    for (at, ends) in page.sheet.row_ends.iter().enumerate() {
        let row = first.0 + at;
        let shown = first.1..(first.1 + across).min(chart.columns());
        let start = row * chart.columns();
        let Some(fresh) = shown.clone().find(|column| covered.get(start + column) == Some(&false)) else { continue };
        let cells: Vec<_> = (fresh..shown.end).map(|column| chart.cell(Row(row), Column(column))).collect();
        let runs = cells.chunk_by(|a, b| a == b).filter(|run| run[0].is_some());
        let mut want: Vec<String> = runs.map(|run| run.len().to_string()).collect();
        let way = direction(expected, row);
        if way == Direction::RightToLeft {
            want.reverse();
        }
        let (end, side_name) = side_of(way.turned());
        let said = ends[end].words.trim();
        let (figures, cut_short) = match said.strip_suffix('…') {
            Some(figures) => (figures, true),
            None => (said, false),
        };
        let got: Vec<&str> = figures.split('·').map(str::trim).filter(|figure| !figure.is_empty()).collect();
        let right =
            if cut_short { got.len() < want.len() && want.iter().zip(&got).all(|(a, b)| a == b) } else { got == want };
        if !right {
            let message = format!("the figures at its {side_name} end say `{said}`; its knots are {}", want.join(", "));
            report.find(Finding::new("wrong-run-counts", message).on(page.number).row(row));
        }
    }
}

fn check_tick(
    page: &SheetOnPage,
    expected: &Expectations,
    (row, at): (usize, usize),
    end: &EndMarks,
    side_name: &str,
    report: &mut ProofReport,
) {
    let lattice = &page.sheet.lattice;
    let here = |id, message: String| Finding::new(id, message).on(page.number).row(row);
    let Some(drawn) = end.boxes.first() else {
        report.find(here("no-tick-box", format!("no box to tick stands at its {side_name} end")));
        return;
    };
    report.tick_boxes += 1;
    if end.boxes.iter().any(|b| !b.grown(1.0).holds_all(drawn) && !drawn.grown(1.0).holds_all(b)) {
        report.find(here("two-tick-boxes", format!("more than one box to tick stands at its {side_name} end")));
    }
    if (drawn.centre().y - lattice.row_middle(at)).abs() > 0.25 * lattice.down() {
        report.find(here("tick-box-out-of-place", "its box to tick stands beside the middle of no row".to_owned()));
    }
    if drawn.width().min(drawn.height()) < box_enough(lattice.down()) {
        let message = format!("its box to tick is {:.1} mm wide", Length::pt(drawn.width()).to_mm());
        report.find(here("small-tick-box", message));
    }
    if !expected.fields {
        return;
    }
    let over: Vec<&TickField> = page.ticks.iter().filter(|t| drawn.grown(1.0).holds(t.area.centre())).collect();
    let want = expected.rows.get(row).map_or("", |r| r.field.as_str());
    match over.as_slice() {
        [] => report.find(here("no-tick-field", "its box cannot be ticked on a screen".to_owned())),
        [field] if field.name != want => {
            let message = format!("its box ticks the field `{}` instead of `{want}`", field.name);
            report.find(here("wrong-tick-field", message));
        }
        [field] if field.area.width() < wide_enough() => {
            let message = format!("its field is only {:.1} mm wide", Length::pt(field.area.width()).to_mm());
            report.find(here("small-tick-field", message));
        }
        [_] => {}
        _ => report.find(here("two-tick-fields", "more than one field lies over its box".to_owned())),
    }
}

fn check_column_numbers(page: &SheetOnPage, first_column: usize, report: &mut ProofReport) {
    let ends = &page.sheet.column_ends;
    let widest = ends.iter().flatten().flat_map(|end| &end.numbers).map(|n| n.wide).fold(0.0, f64::max);
    // Two numbers and the space between them; the one that is missing may be wider than those that stand there.
    let needed = (2.2 * widest).max(20.0);
    for (at, pair) in ends.iter().enumerate() {
        let want = first_column + at + 1;
        for (end, place) in pair.iter().zip(["above", "below"]) {
            let here = |id, message: String| Finding::new(id, message).on(page.number).column(want - 1);
            match end.numbers.first() {
                Some(number) if number.value != want => {
                    let message = format!("the number {} stands {place} it instead of {want}", number.value);
                    report.find(here("wrong-column-number", message));
                }
                Some(_) => {}
                None => {
                    let edge = at == 0 || at + 1 == ends.len();
                    // Close to an edge column, which is always numbered, there may be no room for a second number.
                    let crowded = at.min(ends.len() - 1 - at) as f64 * page.sheet.lattice.across() < needed;
                    if edge || (want.is_multiple_of(10) && !crowded) {
                        report.find(here("no-column-number", format!("no number stands {place} it")));
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::cells::Cells;
    use super::super::lattice::Lattice;
    use super::super::sheet::Number;
    use super::*;
    use crate::reader::matrix::Bounds;

    #[test]
    fn counts_are_read_with_any_separator() {
        assert_eq!(leading_number(&["1,204", "knots"]), Some(1204));
        assert_eq!(leading_number(&["1", "204"]), Some(1204));
        assert_eq!(leading_number(&["×", "37;"]), Some(37));
        assert_eq!(leading_number(&["none"]), None);
    }

    #[test]
    fn where_cells_fit_everywhere_most_numbers_say_where_a_sheet_stands() {
        let number = |value| Number { value, away: 3.0, off: 0.0, wide: 5.0 };
        let end = |values: &[usize]| {
            [0, 1].map(|_| EndMarks {
                numbers: values.iter().map(|value| number(*value)).collect(),
                ..EndMarks::default()
            })
        };
        // Six rows and six columns of one yarn, of which the sheet shows three and three.
        let chart = Chart::new(6, vec![Some(YarnId(0)); 36]).expect("a chart");
        let sheet = |rows: [&[usize]; 3], columns: [&[usize]; 3]| DrawnSheet {
            lattice: Lattice { area: Bounds { left: 0.0, top: 0.0, right: 30.0, bottom: 30.0 }, columns: 3, rows: 3 },
            cells: Cells { looks: Vec::new(), of: vec![0; 9] },
            marks: BTreeSet::new(),
            key: Vec::new(),
            row_ends: rows.map(end).into(),
            column_ends: columns.map(end).into(),
        };
        let read = vec![CellRead::Yarn(YarnId(0)); 9];
        let stands = |rows, columns| anchor(&sheet(rows, columns), &chart, &read);
        // Rows 3 to 5, as most say; columns 2 to 4, though one is called 4.
        assert_eq!(stands([&[3], &[4], &[4]], [&[2], &[4], &[4]]), Some((2, 1)));
        assert_eq!(stands([&[3], &[3], &[4]], [&[4], &[3], &[4]]), Some((1, 1)));
        assert_eq!(stands([&[], &[], &[]], [&[2], &[3], &[4]]), None);
    }
}
