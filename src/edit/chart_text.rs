//! A chart as text: letters change, everything round them stays (line endings, a byte-order mark, blanks at the end).

use super::{BARE, Grid};

/// A line of the file in parts: its letters, the blanks behind them, its ending.
struct Parts<'t> {
    letters: &'t str,
    rest: &'t str,
}

/// The mark, the rows, and what stands behind the last of them.
struct Split<'t> {
    mark: &'t str,
    rows: Vec<Parts<'t>>,
    tail: &'t str,
}

fn split(text: &str) -> Split<'_> {
    let mark = if text.starts_with('\u{feff}') { &text[..'\u{feff}'.len_utf8()] } else { "" };
    let body = &text[mark.len()..];
    let end = body.trim_end().len();
    let (mut inside, tail) = body.split_at(end);
    let mut rows = Vec::new();
    while !inside.is_empty() {
        let stop = inside.find(['\n', '\r']).unwrap_or(inside.len());
        let letters = inside[..stop].trim_end().len();
        let ending = if inside[stop..].starts_with("\r\n") { 2 } else { usize::from(stop < inside.len()) };
        rows.push(Parts { letters: &inside[..letters], rest: &inside[letters..stop + ending] });
        inside = &inside[stop + ending..];
    }
    Split { mark, rows, tail }
}

/// The letters of a chart file. `None` where rows are of different lengths, empty, or too many: then the file is mended
/// first.
pub fn read(text: &str) -> Option<Grid> {
    let rows = split(text).rows;
    let columns = rows.first()?.letters.chars().count();
    if rows.iter().any(|row| row.letters.chars().count() != columns) {
        return None;
    }
    Grid::new(columns, rows.iter().flat_map(|row| row.letters.chars()).collect())
}

/// The file with these letters in it. Where the number of rows stays, each line keeps its blanks and its ending; else all
/// lines end as the first one does.
pub fn write(text: &str, grid: &Grid) -> String {
    let old = split(text);
    let mut out = String::with_capacity(text.len().max(grid.cells().len()) + grid.rows());
    out.push_str(old.mark);
    let same = old.rows.len() == grid.rows();
    let ending = match old.rows.first().map(|row| row.rest.trim_start_matches([' ', '\t'])) {
        Some(ending) if !ending.is_empty() => ending,
        _ => "\n",
    };
    for row in 0..grid.rows() {
        out.extend(grid.row(row));
        match old.rows.get(row).filter(|_| same) {
            Some(parts) => out.push_str(parts.rest),
            None if row + 1 < grid.rows() => out.push_str(ending),
            None => {}
        }
    }
    out.push_str(if old.rows.is_empty() { "\n" } else { old.tail });
    out
}

/// A new chart file: a letter a knot, a line a row.
pub fn fresh(grid: &Grid) -> String {
    write("", grid)
}

/// Whether a letter can stand in a chart file.
pub(crate) fn is_letter(letter: char) -> bool {
    letter == BARE || !(letter.is_control() || letter.is_whitespace() || letter == '\u{feff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_touched_stays_to_the_byte() {
        let mut random = fastrand::Rng::with_seed(7);
        for _ in 0..500 {
            let (columns, rows) = (random.usize(1..7), random.usize(1..7));
            let mut text = String::new();
            if random.bool() {
                text.push('\u{feff}');
            }
            for row in 0..rows {
                (0..columns).for_each(|_| text.push(*random.choice(&['A', 'ß', '.', 'é']).expect("a letter")));
                text.push_str(["", " ", "\t "][random.usize(0..3)]);
                if row + 1 < rows || random.bool() {
                    text.push_str(["\n", "\r\n", "\r"][random.usize(0..3)]);
                }
            }
            text.push_str(["", "\n", "\r\n\r\n"][random.usize(0..3)]);
            let grid = read(&text).expect("a chart");
            assert_eq!((grid.columns(), grid.rows()), (columns, rows), "{text:?}");
            assert_eq!(write(&text, &grid), text);
            let at = random.usize(0..columns * rows);
            let mut other = grid.clone();
            other.set(at, 'Z');
            let changed = write(&text, &other);
            assert_eq!(read(&changed), Some(other));
            let differ = text.chars().zip(changed.chars()).filter(|(a, b)| a != b).count();
            assert_eq!((differ, changed.chars().count()), (1, text.chars().count()));
        }
    }

    #[test]
    fn another_number_of_rows_keeps_the_kind_of_ending() {
        let grid = read("AB\r\nCD\r\n\r\n").expect("a chart");
        let more = grid.put_in(super::super::Line::Row, 2, 1).expect("put in");
        assert_eq!(write("AB\r\nCD\r\n\r\n", &more), "AB\r\nCD\r\nCD\r\n\r\n");
        assert_eq!(write("AB", &more), "AB\nCD\nCD");
        assert_eq!(fresh(&grid), "AB\nCD\n");
    }

    #[test]
    fn ragged_and_empty_files_are_no_grid() {
        for text in ["", "\n\n", "AB\nA\n", "AB\n\nAB\n"] {
            assert_eq!(read(text), None, "{text:?}");
        }
    }

    #[test]
    fn letters_are_what_is_seen_and_fills_a_place_of_its_own() {
        for letter in ['A', 'a', 'ß', '7', '#', BARE] {
            assert!(is_letter(letter), "{letter:?}");
        }
        for no in [' ', '\t', '\n', '\u{7}', '\u{a0}', '\u{feff}'] {
            assert!(!is_letter(no), "{no:?}");
        }
    }
}
