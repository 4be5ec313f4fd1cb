//! Columns of a table: as wide as what they hold asks for, as airy as the words allow, or the table in parts.

use crate::catalogue::StyleName;
use crate::compose::galley::setting::Setting;
use crate::geom::Length;
use crate::manuscript::{Table, TableEntry, Text};
use crate::markup::unmarked;

/// Between columns.
const GAP: Length = Length::mm(4.5);
/// Between columns where rows take fewer lines for it.
const MIDDLE_GAP: Length = Length::mm(3.4);
/// Between columns that have little room.
const NARROW_GAP: Length = Length::mm(2.4);
/// The least one as a share of the type's size: more than twice a space.
const MIN_GAP: f64 = 0.65;
/// Side of a sample.
pub(super) const SWATCH: Length = Length::mm(4.2);
/// Room for a box.
pub(super) const TICK: Length = Length::mm(7.0);

/// The head of a column takes so many lines where the table has room to spare, and is given that by such steps.
const HEAD_LINES: usize = 2;
const HEAD_WIDER: Length = Length::mm(2.0);

/// The part of the page's height that one row may take.
const HIGH: f64 = 0.5;

/// Room that a box and a patch of colour take before the text.
pub(super) fn ahead(entry: &TableEntry, setting: &Setting) -> Length {
    let tick = if entry.tick.is_some() { TICK } else { Length::ZERO };
    let swatch = if entry.swatch.is_some() { setting.swatch_width(SWATCH) + Length::mm(2.3) } else { Length::ZERO };
    (tick + swatch) * setting.grown()
}

/// Where a table's columns stand and how they are set.
pub(super) struct Grid {
    pub(super) left: Length,
    pub(super) widths: Vec<Length>,
    pub(super) gap: Length,
    /// Whether the table runs over the side column.
    pub(super) wide: bool,
    pub(super) cell: StyleName,
    pub(super) head: StyleName,
}

impl Grid {
    pub(super) fn total(&self) -> Length {
        self.widths.iter().copied().sum::<Length>() + self.gap * (self.widths.len() as f64 - 1.0)
    }
}

/// As large and as airy as the words allow: narrower gaps first, smaller type next, and only then are words parted or rows
/// higher than a good part of the page. Whether neither had to be comes with it.
pub(super) fn grid(setting: &Setting, table: &Table) -> (Grid, bool) {
    let manners = [
        (GAP, StyleName::Table, StyleName::TableHead),
        (NARROW_GAP, StyleName::Table, StyleName::TableHead),
        (NARROW_GAP, StyleName::TableTight, StyleName::TableHeadTight),
    ];
    let mut last = None;
    for (gap, cell, head) in manners {
        let (grid, holds) = widths(setting, table, gap, cell, head, false);
        let grid = if holds { fewest_lines(setting, table, grid) } else { grid };
        if holds && highest(setting, table, &grid).fits(setting.columns.height * HIGH) {
            return (grid, true);
        }
        last = Some(grid);
    }
    (last.unwrap_or_else(|| widths(setting, table, GAP, StyleName::Table, StyleName::TableHead, false).0), false)
}

/// The height of the highest row.
pub(super) fn highest(setting: &Setting, table: &Table, grid: &Grid) -> Length {
    let leading = setting.setter.style(grid.cell).leading;
    table.rows.iter().map(|row| leading * lines_of(setting, grid, row) as f64).fold(Length::ZERO, Length::max)
}

/// Lines that a row takes.
fn lines_of(setting: &Setting, grid: &Grid, row: &[TableEntry]) -> usize {
    let of = |(entry, width): (&TableEntry, &Length)| {
        setting.setter.paragraph(grid.cell, &entry.text, *width - ahead(entry, setting)).len()
    };
    row.iter().zip(&grid.widths).map(of).max().unwrap_or(0)
}

/// The same grid, or one in the same type with narrower gaps or a narrower column of row heads, where the rows then take
/// fewer lines: figures that stand on one line in one row and on two in the next are hard to compare.
fn fewest_lines(setting: &Setting, table: &Table, grid: Grid) -> Grid {
    let lines = |grid: &Grid| -> usize { table.rows.iter().map(|row| lines_of(setting, grid, row)).sum() };
    let (mut best, mut least) = (grid, 0);
    for (gap, narrow_heads) in
        [(best.gap, true), (MIDDLE_GAP, false), (MIDDLE_GAP, true), (NARROW_GAP, false), (NARROW_GAP, true)]
    {
        if least == 0 {
            least = lines(&best);
        }
        // One row alone has nothing to be compared with.
        if least <= table.rows.len() || table.rows.len() == 1 {
            break;
        }
        let (other, holds) = widths(setting, table, gap, best.cell, best.head, narrow_heads);
        let taken = lines(&other);
        if holds && taken < least {
            (best, least) = (other, taken);
        }
    }
    best
}

/// A table too wide for its page, or with columns so narrow that its rows are too high, as several, one below the other:
/// each begins with the heads of the rows and has as many of the further columns as fit. `None` where that does not help.
pub(super) fn parted(setting: &Setting, table: &Table) -> Option<Vec<Table>> {
    if !table.row_heads || table.columns.len() < 3 {
        return None;
    }
    let with = |columns: &[usize]| Table {
        caption: None,
        columns: columns.iter().map(|&c| table.columns[c].clone()).collect(),
        rows: table.rows.iter().map(|row| columns.iter().filter_map(|&c| row.get(c).cloned()).collect()).collect(),
        row_heads: true,
        note: None,
    };
    let mut parts: Vec<Vec<usize>> = Vec::new();
    for column in 1..table.columns.len() {
        let longer = parts.last().map(|last| [last.as_slice(), &[column]].concat());
        match longer.filter(|columns| grid(setting, &with(columns)).1) {
            Some(columns) => *parts.last_mut()? = columns,
            None => parts.push(vec![0, column]),
        }
    }
    if parts.len() < 2 {
        return None;
    }
    // As many columns in each, or nearly: a last part of one column would look lost.
    let (others, count) = (table.columns.len() - 1, parts.len());
    let even: Vec<Vec<usize>> = (0..count)
        .map(|part| {
            let (from, to) = (1 + others * part / count, 1 + others * (part + 1) / count);
            [0].into_iter().chain(from..to).collect()
        })
        .collect();
    if even.iter().all(|columns| grid(setting, &with(columns)).1) {
        parts = even;
    }
    let mut tables: Vec<Table> = parts.iter().map(|columns| with(columns)).collect();
    tables.first_mut()?.caption = table.caption.clone();
    tables.last_mut()?.note = table.note.clone();
    Some(tables)
}

/// Takes `excess` from a group of columns, none of them below its floor: from those that are widest for their share first,
/// so that columns of like things end up alike and short cells stay on one line. Returns what was taken.
fn shrink(widths: &mut [Length], group: &[usize], floor: &[Length], share: &[f64], excess: Length) -> Length {
    if excess <= Length::ZERO {
        return Length::ZERO;
    }
    // The width for a share of 1 above which no column stays. What the group gives falls as it rises; forty halvings are
    // finer than any printer.
    let narrowed = |widths: &[Length], c: usize, level: Length| widths[c].min((level * share[c]).max(floor[c]));
    let gives = |level: Length| -> Length { group.iter().map(|&c| widths[c] - narrowed(widths, c, level)).sum() };
    let (mut low, mut high) =
        (Length::ZERO, group.iter().map(|&c| widths[c] / share[c]).fold(Length::ZERO, Length::max));
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if gives(middle) >= excess { low = middle } else { high = middle }
    }
    let taken = gives(low);
    for &c in group {
        widths[c] = narrowed(widths, c, low);
    }
    taken
}

/// Gives columns with heads of many lines of what room there is to spare. Returns what is left of it.
fn widen_heads(
    setting: &Setting,
    table: &Table,
    head_style: StyleName,
    widths: &mut [Length],
    mut spare: Length,
) -> Length {
    for (width, about) in widths.iter_mut().zip(&table.columns) {
        while setting.setter.paragraph(head_style, &about.head, *width).len() > HEAD_LINES && HEAD_WIDER.fits(spare) {
            *width += HEAD_WIDER;
            spare -= HEAD_WIDER;
        }
    }
    spare
}

/// The columns, and whether every word has its room; with `narrow_heads` the heads of the rows take no more than their
/// longest word.
fn widths(
    setting: &Setting,
    table: &Table,
    gap: Length,
    cell: StyleName,
    head_style: StyleName,
    narrow_heads: bool,
) -> (Grid, bool) {
    let count = table.columns.len();
    // Wider than a space between words by far, or neighbours would read as one.
    let gap = gap.max(setting.setter.style(cell).size * MIN_GAP);
    let gaps = gap * (count as f64 - 1.0);
    let measure_of =
        |style: StyleName, text: &Text| setting.setter.line(style, &unmarked(text)).width + Length::pt(0.5);
    let longest_piece = |style: StyleName, text: &Text, apart: bool| {
        setting.setter.longest_piece(style, &unmarked(text), apart) + Length::pt(0.5)
    };
    let mut natural = vec![Length::ZERO; count];
    let mut least = vec![Length::ZERO; count];
    for (column, about) in table.columns.iter().enumerate() {
        // A head may always be broken between words.
        let head = longest_piece(head_style, &about.head, false);
        natural[column] = head;
        least[column] = head;
        for row in &table.rows {
            if let Some(entry) = row.get(column) {
                let ahead = ahead(entry, setting);
                natural[column] = natural[column].max(measure_of(cell, &entry.text) + ahead);
                least[column] = least[column].max(longest_piece(cell, &entry.text, false) + ahead);
            }
        }
    }
    let mut wanted: Length = natural.iter().copied().sum::<Length>() + gaps;
    let (text_left, text) = setting.text_column();
    let wide = !wanted.fits(text) && setting.columns.side > Length::ZERO;
    if narrow_heads && table.row_heads {
        wanted -= natural[0] - least[0];
        natural[0] = least[0];
    }
    let (left, room) = if wide { (Length::ZERO, setting.columns.full) } else { (text_left, text) };
    let flexible: Vec<usize> = (0..count).filter(|c| table.columns[*c].share > 0.0).collect();
    if wanted.fits(room) {
        let spare = widen_heads(setting, table, head_style, &mut natural, room - wanted);
        let shares: f64 = table.columns.iter().map(|c| c.share).sum();
        if shares > 0.0 {
            for column in flexible {
                natural[column] += spare * (table.columns[column].share / shares);
            }
        } else {
            for width in &mut natural {
                *width += spare / count as f64;
            }
        }
        return (Grid { left, widths: natural, gap, wide, cell, head: head_style }, true);
    }
    // Too wide: flexible columns give way first, then all, down to their longest word.
    let share: Vec<f64> = table.columns.iter().map(|column| column.share.max(0.1)).collect();
    let mut widths = natural;
    let mut excess = wanted - room;
    let rest = (0..count).filter(|c| !flexible.contains(c)).collect();
    for group in [flexible, rest] {
        excess -= shrink(&mut widths, &group, &least, &share, excess);
    }
    let holds = excess <= Length::pt(0.01);
    if !holds {
        let all: Vec<usize> = (0..count).collect();
        let tightest: Vec<Length> = all
            .iter()
            .map(|column| {
                let head = longest_piece(head_style, &table.columns[*column].head, true);
                let entries = table.rows.iter().filter_map(|row| row.get(*column));
                entries
                    .map(|entry| longest_piece(cell, &entry.text, true) + ahead(entry, setting))
                    .fold(head, Length::max)
            })
            .collect();
        excess -= shrink(&mut widths, &all, &tightest, &share, excess);
    }
    if excess > Length::pt(0.01) {
        // Not even the longest syllables fit side by side: divide the room evenly and let words be cut.
        let total: Length = widths.iter().copied().sum();
        let factor = (room - gaps) / total;
        for width in &mut widths {
            *width = *width * factor;
        }
    }
    (Grid { left, widths, gap, wide, cell, head: head_style }, holds)
}
