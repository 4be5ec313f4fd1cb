//! Words about a sheet: how many lines they take.

use crate::catalogue::{SectionName, StyleName};
use crate::compose::chart::marks;
use crate::compose::chart::ranges::range_words;
use crate::compose::setter::Setter;
use crate::compose::tile::SheetCells;
use crate::edition::Edition;
use crate::geom::Length;
use crate::manuscript::{ChartBlock, ChartMarkKind};
use crate::markup::filled;

/// Under this shorter side of a cell a sheet says that its squares are small.
pub(crate) const SMALL: Length = Length::mm(3.7);
/// Parts one note from the next on a line.
pub(crate) const BETWEEN: &str = "  ·  ";

/// Notes one after another on lines of this width; a note wider than a line goes on below, broken between words.
pub(crate) fn lines_of(parts: Vec<String>, setter: &Setter, width: Length) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for part in parts {
        let longer = lines.last().map(|line| format!("{line}{BETWEEN}{part}"));
        match longer.filter(|text| setter.line(StyleName::SheetNote, text).width.fits(width)) {
            Some(longer) => {
                lines.pop();
                lines.push(longer);
            }
            None => lines.extend(broken(&part, setter, width)),
        }
    }
    lines
}

/// One note in as many lines as it needs; a word wider than a line stands alone.
fn broken(note: &str, setter: &Setter, width: Length) -> Vec<String> {
    let fits = |text: &str| setter.line(StyleName::SheetNote, text).width.fits(width);
    if fits(note) {
        return vec![note.to_owned()];
    }
    let mut lines: Vec<String> = Vec::new();
    for word in note.split(' ') {
        match lines.last_mut() {
            Some(line) if fits(&format!("{line} {word}")) => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// The most lines of notes that a sheet of this width can need: the same room is kept on all of them. `squared`: cells are
/// square although the knots are not; `again`: sheets show something that stands on others too.
pub(crate) fn most_lines(
    block: &ChartBlock,
    edition: &Edition,
    setter: &Setter,
    width: Length,
    (squared, again): (bool, bool),
) -> usize {
    let words = &block.words;
    let range = |count: usize| range_words(&(count.saturating_sub(2)..count)).to_vec();
    let mut parts = Vec::new();
    if again {
        for (template, count) in [(&words.shared_columns, block.columns), (&words.shared_rows, block.rows.len())] {
            let mut values = range(count.max(100));
            values.push(("page", "100".to_owned()));
            parts.push(filled(template, &values));
        }
    }
    if edition.chart.run_counts {
        parts.extend([words.run_counts.clone(), words.run_counts_more.clone()]);
    }
    if !SMALL.fits(edition.chart.narrow_cell) {
        parts.push(words.small_cells.clone());
    }
    if squared {
        parts.push(words.square_cells.clone());
    }
    parts.extend(carrying(block, edition, setter, width));
    lines_of(parts, setter, width).len()
}

/// What no mark means, in short, with the page where the whole rule stands; where it takes no more than a line, for rows of
/// the chart need the room more.
pub(crate) fn carrying(block: &ChartBlock, edition: &Edition, setter: &Setter, width: Length) -> Option<String> {
    let template = block.words.carrying.as_ref().filter(|_| edition.chart.marks)?;
    let say = |page: &str| filled(template, &[("page", page.to_owned())]);
    // Decided by a number of three digits, so that it is the same before pages are known and after.
    let is_one_line = setter.line(StyleName::SheetNote, &say("100")).width.fits(width);
    is_one_line.then(|| say(setter.page_of(SectionName::RowsInWords).unwrap_or("100")))
}

/// Lines that name the lengths which lozenges on a sheet ask for, each by the knot that it tied last.
pub(crate) fn choices(
    block: &ChartBlock,
    edition: &Edition,
    setter: &Setter,
    sheet: &SheetCells,
    width: Length,
) -> Vec<String> {
    if !edition.chart.marks {
        return Vec::new();
    }
    let place = |cell: usize| {
        let row = block.rows.get(cell / block.columns).map_or("", |row| row.number.as_str());
        format!("{row}, {}", cell % block.columns + 1)
    };
    let mut parts: Vec<String> = marks::on(block, sheet)
        .filter_map(|mark| match &mark.kind {
            ChartMarkKind::Choice { tied: Some(tied), .. } => Some(format!("{} ← {}", place(mark.cell), place(*tied))),
            // Header rows have no place on the chart.
            ChartMarkKind::Choice { tied: None, words } => Some(format!("{} ← {words}", place(mark.cell))),
            ChartMarkKind::Start | ChartMarkKind::Link | ChartMarkKind::Cut => None,
        })
        .collect();
    if let Some(first) = parts.first_mut() {
        *first = format!("{} {first}", block.words.choices);
    }
    lines_of(parts, setter, width)
}
