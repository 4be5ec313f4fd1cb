//! What stands round the grid: bands, numbers, arrows, run counts, boxes to tick.

use super::measure::{GAP, number_size, strip};
use super::room::beside::{BETWEEN_COUNTS, COUNT_SIZE, runs, widest_on};
use super::sheets::{ChartSheets, SheetOnPage};
use crate::catalogue::StyleName;
use crate::colour::Colour;
use crate::compose::draw::{self, LAYOUT};
use crate::compose::setter::{SetLine, Setter};
use crate::compose::tile::SheetCells;
use crate::geom::{Length, Point, Rect, Size};
use crate::page::{Item, Mark, NodeId, PlacedItem, Role, Shape, Structure, Tick};

/// Height of the tinted band of repeated columns above and below the grid.
const STRIP_BAND: Length = Length::mm(5.4);
/// The level of the heading of twenty rows, below a sheet's.
const STRETCH: u8 = 4;
/// Ends a row of counts that goes on.
const MORE_COUNTS: &str = " …";

/// A place beside a row, measured outwards from the grid: its left end.
fn outwards(grid: Rect, at_left: bool, from: Length, width: Length) -> Length {
    if at_left { grid.left() - from - width } else { grid.right() + from }
}

impl ChartSheets<'_> {
    fn middle(&self, page: &SheetOnPage, row: usize) -> Length {
        page.grid.top() + self.cell.height * ((row - page.sheet.rows.start) as f64 + 0.5)
    }

    pub(super) fn bands(&self, page: &SheetOnPage, out: &mut Vec<PlacedItem>) {
        let (sheet, grid) = (page.sheet, page.grid);
        let gutter = self.beside.gutter() - Length::mm(0.6);
        let (w, h) = (self.cell.width, self.cell.height);
        let (mut quiet, mut shared) = (Vec::new(), Vec::new());
        let sides = [grid.left() - gutter, grid.right()];
        let every = self.edition.chart.band_every;
        if every > 0 {
            for (i, row) in sheet.rows.clone().enumerate().skip(sheet.repeated_rows) {
                if (row + 1).is_multiple_of(every) {
                    let y = grid.top() + h * i as f64;
                    quiet.extend(sides.iter().flat_map(|x| draw::box_outline(Rect::new(*x, y, gutter, h))));
                }
            }
        }
        // Only where the neighbour is printed is anything shown again.
        if sheet.repeated_rows > 0 && self.plan.above(sheet).is_some() {
            let height = h * sheet.repeated_rows as f64;
            shared.extend(sides.iter().flat_map(|x| draw::box_outline(Rect::new(*x, grid.top(), gutter, height))));
        }
        if sheet.repeated_columns > 0 && self.plan.left_of(sheet).is_some() {
            let width = w * sheet.repeated_columns as f64;
            let height = STRIP_BAND.max(strip(page.setter) - GAP);
            for y in [grid.top() - height, grid.bottom()] {
                shared.extend(draw::box_outline(Rect::new(grid.left(), y, width, height)));
            }
        }
        for (outline, colour) in [(quiet, self.colours.tint), (shared, self.colours.shared)] {
            if !outline.is_empty() {
                out.push(draw::shape(LAYOUT, Shape { outline, fill: Some(colour), stroke: None }));
            }
        }
    }

    /// First and last column of the sheet, tens, and fives where there is room.
    pub(super) fn column_numbers(&self, page: &SheetOnPage, out: &mut Vec<PlacedItem>) {
        let (sheet, grid) = (page.sheet, page.grid);
        let size = number_size(self.cell, page.setter);
        let clear = size * 0.38;
        let mut placed: Vec<(Length, Length)> = Vec::new();
        let mut wanted = vec![sheet.columns.start, sheet.columns.end - 1];
        wanted.extend(sheet.columns.clone().filter(|c| (c + 1).is_multiple_of(10)));
        wanted.extend(sheet.columns.clone().filter(|c| (c + 1).is_multiple_of(5)));
        for column in wanted {
            let Some(line) = self.figures.get(&(column + 1).to_string()) else { continue };
            let middle = grid.left() + self.cell.width * ((column - sheet.columns.start) as f64 + 0.5);
            let (from, to) = (middle - line.width / 2.0, middle + line.width / 2.0);
            if placed.iter().any(|(a, b)| !(*b + clear).fits(from) && !(to + clear).fits(*a)) {
                continue;
            }
            placed.push((from, to));
            let above = grid.top() - GAP;
            let below = grid.bottom() + GAP + size * 0.68;
            line.clone().place(Point::new(from, above), Mark::Node(page.figure), out);
            line.clone().place(Point::new(from, below), Mark::Node(page.figure), out);
        }
    }

    /// Numbers at the side where rows start.
    pub(super) fn row_numbers(&self, page: &SheetOnPage, out: &mut Vec<PlacedItem>) {
        let heads: Vec<usize> = self.stretches_on(page.sheet).into_iter().map(|(rows, _)| rows.start).collect();
        for row in page.sheet.rows.clone().filter(|row| !heads.contains(row)) {
            self.row_number(page, row, Mark::Node(page.figure), out);
        }
    }

    fn row_number(&self, page: &SheetOnPage, row: usize, mark: Mark, out: &mut Vec<PlacedItem>) {
        let size = number_size(self.cell, page.setter);
        let about = &self.block.rows[row];
        let Some(line) = self.figures.get(&about.number) else { return };
        let x = outwards(page.grid, about.left_to_right, GAP, line.width);
        let y = self.middle(page, row) + size * 0.34;
        line.clone().place(Point::new(x, y), mark, out);
    }

    /// The knots of each yarn in turn, in small figures where a row ends.
    pub(super) fn run_counts(&self, page: &SheetOnPage, out: &mut Vec<PlacedItem>) {
        if !self.edition.chart.run_counts {
            return;
        }
        let size = number_size(self.cell, page.setter) * COUNT_SIZE;
        let room = self.beside.room_for_counts();
        for row in page.sheet.rows.clone() {
            let Some(line) = self.counts_line(page, row, size, room) else { continue };
            let x = outwards(page.grid, !self.block.rows[row].left_to_right, GAP, line.width);
            let y = self.middle(page, row) + size * 0.34;
            line.place(Point::new(x, y), Mark::Node(page.figure), out);
        }
    }

    /// Whether there is no room for all counts of some row of a sheet.
    pub(super) fn cuts_counts(&self, sheet: &SheetCells, setter: &Setter) -> bool {
        let size = number_size(self.cell, setter) * COUNT_SIZE;
        !widest_on(self.block, sheet, setter, size).fits(self.beside.room_for_counts())
    }

    /// As many counts as there is room for, dots after them where there are more.
    fn counts_line(&self, page: &SheetOnPage, row: usize, size: Length, room: Length) -> Option<SetLine> {
        let counts: Vec<String> = runs(self.block, page.sheet, row).iter().map(usize::to_string).collect();
        let mut shown = counts.len();
        while shown > 0 {
            let mut text = counts[..shown].join(BETWEEN_COUNTS);
            if shown < counts.len() {
                text.push_str(MORE_COUNTS);
            }
            let line = page.setter.line_in(StyleName::CellNumber, &text, size, self.colours.quiet);
            if line.width.fits(room) {
                return Some(line);
            }
            // A first guess by what the line is too wide; never more than it can be.
            let over = ((line.width - room) / line.width * shown as f64).floor().max(1.0);
            shown -= (over as usize).min(shown);
        }
        None
    }

    /// Arrows beside the numbers.
    pub(super) fn arrows(&self, page: &SheetOnPage, out: &mut Vec<PlacedItem>) {
        let Size { width, height } = self.beside.arrow;
        let mut outline = Vec::with_capacity(page.sheet.rows.len() * 9);
        for row in page.sheet.rows.clone() {
            let to_right = self.block.rows[row].left_to_right;
            let x = outwards(page.grid, to_right, self.beside.arrow_at(), width);
            let area = Rect::new(x, self.middle(page, row) - height / 2.0, width, height);
            outline.extend(draw::arrow(area, to_right, self.colours.quiet).outline);
        }
        let shape = Shape { outline, fill: Some(self.colours.quiet), stroke: None };
        out.push(draw::shape(Mark::Node(page.figure), shape));
    }

    /// A box for every row, and its field over it, in a list that can be passed over whole. Where the boxes say the rows, each
    /// is an entry, and the number of the first of every twenty is a heading; those that say none are one entry together.
    pub(super) fn boxes(&self, page: &SheetOnPage, structure: &mut Structure, out: &mut Vec<PlacedItem>) {
        let h = self.cell.height;
        let side = self.beside.most_box.min(h - Length::mm(0.7));
        let mut outline = Vec::with_capacity(page.sheet.rows.len() * 5);
        let mut ticks = Vec::with_capacity(page.sheet.rows.len());
        let mut heads = self.stretches_on(page.sheet).into_iter().peekable();
        let (mut list, mut silent) = (None, None);
        for row in page.sheet.rows.clone() {
            if let Some((_, title)) = heads.next_if(|(rows, _)| rows.start == row) {
                let heading = structure.add(Role::Heading(STRETCH), Some(page.section));
                structure.get_mut(heading).actual = Some(title);
                self.row_number(page, row, Mark::Node(heading), out);
                list = None;
            }
            let about = &self.block.rows[row];
            let middle = self.middle(page, row);
            let x = outwards(page.grid, about.left_to_right, self.beside.box_at(), self.beside.target);
            let area = Rect::new(x, middle - h / 2.0, self.beside.target, h);
            outline.extend(draw::box_outline(Rect::new(area.centre().x - side / 2.0, middle - side / 2.0, side, side)));
            let entry = |list: NodeId, structure: &mut Structure| {
                let item = structure.add(Role::ListItem, Some(list));
                structure.add(Role::ListBody, Some(item))
            };
            let is_said = self.is_said_on(page.sheet, row);
            let body = if is_said {
                let list = *list.get_or_insert_with(|| structure.add(Role::List(false), Some(page.section)));
                entry(list, structure)
            } else {
                *silent.get_or_insert_with(|| {
                    let list = structure.add(Role::List(false), Some(page.section));
                    entry(list, structure)
                })
            };
            let form = structure.add(Role::Form, Some(body));
            let label = match &about.in_parts {
                Some(parts) if is_said => parts.on_sheet(&page.sheet.own_columns()).into(),
                None if is_said => about.spoken.clone(),
                Some(_) | None => about.name.clone(),
            };
            let field = about.field.clone();
            let tick = Tick { area, field, label, colour: self.colours.accent };
            ticks.push(PlacedItem { mark: Mark::Node(form), item: Item::Tick(tick) });
        }
        let stroke = Some(draw::line(self.colours.text, Length::pt(0.6)));
        out.push(draw::shape(LAYOUT, Shape { outline, fill: Some(Colour::WHITE), stroke }));
        out.extend(ticks);
    }
}
