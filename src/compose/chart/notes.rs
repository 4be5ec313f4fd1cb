//! Words about a sheet's neighbours: what it shows again and from which page, and where the chart goes on.

use super::measure::{GAP, number_size, squared};
use super::ranges::range_words;
use super::room::notes::{BETWEEN, SMALL, carrying, choices, lines_of};
use super::sheets::{ChartSheets, Folios};
use crate::catalogue::StyleName;
use crate::compose::draw::{self, ArrowDirection, LAYOUT};
use crate::compose::setter::Setter;
use crate::compose::tile::SheetCells;
use crate::geom::{Length, Point, Rect, Size};
use crate::markup::filled;
use crate::page::{Item, Link, Mark, NodeId, PlacedItem, Role, Structure, Target};

/// Whether one of the notes ends with these words, and without a point.
fn parts_end(notes: &[String], words: &str) -> bool {
    !words.ends_with(['.', '!', '?', ';']) && notes.iter().any(|note| note.ends_with(words))
}

impl ChartSheets<'_> {
    /// Where this sheet's repeated columns and rows also stand, and how to read what is unusual.
    pub(super) fn notes(
        &self,
        sheet: &SheetCells,
        area: Rect,
        setter: &Setter,
        folios: &dyn Folios,
        structure: &mut Structure,
        section: NodeId,
        out: &mut Vec<PlacedItem>,
    ) {
        let words = &self.block.words;
        let mut parts = Vec::new();
        // What names another page leads there.
        let mut leading: Vec<(String, usize)> = Vec::new();
        let mut shared = |template: &str, range: std::ops::Range<usize>, with: Option<usize>| {
            if let Some(other) = with.filter(|_| !range.is_empty()) {
                let mut values = range_words(&range).to_vec();
                values.push(("page", folios.folio(other)));
                let words = filled(template, &values);
                leading.push((words.clone(), folios.page(other)));
                parts.push(words);
            }
        };
        let (columns, rows) = (&sheet.columns, &sheet.rows);
        shared(&words.shared_columns, columns.start..columns.start + sheet.repeated_columns, self.plan.left_of(sheet));
        shared(&words.shared_rows, rows.start..rows.start + sheet.repeated_rows, self.plan.above(sheet));
        if self.edition.chart.run_counts {
            parts.push(words.run_counts.clone());
            if self.cuts_counts(sheet, setter) {
                parts.push(words.run_counts_more.clone());
            }
        }
        if !SMALL.fits(self.cell.width.min(self.cell.height)) {
            parts.push(words.small_cells.clone());
        }
        if squared(self.block, self.aspect) {
            parts.push(words.square_cells.clone());
        }
        let scale = self.head.note_scale;
        let width = area.size.width / scale;
        parts.extend(carrying(self.block, self.edition, setter, width));
        let mut lines = lines_of(parts.clone(), setter, width);
        lines.extend(choices(self.block, self.edition, setter, sheet, width));
        if lines.is_empty() {
            return;
        }
        let notes = parts;
        let paragraph = structure.add(Role::Paragraph, Some(section));
        let style = setter.style(StyleName::SheetNote);
        let top = area.top() + self.head.height;
        let set =
            |text: &str| setter.line_in(StyleName::SheetNote, text, style.size * scale, setter.colour(style.colour));
        for (i, text) in lines.iter().enumerate() {
            let mut at = Point::new(area.left(), top + (style.size + style.leading * i as f64) * scale);
            let mut parts = text.split(BETWEEN).peekable();
            while let Some(part) = parts.next() {
                let line = set(part);
                let width = line.width;
                // The dots between notes are for the eye.
                let line = match parts.peek() {
                    Some(_) => line.spoken(format!("{part}; ")),
                    // A note that ends with its line, too, is parted from the next for the ear.
                    None if i + 1 < lines.len() && parts_end(&notes, part) => line.spoken(format!("{part}; ")),
                    None => setter.apart(line),
                };
                let other = leading.iter().find(|(words, _)| words.contains(part));
                let role = if other.is_some() { Role::Link } else { Role::Span };
                let node = structure.add(role, Some(paragraph));
                if let Some((words, page)) = other {
                    let size = style.size * scale;
                    let area = Rect::new(at.x, at.y - size * 0.8, width, size * 1.1);
                    out.push(led(area, *page, words.clone(), node));
                }
                line.place(at, Mark::Node(node), out);
                at.x += width;
                if parts.peek().is_some() {
                    let dots = set(BETWEEN);
                    let width = dots.width;
                    dots.place(at, LAYOUT, out);
                    at.x += width;
                }
            }
        }
    }

    /// An arrow with a page number at each side where the chart goes on.
    pub(super) fn goes_on(
        &self,
        sheet: &SheetCells,
        grid: Rect,
        setter: &Setter,
        folios: &dyn Folios,
        structure: &mut Structure,
        section: NodeId,
        out: &mut Vec<PlacedItem>,
    ) {
        let words = &self.block.words;
        let gutter = self.beside.gutter();
        let size = setter.style(StyleName::SheetNote).size;
        let above = grid.top() - GAP;
        let below = grid.bottom() + GAP + number_size(self.cell, setter) * 0.68;
        let plan = &self.plan;
        for (other, points, spoken, baseline) in [
            (plan.left_of(sheet), ArrowDirection::Left, &words.continues_left, above),
            (plan.right_of(sheet), ArrowDirection::Right, &words.continues_right, above),
            (plan.below(sheet), ArrowDirection::Down, &words.continues_below, below),
        ] {
            let Some(other) = other else { continue };
            let page = ("page", folios.folio(other));
            let label = setter.line(StyleName::SheetNote, &filled(&words.page, std::slice::from_ref(&page)));
            let (long, thick) = (size * 1.05, size * 0.5);
            let side = match points {
                ArrowDirection::Left | ArrowDirection::Right => long,
                ArrowDirection::Down => thick,
            };
            // Outermost, over or under the boxes: arrow at the outer edge, words towards the chart.
            let left = match points {
                ArrowDirection::Left => grid.left() - gutter,
                ArrowDirection::Right | ArrowDirection::Down => grid.right() + gutter - side,
            };
            let middle = baseline - size * 0.34;
            let paragraph = structure.add(Role::Paragraph, Some(section));
            let link = structure.add(Role::Link, Some(paragraph));
            // Eyes see which way the arrow points; ears are told.
            let said = filled(spoken, std::slice::from_ref(&page));
            let arrow = match points {
                ArrowDirection::Left | ArrowDirection::Right => Rect::new(left, middle - thick / 2.0, long, thick),
                ArrowDirection::Down => Rect::new(left, middle - long / 2.0, thick, long),
            };
            let pointer = draw::pointer(arrow, points, self.colours.accent);
            let gap = size * 0.4;
            // Beside a narrow number gutter the words would run into the column numbers: the arrow stands alone then.
            if !(label.width + gap + side + size).fits(gutter) {
                structure.get_mut(link).alt = Some(said.clone());
                out.push(led(arrow, folios.page(other), said, link));
                out.push(draw::shape(Mark::Node(link), pointer));
                continue;
            }
            out.push(draw::shape(LAYOUT, pointer));
            let x = match points {
                ArrowDirection::Left => arrow.right() + gap,
                ArrowDirection::Right | ArrowDirection::Down => arrow.left() - gap - label.width,
            };
            let words = Rect::new(x, baseline - size * 0.8, label.width, size * 1.1);
            let (left, top) = (words.left().min(arrow.left()), words.top().min(arrow.top()));
            let size = Size::new(words.right().max(arrow.right()) - left, words.bottom().max(arrow.bottom()) - top);
            let both = Rect { origin: Point::new(left, top), size };
            out.push(led(both, folios.page(other), said.clone(), link));
            label.spoken(said).place(Point::new(x, baseline), Mark::Node(link), out);
        }
    }
}

/// An area that leads to a page.
fn led(area: Rect, page: usize, label: String, node: NodeId) -> PlacedItem {
    let link = Link { area, target: Target::Page(page, Length::ZERO), label };
    PlacedItem { mark: Mark::Node(node), item: Item::Link(link) }
}
