//! Tables: column widths from what they hold, one piece a row, the head drawn again on every new page.

use super::draw::{self, LAYOUT};
use super::galley::{Keep, Piece, RepeatedHead, Setting, keep_softly};
use crate::catalogue::StyleName;
use crate::geom::{Length, Point, Rect};
use crate::manuscript::{Align, Table, TableEntry, Text};
use crate::markup::unmarked;
use crate::page::{Artifact, Mark, NodeId, PlacedItem, Role};

/// Between columns.
const GAP: Length = Length::mm(4.5);
/// Between columns where rows take fewer lines for it.
const MIDDLE_GAP: Length = Length::mm(3.4);
/// Between columns that have little room.
const NARROW_GAP: Length = Length::mm(2.4);
/// A table no higher than this share of a page stays in one piece.
const SMALL: f64 = 0.3;
/// The least one as a share of the type's size: more than twice a space.
const MIN_GAP: f64 = 0.65;
const SWATCH: Length = Length::mm(4.2);
const TICK: Length = Length::mm(7.0);

/// The head of a column takes so many lines where the table has room to spare, and is given that by such steps.
const HEAD_LINES: usize = 2;
const HEAD_WIDER: Length = Length::mm(2.0);

/// The part of the page's height that one row may take.
const HIGH: f64 = 0.5;

/// A row that takes more of the page's height than this has its cells below each other.
const FULL: f64 = 0.75;

fn caption(setting: &mut Setting, words: &Text, element: NodeId, grid: &Grid) {
    let node = setting.structure.add(Role::Caption, Some(element));
    let from = setting.galley.pieces.len();
    setting.lines(StyleName::Caption, words, grid.left, grid.total(), node, Keep::WholeAndNext);
    for piece in &mut setting.galley.pieces[from..] {
        piece.wide = grid.wide;
        piece.after = piece.after.min(Length::pt(3.0));
    }
}

/// Sets a table into pieces.
pub fn set(setting: &mut Setting, table: &Table, node: NodeId) {
    if table.columns.is_empty() {
        return;
    }
    let (grid, holds) = grid(setting, table);
    if !holds && let Some(parts) = parted(setting, table) {
        for part in &parts {
            set(setting, part, node);
        }
        return;
    }
    let element = setting.structure.add(Role::Table, Some(node));
    if !holds && may_be_stacked(table) && !highest(setting, table, &grid).fits(setting.columns.height * FULL) {
        stacked(setting, table, &grid, element);
        return;
    }
    let begins = setting.galley.pieces.len();
    let (left, wide, total) = (grid.left, grid.wide, grid.total());
    if let Some(words) = &table.caption {
        caption(setting, words, element, &grid);
    }

    // The head.
    let has_head = table.columns.iter().any(|c| !c.head.is_empty());
    let mut head_index = None;
    if has_head {
        let row = setting.structure.add(Role::TableRow, Some(element));
        let nodes: Vec<NodeId> =
            table.columns.iter().map(|_| setting.structure.add(Role::ColumnHead, Some(row))).collect();
        let entries: Vec<TableEntry> =
            table.columns.iter().map(|c| TableEntry { text: c.head.clone(), ..TableEntry::default() }).collect();
        let (height, mut items) = self_row(setting, table, &grid, grid.head, &entries, &nodes, Valign::Bottom);
        let y = height;
        let heavy = setting.edition.look.heavy_rule;
        let (from, to) = (Point::new(left, y), Point::new(left + total, y));
        items.push(draw::shape(LAYOUT, draw::rule(from, to, setting.colours.text, heavy)));
        let height = height + Length::pt(1.0);
        // What is drawn again is for the eye: it was said once. The page wants it, as it wants a running head.
        let mark = Mark::Artifact(Artifact::Header);
        let again = items.iter().map(|placed| PlacedItem { mark, item: placed.item.clone() }).collect();
        setting.galley.heads.push(RepeatedHead { height, items: again });
        head_index = Some(setting.galley.heads.len() - 1);
        setting.push(Piece { height, wide, keep: true, before: Length::mm(1.0), items, ..Piece::default() });
    }

    let count = table.rows.len();
    let row_heads = table.columns.len() > 1 && heads_pay(table.columns.len(), count, has_head);
    for (i, entries) in table.rows.iter().enumerate() {
        let row = setting.structure.add(Role::TableRow, Some(element));
        let nodes: Vec<NodeId> = (0..entries.len())
            .map(|column| {
                let role = if column == 0 && row_heads { Role::RowHead } else { Role::TableCell };
                setting.structure.add(role, Some(row))
            })
            .collect();
        let (height, mut items) = self_row(setting, table, &grid, grid.cell, entries, &nodes, Valign::Top);
        let (from, to) = (Point::new(left, height), Point::new(left + total, height));
        items.push(draw::shape(LAYOUT, draw::rule(from, to, setting.colours.rule, setting.edition.look.table_rule)));
        let last = i + 1 == count;
        setting.push(Piece {
            height,
            wide,
            items,
            head: head_index,
            // Neither one row alone under its head nor one alone over the leaf.
            keep: (i == 0 || i + 2 == count || (last && table.note.is_some())) && !(last && table.note.is_none()),
            after: if last { Length::mm(3.5) } else { Length::ZERO },
            ..Piece::default()
        });
    }
    // A small table stays in one piece where it can: it is found again at one glance.
    let rows = &mut setting.galley.pieces[begins..];
    let height: Length = rows.iter().map(|piece| piece.height).sum();
    if height.fits(setting.columns.height * SMALL)
        && let Some((_, all_but_last)) = rows.split_last_mut()
    {
        keep_softly(all_but_last);
    }
    note(setting, table, node, &grid);
}

/// The words below a table.
fn note(setting: &mut Setting, table: &Table, node: NodeId, grid: &Grid) {
    let Some(words) = &table.note else { return };
    if let Some(last) = setting.galley.pieces.last_mut() {
        last.after = Length::mm(1.5);
    }
    let paragraph = setting.structure.add(Role::Paragraph, Some(node));
    let from = setting.galley.pieces.len();
    let measure = grid.total().min(setting.edition.look.measure);
    setting.lines(StyleName::Note, words, grid.left, measure, paragraph, Keep::Whole);
    if grid.wide {
        for piece in &mut setting.galley.pieces[from..] {
            piece.wide = true;
        }
    }
}

/// Whether what stands first in a row heads it, as it does in every table but the smallest: with more heads than values a
/// listener would hear hardly anything else.
fn heads_pay(columns: usize, rows: usize, column_heads: bool) -> bool {
    !column_heads || columns + rows <= rows * (columns - 1)
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Valign {
    Top,
    Bottom,
}

/// Whether words are all that it holds.
fn may_be_stacked(table: &Table) -> bool {
    let plain = |entry: &TableEntry| entry.tick.is_none() && entry.swatch.is_none();
    table.row_heads && table.columns.len() == 2 && table.note.is_none() && table.rows.iter().flatten().all(plain)
}

/// A table of long words on a page so narrow that its rows would be higher than the page: each cell below the head of its
/// row, line by line, so that it may go on overleaf.
fn stacked(setting: &mut Setting, table: &Table, grid: &Grid, element: NodeId) {
    if let Some(words) = &table.caption {
        caption(setting, words, element, grid);
    }
    let heads: Vec<Text> = table.columns.iter().map(|column| column.head.clone()).collect();
    let rows = table.rows.iter().map(|row| row.iter().map(|entry| entry.text.clone()).collect::<Vec<Text>>());
    let has_head = table.columns.iter().any(|column| !column.head.is_empty());
    let all = has_head.then_some((Role::ColumnHead, heads)).into_iter().chain(rows.map(|row| (Role::TableCell, row)));
    for (role, texts) in all {
        let row = setting.structure.add(Role::TableRow, Some(element));
        let is_head = role == Role::ColumnHead;
        for (column, text) in texts.iter().enumerate() {
            let (style, role, keep) = match column {
                0 if is_head => (grid.head, Role::ColumnHead, Keep::WholeAndNext),
                0 => (grid.head, Role::RowHead, Keep::WholeAndNext),
                _ if is_head => (grid.head, Role::ColumnHead, Keep::WholeAndNext),
                _ => (grid.cell, Role::TableCell, Keep::Loose),
            };
            let node = setting.structure.add(role, Some(row));
            setting.lines(style, text, grid.left, setting.columns.full - grid.left, node, keep);
        }
        if let Some(last) = setting.galley.pieces.last_mut() {
            last.after = Length::mm(2.5);
        }
    }
}

/// Sets one row of cells. Returns its height and its items.
fn self_row(
    setting: &mut Setting,
    table: &Table,
    grid: &Grid,
    style_name: StyleName,
    entries: &[TableEntry],
    nodes: &[NodeId],
    valign: Valign,
) -> (Length, Vec<PlacedItem>) {
    let style = setting.setter.style(style_name).clone();
    let widths = &grid.widths;
    let pad = Length::pt(3.0);
    let mut items = Vec::new();
    let mut cells = Vec::new();
    let mut most = 1;
    for (column, entry) in entries.iter().enumerate().take(widths.len()) {
        let ahead = ahead(entry, setting);
        let text: Text = entry.text.clone();
        let lines = setting.setter.paragraph(style_name, &text, widths[column] - ahead);
        most = most.max(lines.len());
        cells.push((column, lines, ahead));
    }
    let mut height = style.leading * most as f64 + pad * 2.0;
    if entries.iter().any(|e| e.tick.is_some()) {
        height = height.max(Length::mm(6.8) * setting.grown());
    } else if entries.iter().any(|e| e.swatch.is_some()) {
        height = height.max(Length::mm(5.6) * setting.grown());
    }
    let slack = height - style.leading * most as f64;
    for (column, lines, ahead) in cells {
        let x = grid.left + widths[..column].iter().copied().sum::<Length>() + grid.gap * column as f64;
        let entry = &entries[column];
        let first_middle = slack / 2.0 + style.leading / 2.0;
        let mut from = x;
        let mut words = nodes[column];
        if let Some((field, spoken)) = &entry.tick {
            let form = setting.structure.add(Role::Form, Some(nodes[column]));
            let at = Point::new(from + Length::mm(2.2) * setting.grown(), first_middle);
            setting.tick_box(at, field, spoken, form, &mut items);
            // A node's own content comes before its children: words after the box have a node of their own.
            words = setting.structure.add(Role::Span, Some(words));
            from += TICK * setting.grown();
        }
        if let Some(swatch) = &entry.swatch {
            // Beside a swatch stands the yarn's name.
            setting.structure.get_mut(words).language.clone_from(&setting.parts.pictures.furniture.names_language);
            let side = SWATCH * setting.grown();
            let area = Rect::new(from, first_middle - side / 2.0, side, side);
            setting.swatch(swatch, area, &mut items);
        }
        let lost = match valign {
            Valign::Top => 0,
            Valign::Bottom => most - lines.len(),
        };
        for (i, line) in lines.into_iter().enumerate() {
            let room = widths[column] - ahead;
            let shift = match table.columns[column].align {
                Align::Left => Length::ZERO,
                Align::Centre => (room - line.width) / 2.0,
                Align::Right => room - line.width,
            };
            let y = slack / 2.0 + style.leading * (i + lost) as f64 + setting.setter.baseline(&style);
            line.place(Point::new(x + ahead + shift, y), Mark::Node(words), &mut items);
        }
    }
    (height, items)
}

/// Room that a box and a patch of colour take before the text.
fn ahead(entry: &TableEntry, setting: &Setting) -> Length {
    let tick = if entry.tick.is_some() { TICK } else { Length::ZERO };
    let swatch = if entry.swatch.is_some() { setting.swatch_width(SWATCH) + Length::mm(2.3) } else { Length::ZERO };
    (tick + swatch) * setting.grown()
}

/// Where a table's columns stand and how they are set.
struct Grid {
    left: Length,
    widths: Vec<Length>,
    gap: Length,
    /// Whether the table runs over the side column.
    wide: bool,
    cell: StyleName,
    head: StyleName,
}

impl Grid {
    fn total(&self) -> Length {
        self.widths.iter().copied().sum::<Length>() + self.gap * (self.widths.len() as f64 - 1.0)
    }
}

/// As large and as airy as the words allow: narrower gaps first, smaller type next, and only then are words parted or rows
/// higher than a good part of the page. Whether neither had to be comes with it.
fn grid(setting: &Setting, table: &Table) -> (Grid, bool) {
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
fn highest(setting: &Setting, table: &Table, grid: &Grid) -> Length {
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
fn parted(setting: &Setting, table: &Table) -> Option<Vec<Table>> {
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
