//! Words about a sheet's neighbours: what it shows again and from which page, and where the chart goes on.

use super::{ChartSheets, Folios, GAP, marks, number_size, range_words};
use crate::catalogue::{SectionName, StyleName};
use crate::compose::draw::{self, ArrowDirection, LAYOUT};
use crate::compose::setter::Setter;
use crate::compose::tile::SheetCells;
use crate::edition::Edition;
use crate::geom::{Length, Point, Rect, Size};
use crate::manuscript::{ChartBlock, ChartMarkKind};
use crate::markup::filled;
use crate::page::{Item, Link, Mark, NodeId, PlacedItem, Role, Structure, Target};

/// Under this shorter side of a cell a sheet says that its squares are small.
const SMALL: Length = Length::mm(3.7);
/// Parts one note from the next on a line.
const BETWEEN: &str = "  ·  ";

/// Notes one after another on lines of this width; a note wider than a line goes on below, broken between words.
fn lines_of(parts: Vec<String>, setter: &Setter, width: Length) -> Vec<String> {
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

/// Whether one of the notes ends with these words, and without a point.
fn parts_end(notes: &[String], words: &str) -> bool {
    !words.ends_with(['.', '!', '?', ';']) && notes.iter().any(|note| note.ends_with(words))
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
pub(super) fn most_lines(
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
fn carrying(block: &ChartBlock, edition: &Edition, setter: &Setter, width: Length) -> Option<String> {
    let template = block.words.carrying.as_ref().filter(|_| edition.chart.marks)?;
    let say = |page: &str| filled(template, &[("page", page.to_owned())]);
    // Decided by a number of three digits, so that it is the same before pages are known and after.
    let is_one_line = setter.line(StyleName::SheetNote, &say("100")).width.fits(width);
    is_one_line.then(|| say(setter.page_of(SectionName::RowsInWords).unwrap_or("100")))
}

/// Lines that name the lengths which lozenges on a sheet ask for, each by the knot that it tied last.
pub(super) fn choices(
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
        if super::squared(self.block, self.aspect) {
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
