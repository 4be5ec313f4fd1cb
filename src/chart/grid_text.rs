//! A chart as text: one letter a cell, `.` for a bare cell, one line a row. Line endings, a byte-order mark, spaces at the
//! end of a line and empty lines at the end of the file are forgiven; everything else that is odd is said, with its place.

use super::{Chart, MAX_SIDE, YarnId, suggest_letter};
use crate::diag::{Diagnostic, Report, SourceId, Span};
use std::collections::BTreeMap;

/// Rows of a wrong length that are shown one by one.
const MAX_SHOWN_ROWS: usize = 5;
/// Strange letters that are shown one by one.
const MAX_SHOWN_LETTERS: usize = 8;

/// Reads a chart. `letters` are the yarns' letters in the order of the palette, `None` where a yarn's letter could not be
/// read: then no letter of the chart is called unknown, since it may be that one. `None` is answered after a fault.
pub fn read(text: &str, source: SourceId, letters: &[Option<char>], report: &mut Report) -> Option<Chart> {
    let rows = lines(text);
    if rows.is_empty() {
        report.push(
            Diagnostic::fault("empty-chart", "the chart is empty")
                .at(Span::file(source))
                .hint("write one line for each row, one letter for each knot, and `.` for a bare cell"),
        );
        return None;
    }
    let lengths: Vec<usize> = rows.iter().map(|(_, row)| row.chars().count()).collect();
    let columns = common(&lengths);
    let fits = size(&lengths, &rows, source, report);
    let even = ragged(&rows, &lengths, columns, source, report);

    let palette: BTreeMap<char, YarnId> = letters
        .iter()
        .enumerate()
        .filter_map(|(at, letter)| Some(((*letter)?, YarnId(u8::try_from(at).ok()?))))
        .rev() // of two yarns with one letter the first counts; the other is a fault already
        .collect();
    let mut strange: BTreeMap<char, UnknownLetter> = BTreeMap::new();
    let mut cells = Vec::with_capacity(if fits { columns * rows.len() } else { 0 });
    for (row, (start, line)) in rows.iter().enumerate() {
        for (column, (at, letter)) in line.char_indices().enumerate() {
            let cell = palette.get(&letter).copied();
            if cell.is_none() && letter != '.' {
                let span = Span::new(source, start + at, start + at + letter.len_utf8());
                strange.entry(letter).or_insert(UnknownLetter { times: 0, row, column, span }).times += 1;
            }
            if fits {
                cells.push(cell);
            }
        }
    }
    let known: Vec<char> = letters.iter().flatten().copied().collect();
    let all_known = known.len() == letters.len() && !letters.is_empty();
    let strangers = !strange.is_empty();
    if all_known {
        unknown(strange, &known, report);
    }
    if !fits || !even || strangers {
        return None;
    }
    if cells.iter().all(Option::is_none) {
        report.push(
            Diagnostic::fault("no-knots", "every cell of the chart is bare")
                .at(Span::new(source, rows[0].0, rows[0].0 + rows[0].1.len()))
                .hint("write the letter of a yarn for each knot"),
        );
        return None;
    }
    Chart::new(columns, cells)
}

struct UnknownLetter {
    times: usize,
    row: usize,
    column: usize,
    span: Span,
}

/// The rows with the byte each starts at, without what is forgiven: one more than is allowed at most, so that a file of
/// nothing but line ends takes no memory.
fn lines(text: &str) -> Vec<(usize, &str)> {
    let mark = '\u{feff}';
    let mut start = if text.starts_with(mark) { mark.len_utf8() } else { 0 };
    let text = text.trim_end();
    let mut rows = Vec::new();
    while start < text.len() && rows.len() <= MAX_SIDE {
        let rest = &text[start..];
        let end = rest.find(['\n', '\r']).unwrap_or(rest.len());
        rows.push((start, rest[..end].trim_end()));
        let ending = if rest[end..].starts_with("\r\n") { 2 } else { 1 };
        start += end + ending;
    }
    rows
}

/// The length most rows have; of equals the one that comes first.
fn common(lengths: &[usize]) -> usize {
    let mut times: BTreeMap<usize, usize> = BTreeMap::new();
    for length in lengths {
        *times.entry(*length).or_default() += 1;
    }
    let most = times.values().copied().max().unwrap_or_default();
    lengths.iter().copied().find(|length| times.get(length) == Some(&most)).unwrap_or_default()
}

fn size(lengths: &[usize], rows: &[(usize, &str)], source: SourceId, report: &mut Report) -> bool {
    let before = report.len();
    if let Some((start, row)) = rows.get(MAX_SIDE) {
        report.push(
            Diagnostic::fault("chart-too-large", format!("the chart has more than {MAX_SIDE} rows"))
                .at(Span::new(source, *start, start + row.len()))
                .hint(format!("at most {MAX_SIDE} rows are read")),
        );
    }
    if let Some((at, length)) = lengths.iter().copied().enumerate().find(|(_, length)| *length > MAX_SIDE) {
        report.push(
            Diagnostic::fault("chart-too-large", format!("row {} has {length} cells", at + 1))
                .at(Span::new(source, rows[at].0, rows[at].0))
                .hint(format!("at most {MAX_SIDE} columns are read")),
        );
    }
    report.len() == before
}

fn ragged(rows: &[(usize, &str)], lengths: &[usize], columns: usize, source: SourceId, report: &mut Report) -> bool {
    let mut wrong = 0;
    let mut first_unshown = None;
    for (at, (start, row)) in rows.iter().enumerate() {
        if lengths[at] == columns {
            continue;
        }
        wrong += 1;
        if wrong > MAX_SHOWN_ROWS {
            first_unshown = first_unshown.or(Some(*start));
            continue;
        }
        let (message, hint) = match (lengths[at], columns.checked_sub(lengths[at])) {
            (0, _) => (
                format!("row {} is empty", at + 1),
                "take the empty line out, or write a bare row as full stops".to_owned(),
            ),
            (length, Some(short)) => (
                format!("row {} has {}, most rows have {columns}", at + 1, cells(length)),
                format!("add {} at this end or where one was left out; a bare cell is a full stop", cells(short)),
            ),
            (length, None) => (
                format!("row {} has {}, most rows have {columns}", at + 1, cells(length)),
                format!("take {} out", cells(length - columns)),
            ),
        };
        // The end of the row is where a cell is missing or too many.
        let from = row.char_indices().nth(columns).map_or(row.len(), |(at, _)| at);
        report.push(
            Diagnostic::fault("ragged-row", message).at(Span::new(source, start + from, start + row.len())).hint(hint),
        );
    }
    if let Some(start) = first_unshown {
        report.push(
            Diagnostic::fault(
                "ragged-row",
                format!("{} more rows are not {columns} cells long", wrong - MAX_SHOWN_ROWS),
            )
            .at(Span::new(source, start, start))
            .hint("every row has as many cells as the others"),
        );
    }
    wrong == 0
}

fn cells(number: usize) -> String {
    if number == 1 { "1 cell".to_owned() } else { format!("{number} cells") }
}

fn unknown(strange: BTreeMap<char, UnknownLetter>, known: &[char], report: &mut Report) {
    let more = strange.len().saturating_sub(MAX_SHOWN_LETTERS);
    let mut in_order: Vec<(char, UnknownLetter)> = strange.into_iter().collect();
    in_order.sort_by_key(|(_, s)| s.span);
    let rest: Vec<(char, UnknownLetter)> = in_order.split_off(in_order.len().min(MAX_SHOWN_LETTERS));
    for (letter, found) in in_order {
        let place = format!("row {}, column {}", found.row + 1, found.column + 1);
        let shown = if letter.is_control() || letter.is_whitespace() {
            match letter {
                ' ' => "a space".to_owned(),
                '\t' => "a tab".to_owned(),
                other => format!("the character U+{:04X}", other as u32),
            }
        } else {
            format!("`{letter}`")
        };
        let message = match found.times {
            1 => format!("{shown} at {place} is no yarn's letter"),
            times => format!("{shown} is no yarn's letter; it stands {times} times, first at {place}"),
        };
        let fault = Diagnostic::fault("unknown-letter", message).at(found.span);
        report.push(if letter.is_whitespace() {
            fault.hint("write a bare cell as a full stop, and nothing between the letters")
        } else {
            suggest_letter(fault, &letter.to_string(), known)
        });
    }
    if let Some((_, first)) = rest.first() {
        report
            .push(Diagnostic::fault("unknown-letter", format!("{more} more letters stand for no yarn")).at(first.span));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str, letters: &str) -> (Option<Chart>, Vec<(&'static str, Span)>) {
        let mut report = Report::new();
        let letters: Vec<Option<char>> = letters.chars().map(Some).collect();
        let chart = read(text, SourceId(0), &letters, &mut report);
        let told = report.iter().filter_map(|d| Some((d.id, d.span?))).collect();
        (chart, told)
    }

    #[test]
    fn line_endings_a_mark_and_blanks_at_the_end_are_forgiven() {
        let plain = told("AB\n.A\n", "AB");
        assert_eq!(plain.0.as_ref().map(|c| (c.columns(), c.rows(), c.knots())), Some((2, 2, 3)));
        for text in ["AB\r\n.A\r\n", "AB\r.A\r", "\u{feff}AB\n.A", "AB  \n.A\t\n\n  \n\r\n"] {
            assert_eq!(told(text, "AB"), plain, "{text:?}");
        }
    }

    #[test]
    fn letters_are_told_apart_by_their_case() {
        assert_eq!(told("Aa\n", "aA").0, Chart::new(2, vec![Some(YarnId(1)), Some(YarnId(0))]));
    }

    #[test]
    fn a_row_of_another_length_is_shown_at_its_end() {
        let (chart, told) = told("AAA\nAA\nAAA\nAAAAA\n", "A");
        assert_eq!(chart, None);
        let span = |start, end| Span::new(SourceId(0), start, end);
        assert_eq!(told, [("ragged-row", span(6, 6)), ("ragged-row", span(14, 16))]);
    }

    #[test]
    fn strange_letters_are_counted_and_shown_where_they_first_stand() {
        let (chart, told) = told("AÄX\nXAX\n", "A");
        assert_eq!(chart, None);
        let span = |start, end| Span::new(SourceId(0), start, end);
        assert_eq!(told, [("unknown-letter", span(1, 3)), ("unknown-letter", span(3, 4))]);
    }

    #[test]
    fn an_empty_chart_and_one_without_knots_are_refused() {
        assert_eq!(told("", "A").1[0].0, "empty-chart");
        assert_eq!(told("\n \n", "A").1[0].0, "empty-chart");
        assert_eq!(told("..\n..\n", "A").1[0].0, "no-knots");
    }

    #[test]
    fn a_chart_larger_than_the_largest_is_refused() {
        let wide = "A".repeat(MAX_SIDE + 1);
        let tall = "A\n".repeat(MAX_SIDE + 1);
        assert_eq!(told(&wide, "A").1[0].0, "chart-too-large");
        assert_eq!(told(&tall, "A").1[0].0, "chart-too-large");
        assert!(told(&"A\n".repeat(MAX_SIDE), "A").0.is_some());
    }

    /// What is told, with what to do.
    fn words(text: &str) -> Vec<(String, String)> {
        let mut report = Report::new();
        assert_eq!(read(text, SourceId(0), &[Some('A'), Some('B')], &mut report), None);
        let hint = |d: &Diagnostic| d.hints.first().cloned().unwrap_or_default();
        report.iter().map(|d| (d.message.clone(), hint(d))).collect()
    }

    #[test]
    fn rows_of_another_length_are_told_with_what_is_missing_or_too_many() {
        let told = words("AAA\nAA\nAAA\nAAAAA\nAAA\n\nA\nAAAA\n");
        let told: Vec<(&str, &str)> = told.iter().map(|(message, hint)| (message.as_str(), hint.as_str())).collect();
        let add =
            |cells: &str| format!("add {cells} at this end or where one was left out; a bare cell is a full stop");
        assert_eq!(told[0], ("row 2 has 2 cells, most rows have 3", add("1 cell").as_str()));
        assert_eq!(told[1], ("row 4 has 5 cells, most rows have 3", "take 2 cells out"));
        assert_eq!(told[2], ("row 6 is empty", "take the empty line out, or write a bare row as full stops"));
        assert_eq!(told[3], ("row 7 has 1 cell, most rows have 3", add("2 cells").as_str()));
        assert_eq!(told[4], ("row 8 has 4 cells, most rows have 3", "take 1 cell out"));
        assert_eq!(told.len(), 5);
    }

    #[test]
    fn of_many_wrong_rows_five_are_shown_and_the_others_counted() {
        let six = words(&format!("{}{}", "AAA\n".repeat(9), "AA\n".repeat(6)));
        assert_eq!((six.len(), six[5].0.as_str()), (6, "1 more rows are not 3 cells long"));
        let eight = words(&format!("{}{}", "AAA\n".repeat(9), "AA\n".repeat(8)));
        assert_eq!((eight.len(), eight[5].0.as_str()), (6, "3 more rows are not 3 cells long"));
    }

    #[test]
    fn of_lengths_that_are_as_common_the_first_counts() {
        assert_eq!(common(&[4, 7, 7, 4]), 4);
        assert_eq!(common(&[7, 4, 4, 7]), 7);
        assert_eq!(common(&[4, 7, 7]), 7);
    }

    #[test]
    fn strange_letters_are_told_by_name_and_eight_of_them() {
        let told = words("xA\nAx\nAy\n");
        assert_eq!(told[0].0, "`x` is no yarn's letter; it stands 2 times, first at row 1, column 1");
        assert_eq!(told[1].0, "`y` at row 3, column 2 is no yarn's letter");
        let blank = words("A A\nAAA\n");
        assert_eq!(blank[0].0, "a space at row 1, column 2 is no yarn's letter");
        assert_eq!(blank[0].1, "write a bare cell as a full stop, and nothing between the letters");
        assert_eq!(words("A\tA\nAAA\n")[0].0, "a tab at row 1, column 2 is no yarn's letter");
        let unseen = words("A\u{7}A\nAAA\n");
        assert_eq!(unseen[0].0, "the character U+0007 at row 1, column 2 is no yarn's letter");
        assert!(!unseen[0].1.contains("full stop"), "{unseen:?}");
        assert_eq!(words("cdef\nghij\n").len(), 8);
        let ten = words("cdefg\nhijkl\n");
        assert_eq!((ten.len(), ten[8].0.as_str()), (9, "2 more letters stand for no yarn"));
    }

    #[test]
    fn a_side_that_is_too_long_is_told_with_its_row() {
        let told = words(&format!("{}\n{}\n", "A".repeat(3), "A".repeat(MAX_SIDE + 2)));
        assert_eq!(told[0].0, "row 2 has 2002 cells");
        assert!(read(&"A".repeat(MAX_SIDE), SourceId(0), &[Some('A')], &mut Report::new()).is_some());
    }

    #[test]
    fn of_two_yarns_with_one_letter_the_first_counts() {
        assert_eq!(told("A\n", "AA").0, Chart::new(1, vec![Some(YarnId(0))]));
    }
}
