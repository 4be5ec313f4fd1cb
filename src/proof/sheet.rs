//! A chart sheet as drawn: its grid, its cells, its key, and what stands beside its rows and columns. No judgement yet.

use super::canvas::PAPER;
use super::cell_marks::{CellMark, cell_marks};
use super::cells::Cells;
use super::key::{self, KeyEntry};
use super::lattice::{Lattice, lattices};
use crate::reader::lines::{Stretch, whole_number};
use crate::reader::marks::{PageMarks, PaintKind, Part};
use crate::reader::matrix::Bounds;
use std::collections::{BTreeMap, BTreeSet};

/// How far from the grid numbers, arrows and boxes of rows may stand, points.
const ROW_MARGIN: f64 = 90.0;
/// How far above or below the grid column numbers may stand, points.
const COLUMN_MARGIN: f64 = 20.0;
/// What stands beside a row or column stands nearer to its middle than this, in rows or columns.
const NEAR_MIDDLE: f64 = 0.3;

/// A number drawn beside the grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Number {
    /// Its value.
    pub(crate) value: usize,
    /// Distance of its nearer end from the grid, points.
    pub(crate) away: f64,
    /// Distance of its middle from the middle of its row or column, in rows or columns.
    pub(crate) off: f64,
    /// How wide it is, points.
    pub(crate) wide: f64,
}

/// A way of pointing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ArrowDirection {
    /// To the left.
    Left,
    /// To the right.
    Right,
}

/// What stands at one end of a row or column.
#[derive(Clone, Debug, Default)]
pub(super) struct EndMarks {
    /// Numbers, nearest first.
    pub(crate) numbers: Vec<Number>,
    /// Empty boxes.
    pub(crate) boxes: Vec<Bounds>,
    /// Arrows.
    pub(crate) arrows: Vec<ArrowDirection>,
    /// All words, from left to right.
    pub(crate) words: String,
}

/// A sheet.
pub(super) struct DrawnSheet {
    /// The grid.
    pub(crate) lattice: Lattice,
    /// Its cells.
    pub(crate) cells: Cells,
    /// Small marks at the edges of its cells.
    pub(crate) marks: BTreeSet<CellMark>,
    /// The key.
    pub(crate) key: Vec<KeyEntry>,
    /// Left and right end of each row.
    pub(crate) row_ends: Vec<[EndMarks; 2]>,
    /// Upper and lower end of each column.
    pub(crate) column_ends: Vec<[EndMarks; 2]>,
}

/// The chart sheet of a page, if it is one: the largest grid that has numbers beside its rows and over its columns.
pub(super) fn sheet(page: &PageMarks, lines: &[Stretch], names: &[&str]) -> Option<DrawnSheet> {
    let all = numbers(lines);
    // One box by itself may stand in a list of rows, whose counts are no numbers of columns.
    let alone: Vec<NumberOnPage> = all.iter().copied().filter(|number| !is_in_words(lines, number)).collect();
    // A page of rows in words has hundreds of symbols in frames, and each could be a grid.
    let may_be_chart = |core: &Lattice| !is_among_words(lines, core);
    let found = lattices(page).into_iter().filter(may_be_chart).find_map(|core| {
        let numbers = if core.rows * core.columns == 1 { &alone } else { &all };
        let read = completed(page, numbers, &core).map(|lattice| {
            let (rows, columns) = (row_ends(page, lines, numbers, &lattice), column_ends(numbers, &lattice));
            (lattice, rows, columns)
        });
        let charts = read
            .into_iter()
            .filter(|(lattice, rows, columns)| is_chart(rows, columns) && !is_among_words(lines, lattice));
        // Of two readings the one in which more columns have one number above and below, then the one in which more rows
        // have an arrow; of equals the smaller.
        charts.max_by_key(|(lattice, rows, columns)| {
            let agreeing = columns.iter().filter(|ends| agree(ends)).count();
            (agreeing, marked(rows), usize::MAX - lattice.rows * lattice.columns)
        })
    });
    let (lattice, row_ends, column_ends) = found?;
    let cells = Cells::read(page, &lattice);
    let marks = cell_marks(page, &lattice);
    let mut sheet = DrawnSheet { lattice, cells, marks, key: Vec::new(), row_ends, column_ends };
    sheet.key = key::entries(page, lines, names, &sheet.lattice.area, sheet.cell(), sheet.is_grounded());
    Some(sheet)
}

impl DrawnSheet {
    /// Width and height of a cell.
    pub(crate) fn cell(&self) -> (f64, f64) {
        (self.lattice.across(), self.lattice.down())
    }
    /// Whether its cells have grounds.
    pub(crate) fn is_grounded(&self) -> bool {
        self.cells.looks.iter().any(|look| look.ground != PAPER)
    }
}

/// What tells a chart from a table: most rows have an arrow beside them, some of these a number too, and over and under at
/// least one column stands the same number. A table has numbers and framed samples too, but never arrows; a key has symbols
/// that may look like arrows, but no number beside them. One mistake in the file does not change that.
fn is_chart(rows: &[[EndMarks; 2]], columns: &[[EndMarks; 2]]) -> bool {
    let numbered = |end: &EndMarks| !end.arrows.is_empty() && !end.numbers.is_empty();
    marked(rows) * 2 > rows.len() && rows.iter().flatten().any(numbered) && columns.iter().any(agree)
}

/// Whether words stand in the grid, or close beside its only column: then its cells are symbols in lines of text, whose
/// rows have numbers and arrows too.
fn is_among_words(lines: &[Stretch], lattice: &Lattice) -> bool {
    let grid = lattice.area;
    lines.iter().filter(|line| line.level).flat_map(|line| &line.words).any(|word| {
        let area = &word.area;
        let within = area.left.max(grid.left) + 1.0 < area.right.min(grid.right);
        let is_close = lattice.columns == 1
            && word.letters.chars().any(char::is_alphabetic)
            && (-0.5..0.5 * lattice.across()).contains(&(area.left - grid.right));
        (within || is_close) && (grid.top..grid.bottom).contains(&area.centre().y)
    })
}

/// Rows with an arrow beside them.
fn marked(rows: &[[EndMarks; 2]]) -> usize {
    rows.iter().filter(|r| r.iter().any(|e| !e.arrows.is_empty())).count()
}

/// Whether the same number stands over and under a column.
fn agree(ends: &[EndMarks; 2]) -> bool {
    ends[0].numbers.iter().any(|above| ends[1].numbers.iter().any(|below| above.value == below.value))
}

/// A word that is a number: value, place, height of its middle, baseline.
type NumberOnPage = (usize, Bounds, f64, f64);

/// A number this near words, in heights of the number, is one of a line of words; a symbol may stand between them.
const IN_WORDS: f64 = 3.5;

/// Whether words follow a number on its line.
fn is_in_words(lines: &[Stretch], (_, area, _, baseline): &NumberOnPage) -> bool {
    let near = area.height() * IN_WORDS;
    let has_letters = |s: &&Stretch| s.words.iter().any(|w| w.letters.chars().any(char::is_alphabetic));
    lines.iter().filter(|s| s.level && (s.baseline - baseline).abs() < 1.0).filter(has_letters).any(|s| {
        let left = s.words.first().map_or(f64::INFINITY, |word| word.area.left);
        (0.0..near).contains(&(left - area.right))
    })
}

/// The words of stretches that are nothing but numbers.
fn numbers(lines: &[Stretch]) -> Vec<NumberOnPage> {
    let all = |s: &&Stretch| s.level && s.words.iter().all(|w| whole_number(&w.letters).is_some());
    let of = |s: &Stretch| -> Vec<NumberOnPage> {
        let middle = s.middle().y;
        let words = s.words.iter();
        words.filter_map(|w| Some((whole_number(&w.letters)?, w.area, middle, s.baseline))).collect()
    };
    lines.iter().filter(all).flat_map(of).collect()
}

/// Empty boxes no larger than a row is high.
fn boxes(page: &PageMarks, lattice: &Lattice) -> impl Iterator<Item = Bounds> {
    let most = lattice.down() * 1.1;
    let strokes = page.painted.iter().filter(|m| matches!(m.kind, PaintKind::Stroke(_)));
    let closed = strokes.flat_map(|mark| mark.parts()).filter(|part| part.path.closed && part.path.is_box());
    closed.map(|part| part.bounds()).filter(move |area| (2.0..=most).contains(&area.height()) && area.width() >= 2.0)
}

/// Lines are drawn only where knots are; rows and columns of bare cells at the edges have numbers and boxes all the same.
/// What stands over a bare column may pass for something beside a row, and what stands beside a bare row for something over
/// a column, so there are two readings: columns first, and rows first.
fn completed(page: &PageMarks, numbers: &[NumberOnPage], core: &Lattice) -> [Lattice; 2] {
    let wide = widened(numbers, core);
    [widened(numbers, &heightened(page, numbers, &wide)), widened(numbers, &heightened(page, numbers, core))]
}

/// As many columns as the numbers above and below ask for.
fn widened(numbers: &[NumberOnPage], core: &Lattice) -> Lattice {
    let (mut left, mut right) = (0, 0);
    let strips = strips(numbers, core);
    // The number of a bare row may stand as near below the lines as column numbers do: the fuller side is the right one.
    let count = |side| strips.iter().filter(|s| s.2 == side).count();
    let fuller = usize::from(count(1) > count(0));
    for (_, area, _) in strips.iter().filter(|s| s.2 == fuller) {
        let at = ((area.centre().x - core.area.left) / core.across()).floor() as i64;
        left = left.max(-at);
        right = right.max(at + 1 - core.columns as i64);
    }
    core.extended(left.clamp(0, 2_000) as usize, right.clamp(0, 2_000) as usize, 0, 0)
}

/// As many rows as have a number or a box, without a gap.
fn heightened(page: &PageMarks, numbers: &[NumberOnPage], core: &Lattice) -> Lattice {
    let grid = core.area;
    let beside = |b: &Bounds| {
        (b.right <= grid.left + 0.5 && b.left >= grid.left - ROW_MARGIN)
            || (b.left >= grid.right - 0.5 && b.right <= grid.right + ROW_MARGIN)
    };
    let mut rows = BTreeSet::new();
    let mut take = |middle: f64| {
        let at = (middle - grid.top) / core.down();
        if (at - at.floor() - 0.5).abs() < NEAR_MIDDLE {
            rows.insert(at.floor() as i64);
        }
    };
    boxes(page, core).filter(beside).for_each(|area| take(area.centre().y));
    numbers.iter().filter(|n| beside(&n.1)).for_each(|n| take(n.2));
    let (mut up, mut down) = (0, 0);
    while rows.contains(&(-1 - up)) {
        up += 1;
    }
    while rows.contains(&(core.rows as i64 + down)) {
        down += 1;
    }
    core.extended(0, 0, up as usize, down as usize)
}

/// The numbers of the line just above the grid and of the one just below it: value, place, which of the two. Other numbers
/// may stand near (a folio), so only the fullest line at each side is taken.
fn strips(numbers: &[NumberOnPage], lattice: &Lattice) -> Vec<(usize, Bounds, usize)> {
    let grid = lattice.area;
    let mut found: [BTreeMap<i64, Vec<(usize, Bounds, usize)>>; 2] = Default::default();
    for &(value, area, _, baseline) in numbers {
        let side = if area.bottom <= grid.top + 0.5 && area.bottom >= grid.top - COLUMN_MARGIN {
            0
        } else if area.top >= grid.bottom - 0.5 && area.top <= grid.bottom + COLUMN_MARGIN {
            1
        } else {
            continue;
        };
        let at = (area.centre().x - grid.left) / lattice.across();
        if (at - at.floor() - 0.5).abs() < NEAR_MIDDLE {
            found[side].entry((baseline * 2.0).round() as i64).or_default().push((value, area, side));
        }
    }
    let fullest = |of: BTreeMap<i64, Vec<_>>| of.into_values().max_by_key(Vec::len).unwrap_or_default();
    let [above, below] = found;
    [fullest(above), fullest(below)].concat()
}

fn row_ends(page: &PageMarks, lines: &[Stretch], numbers: &[NumberOnPage], lattice: &Lattice) -> Vec<[EndMarks; 2]> {
    let mut ends: Vec<[EndMarks; 2]> = vec![Default::default(); lattice.rows];
    let grid = lattice.area;
    let row_of = |y: f64| {
        let at = (y - grid.top) / lattice.down();
        (at > 0.0 && at < lattice.rows as f64).then(|| (at as usize, (at - at.floor() - 0.5).abs()))
    };
    let side = |area: &Bounds| {
        if area.right <= grid.left + 0.5 && area.left >= grid.left - ROW_MARGIN {
            Some((0, grid.left - area.right))
        } else if area.left >= grid.right - 0.5 && area.right <= grid.right + ROW_MARGIN {
            Some((1, area.left - grid.right))
        } else {
            None
        }
    };
    for &(value, area, middle, _) in numbers {
        if let (Some((row, off)), Some((side, away))) = (row_of(middle), side(&area)) {
            ends[row][side].numbers.push(Number { value, away, off, wide: area.width() });
        }
    }
    let mut words: Vec<&Stretch> = lines.iter().filter(|s| s.level).collect();
    words.sort_by(|a, b| a.area.left.total_cmp(&b.area.left));
    for stretch in words {
        let beside = match (stretch.area.right <= grid.left + 0.5, stretch.area.left >= grid.right - 0.5) {
            (true, _) => Some(0),
            (_, true) => Some(1),
            (false, false) => None,
        };
        if let (Some((row, off)), Some(side)) = (row_of(stretch.middle().y), beside)
            && off < NEAR_MIDDLE
        {
            let text = &mut ends[row][side].words;
            text.push_str(if text.is_empty() { "" } else { " " });
            text.push_str(&stretch.text());
        }
    }
    for area in boxes(page, lattice) {
        if let (Some((row, _)), Some((side, _))) = (row_of(area.centre().y), side(&area)) {
            ends[row][side].boxes.push(area);
        }
    }
    let fills = page.painted.iter().filter(|m| matches!(m.kind, PaintKind::Fill | PaintKind::FillEvenOdd));
    for part in fills.flat_map(|mark| mark.parts()) {
        let area = part.bounds();
        if area.height() > lattice.down() {
            continue;
        }
        let (Some((side, away)), Some((row, off))) = (side(&area), row_of(area.centre().y)) else { continue };
        // A mark that touches the grid points at its middle and belongs to no row.
        if let Some(points) = points(part).filter(|_| off < NEAR_MIDDLE && away > 1.5) {
            ends[row][side].arrows.push(points);
        }
    }
    for end in ends.iter_mut().flatten() {
        end.numbers.sort_by(|a, b| a.away.total_cmp(&b.away));
    }
    ends
}

/// Which way an outline points: one end is a single corner, the other is not.
fn points(part: Part<'_>) -> Option<ArrowDirection> {
    let Bounds { left, right, .. } = part.path.bounds;
    if part.path.is_box() || part.path.spots.len() > 24 || right - left < 1.0 {
        return None;
    }
    let mut corners = part.path.spots.clone();
    corners.dedup_by(|a, b| crate::reader::marks::near(*a, *b));
    if corners.len() > 1 && corners.first().zip(corners.last()).is_some_and(|(a, b)| crate::reader::marks::near(*a, *b))
    {
        corners.pop();
    }
    let at = |x: f64| corners.iter().filter(|s| (s.x - x).abs() < 0.05).count();
    match (at(left), at(right)) {
        (1, n) if n > 1 => Some(ArrowDirection::Left),
        (n, 1) if n > 1 => Some(ArrowDirection::Right),
        _ => None,
    }
}

fn column_ends(numbers: &[NumberOnPage], lattice: &Lattice) -> Vec<[EndMarks; 2]> {
    let mut ends: Vec<[EndMarks; 2]> = vec![Default::default(); lattice.columns];
    let grid = lattice.area;
    for (value, area, end) in strips(numbers, lattice) {
        let at = (area.centre().x - grid.left) / lattice.across();
        if at > 0.0 && at < lattice.columns as f64 {
            let off = (at - at.floor() - 0.5).abs();
            let away = if end == 0 { grid.top - area.bottom } else { area.top - grid.bottom };
            ends[at as usize][end].numbers.push(Number { value, away, off, wide: area.width() });
        }
    }
    ends
}

/// Which first row (or column) the numbers speak for, counted from 0, with how many speak for each; most votes first.
pub(super) fn votes(ends: &[[EndMarks; 2]], most: usize) -> Vec<(usize, usize)> {
    let mut votes: BTreeMap<usize, usize> = BTreeMap::new();
    for (at, pair) in ends.iter().enumerate() {
        for number in pair.iter().flat_map(|e| &e.numbers) {
            if let Some(first) = number.value.checked_sub(at + 1)
                && first <= most
            {
                *votes.entry(first).or_default() += 1;
            }
        }
    }
    let mut votes: Vec<(usize, usize)> = votes.into_iter().collect();
    votes.sort_by_key(|(first, n)| (usize::MAX - n, *first));
    votes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reader::lines::Word;

    #[test]
    fn words_in_a_grid_or_close_beside_its_only_column_are_lines_of_text() {
        let line = |left: f64, middle: f64, letters: &str| {
            let area = Bounds { left, top: middle - 3.0, right: left + 30.0, bottom: middle + 3.0 };
            Stretch {
                words: vec![Word { letters: letters.to_owned(), area }],
                area,
                baseline: middle + 3.0,
                size: 9.0,
                level: true,
            }
        };
        let area = Bounds { left: 100.0, top: 50.0, right: 110.0, bottom: 90.0 };
        let among = |columns: usize, word: Stretch| is_among_words(&[word], &Lattice { area, columns, rows: 4 });
        // In the grid by more than a point; in its rows.
        assert!(among(4, line(75.0, 60.0, "12")) && !among(4, line(70.5, 60.0, "12")));
        assert!(!among(4, line(75.0, 40.0, "12")) && !among(4, line(75.0, 95.0, "12")));
        // Letters within half a column right of the only one.
        assert!(among(1, line(111.0, 60.0, "navy")) && among(1, line(114.9, 60.0, "navy")));
        assert!(!among(1, line(115.1, 60.0, "navy")) && !among(1, line(111.0, 60.0, "12")));
        assert!(!among(4, line(111.0, 60.0, "navy")));
    }

    #[test]
    fn a_number_is_one_of_words_where_letters_follow_it_closely_on_its_line() {
        let line = |left: f64, baseline: f64, letters: &str, level: bool| {
            let area = Bounds { left, top: baseline - 7.0, right: left + 30.0, bottom: baseline };
            Stretch { words: vec![Word { letters: letters.to_owned(), area }], area, baseline, size: 9.0, level }
        };
        // Seven points high, so words within 24.5 points of its right side, 100.
        let number = (12, Bounds { left: 90.0, top: 43.0, right: 100.0, bottom: 50.0 }, 46.5, 50.0);
        let is_in = |stretch: Stretch| is_in_words(&[stretch], &number);
        assert!(is_in(line(100.0, 50.0, "navy", true)) && is_in(line(124.0, 50.9, "navy", true)));
        assert!(!is_in(line(125.0, 50.0, "navy", true)) && !is_in(line(99.0, 50.0, "navy", true)));
        assert!(!is_in(line(110.0, 51.0, "navy", true)) && !is_in(line(110.0, 49.0, "navy", true)));
        assert!(!is_in(line(110.0, 50.0, "14", true)) && !is_in(line(110.0, 50.0, "navy", false)));
    }

    use crate::proof::tests::drawn::{filled, framed, line, outline, page, upright};

    /// Ten columns of 10 points and five rows of 8, from (100, 200).
    fn grid() -> Lattice {
        Lattice { area: Bounds { left: 100.0, top: 200.0, right: 200.0, bottom: 240.0 }, columns: 10, rows: 5 }
    }

    #[test]
    fn an_outline_points_where_it_ends_in_a_single_corner() {
        let way = |corners: &[(f64, f64)]| {
            let path = outline(corners);
            points(Part { path: &path, moved: Default::default() })
        };
        let (tail, tip) = ([(10.0, 3.0), (10.0, 7.0)], (16.0, 5.0));
        assert_eq!(way(&[tail[0], tail[1], tip]), Some(ArrowDirection::Right));
        assert_eq!(way(&[(16.0, 3.0), (16.0, 7.0), (10.0, 5.0)]), Some(ArrowDirection::Left));
        // With its first corner once more at the end, or a corner twice.
        assert_eq!(way(&[tip, tail[0], tail[1], tip]), Some(ArrowDirection::Right));
        assert_eq!(way(&[tail[0], tail[1], tip, tip]), Some(ArrowDirection::Right));
        // Two corners or one at both ends, a box, what is hardly wide, what has many corners.
        assert_eq!(way(&[tail[0], tail[1], (16.0, 4.0), (16.0, 6.0), (13.0, 3.0)]), None);
        assert_eq!(way(&[(10.0, 5.0), (13.0, 7.0), (16.0, 5.0), (13.0, 3.0)]), None);
        assert_eq!(way(&[(10.0, 3.0), (16.0, 3.0), (16.0, 7.0), (10.0, 7.0)]), None);
        assert_eq!(
            (way(&[tail[0], tail[1], (10.9, 5.0)]), way(&[tail[0], tail[1], (11.1, 5.0)])),
            (None, Some(ArrowDirection::Right))
        );
        let many = |count: usize| {
            let between = (0..count - 3).map(|at| (11.0 + 0.1 * at as f64, 7.0));
            way(&[tail[0], tail[1]].into_iter().chain(between).chain([tip]).collect::<Vec<_>>())
        };
        assert_eq!((many(24), many(25)), (Some(ArrowDirection::Right), None));
    }

    #[test]
    fn numbers_speak_for_a_first_row_and_most_of_them_are_heard_first() {
        let number = |value| Number { value, away: 3.0, off: 0.0, wide: 5.0 };
        let end = |values: &[usize]| EndMarks {
            numbers: values.iter().map(|value| number(*value)).collect(),
            ..EndMarks::default()
        };
        let ends = [[end(&[4]), end(&[4])], [end(&[5]), end(&[3])], [end(&[]), end(&[1, 9])]];
        assert_eq!(votes(&ends, 10), [(3, 3), (1, 1), (6, 1)]);
        assert_eq!(votes(&ends, 5), [(3, 3), (1, 1)]);
        assert_eq!(votes(&ends, 6).len(), 3);
        let agreeing = |above: &[usize], below: &[usize]| agree(&[end(above), end(below)]);
        assert!(agreeing(&[3, 4], &[5, 4]) && !agreeing(&[3], &[4]) && !agreeing(&[], &[4]));
    }

    #[test]
    fn a_chart_has_arrows_beside_most_rows_and_numbers_beside_some_and_over_columns() {
        let number = |value| Number { value, away: 3.0, off: 0.0, wide: 5.0 };
        let end = |arrow: bool, values: &[usize]| EndMarks {
            numbers: values.iter().map(|value| number(*value)).collect(),
            arrows: if arrow { vec![ArrowDirection::Left] } else { Vec::new() },
            ..EndMarks::default()
        };
        let (both, arrow, neither) = (
            [end(true, &[1]), end(false, &[])],
            [end(false, &[]), end(true, &[])],
            [end(false, &[2]), end(false, &[])],
        );
        let columns = [[end(false, &[1]), end(false, &[1])]];
        let is =
            |rows: &[&[EndMarks; 2]]| is_chart(&rows.iter().map(|row| (*row).clone()).collect::<Vec<_>>(), &columns);
        assert!(is(&[&both, &arrow, &neither]) && is(&[&both]));
        assert!(!is(&[&both, &neither]) && !is(&[&both, &neither, &neither]) && !is(&[&arrow, &arrow, &neither]));
        assert!(
            !is_chart(std::slice::from_ref(&both), &[[end(false, &[1]), end(false, &[2])]]) && !is_chart(&[both], &[])
        );
    }

    #[test]
    fn what_stands_beside_rows_is_found_on_either_side_up_to_a_hand() {
        let (grid, none) = (grid(), page(Vec::new()));
        // Its size is 10, so its middle is 3.5 above its baseline; the first row's middle is at 204.
        let beside = |left: f64, baseline: f64, text: &str| {
            let lines = [line(left, baseline, text)];
            row_ends(&none, &lines, &numbers(&lines), &grid)
        };
        let near = beside(90.0, 215.5, "12");
        let number = Number { value: 12, away: 0.0, off: 0.0, wide: 10.0 };
        assert_eq!((near[1][0].numbers.as_slice(), near[1][0].words.as_str()), (&[number][..], "12"));
        assert_eq!(beside(210.0, 216.3, "12")[1][1].numbers[0].away, 10.0);
        assert!((beside(210.0, 216.3, "12")[1][1].numbers[0].off - 0.1).abs() < 1e-9);
        let count = |left: f64, baseline: f64| {
            beside(left, baseline, "12").iter().flatten().map(|end| end.numbers.len()).sum::<usize>()
        };
        // Own computation: 90 points of margin, half a point of overlap.
        for (left, found) in [(10.0, 1), (9.9, 0), (90.5, 1), (90.6, 0), (199.5, 1), (199.4, 0), (280.0, 1), (280.1, 0)]
        {
            assert_eq!(count(left, 215.5), found, "{left}");
        }
        assert_eq!((count(80.0, 203.4), count(80.0, 203.6), count(80.0, 243.4), count(80.0, 243.6)), (0, 1, 1, 0));
        // Words count near the middle of a row only, and come from left to right.
        assert_eq!(
            (beside(80.0, 217.8, "12")[1][0].words.as_str(), beside(80.0, 218.0, "12")[1][0].words.as_str()),
            ("12", "")
        );
        let lines = [line(240.0, 215.5, "2·3"), line(205.0, 215.5, "5 ·")];
        assert_eq!(row_ends(&none, &lines, &numbers(&lines), &grid)[1][1].words, "5 · 2·3");
        // The nearest number comes first.
        let lines = [line(60.0, 215.5, "7"), line(90.0, 215.5, "12")];
        let ends = row_ends(&none, &lines, &numbers(&lines), &grid);
        assert_eq!(ends[1][0].numbers.iter().map(|number| number.value).collect::<Vec<_>>(), [12, 7]);
    }

    #[test]
    fn boxes_and_arrows_belong_to_the_row_beside_which_they_stand() {
        let grid = grid();
        let ends = |part, is_filled| {
            let drawn = if is_filled { filled(part) } else { framed(part) };
            row_ends(&page(vec![drawn]), &[], &[], &grid)
        };
        let boxes = |left: f64, top: f64, width: f64, height: f64| {
            let ends = ends(upright(left, top, width, height), false);
            ends.iter()
                .enumerate()
                .flat_map(|(row, ends)| [(row, 0, ends[0].boxes.len()), (row, 1, ends[1].boxes.len())])
                .filter(|(_, _, count)| *count > 0)
                .map(|(row, side, _)| (row, side))
                .collect::<Vec<_>>()
        };
        assert_eq!((boxes(80.0, 217.0, 6.0, 6.0), boxes(210.0, 233.0, 6.0, 6.0)), (vec![(2, 0)], vec![(4, 1)]));
        // Two points at least, and little higher than a row.
        assert_eq!((boxes(80.0, 219.0, 6.0, 2.0).len(), boxes(80.0, 219.0, 6.0, 1.9).len()), (1, 0));
        assert_eq!((boxes(80.0, 219.0, 2.0, 3.0).len(), boxes(80.0, 219.0, 1.9, 3.0).len()), (1, 0));
        assert_eq!((boxes(80.0, 216.0, 6.0, 8.75).len(), boxes(80.0, 216.0, 6.0, 8.85).len()), (1, 0));
        let arrows = |left: f64, top: f64, height: f64| {
            let part = outline(&[(left, top), (left, top + height), (left + 6.0, top + height / 2.0)]);
            let ends = ends(part, true);
            ends.iter().flatten().map(|end| end.arrows.len()).sum::<usize>()
        };
        assert_eq!((arrows(80.0, 218.0, 4.0), arrows(80.0, 216.0, 8.0), arrows(80.0, 216.0, 8.1)), (1, 1, 0));
        // Nearer to the middle of its row than to its edge, and not touching the grid.
        assert_eq!((arrows(80.0, 220.3, 4.0), arrows(80.0, 220.5, 4.0), arrows(80.0, 215.7, 4.0)), (1, 0, 1));
        assert_eq!((arrows(92.4, 218.0, 4.0), arrows(92.6, 218.0, 4.0)), (1, 0));
        assert_eq!((arrows(201.6, 218.0, 4.0), arrows(201.4, 218.0, 4.0)), (1, 0));
    }

    #[test]
    fn numbers_over_and_under_columns_come_from_the_fullest_line_near_the_grid() {
        let grid = grid();
        let strip = |numbers_at: &[(f64, f64, &str)]| {
            let lines: Vec<Stretch> = numbers_at.iter().map(|(x, y, text)| line(*x, *y, text)).collect();
            column_ends(&numbers(&lines), &grid)
                .iter()
                .enumerate()
                .flat_map(|(at, ends)| {
                    ends.iter()
                        .enumerate()
                        .flat_map(move |(end, it)| it.numbers.iter().map(move |n| (at, end, n.value)))
                })
                .collect::<Vec<_>>()
        };
        // A digit is 5 points wide: 102.5 is in the middle of the first column.
        assert_eq!(strip(&[(102.5, 196.0, "1"), (192.5, 250.0, "9")]), [(0, 0, 1), (9, 1, 9)]);
        // Own computation: 20 points of margin, half a point of overlap; under it letters are 7 points high.
        for (baseline, found) in
            [(180.0, 1), (179.9, 0), (200.5, 1), (200.6, 0), (246.5, 1), (246.4, 0), (267.0, 1), (267.1, 0)]
        {
            assert_eq!(strip(&[(102.5, baseline, "1")]).len(), found, "{baseline}");
        }
        // Beside the middle of a column by less than three tenths.
        assert_eq!((strip(&[(105.4, 196.0, "1")]).len(), strip(&[(105.6, 196.0, "1")]).len()), (1, 0));
        assert_eq!((strip(&[(99.6, 196.0, "1")]).len(), strip(&[(99.4, 196.0, "1")]).len()), (1, 0));
        // A folio stands alone on a line of its own; what stands beyond the grid is over no column.
        assert_eq!(strip(&[(102.5, 196.0, "1"), (192.5, 196.0, "10"), (142.5, 185.0, "7")]).len(), 1 + 1);
        assert_eq!(strip(&[(92.5, 196.0, "1"), (202.5, 196.0, "2")]), []);
        let away = |baseline: f64| column_ends(&numbers(&[line(102.5, baseline, "1")]), &grid)[0].clone();
        assert_eq!((away(196.0)[0].numbers[0].away, away(250.0)[1].numbers[0].away), (4.0, 3.0));
        assert_eq!((away(196.0)[0].numbers[0].off, away(196.0)[0].numbers[0].wide), (0.0, 5.0));
    }

    #[test]
    fn bare_rows_and_columns_have_numbers_and_boxes_and_so_belong_to_the_grid() {
        let core = grid();
        let columns = |at: &[(f64, f64)]| {
            let lines: Vec<Stretch> = at.iter().map(|(x, y)| line(*x, *y, "7")).collect();
            let wide = widened(&numbers(&lines), &core);
            (wide.area.left, wide.columns, wide.rows)
        };
        assert_eq!((columns(&[]), columns(&[(102.5, 196.0), (192.5, 196.0)])), ((100.0, 10, 5), (100.0, 10, 5)));
        assert_eq!(columns(&[(72.5, 196.0), (112.5, 196.0)]), (70.0, 13, 5));
        assert_eq!(columns(&[(112.5, 250.0), (222.5, 250.0)]), (100.0, 13, 5));
        // The fuller side is the right one.
        assert_eq!(columns(&[(72.5, 196.0), (112.5, 250.0), (222.5, 250.0)]), (100.0, 13, 5));
        assert_eq!(columns(&[(72.5, 196.0), (222.5, 250.0)]), (70.0, 13, 5));
        let rows = |boxes_at: &[(f64, f64)], numbers_at: &[(f64, f64)]| {
            let boxes = boxes_at.iter().map(|(x, y)| framed(upright(*x, *y - 3.0, 6.0, 6.0))).collect();
            let lines: Vec<Stretch> = numbers_at.iter().map(|(x, y)| line(*x, *y + 3.5, "7")).collect();
            let high = heightened(&page(boxes), &numbers(&lines), &core);
            (high.area.top, high.rows, high.columns)
        };
        assert_eq!(rows(&[], &[]), (200.0, 5, 10));
        // One above, two below, by a box or a number on either side; a gap ends them.
        assert_eq!(rows(&[(80.0, 196.0)], &[(220.0, 244.0), (80.0, 252.0)]), (192.0, 8, 10));
        assert_eq!(rows(&[(220.0, 180.0)], &[(80.0, 252.0)]), (200.0, 5, 10));
        // Not beside the middle of a row, not beside the grid, too far from it.
        assert_eq!(rows(&[(80.0, 198.5)], &[(80.0, 246.5)]), (200.0, 5, 10));
        assert_eq!(rows(&[(80.0, 198.3)], &[(80.0, 246.3)]), (192.0, 7, 10));
        for (left, rows_found) in
            [(94.5, 6), (94.6, 5), (10.0, 6), (9.9, 5), (199.5, 6), (199.4, 5), (284.0, 6), (284.1, 5)]
        {
            assert_eq!(rows(&[(left, 196.0)], &[]).1, rows_found, "{left}");
        }
    }

    #[test]
    fn cells_of_a_sheet_have_its_columns_width_and_its_rows_height_and_grounds_where_anything_is_coloured() {
        let sheet = |painted| DrawnSheet {
            lattice: grid(),
            cells: Cells::read(&page(painted), &grid()),
            marks: BTreeSet::new(),
            key: Vec::new(),
            row_ends: Vec::new(),
            column_ends: Vec::new(),
        };
        assert_eq!(sheet(Vec::new()).cell(), (10.0, 8.0));
        assert!(!sheet(Vec::new()).is_grounded());
        assert!(sheet(vec![filled(upright(110.0, 208.0, 10.0, 8.0))]).is_grounded());
    }

    #[test]
    fn numbers_are_words_of_level_lines_of_nothing_else() {
        let found = |words: &str, level: bool| {
            let line = Stretch { level, ..line(300.0, 50.0, words) };
            numbers(&[line]).into_iter().map(|(value, ..)| value).collect::<Vec<_>>()
        };
        assert_eq!((found("12", true), found("10 20", true)), (vec![12], vec![10, 20]));
        assert_eq!((found("12", false), found("12 navy", true), found("navy", true)), (vec![], vec![], vec![]));
    }
}
