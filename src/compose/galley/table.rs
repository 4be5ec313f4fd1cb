//! Tables: one piece a row, the head drawn again on every new page.

mod columns;

use super::setting::Setting;
use crate::catalogue::StyleName;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::piece::{Keep, Piece, RepeatedHead, keep_softly};
use crate::geom::{Length, Point, Rect};
use crate::manuscript::{Align, Table, TableEntry, Text};
use crate::page::{Artifact, Mark, NodeId, PlacedItem, Role};
use columns::{Grid, SWATCH, TICK, ahead, grid, highest, parted};

/// A table no higher than this share of a page stays in one piece.
const SMALL: f64 = 0.3;
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
pub(crate) fn set(setting: &mut Setting, table: &Table, node: NodeId) {
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
                Align::Right => room - line.width,
            };
            let y = slack / 2.0 + style.leading * (i + lost) as f64 + setting.setter.baseline(&style);
            line.place(Point::new(x + ahead + shift, y), Mark::Node(words), &mut items);
        }
    }
    (height, items)
}
